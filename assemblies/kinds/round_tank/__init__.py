"""Round tanks: a tube bonded to a disc. Tables, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.kind import Kind
from assemblies.kinds.round_tank.build import build_round_tank
from assemblies.kinds.round_tank.tables import RoundTankSpec

if TYPE_CHECKING:
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.round_tank.checks import TUBES
    from assemblies.kinds.round_tank.rolling import ROLL
    from assemblies.liquid.checks import HANDLING
    from assemblies.motion.checks import MOTION
    from assemblies.motion.filling.checks import FILLING
    from assemblies.shop.care.checks import PROOF_TEST
    from assemblies.shop.handover.checks import CARD
    from assemblies.shop.handover.sight import SIGHT
    from assemblies.strength.proof.checks import LIQUID
    from assemblies.strength.proof.release.check import RELEASE
    from assemblies.strength.round.checks import LOADS, STRENGTH

    return (
        *GO_TOGETHER,
        LOADS,
        LIQUID,
        MOTION,
        HANDLING,
        STRENGTH,
        RELEASE,
        PROOF_TEST,
        CARD,
        FILLING,
        TUBES,
        ROLL,
        SIGHT,
        *SHOP,
    )


KIND: Final = Kind(
    name="round-tank",
    about="upright tube bonded to a disc, with flange, ring, lid, motor boss and drain",
    tables={"round-tank": RoundTankSpec},
    shared=("plate", "rig"),
    build=build_round_tank,
    checks=_checks,
    required=("fit", "strength", "liquid"),
    starter="round_tank/round-tank.toml",
)
