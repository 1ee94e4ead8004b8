"""From what the checker of tables found to what a person is told: our plain words, the file's own keys."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final, get_args

from pydantic import BaseModel

from assemblies.order.errors import Key, Refused, near_hint, shown

__all__ = ["file_key", "words"]

#: What a value is not, and what would do, for each kind of error that needs no more.
_PLAIN: Final[Mapping[str, tuple[str, str]]] = {
    "string_type": ("is not text", 'text in quotes, such as "..."'),
    "bool_type": ("is neither true nor false", "true, false"),
    "tuple_type": ("is not a list", "a list in [ ]"),
    "model_type": ("is not a table", ""),
    "dict_type": ("is not a table", ""),
}


def file_key(error: Mapping[str, Any], data: Any) -> Key:
    """The key path of an error within its table.

    The checker writes names of its own between the keys; a key is what stands in the data, or is missing there.
    """
    key: Key = ()
    for part in error["loc"]:
        if (isinstance(data, dict) and part in data) or (
            isinstance(data, tuple) and isinstance(part, int) and part < len(data)
        ):
            key, data = (*key, part), data[part]
    if error["type"] == "missing":
        key = (*key, error["loc"][-1])
    return key + _refused_key(error)


def _refused_key(error: Mapping[str, Any]) -> Key:
    cause = _cause(error)
    return cause.key if cause else ()


def _cause(error: Mapping[str, Any]) -> Refused | None:
    cause = error.get("ctx", {}).get("error")
    return cause if isinstance(cause, Refused) else None


def words(error: Mapping[str, Any], model: type[BaseModel], key: Key, more: Sequence[str] = ()) -> tuple[str, str]:
    """What was wrong and what is allowed.

    Args:
        error: one error of the checker.
        model: the table that was checked.
        key: where in that table, as `file_key` gives it.
        more: keys that may stand at the top of the file besides the table's own.
    """
    cause = _cause(error)
    if cause:
        return cause.what, cause.allowed
    kind, given = error["type"], error.get("input")
    if kind == "extra_forbidden":
        known = [*known_keys(model, key[:-1]), *(more if len(key) == 1 else ())]
        return f"unknown key{near_hint(str(key[-1]), known)}", ", ".join(known)
    if kind == "missing":
        return "is missing", _wanted(model, key)
    if kind == "literal_error":
        known = re.findall(r"'([^']*)'", error["ctx"]["expected"])
        hint = near_hint(given, known) if isinstance(given, str) else ""
        return f"{shown(given)} is not allowed here{hint}", ", ".join(known)
    if kind in ("too_long", "too_short"):
        least, most = error["ctx"].get("min_length"), error["ctx"].get("max_length")
        return f"holds {_length(given)} items", f"at least {least}" if most is None else f"at most {most}"
    if kind in _PLAIN:
        what, allowed = _PLAIN[kind]
        return f"{shown(given)} {what}", _brackets(kind, key, _table_at(model, key)) or allowed
    return f"{shown(given)} is not allowed", ""


def _length(given: Any) -> int:
    return len(given) if hasattr(given, "__len__") else 0


def _brackets(kind: str, key: Key, table: type[BaseModel] | None) -> str:
    """How a table, or a list of tables, is to be written where something else stands."""
    if kind == "tuple_type":
        return f"[[{key[-1]}]], a table for each" if table else ""
    if kind not in ("model_type", "dict_type"):
        return ""
    return f"[{key[0]}], one table" if len(key) == 1 else "a table, its keys in { }"


def _fields(model: type[BaseModel]) -> dict[str, Any]:
    return {field.alias or name: field.annotation for name, field in model.model_fields.items()}


def _table_at(model: type[BaseModel], key: Key) -> type[BaseModel] | None:
    """The table that a key path leads to; list items share one."""
    here: type[BaseModel] | None = model
    for part in key:
        if here is None:
            return None
        if isinstance(part, str):
            here = _model_in(_fields(here).get(part))
    return here


def known_keys(model: type[BaseModel], key: Key) -> list[str]:
    """The keys of the table at a key path."""
    here = _table_at(model, key)
    return list(_fields(here)) if here else []


def _wanted(model: type[BaseModel], key: Key) -> str:
    """What a missing key should hold: a table, or one of some words; empty when there is more to say than that."""
    here = _table_at(model, key[:-1])
    annotation = _fields(here).get(str(key[-1])) if here else None
    if _model_in(annotation):
        return f"a [{key[-1]}] table"
    options = get_args(annotation)
    return ", ".join(options) if options and all(isinstance(o, str) for o in options) else ""


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_in(inner)
        if found is not None:
            return found
    return None
