"""Loads that step or kink: the integral settles where it must, says how far it did not, and costs nothing where it need not.

Exact values are areas and their moments; on a polynomial axis the functions 1 and x are among those that are loaded.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from spline_plate import spline_plate

from assemblies.strength import plate
from assemblies.strength.plates.basis import axis
from assemblies.strength.plates.element import Element
from assemblies.strength.plates.work import GOAL, work_of

WHOLE = (0.0, 1.0, 0.0, 1.0)
AXES = {"one": axis(20), "two": axis(12, (0.0, 0.9, 1.0)), "three": axis(8, (0.0, 0.1, 0.9, 1.0))}
SIDES = ("left", "right", "bottom", "top")


def line(axis, at_0, at_1):
    """Coefficients of the straight line with these end values."""
    places = np.linspace(0.0, 1.0, 101)
    return np.linalg.lstsq(axis.at(places), at_0 + (at_1 - at_0) * places, rcond=None)[0]


class Counted:
    """A pressure that knows at how many places it was asked for."""

    def __init__(self, push):
        self.push, self.places = push, 0

    def __call__(self, x, y):
        self.places += x.size
        return self.push(x, y)


STEPS = {  # pressure, and exactly its integral and those of x and y times it
    "patch": (lambda x, y: 1.0 * ((x > 0.2) & (x < 0.5) & (y > 0.3) & (y < 0.8)), (0.15, 0.0525, 0.0825)),
    "strip": (lambda x, y: 1.0 * (np.abs(x - 0.61) < 0.03) + 0.0 * y, (0.06, 0.0366, 0.03)),
    "half": (lambda x, y: np.where(x > y, 1.0, -1.0), (0.0, 1.0 / 6.0, -1.0 / 6.0)),
    "disc": (
        lambda x, y: 2.0 * (np.hypot(x - 0.43, y - 0.52) < 0.2),
        (0.08 * math.pi, 0.0344 * math.pi, 0.0416 * math.pi),
    ),
    "wedge": (lambda x, y: np.maximum(0.35 - y, 0.0) + 0.0 * x, (0.06125, 0.030625, 0.35**3 / 6.0)),
}


@pytest.mark.parametrize("axes", AXES)
@pytest.mark.parametrize("name", STEPS)
def test_force_and_moments_of_a_pressure_that_steps_or_kinks_settle(name, axes):
    push, exact = STEPS[name]
    work, rest = work_of((AXES[axes], AXES[axes]), (1.0, 1.0), [push], WHOLE, 96, GOAL)
    even, rise = line(AXES[axes], 1.0, 1.0), line(AXES[axes], 0.0, 1.0)
    got = [a @ work[:, :, 0] @ b for a, b in ((even, even), (rise, even), (even, rise))]
    size = 1.0 if name == "half" else exact[0]
    assert got == pytest.approx(exact, abs=1.5 * GOAL * size)
    assert rest[0] <= GOAL


def test_a_smooth_pressure_is_asked_for_once_and_worked_exactly():
    push = Counted(lambda x, y: 1.0 + x * y**3)
    work, rest = work_of((AXES["one"], AXES["one"]), (1.0, 1.0), [push], WHOLE, 40, GOAL)
    even = line(AXES["one"], 1.0, 1.0)
    assert even @ work[:, :, 0] @ even == pytest.approx(1.125, rel=1e-13)
    assert (push.places, rest[0]) == (1600, 0.0)


def some_plate(**more) -> Element:
    x = AXES["one"]
    every = np.arange(x.size)
    return Element(x=x, y=x, width=400.0, height=250.0, rigidity=1e5, poisson=0.3, keep_x=every, keep_y=every, **more)


def loaded(pushes, region=(0.0, 400.0, 0.0, 250.0)):
    plate = some_plate()
    return work_of((plate.x, plate.y), (plate.width, plate.height), pushes, region, 40, 0.01)[0]


def test_of_several_pressures_only_the_one_that_steps_is_refined():
    """A liquid's kink at its surface is left as it is: every proof has many."""
    kink, step = Counted(lambda x, y: np.maximum(90.0 - y, 0.0) * 1e-5), Counted(lambda x, y: 1e-3 * (x < 130.0))
    work = loaded([kink, step])
    even = line(AXES["one"], 1.0, 1.0)
    assert kink.places == 1600
    assert step.places > 3000
    assert even @ work[:, :, 1] @ even == pytest.approx(1e-3 * 130.0 * 250.0, rel=1.5 * GOAL)


def test_a_part_of_the_plate_is_loaded_alone():
    region = (100.0, 300.0, 50.0, 200.0)
    stepped = loaded([lambda x, y: 1e-3 * (y > 120.0) + 0.0 * x], region)[:, :, 0]
    even, rise = line(AXES["one"], 1.0, 1.0), line(AXES["one"], 0.0, 1.0)
    assert even @ stepped @ even == pytest.approx(1e-3 * 200.0 * 80.0, rel=1.5 * GOAL)
    assert rise @ stepped @ even == pytest.approx(1e-3 * 200.0 * 80.0 * 0.5, rel=1.5 * GOAL)


def test_what_steps_too_often_is_said_and_counted_in_the_errors():
    rough = lambda x, y: 1e-3 * (1.0 + np.sin(1e3 * x * x + 70.0 * y))  # noqa: E731
    got = plate(400.0, 250.0, 6.0, 3200.0, 0.37, dict.fromkeys(SIDES, "supported"), rough)
    assert any("of its load is in doubt" in f.why for f in got.findings)
    assert min(got.error_deflection, got.error_moment) > 0.02
    plain = plate(400.0, 250.0, 6.0, 3200.0, 0.37, dict.fromkeys(SIDES, "supported"), (1e-3, 0.0))
    assert not plain.findings
    assert plain.error_deflection < 1e-6


def patch(width, height, at):
    x0, x1, y0, y1 = at[0] * width, at[1] * width, at[2] * height, at[3] * height
    return lambda x, y: 1e-3 * ((x > x0) & (x < x1) & (y > y0) & (y < y1))


def navier(a, b, stiff, at, terms=200):
    """Middle deflection of a supported plate under 1 kPa on a part of it. Timoshenko art. 28-29, from memory."""
    m = np.arange(1, terms + 1)
    waves = [np.cos(m * math.pi * at[k]) - np.cos(m * math.pi * at[k + 1]) for k in (0, 2)]
    load_terms = 4e-3 * np.outer(waves[0] / m, waves[1] / m) / math.pi**2
    shape = np.outer(np.sin(m * math.pi / 2.0), np.sin(m * math.pi / 2.0))
    return float(np.sum(load_terms * shape / (math.pi**4 * stiff * ((m[:, None] / a) ** 2 + (m / b) ** 2) ** 2)))


@pytest.mark.parametrize("at", [(0.2, 0.5, 0.3, 0.8), (0.4, 0.44, 0.1, 0.9), (0.05, 0.7, 0.6, 0.65)])
def test_a_supported_plate_under_a_patch_bends_as_navier_says(at):
    stiff = 3200.0 * 216.0 / 12.0 / (1.0 - 0.37**2)
    push = patch(400.0, 250.0, at)
    got = plate(400.0, 250.0, 6.0, 3200.0, 0.37, dict.fromkeys(SIDES, "supported"), push)
    exact = navier(400.0, 250.0, stiff, at)
    assert got.mid == pytest.approx(exact, rel=1e-3)
    assert abs(got.mid / exact - 1.0) < got.error_deflection


def test_a_patch_on_a_clamped_and_free_plate_agrees_with_splines():
    """The patch's edges are among the splines' breaks, so their load is exact."""
    sides = dict(zip(SIDES, ("clamped", "clamped", "clamped", "free"), strict=True))
    width, height, stiff = 322.0, 307.0, 3000.0 * 216.0 / 12.0 / 0.91
    push = patch(width, height, (3 / 14, 7 / 14, 4 / 14, 11 / 14))
    got = plate(width, height, 6.0, 3000.0, 0.3, sides, push)
    x, y = np.linspace(0.0, width, 57), np.linspace(0.0, height, 57)
    w, mx, my, _ = spline_plate(width, height, stiff, 0.3, sides, push).grid(x, y)
    ours = got.field(x[:, None], y[None, :])
    assert np.max(np.abs(ours.w - w)) < 1e-3 * np.max(np.abs(w))
    middle = slice(6, -6)  # away from the corners of the free edge
    largest = max(np.max(np.abs(mx)), np.max(np.abs(my)))
    assert np.max(np.abs(ours.mx - mx)[middle, middle]) < 0.01 * largest  # a moment bends sharply where a load steps
    assert np.max(np.abs(ours.my - my)[middle, middle]) < 0.01 * largest
    assert got.error_moment < 0.02
