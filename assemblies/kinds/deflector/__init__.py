"""Deflectors and bent covers of sheet: tables, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.deflector.build import build_deflector
from assemblies.kinds.deflector.tables import DeflectorSpec
from assemblies.kinds.kind import Kind

if TYPE_CHECKING:
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.deflector.checks import BEND, LIGHT, WEIGHT

    return (*GO_TOGETHER, BEND, LIGHT, WEIGHT, *SHOP)


KIND: Final = Kind(
    name="deflector",
    about="sheet bent by heat: curved over a former or along straight lines, for light or as a cover",
    tables={"deflector": DeflectorSpec},
    build=build_deflector,
    checks=_checks,
    required=("fit", "bend", "light", "strength"),
    starter="deflector/deflector.toml",
)
