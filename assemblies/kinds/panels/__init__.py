"""Pieces placed one by one, for stands, brackets, set pieces and one-off things: tables, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.kind import Kind
from assemblies.kinds.panels.build import PanelsSpec, build_panels

if TYPE_CHECKING:
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.panels.checks import STRENGTH
    from assemblies.motion.checks import MOTION
    from assemblies.shop.care.checks import PROOF_TEST

    return (*GO_TOGETHER, STRENGTH, MOTION, PROOF_TEST, *SHOP)


KIND: Final = Kind(
    name="panels",
    about="pieces placed one by one: stands, brackets, set pieces; no proof of strength",
    tables={"panels": PanelsSpec},
    shared=("rig",),
    build=build_panels,
    checks=_checks,
    required=("fit", "strength"),
    starter="panels/panels.toml",
)
