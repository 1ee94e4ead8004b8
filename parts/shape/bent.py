"""A bent piece, from its flat outline: its flats in their places, its curved bands, what it then fills.

The flat outline is the truth. Bend lines are parallel, each at the middle of its arc and right across the outline; in the band
that is bent the outline has straight edges square to the line and nothing else. *Across* counts square to the bend lines,
*along* with them. The first flat, or the tangent where a band begins at the edge, stays as it lies in the piece's own axes;
what comes after is bent up from it on the side that the bend says.

A piece that shrinks as it is heated (`Piece.shrinks`) is bent as large and as thick as it is then.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from typing import Final

from parts.findings import NotCovered, SeamwrightError
from parts.shape.outline import Circle, Line, Loop, Outline, Vertex
from parts.shape.piece import Bend, Hole, Piece, Pocket
from parts.vectors import Vector, cross

__all__ = ["Band", "Bent", "Flat", "bend_lines", "bent", "box_mm", "heated", "made_of_bends_mm3", "sorted_bends"]

_SAME: Final = 1e-7
_PARALLEL: Final = 1e-9


@dataclass(frozen=True, kw_only=True)
class Flat:
    """A flat part between bends.

    Attributes:
        piece: the part by itself, its box from (0, 0).
        origin, x, z: where that corner is, in the axes of the whole piece, and the part's own x and normal.
        ends: lines of its own plane along which it goes on into a bend, as (a, b, c): a x + b y = c.
    """

    piece: Piece
    origin: Vector
    x: Vector
    z: Vector
    ends: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Band:
    """A curved part: a sector of a ring, drawn out along the bend line.

    Attributes:
        centre: of the arc, at the beginning of the part along the line.
        across, along, normal: at its start, unit vectors of the whole piece's axes.
        side: 1 where it is bent up to the far side, -1 to the near side.
        angle_rad, inside_mm, thick_mm, width_mm: of the sector.
        start_mm, end_mm, low_mm, high_mm: of the band in the piece as laid flat, across and along.
    """

    centre: Vector
    across: Vector
    along: Vector
    normal: Vector
    side: int
    angle_rad: float
    inside_mm: float
    thick_mm: float
    width_mm: float
    start_mm: float
    end_mm: float
    low_mm: float
    high_mm: float

    @property
    def outside_mm(self) -> float:
        return self.inside_mm + self.thick_mm

    @property
    def volume_mm3(self) -> float:
        """Of the sector: its middle's length, times thickness and width."""
        return self.angle_rad * (self.inside_mm + self.thick_mm / 2.0) * self.thick_mm * self.width_mm

    def at(self, radius_mm: float, angle_rad: float, along_mm: float = 0.0) -> Vector:
        """A point by its distance from the axis, how far round, and how far along the line from the band's beginning."""
        out, up = radius_mm * math.sin(angle_rad), -self.side * radius_mm * math.cos(angle_rad)
        c, a, n, r = self.centre, self.across, self.normal, self.along
        return (
            c[0] + out * a[0] + up * n[0] + along_mm * r[0],
            c[1] + out * a[1] + up * n[1] + along_mm * r[1],
            c[2] + out * a[2] + up * n[2] + along_mm * r[2],
        )


@dataclass(frozen=True, kw_only=True)
class Bent:
    """All parts of a bent piece, in order across it."""

    flats: tuple[Flat, ...]
    bands: tuple[Band, ...]


def heated(piece: Piece) -> Piece:
    """The piece, still flat, as it is once it has shrunk: volume kept, holes as much smaller as the sheet about them."""
    kx, ky = (1.0 - share for share in piece.shrinks)
    if kx == ky == 1.0:
        return piece
    loops = (piece.outline.outer, *piece.outline.inner, *(loop for one in piece.pockets for loop in one.loops))
    if kx != ky and any(isinstance(one, Circle) or any(v.bulge for v in one.vertices) for one in loops):
        raise NotCovered(
            f"{piece.name}: the shape of a bent piece with arcs in its outline that shrinks unevenly is not covered"
        )
    thick = piece.thickness_mm / (kx * ky)
    even, deep = math.sqrt(kx * ky), 1.0 / (kx * ky)

    def loop(one: Loop | Circle) -> Loop | Circle:
        if isinstance(one, Circle):
            return Circle(one.x_mm * kx, one.y_mm * ky, one.radius_mm * even)
        return Loop(tuple(Vertex(v.x_mm * kx, v.y_mm * ky, v.bulge) for v in one.vertices))

    def hole(one: Hole) -> Hole:
        return replace(
            one,
            x_mm=one.x_mm * kx,
            y_mm=one.y_mm * ky,
            diameter_mm=one.diameter_mm * even,
            drill_mm=None if one.drill_mm is None else one.drill_mm * even,
            depth_mm=None if one.depth_mm is None else one.depth_mm * deep,
            sink_mm=None if one.sink_mm is None else one.sink_mm * even,
        )

    def pocket(one: Pocket) -> Pocket:
        return replace(
            one, outline=loop(one.outline), depth_mm=one.depth_mm * deep, islands=tuple(map(loop, one.islands))
        )

    def bend(one: Bend) -> Bend:
        return replace(one, x_mm=one.x_mm * kx, y_mm=one.y_mm * ky)

    return replace(
        piece,
        shrinks=(0.0, 0.0),
        outline=Outline(loop(piece.outline.outer), tuple(map(loop, piece.outline.inner))),
        holes=tuple(map(hole, piece.holes)),
        pockets=tuple(map(pocket, piece.pockets)),
        bends=tuple(map(bend, piece.bends)),
        sheet=replace(piece.sheet, readings_mm=(thick,)),
    )


@lru_cache(maxsize=512)
def bent(piece: Piece) -> Bent:
    """The parts of a bent piece.

    Raises:
        NotCovered: bends that are not parallel, an edge or an opening in a bend, a bent piece with bevels.
        SeamwrightError: bends that overlap, or run out of the outline.
    """
    flat = heated(piece)
    if piece.bevels or not piece.bends:
        raise NotCovered(
            f"{piece.name}: the shape of {'a bent piece with bevelled edges' if piece.bevels else 'no bend'}"
        )
    strip = _Strip(flat)
    flats, bands = [], []
    place, at = _Frame((0.0, 0.0, 0.0), 0.0, strip.across, (0.0, 0.0, 1.0)), strip.first
    for bend, start, end in strip.bands():
        if start - at > _SAME:
            flats.append(strip.flat(place, at, start))
        band = strip.band(place, bend, start, end)
        bands.append(band)
        place, at = _after(band), end
    if strip.last - at > _SAME:
        flats.append(strip.flat(place, at, strip.last))
    if sum(len(one.piece.holes) + len(one.piece.outline.inner) + len(one.piece.pockets) for one in flats) != (
        len(flat.holes) + len(flat.outline.inner) + len(flat.pockets)
    ):
        raise NotCovered(f"{piece.name}: the shape of a bent piece with a hole or cut-out in a bend is not covered")
    return Bent(flats=tuple(flats), bands=tuple(bands))


@dataclass(frozen=True)
class _Frame:
    """Where a part lies: a point of its near face, at a place across; across and normal there."""

    point: Vector
    at: float
    across: Vector
    normal: Vector


def _clean(value: float) -> float:
    """Without the rounding that a quarter turn leaves."""
    return 0.0 if abs(value) < 1e-15 else value


def _plus(point: Vector, *steps: tuple[float, Vector]) -> Vector:
    x, y, z = (point[k] + sum(far * way[k] for far, way in steps) for k in range(3))
    return x, y, z


def _after(band: Band) -> _Frame:
    """The frame behind a band: turned by its angle about its axis."""
    c, s = math.cos(band.angle_rad), math.sin(band.angle_rad)
    across = _plus((0.0, 0.0, 0.0), (c, band.across), (band.side * s, band.normal))
    normal = _plus((0.0, 0.0, 0.0), (-band.side * s, band.across), (c, band.normal))
    deep = band.outside_mm if band.side > 0 else -band.inside_mm
    return _Frame(_plus(band.centre, (-deep, normal), (-band.low_mm, band.along)), band.end_mm, across, normal)


class _Strip:
    """A flat piece looked at across its bend lines."""

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        angle = piece.bends[0].along_rad
        self.along: Vector = (_clean(math.cos(angle)), _clean(math.sin(angle)), 0.0)
        self.across = cross(self.along, (0.0, 0.0, 1.0))
        outer = piece.outline.outer
        if isinstance(outer, Circle):
            raise NotCovered(f"{piece.name}: the shape of a bent piece with a round edge in a bend is not covered")
        self.outer = outer
        self.first, self.last = self._span(outer)

    def _span(self, loop: Loop | Circle) -> tuple[float, float]:
        """From and to across."""
        a, b = self.across[0], self.across[1]
        if isinstance(loop, Circle):
            middle = a * loop.x_mm + b * loop.y_mm
            return middle - loop.radius_mm, middle + loop.radius_mm
        if abs(a) < _PARALLEL or abs(b) < _PARALLEL:
            x0, y0, x1, y1 = loop.bounds_mm
            ends = (a * x0 + b * y0, a * x1 + b * y1)
            return min(ends), max(ends)
        found = [a * x + b * y for x, y in loop.points(0.001)]
        return min(found), max(found)

    def bands(self) -> Iterator[tuple[Bend, float, float]]:
        """Each bend with its start and end, in order across."""
        rows = []
        for bend in self.piece.bends:
            if abs(math.sin(bend.along_rad - self.piece.bends[0].along_rad)) > _PARALLEL:
                raise NotCovered(
                    f"{self.piece.name}: the shape of a bent piece with bends that are not parallel is not covered"
                )
            middle = self.middle(bend)
            half = bend.allowance_mm(self.piece.thickness_mm) / 2.0
            rows.append((middle - half, middle + half, bend))
        rows.sort(key=lambda row: row[0])
        at = self.first
        for start, end, bend in rows:
            if start < at - _SAME or end > self.last + _SAME:
                raise SeamwrightError(
                    f"{self.piece.name}: a bend from {start:.4g} to {end:.4g} mm across runs into the "
                    f"{'one before' if start < at and at > self.first else 'edge of the piece'}"
                )
            yield bend, start, end
            at = end

    def middle(self, bend: Bend) -> float:
        """Where a bend line is, across."""
        return self.across[0] * bend.x_mm + self.across[1] * bend.y_mm

    def crossings(self, at: float) -> tuple[float, float]:
        """Where the outline crosses a line across, along it; only straight edges square to the line do."""
        found = []
        for line in self.outer.segments():
            if isinstance(line, Line):
                ends = [
                    self.across[0] * x + self.across[1] * y
                    for x, y in ((line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm))
                ]
                if (ends[0] - at) * (ends[1] - at) < 0.0:
                    lows = [
                        self.along[0] * x + self.along[1] * y
                        for x, y in ((line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm))
                    ]
                    if abs(lows[1] - lows[0]) > _SAME:
                        raise NotCovered(
                            f"{self.piece.name}: the shape of a bent piece with a slanted edge in a bend is not covered"
                        )
                    found.append(lows[0])
        if len(found) != 2:
            raise NotCovered(
                f"{self.piece.name}: the shape of a bent piece whose bend line does not cross it once is not covered"
            )
        return min(found), max(found)

    def band(self, place: _Frame, bend: Bend, start: float, end: float) -> Band:
        inside = [
            v
            for v in self.outer.vertices
            if start + _SAME < self.across[0] * v.x_mm + self.across[1] * v.y_mm < end - _SAME
        ]
        if inside:
            raise NotCovered(
                f"{self.piece.name}: the shape of a bent piece with a corner of its outline in a bend is not covered"
            )
        low, high = self.crossings((start + end) / 2.0)
        side, thick = (1 if bend.side == "far" else -1), self.piece.thickness_mm
        deep = thick + bend.inside_radius_mm if side > 0 else -bend.inside_radius_mm
        return Band(
            centre=_plus(place.point, (start - place.at, place.across), (deep, place.normal), (low, self.along)),
            across=place.across,
            along=self.along,
            normal=place.normal,
            side=side,
            angle_rad=bend.angle_rad,
            inside_mm=bend.inside_radius_mm,
            thick_mm=thick,
            width_mm=high - low,
            start_mm=start,
            end_mm=end,
            low_mm=low,
            high_mm=high,
        )

    def flat(self, place: _Frame, start: float, end: float) -> Flat:
        """The part from start to end, with what lies in it."""
        loop, ends = self.outer, []
        for at, sense in ((start, 1.0), (end, -1.0)):
            if self.first + _SAME < at < self.last - _SAME:
                loop = self._cut(loop, at, sense)
                ends.append(at)
        x0, y0, _, _ = loop.bounds_mm
        piece = _shifted(self.piece, loop, x0, y0, lambda one: self._within(one, start, end))
        a, b = self.across[0], self.across[1]
        x = _plus((0.0, 0.0, 0.0), (a, place.across), (self.along[0], self.along))
        corner = (a * x0 + b * y0 - place.at, self.along[0] * x0 + self.along[1] * y0)
        return Flat(
            piece=piece,
            origin=_plus(place.point, (corner[0], place.across), (corner[1], self.along)),
            x=x,
            z=place.normal,
            ends=tuple((a, b, at - a * x0 - b * y0) for at in ends),
        )

    def _within(self, loop: Loop | Circle, start: float, end: float) -> bool:
        low, high = self._span(loop)
        return start - _SAME <= low and high <= end + _SAME

    def _cut(self, loop: Loop, at: float, sense: float) -> Loop:
        """What of a loop lies past a line across (sense 1), or before it (-1)."""
        found: list[Vertex] = []
        corners = loop.vertices
        for one, following, line in zip(corners, (*corners[1:], corners[0]), loop.segments(), strict=True):
            here, there = (sense * (self.across[0] * v.x_mm + self.across[1] * v.y_mm - at) for v in (one, following))
            if here > _SAME:
                found.append(one)
            if (here > _SAME) != (there > _SAME):
                if not isinstance(line, Line):
                    raise NotCovered(
                        f"{self.piece.name}: the shape of a bent piece with a round edge in a bend is not covered"
                    )
                part = here / (here - there)
                found.append(
                    Vertex(one.x_mm + part * (following.x_mm - one.x_mm), one.y_mm + part * (following.y_mm - one.y_mm))
                )
        return Loop(tuple(found))


def _shifted(piece: Piece, outer: Loop, x0: float, y0: float, within: Callable[[Loop | Circle], bool]) -> Piece:
    """A part of a piece by itself, its box from (0, 0), with the openings that lie in it."""

    def moved(loop: Loop | Circle) -> Loop | Circle:
        if isinstance(loop, Circle):
            return Circle(loop.x_mm - x0, loop.y_mm - y0, loop.radius_mm)
        return Loop(tuple(Vertex(v.x_mm - x0 + 0.0, v.y_mm - y0 + 0.0, v.bulge) for v in loop.vertices))

    holes = [
        h for h in piece.holes if within(Circle(h.x_mm, h.y_mm, max(h.diameter_mm, h.bore_mm, h.sink_mm or 0.0) / 2.0))
    ]
    return replace(
        piece,
        bends=(),
        outline=Outline(moved(outer), tuple(moved(one) for one in piece.outline.inner if within(one))),
        holes=tuple(replace(h, x_mm=h.x_mm - x0, y_mm=h.y_mm - y0) for h in holes),
        pockets=tuple(
            replace(p, outline=moved(p.outline), islands=tuple(map(moved, p.islands)))
            for p in piece.pockets
            if within(p.outline)
        ),
    )


def sorted_bends(piece: Piece) -> tuple[Bend, ...]:
    """Its bends in order across it."""
    return tuple(sorted(piece.bends, key=_Strip(piece).middle)) if piece.bends else ()


def bend_lines(piece: Piece) -> tuple[Line, ...]:
    """The lines of its bends on the flat piece as it is cut, in order across it: each right across the outline."""
    if not piece.bends:
        return ()
    strip, out = _Strip(piece), []
    for middle in map(strip.middle, sorted_bends(piece)):
        low, high = strip.crossings(middle)
        ends = [middle * strip.across[k] + along * strip.along[k] for along in (low, high) for k in (0, 1)]
        out.append(Line(*ends))
    return tuple(out)


def made_of_bends_mm3(piece: Piece) -> float:
    """The volume of a bent piece's solid: its flats, and its bands by their middle.

    With its neutral line in the middle (k = 0.5) that is the volume of the flat piece. With k under that the drawn arc is
    larger than the sheet that goes into it, by angle x (0.5 - k) x thickness2 x width: the sheet thins there.
    """
    made = bent(piece)
    return math.fsum([*(one.piece.volume_mm3 for one in made.flats), *(one.volume_mm3 for one in made.bands)])


@lru_cache(maxsize=512)
def box_mm(piece: Piece) -> tuple[Vector, Vector]:
    """Low and high corner of the box about a piece in its own axes; of a flat piece from (0, 0, 0) to its size.

    >>> from parts.make.panel import panel
    >>> from parts.stock.sheet import Sheet
    >>> one = panel("p", 100, 50, Sheet(material="cast-pmma", nominal_mm=4.0))
    >>> bend = Bend(x_mm=50, y_mm=0, along_rad=math.pi / 2, angle_rad=math.pi / 2, inside_radius_mm=10)
    >>> [tuple(round(v, 3) for v in corner) for corner in box_mm(replace(one, bends=(bend,)))]
    [(0.0, 0.0, 0.0), (54.575, 50.0, 54.575)]
    """
    if "bends" not in piece.features:
        return (0.0, 0.0, 0.0), piece.size_mm
    made, points = bent(piece), []
    for flat in made.flats:
        y = cross(flat.z, flat.x)
        corners = product(*((0.0, side) for side in flat.piece.size_mm))
        points += [_plus(flat.origin, (u, flat.x), (v, y), (w, flat.z)) for u, v, w in corners]
    for band in made.bands:
        turns = [0.0, band.angle_rad, *(t for t in _furthest(band) if 0.0 < t < band.angle_rad)]
        points += [band.at(*one) for one in product((band.inside_mm, band.outside_mm), turns, (0.0, band.width_mm))]
    low, high = ([pick(point[k] for point in points) for k in range(3)] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _furthest(band: Band) -> Iterator[float]:
    """Angles round a band at which it reaches furthest along one of the piece's axes."""
    for k in range(3):
        turn = math.atan2(band.across[k], -band.side * band.normal[k])
        yield from (turn + half * math.pi for half in (-1, 0, 1, 2))
