"""What a pressure works on the functions of a plate: an integral over places, refined where the pressure is not smooth.

Gauss places are exact where pressure times function is a polynomial. At a step or a kink they are not. Nor is the pressure then
one of the lower half of the polynomials that its values at the places fix: what is left over, the *tail*, says how large the
error may be, and across which direction. Half the spacing of the places is all they know of where a step lies; the tail of a
step is as large as the step times the root of that spacing. So the error is taken as the tail times that root once more
(judgement; steps and kinks of known integral are off by a sixth to all of it).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.plates.basis import Array, Axis, gauss

__all__ = ["GOAL", "Push", "Region", "work_of"]

Push = Callable[[Array, Array], Array]
Region = tuple[float, float, float, float]
GOAL = 1e-3  # share of all of a load that may be in doubt once it is refined
MOST_CELLS = 3000


class _Run(NamedTuple):
    """Gauss places of one direction (mm) and weights, interval by interval; the matrix that takes values to the lower half of
    the normed polynomials; the widest spacing of the places as a share of the length.
    """

    places: Array
    weights: Array
    lower: Array
    spacing: float


@lru_cache(maxsize=64)
def _lower(count: int, intervals: int) -> Array:
    """Rows: normed Legendre polynomials 0 to half of count, times the roots of Gauss weights, for each interval apart."""
    nodes, weights = gauss(count)
    degree = np.arange((count + 1) // 2)
    table = np.polynomial.legendre.legvander(2.0 * nodes - 1.0, len(degree) - 1) * np.sqrt(2.0 * degree + 1.0)
    return np.asarray(np.kron(np.eye(intervals), (table * np.sqrt(weights)[:, None]).T))


def _cuts(axis: Axis, length: float, start: float, end: float) -> list[float]:
    """Ends and the axis' knots between them, mm."""
    return [start, *[k * length for k in axis.knots[1:-1] if start < k * length < end], end]


def _run(axis: Axis, length: float, start: float, end: float, points: int) -> _Run:
    """Places from start to end, interval by interval: the functions are polynomials only there."""
    cuts = _cuts(axis, length, start, end)
    count, sizes = max(points // (len(cuts) - 1), _least(axis)), np.diff(cuts)
    nodes, shares = gauss(count)
    weights = (sizes[:, None] * shares).ravel()
    return _Run(
        places=np.concatenate([a + (b - a) * nodes for a, b in itertools.pairwise(cuts)]),
        weights=weights,
        lower=_lower(count, len(sizes)) * np.sqrt(weights),
        spacing=float(sizes.max()) / (count * (end - start)),
    )


def _least(axis: Axis) -> int:
    """Places per interval that suffice for its functions and a smooth pressure."""
    return axis.bubbles // 2 + 8


def _checked(values: Array) -> Array:
    if not np.all(np.isfinite(values)):
        raise ValueError("pressure: not a finite number somewhere on the plate; give MPa at every place")
    return values


def work_of(
    axes: tuple[Axis, Axis],
    size: tuple[float, float],
    pushes: Sequence[Push],
    region: Region,
    points: int,
    settled: float,
) -> tuple[Array, Array]:
    """Work of each pressure (MPa, at places in mm) on each function, (size_x, size_y, pressures), over a region x0, x1, y0, y1
    in mm; and of each the share of its load that is in doubt where it has been refined (at most `GOAL` unless it needs more
    than `MOST_CELLS`).

    Args:
        axes, size: of the plate; mm.
        points: places along each side at first.
        settled: a pressure is refined when more of it than this is in doubt, as a share of the largest load.

    Raises:
        ValueError: a pressure that is no finite number somewhere.
    """
    x = _run(axes[0], size[0], region[0], region[1], points)
    y = _run(axes[1], size[1], region[2], region[3], points)
    grid_x, grid_y = np.meshgrid(x.places, y.places, indexing="ij")
    values = np.empty((len(pushes), *grid_x.shape))
    for k, push in enumerate(pushes):
        values[k] = push(grid_x, grid_y)
    _checked(values)
    table_x = axes[0].at(x.places / size[0]) * x.weights[:, None]
    table_y = axes[1].at(y.places / size[1]) * y.weights[:, None]
    work = np.moveaxis(table_x.T @ values @ table_y, 0, 2)
    low = x.lower @ values @ y.lower.T
    tails = x.weights @ (values * values) @ y.weights - np.einsum("kij,kij->k", low, low)
    area = (region[1] - region[0]) * (region[3] - region[2])
    doubt = np.sqrt(area * max(x.spacing, y.spacing) * np.maximum(tails, 0.0))
    whole = x.weights @ np.abs(values) @ y.weights
    rest = np.zeros(len(pushes))
    for k in np.nonzero(doubt > settled * whole.max())[0].tolist():
        work[:, :, k], rest[k] = _Cells(axes, size, pushes[k]).refined(region, (len(x.places), len(y.places)))
    return work, rest


class _Cells:
    """A pressure looked at cell by cell."""

    def __init__(self, axes: tuple[Axis, Axis], size: tuple[float, float], push: Push) -> None:
        self.axes, self.size, self.push = axes, size, push
        self.count = max(_least(axis) for axis in axes)
        self.nodes, self.weights = gauss(self.count)

    def refined(self, region: Region, points: tuple[int, int]) -> tuple[Array, float]:
        """Halve the cells that are in doubt most, each across its larger tail, until all is settled."""
        cells = self._first(region, points)
        values, doubt, sideways = self._look(cells)
        while True:
            whole = float(np.sum(_areas(cells) * np.einsum("i,nij,j->n", self.weights, np.abs(values), self.weights)))
            if np.sum(doubt) <= GOAL * whole or len(cells) >= MOST_CELLS:
                return self._work(cells, values), float(np.sum(doubt)) / whole if whole else 0.0
            worst = doubt >= doubt.max() / 4.0
            halves = _halved(cells[worst], sideways[worst])
            new_values, new_doubt, new_sideways = self._look(halves)
            cells = np.concatenate([cells[~worst], halves])
            values, doubt = np.concatenate([values[~worst], new_values]), np.concatenate([doubt[~worst], new_doubt])
            sideways = np.concatenate([sideways[~worst], new_sideways])

    def _first(self, region: Region, points: tuple[int, int]) -> Array:
        """The intervals of the axes, cut so that their places lie no further apart than before, (cells, 4)."""
        sides = []
        for k, axis in enumerate(self.axes):
            cuts = _cuts(axis, self.size[k], *region[2 * k : 2 * k + 2])
            parts = -(-points[k] // (self.count * (len(cuts) - 1)))
            fine = np.unique(np.concatenate([np.linspace(a, b, parts + 1) for a, b in itertools.pairwise(cuts)]))
            sides.append(np.stack([fine[:-1], fine[1:]], axis=1))
        across, up = (len(side) for side in sides)
        return np.concatenate([np.repeat(sides[0], up, axis=0), np.tile(sides[1], (across, 1))], axis=1)

    def _places(self, cells: Array, k: int) -> Array:
        """Places of each cell along x (0) or y (1), mm: (cells, count)."""
        return np.asarray(cells[:, 2 * k, None] + (cells[:, 2 * k + 1] - cells[:, 2 * k])[:, None] * self.nodes)

    def _look(self, cells: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Values at each cell's places, how much of its load is in doubt, and whether x is the direction to cut."""
        x, y = self._places(cells, 0), self._places(cells, 1)
        x, y = np.broadcast_arrays(x[:, :, None], y[:, None, :])
        shape = (len(cells) * self.count, self.count)
        asked = np.asarray(self.push(x.reshape(shape), y.reshape(shape)), dtype=float)
        values = _checked(np.broadcast_to(asked, shape).reshape(x.shape))
        root, lower = np.sqrt(self.weights), _lower(self.count, 1)
        scaled = root[:, None] * values * root
        squares = np.sum(scaled * scaled, axis=(1, 2))
        across, up = (
            np.maximum(squares - np.sum(low * low, axis=(1, 2)), 0.0) for low in (lower @ scaled, scaled @ lower.T)
        )
        return values, _areas(cells) * np.sqrt((across + up) / self.count), across >= up

    def _work(self, cells: Array, values: Array) -> Array:
        tables = []
        for k, axis in enumerate(self.axes):
            places = self._places(cells, k)
            weights = (cells[:, 2 * k + 1] - cells[:, 2 * k])[:, None] * self.weights
            tables.append(axis.at(places.ravel() / self.size[k]) * weights.reshape(-1, 1))
        up = values @ tables[1].reshape(len(cells), self.count, -1)
        return np.asarray(tables[0].T @ up.reshape(-1, up.shape[2]))


def _areas(cells: Array) -> Array:
    return np.asarray((cells[:, 1] - cells[:, 0]) * (cells[:, 3] - cells[:, 2]))


def _halved(cells: Array, sideways: NDArray[np.bool_]) -> Array:
    """Both halves of each cell, cut across x where `sideways`."""
    first, second = cells.copy(), cells.copy()
    for k, which in ((0, sideways), (2, ~sideways)):
        middle = (cells[which, k] + cells[which, k + 1]) / 2.0
        first[which, k + 1], second[which, k] = middle, middle
    return np.concatenate([first, second])
