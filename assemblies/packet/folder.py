"""The packet's folder: written beside its place, moved into it whole, never over anything of the user's.

A packet knows its own files: `manifest.json` lists each with its SHA-256. A folder without one is the user's: it is refused,
not replaced. A file in a packet that is not on its list, or was changed since, is theirs too: it is set aside.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from parts.findings import SeamwrightError
from parts.process.ending import undone_if_ended

__all__ = ["MANIFEST", "YOURS", "PacketError", "check_replaceable", "new_packet", "old_report"]

MANIFEST = "manifest.json"
YOURS = ".yours"


class PacketError(SeamwrightError):
    """The packet cannot be written where it was asked for."""


def _files(folder: Path) -> dict[str, Path]:
    return {
        path.relative_to(folder).as_posix(): path
        for path in sorted(folder.rglob("*"))
        if path.is_symlink() or not path.is_dir()
    }


def _digest(path: Path) -> str:
    """Of a regular file; should it become a pipe meanwhile, nothing waits on it."""
    with open(path, "rb", opener=lambda name, flags: os.open(name, flags | os.O_NONBLOCK | os.O_NOFOLLOW)) as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def check_replaceable(target: Path) -> None:
    """Refuse a target that is anything but free, empty, or a packet of ours.

    Raises:
        PacketError: it is no folder, or no packet.
    """
    try:
        _listed(target)
    except OSError as error:
        raise PacketError(f"{target}: cannot be looked into: {error.strerror}") from error


def _listed(target: Path) -> dict[str, str]:
    """The files of the packet that stands there, with their digests; none where nothing does."""
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise PacketError(f"{target}: stands in the way and is no packet; move it or choose another --out")
    if not target.exists() or not any(target.iterdir()):
        return {}
    try:
        if (target / MANIFEST).is_symlink() or not (target / MANIFEST).is_file():
            raise ValueError("a packet's list is a file")
        listed = json.loads((target / MANIFEST).read_text(encoding="utf-8"))["files"]
        assert isinstance(listed, dict)
    except (OSError, ValueError, KeyError, TypeError, AssertionError, RecursionError):
        raise PacketError(f"{target}: is not a packet of this tool; move it or choose another --out") from None
    return listed


def old_report(target: Path) -> dict[str, Any] | None:
    """The report of the packet that stands there, if it is as it was written."""
    path = target / "report.json"
    try:
        written = _listed(target).get(path.name)
        if written is None or not _is_plain(path) or _digest(path) != written:
            return None
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _users(folder: Path, listed: Mapping[str, str]) -> dict[str, Path]:
    """What in a packet is not as it was written: the user's own files, and those that they changed."""
    return {
        name: path
        for name, path in _files(folder).items()
        if name != MANIFEST and (name not in listed or not _is_plain(path) or _digest(path) != listed[name])
    }


def _is_plain(path: Path) -> bool:
    return stat.S_ISREG(path.lstat().st_mode)  # no link, no pipe, no device


@contextmanager
def new_packet(target: Path, told: Callable[[str], None] | None = None) -> Iterator[Path]:
    """A folder to write the packet into; on leaving it takes the target's place whole, on an error nothing changes.

    Files that the user put into an older packet, or changed there, stand in the new one as `<file>.yours`.

    Args:
        target: where the packet is to stand.
        told: called with the name of each file that was set aside.

    Raises:
        PacketError: the target is the user's, or the place cannot be written to.
    """
    _clear(target)
    check_replaceable(target)
    made = _missing(target.parent)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=_own(target), suffix=".draft", dir=target.parent))
    except FileExistsError as error:
        _unmake(made)
        raise PacketError(f"{target.parent}: is no folder; choose another --out") from error
    except OSError as error:
        _unmake(made)
        raise PacketError(f"{target.parent}: cannot write here: {error.strerror}") from error

    def undo() -> None:
        shutil.rmtree(draft, ignore_errors=True)
        _unmake(made)

    with undone_if_ended(undo):
        try:
            yield draft
            _seal(draft)
            for name in _swap(draft, target):
                if told is not None:
                    told(name)
        except OSError as error:
            raise PacketError(f"{target}: could not be written: {error.strerror or error}") from error
        finally:
            undo()


def _own(target: Path) -> str:
    """What names of drafts begin with: whose they are, and which process writes them."""
    return f".{target.name}-{os.getpid()}-"


def _clear(target: Path) -> None:
    """What runs left that were killed: an old packet back into its place, drafts away. Only what is ours, and dead."""
    form = re.compile(rf"\.{re.escape(target.name)}-(\d+)-\w+\.(draft|old)")
    with suppress(OSError):
        for path in sorted(target.parent.iterdir()):
            found = form.fullmatch(path.name)
            if found is None or _lives(int(found[1])) or path.is_symlink():
                continue
            if found[2] == "old" and not target.exists() and (path / target.name).is_dir():
                os.rename(path / target.name, target)
            shutil.rmtree(path, ignore_errors=True)


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


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


def _swap(draft: Path, target: Path) -> list[str]:
    """Put the draft in the target's place; the old packet goes only once the new one stands. What was set aside."""
    if not target.exists():
        os.rename(draft, target)
        return []
    listed = _listed(target)
    old = Path(tempfile.mkdtemp(prefix=_own(target), suffix=".old", dir=target.parent))
    held = old / target.name
    os.rename(target, held)
    try:
        theirs = _users(held, listed)
        aside = [_set_aside(path, draft, name) for name, path in sorted(theirs.items(), key=_older)]
        os.rename(draft, target)
    except OSError as error:
        _give_back(held, target, error)
        raise
    finally:
        if not held.exists():
            shutil.rmtree(old, ignore_errors=True)
    late = {name: path for name, path in _users(held, listed).items() if name not in theirs}
    aside += [_set_aside(path, target, name) for name, path in sorted(late.items(), key=_older)]
    shutil.rmtree(old, ignore_errors=True)
    return aside


def _give_back(held: Path, target: Path, error: OSError) -> None:
    """The old packet back to its place; where somebody has put something there meanwhile, beside it."""
    try:
        os.rename(held, target)
    except OSError:
        beside = target.with_name(f"{target.name}-before-{os.getpid()}")
        os.rename(held, beside)
        why = f"{target}: something else came there meanwhile; the packet that stood there is {beside.name} now"
        raise PacketError(why) from error


def _older(one: tuple[str, Path]) -> tuple[bool, str]:
    """What was set aside before comes first: it keeps its name."""
    return not one[0].endswith(YOURS), one[0]


def _set_aside(path: Path, draft: Path, name: str) -> str:
    """Move a file of the user's into the new packet, `.yours` behind its name; one that bears that already keeps it."""
    base = name.removesuffix(YOURS)
    goal = draft / f"{base}{YOURS}"
    number = 2
    while goal.exists() or goal.is_symlink():
        goal = draft / f"{base}.{number}{YOURS}"
        number += 1
    goal.parent.mkdir(parents=True, exist_ok=True)
    os.link(path, goal, follow_symlinks=False)
    return goal.relative_to(draft).as_posix()
