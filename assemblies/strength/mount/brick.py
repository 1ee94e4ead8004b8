"""A brick of 20 nodes: its shape functions, and the stiffness and mass of many at once.

Source: serendipity functions, any text on finite elements. Places of the unit brick run from -1 to 1. Nodes: four corners
counter-clockwise around the lower face, four above, then the middles of its sides (`EDGES`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["EDGES", "GAUSS", "Grid", "shares"]

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
_AROUND: Final = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
_CORNERS: Final = np.array([(*xy, z) for z in (-1, 1) for xy in _AROUND], dtype=float)
EDGES: Final = np.array([(k + a, (k + 1) % 4 + a) for a in (0, 4) for k in range(4)] + [(k, k + 4) for k in range(4)])
_NODES: Final = np.concatenate([_CORNERS, _CORNERS[EDGES].mean(axis=1)])
#: Eight points, each with an eighth of the volume.
GAUSS: Final = _CORNERS / np.sqrt(3.0)
_LINE, _ON_LINE = np.polynomial.legendre.leggauss(3)
_POINTS: Final = np.array(list(product(_LINE, repeat=3)))
_WEIGHTS: Final = np.array(list(product(_ON_LINE, repeat=3))).prod(axis=1)


def shares(points: Array) -> tuple[Array, Array]:
    """The shape functions at points (n, 3) of the unit brick: (n, 20), and their slopes (n, 20, 3)."""
    over = points[:, None, :] * _NODES  # (n, 20, 3)
    one = np.where(_NODES == 0.0, 1.0 - points[:, None, :] ** 2, 1.0 + over)
    slope = np.where(_NODES == 0.0, -2.0 * points[:, None, :], np.broadcast_to(_NODES, over.shape))
    corner = np.all(_NODES != 0.0, axis=1)
    rest = over.sum(axis=2) - 2.0
    factor = np.where(corner, rest / 8.0, 0.25)
    full = one.prod(axis=2)
    slopes = np.empty_like(one)
    for k in range(3):
        others = one[..., (k + 1) % 3] * one[..., (k + 2) % 3]
        slopes[..., k] = slope[..., k] * others * factor + np.where(corner, _NODES[:, k] / 8.0, 0.0) * full
    return full * factor, slopes


@dataclass(frozen=True, eq=False)
class Grid:
    """Places of nodes (n, 3), mm, and the 20 nodes of each brick (m, 20)."""

    places: Array
    nodes: Numbers

    def at(self, cells: Numbers, points: Array) -> tuple[Array, Array, Array]:
        """In each such brick at points of the unit brick: places (cells, points, 3), slopes of the shape functions per mm
        (cells, points, 20, 3), and what a unit of volume becomes."""
        values, slopes = shares(points)
        corners = self.places[self.nodes[cells]]
        turned = np.einsum("qad,cai->cqdi", slopes, corners, optimize=True)  # d place i / d unit d
        per_mm = slopes @ np.linalg.inv(turned).swapaxes(2, 3)
        return values @ corners, per_mm, np.linalg.det(turned)

    def matrices(self, modulus: float, poisson: float) -> tuple[Any, Any, Array]:
        """Stiffness (3n, 3n; x, y and z of a node beside each other), volume that moves with nodes (n, n), and their shares of
        it."""

        mu, lame = modulus / (2.0 * (1.0 + poisson)), modulus * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson))
        many, count = len(self.nodes), len(self.places)
        _, slopes, volume = self.at(np.arange(many), _POINTS)
        weights = volume * _WEIGHTS
        flat = slopes.reshape(many, len(_WEIGHTS), 60)
        both = ((flat * weights[..., None]).swapaxes(1, 2) @ flat).reshape(many, 20, 3, 20, 3)
        stiff = lame * both + mu * both.swapaxes(2, 4)
        alike = mu * np.einsum("caibi->cab", both)
        for k in range(3):
            stiff[:, :, k, :, k] += alike
        own = (3 * self.nodes[:, :, None] + np.arange(3)).reshape(many, 60)
        values, _ = shares(_POINTS)
        mass = np.einsum("cq,qa,qb->cab", weights, values, values, optimize=True)
        return (
            _summed(stiff.reshape(many, 60, 60), own, 3 * count),
            _summed(mass, self.nodes, count),
            np.bincount(self.nodes.ravel(), (weights @ values).ravel(), minlength=count).astype(np.float64),
        )


def _summed(each: Array, own: Numbers, count: int) -> Any:
    from scipy.sparse import coo_matrix

    rows, columns = (np.broadcast_to(one, each.shape).ravel() for one in (own[:, :, None], own[:, None, :]))
    return coo_matrix((each.ravel(), (rows, columns)), shape=(count, count)).tocsc()
