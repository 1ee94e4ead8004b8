"""The packet's folder: written beside its place, moved into it whole, never over anything of the user's.

A packet knows its own files: `manifest.json` lists each with its SHA-256. A folder without one, with a file that is not in
it, or with a file that was changed since, is the user's: it is refused, not replaced.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from parts.findings import SeamwrightError

__all__ = ["MANIFEST", "PacketError", "check_replaceable", "new_packet"]

MANIFEST = "manifest.json"


class PacketError(SeamwrightError):
    """The packet cannot be written where it was asked for."""


def _files(folder: Path) -> dict[str, Path]:
    return {
        path.relative_to(folder).as_posix(): path
        for path in sorted(folder.rglob("*"))
        if path.is_symlink() or not path.is_dir()
    }


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def check_replaceable(target: Path) -> None:
    """Refuse a target that is anything but free or an untouched packet of ours.

    Raises:
        PacketError: it is no folder, no packet, or holds files that the packet did not write.
    """
    try:
        _check(target)
    except OSError as error:
        raise PacketError(f"{target}: cannot be looked into: {error.strerror}") from error


def _check(target: Path) -> None:
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise PacketError(f"{target}: stands in the way and is no packet; move it or choose another --out")
    if not target.exists() or not any(target.iterdir()):
        return
    try:
        if (target / MANIFEST).is_symlink():
            raise ValueError("a packet's list is a file")
        listed = json.loads((target / MANIFEST).read_text(encoding="utf-8"))["files"]
        assert isinstance(listed, dict)
    except (OSError, ValueError, KeyError, TypeError, AssertionError):
        raise PacketError(f"{target}: is not a packet of this tool; move it or choose another --out") from None
    there = {name: path for name, path in _files(target).items() if name != MANIFEST}
    extra = sorted(set(there) - set(listed))
    if extra:
        raise PacketError(f"{target}: holds files that are not the packet's: {_some(extra)}; move them out first")
    changed = sorted(n for n, p in there.items() if p.is_symlink() or _digest(p) != listed[n])
    if changed:
        raise PacketError(
            f"{target}: files were changed since they were written: {_some(changed)}; move them out first"
        )


def _some(names: list[str]) -> str:
    rest = len(names) - 5
    return ", ".join(names[:5]) + (f" and {rest} more" if rest > 0 else "")


@contextmanager
def new_packet(target: Path) -> Iterator[Path]:
    """A folder to write the packet into; on leaving it takes the target's place whole, on an error nothing changes.

    Raises:
        PacketError: the target is the user's, or the place cannot be written to.
    """
    check_replaceable(target)
    made = _missing(target.parent)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=f".{target.name}-", suffix=".draft", dir=target.parent))
    except OSError as error:
        _unmake(made)
        raise PacketError(f"{target.parent}: cannot write here: {error.strerror}") from error
    try:
        yield draft
        _seal(draft)
        _swap(draft, target)
    except OSError as error:
        raise PacketError(f"{target}: could not be written: {error.strerror or error}") from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
        _unmake(made)


def _missing(folder: Path) -> list[Path]:
    """The folders that must be made for this one to be there, the innermost first."""
    out = []
    while not folder.exists() and folder != folder.parent:
        out.append(folder)
        folder = folder.parent
    return out


def _unmake(folders: list[Path]) -> None:
    """Take away folders that were made for nothing; one that holds anything stays."""
    with suppress(OSError):
        for folder in folders:
            folder.rmdir()


def _seal(draft: Path) -> None:
    files = {name: _digest(path) for name, path in _files(draft).items()}
    text = json.dumps({"packet": 1, "files": files}, indent=1, sort_keys=True)
    (draft / MANIFEST).write_text(text + "\n", encoding="utf-8")
    draft.chmod(0o777 & ~_umask())


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _swap(draft: Path, target: Path) -> None:
    """Put the draft in the target's place; the old packet goes only once the new one stands."""
    if not target.exists():
        os.rename(draft, target)
        return
    check_replaceable(target)
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-", suffix=".old", dir=target.parent))
    os.rename(target, old / target.name)
    try:
        os.rename(draft, target)
    except OSError:
        with suppress(OSError):
            os.rename(old / target.name, target)
        raise
    finally:
        if target.exists():
            shutil.rmtree(old, ignore_errors=True)
