"""The two views of a piece: the far face towards you, and the edge beside it, which shows the thickness.

In first angle projection the view from the left stands right of the front view, in third angle the view from the right
(ISO 128-3, ISO 5456-2). Threads as ISO 6410-1 has them: end on the bore in a wide line and three quarters of the thread's
own circle in a narrow one; from the side, hidden, both dashed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.primitives import Circle, Ellipse, Layer, Line, Primitive, Text, moved
from parts.shape import outline as shape
from parts.shape.bent import bend_lines
from parts.shape.piece import Hole, Piece
from parts.stock.tube import TubeCut

__all__ = ["Projection", "front_view", "is_round", "pitch_circles", "sharp_corners", "side_view"]

Projection = Literal["first", "third"]
_CROSS = 1.8  # how far a centre mark runs past its circle, paper mm
_PAST = 3.0  # and a centre line past the view
_DENSE = 24  # above so many holes centre marks are kept short
_TANGENT_RAD = 1e-3
_MOST_EDGES = 60  # hidden edges of a toothed outline are left out above so many: they would be black


def is_round(piece: Piece) -> bool:
    """Whether it is a disc or a ring."""
    return isinstance(piece.outline.outer, shape.Circle)


def front_view(piece: Piece, scale: float) -> tuple[Primitive, ...]:
    """The view of the far face, lower left corner of its box at (0, 0), paper mm."""
    cross = _CROSS if len(piece.holes) <= _DENSE else _CROSS / 2.0
    loops = (piece.outline.outer, *piece.outline.inner)
    items: list[Primitive] = [moved(item, scale, 0.0, 0.0) for loop in loops for item in loop_lines(loop)]
    if piece.bevels:
        edges: tuple[Layer, Layer] = ("hidden", "visible")
        for share, edge in enumerate(edges):
            face = piece.outer_at(share)
            if face != piece.outline.outer:
                items += [moved(item, scale, 0.0, 0.0) for item in loop_lines(face, edge)]
    for stroke in (stroke for mark in piece.marks for stroke in mark.strokes):
        for (x0, y0), (x1, y1) in pairwise(stroke):
            items.append(Line(x0=x0 * scale, y0=y0 * scale, x1=x1 * scale, y1=y1 * scale, layer="dimension"))
    for pocket in piece.pockets:
        layer: Layer = "visible" if pocket.side == "far" else "hidden"
        items += [moved(item, scale, 0.0, 0.0) for loop in pocket.loops for item in loop_lines(loop, layer)]
    for hole in piece.holes:
        items += [moved(item, scale, 0.0, 0.0) for item in _hole(hole)]
        items += _cross(hole.x_mm * scale, hole.y_mm * scale, _radius(hole) * scale + cross)
    for x, y, radius in pitch_circles(piece):
        items.append(Circle(x=x * scale, y=y * scale, radius=radius * scale, layer="centre"))
    for number, loop in enumerate(loops):
        if isinstance(loop, shape.Circle):
            past = _PAST if number == 0 else _CROSS
            items += _cross(loop.x_mm * scale, loop.y_mm * scale, loop.radius_mm * scale + past)
        elif number:
            x0, y0, x1, y1 = loop.bounds_mm
            items += _cross((x0 + x1) / 2.0 * scale, (y0 + y1) / 2.0 * scale, _CROSS)
    items += [moved(item, scale, 0.0, 0.0) for item in (*_bends(piece), *_seam_along(piece))]
    items += _seam_named(piece, scale)
    return tuple(replace(item, of="front") for item in items)


def _radius(hole: Hole) -> float:
    return max(hole.diameter_mm, hole.bore_mm, hole.sink_mm or 0.0) / 2.0


def _hole(hole: Hole) -> Iterator[Primitive]:
    blind_behind = hole.depth_mm is not None and hole.side == "near"
    bore: Layer = "hidden" if blind_behind else "visible"
    yield Circle(x=hole.x_mm, y=hole.y_mm, radius=hole.bore_mm / 2.0, layer=bore)
    if hole.kind == "tapped" and hole.diameter_mm > hole.bore_mm:
        radius = hole.diameter_mm / 2.0
        yield Ellipse(
            x=hole.x_mm,
            y=hole.y_mm,
            a=radius,
            b=radius,
            turn_rad=0.0,
            start_rad=math.pi / 2.0,
            sweep_rad=1.5 * math.pi,
            layer="hidden" if blind_behind else "dimension",
        )
    if hole.sink_mm is not None and hole.kind == "countersunk":
        sink: Layer = "visible" if hole.side == "far" else "hidden"
        yield Circle(x=hole.x_mm, y=hole.y_mm, radius=hole.sink_mm / 2.0, layer=sink)


def _cross(x: float, y: float, reach: float) -> Iterator[Primitive]:
    """Centre lines; short ones are drawn solid, as their dashes would not show."""
    layer: Layer = "centre" if reach > 8.0 else "dimension"
    yield Line(x0=x - reach, y0=y, x1=x + reach, y1=y, layer=layer)
    yield Line(x0=x, y0=y - reach, x1=x, y1=y + reach, layer=layer)


def pitch_circles(piece: Piece) -> tuple[tuple[float, float, float], ...]:
    """Centre and radius of every circle about a round piece's middle on which three or more equal holes stand.

    Valid: round pieces; for others none are looked for.
    """
    outer = piece.outline.outer
    if not isinstance(outer, shape.Circle):
        return ()
    counts: dict[tuple[float, float], int] = {}
    for hole in piece.holes:
        key = round(math.hypot(hole.x_mm - outer.x_mm, hole.y_mm - outer.y_mm), 6), round(hole.bore_mm, 6)
        counts[key] = counts.get(key, 0) + 1
    radii = sorted({radius for (radius, _), count in counts.items() if count >= 3 and radius > 0.0})
    return tuple((outer.x_mm, outer.y_mm, radius) for radius in radii)


def _bends(piece: Piece) -> Iterator[Primitive]:
    """Bend lines across the flat piece."""
    for line in bend_lines(piece):
        yield Line(x0=line.x0_mm, y0=line.y0_mm, x1=line.x1_mm, y1=line.y1_mm, layer="centre")


def _seam_along(piece: Piece) -> Iterator[Primitive]:
    """Of a tube that is rolled, its seam: a line through the wall."""
    sheet = piece.sheet
    if isinstance(sheet, TubeCut) and sheet.rolled is not None:
        outer, turn = sheet.tube.outside_mm / 2.0, sheet.rolled.seam_rad
        (x0, y0), (x1, y1) = (
            (outer + r * math.cos(turn), outer + r * math.sin(turn)) for r in (sheet.tube.inside_mm / 2.0, outer)
        )
        yield Line(x0=x0, y0=y0, x1=x1, y1=y1)


def _seam_named(piece: Piece, scale: float) -> Iterator[Text]:
    """Its name, in the bore beside it, clear of the centre lines."""
    sheet = piece.sheet
    if isinstance(sheet, TubeCut) and sheet.rolled is not None:
        outer, turn, inner = sheet.tube.outside_mm / 2.0, sheet.rolled.seam_rad, sheet.tube.inside_mm / 2.0
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = ((outer + 0.86 * inner * way) * scale for way in (cos, sin))
        yield Text(x=x + 1.0, y=y + 1.0, text="seam", height=2.0, anchor="end" if cos > 0.5 else "start")


def side_view(piece: Piece, scale: float, projection: Projection) -> tuple[Primitive, ...]:
    """The edge, seen from the left (first angle) or from the right (third), lower left corner at (0, 0), paper mm."""
    thick = piece.thickness_mm
    items: list[Primitive] = []

    def across(w_mm: float) -> float:
        return (w_mm if projection == "first" else thick - w_mm) * scale

    def line(w0: float, v0: float, w1: float, v1: float, layer: Layer) -> None:
        items.append(Line(x0=across(w0), y0=v0 * scale, x1=across(w1), y1=v1 * scale, layer=layer))

    (_, low0, _, high0), (_, low1, _, high1) = (piece.outer_at(share).bounds_mm for share in (0.0, 1.0))
    line(0.0, low0, 0.0, high0, "visible")
    line(thick, low1, thick, high1, "visible")
    line(0.0, low0, thick, low1, "visible")
    line(0.0, high0, thick, high1, "visible")
    for v, layer in _edges(piece, projection):
        line(0.0, v, thick, v, layer)
    for v, half, w0, w1, half1 in _shapes(piece):
        for sign in (1.0, -1.0):
            line(w0, v + sign * half, w1, v + sign * half1, "hidden")
            if w0 > 0.0 and half:
                line(w0, v, w0, v + sign * half, "hidden")
            if w1 < thick and half1:
                line(w1, v, w1, v + sign * half1, "hidden")
    for v in _axes(piece):
        past = 2.0 / scale
        line(-past, v, thick + past, v, "centre" if thick * scale > 8.0 else "dimension")
    return tuple(replace(item, of="side") for item in items)


def _axes(piece: Piece) -> list[float]:
    """Heights of the axes that the edge view shows."""
    heights = {round(hole.y_mm, 6) for hole in piece.holes}
    heights |= {round(c.y_mm, 6) for c in (piece.outline.outer, *piece.outline.inner) if isinstance(c, shape.Circle)}
    return sorted(heights)


_Shape = tuple[float, float, float, float, float]  # height of the axis, half width, from w, to w, half width there


def _shapes(piece: Piece) -> list[_Shape]:
    """What is inside the sheet, each different shape once."""
    thick = piece.thickness_mm
    found: dict[_Shape, None] = {}

    def add(v: float, half: float, w0: float, w1: float, half1: float) -> None:
        found.setdefault((round(v, 6), round(half, 6), round(w0, 6), round(w1, 6), round(half1, 6)))

    for hole in piece.holes:
        deep = hole.length_mm(thick)
        span = (thick - deep, thick) if hole.side == "far" else (0.0, deep)
        add(hole.y_mm, hole.bore_mm / 2.0, *span, hole.bore_mm / 2.0)
        if hole.kind == "tapped" and hole.diameter_mm > hole.bore_mm:
            add(hole.y_mm, hole.diameter_mm / 2.0, *span, hole.diameter_mm / 2.0)
        if hole.kind == "countersunk" and hole.sink_mm is not None:
            big, small = hole.sink_mm / 2.0, hole.bore_mm / 2.0
            deep = min(big - small, thick)
            if hole.side == "far":
                add(hole.y_mm, small, thick - deep, thick, big)
            else:
                add(hole.y_mm, big, 0.0, deep, small)
    for pocket in piece.pockets:
        for loop in pocket.loops:
            _, y0, _, y1 = loop.bounds_mm
            half = (y1 - y0) / 2.0
            add((y0 + y1) / 2.0, half, *pocket.span_mm(thick), half)
    for loop in piece.outline.inner:
        _, y0, _, y1 = loop.bounds_mm
        add((y0 + y1) / 2.0, (y1 - y0) / 2.0, 0.0, thick, (y1 - y0) / 2.0)
    return list(found)


def _edges(piece: Piece, projection: Projection) -> list[tuple[float, Layer]]:
    """Heights of the sharp corners between top and bottom, and whether they are seen from that side."""
    outer = piece.outline.outer
    if isinstance(outer, shape.Circle):
        return []
    _, height = piece.outline.size_mm
    polygon = outer.points(0.05)
    found: dict[float, Layer] = {}
    for x, y in sharp_corners(outer):
        key = round(y, 6)
        if not 1e-6 < key < height - 1e-6 or found.get(key) == "visible":
            continue
        found[key] = "visible" if _seen(polygon, x, y, -1.0 if projection == "first" else 1.0) else "hidden"
    if len(found) > _MOST_EDGES:
        found = {key: layer for key, layer in found.items() if layer == "visible"}
    return sorted(found.items())


def sharp_corners(loop: shape.Loop) -> Iterator[tuple[float, float]]:
    parts = loop.segments()
    for before, after, vertex in zip((parts[-1], *parts[:-1]), parts, loop.vertices, strict=True):
        turn = _heading(after, 0.0) - _heading(before, 1.0)
        if abs(math.remainder(turn, math.tau)) > _TANGENT_RAD:
            yield vertex.x_mm, vertex.y_mm


def _heading(segment: shape.Line | shape.Arc, part: float) -> float:
    if isinstance(segment, shape.Line):
        return math.atan2(segment.y1_mm - segment.y0_mm, segment.x1_mm - segment.x0_mm)
    angle = segment.start_rad + part * segment.sweep_rad
    return angle + math.copysign(math.pi / 2.0, segment.sweep_rad)


def _seen(polygon: tuple[tuple[float, float], ...], x: float, y: float, way: float) -> bool:
    """Whether nothing lies further out than a corner, right above it or right below it."""
    return not all(_further(polygon, x, y + side, way) for side in (-1e-6, 1e-6))


def _further(polygon: tuple[tuple[float, float], ...], x: float, level: float, way: float) -> bool:
    """Whether the outline has a point further out than x at that height."""
    for (x0, y0), (x1, y1) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (y0 < level) != (y1 < level) and (x0 + (level - y0) / (y1 - y0) * (x1 - x0) - x) * way > 1e-4:
            return True
    return False
