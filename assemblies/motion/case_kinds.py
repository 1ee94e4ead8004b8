"""The kinds of case, one entry each: what it does to the liquid, and what shop and proof are to think of.

What the order writes of a case, and which key its kind needs, stands in `order.cases.case` (`CaseKindName`, `NEEDS`).
A new kind is a name there and one entry of `CASE_KINDS` here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from assemblies.order import CaseSpec
from parts.findings import Level
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.loads.cases import LiquidCase
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["CASE_KINDS", "CaseKind", "way_of"]

_TURN_STEP = math.radians(15.0)  # a turn is looked at this often on its way

Loads = Callable[[CaseSpec, "Cavity", float, float, float], Iterator["LiquidCase"]]
"""From a case, the cavity, the volume (mm3), the density (kg/m3) and the mass of all but the liquid (kg) to every variant that
has to hold."""


@dataclass(frozen=True, kw_only=True)
class CaseKind:
    """One kind of case.

    Attributes:
        name: as in the order.
        loads: its load cases.
        moving: it is moved with liquid in it, so that it needs a retention, and bonds that have set.
        driven: something drives it: it is guarded, and proven at parts of its speed.
        late: it waits for the full strength of its bonds.
        sudden: it starts at once, and with such a start there is a stop.
        upward: it goes up unless told otherwise, and its stop is then no mirror of its start.
        leans: its angle leans it over.
        spill: how grave it is that liquid leaves; a `note` where that is what it is for.
        cautions: the steps of the table `cautions` that it brings.
    """

    name: str
    loads: Loads
    moving: bool = True
    driven: bool = True
    late: bool = False
    sudden: bool = False
    upward: bool = False
    leans: bool = False
    spill: Level = "stop"
    cautions: tuple[str, ...] = ()


def way_of(spec: CaseSpec) -> Vector:
    """Which way a case goes: as it says, or its cylinder; else up or to the right."""
    if spec.kind == "throw" and spec.planned:
        from assemblies.motion.plans.throw import throw_way

        return throw_way(spec)
    return spec.direction or ((0.0, 0.0, 1.0) if CASE_KINDS[spec.kind].upward else (1.0, 0.0, 0.0))


def _still(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    from assemblies.liquid.loads import cases as liquid_cases

    yield liquid_cases.still(cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density)


def _sudden(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    """Started, and stopped as suddenly; a planned slide by what its own path does."""
    from assemblies.liquid.loads.sudden import starts

    if spec.planned:
        from assemblies.motion.plans.slide import slide_loads

        yield from slide_loads(spec, cavity, volume, density)
        return

    x, y, z = way_of(spec)
    ways: tuple[tuple[Vector, Literal["start", "stop"]], ...] = (((x, y, z), "start"), ((-x, -y, -z), "stop"))
    for way, part in ways:
        for case in starts(
            cavity, volume, _push(spec), direction=way, name=spec.name, duration=spec.duration, density_kg_m3=density
        ):
            yield replace(case, part=part)


def _throw(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    """By a cylinder, as that throws and stops it; else a sudden start, and a stop as sudden."""
    if not spec.planned:
        yield from _sudden(spec, cavity, volume, density, dry_kg)
        return
    from assemblies.motion.plans.throw import throw_loads

    yield from throw_loads(spec, cavity, volume, density, dry_kg)


def _spin(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    from assemblies.motion.plans.spin import spin_loads

    yield from spin_loads(spec, cavity, volume, density)


def _push(spec: CaseSpec) -> float:
    """Its acceleration, mm/s2."""
    assert spec.acceleration is not None
    return spec.acceleration * 1000.0


def _turn(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    from assemblies.liquid.loads import cases as liquid_cases
    from assemblies.motion.plans.turning import turning

    for gravity in _on_the_way(cavity, volume, *turning(spec, cavity, volume)):
        yield liquid_cases.still(
            cavity, volume, name=spec.name, duration=spec.duration, density_kg_m3=density, gravity=gravity
        )


def _carry(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    from assemblies.liquid.loads import cases as liquid_cases

    for toward in ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)):
        yield liquid_cases.carry(cavity, volume, toward=toward, name=spec.name, density_kg_m3=density)


def _on_the_way(cavity: Cavity, volume: float, axis: Vector, angle: float) -> Iterator[Vector]:
    """Gravity in the axes of a rig that turns slowly about `axis`, on its way: the worst load may come before its end.

    Where it begins to pour, the last place at which all of the liquid is still in it is looked at too.
    """
    from assemblies.liquid.engine import capacity
    from assemblies.liquid.shapes.root import crossing

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
    from assemblies.liquid.engine import G_MM_S2

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


CASE_KINDS: Final[Mapping[str, CaseKind]] = MappingProxyType(
    {
        one.name: one
        for one in (
            CaseKind(name="still", loads=_still, moving=False, driven=False),
            CaseKind(name="slide", loads=_sudden, sudden=True, cautions=("moving-rig",)),
            CaseKind(name="turn", loads=_turn, leans=True, spill="note", cautions=("moving-rig",)),
            CaseKind(name="spin", loads=_spin, late=True, cautions=("rotating", "moving-rig")),
            CaseKind(  # water may be meant to be thrown out
                name="throw",
                loads=_throw,
                late=True,
                sudden=True,
                upward=True,
                spill="care",
                cautions=("pneumatics", "moving-rig"),
            ),
            CaseKind(name="carry", loads=_carry, driven=False, cautions=("carry",)),
        )
    }
)
