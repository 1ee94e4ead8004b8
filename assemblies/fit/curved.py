"""Seams on a round wall: the seam along a tube that is rolled from sheet, and what is bonded to the outside of a tube.

A *saddle* is the edge of a piece that meets a tube from outside. It is an arc about the tube's axis, cut in a flat outline, or
a straight edge bevelled to the tangent, which leaves a wedge on both sides of the line that it touches in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design, Placed
from assemblies.fit.faces import Seam, flat_faces, round_faces
from parts.shape.outline import Arc, Loop
from parts.stock.tube import TubeCut, tube_tolerance
from parts.vectors import Vector, cross, dot

__all__ = ["ALONG", "SADDLE", "along_seams", "arc_off_mm", "curvature_mm", "saddle_seams"]

#: Of a rolled tube with itself; of an edge on the outside of a tube.
ALONG: Final = "along"
SADDLE: Final = "saddle"
_SQUARE: Final = 1e-6  # of a product of two unit vectors that stand square to each other; of a length, mm
_SLACK_MM: Final = 1e-9
_NEAR_MM: Final = 1.0  # as faces that count as meant for a bond: rule `seam_search`


def along_seams(design: Design) -> Iterator[Seam]:
    """The seam along every tube that is rolled: its two edges, in the plane through the axis."""
    for placed in design.placed:
        sheet = placed.piece.sheet
        if not isinstance(sheet, TubeCut) or sheet.rolled is None:
            continue
        outer, inner, turn = sheet.tube.outside_mm / 2.0, sheet.tube.inside_mm / 2.0, sheet.rolled.seam_rad
        long, out = sheet.nominal_mm, (math.cos(turn), math.sin(turn))

        def at(
            radius: float, up: float, placed: Placed = placed, r: float = outer, out: tuple[float, float] = out
        ) -> Vector:
            return placed.world(r + radius * out[0], r + radius * out[1], up)

        middle = (outer + inner) / 2.0
        radial = _way(at(0.0, 0.0), at(1.0, 0.0))
        yield Seam(
            id="",
            a=placed.name,
            b=placed.name,
            a_end=ALONG,
            b_end=ALONG,
            kind=ALONG,
            normal=cross(placed.z, radial),
            centre=at(middle, long / 2.0),
            along=placed.z,
            length_mm=long,
            width_mm=outer - inner,
            area_mm2=long * (outer - inner),
            gap_mm=sheet.rolled.gap_mm,
            corners=(at(inner, 0.0), at(outer, 0.0), at(outer, long), at(inner, long)),
        )


def saddle_seams(design: Design) -> Iterator[Seam]:
    """Where the pieces of a joint `saddle` meet the outside of its tube."""
    for joint in design.joints:
        if joint.kind != SADDLE:
            continue
        tube, other = design.instance(joint.a), design.instance(joint.b)
        axis = next(face for face in round_faces(tube) if not face.hollow)
        wall = _Wall(tube=tube.name, centre=axis.centre, axis=axis.axis, radius=axis.radius_mm, long=axis.length_mm)
        found = [*_arcs(wall, other), *_flats(wall, other)]
        if found:
            yield min(found, key=lambda seam: abs(seam.gap_mm))


@dataclass(frozen=True, kw_only=True)
class _Wall:
    """The outside of a tube: from a point of its axis so long along it."""

    tube: str
    centre: Vector
    axis: Vector
    radius: float
    long: float

    def up(self, point: Vector) -> float:
        return dot(_minus(point, self.centre), self.axis)

    def aside(self, point: Vector) -> Vector:
        """From the axis, square to it."""
        step, up = _minus(point, self.centre), self.up(point)
        x, y, z = (step[k] - up * self.axis[k] for k in range(3))
        return x, y, z

    def seam(
        self, other: str, end: str, way: Vector, spans: tuple[float, float], across: float, gap: float, *, runs_up: bool
    ) -> Seam | None:
        """A seam toward a way, between two heights, so wide across."""
        low, high = max(0.0, spans[0]), min(self.long, spans[1])
        if high - low < _SQUARE:
            return None
        middle, side = (low + high) / 2.0, cross(self.axis, way)

        def at(up: float, aside: float) -> Vector:
            x, y, z = (self.centre[k] + self.radius * way[k] + up * self.axis[k] + aside * side[k] for k in range(3))
            return x, y, z

        half, long, wide = across / 2.0, high - low, across
        return Seam(
            id="",
            a=self.tube,
            b=other,
            a_end="round",
            b_end=end,
            kind=SADDLE,
            normal=way,
            centre=at(middle, 0.0),
            along=self.axis if runs_up else side,
            length_mm=long if runs_up else wide,
            width_mm=wide if runs_up else long,
            area_mm2=long * wide,
            gap_mm=gap,
            corners=(at(low, -half), at(low, half), at(high, half), at(high, -half)),
        )


def _arcs(wall: _Wall, other: Placed) -> Iterator[Seam]:
    """Arcs of an outline about the axis."""
    outer = other.piece.outline.outer
    if not isinstance(outer, Loop) or abs(abs(dot(other.z, wall.axis)) - 1.0) > _SQUARE:
        return
    for one in outer.segments():
        if not isinstance(one, Arc):
            continue
        middle = wall.aside(other.world(one.cx_mm, one.cy_mm, 0.0))
        first, last = one.at(0.0), one.at(1.0)
        ends = [other.world(*first, 0.0), other.world(*last, 0.0)]
        radii = [math.hypot(*wall.aside(end)) for end in ends]
        if math.hypot(*middle) > _NEAR_MM or max(abs(r - wall.radius) for r in radii) > _NEAR_MM:
            continue
        chord = tuple((p + q) / 2.0 for p, q in zip(wall.aside(ends[0]), wall.aside(ends[1]), strict=True))
        size = math.hypot(*chord)
        way = (chord[0] / size, chord[1] / size, chord[2] / size)
        apart = math.hypot(*middle) + abs(one.radius_mm - wall.radius)
        heights = sorted((wall.up(ends[0]), wall.up(other.world(*first, other.piece.thickness_mm))))
        around = one.radius_mm * abs(one.sweep_rad)
        gap = apart if apart > _SLACK_MM else 0.0
        seam = wall.seam(other.name, "edge", way, (heights[0], heights[1]), around, gap, runs_up=False)
        if seam is not None:
            yield seam


def _flats(wall: _Wall, other: Placed) -> Iterator[Seam]:
    """Flat faces that look at the axis; the gap is that at the further of their two sides."""
    for face in flat_faces(other):
        if face.end in ("near", "far") or abs(dot(face.normal, wall.axis)) > _SQUARE:
            continue
        way = (-face.normal[0], -face.normal[1], -face.normal[2])
        apart = dot(wall.aside(face.origin), way)
        side = cross(wall.axis, way)
        corners = [face.world(corner) for corner in face.polygon]
        asides, ups = [dot(wall.aside(c), side) for c in corners], [wall.up(c) for c in corners]
        if apart <= 0.0 or not min(asides) <= 0.0 <= max(asides):
            continue
        reach = max(abs(a) for a in asides)
        gap = apart - wall.radius
        most = max(gap + curvature_mm(wall.radius, reach), gap, key=abs)
        if abs(gap) > _NEAR_MM:
            continue
        seam = wall.seam(other.name, face.end, way, (min(ups), max(ups)), max(asides) - min(asides), most, runs_up=True)
        if seam is not None:
            yield seam


def curvature_mm(radius_mm: float, half_mm: float) -> float:
    """How far a cylinder has gone back from its tangent plane, so far aside, square to the plane.

    >>> round(curvature_mm(100.0, 2.5), 4)
    0.0313
    """
    if half_mm >= radius_mm:
        return radius_mm
    return radius_mm - math.sqrt(radius_mm**2 - half_mm**2)


def arc_off_mm(design: Design, seam: Seam) -> float:
    """How much further an arc stands off a tube whose radius differs by all that it may, over half the arc, mm."""
    sheet = design.instance(seam.a).piece.sheet
    if not isinstance(sheet, TubeCut) or seam.b_end != "edge":
        return 0.0
    off = (tube_tolerance(sheet.tube)[0] if sheet.within_mm is None else sheet.within_mm) / 2.0
    radius = sheet.tube.outside_mm / 2.0
    half = radius * math.sin(seam.length_mm / 2.0 / radius)
    return abs(curvature_mm(radius - off, half) - curvature_mm(radius, half))


def _minus(one: Vector, other: Vector) -> Vector:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def _way(start: Vector, end: Vector) -> Vector:
    return _minus(end, start)
