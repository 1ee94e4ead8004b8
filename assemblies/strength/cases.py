"""From the order's cases to load cases with the mass they move."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assemblies.design import Vector
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.cavity import Cavity
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.rigid import Body, combine, liquid_body
from assemblies.order import CaseSpec
from assemblies.strength.uses import Loaded
from parts.findings import Finding, NotCovered

__all__ = ["BRIM", "STILL", "LoadedCases", "load_cases", "loaded"]

STILL = "still"
BRIM = "brim full, 24 h"
_TURN_STEP = math.radians(15.0)  # a turn is looked at this often on its way
_STOPS = ("slide", "throw")  # with a start there is a stop


@dataclass(frozen=True, kw_only=True)
class LoadedCases:
    """The cases to prove; those that this method does not reach; what else is to be said; litres lost in each."""

    cases: tuple[Loaded, ...]
    outside: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    lost_l: dict[str, float]


def loaded(name: str, case: LiquidCase, dry: Body, volume_mm3: float) -> Loaded:
    """A liquid case with the mass that pulls on what carries the tank.

    After a sudden start the liquid that will leave is still there: the whole volume counts, where the settled liquid is.
    """
    liquid = case.liquid
    if liquid.centre_mm is None:
        return Loaded(name=name, load=case.load, mass_kg=dry.mass_kg, centre_mm=dry.centre_mm)
    whole = combine([dry, liquid_body(liquid)])
    if case.load.dynamic_factor == 1.0 or liquid.kept_mm3 >= volume_mm3:
        return Loaded(name=name, load=case.load, mass_kg=whole.mass_kg, centre_mm=whole.centre_mm)
    wet = volume_mm3 * liquid.density_kg_m3 * 1e-9
    mass = dry.mass_kg + wet
    x, y, z = ((dry.mass_kg * a + wet * b) / mass for a, b in zip(dry.centre_mm, liquid.centre_mm, strict=True))
    return Loaded(name=name, load=case.load, mass_kg=mass, centre_mm=(x, y, z))


def load_cases(
    cavity: Cavity, volume_mm3: float, brim_mm3: float, density: float, dry: Body, specs: Sequence[CaseSpec]
) -> LoadedCases:
    """Standing still for good, brim full for a day, and each ordered case in all its variants.

    Args:
        cavity, volume_mm3, brim_mm3, density: the liquid as used, and what the cavity holds at most.
        dry: everything but the liquid.
        specs: the order's cases.
    """
    found: list[Loaded] = []
    outside: list[Finding] = []
    lost: dict[str, float] = {}

    def add(name: str, case: LiquidCase, volume: float) -> None:
        found.append(loaded(name, case, dry, volume))
        lost[name] = max(lost.get(name, 0.0), case.steady.lost_mm3 / 1e6)

    add(STILL, liquid_cases.still(cavity, volume_mm3, density_kg_m3=density), volume_mm3)
    brim = liquid_cases.still(cavity, brim_mm3, name=BRIM, duration="hours", density_kg_m3=density)
    add(BRIM, brim, brim_mm3)
    for spec in specs:
        if spec.kind == "spin":
            outside.append(_outside(spec.name, "a spinning box is not covered by this method"))
            continue
        try:
            for case in _variants(cavity, volume_mm3, density, spec):
                add(spec.name, case, volume_mm3)
        except NotCovered as error:
            outside.append(_outside(spec.name, f"not covered: {error}"))
    notes = tuple(_stop_note(s) for s in specs if s.kind == "throw" and not any(_way(s)[:2]))
    return LoadedCases(cases=tuple(found), outside=tuple(outside), findings=notes, lost_l=lost)


def _outside(where: str, why: str) -> Finding:
    return Finding(
        level="care",
        check="strength",
        where=where,
        why=why,
        do="have it proven another way",
        source="judgement: limit of this method",
    )


def _stop_note(spec: CaseSpec) -> Finding:
    return Finding(
        level="note",
        check="strength",
        where=spec.name,
        why="the start is proven; how it is stopped is a case of its own, and an uncushioned stop is not covered",
        do="give the stop as a case with its own acceleration and direction, and cushion it",
        source="judgement: limit of this method",
    )


def _way(spec: CaseSpec) -> Vector:
    return spec.direction or ((0.0, 0.0, 1.0) if spec.kind == "throw" else (1.0, 0.0, 0.0))


def _variants(cavity: Cavity, volume: float, density: float, spec: CaseSpec) -> Iterator[LiquidCase]:
    if spec.kind == "still":
        yield liquid_cases.still(cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density)
    elif spec.kind in _STOPS:
        assert spec.acceleration is not None
        push = liquid_cases.slide if spec.kind == "slide" else liquid_cases.throw
        x, y, z = _way(spec)
        backward = (-x, -y, z if spec.kind == "throw" else -z)  # a stop alike; thrown up, it is pushed up both times
        for way in dict.fromkeys(((x, y, z), backward)):
            yield push(
                cavity,
                volume,
                spec.acceleration * 1000.0,
                direction=way,
                name=spec.name,
                duration=spec.duration,
                density_kg_m3=density,
            )
    elif spec.kind == "turn":
        assert spec.angle is not None
        for gravity in _turned(spec.axis, math.radians(spec.angle)):
            yield liquid_cases.still(
                cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density, gravity=gravity
            )
    elif spec.kind == "carry":
        for toward in ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)):
            yield liquid_cases.carry(cavity, volume, toward=toward, name=spec.name, density_kg_m3=density)


def _turned(axis: Vector, angle: float) -> Iterator[Vector]:
    """Gravity in the axes of a rig that turns slowly about `axis`, on its way: the worst load may come before its end.

    The rig turns by +angle, so gravity turns by -angle in its own axes (Rodrigues).
    """
    size = math.hypot(*axis)
    x, y, z = (a / size for a in axis)
    way, last = math.copysign(1.0, angle), min(abs(angle), math.tau)
    steps = max(1, math.ceil(last / _TURN_STEP - 1e-9))
    for step in range(1, steps + 1):
        turn = -way * last * step / steps
        cosine, sine = math.cos(turn), math.sin(turn)
        along = -z * (1.0 - cosine)  # of gravity's direction (0, 0, -1) along the axis
        yield (
            G_MM_S2 * _tidy(x * along - y * sine),
            G_MM_S2 * _tidy(y * along + x * sine),
            G_MM_S2 * _tidy(z * along - cosine),
        )


def _tidy(value: float) -> float:
    return 0.0 if abs(value) < 1e-12 else value
