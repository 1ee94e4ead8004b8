"""Curvatures of a sheet from what is solved: at each corner a cubic through deflections and slopes around it.

Polynomial-preserving recovery (Zhang and Naga 2005; from memory): at a clamped edge and at a hole it is within one percent
where the triangles' own moments are several percent out (`tests/assemblies/strength/sheets`).
"""

from __future__ import annotations

import numpy as np

from assemblies.strength.sheets.mesh import Array, Numbers

__all__ = ["curvatures"]

_TERMS = [(i - j, j) for i in range(4) for j in range(i + 1)]
_NEAR = 3.0  # what is near counts more: exp(-3 r2) with 1 for the farthest
_RIDGE = 1e-10


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
    """The same in the triangles of one thickness."""
    here, near, counts = _around(triangles, len(points))
    there = np.arange(near.shape[1]) < counts[:, None]
    step = points[near] - points[here][:, None]
    reach = np.hypot(step[..., 0], step[..., 1]).max(axis=1)[:, None]
    x, y = np.moveaxis(step / reach[..., None], 2, 0)
    root = np.sqrt(np.exp(-_NEAR * (x * x + y * y)) * there)
    parts = np.concatenate([root[..., None] * _terms(x, y, *way) for way in ((0, 0), (1, 0), (0, 1))], axis=1)
    values = nodal[near] * np.stack([root, root * reach, root * reach], axis=2)[..., None]
    wanted = np.concatenate([values[:, :, k] for k in range(3)], axis=1)
    turned = parts.transpose(0, 2, 1)
    found = np.linalg.solve(turned @ parts + _RIDGE * np.eye(len(_TERMS)), turned @ wanted) / reach[..., None] ** 2
    xx, xy, yy = (found[:, _TERMS.index(term)] for term in ((2, 0), (1, 1), (0, 2)))
    return here, np.stack([2.0 * xx, 2.0 * yy, xy], axis=2)


def _around(triangles: Numbers, count: int) -> tuple[Numbers, Numbers, Numbers]:
    """Corners; of each the corners within two rings of triangles, filled up with itself; how many they are."""
    from scipy.sparse import coo_matrix

    cells = np.repeat(np.arange(len(triangles)), 3)
    corners = coo_matrix((np.ones(triangles.size), (triangles.ravel(), cells)), shape=(count, len(triangles))).tocsr()
    beside = corners @ corners.T
    near = (beside @ beside).tocsr()
    every = np.diff(near.indptr)
    here = np.flatnonzero(every)
    counts = every[here]
    places = np.arange(int(counts.max()))
    return here, near.indices[near.indptr[here][:, None] + np.minimum(places, counts[:, None] - 1)], counts


def _terms(x: Array, y: Array, dx: int = 0, dy: int = 0) -> Array:
    """The terms of a cubic at places, or their first derivatives."""
    one = np.ones_like(x)
    powers = [(one, x, x * x, x * x * x), (one, y, y * y, y * y * y)]
    out = np.empty((*x.shape, len(_TERMS)))
    for k, (i, j) in enumerate(_TERMS):
        factor = (i if dx else 1) * (j if dy else 1)
        out[..., k] = factor * powers[0][max(i - dx, 0)] * powers[1][max(j - dy, 0)]
    return out
