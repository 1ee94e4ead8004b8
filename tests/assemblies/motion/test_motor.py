"""The motor that an order names: held against its move by hand figures, refused in words, counted in the schedule."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from starters import bare

from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas
from assemblies.motion.drive.motor import SAFETY
from assemblies.motion.plans.moves import FRICTION, Moves
from assemblies.motion.schedule import frames, pulses, schedules
from assemblies.order import Order, OrderError, read_order_text
from assemblies.shop.handover.card import card_moves

START = bare("tank").partition("[[case]]")[0]
SLIDE = 'kind = "slide"\nacceleration = "0.8 m/s2"\ndistance = "600 mm"\nspeed = "0.5 m/s"\nprofile = "steady"\nbrake = true\n'
POUR = 'kind = "turn"\ntoward = "right"\npour = "2 L"\nflow = "0.2 L/s"\npivot = [0, 0, 140]\nbrake = true\n'
BELT: dict[str, Any] = {"per-turn": "40 mm", "curve": [[0, 3.0], [1000, 3.0]], "inertia": "300 g cm2"}


def read(case: str, drive: dict[str, Any] | None, **changes: Any) -> Order:
    text = f'{START}\n[[case]]\nname = "c"\n{case}'
    if drive is not None:
        own = {"case": "c", **drive, **changes}
        text += "[[drive]]\n" + "".join(f"{key} = {json.dumps(v)}\n" for key, v in own.items() if v is not None)
    return read_order_text(text, schemas(), "order.toml")


def found(case: str, drive: dict[str, Any] | None, **changes: Any) -> Examined:
    return examine(read(case, drive, **changes), kind("tank").asked("move"))


def stops(one: Examined) -> list[str]:
    return [f["why"] for f in one.report["findings"] if f["level"] == "stop" and f["check"] == "motion"]


def motor(one: Examined) -> dict[str, Any]:
    use: dict[str, Any] = one.report["motion"]["moves"][0]["motor"]
    return use


def test_the_torque_of_a_belt_is_what_statics_say() -> None:
    """T = (m a + mu m g) D / 2 eta + J a / r: of the steady move at the end of its run-up, its worst place."""
    use = motor(one := found(SLIDE, BELT))
    mass, arm = one.report["motion"]["moves"][0]["mass"], 0.040 / math.tau
    force = mass * (0.8 + FRICTION * 9.80665)
    assert use["needs"] == pytest.approx(force * arm / 0.9 + 3e-5 * 0.8 / arm, rel=1e-5)
    assert use["fastest"] == pytest.approx(0.5 / 0.040 * 60.0, rel=1e-5)
    assert use["use"] == pytest.approx(SAFETY * use["needs"] / 3.0, rel=1e-4)
    assert use["inertia_ratio"] == pytest.approx(mass * arm**2 / 3e-5, rel=1e-5)
    assert use["micro_share"] == pytest.approx(math.sin(math.pi / 16.0), rel=1e-4)
    assert stops(one) == []


def test_a_motor_is_looked_at_where_it_has_least_to_spare() -> None:
    """Its torque falls faster than the move's: the place is the end of the run-up, at 750 rpm, not the start."""
    use = motor(found(SLIDE, BELT, curve=[[0, 3.0], [750, 1.0], [1000, 0.0]]))
    assert use["rpm"] == pytest.approx(750.0, rel=1e-3)
    assert use["gives"] == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"curve": [[0, 0.2], [1000, 0.1]]}, "loses steps, and its place"),
        ({"curve": [[0, 3.0], [700, 3.0]]}, "has no figure past 700 rpm"),
        ({"curve": [[0, 0.2], [1000, 0.1]], "motor": "servo"}, "falls behind"),
    ],
)
def test_a_motor_that_is_too_weak_stops_the_move_and_gets_no_pulses(changes: dict[str, Any], says: str) -> None:
    one = found(SLIDE, BELT, **changes)
    assert [says in why for why in stops(one)] == [True]
    assert one.report["motion"]["moves"][0]["passed"] is False


def test_a_motor_that_cannot_hold_a_tilted_tank_is_a_stop() -> None:
    strong: dict[str, Any] = {"gear": 20, "curve": [[0, 50.0], [1000, 50.0]]}
    assert stops(found(POUR, strong)) == []
    assert ["must hold" in why for why in stops(found(POUR, strong, holding="1 mN m"))] == [True]


def test_too_much_to_move_for_its_rotor_is_said() -> None:
    one = found(SLIDE, BELT, inertia="1 g cm2")
    assert any("times the inertia of its motor" in f["why"] for f in one.report["findings"] if f["level"] == "care")


def test_a_gentler_move_never_needs_more() -> None:
    needs = [motor(found(SLIDE.replace("0.8 m/s2", f"{push} m/s2"), BELT))["needs"] for push in (0.2, 0.4, 0.8)]
    assert needs == sorted(needs)
    assert len(set(needs)) == 3


@pytest.mark.parametrize(
    ("case", "drive", "a_unit"),
    [
        (SLIDE, None, 40_000.0),
        (SLIDE, BELT | {"per-turn": "60 mm", "steps": 400, "micro": 4}, 400 * 4 / 0.060),
        (SLIDE, BELT | {"motor": "servo", "steps": 1000}, 1000 / 0.040),
        (POUR, {"gear": 50}, 200 * 8 * 50 / math.tau),
    ],
)
def test_pulses_are_those_of_the_drive_and_end_at_the_target(
    case: str, drive: dict[str, Any] | None, a_unit: float
) -> None:
    one = found(case, drive)
    moves = one.made.of(Moves)
    assert moves is not None
    (schedule,) = schedules(moves, 1e6, proven=True)
    whole, missed = pulses(schedule)
    assert schedule.a_unit == pytest.approx(a_unit, rel=1e-12)
    assert whole[-1] == round(float(schedule.places[-1]) * a_unit)
    assert abs(missed).max() <= 0.5 / a_unit * (1.0 + 1e-9)
    assert ("pulses of its drive: c" in [t["what"] for t in one.report["taken"]]) is (drive is None)


def test_pictures_come_as_often_as_ordered() -> None:
    moves = found(SLIDE + "pictures = 50\n", None).made.of(Moves)
    assert moves is not None
    (schedule,) = schedules(moves, 1e6, proven=True)
    rows = list(frames(schedule))
    assert [float(time) for _, time, _ in rows[:3]] == [0.0, 0.02, 0.04]
    assert float(rows[-1][2]) == pytest.approx(0.6, abs=1e-12)


@pytest.mark.parametrize(
    ("case", "changes", "key", "says"),
    [
        (SLIDE, {"case": "d"}, "case", "one of 'c'"),
        ('kind = "slide"\nacceleration = "0.8 m/s2"\n', {}, "case", "there is none"),
        (SLIDE, {"per-turn": None, "gear": 10}, "gear", "per-turn instead"),
        (POUR, {}, "per-turn", "gear instead"),
        (SLIDE, {"gear": 10}, "gear", "not both"),
        (SLIDE, {"per-turn": None}, "gear", "is missing"),
        (SLIDE, {"motor": "servo", "micro": 4}, "micro", "belongs to a stepper"),
        (SLIDE, {"motor": "hydraulic"}, "motor", "stepper"),
        (SLIDE, {"curve": [[0, 1.0]]}, "curve", "2"),
        (SLIDE, {"curve": [[300, 1.0], [0, 1.2]]}, "curve[2]", "from slow to fast"),
        (SLIDE, {"curve": [[0, -1.0], [300, 1.0]]}, "curve", "out of range"),
        (SLIDE, {"per-turn": "0 mm"}, "per-turn", "is not over 0"),
        (SLIDE, {"steps": 1.8}, "steps", "whole number"),
        (SLIDE, {"micro": 0}, "micro", "1 to 256"),
        (SLIDE, {"efficiency": 1.2}, "efficiency", "0.05 to 1"),
        (SLIDE, {"inertia": "3 kg"}, "inertia", "unknown unit"),
        (SLIDE, {"holding": "2 Nm"}, "holding", "N m"),
    ],
)
def test_wrong_drives_are_refused_at_their_key(case: str, changes: dict[str, Any], key: str, says: str) -> None:
    with pytest.raises(OrderError) as error:
        read(case, BELT | changes)
    (fault,) = error.value.problems
    assert key in str(fault)
    assert says in str(fault)


def test_the_card_tells_planned_moves_from_what_is_done_by_hand() -> None:
    """A pour goes further than the tilt that is allowed by hand; not passed, or without strength, it is not on the card."""
    one = found(POUR, None)
    moves = one.made.of(Moves)
    assert moves is not None
    proven: Any = SimpleNamespace(moves=moves, good_for=object())
    (row,) = card_moves(proven)
    assert row["tilt_deg"] == pytest.approx(one.report["motion"]["moves"][0]["greatest"], abs=1e-4)
    assert row["tilt_deg"] > 20.0
    assert list(card_moves(SimpleNamespace(moves=moves, good_for=None))) == []  # type: ignore[arg-type]
    assert list(card_moves(SimpleNamespace(moves=replace(moves, passed=frozenset()), good_for=object()))) == []  # type: ignore[arg-type]


def test_two_drives_of_one_case_are_refused() -> None:
    with pytest.raises(OrderError, match="has a drive already"):
        read(SLIDE + '[[drive]]\ncase = "c"\nper-turn = 40\n', BELT)
