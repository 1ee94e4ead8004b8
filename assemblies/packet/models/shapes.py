"""Bodies as triangles, for what a picture shows besides the pieces: rods and prisms, and what liquid can fill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assemblies.liquid.shapes.cavity import Cavity, Cylinder
from assemblies.liquid.shapes.facets import FacetBody

__all__ = ["ROUND", "Shape", "closed", "prism", "rod"]

#: Sides of what is round: of a rod, and of a cavity, which then holds 0.1 % less than it does.
ROUND: Final = 24
_CAVITY_SIDES: Final = 96
_SAME_MM: Final = 1e-3


@dataclass(frozen=True, eq=False)
class Shape:
    """Closed triangles: points (n, 3) in mm, and corners (m, 3) as numbers of them, counter-clockwise from outside."""

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume_mm3(self) -> float:
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


@lru_cache(maxsize=256)
def rod(*steps: tuple[int, float, float, float]) -> Shape:
    """Prisms on one axis, z: each its number of sides, radius of its corners, and from where to where.

    >>> round(rod((4, 1.0, 0.0, 3.0)).volume_mm3, 9)
    6.0
    """
    points: list[NDArray[np.float64]] = []
    triangles: list[NDArray[np.int64]] = []
    for sides, radius, low, high in steps:
        start = sum(map(len, points))
        turn = np.arange(sides) * math.tau / sides
        ring = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
        points.append(np.vstack([np.column_stack([ring, np.full(sides, z)]) for z in (low, high)]))
        triangles.append(_prism(sides) + start)
    return Shape(np.vstack(points), np.vstack(triangles))


def prism(low: Sequence[Sequence[float]], high: Sequence[Sequence[float]]) -> Shape:
    """What two convex rings of as many points bound, the second over the first.

    >>> round(prism([(0, 0, 0), (2, 0, 0), (2, 2, 0)], [(0, 0, 1), (2, 0, 1), (2, 2, 1)]).volume_mm3, 9)
    2.0
    """
    return Shape(np.array([*low, *high], float), _prism(len(low)))


def _prism(sides: int) -> NDArray[np.int64]:
    """Two rings one over the other: both ends as fans, and the sides."""
    k = np.arange(sides)
    n = (k + 1) % sides
    fan = np.array([(0, i, i + 1) for i in range(1, sides - 1)])
    walls = [np.column_stack([k, n, sides + n]), np.column_stack([k, sides + n, sides + k])]
    return np.vstack([fan[:, ::-1], fan + sides, *walls]).astype(np.int64)


def closed(cavity: Cavity) -> Shape:
    """All that liquid can fill of a cavity, its openings closed by flat fans: cut at a level it is the liquid."""
    if cavity.cylinder is not None:
        return _column(cavity.cylinder)
    body = cavity.body
    assert isinstance(body, FacetBody)
    corners = body.triangles
    numbers: dict[tuple[int, ...], int] = {}
    points: list[NDArray[np.float64]] = []
    triangles = []
    for triangle in corners:
        mine = []
        for point in triangle:
            key = tuple(round(float(c) / _SAME_MM) for c in point)
            if key not in numbers:
                numbers[key] = len(points)
                points.append(point)
            mine.append(numbers[key])
        if len(set(mine)) == 3:
            triangles.append(mine)
    for loop in _open_loops(triangles):
        middle = len(points)
        points.append(np.mean([points[k] for k in loop], axis=0))
        triangles += [[a, b, middle] for a, b in zip(loop, [*loop[1:], loop[0]], strict=True)]
    return Shape(np.array(points), np.array(triangles, dtype=np.int64))


def _column(one: Cylinder) -> Shape:
    upright = rod((_CAVITY_SIDES, one.radius_mm, 0.0, one.height_mm))
    return Shape(upright.points @ square_to(one.axis) + np.array(one.base), upright.triangles)


def square_to(axis: Sequence[float]) -> NDArray[np.float64]:
    """Rows: two directions square to an axis of length 1, and the axis; right-handed."""
    z = np.array(axis, float)
    x = np.cross([0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [1.0, 0.0, 0.0], z)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(z, x), z])


def _open_loops(triangles: Sequence[Sequence[int]]) -> list[list[int]]:
    """Edges that one triangle alone has, joined to loops that close it."""
    edges = {(t[k], t[(k + 1) % 3]) for t in triangles for k in range(3)}
    after: dict[int, list[int]] = {}
    for a, b in sorted(edges):
        if (b, a) not in edges:
            after.setdefault(b, []).append(a)  # the other way round
    loops = []
    while after:
        first = min(after)
        loop, at = [first], after[first].pop()
        while at != first:
            loop.append(at)
            at = after[at].pop()
        after = {k: v for k, v in after.items() if v}
        loops.append(loop)
    return loops


__all__ += ["square_to"]
