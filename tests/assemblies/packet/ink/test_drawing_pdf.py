"""Drawings as PDF, read by poppler's tools, which did not write them."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from random_pieces import random_piece
from samples import FACTS, flat, panel, pieces_of_all_sorts

from assemblies.packet.drawings.drawing import DrawingSettings, part_sheets
from assemblies.packet.ink.faces import FONTS
from assemblies.packet.ink.pdf import pdf
from assemblies.packet.ink.primitives import CAPITAL_PER_EM, Text, text_width_mm
from assemblies.packet.ink.sheet_items import Sheet
from parts.shape.outline import rectangle
from parts.shape.piece import Hole

SAMPLER = pieces_of_all_sorts()[-1]


def run(tool: str, *arguments: str | Path) -> bytes:
    program = shutil.which(tool)
    assert program, f"{tool} is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, *arguments], capture_output=True, check=True, timeout=60).stdout


def written(folder: Path, sheets: tuple[Sheet, ...]) -> Path:
    path = folder / "drawing.pdf"
    path.write_bytes(pdf([sheet.page for sheet in sheets], "a part"))
    return path


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_have_the_size_of_their_paper(tmp_path: Path, paper: str) -> None:
    """ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: size A is 8.5 x 11 in."""
    sheets = part_sheets(panel("wall", 60.0, 150.0), FACTS, DrawingSettings(paper=paper))
    info = run("pdfinfo", written(tmp_path, sheets)).decode()
    points = [float(n) for n in re.findall(r"Page size: +([\d.]+) x ([\d.]+)", info)[0]]
    wanted = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (612.0, 792.0)}[paper]
    assert points == pytest.approx(wanted, abs=0.02)  # pdfinfo prints to 0.01 or 0.001 pt


def test_all_fonts_are_embedded(tmp_path: Path) -> None:
    lines = run("pdffonts", written(tmp_path, part_sheets(SAMPLER, FACTS))).decode().splitlines()[2:]
    assert len(lines) == 2
    assert all(line.split()[-5] == "yes" for line in lines), lines  # emb sub uni object ID


def test_names_and_figures_are_found_as_text(tmp_path: Path) -> None:
    sheets = part_sheets(SAMPLER, FACTS)
    text = " ".join(run("pdftotext", "-layout", written(tmp_path, sheets), "-").decode().split())
    found = {" ".join(m.text.split()) for m in sheets[0].marks if isinstance(m, Text)}
    assert {"sampler", "rig/sampler", "Ripple trough", "M6 / Ø5.2 through"} <= found
    for each in found:
        assert each in text, each
    turned = [m.text for m in sheets[0].marks if isinstance(m, Text) and m.turned]
    assert turned
    raw = run("pdftotext", "-raw", tmp_path / "drawing.pdf", "-").decode().split()
    assert set(turned) <= set(raw)


def grey(path: Path, dots_per_inch: int) -> np.ndarray:
    """The page as poppler draws it: 0 is ink, 255 paper; rows from the top."""
    data = run("pdftoppm", "-r", str(dots_per_inch), "-gray", path)
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data)
    assert head
    return np.frombuffer(data, np.uint8, offset=head.end()).reshape(int(head[2]), int(head[1]))


def test_the_drawn_view_measures_the_piece_at_scale_on_the_page(tmp_path: Path) -> None:
    piece = panel("wall", 300.0, 150.0)
    sheets = part_sheets(piece, FACTS)
    page = grey(written(tmp_path, sheets), 508)  # 20 dots per mm
    (front, _), scale = sheets[0].views, sheets[0].scale
    middle_y = round((sheets[0].height_mm - front.at[1] - 100.0 * scale) * 20)
    row = page[middle_y, round((front.at[0] - 3) * 20) : round((front.at[0] + 300.0 * scale + 3) * 20)]
    dark = np.flatnonzero(row < 128) / 20.0 - 3.0
    edges = [group.mean() for group in np.split(dark, np.flatnonzero(np.diff(dark) > 1.0) + 1)]
    assert edges == pytest.approx([0.0, 300.0 * scale], abs=0.06)  # a dot is 0.05 mm
    assert np.ptp(dark[dark < 1.0]) == pytest.approx(0.35, abs=0.1)  # a wide line, two dots


def test_the_same_sheets_give_the_same_bytes() -> None:
    sheets = part_sheets(SAMPLER, FACTS)
    first = pdf([sheet.page for sheet in sheets], "a part")
    assert pdf([sheet.page for sheet in sheets], "a part") == first
    assert pdf([sheet.page for sheet in sheets], "another") != first


def test_a_character_that_the_face_lacks_is_the_replacement_character(tmp_path: Path) -> None:
    sheet = Sheet(width_mm=210, height_mm=297, scale=1, items=(Text(x=50, y=50, text="wave \u6ce2 tank"),))
    assert "wave \ufffd tank" in run("pdftotext", written(tmp_path, (sheet,)), "-").decode()


def test_each_hole_table_sheet_is_a_page(tmp_path: Path) -> None:
    holes = tuple(
        Hole(x_mm=10 + 10 * i, y_mm=10 + 10 * j, kind="through", diameter_mm=3) for i in range(29) for j in range(29)
    )
    sheets = part_sheets(flat("sieve", rectangle(300, 300), holes=holes), FACTS)
    assert f"Pages: {len(sheets)}" in " ".join(run("pdfinfo", written(tmp_path, sheets)).decode().split())
    assert len(sheets) > 2


def test_layout_counts_texts_wider_than_the_embedded_face_draws_them() -> None:
    from reportlab.pdfbase.ttfonts import TTFont

    faces = {
        bold: TTFont(f"x{bold}", str(FONTS / f"DejaVuSansCondensed{'-Bold' * bold}.ttf")) for bold in (False, True)
    }
    for seed in range(10):
        for sheet in part_sheets(random_piece(seed), FACTS, DrawingSettings(dual=True)):
            for mark in sheet.marks:
                if isinstance(mark, Text):
                    bold = mark.bold
                    real = faces[bold].stringWidth(mark.text, mark.height / CAPITAL_PER_EM)
                    assert real <= text_width_mm(mark.text, mark.height, bold), mark.text


def test_the_faces_come_with_their_licence() -> None:
    text = (FONTS / "LICENSE.txt").read_text()
    assert "Permission is hereby granted, free of charge" in text
    assert "subsets of DejaVu Sans Condensed" in text
