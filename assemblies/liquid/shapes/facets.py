"""A cavity of flat faces: exact integrals over the part below a level, by clipping triangles at the level.

The free surface needs no polygon of its own. With moments taken about a point on it, its share of the
divergence theorem is nil (volume = 1/3 of the sum over wetted faces of (x - x0).n dA), and its area is what
closes the sum of outward area vectors. Source: divergence theorem; integrals of products of linear functions
over triangles and tetrahedra are elementary.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assemblies.liquid.shapes.wet import Array, Wet
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector

__all__ = ["FacetBody", "bare_edges", "check_convex", "check_mesh", "signed_volume"]

_TOUCH_MM = 1e-6  # corners nearer than this are one
_FLAT = 1e-9  # how far a corner may stand out of a face, of the cavity's size

Named = Sequence[tuple[str, Array]]


def _key(point: Array) -> tuple[int, ...]:
    return tuple(round(float(v) / _TOUCH_MM) for v in point)


def bare_edges(faces: Named) -> list[tuple[str, Array, Array]]:
    """Edges that only one face has: face name, start, end (in the face's own direction)."""
    seen: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[str, Array, Array]] = {}
    for name, corners in faces:
        keys = [_key(corner) for corner in corners]
        for i, key in enumerate(keys):
            j = (i + 1) % len(keys)
            if (keys[j], key) in seen:
                del seen[keys[j], key]
            elif (key, keys[j]) in seen:
                raise SeamwrightError(f"face {name!r}: runs along an edge the same way as its neighbour: inside out?")
            else:
                seen[key, keys[j]] = (name, corners[i], corners[j])
    return list(seen.values())


def _check_bare(edges: list[tuple[str, Array, Array]], on_lips: Sequence[Vector]) -> None:
    allowed = {_key(np.asarray(point)) for point in on_lips}
    for name, a, b in edges:
        if _key(a) not in allowed or _key(b) not in allowed:
            places = " to ".join(f"({p[0]:g}, {p[1]:g}, {p[2]:g})" for p in (a, b))
            raise SeamwrightError(f"face {name!r}: the edge {places} mm is bare and no lip: close it or make it one")


def _normal(corners: Array) -> Array:
    """Area vector of a flat polygon (twice its area)."""
    moved = corners - corners[0]
    return np.asarray(np.cross(moved[1:-1], moved[2:]).sum(axis=0))


def check_convex(faces: Named, on_lips: Sequence[Vector]) -> None:
    """Refuse faces that are not the outside of a convex body, bare edges on lips excepted.

    Raises:
        SeamwrightError: naming the face.
    """
    points = np.concatenate([corners for _, corners in faces])
    size = float(np.ptp(points, axis=0).max())
    normals = np.array([_normal(corners) for _, corners in faces])
    lengths = np.sqrt((normals * normals).sum(axis=1))
    starts = np.array([corners[0] for _, corners in faces])
    for k, length in enumerate(lengths):
        if length <= 1e-12 * size * size:
            raise SeamwrightError(f"face {faces[k][0]!r}: has no area")
    normals /= lengths[:, None]
    out = (normals @ points.T) - (normals * starts).sum(axis=1)[:, None]
    if (worst := out.max(axis=1)).max() > _FLAT * size:
        k = int(worst.argmax())
        raise SeamwrightError(
            f"face {faces[k][0]!r}: a corner stands {worst[k]:.3g} mm outside it: not flat, not convex or turned "
            "inside out (give a hollow shape as a mesh)"
        )
    if out.min() > -_FLAT * size:
        raise SeamwrightError("cavity: the faces hold no volume")
    _check_bare(bare_edges(faces), on_lips)


def check_mesh(triangles: Array, on_lips: Sequence[Vector]) -> None:
    """Refuse a mesh with bare edges off its lips, or turned inside out.

    Raises:
        SeamwrightError: saying where.
    """
    if not np.isfinite(triangles).all():
        raise SeamwrightError("mesh: a point is not finite")
    edges = bare_edges([("mesh", triangle) for triangle in triangles])
    _check_bare(edges, on_lips)
    if edges:
        middle = np.mean([a for _, a, _ in edges], axis=0)
        triangles = np.concatenate([triangles, np.array([(b, a, middle) for _, a, b in edges])])
    if signed_volume(triangles) <= 0.0:
        raise SeamwrightError("mesh: holds no volume, or its triangles run clockwise seen from outside")


def signed_volume(triangles: Array) -> float:
    """Volume inside closed triangles (n, 3, 3) that run counter-clockwise seen from outside."""
    moved = triangles - triangles[0, 0]
    return float(np.einsum("ij,ij->", moved[:, 0], np.cross(moved[:, 1], moved[:, 2])) / 6.0)


class FacetBody:
    """Triangles with names, ready to be cut at any level; nothing in it changes after it is made."""

    def __init__(self, triangles: Array, owners: Sequence[str], *, one_pool: bool) -> None:
        self._names = tuple(dict.fromkeys(owners))
        self.origin: Array = triangles.reshape(-1, 3).mean(axis=0)
        self._corners = triangles - self.origin
        edge_1, edge_2 = (self._corners[:, k] - self._corners[:, 0] for k in (1, 2))
        self._twice = np.cross(edge_1, edge_2)  # area vectors, doubled
        self._offset = (self._corners[:, 0] * self._twice).sum(axis=1)
        index = {name: k for k, name in enumerate(self._names)}
        self._owner = np.array([index[name] for name in owners])
        self._links = None if one_pool else _links(self._corners)

    @property
    def names(self) -> tuple[str, ...]:
        return self._names

    @property
    def triangles(self) -> Array:
        """(n, 3, 3), mm, counter-clockwise seen from outside the liquid."""
        return np.asarray(self._corners + self.origin)

    def span(self, up: Vector) -> tuple[float, float]:
        heights = self._corners.reshape(-1, 3) @ np.array(up)
        shift = float(self.origin @ np.array(up))
        return float(heights.min()) + shift, float(heights.max()) + shift

    def beside(self, point: Vector) -> tuple[tuple[str, ...], Array, Array]:
        sizes = np.sqrt((self._twice * self._twice).sum(axis=1))
        normals = self._twice / np.where(sizes > 0.0, sizes, 1.0)[:, None]
        names = tuple(self._names[k] for k in self._owner)
        return names, _distances(np.array(point) - self.origin, self._corners, normals), normals

    def fill(self, up: Vector, level: float) -> tuple[float, float]:
        u = np.array(up)
        depth = (level - self.origin @ u) - self._corners @ u
        part = _wet_part(depth)
        on_surface = u * (level - self.origin @ u)
        volume = ((self._offset - self._twice @ on_surface) * part).sum() / 6.0
        area = -((self._twice @ u) * part).sum() / 2.0
        return float(volume), float(area)

    def wet(self, up: Vector, level: float) -> Wet:
        u = np.array(up)
        low = level - float(self.origin @ u)
        depth = low - self._corners @ u
        if self._links is not None:
            _check_one_pool(depth, self._links)
        corners, owner = _clip(self._corners, depth, self._owner)
        return _integrate(corners, owner, u, low, self.origin, len(self._names))


def _distances(point: Array, corners: Array, normals: Array) -> Array:
    """How far a point is from each triangle: square to it where it lies over it, else from its nearest edge."""
    ends = np.roll(corners, -1, axis=1)
    runs, out = ends - corners, point - corners
    over = (np.cross(runs, out) * normals[:, None]).sum(axis=2).min(axis=1) >= 0.0
    lengths = (runs * runs).sum(axis=2)
    share = np.clip((out * runs).sum(axis=2) / np.where(lengths > 0.0, lengths, 1.0), 0.0, 1.0)
    off = out - share[:, :, None] * runs
    from_edges = np.sqrt((off * off).sum(axis=2).min(axis=1))
    square = np.abs((out[:, 0] * normals).sum(axis=1))
    return np.asarray(np.where(over & normals.any(axis=1), square, from_edges))


def _wet_part(depth: Array) -> Array:
    """The part of each triangle's area at positive depth, from the depths of its corners (n, 3); no cancellation."""
    d = np.sort(depth, axis=1)
    low, mid, high = d[:, 0], d[:, 1], d[:, 2]
    wet = np.maximum(d, 0.0)
    tip = np.where(high > low, high - low, 1.0)
    one = wet[:, 2] / tip * (wet[:, 2] / np.where(high > mid, high - mid, 1.0))
    across, along = wet[:, 1] / np.where(mid > low, mid - low, 1.0), wet[:, 2] / tip
    two = across + along - across * along
    return np.where(low >= 0.0, 1.0, np.where(mid > 0.0, two, one))


def _clip(corners: Array, depth: Array, owner: Array) -> tuple[Array, Array]:
    """The wet parts of the triangles as triangles again, with their owners; their turning sense is kept."""
    count = (depth > 0.0).sum(axis=1)
    whole, one, two = count == 3, count == 1, count == 2
    parts, owners = [corners[whole]], [owner[whole]]
    if one.any():
        a, b, c, da, db, dc = _turned(corners[one], depth[one], depth[one].argmax(axis=1))
        parts.append(np.stack([a, _cut(a, b, da, db), _cut(a, c, da, dc)], axis=1))
        owners.append(owner[one])
    if two.any():
        a, b, c, da, db, dc = _turned(corners[two], depth[two], depth[two].argmin(axis=1))
        p, q = _cut(b, a, db, da), _cut(c, a, dc, da)
        parts += [np.stack([b, c, q], axis=1), np.stack([b, q, p], axis=1)]
        owners += [owner[two], owner[two]]
    return np.concatenate(parts), np.concatenate(owners)


def _turned(corners: Array, depth: Array, first: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """Corners and depths, each triangle turned so that the corner `first` leads."""
    order = (first[:, None].astype(int) + np.arange(3)) % 3
    rows = np.arange(len(corners))[:, None]
    p, d = corners[rows, order], depth[rows, order]
    return p[:, 0], p[:, 1], p[:, 2], d[:, 0], d[:, 1], d[:, 2]


def _cut(wet: Array, dry: Array, d_wet: Array, d_dry: Array) -> Array:
    """Where the edges from a wet to a dry corner meet the surface."""
    return np.asarray(wet + (dry - wet) * (d_wet / (d_wet - d_dry))[:, None])


def _integrate(corners: Array, owner: Array, u: Array, low: float, origin: Array, faces: int) -> Wet:
    """Sum over wet triangles; faces by owner."""
    member = (np.arange(faces)[:, None] == owner).astype(float)
    half = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2.0  # area vectors
    area = np.sqrt((half * half).sum(axis=1))
    depth = np.maximum(low - corners @ u, 0.0)
    total, middle = depth.sum(axis=1), corners.sum(axis=1)
    mean = total / 3.0
    # per unit area: depth times x
    centre = ((depth[:, :, None] * corners).sum(axis=1) + total[:, None] * middle) / 12.0
    about = u * low  # on the surface, so that the surface adds nothing below
    moved = corners - about
    sums = moved.sum(axis=1)
    six = (moved[:, 0] * half).sum(axis=1) * 2.0
    second = (np.einsum("n,nki,nkj->ij", six, moved, moved) + np.einsum("n,ni,nj->ij", six, sums, sums)) / 120.0
    volume, first = float(six.sum() / 6.0), six @ sums / 24.0
    cross = np.outer(first, about)
    return Wet(
        origin=origin,
        volume=volume,
        first=first + volume * about,
        second=second + cross + cross.T + volume * np.outer(about, about),
        face_area=member @ area,
        face_vector=member @ half,
        face_place=member @ (middle / 3.0 * (half @ u)[:, None]),
        face_depth=member @ (area * mean),
        face_push=member @ (half * mean[:, None]),
        face_turn=member @ np.cross(centre, half),
        face_centre=member @ (centre * area[:, None]),
    )


def _links(corners: Array) -> tuple[NDArray[np.intp], int]:
    """For a mesh: which point each triangle corner is, (n, 3), and how many points there are."""
    keys = np.round(corners.reshape(-1, 3) / _TOUCH_MM)
    _, index = np.unique(keys, axis=0, return_inverse=True)
    return index.reshape(-1, 3).astype(np.intp), int(index.max()) + 1


def _check_one_pool(depth: Array, links: tuple[NDArray[np.intp], int]) -> None:
    """Refuse when the wet points of a mesh fall into groups that no wet edge joins."""
    index, count = links
    under = depth > 0.0
    label = np.arange(count)
    pairs = [(index[:, i], index[:, j], under[:, i] & under[:, j]) for i, j in ((0, 1), (1, 2), (2, 0))]
    a = np.concatenate([p[w] for p, _, w in pairs])
    b = np.concatenate([q[w] for _, q, w in pairs])
    while True:
        least = np.minimum(label[a], label[b])
        new = label.copy()
        np.minimum.at(new, a, least)
        np.minimum.at(new, b, least)
        new = new[new]
        if (new == label).all():
            break
        label = new
    pools = len(np.unique(label[np.unique(index[under])]))
    if pools > 1:
        raise NotCovered(
            f"the liquid would stand in {pools} pools (or round an island): one free surface for all is not covered; "
            "give each pool as a cavity of its own"
        )
