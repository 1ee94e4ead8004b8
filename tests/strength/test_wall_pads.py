"""What plates bonded to a wall put into it: equilibrium, and Navier's series for the pads' true rectangles."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rigs import at_rest, built, order, plates

from assemblies.strength import plate
from assemblies.strength.mounting import pad_pull
from assemblies.strength.pads import groups_of, wall_pads
from assemblies.strength.tank_model import tank_model
from assemblies.strength.uses import Settings

MODULUS, POISSON, THICK = 3200.0, 0.37, 8.0
TERMS = np.arange(1, 121)
TANKS = {
    "one in the middle": ((600.0, 250.0, 300.0), "back", "[[0, 0]]"),
    "two": ((800.0, 300.0, 350.0), "front", "[[-60, 10], [60, 10]]"),
    "one beside": ((600.0, 250.0, 300.0), "back", "[[-13, 21]]"),
    "three on an end": ((250.0, 400.0, 300.0), "left", "[[-100, -60], [100, -60], [0, 80]]"),
    "one on a small tank": ((300.0, 200.0, 150.0), "back", "[[-13, 21]]"),
}
OFF = [  # share of the largest deflection and moment
    ("three on an end", 0.002, 0.04),
    ("one on a small tank", 0.01, 0.10),
    ("one in the middle", 0.04, 0.25),
    ("one beside", 0.04, 0.25),
    ("two", 0.04, 0.40),
]


def wall(name):
    """The wall's sides (mm), the pads' pressure on it, and per pad: its rectangle (u, v) and its own pressure."""
    size, on, at = TANKS[name]
    given = order(size, THICK, fill=f"{0.8 * size[2]:.0f} mm", support="plates", more=plates(on, at))
    design = built(given)
    model, case = tank_model(design, "plates"), at_rest(given, design)
    (group,) = groups_of(design, model, Settings(support="plates"))
    pads, (even, slope1, slope2) = pad_pull(group, case.force_n, case.centre_mm)
    e1, e2, _ = pads.frame
    rectangles = []
    for centre, sides in zip(pads.centres, pads.sizes, strict=True):
        ends = [pads.middle + (centre[0] + k * sides[0]) * e1 + (centre[1] + k * sides[1]) * e2 for k in (-0.5, 0.5)]
        inside = np.array([model.inside_uv(on, tuple(end)) for end in ends])
        rectangles.append((inside.min(axis=0), inside.max(axis=0)))

    def own(u, v):
        off = model.world(on, u, v) - pads.middle
        return even + slope1 * (off @ e1) + slope2 * (off @ e2)

    field = wall_pads([group], model, case)[on]
    sides = (size[1] if on in ("left", "right") else size[0], size[2])
    return sides, field, rectangles, own, case, pads.middle


def over(low, high, f):
    """Integral of a function over a rectangle, 40 by 40 Gauss points."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    u, v = (a + (b - a) * (nodes + 1.0) / 2.0 for a, b in zip(low, high, strict=True))
    area = (high[0] - low[0]) * (high[1] - low[1]) / 4.0
    return float(weights @ f(*np.meshgrid(u, v, indexing="ij")) @ weights) * area


@pytest.mark.parametrize("name", TANKS)
def test_pads_push_with_the_weights_couple_and_no_more(name):
    sides, field, _, _, case, middle = wall(name)
    on, size = TANKS[name][1], TANKS[name][0]
    weight = case.mass_kg * 9.80665
    out = abs(case.centre_mm[0] - middle[0]) if on in ("left", "right") else abs(case.centre_mm[1] - middle[1])
    assert over((0.0, 0.0), sides, field) == pytest.approx(0.0, abs=1e-6 * weight)
    couple = over((0.0, 0.0), sides, lambda u, v: field(u, v) * (v - size[2] / 2.0))
    assert couple == pytest.approx(weight * out, rel=1e-6)


def sines(length, places):
    """sin(m pi x / length), one row each of 120 terms."""
    return np.sin(np.outer(TERMS * math.pi / length, places))


def navier(sides, rectangles, own, x, y):
    """Deflection, Mx and My of a supported plate, by the double sine series of the true rectangles, on a grid."""
    (a, b), nodes = sides, np.polynomial.legendre.leggauss(60)
    work = np.zeros((len(TERMS), len(TERMS)))
    for low, high in rectangles:
        u, v = (c + (d - c) * (nodes[0] + 1.0) / 2.0 for c, d in zip(low, high, strict=True))
        du, dv = (nodes[1] * (d - c) / 2.0 for c, d in zip(low, high, strict=True))
        work += (sines(a, u) * du) @ own(*np.meshgrid(u, v, indexing="ij")) @ (sines(b, v) * dv).T
    p, q = (TERMS * math.pi / a)[:, None], (TERMS * math.pi / b)[None, :]
    stiff = MODULUS * THICK**3 / 12.0 / (1.0 - POISSON**2)
    terms = 4.0 * work / (a * b * stiff * (p * p + q * q) ** 2)
    parts = (terms, stiff * (p * p + POISSON * q * q) * terms, stiff * (q * q + POISSON * p * p) * terms)
    return tuple(sines(a, x).T @ part @ sines(b, y) for part in parts)


@pytest.mark.parametrize(("name", "deflection", "moment"), OFF)
def test_a_supported_wall_bends_under_its_pads_as_navier_says(name, deflection, moment):
    """Timoshenko art. 28, from memory. On a wall over ten times as long as a pad, polynomials round off what happens at the
    pad's edge: there only the deflection is held (in a box it is within 1 %: the walls about it bend too).
    """
    sides, field, rectangles, own, _, _ = wall(name)
    edges = dict.fromkeys(("left", "right", "bottom", "top"), "supported")
    got = plate(*sides, THICK, MODULUS, POISSON, edges, field)
    x, y = (np.linspace(0.0, side, 61) for side in sides)
    w, mx, my = navier(sides, rectangles, own, x, y)
    ours = got.field(x[:, None], y[None, :])
    assert np.max(np.abs(ours.w - w)) < deflection * np.max(np.abs(w))
    largest = max(np.max(np.abs(mx)), np.max(np.abs(my)))
    assert np.max(np.abs(ours.mx - mx)) < moment * largest
    assert np.max(np.abs(ours.my - my)) < moment * largest
