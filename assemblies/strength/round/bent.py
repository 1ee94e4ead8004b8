"""A round tank as a shell on a plate: wall, base and the one angle of its edge.

Source and range of the method: see `prove.py`, which uses it. N, mm, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.round.shell import BentBase, bent_base
from assemblies.strength.round.tank import G_M_S2, RoundTank
from assemblies.strength.sheets.round import overhung_plate, round_plate

__all__ = ["Bent", "bent"]

#: How far under its foot the wall is as if clamped, in walls, for the base gives under it (a cantilever on a half-space gives
#: as 0.44 of its thickness would, O'Donnell 1960, from memory): plain, and where the base reaches out under it. Of a base that
#: lies flat there is the less, the thinner it is: `share / (1 + by x wall / base)`. Of one that spans there is half or 0.4, and
#: its wall is bent the more, the thicker it is: `1 + by x (p - over)`, p = wall / base x sqrt(wall / radius).
#: Fitted to 72 solids of revolution by finite elements (-3 to +10 %; bore 150 and 360, wall 4 to 14, base 6 to 18 mm),
#: held in the tests to others (`ccx_round.py`: -5 to +8 %).
_FLAT: Final = {False: (0.72, 0.43), True: (0.42, 0.2)}
_SPANS: Final = {False: (0.5, 0.3, 0.1), True: (0.4, 0.2, 0.3)}
_SMALL: Final = 1e-4  # rad: all of it is linear


@dataclass(frozen=True, kw_only=True)
class Bent:
    """A tank filled so deep: N, mm, MPa.

    Attributes:
        wall: with its moment where it meets the base.
        turn: of the edge of the base, rad.
        disc: the largest stress of the base; boss: at the edge of a boss; sag: how far the base bows.
        pad: the base's moment over the edge of what it stands on.
        more: by how much more the wall's moment is than the shell's.
    """

    wall: BentBase
    turn: float
    disc: float
    boss: float
    sag: float
    more: float = 1.0
    pad: float = 0.0

    def stress(self, thickness: float) -> float:
        """Of bending, where the wall meets the base."""
        return self.more * 6.0 * abs(self.wall.moment) / thickness**2


def _foot(tank: RoundTank) -> tuple[float, float]:
    """How far under its foot the wall is as if clamped, mm, and by how much more its moment is than by that."""
    x = tank.wall / (tank.base - tank.groove)
    if tank.spans is None and tank.pad is None:
        share, by = _FLAT[tank.flange]
        return share / (1.0 + by * x) * tank.wall, 1.0
    share, by, over = _SPANS[tank.flange]
    return share * tank.wall, 1.0 + by * max(0.0, x * math.sqrt(tank.wall / tank.middle) - over)


@lru_cache(maxsize=256)
def bent(tank: RoundTank, depth: float) -> Bent:
    """The tank filled so deep.

    Raises:
        SeamwrightError: a size that is none.
    """
    wall, ed, nud, thick = tank.wall, tank.disc.modulus_mpa, tank.disc.poisson, tank.base
    foot, more = _foot(tank)
    arm = max(thick / 2.0 - tank.groove - foot, 0.0)
    under, sharp = thick - tank.groove, factor_of("hole_stress") if tank.groove else 1.0  # what is left under a groove

    def at(turn: float) -> BentBase:
        return bent_base(
            tank.middle,
            wall,
            depth + tank.groove,
            tank.weight,
            tank.tube.modulus_mpa,
            tank.tube.poisson,
            turn=turn,
            arm=arm,
            even=tank.even,
            give=tank.middle * (1.0 - nud) / (ed * thick),
            read=min(foot, depth / 2.0),
        )

    def into(one: BentBase) -> float:
        """The moment about the middle of the base's edge."""
        return one.foot + one.shear * arm

    held = at(0.0)
    if tank.pad is not None:
        return _on_pad(tank, tank.pad[0], depth, at, into, under, sharp, more)
    if tank.spans is None:
        flat = sharp * 6.0 * abs(into(held)) / under**2 + held.shear / under + tank.turning
        return Bent(wall=held, turn=0.0, disc=flat, boss=0.0, sag=0.0)
    r = tank.spans
    rigid = ed * thick**3 / (12.0 * (1.0 - nud**2))
    hangs, own = tank.motor_n * tank.pull, tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
    q, q_edge, q_middle = (tank.weight * head + own for head in tank.heads or (depth, depth, depth))
    edge = q_edge * r**2 / 8.0 + hangs / (
        4.0 * math.pi
    )  # what clamps the edge of a plate, what hangs in its middle too
    by_turn = (into(at(_SMALL)) - into(held)) / _SMALL
    turn = (edge - into(held)) / (rigid * (1.0 + nud) / r + by_turn)
    bent_wall = at(turn)
    moment = max(into(bent_wall), 0.0)
    relief = 0.0 if tank.groove else moment  # what is thin under the groove clamps the middle less
    middle = (3.0 + nud) * q_middle * r**2 / 16.0 - relief
    disc = max(6.0 * middle / thick**2, sharp * 6.0 * moment / under**2) + max(bent_wall.shear, 0.0) / under
    sag = (5.0 + nud) * q * r**4 / (64.0 * (1.0 + nud) * rigid) - relief * r**2 / (2.0 * (1.0 + nud) * rigid)
    sag += 0.6 * (1.0 + nud) * q * r**2 / (ed * thick)  # by shear: 0.3 q r2 / (G t), Reissner's plate (from memory)
    at_boss = 0.0
    if tank.boss:
        plate = round_plate(r, tank.base, ed, nud, q, "supported", boss_mm=tank.boss, force_n=hangs)
        disc, at_boss, sag = max(disc, plate.stress), 6.0 * abs(plate.radial_inner) / tank.base**2, plate.deflection
    return Bent(wall=bent_wall, turn=turn, disc=disc + tank.turning, boss=at_boss, sag=sag, more=more)


def _on_pad(
    tank: RoundTank,
    inner: float,
    depth: float,
    at: Callable[[float], BentBase],
    into: Callable[[BentBase], float],
    under: float,
    sharp: float,
    more: float,
) -> Bent:
    """A base that hangs over the plate under its middle, with liquid, wall and all that stands on that.

    It is taken as clamped within the largest circle of the plate alone, the same all round: a corner of the plate holds it
    further out, and the wall as a ring keeps its rim flat. Held to solids by finite elements in the tests.
    """
    r, ed, nud, thick = tank.middle, tank.disc.modulus_mpa, tank.disc.poisson, tank.base
    q = tank.weight * depth + tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
    rim = tank.above_kg * G_M_S2 * tank.pull / (2.0 * math.pi * r)
    alone = overhung_plate(r, thick, ed, nud, q, inner, rim)
    soft = overhung_plate(r, thick, ed, nud, 0.0, inner, 0.0, 1.0)  # by a moment of 1 that lifts the rim
    held, by_turn = at(0.0), (into(at(_SMALL)) - into(at(0.0))) / _SMALL
    turn = -(alone.slope + abs(soft.slope) * into(held)) / (1.0 + abs(soft.slope) * by_turn)
    wall = at(turn)
    moment = alone.moment - soft.moment * into(wall)  # the wall's moment presses the rim down
    disc = max(6.0 * abs(moment) / thick**2, sharp * 6.0 * abs(into(wall)) / under**2) + abs(wall.shear) / under
    sag = alone.drop - soft.drop * into(wall)
    return Bent(wall=wall, turn=turn, disc=disc + tank.turning, boss=0.0, sag=sag, more=more, pad=abs(moment))
