"""What turning does to the wall, and how well a thing that turns must be balanced; mm, s, rad, MPa, N, kg.

Source: thin ring rho omega^2 r^2, pressure p r / t; thick: Lame, and the rotating annulus in plane stress (Timoshenko and
Goodier; from memory). Balance grade: ISO 21940-11, permissible eccentricity G / omega (second hand).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["Balance", "Hoop", "balance", "spun_hoop"]


@dataclass(frozen=True, kw_only=True)
class Hoop:
    """Hoop stress of a tube under liquid that stands `depth` deep at its wall, and under its own mass, MPa."""

    pressure: float
    thin: float
    thin_spin: float
    thick: float


def spun_hoop(
    inner: float,
    wall: float,
    omega: float,
    depth: float,
    density_kg_m3: float,
    own_kg_m3: float,
    poisson: float,
    g_mm_s2: float = G_MM_S2,
) -> Hoop:
    """The greatest hoop stress of a tube of `inner` radius; `thick` holds for any wall, `thin` under a tenth of the radius.

    Raises:
        SeamwrightError: a figure that cannot be.
    """
    positive(inner=inner, wall=wall, density=density_kg_m3, own=own_kg_m3, gravity=g_mm_s2)
    for name, value in (("speed", omega), ("depth", depth)):
        if not (math.isfinite(value) and value >= 0.0):
            raise SeamwrightError(f"{name}: {value!r} must be finite and not negative")
    if not 0.0 <= poisson < 0.5:
        raise SeamwrightError(f"Poisson's ratio: {poisson!r} must be from 0 to under 0.5")
    outer = inner + wall
    pressure = density_kg_m3 * g_mm_s2 * depth * 1e-12
    mean = inner + wall / 2.0
    spin = own_kg_m3 * omega**2 * 1e-12
    lame = pressure * (outer**2 + inner**2) / (outer**2 - inner**2)
    annulus = spin * (3.0 + poisson) / 4.0 * (outer**2 + (1.0 - poisson) / (3.0 + poisson) * inner**2)
    return Hoop(
        pressure=pressure, thin=pressure * inner / wall + spin * mean**2, thin_spin=spin * mean**2, thick=lame + annulus
    )


@dataclass(frozen=True, kw_only=True)
class Balance:
    """What a balance grade allows: the middle of mass off the axis (mm), mass times that (kg mm), the force it makes (N)."""

    off_mm: float
    unbalance: float
    force_n: float


def balance(grade_mm_s: float, mass_kg: float, omega: float) -> Balance:
    """What a grade G of ISO 21940-11 allows at a speed.

    Raises:
        SeamwrightError: a grade, mass or speed that is not above 0.
    """
    positive(grade=grade_mm_s, mass=mass_kg, speed=omega)
    off = grade_mm_s / omega
    return Balance(off_mm=off, unbalance=mass_kg * off, force_n=mass_kg * off * omega**2 * 1e-3)
