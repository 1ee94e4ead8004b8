"""Carrying by hand: plain mass limits, the revised NIOSH lifting equation where it applies, and the shock of a drop.

A part-filled open container is no stable load: the equation is refused for it (NIOSH 94-110 p. 5-6). Drain first.
None of these replaces an assessment on the spot; local rules decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from parts.findings import Finding, NotCovered, SeamwrightError
from parts.tables import Row, cite, load
from parts.vectors import finite

__all__ = ["Lift", "LiftLimit", "carry_findings", "drop_factor", "lift_limits", "recommended_weight", "weight_limit"]

Coupling = Literal["good", "fair", "poor"]
System = Literal["metric", "us"]


@dataclass(frozen=True, kw_only=True)
class LiftLimit:
    """A published mass figure and whether the load is over it."""

    name: str
    limit_kg: float
    over: bool
    source: str


@dataclass(frozen=True, kw_only=True)
class Lift:
    """The recommended weight limit and its multipliers; weight in kg (metric) or lb (us)."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float
    weight: float


@dataclass(frozen=True)
class _Units:
    """The equation's constants in one system of units: cm and kg, or in and lb."""

    load: str
    near: float
    knuckle: float
    drop_per: float
    distance: float
    least_distance: float
    far: float
    high: float


#: NIOSH 94-110: HM = near / H, VM = 1 - drop |V - knuckle|, DM = 0.82 + distance / D.
_SYSTEMS: Final = {
    "metric": _Units("load-constant", 25.0, 75.0, 0.003, 4.5, 25.0, 63.0, 175.0),
    "us": _Units("load-constant-us", 10.0, 30.0, 0.0075, 1.8, 10.0, 25.0, 70.0),
}


def _limit(name: str) -> Row:
    return next(row for row in load("lifting_limits") if row["limit"] == name)


def lift_limits(mass_kg: float) -> tuple[LiftLimit, ...]:
    """Every mass figure of the table, in kg, against a load.

    Raises:
        SeamwrightError: a mass that is not finite and above 0.

    >>> [limit.name for limit in lift_limits(24.0) if limit.over]
    ['reference-mass-wider', 'filter-women', 'load-constant']
    """
    if not (finite(mass_kg) and mass_kg > 0.0):
        raise SeamwrightError(f"mass: {mass_kg!r} kg, must be finite and above 0")
    return tuple(
        LiftLimit(
            name=row["limit"],
            limit_kg=float(row["value"]),
            over=mass_kg > float(row["value"]),
            source=cite(row["source"], row["clause"], row["how_known"]),
        )
        for row in load("lifting_limits")
        if row["unit"] == "kg"
    )


def recommended_weight(
    horizontal: float,
    height: float,
    travel: float,
    angle_deg: float,
    lifts_per_min: float,
    hours: float,
    coupling: Coupling,
    *,
    liquid: bool = False,
    system: System = "metric",
) -> Lift:
    """Recommended weight limit by the revised lifting equation.

    Source: NIOSH 94-110 (revised 9/2021), its frequency table as `parts/tables/lifting_frequency.csv`. Valid: two
    hands, a stable load, a floor that does not slip, no carrying, at most 8 h.

    Args:
        horizontal: hands to mid-ankles; cm (metric) or in (us). Less than 25 cm counts as 25.
        height: of the hands at the start, cm or in.
        travel: up or down, cm or in. Less than 25 cm counts as 25.
        angle_deg: turn of the body.
        lifts_per_min: fewer than 0.2 count as 0.2; between rows the next busier row.
        hours: of lifting; up to 1, 2 or 8.
        coupling: of hands and load.
        liquid: the load is a part-filled open container.
        system: of units.

    Raises:
        NotCovered: a part-filled open container, or beyond the equation's range.
        SeamwrightError: an argument that is none.
    """
    u = _units(system)
    if liquid:
        raise NotCovered(
            "the lifting equation does not apply to a part-filled open container, an unstable load: drain it first "
            "(NIOSH 94-110 p. 5-6)"
        )
    high = finite(height) and height >= u.knuckle
    return weight_limit(
        horizontal,
        height,
        travel,
        angle_deg,
        _frequency(lifts_per_min, hours, high),
        _coupling(coupling, high),
        system=system,
    )


def weight_limit(
    horizontal: float,
    height: float,
    travel: float,
    angle_deg: float,
    frequency: float,
    coupling: float,
    *,
    load_constant: float | None = None,
    system: System = "metric",
) -> Lift:
    """The same with the multipliers for frequency and coupling as they were read from the document's tables.

    Args:
        horizontal, height, travel, angle_deg, system: as for `recommended_weight`.
        frequency, coupling: multipliers, 0 to 1.
        load_constant: kg or lb; the document's (23 kg, 51 lb) when none is given.

    Raises:
        NotCovered: beyond the equation's range.
        SeamwrightError: an argument that is none.
    """
    u = _units(system)
    for value, what in ((horizontal, "horizontal"), (height, "height"), (travel, "travel"), (angle_deg, "angle")):
        if not (finite(value) and value >= 0.0):
            raise SeamwrightError(f"{what}: {value!r} must be finite and not negative")
    for value, what in ((frequency, "frequency multiplier"), (coupling, "coupling multiplier")):
        if not (finite(value) and 0.0 <= value <= 1.0):
            raise SeamwrightError(f"{what}: {value!r} must be from 0 to 1")
    for value, most, what in (
        (horizontal, u.far, "horizontal reach"),
        (height, u.high, "height"),
        (travel, u.high, "travel"),
        (angle_deg, 135.0, "turn in degrees"),
    ):
        if value > most:
            raise NotCovered(f"{what} {value:g} is beyond {most:g}, where the lifting equation ends: do not lift it so")
    constant = float(_limit(u.load)["value"]) if load_constant is None else load_constant
    if not (finite(constant) and constant > 0.0):
        raise SeamwrightError(f"load constant: {constant!r} must be finite and above 0")
    hm, dm = u.near / max(horizontal, u.near), 0.82 + u.distance / max(travel, u.least_distance)
    vm, am = 1.0 - u.drop_per * abs(height - u.knuckle), 1.0 - 0.0032 * angle_deg
    return Lift(
        horizontal=hm,
        vertical=vm,
        distance=min(dm, 1.0),
        asymmetry=am,
        frequency=frequency,
        coupling=coupling,
        weight=constant * hm * vm * min(dm, 1.0) * am * frequency * coupling,
    )


def _units(system: System) -> _Units:
    if system not in _SYSTEMS:
        raise SeamwrightError(f"system: {system!r} is none of metric, us")
    return _SYSTEMS[system]


def _coupling(coupling: str, high: bool) -> float:
    """Grip multiplier, by the hands' height at the start (NIOSH 94-110, coupling table)."""
    if coupling not in ("good", "fair", "poor"):
        raise SeamwrightError(f"coupling: {coupling!r} is none of good, fair, poor")
    return float(_limit(f"grip-{coupling}-{'high' if high else 'low'}")["value"])


def _frequency(lifts: float, hours: float, high: bool) -> float:
    """Frequency multiplier: the row of this or the next busier pace."""
    if not (finite(lifts) and lifts >= 0.0):
        raise SeamwrightError(f"lifts per minute: {lifts!r} must be finite and not negative")
    if not (finite(hours) and hours > 0.0):
        raise SeamwrightError(f"hours: {hours!r} must be finite and above 0")
    if hours > 8.0 or lifts > 15.0:
        raise NotCovered(f"{lifts:g} lifts a minute for {hours:g} h: the lifting equation ends at 15 a minute and 8 h")
    column = next(limit for limit in ("1", "2", "8") if hours <= float(limit))
    row = next(
        row
        for row in load("lifting_frequency")
        if row["hours_up_to"] == column and float(row["lifts_per_min"]) >= lifts
    )
    return float(row["high_hands" if high else "low_hands"])


def carry_findings(
    mass_kg: float, part_filled: bool, *, empty_kg: float | None = None, brim_full: bool = False
) -> tuple[Finding, ...]:
    """What a shop should know before it lifts this by hand: one finding on its mass, one on what is loose in it.

    Args:
        mass_kg: of everything, as it is used.
        part_filled: it is open, and the liquid stands below its rim.
        empty_kg: without the liquid, where that is less.
        brim_full: it is open, and full to its rim.
    """
    found = list(_too_heavy(mass_kg, mass_kg if empty_kg is None else empty_kg))
    loose = (
        (part_filled, "a part-filled open tank slops and shifts when carried", "NIOSH 94-110 p. 5-6"),
        (
            brim_full,
            "an open tank that is full to its brim spills as soon as it is lifted",
            "common practice, no source",
        ),
    )
    found += [
        Finding(
            level="care",
            check="handling",
            where="liquid",
            why=why,
            step="use",
            do="drain it before it is lifted or moved by hand",
            source=source,
        )
        for so, why, source in loose
        if so
    ]
    return tuple(found)


def _too_heavy(mass_kg: float, empty_kg: float) -> Iterator[Finding]:
    """One finding for all the figures that the mass is over: the strictest, with the others named."""
    over = sorted((limit for limit in lift_limits(mass_kg) if limit.over), key=lambda limit: limit.limit_kg)
    if not over:
        return
    strictest, others = over[0], over[1:]
    why = f"{mass_kg:.1f} kg is over {_named(strictest)}, the strictest figure for lifting by hand"
    if others:
        why += f", and over {', '.join(_named(limit) for limit in others)}"
    alone = "share it, or use a trolley or a hoist"
    if empty_kg >= mass_kg:
        do = alone
    elif empty_kg <= strictest.limit_kg:
        do = f"drain it first (empty: {empty_kg:.1f} kg); what must be moved full: {alone}"
    else:
        do = f"drain it first; empty it is still {empty_kg:.1f} kg: {alone}"
    yield Finding(level="care", check="handling", where="whole", why=why, do=do, source=strictest.source, step="use")


def _named(limit: LiftLimit) -> str:
    return f"{limit.limit_kg:g} kg ({limit.name.replace('-', ' ')})"


def drop_factor(height_mm: float, static_deflection_mm: float) -> float:
    """How much more than its weight a thing presses when it drops onto a spring: 1 + sqrt(1 + 2 h / d).

    Source: Akin, Impact Load Factors. Valid: elastic, support of no mass, no bounce; 2 for a load let go at once.

    Args:
        height_mm: of the free fall.
        static_deflection_mm: of the support under the weight at rest.

    Raises:
        SeamwrightError: a negative height, or no deflection (a hard floor: the factor has no bound).

    >>> drop_factor(0.0, 1.0)
    2.0
    """
    if not (finite(height_mm) and height_mm >= 0.0):
        raise SeamwrightError(f"drop height: {height_mm!r} mm, must be finite and not negative")
    if not (finite(static_deflection_mm) and static_deflection_mm > 0.0):
        raise SeamwrightError(f"deflection at rest: {static_deflection_mm!r} mm, must be finite and above 0")
    return 1.0 + math.sqrt(1.0 + 2.0 * height_mm / static_deflection_mm)
