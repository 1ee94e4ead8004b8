"""Every key of an order, a stock file or a shop file: what it means, what it takes, its default, an example.

Made from the tables themselves: names, defaults and what is allowed from their fields, the meaning from the text below each.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from assemblies.order.values import FillAmount, Reads, Says
from parts.keys import KeyOf, TableOf

__all__ = ["tables_of"]


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
