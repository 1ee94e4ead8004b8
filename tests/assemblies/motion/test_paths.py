"""Paths from rest to rest: limits kept, targets met, waves stilled; the waves beside an integrator with every mode."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from assemblies.liquid.waves.modes import first_waves, rect_waves, round_waves
from assemblies.motion.path.profile import Path, ramps, s_curve, trapezoid
from assemblies.motion.path.shaper import shaper
from assemblies.motion.swing.damping import box_damping, round_damping
from assemblies.motion.swing.response import Swing
from assemblies.motion.swing.shortest import shortest
from assemblies.motion.swing.stops import gentlest_stop, worst_stop

G = 9806.65
TANK = Swing(rect_waves(300.0, 100.0, G, 21), G)
ALL = ((1.0,) * 21,)

figure = st.floats(0.01, 1e3)


def sampled(path: Path) -> tuple[np.ndarray, ...]:
    times = np.unique(np.concatenate([np.linspace(0.0, path.time, 500), path.times]))
    return times, *path.at(times)


@settings(deadline=None, max_examples=60)
@given(distance=figure, speed=figure, push=figure, jerk=figure)
def test_no_sample_passes_a_limit_and_the_end_is_the_target(
    distance: float, speed: float, push: float, jerk: float
) -> None:
    for path in (trapezoid(distance, speed, push).path, s_curve(distance, speed, push, jerk).path):
        _, place, fast, a = sampled(path)
        assert place[-1] == pytest.approx(distance, rel=1e-9)
        assert path.distance == pytest.approx(distance, rel=1e-9)
        assert abs(fast).max() <= speed * (1.0 + 1e-9)
        assert abs(a).max() <= push * (1.0 + 1e-9)
        assert abs(path.jerks).max() <= jerk * (1.0 + 1e-9)
        assert abs(fast[-1]) <= 1e-9 * speed
        assert (np.diff(place) >= -1e-9 * distance).all()


@pytest.mark.parametrize(
    ("given_", "peak", "push", "cruises"),
    [
        ((1.0, 0.5, 1.5, 10.0), 0.5, 1.5, True),  # both reached
        ((0.2, 1.0, 1.5, 15.0), 0.4778336097, 1.5, False),  # acceleration alone
        ((0.05, 1.0, 3.0, 8.0), 0.1709975947, 1.169607095, False),  # neither
        ((1.0, 0.1, 3.0, 8.0), 0.1, math.sqrt(0.8), True),  # speed alone: v j < a^2
    ],
)  # fmt: skip
def test_each_branch_of_seven_segments(given_: tuple[float, ...], peak: float, push: float, cruises: bool) -> None:
    found = s_curve(*given_)
    assert found.peak == pytest.approx(peak, rel=1e-9)
    assert found.push == pytest.approx(push, rel=1e-9)
    assert (found.cruise > 0.0) == cruises


def test_without_a_limit_of_jerk_the_smooth_move_becomes_the_steady_one() -> None:
    assert s_curve(0.6, 0.5, 1.2, 1e7).time == pytest.approx(trapezoid(0.6, 0.5, 1.2).time, rel=1e-6)


def test_a_shaper_stills_its_wave_and_takes_its_time() -> None:
    path, one = trapezoid(600.0, 500.0, 800.0).path, TANK.waves[0]
    for kind, halves in (("ZV", 1), ("ZVD", 2)):
        parts = shaper(kind, one.omega)  # type: ignore[arg-type]
        shaped = parts.of(path)
        assert shaped.time == pytest.approx(path.time + halves * math.pi / one.omega)
        assert shaped.distance == pytest.approx(600.0)
        assert TANK.left(path)[0] > 1.0
        assert TANK.left(shaped)[0] < 1e-9 * TANK.left(path)[0] + 1e-9


def test_the_waves_are_those_of_an_integrator_with_every_mode() -> None:
    path = s_curve(600.0, 500.0, 1500.0, 9000.0).path
    times = np.linspace(0.0, path.time + 2.0, 60)
    omega, lift = TANK.omega, TANK.lift
    n = len(omega)

    def rate(t: float, y: np.ndarray) -> np.ndarray:
        a = path.at(np.array([t]))[2][0]
        return np.concatenate([y[n:], -(omega**2) * (y[:n] + lift * a)])

    found = solve_ivp(rate, (0.0, times[-1]), np.zeros(2 * n), t_eval=times, rtol=1e-8, atol=1e-9, max_step=0.01)
    assert TANK.along(path, times).q == pytest.approx(found.y[:n].T, abs=2e-4)


def test_a_sudden_push_for_good_lifts_as_the_envelope_of_sudden_starts_says() -> None:
    path = Path(np.array([10.0]), np.array([1000.0]), np.zeros(1))
    times = np.linspace(0.0, 6.0 * math.tau / TANK.omega[0], 3601)
    level = TANK.along(path, times).q.sum(axis=1)
    assert -level.min() == pytest.approx(first_waves(300.0, 100.0, 1000.0, G).all_modes, rel=1e-6)


def test_the_lifts_of_all_waves_come_to_the_steady_rise() -> None:
    assert sum(w.lift for w in rect_waves(300.0, 100.0, G, 4000)) == pytest.approx(150.0, rel=1e-4)
    assert sum(w.lift for w in round_waves(100.0, 150.0, G, 600)) == pytest.approx(100.0, rel=1e-3)


@pytest.mark.parametrize("jerk", [math.inf, 30_000.0])
@pytest.mark.parametrize("room", [8.0, 20.0])
def test_the_shortest_move_keeps_every_limit_and_beats_no_bound(room: float, jerk: float) -> None:
    few = Swing(rect_waves(300.0, 100.0, G, 2), G)
    found = shortest(few, ((1.0, 1.0),), room=room, distance=600.0, acceleration=2000.0, speed=700.0, jerk=jerk)
    path = found.path
    fine = np.linspace(0.0, path.time, 20_001)
    _, speed, push = path.at(fine)
    assert path.distance == pytest.approx(600.0, rel=1e-9)
    assert abs(speed).max() <= 700.0 * (1.0 + 1e-9)
    assert abs(push).max() <= 2000.0 * (1.0 + 1e-9)
    assert abs(few.along(path, fine).q.sum(axis=1)).max() <= room * (1.0 + 1e-3)
    assert few.left(path).max() < 1e-6
    assert path.time >= found.bound >= found.without_liquid
    assert found.solves <= 15
    if math.isfinite(jerk):
        assert abs(path.jerks).max() <= jerk * (1.0 + 1e-6)
        assert abs(path.starts[1:] - (path.starts + path.jerks * path.durations)[:-1]).max() < 1e-6 * 2000.0


def test_a_slower_stop_and_a_slower_move_lift_no_more() -> None:
    path = trapezoid(600.0, 500.0, 800.0).path
    rises = [worst_stop(TANK, ALL, path, brake).rise for brake in (200.0, 800.0, 1600.0)]
    assert rises == sorted(rises)
    few = Swing(rect_waves(300.0, 100.0, G, 2), G)
    times = [
        shortest(few, ((1.0, 1.0),), room=room, distance=600.0, acceleration=2000.0, speed=1000.0).path.time
        for room in (6.0, 8.0, 12.0, 20.0)
    ]
    assert times == sorted(times, reverse=True)
    quick = TANK.along(path, TANK.times(path)).q.sum(axis=1)
    slow_path = Path(path.durations * 2.0, path.starts / 4.0, path.jerks)
    slow = TANK.along(slow_path, TANK.times(slow_path)).q.sum(axis=1)
    assert abs(slow).max() < abs(quick).max()


def test_a_stop_at_the_end_of_the_ramp_is_the_worst_by_direct_simulation() -> None:
    """Every stop simulated as a path of its own, beside the quick way."""
    path, brake = ramps(800.0, 0.6, 0.5), 800.0
    found = worst_stop(TANK, ALL, path, brake)
    highest = 0.0
    for at in np.linspace(0.05, path.time - 0.05, 40):
        k = path.times[path.times < at]
        knots = np.append(k, at)
        _, speed, _ = path.at(np.array([at]))
        starts = np.append(path.at((knots[:-1] + knots[1:]) / 2.0)[2], -brake)
        cut = Path(np.append(np.diff(knots), speed[0] / brake), starts, np.zeros(len(starts)))
        highest = max(highest, abs(TANK.along(cut, TANK.times(cut, 3.0)).q.sum(axis=1)).max())
    assert found.rise == pytest.approx(highest, rel=0.02)
    assert found.rise > abs(TANK.along(path, TANK.times(path)).q.sum(axis=1)).max()
    safe = gentlest_stop(TANK, ALL, path, found.rise * 0.9, brake)
    assert safe is not None
    assert worst_stop(TANK, ALL, path, safe).rise <= found.rise * 0.9


def test_damping_of_a_box_is_that_of_a_cylinder_of_its_size() -> None:
    """Both by laminar layers: of one size they cannot lie far apart; thicker liquid dies with the root of its viscosity."""
    box = box_damping(200.0, 200.0, 150.0, rect_waves(200.0, 150.0, G, 1)[0].omega, 1.0, G)
    drum = round_damping(100.0, 150.0, 1.0, G)
    assert box == pytest.approx(drum, rel=0.35)
    assert box_damping(200.0, 200.0, 150.0, 12.0, 4.0, G) == pytest.approx(
        2.0 * box_damping(200.0, 200.0, 150.0, 12.0, 1.0, G), rel=1e-9
    )


def test_damping_of_a_box_by_the_integral_of_its_layers() -> None:
    """The speed along every wet face added up on a grid, beside the closed form."""
    length, width, depth, nu = 300.0, 200.0, 100.0, 1.0
    omega, k = rect_waves(length, depth, G, 1)[0].omega, math.pi / length
    x, z = ((np.arange(400) + 0.5) / 400 * size for size in (length, depth))
    floor = (np.sin(k * x) ** 2).mean() * length * width
    xs, zs = np.meshgrid(x, z)
    side = (
        (np.cosh(k * zs) ** 2 * np.sin(k * xs) ** 2 + np.sinh(k * zs) ** 2 * np.cos(k * xs) ** 2).mean()
        * length
        * depth
    )
    end = (np.sinh(k * z) ** 2).mean() * width * depth
    square = k * k * (floor + 2.0 * side + 2.0 * end)  # of speed, for unit potential
    energy = 0.5 * G * (k * math.sinh(k * depth) / omega) ** 2 * length * width / 2.0
    lost = 0.5 * math.sqrt(nu * omega / 2.0) * square
    assert box_damping(length, width, depth, omega, nu, G) == pytest.approx(lost / (2.0 * omega * energy), rel=1e-3)
