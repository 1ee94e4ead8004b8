"""Sheets: thickness from readings, tolerance, stock, and what is said about them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.findings import NotCovered, worst
from parts.stock.material import MaterialError, material_names
from parts.stock.sheet import Sheet, SheetError, inch_name, sheet_findings, sheet_words, stocked, thickness_tolerance_mm
from parts.tables import load


def cast(nominal_mm, *readings_mm):
    return Sheet(material="cast-pmma", nominal_mm=nominal_mm, readings_mm=readings_mm)


def levels(sheet, **more):
    return [finding.level for finding in sheet_findings(sheet, **more)]


def test_sizes_follow_the_mean_of_the_readings_else_the_nominal():
    assert cast(6).thickness_mm == 6
    assert not cast(6).is_measured
    measured = cast(6, 5.82, 5.80, 5.84)
    assert measured.is_measured
    assert measured.thickness_mm == pytest.approx(5.82, abs=1e-12)
    assert measured.thickness_range_mm == (5.80, 5.84)
    assert measured.tolerance_mm == pytest.approx(0.02, abs=1e-12)
    assert measured.density_kg_m3 == 1190


@given(
    st.floats(min_value=1, max_value=30), st.lists(st.floats(min_value=0.51, max_value=1.49), min_size=1, max_size=9)
)
def test_mean_and_tolerance_of_readings_span_their_range(nominal, shares):
    sheet = cast(nominal, *(share * nominal for share in shares))
    least, greatest = sheet.thickness_range_mm
    assert least - 1e-9 <= sheet.thickness_mm <= greatest + 1e-9
    assert sheet.thickness_mm - sheet.tolerance_mm <= least + 1e-9
    assert sheet.thickness_mm + sheet.tolerance_mm >= greatest - 1e-9


@given(st.floats(min_value=1, max_value=30), st.sampled_from(material_names()))
def test_the_tolerance_rule_is_symmetric_about_the_nominal(nominal, name):
    sheet = Sheet(material=name, nominal_mm=nominal)
    if inch_name(sheet):
        return  # may be two sheets: below
    least, greatest = sheet.thickness_range_mm
    assert 0 < least < nominal < greatest
    assert greatest - nominal == pytest.approx(nominal - least, abs=2e-6)  # both are rounded to a nanometre
    assert sheet.tolerance_mm == thickness_tolerance_mm(name, nominal)


@pytest.mark.parametrize("nominal", [0.99, 30.01, 100])
def test_outside_the_rule_nothing_is_extrapolated(nominal):
    with pytest.raises(NotCovered, match="the rule reaches from 1 to 30 mm"):
        _ = cast(nominal).thickness_range_mm
    assert levels(cast(nominal)) == ["care"]
    assert cast(nominal, nominal).thickness_range_mm == (nominal, nominal)


@pytest.mark.parametrize("bad", [0, -6, math.nan, math.inf])
def test_a_thickness_that_cannot_be_is_refused(bad):
    with pytest.raises(SheetError, match="cannot be"):
        cast(bad)


@pytest.mark.parametrize("reading", [0.236, 2.99, 9.01, 60, 0, -6, math.nan, math.inf])
def test_a_reading_in_another_unit_is_refused(reading):
    with pytest.raises(SheetError, match="check its unit"):
        cast(6, 5.9, reading)


def test_an_unknown_material_is_refused():
    with pytest.raises(MaterialError, match="did you mean cast-pmma"):
        Sheet(material="cast-pma", nominal_mm=6)


@pytest.mark.parametrize("row", load("sheet_stock"), ids=lambda row: f"{row['material']} {row['asked']}")
def test_every_stocked_sheet_is_listed_and_has_a_tolerance(row):
    usual = float(row["usual_mm"])
    assert usual in stocked(row["material"], row["unit"])
    sheet = Sheet(material=row["material"], nominal_mm=float(row["asked_mm"]))
    if row["unit"] == "mm":
        assert row["asked_mm"] == row["usual_mm"]
        assert levels(sheet) == ["note"]
    else:
        assert inch_name(sheet) == (row["asked"], usual)
        assert usual < float(row["asked_mm"]) <= usual * 1.08  # the metric sheet is always the thinner
        assert levels(sheet) == ["care"]


@pytest.mark.parametrize("name", material_names())
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_stock_rises(name, unit):
    found = stocked(name, unit)
    assert list(found) == sorted(set(found))
    assert len(found) >= 6


@pytest.mark.parametrize(
    "row", [r for r in load("sheet_stock") if r["unit"] == "in"], ids=lambda r: f"{r['material']} {r['asked']}"
)
def test_unmeasured_inch_sheet_ranges_over_what_is_sold_under_its_name_and_what_the_name_says(row):
    usual, asked = float(row["usual_mm"]), float(row["asked_mm"])
    by = [thickness_tolerance_mm(row["material"], t) for t in (usual, asked)]
    sheet = Sheet(material=row["material"], nominal_mm=asked)
    assert sheet.thickness_range_mm == pytest.approx((usual - by[0], asked + by[1]), abs=1e-9)
    assert sheet.tolerance_mm == pytest.approx(asked - usual + by[0], abs=1e-9)
    assert sheet.thickness_mm == asked
    measured = Sheet(material=row["material"], nominal_mm=asked, readings_mm=(usual, usual, usual))
    assert (measured.thickness_range_mm, measured.tolerance_mm) == ((usual, usual), pytest.approx(0.0, abs=1e-12))
    (finding,) = sheet_findings(sheet)
    assert f"may be {usual - by[0]:.2f} to {usual + by[0]:.2f} mm thick" in finding.why
    assert f"at worst {asked - usual + by[0]:.2f} mm" in finding.why


@pytest.mark.published
def test_quarter_inch_sheet_may_be_as_thin_as_six_millimetre_sheet():
    """ISO 7823-1: cast sheet of 6 mm is 6 +- 1.0 mm; ISO 7823-2: extruded sheet of 6 mm is 6 +- 0.3 mm."""
    assert cast(6.35).thickness_range_mm[0] == pytest.approx(5.0)
    assert Sheet(material="extruded-pmma", nominal_mm=6.35).thickness_range_mm[0] == pytest.approx(5.7)


def test_quarter_inch_sheet_unmeasured_is_a_care_and_says_six_millimetres():
    (finding,) = sheet_findings(cast(6.35), asked_text="1/4 in")
    assert finding.level == "care"
    assert "1/4 in" in finding.where
    assert "usually 6 mm" in finding.why
    assert "0.35 mm off" in finding.why
    assert "measure" in finding.do
    assert "from memory" in finding.source


def test_six_millimetre_sheet_unmeasured_is_a_note_with_its_tolerance():
    (finding,) = sheet_findings(cast(6))
    assert finding.level == "note"
    assert "5.00 to 7.00 mm" in finding.why
    assert "ISO 7823-1" in finding.source


def test_three_close_readings_leave_nothing_to_say():
    assert sheet_findings(cast(6, 5.82, 5.80, 5.84)) == []
    assert sheet_findings(cast(6.35, 5.82, 5.80, 5.84)) == []  # what is sold as 1/4 in and is 6 mm
    assert sheet_findings(Sheet(material="extruded-pmma", nominal_mm=6.35, readings_mm=(6.35, 6.3, 6.34))) == []


def test_few_readings_are_a_note_wide_and_outlying_ones_a_care():
    assert levels(cast(6, 5.9, 5.9)) == ["note"]
    assert levels(cast(6, 5.8, 6.0, 6.01)) == ["care"]
    assert levels(cast(6, 5.8, 5.9, 6.0)) == []  # 0.2 mm apart is the limit, not over it
    outside = Sheet(material="extruded-pmma", nominal_mm=6, readings_mm=(5.6, 5.65, 5.7))
    (finding,) = sheet_findings(outside)
    assert finding.level == "care"
    assert "outside 6 ± 0.30 mm" in finding.why
    edge = Sheet(material="extruded-pmma", nominal_mm=6, readings_mm=(5.7, 5.7, 5.7))
    assert worst(sheet_findings(edge)) is None
    assert levels(cast(40, 39, 39, 39)) == []  # no rule reaches 40 mm; the readings say what it is


@pytest.mark.parametrize(
    ("material", "nominal_mm", "unit", "said"),
    [
        ("cast-pmma", 0.354 * 25.4, "in", "0.354 in"),
        ("cast-pmma", 9.525, "in", "3/8 in"),
        ("cast-pmma", 9.0, "in", "9 mm (sold as 3/8 in)"),  # the table's pairing of inch names and metric sheet
        ("extruded-pmma", 18.0, "in", "18 mm"),  # no such row: extruded sheet ends at 1/2 in
        ("cast-pmma", 6.0, "mm", "6 mm"),
        ("cast-pmma", 6.35, "mm", "6.35 mm"),
    ],
)
def test_a_sheet_is_asked_for_in_the_units_of_the_order(material, nominal_mm, unit, said):
    assert sheet_words(material, nominal_mm, unit) == said
