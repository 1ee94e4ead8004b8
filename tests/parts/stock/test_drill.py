"""Drills: names, sizes, order, and the nearest of each kind."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.stock.drill import INCH_SERIES, METRIC_SERIES, DrillError, at_least, at_most, drill, drills, nearest
from parts.tables import load

sizes = st.floats(min_value=0.4, max_value=25)
series = st.sampled_from([INCH_SERIES, METRIC_SERIES, ("number",), ("fraction",), (*INCH_SERIES, *METRIC_SERIES)])


@pytest.mark.parametrize("row", load("drills"), ids=lambda row: row["name"])
def test_each_drill_is_as_thick_as_its_name_and_both_columns_say(row):
    found = drill(row["name"])
    assert (found.name, found.series) == (row["name"], row["series"])
    assert found.diameter_mm == pytest.approx(float(row["diameter_mm"]), abs=0.0000501)
    if row["diameter_in"]:
        assert found.diameter_mm == float(Fraction(row["diameter_in"]) * Fraction(254, 10))
    if row["series"] == "fraction":
        assert found.diameter_mm == float(Fraction(row["name"]) * Fraction(254, 10))
    if row["series"] == "metric":
        assert row["name"] == f"{found.diameter_mm:g} mm"


def test_the_series_are_whole():
    assert [d.name for d in drills(("number",))] == [f"#{i}" for i in range(80, 0, -1)]
    assert [d.name for d in drills(("letter",))] == list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    assert [d.name for d in drills(("fraction",))] == [str(Fraction(i, 64)) for i in range(1, 65)]
    assert {f"{i / 10:g} mm" for i in range(20, 140)} <= {d.name for d in drills(METRIC_SERIES)}


@pytest.mark.parametrize("which", [("number",), ("letter",), ("fraction",), METRIC_SERIES])
def test_sizes_within_a_series_rise(which):
    assert all(a.diameter_mm < b.diameter_mm for a, b in pairwise(drills(which)))


def test_of_equal_sizes_the_fraction_comes_first():
    """Letter E and 1/4 in are both 0.250 in."""
    assert [d.name for d in drills(INCH_SERIES) if d.diameter_mm == 6.35] == ["1/4", "E"]
    assert nearest(6.35, INCH_SERIES).name == "1/4"


@given(sizes, series)
def test_the_nearest_drill_is_one_of_its_two_neighbours(size, which):
    found = nearest(size, which)
    for other in drills(which):
        assert abs(found.diameter_mm - size) <= abs(other.diameter_mm - size) + 1e-12


@given(st.floats(min_value=0.4, max_value=20), series)
def test_at_least_and_at_most_close_in_on_a_size(size, which):
    inside = [d.diameter_mm for d in drills(which)]
    if size <= max(inside):
        assert at_least(size, which).diameter_mm == min(d for d in inside if d >= size - 1e-6)
    if size >= min(inside):
        assert at_most(size, which).diameter_mm == max(d for d in inside if d <= size + 1e-6)


def test_a_size_beyond_the_table_is_refused():
    with pytest.raises(DrillError, match=r"no drill for 30 mm"):
        at_least(30)
    with pytest.raises(DrillError, match=r"no drill for 0\.1 mm"):
        at_most(0.1)
    with pytest.raises(DrillError):
        nearest(5, ())


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("13/64", "13/64"),
        ("13/64 in", "13/64"),
        ('13/64"', "13/64"),
        ("#7", "#7"),
        ("No. 7", "#7"),
        ("f", "F"),
        ("letter F", "F"),
        ("5.2 mm", "5.2 mm"),
        ("5.20MM", "5.2 mm"),
        ("10 mm", "10 mm"),
        ("10.0 mm", "10 mm"),
        ("1 in", "1"),
    ],
)
def test_a_drill_is_known_however_it_is_spaced(text, name):
    assert drill(text).name == name


@pytest.mark.parametrize("text", ["13/65", "#81", "5.23 mm", "", "AA", "7 1/2"])
def test_an_unknown_drill_is_refused(text):
    with pytest.raises(DrillError, match="no drill"):
        drill(text)


def test_labels_cannot_be_mistaken():
    assert [drill(n).label for n in ("13/64", "#7", "F", "5.2 mm")] == ["13/64 in", "#7", "letter F", "5.2 mm"]
