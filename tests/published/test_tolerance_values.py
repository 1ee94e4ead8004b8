"""Sheet thickness tolerances against a printed table after ISO 7823-1."""

from __future__ import annotations

from pathlib import Path

import pytest

from parts.stock.sheet import Sheet
from parts.tables import read_table

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    "row", read_table(Path(__file__).parent / "data" / "cast_tolerance.csv"), ids=lambda row: row["nominal_mm"]
)
def test_cast_sheet_tolerances_are_the_printed_ones(row):
    sheet = Sheet(material="cast-pmma", nominal_mm=float(row["nominal_mm"]))
    assert sheet.tolerance_mm == pytest.approx(float(row["tolerance_mm"]), abs=1e-9)
    assert sheet.thickness_range_mm == pytest.approx((float(row["least_mm"]), float(row["most_mm"])), abs=1e-9)


@pytest.mark.parametrize(("nominal", "tolerance"), [(2.0, 0.2), (2.99, 0.299), (3.0, 0.15), (6.0, 0.3), (12.0, 0.6)])
def test_extruded_sheet_tolerances_follow_the_rule(nominal, tolerance):
    """ISO 7823-2 as a sheet maker's page on tolerances gives it: 10 % under 3 mm, 5 % from 3 mm."""
    assert Sheet(material="extruded-pmma", nominal_mm=nominal).tolerance_mm == pytest.approx(tolerance, abs=1e-9)
