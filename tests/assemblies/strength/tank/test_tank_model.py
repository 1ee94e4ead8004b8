"""From design to what is solved: sizes, thicknesses, what carries it, what stiffens the rim, what it weighs, places on
panels."""

from __future__ import annotations

import numpy as np
import pytest
from rigs import at_rest, built, order, plates

from assemblies.strength.boxes.setting import Brace, Strip
from assemblies.strength.tank.model import tank_model
from parts.findings import NotCovered


def spec_of(support="flat", more="", **keys):
    return tank_model(built(order(support=support, more=more, **keys)), support).spec


def test_inside_size_and_thickness_come_from_the_pieces():
    spec = spec_of(measured=5.82)
    assert spec.inner == pytest.approx((300.0, 200.0, 150.0))
    assert set(spec.thick.values()) == {5.82}
    assert (spec.base, spec.strip, spec.braces, spec.rim_kg_mm) == ("flat", None, (), 0.0)
    assert spec.density_kg_m3 == 1190.0


def test_supports():
    on = spec_of("plates", plates())
    assert on.base == "plates"
    assert [p.panel for p in on.pads] == ["bottom", "bottom"]
    assert (*on.pads[0].low, *on.pads[0].high) == pytest.approx((37.5, 75.0, 87.5, 125.0))
    assert (*on.pads[1].low, *on.pads[1].high) == pytest.approx((212.5, 75.0, 262.5, 125.0))
    assert spec_of("hung").base == "hung"
    edges = spec_of("edges")
    assert (edges.base, edges.ledge + 0.42 * 6.0) == ("edges", pytest.approx(6.0))  # it may lie at the outer arris only


@pytest.mark.parametrize(("wall", "middle"), [("left", 150.0), ("right", 50.0), ("back", 200.0)])
def test_plates_on_walls_lie_along_the_tanks_axes(wall, middle):
    """At 50 mm to the left of the middle, seen from outside."""
    pads = spec_of("plates", plates(wall, "[[-50, 0]]")).pads
    assert [p.panel for p in pads] == [wall]
    assert (pads[0].low[0] + pads[0].high[0]) / 2.0 == pytest.approx(middle)  # left and back run against the axes


def test_rims():
    assert spec_of(more='\n[[strip]]\nwhere = "rim"\nsize = [30, 8]\n').strip == Strip(width=30.0, thickness=8.0)
    two = spec_of(more='\n[[strip]]\nwhere = "brace"\nsize = [30, 8]\nat = [-50, 60]\n').braces
    assert [b.at_mm for b in two] == pytest.approx([100.0, 210.0])
    assert all(isinstance(b, Brace) for b in two)
    for lid, bonded in (("bonded", True), ("loose", False)):
        spec = spec_of(tables={"tank": f'lid = "{lid}"'})
        assert ("lid" in spec.thick) == bonded
        assert (spec.rim_kg_mm > 0.0) != bonded  # what only lies there weighs on the rim


@pytest.mark.parametrize("panel", ["left", "right", "front", "back", "bottom"])
def test_a_place_is_told_as_seen_from_outside(panel):
    model = tank_model(built(order()), "flat")
    point = (-100.0, 40.0, 50.0)
    a, b = model.inside(panel, point)
    u, v = model.seen(panel, a, b)
    wanted = {
        "front": (50.0, 44.0),
        "back": (250.0, 44.0),
        "left": (60.0, 44.0),
        "right": (140.0, 44.0),
        "bottom": (50.0, 140.0),
    }
    assert (u, v) == pytest.approx(wanted[panel])


def test_pressure_on_a_wall_is_that_of_the_depth():
    given = order(fill="120 mm")
    load = tank_model(built(given), "flat").load(at_rest(given, built(given)).load)
    x, y, z = np.full(3, 50.0), np.zeros(3), np.array([0.0, 60.0, 130.0])
    for wall in ("left", "right", "front", "back"):
        assert load.push(wall, x, y, z) == pytest.approx(1000e-9 * 9.80665 * np.array([120.0, 60.0, 0.0]), abs=1e-12)


def test_what_is_no_box_is_not_covered():
    from samples import design as bare

    with pytest.raises(NotCovered, match="five panels"):
        tank_model(bare(), "flat")
