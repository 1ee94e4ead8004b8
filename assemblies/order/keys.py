"""Every key of an order, a stock file or a shop file: what it means, what it takes, its default, an example.

Made from the tables themselves: names, defaults and what is allowed from their fields, the meaning from the text below each.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, is_dataclass
from typing import Any, Final, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from assemblies.order.errors import near_hint
from assemblies.order.values import FillAmount, Reads, Says
from parts.findings import SeamwrightError

__all__ = ["KeyOf", "TableOf", "keys_text", "tables_of"]

_WIDTH: Final = 80


@dataclass(frozen=True, kw_only=True)
class KeyOf:
    """One key: its path as in messages, what it means, what it takes, its default (empty where it is needed), an example."""

    path: str
    means: str
    allowed: str
    units: str
    default: str
    example: str


@dataclass(frozen=True, kw_only=True)
class TableOf:
    """One table: how it is headed in the file (`[sheet]`, `[[plate]]`; empty for the top), what it is, its keys."""

    head: str
    about: str
    keys: tuple[KeyOf, ...]


def tables_of(model: type[BaseModel], key: str = "", head: str = "") -> Iterator[TableOf]:
    """The table of a model and all tables within it, in the order of its fields."""
    documented = _below(model)
    keys, inner = [], []
    for name, field in model.model_fields.items():
        alias = field.alias or name
        path = f"{key}.{alias}" if key else alias
        table, many = _table_in(field.annotation)
        if table is not None:
            inner.append((table, path, f"[[{path}]]" if many else f"[{path}]"))
        else:
            keys.append(_key(path, field, documented.get(name, "")))
    about = " ".join(inspect.cleandoc(model.__doc__ or "").split("\n\n")[0].split())
    if keys:
        yield TableOf(head=head, about=about, keys=tuple(keys))
    for table, path, its in inner:
        yield from tables_of(table, path, its)


def _below(model: type[BaseModel]) -> dict[str, str]:
    """The text below each field of a model, on one line."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(model))).body[0]
    assert isinstance(tree, ast.ClassDef)
    found = {}
    for field, text in zip(tree.body, tree.body[1:], strict=False):
        match field, text:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(said))):
                found[name] = " ".join(said.split())
    return found


def _table_in(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    """The table that a field holds, and whether it holds a list of them."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, False
    found = next((t for t, _ in map(_table_in, get_args(annotation)) if t is not None), None)
    return found, get_origin(annotation) is tuple


def _key(path: str, field: FieldInfo, text: str) -> KeyOf:
    means, _, example = text.partition(" e.g. ")
    means, _, otherwise = means.partition(" Default: ")
    default = otherwise.rstrip(".") if otherwise else _default(field)
    allowed, units = _taken(field.annotation, field.metadata)
    return KeyOf(path=path, means=means, allowed=allowed, units=units, default=default, example=example.strip("`"))


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return ""
    return _written(field.get_default(call_default_factory=True))


def _written(value: Any) -> str:
    """A default as the file would have it."""
    if value is None or value is PydanticUndefined or (isinstance(value, tuple | Mapping) and not value):
        return "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, tuple):
        return f"[{', '.join(map(_written, value))}]"
    if is_dataclass(value) and not isinstance(value, FillAmount):
        part = getattr(value, "of_span", None)
        return f'"1/{round(1.0 / part)}"' if part else f"{value}"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _taken(annotation: Any, metadata: Any = ()) -> tuple[str, str]:
    """What is allowed in a field, and the units that a text there may bear."""
    for one in reversed(tuple(metadata)):
        if isinstance(one, Says):
            return one.allowed, ""
        if isinstance(one, Reads):
            inner = [_taken(arg)[1] for arg in get_args(annotation)]
            return one.allowed, one.units or next((units for units in inner if units), "")
    if annotation is bool:
        return "true, false", ""
    origin, args = get_origin(annotation), get_args(annotation)
    if origin is Literal:
        return " | ".join(f'"{word}"' for word in args), ""
    if getattr(annotation, "__metadata__", None):
        return _taken(args[0], annotation.__metadata__)
    if origin is tuple:
        allowed, units = _taken(args[0])
        return f"a list, each: {allowed}", units
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
        allowed, units = _taken(args[1])
        return f"a table, by {_taken(args[0])[0] or 'name'}: {allowed}", units
    if origin is Union or str(origin) == "<class 'types.UnionType'>":
        found = [_taken(arg) for arg in args if arg is not type(None)]
        return ", or ".join(allowed for allowed, _ in found), next((units for _, units in found if units), "")
    return "", ""


def keys_text(tables: Mapping[str, Iterator[TableOf]], wanted: str = "") -> str:
    """Every table with its keys, or what is at one key path, for a terminal of 80 columns.

    Args:
        tables: by what they are of: an order, and each kind's own.
        wanted: a key path such as `tank.size`, or that of a table.

    Raises:
        SeamwrightError: there is no such key, with the nearest.
    """
    out, known = [], []
    for whose, its in tables.items():
        for table in its:
            known += [key.path for key in table.keys]
            name = table.head.strip("[]")
            keys = [key for key in table.keys if not wanted or wanted in (key.path, key.path.rpartition(".")[2], name)]
            if keys:
                out.append(_table_text(whose, table, keys))
    if not out:
        raise SeamwrightError(f"no key {wanted[:60]!r}{near_hint(wanted, known)}; all of them: `seamwright show order`")
    return "\n\n".join(out)


def _table_text(whose: str, table: TableOf, keys: list[KeyOf]) -> str:
    head = f"{table.head or 'At the top'}  ({whose})"
    lines = [head, *textwrap.wrap(table.about, _WIDTH, initial_indent="  ", subsequent_indent="  ")]
    for key in keys:
        name = key.path.rpartition(".")[2]
        default = f"default {key.default}" if key.default else "needed"
        lines += ["", f"  {name}  ({default})"]
        unit = f"; bare numbers in units, or with {key.units}" if key.units.startswith("mm") else ""
        unit = unit or (f"; in {key.units}" if key.units else "")
        for text in (key.means, f"Allowed: {key.allowed}{unit}", f"Example: {name} = {key.example}"):
            lines += textwrap.wrap(text, _WIDTH, initial_indent="      ", subsequent_indent="        ")
    return "\n".join(lines)
