"""The DXF of a nest, read by dxf-parser (npm) and GDAL (through pyogrio): neither wrote it."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyogrio
import pytest
import shapely
from nested import sheet
from node_tools import node

from assemblies.packet.dxf.nest_dxf import check_nest, write_nest
from assemblies.packet.ink.readback import WrongFile
from parts.findings import SeamwrightError
from parts.shape.outline import Circle


def parsed(path: Path) -> dict[str, Any]:
    script = "console.log(JSON.stringify(new lib().parseSync(require('fs').readFileSync(args[0], 'utf8'))))"
    drawing: dict[str, Any] = node("dxf-parser", script, str(path))
    return drawing


@pytest.mark.parametrize("process", ["router", "laser"])
def test_gdal_finds_each_piece_larger_and_each_cut_out_smaller_by_half_the_kerf(tmp_path, process):
    """Areas by Steiner's formula: A + P k/2 + pi k^2/4 outside (convex outlines), A - P k/2 + pi k^2/4 inside (rounded)."""
    one = sheet(process)
    write_nest(one, tmp_path / "n.dxf")
    _, _, shapes, (layers,) = pyogrio.raw.read(tmp_path / "n.dxf", columns=["Layer"])
    rings = [(layer, shapely.from_wkb(w)) for w, layer in zip(shapes, layers, strict=True) if layer != "label"]
    assert all(ring.is_closed for _, ring in rings)
    half = one.spec.kerf_mm / 2
    outer = sum(shapely.Polygon(r.coords).area for layer, r in rings if layer == "outer-cut")
    net = [p.piece.outline.outer for p in one.placed]
    # GDAL draws arcs as chords of 4 degrees: 0.08 % of a circle's area
    assert outer == pytest.approx(sum(o.area_mm2 + o.length_mm * half + math.pi * half**2 for o in net), rel=5e-4)
    inner = sum(shapely.Polygon(r.coords).area for layer, r in rings if layer == "inner-cut")
    cuts = [i for p in one.placed for i in p.piece.outline.inner] + [Circle(0, 0, 10)] * 2
    assert inner == pytest.approx(sum(i.area_mm2 - i.length_mm * half + math.pi * half**2 for i in cuts), rel=2e-3)
    drilled = sum(shapely.Polygon(r.coords).area for layer, r in rings if layer == "drill")
    assert drilled == pytest.approx(4 * math.pi * 2.6**2, rel=1e-3)  # M6 is bored 5.2 mm: no compensation


def test_the_file_is_in_mm_as_large_as_the_sheet_and_says_that_it_is_compensated(tmp_path):
    one = sheet()
    write_nest(one, tmp_path / "n.dxf")
    drawing = parsed(tmp_path / "n.dxf")
    header = drawing["header"]
    assert (header["$ACADVER"], header["$INSUNITS"]) == ("AC1015", 4)
    assert (header["$EXTMIN"]["x"], header["$EXTMIN"]["y"]) == (0, 0)
    assert (header["$EXTMAX"]["x"], header["$EXTMAX"]["y"]) == (600, 500)
    said = [e["text"] for e in drawing["entities"] if e["type"] == "TEXT"]
    assert any("compensated for a cutter of 6 mm" in text for text in said)
    assert {"lid-1", "lid-2", "plate-1", "wall", "disc"} <= set(said)
    assert said.count("tab") == 3  # the plate of 50 mm
    assert all(e["layer"] == "label" for e in drawing["entities"] if e["type"] == "TEXT")


def test_arcs_are_bulges_and_circles_are_circles_and_nothing_else_is_cut(tmp_path):
    write_nest(sheet(), tmp_path / "n.dxf")
    entities = parsed(tmp_path / "n.dxf")["entities"]
    assert {e["type"] for e in entities} == {"LWPOLYLINE", "CIRCLE", "TEXT"}
    lines = [e for e in entities if e["type"] == "LWPOLYLINE"]
    assert all(e["shape"] for e in lines)  # the closed flag
    lids = [e for e in lines if e["layer"] == "outer-cut" and len(e["vertices"]) == 8]
    bulges = [v.get("bulge", 0.0) for e in lids for v in e["vertices"]]
    assert {round(b, 9) for b in bulges} == {0.0, round(math.tan(math.pi / 8), 9)}
    assert [e["radius"] for e in entities if e["type"] == "CIRCLE" and e["layer"] == "outer-cut"] == [
        pytest.approx(53.0)
    ]


def test_drills_first_then_cut_outs_then_outlines_and_small_pieces_last(tmp_path):
    write_nest(sheet(), tmp_path / "n.dxf")
    layers = [e["layer"] for e in parsed(tmp_path / "n.dxf")["entities"] if e["type"] != "TEXT"]
    assert layers == ["drill"] * 4 + ["inner-cut"] * 4 + ["outer-cut"] * 5 + ["tap-mark"] * 4


def test_the_same_sheet_gives_the_same_bytes(tmp_path):
    write_nest(sheet(), tmp_path / "a.dxf")
    write_nest(sheet(), tmp_path / "b.dxf")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


def test_a_name_that_cannot_stand_in_a_file_is_refused(tmp_path):
    one = sheet()
    spoilt = replace(one, placed=(replace(one.placed[0], name="a\nb"), *one.placed[1:]))
    with pytest.raises(SeamwrightError, match="cannot be a name"):
        write_nest(spoilt, tmp_path / "n.dxf")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("find", "put", "said"),
    [
        (r"\$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1", "is not in mm"),
        (r"(\$EXTMAX\n 10\n)600.0", r"\g<1>601.0", "gives the extents"),
        (r"  8\ninner-cut\n", "  8\nouter-cut\n", "does not hold the sheet's shapes"),
        (r"( 40\n)53.0\n", r"\g<1>50.0\n", "does not hold the sheet's shapes"),
        (r"  1\nwall\n", "  1\nother\n", "does not say wall"),
        (r"(LWPOLYLINE\n(?:.*\n)*? 70\n)1\n", r"\g<1>0\n", "has an open line"),
    ],
)
def test_a_spoilt_file_is_found_out(tmp_path, find, put, said):
    path, one = tmp_path / "n.dxf", sheet()
    write_nest(one, path)
    text = path.read_text("ascii")
    spoilt = re.sub(find, put, text, count=1) if "$" in find else None
    if spoilt is None:
        head, mark, tail = text.partition("ENTITIES\n")
        spoilt = head + mark + re.sub(find, put, tail, count=1)
    assert spoilt != text
    path.write_text(spoilt, "ascii")
    with pytest.raises(WrongFile, match=said):
        check_nest(path, one)


def test_a_file_out_of_order_is_found_out(tmp_path):
    one = sheet()
    write_nest(one, tmp_path / "n.dxf")
    with pytest.raises(WrongFile, match="not in the order of cutting"):
        check_nest(tmp_path / "n.dxf", replace(one, paths=tuple(reversed(one.paths))))
