"""The fields of the page, from the keys that an order has: what each takes; what is typed in it, as a change of the text."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, Final, Literal

from assemblies.kinds.keys import kept_keys
from assemblies.order.errors import Key
from assemblies.order.reader import SHARED
from assemblies.page.edit import Edit, EditError, written
from parts.keys import KeyOf, TableOf

__all__ = ["edits_of", "form"]

Sort = Literal["choice", "flag", "text", "list", "map", "any"]
_CHOICES: Final = re.compile(r'"[^"]*"(?: \| "[^"]*")*')
#: What is text whatever it looks like: `2` may be somebody's title.
_TEXTS: Final = ("text", "1 to 63", "a thread", "a solvent", "a kind")
_MOST_EDITS: Final = 500
_LONGEST: Final = 5000


@cache
def form() -> list[dict[str, Any]]:
    """Every table with its keys, as the page's script reads it."""
    return [
        {
            "kind": whose.partition("kind ")[2] if whose.startswith("kind ") else "",
            "path": table.head.strip("[]"),
            "many": table.head.startswith("[["),
            "shared": _shared(table.head.strip("[]")),
            "about": table.about,
            "keys": [_field(key) for key in table.keys],
        }
        for whose, table in kept_keys()
    ]


def _field(key: KeyOf) -> dict[str, Any]:
    sort = _sort(key)
    inside = re.fullmatch(r"\[([^\[\]]+)\]", key.allowed)
    return {
        "name": key.path.rpartition(".")[2],
        "shared": _shared(key.path),
        "means": key.means,
        "allowed": key.allowed,
        "units": key.units,
        "default": key.default,
        "example": key.example,
        "needed": not key.default,
        "sort": sort,
        "choices": re.findall(r'"([^"]*)"', key.allowed) if sort == "choice" else [],
        "items": inside[1].split(", ") if inside else [],
    }


def _shared(path: str) -> bool:
    """Whether only some kinds read it, which the answer to an order tells."""
    return path.partition(".")[0] in SHARED


def _sort(key: KeyOf) -> Sort:
    if _CHOICES.fullmatch(key.allowed):
        return "choice"
    if key.allowed == "true, false":
        return "flag"
    if key.allowed.startswith(_TEXTS):
        return "text"
    if key.allowed.startswith("a table, by"):
        return "map"
    return "list" if key.allowed.startswith(("[", "a list")) else "any"


@cache
def _known() -> tuple[Mapping[str, KeyOf], Mapping[str, TableOf]]:
    tables = [table for _, table in kept_keys()]
    return {key.path: key for table in tables for key in table.keys}, {
        table.head.strip("[]"): table for table in tables
    }


def edits_of(asked: Sequence[Any]) -> list[Edit]:
    """What the page asks, as changes of the text.

    Args:
        asked: each with `do`, `key` as a list, and of `set` what was `typed`.

    Raises:
        EditError: a key that no order has, or what is no change.
    """
    if len(asked) > _MOST_EDITS:
        raise EditError("too many changes at once")
    return [_edit(one) for one in asked]


def _edit(asked: Any) -> Edit:
    do, key, typed = (
        (asked.get(word) for word in ("do", "key", "typed")) if isinstance(asked, dict) else (None, None, None)
    )
    if do not in ("set", "unset", "add", "remove") or not isinstance(key, list) or not 0 < len(key) <= 6:
        raise EditError("not a change")
    if not all(isinstance(part, str) or (type(part) is int and 0 <= part < 1000) for part in key):
        raise EditError("not a change")
    path, name = tuple(key), ".".join(part for part in key if isinstance(part, str))
    keys, tables = _known()
    if do in ("add", "remove"):
        if name not in tables:
            raise EditError(f"{name}: an order has no such table")
        return _table_edit(do, path, tables[name])
    if do == "unset":
        _sort_of(path, keys)
        return Edit(do="unset", key=path)
    if not isinstance(typed, str) or len(typed) > _LONGEST:
        raise EditError(f"{name}: not a value")
    return Edit(do="set", key=path, value=written(typed, _sort_of(path, keys)))


def _sort_of(path: Key, keys: Mapping[str, KeyOf]) -> Literal["text", "flag", "list", "any"]:
    """How what is typed at a path is read: of the key itself, of an item of its list, or of an entry of its table."""
    names = [part for part in path if isinstance(part, str)]
    key = keys.get(".".join(names))
    if key is not None and _sort(key) != "map":
        if isinstance(path[-1], int):
            return "any"
        sort = _sort(key)
        return "text" if sort == "choice" else "any" if sort == "map" else sort
    over = keys.get(".".join(names[:-1]))
    if over is None or _sort(over) != "map":
        raise EditError(f"{'.'.join(names)}: an order has no such key")
    return "list" if ": [" in over.allowed else "any"


def _table_edit(do: Literal["add", "remove"], path: Key, table: TableOf) -> Edit:
    if do == "remove":
        return Edit(do="remove", key=path)
    needed = tuple((key.path.rpartition(".")[2], key.example) for key in table.keys if not key.default)
    return Edit(do="add", key=path, pairs=needed, many=table.head.startswith("[["))
