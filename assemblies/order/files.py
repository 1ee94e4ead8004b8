"""From a file of the user's to plain data, or to every fault it has: text, TOML, bounds, then a table's own checks."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from assemblies.order.errors import MOST_SHOWN, Key, OrderError, Problem, in_order
from assemblies.order.toml.linemap import line_map, nearest_line
from assemblies.order.toml.not_toml import DEEPEST, not_toml, too_deep
from assemblies.order.words import file_key, words

__all__ = ["MOST", "Check", "Sort", "read_table", "text_of", "tuples"]

MOST: Final = 200  # plates, strips, ports, cases or places in one list: more is a slip of the pen
_LARGEST_WHOLE: Final = 10**18  # TOML's whole numbers have 64 bits
_LONGEST_LIST: Final = 5 * MOST  # longer ones are not looked into
_Model = TypeVar("_Model", bound=BaseModel)


@dataclass(frozen=True, kw_only=True)
class Sort:
    """A sort of file: what it is called, how large it may be, and what to do where it is empty."""

    noun: str
    largest_bytes: int
    instead: str


def _fault(file: str, what: str, allowed: str = "", line: int | None = None) -> OrderError:
    return OrderError((Problem(file=file, line=line, key=(), what=what, allowed=allowed),))


def text_of(path: Path, sort: Sort) -> str:
    """The text of a regular file; never waits on a pipe or a device.

    Raises:
        OrderError: it cannot be read, is not text in UTF-8, is empty or too large.
    """
    file = str(path)
    raw = _bytes_of(path, sort)
    if len(raw) > sort.largest_bytes:
        raise _fault(file, f"is too large for {sort.noun}", f"at most {sort.largest_bytes // 1024} KiB")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _fault(file, f"is not UTF-8: byte {error.start + 1}", "a text file in UTF-8", line) from None
    if not text.strip():
        raise _fault(file, "is empty", f"{sort.noun}; {sort.instead}")
    return text


def _bytes_of(path: Path, sort: Sort) -> bytes:
    """What the file holds, up to a byte more than is allowed."""
    file, wanted = str(path), f"{sort.noun} that can be read"
    try:
        _check_regular(file, os.stat(path).st_mode, sort)  # before it is opened: some devices act on that alone
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except OrderError:
        raise  # said already: no regular file
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise _fault(file, f"cannot be opened: {reason}", wanted) from None
    try:
        _check_regular(file, os.fstat(handle).st_mode, sort)
        with os.fdopen(handle, "rb", closefd=False) as stream:
            return stream.read(sort.largest_bytes + 1)
    except OSError as error:
        raise _fault(file, f"cannot be read: {error.strerror}", wanted) from None
    finally:
        os.close(handle)


def _check_regular(file: str, mode: int, sort: Sort) -> None:
    if not stat.S_ISREG(mode):
        raise _fault(file, "is a folder" if stat.S_ISDIR(mode) else "is not a regular file", sort.noun)


def _parse(text: str, file: str) -> tuple[dict[str, Any], dict[Key, int]]:
    """The file's own data and the line of each key."""
    text = text.replace("\r\n", "\n")
    deep = too_deep(text)
    if deep is not None:
        raise _fault(file, "is nested too deep", f"at most {DEEPEST} levels", deep)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        where, key, what, allowed = not_toml(text, str(error))
        raise OrderError((Problem(file=file, line=where, key=key, what=what, allowed=allowed),)) from None
    except ValueError:  # the language's own limit on the digits of a number
        at = re.search(r"[0-9_]{4000}", text)
        line = text.count("\n", 0, at.start()) + 1 if at else None
        raise _fault(file, "holds a number of thousands of digits", "numbers of up to 18 digits", line) from None
    return data, line_map(text)


def tuples(value: Any) -> Any:
    """Lists as tuples, so that what is read can be frozen."""
    if isinstance(value, list):
        return tuple(tuples(v) for v in value)
    if isinstance(value, dict):
        return {k: tuples(v) for k, v in value.items()}
    return value


def _beyond_bounds(value: Any, key: Key = ()) -> Iterator[tuple[Key, str, str]]:
    """Where whole numbers stand that no computer word holds, and lists of which not one item would be right."""
    if isinstance(value, int) and abs(value) > _LARGEST_WHOLE:
        yield key, "a number of more than 18 digits", "numbers of up to 18 digits"
    elif isinstance(value, list) and len(value) > _LONGEST_LIST:
        yield key, f"holds {len(value)} items", f"at most {MOST}"
    elif isinstance(value, list | dict):
        for part, inner in enumerate(value) if isinstance(value, list) else value.items():
            yield from _beyond_bounds(inner, (*key, part))


class Check:
    """One file being checked: its lines, and the key of each fault with what will put it into words."""

    def __init__(self, file: str, lines: Mapping[Key, int]) -> None:
        self.file, self.lines = file, lines
        self.found: list[tuple[Key, Callable[[], tuple[str, str]]]] = []

    @classmethod
    def of_text(cls, text: str, file: str) -> tuple[Check, dict[str, Any]]:
        """A check of a text, and its data with lists as tuples, so that what is read can be frozen.

        Raises:
            OrderError: it is no TOML, or holds what no reader takes.
        """
        data, lines = _parse(text, file)
        check = cls(file, lines)
        for key, what, allowed in _beyond_bounds(data):
            check.say(key, what, allowed)
        check.settle()
        return check, tuples(data)

    def say(self, key: Key, what: str, allowed: str) -> None:
        self.found.append((key, lambda: (what, allowed)))

    def table(
        self, model: type[_Model], data: Any, base: Key, context: Mapping[str, Any], more: Sequence[str] = ()
    ) -> _Model | None:
        """The data as a table of a model, or None where something is wrong with it, which is noted."""
        try:
            return model.model_validate(data, context=dict(context))
        except ValidationError as error:
            for one in error.errors(include_url=False):
                key = file_key(one, data)
                self.found.append((base + key, partial(words, one, model, key, more)))
            return None

    def settle(self) -> None:
        """Refuse what was found, in the order of its lines. Words are only made for those that will be shown."""
        if not self.found:
            return
        placed = [(nearest_line(self.lines, key), key, say) for key, say in self.found]
        placed.sort(key=lambda p: in_order(p[0], p[1]))
        problems = []
        for line, key, say in placed[:MOST_SHOWN]:
            what, allowed = say()
            problems.append(Problem(file=self.file, line=line, key=key, what=what, allowed=allowed))
        raise OrderError(problems, more=len(placed) - len(problems))


def read_table(text: str, file: str, model: type[_Model]) -> _Model:
    """A text that is one table by itself; its own `units` are those of its bare numbers. `file` is named in messages.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    check, data = Check.of_text(text, file)
    found = check.table(model, data, (), {"units": "in" if data.get("units") == "in" else "mm"})
    check.settle()
    assert found is not None
    return found
