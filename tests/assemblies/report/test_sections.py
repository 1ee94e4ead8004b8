"""Sections: made from the report alone; what is missing makes no heading; what is there is all said."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import pytest
from reports import report, said, sections_of

from assemblies.packet.models.scene import Scene, marks_of
from assemblies.packet.pages.view_data import view_data
from assemblies.report.blocks import STATIONS, Bars, Cautions, Figures, Para, Remarks, Rows, Steps
from assemblies.report.found import shown_findings
from assemblies.report.sections import verdict_words
from parts.findings import sentence
from parts.lengths import read_length
from parts.tables import documents_in

#: Parts of the report, and the sections that stand or fall with each.
STANDS_ON = {
    "strength": {"loads"}, "liquid": {"liquid"}, "buying": {"buying"}, "cost": {"cost"}, "cutting": {"cutting"},
    "drill": {"drill"}, "fit": {"fit"}, "assembly": {"assembly"}, "bonding": {"bonding"}, "proof_test": {"proof"},
    "card": {"card"}, "taken": {"taken"}, "after_handover": {"after"}, "counterparts": {"counterpart"},
    "check_in": {"check-in"}, "sight": {"sight"},
}  # fmt: skip


def without_cautions(made: dict[str, Any]) -> dict[str, Any]:
    return {**made, "cautions": []}


def test_the_starter_has_a_section_for_everything_in_the_order_of_the_stations() -> None:
    made = sections_of(report(), "mm")
    order = list(STATIONS)
    assert [order.index(s.station) for s in made] == sorted(order.index(s.station) for s in made)
    assert {s.id for s in made} == {"verdict", "pieces", "method", "sources"}.union(*STANDS_ON.values())
    assert len({s.id for s in made}) == len(made)


@pytest.mark.parametrize("missing", sorted(STANDS_ON))
def test_a_part_that_the_report_lacks_makes_no_heading_and_takes_no_other_with_it(missing: str) -> None:
    whole = without_cautions(report())
    less = {key: value for key, value in whole.items() if key != missing}
    gone = {s.id for s in sections_of(whole, "mm")} - {s.id for s in sections_of(less, "mm")}
    assert gone == STANDS_ON[missing]


def test_no_section_is_empty_even_when_the_report_is_as_bare_as_it_can_be() -> None:
    full = report()
    bare = {key: full[key] for key in ("name", "title", "kind", "revision", "quantity", "verdict")}
    bare |= {"checks": {}, "findings": [], "parts": [], "placed": [], "fasteners": []}
    made = sections_of(bare, "mm")
    assert [s.id for s in made] == ["verdict", "pieces"]
    assert all(s.blocks for s in made)


def test_the_verdict_comes_first_and_its_gravest_reasons_before_the_rest() -> None:
    full = report()
    full["verdict"] = "stop"
    stop = {"level": "stop", "check": "fit", "where": "here", "why": "a reason", "do": "a deed", "source": "a source"}
    full["findings"].insert(0, stop)
    first = sections_of(full, "mm")[0]
    assert isinstance(first.blocks[0], Para)
    assert first.blocks[0].text.startswith("Stop. Do not build it as ordered.")
    titles = [b.title for b in first.blocks if isinstance(b, Remarks)]
    assert titles == ["What stops it", "Take care", "Notes"]
    found = [r for b in first.blocks if isinstance(b, Remarks) for r in b.items]
    kept = [f for f in full["findings"] if not f.get("step")]
    assert sorted((r.text, r.do, r.source) for r in found) == sorted(
        (f"{sentence(f['why'])}. At {f['where']} ({f['check']})", f["do"], f["source"]) for f in kept
    )


def test_a_usual_caution_stands_at_its_step_and_not_with_the_verdict() -> None:
    full = report()
    usual = [f for f in full["findings"] if f["step"] not in ("", "method")]
    assert {f["step"] for f in usual} == {"cut", "use"}
    first, *rest = sections_of(full, "mm")
    for one in usual:
        assert sentence(one["why"]) not in said((first,))
        (where,) = [s.station for s in rest if s.station == one["step"] and sentence(one["why"]) in said((s,))]
        assert where == one["step"]


def test_a_note_on_method_stands_before_the_sources_and_not_with_the_verdict() -> None:
    full = report()
    notes = [f for f in full["findings"] if f["step"] == "method"]
    assert notes
    first, *rest = sections_of(full, "mm")
    (method,) = [s for s in rest if s.id == "method"]
    assert rest[-1].id == "sources"
    assert rest[-2] is method
    for one in notes:
        assert sentence(one["why"]) not in said((first,))
        assert sentence(one["why"]) in said((method,))


def test_findings_that_differ_in_their_place_alone_are_one_with_its_places() -> None:
    full = report()
    hole = {"level": "stop", "check": "holes", "why": "too near the edge", "do": "move it", "source": "judgement"}
    full["findings"] = [{**hole, "where": f"hole {k}"} for k in range(8)]
    (one,) = shown_findings(full)
    assert one.where == "hole 0, hole 1, hole 2, hole 3, hole 4, hole 5 and 2 more"
    assert str(one).startswith("STOP: Too near the edge. At hole 0, hole 1")


@pytest.mark.parametrize("verdict", ["go", "stop", "not-proven"])
def test_the_verdicts_words_name_each_check_and_its_state(verdict: str) -> None:
    word, sentence = verdict_words({"verdict": verdict, "checks": {"fit": "passed", "liquid": "not-run"}})
    assert word.lower().replace(" ", "-") == verdict
    assert sentence.endswith("fit: passed; liquid: not-run.")


def test_every_caution_stands_at_its_station_once_before_the_steps_or_at_its_step() -> None:
    full = report()
    made = sections_of(full, "mm")
    places = {"edges": "dry-fit", "wait": "bond"}
    assert len(full["cautions"]) > 20
    for caution in full["cautions"]:
        station = places.get(caution["station"], caution["station"])
        here = said(tuple(s for s in made if s.station == station))
        assert here.count(caution["text"]) == 1, caution["id"]
        assert caution["source"] in here
    for section in made:
        kinds = [type(b) for b in section.blocks]
        if Cautions in kinds and Steps in kinds:
            assert kinds.index(Cautions) < kinds.index(Steps)


def test_cautions_of_a_station_without_other_sections_get_one_of_their_own() -> None:
    full = report()
    less = {key: value for key, value in full.items() if key not in ("cutting", "nesting")}
    cut = [s for s in sections_of(less, "mm") if s.station == "cut"]
    assert [s.title for s in cut] == ["Cut: cautions"]
    assert [type(b) for b in cut[0].blocks] == [Cautions]


def test_every_source_of_the_report_is_listed() -> None:
    full = report()
    rows, letters = next(s for s in sections_of(full, "mm") if s.id == "sources").blocks
    assert isinstance(rows, Rows)
    assert isinstance(letters, Rows)
    assert {d for row in rows.rows for d in documents_in(str(row[0]))} == {row[0] for row in letters.rows}
    listed = {row[0] for row in rows.rows}
    assert {f["source"] for f in full["findings"]} <= listed
    assert {c["source"] for c in full["cautions"]} <= listed
    assert full["bonding"]["waits"]["water"]["source"] in listed


def test_every_figure_and_bar_has_its_why() -> None:
    for section in sections_of(report(), "mm"):
        for block in section.blocks:
            if isinstance(block, Figures | Bars):
                assert all(item.why for item in block.items), section.id


def test_a_bar_says_the_use_of_the_report_and_each_case_shows_its_most_used_first() -> None:
    full = report()
    strength = full["strength"]
    bars = [b for s in sections_of(full, "mm") if s.id == "loads" for b in s.blocks if isinstance(b, Bars)]
    cases = list(dict.fromkeys(row["case"] for row in strength["cases"]))
    assert [b.title.split(": what")[0] for b in bars] == cases
    for case, block in zip(cases, bars, strict=True):
        rows = [
            r
            for key in ("whole", "cases", "seams", "mounting", "threads")
            for r in strength[key]
            if r.get("case") == case
        ]
        uses = sorted((r["use"] for r in rows), reverse=True)
        assert [item.use for item in block.items] == uses[: len(block.items)]


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_sizes_are_shown_in_the_orders_unit_and_read_back_as_the_pieces(unit: Any) -> None:
    full = report()
    pieces = next(s for s in sections_of(full, unit) if s.id == "pieces")
    table = next(b for b in pieces.blocks if isinstance(b, Rows) and b.title == "Pieces to cut")
    for row, part in zip(table.rows, full["parts"], strict=True):
        # write_length: to 0.0005 mm in mm, to 0.05 mm in inches
        assert [read_length(text, unit) for text in row[2:5]] == pytest.approx(part["size"], abs=0.051)
    assert table.rows[0][2] == {"mm": "200 mm", "in": "7 7/8 in"}[unit]


def test_the_count_of_pieces_is_for_the_whole_order() -> None:
    full = report()
    full["quantity"] = 3
    table = next(
        b for s in sections_of(full, "mm") for b in s.blocks if isinstance(b, Rows) and b.title == "Pieces to cut"
    )
    assert [row[0] for row in table.rows] == [str(3 * p["count"]) for p in full["parts"]]


def test_bolts_are_counted_for_the_whole_order_too_as_what_is_bought() -> None:
    full = report()
    full["quantity"] = 3
    (table,) = (
        b for s in sections_of(full, "mm") for b in s.blocks if isinstance(b, Rows) and b.title == "Bolts and screws"
    )
    assert [row[0] for row in table.rows] == [str(3 * f["count"]) for f in full["fasteners"]] == ["12", "12"]


@pytest.mark.parametrize("process", ["saw", "laser"])
@pytest.mark.parametrize("offcuts", [True, False])
def test_the_labels_of_offcuts_are_spoken_of_where_there_are_any(process: str, offcuts: bool) -> None:
    made = report(process)
    sheets = made["cutting" if process == "saw" else "nesting"]["sheets"]
    assert any(sheet["offcuts"] for sheet in sheets)
    for sheet in sheets:
        sheet["offcuts"] = sheet["offcuts"] if offcuts else []
    notes = [
        b.note
        for s in sections_of(made, "mm")
        for b in s.blocks
        if isinstance(b, Rows) and b.title.startswith("Labels")
    ]
    assert notes == [f"To print and cut out: labels.pdf{', with those of the offcuts' if offcuts else ''}."]


@pytest.mark.parametrize("process", ["saw", "laser"])
def test_the_shares_of_the_sheet_add_up_to_the_whole(process: str) -> None:
    cut = next(s for s in sections_of(report(process), "mm") if s.id == "cutting")
    told = [b for b in cut.blocks if isinstance(b, Figures) and any(f.label == "Waste" for f in b.items)]
    assert told
    for figures in told:
        found = (re.fullmatch(r"(?:(\d+)|under 1) %", f.value) for f in figures.items)
        shares = [int(m[1] or 0) for m in found if m]
        assert len(shares) == 4
        assert sum(shares) == pytest.approx(100, abs=2)  # four shares, each rounded to a whole percent


def test_the_offcuts_of_a_nest_stand_in_its_table_as_those_of_a_saw_do() -> None:
    made = report("laser")
    tables = [
        b for s in sections_of(made, "mm") for b in s.blocks if isinstance(b, Rows) and b.title.startswith("Nest ")
    ]
    for table, sheet in zip(tables, made["nesting"]["sheets"], strict=True):
        rows = [row for row in table.rows if row[-1] == "offcut"]
        assert [row[0] for row in rows] == [o["label"] for o in sheet["offcuts"]]
        for row, offcut in zip(rows, sheet["offcuts"], strict=True):
            wanted = [offcut["x"], offcut["y"], *offcut["size"]]
            assert [read_length(text, "mm") for text in row[1:5]] == pytest.approx(wanted, abs=0.0006)


def test_steps_of_the_saw_are_the_plans_and_numbered_as_there() -> None:
    full = report()
    cut = next(s for s in sections_of(full, "mm") if s.id == "cutting")
    (steps,) = (b for b in cut.blocks if isinstance(b, Steps))
    assert [f"{item.number}. {item.text}" for item in steps.items] == full["cutting"]["words"]
    assert f"{len(full['cutting']['steps'])} cuts at {full['cutting']['settings']} settings" in steps.title


def test_a_laser_job_shows_its_nests() -> None:
    full = report("laser")
    assert "cutting" not in full
    cut = next(s for s in sections_of(full, "mm") if s.id == "cutting")
    titles = [b.title for b in cut.blocks if isinstance(b, Rows)]
    assert sum(t.startswith("Nest ") for t in titles) == len(full["nesting"]["sheets"]) > 0
    assert full["nesting"]["processes"][0]["caution"] in said((cut,))


def test_a_table_has_as_many_cells_in_each_row_as_in_its_head_and_a_key_for_each_row() -> None:
    for process in ("saw", "laser"):
        for section in sections_of(report(process), "mm"):
            for block in section.blocks:
                if isinstance(block, Rows):
                    assert {len(row) for row in block.rows} == {len(block.header)}
                    assert len(block.keys) in (0, len(block.rows))
                    assert len(block.right) in (0, len(block.header))


def test_a_stage_of_the_test_can_be_signed_and_no_other_step_can() -> None:
    for section in sections_of(report(), "mm"):
        for block in section.blocks:
            if isinstance(block, Steps):
                assert {item.sign for item in block.items} == {section.id == "proof"}


def test_the_view_marks_overlaps_with_their_volume_and_both_pieces() -> None:
    full = report()
    full["fit"]["interferences"] = [{"a": "left", "b": "front", "volume_mm3": 12.34}]
    data = view_data(full, Scene(placed=(), marks=tuple(marks_of(full, "mm"))), "mm")
    assert data is not None
    (mark,) = data["marks"]
    assert (mark["level"], mark["short"], mark["red"]) == ("stop", "12.3 mm³", ["left", "front"])
    seam = next(s for s in full["fit"]["seams"] if {s["a"], s["b"]} == {"left", "front"})
    x, y, z = seam["centre"]
    assert mark["at"] == pytest.approx([x / 1000, z / 1000, -y / 1000])


def test_there_is_no_view_when_the_report_does_not_say_how_it_comes_apart() -> None:
    full = report()
    del full["assembly"]
    assert view_data(full, Scene(placed=()), "mm") is None


#: Columns whose bare numbers are counts or numbers of things, not measures.
COUNTS = {"", "count", "holes", "hole", "item", "step", "amount"}
UNIT = r"(mm|in|mL|L|kg|kg/m³|m/s²|ppm|min|h|°|°C|%|times|MPa|N)"


@pytest.mark.parametrize("process", ["saw", "laser"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_every_measure_shown_has_a_unit(unit: Any, process: str) -> None:
    figures = 0
    for section in sections_of(report(process), unit):
        for block in section.blocks:
            if isinstance(block, Figures):
                for item in block.items:
                    figures += 1
                    assert not re.search(r"\d", item.value) or re.search(rf"\d ?{UNIT}(?!\w)", item.value), item
            if isinstance(block, Rows):
                for k, head in enumerate(block.header):
                    bare = [row[k] for row in block.rows if re.fullmatch(r"[-\d.,]+", row[k])]
                    named = head in COUNTS or re.search(rf"(^|, |\()({UNIT}|rpm|EUR)\b", head)
                    assert not bare or named, (block.title, head, bare)
    assert figures > 25


def test_no_figure_is_typed_in_the_sections_or_the_page() -> None:
    rooms = Path(__file__).parents[3] / "assemblies"
    typed = re.compile(rf"(?<![\w.])\d+(\.\d+)?\s?{UNIT}(?!\w)")
    said = ("sections.py", "pieces.py", "blocks.py", "view_data.py")
    modules = [path for path in rooms.rglob("*.py") if path.name in said]
    assert len(modules) > 4
    for module in modules:
        tree = ast.parse(module.read_text())
        said_to_readers_of_code = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef) and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in said_to_readers_of_code
            ):
                assert not typed.search(node.value), (module.name, node.value)
    for template in (rooms / "packet/pages/web").glob("*.j2"):
        text = re.sub(r"<[^>]*>", " ", re.sub(r"\{%.*?%\}|\{\{.*?\}\}", " ", template.read_text()))
        assert not typed.search(text), template.name
