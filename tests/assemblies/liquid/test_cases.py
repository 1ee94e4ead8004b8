"""Load cases: what each way of moving does to liquid, and what strength is given."""

from __future__ import annotations

import math

import numpy as np
import pytest
from liquid_shapes import G

from assemblies.liquid import Circle3, Port, box, round_cavity, settle
from assemblies.liquid.loads.cases import carry, gravity_at_tilt, slide, still, tilt
from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.liquid.loads.sudden import starts
from assemblies.liquid.pour import (
    capacity_at_tilt,
    pour_smoothly,
    pour_steadily,
    pushed,
    spill_acceleration,
    spill_tilt,
    tilted,
)
from parts.findings import NotCovered

TANK = box(300.0, 250.0, 400.0, low=(0.0, 0.0, 0.0))
FILL = 300.0 * 250.0 * 150.0
RHO = 998.2


def test_still_presses_with_the_head_for_ever() -> None:
    case = still(TANK, FILL).load
    assert (case.duration, case.dynamic_factor, case.acceleration) == ("permanent", 1.0, (0.0, 0.0, 0.0))
    assert case.effective == case.gravity == (0.0, 0.0, -G)
    assert case.pressure("front", np.array([[10.0, 0.0, 30.0]])) == pytest.approx([RHO * G * 1e-12 * 120.0], rel=1e-13)


def test_slide_raises_the_wall_by_half_of_l_a_over_g() -> None:
    a = 1500.0
    case = slide(TANK, FILL, a, direction=(2.0, 0.0, 0.0))
    rise = case.liquid.reach((0.0, 9.0, 150.0), (0.0, 0.0, 1.0))
    assert rise == pytest.approx(300.0 * a / (2.0 * G), rel=1e-12)
    assert case.load.acceleration == pytest.approx((a, 0.0, 0.0))
    assert case.load.gravity == pytest.approx((0.0, 0.0, -G))
    assert case.load.dynamic_factor == 1.0
    foot = case.load.pressure("left", np.array([[0.0, 9.0, 0.0]]))[0]
    assert foot == pytest.approx(RHO * 1e-12 * (G * 150.0 + a * 150.0), rel=1e-12)
    assert case.liquid.force_n[0] == pytest.approx(-case.liquid.mass_kg * a * 1e-3, rel=1e-12)
    up = slide(TANK, FILL, 5000.0, direction=(0.0, 0.0, 1.0)).load
    assert up.pressure("bottom", np.array([[9.0, 9.0, 0.0]]))[0] == pytest.approx(RHO * 1e-12 * (G + 5000.0) * 150.0)


def test_carry_leans_ten_degrees_and_doubles() -> None:
    case = carry(TANK, FILL, toward=(0.0, 1.0, 0.0))
    lean = math.radians(10.0)
    assert case.load.effective == pytest.approx((0.0, 2.0 * G * math.sin(lean), -2.0 * G * math.cos(lean)))
    assert case.load.dynamic_factor == 2.0
    assert "h = 0" in case.load.source


def test_tilt_is_still_liquid_in_a_turned_tank() -> None:
    case = tilt(TANK, FILL, math.radians(30.0))
    direct = settle(TANK, FILL, gravity_at_tilt(math.radians(30.0)))
    assert case.liquid.centre_mm == direct.centre_mm
    assert case.load.gravity == direct.gravity
    assert tilt(TANK, FILL, math.pi).liquid.kept_mm3 == pytest.approx(0.0, abs=1e-6)


def test_a_case_knows_only_wetted_faces_and_its_durations() -> None:
    case = still(TANK, FILL).load
    with pytest.raises(ValueError, match="no liquid face 'lid'"):
        case.pressure("lid", np.zeros((1, 3)))
    with pytest.raises(ValueError, match="duration"):
        still(TANK, FILL, duration="weeks")  # type: ignore[arg-type]
    assert isinstance(case, LoadCase)


@pytest.mark.parametrize("a", [-1.0, math.nan, math.inf])
def test_a_negative_acceleration_is_refused(a: float) -> None:
    for way in (slide, starts):
        with pytest.raises(ValueError, match="direction"):
            way(TANK, FILL, a)


def test_no_tilt_and_no_direction_are_refused() -> None:
    for angle in (-0.1, 1.6, math.nan):
        with pytest.raises(ValueError, match="tilt"):
            capacity_at_tilt(TANK, angle)
        with pytest.raises(ValueError, match="tilt"):
            tilted(TANK, FILL, angle)
    with pytest.raises(ValueError, match="level"):
        gravity_at_tilt(0.3, (0.0, 0.0, 1.0))
    with pytest.raises(ValueError, match="no length"):
        slide(TANK, FILL, 1.0, direction=(0.0, 0.0, 0.0))


def test_pouring_starts_where_the_room_left_equals_the_liquid() -> None:
    for cavity in (TANK, round_cavity(100.0, 250.0)):
        volume = 0.6 * capacity_at_tilt(cavity, 0.0)
        start = spill_tilt(cavity, volume, (1.0, 1.0, 0.0))
        assert capacity_at_tilt(cavity, start, (1.0, 1.0, 0.0)) == pytest.approx(volume, rel=1e-12)
        assert settle(cavity, volume, gravity_at_tilt(start - 1e-6, (1.0, 1.0, 0.0))).lost_mm3 == 0.0
        assert settle(cavity, volume, gravity_at_tilt(start + 1e-6, (1.0, 1.0, 0.0))).lost_mm3 > 0.0


def test_pushing_to_the_spill_is_the_tilt_of_that_slope() -> None:
    a = spill_acceleration(TANK, FILL, (1.0, 0.0, 0.0))
    assert math.atan(a / G) == pytest.approx(spill_tilt(TANK, FILL, (-1.0, 0.0, 0.0)), rel=1e-12)
    assert slide(TANK, FILL, 0.999 * a).liquid.lost_mm3 == 0.0
    assert slide(TANK, FILL, 1.001 * a).liquid.lost_mm3 > 0.0


def test_the_rate_of_tilt_is_the_slope_of_the_schedule() -> None:
    drum = round_cavity(100.0, 250.0)
    step = 1e-4
    for cavity, flow in ((TANK, 2e5), (drum, 5e4)):
        volume = 0.7 * capacity_at_tilt(cavity, 0.0)
        for t in (1.0, 0.5 * volume / flow, 0.9 * volume / flow):
            before, now, after = (pour_steadily(cavity, volume, flow, t + k * step) for k in (-1, 0, 1))
            assert (after.tilt_rad - before.tilt_rad) / (2 * step) == pytest.approx(now.rate_rad_s, rel=1e-6)


@pytest.mark.parametrize("toward", [(1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 2.0, 0.0)])
def test_a_brimming_tank_starts_to_pour_forward(toward: tuple[float, float, float]) -> None:
    for cavity in (TANK, round_cavity(100.0, 250.0)):
        volume = capacity_at_tilt(cavity, 0.0)
        now, after = (pour_steadily(cavity, volume, 1e5, t, toward) for t in (0.0, 1e-3))
        assert now.tilt_rad == pytest.approx(0.0, abs=1e-9)
        assert (after.tilt_rad - now.tilt_rad) / 1e-3 == pytest.approx(now.rate_rad_s, rel=1e-3)


def test_a_pushed_tank_is_deepest_where_it_is_left_behind() -> None:
    """tan = a/g: along the diagonal the corners stand half a diagonal times a/g off the mean."""
    state = pushed(TANK, FILL, 0.2 * G, direction=(3.0, 2.5, 0.0))
    rise = 0.2 * math.hypot(300.0, 250.0) / 2.0 * math.cos(math.atan2(2.5, 3.0) - math.atan2(250.0, 300.0))
    assert (state.rear_mm, state.front_mm) == pytest.approx((150.0 + rise, 150.0 - rise))
    assert state.shift_mm[0] / state.shift_mm[1] == pytest.approx(300.0**2 * 3.0 / (250.0**2 * 2.5))
    over = pushed(TANK, FILL, 5.0 * G)
    assert (over.rear_mm, over.front_mm) == (pytest.approx(400.0), 0.0)
    with pytest.raises(NotCovered, match="spill"):
        _ = over.shift_mm


def test_a_smooth_pour_starts_and_ends_at_rest() -> None:
    ends = [pour_smoothly(TANK, FILL, 5e6, 40.0, t) for t in (0.0, 40.0)]
    assert [(s.flow_mm3_s, s.rate_rad_s) for s in ends] == [(0.0, 0.0), (0.0, 0.0)]
    assert [s.poured_mm3 for s in ends] == pytest.approx([0.0, 5e6])


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: spill_tilt(TANK, 0.0), "volume"),
        (lambda: spill_tilt(TANK, 4e7), "what the tank holds"),
        (lambda: spill_tilt(box(10, 10, 10, lid="sealed"), 500.0), "reaches no lip"),
        (lambda: spill_acceleration(TANK, FILL, (0.0, 0.0, 1.0)), "along gravity"),
        (lambda: spill_acceleration(TANK, FILL, (0.0, 0.0, -2.0)), "along gravity"),
        (lambda: spill_acceleration(TANK, FILL, kept=1.01), "kept"),
        (lambda: pushed(TANK, 0.0, 1.0), "no liquid"),
        (lambda: pushed(TANK, FILL, 1.0, direction=(1.0, 0.0, 0.1)), "square to gravity"),
        (lambda: tilted(TANK, FILL, 0.1, g_mm_s2=-G), "gravity"),
        (lambda: spill_tilt(TANK, "half"), "volume"),  # type: ignore[arg-type]
        (lambda: capacity_at_tilt(TANK, None), "tilt"),  # type: ignore[arg-type]
        (lambda: pour_steadily(TANK, FILL, 0.0, 1.0), "flow"),
        (lambda: pour_steadily(TANK, FILL, 2e5, FILL / 2e5), "empty"),
        (lambda: pour_steadily(TANK, FILL, 2e5, -1.0), "time"),
        (lambda: pour_smoothly(TANK, FILL, 1.1 * FILL, 40.0, 1.0), "poured"),
        (lambda: pour_smoothly(TANK, FILL, 1e6, 0.0, 0.0), "duration"),
        (lambda: pour_smoothly(TANK, FILL, 1e6, 40.0, 41.0), "time"),
    ],
)
def test_no_pour_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(ValueError, match=says):
        ask()


def test_a_tank_with_an_overflow_pours_through_it_first() -> None:
    spout = Port(name="spout", circle=Circle3(centre=(300.0, 125.0, 200.0), normal=(1.0, 0.0, 0.0), radius_mm=10.0))
    tank = box(300.0, 250.0, 400.0, low=(0.0, 0.0, 0.0), ports=[spout])
    assert spill_tilt(tank, FILL) < spill_tilt(TANK, FILL)
    assert settle(tank, FILL, gravity_at_tilt(0.5)).over == ("spout",)
