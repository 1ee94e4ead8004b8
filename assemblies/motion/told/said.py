"""What is to be said of planned moves: what spills and by how much, what a stop does, what falls when power fails."""

from __future__ import annotations

import math
from collections.abc import Iterator

from assemblies.liquid.waves.modes import HIGHEST
from assemblies.motion.drive.motor import motor_findings
from assemblies.motion.plans.moves import FRICTION, Moves, PlannedSlide, PlannedTurn
from assemblies.motion.plans.spin import PlannedSpin
from assemblies.motion.schedule import A_METRE, A_RADIAN
from assemblies.motion.told.finding import said
from assemblies.motion.told.spun import spin_taken
from assemblies.motion.told.thrown import throw_taken
from assemblies.order import Order
from parts.findings import Finding, Taken

__all__ = ["motion_taken", "slide_findings", "turn_findings"]

_WAVES = "linear waves of an upright tank, all of them undamped (Ibrahim 2005, ch. 2; from memory)"
_LIMIT = "judgement: limit of linear waves"


def slide_findings(slide: PlannedSlide) -> Iterator[Finding]:
    """Of one slide."""
    yield from _spilling(slide)
    yield from _repeating(slide)
    yield from _stopping(slide)
    yield from _power(slide)
    yield from motor_findings(slide.spec.name, slide.motor)


def _spilling(slide: PlannedSlide) -> Iterator[Finding]:
    plan, pool, name = slide.plan, slide.plan.pool, slide.spec.name
    if pool is None:
        return
    taken = plan.taken
    wall = max(taken.rises, key=lambda one: taken.rises[one])
    calmer = (
        'profile = "calm"' if slide.spec.profile != "calm" else "more distance for the same time, less acceleration"
    )
    if slide.spills and not pool.rest.cavity.lips:
        why = (
            f"not covered: the {taken.name} move lifts the liquid {taken.rise:.1f} mm at the {wall}, and it strikes the lid, "
            f"{pool.freeboard:.1f} mm over it: how hard is not calculated"
        )
        yield said("care", name, why, f"{calmer}, or fill less", _LIMIT)
    elif slide.spills:
        why = (
            f"spills: the {taken.name} move lifts the liquid {taken.rise:.1f} mm at the {wall}, on {pool.freeboard:.1f} mm "
            f"of freeboard: {taken.rise - pool.freeboard:.1f} mm too much"
        )
        yield said("stop", name, why, f"{calmer}, or fill less", _WAVES)
    if slide.breaks:
        why = (
            f"not covered: the {taken.name} move raises waves of {taken.rise:.1f} mm, over {100.0 * HIGHEST:.0f} % of the "
            f"depth of {pool.depth:.0f} mm: they break and splash"
        )
        yield said("care", name, why, f"{calmer}, or fill deeper", _LIMIT)


def _repeating(slide: PlannedSlide) -> Iterator[Finding]:
    least = slide.shortest_wait
    if slide.spec.repeat == 1 or slide.spills or slide.breaks:
        return
    if least is None or (slide.spec.wait is not None and slide.spec.wait < least):
        words = "no wait is long enough" if least is None else f"it must wait {least:.1f} s between moves"
        why = (
            f"not covered: what {slide.spec.repeat} moves leave swinging ({slide.plan.taken.left:.1f} mm each) may add up, and "
            f"lift the next over its limit; {words}"
        )
        yield said("care", slide.spec.name, why, "wait longer, or move more calmly", _WAVES)


def _stopping(slide: PlannedSlide) -> Iterator[Finding]:
    plan, pool, name = slide.plan, slide.plan.pool, slide.spec.name
    worst = plan.worst
    if pool is None or worst is None or worst.rise <= pool.limit:
        return
    high = worst.rise > HIGHEST * pool.depth
    strikes = worst.rise > pool.freeboard and not pool.rest.cavity.lips
    does = "strikes the lid" if strikes else "spills" if worst.rise > pool.freeboard else "splashes"
    do = "keep people and electronics clear of it"
    if slide.safe_stop is not None:
        gentle = math.floor(slide.safe_stop / 10.0) / 100.0
        do = f'set drive and brake to stop it no harder than stop = "{gentle:.2f} m/s2", or {do}'
    why = (
        f"{'not covered: ' if high or strikes else ''}an emergency stop or power loss {worst.at:.2f} s after the start, at "
        f"{plan.stop / 1000.0:g} m/s2, lifts the liquid {worst.rise:.1f} mm, on {pool.freeboard:.1f} mm of freeboard"
        f"{f' and over {100.0 * HIGHEST:.0f} % of the depth' if high else ''}: it {does}"
    )
    yield said("care", name, why, do, _LIMIT if high or strikes else _WAVES)


def _power(slide: PlannedSlide) -> Iterator[Finding]:
    name = slide.spec.name
    if slide.runs_down:
        why = (
            f"when power fails nothing holds it on its slope of {math.degrees(abs(slide.plan.slope_rad)):.1f} degrees: it runs "
            "down, and its liquid with it"
        )
        do = "a brake that closes without power, or a screw that locks itself; write brake = true"
        yield said("stop", name, why, do, "judgement: statics with the friction 0.005 of a good bearing")
    elif not slide.spec.brake:
        why = (
            f"when power fails it runs on: up to {slide.coasts / 1000.0:.2f} m from its greatest speed (friction {FRICTION:g} "
            "of its weight), or into what stands in its way"
        )
        do = "a brake, or buffers at both ends that stop it no harder than `stop`; write brake = true where it has one"
        yield said("care", name, why, do, "judgement: friction; else mechanics")


def turn_findings(turn: PlannedTurn) -> Iterator[Finding]:
    """Of one turn."""
    plan, name = turn.plan, turn.spec.name
    if plan.wanted > 0.0 and plan.out.lip_mm is None:
        why = "not covered: it pours over a corner or out of a hole: its head, its lag and where it lands are not calculated"
        yield said("care", name, why, "lean it over a side, by a level lip", "judgement: limit of this method")
    if plan.hasty:
        why = f"not covered: {plan.hasty}: its surface does not stay level, and what spills then is not calculated"
        yield said("care", name, why, "turn or pour more slowly", "judgement: limit of this method")
    if plan.doubt:
        why = f"at its greatest flow, {plan.peak_flow / 1e6:.3f} L/s over {plan.out.lip_mm:.0f} mm of lip, {plan.doubt}"
        do = "try it with water, and correct flow or time by what really runs"
        yield said("care", name, why, do, "Francis; ISO 1438 for the range; the quarter is judgement")
    if plan.clings:
        why = f"a stream with {plan.head:.1f} mm of head may cling to the lip and run down the outside"
        yield said("care", name, why, "pour faster, over a narrower lip, or under a sharp drip edge", "judgement")
    if turn.falls and plan.fall is not None:
        why = (
            f"when power fails at {math.degrees(plan.fall.tilt_rad):.0f} degrees or more its own weight "
            f"({plan.fall.torque_nmm / 1000.0:.2f} N m there, {plan.torques.max() / 1000.0:.2f} N m at most) turns it on, "
            "and it pours out what is left"
        )
        do = "a pivot over the centre of mass of all of it, or a brake or a gear that locks itself; write brake = true"
        yield said("stop", name, why, do, "computed: statics")
    yield from motor_findings(name, turn.motor)


def motion_taken(order: Order, moves: Moves) -> Iterator[Taken]:
    """What is taken of moves where the order is silent."""
    for slide in moves.slides:
        if slide.spec.stop is None:
            yield Taken(
                what=f"how hard it is stopped in an emergency: {slide.spec.name}",
                value=slide.plan.stop / 1000.0,
                unit="m/s2",
                why="what it spills then, and what the tank feels",
                say="[[case]] stop",
                weight=2.0,
            )
    for turn in moves.turns:
        if turn.spec.pivot is None:
            yield Taken(
                what=f"what it turns about: {turn.spec.name}",
                value="the middle of all of it",
                why="the torque of the drive, and what falls when power fails",
                say="[[case]] pivot",
                weight=10.0,
            )
    for spin in moves.spins:
        yield from spin_taken(spin)
    for throw in moves.throws:
        yield from throw_taken(throw)
    driven: list[PlannedSlide | PlannedTurn | PlannedSpin] = [*moves.slides, *moves.turns, *moves.spins]
    for one in driven:
        name, slides = one.spec.name, isinstance(one, PlannedSlide)
        if one.drive is None:
            yield Taken(
                what=f"pulses of its drive: {name}",
                value=A_METRE if slides else A_RADIAN,
                unit="a m" if slides else "a rad",
                why="its schedule of pulses and the header",
                say="[[drive]]",
                weight=10.0,
            )
        elif "efficiency" not in one.drive.model_fields_set:
            yield Taken(
                what=f"efficiency between motor and rig: {name}",
                value=one.drive.efficiency,
                why="the torque of its motor",
                say="[[drive]] efficiency",
                weight=2.0,
            )
        if "pictures" not in one.spec.model_fields_set:
            yield Taken(
                what=f"pictures a second: {name}",
                value=one.spec.pictures,
                why="one place for each in its schedule",
                say="[[case]] pictures",
                weight=2.0,
            )
