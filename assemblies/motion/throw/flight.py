"""A throw by a steady force: the run-up, what the floor feels, what the stop takes, how high it flies; mm, s, N, MPa, kg, J.

Source: mechanics; rho (g + a) h on the floor of an accelerated vessel (White, Fluid Mechanics, ch. 2; from memory). All of the
liquid is counted as moving with the cup until it has stopped.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["Stop", "Throw", "stopped", "thrown"]


@dataclass(frozen=True, kw_only=True)
class Throw:
    """Acceleration mm/s2, speed at the end mm/s, time s, pressure on the floor MPa, energy J, height of free flight mm."""

    acceleration: float
    speed: float
    time: float
    floor_mpa: float
    energy: float
    height: float


def thrown(
    force_n: float,
    mass_kg: float,
    stroke: float,
    depth: float,
    density_kg_m3: float,
    *,
    slope_rad: float = math.pi / 2.0,
    g_mm_s2: float = G_MM_S2,
) -> Throw:
    """What a force does to a mass along a stroke, straight up unless `slope_rad` says otherwise.

    Raises:
        SeamwrightError: a figure that cannot be; a force that does not lift the mass.
    """
    positive(force=force_n, mass=mass_kg, stroke=stroke, density=density_kg_m3, gravity=g_mm_s2)
    if not (math.isfinite(depth) and depth >= 0.0):
        raise SeamwrightError(f"depth: {depth!r} mm must be finite and not negative")
    if not (math.isfinite(slope_rad) and 0.0 <= slope_rad <= math.pi / 2.0 + 1e-12):
        raise SeamwrightError(f"slope: {slope_rad!r} rad must be from 0 to a quarter turn")
    push = force_n * 1e3 / mass_kg - g_mm_s2 * math.sin(slope_rad)
    if push <= 0.0:
        raise SeamwrightError(f"{force_n:.4g} N do not lift {mass_kg:.4g} kg")
    speed = math.sqrt(2.0 * push * stroke)
    up = push * math.sin(slope_rad)
    return Throw(
        acceleration=push,
        speed=speed,
        time=math.sqrt(2.0 * stroke / push),
        floor_mpa=density_kg_m3 * (g_mm_s2 + up) * depth * 1e-12,
        energy=mass_kg * speed**2 / 2.0 * 1e-6,
        height=(speed * math.sin(slope_rad)) ** 2 / (2.0 * g_mm_s2),
    )


@dataclass(frozen=True, kw_only=True)
class Stop:
    """Deceleration mm/s2; whether the liquid leaves; force with the drive let off and still on, N; energy to absorb, J."""

    deceleration: float
    leaves: bool
    let_off_n: float
    driven_n: float
    energy: float


def stopped(
    speed: float,
    mass_kg: float,
    cushion: float,
    force_n: float,
    *,
    slope_rad: float = math.pi / 2.0,
    g_mm_s2: float = G_MM_S2,
) -> Stop:
    """What a cushion of a length takes; the drive is taken as still on for the energy.

    Raises:
        SeamwrightError: a figure that cannot be.
    """
    positive(speed=speed, mass=mass_kg, cushion=cushion, gravity=g_mm_s2)
    if not (math.isfinite(force_n) and force_n >= 0.0):
        raise SeamwrightError(f"force: {force_n!r} N must be finite and not negative")
    down = g_mm_s2 * math.sin(slope_rad)
    brake = speed**2 / (2.0 * cushion)
    let_off = mass_kg * (brake - down) * 1e-3
    driven = let_off + force_n
    return Stop(
        deceleration=brake, leaves=brake > down, let_off_n=let_off, driven_n=driven, energy=driven * cushion * 1e-3
    )
