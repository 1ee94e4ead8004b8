"""Five hundred small tanks: their tables fold, the plan still has every piece."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starters import bare

from assemblies.cutting import cut_orders
from assemblies.examine import Examined, examine
from assemblies.fit.checks import BUILD
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.bench.cutting_files import write_cutting
from assemblies.report.blocks import Rows
from assemblies.report.terminal.cutting import cut_text
from assemblies.shop.plan.checks import PLAN
from assemblies.shop.plan.many import cut_alike
from assemblies.shop.plan.sections import cut_blocks
from assemblies.shop.saw.model import SawPart, SawShop, SawStock
from assemblies.shop.saw.plan import plan_saw
from assemblies.shop.stock.rack import Rack, Slot


@pytest.fixture(scope="module")
def many() -> Examined:
    text = bare("tank").partition("[[plate]]")[0].replace("[300, 200, 150]", "[100, 80, 60]")
    text = text.replace('fill = "120 mm"', "fill = 40").replace("quantity = 1", "quantity = 60")
    return examine(read_order_text(text, schemas()), (BUILD, PLAN))


def test_the_plan_has_every_piece_and_the_tables_one_row_for_those_that_are_equal(many: Examined) -> None:
    cutting = many.report["cutting"]
    assert sum(len(sheet["placed"]) for sheet in cutting["sheets"]) == 300
    assert len(cutting["labels"]) == 300
    tables = [block for block in cut_blocks(many.report, "mm") if isinstance(block, Rows)]
    assert max(len(table.rows) for table in tables) < 30
    (labels,) = [table for table in tables if table.title == "Labels for the pieces"]
    assert [row[0] for row in labels.rows][-1] == "bottom to bottom.60 (60)"
    assert {len(row) for row in labels.rows} == {len(labels.header)}
    first = next(table for table in tables if table.title.startswith("Sheet 1"))
    assert {len(row) for row in first.rows} == {len(first.header)}
    assert "report.json" in first.note


@pytest.fixture(scope="module")
def equal(many: Examined) -> dict[str, Any]:
    """The same sixty tanks from sheets so small that most are cut alike."""
    small = Slot(
        label="small", material="cast-pmma", thickness_mm=6, width_mm=700, height_mm=400, trim_mm=5, quantity=30
    )
    return cut_orders([many.order], Rack(slots=(small,)), seconds=1.0).report


def test_sheets_that_are_cut_alike_are_the_same_but_for_the_names(equal: dict[str, Any]) -> None:
    sheets = equal["cutting"]["sheets"]
    firsts = {sheet["number"]: sheet for sheet in sheets if "same_as" not in sheet}
    assert len(firsts) <= 5 < len(sheets)
    names = [row["name"] for sheet in sheets for row in sheet["placed"]]
    assert sorted(names) == sorted(row["name"] for row in equal["cutting"]["labels"])
    steps = {
        sheet["number"]: sorted(
            (s["setting"], s["mode"], s["line"]) for s in equal["cutting"]["steps"] if s["sheet"] == sheet["number"]
        )
        for sheet in sheets
    }
    for sheet in sheets:
        first = firsts[sheet.get("same_as", sheet["number"])]
        places = [sorted((row["part"], row["x"], row["y"], row["w"]) for row in s["placed"]) for s in (sheet, first)]
        assert places[0] == places[1]
        assert steps[sheet["number"]] == steps[first["number"]]
        assert sheet["files"] == first["files"]
    kinds = [(sheet["stock"], tuple(sorted((r["part"], r["x"], r["y"]) for r in sheet["placed"]))) for sheet in sheets]
    assert len(firsts) == len(set(kinds))  # none is drawn twice


def test_sheets_are_not_alike_where_a_piece_lies_elsewhere_or_a_cut_is_made_at_another_setting() -> None:
    shop = SawShop(kerf_mm=3.0)
    parts, stock = (
        [SawPart(name="a", width_mm=200, height_mm=100, count=12)],
        [SawStock(name="s", width_mm=420, height_mm=210)],
    )
    saw = plan_saw(parts, stock, shop)
    assert cut_alike(saw, 0) == [0, 0, 0]
    assert cut_alike(saw, 12) == [0, 1, 2]
    later = replace(saw, steps=(*saw.steps[:-1], replace(saw.steps[-1], setting=99)))
    assert cut_alike(later, 0).count(0) == 2
    moved = saw.pieces[-1]
    aside = replace(saw, pieces=(*saw.pieces[:-1], replace(moved, box=replace(moved.box, x=moved.box.x + 1))))
    assert cut_alike(aside, 0) == [0, 0, 2]
    assert cut_alike(replace(saw, sheets=(0, 0, 1)), 0) == [0, 0, 2]


def test_of_sheets_cut_alike_one_is_drawn_and_says_for_which(equal: dict[str, Any], tmp_path: Path) -> None:
    write_cutting(equal, tmp_path)
    sheets = equal["cutting"]["sheets"]
    assert sorted(f"cutting/{path.name}" for path in tmp_path.iterdir()) == sorted(
        {f for s in sheets for f in s["files"]}
    )
    number, count = Counter(sheet.get("same_as", sheet["number"]) for sheet in sheets).most_common(1)[0]
    for ending in ("dxf", "svg"):
        text = (tmp_path / f"sheet-{number}.{ending}").read_text(encoding="utf-8")
        assert f"({count} alike)" in text
        assert "front-back 1" in text
        assert "left.2" not in text  # a name that is another's on the next sheet
    whole = cut_text(equal)
    assert f"({count} alike)" in whole
    assert sum(line.lstrip().startswith(f"{number} to ") for line in whole.splitlines()) == 1


def test_many_cuts_are_a_line_for_each_setting_and_all_pieces_are_counted(equal: dict[str, Any]) -> None:
    cutting = equal["cutting"]
    assert len(cutting["words"]) == cutting["settings"] < 20 < 300 < len(cutting["steps"])
    counts: Counter[str] = Counter()
    for line in cutting["words"]:
        for count, part in re.findall(r"(\d+) x (end|front-back|bottom) ", line):
            counts[part] += int(count)
    assert counts == {"end": 120, "front-back": 120, "bottom": 60}
    first, last = re.match(r"(\d+)", cutting["words"][0]), re.match(r"(?:\d+ to )?(\d+)", cutting["words"][-1])
    assert (first and first[1], last and last[1]) == ("1", str(len(cutting["steps"])))


def test_a_plan_of_few_pieces_names_every_sheet(many: Examined) -> None:
    small = Slot(label="small", material="cast-pmma", thickness_mm=6, width_mm=130, height_mm=100, quantity=30)
    one = many.order.model_copy(update={"quantity": 4})
    sheets = cut_orders([one], Rack(slots=(small,)), seconds=0.2).report["cutting"]["sheets"]
    assert len(sheets) >= 8  # many of them one piece alone
    assert [sheet["files"][0] for sheet in sheets] == [f"cutting/sheet-{n}.dxf" for n in range(1, len(sheets) + 1)]
