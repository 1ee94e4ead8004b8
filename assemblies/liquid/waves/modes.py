"""Waves of liquid in an upright box or cylinder: frequencies, and how high a sudden start lifts the surface.

Linear potential waves: no friction, rigid walls, surface tension left out. Valid while the waves are low: under a fifth of the
depth (`HIGHEST`, judgement), and the liquid deeper than 5 % of the length.

Source: omega^2 = g k tanh(k h); k = n pi / L in a box, k = 1.8412 / R in a cylinder (Lamb, Hydrodynamics, art. 190, 257; NASA
SP-106, ch. 2; clauses from memory). A push a answers in mode n of a box with eta'' + omega^2 eta = -omega^2 C a / g,
C = 4 L / (n pi)^2 for odd n, nil for even (Ibrahim, Liquid Sloshing Dynamics, 2005, ch. 2; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = [
    "HIGHEST",
    "FirstWaves",
    "Mode",
    "WallWave",
    "first_waves",
    "highest_wave",
    "positive",
    "rect_mode",
    "rect_shapes",
    "rect_waves",
    "round_mode",
    "round_shapes",
    "round_share",
    "round_waves",
]

#: Of the depth: waves that are higher break, and are no waves of this theory. Judgement.
HIGHEST: Final = 0.2
#: First root of the derivative of the Bessel function J1.
_XI: Final = 1.8411837813406593
_ODD: Final = 21  # odd modes of a history: 41 modes in all
_PERIODS, _STEPS = 6, 600  # of the first mode that are looked at, and places in each


@dataclass(frozen=True, kw_only=True)
class Mode:
    """A wave: `omega` in rad/s."""

    omega: float

    @property
    def frequency_hz(self) -> float:
        return self.omega / math.tau

    @property
    def period_s(self) -> float:
        return math.tau / self.omega


@dataclass(frozen=True, kw_only=True)
class WallWave:
    """A wave that a level push raises at the wall behind it: `lift` is how far a steady push of one gravity does, a length."""

    omega: float
    lift: float


@dataclass(frozen=True, kw_only=True)
class FirstWaves:
    """How high the surface rises at the wall of a box that is pushed suddenly and for good, mm.

    Attributes:
        steady: once it has come to rest: L a / 2 g.
        bound: twice that, which no sudden start passes.
        first_mode: greatest rise of the first mode alone.
        all_modes: of 41 modes in six periods of the first.
    """

    steady: float
    bound: float
    first_mode: float
    all_modes: float


def positive(**values: float) -> None:
    """Refuse what is not finite and above 0.

    Raises:
        SeamwrightError: naming it.
    """
    for name, value in values.items():
        if not (finite(value) and value > 0.0):
            raise SeamwrightError(f"{name}: {value!r} must be finite and above 0")


def rect_mode(length: float, depth: float, gravity: float, number: int = 1) -> Mode:
    """A wave along the length of an upright box.

    Args:
        length, depth: inside, of the liquid; any one unit of length.
        gravity: in that unit per s2.
        number: half waves along the length.

    Raises:
        SeamwrightError: a size that is not finite and above 0, a number that is no whole one from 1 on.

    >>> round(rect_mode(0.3, 0.1, 9.80665).period_s, 4)
    0.7017
    """
    positive(length=length, depth=depth, gravity=gravity)
    if not (finite(number) and number >= 1 and number == int(number)):
        raise SeamwrightError(f"mode: {number!r} must be a whole number from 1 on")
    k = number * math.pi / length
    return Mode(omega=math.sqrt(gravity * k * math.tanh(k * depth)))


def rect_waves(length: float, depth: float, gravity: float, count: int) -> tuple[WallWave, ...]:
    """The first `count` waves of a box that a push along its length raises, odd ones alone; their lifts come to length / 2.

    Raises:
        SeamwrightError: a size that is not finite and above 0, a count that is no whole one from 1 on.
    """
    odd = range(1, 2 * _counted(count), 2)
    return tuple(
        WallWave(omega=rect_mode(length, depth, gravity, n).omega, lift=4.0 * length / (n * math.pi) ** 2) for n in odd
    )


def round_waves(radius: float, depth: float, gravity: float, count: int) -> tuple[WallWave, ...]:
    """The same of an upright cylinder; their lifts come to the radius.

    Source: lift 2 R / (xi^2 - 1) at the wall, xi the roots of J1' (NASA SP-106, ch. 2; from memory).

    Raises:
        SeamwrightError: a size that is not finite and above 0.
    """
    from scipy.special import jnp_zeros

    positive(radius=radius, depth=depth, gravity=gravity)
    return tuple(
        WallWave(
            omega=math.sqrt(gravity * xi / radius * math.tanh(xi * depth / radius)), lift=2.0 * radius / (xi**2 - 1.0)
        )
        for xi in map(float, jnp_zeros(1, _counted(count)))
    )


def _counted(count: int) -> int:
    if not (finite(count) and count >= 1 and count == int(count)):
        raise SeamwrightError(f"waves: {count!r} must be a whole number from 1 on")
    return int(count)


def round_mode(radius: float, depth: float, gravity: float) -> Mode:
    """The first sideways wave of an upright cylinder; units as in `rect_mode`.

    Raises:
        SeamwrightError: a size that is not finite and above 0.
    """
    positive(radius=radius, depth=depth, gravity=gravity)
    k = _XI / radius
    return Mode(omega=math.sqrt(gravity * k * math.tanh(k * depth)))


def round_share(radius: float, depth: float) -> float:
    """The share of the liquid of an upright cylinder that swings with its first wave.

    Source: 2 tanh(xi h / R) / (xi h / R (xi^2 - 1)) (NASA SP-106, ch. 2; from memory).
    """
    positive(radius=radius, depth=depth)
    x = _XI * depth / radius
    return 2.0 * math.tanh(x) / (x * (_XI * _XI - 1.0))


@lru_cache(maxsize=256)
def highest_wave(length: float, depth: float) -> float:
    """The greatest rise at the wall of a box that is pushed suddenly along its length, of the bound L a / g.

    By 41 modes over six periods of the first; neither gravity nor push changes it. 0.9 to 1.

    Raises:
        SeamwrightError: a size that is not finite and above 0.

    >>> round(highest_wave(0.3, 0.1), 3)
    0.913
    """
    waves = rect_waves(length, depth, 1.0, _ODD)
    times = np.linspace(0.0, _PERIODS * math.tau / waves[0].omega, _PERIODS * _STEPS + 1)
    return float(np.max(sum(wave.lift / length * (1.0 - np.cos(wave.omega * times)) for wave in waves)))


def first_waves(length: float, depth: float, push: float, gravity: float) -> FirstWaves:
    """How high the surface of a box rises when it is pushed suddenly along its length; units as in `rect_mode`.

    Raises:
        SeamwrightError: a size, push or gravity that is not finite and above 0.
    """
    positive(length=length, depth=depth, push=push, gravity=gravity)
    bound = length * push / gravity
    return FirstWaves(
        steady=bound / 2.0,
        bound=bound,
        first_mode=8.0 / math.pi**2 * bound,
        all_modes=highest_wave(length, depth) * bound,
    )


def rect_shapes(share: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """How high the first odd waves of a box stand at places along it, of their height at its end: (waves, places).

    Args:
        share: places from the middle, of the length: -0.5 to 0.5.
        count: of waves.

    >>> rect_shapes(np.array([-0.5, 0.0, 0.5]), 2).round(9).tolist()
    [[-1.0, 0.0, 1.0], [-1.0, -0.0, 1.0]]
    """
    numbers = 2 * np.arange(_counted(count)) + 1
    waves = np.sin(np.outer(numbers, share) * math.pi)
    return np.asarray(waves / np.sin(numbers * math.pi / 2.0)[:, None])


def round_shapes(share: NDArray[np.float64], cosine: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """The same of an upright cylinder: places by their distance from the axis, of the radius, and the cosine of the angle from
    the way of the push. J1(xi r / R) cos(angle) (NASA SP-106, ch. 2; from memory)."""
    from scipy.special import j1, jnp_zeros

    roots = jnp_zeros(1, _counted(count))
    return np.asarray(j1(np.outer(roots, share)) * cosine / j1(roots)[:, None])
