"""Polygons from corners: moved to (0, 0), either way round, refused in words."""

from __future__ import annotations

import math

import pytest

import parts
from parts import Sheet, polygon
from parts.findings import SeamwrightError
from parts.shape.outline import Arc

SHEET = Sheet(material="cast-pmma", nominal_mm=6.0)


def test_it_is_moved_to_the_corner_of_its_box_and_keeps_its_area() -> None:
    """A right triangle of 40 by 30: 600 mm2; 3-4-5, so 50 mm of slope."""
    for points in ([(10, 10), (50, 10), (10, 40)], [(10, 40), (50, 10), (10, 10)]):
        piece = polygon("gusset", points, SHEET, cut_group="gussets")
        assert piece.outline.bounds_mm == (0.0, 0.0, 40.0, 30.0)
        assert piece.outline.outer.area_mm2 == 600.0
        assert math.isclose(piece.outline.outer.length_mm, 120.0)
        assert (piece.kind, piece.cut_group, piece.thickness_mm) == ("polygon", "gussets", 6.0)


def test_a_stair_is_no_crossing_and_a_corner_on_a_straight_side_may_be() -> None:
    """A cheek of two steps of 50 by 40: 50 x 40 + 50 x 80 = 6000 mm2."""
    stair = polygon("cheek", [(0, 0), (100, 0), (100, 80), (50, 80), (50, 40), (0, 40)], SHEET)
    assert stair.outline.area_mm2 == 6000.0
    assert polygon("plain", [(0, 0), (50, 0), (100, 0), (100, 80)], SHEET).outline.area_mm2 == 4000.0


def test_corners_that_go_in_are_rounded_and_others_are_not() -> None:
    """A quarter arc fills (1 - pi / 4) r2 of a square corner, either way round; box and other corners stay."""
    corners = [(0, 0), (100, 0), (100, 80), (50, 80), (50, 40), (0, 40)]
    for points in (corners, corners[::-1]):
        stair = polygon("cheek", points, SHEET, inside_radius_mm=4)
        assert math.isclose(stair.outline.area_mm2, 6000.0 + (1.0 - math.pi / 4.0) * 16.0)
        assert stair.size_mm == (100.0, 80.0, 6.0)
        arcs = [s for s in stair.outline.outer.segments() if isinstance(s, Arc)]  # type: ignore[union-attr]
        assert [(round(a.cx_mm, 9), round(a.cy_mm, 9), round(a.radius_mm, 9)) for a in arcs] == [(46.0, 44.0, 4.0)]
    with pytest.raises(SeamwrightError, match="is 40 mm long, too short for an inside radius of 45 mm"):
        polygon("cheek", corners, SHEET, inside_radius_mm=45)
    with pytest.raises(SeamwrightError, match="an inside radius of -1 mm"):
        polygon("cheek", corners, SHEET, inside_radius_mm=-1)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([(0, 0), (10, 0)], "2 corners; a polygon needs three or more"),
        ([], "0 corners"),
        ([(0, 0), (10, 0), (10, 10), (0, 0)], r"corners 1 and 4 are both at \(0, 0\) mm \(it closes by itself"),
        ([(0, 0), (10, 0), (10, 10), (10, 0), (0, 10)], "corners 2 and 4 are both at"),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "the side from corner 1 crosses or touches the side from corner 3"),
        ([(0, 0), (20, 0), (20, 10), (10, 0), (0, 10)], "the side from corner 1 crosses or touches"),
        ([(0, 0), (10, 0), (20, 0)], "folds back on itself"),
        ([(0, 0), (20, 0), (10, 0), (10, 10)], "folds back on itself"),
        ([(0, 0), (10, 0), (10, math.nan)], "corner 3 is .* not two numbers"),
        ([(0, 0), (10, 0), 7], "corner 3 is 7, not two numbers"),
    ],
)
def test_what_is_no_polygon_is_refused_in_words(points: list[tuple[float, float]], said: str) -> None:
    with pytest.raises(SeamwrightError, match=said) as refused:
        polygon("cheek", points, SHEET)
    assert str(refused.value).startswith("cheek: ")


def test_the_doors_of_parts_lead_to_the_makers() -> None:
    assert {name for name in parts.__all__ if callable(getattr(parts, name))} == set(parts.__all__)
    with pytest.raises(AttributeError):
        parts.nothing  # noqa: B018
