"""Vectors in space: three numbers, and what is computed of them."""

from __future__ import annotations

import math
from numbers import Real

from parts.findings import SeamwrightError

__all__ = ["Vector", "cross", "dot", "finite", "finite_vector", "unit"]

Vector = tuple[float, float, float]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product a x b."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _minus(a: Vector) -> Vector:
    return -a[0], -a[1], -a[2]


def finite(value: object) -> bool:
    """True for a finite number, Python's or numpy's; text, None, true and false are none."""
    return isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)


def finite_vector(value: Vector, what: str) -> Vector:
    """The three numbers as floats.

    Raises:
        SeamwrightError: not three finite numbers.
    """
    try:
        numbers = tuple(float(v) for v in value)
    except (TypeError, ValueError):
        raise SeamwrightError(f"{what}: {value!r} is not three numbers") from None
    if len(numbers) != 3 or not all(map(math.isfinite, numbers)):
        raise SeamwrightError(f"{what}: {value!r} is not three finite numbers")
    return numbers[0], numbers[1], numbers[2]


def unit(value: Vector, what: str) -> Vector:
    """The direction of a vector.

    Raises:
        SeamwrightError: not three finite numbers, or no length.
    """
    x, y, z = finite_vector(value, what)
    length = math.hypot(x, y, z)
    if length == 0.0:
        raise SeamwrightError(f"{what}: a direction of no length")
    return x / length, y / length, z / length
