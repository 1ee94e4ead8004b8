"""Polygons from corners: moved to (0, 0), either way round, refused in words."""

from __future__ import annotations

import math

import pytest

import parts
from parts import Sheet, polygon
from parts.findings import SeamwrightError

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
