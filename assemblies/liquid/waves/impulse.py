"""The blow of liquid that has not moved yet: the pressure of the whole mass at the instant that its tank is pushed sideways.

At that instant no wave stands: the surface is flat and its pressure nil, the walls push the liquid with the tank's
acceleration, and pressure obeys Laplace's equation (rigid container, no friction). In an upright box the answer is the series

    p = rho a sum c_n sinh(l_n x) / (l_n cosh(l_n L/2)) cos(l_n z),  l_n = (2n - 1) pi / 2h,  c_n = (4/pi) (-1)^(n-1) / (2n - 1)

with x from the middle against the push and z from the floor; in a cylinder Bessel's I1 stands for sinh. A push straight up
or down adds rho a times the depth, in a vessel of any shape: that is no part of this module.

Source: linear potential theory (Lamb, Hydrodynamics, art. 11: impulsive generation of motion; from memory); held to finite
differences and to the sum of the waves' masses in tests. Housner's form (`housner`) is the textbook's bound.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.liquid.shapes.wet import Array
from assemblies.liquid.waves.modes import positive
from parts.vectors import Vector

__all__ = ["BoxBlow", "RoundBlow", "rect_share", "round_blow_share"]

#: Terms of a series; signs alternate, and half of the last one leaves under a thousandth.
_TERMS: Final = 24
_N: Final = 2.0 * np.arange(_TERMS) + 1.0
_LAST: Final = np.where(np.arange(_TERMS) == _TERMS - 1, 0.5, 1.0)
_SIGN: Final = np.where(np.arange(_TERMS) % 2 == 0, 1.0, -1.0)
_DIGITS: Final = 6  # of a mm: places nearer than that are one
_MANY: Final = 2.0 * np.arange(400) + 1.0  # of a share of the mass, whose terms fall with the third power


@dataclass(frozen=True, kw_only=True)
class BoxBlow:
    """The pressure in an upright box whose liquid is pushed sideways at once.

    Attributes:
        middle: of the floor, mm, world.
        length, width: inside, along x and y, mm.
        depth: of the liquid, mm.
        push: the tank's acceleration along x and y, mm/s2.
        density_kg_m3: of the liquid.
    """

    middle: Vector
    length: float
    width: float
    depth: float
    push: tuple[float, float]
    density_kg_m3: float

    def __call__(self, points: Array) -> Array:
        """Pressure (MPa) at world points (n, 3), nil above the liquid; below it at the wall that the tank runs away from."""
        place = np.asarray(points, float) - np.array(self.middle)
        found = np.zeros(len(place))
        for k, span in ((0, self.length), (1, self.width)):
            if self.push[k]:
                found -= self.push[k] * _along(place[:, k], place[:, 2], span, self.depth)
        return np.asarray(found * self.density_kg_m3 * 1e-12)


@dataclass(frozen=True, kw_only=True)
class RoundBlow:
    """The same in an upright cylinder of this radius, mm."""

    middle: Vector
    radius: float
    depth: float
    push: tuple[float, float]
    density_kg_m3: float

    def __call__(self, points: Array) -> Array:
        """As `BoxBlow`."""
        from scipy.special import i0e, i1e

        place = np.asarray(points, float) - np.array(self.middle)
        x, y, z = place[:, 0], place[:, 1], np.clip(place[:, 2], 0.0, self.depth)
        r = np.minimum(np.hypot(x, y), self.radius)
        k = _N * math.pi / (2.0 * self.depth)
        wall = k * self.radius
        ratio = i1e(np.outer(r, k)) * np.exp(np.outer(r - self.radius, k)) / (k * (i0e(wall) - i1e(wall) / wall))
        out = (ratio * np.cos(np.outer(z, k))) @ (4.0 / math.pi * _SIGN * _LAST / _N)
        cosine = (x * self.push[0] + y * self.push[1]) / np.maximum(np.hypot(x, y), 1e-9)
        return np.asarray(-self.density_kg_m3 * 1e-12 * cosine * out)


def _along(x: Array, z: Array, span: float, depth: float) -> Array:
    """The series of a box, mm: x from the middle, z from the floor; odd in x.

    Places on a panel share their x, their z or both with many others: each factor is worked out once.
    """
    away, at_x = np.unique(np.round(np.clip(x, -span / 2.0, span / 2.0), _DIGITS), return_inverse=True)
    high, at_z = np.unique(np.round(np.clip(z, 0.0, depth), _DIGITS), return_inverse=True)
    k = _N * math.pi / (2.0 * depth)
    far = np.abs(away)[:, None]
    near = (np.exp((far - span / 2.0) * k) - np.exp(-(far + span / 2.0) * k)) * np.sign(away)[:, None]
    near *= 4.0 / math.pi * _SIGN * _LAST / (_N * k * (1.0 + np.exp(-k * span)))
    falls = np.cos(high[:, None] * k)
    if len(away) * len(high) <= 4 * len(x):
        return np.asarray((near @ falls.T)[at_x, at_z])
    return np.asarray(np.einsum("ij,ij->i", near[at_x], falls[at_z]))


def rect_share(span: float, depth: float) -> float:
    """The share of a box's liquid that strikes at once when it is pushed along `span`; one unit of length.

    Raises:
        SeamwrightError: a size that is not finite and above 0.

    >>> round(rect_share(2.0, 1.0), 3), round(rect_share(1.0, 1.0), 3)
    (0.5, 0.73)
    """
    positive(span=span, depth=depth)
    terms = np.tanh(_MANY * math.pi * span / (4.0 * depth)) / _MANY**3
    return float(32.0 * depth / (math.pi**3 * span) * terms.sum())


def round_blow_share(radius: float, depth: float) -> float:
    """The same of an upright cylinder.

    Raises:
        SeamwrightError: a size that is not finite and above 0.
    """
    from scipy.special import i0e, i1e

    positive(radius=radius, depth=depth)
    wall = _MANY * math.pi * radius / (2.0 * depth)
    ratio = i1e(wall) / (i0e(wall) - i1e(wall) / wall)
    return float(16.0 * depth / (math.pi**3 * radius) * (ratio / _MANY**3).sum())
