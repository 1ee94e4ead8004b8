"""Where a falling function of one number crosses zero, inside a bracket."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["crossing"]


def crossing(f: Callable[[float], float], low: float, high: float) -> float:
    """The place between `low` (f not negative) and `high` (f not positive) where f falls through zero.

    Secant steps with the Illinois rule (the end that stays has its value halved), a halving step whenever three
    of them have not halved the bracket, to rounding. Source: false position, any text on numerical methods.

    Raises:
        ValueError: f does not fall through zero there.

    >>> round(crossing(lambda x: 2.0 - x * x, 0.0, 2.0), 12)
    1.414213562373
    """
    a, b, fa, fb = low, high, f(low), f(high)
    if fa <= 0.0:
        return a
    if fb > 0.0:
        raise ValueError("no crossing in the bracket")
    start, count, last = b - a, 0, 0
    for _ in range(200):
        width = b - a
        count += 1
        if count == 3:
            halve, start, count = width > 0.5 * start, width, 0
        else:
            halve = False
        c = (a + b) / 2.0 if halve or fa == fb else b - fb * width / (fb - fa)
        if not a < c < b:
            c = (a + b) / 2.0
            if not a < c < b:
                return c
        fc = f(c)
        if fc == 0.0 or width <= 4e-16 * max(abs(a), abs(b)):
            return c
        if fc > 0.0:
            a, fa = c, fc
            fb = fb / 2.0 if last == 1 else fb
            last = 1
        else:
            b, fb = c, fc
            fa = fa / 2.0 if last == -1 else fa
            last = -1
    return (a + b) / 2.0
