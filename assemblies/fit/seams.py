"""Seams: where two pieces face each other, found from the placed outlines alone, without the kernel.

Two flat faces of different instances make a seam when their normals are opposite, they lie within the search
distance of each other and their outlines overlap. The gap is signed: positive is air, negative means the pieces run
into each other. Sheet may be as thin as the search distance: faces that a third piece lies between, and faces that lie
behind the whole of the other piece, do not face each other. What meets on a round wall is found in `curved`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design, Joint
from assemblies.fit.curved import along_seams, saddle_seams
from assemblies.fit.faces import FlatFace, Point2, RoundFace, Seam, flat_faces, round_faces
from parts.stock.rules import rule
from parts.vectors import Vector, dot

__all__ = ["GROOVE_SIDE", "Miss", "Seam", "nearest_miss", "seams"]

#: Of a tube in its groove, whose floor alone is bonded: its sides have play.
GROOVE_SIDE: Final = "groove side"

_OPPOSITE = 5e-5  # how far from -1 the product of two unit normals may be: faces up to 0.57 degrees apart
_LEAST_AREA_MM2 = 1e-3  # smaller overlaps are corners touching
_SLACK_MM = 1e-6
_RING = 0.5  # of what its boundary holds; judgement: a seam with a larger opening is a ring


def seams(design: Design, search_mm: float | None = None) -> tuple[Seam, ...]:
    """Every seam of the design, each once.

    Args:
        design: placed pieces at any orientation.
        search_mm: faces this near face each other; the shop rule `seam_search` by default.
    """
    reach = rule("seam_search") if search_mm is None else search_mm
    order = {p.name: i for i, p in enumerate(design.placed)}
    kinds = {frozenset((j.a, j.b)): j for j in design.joints}
    flats = [f for p in design.placed for f in flat_faces(p)]
    rounds = [f for p in design.placed for f in round_faces(p)]
    thin = [f for f in flats if f.depth_mm <= 2.0 * reach]
    found = []
    for a, b in _near_pairs(flats, reach):
        seam = _flat_seam(a, b, reach, order, kinds)
        if seam is not None and not _parted(seam, a if a.piece == seam.a else b, thin):
            found.append(seam)
    for i, one in enumerate(rounds):
        for other in rounds[i + 1 :]:
            seam = _round_seam(one, other, reach, order, kinds)
            if seam is not None:
                found.append(seam)
    found += [*along_seams(design), *saddle_seams(design)]
    found.sort(key=lambda s: (order[s.a], order[s.b], s.centre))
    return tuple(Seam(**{**s.__dict__, "id": f"S{i}"}) for i, s in enumerate(found, start=1))


@dataclass(frozen=True, kw_only=True)
class Miss:
    """Two parallel faces that look at each other and do not meet: instances, faces, and how far they are apart.

    `gap_mm` is under 0 where they have gone past each other.
    """

    a: str
    b: str
    a_end: str
    b_end: str
    gap_mm: float


def nearest_miss(design: Design, names: Collection[str]) -> Miss | None:
    """The faces of these instances and of the others that miss each other by least; None where none look at each other."""
    flats = [f for p in design.placed for f in flat_faces(p)]
    found: list[Miss] = []
    for a in (f for f in flats if f.piece in names):
        for b in (f for f in flats if f.piece not in names and dot(f.normal, a.normal) < -1.0 + _OPPOSITE):
            overlap = _overlap(a, b, tuple(a.local(b.world(p)) for p in reversed(b.polygon)))
            gap = _gap(a, b, a.world(_centre(overlap[0]))) if overlap else -math.inf
            if gap > -min(a.depth_mm, b.depth_mm):
                found.append(Miss(a=a.piece, b=b.piece, a_end=a.end, b_end=b.end, gap_mm=gap))
    return min(found, key=lambda miss: abs(miss.gap_mm), default=None)


def _near_pairs(faces: Sequence[FlatFace], reach: float) -> list[tuple[FlatFace, FlatFace]]:
    """Pairs of faces of different instances whose boxes, grown by the reach, meet: sorted sweep along x."""
    ordered = sorted(faces, key=lambda f: f.low[0])
    live: list[FlatFace] = []
    out = []
    for face in ordered:
        live = [other for other in live if other.high[0] + reach >= face.low[0]]
        for other in live:
            if (
                other.piece != face.piece
                and dot(other.normal, face.normal) < -1.0 + _OPPOSITE
                and other.low[1] - reach <= face.high[1]
                and face.low[1] - reach <= other.high[1]
                and other.low[2] - reach <= face.high[2]
                and face.low[2] - reach <= other.high[2]
            ):
                out.append((other, face))
        live.append(face)
    return out


def _vector(components: Iterable[float]) -> Vector:
    x, y, z = components
    return x, y, z


def _kind(a: str, b: str, kinds: dict[frozenset[str], Joint]) -> str:
    joint = kinds.get(frozenset((a, b)))
    return joint.kind if joint else "bonded"


def _flat_seam(
    one: FlatFace, other: FlatFace, reach: float, order: dict[str, int], kinds: dict[frozenset[str], Joint]
) -> Seam | None:
    a, b = (one, other) if order[one.piece] < order[other.piece] else (other, one)
    mapped = tuple(a.local(b.world(p)) for p in reversed(b.polygon))
    overlap = _overlap(a, b, mapped)
    if overlap is None:
        return None
    corners, area = overlap
    gaps = [_gap(a, b, a.world(corner)) for corner in corners]
    if min(abs(gap) for gap in gaps) > reach:
        return None
    gap = max(gaps, key=abs)
    if max(gaps) <= -min(a.depth_mm, b.depth_mm) + _SLACK_MM:
        return None
    length, width, along = _extent(corners)
    whole = _area(corners)
    if area < _RING * whole:  # what is left about a large opening: as long as it is around
        length = (1.0 + math.sqrt(1.0 - area / whole)) / 2.0 * _around(corners)
        width = area / length
    middle = _centre(corners)
    direction = _vector(along[0] * a.e1[k] + along[1] * a.e2[k] for k in range(3))
    return Seam(
        id="",
        a=a.piece,
        b=b.piece,
        a_end=a.end,
        b_end=b.end,
        kind=_kind(a.piece, b.piece, kinds),
        normal=a.normal,
        centre=a.world(middle),
        along=direction,
        length_mm=length,
        width_mm=width,
        area_mm2=area,
        gap_mm=gap,
        corners=tuple(a.world(p) for p in corners),
    )


def _parted(seam: Seam, face: FlatFace, thin: Sequence[FlatFace]) -> bool:
    """Whether a third piece, thin enough, lies between the two faces of a seam.

    Args:
        seam: with its gap.
        face: the one of a.
        thin: every face of the design behind which the piece is thin enough to go between, cut a little too thick or not.
    """
    for other in thin if seam.gap_mm > _SLACK_MM else ():
        if other.piece in (seam.a, seam.b) or dot(other.normal, face.normal) > -1.0 + _OPPOSITE:
            continue
        middle = _gap(face, other, seam.centre) + other.depth_mm / 2.0
        if 0.0 < middle < seam.gap_mm and _covers(face, other, [face.local(corner) for corner in seam.corners]):
            return True
    return False


def _covers(face: FlatFace, other: FlatFace, corners: Sequence[Point2]) -> bool:
    """Whether any of an area of one face lies over another face, seen along its normal."""
    mapped = tuple(face.local(other.world(p)) for p in reversed(other.polygon))
    if _is_convex(mapped) and not other.cut_outs:
        part = _clip(corners, mapped)
        return bool(part) and _area(part) > _LEAST_AREA_MM2
    from shapely import Polygon

    holes = [[face.local(other.world(p)) for p in loop] for loop in other.cut_outs]
    return float(Polygon(mapped, holes).intersection(Polygon(corners)).area) > _LEAST_AREA_MM2


def _gap(a: FlatFace, b: FlatFace, point: Vector) -> float:
    """How far along a's normal b's plane lies from a point of a's plane."""
    step = _vector(b.origin[k] - point[k] for k in range(3))
    return dot(step, b.normal) / dot(a.normal, b.normal)


def _is_convex(polygon: Sequence[Point2]) -> bool:
    n = len(polygon)
    for i in range(n):
        (ax, ay), (bx, by), (cx, cy) = polygon[i], polygon[(i + 1) % n], polygon[(i + 2) % n]
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < -1e-9:
            return False
    return True


def _clip(subject: Sequence[Point2], clip: Sequence[Point2]) -> list[Point2]:
    """Sutherland-Hodgman: the part of a polygon inside a convex counter-clockwise one."""
    out = list(subject)
    n = len(clip)
    for i in range(n):
        (ax, ay), (bx, by) = clip[i], clip[(i + 1) % n]
        side = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in out]
        kept: list[Point2] = []
        for j, (p, d) in enumerate(zip(out, side, strict=True)):
            q, e = out[j - 1], side[j - 1]
            if (d >= 0.0) != (e >= 0.0):
                t = e / (e - d)
                kept.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
            if d >= 0.0:
                kept.append(p)
        out = kept
        if len(out) < 3:
            return []
    return out


def _around(polygon: Sequence[Point2]) -> float:
    return math.fsum(math.dist(point, polygon[i - 1]) for i, point in enumerate(polygon))


def _area(polygon: Sequence[Point2]) -> float:
    total = 0.0
    for i, (x, y) in enumerate(polygon):
        px, py = polygon[i - 1]
        total += px * y - x * py
    return total / 2.0


def _inside(polygon: Sequence[Point2], x: float, y: float, r: float) -> bool | None:
    """True when the circle lies wholly in a convex polygon, False when wholly outside, None when it crosses."""
    least = math.inf
    for i, (bx, by) in enumerate(polygon):
        ax, ay = polygon[i - 1]
        length = math.hypot(bx - ax, by - ay)
        if length > 1e-12:
            least = min(least, ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length)
    return True if least >= r else False if least <= -r else None


def _overlap(a: FlatFace, b: FlatFace, mapped: tuple[Point2, ...]) -> tuple[list[Point2], float] | None:
    """The overlap's outer boundary in a's frame, and its area without openings; None when there is none."""
    if not (_is_convex(a.polygon) and _is_convex(mapped)) or a.cut_outs or b.cut_outs:
        return _overlap_general(a, b, mapped)
    corners = _clip(mapped, a.polygon)
    area = _area(corners) if corners else 0.0
    if area < _LEAST_AREA_MM2:
        return None
    openings: list[tuple[float, float, float]] = []
    for x, y, r in [*a.circles, *((*a.local(b.world((x, y))), r) for x, y, r in b.circles)]:
        where = _inside(corners, x, y, r)
        more = _add_opening(openings, (x, y, r)) if where else openings
        if where is None or more is None:
            return _overlap_general(a, b, mapped)
        openings = more
    return corners, area - sum(math.pi * r * r for _, _, r in openings)


def _add_opening(
    openings: list[tuple[float, float, float]], new: tuple[float, float, float]
) -> list[tuple[float, float, float]] | None:
    """Openings of both faces that lie in each other count once, by the larger; None when two cross."""
    x, y, r = new
    kept = []
    for opening in openings:
        ox, oy, other = opening
        apart = math.hypot(ox - x, oy - y)
        if apart + r <= other + 1e-9:
            return openings
        if apart + other <= r + 1e-9:
            continue
        if apart < r + other:
            return None
        kept.append(opening)
    return [*kept, new]


def _overlap_general(a: FlatFace, b: FlatFace, mapped: tuple[Point2, ...]) -> tuple[list[Point2], float] | None:
    from shapely import Point, Polygon, unary_union

    openings = [Polygon(loop) for loop in a.cut_outs]
    openings += [Polygon([a.local(b.world(p)) for p in loop]) for loop in b.cut_outs]
    openings += [Point(x, y).buffer(r, quad_segs=64) for x, y, r in a.circles]
    openings += [Point(*a.local(b.world((x, y)))).buffer(r, quad_segs=64) for x, y, r in b.circles]
    shape = Polygon(a.polygon).intersection(Polygon(mapped)).difference(unary_union(openings))
    if shape.area < _LEAST_AREA_MM2:
        return None
    hull = shape.convex_hull if shape.geom_type != "Polygon" else Polygon(shape.exterior)
    return [(float(x), float(y)) for x, y in hull.exterior.coords[:-1]], float(shape.area)


def _extent(polygon: Sequence[Point2]) -> tuple[float, float, Point2]:
    """Length, width and long direction of the smallest box that has a side on one of the polygon's sides."""
    best = (math.inf, 0.0, 0.0, (1.0, 0.0))
    for i, (bx, by) in enumerate(polygon):
        ax, ay = polygon[i - 1]
        side = math.hypot(bx - ax, by - ay)
        if side < 1e-9:
            continue
        ux, uy = (bx - ax) / side, (by - ay) / side
        along = [x * ux + y * uy for x, y in polygon]
        across = [y * ux - x * uy for x, y in polygon]
        one, two = max(along) - min(along), max(across) - min(across)
        if one * two < best[0] - 1e-9:
            best = (one * two, one, two, (ux, uy)) if one >= two else (one * two, two, one, (-uy, ux))
    return best[1], best[2], best[3]


def _centre(polygon: Sequence[Point2]) -> Point2:
    area = _area(polygon)
    cx = cy = 0.0
    for i, (x, y) in enumerate(polygon):
        px, py = polygon[i - 1]
        w = px * y - x * py
        cx += (px + x) * w
        cy += (py + y) * w
    return cx / (6.0 * area), cy / (6.0 * area)


def _round_seam(
    one: RoundFace, other: RoundFace, reach: float, order: dict[str, int], kinds: dict[frozenset[str], Joint]
) -> Seam | None:
    """A rim in a round opening on the same axis: the gap is the difference of the radii."""
    if one.piece == other.piece or one.hollow == other.hollow:
        return None
    if abs(abs(dot(one.axis, other.axis)) - 1.0) > _OPPOSITE:
        return None
    hole, rim = (one, other) if one.hollow else (other, one)
    step = _vector(rim.centre[k] - hole.centre[k] for k in range(3))
    up = dot(step, hole.axis)
    aside = math.sqrt(max(0.0, sum(c * c for c in step) - up * up))
    gap = hole.radius_mm - rim.radius_mm - aside
    if abs(gap) > reach:
        return None
    ends = sorted((up, up + rim.length_mm * dot(rim.axis, hole.axis)))
    low, high = max(0.0, ends[0]), min(hole.length_mm, ends[1])
    if high - low < 1e-6:
        return None
    a, b = (one, other) if order[one.piece] < order[other.piece] else (other, one)
    middle = (low + high) / 2.0
    centre = _vector(hole.centre[k] + middle * hole.axis[k] for k in range(3))
    around, kind = math.tau * rim.radius_mm, _kind(a.piece, b.piece, kinds)
    return Seam(
        id="",
        a=a.piece,
        b=b.piece,
        a_end="round",
        b_end="round",
        kind=GROOVE_SIDE if kind == "groove" else kind,
        normal=hole.axis,
        centre=centre,
        along=hole.axis,
        length_mm=around,
        width_mm=high - low,
        area_mm2=around * (high - low),
        gap_mm=gap,
        corners=(),
    )
