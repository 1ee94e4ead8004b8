"""The liquid engine: where a volume of liquid stands in a cavity under an effective gravity, and how it presses.

*Effective gravity* is gravity less the rig's acceleration, in the rig's own (turned) axes, mm/s2: liquid at
rest in the moving rig cannot tell the two apart (d'Alembert). Its free surface is a plane square to that
vector, and pressure is density times its size times the depth below that plane. Still, sliding, thrown,
carried and tipped rigs differ in the vector only.

Valid: liquid at rest in the rig (after waves have died), one pool, air at one pressure above it, |gravity|
    above 0.01 g. Sealed
cavities: pressures are over that of the gas inside; a cavity filled whole has none at its highest point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.openings import Lip, Port
from assemblies.liquid.shapes.wet import Array, Body, Wet
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = [
    "G_MM_S2",
    "REST",
    "WATER_KG_M3",
    "Settled",
    "WettedFace",
    "capacity",
    "depth_for_volume",
    "settle",
    "volume_for_depth",
]

#: Standard acceleration of gravity (CGPM 1901; ISO 80000-3).
G_MM_S2: Final = 9806.65
#: Effective gravity of a level rig at rest.
REST: Final[Vector] = (0.0, 0.0, -G_MM_S2)
#: Water at 20 C (UNESCO 1983 equation of state at one atmosphere, rounded).
WATER_KG_M3: Final = 998.2
#: Below 1 % of g a 100 mm pool has a Bond number near 10 (rho g L^2 / surface tension): its surface is no
#: plane. Judgement.
_LEAST_G: Final = 0.01 * G_MM_S2
#: A million g: figures in another unit, or a slip; far beyond it pressures are no numbers any more. Judgement.
_MOST_G: Final = 1e6 * G_MM_S2
_SAME_HEIGHT: Final = 1e-9  # openings this near in height (of the cavity's size) overflow together
_EPS: Final = 2.0**-52


@dataclass(frozen=True, kw_only=True)
class WettedFace:
    """The liquid on one face.

    Attributes:
        name: the face's.
        area_mm2: wetted.
        force_n: push of the liquid on the face (out of the liquid).
        centre_mm: centre of pressure; None when dry. On a curved face it is the mean place weighted by
            pressure.
        moment_nmm: moment of that push about the world's origin.
    """

    name: str
    area_mm2: float
    force_n: Vector
    centre_mm: Vector | None
    moment_nmm: Vector


@dataclass(frozen=True, kw_only=True, eq=False)
class Settled:
    """Liquid at rest in the rig.

    Attributes:
        cavity, gravity, density_kg_m3: what was asked; gravity in mm/s2.
        given_mm3, kept_mm3, lost_mm3: volume asked for, still inside, gone over the lips.
        up: unit normal of the free surface, against gravity.
        level_mm: height of the surface along `up`; the surface is the plane up . x = level.
        lowest_mm: height of the cavity's lowest point; level - lowest is the greatest depth.
        limit_mm: height of the lowest opening, or of the cavity's top where there is none.
        over: names of the openings at that limit when liquid was lost over them.
        reached: places where it left.
        surface_area_mm2, surface_centre_mm: of the free surface; None for the centre when there is no
            surface.
        mass_kg, centre_mm: of the kept liquid; the centre is None when none is kept.
        inertia_kg_mm2: about that centre, liquid taken as frozen.
        faces: per face.
        force_n, moment_nmm: resultant on all faces, and its moment about the world's origin.
    """

    cavity: Cavity
    gravity: Vector
    density_kg_m3: float
    given_mm3: float
    kept_mm3: float
    lost_mm3: float
    up: Vector
    level_mm: float
    lowest_mm: float
    limit_mm: float
    over: tuple[str, ...]
    reached: tuple[Vector, ...]
    surface_area_mm2: float
    surface_centre_mm: Vector | None
    mass_kg: float
    centre_mm: Vector | None
    inertia_kg_mm2: tuple[Vector, Vector, Vector]
    faces: tuple[WettedFace, ...]
    force_n: Vector
    moment_nmm: Vector

    @property
    def freeboard_mm(self) -> float:
        """How far, along up, the surface stands below the lowest opening (or the closed top)."""
        return self.limit_mm - self.level_mm

    @property
    def mpa_per_mm(self) -> float:
        """Pressure per depth: density times |gravity| (1e-12: kg/m3 mm/s2 mm to MPa)."""
        return self.density_kg_m3 * math.hypot(*self.gravity) * 1e-12

    def face(self, name: str) -> WettedFace:
        """The liquid on the face of this name.

        Raises:
            SeamwrightError: no such face.
        """
        for face in self.faces:
            if face.name == name:
                return face
        raise SeamwrightError(f"no face {name!r}: the cavity has {', '.join(self.cavity.face_names)}")

    def depth(self, points: Array | tuple[float, ...] | list[Vector]) -> Array:
        """Depth (mm) below the free surface of world points (n, 3) or (3,); negative above it."""
        return np.asarray(self.level_mm - np.asarray(points, float) @ np.array(self.up))

    def pressure(self, points: Array | tuple[float, ...] | list[Vector]) -> Array:
        """Pressure (MPa) at world points (n, 3) or (3,), nil above the surface; they may lie anywhere."""
        if self.kept_mm3 == 0.0:
            return np.zeros(np.shape(np.asarray(points, float))[:-1])
        return np.maximum(self.depth(points), 0.0) * self.mpa_per_mm

    def reach(self, start: Vector, along: Vector) -> float:
        """How far (mm, signed) the free surface is from a point along a direction: the wetted height of a wall, say.

        Raises:
            SeamwrightError: the direction runs along the surface, or is none.
        """
        start = finite_vector(start, "start")
        step = float(np.array(finite_vector(along, "direction")) @ np.array(self.up))
        if abs(step) <= 1e-12 * math.hypot(*along):
            raise SeamwrightError("reach: that direction never meets the free surface")
        return float(self.depth(start)) / step * math.hypot(*along)

    def moment_about(self, point: Vector, axis: Vector | None = None) -> Vector | float:
        """Moment (N mm) of the resultant about a point; its part along `axis` (any length) when one is given.

        Raises:
            SeamwrightError: a point or axis that is not three finite numbers, or an axis of no length.
        """
        moved = np.array(self.moment_nmm) - np.cross(finite_vector(point, "point"), self.force_n)
        return _vector(moved) if axis is None else float(moved @ np.array(unit(axis, "axis")))


def settle(cavity: Cavity, volume: float, gravity: Vector = REST, *, density_kg_m3: float = WATER_KG_M3) -> Settled:
    """Let a volume of liquid come to rest.

    Args:
        cavity: what holds it.
        volume: mm3, before any of it leaves.
        gravity: effective gravity in the rig's axes, mm/s2.
        density_kg_m3: of the liquid.

    Raises:
        SeamwrightError: a volume that is negative, not finite or more than the closed cavity holds; no finite
            gravity, or one over a million g.
        NotCovered: nearly weightless (under 0.01 g), or liquid in several pools.

    >>> from assemblies.liquid.shapes.cavity import box
    >>> still = settle(box(300, 200, 150), 300 * 200 * 100)
    >>> round(still.level_mm, 9), round(still.force_n[2], 3)
    (100.0, -58.734)
    """
    up = _up(gravity)
    density = _density(density_kg_m3)
    body = cavity.body
    low, high = body.span(up)
    limit, ways, places = _limit(cavity, up, low, high)
    room = body.fill(up, limit)[0] if limit > low else 0.0
    given = _volume(volume)
    if not cavity.openings and given > room * (1.0 + 1e-12):
        raise SeamwrightError(f"volume: {given:g} mm3 is more than the closed cavity holds ({room:g} mm3)")
    kept = min(given, room)
    lost = given - kept
    if lost <= 1e-12 * room:
        kept, lost = given, 0.0
    level = _level(body, up, kept, low, limit, room)
    wet = body.wet(up, level) if kept > 0.0 else None
    return _result(
        cavity,
        finite_vector(gravity, "gravity"),
        density,
        (given, kept, lost),
        up,
        (level, low, limit),
        ways if lost > 0.0 else (),
        places if lost > 0.0 else (),
        wet,
    )


def capacity(cavity: Cavity, gravity: Vector = REST) -> float:
    """The volume (mm3) the cavity holds to its lowest opening, or in all when it is closed.

    Raises:
        SeamwrightError, NotCovered: as for `settle`.
    """
    up = _up(gravity)
    low, high = cavity.body.span(up)
    limit, _, _ = _limit(cavity, up, low, high)
    return cavity.body.fill(up, limit)[0] if limit > low else 0.0


def volume_for_depth(cavity: Cavity, depth_mm: float, gravity: Vector = REST) -> float:
    """The volume (mm3) that stands `depth_mm` deep over the cavity's lowest point.

    Raises:
        SeamwrightError: negative, not finite, or above the lowest opening (1e-9 of the height is forgiven).
    """
    up = _up(gravity)
    low, high = cavity.body.span(up)
    limit, _, _ = _limit(cavity, up, low, high)
    if not (finite(depth_mm) and 0.0 <= depth_mm <= (limit - low) * (1.0 + 1e-9)):
        raise SeamwrightError(
            f"fill depth {depth_mm!r} mm: must be from 0 to {max(limit - low, 0.0):g} mm, "
            "the height of the lowest brim or overflow"
        )
    return cavity.body.fill(up, min(low + depth_mm, limit))[0]


def depth_for_volume(cavity: Cavity, volume: float, gravity: Vector = REST) -> float:
    """The depth (mm) over the cavity's lowest point at which a volume (mm3) stands; the inverse of `volume_for_depth`.

    Raises:
        SeamwrightError: more than the cavity holds to its lowest opening, negative or not finite.
    """
    room = capacity(cavity, gravity)
    if _volume(volume) > room * (1.0 + 1e-12):
        raise SeamwrightError(f"volume: {volume:g} mm3 is more than the cavity holds ({room:g} mm3)")
    up = _up(gravity)
    low, high = cavity.body.span(up)
    limit, _, _ = _limit(cavity, up, low, high)
    return _level(cavity.body, up, min(volume, room), low, limit, room) - low


def _up(gravity: Vector) -> Vector:
    x, y, z = finite_vector(gravity, "gravity (mm/s2)")
    size = math.hypot(x, y, z)
    if size < _LEAST_G:
        raise NotCovered(
            f"gravity: {size:g} mm/s2 is under 1 % of g; a nearly weightless liquid has no flat surface "
            "(gravity is in mm/s2: 9806.65 at rest)"
        )
    if size > _MOST_G:
        raise SeamwrightError(f"gravity: {size:g} mm/s2 is over a million g; look at the acceleration and its unit")
    return -x / size, -y / size, -z / size


def _volume(volume: float) -> float:
    if not (finite(volume) and volume >= 0.0):
        raise SeamwrightError(f"volume: {volume!r} mm3, must be finite and not negative")
    return float(volume)


def _density(density: float) -> float:
    if not (finite(density) and density > 0.0):
        raise SeamwrightError(f"density: {density!r} kg/m3, must be finite and above 0")
    return float(density)


def _limit(cavity: Cavity, up: Vector, low: float, high: float) -> tuple[float, tuple[str, ...], tuple[Vector, ...]]:
    """Height at which liquid leaves (the cavity's top when closed), by which openings, and where."""
    found = [(_height(point, up), way, point) for way, point in ((w, w.lowest(up)) for w in cavity.openings)]
    if not found:
        return high, (), ()
    least = min(height for height, _, _ in found)
    near = [(way, point) for height, way, point in found if height - least <= _SAME_HEIGHT * (high - low)]
    low_points = [(way, _lowest_all(way, point, up, least, high - low)) for way, point in near]
    if any(len(points) > 1 for _, points in low_points):  # a level edge: its neighbours only touch it at a corner
        low_points = [
            (way, points) for way, points in low_points if len(points) > 1 or not isinstance(way, Lip) or way.circle
        ]
    places = dict.fromkeys(p for _, points in low_points for p in points)
    limit = high if least > high else least if least - low > 1e-14 * (high - low) else low
    return limit, tuple(way.name for way, _ in low_points), tuple(places)


def _lowest_all(way: Lip | Port, point: Vector, up: Vector, least: float, size: float) -> tuple[Vector, ...]:
    """All lowest places of an opening: both ends of a level edge."""
    if isinstance(way, Lip) and way.corners:
        return tuple(p for p in way.corners if _height(p, up) - least <= _SAME_HEIGHT * size)
    return (point,)


def _height(point: Vector, up: Vector) -> float:
    return point[0] * up[0] + point[1] * up[1] + point[2] * up[2]


def _level(body: Body, up: Vector, volume: float, low: float, limit: float, room: float) -> float:
    """The level that holds a volume up to `room`: Newton on the volume's cube root, kept in a shrinking bracket.

    The cube root is concave for a convex body (Brunn-Minkowski), so that steps from below never overshoot;
    where a mesh is not convex, halving the bracket takes over.
    """
    if volume <= 0.0:
        return low
    if volume >= room:
        return limit
    a, b = low, limit
    level = a + (b - a) * (volume / room)
    small = 4.0 * _EPS * max(abs(low), abs(limit), limit - low)
    for _ in range(200):
        held, area = body.fill(up, level)
        if held > volume:
            b = level
        else:
            a = level
        step = math.inf
        if held > 0.0 and area > 0.0:
            step = 3.0 * held ** (2.0 / 3.0) * (volume ** (1.0 / 3.0) - held ** (1.0 / 3.0)) / area
            if abs(held - volume) < 1e-4 * volume:
                step = (volume - held) / area  # the same to second order, without the roots' rounding
        if not a < level + step < b:
            if abs(step) <= small or b - a <= small:
                return level
            step = (a + b) / 2.0 - level
        level += step
        if abs(step) <= small or held == volume:
            return level
    return level


def _vector(values: Array) -> Vector:
    return float(values[0]), float(values[1]), float(values[2])


def _result(
    cavity: Cavity,
    gravity: Vector,
    density: float,
    volumes: tuple[float, float, float],
    up: Vector,
    heights: tuple[float, float, float],
    over: tuple[str, ...],
    reached: tuple[Vector, ...],
    wet: Wet | None,
) -> Settled:
    nil: Vector = (0.0, 0.0, 0.0)
    names = cavity.face_names
    faces = tuple(WettedFace(name=n, area_mm2=0.0, force_n=nil, centre_mm=None, moment_nmm=nil) for n in names)
    force = moment = nil
    area, middle, centre, inertia = 0.0, None, None, (nil, nil, nil)
    if wet is not None:
        scale = density * math.hypot(*gravity) * 1e-12  # MPa per mm of depth
        faces, force, moment = _faces(names, wet, scale)
        area, middle = _surface(wet, np.array(up))
        centre, inertia = _bulk(wet, density)
    given, kept, lost = volumes
    return Settled(
        cavity=cavity,
        gravity=gravity,
        density_kg_m3=density,
        given_mm3=given,
        kept_mm3=kept,
        lost_mm3=lost,
        up=up,
        level_mm=heights[0],
        lowest_mm=heights[1],
        limit_mm=heights[2],
        over=over,
        reached=reached,
        surface_area_mm2=area,
        surface_centre_mm=middle,
        mass_kg=kept * density * 1e-9,
        centre_mm=centre,
        inertia_kg_mm2=inertia,
        faces=faces,
        force_n=force,
        moment_nmm=moment,
    )


def _faces(names: tuple[str, ...], wet: Wet, scale: float) -> tuple[tuple[WettedFace, ...], Vector, Vector]:
    force = wet.face_push * scale
    moment = wet.face_turn * scale + np.cross(wet.origin, force)
    centre = wet.face_centre / np.where(wet.face_depth > 0.0, wet.face_depth, 1.0)[:, None] + wet.origin
    faces = tuple(
        WettedFace(
            name=name,
            area_mm2=float(wet.face_area[k]),
            force_n=_vector(force[k]),
            centre_mm=_vector(centre[k]) if wet.face_depth[k] > 0.0 else None,
            moment_nmm=_vector(moment[k]),
        )
        for k, name in enumerate(names)
    )
    return faces, _vector(force.sum(axis=0)), _vector(moment.sum(axis=0))


def _surface(wet: Wet, up: Array) -> tuple[float, Vector | None]:
    """Area and centre of the free surface: what closes the wetted faces (divergence theorem on 1 and x along up)."""
    area = -float((wet.face_vector @ up).sum())
    if area <= 0.0:
        return 0.0, None
    return area, _vector((wet.volume * up - wet.face_place.sum(axis=0)) / area + wet.origin)


def _bulk(wet: Wet, density: float) -> tuple[Vector | None, tuple[Vector, Vector, Vector]]:
    nil: Vector = (0.0, 0.0, 0.0)
    if wet.volume <= 0.0:
        return None, (nil, nil, nil)
    centre = wet.first / wet.volume
    spread = (wet.second - np.outer(centre, centre) * wet.volume) * (density * 1e-9)
    inertia = np.eye(3) * np.trace(spread) - spread
    return _vector(centre + wet.origin), (_vector(inertia[0]), _vector(inertia[1]), _vector(inertia[2]))
