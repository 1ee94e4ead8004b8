"""The picture of a nest: every outline where the nest says it lies, read back from the SVG's own path data."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from glb_model import model
from nested import sheet
from reports import report, sections_of
from starters import two_plates

from assemblies.packet.bench.nest_svg import nest_svg
from assemblies.packet.models.scene import Scene
from assemblies.packet.pages.page import page
from assemblies.shop.nest.model import NestSheet, NestStock
from parts.shape.outline import Circle

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
PAGE_LEFT, PAGE_WIDE = 3.0, 182.0


def shapes(root: ET.Element) -> dict[str, list[list[Point]]]:
    """By piece the closed chains of corners on its paths; arcs count by their ends (SVG 1.1, 8.3: M, L, A)."""
    found: dict[str, list[list[Point]]] = {}
    for path in root.iter(f"{SVG}path"):
        name = path.attrib.get("data-name")
        if name is None:
            continue
        chains: list[list[Point]] = []
        for command, body in re.findall(r"([MLA])([^MLAZ]*)", path.attrib["d"]):
            numbers = [float(v) for v in body.split()]
            point = numbers[-2], numbers[-1]
            if command == "M" and not (chains and chains[-1][-1] == point):
                chains.append([point])
            elif command != "M":
                chains[-1].append(point)
        found.setdefault(name, []).extend(chains)
    return found


def lying(one: NestSheet) -> NestSheet:
    """The same on a sheet that is higher than wide."""
    wide = one.stock.width_mm
    return replace(one, stock=NestStock(name="high", width_mm=wide, height_mm=2.5 * wide))


def _low(root: ET.Element) -> float:
    """How far above the foot of the page the sheet begins: 7 mm over the first line of what stands below it."""
    (first,) = (t for t in root.iter(f"{SVG}text") if (t.text or "").startswith("Pieces at net size"))
    return float(root.attrib["viewBox"].split()[3]) - float(first.attrib["y"]) + 7.0


@pytest.mark.parametrize("high", [False, True])
def test_each_piece_lies_where_the_nest_says_at_one_scale(high: bool) -> None:
    one = lying(sheet()) if high else sheet()
    root = ET.fromstring(nest_svg(one, 1, "mm", "job rev A"))
    found, top = shapes(root), float(root.attrib["viewBox"].split()[3])
    size = one.stock.width_mm, one.stock.height_mm
    scale = min(PAGE_WIDE / max(size), 126.0 / min(size))

    low = _low(root)

    def on_sheet(p: Point) -> Point:
        u, v = (p[0] - PAGE_LEFT) / scale, (top - p[1] - low) / scale
        return (size[0] - v, u) if high else (u, v)

    circles = [(float(c.attrib["cx"]), float(c.attrib["cy"]), float(c.attrib["r"])) for c in root.iter(f"{SVG}circle")]
    seen = 0
    for place in one.placed:
        if isinstance(place.outer, Circle):
            wanted = place.outer.x_mm, place.outer.y_mm
            near = [c for c in circles if math.dist(on_sheet(c[:2]), wanted) < 0.03 / scale]
            assert [c[2] for c in near] == [pytest.approx(place.outer.radius_mm * scale, abs=0.01)]
            continue
        corners = [on_sheet(p) for p in found[place.name][0]]
        for vertex in place.outer.vertices:
            assert min(math.dist((vertex.x_mm, vertex.y_mm), c) for c in corners) < 0.03 / scale, (
                place.name
            )  # 0.01 mm of paper
        seen += 1
    assert seen == 4
    bores = [h for p in one.placed for h in p.piece.holes]
    on_the_sheet = [c for c in circles if top - c[1] > low]  # others stand in details below it
    assert len(on_the_sheet) == len(bores) + 1


def test_every_piece_has_its_name_and_size_and_the_words_say_how_to_read_it() -> None:
    one = sheet("laser")
    texts = [t.text or "" for t in ET.fromstring(nest_svg(one, 3, "mm", "job rev A")).iter(f"{SVG}text")]
    assert {p.name for p in one.placed} <= set(texts)
    assert {"120 x 90", "90 x 120"} & set(texts)
    said = " ".join(texts)
    assert "Nest 3: A: cast-pmma 12 mm, 600 mm × 500 mm" in said
    assert "Paths in cutting/nest-3.dxf" in said
    assert "lower left." in said
    inches = nest_svg(one, 3, "in", "job rev A")
    assert "11 13/16 in x 5 29/32 in" in inches  # the wall of 300 x 150 mm
    assert "Sizes in mm" not in inches
    assert "upper left; drawn lying" in nest_svg(lying(one), 1, "mm")


def test_no_name_lies_on_a_hole() -> None:
    one = sheet()
    root = ET.fromstring(nest_svg(one, 1, "mm"))
    texts = {
        t.text: (float(t.attrib["x"]), float(t.attrib["y"]), float(t.attrib["font-size"]))
        for t in root.iter(f"{SVG}text")
    }
    x, y, size = texts["lid-1"]
    lid = next(p for p in one.placed if p.name == "lid-1")
    (window,) = (chain for chain in shapes(root)["lid-1"][1:])
    xs, ys = [p[0] for p in window], [p[1] for p in window]
    half = 0.3 * size * len("lid-1")
    inside_x = x + half > min(xs) and x - half < max(xs)
    assert not (inside_x and y > min(ys) and y - 0.72 * size < max(ys)), (lid, x, y)


@pytest.mark.parametrize("high", [False, True])
def test_offcuts_are_outlined_and_bear_their_labels(high: bool) -> None:
    one = lying(sheet()) if high else sheet()
    rest = {"name": "N1 offcut 1", "label": "back", "x": 100.0, "y": 340.0, "size": [400.0, 150.0]}
    root = ET.fromstring(nest_svg(one, 1, "mm", offcuts=[rest]))
    texts = {t.text: (float(t.attrib["x"]), float(t.attrib["y"])) for t in root.iter(f"{SVG}text")}
    assert {"N1 offcut 1", "label: back", "150 x 400" if high else "400 x 150"} <= set(texts)
    (dashed,) = (g for g in root.iter(f"{SVG}g") if g.attrib.get("class") == "centre")
    numbers = [float(v) for v in re.findall(r"[\d.]+", next(iter(dashed)).attrib["d"])]
    xs, ys = numbers[::2], numbers[1::2]
    size = (600.0, 1500.0) if high else (600.0, 500.0)
    scale = min(PAGE_WIDE / max(size), 126.0 / min(size))
    assert sorted((max(xs) - min(xs), max(ys) - min(ys))) == pytest.approx([150 * scale, 400 * scale], abs=0.02)
    left, low = (PAGE_LEFT + (340 if high else 100) * scale, _low(root) + (600 - 500 if high else 340) * scale)
    assert (min(xs), float(root.attrib["viewBox"].split()[3]) - max(ys)) == pytest.approx((left, low), abs=0.02)
    x, y = texts["N1 offcut 1"]
    assert min(xs) < x < max(xs)
    assert min(ys) < y < max(ys)


def test_same_nest_same_text() -> None:
    assert nest_svg(sheet(), 1, "mm") == nest_svg(sheet(), 1, "mm")


def test_the_page_shows_a_nest_with_words_for_who_cannot_see_it() -> None:
    made: dict[str, Any] = report("laser")
    picture = nest_svg(sheet("laser"), 1, "mm", "job rev A")
    text = page(
        made, sections_of(made, "mm"), "mm", model=model(), scene=Scene(placed=()), pictures={"nest-1": picture}
    )
    at = text.index('<figure class="nest"')
    figure = text[at : text.index("</figure>", at)]
    placed = made["nesting"]["sheets"][0]["placed"]
    assert f'data-about="{" ".join(p["name"] for p in placed)}"' in figure
    assert 'role="img"' in figure
    assert "<title>job rev A: nest 1</title>" in figure
    assert f"Nest 1: 1220 mm × 2440 mm, {len(placed)} pieces; the table says where each lies</figcaption>" in figure


def test_the_writer_puts_a_picture_beside_each_nests_file(tmp_path: Path) -> None:
    from asked import ask

    from assemblies.kinds import schemas
    from assemblies.order import read_order_text
    from assemblies.packet.write import _write_cutting, _write_shop

    order = read_order_text(two_plates().replace('process    = "saw"', 'process    = "laser"'), schemas())
    found = ask(order)
    _write_cutting(found.report, found.plan, tmp_path, order.units)
    _write_shop(found, tmp_path)
    names = sorted(p.stem for p in tmp_path.glob("cutting/nest-*.dxf"))
    assert names
    assert sorted(p.stem for p in tmp_path.glob("cutting/nest-*.svg")) == names
    assert (tmp_path / "labels.pdf").is_file()
