"""The template read back by a small reader of PDF content streams written for this test, and as XML: it must be at true size.

PDF: ISO 32000-1, 8.3 (user space of 1/72 in, operator cm) and 8.5 (operators m, l, c, h, S).
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from samples import flat, pieces_of_all_sorts, tapped_plate

from assemblies.packet.bench.drill_template import plotted_finding, template_pages, template_svg, write_template
from assemblies.packet.ink.paper import PAPERS
from assemblies.shop.drill.sheet import DrillSheet, DrillShop, drill_sheet
from parts.findings import SeamwrightError
from parts.shape.outline import Circle, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Piece

MM = 25.4 / 72
Point = tuple[float, float]
SAMPLER = pieces_of_all_sorts()[-1]


@dataclass
class Seen:
    """What is on one page, in mm from its lower left."""

    size: Point
    lines: list[tuple[Point, Point]] = field(default_factory=list)
    curves: list[list[Point]] = field(default_factory=list)  # each the ends of a chain of cubics
    texts: list[tuple[Point, str]] = field(default_factory=list)

    def circles(self) -> list[tuple[float, float, float]]:
        """Closed chains of curves whose ends are equally far from their middle: x, y, radius."""
        found = []
        for chain in self.curves:
            if math.dist(chain[0], chain[-1]) < 1e-3:
                xs, ys = zip(*chain, strict=True)
                x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
                found.append((x, y, (max(xs) - min(xs)) / 2))
        return found


def seen(path: Path) -> list[Seen]:
    data = path.read_bytes()
    boxes = re.findall(rb"/Contents (\d+) 0 R /MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", data)
    return [page(data, int(n), (float(w) * MM, float(h) * MM)) for n, w, h in boxes]


def page(data: bytes, number: int, size: Point) -> Seen:
    body = re.search(rb"\n%d 0 obj\n.*?stream\n(.*?)\nendstream" % number, data, re.S)
    assert body
    out, scale, chain = Seen(size=size), 1.0, []
    stack: list[float] = []
    for token in re.findall(r"\((?:\\.|[^()\\])*\)|[^\s\[\]]+", body[1].decode("latin-1")):
        if re.fullmatch(r"-?\.?\d+\.?\d*", token):
            stack.append(float(token))
            continue
        if token == "cm":
            assert stack[-5:-3] == [0.0, 0.0]  # neither turned nor sheared
            assert stack[-6] == stack[-3]
            scale *= stack[-6]
        elif token == "Tm":
            at = (stack[-2] * scale * MM, stack[-1] * scale * MM)
        elif token.startswith("("):
            out.texts.append((at, token[1:-1]))
        elif token in "mlc" and len(token) == 1:
            end = (stack[-2] * scale * MM, stack[-1] * scale * MM)
            if token == "l":
                out.lines.append((chain[-1], end))
            chain = [end] if token == "m" else [*chain, end]
            if token == "c" and len(chain) > 1:
                if out.curves and out.curves[-1][-1] == chain[-2] and len(chain) > 2:
                    out.curves[-1].append(end)
                else:
                    out.curves.append([chain[-2], end])
        if not token.startswith("/"):
            stack = []
    return out


def sheet_of(piece: Piece, count: int = 1) -> DrillSheet:
    return drill_sheet(piece, count, DrillShop())


def written(piece: Piece, folder: Path, paper: str = "a4") -> list[Seen]:
    write_template(sheet_of(piece), folder / "t.pdf", paper)
    return seen(folder / "t.pdf")


def longest(lines: list[tuple[Point, Point]], *, along: bool) -> set[float]:
    return {round(math.dist(a, b), 3) for a, b in lines if (abs(a[1] - b[1]) < 1e-6) == along}


@pytest.mark.parametrize("paper", list(PAPERS))
def test_the_page_and_its_three_bars_have_their_true_size(tmp_path, paper):
    """A4: ISO 216, 210 x 297 mm; letter: 8.5 x 11 in."""
    (one,) = written(tapped_plate(), tmp_path, paper)
    assert one.size == pytest.approx((210, 297) if paper == "a4" else (8.5 * 25.4, 11 * 25.4), abs=1e-3)
    assert {100.0, 101.6} <= longest(one.lines, along=True)
    assert 100.0 in longest(one.lines, along=False)
    inches = sorted(a[0] - 10 for a, b in one.lines if a[0] == b[0] and abs(a[1] - 16.5) < 1e-3)
    assert inches == pytest.approx([12.7 * k for k in range(9)], abs=1e-3)


def test_holes_stand_at_their_places_from_the_datum_with_the_size_of_their_drill(tmp_path):
    (one,) = written(tapped_plate(), tmp_path)
    circles = sorted(one.circles())
    assert len(circles) == 4
    x0, y0 = circles[0][0] - 12.5, circles[0][1] - 12.5
    for x, y, radius in circles:
        assert (x - x0, y - y0) in [pytest.approx((a, b), abs=1e-3) for a in (12.5, 37.5) for b in (12.5, 37.5)]
        assert radius == pytest.approx(2.6, abs=1e-3)  # M6 is drilled 5.2 mm
    edges = {
        tuple(round(c, 3) for c in (*a, *b)) for a, b in one.lines if math.dist(a, b) == pytest.approx(50, abs=1e-3)
    }
    corners = [(0, 0), (50, 0), (50, 50), (0, 50)]
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        want = (a[0] + x0, a[1] + y0, b[0] + x0, b[1] + y0)
        assert any(e == pytest.approx(want, abs=1e-3) for e in edges)


def test_a_cross_runs_past_every_circle(tmp_path):
    (one,) = written(tapped_plate(), tmp_path)
    for x, y, radius in one.circles():
        through = [(a, b) for a, b in one.lines if math.dist(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), (x, y)) < 1e-3]
        assert [math.dist(a, b) > 2 * radius + 4 for a, b in through] == [True, True]


def test_names_and_drills_are_written_beside_the_holes_and_in_the_head(tmp_path):
    (one,) = written(tapped_plate(), tmp_path)
    words = [text for _, text in one.texts]
    assert "plate, far face up" in words
    assert "5.2 mm, tap M6: holes 1-4" in words
    for number, (x, y) in enumerate([(12.5, 12.5), (37.5, 12.5), (37.5, 37.5), (12.5, 37.5)], 1):
        at = next(a for a, text in one.texts if text in (f"{number}: 5.2 mm", str(number)))
        assert math.dist(at, (x + 14, y + 26)) < 6  # the part starts 14 mm in and 26 mm up


def test_a_drill_is_written_beside_its_hole_where_the_words_stay_on_the_part(tmp_path):
    (one,) = written(tapped_plate(), tmp_path)  # 50 mm wide: from the right holes 12.5 mm are left, the words take more
    words = [text for _, text in one.texts]
    assert {"1: 5.2 mm", "2", "3", "4: 5.2 mm"} <= set(words)
    assert "5.2 mm, tap M6: holes 1-4" in words


def test_the_other_face_is_a_mirror_image_with_readable_words(tmp_path):
    far, near = written(SAMPLER, tmp_path)
    wide = SAMPLER.size_mm[0]
    assert "sampler, near face up: the piece turned over, left for right" in [t for _, t in near.texts]
    sides = {row.number: row for row in sheet_of(SAMPLER).rows}
    expected = sorted((wide - r.x_mm + 14, r.y_mm + 26) for r in sides.values() if r.side == "near")
    assert sorted(c[:2] for c in near.circles()) == [pytest.approx(p, abs=1e-3) for p in expected]
    assert [c[:2] for c in far.circles()] == [pytest.approx((12 + 14, 40 + 26), abs=1e-3)]  # the countersunk one


def test_a_large_part_is_tiled_and_the_tiles_agree_where_they_overlap(tmp_path):
    holes = tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=5.5) for x in (20, 174, 400) for y in (20, 150, 280))
    piece = flat("big", rounded_rectangle(420, 300, 20), holes=holes)
    pages = written(piece, tmp_path)
    assert len(pages) == 6
    window = (176.0, 251.0)  # A4 less margins, head, foot and the upright bar
    found = set()
    for number, one in enumerate(pages):
        i, j = number % 3, number // 3
        dx, dy = 10 + 4 - i * (window[0] - 10), 22 + 4 - j * (window[1] - 10)
        marks = {
            (round(x - dx, 2), round(y - dy, 2)) for x, y, r in one.circles() if r == pytest.approx(2.75, abs=1e-3)
        }
        assert marks <= {(h.x_mm, h.y_mm) for h in holes}
        inside = {m for m in marks if 10 < m[0] + dx < 186 and 22 < m[1] + dy < 273}
        found |= inside
        # the register marks lie in the middle of the overlap: on both neighbours at the same place of the part
        register = {
            (round(x - dx, 2), round(y - dy, 2)) for x, y, r in one.circles() if r == pytest.approx(1.5, abs=1e-3)
        }
        assert (round(166 - 4 + 5.0, 2), round(241 - 4 + 5.0, 2)) in register
    assert found == {(h.x_mm, h.y_mm) for h in holes}


def test_every_point_of_a_large_part_is_on_some_tile():
    for wide, high in ((168, 243), (168.1, 243.1), (334, 484), (334.1, 484.1), (500, 725)):
        hole = Hole(x_mm=20, y_mm=20, kind="through", diameter_mm=5)
        pages = template_pages(sheet_of(flat("p", rectangle(wide, high), holes=(hole,))))
        across = max(1, math.ceil((wide + 8 - 10) / 166 - 1e-9))
        up = max(1, math.ceil((high + 8 - 10) / 241 - 1e-9))
        assert len(pages) == across * up
        assert across * 166 + 10 >= wide + 8
        assert up * 241 + 10 >= high + 8


def test_a_part_for_more_than_forty_pages_is_one_large_page_and_the_packet_says_so(tmp_path):
    hole = Hole(x_mm=20, y_mm=20, kind="through", diameter_mm=5)
    large, small = (sheet_of(flat("p", rectangle(*size), holes=(hole,))) for size in ((2000, 1000), (1000, 1000)))
    write_template(large, tmp_path / "t.pdf")
    said = poppler("pdfinfo", tmp_path / "t.pdf").decode()
    wide, high = (float(v) * 25.4 / 72.0 for v in re.search(r"Page size: +([\d.]+) x ([\d.]+)", said).groups())
    assert "Pages:           1\n" in said
    assert (wide, high) == pytest.approx((2000 + 8 + 34, 1000 + 8 + 46), abs=0.1)
    found = plotted_finding([small, large], "a4")
    assert (found.level, found.where) == ("note", "templates")
    assert "p (2042 x 1054 mm)" in found.why
    assert plotted_finding([small], "a4") is None
    assert len(template_pages(small)) == 7 * 5


def poppler(tool: str, *arguments: str | Path) -> bytes:
    program = shutil.which(tool)
    assert program, f"{tool} is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, *arguments], capture_output=True, check=True, timeout=60).stdout


def test_the_faces_are_embedded(tmp_path):
    write_template(sheet_of(tapped_plate()), tmp_path / "t.pdf")
    lines = poppler("pdffonts", tmp_path / "t.pdf").decode().splitlines()[2:]
    assert len(lines) == 2
    assert all("DejaVuSansCondensed" in line and line.split()[-5] == "yes" for line in lines)  # emb sub uni object ID


@pytest.mark.parametrize("paper", list(PAPERS))
def test_a_printed_page_measures_true(tmp_path, paper):
    """Rastered by poppler at 20 dots a mm: the bars of 100 mm and 4 in, and the plate's holes, 25 mm apart, in dots."""
    dots = 20
    write_template(sheet_of(tapped_plate()), tmp_path / "t.pdf", paper)
    grey = poppler("pdftoppm", "-r", str(dots * 25.4), "-gray", "-aa", "no", "-aaVector", "no", tmp_path / "t.pdf")
    _, wide, high, _, *_ = grey.split(maxsplit=4)
    ink = np.frombuffer(grey[-int(wide) * int(high) :], np.uint8).reshape(int(high), int(wide))[::-1] < 128
    assert ink.shape == pytest.approx([v * dots for v in PAPERS[paper][::-1]], abs=1)

    def dark(along: np.ndarray) -> tuple[int, int]:
        found = np.flatnonzero(along)
        return int(found[0]), int(found[-1])

    # a line is 0.18 mm or 4 dots wide, and its ends count to its full width: 0.1 mm is what a rule shows
    for bar, length in ((11.0, 100.0), (16.5, 101.6)):
        above = round((bar + 1.5) * dots)  # over the small ticks: the two end ticks alone
        first, last = dark(ink[above, : round((10 + length + 1) * dots)])
        assert last - first == pytest.approx(length * dots, abs=0.1 * dots + 4)
    first, last = dark(ink[: (22 + 4 + 101) * dots, round((PAPERS[paper][0] - 10 - 4 - 1.5) * dots)])
    assert last - first == pytest.approx(100.0 * dots, abs=0.1 * dots + 4)
    for y in (12.5, 37.5):  # 5 mm under the middle of two holes: edge, two upright lines of crosses, edge
        row = np.flatnonzero(ink[round((26 + y - 5) * dots), int(13.5 * dots) : 70 * dots])
        middles = [group.mean() / dots for group in np.split(row, np.flatnonzero(np.diff(row) > 10) + 1)]
        assert np.diff(middles) == pytest.approx([12.5, 25.0, 12.5], abs=0.1)


def test_the_head_says_whose_part_it_is(tmp_path):
    write_template(sheet_of(tapped_plate()), tmp_path / "t.pdf", whose="ripple-trough, revision A")
    assert "ripple-trough, revision A" in poppler("pdftotext", tmp_path / "t.pdf", "-").decode()


def test_the_same_sheet_gives_the_same_bytes_and_asks_not_to_be_scaled(tmp_path):
    for name in ("a", "b"):
        write_template(sheet_of(SAMPLER), tmp_path / f"{name}.pdf")
    data = (tmp_path / "a.pdf").read_bytes()
    assert data == (tmp_path / "b.pdf").read_bytes()
    assert b"/PrintScaling /None" in data
    assert b"print at 100 %" in data


@pytest.mark.parametrize("side", ["far", "near"])
def test_the_svg_is_in_mm_at_true_size(side):
    root = ET.fromstring(template_svg(sheet_of(SAMPLER), side))
    space = "{http://www.w3.org/2000/svg}"
    view = [float(v) for v in root.attrib["viewBox"].split()]
    assert root.attrib["width"] == f"{view[2]:g}mm"
    assert root.attrib["height"] == f"{view[3]:g}mm"
    wide = SAMPLER.size_mm[0]
    circles = [
        (float(c.attrib["cx"]) - 14, view[3] - float(c.attrib["cy"]) - 26, 2 * float(c.attrib["r"]))
        for c in root.iter(f"{space}circle")
    ]
    rows = [row for row in sheet_of(SAMPLER).rows if row.side == side]
    expected = [(wide - r.x_mm if side == "near" else r.x_mm, r.y_mm, r.drill.diameter_mm) for r in rows]
    assert sorted(circles) == [pytest.approx(e, abs=0.011) for e in sorted(expected)]  # SVG numbers have two decimals


def test_a_face_without_holes_and_unknown_paper_are_refused(tmp_path):
    with pytest.raises(SeamwrightError, match="nothing is drilled from the near face"):
        template_svg(sheet_of(tapped_plate()), "near")
    with pytest.raises(SeamwrightError, match="no paper 'a5'"):
        write_template(sheet_of(tapped_plate()), tmp_path / "t.pdf", "a5")


def test_a_round_part_and_its_cut_out_are_drawn_as_circles(tmp_path):
    holes = tuple(Hole(x_mm=80 + 65 * c, y_mm=80 + 65 * s, kind="through", diameter_mm=5) for c, s in ((1, 0), (0, 1)))
    ring = flat("ring", Circle(80, 80, 80), inner=(Circle(80, 80, 50),), holes=holes)
    (one,) = written(ring, tmp_path)
    assert sorted(round(2 * r, 2) for _, _, r in one.circles()) == [5.0, 5.0, 100.0, 160.0]
