"""labels.pdf, read by poppler's tools: every piece and offcut once, true to the report, on a grid that is cut once a line."""

from __future__ import annotations

import copy
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from reports import report, sections_of

from assemblies.packet.bench.label_sheet import label_pages, write_labels
from assemblies.packet.ink.paper import PAPERS
from assemblies.packet.ink.primitives import Line, Text, text_box
from assemblies.report.blocks import Rows
from assemblies.shop.plan.labels import PieceLabel, offcut_labels, piece_labels
from parts.lengths import read_length

MM = 25.4 / 72


def words_of(path: Path, *more: str) -> str:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, *more, path, "-"], capture_output=True, check=True, timeout=60).stdout.decode(
        "utf-8"
    )


def thrice(process: str = "saw") -> dict[str, Any]:
    """The starter's report as if three were ordered: the plan's labels three times, as the plan names them."""
    made = report(process)
    section = made["cutting" if process == "saw" else "nesting"]
    section["labels"] += [{**row, "name": f"{row['name']}.{k}"} for k in (2, 3) for row in section["labels"]]
    return made


@pytest.mark.parametrize("process", ["saw", "laser"])
def test_each_piece_of_the_order_has_one_label_with_its_part_its_size_and_its_count(process: str) -> None:
    made = thrice(process)
    labels = piece_labels(made, "mm")
    placed = [p["name"] for p in made["placed"]]
    assert Counter(x.name for x in labels) == Counter([*placed, *(f"{name}.{k}" for name in placed for k in (2, 3))])
    parts = {p["part"]: p for p in made["parts"]}
    for part, row in parts.items():
        mine = [x for x in labels if x.part == part]
        assert sorted(x.number for x in mine) == list(range(1, 3 * row["count"] + 1))
        assert {x.count for x in mine} == {3 * row["count"]}
        for label in mine:
            sides = [read_length(text, "mm") for text in (*label.size.split(" × "), label.thickness)]
            assert sides == pytest.approx(row["size"], abs=0.0006)
            assert (label.order, label.revision) == (made["name"], made["revision"])
    assert {x.name: x.outside for x in labels} == {x["name"]: x["outside"] for x in _rows(made)}


def _rows(made: dict[str, Any]) -> list[dict[str, Any]]:
    return [x for key in ("cutting", "nesting") for x in made.get(key, {}).get("labels", ())]


@pytest.mark.parametrize("process", ["saw", "laser"])
def test_each_offcut_that_goes_back_has_one_and_waste_has_none(process: str) -> None:
    made = report(process)
    sheets = made["cutting" if process == "saw" else "nesting"]["sheets"]
    rests = [o for s in sheets for o in s["offcuts"]]
    assert [x.label for x in offcut_labels(made, "mm")] == [o["label"] for o in rests]
    assert len(rests) > 1
    sheets[0]["offcuts"][0]["label"] = None
    assert len(offcut_labels(made, "mm")) == len(rests) - 1


@pytest.mark.parametrize(("unit", "paper"), [("mm", "a4"), ("in", "letter")])
def test_the_sheet_says_all_of_it_in_the_orders_unit(tmp_path: Path, unit: Any, paper: Any) -> None:
    made = thrice()
    write_labels(made, unit, tmp_path / "labels.pdf", paper)
    text = words_of(tmp_path / "labels.pdf", "-raw")
    for label in piece_labels(made, unit):
        lines = [
            label.name,
            f"{label.number} of {label.count}",
            label.size,
            f"{label.thickness} thick",
            label.face_words,
        ]
        assert all(line in text for line in lines), label.name
    assert text.count("face outside") == len(piece_labels(made, unit))
    assert text.count("ripple-trough, revision A") == len(piece_labels(made, unit)) + 2  # and at the head of two pages
    for label in offcut_labels(made, unit):
        assert label.label in text
    assert ("7 7/8 in × 5 29/32 in" in text) == (unit == "in")
    assert ("200 mm × 150 mm" in text) == (unit == "mm")


@pytest.mark.parametrize("paper", list(PAPERS))
def test_pages_are_of_the_paper_and_no_word_leaves_its_label(tmp_path: Path, paper: Any) -> None:
    made = thrice()
    for row in _rows(made)[:3]:
        row["name"] = row["order"] = "a-very-long-name-that-is-not-for-people-to-read-but-may-be-written-" * 2
    write_labels(made, "in", tmp_path / "labels.pdf", paper)
    root = ET.fromstring(re.sub(r' xmlns="[^"]*"', "", words_of(tmp_path / "labels.pdf", "-bbox")))
    wide, high = (PAPERS[paper][0] - 20) / 2, (PAPERS[paper][1] - 20) / 9
    pages = list(root.iter("page"))
    assert len(pages) == 2
    for page in pages:
        assert float(page.attrib["width"]) * MM == pytest.approx(PAPERS[paper][0], abs=0.01)
        for word in page.iter("word"):
            x0, y0, x1, y1 = (float(word.attrib[k]) * MM for k in ("xMin", "yMin", "xMax", "yMax"))
            if 10 < (y0 + y1) / 2 < PAPERS[paper][1] - 10:
                assert (x0 - 10) // wide == (x1 - 10) // wide, word.text
                assert ((y0 + y1) / 2 - 10) // high == (y1 - 0.3 * (y1 - y0) - 10) // high, word.text


@pytest.mark.parametrize("count", [1, 2, 3, 18, 19, 35])
@pytest.mark.parametrize("paper", list(PAPERS))
def test_every_label_has_its_four_edges_and_no_line_is_cut_thrice(paper: Any, count: int) -> None:
    label = piece_labels(report(), "mm")[0]
    wide, high = (PAPERS[paper][0] - 20) / 2, (PAPERS[paper][1] - 20) / 9
    left = count
    for page in label_pages([label] * count, paper):
        cuts = [x for x in page.items if isinstance(x, Line) and x.layer == "hidden"]
        units: Counter[tuple[str, int, int]] = Counter()  # each edge of a cell that a cut runs along
        for cut in cuts:
            (i, k), (m, n) = (
                (round((x - 10) / wide, 6), round((PAPERS[paper][1] - 10 - y) / high, 6)) for x, y in _ends(cut)
            )
            assert {i, k, m, n} <= set(range(10))
            if k == n:
                units.update(("across", c, int(k)) for c in range(int(min(i, m)), int(max(i, m))))
            else:
                units.update(("up", int(i), r) for r in range(int(min(k, n)), int(max(k, n))))
        mine, left = min(left, 18), left - min(left, 18)
        edges = set()
        for c, r in ((n % 2, n // 2) for n in range(mine)):
            edges |= {("across", c, r), ("across", c, r + 1), ("up", c, r), ("up", c + 1, r)}
        assert set(units) == edges
        assert set(units.values()) == {1}
    assert left == 0


def _ends(line: Line) -> tuple[tuple[float, float], tuple[float, float]]:
    return (line.x0, line.y0), (line.x1, line.y1)


def test_0_stands_at_the_datum_corner_and_the_foot_is_wide() -> None:
    """The near face shows the piece turned over, left for right: its lower left is then at the lower right."""
    labels = piece_labels(report(), "mm")
    far, near = (next(x for x in labels if x.outside == side) for side in ("far", "near"))
    (page,) = label_pages([far, near], "a4")
    zeros = [x for x in page.items if isinstance(x, Text) and x.text == "0"]
    assert [text_box(z)[0] < 30 for z in zeros] == [True, False]
    assert text_box(zeros[1])[2] > 190
    feet = [x for x in page.items if isinstance(x, Line) and x.layer == "visible"]
    assert {round(x.x1 - x.x0, 1) for x in feet} == {93.8}
    low = 287 - (297 - 20) / 9
    assert all(low < x.y0 < low + 2 for x in feet)
    spare = PieceLabel(**{**vars(far), "outside": None})
    (page,) = label_pages([spare], "a4")
    assert not [x for x in page.items if isinstance(x, Line) and x.layer == "visible"]
    assert "spare" in [x.text for x in page.items if isinstance(x, Text)]


def test_same_report_same_bytes_and_no_file_without_labels(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_labels(report(), "mm", tmp_path / f"{name}.pdf", "a4")
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    bare = copy.deepcopy(report())
    del bare["cutting"]
    write_labels(bare, "mm", tmp_path / "c.pdf", "a4")
    assert not (tmp_path / "c.pdf").exists()


def test_the_packets_table_of_labels_says_the_same_and_names_the_file() -> None:
    made = report()
    cut = next(s for s in sections_of(made, "in") if s.id == "cutting")
    table = next(b for b in cut.blocks if isinstance(b, Rows) and b.title == "Labels for the pieces")
    labels = piece_labels(made, "in")
    assert [row[0] for row in table.rows] == list(table.keys) == [x.name for x in labels]
    assert [row[3:5] for row in table.rows] == [(x.size, x.thickness) for x in labels]
    assert " in" in table.rows[0][3]
    assert "labels.pdf" in table.note
