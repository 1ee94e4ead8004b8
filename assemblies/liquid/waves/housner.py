"""Housner's form of liquid in a shaken tank, the textbook's: a bound, beside the exact series (`impulse`, `modes`).

It takes part of the liquid as fixed to the tank and part as a mass on a spring. Its fixed share is up to about 10 % over that
of exact linear theory, its pressure at the floor about 20 % (computed); nothing here is proven by it.

Source: Housner, The dynamic behavior of water tanks (BSSA 53, 1963; TID-7024), in the form of ACI 350.3 ch. 9 and the
IITK-GSDMA guidelines (2007): coefficients found in public pages.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.liquid.waves.modes import positive

__all__ = ["Housner", "housner_period", "housner_pressure", "housner_rect", "housner_round"]


@dataclass(frozen=True, kw_only=True)
class Housner:
    """Shares of the mass that are fixed (impulsive) and swing (convective), and where they act, in depths over the floor; the
    `with_floor` heights count the pressure on the floor too, and are None where they are not given."""

    fixed: float
    swings: float
    fixed_at: float
    swings_at: float
    fixed_at_with_floor: float | None = None
    swings_at_with_floor: float | None = None


def _fixed(ratio: float) -> tuple[float, float]:
    """Share and height of the fixed mass; `ratio` of length or diameter to depth."""
    x = 0.866 * ratio
    return math.tanh(x) / x, 0.375 if ratio >= 4.0 / 3.0 else 0.5 - 0.09375 * ratio


def _swings_at(x: float, least: float = 1.0) -> float:
    return 1.0 - (math.cosh(x) - least) / (x * math.sinh(x))


def housner_rect(length: float, depth: float) -> Housner:
    """Of a box pushed along its length; one unit of length.

    Raises:
        SeamwrightError: a size that is not finite and above 0.
    """
    positive(length=length, depth=depth)
    ratio, x = length / depth, 3.16 * depth / length
    share, at = _fixed(ratio)
    floor = 0.866 * ratio / (2.0 * math.tanh(0.866 * ratio)) - 0.125 if ratio >= 0.75 else 0.45
    return Housner(
        fixed=share,
        swings=0.264 * ratio * math.tanh(x),
        fixed_at=at,
        swings_at=_swings_at(x),
        fixed_at_with_floor=floor,
        swings_at_with_floor=_swings_at(x, 2.01),
    )


def housner_round(diameter: float, depth: float) -> Housner:
    """Of an upright cylinder; one unit of length.

    Raises:
        SeamwrightError: a size that is not finite and above 0.
    """
    positive(diameter=diameter, depth=depth)
    ratio, x = diameter / depth, 3.68 * depth / diameter
    share, at = _fixed(ratio)
    return Housner(fixed=share, swings=0.23 * ratio * math.tanh(x), fixed_at=at, swings_at=_swings_at(x))


def housner_period(diameter: float, depth: float, gravity: float) -> float:
    """The period (s) of what swings in an upright cylinder; gravity in the unit of length per s2.

    Raises:
        SeamwrightError: a size or gravity that is not finite and above 0.
    """
    positive(diameter=diameter, depth=depth, gravity=gravity)
    k = 3.68 / diameter
    return math.tau / math.sqrt(gravity * k * math.tanh(k * depth))


def housner_pressure(length: float, depth: float, push: float, density: float, height: float = 0.0) -> float:
    """The fixed mass's pressure on the end wall of a box, `height` over its floor; in density times push times length.

    Source: rho a h sqrt 3 (y/h - (y/h)^2 / 2) tanh(sqrt 3 L / 2h), y the depth below the surface (BSSA 47, 1957; from memory).

    Raises:
        SeamwrightError: a size, push or density that is not finite and above 0.
    """
    positive(length=length, depth=depth, push=push, density=density)
    y = 1.0 - height / depth
    root = math.sqrt(3.0)
    return density * push * depth * root * (y - y * y / 2.0) * math.tanh(root * length / (2.0 * depth))
