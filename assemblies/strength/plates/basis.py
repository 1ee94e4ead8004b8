"""Smooth polynomials on a line, made so that an edge's deflection and slope are unknowns of their own.

An *axis* spans 0 to 1. Its functions are, in this order: deflection and slope at 0, deflection and slope at 1
(Hermite cubics), the same pair at every inner *knot*, and then *bubbles*: polynomials that vanish with their slope
at both ends of one interval, the second derivative of bubble n being the normed Legendre polynomial of degree n (n =
2, 3, ...). Bubbles are therefore orthogonal in bending energy, which keeps plates of order 25 well conditioned.
Slopes are with respect to the axis coordinate (0 to 1).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["SLOPE_0", "SLOPE_1", "VALUE_0", "VALUE_1", "Array", "Axis", "axis", "gauss", "tables"]

Array = NDArray[np.float64]
VALUE_0, SLOPE_0, VALUE_1, SLOPE_1 = 0, 1, 2, 3
_CUBICS = (
    np.array([[2.0, -3.0, 0.0, 1.0], [1.0, -1.0, -1.0, 1.0], [2.0, 3.0, 0.0, -1.0], [-1.0, -1.0, 1.0, 1.0]]).T / 4.0
)
_DERIVED = np.diag([1.0, 2.0, 3.0], 1)  # of polynomials, by rising powers
_HERMITE = np.stack([np.linalg.matrix_power(_DERIVED, d) @ _CUBICS for d in range(4)])
KEPT_POINTS = 256  # tables of up to this many places are kept


@lru_cache(maxsize=64)
def gauss(count: int) -> tuple[Array, Array]:
    """Gauss-Legendre places and weights on 0 to 1; exact for polynomials up to degree 2 count - 1."""
    places, weights = np.polynomial.legendre.leggauss(count)
    return (places + 1.0) / 2.0, weights / 2.0


def _legendre(s: Array, count: int) -> Array:
    """Legendre polynomials 0 .. count - 1 at s, one column each (three-term recurrence)."""
    table = np.ones((len(s), max(count, 2)))
    table[:, 1] = s
    for n in range(1, count - 1):
        table[:, n + 1] = ((2 * n + 1) * s * table[:, n] - n * table[:, n - 1]) / (n + 1)
    return table


def _bubbles(s: Array, count: int) -> Array:
    """The first `count` bubbles and their derivatives 1 to 3 (with respect to s in -1..1): (4, places, count)."""
    legendre = _legendre(s, count + 4)
    n = np.arange(2, count + 2)
    norm = np.sqrt((2 * n + 1) / 2.0)
    rise = (legendre[:, 2:] - legendre[:, :-2]) / (2 * np.arange(1, count + 3) + 1)  # integrals of P1, P2, ..
    value = (rise[:, 2:] - rise[:, :-2])[:, :count] / (2 * n + 1)
    slopes = np.zeros((len(s), count + 2))  # P'(n+1) = P'(n-1) + (2n+1) P(n)
    slopes[:, 1] = 1.0
    for k in range(1, count + 1):
        slopes[:, k + 1] = slopes[:, k - 1] + (2 * k + 1) * legendre[:, k]
    return norm * np.stack([value, rise[:, 1 : count + 1], legendre[:, n], slopes[:, n]])


def _hermite(s: Array) -> Array:
    """Value and slope at -1, value and slope at 1, and their derivatives 1 to 3 (slopes with respect to s): (4, places,
    4).
    """
    powers = np.stack([np.ones_like(s), s, s * s, s * s * s], axis=1)
    return np.asarray(powers @ _HERMITE)


@dataclass(frozen=True, kw_only=True, eq=False)
class Axis:
    """The functions of one direction and their integrals over 0 to 1.

    Attributes:
        knots: 0, the inner knots, 1.
        bubbles: how many per interval.
        mirror: inner functions are sums and differences of a pair that mirror each other (only when the knots do).
        mass, slope, bend, mixed: integrals of f g, f' g', f'' g'' and f'' g, each (size, size).
        inside: inner functions, in index sets that do not mix where the plate is even: symmetric ones, antisymmetric ones; one
            set of all of them when they are not mirrored.
    """

    knots: tuple[float, ...]
    bubbles: int
    mirror: bool
    mass: Array
    slope: Array
    bend: Array
    mixed: Array
    inside: tuple[NDArray[np.intp], ...]

    @property
    def size(self) -> int:
        """How many functions."""
        return len(self.mass)

    def at(self, places: Array, derivative: int = 0) -> Array:
        """Functions (or their derivative 1 to 3) at places 0 to 1: (places, functions)."""
        wanted = np.ascontiguousarray(places, dtype=float)
        if len(wanted) > KEPT_POINTS:
            return np.asarray(_evaluate(self.knots, self.bubbles, self.mirror, wanted)[derivative])
        return np.asarray(_kept(self.knots, self.bubbles, self.mirror, wanted.tobytes())[derivative])

    def knot(self, place: float) -> int:
        """Index of the deflection at this inner knot (its slope is the next one); only where nothing is mirrored."""
        if self.mirror:
            raise ValueError("a mirrored axis has no function of its own at one inner knot")
        return 4 + 2 * self.knots[1:-1].index(place)


def tables(knots: tuple[float, ...], bubbles: int, places: Array) -> Array:
    """Plain functions and their derivatives 1 to 3: (4, places, functions)."""
    intervals, lengths = len(knots) - 1, np.diff(knots)
    table = np.zeros((4, len(places), 4 + 2 * (intervals - 1) + bubbles * intervals))
    k = np.clip(np.searchsorted(knots, places, side="right") - 1, 0, intervals - 1)  # which interval
    s = 2.0 * (places - np.asarray(knots)[k]) / lengths[k] - 1.0
    rise = (2.0 / lengths[k]) ** np.arange(4)[:, None]
    hermite = _hermite(s) * rise[:, :, None]
    hermite[:, :, [1, 3]] *= lengths[k][:, None] / 2.0
    rows = np.arange(len(places))[:, None]
    start, end = np.where(k == 0, 0, 4 + 2 * (k - 1)), np.where(k == intervals - 1, 2, 4 + 2 * k)
    ends = np.stack([start, start + 1, end, end + 1], axis=1)
    inner = (4 + 2 * (intervals - 1) + bubbles * k)[:, None] + np.arange(bubbles)
    table[:, rows, ends], table[:, rows, inner] = hermite, _bubbles(s, bubbles) * rise[:, :, None]
    return table


def _evaluate(knots: tuple[float, ...], bubbles: int, mirror: bool, places: Array) -> Array:
    """Functions of an axis and their derivatives 1 to 3 at places 0 to 1: (4, places, functions)."""
    table = tables(knots, bubbles, places)
    return table @ _mirrored(knots, bubbles)[0] if mirror and len(knots) > 2 else table


@lru_cache(maxsize=128)
def _kept(knots: tuple[float, ...], bubbles: int, mirror: bool, places: bytes) -> Array:
    table = _evaluate(knots, bubbles, mirror, np.frombuffer(places))
    table.flags.writeable = False
    return table


@lru_cache(maxsize=128)
def _mirrored(knots: tuple[float, ...], bubbles: int) -> tuple[Array, tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Matrix from plain to mirrored functions, and which of the new ones are symmetric and antisymmetric."""
    intervals = len(knots) - 1
    first = 4 + 2 * (intervals - 1)
    pairs = [(4 + 2 * k + d, 4 + 2 * (intervals - 2 - k) + d, (-1) ** d) for k in range(intervals - 1) for d in (0, 1)]
    pairs += [
        (first + bubbles * k + n, first + bubbles * (intervals - 1 - k) + n, (-1) ** n)
        for k in range(intervals)
        for n in range(bubbles)
    ]
    size = first + bubbles * intervals
    change = np.eye(size)
    even: list[int] = []
    odd: list[int] = []
    for one, two, sign in pairs:
        if one == two:
            (even if sign > 0 else odd).append(one)
        elif one < two:
            change[one, one] = change[one, two] = np.sqrt(0.5)
            change[two, one], change[two, two] = sign * np.sqrt(0.5), -sign * np.sqrt(0.5)
            even.append(one)
            odd.append(two)
    return change, (np.array(even, dtype=np.intp), np.array(odd, dtype=np.intp))


@lru_cache(maxsize=128)
def axis(bubbles: int, knots: tuple[float, ...] = (0.0, 1.0), plain: bool = False) -> Axis:
    """The axis with this many bubbles per interval; made once and kept.

    Args:
        plain: leave the functions unmirrored even where the knots are symmetric (for supports at a knot).
    """
    mirror = not plain and bool(np.allclose(np.add(knots, knots[::-1]), 1.0, atol=1e-12))
    nodes, weights = gauss(bubbles + 4)
    lengths = np.diff(knots)
    places = (np.array(knots)[:-1, None] + lengths[:, None] * nodes[None, :]).ravel()
    weighted = (lengths[:, None] * weights[None, :]).ravel()[:, None]
    value, first, second, _ = _evaluate(knots, bubbles, mirror, places)
    change, pair = _mirrored(knots, bubbles)
    return Axis(
        knots=knots,
        bubbles=bubbles,
        mirror=mirror,
        mass=value.T @ (weighted * value),
        slope=first.T @ (weighted * first),
        bend=second.T @ (weighted * second),
        mixed=second.T @ (weighted * value),
        inside=pair if mirror else (np.arange(4, len(change)),),
    )
