"""Where two pieces meet at an angle along a line: an edge of one on a face or an edge of the other, open on both sides.

Looked at along the line each piece is a sector: an edge fills the angle between its two faces, a face met in its middle
the half plane behind it. Where the two sectors leave no gap on one side, faces lie on each other and it is a seam; where they
leave one on either side only the line touches. All is taken from the placed outlines, without the kernel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from assemblies.design.model import Design, FlatPart, Placed, flat_parts
from assemblies.fit.faces import FlatFace, Point2, flat_faces, walls
from assemblies.fit.joints import joint_kind
from parts.shape.outline import Line, Loop
from parts.stock.rules import rule
from parts.vectors import Vector, dot

__all__ = ["LineContact", "line_contacts"]

_FLAT_DEG = math.degrees(math.acos(1.0 - 5e-5))  # faces nearer to parallel make a seam (as in `seams`)
_SQUARE = 1e-3  # sine of the angle at which a line may stand to a face, or to another line, that it lies on
_LEAST_MM = 1.0  # judgement: shorter is a corner touching
_HALF_TURN = 180.0


@dataclass(frozen=True, kw_only=True)
class LineContact:
    """A line along which two pieces touch, and nowhere beside it.

    Attributes:
        a, b: the instances; a stands earlier in the design.
        length_mm: of the line, without openings.
        apart_mm: how far the two are from each other there at most, 0 where they touch.
        gaps_deg: the angles at which the faces open on both sides of the line, the smaller first.
    """

    a: str
    b: str
    length_mm: float
    apart_mm: float
    gaps_deg: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class _Edge:
    """A straight edge: its ends, its unit direction, the middle direction of the material about it and half its angle."""

    start: Vector
    end: Vector
    along: Vector
    into: Vector
    half_deg: float


def line_contacts(design: Design) -> tuple[LineContact, ...]:
    """Every line along which two instances meet at an angle; those of joints that are not bonded are left out."""
    reach, near = rule("seam_search"), rule("gap_stop")
    loose = {frozenset((j.a, j.b)) for j in design.joints if not joint_kind(j.kind).bonded}
    faces = {p.name: flat_faces(p) for p in design.placed}  # refuses what has other edges than its outline's
    edges = {p.name: tuple(e for part in flat_parts(p) for e in _edges(part)) for p in design.placed}
    found = []
    for one, other in _pairs(design.placed, reach):
        if frozenset((one, other)) in loose:
            continue
        for a, b in ((one, other), (other, one)):
            found += [c for e in edges[a] for f in faces[b] if (c := _on_face(one, other, e, f, reach, near))]
        found += [c for e in edges[one] for f in edges[other] if (c := _on_edge(one, other, e, f, near))]
    return tuple(found)


def _pairs(placed: Sequence[Placed], reach: float) -> Iterator[tuple[str, str]]:
    """Instances whose boxes, grown by the reach, meet; in the design's order."""
    boxes = [p.box for p in placed]
    for i, (low, high) in enumerate(boxes):
        for j in range(i + 1, len(boxes)):
            start, end = boxes[j]
            if all(low[k] - reach <= end[k] and start[k] - reach <= high[k] for k in range(3)):
                yield placed[i].name, placed[j].name


def _edges(part: FlatPart) -> Iterator[_Edge]:
    """The straight edges round sheet faces and mouths of pockets, and those across the thickness at corners that stand out."""
    placed = part.placed
    thick = placed.piece.thickness_mm
    for loop, outward, low, high in walls(placed.piece):
        if not isinstance(loop, Loop):
            continue
        if placed.piece.bevels and loop is placed.piece.outline.outer:
            yield from _bevelled_edges(placed)
            continue
        turn = outward * math.copysign(1.0, loop.signed_area_mm2)
        segments = loop.segments()
        for before, line in pairwise((segments[-1], *segments)):
            if not isinstance(line, Line) or part.goes_on((line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm)):
                continue
            du, dv = _direction(line)
            rims = [
                (w, inward) for w, inward in ((0.0, 1.0), (thick, -1.0)) if w in (low, high)
            ]  # not a pocket's floor
            for w, inward in rims:
                ends = placed.world(line.x0_mm, line.y0_mm, w), placed.world(line.x1_mm, line.y1_mm, w)
                yield _edge(placed, ends, (-turn * dv, turn * du, 0.0), (0.0, 0.0, inward))
            if isinstance(before, Line) and not part.goes_on((line.x0_mm, line.y0_mm), (line.x0_mm, line.y0_mm)):
                bu, bv = _direction(before)
                if turn * (bu * dv - bv * du) > 1e-6:
                    ends = placed.world(line.x0_mm, line.y0_mm, low), placed.world(line.x0_mm, line.y0_mm, high)
                    yield _edge(placed, ends, (du, dv, 0.0), (-bu, -bv, 0.0))


def _bevelled_edges(placed: Placed) -> Iterator[_Edge]:
    """The edges round both faces of a piece with bevels, and those across its thickness at corners that stand out."""
    piece = placed.piece
    near, far = (piece.outer_at(share).points() for share in (0.0, 1.0))
    outer = piece.outline.outer
    turn = math.copysign(1.0, outer.signed_area_mm2) if isinstance(outer, Loop) else 1.0
    slopes = {bevel.edge: math.tan(bevel.angle_rad) * (1.0 if bevel.side == "far" else -1.0) for bevel in piece.bevels}
    ways = [_unit((q[0] - p[0], q[1] - p[1], 0.0)) for p, q in zip(near, (*near[1:], near[0]), strict=True)]
    thick = piece.thickness_mm
    for k, (du, dv, _) in enumerate(ways):
        after, slope = (k + 1) % len(near), slopes.get(k, 0.0)
        down = _unit((turn * dv * slope, -turn * du * slope, -1.0))
        inward = (-turn * dv, turn * du, 0.0)
        yield _edge(placed, (placed.world(*far[k], thick), placed.world(*far[after], thick)), inward, down)
        yield _edge(placed, (placed.world(*near[k], 0.0), placed.world(*near[after], 0.0)), inward, _back(down))
        before = ways[k - 1]
        if turn * (before[0] * dv - before[1] * du) > 1e-6:
            line = _unit((far[k][0] - near[k][0], far[k][1] - near[k][1], thick))
            faces = (_across((du, dv, 0.0), line), _across(_back(before), line))
            yield _edge(placed, (placed.world(*near[k], 0.0), placed.world(*far[k], thick)), *faces)


def _unit(v: Vector) -> Vector:
    size = math.sqrt(dot(v, v))
    return v[0] / size, v[1] / size, v[2] / size


def _back(v: Vector) -> Vector:
    return -v[0], -v[1], -v[2]


def _across(v: Vector, line: Vector) -> Vector:
    """What of a direction stands square to a line, of length 1."""
    part = dot(v, line)
    return _unit((v[0] - part * line[0], v[1] - part * line[1], v[2] - part * line[2]))


def _direction(line: Line) -> Point2:
    return (line.x1_mm - line.x0_mm) / line.length_mm, (line.y1_mm - line.y0_mm) / line.length_mm


def _edge(placed: Placed, ends: tuple[Vector, Vector], one: Vector, other: Vector) -> _Edge:
    """An edge from its ends and the directions, in the piece's own axes, in which its two faces go from it."""
    u, v, w = (p + q for p, q in zip(one, other, strict=True))
    size = math.sqrt(u * u + v * v + w * w)
    x, y, z = ((u * a + v * b + w * c) / size for a, b, c in zip(placed.x, placed.y, placed.z, strict=True))
    step = _minus(ends[1], ends[0])
    length = math.sqrt(dot(step, step))
    along = step[0] / length, step[1] / length, step[2] / length
    return _Edge(start=ends[0], end=ends[1], along=along, into=(x, y, z), half_deg=_angle(dot(one, other)) / 2.0)


def _minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _angle(cosine: float) -> float:
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def _gaps(between_deg: float, half_deg: float, other_deg: float) -> tuple[float, float] | None:
    """What two sectors leave open about a line, on both sides; None where faces lie on each other, or the pieces in."""
    smaller = between_deg - half_deg - other_deg
    return (smaller, 2.0 * _HALF_TURN - between_deg - half_deg - other_deg) if smaller > _FLAT_DEG else None


def _on_face(one: str, other: str, edge: _Edge, face: FlatFace, reach: float, near: float) -> LineContact | None:
    """An edge on a face, away from the face's own edges."""
    if abs(dot(edge.along, face.normal)) > _SQUARE:
        return None
    gaps = _gaps(_angle(-dot(edge.into, face.normal)), edge.half_deg, _HALF_TURN / 2.0)
    high = [dot(_minus(end, face.origin), face.normal) for end in (edge.start, edge.end)]
    if gaps is None or max(high) >= reach - 1e-6 or min(high) <= -min(reach, face.depth_mm) + 1e-6:
        return None
    length = _inside(face, face.local(edge.start), face.local(edge.end), near)
    if length < _LEAST_MM:
        return None
    return LineContact(a=one, b=other, length_mm=length, apart_mm=max(0.0, *high), gaps_deg=gaps)


def _inside(face: FlatFace, start: Point2, end: Point2, near: float) -> float:
    """How much of a segment lies on a face, further from the face's edges than `near`."""
    loops = (face.polygon, *face.cut_outs)
    length = math.dist(start, end)
    cuts = {0.0, 1.0}
    for loop in loops:
        for p, q in pairwise((loop[-1], *loop)):
            cuts |= _crossing(start, end, p, q)
    for x, y, r in face.circles:
        cuts |= _circle_crossings(start, end, x, y, r)
    total = 0.0
    for low, high in pairwise(sorted(cuts)):
        t = (low + high) / 2.0
        middle = start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])
        on = _within(face.polygon, middle) and not any(_within(loop, middle) for loop in face.cut_outs)
        on = on and all(math.dist(middle, (x, y)) > r for x, y, r in face.circles)
        if on and all(_off(middle, p, q) > near for loop in loops for p, q in pairwise((loop[-1], *loop))):
            total += (high - low) * length
    return total


def _crossing(start: Point2, end: Point2, p: Point2, q: Point2) -> set[float]:
    du, dv, eu, ev = end[0] - start[0], end[1] - start[1], q[0] - p[0], q[1] - p[1]
    area = du * ev - dv * eu
    if abs(area) <= 1e-12:
        return set()
    wu, wv = p[0] - start[0], p[1] - start[1]
    t, s = (wu * ev - wv * eu) / area, (wu * dv - wv * du) / area
    return {t} if 0.0 < t < 1.0 and -1e-9 <= s <= 1.0 + 1e-9 else set()


def _circle_crossings(start: Point2, end: Point2, x: float, y: float, r: float) -> set[float]:
    du, dv, wu, wv = end[0] - start[0], end[1] - start[1], start[0] - x, start[1] - y
    a, b, c = du * du + dv * dv, du * wu + dv * wv, wu * wu + wv * wv - r * r
    root = b * b - a * c
    return {t for sign in (-1.0, 1.0) if 0.0 < (t := (-b + sign * math.sqrt(root)) / a) < 1.0} if root > 0.0 else set()


def _within(polygon: Sequence[Point2], point: Point2) -> bool:
    """Even-odd rule."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in pairwise((polygon[-1], *polygon)):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _off(point: Point2, p: Point2, q: Point2) -> float:
    """Distance from a point to a segment."""
    eu, ev = q[0] - p[0], q[1] - p[1]
    square = eu * eu + ev * ev
    t = 0.0 if square == 0.0 else max(0.0, min(1.0, ((point[0] - p[0]) * eu + (point[1] - p[1]) * ev) / square))
    return math.hypot(point[0] - p[0] - t * eu, point[1] - p[1] - t * ev)


def _on_edge(one: str, other: str, edge: _Edge, beside: _Edge, near: float) -> LineContact | None:
    """Two edges along each other."""
    if abs(dot(edge.along, beside.along)) < 1.0 - _SQUARE * _SQUARE:
        return None
    gaps = _gaps(_angle(dot(edge.into, beside.into)), edge.half_deg, beside.half_deg)
    if gaps is None:
        return None
    steps = [_minus(end, edge.start) for end in (beside.start, beside.end)]
    places = [dot(step, edge.along) for step in steps]
    apart = max(math.sqrt(max(0.0, dot(s, s) - t * t)) for s, t in zip(steps, places, strict=True))
    whole = dot(_minus(edge.end, edge.start), edge.along)
    length = min(whole, max(places)) - max(0.0, min(places))
    if apart > near or length < _LEAST_MM:
        return None
    return LineContact(a=one, b=other, length_mm=length, apart_mm=apart, gaps_deg=gaps)
