"""Placed pieces as plane facets in the world: what a swept path and a hidden-line picture are worked out from. No
kernel.

Straight edges are exact. An arc becomes chords. With `inside` the chords stay inside the material on both kinds of
arc (a round edge is inscribed, a hole circumscribed), so that a disc in a ring of the same radius touches and never
overlaps. Of what is not flat pockets and
bends are followed; a part with anything else is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import FlatPart, Placed, flat_parts
from parts.shape.bent import Band, bent
from parts.shape.outline import Arc, Circle, Loop, Vertex
from parts.shape.part import require
from parts.shape.piece import Hole, Piece, holds

__all__ = ["Caps", "Chain", "Facets", "Floats", "arc_steps", "chains", "facets", "frame", "hole_stations"]

Floats = NDArray[np.float64]
_SMOOTH_RAD = math.radians(0.5)  # two segments that meet within this make no edge; judgement


@dataclass(frozen=True)
class Chain:
    """A closed loop as chords, the material on its left.

    Attributes:
        points: (n, 2), the piece's own axes.
        arcs: the arc that the chord from point k to k + 1 belongs to, or None for a straight one.
        sharp: whether the outline turns a corner at point k.
    """

    points: Floats
    arcs: tuple[Arc | None, ...]
    sharp: tuple[bool, ...]


@dataclass(frozen=True)
class Caps:
    """Faces square to the sheet: an outer ring and its openings, all (n, 2), at height `w` with normal up or down."""

    rings: tuple[Floats, ...]
    w_mm: float
    up: bool


@dataclass(frozen=True)
class Facets:
    """Every facet of one piece.

    Attributes:
        rings: for each cap its outer ring and its openings, each (n, 3).
        ring_normals: (number of caps, 3), out of the material.
        quads: (m, 4, 3), the walls of the outline, of cut-outs and of holes.
        normals: (m, 3) of the walls.
        outer: (m,) true for the walls of the outer loop.
        curved: (m,) true for what is no wall: strips of the sheet's own faces where it is bent.
    """

    rings: tuple[tuple[Floats, ...], ...]
    ring_normals: Floats
    quads: Floats
    normals: Floats
    outer: NDArray[np.bool_]
    curved: NDArray[np.bool_]

    @property
    def low(self) -> Floats:
        points = np.concatenate([rings[0] for rings in self.rings])
        return np.asarray(points.min(axis=0), dtype=np.float64)

    @property
    def high(self) -> Floats:
        points = np.concatenate([rings[0] for rings in self.rings])
        return np.asarray(points.max(axis=0), dtype=np.float64)


def frame(placed: Placed) -> tuple[Floats, Floats]:
    """Origin, and the piece's x, y and z as the rows of a matrix."""
    return np.array(placed.origin), np.array([placed.x, placed.y, placed.z])


@lru_cache(maxsize=1024)
def facets(placed: Placed, sagitta_mm: float, inside: bool) -> Facets:
    """The facets of a piece in its place, chords leaving their arcs by at most `sagitta_mm`.

    Raises:
        NotCovered: bends that `parts.shape.bent` does not cover.
    """
    require(placed.piece, "the facets", "bends", "pockets", "bevels", "tube")
    if placed.piece.bends:
        return _bent_facets(placed, sagitta_mm, inside)
    origin, axes = frame(placed)
    caps, quads, outer = _flat_facets(placed.piece, sagitta_mm, inside)
    walls = quads @ axes + origin
    along, up = walls[:, 1] - walls[:, 0], walls[:, 3] - walls[:, 0]
    normals = np.cross(along, up)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    rings = tuple(
        tuple(np.column_stack([ring, np.full(len(ring), cap.w_mm)]) @ axes + origin for ring in cap.rings)
        for cap in caps
    )
    ring_normals = np.array([axes[2] if cap.up else -axes[2] for cap in caps])
    return Facets(rings, ring_normals, walls, normals, outer, np.zeros(len(walls), dtype=np.bool_))


def _bent_facets(placed: Placed, sagitta_mm: float, inside: bool) -> Facets:
    """Those of its flats, less the walls that are none, and of its bands: sides as rings, faces as strips."""
    flats = [_open_ended(part, sagitta_mm, inside) for part in flat_parts(placed)]
    origin, axes = frame(placed)
    bands = [_band_facets(band, axes, origin, sagitta_mm, inside) for band in bent(placed.piece).bands]
    every = [*flats, *bands]
    return Facets(
        tuple(rings for one in every for rings in one.rings),
        np.concatenate([one.ring_normals for one in every]),
        np.concatenate([one.quads for one in every]),
        np.concatenate([one.normals for one in every]),
        np.concatenate([one.outer for one in every]),
        np.concatenate([one.curved for one in every]),
    )


def _open_ended(part: FlatPart, sagitta_mm: float, inside: bool) -> Facets:
    """A flat part without the walls where it goes on into a bend."""
    own = facets(part.placed, sagitta_mm, inside)
    ring = chains(part.placed.piece, sagitta_mm, inside)[0].points.tolist()
    walls = np.ones(len(own.quads), dtype=np.bool_)
    walls[: len(ring)] = [not part.goes_on(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    return Facets(
        own.rings, own.ring_normals, own.quads[walls], own.normals[walls], own.outer[walls], own.curved[walls]
    )


def _band_facets(band: Band, axes: Floats, origin: Floats, sagitta_mm: float, inside: bool) -> Facets:
    steps = arc_steps(band.outside_mm, band.angle_rad, sagitta_mm)
    even = [band.angle_rad * k / steps for k in range(steps + 1)]
    hollow = [(band.inside_mm, turn) for turn in even]
    if inside:  # the chords of the hollow face stay in the material: from where the tangents meet
        grown = band.inside_mm / math.cos(band.angle_rad / steps / 2.0)
        hollow = [hollow[0], *((grown, band.angle_rad * (k + 0.5) / steps) for k in range(steps)), hollow[-1]]
    faces = {1.0: [(band.outside_mm, turn) for turn in even], -1.0: hollow}
    sides, quads, outward = [], [], []
    for along, way in ((0.0, -1.0), (band.width_mm, 1.0)):
        ring = np.array([band.at(*p, along) for p in (*faces[1.0], *reversed(hollow))])
        sides.append((ring, way * np.array(band.along)))
    for sign, arc in faces.items():
        for a, b in pairwise(arc):
            quads.append([band.at(*a, 0.0), band.at(*b, 0.0), band.at(*b, band.width_mm), band.at(*a, band.width_mm)])
            middle = (a[1] + b[1]) / 2.0
            outward.append(sign * (np.array(band.at(1.0, middle)) - np.array(band.centre)))
    walls = np.array(quads)
    normals = np.cross(walls[:, 1] - walls[:, 0], walls[:, 3] - walls[:, 0])
    turned = (normals * np.array(outward)).sum(axis=1) < 0.0
    walls[turned] = walls[turned][:, ::-1]
    normals[turned] *= -1.0
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    count = len(walls)
    return Facets(
        tuple((ring @ axes + origin,) for ring, _ in sides),
        np.array([normal @ axes for _, normal in sides]),
        walls @ axes + origin,
        normals @ axes,
        np.zeros(count, dtype=np.bool_),
        np.ones(count, dtype=np.bool_),
    )


def hole_stations(hole: Hole, thickness_mm: float) -> list[tuple[float, float]]:
    """Depth from the drilled side and radius, from the mouth to the end of a hole.

    >>> hole_stations(Hole(x_mm=9, y_mm=9, kind="countersunk", diameter_mm=4, sink_mm=8), 6.0)
    [(0.0, 4.0), (2.0, 2.0), (6.0, 2.0)]
    """
    bore, deep = hole.bore_mm / 2.0, hole.length_mm(thickness_mm)
    if hole.kind != "countersunk" or hole.sink_mm is None or hole.sink_mm / 2.0 <= bore:
        return [(0.0, bore), (deep, bore)]
    sink = min(hole.sink_mm / 2.0 - bore, deep)  # 90 degrees: as deep as it is wider
    stations = [(0.0, hole.sink_mm / 2.0), (sink, bore)]
    return stations if sink >= deep else [*stations, (deep, bore)]


@lru_cache(maxsize=1024)
def chains(piece: Piece, sagitta_mm: float, inside: bool) -> tuple[Chain, ...]:
    """The outline as chords: the outer loop counter-clockwise, then the cut-outs clockwise."""
    out = [chain(piece.outline.outer, True, sagitta_mm, inside)]
    out.extend(chain(loop, False, sagitta_mm, inside) for loop in piece.outline.inner)
    return tuple(out)


def chain(loop: Loop | Circle, outer: bool, sagitta_mm: float, inside: bool) -> Chain:
    """One loop as chords with the material on its left."""
    pieces = _segments(loop, outer)
    points: list[tuple[float, float]] = []
    arcs: list[Arc | None] = []
    sharp: list[bool] = []
    for k, (segment, start, leaves, _) in enumerate(pieces):
        arrives = pieces[k - 1][3]
        chords = [start] if segment is None else list(_chords(segment, sagitta_mm, inside))
        points.extend(chords)
        arcs.extend([segment] * len(chords))
        sharp.append(abs(math.remainder(leaves - arrives, math.tau)) > _SMOOTH_RAD)
        sharp.extend([False] * (len(chords) - 1))
    if isinstance(loop, Circle):
        sharp[0] = False
    array = np.array(points)
    return Chain(array, tuple(arcs), tuple(sharp))


def _segments(loop: Loop | Circle, outer: bool) -> list[tuple[Arc | None, tuple[float, float], float, float]]:
    """Segments in the wanted sense: arc or None, start point, heading at start and at end."""
    if isinstance(loop, Circle):
        arc = Arc(loop.x_mm, loop.y_mm, loop.radius_mm, 0.0, math.tau if outer else -math.tau)
        turn = math.copysign(math.pi / 2.0, arc.sweep_rad)
        return [(arc, arc.at(0.0), turn, turn)]
    segments = list(loop.segments())
    turned = (loop.signed_area_mm2 > 0.0) != outer
    out: list[tuple[Arc | None, tuple[float, float], float, float]] = []
    for segment in reversed(segments) if turned else segments:
        if isinstance(segment, Arc):
            arc = _turned(segment) if turned else segment
            turn = math.copysign(math.pi / 2.0, arc.sweep_rad)
            out.append((arc, arc.at(0.0), arc.start_rad + turn, arc.start_rad + arc.sweep_rad + turn))
        else:
            ends = ((segment.x0_mm, segment.y0_mm), (segment.x1_mm, segment.y1_mm))
            start, end = reversed(ends) if turned else ends
            heading = math.atan2(end[1] - start[1], end[0] - start[0])
            out.append((None, start, heading, heading))
    return out


def _turned(arc: Arc) -> Arc:
    return Arc(arc.cx_mm, arc.cy_mm, arc.radius_mm, arc.start_rad + arc.sweep_rad, -arc.sweep_rad)


def arc_steps(radius_mm: float, sweep_rad: float, sagitta_mm: float) -> int:
    """How many chords an arc is cut into; a whole circle is at least a decagon, however small."""
    ratio = min(sagitta_mm / radius_mm, 0.05)
    step = 2.0 * math.acos(1.0 - ratio)
    return max(2, math.ceil(abs(sweep_rad) / step - 1e-9))


def _chords(arc: Arc, sagitta_mm: float, inside: bool) -> Iterator[tuple[float, float]]:
    """Start point of each chord. The material is on the left: an arc that turns right is a hollow one."""
    steps = arc_steps(arc.radius_mm, arc.sweep_rad, sagitta_mm)
    if not inside or arc.sweep_rad > 0.0:
        yield from (arc.at(k / steps) for k in range(steps))
        return
    grown = Arc(
        arc.cx_mm, arc.cy_mm, arc.radius_mm / math.cos(arc.sweep_rad / steps / 2.0), arc.start_rad, arc.sweep_rad
    )
    if abs(abs(arc.sweep_rad) - math.tau) > 1e-12:
        yield arc.at(0.0)  # on the arc: the neighbour's end; then where the tangents meet
    yield from (grown.at((k + 0.5) / steps) for k in range(steps))


def _circle(x_mm: float, y_mm: float, radius_mm: float, steps: int, inside: bool) -> Floats:
    """A round hole, clockwise."""
    angles = -np.arange(steps) * (math.tau / steps)
    radius = radius_mm / math.cos(math.pi / steps) if inside else radius_mm
    return np.column_stack([x_mm + radius * np.cos(angles), y_mm + radius * np.sin(angles)])


_Opening = tuple[Loop | Circle, Floats]


@lru_cache(maxsize=1024)
def _flat_facets(piece: Piece, sagitta_mm: float, inside: bool) -> tuple[list[Caps], Floats, NDArray[np.bool_]]:
    """Caps and walls in the piece's own axes."""
    if piece.is_tube and piece.pockets:
        return _notched_facets(piece, sagitta_mm, inside)
    thick = piece.thickness_mm
    _, *loops = (item.points for item in chains(piece, sagitta_mm, inside))
    outer = [chain(piece.outer_at(s), True, sagitta_mm, inside).points for s in (0.0, 1.0)]  # near, far
    cut_outs = list(zip(piece.outline.inner, loops, strict=True))
    mouths: dict[bool, list[_Opening]] = {False: list(cut_outs), True: list(cut_outs)}  # near, far
    tops: dict[bool, list[_Opening]] = {False: [], True: []}  # what stands in pockets
    quads = [_wall(outer[0], 0.0, thick, outer[1]), *(_wall(ring, 0.0, thick) for ring in loops)]
    floors: list[Caps] = []
    for pocket in piece.pockets:
        ring, far = chain(pocket.outline, False, sagitta_mm, inside).points, pocket.side == "far"
        low_mm, high_mm = pocket.span_mm(thick)
        mouths[far].append((pocket.outline, ring))
        stand = [chain(island, True, sagitta_mm, inside).points for island in pocket.islands]
        tops[far] += zip(pocket.islands, stand, strict=True)
        floors.append(Caps((ring, *(one[::-1] for one in stand)), low_mm if far else high_mm, far))
        quads += [_wall(one, low_mm, high_mm) for one in (ring, *stand)]
    for hole in piece.holes:
        stations, far = hole_stations(hole, thick), hole.side == "far"
        steps = arc_steps(max(radius for _, radius in stations), math.tau, sagitta_mm)
        rings = [_circle(hole.x_mm, hole.y_mm, radius, steps, inside) for _, radius in stations]
        heights = [thick - deep if far else deep for deep, _ in stations]
        mouths[far].append((Circle(hole.x_mm, hole.y_mm, stations[0][1]), rings[0]))
        if hole.depth_mm is None:
            mouths[not far].append((Circle(hole.x_mm, hole.y_mm, stations[-1][1]), rings[-1]))
        else:
            floors.append(Caps((rings[-1],), heights[-1], far))
        for k in range(len(rings) - 1):
            low, high = (k + 1, k) if far else (k, k + 1)
            quads.append(_wall(rings[low], heights[low], heights[high], rings[high]))
    caps = [
        cap
        for far in (False, True)
        for cap in _face_caps(outer[far], tops[far], mouths[far], thick if far else 0.0, far)
    ]
    walls = np.concatenate(quads)
    return [*caps, *floors], walls, np.arange(len(walls)) < len(outer[0])


def _notched_facets(piece: Piece, sagitta_mm: float, inside: bool) -> tuple[list[Caps], Floats, NDArray[np.bool_]]:
    """A tube with a notch in its rim: a whole ring below it, and what it leaves of the ring beside it."""
    (notch,), thick = piece.pockets, piece.thickness_mm
    low, high = notch.span_mm(thick)
    assert isinstance(notch.outline, Loop)
    whole = replace(piece, pockets=(), sheet=replace(piece.sheet, nominal_mm=low))
    (near, _), below, _ = _flat_facets(whole, sagitta_mm, inside)
    outer = len(chains(piece, sagitta_mm, inside)[0].points)
    a, b, c, d = (
        notch.outline.vertices
    )  # two on the outside, two on the inside; an arc's rest is walked with 1 / its bulge
    beside = ((b, 1.0 / a.bulge), (a, 0.0), (d, 1.0 / c.bulge), (c, 0.0))
    rest = Loop(tuple(Vertex(v.x_mm, v.y_mm, bulge) for v, bulge in beside))
    ring = chain(rest, True, sagitta_mm, inside).points
    floor = chain(notch.outline, True, sagitta_mm, inside).points
    walls = np.concatenate([below, _wall(ring, low, high)])
    return [near, Caps((ring,), thick, True), Caps((floor,), low, True)], walls, np.arange(len(walls)) < outer


def _face_caps(outer: Floats, tops: list[_Opening], mouths: list[_Opening], w_mm: float, far: bool) -> Iterator[Caps]:
    """A face of the sheet, and what stands in its pockets: each with what opens in it."""
    home = [next((k for k, (top, _) in enumerate(tops) if holds(top, loop)), -1) for loop, _ in mouths]
    for number, ring in enumerate((outer, *(ring for _, ring in tops)), -1):
        yield Caps((ring, *(mouth for k, (_, mouth) in zip(home, mouths, strict=True) if k == number)), w_mm, far)


def _wall(ring: Floats, low_mm: float, high_mm: float, top: Floats | None = None) -> Floats:
    """The wall on a ring that has the material on its left: quads whose normal points out of it."""
    low = np.column_stack([ring, np.full(len(ring), low_mm)])
    high = np.column_stack([ring if top is None else top, np.full(len(ring), high_mm)])
    return np.stack([low, np.roll(low, -1, axis=0), np.roll(high, -1, axis=0), high], axis=1)
