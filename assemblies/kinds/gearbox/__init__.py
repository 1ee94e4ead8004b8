"""Gearboxes of sheet: spur gears on shafts between two plates. Tables, train, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.kinds.kind import Kind

if TYPE_CHECKING:
    from assemblies.design import Design
    from assemblies.order import Order
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.gearbox.checks import GAUGE, TEETH

    return (*GO_TOGETHER, TEETH, GAUGE, *SHOP)


def _build(order: Order, thickness: object = None) -> Design:
    """As the builder, whose rooms a refused order need not wait for."""
    from assemblies.kinds.gearbox.build import build_gearbox

    return build_gearbox(order, thickness)


KIND: Final = Kind(
    name="gearbox",
    about="spur gears of sheet between two plates: shafts, bearings, covers, posts",
    tables={"gearbox": GearboxSpec},
    build=_build,
    checks=_checks,
    required=("fit", "strength"),
    starter="gearbox/gearbox.toml",
)
