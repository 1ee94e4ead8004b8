"""The report in words: 80 columns whatever stands in it, figures with their units, and no figure where there is none."""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

import pytest
from asked import ask
from starters import two_plates

from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.report.terminal import hold_text, liquid_text, strength_text

THIN = """title = "Thin"
name = "thin"
kind = "tank"
units = "{units}"
[sheet]
thickness = "3 mm"
[tank]
size = ["900 mm", "400 mm", "400 mm"]
[liquid]
fill = "390 mm"
"""


@cache
def _report(text: str) -> dict[str, Any]:
    return ask(read_order_text(text, schemas()), "hold").report


def report(text: str) -> dict[str, Any]:
    return copy.deepcopy(_report(text))


def without(text: str, table: str) -> str:
    """The order less one table."""
    kept, skip = [], False
    for line in text.splitlines():
        if line.startswith("["):
            skip = line.split("#")[0].strip() == f"[{table}]"
        if not skip:
            kept.append(line)
    return "\n".join(kept)


def rows(text: str) -> list[list[str]]:
    """The table's lines, cut at its columns."""
    return [line.split() for line in text.splitlines() if line.endswith(("holds", "FAILS", "no pass"))]


def widest(text: str) -> int:
    return max(map(len, text.splitlines()))


def test_a_bow_beyond_the_method_is_a_word_and_the_row_still_fails():
    given = report(THIN.format(units="mm"))
    text = strength_text(given, every=True)
    marked = [r for r in given["strength"]["cases"] if r["beyond_method"]]
    assert {r["piece"] for r in marked} == {"left", "right", "front", "back"}
    shown = [row for row in rows(text) if "beyond" in row]
    assert len(shown) == len(marked)
    assert all(row[-1] == "FAILS" and "%" not in row for row in shown)
    assert not any(f"{r['deflection']:.2f}" in text for r in marked)
    assert "beyond: it bows more than 3 thicknesses" in text
    assert widest(text) <= 80
    assert "beyond" not in strength_text(report(two_plates()), every=True)


def test_beyond_the_method_within_every_limit_is_no_pass():
    given = report(two_plates())
    row = next(r for r in given["strength"]["cases"] if r["case"] == "still")
    row |= {"beyond_method": True, "use": 0.7, "governs": "deflection"}
    line = next(line for line in strength_text(given, every=True).splitlines() if "beyond" in line)
    assert line.endswith("no pass")
    row["governs"] = "stress"
    line = next(line for line in strength_text(given, every=True).splitlines() if "beyond" in line)
    assert line.endswith("70 %  no pass")


@pytest.mark.parametrize("every", [True, False])
def test_any_figures_and_names_keep_to_80_columns(every):
    given = report(two_plates())
    for row in given["strength"]["cases"]:
        row |= {"case": "a case of a very long name", "stress": 12345.678, "deflection": 54321.987, "use": 1234.5}
    text = strength_text(given, every=every)
    assert widest(text) <= 80
    assert "12345.68" in text
    assert "123450 %" in text


def test_the_day_at_the_brim_is_named_in_full_and_its_own_case_too():
    text = strength_text(report(two_plates()))
    assert "brim full, 24 h  " in text
    assert "run the trough  " in text
    assert "~" not in text


def test_a_use_just_over_the_limit_is_not_rounded_down_to_it():
    given = report(two_plates())
    given["strength"]["cases"][0] |= {"use": 1.003, "governs": "stress"}
    assert "101 %  FAILS" in strength_text(given, every=True)


def test_a_limit_of_hundredths_has_figures_to_compare():
    given = report(two_plates())
    for row in given["strength"]["cases"]:
        row |= {"deflection": 0.00031, "allowed_deflection": 0.0005}
    assert "0.0003   0.0005" in strength_text(given)


def test_lengths_are_in_the_orders_unit_and_the_table_says_its_own():
    inch = read_order_text(THIN.format(units="in"), schemas())
    text = hold_text(report(THIN.format(units="in")), inch.units)
    assert "15 23/64 in deep, 25/64 in freeboard" in text  # 390 mm and 10 mm to the nearest 1/64 in
    assert "bow in mm" in text
    assert "390 mm deep, 10 mm freeboard" in hold_text(report(THIN.format(units="mm")), "mm")


def test_what_is_taken_is_said_where_the_liquid_is_named():
    given = report(without(two_plates(), "liquid"))
    text = liquid_text(given, "mm")
    assert text.startswith(
        "water (taken: the order has no [liquid]): 9.00 L of 9.00 L, 150 mm deep, full to\nthe brim."
    )
    assert "It pours from the first tilt." in text
    assert "no sudden start and any slow tilt up to 90 degrees; it spills from the first push" in " ".join(text.split())
    assert "part-filled" not in hold_text(given, "mm")
    assert "taken" not in liquid_text(report(two_plates()), "mm")


def test_what_it_is_good_for_is_told_as_far_as_it_was_looked_at():
    good = liquid_text(report(two_plates()), "mm")
    assert (
        "any sudden start that spills nothing and\nany slow tilt up to 90 degrees; in the worst direction it spills"
        in good
    )
    failing = liquid_text(report(THIN.format(units="mm")), "mm")
    assert "as it is filled, no sudden start and no" in failing
    dry = liquid_text(report(two_plates().replace('fill = "120 mm"', 'fill = "0 mm"')), "mm")
    assert "sudden" not in dry
    assert dry.endswith("By strength it holds 9.0 L for good.")
    given = report(two_plates())
    given["strength"]["good_for"] |= {
        "fill_l": 0.0,
        "acceleration_m_s2": 3.27,
        "tilt_deg": 41.2,
        "dry_acceleration_m_s2": 5.0,
        "wave_acceleration_m_s2": 4.0,
    }
    given["liquid"]["pours_at"] = 0.6
    some = liquid_text(given, "mm").replace("\n", " ")
    assert "it holds no fill for good, a sudden start of 3.3 m/s2 and a slow tilt of 41 degrees" in some
    assert "starts to pour at a tilt of 0.6 degrees" in some


def test_checks_that_were_not_made_say_how_to_make_them():
    assert "`seamwright make` makes every check." in hold_text(report(two_plates()), "mm")
    given = report(two_plates())
    given["checks"]["fit"] = "passed"
    assert "makes every check" not in hold_text(given, "mm")
