"""The kinds of thing that can be ordered. A new kind is a folder here that offers `KIND`, and its name in `FOLDERS`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from importlib.resources import files
from typing import TYPE_CHECKING

from assemblies.kinds.kind import Kind

if TYPE_CHECKING:
    from assemblies.order import Table

__all__ = ["FOLDERS", "Kind", "kind", "kinds", "schemas", "starter"]

FOLDERS = ("tank", "round_tank", "panels", "gearbox", "prop_mount", "enclosure")


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds, by name."""
    every: tuple[Kind, ...] = tuple(import_module(f"{__name__}.{folder}").KIND for folder in FOLDERS)
    return {one.name: one for one in every}


def kind(name: str) -> Kind:
    """The kind of this name.

    Raises:
        KeyError: there is none.
    """
    return kinds()[name]


def schemas() -> dict[str, dict[str, type[Table] | None]]:
    """The tables of all kinds by their keys in the order file, for reading orders; None for one that an `Order` holds."""
    return {name: {**one.tables, **dict.fromkeys(one.shared)} for name, one in kinds().items()}


def starter(name: str) -> str:
    """The commented starter order of a kind, as text."""
    return (files(__name__) / kind(name).starter).read_text(encoding="utf-8")
