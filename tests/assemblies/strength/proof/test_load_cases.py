"""From ordered cases to load cases: directions, what a turn passes on its way, mass, what is outside the method."""

from __future__ import annotations

import math

import pytest
from rigs import built, case, order

from assemblies.design.mass import combine, piece_body
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.strength.proof.cases import BRIM, OVERNIGHT, STILL, load_cases, standing_of
from parts.stock.material import Repeated

G = 9806.65


def cases(*rows: str, fill: str = "120 mm"):
    given = order(more="".join(rows), fill=fill)
    design = built(given)
    dry = combine(piece_body(p) for p in design.placed)
    return load_cases(design.cavities[0], float(fill.split()[0]) * 6e4, 9e6, 1000.0, dry, given.case), dry


def test_still_and_brim_are_always_there():
    found, dry = cases()
    assert [(c.name, c.load.duration) for c in found.cases] == [(STILL, "permanent"), (BRIM, "hours")]
    still, brim = found.cases
    assert still.mass_kg == pytest.approx(dry.mass_kg + 7.2)
    assert brim.mass_kg == pytest.approx(dry.mass_kg + 9.0)
    assert still.force_n == pytest.approx((0.0, 0.0, -still.mass_kg * 9.80665))


def test_a_slide_starts_and_stops_and_its_drive_drops():
    found, _ = cases(case("go", "slide", direction=[1, 0, 0], acceleration=0.8))
    blow, waves, drop, back, *_ = found.cases[2:]
    assert len(found.cases) == 2 + 6
    assert blow.load.acceleration == pytest.approx((1600.0, 0.0, 0.0))  # sudden: twice 0.8 m/s2
    assert waves.load.acceleration == pytest.approx((1600.0, 0.0, 0.0))
    assert drop.load.acceleration == pytest.approx((-800.0, 0.0, 0.0))
    assert back.load.acceleration == pytest.approx((-1600.0, 0.0, 0.0))
    assert blow.force_n[0] == pytest.approx(-blow.mass_kg * 1.6)
    assert found.waves["go"].rise_mm == pytest.approx(300.0 * 0.8 / 9.80665)


def test_the_surface_rises_by_l_a_over_g_at_a_sudden_start():
    found, _ = cases(case("go", "slide", direction=[1, 0, 0], acceleration=0.5))
    push = found.cases[3].load.pressure
    import numpy as np

    low = np.array([[-150.0, 0.0, 6.0], [150.0, 0.0, 6.0]])
    left, right = push("left", low[:1])[0], push("right", low[1:])[0]
    rise = 300.0 * 0.5 / 9.80665  # L a / g, wall to wall twice the steady one
    # depth square to the surface times |g_eff|: rho g times the upright depth
    assert left - right == pytest.approx(1000e-9 * 9.80665 * 2.0 * rise, rel=1e-6)


def test_a_throw_adds_its_inertia_twice_and_its_stop_is_as_sudden():
    found, dry = cases(case("up", "throw", acceleration=3.0))
    up, drop, stop, *_ = found.cases[2:]
    mass = dry.mass_kg + 7.2
    assert up.force_n[2] == pytest.approx(-mass * (9.80665 + 2.0 * 3.0))
    assert drop.force_n[2] == pytest.approx(mass * (9.80665 + 3.0))  # rebound from the drop to free fall
    assert stop.force_n[2] == pytest.approx(-mass * (9.80665 - 2.0 * 3.0))
    assert not found.liquid_outside
    assert found.lost_l["up"] == 0.0


def test_a_throw_whose_stop_is_not_said_and_would_leave_its_liquid_behind_is_not_covered():
    fast = case("up", "throw", acceleration=20.0)
    found, _ = cases(fast)
    (said,) = found.liquid_outside
    assert (said.where, said.check, said.level) == ("up", "liquid", "care")
    assert "under 9.8 m/s2" in said.do
    assert found.lost_l["up"] == 0.0
    cushioned, _ = cases(fast, case("top", "throw", direction=[0, 0, -1], acceleration=6.0))
    assert not cushioned.liquid_outside
    hard, _ = cases(fast, case("top", "throw", direction=[0, 0, -1], acceleration=30.0))
    assert hard.thrown == {"top"}
    assert hard.lost_l["top"] == pytest.approx(7.2)


def test_a_sideways_throw_is_stopped_too():
    found, _ = cases(case("along", "throw", direction=[1, 0, 0], acceleration=0.5))
    there, back = found.cases[2], found.cases[5]
    assert there.force_n[0] == pytest.approx(-back.force_n[0])
    assert not found.findings


def test_waves_over_a_fifth_of_the_depth_are_not_covered_and_the_blow_is_still_there():
    found, _ = cases(case("jerk", "slide", direction=[1, 0, 0], acceleration=0.9), fill="100 mm")
    (said,) = found.liquid_outside
    assert "25.1 mm high, 26 % of the depth of 100 mm" in said.why
    assert not found.outside
    assert found.cases[2].load.dynamic_factor == 2.0
    gentle, _ = cases(case("go", "slide", direction=[1, 0, 0], acceleration=0.65), fill="100 mm")
    assert not gentle.liquid_outside


def test_a_turn_is_looked_at_on_its_way_and_ends_where_it_should():
    found, _ = cases(case("over", "turn", axis=[0, 1, 0], angle=90))
    turned = [c for c in found.cases if c.name == "over"]
    begins, steps = turned[0], turned[1:]
    # 30 mm of freeboard over half of 300 mm: there all of it is still in, and it begins to pour
    assert begins.load.effective == pytest.approx(gravity_at_tilt(math.atan(30.0 / 150.0)), rel=1e-6)
    assert begins.mass_kg > steps[0].mass_kg
    assert len(steps) == 6
    for step, one in enumerate(steps, start=1):
        assert one.load.effective == pytest.approx(gravity_at_tilt(math.radians(15.0 * step)), abs=1e-6)


def test_three_quarters_of_a_turn_pass_upside_down():
    found, _ = cases(case("over", "turn", axis=[1, 0, 0], angle=270))
    down = [c.load.effective for c in found.cases[2:]]
    assert any(g == pytest.approx((0.0, 0.0, G), abs=1e-6) for g in down)
    assert down[-1] == pytest.approx((0.0, G, 0.0), abs=1e-6)
    back, _ = cases(case("over", "turn", axis=[1, 0, 0], angle=-90))
    assert back.cases[-1].load.effective == pytest.approx((0.0, G, 0.0), abs=1e-6)


def test_a_turn_about_the_upright_changes_nothing():
    found, _ = cases(case("spin slowly", "turn", axis=[0, 0, 1], angle=90))
    assert all(c.load.effective == pytest.approx((0.0, 0.0, -G)) for c in found.cases)


def test_liquid_lost_in_a_turn_no_longer_weighs_but_at_a_sudden_start_it_still_does():
    found, dry = cases(
        case("over", "turn", axis=[0, 1, 0], angle=180), case("jerk", "slide", direction=[1, 0, 0], acceleration=9.0)
    )
    over = [c for c in found.cases if c.name == "over"][-1]
    assert over.mass_kg == pytest.approx(dry.mass_kg)
    assert found.lost_l["over"] == pytest.approx(7.2)
    jerk = [c for c in found.cases if c.name == "jerk"]
    struck = [c for c in jerk if c.load.dynamic_factor == 2.0]
    assert len(struck) == 6
    assert all(c.mass_kg == pytest.approx(dry.mass_kg + 7.2) for c in struck)
    assert found.lost_l["jerk"] > 0.0


def test_carrying_leans_four_ways_and_is_set_down_suddenly():
    found, _ = cases(case("carry it", "carry"))
    four = [c.load.effective for c in found.cases[2:]]
    assert len(four) == 4
    lean = math.radians(10.0)
    assert {(round(x, 6), round(y, 6)) for x, y, _ in four} == {
        (round(s * 2 * G * math.sin(lean), 6) + 0.0, 0.0) for s in (1, -1)
    } | {(0.0, round(s * 2 * G * math.sin(lean), 6) + 0.0) for s in (1, -1)}


def test_a_spin_and_weightless_fall_are_not_covered():
    found, _ = cases(case("spin", "spin", speed=60), case("drop", "slide", direction=[0, 0, -1], acceleration=9.80665))
    assert [f.where for f in found.outside] == ["spin", "drop"]
    assert all("not covered" in f.why for f in found.outside)


def standing(stays: str, fills: float | None = None):
    more = f'stays = "{stays}"' + (f"\nfills-per-day = {fills}" if fills else "")
    return standing_of(order(tables={"liquid": more}).liquid)


def test_how_long_it_stands_full_is_its_stay_and_its_share_of_the_time():
    """A stay of minutes counts 15 minutes, of hours 12, of days 30 days (table `pmma`)."""
    assert standing_of(None) == standing_of(order().liquid) == standing("permanent", 5) == "permanent"
    assert standing("minutes") == Repeated(stay="minutes", share=0.25 / 24)
    assert standing("minutes", 8) == Repeated(stay="minutes", share=2 / 24)
    assert standing("hours") == Repeated(stay="hours", share=0.5)
    assert standing("days") == Repeated(stay="days", share=0.5)
    assert standing("days", 1) == standing("hours", 2) == "permanent"  # it is never empty


def test_cases_of_standing_last_no_longer_than_it_stands_full_but_for_a_tank_forgotten_full():
    rows = [case("shown", "still", duration="hours"), case("hurried", "still", duration="minutes")]
    given = order(more="".join(rows), tables={"liquid": 'stays = "hours"'})
    design = built(given)
    dry = combine(piece_body(p) for p in design.placed)
    found = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, dry, given.case, standing_of(given.liquid))
    twelve = Repeated(stay="hours", share=0.5)
    assert [(c.name, c.load.duration) for c in found.cases] == [
        (STILL, twelve), (BRIM, "hours"), ("shown", twelve), ("hurried", "minutes"),
    ]  # fmt: skip
    short = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, dry, (), Repeated(stay="minutes", share=0.01))
    assert [(c.name, c.load.duration) for c in short.cases] == [
        (STILL, Repeated(stay="minutes", share=0.01)), (OVERNIGHT, "hours"), (BRIM, "hours"),
    ]  # fmt: skip
    assert short.cases[1].mass_kg == short.cases[0].mass_kg


def test_waves_that_strike_a_lid_are_not_covered():
    lid = {"tank": 'lid = "screwed"'}
    given = order(tables=lid, more=case("go", "slide", direction=[0, 1, 0], acceleration=1.2), fill="140 mm")
    design = built(given)
    dry = combine(piece_body(p) for p in design.placed)
    found = load_cases(design.cavities[0], 8.4e6, 9e6, 1000.0, dry, given.case)
    rise = 200.0 * 1.2 / 9.80665  # of 10 mm to the walls' top, and the strips that the lid is screwed to
    strip = next(p.piece.thickness_mm for p in design.placed if p.name.startswith("rim"))
    (said,) = found.liquid_outside
    assert f"rise {rise:.1f} mm at the wall and strike the lid, {10.0 + strip:.1f} mm over" in said.why


def test_a_given_stop_stands_for_the_one_that_would_be_taken_under_a_lid_too():
    lid = {"tank": 'lid = "screwed"'}
    rows = case("up", "throw", acceleration=20.0), case("top", "throw", direction=[0, 0, -1], acceleration=5.0)
    for more, outside in ((rows[0], ["up"]), ("".join(rows), [])):
        given = order(tables=lid, more=more)
        design = built(given)
        dry = combine(piece_body(p) for p in design.placed)
        found = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, dry, given.case)
        assert [where for where in (f.where for f in found.outside) if where != "lid"] == outside
