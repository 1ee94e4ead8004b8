"""The assembly drawing and the drawings of a whole packet."""

from __future__ import annotations

from pathlib import Path

import pytest
from asked import ask
from samples import panel, tank
from starters import two_plates

from assemblies import kinds
from assemblies.design.model import Design, Fastener, Placed
from assemblies.examine import Examined
from assemblies.fit.apart.explode import explode
from assemblies.order import read_order_text
from assemblies.packet.drawings.assembly_drawing import assembly_sheets, list_rows
from assemblies.packet.drawings.drawing_words import DrawingSettings
from assemblies.packet.drawings.drawings_out import drawn_of, part_drawings, write_drawings
from assemblies.packet.drawings.title_block import PAPERS, frame_of
from assemblies.packet.ink.primitives import Circle, Text, bounds_of
from assemblies.packet.ink.sheet_items import Sheet, mark_box
from assemblies.packet.pictures.line_drawing import spread


def design(placed: tuple[Placed, ...], fasteners: tuple[Fastener, ...] = ()) -> Design:
    return Design(
        name="rig", title="A rig on tour", kind="tank", revision="A", placed=placed, fasteners=fasteners, quantity=2
    )


def many(count: int) -> Design:
    return design(
        tuple(
            Placed(name=f"p-{k}", piece=panel(f"part-{k}", 80.0 + k, 40.0), origin=(0, 0, 10.0 * k))
            for k in range(count)
        )
    )


def words(sheet: Sheet) -> list[str]:
    return [m.text for m in sheet.marks if isinstance(m, Text)]


@pytest.fixture(scope="module")
def found() -> Examined:
    order = read_order_text(two_plates(), kinds.schemas())
    return ask(order, "fit")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_numbers_in_circles_are_the_items_of_the_list_and_all_is_inside_the_frame(paper: str) -> None:
    one = design(tank())
    (sheet,) = assembly_sheets(one, explode(one), spread(one, explode(one)), "± 0.25 mm", DrawingSettings(paper=paper))
    assert (sheet.width_mm, sheet.height_mm) == PAPERS[paper]
    balloons = [m for m in sheet.marks if isinstance(m, Circle) and m.fill == "clear"]
    numbers = {m.text for m in sheet.marks if isinstance(m, Text) and m.of}
    assert numbers == {str(k) for k in range(1, len(one.pieces) + 1)}
    assert len(balloons) == len(one.placed)
    x0, y0, x1, y1 = frame_of(sheet.width_mm, sheet.height_mm)
    for mark in sheet.marks:
        if getattr(mark, "of", "") != "frame":
            box = mark_box(mark) if isinstance(mark, Text) else bounds_of([mark])
            assert x0 - 1e-6 <= box[0] <= box[2] <= x1 + 1e-6
            assert y0 - 1e-6 <= box[1] <= box[3] <= y1 + 1e-6


def test_the_list_has_each_part_once_with_its_count_and_what_is_bought_after_it() -> None:
    bolts = (Fastener(name="bolt M6", piece="plate-1", through=("plate-1",), thread="M6", count=4),) * 2
    one = design(tank(), bolts)
    rows = list_rows(one, DrawingSettings())
    assert [row[2] for row in rows] == [*(p.name for p in one.pieces), "bolt M6"]
    assert sum(int(row[1]) for row in rows[:-1]) == len(one.placed)
    assert rows[-1] == (str(len(rows)), "8", "bolt M6", "bought", "M6")
    assert [row[0] for row in rows] == [str(k) for k in range(1, len(rows) + 1)]


def test_the_list_runs_up_from_the_title_block() -> None:
    one = design(tank())
    (sheet,) = assembly_sheets(one, explode(one), spread(one, explode(one)), "± 0.25 mm")
    texts = {m.text: m for m in sheet.marks if isinstance(m, Text) and not m.of}
    names = [row[2] for row in list_rows(one, DrawingSettings())]
    heights = [texts[name].y for name in names]
    assert heights == sorted(heights)
    assert texts["item"].y < heights[0]


def test_a_long_list_stands_on_sheets_of_its_own() -> None:
    one = many(60)
    drawn = assembly_sheets(one, explode(one), spread(one, explode(one)), "± 0.25 mm")
    assert len(drawn) == 3
    listed = [w for sheet in drawn[1:] for w in words(sheet) if w.startswith("part-")]
    assert listed == [f"part-{k}" for k in range(60)]
    assert "3. Parts list on the next sheet." in words(drawn[0])


def test_every_part_and_the_assembly_are_drawn_twice_the_same(found: Examined, tmp_path: Path) -> None:
    for folder in ("one", "two"):
        (tmp_path / folder).mkdir()
        write_drawings(drawn_of(found), part_drawings(found), spread(found.design, found.exploded), tmp_path / folder)
    names = [*(p.name for p in found.design.pieces), f"{found.design.name}-assembly"]
    files = sorted(p.name for p in (tmp_path / "one" / "drawings").iterdir())
    assert files == sorted(f"{name}.{ending}" for name in names for ending in ("pdf", "dxf"))
    for name in files:
        assert (tmp_path / "one" / "drawings" / name).read_bytes() == (
            tmp_path / "two" / "drawings" / name
        ).read_bytes()


def test_a_piece_cut_otherwise_bears_the_tolerance_of_its_process(found: Examined) -> None:
    from dataclasses import replace

    from assemblies.packet.drawings.drawings_out import part_facts

    piece = found.design.pieces[0]
    assert part_facts(piece, found.design, found.order).tolerance_mm == found.order.cutting.tolerance
    snapped = replace(piece, process="score-and-snap")
    facts = part_facts(snapped, found.design, found.order)
    assert (facts.process, facts.tolerance_mm) == ("score-and-snap", 0.5)


def test_the_order_says_what_goes_in_with_a_loose_lid() -> None:
    """The strips under it are bonded to it first: nobody drops them into the tank one by one."""
    from assemblies.examine import begin
    from assemblies.kinds import schemas
    from assemblies.order import read_order_text

    text = two_plates().replace('lid       = "none"', 'lid = "loose"')
    one = begin(read_order_text(text, schemas())).design
    (sheet,) = assembly_sheets(one, explode(one), spread(one, explode(one)), "± 0.25 mm")
    note = " ".join(words(sheet))
    assert "lid (with locator-right, locator-left, locator-front, locator-back), plate-2, plate-1." in note
