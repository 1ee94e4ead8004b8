"""The ways a rig is loaded whose liquid stands level in an effective gravity, each for the one engine.

At rest, leaned, hung, pushed so steadily and long that its waves have died, carried. What a sudden start or stop does before
and in between stands in `sudden`. *Carry*: leaned over by 10 degrees and set down suddenly: everything doubled, as of a mass on
a spring that is loaded at once and for good.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from assemblies.liquid.engine import G_MM_S2, WATER_KG_M3, Settled, settle
from assemblies.liquid.loads.loadcase import Duration, LoadCase, load_case
from assemblies.liquid.shapes.cavity import Cavity
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = ["LiquidCase", "Wave", "carry", "gravity_at_tilt", "less", "pushed_along", "slide", "still", "tilt"]

SUDDEN: Final = 2.0
SUDDEN_SOURCE: Final = (
    "suddenly applied load on an undamped oscillator, twice the steady effect (Akin, Impact Load Factors, case h = 0)"
)
STEADY_SOURCE: Final = (
    "hydrostatics; free surface square to the effective gravity (White, Fluid Mechanics, ch. 2; from memory)"
)
_CARRY_TILT_RAD: Final = math.radians(10.0)
_X: Final[Vector] = (1.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Wave:
    """The first waves of a sudden start.

    Attributes:
        rise_mm: twice the steady rise, at the wall that rises most, over the surface at rest: no wave passes it.
        height_mm: what the higher wave reaches, along or across, by 41 modes.
        freeboard_mm: from that surface to where liquid leaves, or to the top of what is closed.
        depth_mm: of the liquid at rest.
    """

    rise_mm: float
    height_mm: float
    freeboard_mm: float
    depth_mm: float

    @property
    def share(self) -> float:
        """Their height, of the depth."""
        return self.height_mm / self.depth_mm


@dataclass(frozen=True, kw_only=True)
class LiquidCase:
    """A case and the liquid behind it.

    Attributes:
        load: what strength reads.
        liquid: where it stands, and what of it has left.
        wave: the first waves, where they are what the case is of.
        part: of a move: its `start`, or the `stop` that is taken where no more is said; all of a `planned` one, which another
            check answers for.
    """

    load: LoadCase
    liquid: Settled
    wave: Wave | None = None
    part: Literal["start", "stop", "planned"] = "start"


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
    cavity: Cavity,
    volume: float,
    *,
    name: str = "still",
    duration: Duration = "permanent",
    density_kg_m3: float = WATER_KG_M3,
    gravity: Vector = (0.0, 0.0, -G_MM_S2),
) -> LiquidCase:
    """The rig at rest; with a turned `gravity`, at rest as it hangs or leans."""
    return _case(cavity, volume, density_kg_m3, gravity, (0.0, 0.0, 0.0), name, duration)


def tilt(
    cavity: Cavity,
    volume: float,
    tilt_rad: float,
    *,
    toward: Vector = _X,
    name: str = "tilt",
    duration: Duration = "minutes",
    density_kg_m3: float = WATER_KG_M3,
) -> LiquidCase:
    """The rig leaned slowly over its side `toward`, to at most a half turn."""
    gravity = gravity_at_tilt(tilt_rad, toward)
    return still(cavity, volume, name=name, duration=duration, density_kg_m3=density_kg_m3, gravity=gravity)


def slide(
    cavity: Cavity,
    volume: float,
    acceleration_mm_s2: float,
    *,
    direction: Vector = _X,
    name: str = "slide",
    duration: Duration = "minutes",
    density_kg_m3: float = WATER_KG_M3,
    gravity: Vector = (0.0, 0.0, -G_MM_S2),
) -> LiquidCase:
    """The rig pushed steadily along `direction`, also up or down, for so long that its waves have died.

    Raises:
        SeamwrightError: a negative acceleration (give its size and a direction), or one that is not finite.
    """
    push = pushed_along(direction, acceleration_mm_s2)
    return _case(cavity, volume, density_kg_m3, gravity, push, name, duration)


def carry(
    cavity: Cavity,
    volume: float,
    *,
    tilt_rad: float = _CARRY_TILT_RAD,
    toward: Vector = _X,
    name: str = "carry",
    density_kg_m3: float = WATER_KG_M3,
) -> LiquidCase:
    """Carried by hand: leaned over `toward` (10 degrees unless told, judgement) and set down suddenly (factor 2)."""
    x, y, z = gravity_at_tilt(tilt_rad, toward)
    down = -x, -y, -z  # an acceleration that adds as much again to gravity
    source = f"{STEADY_SOURCE}; {SUDDEN_SOURCE}"
    return _case(cavity, volume, density_kg_m3, (x, y, z), down, name, "minutes", factor=SUDDEN, source=source)


def _case(
    cavity: Cavity,
    volume: float,
    density: float,
    gravity: Vector,
    push: Vector,
    name: str,
    duration: Duration,
    factor: float = 1.0,
    source: str = STEADY_SOURCE,
) -> LiquidCase:
    gravity = finite_vector(gravity, f"case {name!r}: gravity")
    liquid = settle(cavity, volume, less(gravity, push), density_kg_m3=density)
    load = load_case(liquid, name=name, duration=duration, acceleration=push, dynamic_factor=factor, source=source)
    return LiquidCase(load=load, liquid=liquid)


def less(gravity: Vector, acceleration: Vector) -> Vector:
    """The effective gravity."""
    x, y, z = (g - a for g, a in zip(gravity, acceleration, strict=True))
    return x, y, z


def pushed_along(direction: Vector, size: float) -> Vector:
    """An acceleration of this size along a direction.

    Raises:
        SeamwrightError: a size that is negative or not finite, or a direction of no length.
    """
    if not (finite(size) and size >= 0.0):
        raise SeamwrightError(
            f"acceleration: {size!r} mm/s2, must be finite and not negative: give its size and a direction"
        )
    x, y, z = (float(size) * v for v in unit(direction, "direction"))
    return x, y, z
