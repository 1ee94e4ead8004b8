"""Numbers that gears are made of, each refused in words where it cannot be."""

from __future__ import annotations

import math

from parts.findings import SeamwrightError

__all__ = ["flank_angle", "plain", "positive", "whole_teeth"]

_FEWEST, _MOST = 3, 10_000
_STEEPEST = math.radians(45.0)  # of the rack's flank; beyond, no tooth stands on it


def positive(name: str, value: object, unit: str = "") -> float:
    """A number over 0.

    Raises:
        SeamwrightError: it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not (math.isfinite(value) and value > 0.0):
        raise SeamwrightError(f"{name} must be a number over 0{f' {unit}' if unit else ''}, got {value!r}")
    return float(value)


def plain(name: str, value: object, least: float = -math.inf) -> float:
    """A finite number, not under `least`.

    Raises:
        SeamwrightError: it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not (math.isfinite(value) and value >= least):
        raise SeamwrightError(
            f"{name} must be a number{f' from {least:g}' if least > -math.inf else ''}, got {value!r}"
        )
    return float(value)


def whole_teeth(name: str, value: object, least: int = _FEWEST) -> int:
    """A count of teeth: a whole number.

    Raises:
        SeamwrightError: it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= _MOST:
        raise SeamwrightError(f"{name} must be a whole number from {least} to {_MOST}, got {value!r}")
    return value


def flank_angle(alpha: float) -> float:
    """The pressure angle of a rack.

    Raises:
        SeamwrightError: it is not over 0 and at most 45 degrees.
    """
    if not 0.0 < plain("the pressure angle", alpha) <= _STEEPEST:
        raise SeamwrightError(f"the pressure angle must be over 0 and at most 45 degrees, got {math.degrees(alpha):g}")
    return alpha
