"""Filling and emptying: the laws by hand and by an integrator, what an overflow carries, what is said, what cannot be."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import solve_ivp

from assemblies.kinds import kind, schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.liquid.shapes.cavity import box
from assemblies.liquid.state import filled, liquid_state
from assemblies.motion.filling.checks import FILLING
from assemblies.motion.filling.flow import draining, head_for, lip_needs, through_hole
from assemblies.order import OrderError, read_order_text
from assemblies.report.check import Checked, Made
from parts.findings import Finding, NotCovered

TOP = """title = "t"
name = "fed"
kind = "tank"
[sheet]
thickness = 6
measured = [6.0]
[tank]
size = [300, 200, 150]
[liquid]
fill = "90 mm"
{}
"""
DRAIN = '[[port]]\nkind = "drain"\non = "right"\nat = [0, -60]\ndiameter = 12\n'
OVERFLOW = '[[port]]\nkind = "overflow"\non = "left"\nat = [0, 30]\ndiameter = 20\n'
TROUGH = '[[lip]]\non = "right"\nkind = "trough"\nwidth = 60\ndepth = 30\nout = 40\n'
WEIR = '[[lip]]\non = "right"\nkind = "weir"\ndepth = 45\nbehind = 50\n'
SPOUT = '[[port]]\nkind = "spout"\non = "right"\nat = [0, -50]\ndiameter = 20\n'
RAMP = '[[inner]]\nkind = "ramp"\nrises = "left"\nheight = 50\nfoot = 10\n'


def filled_tank(keys: str, text: str) -> Made:
    """An order and its liquid, without the proof that stands before it in a command."""
    order = read_order_text(TOP.format(keys) + text, schemas())
    design = build_tank(order)
    state, _ = liquid_state(design, filled(order, design), {}, {})
    return Made(order=order, design=design, got={"liquid": Checked(figures=state)})


def asked(keys: str, text: str = "") -> tuple[dict[str, Any], list[Finding], str]:
    """The rows of the report, what is said of filling, and the state of the check."""
    made = filled_tank(keys, text)
    checked = FILLING.run(made)
    rows = FILLING.rows(made, checked.figures)["filling"] if checked.figures is not None else {}
    return dict(rows), list(checked.findings), checked.state


# --- laws ------------------------------------------------------------------------------------------------------------


def test_a_box_empties_by_torricelli_s_closed_form() -> None:
    """t = 2 A (sqrt(h0) - sqrt(h1)) / (c a sqrt(2 g)); A 60000 mm2, 12 mm bore, from 90 to 12 mm over its middle at 8 mm."""
    seconds, left = draining(box(300, 200, 150), 98.0, 8.0, 12.0)
    area = 0.61 * math.pi * 36.0 * math.sqrt(2.0 * 9806.65)
    assert seconds == pytest.approx(2.0 * 60000.0 * (math.sqrt(90.0) - math.sqrt(12.0)) / area, rel=1e-9)
    assert left == pytest.approx(60000.0 * 20.0)


def test_a_sloped_floor_empties_as_an_integrator_says() -> None:
    """dz/dt = -Q/A, A the surface over the slope: scipy's Runge and Kutta on hand figures; 40 up on 300 long, 200 wide."""
    cavity = build_tank(read_order_text(TOP.format("") + RAMP, schemas())).cavities[0]
    seconds, left = draining(cavity, 100.0, 32.0, 10.0)

    def falls(_: float, z: list[float]) -> list[float]:
        over = z[0] - 16.0  # the low end of the upper face, 10 mm over the tank's own floor of 6
        area = 200.0 * min(300.0, over * 300.0 / 40.0)
        return [-0.61 * math.pi * 25.0 * math.sqrt(2.0 * 9806.65 * (z[0] - 32.0)) / area]

    there = lambda _, z: z[0] - 42.0  # noqa: E731
    there.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(falls, (0.0, 1000.0), [100.0], events=there, rtol=1e-9, atol=1e-9, max_step=0.5)
    assert seconds == pytest.approx(float(found.t_events[0][0]), rel=1e-4)
    assert left == pytest.approx(200.0 * 26.0 * (26.0 * 300.0 / 40.0) / 2.0)


def test_a_hole_by_hand_and_where_its_law_ends() -> None:
    """0.61 x 78.54 mm2 x sqrt(2 x 9806.65 x 100) = 67.1 mL/s; White's range of the coefficient, 0.60 to 0.62."""
    assert through_hole(10.0, 100.0) == pytest.approx(0.61 * 78.5398 * 1400.475, rel=1e-5)
    assert head_for(10.0, through_hole(10.0, 100.0)) == pytest.approx(100.0)
    assert head_for(40.0, 1000.0) == 40.0
    with pytest.raises(NotCovered, match="part full"):
        through_hole(10.0, 9.0)
    with pytest.raises(NotCovered, match="viscosity"):
        through_hole(4.0, 20.0, 1000.0)
    with pytest.raises(NotCovered, match="less than 12 mm"):
        draining(box(300, 200, 150), 19.0, 8.0, 12.0)


def test_the_head_over_an_edge_gives_the_flow_back() -> None:
    """Francis in metres, by hand: Q = 1.84 (0.06 - 0.2 h) h^1.5."""
    head = lip_needs(60.0, 1e5, 2) / 1000.0
    assert 1.84 * (0.06 - 0.2 * head) * head**1.5 == pytest.approx(1e-4, rel=1e-9)
    assert lip_needs(250.0, 0.2e6, 0) == pytest.approx(5.739157, rel=1e-6)  # as in `weir.francis`
    with pytest.raises(NotCovered, match="over a third"):
        lip_needs(20.0, 2e6, 2)


# --- of an order -----------------------------------------------------------------------------------------------------


def test_what_is_said_of_a_drain_alone() -> None:
    rows, said, state = asked("", DRAIN)
    (one,) = rows["drains"]
    # the right wall is 156 high: its middle 78, less 60, over the underside; the floor is at 6
    assert one["head_mm"] == pytest.approx(96.0 - 18.0)
    area = 0.61 * math.pi * 36.0 * math.sqrt(2.0 * 9806.65)
    assert one["seconds"] == pytest.approx(2.0 * 60000.0 * (math.sqrt(78.0) - math.sqrt(12.0)) / area, rel=1e-9)
    assert one["left_l"] == pytest.approx(60000.0 * 24.0 / 1e6)
    assert (said, state, rows["feed_L_min"]) == ([], "passed", None)


def test_nothing_is_said_where_nothing_is_asked() -> None:
    assert asked("") == ({}, [], "passed")


def test_a_threaded_drain_is_as_wide_as_the_fitting_in_it() -> None:
    """G 1/4 is 13.157 mm outside (ISO 228-1); the shop rule takes 0.6 of it."""
    rows, _, _ = asked("", DRAIN.replace("diameter = 12", 'thread = "G 1/4"'))
    assert rows["drains"][0]["bore_mm"] == pytest.approx(0.6 * 13.157)


@pytest.mark.parametrize(("feed", "holds"), [("8 L/min", True), ("40 L/min", False)])
def test_an_overflow_against_its_feed(feed: str, holds: bool) -> None:
    """A hole of 20 mm, its middle 30 mm over the wall's middle and 48 under the rim (156 - 78 - 30); a quarter is added."""
    rows, said, state = asked(f'feed = "{feed}"', OVERFLOW)
    flow = 1.25 * float(feed.split()[0]) * 1e6 / 60.0
    head = (flow / (0.61 * math.pi * 100.0)) ** 2 / (2.0 * 9806.65)
    assert rows["over"]["head_mm"] == pytest.approx(max(head, 20.0))
    assert rows["over"]["most_mm"] == pytest.approx(48.0)
    assert rows["over"]["holds"] is holds
    assert state == ("passed" if holds else "failed")
    assert any(f.level == "stop" for f in said) is not holds
    assert rows["fill_min"] == pytest.approx(5.4 / float(feed.split()[0]))


def test_a_trough_against_its_feed() -> None:
    rows, said, state = asked("feed = 4", TROUGH)
    assert rows["over"]["way"] == "through the trough on the right"
    head = rows["over"]["head_mm"] / 1000.0
    assert 1.84 * (0.06 - 0.2 * head) * head**1.5 == pytest.approx(1.25 * 4e-3 / 60.0, rel=1e-9)
    assert rows["over"]["most_mm"] == pytest.approx(30.0)
    assert rows["over"]["rough"]
    assert state == "passed"
    assert [f for f in said if f.level == "stop"] == []
    _, said, state = asked("feed = 8", TROUGH.replace("depth = 30", "depth = 10"))
    assert state == "failed"
    assert any("10.0 mm up it runs over elsewhere" in f.why for f in said)


def test_a_weir_and_the_spout_behind_it() -> None:
    """The spout's middle lies at 78 - 50 = 28, the weir's edge at 111."""
    rows, _, state = asked("feed = 8", WEIR + SPOUT)
    assert rows["over"]["way"] == "over the weir on the right"
    head = rows["over"]["head_mm"] / 1000.0
    assert 1.84 * 0.2 * head**1.5 == pytest.approx(1.25 * 8e-3 / 60.0, rel=1e-9)
    (one,) = rows["behind"]
    assert one["most_mm"] == pytest.approx(83.0)
    assert state == "passed"
    _, said, state = asked("feed = 40", WEIR + SPOUT.replace("diameter = 20", "diameter = 10"))
    assert state == "failed"
    assert any("drowned" in f.why for f in said)


def test_what_has_only_its_rim_is_watched() -> None:
    """60 mm over 300 x 200 at 6 L/min: 3.6 L, 36 s."""
    rows, said, state = asked("feed = 6")
    assert rows["over"] is None
    assert state == "passed"
    assert any("36 s after it is as full as ordered" in f.why for f in said)


def test_an_edge_too_narrow_for_the_law_is_not_covered() -> None:
    _, said, state = asked("feed = 300", TROUGH)
    assert state == "not-covered"
    assert any("not covered" in f.why for f in said)


def test_how_fast_it_may_be_filled() -> None:
    """A hose of 13 mm at 1 m/s: 132.7 mm2, 7.96 L/min. A jet of 3 mm pushes: at 9 mm the shallowest looked at."""
    rows, said, _ = asked("feed = 10")
    assert rows["calm"]["l_min"] == pytest.approx(math.pi * 6.5**2 * 1000.0 * 60e-6)
    assert any("may slop" in f.why for f in said)
    rows, said, _ = asked("feed = 10\nhose = 25")
    assert rows["calm"]["l_min"] == pytest.approx(math.pi * 12.5**2 * 1000.0 * 60e-6)
    assert not any("may slop" in f.why for f in said)
    # nearly full, the push counts: 2 mm of freeboard over 148 mm, 300 long, 40 mm bore
    order = "feed = 10\nhose = 40"
    rows, _, _ = asked(
        order.replace("feed", "feed"), '[[lip]]\non = "right"\nkind = "low-rim"\nwidth = 150\ndepth = 59.9\n'
    )
    push = math.sqrt(0.1 * 9806.65 * 5.4e6 * math.pi * 400.0 / 300.0) * 60e-6
    assert rows["calm"]["l_min"] == pytest.approx(push, rel=1e-6)
    assert rows["calm"]["limit"] == "its push"


WRONG = {
    "no flow": ("feed = 0", "out of range"),
    "a flow the other way": ("feed = -4", "out of range"),
    "a flood": ('feed = "30000 L/min"', "out of range"),
    "an unknown unit": ('feed = "4 m/s"', "unknown unit"),
    "no number": ('feed = "full"', "not a number with a unit"),
    "a list": ("feed = [4]", "not a number with a unit"),
    "yes": ("feed = true", "not a number with a unit"),
    "not a number": ("feed = nan", "feed"),
    "a hose of nothing": ("hose = 0", "not over 0"),
    "a hose in litres": ('hose = "2 L"', "length"),
    "a hose like a barrel": ("hose = 250", "up to 200 mm"),
    "a misspelt key": ("fed = 4", "fed"),
    "a hose twice": ("hose = [12, 13]", "not a length"),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_feeds_are_refused_with_their_reason(name: str) -> None:
    text, says = WRONG[name]
    with pytest.raises(OrderError) as caught:
        read_order_text(TOP.format(text), schemas())
    assert says in str(caught.value)
    assert all(p.line == 11 for p in caught.value.problems)


def test_every_kind_that_is_filled_is_asked() -> None:
    for name in ("tank", "round-tank"):
        assert "filling" in [check.name for check in kind(name).asked("hold")]


def test_the_packet_says_it_in_plain_words() -> None:
    rows, _, _ = asked("feed = 4", DRAIN + TROUGH)
    (block,) = FILLING.sections[0].blocks({"filling": rows}, "mm")
    figures = {f.label: f.value for f in block.items}  # type: ignore[union-attr]
    assert figures["Full at 4 L/min"] == "after 81 s"
    assert figures["Runs off"].startswith("through the trough on the right, standing 8.")
    assert figures["Empties through drain-1 (bore 12 mm)"].startswith("67 s from 78 mm")
    assert figures["Fill no faster than"].startswith("8 L/min through 13 mm")
