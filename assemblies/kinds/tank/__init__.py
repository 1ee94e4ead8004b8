"""The rectangular tank: its tables, how it is built, the thickness that holds, its checks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.kind import Build, Chosen, Kind
from assemblies.kinds.tank.build import TankSpec, build_tank

if TYPE_CHECKING:
    from assemblies.order import Order
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.liquid.checks import HANDLING
    from assemblies.motion.checks import MOTION
    from assemblies.motion.filling.checks import FILLING
    from assemblies.shop.care.checks import PROOF_TEST
    from assemblies.shop.handover.checks import CARD
    from assemblies.shop.handover.sight import SIGHT
    from assemblies.strength.proof.checks import LIQUID
    from assemblies.strength.proof.release.check import RELEASE
    from assemblies.strength.tank.checks import LOADS, SOUND, STRENGTH

    return (
        *GO_TOGETHER,
        LOADS,
        LIQUID,
        MOTION,
        SOUND,
        HANDLING,
        STRENGTH,
        RELEASE,
        PROOF_TEST,
        CARD,
        FILLING,
        SIGHT,
        *SHOP,
    )


def _choose(order: Order, build: Build) -> Chosen:
    from assemblies.kinds.tank.choose import choose

    return choose(order, build)


KIND: Final = Kind(
    name="tank",
    about="rectangular tank of five panels, with lid, plates, strips and ports",
    tables={"tank": TankSpec},
    shared=("panel", "plate", "rig", "strip", "port", "lip", "inner", "engrave", "as-cut"),
    build=build_tank,
    checks=_checks,
    required=("fit", "strength", "liquid"),
    starter="tank/tank.toml",
    choose=_choose,
)
