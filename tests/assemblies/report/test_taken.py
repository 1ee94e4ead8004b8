"""What is taken because the order does not say it: one list, what may change most first; saying it takes it off."""

from __future__ import annotations

from typing import Any

import pytest
from advised import parsed, read
from starters import two_plates

from assemblies.examine import examine
from assemblies.kinds import kind
from assemblies.report.sections import TAKEN, sections
from assemblies.report.terminal.answers import hold_text, summary

SILENT = """
title = "Silent"
name = "silent"
kind = "tank"
sheet.thickness = 8
[tank]
size = [300, 200, 150]
[[plate]]
on = "bottom"
at = [0, 0]
size = [64, 64]
thickness = 15
thread = "M6"
pattern = "grid 40 2x2"
[support]
kind = "plates"
[[case]]
name = "go"
kind = "slide"
acceleration = "0.1 m/s2"
"""
#: For each thing taken, where and how it is said.
SAID: dict[str, tuple[tuple[str, ...], Any]] = {
    "fill": (("liquid", "fill"), "100 mm"),
    "time it stands full": (("liquid", "stays"), "permanent"),
    "temperature of the liquid": (("liquid", "temperature"), 20),
    "what holds it if a bond lets go": (("support", "retention"), "none"),
    "how long it lasts: go": (("case", "duration"), "minutes"),
    "thickness of what the plates are bolted to": (("shop", "clamped"), 5),
    "share of a plate that counts as bonded until it is inspected": (("limits", "bonded-area"), 0.5),
    "share of the sheet's strength in a bonded joint": (("limits", "joint"), 0.4),
    "how much a panel may bow, of its span": (("limits", "deflection"), "1/200"),
    "a cut size, plus or minus": (("cutting", "tolerance"), 0.25),
    "two equal sizes of one fence setting, plus or minus": (("cutting", "repeat"), 0.05),
    "a cut edge out of square": (("cutting", "squareness"), 0.05),
    "readings of the 8 mm sheet (cast-pmma)": (("sheet", "measured"), [8]),
    "readings of the 15 mm sheet (cast-pmma)": (("plate", "measured"), [15]),
    "material of the sheet": (("sheet", "material"), "cast-pmma"),
    "solvent": (("shop", "solvent"), "dichloromethane"),
    "volume of the room": (("shop", "room"), 50),
    "changes of its air": (("shop", "air-changes"), 2),
    "which panels run long": (("tank", "runs-long"), ["front-back", "bottom", "ends"]),
    "whether the size is the inside or the outside": (("tank", "measure"), "inside"),
    "percent of thread in the plates": (("plate", "percent"), 65),
    "kerf": (("cutting", "kerf"), 3),
}


def asked(order: dict[str, Any]) -> Any:
    return examine(read(order), kind("tank").asked(solids=False))


@pytest.fixture(scope="module")
def silent() -> Any:
    return asked(parsed(SILENT))


def test_what_may_change_most_comes_first(silent: Any) -> None:
    weights = [one["weight"] for one in silent.report["taken"]]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] > weights[-1] > 1.0
    assert all(one["what"] and one["why"] and one["say"] for one in silent.report["taken"])


def test_the_clamped_thickness_behind_each_bolt_is_in_the_list(silent: Any) -> None:
    (one,) = [t for t in silent.report["taken"] if t["say"] == "[shop] clamped"]
    assert (one["value"], one["unit"]) == (5.0, "mm")
    assert "bolt M6 x " in one["why"]


@pytest.mark.parametrize("what", SAID)
def test_what_is_said_is_taken_no_longer(silent: Any, what: str) -> None:
    assert what in {one["what"] for one in silent.report["taken"]} | {"temperature of the liquid"}
    (table, key), value = SAID[what]
    order = parsed(SILENT)
    if table in ("plate", "case"):
        order[table][0][key] = value
    else:
        order.setdefault(table, {})[key] = value
    if table == "liquid":
        order["liquid"] = {"fill": "100 mm"} | order["liquid"]
    left = {one["what"] for one in asked(order).report["taken"]}
    assert what not in left


def test_terminal_page_and_print_show_the_same_list(silent: Any) -> None:
    report, names = silent.report, [one["what"] for one in silent.report["taken"]]
    (section,) = [s for s in sections(report, "mm", silent.checks) if s.id == "taken"]
    assert section.title == TAKEN
    (table,) = section.blocks
    assert [row[0] for row in table.rows] == names
    flat = " ".join(summary(report, "mm", ()).split())
    folded = " ".join(hold_text(report, "mm", ()).split())
    for text in (flat, folded):
        part = text[text.index(TAKEN) :]
        places = [part.index(f"{row[0]}: {row[1]}") for row in table.rows]
        assert places == sorted(places)
    every = " ".join(hold_text(report, "mm", (), every=True).split())
    assert all(f"Set it with {one['say']}." in every for one in report["taken"])


def test_a_length_is_in_the_units_of_the_order(silent: Any) -> None:
    (section,) = [s for s in sections(silent.report, "in", silent.checks) if s.id == "taken"]
    (row,) = [r for r in section.blocks[0].rows if r[3] == "[shop] clamped"]
    assert row[1] == "0.197 in"  # 5 mm


def test_the_starter_takes_little() -> None:
    taken = {one["what"] for one in asked(parsed(two_plates())).report["taken"]}
    assert "temperature of the liquid" not in taken
    assert "thickness of what the plates are bolted to" in taken
