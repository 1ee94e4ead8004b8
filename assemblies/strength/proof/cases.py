"""From the order's cases to load cases with the mass they move."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assemblies.design.mass import Body, combine
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.engine import G_MM_S2, Settled, capacity
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.root import crossing
from assemblies.order import CaseSpec
from assemblies.strength.proof.uses import Loaded
from parts.findings import Finding, NotCovered
from parts.vectors import Vector

__all__ = ["BRIM", "STILL", "SUDDEN_KINDS", "LoadedCases", "load_cases", "loaded"]

STILL = "still"
BRIM = "brim full, 24 h"
_TURN_STEP = math.radians(15.0)  # a turn is looked at this often on its way
SUDDEN_KINDS = ("slide", "throw")  # with a sudden start there is a stop
_SPILLS_MM3 = 1.0  # less is rounding


@dataclass(frozen=True, kw_only=True)
class LoadedCases:
    """The cases to prove; those that this method does not reach; what else is to be said; litres lost in each, and which way
    ("over the rim")."""

    cases: tuple[Loaded, ...]
    outside: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    lost_l: dict[str, float]
    lost_by: dict[str, str]


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
    outside: dict[tuple[str, str], Finding] = {}
    lost: dict[str, float] = {}
    ways: dict[str, str] = {}

    def add(name: str, case: LiquidCase, volume: float) -> None:
        found.append(loaded(name, case, dry, volume))
        gone = case.spilled.lost_mm3 / 1e6
        if gone >= lost.get(name, 0.0):
            lost[name], ways[name] = gone, _way_out(case.spilled)
        if spills(case):
            outside[name, "spills"] = _spills(name)

    add(STILL, liquid_cases.still(cavity, volume_mm3, density_kg_m3=density), volume_mm3)
    brim = liquid_cases.still(cavity, brim_mm3, name=BRIM, duration="hours", density_kg_m3=density)
    add(BRIM, brim, brim_mm3)
    for spec in specs:
        if spec.kind == "spin":
            outside[spec.name, "spins"] = _outside(spec.name, "a spinning box is not covered by this method")
            continue
        try:
            for case in _variants(cavity, volume_mm3, density, spec):
                add(spec.name, case, volume_mm3)
        except NotCovered as error:
            outside[spec.name, "ends"] = _outside(spec.name, f"not covered: {error}")
    notes = tuple(_stop_note(s) for s in specs if s.kind == "throw" and not any(_way(s)[:2]))
    return LoadedCases(cases=tuple(found), outside=tuple(outside.values()), findings=notes, lost_l=lost, lost_by=ways)


def spills(case: LiquidCase) -> bool:
    """Whether liquid leaves in a sudden case: what it then does to the walls is not reckoned."""
    return case.load.dynamic_factor != 1.0 and case.spilled.lost_mm3 > _SPILLS_MM3


def _way_out(settled: Settled) -> str:
    ports = {port.name for port in settled.cavity.ports}
    found = [name for name in settled.over if name in ports]
    return f"by {' and '.join(found)}" if found else "over the rim"


def _spills(where: str) -> Finding:
    """All of the liquid is still in it when it strikes the wall, and part of it goes over: no figure here has that."""
    return Finding(
        level="care",
        check="strength",
        where=where,
        why="not covered: liquid leaves at a sudden start or stop, and the stresses shown are those once it has left, while "
        "all of it still strikes the wall",
        do="fill less, start and stop more gently, or add a lid; or have it proven another way",
        source="judgement: limit of this method",
    )


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
    elif spec.kind in SUDDEN_KINDS:
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
        for gravity in _on_the_way(cavity, volume, spec.axis, math.radians(spec.angle)):
            yield liquid_cases.still(
                cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density, gravity=gravity
            )
    elif spec.kind == "carry":
        for toward in ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)):
            yield liquid_cases.carry(cavity, volume, toward=toward, name=spec.name, density_kg_m3=density)


def _on_the_way(cavity: Cavity, volume: float, axis: Vector, angle: float) -> Iterator[Vector]:
    """Gravity in the axes of a rig that turns slowly about `axis`, on its way: the worst load may come before its end.

    Where it begins to pour, the last place at which all of the liquid is still in it is looked at too.
    """
    way, last = math.copysign(1.0, angle), min(abs(angle), math.tau)
    steps = max(1, math.ceil(last / _TURN_STEP - 1e-9))

    def room(turn: float) -> float:
        return capacity(cavity, _turned(axis, way * turn)) - volume

    was = 0.0
    for step in range(1, steps + 1):
        turn = last * step / steps
        if room(was) > 0.0 > room(turn):
            yield _turned(axis, way * crossing(room, was, turn))
        yield _turned(axis, way * turn)
        was = turn


def _turned(axis: Vector, angle: float) -> Vector:
    """Gravity in the axes of a rig that has turned by `angle` about `axis`: turned by -angle (Rodrigues)."""
    size = math.hypot(*axis)
    x, y, z = (a / size for a in axis)
    cosine, sine = math.cos(-angle), math.sin(-angle)
    along = -z * (1.0 - cosine)  # of gravity's direction (0, 0, -1) along the axis
    return (
        G_MM_S2 * _tidy(x * along - y * sine),
        G_MM_S2 * _tidy(y * along + x * sine),
        G_MM_S2 * _tidy(z * along - cosine),
    )


def _tidy(value: float) -> float:
    return 0.0 if abs(value) < 1e-12 else value
