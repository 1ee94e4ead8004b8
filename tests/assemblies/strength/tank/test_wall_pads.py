"""What plates bonded to a wall put into it: equilibrium, and Navier's series for the pads' true rectangles."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rigs import at_rest, built, order, plates, proof, use_of

from assemblies.strength import box_cases
from assemblies.strength.boxes import frame
from assemblies.strength.boxes.setting import Padded
from assemblies.strength.proof.uses import Settings
from assemblies.strength.tank.model import tank_model
from assemblies.strength.tank.pads import groups_of, wall_pads

MODULUS, POISSON, THICK = 3200.0, 0.37, 8.0
TERMS = np.arange(1, 121)
TANKS = {
    "one in the middle": ((600.0, 250.0, 300.0), "back", "[[0, 0]]"),
    "two": ((800.0, 300.0, 350.0), "front", "[[-60, 10], [60, 10]]"),
    "one beside": ((600.0, 250.0, 300.0), "back", "[[-13, 21]]"),
    "three on an end": ((250.0, 400.0, 300.0), "left", "[[-100, -60], [100, -60], [0, 80]]"),
    "one on a small tank": ((300.0, 200.0, 150.0), "back", "[[-13, 21]]"),
    "four, near the rim": ((300.0, 200.0, 150.0), "left", "[[-50, 37.5], [50, 37.5], [-50, -37.5], [50, -37.5]]"),
}


def ordered(name):
    size, on, at = TANKS[name]
    return order(size, THICK, fill=f"{0.8 * size[2]:.0f} mm", support="plates", more=plates(on, at))


def wall(name):
    """The wall's sides (mm), its pads, the case, and the middle of the plates in the world."""
    given = ordered(name)
    design, (size, on, _) = built(given), TANKS[name]
    model, case = tank_model(design, "plates"), at_rest(given, design)
    (group,) = groups_of(design, model, Settings(support="plates"))
    pads = wall_pads([group], model, case)[on]
    return (size[1] if on in ("left", "right") else size[0], size[2]), pads, case, group.pads.middle


def inside(pad, count=12):
    """Gauss places over a pad, (count, count) each, and their weights."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    u, v = (a + (b - a) * (nodes + 1.0) / 2.0 for a, b in zip(pad.low, pad.high, strict=True))
    area = (pad.high[0] - pad.low[0]) * (pad.high[1] - pad.low[1]) / 4.0
    return np.meshgrid(u, v, indexing="ij"), np.outer(weights, weights) * area


@pytest.mark.parametrize("name", TANKS)
def test_pads_push_with_the_weights_couple_and_no_more(name):
    _, pads, case, middle = wall(name)
    size, on = TANKS[name][:2]
    weight = case.mass_kg * 9.80665
    out = abs(case.centre_mm[0] - middle[0]) if on in ("left", "right") else abs(case.centre_mm[1] - middle[1])
    pushed = [(places, weights * pad.pressure(*places)) for pad in pads for places, weights in [inside(pad)]]
    assert sum(push.sum() for _, push in pushed) == pytest.approx(0.0, abs=1e-9 * weight)
    couple = sum((push * (places[1] - size[2] / 2.0)).sum() for places, push in pushed)
    assert couple == pytest.approx(weight * out, rel=1e-9)


def sines(length, places):
    """sin(m pi x / length), one row each of 120 terms."""
    return np.sin(np.outer(TERMS * math.pi / length, places))


def navier(sides, pads, x, y):
    """Deflection, Mx and My of a supported plate, by the double sine series of the true rectangles, on a grid."""
    a, b = sides
    work = np.zeros((len(TERMS), len(TERMS)))
    for pad in pads:
        places, weights = inside(pad, 60)
        work += sines(a, places[0][:, 0]) @ (weights * pad.pressure(*places)) @ sines(b, places[1][0]).T
    p, q = (TERMS * math.pi / a)[:, None], (TERMS * math.pi / b)[None, :]
    stiff = MODULUS * THICK**3 / 12.0 / (1.0 - POISSON**2)
    terms = 4.0 * work / (a * b * stiff * (p * p + q * q) ** 2)
    parts = (terms, stiff * (p * p + POISSON * q * q) * terms, stiff * (q * q + POISSON * p * p) * terms)
    return tuple(sines(a, x).T @ part @ sines(b, y) for part in parts)


@pytest.mark.parametrize("name", TANKS)
def test_a_supported_wall_bends_under_its_pads_as_navier_says(name):
    """Timoshenko art. 28, from memory. Neighbours as thin as paper leave the wall's sides free to turn; that no moment is left
    at a side is met on the average only, so that a twentieth beside the sides is left out.
    """
    sides, pads, _, _ = wall(name)
    size, on = TANKS[name][:2]
    thick = {**dict.fromkeys(("left", "right", "front", "back", "bottom", "lid"), 0.02), on: THICK}
    load = Padded(pressure={}, pads={on: pads})
    (result,) = box_cases(*size, thick, MODULUS, POISSON, [load], "hung", "supported")
    x, y = (side * np.linspace(0.05, 0.95, 55) for side in sides)
    w, mx, my = navier(sides, pads, x, y)
    ours = result.panels[on].field(x[:, None], y[None, :])
    largest = max(np.max(np.abs(mx)), np.max(np.abs(my)))
    assert np.max(np.abs(ours.w - w)) < 0.002 * np.max(np.abs(w))
    assert np.max(np.abs(ours.mx - mx)) < 0.03 * largest
    assert np.max(np.abs(ours.my - my)) < 0.03 * largest


@pytest.mark.parametrize("name", TANKS)
def test_a_wall_with_pads_is_resolved(name, monkeypatch):
    """The same box with far more functions inside the wall: in the stress of the wall and of its seam with the floor."""
    on = TANKS[name][1]
    seam = f"{on}-bottom"

    def used():
        found = proof(ordered(name))
        use = use_of(found, on)
        return use.stress, use.deflection, max(s.combined for s in found.seams if s.seam == seam)

    got = used()
    fewer = frame._wall_with_pads
    monkeypatch.setattr(frame, "_wall_with_pads", lambda *a: fewer(*a)._replace(bubbles=6))
    assert got == pytest.approx(used(), rel=0.01)
