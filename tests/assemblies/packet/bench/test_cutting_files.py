"""The sheets' drawings, read by GDAL and by an XML parser: neither wrote them."""

from __future__ import annotations

import copy
import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pyogrio
import pytest
import shapely
from starters import two_plates

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.bench import cutting_files
from assemblies.packet.bench.cutting_files import check_sheet_dxf, sheet_svg, write_cutting
from assemblies.packet.dxf.dxf_file import LAYERS
from assemblies.packet.ink.readback import WrongFile
from assemblies.shop.stock.rack import Rack, Slot

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def report() -> dict[str, Any]:
    made = cut_orders([read_order_text(two_plates(), schemas())]).report
    assert len(made["cutting"]["sheets"]) == 2  # what the tests below go through
    assert {len(steps_of(made, sheet)) > 1 for sheet in made["cutting"]["sheets"]} == {True}
    return made


@pytest.fixture
def written(report: dict[str, Any], tmp_path: Path) -> Path:
    write_cutting(report, tmp_path)
    return tmp_path


def steps_of(report: dict[str, Any], sheet: dict[str, Any]) -> list[dict[str, Any]]:
    return [s for s in report["cutting"]["steps"] if s["sheet"] == sheet["number"]]


def test_gdal_sees_every_piece_net_and_every_cut_once_half_a_kerf_beside_it(
    report: dict[str, Any], written: Path
) -> None:
    for sheet in report["cutting"]["sheets"]:
        path = written / f"sheet-{sheet['number']}.dxf"
        _, _, shapes, (layers,) = pyogrio.raw.read(path, columns=["Layer"])
        rows = [(layer, shapely.from_wkb(wkb)) for layer, wkb in zip(layers, shapes, strict=True)]
        pieces = [shapely.Polygon(shape.coords) for layer, shape in rows if layer == "outer-cut"]
        net = sorted(p["w"] * p["h"] for p in sheet["placed"])
        assert sorted(p.area for p in pieces) == pytest.approx(net, abs=1e-3)
        cuts = [shape for layer, shape in rows if layer == "saw-cut"]
        assert not [layer for layer, _ in rows if layer == "score"]
        assert len(cuts) == len(steps_of(report, sheet))
        band = shapely.union_all([c.buffer(sheet["kerf"] / 2.0, cap_style="flat") for c in cuts])
        # the blade takes nothing of a piece, and touches it on all sides that the sheet's own edge does not give
        assert band.intersection(shapely.union_all(pieces)).area < 1e-3
        for piece in pieces:
            free = piece.exterior.difference(band.buffer(1e-4))
            assert free.length < 4 * sheet["kerf"]
        edge = next(shape for layer, shape in rows if layer == "label" and shape.geom_type != "Point")
        assert edge.bounds == pytest.approx((0, 0, *sheet["size"]))


def test_the_file_says_that_it_is_compensated_and_names_pieces_and_steps(report: dict[str, Any], written: Path) -> None:
    for sheet in report["cutting"]["sheets"]:
        document = ezdxf.readfile(written / f"sheet-{sheet['number']}.dxf")
        assert not document.audit().errors
        assert document.dxfversion == "AC1015"
        assert document.header["$INSUNITS"] == 4
        assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}
        texts = [entity.dxf.text for entity in document.modelspace().query("TEXT")]
        assert any("compensated for a kerf of 3 mm" in text for text in texts)
        assert {p["name"] for p in sheet["placed"]} <= set(texts)
        assert {str(s["step"]) for s in steps_of(report, sheet)} <= set(texts)
        width, height = sheet["size"]
        for text in document.modelspace().query("TEXT"):
            x, y, _ = text.dxf.insert
            assert 0 <= x <= width
            assert 0 <= y <= height


def test_same_plan_same_bytes(report: dict[str, Any], written: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    again.mkdir()
    write_cutting(report, again)
    names = sorted(path.name for path in again.iterdir())
    assert names == ["sheet-1.dxf", "sheet-1.svg", "sheet-2.dxf", "sheet-2.svg"]
    assert all((again / name).read_bytes() == (written / name).read_bytes() for name in names)


@pytest.mark.parametrize("what", ["piece", "cut", "size", "name", "step"])
def test_a_file_that_is_not_the_plan_is_seen_and_not_left_behind(
    what: str, report: dict[str, Any], written: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = copy.deepcopy(report["cutting"]["sheets"][0])
    steps = copy.deepcopy(steps_of(report, sheet))
    if what == "piece":
        sheet["placed"][0]["x"] += 0.001
    elif what == "cut":
        steps[2]["line"][0] += 0.001
    elif what == "size":
        sheet["size"][0] += 1.0
    elif what == "name":
        sheet["placed"][0]["name"] = "another"
    else:
        steps[2]["step"] = 99
    with pytest.raises(WrongFile, match=r"other lines|other words|extents"):
        check_sheet_dxf(written / "sheet-1.dxf", sheet, steps)
    two = iter([[(0.0, 0.0, 1.0, 1.0)], [(0.0, 0.0, 1.0, 2.0)]])  # what is drawn, and what is then looked for
    monkeypatch.setattr(cutting_files, "_cut_lines", lambda _: next(two))
    with pytest.raises(WrongFile):
        write_cutting(report, written)
    assert not (written / "sheet-1.dxf").exists()


def test_the_drawing_has_every_piece_cut_and_offcut_inside_the_page(report: dict[str, Any], written: Path) -> None:
    for sheet in report["cutting"]["sheets"]:
        root = ET.fromstring((written / f"sheet-{sheet['number']}.svg").read_text(encoding="utf-8"))
        width, height = (float(v) for v in root.attrib["viewBox"].split()[2:])
        texts = [(t.text or "", float(t.attrib["x"]), float(t.attrib["y"])) for t in root.iter(f"{SVG}text")]
        words = Counter(text for text, _, _ in texts)
        for step in steps_of(report, sheet):
            assert words[str(step["step"])] == 1
        named = {path.attrib.get("data-name") for path in root.iter(f"{SVG}path")}
        assert {p["name"] for p in sheet["placed"]} <= named
        small = " ".join(text for text in words if text.startswith("Too small"))
        assert all(words[rest["name"]] == 1 or rest["name"] in small for rest in sheet["offcuts"])
        assert all(0 < x < width and 0 < y < height for _, x, y in texts)


def test_sizes_are_in_the_orders_units() -> None:
    slots = [
        Slot(label=f"offcut {t:g}", kind="offcut", material="cast-pmma", thickness_mm=t, width_mm=520, height_mm=640)
        for t in (6.0, 12.0)
    ]
    one = read_order_text(two_plates(), schemas())
    sheet = cut_orders([one], Rack(slots=tuple(slots))).report["cutting"]["sheets"][0]
    sides: Any = {"mm": ("311.64", "200"), "in": ("12 17/64 in (12.269)", "7 7/8 in")}
    for unit, (one_side, other) in sides.items():
        text = sheet_svg(sheet, [], unit)
        assert f"{one_side} x {other}<" in text or f"{other} x {one_side}<" in text  # either way round on the sheet


def test_rings_do_not_hide_each_other(report: dict[str, Any]) -> None:
    for sheet in report["cutting"]["sheets"]:
        root = ET.fromstring(sheet_svg(sheet, steps_of(report, sheet), "mm"))
        rings = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{SVG}circle")]
        assert len(rings) == len(steps_of(report, sheet))
        apart = [max(abs(a[0] - b[0]), abs(a[1] - b[1])) for k, a in enumerate(rings) for b in rings[:k]]
        assert min(apart) >= 4.5  # two radii of 2.3, less the rounding of the drawing


def narrow() -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Two rows of strips 12 mm wide on a whole sheet: narrower on the page than any ring or name."""
    placed = [
        {"name": f"strip-{column}{row}", "x": 5.0 + 410 * row, "y": 600.0 + 15 * column, "w": 400.0, "h": 12.0}
        for column in (0, 1)
        for row in range(4)
    ]
    wide = {"name": "wall", "x": 5.0, "y": 5.0, "w": 475.18, "h": 225.0}
    lines = [(p["x"] + 403, p["y"] - 1, p["x"] + 403, p["y"] + 13) for p in placed]
    sheet = {
        "number": 1, "stock": "whole", "material": "cast-pmma", "size": [2440.0, 1220.0], "thickness": 9.0, "kerf": 3.0,
        "mass": 31.8, "placed": [*placed, wide], "waste": [],
        "offcuts": [{"name": "S1 offcut 1", "label": "back", "x": 5.0, "y": 640.0, "size": [2000.0, 500.0]}],
    }  # fmt: skip
    return sheet, [{"step": k, "line": line} for k, line in enumerate(lines, 1)]


def test_rings_of_cuts_narrower_than_themselves_stand_beside_them_on_leaders_over_no_word() -> None:
    sheet, steps = narrow()
    root = ET.fromstring(sheet_svg(sheet, steps, "in", "job"))
    rings = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{SVG}circle")]
    assert len(steps) == 8
    assert len(rings) >= 8  # more of them in details
    apart = [max(abs(a[0] - b[0]), abs(a[1] - b[1])) for k, a in enumerate(rings) for b in rings[:k]]
    assert min(apart) >= 4.5
    (leaders,) = (g for g in root.iter(f"{SVG}g") if g.attrib.get("class") == "leader")
    ends = [
        ((float(m[1]), float(m[2])), (float(m[3]), float(m[4])))
        for path in leaders
        for m in re.finditer(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", path.attrib["d"])
    ]
    assert ends
    cuts = [
        (float(m[1]), float(m[2]), float(m[3]), float(m[4]))
        for g in root.iter(f"{SVG}g") if g.attrib.get("class") == "centre" for path in g
        for m in re.finditer(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", path.attrib["d"])
    ]  # fmt: skip
    middles = [((x0 + x1) / 2, (y0 + y1) / 2) for x0, y0, x1, y1 in cuts]
    for start, end in ends:  # from the middle of a cut to the edge of a ring of radius 2.3
        assert min(math.dist(start, middle) for middle in middles) < 0.02
        assert min(abs(math.dist(end, ring) - 2.3) for ring in rings) < 0.02


def test_pieces_too_small_for_their_names_stand_in_details_below_and_all_others_in_their_boxes() -> None:
    sheet, steps = narrow()
    root = ET.fromstring(sheet_svg(sheet, steps, "in", "job"))
    texts = [t.text or "" for t in root.iter(f"{SVG}text")]
    small = [f"strip-{column}{row}" for row in range(4) for column in (1, 0)]
    assert "Small pieces: see details A, B, C, D below." in texts
    assert [texts.count(name) for name in (*small, "wall")] == [1] * 9
    assert [text for text in texts if text.startswith("Detail")] == [f"Detail {letter}, 1 : 2.5" for letter in "ABCD"]
    assert not any(text.startswith("Too small") for text in texts)
    boxes = [path.attrib for g in root.iter(f"{SVG}g") if g.attrib.get("class") == "visible" for path in g]
    drawn = {name: sum(b["d"].count("M") for b in boxes if b.get("data-name") == name) for name in small}
    assert drawn == dict.fromkeys(small, 2)  # on the sheet, and larger
    sizes = {t.text: float(t.attrib["font-size"]) for t in root.iter(f"{SVG}text")}
    assert sizes["wall"] == pytest.approx(2.4 / 0.72, abs=0.01)  # the usual height
    assert "18 45/64 in (18.708) x 8 55/64 in" in " ".join(texts)  # in two lines
    assert min(sizes.values()) >= 7.0 / 72.0 * 25.4 - 0.01  # 7 points
    assert float(root.attrib["viewBox"].split()[3]) <= 250.0  # of more the print would make it smaller


def test_a_detail_shows_each_piece_at_its_scale_and_a_trimmed_edge_has_ticks_outside() -> None:
    """Strips of 400 x 12 at 1 : 2.5 are 160 x 4.8 mm on paper; the left edge of the sheet is at 3 mm of the page."""
    sheet, steps = narrow()
    trim = {"step": 9, "line": (8.5, 0.0, 8.5, 1220.0), "axis": "x", "role": "trim"}
    root = ET.fromstring(sheet_svg(sheet, [*steps, trim], "mm", "job"))
    spans = []
    ticks = []
    for path in root.iter(f"{SVG}path"):
        for chain in path.attrib["d"].split("M")[1:]:
            numbers = [float(v) for v in re.findall(r"-?[\d.]+", chain)]
            if path.attrib.get("data-name") == "strip-00":
                spans.append((max(numbers[::2]) - min(numbers[::2]), max(numbers[1::2]) - min(numbers[1::2])))
            if path.attrib.get("data-name", "").startswith("trimmed"):
                ticks.append((min(numbers[::2]), max(numbers[::2])))
    assert sorted(spans)[-1] == pytest.approx((160.0, 4.8), abs=0.05)
    assert ticks
    assert all(left < 3.0 <= right + 0.02 for left, right in ticks)
    said = " ".join(t.text or "" for t in root.iter(f"{SVG}text"))
    assert "Ticks outside an edge: the factory edge, trimmed off first." in said
    assert "Ticks" not in " ".join(
        t.text or "" for t in ET.fromstring(sheet_svg(sheet, steps, "mm", "job")).iter(f"{SVG}text")
    )
