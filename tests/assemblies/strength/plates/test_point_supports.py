"""Point supports: held to Navier's series, said, and dropped where they can do nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from assemblies.strength import Prop, Rib, plate

MODULUS, POISSON, THICK = 3200.0, 0.37, 6.0


def edges(left="supported", right="supported", bottom="supported", top="supported"):
    return {"left": left, "right": right, "bottom": bottom, "top": top}


def rigidity():
    return MODULUS * THICK**3 / 12.0 / (1.0 - POISSON**2)


def solve(sides, pressure=(1e-3, 0.0), **more):
    return plate(400.0, 250.0, THICK, MODULUS, POISSON, sides, pressure, **more)


def series(a, b, at):
    """Deflection, Mx and My at a place of a supported plate: under 1 MPa all over, and under 1 N at a place, as functions.

    Navier's double sines (Timoshenko and Woinowsky-Krieger art. 28 and 34, from memory).
    """
    m, n = np.arange(1, 401)[:, None] * math.pi / a, np.arange(1, 401)[None, :] * math.pi / b
    stiff = rigidity()
    sines = lambda x, y: np.sin(m * x) * np.sin(n * y)  # noqa: E731
    even = 4.0 * (1.0 - np.cos(m * a)) * (1.0 - np.cos(n * b)) / (m * n * a * b)

    def read(terms, x, y):
        w = terms * sines(x, y) / (stiff * (m * m + n * n) ** 2)
        moments = (stiff * (p * p + POISSON * q * q) * w for p, q in ((m, n), (n, m)))
        return np.array([np.sum(w), *(np.sum(each) for each in moments)])

    return (lambda x, y: read(even, x, y)), (lambda x, y: read(4.0 / (a * b) * sines(*at), x, y))


@pytest.mark.parametrize(
    "at", [(200.0, 125.0), (160.0, 100.0), (80.0, 200.0)]
)  # moments change fastest along their lines
def test_a_plate_over_a_rigid_point_bends_as_navier_says_away_from_it(at):
    """The point's force is what brings its place back. An eighth of the short side away and more."""
    even, pointed = series(400.0, 250.0, at)
    force = even(*at)[0] / pointed(*at)[0]
    got = solve(edges(), (1.0, 0.0), supports=[Prop(x_mm=at[0], y_mm=at[1])])
    places = [(x, y) for x in np.linspace(40.0, 360.0, 9) for y in np.linspace(25.0, 225.0, 9)]
    far = [p for p in places if math.dist(p, at) > 250.0 / 8.0]
    exact = np.array([even(*p) - force * pointed(*p) for p in far])
    found = [got.field(*p) for p in far]
    ours = np.array([[float(f.w), float(f.mx), float(f.my)] for f in found])
    assert np.max(np.abs(ours[:, 0] - exact[:, 0])) < 0.003 * np.max(np.abs(exact[:, 0]))
    assert np.max(np.abs(ours[:, 1:] - exact[:, 1:])) < 0.03 * np.max(
        np.abs(exact[:, 1:])
    )  # 15 % without its own knots


def test_a_point_support_is_always_said_but_on_a_corner():
    (said,) = [f for f in solve(edges(), supports=[Prop(x_mm=50.0, y_mm=60.0)]).findings if "point support" in f.why]
    assert said.level == "care"
    assert "(50, 60) mm" in said.why
    assert "nearer than 30 mm" in said.why
    loose = edges("clamped", "free", "supported", "free")
    on_corner = solve(loose, supports=[Prop(x_mm=400.0, y_mm=250.0)])
    assert not [f for f in on_corner.findings if "point support" in f.why]
    on_edge = solve(loose, supports=[Prop(x_mm=400.0, y_mm=250.0), Prop(x_mm=400.0, y_mm=100.0, stiffness=50.0)])
    assert ["(400, 100) mm" in f.why for f in on_edge.findings if "point support" in f.why] == [True]


@pytest.mark.parametrize(
    ("sides", "place"),
    [
        (edges(), (0.0, 0.0)),
        (edges(), (400.0, 250.0)),
        (edges("clamped", "clamped", "clamped", "free"), (0.0, 100.0)),
        (edges(top="free"), (123.4, 0.0)),
    ],
)
@pytest.mark.parametrize("stiffness", [math.inf, 80.0])
def test_a_prop_on_what_is_held_already_does_nothing(sides, place, stiffness):
    plain = solve(sides)
    propped = solve(sides, supports=[Prop(x_mm=place[0], y_mm=place[1], stiffness=stiffness)])
    assert propped.deflection.value == pytest.approx(plain.deflection.value, rel=1e-4)
    assert propped.mid == pytest.approx(plain.mid, rel=1e-4)
    assert len(propped.findings) == len(plain.findings)


def test_a_prop_on_a_held_rib_does_nothing():
    rib = Rib(x_mm=200.0)
    plain, propped = (solve(edges(), supports=[rib, *more]) for more in ([], [Prop(x_mm=200.0, y_mm=80.0)]))
    x, y = np.linspace(0.0, 400.0, 9), 70.0
    assert propped.field(x, y).w == pytest.approx(plain.field(x, y).w, abs=1e-4 * plain.deflection.value)
    assert not propped.findings


def test_props_at_one_place_are_one_when_rigid_and_add_up_when_not():
    sides = edges(top="free")
    at = {"x_mm": 100.0, "y_mm": 250.0}
    once, twice, both = (
        solve(sides, supports=props)
        for props in (
            [Prop(**at)],
            [Prop(**at), Prop(**at), Prop(x_mm=100.0 + 1e-6, y_mm=250.0)],
            [Prop(**at), Prop(**at, stiffness=9.0)],
        )
    )
    x, y = np.linspace(0.0, 400.0, 9), 200.0
    for other in (twice, both):
        assert other.field(x, y).w == pytest.approx(once.field(x, y).w, abs=1e-8 * once.deflection.value)
    soft, two = (solve(sides, supports=[Prop(**at, stiffness=k)] * n) for k, n in ((90.0, 1), (45.0, 2)))
    assert two.field(x, y).w == pytest.approx(soft.field(x, y).w, abs=1e-8 * soft.deflection.value)
