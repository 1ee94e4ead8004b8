"""DXF profiles, read by GDAL (through pyogrio) and by dxf-parser (npm): neither wrote them."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pyogrio
import pytest
import shapely
from node_tools import node
from samples import flat, panel, pieces_of_all_sorts, tapped_plate

from assemblies.packet.dxf.dxf_file import LAYERS
from assemblies.packet.dxf.profile_dxf import check_profile, write_profile
from assemblies.packet.ink.readback import WrongFile
from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Vertex, rectangle
from parts.shape.piece import Bend, Bevel, Hole, Piece

SORTS = pieces_of_all_sorts()
by_name = pytest.mark.parametrize("piece", SORTS, ids=lambda p: p.name)


def parsed(path: Path) -> dict[str, Any]:
    script = "console.log(JSON.stringify(new lib().parseSync(require('fs').readFileSync(args[0], 'utf8'))))"
    drawing: dict[str, Any] = node("dxf-parser", script, str(path))
    return drawing


@by_name
def test_gdal_sees_closed_shapes_on_their_layers_with_the_pieces_area_and_extents(tmp_path: Path, piece: Piece) -> None:
    write_profile(piece, tmp_path / "a.dxf")
    _, _, shapes, (layers,) = pyogrio.raw.read(tmp_path / "a.dxf", columns=["Layer"])
    area = {"outer-cut": 0.0, "inner-cut": 0.0, "drill": 0.0, "tap-mark": 0.0}
    outer = None
    for wkb, layer in zip(shapes, layers, strict=True):
        if layer == "label":
            continue
        ring = shapely.from_wkb(wkb)
        assert ring.is_closed
        polygon = shapely.Polygon(ring.coords)
        area[layer] += polygon.area
        outer = polygon if layer == "outer-cut" else outer
    assert outer is not None
    # GDAL draws arcs as chords of 4 degrees: 1 - sin(4 deg)/(4 deg in rad) = 0.08 % of a circle's area
    assert area["outer-cut"] == pytest.approx(piece.outline.outer.area_mm2, rel=1e-3)
    assert area["inner-cut"] == pytest.approx(sum(i.area_mm2 for i in piece.outline.inner), rel=1e-3)
    assert area["drill"] == pytest.approx(sum(math.pi * h.bore_mm**2 / 4 for h in piece.holes), rel=1e-3)
    assert outer.bounds == pytest.approx(piece.outline.bounds_mm, abs=piece.size_mm[0] * 1e-3)


@by_name
def test_dxf_parser_sees_every_vertex_bulge_and_circle_once(tmp_path: Path, piece: Piece) -> None:
    write_profile(piece, tmp_path / "a.dxf")
    drawing = parsed(tmp_path / "a.dxf")
    header, entities = drawing["header"], drawing["entities"]
    assert header["$ACADVER"] == "AC1015"
    assert header["$INSUNITS"] == 4
    assert (header["$EXTMIN"]["x"], header["$EXTMIN"]["y"]) == (0.0, 0.0)
    assert (header["$EXTMAX"]["x"], header["$EXTMAX"]["y"]) == pytest.approx(piece.outline.size_mm, abs=1e-12)
    assert {e["type"] for e in entities} <= {"LWPOLYLINE", "CIRCLE", "TEXT"}
    loops = [(layer, loop) for layer, loop in outline_shapes(piece) if isinstance(loop, Loop)]
    lines = [e for e in entities if e["type"] == "LWPOLYLINE"]
    assert len(lines) == len(loops)
    for entity, (layer, loop) in zip(lines, loops, strict=True):
        assert (entity["layer"], entity["shape"]) == (layer, True)  # shape: the closed flag
        found = [(v["x"], v["y"], v.get("bulge", 0.0)) for v in entity["vertices"]]
        assert found == [(v.x_mm, v.y_mm, pytest.approx(v.bulge, rel=1e-12)) for v in loop.vertices]
    circles = [(e["layer"], e["center"]["x"], e["center"]["y"], e["radius"]) for e in entities if e["type"] == "CIRCLE"]
    assert sorted(circles) == sorted(
        (layer, c.x_mm, c.y_mm, c.radius_mm) for layer, c in outline_shapes(piece) if isinstance(c, Circle)
    )


def outline_shapes(piece: Piece) -> list[tuple[str, Loop | Circle]]:
    """What the layers should hold, said a second time and by hand."""
    rows: list[tuple[str, Loop | Circle]] = [("outer-cut", piece.outline.outer)]
    rows += [("inner-cut", loop) for loop in piece.outline.inner]
    rows += [("drill", Circle(h.x_mm, h.y_mm, h.bore_mm / 2)) for h in piece.holes]
    rows += [("tap-mark", Circle(h.x_mm, h.y_mm, h.diameter_mm / 2)) for h in piece.holes if h.kind == "tapped"]
    return rows


def test_the_seven_layers_are_there_in_one_neutral_colour_and_the_audit_is_clean(tmp_path: Path) -> None:
    write_profile(tapped_plate(), tmp_path / "a.dxf")
    document = ezdxf.readfile(tmp_path / "a.dxf")
    assert not document.audit().errors
    # 0 and Defpoints belong to every drawing of this format
    assert {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"} == set(LAYERS)
    assert LAYERS == ("outer-cut", "inner-cut", "drill", "tap-mark", "saw-cut", "score", "bend-line", "label")
    assert {layer.dxf.color for layer in document.layers} == {7}
    assert all(entity.dxf.color == 256 for entity in document.modelspace())  # as its layer


def texts(path: Path) -> list[str]:
    return [e["text"] for e in parsed(path)["entities"] if e["type"] == "TEXT"]


def test_the_label_names_the_part_and_says_what_circles_cannot(tmp_path: Path) -> None:
    write_profile(SORTS[-1], tmp_path / "a.dxf")
    assert texts(tmp_path / "a.dxf") == [
        "sampler",
        "1 x bore 8, 4 deep, from the OTHER face",
        "1 x bore 5, through, countersunk 90 deg to 10, from this face",
        "1 x bore 4, 7 deep, countersunk 90 deg to 8, from the OTHER face",
        "1 x M6, bore 5.2, through",
    ]
    write_profile(tapped_plate(), tmp_path / "b.dxf")
    assert texts(tmp_path / "b.dxf") == ["plate", "4 x M6, bore 5.2, 9 deep, from this face"]
    write_profile(panel("wall", 30, 20), tmp_path / "c.dxf")
    assert texts(tmp_path / "c.dxf") == ["wall"]


@by_name
def test_the_label_starts_inside_the_outline_box_and_keeps_clear_of_it(tmp_path: Path, piece: Piece) -> None:
    write_profile(piece, tmp_path / "a.dxf")
    for entity in parsed(tmp_path / "a.dxf")["entities"]:
        if entity["type"] == "TEXT":
            x, y, height = entity["startPoint"]["x"], entity["startPoint"]["y"], entity["textHeight"]
            assert 0 < x < piece.size_mm[0]
            assert y > 0
            assert y + height < piece.size_mm[1]


def test_the_same_piece_gives_the_same_bytes_and_the_library_setting_is_put_back(tmp_path: Path) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_profile(tapped_plate(), tmp_path / "a.dxf")
    write_profile(panel("wall", 30, 20), tmp_path / "between.dxf")
    write_profile(tapped_plate(), tmp_path / "b.dxf")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    assert b"2000-01-01" in (tmp_path / "a.dxf").read_bytes()


def test_a_loop_of_two_arcs_is_written_as_one(tmp_path: Path) -> None:
    lens = Loop((Vertex(0.0, 10.0, 1.0), Vertex(20.0, 10.0, 1.0)))
    write_profile(flat("lens", lens), tmp_path / "a.dxf")
    (line,) = [e for e in parsed(tmp_path / "a.dxf")["entities"] if e["type"] == "LWPOLYLINE"]
    assert [v["bulge"] for v in line["vertices"]] == [1.0, 1.0]


def test_two_holes_in_one_place_are_one_circle(tmp_path: Path) -> None:
    hole = Hole(x_mm=10, y_mm=10, kind="through", diameter_mm=5.0)
    double = flat("double", rectangle(40, 30), holes=(hole, replace(hole, kind="blind", depth_mm=3.0)))
    write_profile(double, tmp_path / "a.dxf", "STOP, do not make: job rev A")
    assert (tmp_path / "a.dxf").read_text().count("\nCIRCLE\n") == 1
    with pytest.raises(WrongFile, match="does not bear the words GO"):
        check_profile(tmp_path / "a.dxf", double, "GO")


def test_bend_lines_lie_at_the_middle_of_their_arcs_on_a_layer_of_their_own(tmp_path: Path) -> None:
    bend = Bend(x_mm=50, y_mm=0, along_rad=math.pi / 2, angle_rad=1.0, inside_radius_mm=10)
    piece = replace(panel("wall", 100, 50), bends=(bend, replace(bend, x_mm=80, along_rad=-math.pi / 2)))
    write_profile(piece, tmp_path / "a.dxf")
    lines = [e for e in ezdxf.readfile(tmp_path / "a.dxf").modelspace() if e.dxftype() == "LINE"]
    assert [(e.dxf.layer, *e.dxf.start.xyz[:2], *e.dxf.end.xyz[:2]) for e in lines] == [
        ("bend-line", 50.0, 0.0, 50.0, 50.0), ("bend-line", 80.0, 0.0, 80.0, 50.0),
    ]  # fmt: skip
    with pytest.raises(WrongFile, match="has lines of bends and bevels at"):
        check_profile(tmp_path / "a.dxf", replace(piece, bends=(bend,)))


def test_names_that_cannot_stand_in_a_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(SeamwrightError, match="cannot be a name"):
        write_profile(panel("a\nb", 100, 50), tmp_path / "a.dxf")


def entity(kind: str) -> str:
    """A regular expression for one whole entity of this kind."""
    return rf"  0\n{kind}\n(?:(?!  0\n).*\n.*\n)*"


@pytest.mark.parametrize(
    ("find", "put", "said"),
    [
        (r"\$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1", "is not in mm"),
        (r"(\$EXTMAX\n 10\n)50.0", r"\g<1>60.0", "gives the extents"),
        (r"AC1015", "AC1032", "R2000"),
        (r"( 70\n)1(\n 43\n|\n 10\n)", r"\g<1>0\g<2>", "open line on outer-cut"),
        (r"( 10\n)12.5\n", r"\g<1>12.8\n", "shape on drill"),
        (rf"({entity('CIRCLE')})", r"\1\1", "one line twice"),
        (r"  8\ntap-mark\n", "  8\ndrill\n", "shape on tap-mark"),
        (r"CIRCLE\n", "SPLINE\n", "SPLINE, which are not to be cut"),
        (r"  1\nplate\n", "  1\nother\n", "does not bear the words plate"),
        (r"  0\nEOF\n", "", "is cut short"),
        (r" 20\n50.0\n", " 20\n0.0\n", "is not a DXF file of ours"),
    ],
)
def test_a_spoilt_file_is_found_out(tmp_path: Path, find: str, put: str, said: str) -> None:
    path = tmp_path / "a.dxf"
    write_profile(tapped_plate(), path)
    text = path.read_text("ascii")
    head, mark, tail = text.partition("ENTITIES\n")
    spoilt = head + mark + re.sub(find, put, tail, count=1)
    if spoilt == text:
        spoilt = re.sub(find, put, head, count=1) + mark + tail
    assert spoilt != text
    path.write_text(spoilt, "ascii")
    with pytest.raises(WrongFile, match=said):
        check_profile(path, tapped_plate())


def test_the_inner_edge_of_a_bevel_lies_on_a_layer_of_its_own_and_is_said(tmp_path: Path) -> None:
    """By hand: 6 mm at 30 degrees cuts 6 tan 30 = 3.464 mm back."""
    piece = replace(panel("wall", 100, 50), bevels=(Bevel(edge=2, angle_rad=math.radians(30.0), side="near"),))
    write_profile(piece, tmp_path / "a.dxf")
    found = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    (line,) = [e for e in found if e.dxftype() == "LINE"]
    back = piece.thickness_mm * math.tan(math.radians(30.0))
    assert line.dxf.layer == "bevel"
    assert [line.dxf.start.y, line.dxf.end.y] == pytest.approx([50.0 - back] * 2)
    said = f"1 x bevel 30 deg from square, {back:.4g} back on the OTHER face"
    assert said in [e.dxf.text for e in found if e.dxftype() == "TEXT"]
