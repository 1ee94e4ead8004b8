"""Bolts and bonds of a mount under one pull: shares, prying, and what they use of what is allowed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.design.mass import Body
from assemblies.strength.bonds import heads
from assemblies.strength.bonds.groups import bolts_heel, bolts_in_plane, plate_on_bed
from assemblies.strength.mount.given import Bolted
from assemblies.strength.plates.basis import Array
from parts.findings import NotCovered, SeamwrightError
from parts.shape.piece import Hole
from parts.shape.slot import Slot
from parts.shape.spots import Spot
from parts.shape.tapped import tapped_hole
from parts.stock.thread import thread
from parts.vectors import Vector, cross, dot

__all__ = ["BoltUse", "Bond", "BondUse", "bolt_use", "bond_use", "torque_arm"]

_HEAD = 1.5  # width of a head or washer in diameters of its hole, as in `bonds.bolts`


@dataclass(frozen=True, kw_only=True)
class BoltUse:
    """The worst bolt: pull (prying with it) and shear, N, what thread or head holds, N, bearing, MPa, and the use of both."""

    pull_n: float
    shear_n: float
    holds_n: float
    bearing_mpa: float
    use: float


def bolt_use(
    side: Bolted, carried: Body, pull: Vector, limit: float, for_good: float, bent: Sequence[float] = ()
) -> BoltUse:
    """The bolts of one side under a pull on what they carry.

    Pulls: the larger of those of a rigid plate that pivots on its heel, of one on a bed that only pushes, and of the bent plate
    itself (`bent`). Both axes and the straight pull add up.

    Args:
        carried: what is pulled, N per (kg m/s2), at its centre.
        limit: what the sheet may bear in this case, MPa. for_good: what it may for good, to which it is tightened.
        bent: pulls of the bolts as the plate bends between them, where known.

    Raises:
        NotCovered: one bolt that would have to hold a turn.
    """
    force = tuple(carried.mass_kg * a for a in pull)
    arm = tuple(c - m for c, m in zip(carried.centre_mm, side.centre, strict=True))
    u, away = side.plate.x, side.away
    v = cross(away, u)
    moment = cross(arm, force)  # type: ignore[arg-type]
    places = [_flat(side, place, u, v) for place in side.places]
    in_plane = (dot(force, u), dot(force, v))  # type: ignore[arg-type]
    try:
        shared = bolts_in_plane(places, in_plane, (dot(arm, u), dot(arm, v)))  # type: ignore[arg-type]
    except SeamwrightError as error:
        raise NotCovered(f"{side.side}: {error}") from error
    half = _half(side, places)
    tension = np.zeros(len(places))
    for size, across in ((dot(moment, u), 1), (-dot(moment, v), 0)):
        tension = tension + _lifted(
            [p[across] for p in places], size, half[across], 2.0 * half[1 - across], side.hole_mm
        )
    tension = tension + max(dot(force, away), 0.0) / len(places)  # type: ignore[arg-type]
    if len(bent):
        tension = np.maximum(tension, bent)
    spot, alone = _spot(side), heads.Bolted(screw_mm=thread(side.thread).major_mm)
    thick = side.plate.piece.thickness_mm
    found = heads.held(spot, thick, alone, limit)
    shear = np.array([math.hypot(*one) for one in shared.shares])
    bearing = shear * heads.bearing_mpa(spot, 1.0, found.length_mm, alone)
    use = tension / max(found.pull_n, 1e-6) + bearing / limit
    if side.slot_mm:  # across it its side bears, whatever friction does; along it friction alone holds
        clamp = heads.held(spot, thick, alone, for_good).pull_n
        slides = np.array([heads.slide_n(clamp, one) for one in tension.tolist()])
        use = np.maximum(use, np.abs([one[0] for one in shared.shares]) / np.maximum(slides, 1e-6))
    k = int(np.argmax(use))
    return BoltUse(
        pull_n=float(tension[k]),
        shear_n=float(shear[k]),
        holds_n=found.pull_n,
        bearing_mpa=float(bearing[k]),
        use=float(use[k]),
    )


def _flat(side: Bolted, place: tuple[float, float], u: Vector, v: Vector) -> tuple[float, float]:
    """A bolt in the plane of its side, from the bolts' middle."""
    at = side.plate.world(*place, side.face_mm)
    step = tuple(a - c for a, c in zip(at, side.centre, strict=True))
    return dot(step, u), dot(step, v)  # type: ignore[arg-type]


def _half(side: Bolted, places: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """How far what it lies on reaches to each side of the bolts' middle; without a word of it just past the bolts."""
    if side.seat_mm is not None:
        return side.seat_mm[0] / 2.0, side.seat_mm[1] / 2.0
    return tuple(max(abs(p[k]) for p in places) + side.hole_mm for k in (0, 1))  # type: ignore[return-value]


def _lifted(along: Sequence[float], moment: float, half: float, width: float, hole: float) -> Array:
    """The pull of each bolt under a moment that lifts what lies at `along` over 0 (under 0 where it is negative)."""
    if abs(moment) < 1e-9:
        return np.zeros(len(along))
    turn = 1.0 if moment > 0.0 else -1.0
    heights = [half + turn * one for one in along]
    if min(heights) <= 0.0 or max(heights) > 2.0 * half:
        raise NotCovered("the seat does not reach under all of the bolts")
    ring = math.pi / 4.0 * hole**2 * (_HEAD**2 - 1.0)
    heel = bolts_heel(heights, abs(moment)).tension
    # head and bed are of one sheet: their stiffness for an area is the same, and falls out
    bed = plate_on_bed(width, 2.0 * half, heights, abs(moment), k_bolt=ring, k_bed=1.0).tension
    return np.maximum(heel, bed)


def torque_arm(side: Bolted, for_good: float) -> float:
    """What thread or head holds for good, times the bolt's diameter, N mm."""
    screw = thread(side.thread).major_mm
    return heads.held(_spot(side), side.plate.piece.thickness_mm, heads.Bolted(screw_mm=screw), for_good).pull_n * screw


def _spot(side: Bolted) -> Spot:
    x, y = side.places[0]
    if side.slot_mm:
        return Spot(
            x_mm=x, y_mm=y, slot=Slot(x_mm=x, y_mm=y, width_mm=side.hole_mm, travel_mm=side.slot_mm, along_rad=0.0)
        )
    if side.tapped:
        return Spot(x_mm=x, y_mm=y, hole=tapped_hole(x, y, side.thread))
    return Spot(x_mm=x, y_mm=y, hole=Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=side.hole_mm), pocket=side.pocket)


@dataclass(frozen=True, kw_only=True)
class Bond:
    """Bonded rectangles in one level plane: middles (x, y), sizes, in the world, at a height."""

    name: str
    rectangles: tuple[tuple[float, float, float, float], ...]
    height_mm: float


@dataclass(frozen=True, kw_only=True)
class BondUse:
    """Pull across and shear in a bond, its largest principal stress, MPa."""

    tension: float
    shear: float
    combined: float


def bond_use(bond: Bond, carried: Body, pull: Vector) -> BondUse:
    """A level bond under a pull on what stands on it: N / A + M y / I each way, V / A and the turn by its polar moment.

    Source: eccentric load on an area, elastic (any text on strength of materials). Valid: what stands on it stays plane.
    """
    x, y, wide, deep = np.array(bond.rectangles).T
    area = wide * deep
    cx, cy = (x * area).sum() / area.sum(), (y * area).sum() / area.sum()
    about_x = float((deep**2 / 12.0 * area + (y - cy) ** 2 * area).sum())
    about_y = float((wide**2 / 12.0 * area + (x - cx) ** 2 * area).sum())
    force = np.array([carried.mass_kg * a for a in pull])
    arm = np.array(carried.centre_mm) - np.array([cx, cy, bond.height_mm])
    moment = np.cross(arm, force)
    corners = np.array(
        [
            (a + i * w / 2.0 - cx, b + j * d / 2.0 - cy)
            for a, b, w, d in bond.rectangles
            for i in (-1, 1)
            for j in (-1, 1)
        ]
    )
    stress = force[2] / area.sum() + moment[0] * corners[:, 1] / about_x - moment[1] * corners[:, 0] / about_y
    twist = abs(moment[2]) / (about_x + about_y) * float(np.hypot(*corners.T).max())
    shear = 1.5 * float(np.hypot(force[0], force[1])) / float(area.sum()) + twist
    tension = max(float(stress.max()), 0.0)
    return BondUse(tension=tension, shear=shear, combined=tension / 2.0 + math.hypot(tension / 2.0, shear))
