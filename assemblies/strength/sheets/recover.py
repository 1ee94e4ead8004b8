"""Curvatures of a sheet from what is solved: at each corner a cubic through deflections and slopes around it.

Polynomial-preserving recovery (Zhang and Naga 2005; from memory): at a clamped edge and at a hole it is within one percent
where the triangles' own moments are several percent out (`tests/assemblies/strength/sheets`).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from assemblies.strength.sheets.borders import Array, Numbers

__all__ = ["curvatures"]

_TERMS = [(i - j, j) for i in range(4) for j in range(i + 1)]
_NEAR = 3.0  # what is near counts more: exp(-3 r2) with 1 for the farthest
_RIDGE = 1e-10
_ENOUGH = 7  # corners, with three values each, for the ten terms of a cubic: as many as about an inner corner


def curvatures(points: Array, triangles: Numbers, thick: Array, nodal: Array) -> tuple[Numbers, Array, Array]:
    """Corners, how thick the sheet is there, and second derivatives xx, yy, xy: (places,), (places,), (places, loads, 3).

    A corner at which two thicknesses meet has a place for each: a cubic never reaches over the step.

    Args:
        points, triangles: the mesh; thick: of each triangle.
        nodal: deflection, slope along x, slope along y at the points: (points, 3, loads).
    """
    found = [_of(points, triangles[thick == value], nodal) for value in np.unique(thick)]
    places = np.concatenate([corners for corners, _ in found])
    sheet = np.repeat(np.unique(thick), [len(corners) for corners, _ in found])
    return places, sheet, np.concatenate([second for _, second in found])


def _of(points: Array, triangles: Numbers, nodal: Array) -> tuple[Numbers, Array]:
    """The same in the triangles of one thickness: from one ring of them, where that has few corners from two."""
    from scipy.sparse import coo_matrix

    cells = np.repeat(np.arange(len(triangles)), 3)
    shape = (len(points), len(triangles))
    corners = coo_matrix((np.ones(triangles.size, dtype=np.int32), (triangles.ravel(), cells)), shape=shape).tocsr()
    beside = corners @ corners.T
    count = np.diff(beside.indptr)
    many, few = np.flatnonzero(count >= _ENOUGH), np.flatnonzero((count > 0) & (count < _ENOUGH))
    found = [_fitted(points, nodal, many, beside[many]), _fitted(points, nodal, few, beside[few] @ beside)]
    return np.concatenate([many, few]), np.concatenate(found)


def _fitted(points: Array, nodal: Array, here: Numbers, beside: Any) -> Array:
    """Second derivatives at corners of cubics through what is beside each: the rows of a sparse matrix."""
    if not len(here):
        return np.zeros((0, nodal.shape[2], 3))
    counts = np.diff(beside.indptr)[:, None]
    places = np.arange(int(counts.max()))
    near = beside.indices[beside.indptr[:-1, None] + np.minimum(places, counts - 1)]
    step = points[near] - points[here][:, None]
    reach = np.hypot(step[..., 0], step[..., 1]).max(axis=1)[:, None]
    x, y = np.moveaxis(step / reach[..., None], 2, 0)
    root = np.sqrt(np.exp(-_NEAR * (x * x + y * y))) * (places < counts)
    parts = np.concatenate([root[..., None] * _terms(x, y, *way) for way in ((0, 0), (1, 0), (0, 1))], axis=1)
    values = nodal[near] * np.stack([root, root * reach, root * reach], axis=2)[..., None]
    wanted = np.concatenate([values[:, :, k] for k in range(3)], axis=1)
    turned = parts.transpose(0, 2, 1)
    found = np.linalg.solve(turned @ parts + _RIDGE * np.eye(len(_TERMS)), turned @ wanted) / reach[..., None] ** 2
    xx, xy, yy = (found[:, _TERMS.index(term)] for term in ((2, 0), (1, 1), (0, 2)))
    return np.stack([2.0 * xx, 2.0 * yy, xy], axis=2)


def _terms(x: Array, y: Array, dx: int = 0, dy: int = 0) -> Array:
    """The terms of a cubic at places, or their first derivatives."""
    one = np.ones_like(x)
    powers = [(one, x, x * x, x * x * x), (one, y, y * y, y * y * y)]
    out = np.empty((*x.shape, len(_TERMS)))
    for k, (i, j) in enumerate(_TERMS):
        factor = (i if dx else 1) * (j if dy else 1)
        out[..., k] = factor * powers[0][max(i - dx, 0)] * powers[1][max(j - dy, 0)]
    return out
