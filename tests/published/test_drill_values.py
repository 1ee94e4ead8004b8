"""Drill sizes against a general-purpose library's table (name and version in the file)."""

from __future__ import annotations

from pathlib import Path

import pytest

from parts.stock.drill import drill, drills
from parts.tables import read_table

pytestmark = pytest.mark.published
LIBRARY = read_table(Path(__file__).parent / "data" / "library_drills.csv")
# The library rounds these to three places; ASME B94.11M has a half thousandth more or less.
ROUNDED = {"#5": 0.2055, "#10": 0.1935, "#18": 0.1695, "#25": 0.1495, "#28": 0.1405, "#69": 0.0292}


def test_the_library_has_every_number_and_letter_drill():
    ours = {d.name for d in drills(("number", "letter"))}
    assert ours == {row["name"] for row in LIBRARY}
    assert len(ours) == 106


@pytest.mark.parametrize("row", LIBRARY, ids=lambda row: row["name"])
def test_number_and_letter_drills_are_the_librarys_but_for_its_roundings(row):
    inches = drill(row["name"]).diameter_mm / 25.4
    if row["name"] in ROUNDED:
        assert inches == pytest.approx(ROUNDED[row["name"]], abs=1e-9)
        assert 0 < abs(inches - float(row["diameter_in"])) <= 0.000501
    else:
        assert inches == pytest.approx(float(row["diameter_in"]), abs=1e-9)
