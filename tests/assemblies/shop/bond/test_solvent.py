"""Solvent in gaps and in air: closed forms, an ODE solver, and what must be refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from assemblies.shop.bond.solvent import Room, SolventError, capillary, exposure, solvent, solvents, strictest

DCM = {"gamma": 0.0278, "theta": 0.0, "mu": 0.000434, "rho": 1328.0, "gap": 1e-4, "depth": 0.006, "g": 9.80665}


@pytest.mark.parametrize("name", ["gamma", "mu", "rho", "gap", "depth", "g"])
@pytest.mark.parametrize("value", [0.0, -1e-3, math.nan, math.inf])
def test_a_value_that_is_none_is_refused_by_name(name, value):
    with pytest.raises(SolventError, match=rf"{name} = "):
        capillary(**{**DCM, name: value})


@pytest.mark.parametrize("theta", [math.pi / 2, 1.8, -0.1, math.nan])
def test_a_liquid_that_does_not_wet_is_refused(theta):
    with pytest.raises(SolventError, match="does not wet"):
        capillary(**{**DCM, "theta": theta})


@given(
    gap=st.floats(1e-5, 1e-3), depth=st.floats(1e-3, 5e-2), theta=st.floats(0.0, 1.3), mu=st.floats(3e-4, 2e-2)
)  # fmt: skip
def test_the_time_with_inertia_satisfies_the_equation_of_motion(gap, depth, theta, mu):
    """y = (A/B)(t - (1 - exp(-B t))/B) at the time given must be half the depth squared."""
    got = capillary(0.0278, theta, mu, 1328.0, gap, depth)
    pull, drag = 2 * 0.0278 * math.cos(theta) / (1328.0 * gap), 12 * mu / (1328.0 * gap**2)
    x = drag * got.t_with_inertia
    # below x = 1e-3 the bracket loses digits: its series is taken
    bracket = x * x / 2 * (1 - x / 3 + x * x / 12) if x < 1e-3 else x + math.expm1(-x)
    assert pull / drag**2 * bracket == pytest.approx(depth**2 / 2, rel=1e-7)
    assert got.t_with_inertia > got.t_viscous


@pytest.mark.parametrize("gap", [3e-5, 1e-4, 2.5e-4])
def test_the_time_with_inertia_agrees_with_an_ode_solver(gap):
    """Independent: momentum of the column, rho d(L L')/dt = 2 gamma/b - 12 mu L L'/b2, stepped by scipy."""

    def rate(_, y):
        return [y[1], 2 * DCM["gamma"] / (DCM["rho"] * gap) - 12 * DCM["mu"] / (DCM["rho"] * gap**2) * y[1]]

    def filled(_, y):
        return y[0] - DCM["depth"] ** 2 / 2

    filled.terminal = True
    run = solve_ivp(rate, (0, 10), [0.0, 0.0], events=filled, rtol=1e-10, atol=1e-14, method="Radau")
    assert capillary(**{**DCM, "gap": gap}).t_with_inertia == pytest.approx(float(run.t_events[0][0]), rel=1e-6)


def test_without_drag_worth_the_name_the_time_is_that_of_free_acceleration():
    got = capillary(**{**DCM, "mu": 1e-9, "gap": 1e-3})
    assert got.t_with_inertia == pytest.approx(
        DCM["depth"] / math.sqrt(2 * DCM["gamma"] / (DCM["rho"] * 1e-3)), rel=1e-5
    )


@given(ml=st.floats(0.1, 100), volume=st.floats(5, 500), changes=st.floats(0, 30))
def test_the_mean_is_that_of_air_that_is_thinned_steadily(ml, volume, changes):
    """Independent: the mean of peak x exp(-n t) by quadrature."""
    for average, hours in (("8 h", 8.0), ("15 min", 0.25)):
        got = exposure(solvent("butanone"), ml, Room(volume_m3=volume, air_changes_h=changes), average)
        points = np.linspace(0, hours, 5)[1:-1]
        area, _ = quad(lambda t: math.exp(-changes * t), 0, hours, points=points, limit=200)
        assert got.mean_ppm == pytest.approx(got.peak_ppm * area / hours, rel=1e-6)
        assert got.ml_to_limit * got.times_limit == pytest.approx(ml, rel=1e-9)


def test_fresh_air_that_thins_to_the_limit_is_the_vapour_over_the_limit():
    got = exposure(solvent("methyl-methacrylate"), 5.0, Room(volume_m3=50.0, air_changes_h=0.0), "8 h")
    # 5 mL x 0.944 / 100.12 x 24.45 = 1.1527 L; / 50e-6 = 23.05 m3
    assert got.fresh_air_m3 == pytest.approx(23.05, abs=0.01)


def test_the_strictest_is_over_its_limit_by_more_than_any_other():
    room = Room(volume_m3=50.0, air_changes_h=2.0)
    worst = strictest(solvents(), 3.0, room)
    others = [exposure(s, 3.0, room, a).times_limit for s in solvents() for a in ("8 h", "15 min")]
    assert worst.times_limit == pytest.approx(max(others))
    assert worst.solvent == "1,2-dichloroethane"
    alone = strictest([solvent("MEK")], 3.0, room)
    assert (alone.solvent, alone.limit.ppm) == ("butanone", 300.0)


def test_no_solvent_evaporated_harms_nobody_and_still_names_the_strictest():
    worst = strictest(solvents(), 0.0, Room(volume_m3=50.0, air_changes_h=2.0))
    assert (worst.solvent, worst.mean_ppm, worst.times_limit) == ("1,2-dichloroethane", 0.0, 0.0)


@pytest.mark.parametrize("name", ["DCM", "methylene chloride", "Dichloromethane", " dichloromethane "])
def test_a_solvent_is_found_by_any_of_its_names(name):
    assert solvent(name).name == "dichloromethane"


def test_an_unknown_solvent_is_refused_with_those_there_are():
    with pytest.raises(SolventError, match="not in the table: dichloromethane, 1,2-dichloroethane"):
        solvent("water")


@pytest.mark.parametrize(
    ("volume", "changes"), [(0.0, 1.0), (-5.0, 1.0), (50.0, -1.0), (math.nan, 1.0), (50.0, math.inf)]
)
def test_a_room_that_is_none_is_refused(volume, changes):
    with pytest.raises(SolventError, match=r"a room of|air changes"):
        Room(volume_m3=volume, air_changes_h=changes)


@pytest.mark.parametrize("ml", [-1.0, math.nan, math.inf])
def test_an_amount_that_is_none_is_refused(ml):
    with pytest.raises(SolventError, match="mL of solvent"):
        exposure(solvent("THF"), ml, Room(volume_m3=50.0, air_changes_h=1.0), "8 h")
