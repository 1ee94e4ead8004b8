"""Parallel curves of loops of lines and arcs: where the middle of a cutter or beam runs. Lines stay lines, arcs stay arcs.

Every segment is shifted sideways; round a corner that opens, the cutter's middle runs on an arc about the corner. Where shifted
segments cross, they are split; only what is nowhere nearer to the loop than the distance asked for is kept and joined up. So a
neck too narrow for the cutter falls away, and one loop may become several or none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from parts.findings import SeamwrightError
from parts.shape.outline import Arc, Circle, Line, Loop, Vertex

__all__ = ["Near", "OffsetError", "offset"]

_SAME_MM = 1e-6  # points nearer than this are one
_SLACK_MM = 1e-4  # boxes nearer than this are looked at: far more than points on segments may be off
_NEAR_MM = 2e-6  # how much nearer to the loop than asked for a kept piece may be: rounding
_FLAT = 1e-9
_SHORT_MM = 1e-4  # where circles touch, their crossing is only known to about the root of the rounding
_JOIN_MM = 4e-4
_STUB_MM = 0.05  # past a crossing at a nearly straight corner a shifted segment runs on by the root of by x _NEAR_MM
Segment = Line | Arc
Point = tuple[float, float]


class OffsetError(SeamwrightError):
    """A parallel curve that could not be joined up; nothing is returned rather than something wrong."""


def offset(loop: Loop | Circle, by_mm: float) -> tuple[Loop | Circle, ...]:
    """The loops that run `by_mm` outside a loop (inside where it is negative), counter-clockwise; the largest first.

    Pockets that a growing loop closes off (as in a C whose mouth is too narrow for the cutter) come back clockwise.

    >>> offset(Circle(0.0, 0.0, 10.0), -3.0)
    (Circle(x_mm=0.0, y_mm=0.0, radius_mm=7.0),)
    >>> offset(Circle(0.0, 0.0, 2.0), -3.0)
    ()

    Raises:
        OffsetError: the loop crosses itself, or the pieces cannot be joined.
    """
    if not math.isfinite(by_mm):
        raise OffsetError(f"there is no parallel curve at {by_mm} mm")
    if isinstance(loop, Circle):
        radius = loop.radius_mm + by_mm
        return (Circle(loop.x_mm, loop.y_mm, radius),) if radius > _SAME_MM else ()
    if by_mm == 0.0:
        return (loop,)
    around = loop if loop.signed_area_mm2 > 0.0 else _reversed(loop)
    source = around.segments()
    raw = _shifted(source, by_mm)
    near = Near(source, abs(by_mm))
    pieces = [piece for piece in _split(raw) if near.distance(*_middle(piece)) >= abs(by_mm) - _NEAR_MM]
    return _loops(_without_stubs(pieces))


class Near:
    """Segments to which distances are asked that matter up to a reach, kept in strips by their boxes: gears have hundreds."""

    def __init__(self, segments: Sequence[Segment], reach_mm: float) -> None:
        self._strips: dict[int, list[tuple[tuple[float, float, float, float], Segment]]] = {}
        self._wide = max(1.0, 4.0 * reach_mm)
        for segment in segments:
            x0, y0, x1, y1 = _box(segment)
            box = (
                x0 - reach_mm - _SLACK_MM,
                y0 - reach_mm - _SLACK_MM,
                x1 + reach_mm + _SLACK_MM,
                y1 + reach_mm + _SLACK_MM,
            )
            for strip in range(math.floor(box[0] / self._wide), math.floor(box[2] / self._wide) + 1):
                self._strips.setdefault(strip, []).append((box, segment))

    def distance(self, x: float, y: float) -> float:
        """Distance (mm) from a point to the nearest segment; endless where none is within the reach."""
        return min(
            (
                _to_line(s, x, y) if isinstance(s, Line) else _to_arc(s, x, y)
                for (x0, y0, x1, y1), s in self._strips.get(math.floor(x / self._wide), ())
                if x0 <= x <= x1 and y0 <= y <= y1
            ),
            default=math.inf,
        )


def _to_line(line: Line, x: float, y: float) -> float:
    dx, dy = line.x1_mm - line.x0_mm, line.y1_mm - line.y0_mm
    t = max(0.0, min(1.0, ((x - line.x0_mm) * dx + (y - line.y0_mm) * dy) / (dx * dx + dy * dy)))
    return math.hypot(x - line.x0_mm - t * dx, y - line.y0_mm - t * dy)


def _to_arc(arc: Arc, x: float, y: float) -> float:
    if _part_of(arc, x, y) is not None:
        return abs(math.hypot(x - arc.cx_mm, y - arc.cy_mm) - arc.radius_mm)
    return min(math.hypot(x - ex, y - ey) for ex, ey in (arc.at(0.0), arc.at(1.0)))


def _reversed(loop: Loop) -> Loop:
    vs = loop.vertices
    return Loop(tuple(Vertex(v.x_mm, v.y_mm, -vs[i - 1].bulge) for i, v in reversed(list(enumerate(vs)))))


# ---- shift


def _ends(s: Segment) -> tuple[Point, Point]:
    if isinstance(s, Line):
        return (s.x0_mm, s.y0_mm), (s.x1_mm, s.y1_mm)
    return s.at(0.0), s.at(1.0)


def _headings(s: Segment) -> tuple[Point, Point]:
    """Unit directions at the start and at the end."""
    if isinstance(s, Line):
        d = (s.x1_mm - s.x0_mm) / s.length_mm, (s.y1_mm - s.y0_mm) / s.length_mm
        return d, d
    way = math.copysign(1.0, s.sweep_rad)
    out = []
    for angle in (s.start_rad, s.start_rad + s.sweep_rad):
        out.append((-way * math.sin(angle), way * math.cos(angle)))
    return out[0], out[1]


def _shifted(source: Sequence[Segment], by: float) -> list[Segment]:
    """Each segment moved to the right by `by` (left where negative), and the arcs round corners that open."""
    out: list[Segment] = []
    for i, segment in enumerate(source):
        moved = _shift(segment, by)
        if moved is not None:
            out.append(moved)
        following = source[(i + 1) % len(source)]
        a, b = _headings(segment)[1], _headings(following)[0]
        turn = math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
        if turn * by > _FLAT * abs(by):  # the corner opens on the side the curve is on
            x, y = _ends(segment)[1]
            start = math.atan2(-a[0] * by, a[1] * by)
            out.append(Arc(x, y, abs(by), start, turn))
    return out


def _shift(s: Segment, by: float) -> Segment | None:
    if isinstance(s, Line):
        (dx, dy), _ = _headings(s)
        return Line(s.x0_mm + by * dy, s.y0_mm - by * dx, s.x1_mm + by * dy, s.y1_mm - by * dx)
    radius = s.radius_mm + math.copysign(by, by * s.sweep_rad)
    return Arc(s.cx_mm, s.cy_mm, radius, s.start_rad, s.sweep_rad) if radius > _SAME_MM else None


# ---- split where they cross


def _box(s: Segment) -> tuple[float, float, float, float]:
    if isinstance(s, Line):
        return min(s.x0_mm, s.x1_mm), min(s.y0_mm, s.y1_mm), max(s.x0_mm, s.x1_mm), max(s.y0_mm, s.y1_mm)
    if abs(s.sweep_rad) > math.pi:
        r = s.radius_mm
        return s.cx_mm - r, s.cy_mm - r, s.cx_mm + r, s.cy_mm + r
    (ax, ay), (bx, by) = s.at(0.0), s.at(1.0)
    high = s.radius_mm * (1.0 - math.cos(s.sweep_rad / 2.0))  # it leaves its chord by no more
    return min(ax, bx) - high, min(ay, by) - high, max(ax, bx) + high, max(ay, by) + high


def _split(raw: Sequence[Segment]) -> Iterator[Segment]:
    boxes = [_box(s) for s in raw]
    cuts: list[set[float]] = [set() for _ in raw]
    for i, j in combinations(range(len(raw)), 2):
        a, b = boxes[i], boxes[j]
        if a[2] < b[0] - _SLACK_MM or b[2] < a[0] - _SLACK_MM or a[3] < b[1] - _SLACK_MM or b[3] < a[1] - _SLACK_MM:
            continue
        for x, y in _crossings(raw[i], raw[j]):
            for k in (i, j):
                part = _part_of(raw[k], x, y)
                if part is not None:
                    cuts[k].add(part)
    for segment, at in zip(raw, cuts, strict=True):
        yield from _pieces(segment, sorted(at))


def _pieces(segment: Segment, at: Sequence[float]) -> Iterator[Segment]:
    length = segment.length_mm
    stops = [0.0]
    for part in at:
        if (part - stops[-1]) * length > _SHORT_MM and (1.0 - part) * length > _SHORT_MM:
            stops.append(part)
    for a, b in pairwise([*stops, 1.0]):
        yield _between(segment, a, b)


def _between(s: Segment, a: float, b: float) -> Segment:
    if isinstance(s, Arc):
        return Arc(s.cx_mm, s.cy_mm, s.radius_mm, s.start_rad + a * s.sweep_rad, (b - a) * s.sweep_rad)
    dx, dy = s.x1_mm - s.x0_mm, s.y1_mm - s.y0_mm
    return Line(s.x0_mm + a * dx, s.y0_mm + a * dy, s.x0_mm + b * dx, s.y0_mm + b * dy)


def _part_of(s: Segment, x: float, y: float) -> float | None:
    """Which part (0 to 1) of a segment a point on its line or circle is at; None off its ends."""
    if isinstance(s, Line):
        dx, dy = s.x1_mm - s.x0_mm, s.y1_mm - s.y0_mm
        t = ((x - s.x0_mm) * dx + (y - s.y0_mm) * dy) / (dx * dx + dy * dy)
        slack = _SAME_MM / s.length_mm
        return min(1.0, max(0.0, t)) if -slack <= t <= 1.0 + slack else None
    way = math.copysign(1.0, s.sweep_rad)
    turned = (way * (math.atan2(y - s.cy_mm, x - s.cx_mm) - s.start_rad)) % math.tau
    slack = _SAME_MM / s.radius_mm
    if turned > math.tau - slack:
        turned = 0.0
    whole = abs(s.sweep_rad)
    return min(1.0, turned / whole) if turned <= whole + slack else None


def _crossings(a: Segment, b: Segment) -> list[Point]:
    """Where the lines or circles that two segments lie on meet."""
    if isinstance(a, Line) and isinstance(b, Line):
        return _line_line(a, b)
    if isinstance(a, Line) and isinstance(b, Arc):
        return _line_circle(a, b)
    if isinstance(a, Arc) and isinstance(b, Line):
        return _line_circle(b, a)
    assert isinstance(a, Arc)
    assert isinstance(b, Arc)
    return _circle_circle(a, b)


def _line_line(a: Line, b: Line) -> list[Point]:
    ax, ay = a.x1_mm - a.x0_mm, a.y1_mm - a.y0_mm
    bx, by = b.x1_mm - b.x0_mm, b.y1_mm - b.y0_mm
    det = ax * by - ay * bx
    if abs(det) <= _FLAT * a.length_mm * b.length_mm:
        ends = [*_ends(a), *_ends(b)]  # parallel: where one ends on the other
        return [p for p in ends if max(_to_line(a, *p), _to_line(b, *p)) <= _SAME_MM]
    t = ((b.x0_mm - a.x0_mm) * by - (b.y0_mm - a.y0_mm) * bx) / det
    return [(a.x0_mm + t * ax, a.y0_mm + t * ay)]


def _line_circle(line: Line, arc: Arc) -> list[Point]:
    dx, dy = (line.x1_mm - line.x0_mm) / line.length_mm, (line.y1_mm - line.y0_mm) / line.length_mm
    fx, fy = arc.cx_mm - line.x0_mm, arc.cy_mm - line.y0_mm
    along, aside = fx * dx + fy * dy, fx * dy - fy * dx
    rest = (arc.radius_mm - abs(aside)) * (arc.radius_mm + abs(aside))
    if rest < -2.0 * _SAME_MM * arc.radius_mm:
        return []
    half = math.sqrt(max(0.0, rest))
    return [(line.x0_mm + (along + h) * dx, line.y0_mm + (along + h) * dy) for h in (-half, half)]


def _circle_circle(a: Arc, b: Arc) -> list[Point]:
    dx, dy = b.cx_mm - a.cx_mm, b.cy_mm - a.cy_mm
    apart = math.hypot(dx, dy)
    if apart < _SAME_MM:
        if abs(a.radius_mm - b.radius_mm) > _SAME_MM:
            return []
        return [*_ends(a), *_ends(b)]  # one circle: where one ends on the other
    along = (apart * apart + a.radius_mm**2 - b.radius_mm**2) / (2.0 * apart)
    rest = (a.radius_mm - abs(along)) * (a.radius_mm + abs(along))
    if rest < -2.0 * _SAME_MM * a.radius_mm:
        return []
    half = math.sqrt(max(0.0, rest))
    ux, uy = dx / apart, dy / apart
    return [(a.cx_mm + along * ux - h * uy, a.cy_mm + along * uy + h * ux) for h in (-half, half)]


# ---- keep and join


def _middle(s: Segment) -> Point:
    if isinstance(s, Arc):
        return s.at(0.5)
    return (s.x0_mm + s.x1_mm) / 2.0, (s.y0_mm + s.y1_mm) / 2.0


class _Points:
    """Points by the squares that they lie in, to find those that join on to another."""

    def __init__(self, points: Sequence[Point]) -> None:
        self._points = points
        self._squares: dict[tuple[int, int], list[int]] = {}
        for k, point in enumerate(points):
            self._squares.setdefault(self._square(point), []).append(k)

    @staticmethod
    def _square(point: Point) -> tuple[int, int]:
        return math.floor(point[0] / _JOIN_MM), math.floor(point[1] / _JOIN_MM)

    def joining(self, point: Point) -> list[int]:
        """Numbers of the points that are one with this, in order."""
        u, v = self._square(point)
        near = (k for i in (-1, 0, 1) for j in (-1, 0, 1) for k in self._squares.get((u + i, v + j), ()))
        return sorted(k for k in near if math.dist(self._points[k], point) <= _JOIN_MM)


def _without_stubs(pieces: Sequence[Segment]) -> list[Segment]:
    """The pieces without short ones that lead nowhere: where a corner that closes is nearly straight, what runs on past the
    crossing is too near to the loop by less than rounding, so that only its loose end gives it away."""
    left = list(pieces)
    while True:
        ends = [_ends(s) for s in left]
        starts, stops = _Points([e[0] for e in ends]), _Points([e[1] for e in ends])
        joined = [
            s.length_mm >= _STUB_MM
            or (any(k != i for k in starts.joining(ends[i][1])) and any(k != i for k in stops.joining(ends[i][0])))
            for i, s in enumerate(left)
        ]
        if all(joined):
            return left
        left = [s for s, kept in zip(left, joined, strict=True) if kept]


def _loops(pieces: Sequence[Segment]) -> tuple[Loop | Circle, ...]:
    """Pieces joined end to start; loops of no area (a slot as wide as the cutter) are none."""
    ends = [_ends(s) for s in pieces]
    starts, left = _Points([e[0] for e in ends]), dict(enumerate(pieces))
    out: list[tuple[float, Loop | Circle]] = []
    while left:
        first = next(iter(left))
        chain, end = [left.pop(first)], ends[first][1]
        start, length = ends[first][0], chain[0].length_mm
        while length < 10.0 * _JOIN_MM or math.dist(end, start) > _JOIN_MM:
            following = [k for k in starts.joining(end) if k in left]
            if not following:
                break
            nearest = min(following, key=lambda k: math.dist(ends[k][0], end))
            chain.append(left.pop(nearest))
            length, end = length + chain[-1].length_mm, ends[nearest][1]
        if length < 10.0 * _JOIN_MM:
            continue  # a crumb
        if math.dist(end, start) > _JOIN_MM:
            raise OffsetError(f"the parallel curve does not close near ({end[0]:.3f}, {end[1]:.3f}) mm")
        made = _closed(chain)
        if made is not None:
            out.append((-made.area_mm2, made))
    return tuple(loop for _, loop in sorted(out, key=lambda pair: pair[0]))


def _closed(chain: Sequence[Segment]) -> Loop | Circle | None:
    first = chain[0]
    if isinstance(first, Arc) and all(
        isinstance(s, Arc) and math.dist((s.cx_mm, s.cy_mm), (first.cx_mm, first.cy_mm)) < _SAME_MM for s in chain
    ):
        swept = sum(s.sweep_rad for s in chain if isinstance(s, Arc))
        if abs(abs(swept) - math.tau) < 1e-6:
            return Circle(first.cx_mm, first.cy_mm, first.radius_mm)
    vertices = []
    for segment in (s for s in chain if s.length_mm > _JOIN_MM):
        (x, y), _ = _ends(segment)
        vertices.append(Vertex(x, y, math.tan(segment.sweep_rad / 4.0) if isinstance(segment, Arc) else 0.0))
    if len(vertices) < 3 and not any(v.bulge for v in vertices):
        return None
    loop = Loop(tuple(vertices))
    return loop if loop.area_mm2 > 1e-3 else None
