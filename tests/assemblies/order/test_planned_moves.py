"""Wrong orders of planned moves: each has one fault, at its own key, in words that say what to do."""

from __future__ import annotations

import pytest
from starters import bare

from assemblies.kinds import schemas
from assemblies.order import Order, OrderError, read_order_text

START = bare("tank").partition("[[case]]")[0]
SLIDE = 'kind = "slide"\nacceleration = "0.8 m/s2"\n'
PLAN = SLIDE + 'distance = "600 mm"\nspeed = "0.5 m/s"\n'
TURN = 'kind = "turn"\ntoward = "right"\n'
POUR = TURN + 'pour = "2 L"\n'


def read(case: str) -> Order:
    return read_order_text(f'{START}\n[[case]]\nname = "c"\n{case}', schemas(), "order.toml")


@pytest.mark.parametrize(
    ("case", "key", "says"),
    [
        (SLIDE + 'distance = "600 mm"\n', "speed", "a planned slide needs its most speed"),
        ('kind = "slide"\ndistance = 600\nspeed = "0.5 m/s"\n', "acceleration", "needs it"),
        (SLIDE + 'speed = "0.5 m/s"\n', "speed", "with distance"),
        (SLIDE + 'jerk = "10 m/s3"\n', "jerk", "with distance"),
        (SLIDE + 'profile = "calm"\n', "profile", "with distance"),
        (SLIDE + "repeat = 3\n", "repeat", "with distance"),
        (SLIDE + 'stop = "1 m/s2"\n', "stop", "with distance"),
        (SLIDE + "brake = true\n", "brake", "belongs to a planned move"),
        (PLAN + 'profile = "quick"\n', "profile", "steady"),
        (PLAN + 'profile = "smooth"\n', "jerk", 'profile "smooth" needs it'),
        (PLAN + 'profile = "steady"\njerk = "10 m/s3"\n', "jerk", "has none"),
        (PLAN.replace("600 mm", "0 mm"), "distance", "is not over 0"),
        (PLAN.replace("0.5 m/s", "30 rpm"), "speed", "no speed along a way"),
        (PLAN.replace('"0.5 m/s"', "500"), "speed", "500 m/s is out of range"),
        (PLAN.replace("0.5 m/s", "0 m/s"), "speed", "is not over 0"),
        (PLAN.replace("0.8 m/s2", "0 m/s2"), "acceleration", "never starts"),
        (PLAN + 'jerk = "0 m/s3"\n', "jerk", "is not over 0"),
        (PLAN + 'wait = "2 s"\n', "wait", "there is one"),
        (PLAN + 'wait = "-2 s"\nrepeat = 2\n', "wait", "out of range"),
        (PLAN + "repeat = 0\n", "repeat", "1 to 1000"),
        (PLAN + "direction = [0, 0, 1]\n", "direction", "not straight up or down"),
        (PLAN + 'flow = "0.2 L/s"\n', "flow", 'belongs to a case of kind "turn"'),
        ('kind = "carry"\nbrake = true\n', "brake", 'belongs to a case of kind "slide or turn"'),
        (TURN, "angle", "needs angle or pour"),
        (POUR, "time", "needs a flow or a time"),
        (POUR + 'flow = "0.2 L/s"\ntime = "10 s"\n', "time", "stands beside a flow"),
        (POUR + 'angle = 40\ntime = "10 s"\n', "pour", "stands beside an angle"),
        (POUR + 'axis = [0, 1, 0]\ntime = "10 s"\n', "toward", "stands beside an axis"),
        (POUR.replace("right", "up") + 'time = "10 s"\n', "toward", "left"),
        (POUR.replace("2 L", "2 kg") + 'time = "10 s"\n', "pour", "unknown unit"),
        (POUR.replace('"2 L"', "2") + 'time = "10 s"\n', "pour", "has no unit"),
        (POUR + "flow = 0.2\n", "flow", "has no unit"),
        (POUR + 'flow = "0 L/s"\n', "flow", "out of range"),
        (POUR + 'time = "10 s"\npivot = [0, 0]\n', "pivot", "2 items, not 3"),
        ('kind = "turn"\nangle = 30\ntime = "10 s"\naxis = [0, 1, 1]\n', "axis", "is not level"),
        (POUR + 'time = "10 s"\ndistance = 600\n', "distance", 'belongs to a case of kind "slide"'),
    ],
)
def test_a_wrong_order_of_a_move_is_one_clear_error(case: str, key: str, says: str) -> None:
    with pytest.raises(OrderError) as caught:
        read(case)
    assert [p.key[-1] for p in caught.value.problems] == [key], str(caught.value)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value).strip()


@pytest.mark.parametrize(
    ("case", "planned"),
    [
        (SLIDE, False), (PLAN, True), (PLAN + 'jerk = "10 m/s3"\nprofile = "smooth"\nwait = "2 s"\nrepeat = 4\n', True),
        ('kind = "turn"\nangle = 40\n', False), (TURN + "angle = 40\n", False), (TURN + 'angle = 40\ntime = "9 s"\n', True),
        (POUR + 'flow = "0.2 L/s"\n', True), ('kind = "spin"\nspeed = 120\n', True),
        ('kind = "spin"\nspeed = "120 rpm"\n', True), ('kind = "throw"\nacceleration = "2 m/s2"\n', False),
        ('kind = "throw"\nbore = 20\npressure = "3 bar"\nstroke = 100\n', True),
    ],
)  # fmt: skip
def test_right_orders_are_read_and_alone_an_acceleration_stays_a_sudden_start(case: str, planned: bool) -> None:
    assert read(case).case[0].planned is planned


def test_units_of_a_move() -> None:
    one = read(PLAN.replace("0.5 m/s", "20 in/s") + 'jerk = "500 mm/s3"\nwait = "1 min"\nrepeat = 2\n').case[0]
    assert one.speed is not None
    assert (one.speed.mm_s, one.jerk, one.wait, one.distance) == (508.0, 0.5, 60.0, 600.0)
    assert read(PLAN.replace('"0.5 m/s"', "0.5")).case[0].speed.mm_s == 500.0  # type: ignore[union-attr]
    assert read('kind = "spin"\nspeed = 120\n').case[0].rpm == 120.0
    pour = read(POUR + 'flow = "12 L/min"\n').case[0]
    assert (pour.flow, pour.pour) == (pytest.approx(0.2), 2.0)
