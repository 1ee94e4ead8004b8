"""Drawings as DXF, read by ezdxf, by dxf-parser (npm) and by GDAL: real dimensions that measure the piece, real text."""

from __future__ import annotations

import io
import re
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from node_tools import node
from random_pieces import random_piece
from samples import FACTS, flat, panel, pieces_of_all_sorts

from assemblies.packet.drawings.drawing import DrawingSettings, part_sheets
from assemblies.packet.drawings.title_block import frame_of
from assemblies.packet.dxf.drawing_dxf import LAYERS, drawing_dxf
from assemblies.packet.ink.primitives import Circle as Ring
from assemblies.packet.ink.primitives import Ellipse, Text, bounds_of
from assemblies.packet.ink.sheet_items import Sheet
from parts.shape.outline import rectangle, rounded_rectangle
from parts.shape.piece import Hole, Piece

SORTS = pieces_of_all_sorts()
SAMPLER = SORTS[-1]


def written(folder: Path, sheets: tuple[Sheet, ...]) -> Path:
    path = folder / "drawing.dxf"
    path.write_bytes(drawing_dxf(sheets))
    return path


def plain(text: str) -> str:
    """The text that a CAD program shows for the codes of the format."""
    text = re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m[1], 16)), text)  # when the file is read
    signs = {"%%c": "Ø", "%%d": "°", "%%p": "±", "%%%": "%"}
    return re.sub("%%[cdp%]", lambda m: signs[m[0]], text).replace("^ ", "^")


@pytest.mark.parametrize("piece", [*SORTS, *map(random_piece, range(10))], ids=lambda p: p.name)
def test_every_dimension_measures_what_it_says(tmp_path: Path, piece: Piece) -> None:
    """DIMENSION: its own points times the factor of its style (DIMLFAC) is the figure that is written."""
    sheets = part_sheets(piece, FACTS)
    document = ezdxf.readfile(written(tmp_path, sheets))
    assert not document.audit().errors
    found = document.modelspace().query("DIMENSION")
    assert len(found) == sum(len(s.dimensions) for s in sheets) >= 2
    for dimension in found:
        factor = document.dimstyles.get(dimension.dxf.dimstyle).dxf.dimlfac
        assert factor == pytest.approx(1.0 / sheets[0].scale)
        number = float(plain(dimension.dxf.text).removeprefix("Ø"))
        assert number == pytest.approx(dimension.get_measurement() * factor, abs=0.005 + 1e-9)
        block = document.blocks.get(dimension.dxf.geometry)
        assert [plain(t.dxf.text) for t in block.query("TEXT")] == [plain(dimension.dxf.text)]
        assert len(block.query("SOLID")) == 2  # arrowheads


def test_an_independent_reader_finds_the_dimensions_texts_layers_and_unit(tmp_path: Path) -> None:
    sheets = part_sheets(SAMPLER, FACTS)
    path = written(tmp_path, sheets)
    script = """
      const fs = require("fs");
      const found = new lib().parseSync(fs.readFileSync(args[0], "utf8"));
      const layers = Object.keys(found.tables.layer.layers);
      console.log(JSON.stringify({header: found.header, entities: found.entities, layers}))
    """
    read: dict[str, Any] = node("dxf-parser", script, str(path))
    assert read["header"]["$INSUNITS"] == 4
    assert set(LAYERS) <= set(read["layers"])
    kinds = Counter(entity["type"] for entity in read["entities"])
    assert kinds["DIMENSION"] == len(sheets[0].dimensions)
    texts = Counter(plain(e["text"]) for e in read["entities"] if e["type"] == "TEXT")
    loose = [m for m in sheets[0].items if isinstance(m, Text)]  # those of dimensions are in their blocks
    assert texts == Counter(m.text for m in loose)
    assert {e["layer"] for e in read["entities"] if e["type"] == "TEXT"} == {"text"}
    assert {e["layer"] for e in read["entities"]} <= set(LAYERS)


def test_gdal_sees_the_frame_where_it_belongs_and_the_view_as_large_as_the_piece_at_scale(tmp_path: Path) -> None:
    import pyogrio

    piece = flat("lid", rectangle(240.0, 130.0))
    (sheet,) = part_sheets(piece, FACTS)
    _, _, shapes, fields = pyogrio.raw.read(written(tmp_path, (sheet,)), columns=["Layer"])
    boxes = [bounds(shape) for shape in shapes]
    layers = list(fields[0])
    frame = max(
        (b for b, layer in zip(boxes, layers, strict=True) if layer == "frame"),
        key=lambda b: (b[2] - b[0]) * (b[3] - b[1]),
    )
    assert frame == pytest.approx(frame_of(sheet.width_mm, sheet.height_mm), abs=1e-6)
    x, y = sheet.views[0].at
    wide, high = 240.0 * sheet.scale, 130.0 * sheet.scale
    seen = [b for b, layer in zip(boxes, layers, strict=True) if layer == "visible"]
    edges = {tuple(round(c, 4) for c in b) for b in seen}
    for edge in (
        (x, y, x + wide, y),
        (x, y + high, x + wide, y + high),
        (x, y, x, y + high),
        (x + wide, y, x + wide, y + high),
    ):
        assert tuple(round(c, 4) for c in edge) in edges


def bounds(wkb: bytes) -> tuple[float, float, float, float]:
    import shapely

    box = shapely.from_wkb(wkb).bounds
    return box[0], box[1], box[2], box[3]


def test_layers_have_the_line_types_and_widths_of_the_standard(tmp_path: Path) -> None:
    """ISO 128-2: visible wide and continuous, hidden narrow and dashed, centre narrow and long-dashed dotted; 2 to 1."""
    document = ezdxf.readfile(written(tmp_path, part_sheets(SAMPLER, FACTS)))
    wide = document.layers.get("visible").dxf.lineweight
    for layer, line_type in (
        ("visible", "Continuous"),
        ("hidden", "HIDDEN"),
        ("centre", "CENTRE"),
        ("dimension", "Continuous"),
    ):
        entry = document.layers.get(layer)
        assert entry.dxf.linetype == line_type
        if layer != "visible":
            assert wide / entry.dxf.lineweight == pytest.approx(2.0, abs=0.1)  # 0.35 to 0.18 mm
    assert document.linetypes.get("CENTRE").simplified_line_pattern() == pytest.approx((4.0, 0.9, 0.4, 0.9))


def test_arcs_and_ellipses_are_where_the_primitives_have_them(tmp_path: Path) -> None:
    curves = (
        Ellipse(x=60, y=60, a=30, b=10, turn_rad=0.4),
        Ellipse(x=60, y=120, a=10, b=30, turn_rad=0.2, start_rad=0.5, sweep_rad=1.7),
        Ellipse(x=120, y=120, a=12, b=12, turn_rad=0.3, start_rad=2.0, sweep_rad=-1.1),
        Ellipse(x=120, y=60, a=25, b=9, turn_rad=1.0, start_rad=2.0, sweep_rad=-2.5),
        Ring(x=160, y=200, radius=7.0),
    )
    path = written(tmp_path, (Sheet(width_mm=210, height_mm=297, scale=1, items=curves),))
    from ezdxf.path import make_path

    for item, entity in zip(curves, ezdxf.readfile(path).modelspace(), strict=True):
        points = np.array([(p.x, p.y) for p in make_path(entity).flattening(0.001)])
        box = bounds_of([item])
        if isinstance(item, Ellipse):
            exact = np.array([item.at(item.start_rad + t * item.sweep_rad) for t in np.linspace(0.0, 1.0, 400)])
            if not item.is_whole:  # the same ends, in whichever sense it is drawn
                ends = (exact[0], exact[-1]) if np.linalg.norm(points[0] - exact[0]) < 1e-3 else (exact[-1], exact[0])
                assert np.allclose((points[0], points[-1]), ends, atol=1e-6)
            away = np.linalg.norm(points[:, None] - exact[None], axis=2)
            assert away.min(axis=1).max() < 0.26  # half of the longest step: 400 points on at most 30 x 2 pi mm
            assert away.min(axis=0).max() < 3.0
        else:
            assert np.allclose([*points.min(axis=0), *points.max(axis=0)], box, atol=0.01)


def test_sheets_stand_side_by_side_and_the_extents_hold_them(tmp_path: Path) -> None:
    holes = tuple(
        Hole(x_mm=10 + 10 * i, y_mm=10 + 10 * j, kind="through", diameter_mm=3) for i in range(29) for j in range(29)
    )
    sheets = part_sheets(flat("sieve", rectangle(300, 300), holes=holes), FACTS)
    document = ezdxf.readfile(written(tmp_path, sheets))
    frames = [e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "frame"]
    lefts = sorted(min(p[0] for p in frame.get_points()) for frame in frames)
    assert lefts == pytest.approx([20.0 + k * (sheets[0].width_mm + 20.0) for k in range(len(sheets))])
    assert document.header["$EXTMAX"][0] == pytest.approx(len(sheets) * (sheets[0].width_mm + 20.0) - 20.0)


def test_the_file_is_ascii_r2000_in_mm_and_the_same_every_time() -> None:
    from ezdxf import options

    sheets = part_sheets(flat("lid", rounded_rectangle(120, 80, 10)), FACTS, DrawingSettings(dual=True))
    before = options.write_fixed_meta_data_for_testing
    data = drawing_dxf(sheets)
    assert data == drawing_dxf(sheets)
    assert options.write_fixed_meta_data_for_testing == before
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    assert (document.dxfversion, document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == ("AC1015", 4, 1)


@pytest.mark.parametrize(
    "said",
    [
        "Wellenbecken f\u00fcr \u6ce2, 5 % of 9 %%c",
        "a^Jb ^ ^I",
        r"\U+0041 \\U+00e9",
        "50 %\u00b0 %%%",
        "4 \u00d7 5 \u2026",
    ],
)
def test_what_a_cad_program_copies_out_is_what_was_written_in(said: str) -> None:
    """Other scripts, and what the format would take for its own codes; read by the library's own reader too."""
    sheet = Sheet(width_mm=210, height_mm=297, scale=1, items=(Text(x=50, y=50, text=said),))
    document = ezdxf.read(io.StringIO(drawing_dxf((sheet,)).decode("ascii")))
    (text,) = document.modelspace().query("TEXT")
    assert plain(text.dxf.text) == said
    text.dxf.text = re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m[1], 16)), text.dxf.text)
    assert text.plain_text() == said


def test_dimensions_of_a_plain_panel_are_its_sizes(tmp_path: Path) -> None:
    document = ezdxf.readfile(written(tmp_path, part_sheets(panel("wall", 300.0, 150.0), FACTS)))
    assert sorted(float(d.dxf.text) for d in document.modelspace().query("DIMENSION")) == [6.0, 150.0, 300.0]
