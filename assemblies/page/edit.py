"""An order's text, changed at one place: every other byte stays, comments and the order of keys among them.

Values are written by tomlkit, which keeps what stands round them. It has habits that lose or move a comment (a new key goes
behind the comment of the next table, an item that goes takes the next one's comment with it, LF in a file of CRLF, a mark of
byte order refused, quotes and hexadecimals rewritten): so lines come and go by the lines of their statements, line ends and
mark are put back, and a string keeps its quotes. Whatever was done, the new text is read again: it must hold what was asked
and nothing else.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, Literal

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import InlineTable, Integer, Item, String

from assemblies.order.errors import Key
from assemblies.order.toml.linemap import Statement, statements
from parts.findings import SeamwrightError

__all__ = ["Edit", "EditError", "edited", "written"]

_MARK: Final = "\ufeff"
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_BASES: Final = {"0x": hex, "0o": oct, "0b": bin}


class EditError(SeamwrightError):
    """A change that cannot be made in this text."""


@dataclass(frozen=True, kw_only=True)
class Edit:
    """One change.

    Attributes:
        do: `set` a key (its table is made where there is none), `unset` it; `add` a table, to the list of them where `many`;
            `remove` a table, or one of a list by its index.
        key: its path; items of lists by their index from 0.
        value: of `set`: the value as TOML writes it. `pairs`: of `add`, the new table's keys, likewise.
    """

    do: Literal["set", "unset", "add", "remove"]
    key: Key
    value: str = ""
    pairs: tuple[tuple[str, str], ...] = ()
    many: bool = False


def written(typed: str, sort: Literal["text", "flag", "list", "any"] = "any") -> str:
    """What a person types, as TOML writes it: what is no value by itself is text, and so is each item of a list.

    >>> written("120"), written("120 mm"), written("NEMA 23", "text"), written("7 3/8 in, 2", "list")
    ('120', '"120 mm"', '"NEMA 23"', '["7 3/8 in", 2]')
    """
    typed = typed.strip()
    if sort == "text":
        return tomlkit.string(typed).as_string()
    if sort == "list" and not typed.startswith("["):
        typed = f"[{typed}]"
    try:
        return tomlkit.value(typed).as_string()
    except (TOMLKitError, ValueError):
        pass
    if typed.startswith("[") and typed.endswith("]"):
        return f"[{', '.join(written(item) for item in _items(typed[1:-1]))}]"
    return tomlkit.string(typed).as_string()


def _items(text: str) -> list[str]:
    """What stands between commas that are in no bracket and no quotes."""
    out, deep, quote, begun = [""], 0, "", False
    for sign in text:
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "\"'" and not begun:
            quote = sign
        deep += (sign in "[{") - (sign in "]}") if not quote else 0
        if sign == "," and not deep and not quote:
            out.append("")
            begun = False
        else:
            out[-1] += sign
            begun = begun or not sign.isspace()
    return [item for item in out if item.strip()]


def edited(text: str, edits: Iterable[Edit]) -> str:
    """The text with the changes, one after the other.

    Raises:
        EditError: one that this text has no place for, or that would change more than it says.
    """
    mark = _MARK if text.startswith(_MARK) else ""
    body = text.removeprefix(_MARK)
    windows = "\r\n" in body
    for edit in edits:
        body = _edited(body, edit, windows)
    return mark + body


def _edited(body: str, edit: Edit, windows: bool) -> str:
    wanted = _plainly(tomllib.loads(body.replace("\r\n", "\n")), edit)
    if edit.do == "remove":
        _without_empty(wanted, edit.key, {s.key for s in statements(body) if s.head})
    try:
        done = _DOES[edit.do](body, edit)
        if windows:  # only what is new can end otherwise, unless the file mixed them before
            done = done if _lone(body) else re.sub(r"(?<!\r)\n", "\r\n", done)
        found = tomllib.loads(done.replace("\r\n", "\n"))
    except (TOMLKitError, ValueError, KeyError, IndexError, TypeError) as error:
        raise EditError(f"{'.'.join(map(str, edit.key))}: cannot be changed here: {error}") from error
    if _same(found) != _same(wanted):
        raise EditError(f"{'.'.join(map(str, edit.key))}: the text has no place for this; change it in the file")
    return done


def _same(data: Any) -> str:
    """Data as a text that is the same for the same data, whatever the order of keys; nan is equal to itself there."""
    return json.dumps(data, sort_keys=True, default=repr)


def _lone(body: str) -> bool:
    return re.search(r"(?<!\r)\n", body) is not None


def _plainly(data: dict[str, Any], edit: Edit) -> dict[str, Any]:
    """What the text must hold afterwards."""
    *path, last = edit.key
    at: Any = data
    for part in path:
        if edit.do in ("set", "add") and isinstance(at, dict) and part not in at:
            at[part] = {}
        at = _inner(at, part, edit)
    if edit.do == "set":
        if not isinstance(at, dict) and not (isinstance(at, list) and isinstance(last, int) and 0 <= last < len(at)):
            raise EditError(f"{last}: there is no such place")
        at[last] = tomllib.loads(f"x = {edit.value}")["x"]  # type: ignore[index]
    elif edit.do == "add":
        new = {key: tomllib.loads(f"x = {value}")["x"] for key, value in edit.pairs}
        if last in at and not (edit.many and isinstance(at[last], list)):
            raise EditError(f"{last}: is there already")
        at[last] = [*at.get(last, []), new] if edit.many else new
    else:
        _inner(at, last, edit)
        del at[last]
    return data


def _without_empty(data: dict[str, Any], key: Key, heads: set[Key]) -> None:
    """A list of tables without any, and a table that only a table in it made, are not there."""
    for length in range(len(key) - 1, 0, -1):
        at: Any = data
        for part in key[: length - 1]:
            at = at[part]
        if at[key[length - 1]] in ([], {}) and key[:length] not in heads:
            del at[key[length - 1]]


def _inner(at: Any, part: str | int, edit: Edit) -> Any:
    try:
        return at[part]
    except (KeyError, IndexError, TypeError):
        raise EditError(f"{'.'.join(map(str, edit.key))}: there is no such key") from None


def _set(body: str, edit: Edit) -> str:
    document = tomlkit.parse(body)
    *path, last = edit.key
    at: Any = document
    for part in path:
        if isinstance(at, Mapping) and part not in at:
            return _table(body, Edit(do="add", key=tuple(path), pairs=((str(last), edit.value),)))
        at = at[part]
    if isinstance(at, Mapping) and last not in at and not isinstance(at, InlineTable):
        return _new_line(body, tuple(path), str(last), edit.value)
    old = at[last] if not isinstance(at, Mapping) or last in at else None
    at[last] = _alike(edit.value, old)
    return tomlkit.dumps(document)


def _alike(value: str, old: Any) -> Item:
    """The new value in the manner of the old one: in literal quotes, or hexadecimal."""
    new = tomlkit.value(value)
    if isinstance(new, String) and isinstance(old, String) and old.as_string().startswith("'"):
        plain = str(new)
        if "'" not in plain and plain.isprintable():
            return tomlkit.string(plain, literal=True)
    if isinstance(new, Integer) and isinstance(old, Integer) and value.isdigit():
        base = _BASES.get(old.as_string()[:2].lower())
        return tomlkit.value(base(int(value))) if base else new
    return new


def _new_line(body: str, table: Key, key: str, value: str) -> str:
    """A pair more in a table: below the last that it has, above whatever comment comes then."""
    every = statements(body)
    own = [s for s in every if s.key == table and s.head]
    if not own and table:  # its keys are written with dots, or only tables in it have headers
        pairs = [s for s in every if not s.head and s.key[: len(table)] == table and len(_base(s, every)) < len(table)]
        if not pairs:
            return _table(body, Edit(do="add", key=table, pairs=((key, value),)))
        dotted = _dotted((*table[len(_base(pairs[-1], every)) :], key))
        return _below(body, pairs[-1].last, f"{dotted} = {value}")
    pairs = [s for s in every if not s.head and _base(s, every) == table]
    if not pairs and not own:
        return f"{_quoted(key)} = {value}\n{body}"
    return _below(body, (pairs or own)[-1].last, f"{_aligned(body, pairs, key)} = {value}")


def _base(one: Statement, every: list[Statement]) -> Key:
    """The header that a pair stands below."""
    heads = [s.key for s in every if s.head and s.first < one.first]
    return heads[-1] if heads else ()


def _aligned(body: str, pairs: list[Statement], key: str) -> str:
    """The key, padded as those beside it are."""
    if not pairs:
        return _quoted(key)
    found = re.match(r"\s*([A-Za-z0-9_-]+ *) = ", body.splitlines()[pairs[-1].first - 1])
    return _quoted(key).ljust(len(found[1])) if found else _quoted(key)


def _below(body: str, line: int, *new: str) -> str:
    lines = body.splitlines(keepends=True)
    if lines and not lines[line - 1].endswith("\n"):
        lines[line - 1] += "\n"
    return "".join([*lines[:line], *(f"{one}\n" for one in new), *lines[line:]])


def _unset(body: str, edit: Edit) -> str:
    found = [s for s in statements(body) if not s.head and s.key == edit.key]
    if found:
        return _without(body, found)
    document = tomlkit.parse(body)
    at: Any = document
    for part in edit.key[:-1]:
        at = at[part]
    if not isinstance(at, InlineTable):
        raise EditError(f"{'.'.join(map(str, edit.key))}: is not written by itself")
    del at[str(edit.key[-1])]
    return tomlkit.dumps(document)


def _table(body: str, edit: Edit) -> str:
    """A new table: below the last of its list, else at the end."""
    head = f"[[{_dotted(edit.key)}]]" if edit.many else f"[{_dotted(edit.key)}]"
    new = [head, *(f"{_quoted(key)} = {value}" for key, value in edit.pairs)]
    like = [s for s in statements(body) if edit.many and s.key[: len(edit.key)] == edit.key]
    if like:
        return _below(body, like[-1].last, "", *new)
    if not body.strip():
        return "".join(f"{one}\n" for one in new)
    return _below(body, len(body.splitlines()), "", *new)


def _remove(body: str, edit: Edit) -> str:
    found = [s for s in statements(body) if s.key[: len(edit.key)] == edit.key]
    if not found:
        raise EditError(f"{'.'.join(map(str, edit.key))}: is not written by itself")
    return _without(body, found)


def _without(body: str, gone: list[Statement]) -> str:
    """The text without these statements, and without the comments inside a table that goes; one blank line of two goes too."""
    lines = body.splitlines(keepends=True)
    out = {n for s in gone for n in range(s.first, s.last + 1)}
    for a, b in pairwise(gone):
        if not b.head:
            out |= set(range(a.last + 1, b.first))
    first = min(out)
    if (
        gone[0].head
        and first > 1
        and not lines[first - 2].strip()
        and max(out) < len(lines)
        and not lines[max(out)].strip()
    ):
        out.add(first - 1)
    return "".join(line for n, line in enumerate(lines, 1) if n not in out)


def _quoted(key: str) -> str:
    return key if _BARE.fullmatch(key) else tomlkit.string(key).as_string()


def _dotted(key: Key) -> str:
    return ".".join(_quoted(str(part)) for part in key)


_DOES: Final = {"set": _set, "unset": _unset, "add": _table, "remove": _remove}
