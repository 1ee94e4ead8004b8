"""The proof test: what a made thing must stand before it is used, stage by stage, each signed for.

A wet thing first stands brim full over a tray, paper under its seams; then it moves, guarded, with water at its fill line,
at parts of the speed. Over the same path acceleration goes with the square of the speed. A tank that is tight
standing still says nothing about its seams in motion.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Design
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.order.cases.case import CaseSpec
from assemblies.shop.care.rules import figure, wait

if TYPE_CHECKING:
    from assemblies.liquid.state import LiquidState

__all__ = ["PARTS_OF_SPEED", "ProofRow", "ProofRules", "ProofStage", "proof_rows", "proof_rules", "proof_stages"]

PARTS_OF_SPEED: Final = (0.25, 0.5, 0.75, 1.0)
_G_M_S2: Final = 9.80665
_LOOK: Final = "no drop on the paper, no white or silvery line at a seam or hole, no seam has moved"


@dataclass(frozen=True, kw_only=True)
class ProofStage:
    """One stage.

    Attributes:
        number: from 1.
        case: the case it proves; `brim full` for the first.
        part_of_speed: None standing still.
        acceleration_m_s2, speed_rpm, tilt_deg: what it then does, where the case says.
        earliest_h: after the solvent went in.
        hold_h: how long it stands.
        text: what to do.
        passes: when it has passed.
    """

    number: int
    case: str
    part_of_speed: float | None
    acceleration_m_s2: float | None
    speed_rpm: float | None
    tilt_deg: float | None
    earliest_h: float
    hold_h: float | None
    text: str
    passes: str


def proof_stages(order: Order, design: Design, full_kg: float | None = None) -> tuple[ProofStage, ...]:
    """The stages of an order's proof test; none for a thing that neither holds liquid nor moves.

    Args:
        order, design: what is made.
        full_kg: mass of all of it, where that is known: the pressure of parts of a throw hangs on it.
    """
    stages: list[ProofStage] = []
    if design.cavities:
        stages.append(_brim_full())
    moving = sorted((c for c in order.case if CASE_KINDS[c.kind].driven), key=lambda c: CASE_KINDS[c.kind].late)
    for part in PARTS_OF_SPEED:  # every case at a quarter of its speed before any at half
        for case in moving:
            stages.append(_move(len(stages) + 1, case, part, full_kg, wet=bool(design.cavities)))
    return tuple(stages)


def _brim_full() -> ProofStage:
    hold = figure("brim_full_hours").value
    return ProofStage(
        number=1,
        case="brim full",
        part_of_speed=None,
        acceleration_m_s2=None,
        speed_rpm=None,
        tilt_deg=None,
        earliest_h=wait("water").value,
        hold_h=hold,
        text=f"On the bench, on its own support, in a tray that holds all of it, dry paper under every seam: fill with "
        f"clean water in quarters, look at every seam between them, then leave it brim full for {hold:g} h.",
        passes=f"{_LOOK}; level lower only by what an open dish beside it lost too",
    )


def _move(number: int, case: CaseSpec, part: float, full_kg: float | None, *, wet: bool) -> ProofStage:
    """One case at a part of its speed; a turn keeps its angle, since slower makes it no smaller."""
    with_what = "with water at the fill line" if wet else "with its real load"
    push = None if case.acceleration is None else case.acceleration * part**2
    return ProofStage(
        number=number,
        case=case.name,
        part_of_speed=part,
        acceleration_m_s2=push,
        speed_rpm=None if case.rpm is None else case.rpm * part,
        tilt_deg=case.angle,
        earliest_h=wait("throw" if CASE_KINDS[case.kind].late else "motion").value,
        hold_h=None,
        text=_how(case, part, with_what, full_kg),
        passes=_LOOK,
    )


def _how(case: CaseSpec, part: float, with_what: str, full_kg: float | None) -> str:
    """What to do, by what it is that moves."""
    share = f"{100 * part:g} % of the speed"
    if case.kind == "spin":
        return (
            f"Behind a guard that stops a flying piece, nobody in the plane that it turns in: {case.name} {with_what}, at "
            f"{share} ({(case.rpm or 0.0) * part:.0f} rpm) until the liquid turns along, from outside, a hand on the stop; let "
            "it run down, look; ten times."
        )
    if case.kind == "throw" and case.planned:
        air = _air(case, part, full_kg)
        first = "first raise the regulator from nothing until it just lifts; then " if part == PARTS_OF_SPEED[0] else ""
        return (
            f"Behind a guard around and over it, nobody over or before it, nothing electric where it lands: {case.name} "
            f"{with_what}; {first}one shot from outside the guard at {share}{air}, a hand on the dump valve; air off and "
            "dumped, look; then nine more."
        )
    return (
        f"Behind a guard, nobody beside or under it, nothing electric under it: {case.name} "
        f"{with_what}, at {share}, ten times; then look."
    )


def _air(case: CaseSpec, part: float, full_kg: float | None) -> str:
    """The pressure of a part of the speed: what lifts it, and of the rest the square of that part."""
    if full_kg is None or case.pressure is None or case.bore is None:
        return ""
    area = math.pi * case.bore**2 / 4.0
    lifts = full_kg * _G_M_S2 * math.sin(math.radians(90.0 if case.angle is None else case.angle)) / area
    return f" (about {10.0 * (lifts + part**2 * (case.pressure - lifts)):.2f} bar)" if lifts < case.pressure else ""


@dataclass(frozen=True, kw_only=True)
class ProofRow:
    """A stage as it is signed for; `litres` as filled, brim full for the first; `speed_percent` of the order's."""

    step: int
    do: str
    passes: str
    case: str
    litres: float | None
    hours: float | None
    speed_percent: float | None
    acceleration: float | None
    speed: float | None
    tilt: float | None
    earliest_h: float
    signed: str = ""


def proof_rows(order: Order, design: Design, liquid: LiquidState | None) -> tuple[ProofRow, ...]:
    """The report's `proof_test`, one row a stage; without the liquid's figures its litres are not known."""
    full_kg = None if liquid is None else liquid.full.mass_kg
    return tuple(_proof_row(stage, liquid) for stage in proof_stages(order, design, full_kg))


def _proof_row(stage: ProofStage, liquid: LiquidState | None) -> ProofRow:
    moves = stage.part_of_speed is not None
    return ProofRow(
        step=stage.number,
        do=stage.text,
        passes=stage.passes,
        case=stage.case,
        litres=None if liquid is None else liquid.fill_l if moves else liquid.capacity_l,
        hours=stage.hold_h,
        speed_percent=None if stage.part_of_speed is None else 100.0 * stage.part_of_speed,
        acceleration=stage.acceleration_m_s2,
        speed=stage.speed_rpm,
        tilt=stage.tilt_deg,
        earliest_h=stage.earliest_h,
    )


@dataclass(frozen=True, kw_only=True)
class ProofRules:
    """How the test is run."""

    acceleration: str
    rules: tuple[str, ...]
    sign: tuple[str, ...]
    source: str


def proof_rules(stages: Sequence[ProofRow]) -> ProofRules | None:
    """The report's `proof_rules`; None when there is nothing to prove."""
    if not stages:
        return None
    return ProofRules(
        acceleration="over the same path acceleration goes with the square of the speed",
        rules=(
            "One stage at a time, each signed before the next; any fault ends the test.",
            "Never first over electronics or people.",
            *_only_still(stages),
            "After a repair, a knock or a new seam, repeat the whole test.",
        ),
        sign=("done by", "date", "passed yes or no", "remarks"),
        source="common practice, no source; the hours are judgement",
    )


def _only_still(stages: Sequence[ProofRow]) -> Iterator[str]:
    if any(stage.speed_percent is not None for stage in stages):
        yield "Holding water while standing still does not pass a rig that moves."
