"""The ways a rig is loaded, each as an effective gravity for the one engine.

Until a motion's real history is worked out, every start and stop counts as sudden. A mass on a spring pushed
suddenly and for good swings to twice the steady push; so does the first wave in a tank. In the engine:

- *slide*: the sideways acceleration is doubled, gravity is not: the surface tilts by 2 a/g and rises L a/g at
  the wall, twice the steady L a/2g, and the sideways push of the liquid is doubled with it.
- *throw*: gravity and acceleration are both doubled, so that the floor carries 2 rho (g + a) h.
- *carry*: leaned over by 10 degrees and set down suddenly: everything doubled.

Where the doubled slide would lift the surface over a lip, the engine pours that liquid away and the walls are
wet to the brim.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from assemblies.liquid.engine import G_MM_S2, WATER_KG_M3, Settled, settle
from assemblies.liquid.loads.loadcase import Duration, LoadCase, load_case
from assemblies.liquid.shapes.cavity import Cavity
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = ["LiquidCase", "carry", "gravity_at_tilt", "slide", "still", "throw", "tilt"]

SUDDEN: Final = 2.0
_SUDDEN_SOURCE: Final = (
    "suddenly applied load on an undamped oscillator, twice the steady effect (Akin, Impact Load Factors, case h = 0); "
    "for the first wave an upper bound: 41 modes give 0.91 to 0.96 of it"
)
_STEADY_SOURCE: Final = (
    "hydrostatics; free surface square to the effective gravity (White, Fluid Mechanics, ch. 2; from memory)"
)
_CARRY_TILT_RAD: Final = math.radians(10.0)
_X: Final[Vector] = (1.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class LiquidCase:
    """A case and the liquid behind it.

    Attributes:
        load: what strength reads.
        liquid: settled under the case's full (factored) effective gravity.
        steady: settled under the same motion once it is steady (factor 1); where the liquid really ends up.
        spilled: of these and the first wave of a sudden start, which stands twice as steep as the steady surface, the one
            that loses most.
    """

    load: LoadCase
    liquid: Settled
    steady: Settled
    spilled: Settled


def gravity_at_tilt(tilt_rad: float, toward: Vector = _X, g_mm_s2: float = G_MM_S2) -> Vector:
    """Gravity in the axes of a rig that leans so that its side `toward` (level when upright) goes down.

    Args:
        tilt_rad: -pi to pi; a half turn is upside down.
        toward: a direction square to z, any length.
        g_mm_s2: size of gravity.

    Raises:
        SeamwrightError: a tilt or direction that is none, gravity that is not finite and above 0.

    >>> [round(v, 3) for v in gravity_at_tilt(math.pi / 6)]
    [4903.325, 0.0, -8492.808]
    """
    if not (finite(tilt_rad) and abs(tilt_rad) <= math.pi):
        raise SeamwrightError(f"tilt: {tilt_rad!r} rad, must be within a half turn")
    x, y, z = unit(toward, "toward")
    if abs(z) > 1e-9:
        raise SeamwrightError(f"toward: {toward!r} must be level in the upright rig (z = 0)")
    if not (finite(g_mm_s2) and g_mm_s2 > 0.0):
        raise SeamwrightError(f"gravity: {g_mm_s2!r} mm/s2, must be finite and above 0")
    along, down = g_mm_s2 * math.sin(tilt_rad), -g_mm_s2 * math.cos(tilt_rad)
    return along * x, along * y, down


def still(
    cavity: Cavity, volume: float, *, name: str = "still", duration: Duration = "permanent",
    density_kg_m3: float = WATER_KG_M3, gravity: Vector = (0.0, 0.0, -G_MM_S2),
) -> LiquidCase:  # fmt: skip
    """The rig at rest; with a turned `gravity`, at rest as it hangs or leans."""
    return _case(cavity, volume, density_kg_m3, gravity, (0.0, 0.0, 0.0), _side, 1.0, name, duration)


def tilt(
    cavity: Cavity, volume: float, tilt_rad: float, *, toward: Vector = _X, name: str = "tilt",
    duration: Duration = "minutes", density_kg_m3: float = WATER_KG_M3,
) -> LiquidCase:  # fmt: skip
    """The rig leaned slowly over its side `toward`, to at most a half turn."""
    gravity = gravity_at_tilt(tilt_rad, toward)
    return still(cavity, volume, name=name, duration=duration, density_kg_m3=density_kg_m3, gravity=gravity)


def slide(
    cavity: Cavity, volume: float, acceleration_mm_s2: float, *, direction: Vector = _X, name: str = "slide",
    duration: Duration = "minutes", density_kg_m3: float = WATER_KG_M3, sudden: bool = True,
    gravity: Vector = (0.0, 0.0, -G_MM_S2),
) -> LiquidCase:  # fmt: skip
    """The rig pushed along `direction`; sudden unless told that it starts slower than several wave periods.

    Raises:
        SeamwrightError: a negative acceleration (give its size and a direction), or one that is not finite.
    """
    push = _scaled(direction, _size(acceleration_mm_s2))
    return _case(
        cavity, volume, density_kg_m3, gravity, push, _side, SUDDEN if sudden else 1.0, name, duration
    )  # fmt: skip


def throw(
    cavity: Cavity, volume: float, acceleration_mm_s2: float, *, direction: Vector = (0.0, 0.0, 1.0),
    name: str = "throw", duration: Duration = "minutes", density_kg_m3: float = WATER_KG_M3, sudden: bool = True,
    gravity: Vector = (0.0, 0.0, -G_MM_S2),
) -> LiquidCase:  # fmt: skip
    """The rig thrown upward (or along `direction`); the whole load doubled when sudden.

    Raises:
        SeamwrightError: as for `slide`.
    """
    push = _scaled(direction, _size(acceleration_mm_s2))
    return _case(cavity, volume, density_kg_m3, gravity, push, _all, SUDDEN if sudden else 1.0, name, duration)


def carry(
    cavity: Cavity, volume: float, *, tilt_rad: float = _CARRY_TILT_RAD, toward: Vector = _X, name: str = "carry",
    density_kg_m3: float = WATER_KG_M3,
) -> LiquidCase:  # fmt: skip
    """Carried by hand: leaned over `toward` (10 degrees unless told, judgement) and set down suddenly (factor 2)."""
    gravity = gravity_at_tilt(tilt_rad, toward)
    return _case(cavity, volume, density_kg_m3, gravity, (0.0, 0.0, 0.0), _all, SUDDEN, name, "minutes")


_Rule = Callable[[Vector, Vector, float], Vector]


def _side(gravity: Vector, push: Vector, factor: float) -> Vector:
    """The acceleration alone is multiplied: gravity was there before."""
    x, y, z = (factor * p for p in push)
    return x, y, z


def _all(gravity: Vector, push: Vector, factor: float) -> Vector:
    """The acceleration that multiplies the whole effective gravity: g - a' = factor (g - a)."""
    x, y, z = (g - factor * (g - p) for g, p in zip(gravity, push, strict=True))
    return x, y, z


def _case(
    cavity: Cavity, volume: float, density: float, gravity: Vector, push: Vector, rule: _Rule, factor: float,
    name: str, duration: Duration,
) -> LiquidCase:  # fmt: skip
    gravity = finite_vector(gravity, f"case {name!r}: gravity")
    acceleration = rule(gravity, push, factor)
    steady = settle(cavity, volume, _less(gravity, push), density_kg_m3=density)
    liquid = steady if factor == 1.0 else settle(cavity, volume, _less(gravity, acceleration), density_kg_m3=density)
    wave = liquid
    if factor != 1.0 and rule is not _side and any(push):
        wave = settle(cavity, volume, _less(gravity, _side(gravity, push, factor)), density_kg_m3=density)
    spilled = max(steady, liquid, wave, key=lambda one: one.lost_mm3)
    source = _STEADY_SOURCE if factor == 1.0 else f"{_STEADY_SOURCE}; {_SUDDEN_SOURCE}"
    load = load_case(
        liquid, name=name, duration=duration, acceleration=acceleration, dynamic_factor=factor, source=source
    )  # fmt: skip
    return LiquidCase(load=load, liquid=liquid, steady=steady, spilled=spilled)


def _less(gravity: Vector, acceleration: Vector) -> Vector:
    x, y, z = (g - a for g, a in zip(gravity, acceleration, strict=True))
    return x, y, z


def _size(acceleration: float) -> float:
    if not (finite(acceleration) and acceleration >= 0.0):
        raise SeamwrightError(
            f"acceleration: {acceleration!r} mm/s2, must be finite and not negative: give its size and a direction"
        )
    return float(acceleration)


def _scaled(direction: Vector, size: float) -> Vector:
    x, y, z = (size * v for v in unit(direction, "direction"))
    return x, y, z
