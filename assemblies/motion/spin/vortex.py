"""The surface of a liquid that turns with its upright cylinder as one body; mm, s, rad, MPa, N.

z = z0 + a r^2 with a = omega^2 / 2 g, and the volume kept (any text on fluid mechanics, forced vortex: White, Fluid Mechanics,
ch. 2; from memory). Valid once the liquid turns as fast as the wall, started slowly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["Lidded", "Vortex", "dries_at", "lidded", "spills_at", "vortex"]


@dataclass(frozen=True, kw_only=True)
class Vortex:
    """An open cylinder that turns.

    Attributes:
        rise: from the lowest to the highest point of the whole paraboloid, mm.
        centre, edge: height of the surface over the floor on the axis (0 where it is dry) and at the wall, mm.
        dry: radius of the dry spot, mm.
        spilled: what has left over the rim, mm3.
    """

    rise: float
    centre: float
    edge: float
    dry: float
    spilled: float


@dataclass(frozen=True, kw_only=True)
class Lidded:
    """A closed cylinder that turns, its air at the pressure outside.

    Attributes:
        vertex: height of the paraboloid's lowest point over the floor, mm; under 0 where the floor is dry.
        dry: radius of the dry spot, mm.
        wets_lid_from: radius from which the liquid stands against the lid, mm; that of the wall where it does not.
        floor_mpa, lid_mpa: pressure at the wall, on floor and lid.
        lift_n: on the lid.
    """

    vertex: float
    dry: float
    wets_lid_from: float
    floor_mpa: float
    lid_mpa: float
    lift_n: float


def _given(radius: float, height: float, depth: float, omega: float, gravity: float) -> None:
    positive(radius=radius, height=height, depth=depth, gravity=gravity)
    if depth > height:
        raise SeamwrightError(f"depth: {depth!r} mm is over the height of {height!r} mm")
    if not (finite(omega) and omega >= 0.0):
        raise SeamwrightError(f"speed: {omega!r} rad/s must be finite and not negative")


def vortex(radius: float, height: float, depth: float, omega: float, g_mm_s2: float = G_MM_S2) -> Vortex:
    """The state of an open cylinder of inner `radius` and `height`, filled `depth` deep at rest.

    Raises:
        SeamwrightError: a size that cannot be, a depth over the height, a speed below 0.

    >>> round(vortex(100.0, 300.0, 120.0, 20.0).edge, 2)
    221.97
    """
    _given(radius, height, depth, omega, g_mm_s2)
    a = omega**2 / (2.0 * g_mm_s2)
    rise = a * radius**2
    if rise <= 2.0 * depth and depth + rise / 2.0 <= height:
        return Vortex(rise=rise, centre=depth - rise / 2.0, edge=depth + rise / 2.0, dry=0.0, spilled=0.0)
    full = math.pi * radius**2 * depth
    wet = radius * math.sqrt(2.0 * depth / a)  # of the square of the radius, with the volume kept
    if rise > 2.0 * depth and a * wet <= height:
        return Vortex(rise=rise, centre=0.0, edge=a * wet, dry=math.sqrt(radius**2 - wet), spilled=0.0)
    if rise <= height:
        kept = math.pi * radius**2 * (height - rise / 2.0)
        return Vortex(rise=rise, centre=height - rise, edge=height, dry=0.0, spilled=full - kept)
    kept = math.pi * height**2 / (2.0 * a)
    return Vortex(rise=rise, centre=0.0, edge=height, dry=math.sqrt(radius**2 - height / a), spilled=full - kept)


def spills_at(radius: float, height: float, depth: float, g_mm_s2: float = G_MM_S2) -> float:
    """The speed, rad/s, from which it runs over the rim.

    Raises:
        SeamwrightError: as `vortex`; filled to the rim.
    """
    _given(radius, height, depth, 0.0, g_mm_s2)
    if depth >= height:
        raise SeamwrightError("no freeboard: filled to the rim it spills as soon as it turns")
    if height <= 2.0 * depth:
        return 2.0 * math.sqrt(g_mm_s2 * (height - depth)) / radius
    return height * math.sqrt(g_mm_s2 / depth) / radius


def dries_at(radius: float, height: float, depth: float, g_mm_s2: float = G_MM_S2) -> float:
    """The speed, rad/s, from which the middle of the floor is dry, with what has spilled by then gone.

    Raises:
        SeamwrightError: as `vortex`.
    """
    _given(radius, height, depth, 0.0, g_mm_s2)
    if height > 2.0 * depth:
        return 2.0 * math.sqrt(g_mm_s2 * depth) / radius
    return math.sqrt(2.0 * g_mm_s2 * height) / radius


def lidded(
    radius: float, height: float, depth: float, omega: float, density_kg_m3: float, g_mm_s2: float = G_MM_S2
) -> Lidded:
    """The state of a cylinder closed by a lid: free, the lid wet, the floor dry, or both.

    Raises:
        SeamwrightError: as `vortex`; full to the lid, so that it has no air.
    """
    _given(radius, height, depth, omega, g_mm_s2)
    positive(density=density_kg_m3)
    if depth >= height:
        raise SeamwrightError("no air: full to the lid there is no surface")
    a, square = omega**2 / (2.0 * g_mm_s2), radius**2
    vertex, dry, wets = depth - a * square / 2.0, 0.0, square
    if vertex < 0.0 or vertex + a * square > height:
        air = square * (height - depth)
        dry = square - radius * math.sqrt(2.0 * depth / a)
        top = height - math.sqrt(2.0 * a * air)
        if dry >= 0.0 and a * (square - dry) <= height:  # dry below, and short of the lid
            vertex = -a * dry
        elif top >= 0.0:  # against the lid, and wet below
            vertex, dry, wets = top, 0.0, (height - top) / a
        else:
            dry, wets = air / height - height / (2.0 * a), air / height + height / (2.0 * a)
            vertex = -a * dry
    weight = density_kg_m3 * g_mm_s2 * 1e-12  # N/mm3
    return Lidded(
        vertex=vertex,
        dry=math.sqrt(dry),
        wets_lid_from=math.sqrt(wets),
        floor_mpa=weight * (vertex + a * square),
        lid_mpa=weight * max(vertex + a * square - height, 0.0) if wets < square else 0.0,
        lift_n=weight * math.pi * a * (square - wets) ** 2 / 2.0,
    )
