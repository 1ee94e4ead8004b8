"""Pieces: what the holes take out, and holes that cannot be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import flat, panel, sheet, tapped_plate
from scipy.integrate import quad

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Outline, rectangle
from parts.shape.piece import Hole, Piece


def test_a_panel_is_its_outline_times_its_sheet() -> None:
    wall = panel("wall", 300.0, 150.0, 5.82)
    assert wall.size_mm == (300.0, 150.0, 5.82)
    assert wall.volume_mm3 == pytest.approx(300 * 150 * 5.82, rel=1e-14)
    assert wall.mass_kg == pytest.approx(wall.volume_mm3 * 1e-9 * wall.sheet.density_kg_m3, rel=1e-14)


def test_a_tapped_plate_loses_its_bores_not_its_threads() -> None:
    # by hand: 50 x 50 x 12 less four cylinders of 5.2 by 9
    assert tapped_plate().volume_mm3 == pytest.approx(30000.0 - 36.0 * math.pi * 2.6**2, rel=1e-14)


def test_a_through_hole_goes_as_deep_as_the_sheet_is_thick() -> None:
    hole = Hole(x_mm=10, y_mm=10, kind="through", diameter_mm=4.0)
    assert hole.length_mm(6.0) == 6.0
    assert hole.volume_mm3(6.0) == pytest.approx(24.0 * math.pi)
    assert hole.bore_mm == 4.0


@given(st.floats(3.0, 8.0), st.floats(1.1, 2.0))
def test_a_countersink_is_the_solid_of_revolution_of_its_profile(bore: float, ratio: float) -> None:
    sink, thickness = bore * ratio, 10.0
    hole = Hole(x_mm=20, y_mm=20, kind="countersunk", diameter_mm=bore, sink_mm=sink)

    def radius(depth: float) -> float:
        return max(sink / 2.0 - depth, bore / 2.0)  # 90 degrees included: 45 to each side

    corner = (sink - bore) / 2.0
    swept = quad(lambda d: math.pi * radius(d) ** 2, 0.0, thickness, points=[corner], epsabs=1e-9)[0]
    assert hole.volume_mm3(thickness) == pytest.approx(swept, rel=1e-9)


def test_the_profile_has_cut_outs_and_through_bores_but_no_blind_ones() -> None:
    holes = (
        Hole(x_mm=10, y_mm=10, kind="through", diameter_mm=4.0),
        Hole(x_mm=30, y_mm=10, kind="blind", diameter_mm=4.0, depth_mm=3.0),
        Hole(x_mm=10, y_mm=30, kind="tapped", diameter_mm=6.0, drill_mm=5.0),
    )
    piece = flat("p", rectangle(60, 60), inner=(rectangle(10, 10, 40, 40),), holes=holes)
    assert piece.profile.inner == (rectangle(10, 10, 40, 40), Circle(10, 10, 2.0), Circle(10, 30, 2.5))


def test_equal_pieces_are_one_key() -> None:
    assert {panel("wall", 30.0, 20.0): 1}[panel("wall", 30.0, 20.0)] == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"x_mm": 2.0}, "runs through the edge"),
        ({"y_mm": 49.0}, "runs through the edge"),
        ({"sink_mm": 30.0}, "runs through the edge"),
        ({"depth_mm": 6.0}, "hole depth 6 mm"),
        ({"depth_mm": 0.0}, "hole depth 0 mm"),
        ({"depth_mm": float("nan")}, "hole depth nan mm"),
        ({"diameter_mm": 0.0}, "diameter 0 mm"),
        ({"diameter_mm": float("inf")}, "diameter inf mm"),
        ({"drill_mm": -1.0}, "diameter -1 mm"),
        ({"x_mm": float("nan")}, "runs through the edge"),
    ],
)
def test_holes_that_cannot_be_are_refused_by_name(change: dict[str, float], said: str) -> None:
    fields = {"x_mm": 10.0, "y_mm": 10.0, "kind": "through", "diameter_mm": 5.0, **change}
    with pytest.raises(SeamwrightError, match=f"^wall: .*{said}"):
        flat("wall", rectangle(50, 50), holes=(Hole(**fields),))  # type: ignore[arg-type]


def test_an_outline_that_does_not_start_at_zero_is_refused() -> None:
    with pytest.raises(SeamwrightError, match=r"starts at \(1, 0\) mm"):
        Piece(name="off", kind="panel", outline=Outline(rectangle(5, 5, 1.0, 0.0)), sheet=sheet())


def test_the_function_that_makes_a_piece_gives_its_role() -> None:
    from parts.make.disc import disc, ring
    from parts.make.panel import base
    from parts.make.panel import panel as make_panel
    from parts.make.tapped_plate import tapped_plate as make_plate

    six = sheet(6.0)
    made = [make_panel("p", 90, 80, six), base("b", 90, 80, six), disc("d", 90, six), ring("r", 90, 50, six)]
    assert [one.role for one in made] == ["shell"] * 4
    assert make_plate("t", 50, 50, six, "M6", [(0.0, 0.0)]).role == "mount"
    assert make_panel("strip", 90, 20, six, role="stiffener").role == "stiffener"


def test_how_a_piece_is_cut_out_of_the_sheet_does_not_make_it_another_part() -> None:
    wall = panel("wall", 300.0, 150.0)
    other = replace(wall, oversize_mm=3.0, may_turn=False)
    assert (wall.oversize_mm, wall.may_turn) == (0.0, True)
    assert {wall, other} == {wall}
    assert replace(wall, role="inner") != wall
