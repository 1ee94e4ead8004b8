"""The only files that the page touches: the order that was named at the start, or new ones in the folder of the start.

An order is written whole beside its place and moved into it, so that the file is whole at every moment; never over a file whose
bytes are not those that the page has read.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
import tempfile
import tomllib
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from assemblies.order.files import Check, text_of
from assemblies.order.reader import ORDER_FILE
from assemblies.order.values import DEVICE
from parts.findings import SeamwrightError
from parts.process.ending import undone_if_ended

__all__ = ["Changed", "Disk", "Opened", "Unwritable"]

_NAME: Final = re.compile(f"(?!{DEVICE})[a-z0-9][a-z0-9-]{{0,62}}")


class Unwritable(SeamwrightError):
    """The order cannot be written there."""


class Changed(Unwritable):
    """The file is not as it was when it was read."""


@dataclass(frozen=True, kw_only=True)
class Opened:
    """A file as it was read: its name as shown, its text with mark and line ends as they are, its digest."""

    name: str
    text: str
    digest: str


@dataclass
class Disk:
    """Where orders are.

    Attributes:
        order: the file that was named; None where none was: then new ones are written into `folder`.
        folder: where the command was started.
        written: the new ones that were written, by their names.
    """

    order: Path | None
    folder: Path
    written: dict[str, Path] = field(default_factory=dict)

    def opened(self, name: str = "") -> Opened:
        """The order that was named, or a new one that was written.

        Raises:
            OrderError: it cannot be read, or is no text.
            Unwritable: there is none of this name.
        """
        path = self.path(name)
        text_of(path, ORDER_FILE)  # refuses what is no regular file, too large or not text
        raw = path.read_bytes()
        return Opened(name=name or path.name, text=raw.decode("utf-8"), digest=_digest(raw))

    def path(self, name: str) -> Path:
        """Where the order that was named (`""`), or one that was written, stands.

        Raises:
            Unwritable: there is none of this name.
        """
        path = self.order if not name else self.written.get(name)
        if path is None:
            raise Unwritable("no order of this name was opened or written here")
        return path

    def save(self, text: str, name: str, digest: str) -> Opened:
        """Write over the file that was read: `name` of a new one, empty for the order that was named.

        Raises:
            OrderError, Unwritable: the text is no TOML; the file has changed, or cannot be written.
        """
        path = self.path(name)
        raw = _checked(text, path)

        def place(draft: Path) -> None:
            if _now(path) != digest:  # as late as can be
                raise Changed(f"{path.name} has changed since it was read, or is gone: nothing was written")
            os.replace(draft, path)

        if _now(path) != digest:
            raise Changed(f"{path.name} has changed since it was read, or is gone: nothing was written")
        _written(path, raw, place)
        return Opened(name=name, text=text, digest=_digest(raw))

    def save_new(self, text: str) -> Opened:
        """Write a new order as `<its name>.toml` into the folder of the start; never over anything.

        Raises:
            OrderError, Unwritable: the text is no TOML or has no name of its own; the file is there, or cannot be written.
        """
        if self.order is not None:
            raise Unwritable(
                f"this page was opened for {self.order.name}, and saves that alone; to save a new one, start without a file"
            )
        data = tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n")) if _checked(text, self.folder) else {}
        name = data.get("name")
        if not isinstance(name, str) or _NAME.fullmatch(name) is None:
            raise Unwritable("give it a name first: 1 to 63 of a-z, 0-9 and -")
        path = self.folder / f"{name}.toml"

        def place(draft: Path) -> None:
            try:
                os.link(draft, path)
            except FileExistsError:
                raise Unwritable(f"{path.name} is there already: give this order another name") from None

        raw = _checked(text, path)
        _written(path, raw, place)
        self.written[path.name] = path
        return Opened(name=path.name, text=text, digest=_digest(raw))


def _checked(text: str, path: Path) -> bytes:
    """The bytes of a text that is an order file, whatever may be wrong with the order."""
    raw = text.encode("utf-8", "surrogatepass")
    if not text.strip():
        raise Unwritable("there is nothing to save")
    if len(raw) > ORDER_FILE.largest_bytes:
        raise Unwritable(f"is too large for {ORDER_FILE.noun}")
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        raise Unwritable("holds signs that are no text") from None
    Check.of_text(text.removeprefix("\ufeff"), path.name)
    return raw


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def _now(path: Path) -> str | None:
    """What the file holds now; None where it cannot be read."""
    try:
        return _digest(path.read_bytes()) if stat.S_ISREG(path.stat().st_mode) else None
    except OSError:
        return None


def _written(path: Path, raw: bytes, place: Callable[[Path], Any]) -> None:
    """The bytes as a draft beside the path, put in its place; the draft never stays."""
    begin = f".{path.name}-"
    _clear(path.parent, begin)
    try:
        handle, name = tempfile.mkstemp(prefix=f"{begin}{os.getpid()}-", suffix=".draft", dir=path.parent)
    except OSError as error:
        raise Unwritable(f"{path.parent}: cannot write here: {error.strerror}") from error
    draft = Path(name)

    def undo() -> None:
        draft.unlink(missing_ok=True)

    with undone_if_ended(undo):
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(raw)
                stream.flush()
                os.fsync(handle)
            draft.chmod(_mode(path))
            place(draft)
        except OSError as error:
            raise Unwritable(f"{path.name} could not be written: {error.strerror}") from error
        finally:
            undo()


def _mode(path: Path) -> int:
    """That of the file that stands there, else as any new file."""
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _clear(folder: Path, begin: str) -> None:
    """Drafts that processes left which were killed."""
    form = re.compile(rf"{re.escape(begin)}(\d+)-\w+\.draft")
    with suppress(OSError):
        for one in folder.iterdir():
            found = form.fullmatch(one.name)
            if found and not _lives(int(found[1])):
                one.unlink(missing_ok=True)


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
