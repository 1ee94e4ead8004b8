"""Curvatures of a sheet from what is solved: at each corner a cubic through deflections and slopes around it.

Polynomial-preserving recovery (Zhang and Naga 2005; from memory): at a clamped edge and at a hole, where moments of Morley's
triangles are several percent out, it is within one (`tests/assemblies/strength/sheets`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from assemblies.strength.sheets.mesh import Array, Numbers

__all__ = ["Bent", "curvatures"]

_TERMS = [(i - j, j) for i in range(4) for j in range(i + 1)]
_NEAR = 3.0  # what is near counts more: exp(-3 r2) with 1 for the farthest
_RIDGE = 1e-10


@dataclass(frozen=True, kw_only=True, eq=False)
class Bent:
    """A bent mesh: corners (n, 2), triangles and their sides by number, middles and normals of sides; for each load the
    deflections at corners, and at those middles the slopes along the normals."""

    points: Array
    triangles: Numbers
    sides: Numbers
    middles: Array
    normals: Array
    deflection: Array
    slopes: Array


def curvatures(bent: Bent, thick: Array) -> tuple[Numbers, Array, Array]:
    """Corners, how thick the sheet is there, and second derivatives xx, yy, xy: (places,), (places,), (places, loads, 3).

    A corner at which two thicknesses meet has a place for each: a cubic never reaches over the step.
    """
    found = [_of(bent, np.flatnonzero(thick == value)) for value in np.unique(thick)]
    places = np.concatenate([corners for corners, _ in found])
    sheet = np.repeat(np.unique(thick), [len(corners) for corners, _ in found])
    return places, sheet, np.concatenate([second for _, second in found])


def _of(bent: Bent, mine: Numbers) -> tuple[Numbers, Array]:
    """The same in the triangles of one thickness."""
    corners = _matrix(bent.triangles[mine], len(bent.points))
    around = corners @ corners.T @ corners  # triangles within two rings of each corner
    near, beside = (around @ corners.T).tocoo(), (around @ _matrix(bent.sides[mine], len(bent.middles)).T).tocoo()
    to_corner, to_side = (
        bent.points[near.col] - bent.points[near.row],
        bent.middles[beside.col] - bent.points[beside.row],
    )
    reach = np.zeros(len(bent.points))
    np.maximum.at(reach, near.row, np.hypot(*to_corner.T))
    x, y = (to_corner / reach[near.row][:, None]).T
    u, v = (to_side / reach[beside.row][:, None]).T
    normal, scale = bent.normals[beside.col], reach[beside.row][:, None]
    row = np.concatenate([near.row, beside.row])
    order = np.argsort(row, kind="stable")
    parts = np.concatenate([_terms(x, y), normal[:, :1] * _terms(u, v, 1, 0) + normal[:, 1:] * _terms(u, v, 0, 1)])[
        order
    ]
    wanted = np.concatenate([bent.deflection[near.col], bent.slopes[beside.col] * scale])[order]
    weight = np.exp(-_NEAR * np.concatenate([x * x + y * y, u * u + v * v]))[order][:, None]
    here, start = np.unique(row[order], return_index=True)
    heavy = weight * parts
    normal_matrix = np.stack([np.add.reduceat(heavy * parts[:, k : k + 1], start) for k in range(len(_TERMS))], axis=1)
    right = np.stack([np.add.reduceat(heavy[:, k : k + 1] * wanted, start) for k in range(len(_TERMS))], axis=1)
    found = np.linalg.solve(normal_matrix + _RIDGE * np.eye(len(_TERMS)), right) / reach[here][:, None, None] ** 2
    xx, xy, yy = (found[:, _TERMS.index(term)] for term in ((2, 0), (1, 1), (0, 2)))
    return here, np.stack([2.0 * xx, 2.0 * yy, xy], axis=2)


def _matrix(cells: Numbers, count: int) -> Any:
    """Which corners (or sides) belong to which triangles, as a sparse matrix (count, triangles)."""
    from scipy.sparse import coo_matrix

    across = np.repeat(np.arange(len(cells)), cells.shape[1])
    return coo_matrix((np.ones(cells.size), (cells.ravel(), across)), shape=(count, len(cells))).tocsr()


def _terms(x: Array, y: Array, dx: int = 0, dy: int = 0) -> Array:
    """The terms of a cubic at places, or their first derivatives."""
    out = []
    for i, j in _TERMS:
        factor = (i if dx else 1) * (j if dy else 1)
        out.append(factor * x ** max(i - dx, 0) * y ** max(j - dy, 0))
    return np.stack(out, axis=1)
