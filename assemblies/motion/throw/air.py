"""An air cylinder: thrust, air used, two upper bounds on its speed, and how far it may outrun its feed.

N, mm, MPa (absolute or over the air as said), s, kg.

Source: F = p A (statics); flow of a path by ISO 6358 (sonic conductance C, critical ratio b) at the reference air of ISO 8778
(1.185 kg/m3, 293.15 K; from memory); work of air that expands at its own temperature (any text on thermodynamics).
All speeds are bounds and no forecast: what throttles the other side, and friction, only slow it. What its path feeds bounds the
steady speed: on its way there a piston swings past it, as on a spring of air (`surge_speed`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["AIR_MPA", "Feed", "Thrust", "air_used", "fed_speed", "reservoir_energy", "surge_speed", "thrust"]

AIR_MPA: Final = 0.101325  # ISO 2533
_REFERENCE_KG_M3: Final = 1.185
_REFERENCE_K: Final = 293.15
_GAS_J_KG_K: Final = 287.05
_STEPS: Final = 1500  # of the stroke


@dataclass(frozen=True, kw_only=True)
class Thrust:
    """Areas (mm2) and forces (N) of a cylinder: out against its cap, back on its rod side; `theory` without friction."""

    area: float
    ring: float
    push_theory: float
    push: float
    pull_theory: float
    pull: float


def thrust(bore: float, rod: float, over_mpa: float, efficiency: float = 0.85) -> Thrust:
    """What a cylinder pushes and pulls with at a pressure over the air's.

    Raises:
        SeamwrightError: a bore, pressure or efficiency that cannot be; a rod as thick as the bore.
    """
    positive(bore=bore, pressure=over_mpa, efficiency=efficiency)
    if not (math.isfinite(rod) and 0.0 <= rod < bore):
        raise SeamwrightError(f"rod: {rod!r} mm must be from 0 to under the bore of {bore!r} mm")
    if efficiency > 1.0:
        raise SeamwrightError(f"efficiency: {efficiency!r} must be up to 1")
    area = math.pi * bore**2 / 4.0
    ring = area - math.pi * rod**2 / 4.0
    return Thrust(
        area=area,
        ring=ring,
        push_theory=over_mpa * area,
        push=efficiency * over_mpa * area,
        pull_theory=over_mpa * ring,
        pull=efficiency * over_mpa * ring,
    )


def air_used(bore: float, rod: float, stroke: float, over_mpa: float, air_mpa: float = AIR_MPA) -> float:
    """Free air of one stroke out and back, mm3.

    Raises:
        SeamwrightError: as `thrust`; a stroke that is none.
    """
    positive(stroke=stroke, air=air_mpa)
    found = thrust(bore, rod, over_mpa, 1.0)
    return (found.area + found.ring) * stroke * (over_mpa + air_mpa) / air_mpa


@dataclass(frozen=True, kw_only=True)
class Feed:
    """What a supply path feeds: pressure under the load (absolute, MPa), share of the choked flow, kg/s, mm/s."""

    chamber_mpa: float
    factor: float
    flow_kg_s: float
    speed: float


def fed_speed(
    conductance: float, ratio: float, supply_mpa: float, area: float, load_n: float, air_mpa: float = AIR_MPA
) -> Feed:
    """The steady speed that valve and tube can feed against a load.

    Args:
        conductance: sonic, of the smallest part of the path, mm3/(s MPa): 1 dm3/(s bar) is 1e7.
        ratio: critical pressure ratio of that part.
        supply_mpa: absolute.
        area: of the piston, mm2.
        load_n: that it carries.
        air_mpa: of the air outside.

    Raises:
        SeamwrightError: a figure that cannot be; a load that the supply does not lift.
    """
    positive(conductance=conductance, supply=supply_mpa, area=area, air=air_mpa)
    if not (math.isfinite(ratio) and 0.0 <= ratio < 1.0):
        raise SeamwrightError(f"critical ratio: {ratio!r} must be from 0 to under 1")
    if not (math.isfinite(load_n) and load_n >= 0.0):
        raise SeamwrightError(f"load: {load_n!r} N must be finite and not negative")
    chamber = air_mpa + load_n / area
    if chamber >= supply_mpa:
        raise SeamwrightError(f"the load needs {chamber:.4g} MPa, and the supply has {supply_mpa:.4g} (absolute)")
    share = chamber / supply_mpa
    factor = 1.0 if share <= ratio else math.sqrt(1.0 - ((share - ratio) / (1.0 - ratio)) ** 2)
    flow = conductance * supply_mpa * _REFERENCE_KG_M3 * 1e-9 * factor
    speed = flow * _GAS_J_KG_K * _REFERENCE_K * 1e3 / (chamber * area)
    return Feed(chamber_mpa=chamber, factor=factor, flow_kg_s=flow, speed=speed)


def reservoir_energy(
    pressure_mpa: float,
    reservoir_mm3: float,
    area: float,
    stroke: float,
    mass_kg: float,
    *,
    friction_n: float = 0.0,
    slope_rad: float = math.pi / 2.0,
    g_mm_s2: float = G_MM_S2,
    air_mpa: float = AIR_MPA,
) -> float:
    """The energy, J, that a mass has at the end of a stroke if the air of a closed reservoir drives it without loss.

    Args:
        pressure_mpa: absolute, at the start.
        reservoir_mm3: of the reservoir, tube and chamber together.
        area: of the piston, mm2.
        stroke: mm.
        mass_kg: that moves.
        friction_n: that it overcomes.
        slope_rad: of the stroke; a quarter turn is straight up.
        g_mm_s2: of gravity.
        air_mpa: of the air outside.

    Raises:
        SeamwrightError: a figure that cannot be; air that does not finish the stroke.
    """
    positive(
        pressure=pressure_mpa,
        reservoir=reservoir_mm3,
        area=area,
        stroke=stroke,
        mass=mass_kg,
        air=air_mpa,
        gravity=g_mm_s2,
    )
    if not (math.isfinite(friction_n) and friction_n >= 0.0):
        raise SeamwrightError(f"friction: {friction_n!r} N must be finite and not negative")
    if not (math.isfinite(slope_rad) and abs(slope_rad) <= math.pi / 2.0 + 1e-12):
        raise SeamwrightError(f"slope: {slope_rad!r} rad must be within a quarter turn")
    swept = area * stroke
    work = pressure_mpa * reservoir_mm3 * math.log1p(swept / reservoir_mm3) - air_mpa * swept
    lifts = mass_kg * g_mm_s2 * math.sin(slope_rad) * stroke * 1e-3
    energy = (work - friction_n * stroke - lifts) * 1e-3
    if energy <= 0.0:
        raise SeamwrightError("the air cannot finish the stroke: what it gives is used up before")
    return energy


def surge_speed(
    conductance: float,
    ratio: float,
    supply_mpa: float,
    area: float,
    stroke: float,
    mass_kg: float,
    load_n: float,
    dead_mm3: float,
    air_mpa: float = AIR_MPA,
) -> float:
    """The speed, mm/s, of a mass at the end of a stroke that starts as the valve opens on an empty cylinder.

    The path feeds by ISO 6358 and the air in the cylinder keeps its temperature: air that takes no heat swings less. The piston
    moves from when it is lifted. Steps of time, each with the pressure at its end.

    Args:
        conductance, ratio, supply_mpa, area, load_n, air_mpa: as `fed_speed`.
        stroke: mm.
        mass_kg: that moves.
        dead_mm3: of cylinder and hose behind the valve at the start.

    Raises:
        SeamwrightError: as `fed_speed`; a stroke, mass or dead volume that is not above 0.
    """
    fed = fed_speed(conductance, ratio, supply_mpa, area, load_n, air_mpa)
    positive(stroke=stroke, mass=mass_kg, dead=dead_mm3)
    choked = (
        conductance * supply_mpa * _REFERENCE_KG_M3 * _GAS_J_KG_K * _REFERENCE_K * 1e-6
    )  # N mm/s that comes in at most
    push = (supply_mpa - air_mpa) * area - load_n
    step = max(math.sqrt(2.0 * stroke * mass_kg / push * 1e-3), stroke / fed.speed) / _STEPS
    place, speed, pressure, stored = 0.0, 0.0, fed.chamber_mpa, fed.chamber_mpa * dead_mm3
    for _ in range(20 * _STEPS):
        swept = area * speed * step
        room = dead_mm3 + area * place + swept
        for _ in range(4):  # Newton: room p = stored + step feed(p)
            over = max((pressure / supply_mpa - ratio) / (1.0 - ratio), 0.0)
            flow = math.sqrt(max(1.0 - over**2, 1e-12))
            slope = room + step * choked * over / (flow * (1.0 - ratio) * supply_mpa)
            left = room * pressure - stored - step * choked * flow
            pressure = min(max(pressure - left / slope, 0.0), supply_mpa)
        stored = room * pressure
        place += swept / area
        if place >= stroke:
            return speed
        speed = max(speed + step * ((pressure - air_mpa) * area - load_n) / mass_kg * 1e3, 0.0)
    return speed
