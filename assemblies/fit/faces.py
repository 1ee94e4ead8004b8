"""The flat and round faces of placed pieces, in the world, and what a seam between two of them is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from assemblies.design.model import FlatPart, Placed, flat_parts
from parts.shape.outline import Circle, Line, Loop
from parts.shape.part import require
from parts.shape.piece import Piece, holds
from parts.vectors import Vector, _minus, cross, dot

__all__ = ["FlatFace", "Point2", "RoundFace", "Seam", "flat_faces", "round_faces", "walls"]

Point2 = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class FlatFace:
    """A plane face, its normal out of the material.

    Attributes:
        piece: the instance's name.
        origin, normal, e1, e2: a right-handed frame in the world; e1 x e2 = normal.
        polygon: the face's outer boundary in (e1, e2), counter-clockwise.
        circles: round openings in it (x, y, radius).
        cut_outs: other openings, as polygons.
        depth_mm: how far the piece reaches behind the face, at most (the sheet's thickness behind its own two faces).
        end: `near` and `far` for the sheet's own faces, `pocket` for the floor of one, else `x-`, `x+`, `y-`, `y+`,
            `edge` or `bevel`.
        low, high: world bounding box.
    """

    piece: str
    origin: Vector
    normal: Vector
    e1: Vector
    e2: Vector
    polygon: tuple[Point2, ...]
    circles: tuple[tuple[float, float, float], ...] = ()
    cut_outs: tuple[tuple[Point2, ...], ...] = ()
    depth_mm: float
    end: str
    low: Vector
    high: Vector

    def world(self, point: Point2) -> Vector:
        a, b = point
        o, e1, e2 = self.origin, self.e1, self.e2
        return (o[0] + a * e1[0] + b * e2[0], o[1] + a * e1[1] + b * e2[1], o[2] + a * e1[2] + b * e2[2])

    def local(self, point: Vector) -> Point2:
        d = (point[0] - self.origin[0], point[1] - self.origin[1], point[2] - self.origin[2])
        return dot(d, self.e1), dot(d, self.e2)


@dataclass(frozen=True, kw_only=True)
class Seam:
    """Two faces that meet.

    Attributes:
        id: `S1`, `S2`, ... in the order of the instances.
        a, b: the instances; a stands earlier in the design.
        a_end, b_end: which face of each (`near`, `far`, `x-`, ... as in `FlatFace.end`, `round` or `along`).
        kind: of its joint (`assemblies.fit.joints`): `bonded` unless the design says otherwise.
        normal: unit normal of a's face, out of a (the axis for round seams).
        centre: world centre of the overlap.
        along: world direction of the long side of the overlap.
        length_mm, width_mm, area_mm2: of the overlap; area without holes.
        gap_mm: distance between the faces along the normal; negative when they overlap. Of faces that lie askew the
            greatest, in or out, over the corners of the overlap.
        corners: the overlap's boundary in the world, on a's face (empty for round seams).
    """

    id: str
    a: str
    b: str
    a_end: str
    b_end: str
    kind: str
    normal: Vector
    centre: Vector
    along: Vector
    length_mm: float
    width_mm: float
    area_mm2: float
    gap_mm: float
    corners: tuple[Vector, ...]


def _face(
    placed: Placed,
    origin: Vector,
    normal: Vector,
    e1: Vector,
    polygon: tuple[Point2, ...],
    end: str,
    depth_mm: float,
    circles: tuple[tuple[float, float, float], ...] = (),
    cut_outs: tuple[tuple[Point2, ...], ...] = (),
) -> FlatFace:
    e2 = cross(normal, e1)
    corners = [tuple(origin[k] + a * e1[k] + b * e2[k] for k in range(3)) for a, b in polygon]
    low = (min(c[0] for c in corners), min(c[1] for c in corners), min(c[2] for c in corners))
    high = (max(c[0] for c in corners), max(c[1] for c in corners), max(c[2] for c in corners))
    return FlatFace(
        piece=placed.name,
        origin=origin,
        normal=normal,
        e1=e1,
        e2=e2,
        polygon=polygon,
        circles=circles,
        cut_outs=cut_outs,
        depth_mm=depth_mm,
        end=end,
        low=low,
        high=high,
    )


def _openings(
    placed: Placed, far: bool, within: Loop | Circle | None = None
) -> tuple[list[tuple[float, float, float]], list[tuple[Point2, ...]]]:
    """What opens on the near or the far face, or on an island there, in the piece's own axes: circles (x, y, radius), and
    other loops."""
    piece, opening = placed.piece, []
    for hole in piece.holes:
        if hole.depth_mm is None or (hole.side == "far") == far:
            sunk = hole.kind == "countersunk" and (hole.side == "far") == far
            wide = hole.sink_mm if sunk and hole.sink_mm is not None else hole.bore_mm
            opening.append(Circle(hole.x_mm, hole.y_mm, wide / 2.0))
    loops = [*opening, *piece.outline.inner, *(p.outline for p in piece.pockets if (p.side == "far") == far)]
    return _split(loop for loop in loops if within is None or holds(within, loop))


def _split(loops: Iterable[Loop | Circle]) -> tuple[list[tuple[float, float, float]], list[tuple[Point2, ...]]]:
    """Circles as (x, y, radius), and the points of what is none."""
    kept = list(loops)
    circles = [(c.x_mm, c.y_mm, c.radius_mm) for c in kept if isinstance(c, Circle)]
    return circles, [loop.points() for loop in kept if isinstance(loop, Loop)]


def _sheet_faces(placed: Placed) -> Iterator[FlatFace]:
    """The sheet's own two faces, and the floors of its pockets."""
    piece = placed.piece
    thick = piece.thickness_mm
    for far in (True, False):
        yield _level(
            placed,
            piece.outer_at(1.0 if far else 0.0),
            thick if far else 0.0,
            far,
            *_openings(placed, far),
            thick,
            "end" if piece.is_tube else "far" if far else "near",
        )
    for pocket in piece.pockets:
        far = pocket.side == "far"
        low, high = pocket.span_mm(thick)
        circles, cut_outs = _split(pocket.islands)
        yield _level(
            placed, pocket.outline, low if far else high, far, circles, cut_outs, thick - pocket.depth_mm, "pocket"
        )
        for island in pocket.islands:
            own = _openings(placed, far, island)
            yield _level(placed, island, thick if far else 0.0, far, *own, thick, "far" if far else "near")


def _level(
    placed: Placed,
    loop: Loop | Circle,
    w_mm: float,
    far: bool,
    circles: Sequence[tuple[float, float, float]],
    cut_outs: Sequence[tuple[Point2, ...]],
    depth_mm: float,
    end: str,
) -> FlatFace:
    """A face square to the sheet at a height, looking the way of the far or of the near face."""
    outer = loop.points()
    if isinstance(loop, Loop) and loop.signed_area_mm2 < 0.0:
        outer = tuple(reversed(outer))
    if far:
        return _face(
            placed, placed.world(0, 0, w_mm), placed.z, placed.x, outer, end, depth_mm, tuple(circles), tuple(cut_outs)
        )
    # Seen from below the face is its mirror image: e1 = -x keeps the frame right-handed about -z.
    return _face(
        placed,
        placed.world(0, 0, w_mm),
        _minus(placed.z),
        _minus(placed.x),
        tuple((-u, v) for u, v in reversed(outer)),
        end,
        depth_mm,
        tuple((-u, v, r) for u, v, r in circles),
        tuple(tuple((-u, v) for u, v in reversed(loop)) for loop in cut_outs),
    )


def _edge_end(normal_u: float, normal_v: float) -> str:
    for word, u, v in (("x-", -1, 0), ("x+", 1, 0), ("y-", 0, -1), ("y+", 0, 1)):
        if abs(normal_u - u) < 1e-9 and abs(normal_v - v) < 1e-9:
            return word
    return "edge"


def walls(piece: Piece) -> Iterator[tuple[Loop | Circle, float, float, float]]:
    """Each loop that makes walls: 1 round the material or -1 round an opening, and from and to which height."""
    thick = piece.thickness_mm
    yield piece.outline.outer, 1.0, 0.0, thick
    yield from ((loop, -1.0, 0.0, thick) for loop in piece.outline.inner)
    for pocket in piece.pockets:
        yield pocket.outline, -1.0, *pocket.span_mm(thick)
        yield from ((island, 1.0, *pocket.span_mm(thick)) for island in pocket.islands)


def _bevelled_faces(placed: Placed) -> Iterator[FlatFace]:
    """The straight edges of a piece with bevels, square ones too, each with its own slope."""
    piece = placed.piece
    thick, outer = piece.thickness_mm, piece.outline.outer
    near, far = (piece.outer_at(share).points() for share in (0.0, 1.0))
    turn = -1.0 if isinstance(outer, Loop) and outer.signed_area_mm2 < 0.0 else 1.0
    slopes = {bevel.edge: math.tan(bevel.angle_rad) * (1.0 if bevel.side == "far" else -1.0) for bevel in piece.bevels}
    for k, (a, b, c, d) in enumerate(zip(near, (*near[1:], near[0]), (*far[1:], far[0]), far, strict=True)):
        if turn < 0.0:
            a, b, c, d = b, a, d, c
        length = math.dist(a, b)
        du, dv = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        slope = slopes.get(k, 0.0)
        lean = math.hypot(1.0, slope)
        n, e1 = (dv / lean, -du / lean, slope / lean), _turned(placed, (du, dv, 0.0))
        flat = [
            ((p[0] - a[0]) * du + (p[1] - a[1]) * dv, high)
            for p, high in ((a, 0.0), (b, 0.0), (c, lean * thick), (d, lean * thick))
        ]
        width, height = piece.outline.size_mm
        yield _face(
            placed,
            placed.world(*a, 0.0),
            _turned(placed, n),
            e1,
            tuple(flat),
            _edge_end(dv, -du) if not slope else "bevel",
            abs(dv) * width + abs(du) * height,
        )


def _turned(placed: Placed, way: Vector) -> Vector:
    """A way in the piece's own axes, in the world."""
    x, y, z = (way[0] * placed.x[k] + way[1] * placed.y[k] + way[2] * placed.z[k] for k in range(3))
    return x, y, z


def _edge_faces(part: FlatPart) -> Iterator[FlatFace]:
    placed = part.placed
    if placed.piece.bevels:
        yield from _bevelled_faces(placed)
    piece, y = placed.piece, placed.y
    width, height = piece.outline.size_mm
    for loop, outward, low, high in walls(piece):
        if not isinstance(loop, Loop) or (piece.bevels and loop is piece.outline.outer):
            continue
        turn = outward if loop.signed_area_mm2 > 0.0 else -outward
        for segment in loop.segments():
            if not isinstance(segment, Line) or part.goes_on(
                (segment.x0_mm, segment.y0_mm), (segment.x1_mm, segment.y1_mm)
            ):
                continue
            length = segment.length_mm
            du, dv = (segment.x1_mm - segment.x0_mm) / length, (segment.y1_mm - segment.y0_mm) / length
            nu, nv = turn * dv, -turn * du
            normal = tuple(nu * placed.x[k] + nv * y[k] for k in range(3))
            if turn > 0.0:
                start, eu, ev = (segment.x0_mm, segment.y0_mm), du, dv
            else:
                start, eu, ev = (segment.x1_mm, segment.y1_mm), -du, -dv
            e1 = tuple(eu * placed.x[k] + ev * y[k] for k in range(3))
            box = ((0.0, 0.0), (length, 0.0), (length, high - low), (0.0, high - low))
            # normal x e1 = z for an edge walked counter-clockwise, so e2 runs from the near to the far face
            depth = abs(nu) * width + abs(nv) * height
            yield _face(placed, placed.world(*start, low), normal, e1, box, _edge_end(nu, nv), depth)  # type: ignore[arg-type]


def flat_faces(placed: Placed) -> tuple[FlatFace, ...]:
    """Both sheet faces, every straight cut edge, and the floors and straight walls of pockets; of a bent piece those of its
    flats.

    Raises:
        NotCovered: bends that `parts.shape.bent` does not cover.
    """
    require(placed.piece, "the faces", "bends", "pockets", "bevels", "tube")
    return tuple(face for part in flat_parts(placed) for face in (*_sheet_faces(part.placed), *_edge_faces(part)))


@dataclass(frozen=True, kw_only=True)
class RoundFace:
    """A cylindrical cut edge: a disc's rim (`hollow` False) or the wall of a round opening (`hollow` True)."""

    piece: str
    centre: Vector
    axis: Vector
    radius_mm: float
    length_mm: float
    hollow: bool


def round_faces(placed: Placed) -> tuple[RoundFace, ...]:
    """The full-circle edges of the instance's outline and pockets (not its drilled holes).

    Raises:
        NotCovered: as `flat_faces`.
    """
    require(placed.piece, "the faces", "bends", "pockets", "bevels", "tube")
    return tuple(
        RoundFace(
            piece=placed.name,
            centre=part.world(loop.x_mm, loop.y_mm, low),
            axis=part.z,
            radius_mm=loop.radius_mm,
            length_mm=high - low,
            hollow=outward < 0.0,
        )
        for part in (one.placed for one in flat_parts(placed))
        for loop, outward, low, high in walls(part.piece)
        if isinstance(loop, Circle)
    )
