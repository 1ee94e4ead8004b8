"""Boxes for electronics: tables, build, warmth, supply and splash, strength, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.enclosure.build import build_enclosure
from assemblies.kinds.enclosure.spec import EnclosureSpec
from assemblies.kinds.kind import Kind

if TYPE_CHECKING:
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.enclosure.checks import TABS, WARMTH
    from assemblies.kinds.enclosure.strength import STRENGTH
    from assemblies.kinds.enclosure.supply import SUPPLY

    return (*GO_TOGETHER, TABS, WARMTH, SUPPLY, STRENGTH, *SHOP)


KIND: Final = Kind(
    name="enclosure",
    about="box for electronics: lid, posts, cut-outs by standard, vents, tabs",
    tables={"enclosure": EnclosureSpec},
    build=build_enclosure,
    checks=_checks,
    required=("fit", "warmth", "supply", "strength"),
    starter="enclosure/enclosure.toml",
)
