"""A flat shape of true lines and arcs: the one description from which solid, profile and seam all come.

A *loop* is a closed chain of vertices; the segment that starts at a vertex is straight (`bulge` 0) or an arc whose bulge is
the tangent of a quarter of its swept angle, positive when it turns left (the convention of the DXF reference, LWPOLYLINE,
group code 42); an arc so flat that no cutter could follow it is straight. A full circle is a `Circle`, never two arcs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from parts.findings import SeamwrightError

__all__ = [
    "STRAIGHT_BULGE",
    "Arc",
    "Circle",
    "Line",
    "Loop",
    "Outline",
    "Vertex",
    "drawn_in",
    "inside_by",
    "rectangle",
    "rounded_rectangle",
    "side_of",
]

#: Below, a segment is straight: it would leave its chord by under 0.00005 mm a metre. An arc's points are lost by about
#: 1e-16 of its radius, a quarter chord over the bulge: at 1e-8 that is as much as the arc itself. Judgement.
STRAIGHT_BULGE: Final = 1e-7
_FULLEST_BULGE: Final = 1.0 / STRAIGHT_BULGE  # beyond, what is left open is smaller still


@dataclass(frozen=True)
class Vertex:
    """A corner of a loop; `bulge` belongs to the segment from here to the next vertex.

    A bulge nearer to 0 than `STRAIGHT_BULGE` is kept as 0.

    Raises:
        SeamwrightError: a place or bulge that is not finite, or the bulge of what is a full circle.
    """

    x_mm: float
    y_mm: float
    bulge: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.x_mm) and math.isfinite(self.y_mm) and abs(self.bulge) <= _FULLEST_BULGE):
            raise SeamwrightError(
                f"no corner can be at ({self.x_mm:g}, {self.y_mm:g}) mm with a bulge of {self.bulge:g}"
            )
        if abs(self.bulge) < STRAIGHT_BULGE:
            object.__setattr__(self, "bulge", 0.0)


@dataclass(frozen=True)
class Line:
    """A straight segment from (x0, y0) to (x1, y1)."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    @property
    def length_mm(self) -> float:
        return math.hypot(self.x1_mm - self.x0_mm, self.y1_mm - self.y0_mm)


@dataclass(frozen=True)
class Arc:
    """An arc about (cx, cy) from angle `start_rad` through `sweep_rad` (positive: counter-clockwise)."""

    cx_mm: float
    cy_mm: float
    radius_mm: float
    start_rad: float
    sweep_rad: float

    @property
    def length_mm(self) -> float:
        return self.radius_mm * abs(self.sweep_rad)

    def at(self, part: float) -> tuple[float, float]:
        """The point after `part` (0 to 1) of the sweep."""
        angle = self.start_rad + part * self.sweep_rad
        return self.cx_mm + self.radius_mm * math.cos(angle), self.cy_mm + self.radius_mm * math.sin(angle)


def _arc(a: Vertex, b: Vertex) -> Arc:
    sweep = 4.0 * math.atan(a.bulge)
    chord = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
    radius = chord * (1.0 + a.bulge**2) / (4.0 * abs(a.bulge))
    apothem = chord * (1.0 - a.bulge**2) / (4.0 * a.bulge)  # from mid-chord to the left, signed
    left = (-(b.y_mm - a.y_mm) / chord, (b.x_mm - a.x_mm) / chord)
    cx = (a.x_mm + b.x_mm) / 2.0 + apothem * left[0]
    cy = (a.y_mm + b.y_mm) / 2.0 + apothem * left[1]
    return Arc(cx, cy, radius, math.atan2(a.y_mm - cy, a.x_mm - cx), sweep)


def _arc_bounds(arc: Arc) -> Iterator[tuple[float, float]]:
    """The arc's points that can be extreme: ends and the quadrant points it passes."""
    yield arc.at(0.0)
    yield arc.at(1.0)
    for quarter in range(-8, 9):
        angle = quarter * math.pi / 2.0
        part = (angle - arc.start_rad) / arc.sweep_rad
        if 0.0 < part < 1.0:
            yield arc.at(part)


@dataclass(frozen=True)
class Loop:
    """A closed chain of lines and arcs.

    Raises:
        SeamwrightError: fewer than two vertices, two with no bulge, or a segment of no length.
    """

    vertices: tuple[Vertex, ...]

    def __post_init__(self) -> None:
        vs = self.vertices
        if len(vs) < 2 or (len(vs) == 2 and not any(v.bulge for v in vs)):
            raise SeamwrightError(f"a loop needs three corners or two arcs, got {len(vs)} vertices")
        for a, b in zip(vs, (*vs[1:], vs[0]), strict=True):
            if math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) < 1e-9:
                raise SeamwrightError(f"a segment of no length at ({a.x_mm:g}, {a.y_mm:g}) mm")

    def segments(self) -> tuple[Line | Arc, ...]:
        """The lines and arcs, in order."""
        out: list[Line | Arc] = []
        for a, b in zip(self.vertices, (*self.vertices[1:], self.vertices[0]), strict=True):
            out.append(_arc(a, b) if a.bulge else Line(a.x_mm, a.y_mm, b.x_mm, b.y_mm))
        return tuple(out)

    @property
    def signed_area_mm2(self) -> float:
        """Area by the shoelace formula plus the arcs' circle segments; positive when counter-clockwise."""
        total = 0.0
        for a, b in zip(self.vertices, (*self.vertices[1:], self.vertices[0]), strict=True):
            total += (a.x_mm * b.y_mm - b.x_mm * a.y_mm) / 2.0
        for segment in self.segments():
            if isinstance(segment, Arc):
                total += segment.radius_mm**2 * (segment.sweep_rad - math.sin(segment.sweep_rad)) / 2.0
        return total

    @property
    def area_mm2(self) -> float:
        return abs(self.signed_area_mm2)

    @property
    def length_mm(self) -> float:
        return sum(segment.length_mm for segment in self.segments())

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """x min, y min, x max, y max."""
        points = [(v.x_mm, v.y_mm) for v in self.vertices]
        for segment in self.segments():
            if isinstance(segment, Arc):
                points.extend(_arc_bounds(segment))
        xs, ys = zip(*points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, sagitta_mm: float = 0.01) -> tuple[tuple[float, float], ...]:
        """A polygon that leaves the true arcs by at most `sagitta_mm`."""
        out: list[tuple[float, float]] = []
        for segment in self.segments():
            if isinstance(segment, Line):
                out.append((segment.x0_mm, segment.y0_mm))
            else:
                steps = _steps(segment.radius_mm, abs(segment.sweep_rad), sagitta_mm)
                out.extend(segment.at(i / steps) for i in range(steps))
        return tuple(out)


def _steps(radius_mm: float, sweep_rad: float, sagitta_mm: float) -> int:
    step = 2.0 * math.acos(max(0.0, 1.0 - sagitta_mm / radius_mm)) if radius_mm > sagitta_mm else math.pi / 4.0
    return max(2, math.ceil(sweep_rad / step))


@dataclass(frozen=True)
class Circle:
    """A full circle."""

    x_mm: float
    y_mm: float
    radius_mm: float

    def __post_init__(self) -> None:
        if not self.radius_mm > 0.0:
            raise SeamwrightError(f"a circle needs a radius over 0, got {self.radius_mm:g} mm")

    @property
    def area_mm2(self) -> float:
        return math.pi * self.radius_mm**2

    @property
    def length_mm(self) -> float:
        return math.tau * self.radius_mm

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        r = self.radius_mm
        return self.x_mm - r, self.y_mm - r, self.x_mm + r, self.y_mm + r

    def points(self, sagitta_mm: float = 0.01) -> tuple[tuple[float, float], ...]:
        """A polygon inside the circle that leaves it by at most `sagitta_mm`."""
        steps = 4 * math.ceil(_steps(self.radius_mm, math.tau, sagitta_mm) / 4)
        arc = Arc(self.x_mm, self.y_mm, self.radius_mm, 0.0, math.tau)
        return tuple(arc.at(i / steps) for i in range(steps))


@dataclass(frozen=True)
class Outline:
    """An outer loop and the cut-outs inside it. Drilled holes are no part of it: they belong to the piece."""

    outer: Loop | Circle
    inner: tuple[Loop | Circle, ...] = ()

    @property
    def area_mm2(self) -> float:
        return self.outer.area_mm2 - sum(loop.area_mm2 for loop in self.inner)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        return self.outer.bounds_mm

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the outline's box."""
        x0, y0, x1, y1 = self.bounds_mm
        return x1 - x0, y1 - y0


def drawn_in(loop: Loop, by_mm: Sequence[float]) -> Loop:
    """A loop of straight edges, each moved into it by its own distance; the corners are as many.

    Raises:
        SeamwrightError: it has arcs, or an edge of it would vanish.

    >>> drawn_in(rectangle(30, 20), (0, 5, 0, 0)).bounds_mm
    (0.0, 0.0, 25.0, 20.0)
    """
    edges = [edge for edge in loop.segments() if isinstance(edge, Line)]
    if len(edges) < len(loop.vertices):
        raise SeamwrightError("only an outline of straight edges is drawn in")
    inward = math.copysign(1.0, loop.signed_area_mm2)
    ways = [((e.x1_mm - e.x0_mm) / e.length_mm, (e.y1_mm - e.y0_mm) / e.length_mm) for e in edges]
    corners = []
    for k, edge in enumerate(edges):
        (u0, v0), (u1, v1), d0, d1 = ways[k - 1], ways[k], inward * by_mm[k - 1], inward * by_mm[k]
        turn = u0 * v1 - v0 * u1  # of one edge to the next
        if abs(turn) < 1e-9:
            if abs(d0 - d1) > 1e-9:
                raise SeamwrightError("two edges in one line cannot be drawn in by unequal distances")
            corners.append((edge.x0_mm - d1 * v1, edge.y0_mm + d1 * u1))
        else:
            corners.append((edge.x0_mm + (d0 * u1 - d1 * u0) / turn, edge.y0_mm + (d0 * v1 - d1 * v0) / turn))
    for (x0, y0), (x1, y1), (u, v) in zip(corners, (*corners[1:], corners[0]), ways, strict=True):
        if (x1 - x0) * u + (y1 - y0) * v <= 1e-9:
            raise SeamwrightError("an edge would vanish where its neighbours are drawn in")
    return Loop(tuple(Vertex(x, y) for x, y in corners))


def inside_by(loop: Loop, x_mm: float, y_mm: float) -> float:
    """How far a point lies inside the lines of the straight edges of a loop that is hollow nowhere."""
    inward = math.copysign(1.0, loop.signed_area_mm2)
    return min(
        inward * ((e.x1_mm - e.x0_mm) * (y_mm - e.y0_mm) - (e.y1_mm - e.y0_mm) * (x_mm - e.x0_mm)) / e.length_mm
        for e in loop.segments()
        if isinstance(e, Line)
    )


def side_of(loop: Loop, edge: int) -> str | None:
    """The side of its box that an edge of a loop lies along: `left`, `right`, `bottom` or `top`; None where along none."""
    line = loop.segments()[edge]
    if not isinstance(line, Line):
        return None
    x0, y0, x1, y1 = loop.bounds_mm
    along, up = (line.x0_mm, line.x1_mm), (line.y0_mm, line.y1_mm)
    sides = (("left", along, x0), ("right", along, x1), ("bottom", up, y0), ("top", up, y1))
    return next((side for side, ends, at in sides if all(abs(end - at) < 1e-6 for end in ends)), None)


def rectangle(width_mm: float, height_mm: float, x_mm: float = 0.0, y_mm: float = 0.0) -> Loop:
    """A rectangle, lower-left corner at (x, y), counter-clockwise.

    >>> rectangle(30, 20).area_mm2
    600.0
    """
    if not (width_mm > 0.0 and height_mm > 0.0):
        raise SeamwrightError(f"a rectangle needs sides over 0, got {width_mm:g} x {height_mm:g} mm")
    x1, y1 = x_mm + width_mm, y_mm + height_mm
    return Loop((Vertex(x_mm, y_mm), Vertex(x1, y_mm), Vertex(x1, y1), Vertex(x_mm, y1)))


def rounded_rectangle(
    width_mm: float, height_mm: float, radius_mm: float, x_mm: float = 0.0, y_mm: float = 0.0
) -> Loop:
    """A rectangle whose corners are true quarter arcs of `radius_mm`, at most half the short side.

    >>> import math
    >>> math.isclose(rounded_rectangle(30, 20, 5).area_mm2, 600 - (4 - math.pi) * 25)
    True
    """
    if radius_mm <= 0.0:
        return rectangle(width_mm, height_mm, x_mm, y_mm)
    if 2.0 * radius_mm > min(width_mm, height_mm):
        raise SeamwrightError(
            f"corner radius {radius_mm:g} mm is over half the short side of {width_mm:g} x {height_mm:g} mm"
        )
    r, x1, y1, bulge = radius_mm, x_mm + width_mm, y_mm + height_mm, math.tan(math.pi / 8.0)
    corners = [
        Vertex(x_mm + r, y_mm),
        Vertex(x1 - r, y_mm, bulge),
        Vertex(x1, y_mm + r),
        Vertex(x1, y1 - r, bulge),
        Vertex(x1 - r, y1),
        Vertex(x_mm + r, y1, bulge),
        Vertex(x_mm, y1 - r),
        Vertex(x_mm, y_mm + r, bulge),
    ]
    kept: list[Vertex] = []
    for i, vertex in enumerate(corners):
        following = corners[(i + 1) % 8]
        if vertex.bulge or math.hypot(following.x_mm - vertex.x_mm, following.y_mm - vertex.y_mm) > 1e-9:
            kept.append(vertex)
    return Loop(tuple(kept))
