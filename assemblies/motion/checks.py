"""The check of the motion: each planned move worked out, what it spills, what falls; nothing where no move is planned."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assemblies.motion.told.rows import motion_rows
from assemblies.motion.told.sections import motion_blocks
from assemblies.report.check import Check, Checked, Lacking, Made, SectionOf, State
from parts.findings import Finding, NotCovered, worst

if TYPE_CHECKING:
    from assemblies.design import Design
    from assemblies.liquid.state import Filled
    from assemblies.motion.plans.moves import Moves, Planned
    from assemblies.order import CaseSpec, DriveSpec, Order
    from parts.vectors import Vector

__all__ = ["MOTION", "planned"]


def planned(order: Order) -> bool:
    """Whether any move is."""
    return any(spec.planned for spec in order.case)


def _motion(made: Made) -> Checked:
    """Lacking where nothing is planned: then nobody asked."""
    from assemblies.liquid.state import filled
    from assemblies.motion.plans.moves import Moves
    from assemblies.motion.told.said import motion_taken

    specs = [spec for spec in made.order.case if spec.planned]
    if not specs:
        raise Lacking("a planned move")
    if len(made.design.cavities) != 1:
        raise NotCovered("a planned move needs one cavity")
    given = filled(made.order, made.design)
    ends = [p.box for p in made.design.placed]
    low, high = ([pick(box[k][i] for box in ends) for i in range(3)] for k, pick in ((0, min), (1, max)))
    middle = tuple((a + b) / 2.0 for a, b in zip(low, high, strict=True))
    drives = {drive.case: drive for drive in made.order.drive}
    moves, said = Moves(), list[Finding]()
    for spec in specs:
        moves, more = _with(moves, spec, drives.get(spec.name), given, made.design, middle)  # type: ignore[arg-type]
        said += more
    grave = worst(said)
    unknown = moves.outside or not all(one.covered for one in moves.every)
    state: State = "failed" if grave == "stop" else "not-covered" if unknown else "passed"
    return Checked(state=state, findings=tuple(said), figures=moves, taken=tuple(motion_taken(made.order, moves)))


def _with(
    moves: Moves, spec: CaseSpec, drive: DriveSpec | None, given: Filled, design: Design, middle: Vector
) -> tuple[Moves, list[Finding]]:
    """One more move, and what is said of it."""
    from assemblies.motion.plans.moves import planned_slide, planned_turn
    from assemblies.motion.plans.spin import planned_spin
    from assemblies.motion.plans.throw import planned_throw
    from assemblies.motion.told.said import slide_findings, turn_findings
    from assemblies.motion.told.spun import spin_findings
    from assemblies.motion.told.thrown import throw_findings

    one: Planned
    try:
        if spec.kind == "slide":
            one = planned_slide(spec, given, drive)
            moves, said = replace(moves, slides=(*moves.slides, one)), list(slide_findings(one))
        elif spec.kind == "turn":
            one = planned_turn(spec, given, middle, drive)
            moves, said = replace(moves, turns=(*moves.turns, one)), list(turn_findings(one))
        elif spec.kind == "spin":
            one = planned_spin(spec, given, design, drive)
            moves, said = replace(moves, spins=(*moves.spins, one)), list(spin_findings(one))
        else:
            one = planned_throw(spec, given, design)
            moves, said = replace(moves, throws=(*moves.throws, one)), list(throw_findings(one))
    except NotCovered as error:
        found = Finding(
            level="care",
            check="motion",
            where=spec.name,
            why=f"not covered: {error}",
            do="get it proven another way",
            source="judgement: limit of this method",
        )
        return replace(moves, outside=(*moves.outside, (spec.name, str(error)))), [found]
    if worst(said) != "stop" and one.covered:
        moves = replace(moves, passed=moves.passed | {spec.name})
    return moves, said


MOTION = Check(
    name="motion",
    run=_motion,
    questions=("hold", "move"),
    rows=motion_rows,
    wanted=planned,
    sections=(SectionOf(id="motion", station="use", title="Motion", blocks=motion_blocks),),
)
