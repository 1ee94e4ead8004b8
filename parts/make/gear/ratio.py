"""Tooth numbers for a wanted ratio: every pair, or trains of two pairs.

Ratios and centre distances are compared as fractions of the numbers as they are written, so that 0.015 of 2.5 is a limit and
not the binary number beside it.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from heapq import nsmallest

from parts.findings import SeamwrightError
from parts.make.gear.numbers import plain, positive, whole_teeth

__all__ = ["Train", "pairs", "trains"]

_WIDEST = 500  # teeth: more is no gear of sheet, and the search goes with the square


def _exact(value: float) -> Fraction:
    return Fraction(repr(value))


def pairs(
    ratio: float,
    within: float,
    fewest: int,
    most: int,
    module_mm: float | None = None,
    centre_mm: float | None = None,
    centre_within_mm: float = 0.0,
) -> tuple[tuple[int, int], ...]:
    """All pairs (driving, driven) with driven/driving within a share of the ratio, in order.

    Args:
        ratio: turns of the driving gear for one of the driven: 3 is not 1/3.
        within: share of the ratio that it may be off.
        fewest, most: teeth of either.
        module_mm, centre_mm, centre_within_mm: only pairs whose reference centre distance (no shift) is this.

    Raises:
        SeamwrightError: no pair, or limits that are none.

    >>> pairs(2.5, 0.015, 12, 80, 2.0, 60.0, 1.0)
    ((17, 42), (17, 43))
    """
    found = tuple(_pairs(ratio, within, fewest, most, module_mm, centre_mm, centre_within_mm))
    if not found:
        at = f" on a centre distance of {centre_mm:g} mm" if centre_mm is not None else ""
        raise SeamwrightError(
            f"no pair of gears from {fewest} to {most} teeth has the ratio {ratio:g} within {within:g} of it{at}"
        )
    return found


def _pairs(
    ratio: float, within: float, fewest: int, most: int, module_mm: float | None, centre_mm: float | None, loose: float
) -> Iterator[tuple[int, int]]:
    wish, off = _exact(positive("the ratio", ratio)), _exact(plain("how far the ratio may be off", within, 0.0))
    _limits(fewest, most)
    if (module_mm is None) != (centre_mm is None):
        raise SeamwrightError("a centre distance goes with the module: give both, or neither")
    plain("how far the centre distance may be off", loose, 0.0)
    teeth: tuple[Fraction, Fraction] | None = None
    if module_mm is not None and centre_mm is not None:
        half = _exact(positive("the module", module_mm)) / 2
        centre = _exact(positive("the centre distance", centre_mm))
        teeth = (centre - _exact(loose)) / half, (centre + _exact(loose)) / half
    for first in range(fewest, most + 1):
        low, high = math.ceil(first * wish * (1 - off)), math.floor(first * wish * (1 + off))
        for second in range(max(low, fewest), min(high, most) + 1):
            if teeth is None or teeth[0] <= first + second <= teeth[1]:
                yield first, second


def _limits(fewest: int, most: int) -> None:
    whole_teeth("the fewest teeth", fewest)
    if whole_teeth("the most teeth", most) < fewest:
        raise SeamwrightError(f"the most teeth, {most}, are under the fewest, {fewest}")
    if most > _WIDEST:
        raise SeamwrightError(f"the most teeth must be at most {_WIDEST}, got {most}")


@dataclass(frozen=True, kw_only=True)
class Train:
    """One or two pairs in a row, each (driving, driven), and what they come to."""

    stages: tuple[tuple[int, int], ...]
    ratio: Fraction

    def off(self, wish: float) -> float:
        """By what share of the wish its ratio is off."""
        return float(self.ratio / _exact(wish) - 1)

    @property
    def teeth(self) -> int:
        return sum(map(sum, self.stages))

    @property
    def evenly_worn(self) -> bool:
        """Whether every tooth of each pair meets every other: no common divisor."""
        return all(math.gcd(a, b) == 1 for a, b in self.stages)


def trains(
    ratio: float,
    within: float,
    fewest: int,
    most: int,
    *,
    stages: int = 1,
    module_mm: float | None = None,
    centre_mm: float | None = None,
    centre_within_mm: float = 0.0,
    best: int = 10,
) -> tuple[Train, ...]:
    """The best trains of one or two pairs: nearest to the ratio first, then those with the fewest teeth.

    With a centre distance both pairs have it, so that the last shaft lies in line with the first or
    anywhere round the middle one.

    Raises:
        SeamwrightError: none, or limits that are none.
    """
    if stages == 1:
        rows = pairs(ratio, within, fewest, most, module_mm, centre_mm, centre_within_mm)
        found: Iterator[Train] = (Train(stages=(p,), ratio=Fraction(p[1], p[0])) for p in rows)
    elif stages == 2:
        found = _two(ratio, within, fewest, most, module_mm, centre_mm, centre_within_mm)
    else:
        raise SeamwrightError(f"stages = {stages!r}: the search makes trains of 1 or 2 pairs")
    wish = _exact(ratio)
    out = tuple(nsmallest(best, found, key=lambda t: (abs(t.ratio - wish), t.teeth, t.stages)))
    if not out:
        raise SeamwrightError(
            f"no train of {stages} pairs from {fewest} to {most} teeth has the ratio {ratio:g} within {within:g} of it"
        )
    return out


def _two(
    ratio: float, within: float, fewest: int, most: int, module_mm: float | None, centre_mm: float | None, loose: float
) -> Iterator[Train]:
    """The first pair is the one of the lesser step: the other order runs as well and is the same train."""
    wish, off = _exact(positive("the ratio", ratio)), _exact(plain("how far the ratio may be off", within, 0.0))
    every: dict[float, list[tuple[int, int]]] = {}
    for one in _pairs(1.0, float(most), fewest, most, module_mm, centre_mm, loose):
        every.setdefault(one[1] / one[0], []).append(one)
    steps = sorted(every)
    least, greatest = float(wish * (1 - off)), float(wish * (1 + off))
    for step in steps:
        start = max(bisect_left(steps, least / step * (1.0 - 1e-12)), bisect_left(steps, step))
        for other in steps[start : bisect_right(steps, greatest / step * (1.0 + 1e-12))]:
            a, b = (min(every[s], key=sum) for s in (step, other))
            exact = Fraction(a[1] * b[1], a[0] * b[0])
            if abs(exact - wish) <= off * wish:
                yield Train(stages=(a, b), ratio=exact)
