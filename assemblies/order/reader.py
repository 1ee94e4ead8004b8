"""From a file to an order, or to every fault it has."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from assemblies.order.depth import DEEPEST, too_deep
from assemblies.order.errors import MOST_SHOWN, Key, OrderError, Problem, in_order, near_hint, shown
from assemblies.order.linemap import line_map, nearest_line
from assemblies.order.model import MOST, Order, OrderSource
from assemblies.order.values import Table
from assemblies.order.words import file_key, words

__all__ = ["KindTables", "order_of", "read_order", "read_order_text"]

LARGEST_BYTES: Final = 262_144
_LARGEST_WHOLE: Final = 10**18  # TOML's whole numbers have 64 bits
_LONGEST_LIST: Final = 5 * MOST  # longer ones are not looked into
_Model = TypeVar("_Model", bound=BaseModel)


#: Tables of an `Order` that only some kinds read.
SHARED: Final = ("panel", "plate", "rig", "strip", "port", "as-cut")
KindTables = Mapping[str, Mapping[str, type[Table] | None]]
"""By a kind's name: the tables that only this kind has, by their key. The one that bears the kind's name must be given."""


def read_order(path: str | Path, kinds: KindTables) -> Order:
    """The order in a file.

    Args:
        path: a regular file, TOML 1.0, UTF-8 with or without byte-order mark.
        kinds: the tables of each kind.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    return read_order_text(_text_of(Path(path)), kinds, str(path))


def _fault(file: str, what: str, allowed: str = "", line: int | None = None) -> OrderError:
    return OrderError((Problem(file=file, line=line, key=(), what=what, allowed=allowed),))


def _text_of(path: Path) -> str:
    file = str(path)
    raw = _bytes_of(path)
    if len(raw) > LARGEST_BYTES:
        raise _fault(file, "is too large for an order", f"at most {LARGEST_BYTES // 1024} KiB")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _fault(file, f"is not UTF-8: byte {error.start + 1}", "a text file in UTF-8", line) from None
    if not text.strip():
        raise _fault(file, "is empty", "an order; `seamwright start tank` prints one")
    return text


def _bytes_of(path: Path) -> bytes:
    """What the file holds, up to a byte more than is allowed; never waits on a pipe or a device."""
    file = str(path)
    try:
        _check_regular(file, os.stat(path).st_mode)  # before it is opened: some devices act on that alone
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except OrderError:
        raise  # said already: no regular file
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise _fault(file, f"cannot be opened: {reason}", "an order file that can be read") from None
    try:
        _check_regular(file, os.fstat(handle).st_mode)
        with os.fdopen(handle, "rb", closefd=False) as stream:
            return stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise _fault(file, f"cannot be read: {error.strerror}", "an order file that can be read") from None
    finally:
        os.close(handle)


def _check_regular(file: str, mode: int) -> None:
    if not stat.S_ISREG(mode):
        raise _fault(file, "is a folder" if stat.S_ISDIR(mode) else "is not a regular file", "an order file")


def _parse(text: str, file: str) -> tuple[dict[str, Any], dict[Key, int]]:
    """The file's own data and the line of each key."""
    text = text.replace("\r\n", "\n")
    deep = too_deep(text)
    if deep is not None:
        raise _fault(file, "is nested too deep", f"at most {DEEPEST} levels", deep)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(file, text, str(error)) from None
    except ValueError:  # the language's own limit on the digits of a number
        at = re.search(r"[0-9_]{4000}", text)
        line = text.count("\n", 0, at.start()) + 1 if at else None
        raise _fault(file, "holds a number of thousands of digits", "numbers of up to 18 digits", line) from None
    return data, line_map(text)


def _not_toml(file: str, text: str, message: str) -> OrderError:
    at = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    line = int(at[1]) if at else text.rstrip().count("\n") + 1
    why = message[: at.start()] if at else message.removesuffix(" (at end of document)")
    why = re.sub(r"\('(.*?)',?\)", lambda m: m[1].replace("', '", "."), why)
    return _fault(file, f"is not TOML: {why[:1].lower()}{why[1:]}", "TOML 1.0", line)


def _tuples(value: Any) -> Any:
    """Lists as tuples, so that what is read can be frozen."""
    if isinstance(value, list):
        return tuple(_tuples(v) for v in value)
    if isinstance(value, dict):
        return {k: _tuples(v) for k, v in value.items()}
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


class _Check:
    """One file being checked: its lines, and the key of each fault with what will put it into words."""

    def __init__(self, file: str, lines: Mapping[Key, int]) -> None:
        self.file, self.lines = file, lines
        self.found: list[tuple[Key, Callable[[], tuple[str, str]]]] = []

    def say(self, key: Key, what: str, allowed: str) -> None:
        self.found.append((key, lambda: (what, allowed)))

    def table(
        self, model: type[_Model], data: Any, base: Key, units: str, more: Sequence[str] = ()
    ) -> _Model | None:  # fmt: skip
        try:
            return model.model_validate(data, context={"units": units})
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


def read_order_text(text: str, kinds: KindTables, file: str = "order") -> Order:
    """The order in a text; `file` is only named in messages.

    Raises:
        OrderError: as `read_order`.
    """
    data, lines = _parse(text, file)
    check = _Check(file, lines)
    for key, what, allowed in _beyond_bounds(data):
        check.say(key, what, allowed)
    check.settle()
    plain: dict[str, Any] = _tuples(data)
    units = "in" if plain.get("units") == "in" else "mm"
    keys = tuple(dict.fromkeys(key for own in kinds.values() for key in own if key not in SHARED))
    given = {key: plain.pop(key) for key in keys if key in plain}
    order = check.table(Order, plain, (), units, keys)
    tables = _kind_tables(check, plain, given, kinds, units)
    check.settle()
    assert order is not None
    thickness = plain["sheet"]["thickness"]
    order.sheet._asked = thickness if isinstance(thickness, str) else f"{thickness} {units}"
    order._tables = tables
    order._source = OrderSource(file=file, lines=lines)
    return order


def order_of(data: Mapping[str, Any], source: str) -> Order:
    """An order from what a program gives, under the keys of a file; without tables of its kind.

    Args:
        data: keys and values as in a file; lists may be tuples.
        source: what is named in messages.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    check = _Check(source, {})
    order = check.table(Order, _tuples(dict(data)), (), "in" if data.get("units") == "in" else "mm")
    check.settle()
    assert order is not None
    order._source = OrderSource(file=source, lines={})
    return order


def _kind_tables(
    check: _Check, plain: Mapping[str, Any], given: Mapping[str, Any], kinds: KindTables, units: str
) -> dict[str, Table]:
    """The tables of the order's kind that are given; what is wrong with them is said."""
    kind = plain.get("kind")
    if not isinstance(kind, str):
        return {}  # said already
    if kind not in kinds:
        check.say(("kind",), f"{shown(kind)} is no kind{near_hint(kind, kinds)}", ", ".join(kinds))
        return {}
    own = kinds[kind]
    for key in [*given, *(k for k in SHARED if k in plain)]:
        if key not in own:
            allowed = ", ".join(f"[{k}]" for k, table in own.items() if table is not None)
            check.say((key,), f'a [{key}] table in an order of kind "{kind}"', allowed)
    if kind in own and kind not in given:
        check.say((kind,), "is missing", f"a [{kind}] table")
    models = {key: model for key, model in own.items() if model is not None}
    found = {key: check.table(models[key], data, (key,), units) for key, data in given.items() if key in models}
    return {key: table for key, table in found.items() if table is not None}
