"""The borders, lines and rings of a mesh as points at the distances that are wanted there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from parts.shape.outline import Arc, Circle, Line, Loop, Outline

__all__ = ["AROUND", "GROWTH", "Array", "Numbers", "Path", "paths_of", "small_of", "wanted", "wider"]

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

#: Sides of a ring at least.
AROUND: Final = 20
#: By what the size grows per distance.
GROWTH: Final = 0.5
_LOOK = 400
_SAME_MM = 1e-6


@dataclass(frozen=True)
class Path:
    """Points that the mesh must have, in order (n, 2); a closed one comes back to its first.

    `bows`: of the side from each point to the next the circle it stands for: its middle and radius; radius 0: it is straight.
    `solid`: material on both sides; else it is the border of the sheet or of a hole.
    """

    points: Array
    bows: Array
    closed: bool
    solid: bool


def paths_of(
    outline: Outline,
    size: float,
    around: int,
    small: Array,
    lines: Sequence[Sequence[tuple[float, float]]],
    rings: Sequence[Loop | Circle],
) -> tuple[Path, ...]:
    """The paths of a mesh: outer loop, inner loops, lines, rings. `size`, `small`: as of `wanted`; `around`: sides of a
    circle."""
    corners = [(v.x_mm, v.y_mm) for ring in rings if isinstance(ring, Loop) for v in ring.vertices]
    ends = np.array([*(point for chain in lines for point in chain), *corners], dtype=float).reshape(-1, 2)
    out = [Path(*_loop(loop, size, around, small, ends), True, False) for loop in (outline.outer, *outline.inner)]
    for chain in lines:
        points = [_straight(Line(*a, *b), size, small, ends) for a, b in pairwise(chain)]
        every = np.concatenate([*points, np.array([chain[-1]])])
        out.append(Path(every, np.zeros((len(every) - 1, 3)), False, True))
    out += [Path(*_loop(ring, size, around, small, ends), True, True) for ring in rings]
    return tuple(out)


def small_of(
    outline: Outline,
    rings: Sequence[Loop | Circle],
    size: float,
    around: int,
    near: Sequence[tuple[float, float, float]],
) -> Array:
    """Places at which sides are short: x, y, radius, size there; (n, 4)."""
    inner = [*outline.inner, *rings]
    rows = [(c.x_mm, c.y_mm, c.radius_mm, 2.0 * np.pi * c.radius_mm / around) for c in inner if isinstance(c, Circle)]
    rows += [(x, y, reach, reach / 2.0 * AROUND / around) for x, y, reach in near]
    loops = [loop for loop in inner if isinstance(loop, Loop)]
    for loop in loops:
        x0, y0, x1, y1 = loop.bounds_mm
        rows.append(
            ((x0 + x1) / 2.0, (y0 + y1) / 2.0, np.hypot(x1 - x0, y1 - y0) / 2.0, 5.0 * min(x1 - x0, y1 - y0) / around)
        )
    arcs = [
        arc
        for loop in (outline.outer, *loops)
        if isinstance(loop, Loop)
        for arc in loop.segments()
        if isinstance(arc, Arc)
    ]
    for arc in arcs:
        half = arc.radius_mm * min(1.0, abs(np.sin(arc.sweep_rad / 2.0)))
        rows.append((*arc.at(0.5), half, 2.0 * np.pi * arc.radius_mm / around))
    out: Array = np.array(rows, dtype=float).reshape(-1, 4)
    out[:, 3] = np.minimum(out[:, 3], size)
    return out


def wanted(points: Array, size: float, small: Array) -> Array:
    """The length of a side at places (n, 2): `size`, and less near what is `small` (`small_of`)."""
    if not len(small):
        return np.full(len(points), float(size))
    far = np.hypot(points[:, None, 0] - small[:, 0], points[:, None, 1] - small[:, 1]) - small[:, 2]
    return np.asarray(np.minimum(size, (small[:, 3] + GROWTH * np.maximum(far, 0.0)).min(axis=1)))


def _loop(loop: Loop | Circle, size: float, around: int, small: Array, ends: Array) -> tuple[Array, Array]:
    """Points of a loop, and the bows of its sides."""
    if isinstance(loop, Circle):
        count = max(around, round(2.0 * np.pi * loop.radius_mm / size))
        turn = 2.0 * np.pi * np.arange(count) / count
        radius = loop.radius_mm * wider(count)
        points = np.stack([loop.x_mm + radius * np.cos(turn), loop.y_mm + radius * np.sin(turn)], axis=1)
        return points, np.tile([loop.x_mm, loop.y_mm, loop.radius_mm], (count, 1))
    parts, bows = [], []
    for one in loop.segments():
        parts.append(_bowed(one, size, around, small) if isinstance(one, Arc) else _straight(one, size, small, ends))
        bow = (one.cx_mm, one.cy_mm, one.radius_mm) if isinstance(one, Arc) else (0.0, 0.0, 0.0)
        bows.append(np.tile(bow, (len(parts[-1]), 1)))
    return np.concatenate(parts), np.concatenate(bows)


def wider(count: int) -> float:
    """By what a circle grows whose polygon of so many sides has its area: nearer to the round hole than one drawn inside it."""
    return float(np.sqrt((2.0 * np.pi / count) / np.sin(2.0 * np.pi / count)))


def _straight(line: Line, size: float, small: Array, ends: Array) -> Array:
    """Points of a line, its start with it, its end not; wherever another line ends on it, it has a point. Two lines that lie on
    each other have the same points, whichever way they go."""
    start, end = np.array([line.x0_mm, line.y0_mm]), np.array([line.x1_mm, line.y1_mm])
    way = (end - start) / line.length_mm
    step = ends - start
    along, off = step @ way, np.abs(step[:, 0] * way[1] - step[:, 1] * way[0])
    on = along[(off < _SAME_MM) & (along > _SAME_MM) & (along < line.length_mm - _SAME_MM)]
    cuts = np.unique(np.round(np.concatenate([[0.0, line.length_mm], on]), 6))
    out = []
    for low, high in pairwise(cuts):
        a, b = start + low * way, start + high * way
        turned = tuple(np.round(a, 6)) > tuple(np.round(b, 6))
        places = np.linspace(b, a, _LOOK) if turned else np.linspace(a, b, _LOOK)
        points = _spaced(places, high - low, 1, size, small)
        out.append(points[:0:-1] if turned else points[:-1])
    return np.concatenate(out)


def _bowed(arc: Arc, size: float, around: int, small: Array) -> Array:
    """Points of an arc, its start with it, its end not."""
    angle = arc.start_rad + np.linspace(0.0, 1.0, _LOOK) * arc.sweep_rad
    middle = np.array([arc.cx_mm, arc.cy_mm])
    places = middle + arc.radius_mm * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    least = max(2, int(np.ceil(abs(arc.sweep_rad) / (2.0 * np.pi) * around)))
    return _spaced(places, arc.length_mm, least, size, small)[:-1]


def _spaced(places: Array, length: float, least: int, size: float, small: Array) -> Array:
    """Of even places along something so long, points at the wanted distances, both ends with them."""
    share = np.linspace(0.0, 1.0, len(places))
    rate = length / wanted(places, size, small)
    grown = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2.0 * np.diff(share))])
    count = max(least, int(np.ceil(grown[-1] - 1e-9)))
    at = np.interp(np.arange(count + 1) / count * grown[-1], grown, share)
    return np.stack([np.interp(at, share, places[:, k]) for k in range(2)], axis=1)
