"""The functions along one axis of a tank, shared by every panel that runs along it, and their integrals.

At each knot a value and a slope (cubic Hermite, mm), in each interval so many bubbles (`plates.basis`). The order is: value and
slope at the start, value and slope at the end, the pairs of the inner knots, the bubbles interval by interval.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.plates.basis import Array, gauss, tables
from assemblies.strength.plates.element import Index

__all__ = ["END", "SLOPE", "START", "VALUES", "Line", "Span"]

START, END = 0, 2  # the function that is the value there
VALUES = (START, END)
SLOPE = 1  # further on, the slope at the same place


@dataclass(frozen=True, kw_only=True, eq=False)
class Span:
    """Integrals over a part of a line, for the pairs of functions that share an interval of it.

    Attributes:
        first, second: the pairs.
        mass, slope, bend: of f g, f' g', f'' g''. down, up: of f' g, f g'. bent, sagged: of f'' g, f g''. steep, leant: of
            f' g'', f'' g'.
    """

    first: Index
    second: Index
    mass: Array
    slope: Array
    bend: Array
    down: Array
    up: Array
    bent: Array
    sagged: Array
    steep: Array
    leant: Array


@dataclass(frozen=True)
class Line:
    """Knots from 0 to the span, mm, and how many bubbles lie between two."""

    knots: tuple[float, ...]
    bubbles: int

    @property
    def span(self) -> float:
        return self.knots[-1]

    @property
    def size(self) -> int:
        """How many functions."""
        return 2 * len(self.knots) + self.bubbles * (len(self.knots) - 1)

    def at(self, places: Array) -> Array:
        """Functions and their derivatives 1 to 3 at places, mm: (4, places, functions)."""
        return _kept(self, np.ascontiguousarray(places, dtype=float).tobytes())

    def places(self, low: float, high: float, step: float = math.inf) -> tuple[Array, Array]:
        """Gauss places and weights from low to high, in each interval enough for products of functions, and no further apart on
        the average than a step."""
        cuts = [low, *(k for k in self.knots if low < k < high), high]
        places, weights = [], []
        for a, b in itertools.pairwise(cuts):
            nodes, shares = gauss(max(self.bubbles + 4, math.ceil((b - a) / step)))
            places.append(a + (b - a) * nodes)
            weights.append((b - a) * shares)
        return np.concatenate(places), np.concatenate(weights)

    def over(self, low: float, high: float) -> Span:
        """Integrals over a part."""
        return _over(self, low, high)

    def below(self, place: float) -> NDArray[np.bool_]:
        """Which functions are something before a knot."""
        last = next(k for k, knot in enumerate(self.knots) if abs(knot - place) < 1e-6)
        found = np.zeros(self.size, dtype=bool)
        for k in range(last + 1):
            first = _knot(k, len(self.knots) - 1)
            found[[first, first + SLOPE]] = True
        start = 2 * len(self.knots)
        found[start : start + self.bubbles * last] = True
        return found

    @cached_property
    def half(self) -> Line:
        """Up to the middle, which is a knot."""
        return Line(self.knots[: len(self.knots) // 2 + 1], self.bubbles)

    def unfolded(self, even: bool) -> Array:
        """From the functions of the half to those of the whole, for what is even or odd about the middle: (size, half)."""
        return _unfolded(self, even)


@lru_cache(maxsize=512)
def _kept(line: Line, places: bytes) -> Array:
    table = tables(line.knots, line.bubbles, np.frombuffer(places))
    table.flags.writeable = False
    return table


@lru_cache(maxsize=512)
def _over(line: Line, low: float, high: float) -> Span:
    places, weights = line.places(low, high)
    value, first, second, _ = tables(line.knots, line.bubbles, places)
    touch = np.abs(value) + np.abs(first) > 0.0
    i, k = np.nonzero(touch.T.astype(float) @ touch)

    def integral(a: Array, b: Array) -> Array:
        return np.asarray((a.T @ (weights[:, None] * b))[i, k])

    return Span(
        first=i,
        second=k,
        mass=integral(value, value),
        slope=integral(first, first),
        bend=integral(second, second),
        down=integral(first, value),
        up=integral(value, first),
        bent=integral(second, value),
        sagged=integral(value, second),
        steep=integral(first, second),
        leant=integral(second, first),
    )


@lru_cache(maxsize=128)
def _unfolded(line: Line, even: bool) -> Array:
    half, sign = line.half, 1.0 if even else -1.0
    full = np.zeros((line.size, half.size))
    last, middle = len(line.knots) - 1, len(half.knots) - 1
    for k in range(len(line.knots)):
        twin = min(k, last - k)
        for slope in (0, 1):
            value = 1.0 if k == twin else sign * (-1.0) ** slope
            if twin == middle:  # an even one does not turn there, an odd one does not move
                value = float(bool(slope) != even)
            full[_knot(k, last) + slope, _knot(twin, middle) + slope] = value
    for k in range(last):
        twin = min(k, last - 1 - k)
        for n in range(line.bubbles):
            row = 2 * (last + 1) + line.bubbles * k + n
            column = 2 * (middle + 1) + line.bubbles * twin + n
            full[row, column] = 1.0 if k == twin else sign * (-1.0) ** n
    return full


def _knot(k: int, last: int) -> int:
    """Index of the value at knot k."""
    return START if k == 0 else END if k == last else 2 + 2 * k
