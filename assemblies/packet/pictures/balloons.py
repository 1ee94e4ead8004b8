"""Item numbers in circles beside a picture, each with a line to the piece it means.

The circles stand in two columns, left and right of the picture, in the order in which their pieces come from top to bottom;
lines that would cross are swapped. A line ends in a dot inside the outline of its piece (ISO 128-22:1999, clause 4); items
in columns: ISO 6433, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from assemblies.fit.apart.facets import Floats
from assemblies.packet.ink.primitives import Ellipse, Line, Primitive
from assemblies.packet.pictures.sight import Scene

__all__ = ["GAP_MM", "RADIUS_MM", "Spot", "anchors", "columns", "numbered"]

RADIUS_MM = 3.6
GAP_MM = 2.0  # least between two circles
_GRID = 9  # points tried on each way of a face, for the clearest place of the dot
_FACES = 3  # faces of a piece that are tried, the largest first


@dataclass(frozen=True)
class Spot:
    """Where a balloon's line starts and where its circle stands, mm."""

    item: str
    x: float
    y: float
    to_x: float
    to_y: float


def anchors(scene: Scene, lines: Sequence[Primitive]) -> dict[str, tuple[float, float] | None]:
    """For each instance a seen point on it, as far from any line as a grid of tries finds; None if none is seen."""
    segments = _segments(lines)
    out: dict[str, tuple[float, float] | None] = {}
    for placed in scene.placed:
        out[placed.name] = None
        points = _tries(scene, placed.name)
        points = points[scene.is_seen(points)]
        if len(points):
            k = int(np.argmax(np.round(_clearance(points[:, :2], segments), 6)))
            out[placed.name] = float(points[k, 0]), float(points[k, 1])
    return out


def _segments(lines: Sequence[Primitive]) -> Floats:
    """Straight lines, and sixteen chords of every curve: (n, 4)."""
    out: list[tuple[float, float, float, float]] = []
    for item in lines:
        if isinstance(item, Line):
            out.append((item.x0, item.y0, item.x1, item.y1))
        elif isinstance(item, Ellipse):
            points = [item.at(item.start_rad + k / 16.0 * item.sweep_rad) for k in range(17)]
            out.extend((*a, *b) for a, b in pairwise(points))
    return np.array(out).reshape(-1, 4)


def _tries(scene: Scene, name: str) -> Floats:
    """Points on the largest faces of a piece that face the eye."""
    faces = scene.facets_of[name]
    if not faces:
        return np.zeros((0, 3))
    areas = [float(np.prod(scene.high[f, :2] - scene.low[f, :2])) for f in faces]
    largest = sorted(range(len(faces)), key=lambda k: (-round(areas[k], 6), k))[:_FACES]
    part = (np.arange(_GRID) + 0.5) / _GRID
    found: list[Floats] = [np.zeros((0, 3))]
    for facet in (faces[k] for k in largest):
        x, y = np.meshgrid(
            *(scene.low[facet, axis] + part * (scene.high[facet, axis] - scene.low[facet, axis]) for axis in (0, 1))
        )
        plane = scene.plane[facet]
        points = np.column_stack([x.ravel(), y.ravel(), plane[0] + plane[1] * x.ravel() + plane[2] * y.ravel()])
        found.append(points[scene.covers(facet, points)])
    return np.concatenate(found)


def _clearance(points: Floats, segments: Floats) -> Floats:
    """Distance of each point to the nearest of the segments that come near the points; 1 where none does."""
    low, high = points.min(axis=0), points.max(axis=0)
    low, high = low - (high - low) / 2.0 - 1.0, high + (high - low) / 2.0 + 1.0
    a, b = segments[:, :2], segments[:, 2:]
    segments = segments[((np.maximum(a, b) >= low) & (np.minimum(a, b) <= high)).all(axis=1)]
    if not len(segments):
        return np.ones(len(points))
    start, step = segments[:, :2], segments[:, 2:] - segments[:, :2]
    away = points[:, None] - start[None]
    part = np.clip((away * step).sum(axis=2) / np.maximum((step**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return np.asarray(np.linalg.norm(away - part[:, :, None] * step, axis=2).min(axis=1))


def columns(
    dots: Sequence[tuple[str, float, float]], frame: tuple[float, float, float, float], balance: float
) -> list[Spot]:
    """Circles for dots (item, x, y), in two columns on the left and right border of a frame.

    Args:
        frame: x of the left column, lowest and highest y of a circle's centre, x of the right column.
        balance: x that parts left from right, until a column is full.
    """
    left_x, low, high, right_x = frame
    room = max(1, int((high - low) / (2.0 * RADIUS_MM + GAP_MM)) + 1)
    ordered = sorted(dots, key=lambda d: (d[1], -d[2], d[0]))
    left = [d for d in ordered if d[1] < balance]
    right = [d for d in ordered if d[1] >= balance]
    while len(left) > room and len(right) < room:
        right.insert(0, left.pop())
    while len(right) > room and len(left) < room:
        left.append(right.pop(0))
    return [*_column(left, left_x, low, high), *_column(right, right_x, low, high)]


def _column(dots: Sequence[tuple[str, float, float]], x: float, low: float, high: float) -> list[Spot]:
    """One column, from the top down, each circle near the height of its dot."""
    if not dots:
        return []
    ordered = sorted(dots, key=lambda d: (-d[2], d[0]))
    pitch = min(2.0 * RADIUS_MM + GAP_MM, (high - low) / max(1, len(dots) - 1))
    heights = _apart([d[2] for d in ordered], pitch, low, high)
    order = _uncrossed(ordered, heights, x)
    return [Spot(item, dx, dy, x, y) for (item, dx, dy), y in zip(order, heights, strict=True)]


def _apart(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Heights from the top down, at least a pitch apart, inside low to high, near the wanted ones."""
    out: list[float] = []
    for k, y in enumerate(wanted):
        ceiling = out[-1] - pitch if out else high
        floor = low + pitch * (len(wanted) - 1 - k)
        out.append(min(max(y, floor), ceiling))
    for k in range(len(out) - 2, -1, -1):  # share a crowd between above and below
        room = (high if k == 0 else out[k - 1] - pitch) - out[k]
        out[k] += max(0.0, min(room, (wanted[k] - out[k]) / 2.0))
    return out


def _uncrossed(
    dots: Sequence[tuple[str, float, float]], heights: Sequence[float], x: float
) -> list[tuple[str, float, float]]:
    """The dots in the order of their circles, swapped until no two lines cross (each swap shortens their sum)."""
    out = list(dots)
    for _ in range(len(out) ** 2):
        crossing = next(
            ((i, j) for j in range(len(out)) for i in range(j) if _cross(out[i], heights[i], out[j], heights[j], x)),
            None,
        )
        if crossing is None:
            break
        i, j = crossing
        out[i], out[j] = out[j], out[i]
    return out


def _cross(one: tuple[str, float, float], y1: float, two: tuple[str, float, float], y2: float, x: float) -> bool:
    def side(px: float, py: float, qx: float, qy: float, rx: float, ry: float) -> float:
        return (qx - px) * (ry - py) - (qy - py) * (rx - px)

    a, b = (one[1], one[2], x, y1), (two[1], two[2], x, y2)
    return side(*a, b[0], b[1]) * side(*a, b[2], b[3]) < -1e-9 and side(*b, a[0], a[1]) * side(*b, a[2], a[3]) < -1e-9


def numbered(names: Mapping[str, str]) -> dict[str, str]:
    """Item numbers from 1 for parts in the order given: instance to number."""
    parts = {part: str(k) for k, part in enumerate(dict.fromkeys(names.values()), start=1)}
    return {instance: parts[part] for instance, part in names.items()}
