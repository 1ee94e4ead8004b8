"""Five hundred small tanks: their tables fold, the plan still has every piece."""

from __future__ import annotations

import pytest
from starters import bare

from assemblies.examine import Examined, examine
from assemblies.fit.checks import BUILD
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.report.blocks import Rows
from assemblies.shop.plan.checks import PLAN
from assemblies.shop.plan.sections import cut_blocks


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
