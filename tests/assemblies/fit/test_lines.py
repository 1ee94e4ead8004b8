"""Pieces that meet at an angle along a line, against lengths and angles by hand; none where every face lies flat."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import design, flat, panel, tank

from assemblies.design.model import Design, Joint, Placed
from assemblies.fit import Allowances, FitRules, check_fit
from assemblies.fit.lines import line_contacts
from assemblies.fit.seams import seams
from parts.shape.outline import Circle, Loop, Vertex, rectangle
from parts.shape.piece import Piece

RULES = FitRules(allow=Allowances(tolerance_mm=0.25, repeat_mm=0.05, squareness_mm=0.05))
FLOOR = panel("floor", 200, 120)


def on(name: str, piece: Piece, x: float, y: float, z: float) -> Placed:
    return Placed(name=name, piece=piece, origin=(x, y, z))


def ramp(lean: float, *, up: float = 0.0, floor: Piece = FLOOR, wide: float = 80.0) -> Design:
    """A ramp that stands on the floor's top with the lower corner of its cut edge, its sheet `lean` radians off the floor."""
    z = (0.0, -math.sin(lean), math.cos(lean))
    return design(
        on("floor", floor, 0, 0, 0), Placed(name="ramp", piece=panel("ramp", wide, 60), origin=(20, 20, 6 + up), z=z)
    )


@given(st.floats(math.radians(1.0), math.radians(89.0)), st.floats(20.0, 150.0))
def test_a_leaned_ramp_touches_along_its_whole_edge_and_opens_by_a_right_angle_in_all(lean: float, wide: float) -> None:
    (line,) = line_contacts(ramp(lean, wide=wide))
    assert (line.a, line.b) == ("floor", "ramp")
    assert line.length_mm == pytest.approx(wide)
    off = math.degrees(lean)
    assert line.gaps_deg == pytest.approx((min(off, 90.0 - off), max(off, 90.0 - off)), abs=1e-6)


def test_the_care_names_both_the_length_and_the_angles() -> None:
    (said,) = [f for f in check_fit(ramp(math.radians(30.0)), RULES, solids=False).findings if f.level == "care"]
    assert said.where == "floor and ramp"
    assert "touch only along a line of 80.0 mm" in said.why
    assert "30.0 and 60.0 degrees" in said.why
    assert "bevel" in said.do


@pytest.mark.parametrize("lean_deg", [0.0, 0.5, 90.0])
def test_a_ramp_that_lies_or_stands_on_a_face_makes_a_seam_and_no_line(lean_deg: float) -> None:
    one = ramp(math.radians(lean_deg))
    assert line_contacts(one) == ()
    assert len(seams(one)) == 1


@pytest.mark.parametrize(("up", "count"), [(-0.4, 1), (0.4, 1), (0.99, 1), (1.01, 0), (-1.01, 0)])
def test_a_line_as_near_as_faces_that_are_meant_for_a_bond_counts(up: float, count: int) -> None:
    """The shop rule `seam_search`: 1 mm."""
    found = line_contacts(ramp(0.5, up=up))
    assert len(found) == count
    if count:
        assert found[0].apart_mm == pytest.approx(max(0.0, up))


def test_openings_in_the_face_are_no_part_of_the_line() -> None:
    """The line runs at y = 20 from x = 20 to 100, over a 30 mm window and through the middle of a hole of 20."""
    holed = flat("floor", rectangle(200, 120), inner=(rectangle(30, 40, 30, 5), Circle(80.0, 20.0, 10.0)))
    (line,) = line_contacts(ramp(0.5, floor=holed))
    assert line.length_mm == pytest.approx(80 - 30 - 20)


def mitre(turn_deg: float, *, apart: float = 0.0) -> Design:
    """Two walls with square edges that meet along one inside edge, the second turned about it out of the first's line."""
    turn = math.radians(turn_deg)
    x, normal = (math.cos(turn), math.sin(turn), 0.0), (-math.sin(turn), math.cos(turn), 0.0)
    return design(
        Placed(name="one", piece=panel("one", 100, 80), origin=(-100 - apart, 0, 0), z=(0.0, -1.0, 0.0)),
        Placed(name="two", piece=panel("two", 100, 80), origin=(0, 0, 0), x=x, z=(-normal[0], -normal[1], 0.0)),
    )


def test_a_mitre_that_is_not_closed_opens_by_the_angle_its_walls_turn() -> None:
    """Turned 60 degrees, their square edges open by 60 outside: 360 less two right angles less that are inside."""
    (line,) = line_contacts(mitre(60.0))
    assert line.length_mm == pytest.approx(80.0)
    assert line.gaps_deg == pytest.approx((60.0, 120.0))
    assert line_contacts(mitre(0.0)) == ()  # edge to edge: a seam
    assert len(seams(mitre(0.0))) == 1


def test_walls_that_meet_only_corner_to_corner_are_said() -> None:
    (line,) = line_contacts(mitre(90.0))
    assert line.gaps_deg == pytest.approx((90.0, 90.0))
    assert line_contacts(mitre(90.0, apart=0.3)) == ()


def test_the_corner_of_a_gusset_is_an_edge_across_its_thickness() -> None:
    """A three-cornered gusset lies with one side on the floor (a seam); with its point down only a line touches."""
    flank = Loop((Vertex(0.0, 0.0), Vertex(60.0, 0.0), Vertex(0.0, 80.0)))
    stood = Placed(name="gusset", piece=flat("gusset", flank), origin=(20, 60, 6), z=(0.0, -1.0, 0.0))
    assert line_contacts(design(on("floor", FLOOR, 0, 0, 0), stood)) == ()
    s = 0.6  # turned in its own plane by the angle whose sine is 0.6: it stands on the corner at its own origin
    tipped = Placed(name="gusset", piece=flat("gusset", flank), origin=(80, 60, 6), x=(0.8, 0.0, s), z=(0.0, -1.0, 0.0))
    (line,) = line_contacts(design(on("floor", FLOOR, 0, 0, 0), tipped))
    assert line.length_mm == pytest.approx(6.0)  # across the thickness
    low = math.degrees(math.asin(s))
    assert line.gaps_deg == pytest.approx((low, 90.0 - low))


def test_what_is_not_bonded_may_touch_along_a_line() -> None:
    one = ramp(0.5)
    loose = Design(**{**one.__dict__, "joints": (Joint(a="ramp", b="floor", kind="loose"),)})
    assert line_contacts(loose) == ()


@given(st.tuples(*[st.floats(-50.0, 50.0)] * 3))
def test_a_tank_has_none(at: tuple[float, float, float]) -> None:
    assert line_contacts(design(*tank(at))) == ()
