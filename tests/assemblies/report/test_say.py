"""The report in words: 80 columns whatever stands in it, figures with their units, and no figure where there is none."""

from __future__ import annotations

import copy
import re
from functools import cache
from typing import Any

import pytest
from asked import ask, printed
from starters import two_plates

from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.report.terminal.console import table

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


def widest(text: str) -> int:
    return max(map(len, text.splitlines()))


def lines(text: str, word: str) -> list[str]:
    return [line for line in text.splitlines() if word in line]


def test_a_bow_beyond_the_method_is_a_word_and_the_row_still_fails():
    given = report(THIN.format(units="mm"))
    text = printed(given, "hold", every=True)
    marked = [r for r in given["strength"]["cases"] if r["beyond_method"]]
    assert {r["piece"] for r in marked} == {"left", "right", "front", "back"}
    shown = [line for line in text.splitlines() if re.search(r"  beyond  +FAILS$", line)]
    assert len(shown) == len([r for r in marked if r["governs"] == "deflection"])
    assert not any(f"bows {r['deflection']:.2f}" in text for r in marked)
    assert text.count("bows beyond") == len(marked)
    assert widest(text) <= 80
    assert "beyond" not in printed(report(two_plates()), "hold", every=True)


@pytest.mark.parametrize("every", [True, False])
def test_any_figures_and_names_keep_to_80_columns(every):
    given = report(two_plates())
    for row in given["strength"]["cases"]:
        row |= {"case": "a case of a very long name", "stress": 12345.678, "deflection": 54321.987, "use": 1234.5}
    text = printed(given, "hold", every=every)
    assert widest(text) <= 80
    assert "12345.68" in text
    assert "123450 %  FAILS" in text


def test_a_table_of_any_words_keeps_to_80_columns_and_loses_none():
    rows = [("a" * 30, "words that run on and on " * 6, "12.5 mm"), ("b", "few", "3 mm")]
    text = table(("name", "what", "size"), rows, "llr")
    assert widest(text) <= 80
    assert text.split().count("on") == 12
    assert [line[-7:] for line in lines(text, "mm")] == ["12.5 mm", "   3 mm"]


def test_every_case_is_named_and_of_each_the_most_used_stand_first():
    given = report(two_plates())
    text = printed(given, "hold")
    assert lines(text, "what is used most") == [
        f"{case}: what is used most" for case in ("still", "brim full, 24 h", "run the trough")
    ]
    whole = printed(given, "hold", every=True)
    for name in ("front", "seam back-bottom", "M6 in plate-1", "bond of plate-1, plate-2"):
        assert len(lines(whole, f"{name}  ")) == 3, name
    assert len(text.splitlines()) < len(whole.splitlines())


def test_a_use_just_over_the_limit_is_not_rounded_down_to_it():
    given = report(two_plates())
    given["strength"]["cases"][0] |= {"use": 1.003, "governs": "stress"}
    assert re.search(r" 101 %  FAILS$", printed(given, "hold", every=True), re.MULTILINE)


def test_lengths_are_in_the_orders_unit():
    text = printed(report(THIN.format(units="in")), "hold", "in")
    assert lines(text, "Fill: ")[0].endswith("15 23/64 in deep")  # 390 mm to the nearest 1/64 in
    assert "Freeboard: 25/64 in" in text
    metric = printed(report(THIN.format(units="mm")), "hold")
    assert "390 mm deep" in metric
    assert "Freeboard: 10 mm" in metric


def test_what_is_taken_is_said_where_the_liquid_is_named():
    given = report(without(two_plates(), "liquid"))
    text = printed(given, "hold")
    assert "assumed, the order has no [liquid]" in " ".join(text.split())
    assert "Fill: 9 L, 150 mm deep; assumed, full to the brim" in text
    assert "Starts to pour, in the worst direction, at a tilt of: 0°" in text
    assert "spills nothing, by strength: 0 m/s²" in text
    assert "part-filled" not in text
    assert "has no [liquid]" not in printed(report(two_plates()), "hold")


def test_what_it_is_good_for_is_told_as_far_as_it_was_looked_at():
    good = printed(report(two_plates()), "hold")
    assert "spills nothing, by strength: 0.82 m/s²\n" in good
    assert "Largest slow tilt, by strength: 90°" in good
    dry = printed(report(two_plates().replace('fill = "120 mm"', 'fill = "0 mm"')), "hold")
    assert "sudden start" not in dry
    assert "Largest permanent fill: 9 L" in dry
    given = report(two_plates())
    good = given["strength"]["good_for"]
    good |= {"fill_l": 0.0, "acceleration_m_s2": 4.0, "dry_acceleration_m_s2": 5.0, "wave_acceleration_m_s2": 4.0}
    some = " ".join(printed(given, "hold").split())
    assert "by strength: 4 m/s²; its first waves are then a fifth of the depth" in some
    good |= {"acceleration_m_s2": 9.81, "wave_acceleration_m_s2": None}
    assert "by strength: 9.81 m/s² at least" in printed(given, "hold")


def test_checks_that_were_not_made_say_how_to_make_them():
    given = report(two_plates())
    assert "`seamwright make` runs every check." in printed(given, "hold")
    given["checks"]["fit"] = "passed"
    assert "makes every check" not in printed(given, "hold")
