"""Records made plain, once, at the edge: what `report.json` holds and the packet's pages read."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum
from pathlib import PurePath
from typing import Any, Final

__all__ = ["plain"]

_DIGITS: Final = 6  # mm to a nanometre: enough for any check, and the same on every machine


def plain(value: Any) -> Any:
    """The value as JSON has it: a record by the names of its fields, a tuple as a list, a set in order, numbers rounded.

    Raises:
        TypeError: a value that has no plain form.

    >>> plain({"size": (1.23456789, -0.0), "names": {"b", "a"}, "rate": Decimal("0.10"), "note": None})
    {'size': [1.234568, 0.0], 'names': ['a', 'b'], 'rate': 0.1, 'note': None}
    """
    if isinstance(value, Enum):
        return plain(value.value)
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float | Decimal):
        return round(float(value), _DIGITS) + 0.0
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {plain(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if isinstance(value, Set):
        return sorted(plain(one) for one in value)
    if isinstance(value, PurePath):
        return value.as_posix()
    if hasattr(value, "tolist"):  # an array's numbers are no Python numbers
        return plain(value.tolist())
    raise TypeError(f"{type(value).__name__} has no plain form")
