"""A bracket cut into bricks: one through each thickness of base and upright, rings of them about every hole.

Its own axes: x along the upright, y back over the base, z up; from the base's front lower corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.mount.brick import EDGES, Grid
from assemblies.strength.sheets.given import Spot
from parts.findings import NotCovered

__all__ = ["Shape", "meshed"]

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
_FIRST: Final = 1.5  # mm: height of the bricks on the bond
_RINGS: Final = (0.0, 0.35, 1.0)  # of bricks about a hole, as shares of the way to its square
_SQUARE, _LEAST, _MOST = 2.2, 1.4, 3.2  # half a side of it in radii: wanted, least, most


@dataclass(frozen=True, kw_only=True)
class Shape:
    """A bracket: length (x), depth of its base (y), height of its upright, thickness, mm; middles of the gussets along x, how
    far they reach back and up, and how long their blunt end is; holes of base and upright."""

    length: float
    depth: float
    height: float
    thick: float
    gussets: tuple[float, ...]
    reach: float
    rise: float
    land: float
    bolts: tuple[Spot, ...]
    held: tuple[Spot, ...]

    @property
    def walls(self) -> list[tuple[float, float]]:
        """From and to along x of each gusset."""
        return [(g - self.thick / 2.0, g + self.thick / 2.0) for g in self.gussets]

    def rise_at(self, back: float) -> float:
        """How high a gusset is so far behind the upright."""
        return float(np.interp(back, [0.0, self.land, self.reach], [self.rise, self.rise, self.land]))


def meshed(shape: Shape, size: float) -> tuple[Grid, NDArray[np.str_], Numbers]:
    """The bricks, at most so long; which of base, upright and gusset each is of; the number of the hole of that part whose wall
    is its second upper side (eta = 1), else -1.

    Raises:
        NotCovered: holes so near to each other or to an edge that there is no room for bricks about them.
    """
    parts, walls, every = zip(*_cells(shape, size), strict=True)
    places, own = np.unique(np.round(np.array(every).reshape(-1, 3), 5), axis=0, return_inverse=True)
    corners = own.reshape(-1, 8)
    ends = np.sort(corners[:, EDGES], axis=2)
    pairs, own = np.unique(ends.reshape(-1, 2), axis=0, return_inverse=True)
    nodes = np.concatenate([corners, len(places) + own.reshape(len(corners), -1)], axis=1)
    places = np.concatenate([places, places[pairs].mean(axis=1)])
    for spots, axes in ((shape.bolts, (0, 1, 2)), (shape.held, (0, 2, 1))):
        depth = np.abs(places[:, axes[2]] - shape.thick / 2.0) < shape.thick / 2.0 + 1e-6
        for spot in spots:  # middles of sides between two nodes of a wall go onto it
            middle = np.array([spot.x_mm, spot.y_mm + (shape.thick if axes[1] == 2 else 0.0)])
            arm = places[:, axes[:2]] - middle
            far = np.hypot(*arm.T)
            inside = np.flatnonzero((far < spot.radius_mm) & depth)
            places[inside[:, None], axes[:2]] = middle + arm[inside] * (spot.radius_mm / far[inside])[:, None]
    return Grid(places, nodes), np.array(parts), np.array(walls)


def _cells(shape: Shape, size: float) -> Iterator[tuple[str, int, list[tuple[float, float, float]]]]:
    """Each brick: its part, the hole whose wall is its side from the third corner to the fourth (else -1), its
    corners, four around its lower face and four over them."""
    t, high, far = shape.thick, shape.thick + shape.height, shape.thick + shape.reach
    sides = [x for wall in shape.walls for x in wall]
    held = tuple(replace(s, y_mm=s.y_mm + t) for s in shape.held)
    xs, across = _lines([0.0, shape.length, *sides], [(s.x_mm, s.radius_mm) for s in (*shape.bolts, *held)], size)
    ys, deep = _lines([0.0, t, far - t, far, shape.depth], [(s.y_mm, s.radius_mm) for s in shape.bolts], size)
    zs, up = _lines([t, t + _FIRST, t + shape.rise, high], [(s.y_mm, s.radius_mm) for s in held], size)

    for wall, quad in _quads(xs, ys, shape.bolts, across[: len(shape.bolts)], deep):
        yield "base", wall, [(x, y, z) for z in (0.0, t) for x, y in quad]
    for wall, quad in _quads(xs, zs, held, across[len(shape.bolts) :], up):
        for y0, y1 in pairwise(ys[ys <= t + 1e-9]):
            yield "upright", wall, [(x, y, z) for y in (y1, y0) for x, z in quad]
    low, back = zs[zs <= t + shape.rise + 1e-9], ys[(ys >= t - 1e-9) & (ys <= far + 1e-9)]
    for a, b in shape.walls:
        mine = xs[(xs >= a - 1e-9) & (xs <= b + 1e-9)]
        for (x0, x1), (y0, y1), (z0, z1) in product(pairwise(mine), pairwise(back), pairwise(low)):
            ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            yield (
                "gusset",
                -1,
                [(x, y, t + (z - t) * shape.rise_at(y - t) / shape.rise) for z in (z0, z1) for x, y in ring],
            )


def _lines(
    must: Sequence[float], holes: Sequence[tuple[float, float]], size: float
) -> tuple[Array, list[tuple[float, float]]]:
    """Places along an axis, at most so far apart, and of each hole from where to where its square reaches: its side is at a
    line that must be, or at another hole's, where one is near.

    Raises:
        NotCovered: a square that would reach over an edge.
    """
    cuts = sorted({round(one, 6) for one in must})
    wanted = [tuple(m + way * _SQUARE * r for way in (-1, 1)) for m, r in holes]
    reach: list[tuple[float, float]] = []
    for (middle, radius), (low, high) in zip(holes, wanted, strict=True):
        ends = []
        for way, one in ((-1.0, low), (1.0, high)):
            near = [c for c in cuts if _LEAST * radius < way * (c - middle) < _MOST * radius]
            if near:
                one = min(near, key=lambda c: abs(c - one))
            else:
                one = round(one, 6)
                if not min(must) <= one <= max(must):
                    raise NotCovered("its holes are so near to an edge that they are not meshed")
                cuts.append(one)
            ends.append(one)
        reach.append((ends[0], ends[1]))
    cuts = sorted(set(cuts))
    for a, b in reach:  # at least two cells across a square
        if not any(a < c < b for c in cuts):
            cuts.append((a + b) / 2.0)
    cuts.sort()
    out = [cuts[0]]
    for a, b in pairwise(cuts):
        n = max(1, int(np.ceil((b - a) / size - 1e-9)))
        out += [a + (b - a) * k / n for k in range(1, n + 1)]
    return np.array(out), reach


def _quads(
    us: Array,
    vs: Array,
    holes: Sequence[Spot],
    across: Sequence[tuple[float, float]],
    up: Sequence[tuple[float, float]],
) -> Iterator[tuple[int, list[tuple[float, float]]]]:
    """The cells of a grid, counter-clockwise; about each hole rings of them, from its edge to its rectangle, each innermost one
    with the hole's number.

    Raises:
        NotCovered: rectangles that meet.
    """
    squares = [(a, b, c, d) for (a, b), (c, d) in zip(across, up, strict=True)]
    for k, (a, b, c, d) in enumerate(squares):
        if any(a < f and e < b and c < h and g < d for e, f, g, h in squares[:k]):
            raise NotCovered("its holes are so near to each other that they are not meshed")
    for (u0, u1), (v0, v1) in product(pairwise(us), pairwise(vs)):
        x, y = (u0 + u1) / 2.0, (v0 + v1) / 2.0
        if not any(a < x < b and c < y < d for a, b, c, d in squares):
            yield -1, [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    for number, (spot, (a, b, c, d)) in enumerate(zip(holes, squares, strict=True)):
        along, high = us[(us >= a - 1e-6) & (us <= b + 1e-6)], vs[(vs >= c - 1e-6) & (vs <= d + 1e-6)]
        edge = [(u, high[0]) for u in along[:-1]] + [(along[-1], v) for v in high[:-1]]
        edge += [(u, high[-1]) for u in along[:0:-1]] + [(along[0], v) for v in high[:0:-1]]
        turns = [float(np.arctan2(v - spot.y_mm, u - spot.x_mm)) for u, v in edge]
        rims = [(spot.x_mm + spot.radius_mm * np.cos(s), spot.y_mm + spot.radius_mm * np.sin(s)) for s in turns]

        def at(k: int, share: float, rims: Any = rims, edge: Any = edge) -> tuple[float, float]:
            (x, y), (u, v) = rims[k % len(edge)], edge[k % len(edge)]
            return x + (u - x) * share, y + (v - y) * share

        for k, (low, far) in product(range(len(edge)), pairwise(_RINGS)):
            yield number if low == 0.0 else -1, [at(k, far), at(k + 1, far), at(k + 1, low), at(k, low)]
