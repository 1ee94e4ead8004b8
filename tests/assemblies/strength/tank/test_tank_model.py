"""From design to box: sizes, thicknesses, what carries the floor, what stiffens the rim, places on the panels."""

from __future__ import annotations

import numpy as np
import pytest
from rigs import at_rest, built, order, plates

from assemblies.strength.boxes.setting import Brace, OnPlates, Strip
from assemblies.strength.tank.model import tank_model
from parts.findings import NotCovered


def test_inside_size_and_thickness_come_from_the_pieces():
    model = tank_model(built(order(measured=5.82)), "flat")
    assert model.size == pytest.approx((300.0, 200.0, 150.0))
    assert set(model.thickness.values()) == {5.82}
    assert model.base == "flat"
    assert model.rim == "free"
    assert model.shell == ()


def test_supports():
    design = built(order(support="plates", more=plates()))
    on = tank_model(design, "plates").base
    assert isinstance(on, OnPlates)
    assert on.rectangles[0] == pytest.approx((37.5, 87.5, 75.0, 125.0))
    assert on.rectangles[1] == pytest.approx((212.5, 262.5, 75.0, 125.0))
    walls = sum(p.piece.mass_kg for p in design.placed if p.name in ("left", "right", "front", "back"))
    assert on.weight_n == pytest.approx(walls * 9.80665)
    assert tank_model(design, "hung").base == "hung"
    assert tank_model(built(order(support="edges")), "edges").base == "hung"
    side = built(order(support="plates", more=plates("left", "[[-50, 0], [50, 0]]")))
    assert tank_model(side, "plates").base == "hung"


def test_rims():
    rim = tank_model(built(order(more='\n[[strip]]\nwhere = "rim"\nsize = [30, 8]\n')), "flat").rim
    assert rim == (Strip(width=30.0, thickness=8.0, place="inward"),)
    two = tank_model(built(order(more='\n[[strip]]\nwhere = "brace"\nsize = [30, 8]\nat = [-50, 60]\n')), "flat").rim
    assert [b.at_mm for b in two] == pytest.approx([100.0, 210.0])
    assert all(isinstance(b, Brace) for b in two)
    for lid, held in (("bonded", "supported"), ("loose", "free")):
        model = tank_model(built(order(tables={"tank": f'lid = "{lid}"'})), "flat")
        assert model.rim == held
        assert ("lid" in model.thickness) == (lid == "bonded")


@pytest.mark.parametrize("panel", ["left", "right", "front", "back", "bottom"])
def test_places_on_panels_go_there_and_back(panel):
    design = built(order())
    model = tank_model(design, "flat")
    u, v = np.array([10.0, 77.0]), np.array([20.0, 130.0])
    world = model.world(panel, u, v)
    for k in range(2):
        assert model.inside_uv(panel, tuple(world[k])) == pytest.approx((u[k], v[k]))
    inner = design.instance(panel).local(tuple(world[0]))
    assert inner[2] == pytest.approx(6.0 if panel == "bottom" else 0.0, abs=1e-9)  # on the wetted face


def test_pressure_on_a_wall_is_that_of_the_depth():
    given = order(fill="120 mm")
    design = built(given)
    push = tank_model(design, "flat").pressures(at_rest(given, design).load)
    u, v = np.array([50.0, 50.0, 50.0]), np.array([0.0, 60.0, 130.0])
    for wall in ("left", "right", "front", "back"):
        assert push[wall](u, v) == pytest.approx(1000e-9 * 9.80665 * np.array([120.0, 60.0, 0.0]), abs=1e-12)


def test_what_is_no_box_is_not_covered():
    from samples import design as bare

    with pytest.raises(NotCovered, match="five panels"):
        tank_model(bare(), "flat")
