"""From the order's cases to load cases with the mass they move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assemblies.design.mass import Body, combine
from assemblies.liquid.engine import Settled
from assemblies.liquid.loads import cases as liquid_cases
from assemblies.liquid.loads.case_kinds import CASE_KINDS, way_of
from assemblies.liquid.loads.cases import LiquidCase
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.order import CaseSpec
from assemblies.strength.proof.uses import Loaded
from parts.findings import Finding, NotCovered

__all__ = ["BRIM", "STILL", "LoadedCases", "load_cases", "loaded"]

STILL = "still"
BRIM = "brim full, 24 h"
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
        kind = CASE_KINDS[spec.kind]
        if kind.loads is None:
            outside[spec.name, spec.kind] = _outside(spec.name, kind.outside)
            continue
        try:
            for case in kind.loads(spec, cavity, volume_mm3, density):
                add(spec.name, case, volume_mm3)
        except NotCovered as error:
            outside[spec.name, "ends"] = _outside(spec.name, f"not covered: {error}")
    notes = tuple(_stop_note(s) for s in specs if CASE_KINDS[s.kind].upward and not any(way_of(s)[:2]))
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
