"""From the order's cases to load cases with the mass they move."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assemblies.design import Vector, cross
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.cavity import Cavity
from assemblies.liquid.rigid import Body, combine, liquid_body
from assemblies.order import CaseSpec
from assemblies.strength.prove import Loaded
from parts.findings import Finding

__all__ = ["BRIM", "STILL", "LoadedCases", "load_cases"]

STILL = "still"
BRIM = "brim full, 24 h"
_TILT_STEPS = 6  # a turn is looked at in this many steps on its way


@dataclass(frozen=True, kw_only=True)
class LoadedCases:
    """The cases to prove, and those that this method does not reach."""

    cases: tuple[Loaded, ...]
    findings: tuple[Finding, ...]
    lost_l: dict[str, float]


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
    findings: list[Finding] = []
    lost: dict[str, float] = {}

    def add(name: str, case: LiquidCase) -> None:
        bodies = [dry] if case.liquid.centre_mm is None else [dry, liquid_body(case.liquid)]
        whole = combine(bodies)
        found.append(Loaded(name=name, load=case.load, mass_kg=whole.mass_kg, centre_mm=whole.centre_mm))
        lost[name] = max(lost.get(name, 0.0), case.steady.lost_mm3 / 1e6)

    add(STILL, liquid_cases.still(cavity, volume_mm3, density_kg_m3=density))
    add(BRIM, liquid_cases.still(cavity, brim_mm3, name=BRIM, duration="hours", density_kg_m3=density))
    for spec in specs:
        if spec.kind == "spin":
            findings.append(
                Finding(
                    level="care",
                    check="strength",
                    where=spec.name,
                    why="a spinning box is not covered by this method",
                    do="have it proven another way",
                    source="limit of this method",
                )
            )
            continue
        for case in _variants(cavity, volume_mm3, density, spec):
            add(spec.name, case)
    return LoadedCases(cases=tuple(found), findings=tuple(findings), lost_l=lost)


def _variants(cavity: Cavity, volume: float, density: float, spec: CaseSpec) -> Iterator[LiquidCase]:
    if spec.kind == "still":
        yield liquid_cases.still(cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density)
    elif spec.kind == "slide":
        assert spec.acceleration is not None
        forward = spec.direction or (1.0, 0.0, 0.0)
        for way in (forward, (-forward[0], -forward[1], -forward[2])):  # a start and a stop
            yield liquid_cases.slide(
                cavity,
                volume,
                spec.acceleration * 1000.0,
                direction=way,
                name=spec.name,
                duration=spec.duration,
                density_kg_m3=density,
            )
    elif spec.kind == "launch":
        assert spec.acceleration is not None
        yield liquid_cases.launch(
            cavity,
            volume,
            spec.acceleration * 1000.0,
            direction=spec.direction or (0.0, 0.0, 1.0),
            name=spec.name,
            duration=spec.duration,
            density_kg_m3=density,
        )
    elif spec.kind == "turn":
        assert spec.angle is not None
        yield from _turn(cavity, volume, density, spec, math.radians(spec.angle))
    elif spec.kind == "carry":
        for toward in ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)):
            yield liquid_cases.carry(cavity, volume, toward=toward, name=spec.name, density_kg_m3=density)


def _turn(cavity: Cavity, volume: float, density: float, spec: CaseSpec, angle: float) -> Iterator[LiquidCase]:
    """A slow turn about a level axis, looked at on its way: the worst load may come before its end."""
    side: Vector = cross(spec.axis, (0.0, 0.0, 1.0))
    if not any(abs(s) > 1e-9 for s in side):
        yield liquid_cases.still(cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density)
        return
    level = (side[0], side[1], 0.0)
    angle = math.remainder(angle, math.tau) if abs(angle) > math.pi else angle
    for step in range(1, _TILT_STEPS + 1):
        yield liquid_cases.tilt(
            cavity,
            volume,
            angle * step / _TILT_STEPS,
            toward=level,
            name=spec.name,
            duration=spec.duration,
            density_kg_m3=density,
        )
