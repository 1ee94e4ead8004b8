"""Triangles over a flat outline: its border kept, finer at holes and at what is asked for, nearly equilateral.

Points are strewn by a size that grows with the distance from what is small, joined by Delaunay's rule, and pushed apart as if
the sides were springs; points of borders, lines and rings stay where they are. The strewing is seeded: same in, same out. A
mesh twice as fine has each triangle cut in four, and what is new on an arc put on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.sheets.borders import AROUND, GROWTH, Array, Numbers, Path, paths_of, small_of, wanted, wider
from parts.findings import NotCovered
from parts.shape.outline import Circle, Loop, Outline

__all__ = ["Mesh", "halved", "inside", "mesh_of"]

_ROUNDS = 30  # of springs
_ANEW = 5  # of them on the same sides
_STEP = 0.2
_PRESS = 1.2  # springs are this much longer than they want to be, so that the points fill the outline
_CLEAR = 0.6  # of the size: no free point stands nearer to a border
_MOST = 60_000  # points
_SEED = 15
_TRIES = 6
_FLAT = 1e-9
_SAME_MM = 1e-5


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """Points (n, 2), triangles (m, 3), counter-clockwise, and, of each path, the numbers of its points and the bows of its
    sides: as many as points where it is closed, else one less."""

    points: Array
    triangles: Numbers
    paths: tuple[Numbers, ...]
    bows: tuple[Array, ...]

    @property
    def least_angle(self) -> float:
        """The sharpest corner of all triangles, radians."""
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        sides = [np.linalg.norm(q - p, axis=1) for p, q in ((b, c), (c, a), (a, b))]
        cosines = [
            (sides[(k + 1) % 3] ** 2 + sides[(k + 2) % 3] ** 2 - sides[k] ** 2)
            / (2.0 * sides[(k + 1) % 3] * sides[(k + 2) % 3])
            for k in range(3)
        ]
        return float(np.arccos(np.clip(np.max(cosines), -1.0, 1.0)))


def mesh_of(
    outline: Outline,
    size_mm: float,
    lines: Sequence[Sequence[tuple[float, float]]] = (),
    rings: Sequence[Loop | Circle] = (),
    fine: float = 1.0,
    near: Sequence[tuple[float, float, float]] = (),
) -> Mesh:
    """The mesh of an outline with its cut-outs.

    Args:
        outline: whose inner loops are holes.
        size_mm: of a side far from what is small; holes and rings are always finer.
        lines: polygons' chains inside, along which sides of triangles run.
        rings: loops inside, in the material.
        fine: how much finer all of it is.
        near: places x, y and a distance that sides are short beside: half of it.

    Returns:
        Its paths are the outer loop, the inner loops, the lines and the rings, in this order.

    Raises:
        NotCovered: borders so near to each other, or so fine, that no sound mesh is found.
    """
    for tries in range(_TRIES):
        finer = fine * 1.3**tries
        size, around = size_mm / finer, round(AROUND * finer)
        small = small_of(outline, rings, size, around, near)
        found = _meshed(paths_of(outline, size, around, small, lines, rings), size, small)
        if found is not None:
            return found
    raise NotCovered("no sound mesh is found for this outline: edges, holes or bolts lie too near to each other")


def halved(mesh: Mesh) -> Mesh:
    """Twice as fine: each triangle in four.

    Raises:
        NotCovered: an arc reaches so far out of its side that a triangle is turned over.
    """
    count = len(mesh.points)
    every = np.sort(np.concatenate([mesh.triangles[:, [k, (k + 1) % 3]] for k in range(3)]), axis=1)
    codes, place = np.unique(every[:, 0] * count + every[:, 1], return_inverse=True)
    points = np.concatenate([mesh.points, (mesh.points[codes // count] + mesh.points[codes % count]) / 2.0])
    ab, bc, ca = count + place.reshape(3, -1)
    a, b, c = mesh.triangles.T
    triangles = np.concatenate([np.stack(one, axis=1) for one in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])
    paths = []
    for path, bows in zip(mesh.paths, mesh.bows, strict=True):
        ends = np.sort(np.stack([path, np.roll(path, -1)], axis=1)[: len(bows)], axis=1)
        middles = count + np.searchsorted(codes, ends[:, 0] * count + ends[:, 1])
        finer = np.stack([path[: len(bows)], middles], axis=1).ravel()
        paths.append(np.concatenate([finer, path[len(bows) :]]))
        round_ = len(bows) == len(path) and bows[0, 2] > 0.0 and bool((bows == bows[0]).all())
        moved, of = (
            (paths[-1], np.repeat(bows, 2, axis=0)) if round_ else (middles[bows[:, 2] > 0.0], bows[bows[:, 2] > 0.0])
        )
        out = points[moved] - of[:, :2]
        radius = of[:, 2] * (wider(len(moved)) if round_ else 1.0)
        points[moved] = of[:, :2] + out * (radius / np.hypot(*out.T))[:, None]
    if (_area(points[triangles]) <= 0.0).any():
        raise NotCovered("no sound mesh is found for this outline: an arc lies too near to another edge")
    doubled = tuple(np.repeat(bows, 2, axis=0) for bows in mesh.bows)
    return Mesh(points=points, triangles=triangles, paths=tuple(paths), bows=doubled)


def _meshed(paths: Sequence[Path], size: float, small: Array) -> Mesh | None:
    """The mesh, or None where the borders do not come out as sides of triangles."""
    from shapely import STRtree
    from shapely import points as at

    fixed, numbers = _joined(paths)
    ends, held = _edges(paths, numbers), len(fixed)
    reach = np.zeros(held)  # of each fixed point the length of its longer side
    for a, b in ends:
        length = float(np.linalg.norm(fixed[a] - fixed[b]))
        reach[a], reach[b] = max(reach[a], length), max(reach[b], length)
    tree = STRtree(at(fixed))
    rings = [fixed[n] for n, p in zip(numbers, paths, strict=True) if not p.solid]

    def joined(points: Array) -> Numbers:
        found = _delaunay(points)
        doubtful = (found < held).all(axis=1)  # all others have a free point, and that is inside
        keep = np.asarray(~doubtful)
        corners = points[found[doubtful]]  # of three in a row on a straight side there is no triangle
        flat = np.abs(_area(corners)) < _FLAT * ((corners[:, 1:] - corners[:, :1]) ** 2).sum(axis=(1, 2))
        keep[doubtful] = inside(corners.mean(axis=1), rings) & ~flat
        return np.asarray(found[keep], dtype=np.int64)

    free = _strewn(fixed, rings, size, small)
    if free is None:
        return None
    points = np.concatenate([fixed, free[_clear(free, tree, reach)]])
    for k in range(_ROUNDS):
        if k % _ANEW == 0:
            pairs = _sides(joined(points))
            want = wanted((points[pairs[:, 0]] + points[pairs[:, 1]]) / 2.0, size, small)
        way = points[pairs[:, 0]] - points[pairs[:, 1]]
        length = np.linalg.norm(way, axis=1)
        scale = _PRESS * np.sqrt((length**2).sum() / (want**2).sum())
        push = (np.maximum(scale * want - length, 0.0) / length)[:, None] * way
        total = [
            np.bincount(pairs[:, 0], one, len(points)) - np.bincount(pairs[:, 1], one, len(points)) for one in push.T
        ]
        points[held:] += _STEP * np.stack(total, axis=1)[held:]
        if k % _ANEW == _ANEW - 1:
            points = np.concatenate([points[:held], points[held:][_clear(points[held:], tree, reach * 0.75)]])
    while True:
        triangles = joined(points)
        over = _over(points[held:], [points[list(pair)] for pair in _missing(triangles, ends)])
        if not over.any():
            return _sound(points, triangles, ends, rings, tuple(numbers), tuple(p.bows for p in paths))
        points = np.concatenate([points[:held], points[held:][~over]])


def _delaunay(points: Array) -> Numbers:
    """The triangles of Delaunay's rule, by the numbers of their corners."""
    from shapely import delaunay_triangles, get_coordinates, multipoints

    corners = get_coordinates(delaunay_triangles(multipoints(points))).reshape(-1, 4, 2)[:, :3]
    codes = points[:, 0] + 1j * points[:, 1]  # the very same numbers come back
    order = np.argsort(codes)
    return np.asarray(order[np.searchsorted(codes[order], corners[..., 0] + 1j * corners[..., 1])])


def _over(points: Array, sides: Sequence[Array]) -> NDArray[np.bool_]:
    """Which points keep sides out of Delaunay's triangles: those in the circles about them."""
    out = np.zeros(len(points), dtype=bool)
    for a, b in sides:
        out |= ((points - a) * (points - b)).sum(axis=1) < 0.0
    return out


def _missing(triangles: Numbers, ends: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The sides of paths that no triangle has."""
    every, paths = _sides(triangles), np.sort(np.array(ends), axis=1)
    count = int(paths.max() + every.max()) + 1
    gone = ~np.isin(paths[:, 0] * count + paths[:, 1], every[:, 0] * count + every[:, 1])
    return [ends[k] for k in np.flatnonzero(gone).tolist()]


def _sides(triangles: Numbers) -> Numbers:
    """The sides of triangles, each once."""
    every = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    count = int(every.max()) + 1
    codes = np.unique(every[:, 0] * count + every[:, 1])
    return np.stack([codes // count, codes % count], axis=1)


def _joined(paths: Sequence[Path]) -> tuple[Array, list[Numbers]]:
    """The points of all paths, those that fall on each other once."""
    from shapely import STRtree
    from shapely import points as at

    every = np.concatenate([p.points for p in paths])
    first = np.arange(len(every))
    here = at(every)
    for a, b in sorted(STRtree(here).query(here, predicate="dwithin", distance=_SAME_MM).T.tolist()):
        first[b] = min(first[a], first[b])
    kept, number = np.unique(first, return_inverse=True)
    splits = np.cumsum([len(p.points) for p in paths])[:-1]
    return every[kept], [np.asarray(one, dtype=np.int64) for one in np.split(number, splits)]


def _edges(paths: Sequence[Path], numbers: Sequence[Numbers]) -> list[tuple[int, int]]:
    out = []
    for path, number in zip(paths, numbers, strict=True):
        nexts = np.roll(number, -1) if path.closed else number[1:]
        out += [(int(a), int(b)) for a, b in zip(number, nexts, strict=False) if a != b]
    return out


def _strewn(fixed: Array, rings: Sequence[Array], size: float, small: Array) -> Array | None:
    """Free points by the wanted size: lattices of equilateral triangles, each thinned out by chance where it is needed."""
    rng, out, low = np.random.default_rng(_SEED), [], min([size, *small[:, 3].tolist()])
    while True:
        last = 2.0 * low > size
        lattice = _lattice(fixed, low, None if last else small)
        if len(lattice) > 20 * _MOST:
            return None
        want = wanted(lattice, size, small)
        here = (want >= low * (1.0 - 1e-9)) & (want < 2.0 * low)
        kept = lattice[here][rng.random(int(here.sum())) < (low / want[here]) ** 2]
        out.append(kept[inside(kept, rings)])
        if last:
            break
        low *= 2.0
    found = np.concatenate(out)
    return found if len(found) <= _MOST else None


def _lattice(fixed: Array, low: float, small: Array | None) -> Array:
    """Points of a lattice so fine over the box of the outline, or only where what is small wants it finer than twice that."""
    (x0, y0), (x1, y1) = fixed.min(axis=0), fixed.max(axis=0)
    step = low * np.sqrt(0.75)
    rows, columns = int((y1 - y0) / step) + 2, int((x1 - x0) / low) + 2
    if small is None:
        if rows * columns > 20 * _MOST:
            return np.zeros((20 * _MOST + 1, 2))
        numbers = np.arange(rows * columns)
    else:
        codes = [np.zeros(0, dtype=np.int64)]
        for x, y, radius, least in small:
            reach = radius + (2.0 * low - least) / GROWTH
            if reach > radius:
                across = np.arange(
                    max(int((x - reach - x0) / low) - 1, 0), min(int((x + reach - x0) / low) + 2, columns)
                )
                up = np.arange(max(int((y - reach - y0) / step), 0), min(int((y + reach - y0) / step) + 2, rows))
                codes.append((up[:, None] * columns + across).ravel())
        numbers = np.unique(np.concatenate(codes))
    row, column = numbers // columns, numbers % columns
    return np.stack([x0 + (column + 0.5 * (row % 2)) * low, y0 + row * step], axis=1)


def _clear(points: Array, tree, reach: Array) -> NDArray[np.bool_]:  # type: ignore[no-untyped-def]
    from shapely import points as at

    if not len(points):
        return np.zeros(0, dtype=bool)
    (_, near), far = tree.query_nearest(at(points), all_matches=False, return_distance=True)
    return np.asarray(far > _CLEAR * reach[near])


def inside(points: Array, rings: Sequence[Array]) -> NDArray[np.bool_]:
    """Which points lie inside the first ring and in none of the others: crossings of a line to the right."""
    odd = np.zeros(len(points), dtype=bool)
    order = np.argsort(points[:, 1], kind="stable")
    x, y = points[order].T
    for ring in rings:
        ends = np.roll(ring, -1, axis=0)
        low, high = (np.searchsorted(y, choose(ring[:, 1], ends[:, 1])) for choose in (np.minimum, np.maximum))
        for (ax, ay), (bx, by), i, j in zip(ring.tolist(), ends.tolist(), low.tolist(), high.tolist(), strict=True):
            if i < j:
                odd[i:j] ^= x[i:j] < ax + (y[i:j] - ay) * (bx - ax) / (by - ay)
    out = np.zeros(len(points), dtype=bool)
    out[order] = odd
    return out


def _area(corners: Array) -> Array:
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0


def _sound(
    points: Array,
    triangles: Numbers,
    ends: Sequence[tuple[int, int]],
    rings: Sequence[Array],
    numbers: tuple[Numbers, ...],
    bows: tuple[Array, ...],
) -> Mesh | None:
    """The mesh if it has all sides of the paths and no more and no less area than the outline, else None."""
    if _missing(triangles, ends):
        return None
    whole = abs(_ring_area(rings[0])) - sum(abs(_ring_area(r)) for r in rings[1:])
    if abs(float(np.abs(_area(points[triangles])).sum()) - whole) > 1e-6 * whole:
        return None
    used = np.unique(triangles)
    if len(used) < len(points):  # a free point that no triangle took
        again = np.full(len(points), -1)
        again[used] = np.arange(len(used))
        if any((again[n] < 0).any() for n in numbers):
            return None
        points, triangles, numbers = points[used], again[triangles], tuple(again[n] for n in numbers)
    turned = _area(points[triangles]) < 0.0
    triangles[turned] = triangles[turned][:, ::-1]
    return Mesh(points=points, triangles=triangles.astype(np.int64), paths=numbers, bows=bows)


def _ring_area(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2.0)
