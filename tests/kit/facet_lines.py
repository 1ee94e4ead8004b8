"""Visible and hidden edges of placed pieces worked out from their facets: what the kernel's lines are compared with.

Every edge is cut where it goes behind a facet that faces the eye (`assemblies.packet.pictures.sight`). Round pieces are
out by up to 0.4 % in length, because their facets' chords decide where a line is hidden.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from assemblies.design.model import Design, Placed
from assemblies.fit.apart.explode import EYE
from assemblies.fit.apart.facets import Chain, Floats, arc_steps, chains, frame, hole_stations
from assemblies.packet.ink.primitives import Ellipse, Layer, Line, Polyline, Primitive
from assemblies.packet.pictures.sight import SAGITTA_MM, Scene, Spans, gaps, to_picture
from parts.vectors import Vector

_EDGE_ON = 1e-6
_SPECK_MM = 0.2


@dataclass(frozen=True)
class _Edge:
    """An edge of one piece: chords on the picture, and the ellipse they stand for where they do.

    Attributes:
        of: instance.
        points: (n, 3) right, up, towards the eye.
        curve: centre, then the points at parameter 0 and at a quarter turn less the centre: (3, 2).
        start_rad, sweep_rad: parameters of the first point and from it to the last.
    """

    of: str
    points: Floats
    curve: Floats | None = None
    start_rad: float = 0.0
    sweep_rad: float = 0.0

    @property
    def is_ring(self) -> bool:
        return self.curve is not None and abs(abs(self.sweep_rad) - math.tau) < 1e-9


def projected(design: Design, offsets: Mapping[str, Vector], *, hidden: bool = False) -> tuple[Primitive, ...]:
    """The isometric picture of a design: lines and ellipses in mm, y up, of the layer `visible`.

    Args:
        offsets: how far each instance is moved, mm; missing ones stay. `Exploded.offsets` or a part of it.
        hidden: also give what is hidden, on the layer `hidden`.
    """
    scene = Scene(design.placed, offsets)
    return scene_lines(scene, hidden=hidden)


def scene_lines(scene: Scene, *, hidden: bool = False) -> tuple[Primitive, ...]:
    """The same, of a scene that is made already."""
    out: list[Primitive] = []
    for placed in scene.placed:
        for edge in _edges(placed):
            seen = scene.seen_spans(edge.points)
            out.extend(_drawn(edge, seen, "visible"))
            if hidden:
                count = len(edge.points) - 1
                rest = [(count * a, count * b) for a, b in gaps([(a / count, b / count) for a, b in seen])]
                out.extend(_drawn(edge, rest, "hidden"))
    return tuple(dict.fromkeys(out))


def _drawn(edge: _Edge, spans: Spans, layer: Layer) -> list[Primitive]:
    """The seen parts of an edge as lines or elliptic arcs; specks left by the chords are dropped."""
    count = len(edge.points) - 1
    if edge.is_ring and len(spans) > 1 and spans[0][0] == 0.0 and spans[-1][1] == count:
        spans = [*spans[1:-1], (spans[-1][0], count + spans[0][1])]
    out: list[Primitive] = []
    for start, end in spans:
        if edge.curve is None:
            (x0, y0), (x1, y1) = (
                (edge.points[0] + part / count * (edge.points[-1] - edge.points[0]))[:2] for part in (start, end)
            )
            if math.hypot(x1 - x0, y1 - y0) > _SPECK_MM:
                out.append(Line(x0=float(x0), y0=float(y0), x1=float(x1), y1=float(y1), layer=layer, of=edge.of))
        elif end - start > 0.2:
            rate = edge.sweep_rad / count
            out.append(_ellipse(edge, edge.start_rad + start * rate, (end - start) * rate, layer))
    return out


def _ellipse(edge: _Edge, start_rad: float, sweep_rad: float, layer: Layer) -> Primitive:
    """The arc centre + p cos + q sin, put on its principal axes."""
    assert edge.curve is not None
    centre, p, q = edge.curve
    turn, sizes, inner = np.linalg.svd(np.column_stack([p, q]))
    if sizes[1] < 1e-6 * sizes[0]:  # a circle seen edge-on
        angles = start_rad + np.linspace(0.0, sweep_rad, 65)
        reach = (np.cos(angles)[:, None] * p + np.sin(angles)[:, None] * q) @ turn[:, 0]
        ends = (centre + turn[:, 0] * reach.min(), centre + turn[:, 0] * reach.max())
        return Polyline(points=tuple((float(x), float(y)) for x, y in ends), layer=layer, of=edge.of)
    if np.linalg.det(turn) < 0.0:
        turn, inner = turn * np.array([1.0, -1.0]), inner * np.array([[1.0], [-1.0]])
    # inner is a rotation or a reflection of (cos, sin): the new parameter is an angle plus or minus the old one
    sense = 1.0 if np.linalg.det(inner) > 0.0 else -1.0
    zero = math.atan2(inner[1, 0], inner[0, 0])
    return Ellipse(
        x=float(centre[0]),
        y=float(centre[1]),
        a=float(sizes[0]),
        b=float(sizes[1]),
        turn_rad=math.atan2(turn[1, 0], turn[0, 0]),
        start_rad=zero + sense * start_rad,
        sweep_rad=sense * sweep_rad,
        layer=layer,
        of=edge.of,
    )


def _edges(placed: Placed) -> list[_Edge]:
    """Every edge and outline of one piece that could be seen."""
    piece, thick = placed.piece, placed.piece.thickness_mm
    out: list[_Edge] = []
    for loop in chains(piece, SAGITTA_MM, False):
        for w in (thick, 0.0):
            out.extend(_rim_edges(placed, loop, w))
        out.extend(_uprights(placed, loop, thick))
    for hole in piece.holes:
        stations = hole_stations(hole, thick)
        steps = arc_steps(max(radius for _, radius in stations), math.tau, SAGITTA_MM)
        for deep, radius in stations:
            w = thick - deep if hole.side == "far" else deep
            out.append(_round(placed, (hole.x_mm, hole.y_mm), radius, w, 0.0, -math.tau, steps))
    return out


def _rim_edges(placed: Placed, loop: Chain, w_mm: float) -> list[_Edge]:
    """The edges round one loop on one face: a straight side each, an arc each."""
    out: list[_Edge] = []
    count, k = len(loop.points), 0
    while k < count:
        arc = loop.arcs[k]
        end = k + 1
        while arc is not None and end < count and loop.arcs[end] is arc:
            end += 1
        if arc is None:
            ends = loop.points[[k, end % count]]
            out.append(_Edge(placed.name, _on_picture(placed, ends, w_mm)))
        else:
            centre = (arc.cx_mm, arc.cy_mm)
            out.append(_round(placed, centre, arc.radius_mm, w_mm, arc.start_rad, arc.sweep_rad, end - k))
        k = end
    return out


def _round(
    placed: Placed,
    centre: tuple[float, float],
    radius_mm: float,
    w_mm: float,
    start_rad: float,
    sweep_rad: float,
    steps: int,
) -> _Edge:
    """An arc of one piece, its chords those of the facets beside it."""
    angles = start_rad + np.linspace(0.0, sweep_rad, steps + 1)
    flat = np.array(centre) + radius_mm * np.column_stack([np.cos(angles), np.sin(angles)])
    middle = _on_picture(placed, np.array([centre]), w_mm)[0, :2]
    _, axes = frame(placed)
    turns = to_picture(radius_mm * axes[:2])[:, :2]
    return _Edge(placed.name, _on_picture(placed, flat, w_mm), np.vstack([middle, turns]), start_rad, sweep_rad)


def _uprights(placed: Placed, loop: Chain, thick_mm: float) -> list[_Edge]:
    """Edges through the sheet: at corners, and where a round edge turns away from the eye."""
    _, axes = frame(placed)
    step = np.roll(loop.points, -1, axis=0) - loop.points
    normals = np.column_stack([step[:, 1], -step[:, 0], np.zeros(len(step))]) @ axes
    faces_eye = normals @ np.array(EYE) > _EDGE_ON * np.linalg.norm(step, axis=1)
    turns_away = faces_eye != np.roll(faces_eye, 1)
    out: list[_Edge] = []
    for k in np.flatnonzero(np.array(loop.sharp) | turns_away):
        ends = np.vstack([_on_picture(placed, loop.points[[k]], w) for w in (0.0, thick_mm)])
        out.append(_Edge(placed.name, ends))
    return out


def _on_picture(placed: Placed, flat: Floats, w_mm: float) -> Floats:
    origin, axes = frame(placed)
    return to_picture(np.column_stack([flat, np.full(len(flat), w_mm)]) @ axes + origin)
