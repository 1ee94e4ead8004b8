"""A round tank that is tilted or pushed aside: what liquid and mass that do not press evenly do to tube, seam, base and bolts.

The tank is the solid of `solid.py` on a ring: that of its bolts, or of the wall where it only stands. A base that lies flat is
taken to be carried under the wall alone: pushed, it lifts off a little where it is pulled, and is bent less by that.

Sources: bolts about the circle's middle, beam statics; that a flange prises as if clamped at its bolts, and is bent over
a width that grows to each side as far as its lever is long (45 degrees), common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.plates.basis import Array
from assemblies.strength.proof.uses import Loaded
from assemblies.strength.round.loads import HARMONICS, amplitudes, lid_pressed, synthesis
from assemblies.strength.round.solid import Lines, Outline, Solid
from assemblies.strength.round.tank import G_M_S2, RoundTank

__all__ = ["Leaned", "at_bolts", "evenly", "lean", "lid_lift", "lifts_off", "outline_of", "stood"]

_UPRIGHT: Final = 1e-9  # of a direction's parts aside
_CUTS: Final = (0.4, 1.6)  # walls over the foot: from where to where what is at the foot is drawn on
_INWARD: Final = (0.6, 1.8)  # walls from the wall's face, of the disc
_FEW: Final = 2.0  # in clearance holes not all bolts bear at once: half of them are taken to (judgement)
_WALL: Final = 1e-6  # mm
_ALIKE: Final = 1e-6  # of the pressure


def evenly(case: Loaded, radius: float, floor: float, inside: float) -> bool:
    """Whether it is loaded the same all around, and from nothing but the floor up.

    Args:
        radius, floor, inside: of the bore, how high its floor is in the rig's axes, and it over that.
    """
    x, y, z = case.load.effective
    if math.hypot(x, y) > _UPRIGHT * abs(z):
        return False
    turns = np.arange(8) * math.tau / 8.0
    ring = np.column_stack([radius * np.cos(turns), radius * np.sin(turns), np.full(8, floor)])
    below = case.load.pressure("bottom", ring)
    if np.ptp(below) > _ALIKE * np.abs(below).max():
        return False
    return z < 0.0 or not case.load.pressure("wall", ring + np.array([0.0, 0.0, inside])).any()


@dataclass(frozen=True, kw_only=True)
class Leaned:
    """Under one case: MPa, mm.

    Attributes:
        tube, grows: the largest tension in the tube, and how far it moves in or out.
        disc, sag: the same of the base, and how far it moves up or down.
        around, around_bent: stress around the tube, of its middle and with what bends it.
        bending, tension, shear: at the seam of tube and base, at places around.
    """

    tube: float
    grows: float
    disc: float
    sag: float
    around: float
    around_bent: float
    bending: Array
    tension: Array
    shear: Array

    @property
    def worst(self) -> int:
        """The place around at which the seam's largest principal stress is."""
        pull = self.bending + self.tension
        return int(np.argmax(pull / 2.0 + np.hypot(pull / 2.0, self.shear)))


def outline_of(tank: RoundTank) -> Outline:
    """Its section, on what carries it; what a base reaches out by less than a tenth of the wall is left out."""
    out = (tank.bore / 2.0) + tank.wall
    return Outline(
        bore=tank.bore / 2.0,
        wall=tank.wall,
        base=tank.base,
        edge=out if tank.inset or tank.edge < out + tank.wall / 10.0 else tank.edge,
        depth=tank.tall,
        spans=tank.spans or tank.middle,
        inset=tank.inset,
        groove=tank.groove,
        tube=(tank.tube.modulus_mpa, tank.tube.poisson),
        disc=(tank.disc.modulus_mpa, tank.disc.poisson),
    )


@lru_cache(maxsize=8)
def _solid(outline: Outline) -> Solid:
    return Solid(outline)


def lean(tank: RoundTank, loads: Sequence[LoadCase], count: int = HARMONICS) -> list[Leaned]:
    """The tank under any loads; with one harmonic, under those that are the same all around."""
    solid = _solid(outline_of(tank))
    moved = solid.solve(np.stack([amplitudes(solid, tank, one, count) for one in loads]))
    return [_read(solid, tank, moved.wall, moved.disc, moved.moves, k) for k in range(len(loads))]


def stood(tank: RoundTank, depth: float) -> Leaned:
    """The tank upright, filled so deep, with all of it as heavy as its `pull` makes it."""

    def pressure(face: str, places: Array) -> Array:
        return np.maximum(tank.weight * (tank.floor + depth - places[:, 2]), 0.0)

    load = LoadCase(
        name="upright", duration="minutes", gravity=(0.0, 0.0, -tank.pull * G_M_S2 * 1e3), acceleration=(0.0, 0.0, 0.0),
        pressure=pressure, dynamic_factor=1.0, source="hydrostatics",
    )  # fmt: skip
    return lean(tank, [load], 1)[0]


@dataclass(frozen=True)
class _Round:
    """Lines of one case at places around `(place along, around)`: force and moment along, around, between; through."""

    force: Array
    moment: Array
    through: Array
    thick: Array

    def tension(self) -> Array:
        """The largest at both faces."""
        faces = []
        for side in (-1.0, 1.0):
            along, around, shear = (
                self.force[:, :, k] / self.thick[:, None] + side * 6.0 * self.moment[:, :, k] / self.thick[:, None] ** 2
                for k in range(3)
            )
            faces.append((along + around) / 2.0 + np.hypot((along - around) / 2.0, shear))
        return np.maximum(*faces)


def _round(lines: Lines, case: int, weights: Array, thick: Array) -> _Round:
    """What `weights` (place, line) make of the lines, around."""
    turns = synthesis(lines.force.shape[1])

    def around(values: Array, *, real: bool) -> Array:
        found = np.einsum("hk,ha->ka", values, turns)
        return np.asarray(weights @ (found.real if real else found.imag))

    def three(values: Array) -> Array:
        return np.stack([around(values[:, :, k], real=k < 2) for k in range(3)], axis=-1)

    return _Round(
        force=three(lines.force[case]),
        moment=three(lines.moment[case]),
        through=around(lines.through[case], real=True),
        thick=thick,
    )


def _drawn_on(at: Array, low: float, high: float, to: float) -> Array:
    """Weights of the lines from low to high that give what is at `to` by the parabola through them."""
    use = np.flatnonzero((at > min(low, high) - _WALL) & (at < max(low, high) + _WALL))
    rows = np.vander((at[use] - to) / abs(high - low), 3 if len(use) > 2 else 1)
    out = np.zeros((1, len(at)))
    out[0, use] = np.linalg.pinv(rows)[-1]
    return out


def _read(solid: Solid, tank: RoundTank, wall: Lines, disc: Lines, moves: Array, case: int) -> Leaned:
    o, near = solid.outline, min(tank.wall, tank.bore / 8.0)
    inner, outer = o.bore, o.bore + o.wall
    foot = _round(wall, case, _drawn_on(wall.at, _CUTS[0] * o.wall, _CUTS[1] * o.wall, 0.0), np.array([o.wall]))
    free = wall.at > _CUTS[0] * o.wall
    above = _round(wall, case, np.eye(len(wall.at))[free], wall.thick[free])
    start, end = inner - _INWARD[0] * near, inner - _INWARD[1] * near
    rim = _round(disc, case, _drawn_on(disc.at, start, end, inner), np.array([o.base]))
    far = (disc.at < start) | (disc.at > outer + _INWARD[0] * near)
    plate = _round(disc, case, np.eye(len(disc.at))[far], disc.thick[far])
    beside = _round(disc, case, np.eye(len(disc.at))[[int(np.flatnonzero(disc.at < start)[-1])]], np.array([o.base]))
    edge = replace(rim, force=beside.force)  # forces are drawn on to no corner
    most = max(float(plate.tension().max()), float(edge.tension().max()))
    if o.groove:
        under = (disc.at > inner) & (disc.at < outer)
        thin = _round(disc, case, np.eye(len(disc.at))[under], disc.thick[under])
        most = max(most, factor_of("hole_stress") * float(thin.tension().max()))
    turns = synthesis(moves.shape[1])
    at_wall = np.unique(solid.cells[solid.in_wall])
    on_disc = np.unique(solid.cells[~solid.in_wall])
    on_disc = on_disc[solid.nodes[on_disc, 0] < inner + _WALL]
    out = np.einsum("hk,ha->ka", moves[case][:, at_wall, 0], turns).real
    down = np.einsum("hk,ha->ka", moves[case][:, on_disc, 2], turns).real
    joint = rim if o.inset else foot
    thick = o.base if o.inset else o.wall
    hoop = above.force[:, :, 1] / above.thick[:, None]
    bent = [one.force[:, :, 1] / o.wall + np.abs(one.moment[:, :, 1]) * 6.0 / o.wall**2 for one in (above, foot)]
    return Leaned(
        tube=max(float(above.tension().max()), float(foot.tension().max())),
        grows=float(np.abs(out).max()),
        disc=most,
        sag=float(np.abs(down).max()),
        around=float(max(hoop.max(), 0.0)),
        around_bent=float(max(one.max() for one in bent)),
        bending=6.0 * np.abs(joint.moment[0, :, 0]) / thick**2,
        tension=joint.force[0, :, 0] / thick,
        shear=np.hypot(joint.through[0], joint.force[0, :, 2]) / thick,
    )


def lifts_off(tank: RoundTank, case: Loaded) -> bool:
    """Whether what only stands on the ring under its wall would rise from it somewhere: its force leaves the ring's core."""
    down, moment = _footing(case)
    return down <= 0.0 or moment > down * tank.middle / 2.0


def _footing(case: Loaded) -> tuple[float, float]:
    """With what it presses down, N, and its moment about the middle of its underside, N mm."""
    (x, y, z), (a, b, c) = case.force_n, case.centre_mm
    return -z, math.hypot(c * x - a * z, c * y - b * z)


def lid_lift(tank: RoundTank, case: Loaded) -> float:
    """What lifts a screwed lid, N: the liquid, what its screws feel of that being on one side, ring and lid turned over."""
    lift, moment = lid_pressed(tank, case.load)
    up = max(case.load.effective[2] * 1e-3, 0.0)
    return lift + 4.0 * abs(moment) / (tank.bore / 2.0) + tank.top_kg * up


def at_bolts(tank: RoundTank, case: Loaded) -> float:
    """The largest stress that the bolts of the flange make in it, MPa: under a washer, beside a hole, in its bearing, and where
    the flange bends beside the tube."""
    assert tank.bolts is not None
    assert tank.spans is not None
    count, washer, hole = tank.bolts
    circle, screw = tank.spans, washer / 2.0
    down, moment = _footing(case)
    pull = max((2.0 * moment / circle - down) / count, 0.0)
    arm, beyond = circle - tank.middle, max(tank.edge - circle, washer / 2.0)
    prised = pull * (1.0 + arm / (2.0 * beyond))
    wide = min(2.0 * arm + washer, math.tau * tank.middle / count)
    across = min(2.0 * arm + washer, math.tau * circle / count)
    bends = 6.0 / (tank.base - tank.groove) ** 2 * pull * arm
    shear = math.hypot(case.force_n[0], case.force_n[1])
    return max(
        prised / (math.pi / 4.0 * (washer**2 - hole**2)),
        bends / wide,
        factor_of("hole_stress") * bends / 2.0 / across,
        _FEW * shear / count / (screw * tank.base),
    )
