"""The wall of an upright round tank in closed form: stretched by pressure, and bent where it is bonded to its base.

Any consistent units. Sources: Lame (Timoshenko and Goodier, art. 28); Timoshenko and Woinowsky-Krieger, Theory of Plates and
Shells, art. 117: D w'''' + E t/a2 w = p, with all four constants (both from memory; the book's tank is met to 0.02 %).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import Array
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["BentBase", "Hoop", "bent_base", "hoop"]

_PLACES = 4001


@dataclass(frozen=True, kw_only=True)
class Hoop:
    """Stress around an open tube by the mean radius, and at its inside and outside; growth of its bore's radius."""

    thin: float
    inner: float
    outer: float
    growth: float


def _sizes(poisson: float, **given: float) -> None:
    for name, value in given.items():
        if not (finite(value) and value > 0.0):
            raise SeamwrightError(f"{name}: {value!r} must be a finite number over 0")
    if not (finite(poisson) and 0.0 <= poisson < 0.5):
        raise SeamwrightError(f"Poisson's ratio {poisson!r} must be from 0 to under 0.5")


def hoop(
    inside: float, wall: float, pressure: float, modulus: float, poisson: float, outer_pressure: float = 0.0
) -> Hoop:
    """A tube under pressure, open at its ends.

    Args:
        inside: radius of the bore.

    Raises:
        SeamwrightError: a size, pressure or Poisson's ratio that is none.

    >>> round(hoop(100, 5, 2.937e-3, 3200, 0.37).inner, 6)
    0.060244
    """
    _sizes(poisson, inside=inside, wall=wall, modulus=modulus)
    if not all(finite(p) and p >= 0.0 for p in (pressure, outer_pressure)):
        raise SeamwrightError("pressures in and on a tube are finite and count from 0")
    out = inside + wall
    squares, between = inside**2 + out**2, out**2 - inside**2
    inner = (pressure * squares - 2.0 * outer_pressure * out**2) / between
    return Hoop(
        thin=(pressure - outer_pressure) * (inside + wall / 2.0) / wall,
        inner=inner,
        outer=(2.0 * pressure * inside**2 - outer_pressure * squares) / between,
        growth=inside / modulus * (inner + poisson * pressure),
    )


@dataclass(frozen=True, kw_only=True)
class BentBase:
    """The wall at its clamped base.

    Attributes:
        waves: beta d, the depth in lengths over which bending dies out.
        moment, shear: at the base, per length; positive where the inside stretches, and where it pushes the base outward.
        moment_long, shear_long: the same by the formula for a long wall.
        growth, growth_at: the largest growth of the radius, and how high over the base.
        stress: of bending at the base.
        foot: the moment at the very foot.
        hoop: the largest stress around, of the middle of the wall.
        hoop_bent: the largest stress around with what bending adds at a face.
    """

    waves: float
    moment: float
    shear: float
    moment_long: float
    shear_long: float
    growth: float
    growth_at: float
    stress: float
    foot: float
    hoop: float
    hoop_bent: float


def bent_base(
    radius: float,
    wall: float,
    depth: float,
    weight: float,
    modulus: float,
    poisson: float,
    *,
    give: float = 0.0,
    turn: float = 0.0,
    arm: float = 0.0,
    read: float = 0.0,
    even: float = 0.0,
) -> BentBase:
    """A wall that is held at its base and free at the top, filled to its top.

    Args:
        radius: of the middle of the wall.
        depth: of wall and liquid.
        weight: of the liquid, force by volume.
        give: how far what holds it yields outward, by the shear per length; 0 clamps it.
        turn: how far what holds it has turned in (rad), about a place `arm` below the base.
        read: how high over the base moment and stress are read, where it is held by what gives a little.
        even: a pressure besides, the same all over the wall: what its own mass does when it turns.

    Raises:
        SeamwrightError: a size or Poisson's ratio that is none; a wall as thick as its radius.
    """
    _sizes(poisson, radius=radius, wall=wall, depth=depth, weight=weight, modulus=modulus)
    if not all(finite(v) for v in (give, turn, arm, read, even)) or give < 0.0 or not 0.0 <= read < depth:
        raise SeamwrightError(
            f"base: give {give!r}, turn {turn!r}, arm {arm!r}, read {read!r}: finite, from 0, in the wall"
        )
    if wall >= radius:
        raise SeamwrightError(f"a wall of {wall:g} at a radius of {radius:g} is no shell")
    rigid = modulus * wall**3 / (12.0 * (1.0 - poisson**2))
    beta = (3.0 * (1.0 - poisson**2)) ** 0.25 / math.sqrt(radius * wall)
    waves = beta * depth
    yields = radius**2 / (modulus * wall)  # of the radius, by pressure

    def parts(x: Array, order: int) -> Array:
        """A derivative of the four functions, those of the base and those of the top, as columns."""
        near, far = np.exp(-beta * x), np.exp(-beta * (depth - x))
        c, s, cf, sf = np.cos(beta * x), np.sin(beta * x), np.cos(beta * (depth - x)), np.sin(beta * (depth - x))
        turn = ((c, s), (-c - s, c - s), (2.0 * s, -2.0 * c), (2.0 * c - 2.0 * s, 2.0 * s + 2.0 * c))[order]
        back = ((cf, sf), (-cf - sf, cf - sf), (2.0 * sf, -2.0 * cf), (2.0 * cf - 2.0 * sf, 2.0 * sf + 2.0 * cf))[order]
        sign = -1.0 if order % 2 else 1.0
        out: Array = beta**order * np.stack(
            [near * turn[0], near * turn[1], sign * far * back[0], sign * far * back[1]], axis=-1
        )
        return out

    base, top = np.array([0.0]), np.array([depth])
    held = parts(base, 0) + give * rigid * parts(base, 3)
    rows = np.vstack([held, parts(base, 1) / beta, parts(top, 2) / beta**2, parts(top, 3) / beta**3])
    freely, evenly = yields * weight, yields * even
    wanted = np.array([-freely * depth - evenly - turn * arm, (freely - turn) / beta, 0.0, 0.0])
    found = np.linalg.solve(rows, wanted)
    x = np.linspace(0.0, depth, _PLACES)
    w = parts(x, 0) @ found + freely * (depth - x) + evenly
    moments = rigid * (parts(x, 2) @ found)
    stretched = modulus * w / radius
    k = int(np.argmax(w))
    at = _peak(lambda z: float((parts(np.array([z]), 1) @ found)[0]) - freely, x, k)
    growth = float((parts(np.array([at]), 0) @ found)[0]) + freely * (depth - at) + evenly
    moment = float(rigid * (parts(np.array([read]), 2) @ found)[0])
    long = radius * depth * wall / math.sqrt(12.0 * (1.0 - poisson**2)) * weight
    return BentBase(
        waves=waves,
        moment=moment,
        shear=-rigid * float((parts(base, 3) @ found)[0]),
        moment_long=(1.0 - 1.0 / waves) * long,
        shear_long=long * (2.0 * beta - 1.0 / depth),
        growth=growth,
        growth_at=at,
        stress=6.0 * abs(moment) / wall**2,
        foot=float(moments[0]),
        hoop=float(stretched.max()),
        hoop_bent=float((np.abs(stretched) + 6.0 * poisson * np.abs(moments) / wall**2).max()),
    )


def _peak(slope: Callable[[float], float], x: Array, k: int) -> float:
    """Where a slope is nil beside place k; the place itself where it is an end."""
    from scipy.optimize import brentq

    if k in (0, len(x) - 1):
        return float(x[k])
    return float(brentq(slope, x[k - 1], x[k + 1], xtol=1e-14 * float(x[-1])))
