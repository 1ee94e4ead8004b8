"""What the eye of the isometric picture sees of placed pieces: points, and parts of straight lines. No kernel.

A line is laid on the picture plane and cut where it goes behind a facet that faces the eye: along it the even-odd rule says
where it runs inside the facet's shadow, and a comparison of two straight lines says where it runs behind. The pieces' own
edges are `visible`'s.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Placed
from assemblies.fit.apart.explode import EYE
from assemblies.fit.apart.facets import Floats, facets
from parts.shape.part import require
from parts.vectors import Vector

__all__ = ["SAGITTA_MM", "Scene", "Spans", "gaps", "to_picture"]

#: Rows: right, up, towards the eye: x runs down to the right, y up to the right, z straight up, each at the same scale,
#: which makes lengths along them true. Source: ISO 5456-3:1996, isometric axonometry (clause 5.1, from memory).
_TO_PICTURE: Floats = math.sqrt(1.5) * np.array(
    [
        [1.0 / math.sqrt(2.0), 1.0 / math.sqrt(2.0), 0.0],
        [-1.0 / math.sqrt(6.0), 1.0 / math.sqrt(6.0), 2.0 / math.sqrt(6.0)],
        EYE,
    ]
)
SAGITTA_MM = 0.05  # of the facets of round faces; a tenth of what an eye sees: judgement
_BESIDE_MM = 1e-6  # an edge right behind the border of a facet counts as behind it
_BEHIND_MM = 1e-3  # and one in the facet itself does not
_EDGE_ON = 1e-6
Spans = list[tuple[float, float]]


def to_picture(point: Sequence[float] | Floats) -> Floats:
    """Right, up and towards the eye, mm, of a world point or of an array of them.

    >>> to_picture((0.0, 0.0, 10.0)).round(6).tolist()
    [0.0, 10.0, 7.071068]
    >>> to_picture((10.0, 0.0, 0.0)).round(6).tolist()
    [8.660254, -5.0, 7.071068]
    """
    return np.asarray(np.asarray(point, dtype=np.float64) @ _TO_PICTURE.T)


class Scene:
    """Pieces in their exploded (or real) places, ready to be drawn or asked what is seen where."""

    def __init__(self, placed: Sequence[Placed], offsets: Mapping[str, Vector]) -> None:
        self.placed = tuple(replace(p, origin=_plus(p.origin, offsets.get(p.name, (0.0, 0.0, 0.0)))) for p in placed)
        loops: list[Floats] = []
        owner: list[int] = []  # of each loop: its facet
        anchors: list[Floats] = []
        normals: list[Floats] = []
        self.facets_of: dict[str, list[int]] = {}
        for p in self.placed:
            first = len(anchors)
            for rings, normal in _seen_faces(p):
                loops.extend(rings)
                owner.extend([len(anchors)] * len(rings))
                anchors.append(rings[0][0])
                normals.append(normal)
            self.facets_of[p.name] = list(range(first, len(anchors)))
        self._loops = loops
        self._join(loops, owner, len(anchors))
        self._planes(np.array(anchors).reshape(-1, 3), np.array(normals).reshape(-1, 3))

    def _join(self, loops: list[Floats], owner: list[int], count: int) -> None:
        """All borders of all facets as one table of chords."""
        self.a = np.concatenate(loops) if loops else np.zeros((0, 3))
        self.b = np.concatenate([np.roll(loop, -1, axis=0) for loop in loops]) if loops else np.zeros((0, 3))
        self.facet = np.repeat(np.array(owner, dtype=np.intp), [len(loop) for loop in loops])
        self.first = np.searchsorted(self.facet, np.arange(count + 1))
        self.low, self.high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
        np.minimum.at(self.low, self.facet, self.a)
        np.maximum.at(self.high, self.facet, self.a)

    def _planes(self, anchors: Floats, normals: Floats) -> None:
        """Of each facet: how near the eye it is at (right, up), as c0 + c1 right + c2 up."""
        slopes = -normals[:, :2] / normals[:, 2:]
        self.plane = np.column_stack([anchors[:, 2] - (slopes * anchors[:, :2]).sum(axis=1), slopes])

    def chords_of(self, facet: int) -> slice:
        """Where the borders of a facet stand in the table."""
        return slice(int(self.first[facet]), int(self.first[facet + 1]))

    def before(self, low: Floats, high: Floats) -> NDArray[np.intp]:
        """Facets that may hide something inside a box on the picture."""
        return np.flatnonzero(self._near(slice(None), low, high))

    def _near(self, which: NDArray[np.intp] | slice, low: Floats, high: Floats) -> NDArray[np.bool_]:
        its_low, its_high = self.low[which], self.high[which]
        return np.asarray(
            (its_low[:, 0] < high[0] + _BESIDE_MM)
            & (its_high[:, 0] > low[0] - _BESIDE_MM)
            & (its_low[:, 1] < high[1] + _BESIDE_MM)
            & (its_high[:, 1] > low[1] - _BESIDE_MM)
            & (its_high[:, 2] > low[2] + _BEHIND_MM)
        )

    def is_seen(self, points: Floats) -> NDArray[np.bool_]:
        """Which of some points (n, 3) on the picture no facet hides."""
        seen = np.ones(len(points), dtype=bool)
        if not len(points):
            return seen
        for facet in self.before(points.min(axis=0), points.max(axis=0)):
            plane = self.plane[facet]
            behind = plane[0] + points[:, :2] @ plane[1:] > points[:, 2] + _BEHIND_MM
            seen &= ~(behind & self.covers(int(facet), points))
        return seen

    def covers(self, facet: int, points: Floats) -> NDArray[np.bool_]:
        """Which points lie inside the shadow of a facet (even-odd rule)."""
        chords = self.chords_of(facet)
        a, b = self.a[chords, :2], self.b[chords, :2]
        above = (a[:, None, 1] > points[None, :, 1]) != (b[:, None, 1] > points[None, :, 1])
        rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
        part = (points[None, :, 1] - a[:, None, 1]) / rise[:, None]
        right = a[:, None, 0] + part * (b[:, 0] - a[:, 0])[:, None] > points[None, :, 0]
        return np.asarray((above & right).sum(axis=0) % 2 == 1)

    def seen_spans(self, points: Floats) -> Spans:
        """The parts of a chain of chords (n, 3) that are seen, in chords from its start: 2.5 is half along the third."""
        ahead = self.before(points.min(axis=0), points.max(axis=0))
        borders = [np.arange(self.first[f], self.first[f + 1]) for f in ahead]
        table = np.concatenate(borders or [np.zeros(0, dtype=np.intp)])
        place = np.repeat(np.arange(len(ahead)), [len(border) for border in borders])
        spans: Spans = []
        for k in range(len(points) - 1):
            near = table
            if len(points) > 2:
                ends = points[k : k + 2]
                near = table[self._near(ahead, ends.min(axis=0), ends.max(axis=0))[place]]
            for start, end in gaps(self._hidden(points[k], points[k + 1], near)):
                if spans and abs(spans[-1][1] - (k + start)) < 1e-9:
                    spans[-1] = (spans[-1][0], k + end)
                else:
                    spans.append((k + start, k + end))
        return spans

    def _hidden(self, start: Floats, end: Floats, table: NDArray[np.intp]) -> Spans:
        """The parts (0 to 1) of one straight chord that run behind a facet."""
        step = end - start
        long = math.hypot(step[0], step[1])
        if long < 1e-9 or not len(table):
            return []
        across = np.array([-step[1], step[0]]) / long
        a, b, facet = self.a[table, :2] - start[:2], self.b[table, :2] - start[:2], self.facet[table]
        side_a, side_b = a @ across, b @ across
        along_a, along_b = a @ step[:2] / long**2, b @ step[:2] / long**2
        out: Spans = []
        for beside in (-_BESIDE_MM, _BESIDE_MM):
            one, two = side_a - beside, side_b - beside
            cut = np.flatnonzero((one > 0.0) != (two > 0.0))
            times = along_a[cut] + (along_b[cut] - along_a[cut]) * one[cut] / (one[cut] - two[cut])
            order = np.lexsort((times, facet[cut]))
            enter, leave = times[order][0::2], times[order][1::2]
            out.extend(self._behind(start, step, facet[cut][order][0::2], enter, leave))
        return out

    def _behind(self, start: Floats, step: Floats, facet: NDArray[np.intp], enter: Floats, leave: Floats) -> Spans:
        """Where, inside those spans, the facet is nearer the eye than the chord."""
        enter, leave = np.maximum(enter, 0.0), np.minimum(leave, 1.0)
        plane = self.plane[facet]
        ahead = plane[:, 0] + plane[:, 1] * start[0] + plane[:, 2] * start[1] - start[2] - _BEHIND_MM
        rate = plane[:, 1] * step[0] + plane[:, 2] * step[1] - step[2]
        with np.errstate(divide="ignore", invalid="ignore"):
            meet = -ahead / rate
        level = np.abs(rate) < 1e-12
        enter = np.where(~level & (rate > 0.0), np.maximum(enter, meet), enter)
        leave = np.where(~level & (rate < 0.0), np.minimum(leave, meet), leave)
        keep = (leave - enter > 1e-12) & ~(level & (ahead <= 0.0))
        return [(float(t0), float(t1)) for t0, t1 in zip(enter[keep], leave[keep], strict=True)]


def gaps(hidden: Spans) -> Spans:
    """What is left of 0 to 1."""
    out: Spans = []
    at = 0.0
    for start, end in sorted(hidden):
        if start - at > 1e-9:
            out.append((at, start))
        at = max(at, end)
    if 1.0 - at > 1e-9:
        out.append((at, 1.0))
    return out


def _seen_faces(placed: Placed) -> list[tuple[list[Floats], Floats]]:
    """Rings and normal, on the picture, of the facets that face the eye."""
    require(placed.piece, "the picture", "bends", "pockets", "bevels", "tube")
    body = facets(placed, SAGITTA_MM, False)
    out: list[tuple[list[Floats], Floats]] = []
    eye = np.array(EYE)
    for rings, normal in zip(body.rings, body.ring_normals, strict=True):
        if normal @ eye > _EDGE_ON:
            out.append(([to_picture(ring) for ring in rings], to_picture(normal)))
    front = body.normals @ eye > _EDGE_ON
    quads, normals = to_picture(body.quads[front]), to_picture(body.normals[front])
    out.extend(([quad], normal) for quad, normal in zip(quads, normals, strict=True))
    return out


def _plus(a: Vector, b: Vector) -> Vector:
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]
