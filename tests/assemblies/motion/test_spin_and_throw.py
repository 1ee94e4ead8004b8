"""What spins by quadrature and bisection, what is thrown by an integrator: other ways to the same figures."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from assemblies.motion.spin.vortex import dries_at, lidded, spills_at, vortex
from assemblies.motion.spin.wheel import spun_hoop
from assemblies.motion.throw.air import AIR_MPA, fed_speed, reservoir_energy, thrust
from assemblies.motion.throw.flight import stopped, thrown
from parts.findings import SeamwrightError

G = 9806.65


def kept(vertex: float, a: float, radius: float, height: float) -> float:
    """Liquid under z = vertex + a r^2 between floor and lid or rim, by quadrature."""
    bends = [math.sqrt(x) for x in ((0.0 - vertex) / a, (height - vertex) / a) if 0.0 < x < radius**2]
    found, _ = quad(
        lambda r: math.tau * r * min(max(vertex + a * r * r, 0.0), height), 0.0, radius, points=bends or None, limit=200
    )
    return float(found)


@pytest.mark.parametrize("omega", [3.0, 10.0, 20.0, 21.9, 25.0, 27.2, 33.0, 60.0])
@pytest.mark.parametrize("depth", [60.0, 120.0, 200.0, 290.0])
def test_an_open_vortex_keeps_its_volume(omega: float, depth: float) -> None:
    """Its vertex found by bisection on the volume under it; what is over the rim is gone."""
    radius, height, a = 100.0, 300.0, omega**2 / (2.0 * G)
    found = vortex(radius, height, depth, omega)
    full = math.pi * radius**2 * depth
    vertex = brentq(lambda z: kept(z, a, radius, math.inf) - full, -1e4, height, xtol=1e-12)
    if vertex + a * radius**2 > height:
        vertex = height - a * radius**2
        assert found.spilled == pytest.approx(full - kept(vertex, a, radius, math.inf), rel=1e-6)
        assert omega > spills_at(radius, height, depth)
    else:
        assert found.spilled == 0.0
        assert omega < spills_at(radius, height, depth)
    assert found.edge == pytest.approx(vertex + a * radius**2, rel=1e-9)
    assert found.centre == pytest.approx(max(vertex, 0.0), abs=1e-6)
    assert found.dry == pytest.approx(math.sqrt(max(-vertex / a, 0.0)), abs=1e-4)
    assert (found.dry > 0.0) is (omega > dries_at(radius, height, depth))


@pytest.mark.parametrize("omega", [5.0, 15.0, 22.0, 24.0, 45.0, 90.0])
@pytest.mark.parametrize(("height", "depth"), [(300.0, 200.0), (200.0, 120.0), (400.0, 100.0), (250.0, 240.0)])
def test_a_lidded_vortex_keeps_its_volume_and_lifts_its_lid(omega: float, height: float, depth: float) -> None:
    radius, a = 100.0, omega**2 / (2.0 * G)
    found = lidded(radius, height, depth, omega, 1000.0)
    full = math.pi * radius**2 * depth
    assert kept(found.vertex, a, radius, height) == pytest.approx(full, rel=1e-7)
    lift, _ = quad(
        lambda r: math.tau * r * max(found.vertex + a * r * r - height, 0.0) * 1000.0 * G * 1e-12,
        found.wets_lid_from,
        radius,
    )
    assert found.lift_n == pytest.approx(lift, rel=1e-7, abs=1e-12)
    assert found.lid_mpa == pytest.approx(
        max(found.vertex + a * radius**2 - height, 0.0) * 1000.0 * G * 1e-12, abs=1e-15
    )


def test_a_faster_vortex_never_keeps_more_and_never_loads_the_wall_less() -> None:
    states = [vortex(100.0, 300.0, 150.0, omega) for omega in np.linspace(0.0, 80.0, 161)]
    assert all(b.spilled >= a.spilled - 1e-6 and b.edge >= a.edge - 1e-9 for a, b in pairwise(states))
    assert all(b.dry >= a.dry - 1e-9 for a, b in pairwise(states))


def test_hoop_of_a_thick_tube_solves_the_equation_of_a_turning_ring() -> None:
    """d(r s_r)/dr - s_t + rho w^2 r^2 = 0 with the elastic law in plane stress, integrated; s_r is known on both faces."""
    inner, outer, omega, nu, spin = 100.0, 105.0, 30.0, 0.37, 1190.0 * 900.0 * 1e-12
    found = spun_hoop(inner, 5.0, omega, 300.0, 998.2, 1190.0, nu)

    def hoop_at_inner(first: float) -> tuple[float, float]:
        """Radial stress that is left on the outer face, for a hoop stress on the inner one."""

        def rates(r: float, state: np.ndarray) -> list[float]:
            radial, hoop = state
            slope = (hoop - radial) / r - spin * r
            # compatibility: d(s_t - nu s_r)/dr = (1 + nu)(s_r - s_t)/r
            return [slope, nu * slope + (1.0 + nu) * (radial - hoop) / r]

        done = solve_ivp(rates, (inner, outer), [-found.pressure, first], rtol=1e-10, atol=1e-14)
        return float(done.y[0, -1]), first

    root = brentq(lambda first: hoop_at_inner(first)[0], 0.0, 1.0, xtol=1e-14)
    assert found.thick == pytest.approx(root, rel=1e-7)
    assert found.thin == pytest.approx(root, rel=0.05)


def test_a_throw_is_what_an_integrator_says() -> None:
    force, mass, stroke = 273.44, 6.0, 200.0
    found = thrown(force, mass, stroke, 100.0, 998.2)

    def at_end(_: float, state: np.ndarray) -> float:
        return float(state[0] - stroke)

    at_end.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(
        lambda _, s: [s[1], force * 1e3 / mass - G], (0.0, 1.0), [0.0, 0.0], events=at_end, rtol=1e-10, atol=1e-10
    )
    assert found.time == pytest.approx(done.t_events[0][0], rel=1e-8)
    assert found.speed == pytest.approx(done.y_events[0][0][1], rel=1e-8)
    up = solve_ivp(lambda _, s: [s[1], -G], (0.0, 1.0), [0.0, found.speed], dense_output=True, rtol=1e-10)
    assert found.height == pytest.approx(max(up.sol(np.linspace(0.0, 1.0, 20_001))[0]), rel=1e-6)
    stop = stopped(found.speed, mass, 20.0, force)
    rest = found.energy * 1e3 - mass * G * 1e-3 * 20.0 + force * 20.0  # N mm: motion, less the lift, with the drive on
    assert stop.energy * 1e3 == pytest.approx(rest, rel=1e-9)
    assert stop.leaves


def test_the_work_of_a_reservoir_is_that_of_its_pressure_along_the_stroke() -> None:
    area, stroke, volume, mass = 1963.0, 250.0, 2e6, 10.0
    work, _ = quad(lambda x: (0.5 * volume / (volume + area * x) - AIR_MPA) * area - mass * G * 1e-3, 0.0, stroke)
    assert reservoir_energy(0.5, volume, area, stroke, mass) == pytest.approx(work * 1e-3, rel=1e-9)


def test_a_path_feeds_as_the_flow_law_of_iso_6358_says_and_a_load_only_slows_it() -> None:
    area = thrust(32.0, 12.0, 0.6).area
    speeds = [fed_speed(2e8, 0.3, 0.7, area, load).speed for load in (0.0, 60.0, 200.0, 400.0)]
    assert speeds == sorted(speeds, reverse=True)
    choked = fed_speed(2e8, 0.3, 0.7, area, 60.0)
    assert choked.factor == 1.0
    assert choked.flow_kg_s == pytest.approx(2e8 * 1e-15 * 0.7e6 * 1e6 * 1.185 / 1e6 * 1e0, rel=1e-9)
    with pytest.raises(SeamwrightError, match="the load needs"):
        fed_speed(2e8, 0.3, 0.7, area, 1000.0)
