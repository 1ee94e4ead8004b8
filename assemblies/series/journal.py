"""Results as they come, each written once and whole: a series that was stopped or killed goes on where it was."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Any

from assemblies.series.rows import Row
from parts.findings import SeamwrightError

__all__ = ["Journal", "journal_at"]


class Journal:
    """The rows that are known, and where the next is written; nowhere with a handle of -1."""

    def __init__(self, handle: int, rows: dict[int, Row], path: Path = Path()) -> None:
        self._handle, self.rows, self._path = handle, rows, path

    def add(self, row: Row) -> None:
        """Write a row, once: one that is known already is left.

        Raises:
            SeamwrightError: it cannot be written, to a full disk for instance.
        """
        if row.member not in self.rows:
            if self._handle >= 0:
                _write(self._handle, _line(asdict(row)), self._path)
            self.rows[row.member] = row


def _write(handle: int, line: bytes, path: Path) -> None:
    """A whole line at the end, or nothing of it."""
    end = os.fstat(handle).st_size
    try:
        if os.write(handle, line) < len(line):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    except OSError as error:
        os.ftruncate(handle, end)
        why = f"{path}: cannot be written: {error.strerror}; the rows that stand there are kept: run it again"
        raise SeamwrightError(why) from error


def _line(data: dict[str, Any]) -> bytes:
    return json.dumps(data, sort_keys=True).encode() + b"\n"


@contextmanager
def journal_at(path: Path, digest: str) -> Iterator[Journal]:
    """The journal of a series, this run its only writer. One of another series is begun anew.

    Raises:
        SeamwrightError: the file is no journal, another run writes it, or it cannot be written.
    """
    import fcntl

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_NONBLOCK", 0), 0o666)
    except OSError as error:
        raise SeamwrightError(f"{path}: cannot be written: {error.strerror}") from error
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise SeamwrightError(f"{path}: another run of this series is at work") from None
        yield Journal(handle, _known(handle, path, digest), path)
    finally:
        os.close(handle)


def _known(handle: int, path: Path, digest: str) -> dict[int, Row]:
    """The rows of this series that stand there; what was cut short is taken away, another series' too."""
    raw = path.read_bytes()
    whole, _, _ = raw.rpartition(b"\n")
    head = {"series": 1, "of": digest}
    lines = whole.splitlines()
    try:
        data = [json.loads(line) for line in lines]
        ours = data[0].get("series") == 1 if data else b'{"of": "'.startswith(raw[:8])
    except (ValueError, AttributeError, RecursionError):
        ours = False
    if not ours:
        raise SeamwrightError(f"{path}: is no journal of a series; move it or choose another --out")
    if data and data[0] == head:
        os.ftruncate(handle, len(whole) + 1)
        return {row["member"]: Row(**row) for row in data[1:]}
    os.ftruncate(handle, 0)
    _write(handle, _line(head), path)
    return {}
