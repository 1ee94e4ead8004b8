"""Border, title block, projection symbol and tables of a drawing sheet.

Source: ISO 5457 (border: 20 mm to file by, 10 mm elsewhere), ISO 7200:2004 (fields, at most 180 mm wide), ISO 5456-2 and
ISO 128-3 (symbol of the projection method), all from memory. What only a person can say stays empty: owner, approval, date.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.packet.drawings.drawing_views import Projection
from assemblies.packet.ink.primitives import Circle, Line, Polyline, Text, text_width_mm
from assemblies.packet.ink.sheet_items import Box, Mark

__all__ = [
    "HEIGHT",
    "PAPERS",
    "PAPER_NAMES",
    "WIDTH",
    "Cell",
    "TitleFacts",
    "border",
    "fitted",
    "frame_of",
    "table",
    "title_block",
    "wrapped",
]

PAPERS: Final[dict[str, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
PAPER_NAMES: Final = {"a4": "A4", "letter": "US letter"}
WIDTH: Final = 180.0
_ROW: Final = 8.0
HEIGHT: Final = 5 * _ROW
_FILE, _EDGE = 20.0, 10.0
_HEAD, _LEAST = 1.8, 1.6  # height of a field's name, and the least a value is drawn at


@dataclass(frozen=True, kw_only=True)
class TitleFacts:
    """What the title block says; every value is ready to print."""

    title: str
    part: str
    identification: str
    document: str
    revision: str
    scale: str
    sheet: str
    paper: str
    material: str
    thickness: str
    quantity: str
    mass: str
    tolerance: str
    projection: Projection
    units: str


@dataclass(frozen=True)
class Cell:
    """A field: its name, its value, its width in mm."""

    name: str
    value: str
    wide: float
    height: float = 2.5
    bold: bool = False


def frame_of(width: float, height: float) -> Box:
    """The drawing area of a sheet."""
    return _FILE, _EDGE, width - _EDGE, height - _EDGE


def border(width: float, height: float) -> Iterator[Mark]:
    """The frame and its four centring marks."""
    x0, y0, x1, y1 = frame_of(width, height)
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    yield Polyline(points=corners, closed=True, layer="frame", of="frame")
    middle_x, middle_y, inward = (x0 + x1) / 2.0, (y0 + y1) / 2.0, 3.0
    for ax, ay, bx, by in (
        (middle_x, 5.0, middle_x, y0),
        (middle_x, height - 5.0, middle_x, y1),
        (5.0, middle_y, x0 + inward, middle_y),
        (width - 5.0, middle_y, x1 - inward, middle_y),
    ):
        yield Line(x0=ax, y0=ay, x1=bx, y1=by, layer="frame", of="frame")


def title_block(facts: TitleFacts, right: float, low: float) -> Iterator[Mark]:
    """The block in the lower right corner of the frame."""
    left = right - WIDTH
    rows = (
        (
            Cell("legal owner", "", 50.0),
            Cell("document type", facts.document, 42.0),
            Cell("created by", "Seamwright", 34.0),
            Cell("approved by", "", 54.0),
        ),
        (Cell("title", facts.title, 110.0, 3.0), Cell("part", facts.part, 70.0, 3.0, bold=True)),
        (
            Cell("material", facts.material, 54.0),
            Cell("thickness", facts.thickness, 78.0),
            Cell("quantity", facts.quantity, 26.0),
            Cell("mass", facts.mass, 22.0),
        ),
        (
            Cell("general tolerance, if not stated otherwise", facts.tolerance, 124.0),
            Cell("units", facts.units, 28.0),
            Cell("projection", "", 28.0),
        ),
        (
            Cell("identification number", facts.identification, 62.0),
            Cell("revision", facts.revision, 20.0),
            Cell("date of issue", "", 34.0),
            Cell("scale", facts.scale, 20.0, bold=True),
            Cell("paper", facts.paper, 22.0),
            Cell("sheet", facts.sheet, 22.0),
        ),
    )
    top = low + HEIGHT
    yield Polyline(points=((left, low), (right, low), (right, top), (left, top)), closed=True)
    for number, cells in enumerate(rows):
        y = top - _ROW * (number + 1)
        if number < len(rows) - 1:
            yield Line(x0=left, y0=y, x1=right, y1=y, layer="dimension")
        x = left
        for cell in cells:
            if x > left:
                yield Line(x0=x, y0=y, x1=x, y1=y + _ROW, layer="dimension")
            yield Text(x=x + 1.2, y=y + _ROW - 2.6, text=cell.name, height=_HEAD)
            if cell.name == "projection":
                yield from _symbol(facts.projection, x + 16.0, y + 2.6)
            elif cell.value:
                text, height = fitted(cell.value, cell.wide - 2.4, cell.height, cell.bold)
                yield Text(x=x + 1.2, y=y + 1.3, text=text, height=height, bold=cell.bold)
            x += cell.wide


def _symbol(projection: Projection, x: float, y: float) -> Iterator[Mark]:
    """A truncated cone and its view from the left, which stands right of it (first angle) or left of it (third).

    The narrow end is on the left; its height is half of that of the wide one, which is as high as the cone is long.
    """
    big, small = 1.8, 0.9
    cone, rings = (x - 3.5, x + 3.5) if projection == "first" else (x + 3.5, x - 3.5)
    yield Polyline(
        points=((cone - big, y - small), (cone + big, y - big), (cone + big, y + big), (cone - big, y + small)),
        closed=True,
    )
    for radius in (small, big):
        yield Circle(x=rings, y=y, radius=radius)
    for middle in (cone, rings):
        yield Line(x0=middle - big - 0.7, y0=y, x1=middle + big + 0.7, y1=y, layer="centre")
    yield Line(x0=rings, y0=y - big - 0.4, x1=rings, y1=y + big + 0.4, layer="centre")


def fitted(text: str, room: float, height: float, bold: bool = False) -> tuple[str, float]:
    """The text on one line and the height at which it goes into the room; shortened with an ellipsis if even the least
    height is too large."""
    line = " ".join(text.split())
    wide = text_width_mm(line, height, bold)
    if wide <= room:
        return line, height
    least = max(_LEAST, height * room / wide)
    if least > _LEAST:
        return line, round(least - 0.005, 2)
    while line and text_width_mm(line + "…", _LEAST, bold) > room:
        line = line[:-1]
    return line.rstrip() + "…", _LEAST


def wrapped(text: str, room: float, height: float) -> list[str]:
    """The text in lines no wider than the room; a word that is too long stays whole on its line, shortened."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, height) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return [line if text_width_mm(line, height) <= room else fitted(line, room, height)[0] for line in lines]


def table(
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    left: float,
    top: float,
    row: float,
    height: float = 2.0,
    *,
    right: Sequence[bool] = (),
    head_below: bool = False,
) -> Iterator[Mark]:
    """A ruled table; the first of the rows is its head, at the top, or at the bottom with the rows running up."""
    ordered = list(reversed(rows)) if head_below else list(rows)
    wide, low = sum(widths), top - row * len(ordered)
    yield Polyline(points=((left, low), (left + wide, low), (left + wide, top), (left, top)), closed=True)
    for number in range(1, len(ordered)):
        wide_rule = number == (len(ordered) - 1 if head_below else 1)
        y = top - row * number
        yield Line(x0=left, y0=y, x1=left + wide, y1=y, layer="visible" if wide_rule else "dimension")
    x = left
    for column, space in enumerate(widths):
        if column:
            yield Line(x0=x, y0=low, x1=x, y1=top, layer="dimension")
        to_right = bool(right) and right[column]
        for number, cells in enumerate(ordered):
            if not cells[column]:
                continue
            head = cells is rows[0]
            text, size = fitted(cells[column], space - 2.0, height, bold=head)
            y = top - row * number - row / 2.0 - size / 2.0
            place = x + space - 1.0 if to_right else x + 1.0
            yield Text(x=place, y=y, text=text, height=size, anchor="end" if to_right else "start", bold=head)
        x += space
