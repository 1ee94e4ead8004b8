"""Drawing sheets to DXF R2000: the sheet at true size in mm of paper, real text, real dimensions.

Layers bear our words: `visible hidden centre dimension leader text frame`. Every linear dimension is a DIMENSION entity that
measures the piece, not the paper (its style multiplies by the scale), drawn by the same lines as in the PDF. Sheets after
the first stand right of it. Everything is ASCII: signs are the format's own (`%%c %%d %%p`), `x` stands for the times sign, and
only what a user wrote in other letters is in `\\U+` codes, which not every reader knows.

Source: DXF reference (release 2000), DIMENSION, DIMSTYLE group 144 (DIMLFAC), TEXT, LAYER group 370 (line width).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from assemblies.packet.dxf.dxf_file import NEUTRAL, Box, dxf_bytes, dxf_text
from assemblies.packet.ink.primitives import DASHES_MM, WIDTH_MM, Circle, Ellipse, Layer, Line, Polyline, Text
from assemblies.packet.ink.sheet_items import Dimension, Mark, Sheet

__all__ = ["LAYERS", "drawing_dxf"]

LAYERS: Final = ("visible", "hidden", "centre", "dimension", "leader", "text", "frame")
_BETWEEN = 20.0  # from sheet to sheet
_LINE_TYPES: Final[dict[str, str]] = {"hidden": "HIDDEN", "centre": "CENTRE"}
_STYLE, _BOLD = "SHEET", "SHEET-BOLD"


def drawing_dxf(sheets: Sequence[Sheet]) -> bytes:
    """A DXF file of these sheets; the same sheets give the same bytes."""
    return dxf_bytes(lambda document: _draw(document, sheets))


def _draw(document: Any, sheets: Sequence[Sheet]) -> Box:
    _prepare(document)
    left = 0.0
    for number, sheet in enumerate(sheets, 1):
        _sheet(document, sheet, left, number)
        left += sheet.width_mm + _BETWEEN
    return 0.0, 0.0, left - _BETWEEN, max(sheet.height_mm for sheet in sheets)


def _prepare(document: Any) -> None:
    document.header["$LWDISPLAY"] = 1
    dashed: tuple[Layer, ...] = ("hidden", "centre")
    for kind in dashed:
        dashes, name = DASHES_MM[kind], _LINE_TYPES[kind]
        pattern = [sum(dashes), *(d if k % 2 == 0 else -d for k, d in enumerate(dashes))]
        document.linetypes.add(name, pattern=pattern, description=f"{kind} lines")
    widths = {str(name): width for name, width in WIDTH_MM.items()}
    for name in LAYERS:
        width = widths.get(name, 0.18)
        layer = document.layers.add(name, color=NEUTRAL, linetype=_LINE_TYPES.get(name, "Continuous"))
        layer.dxf.lineweight = round(width * 100.0)
    document.styles.add(_STYLE, font="DejaVuSansCondensed.ttf")
    document.styles.add(_BOLD, font="DejaVuSansCondensed-Bold.ttf")


def _sheet(document: Any, sheet: Sheet, left: float, number: int) -> None:
    space = document.modelspace()
    style = f"SHEET-{number}"
    entry = document.dimstyles.add(style)
    entry.dxf.dimlfac = 1.0 / sheet.scale
    entry.dxf.dimtxt, entry.dxf.dimasz, entry.dxf.dimexo, entry.dxf.dimexe = 2.5, 2.5, 0.8, 1.5
    entry.dxf.dimtxsty = _STYLE
    for item in sheet.items:
        if isinstance(item, Dimension):
            _dimension(document, item, left, style)
        else:
            _mark(space, item, left)


def _dimension(document: Any, item: Dimension, left: float, style: str) -> None:
    """A DIMENSION with its own block of lines: a reader shows these, and finds what is measured in the entity."""
    block = document.blocks.new_anonymous_block(type_char="D")
    for mark in item.items:
        _mark(block, mark, left)
    level = item.axis == "x"

    def at(along: float, off: float) -> tuple[float, float, float]:
        return (along + left, off, 0.0) if level else (off + left, along, 0.0)

    words = next(mark for mark in item.items if isinstance(mark, Text))
    document.modelspace().new_entity(
        "DIMENSION",
        {
            "layer": "dimension",
            "dimstyle": style,
            "geometry": block.name,
            "dimtype": 32 + 128,
            "text": dxf_text(item.text),
            "defpoint": at(item.b, item.row),
            "defpoint2": at(item.a, item.feet[0]),
            "defpoint3": at(item.b, item.feet[1]),
            "text_midpoint": (words.x + left, words.y, 0.0),
            "angle": 0.0 if level else 90.0,
            "actual_measurement": item.b - item.a,
        },
    )


def _mark(space: Any, mark: Mark, left: float) -> None:
    if isinstance(mark, Text):
        _text(space, mark, left)
        return
    where: dict[str, str] = {"layer": mark.layer}
    if isinstance(mark, Line):
        space.add_line((mark.x0 + left, mark.y0), (mark.x1 + left, mark.y1), dxfattribs=where)
    elif isinstance(mark, Polyline):
        points = [(x + left, y) for x, y in mark.points]
        if mark.solid:
            space.add_solid([*points, points[-1]], dxfattribs=where)
        else:
            space.add_lwpolyline(points, close=mark.closed, dxfattribs=where)
    elif isinstance(mark, Circle):
        space.add_circle((mark.x + left, mark.y), mark.radius, dxfattribs=where)
    else:
        _ellipse(space, mark, left, where)


def _ellipse(space: Any, mark: Ellipse, left: float, where: dict[str, str]) -> None:
    centre = mark.x + left, mark.y
    start, sweep = mark.start_rad, mark.sweep_rad
    if sweep < 0.0:
        start, sweep = start + sweep, -sweep
    if abs(mark.a - mark.b) < 1e-9:
        if mark.is_whole:
            space.add_circle(centre, mark.a, dxfattribs=where)
        else:
            first = math.degrees(start + mark.turn_rad)
            space.add_arc(centre, mark.a, first, first + math.degrees(sweep), dxfattribs=where)
        return
    a, b, turn = mark.a, mark.b, mark.turn_rad
    if a < b:  # the format wants the longer half axis first
        a, b, turn, start = b, a, turn + math.pi / 2.0, start - math.pi / 2.0
    major = a * math.cos(turn), a * math.sin(turn)
    ends = (0.0, math.tau) if mark.is_whole else (start, start + sweep)
    space.add_ellipse(centre, major, max(b / a, 1e-6), *ends, dxfattribs=where)


def _text(space: Any, mark: Text, left: float) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    style = _BOLD if mark.bold else _STYLE
    entity = space.add_text(dxf_text(mark.text), height=mark.height, dxfattribs={"layer": "text", "style": style})
    if mark.turned:
        entity.dxf.rotation = 90.0
        entity.set_placement((mark.x + left, mark.y), align=Align.CENTER)
        return
    align = {"start": Align.LEFT, "middle": Align.CENTER, "end": Align.RIGHT}[mark.anchor]
    entity.set_placement((mark.x + left, mark.y), align=align)
