"""Tables held to data that quote their standards, and to the formulas and series of those."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from parts.tables import Row, load, read_table

pytestmark = pytest.mark.published
DATA = Path(__file__).parent / "data"
#: ISO 3 preferred numbers, series R 40, one decade.
R40 = (112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300, 315)


def of(table: str, key: str) -> Row:
    return next(row for row in load(table) if next(iter(row.values())) == key)


@pytest.mark.parametrize("row", read_table(DATA / "lifting_frequency.csv"), ids=lambda row: row["id"])
def test_multipliers_of_lifting_are_the_quoted_ones(row: Row) -> None:
    ours = of("lifting_frequency", row["id"])
    assert float(ours["low_hands"]) == float(ours["high_hands"]) == float(row["multiplier"])


@pytest.mark.parametrize("row", read_table(DATA / "washers.csv"), ids=lambda row: row["size"])
def test_washers_are_the_quoted_ones(row: Row) -> None:
    assert float(of("washers", row["size"])["thickness_mm"]) == float(row["thickness_mm"])


def test_metric_drills_are_the_series() -> None:
    """BS 328: steps of 0.05 mm to 2.95, of 0.1 to 13.9, of 0.25 from 14 mm."""
    series = {50 * n for n in range(20, 60)} | {100 * n for n in range(30, 140)} | {250 * n for n in range(56, 104)}
    rows = [row for row in load("drills") if row["series"] == "metric"]
    computed = {round(1000 * float(row["diameter_mm"])) for row in rows if row["how_known"] == "computed"}
    other = {round(1000 * float(row["diameter_mm"])) for row in rows if row["how_known"] != "computed"}
    assert computed <= series
    assert other == {3050, 3150, 3250, 4250, 5250}
    assert len(computed) == 164
    assert all(row["name"] == f"{float(row['diameter_mm']):g} mm" or float(row["name"].split()[0]) for row in rows)


def near(value: float) -> int:
    return min(R40, key=lambda number: abs(number - value))


@pytest.mark.parametrize("size", ["M6", "M8", "M12"])
def test_metric_tolerances_are_those_of_the_formulas_of_iso_965(size: str) -> None:
    """ISO 965-1: Td2(6) = 90 P^0.4 d^0.1, TD2(6) = 1.32 Td2(6), Td(6) = 180 P^(2/3) - 3.15 / sqrt(P), es(g) = -(15 + 11 P), in
    um; d is the geometric mean of its range; rounded to R 40."""
    row = of("threads_metric", size)
    pitch, major = float(row["pitch_mm"]), float(row["major_mm"])
    low, high = next(pair for pair in ((2.8, 5.6), (5.6, 11.2), (11.2, 22.4)) if pair[0] < major <= pair[1])
    pitch_tolerance = near(1.32 * 90 * pitch**0.4 * math.sqrt(low * high) ** 0.1)
    assert round(1000 * (float(row["pitch_max_6H_mm"]) - float(row["pitch_diameter_mm"]))) == pitch_tolerance
    major_tolerance, deviation = near(180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)), round(15 + 11 * pitch)
    below = round(1000 * (major - float(row["major_min_6g_mm"])))
    assert abs(below - deviation - major_tolerance) <= 2, "the deviation is rounded on its own: 26, 28, 34 um"


def test_standard_tap_drills_are_diameter_less_pitch() -> None:
    for row in load("threads_metric"):
        left = float(row["major_mm"]) - float(row["pitch_mm"])
        assert abs(float(row["standard_tap_drill_mm"]) - left) <= 0.0500001, row["size"]
