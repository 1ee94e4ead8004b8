"""The kinds of thing that can be ordered: one registry. A new kind is one new file and one line here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from assemblies.design.model import Design

if TYPE_CHECKING:
    from assemblies.order import Order, Table

__all__ = ["Kind", "kind", "kinds", "schemas", "starter"]


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of thing.

    Attributes:
        name: as in the order file.
        about: one line for `show kinds`.
        schema: the kind's own table.
        build: from order to design; the thickness to build in where the order leaves it open.
        required_checks: what must pass before the verdict is `go`.
        starter: file name of the starter order in this folder.
    """

    name: str
    about: str
    schema: type[Table]
    build: Callable[[Order, float | Mapping[str, float] | None], Design]
    required_checks: tuple[str, ...]
    starter: str


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds, by name."""
    from assemblies.kinds.tank.build import TankSpec, build_tank

    every = (
        Kind(
            name="tank",
            about="rectangular tank of five panels, with lid, plates, strips and ports",
            schema=TankSpec,
            build=build_tank,
            required_checks=("fit", "strength", "liquid"),
            starter="tank/tank.toml",
        ),
    )
    return {one.name: one for one in every}


def kind(name: str) -> Kind:
    """The kind of this name.

    Raises:
        KeyError: there is none.
    """
    return kinds()[name]


def schemas() -> dict[str, dict[str, type[Table]]]:
    """The tables of all kinds by their keys in the order file, for reading orders."""
    return {name: {name: one.schema} for name, one in kinds().items()}


def starter(name: str) -> str:
    """The commented starter order of a kind, as text."""
    from importlib.resources import files

    return (files(__name__) / kind(name).starter).read_text(encoding="utf-8")
