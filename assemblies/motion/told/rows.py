"""`motion` of the report: what each planned move comes to, and the table that a buyer of its drive needs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, Final

from assemblies.report.check import Made, Rows

if TYPE_CHECKING:
    from assemblies.motion.drive.motor import MotorUse
    from assemblies.motion.plans.moves import Moves, Planned, PlannedSlide, PlannedTurn
    from assemblies.motion.plans.slide import Tried

__all__ = ["motion_rows"]

#: What a turn of the motor moves: toothed belts by pitch and teeth, screws by their lead, as they are sold everywhere, with a
#: usual efficiency (judgement).
_BELTS: Final = ((2, 20, 0.9), (3, 20, 0.9), (5, 20, 0.9))
_SCREWS: Final = ((5, 0.5), (10, 0.5), (20, 0.5))
_GEARS: Final = (1.0, 5.0, 10.0, 20.0, 50.0)
_KEPT_STEP: Final = math.radians(5.0)


def motion_rows(made: Made, moves: Moves) -> Rows:
    """The rows, in the order of the cases."""
    from assemblies.motion.schedule import slugs
    from assemblies.motion.told.spun import spin_rows
    from assemblies.motion.told.thrown import throw_rows

    files = slugs(moves.names)
    found = {one.spec.name: {"file": files[one.spec.name], **_slide(one, moves)} for one in moves.slides}
    found |= {one.spec.name: {"file": files[one.spec.name], **_turn(one, moves)} for one in moves.turns}
    found |= {
        one.spec.name: {**_named(one, files, moves), **spin_rows(one), "motor": _motor(one.motor)}
        for one in moves.spins
    }
    found |= {one.spec.name: {**_named(one, files, moves), **throw_rows(one)} for one in moves.throws}
    return {
        "motion": {
            "moves": [found[spec.name] for spec in made.order.case if spec.name in found],
            "not_covered": [{"case": name, "why": why} for name, why in moves.outside],
        }
    }


def _named(one: Planned, files: Mapping[str, str], moves: Moves) -> dict[str, Any]:
    name = one.spec.name
    return {"case": name, "kind": one.spec.kind, "file": files[name], "passed": name in moves.passed}


def _slide(one: PlannedSlide, moves: Moves) -> dict[str, Any]:
    plan, path, pool, worst = one.plan, one.plan.path, one.plan.pool, one.plan.worst
    whole = path.time + one.wait
    return {
        "case": one.spec.name,
        "kind": "slide",
        "passed": one.spec.name in moves.passed,
        "distance": path.distance,
        "direction": plan.way,
        "slope": math.degrees(plan.slope_rad),
        "profile": plan.taken.name,
        "time": path.time,
        "speed": path.speed,
        "acceleration": path.push / 1000.0,
        "no_move_under": plan.taken.bound or None,
        "depth": pool.depth if pool else None,
        "freeboard": one.freeboard,
        "rises": plan.taken.rises,
        "rise": plan.taken.rise,
        "margin": None if one.freeboard is None else one.freeboard - plan.taken.rise,
        "profiles": [_profile(one, tried) for tried in plan.tried],
        "period": math.tau / min(w.omega for w in pool.swing.waves) if pool else None,
        "damping": one.damping or None,
        "repeat": one.spec.repeat,
        "wait": one.wait,
        "shortest_wait": one.shortest_wait,
        "duty": path.time / whole,
        "stop": None
        if worst is None
        else {
            "acceleration": plan.stop / 1000.0,
            "worst_at": worst.at,
            "rise": worst.rise,
            "runs": worst.runs,
            "safe": None if one.safe_stop is None else one.safe_stop / 1000.0,
        },
        "power": {"brake": one.spec.brake, "runs_down": one.runs_down, "coasts": one.coasts},
        "mass": one.mass_kg,
        "drives": list(_belts(one)),
        "pictures_per_s": one.spec.pictures,
        "motor": _motor(one.motor),
    }


def _motor(use: MotorUse | None) -> dict[str, Any] | None:
    """What the move takes of the motor that the order names; torques without safety."""
    from assemblies.motion.drive.motor import pulses_a_unit

    if use is None:
        return None
    a_unit = pulses_a_unit(use.spec)
    return {
        "kind": use.spec.motor,
        "at": use.at,
        "rpm": use.rpm,
        "needs": use.needs,
        "gives": use.gives,
        "use": use.use,
        "fastest": use.fastest,
        "holds": use.holds,
        "holding": use.holding,
        "inertia_ratio": use.inertia_ratio,
        "micro_share": use.micro_share,
        "pulses": a_unit,
        "pulses_of": "m" if use.spec.per_turn else "rad",
        "pulses_per_s": use.fastest / 60.0 * use.spec.steps * (use.spec.micro if use.spec.motor == "stepper" else 1),
    }


def _profile(one: PlannedSlide, tried: Tried) -> dict[str, Any]:
    return {
        "name": tried.name,
        "time": tried.path.time,
        "rise": tried.rise,
        "left": tried.left,
        "settles": one.settles(tried.left),
    }


def _belts(one: PlannedSlide) -> Iterator[dict[str, Any]]:
    from assemblies.motion.drive.motor import RATIO, SAFETY
    from assemblies.motion.drive.needs import belt_turn, slide_drive
    from assemblies.motion.plans.moves import FRICTION

    path = one.plan.path
    belts = [(f"belt, {p} mm pitch, {n} teeth", belt_turn(p, n), share) for p, n, share in _BELTS]
    for name, turn, efficiency in (
        *belts,
        *((f"screw, {lead} mm lead", float(lead), share) for lead, share in _SCREWS),
    ):
        drive = slide_drive(
            one.mass_kg,
            path.push,
            path.speed,
            turn,
            friction=FRICTION,
            efficiency=efficiency,
            slope_rad=one.plan.slope_rad,
        )
        yield {
            "drive": name,
            "per_turn": turn,
            "force": drive.force_n,
            "torque": SAFETY * drive.torque_nmm / 1000.0,
            "rpm": drive.rpm,
            "power": drive.power_w,
            "holds": SAFETY * drive.holds_nmm / 1000.0,
            "inertia": one.mass_kg * (turn / math.tau) ** 2 / RATIO,
            "pulses_per_mm": drive.pulses_per_mm,
            "pulses_per_s": drive.pulses_per_s,
        }


def _turn(one: PlannedTurn, moves: Moves) -> dict[str, Any]:
    plan, real = one.plan, one.plan.real
    first = plan.out.first_rad
    return {
        "case": one.spec.name,
        "kind": "turn",
        "passed": one.spec.name in moves.passed,
        "toward": plan.toward,
        "pivot": one.pivot,
        "first_drop": None if first is None else math.degrees(first),
        "greatest": math.degrees(float(plan.angles.max())),
        "time": float(plan.times[-1]),
        "rate": math.degrees(float(abs(plan.rates).max())),
        "poured_L": plan.wanted / 1e6,
        "delivered_L": None if real is None else float(real.delivered[-1]) / 1e6,
        "peak_flow_L_s": plan.peak_flow / 1e6,
        "lip": plan.out.lip_mm,
        "head": plan.head,
        "doubt": plan.doubt,
        "behind": None if real is None or real.behind_s is None or first is None else real.behind_s - _begins(one),
        "standing_L": None if real is None else float(real.standing.max()) / 1e6,
        "start_sooner": plan.offset,
        "lands": [{"below": jet.below, "out": jet.out} for jet in plan.jets],
        "kept": list(_kept(one)),
        "torque": {
            "drives_on": max(float(plan.torques.max()), 0.0) / 1000.0,
            "returns": max(float(-plan.torques.min()), 0.0) / 1000.0,
            "greatest": one.peak_nmm / 1000.0,
        },
        "power": {
            "brake": one.spec.brake,
            "falls_from": None if plan.fall is None else math.degrees(plan.fall.tilt_rad),
        },
        "inertia": one.inertia_kg_mm2,
        "drives": list(_gears(one)),
        "pictures_per_s": one.spec.pictures,
        "motor": _motor(one.motor),
    }


def _begins(one: PlannedTurn) -> float:
    """When the first drop leaves by the schedule."""
    flows = one.plan.flows
    return float(one.plan.times[int((flows > 0.0).argmax())])


def _kept(one: PlannedTurn) -> Iterator[dict[str, Any]]:
    """About every five degrees, the first drop, and where it turns back."""
    out, greatest = one.plan.out, float(one.plan.angles.max())
    wanted = {k * _KEPT_STEP for k in range(math.ceil(greatest / _KEPT_STEP))} | {greatest}
    if out.first_rad is not None and out.first_rad < greatest:
        wanted.add(out.first_rad)
    for k in sorted({int(abs(out.angles - angle).argmin()) for angle in wanted}):
        state = out.states[k]
        yield {
            "angle": math.degrees(state.tilt_rad),
            "kept_L": state.liquid.kept_mm3 / 1e6,
            "torque": state.torque_nmm / 1000.0,
        }


def _gears(one: PlannedTurn) -> Iterator[dict[str, Any]]:
    from assemblies.motion.drive.motor import RATIO, SAFETY
    from assemblies.motion.drive.needs import motor_torque

    rate, peak = float(abs(one.plan.rates).max()), one.peak_nmm / 1000.0
    for ratio in _GEARS:
        yield {
            "gear": ratio,
            "torque": motor_torque(max(peak, 1e-9), ratio, SAFETY),
            "rpm": rate / math.tau * 60.0 * ratio,
            "power": peak * rate,
            "holds": SAFETY * float(abs(one.plan.torques).max()) / 1000.0 / ratio,
            "inertia": one.inertia_kg_mm2 / ratio**2 / RATIO,
        }
