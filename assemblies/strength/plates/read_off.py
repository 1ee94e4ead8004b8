"""What a bent plate does under each of its loads: the extremes, where they are, and how far they have settled."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import SIDES
from assemblies.strength.plates.surface import Bent, EdgeMoments, Peak, PlateResult

__all__ = ["compared", "read_off"]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Section:
    """The field along one side under every load: moments about the side and along it, and the largest tensile stress,
    each (loads, places); the places in the span, mm; where a corner is too near.
    """

    x: Array
    y: Array
    near: NDArray[np.bool_]
    places_mm: Array
    normal: Array
    along: Array
    stress: Array

    def largest(self, bent: Bent, values: Array, rank: Array) -> list[Peak]:
        """Per load the value of the highest rank."""
        best = np.argmax(np.where(self.near, -1.0, rank), axis=1)
        every = zip(values[np.arange(len(best)), best].tolist(), self.x[best], self.y[best], strict=True)
        return [Peak(value=value, x_mm=float(x), y_mm=float(y)) for value, x, y in every]

    def moments(self, bent: Bent) -> list[EdgeMoments]:
        """Per load what it carries."""
        extremes = self.largest(bent, self.normal, np.abs(self.normal))
        every = zip(self.normal, self.along, extremes, strict=True)
        return [EdgeMoments(places_mm=self.places_mm, normal=n, along=a, extreme=peak) for n, a, peak in every]


def _section(bent: Bent, side: str) -> _Section:
    share_x, share_y = bent.along(side)
    x, y = np.broadcast_arrays(share_x * bent.element.width, share_y * bent.element.height)
    got = bent.grid(share_x, share_y)
    count, upright = len(bent.coefficients), side in ("left", "right")
    mx, my, stress = (values.reshape(count, -1) for values in (got.mx, got.my, bent.tension(got)))
    return _Section(
        x=x,
        y=y,
        near=bent.near_corner(x, y),
        places_mm=y if upright else x,
        normal=mx if upright else my,
        along=my if upright else mx,
        stress=stress,
    )


def compared(fine: Sequence[PlateResult], coarse: Bent) -> list[PlateResult]:
    """The loads of one plate, each with its error estimated from the solution of lower order, at the places of the largest
    values.
    """
    peaks = [p for result in fine for p in result.peaks]
    got = coarse.field(np.array([p.x_mm for p in peaks]), np.array([p.y_mm for p in peaks]))
    table = np.stack([got.w, got.principal, got.mx, got.mx, got.my, got.my]).reshape(6, len(fine), 6)
    found = np.einsum("iki->ki", table)  # of each kind, the one at its own peak
    return [result.with_error(float(one[0]), one[1:].tolist()) for result, one in zip(fine, found, strict=True)]


def _span_places(length: float, other: float) -> Array:
    """61 places, and more along a side over 2.2 times as long as the other, so that they lie no further apart than there."""
    return np.linspace(0.0, 1.0, 60 * min(max(math.ceil(length / (2.2 * other)), 1), 4) + 1)


class _Grid:
    """The places in the span at which a plate is read, and where on it the values of every load are largest."""

    def __init__(self, bent: Bent) -> None:
        self.bent = bent
        a, b = bent.element.width, bent.element.height
        self.shares = _span_places(a, b), _span_places(b, a)
        self.x, self.y = self.shares[0] * bent.element.width, self.shares[1] * bent.element.height
        self.clear = np.logical_not(bent.near_corner(self.x[:, None], self.y[None, :]))

    def peaks(self, values: Array, rank: Array, everywhere: bool = False) -> list[Peak]:
        """Per load the value of the highest rank, away from corners where the theory is singular."""
        looked = rank if everywhere else np.where(self.clear, rank, -np.inf)
        best = np.argmax(looked.reshape(len(rank), -1), axis=1)
        found = values.reshape(len(values), -1)[np.arange(len(best)), best]
        i, j = np.unravel_index(best, self.clear.shape)
        every = zip(found.tolist(), self.x[i].tolist(), self.y[j].tolist(), strict=True)
        return [Peak(value=v, x_mm=x, y_mm=y) for v, x, y in every]

    def on_line(self, values: Array) -> list[Peak]:
        """Per load the largest value on the upright middle line."""
        middle = len(self.x) // 2
        best = np.argmax(values[:, middle], axis=1)
        found = values[np.arange(len(best)), middle, best]
        every = zip(found.tolist(), self.y[best].tolist(), strict=True)
        return [Peak(value=value, x_mm=float(self.x[middle]), y_mm=y) for value, y in every]


def read_off(bent: Bent) -> list[PlateResult]:
    """All the extremes of a plate solved under several loads, one result for each."""
    grid = _Grid(bent)
    got = bent.grid(*grid.shares)
    sections = {side: _section(bent, side) for side in SIDES}
    edges = {side: section.moments(bent) for side, section in sections.items()}
    largest, stress = got.principal, bent.tension(got)
    w = grid.peaks(got.w, np.abs(got.w), everywhere=True)
    mx_max, mx_min, my_max, my_min = (grid.peaks(m, sign * m) for m in (got.mx, got.my) for sign in (1.0, -1.0))
    mx_line, my_line = grid.on_line(got.mx), grid.on_line(got.my)
    twist, moment = grid.peaks(got.mxy, np.abs(got.mxy)), grid.peaks(largest, np.abs(largest))
    tension = grid.peaks(stress, stress)
    at_sides = [section.largest(bent, section.stress, section.stress) for section in sections.values()]
    middle = len(grid.x) // 2, len(grid.y) // 2

    def one(k: int) -> PlateResult:
        own = {side: each[k] for side, each in edges.items()}
        across, up = ([own[side].extreme for side in sides] for sides in (SIDES[:2], SIDES[2:]))
        return PlateResult(
            deflection=w[k],
            mid=float(got.w[k, *middle]),
            edges=own,
            mx_max=max([mx_max[k], *across], key=lambda p: p.value),
            mx_min=min([mx_min[k], *across], key=lambda p: p.value),
            my_max=max([my_max[k], *up], key=lambda p: p.value),
            my_min=min([my_min[k], *up], key=lambda p: p.value),
            mx_line=mx_line[k],
            my_line=my_line[k],
            twist=twist[k],
            moment=max([moment[k], *across, *up], key=lambda p: abs(p.value)),
            stress=max([tension[k], *(each[k] for each in at_sides)], key=lambda p: p.value),
            bent=bent.only(k),
        )

    return [one(k) for k in range(len(bent.coefficients))]
