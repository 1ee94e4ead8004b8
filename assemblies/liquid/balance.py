"""Does it fall over, standing free? Moments about the edge of its footprint, liquid settling as it moves.

A body tips when the line of its effective weight through its centre of mass leaves the footprint. Source:
Hibbeler, Dynamics 17.3 (from memory). Valid: it does not slide first, the floor is level and hard, liquid follows
slowly; a sudden start counts double.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.design.mass import Body, combine
from assemblies.liquid.engine import G_MM_S2, WATER_KG_M3, settle
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.root import crossing
from assemblies.liquid.shapes.wet import Array
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = ["TipCheck", "TipLimit", "tip_check", "tip_limit"]

Point2 = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class TipLimit:
    """Where a rigid thing tips over one edge.

    Attributes:
        tilt_rad: its balance angle.
        acceleration_mm_s2: the steady push that lifts its far side.
        safety: that push over the one it must bear; None when none was given.
    """

    tilt_rad: float
    acceleration_mm_s2: float
    safety: float | None


@dataclass(frozen=True, kw_only=True)
class TipCheck:
    """The worst of several directions for a thing with liquid in it.

    Attributes:
        tilt_rad: the smallest tilt at which it falls, and `tilt_toward` the direction; None: not by 90 degrees.
        acceleration_mm_s2: the smallest steady push that tips it; None: not by 10 g. Halve it for a sudden start.
        push_along: the direction of that push: it tips toward the opposite side.
        mass_kg, centre_mm: standing still, liquid in.
    """

    tilt_rad: float | None
    tilt_toward: Vector
    acceleration_mm_s2: float | None
    push_along: Vector
    mass_kg: float
    centre_mm: Vector


def tip_limit(
    centre_height_mm: float,
    half_base_mm: float,
    *,
    offset_mm: float = 0.0,
    acceleration_mm_s2: float | None = None,
    g_mm_s2: float = G_MM_S2,
) -> TipLimit:
    """A rigid thing of one centre of mass over one edge: tan(tilt) = reach / height, acceleration g reach / height.

    Args:
        centre_height_mm: of the centre of mass over the floor.
        half_base_mm: from the middle of the base to the edge.
        offset_mm: how far the centre of mass stands from the middle, toward the edge.
        acceleration_mm_s2: what it must bear, for the safety figure.
        g_mm_s2: gravity.

    Raises:
        SeamwrightError: a figure that is none; a centre of mass over or outside the edge: it falls at rest.

    >>> round(tip_limit(220.0, 150.0, g_mm_s2=9806.65).acceleration_mm_s2, 3)
    6686.352
    """
    for value, what in ((centre_height_mm, "height of the centre of mass"), (half_base_mm, "half base")):
        if not (finite(value) and value > 0.0):
            raise SeamwrightError(f"{what}: {value!r} mm, must be finite and above 0")
    if not (finite(g_mm_s2) and g_mm_s2 > 0.0):
        raise SeamwrightError(f"gravity: {g_mm_s2!r} mm/s2, must be finite and above 0")
    reach = half_base_mm - offset_mm
    if not reach > 0.0:
        raise SeamwrightError(
            f"centre of mass {offset_mm!r} mm off the middle of a base of +/-{half_base_mm:g} mm: it falls at rest"
        )
    limit = g_mm_s2 * reach / centre_height_mm
    if acceleration_mm_s2 is not None and not (finite(acceleration_mm_s2) and acceleration_mm_s2 >= 0.0):
        raise SeamwrightError(f"acceleration: {acceleration_mm_s2!r} mm/s2, must be finite and not negative")
    safety = limit / acceleration_mm_s2 if acceleration_mm_s2 else None
    return TipLimit(tilt_rad=math.atan2(reach, centre_height_mm), acceleration_mm_s2=limit, safety=safety)


def tip_check(
    dry: Body,
    footprint: Sequence[Point2],
    floor_mm: float,
    *,
    cavity: Cavity | None = None,
    volume: float = 0.0,
    density_kg_m3: float = WATER_KG_M3,
    directions: Sequence[Vector] | None = None,
) -> TipCheck:
    """The smallest tilt and push that tip a thing over, its liquid settling (and pouring out) as it goes.

    Args:
        dry: everything but the liquid.
        footprint: convex outline of what stands on the floor, (x, y) in mm, either way round.
        floor_mm: z of the floor.
        cavity, volume, density_kg_m3: the liquid (mm3), if any.
        directions: level directions to try; by default square to every edge of the footprint.

    Raises:
        SeamwrightError: a footprint of no area, a centre of mass outside it at rest.
    """
    corners = np.array([*footprint], float).reshape(-1, 2)
    edges = _edges(corners)
    if directions is None:
        directions = [(float(n[0]), float(n[1]), 0.0) for n, _ in edges]

    def body(gravity: Vector) -> Body:
        if cavity is None or volume <= 0.0:
            return dry
        left = settle(cavity, volume, gravity, density_kg_m3=density_kg_m3)
        return combine([dry, liquid_body(left)]) if left.centre_mm is not None else dry

    def margin(gravity: Vector) -> float:
        """Least distance (mm) inside the footprint of where the effective weight meets the floor."""
        centre = np.array(body(gravity).centre_mm)
        fall = (centre[2] - floor_mm) / -gravity[2]
        place = centre[:2] + fall * np.array(gravity[:2])
        return min(reach - float(n @ place) for n, reach in edges)

    rest = body((0.0, 0.0, -G_MM_S2))
    if margin((0.0, 0.0, -G_MM_S2)) <= 0.0:
        raise SeamwrightError("its centre of mass stands outside the footprint: it falls at rest")

    def limits(direction: Vector) -> tuple[float | None, float | None]:
        return (
            _first(lambda angle: margin(gravity_at_tilt(angle, direction)), math.radians(89.0)),
            _first(lambda angle: margin(_pushed(angle, direction)), math.atan(10.0)),
        )

    found = [(*limits(direction), direction) for direction in directions]
    tilt, _, toward = min(found, key=lambda limit: math.inf if limit[0] is None else limit[0])
    _, push, along = min(found, key=lambda limit: math.inf if limit[1] is None else limit[1])
    return TipCheck(
        tilt_rad=tilt,
        tilt_toward=toward,
        push_along=along,
        acceleration_mm_s2=None if push is None else G_MM_S2 * math.tan(push),
        mass_kg=rest.mass_kg,
        centre_mm=rest.centre_mm,
    )


def _pushed(angle: float, direction: Vector) -> Vector:
    """Effective gravity under a push of g tan(angle) along a level direction."""
    x, y, _ = unit(finite_vector(direction, "direction"), "direction")
    a = G_MM_S2 * math.tan(angle)
    return -a * x, -a * y, -G_MM_S2


def _first(margin: Callable[[float], float], last: float) -> float | None:
    """The first angle at which the margin is gone, looked for in steps of about two degrees, then narrowed."""
    steps = max(2, math.ceil(last / math.radians(2.0)))
    before = 0.0
    for k in range(1, steps + 1):
        angle = last * k / steps
        if margin(angle) <= 0.0:
            return crossing(margin, before, angle)
        before = angle
    return None


def _edges(corners: Array) -> list[tuple[Array, float]]:
    """Outward normal and reach of every edge of a convex outline."""
    if len(corners) < 3 or not np.isfinite(corners).all():
        raise SeamwrightError(f"footprint: {len(corners)} corners; needs three or more, finite")
    steps = np.roll(corners, -1, axis=0) - corners
    ahead = np.roll(steps, -1, axis=0)
    turns = steps[:, 0] * ahead[:, 1] - steps[:, 1] * ahead[:, 0]
    size = float(np.ptp(corners, axis=0).max())
    if np.abs(turns).max() <= 1e-12 * size * size:
        raise SeamwrightError("footprint: has no area")
    if turns.min() < -1e-9 * size * size and turns.max() > 1e-9 * size * size:
        raise SeamwrightError("footprint: must be convex; give the outline a taut string round it would take")
    side = 1.0 if turns.sum() > 0.0 else -1.0
    normals = side * np.stack([steps[:, 1], -steps[:, 0]], axis=1)
    lengths = np.sqrt((normals**2).sum(axis=1))
    return [
        (n / length, float(n @ c / length)) for n, length, c in zip(normals, lengths, corners, strict=True) if length
    ]
