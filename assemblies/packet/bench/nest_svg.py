"""One nested sheet as a drawing for a page across: the outline of each piece where it lies, its holes, its name and size."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from assemblies.packet.bench.detail import laid, marks
from assemblies.packet.bench.sheet_picture import View, foot, head, named, outlined, page_size, size_words
from assemblies.packet.dxf.dxf_file import Box
from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.primitives import Layer, Primitive, Text, text_box
from assemblies.packet.ink.svg import svg
from assemblies.report.figures import kerf_words, sheet_title
from assemblies.shop.nest.model import NestPlace, NestSheet, put
from parts.lengths import LengthUnit
from parts.shape.outline import Circle, Loop

__all__ = ["nest_svg"]


def nest_svg(
    sheet: NestSheet, number: int, unit: LengthUnit, title: str = "", offcuts: Sequence[Mapping[str, Any]] = ()
) -> str:
    """The pieces at their net size on their sheet; a sheet that is higher than wide is drawn lying, and the words say so.

    Args:
        sheet: as it is cut.
        offcuts: what is left of it for the rack, as in the report.
        number: of the nest, from 1.
        unit: of the sizes shown.
        title: whose it is.
    """
    size = sheet.stock.width_mm, sheet.stock.height_mm
    boxes = {place.name: _box(place) for place in sheet.placed}
    drawn = laid(size, lambda view: _foot(sheet, view, number, unit), boxes, {})
    view = drawn.view
    items: list[Primitive] = [outlined(view.box((0.0, 0.0, *size)), "dimension")]
    for rest in offcuts:
        items += _offcut(view, rest, unit)
    items += _pieces(view, sheet.placed, unit)
    items += marks(view, drawn.details, [text_box(item) for item in items if isinstance(item, Text)])
    for one in drawn.details:
        items += [one.caption, *_pieces(one.view, [p for p in sheet.placed if p.name in one.names], unit)]
    page = page_size(view)
    items += head(page[1], _head(sheet, number, unit), f"{title}. Cut by {sheet.spec.process}.")
    items += foot(view, drawn.said)
    return svg(items, *page, f"{title}: nest {number}")


def _box(place: NestPlace) -> Box:
    wide, high = place.size_mm
    return place.x_mm, place.y_mm, place.x_mm + wide, place.y_mm + high


def _pieces(view: View, placed: Sequence[NestPlace], unit: LengthUnit) -> Iterator[Primitive]:
    """Every outline, then the names over them."""
    for place in placed:
        yield from _piece(view, place)
    for place in placed:
        yield from _name(view, place, unit)


def _piece(view: View, place: NestPlace) -> Iterator[Primitive]:
    def shown(loop: Loop | Circle, layer: Layer) -> Iterator[Primitive]:
        return (replace(item, of=place.name) for item in loop_lines(view.loop(loop), layer))

    yield from shown(place.outer, "visible")
    for loop in _inside(place):
        yield from shown(loop, "dimension")


def _name(view: View, place: NestPlace, unit: LengthUnit) -> list[Text]:
    """Name and size in the middle of the piece, or above or below all its holes where these would lie under them."""
    x0, y0, x1, y1 = whole = view.box(_box(place))
    lines = [place.name, size_words(view.seen(place.size_mm), unit)]
    holes = [view.loop(loop).bounds_mm for loop in _inside(place)]
    texts = named(whole, lines, bold=True)
    if not any(_meet(text_box(text), hole) for text in texts for hole in holes):
        return texts
    above, below = (x0, max(h[3] for h in holes), x1, y1), (x0, y0, x1, min(h[1] for h in holes))
    room = max(above, below, key=lambda box: box[3] - box[1])
    return named(room, lines, bold=True) or texts


def _offcut(view: View, rest: Mapping[str, Any], unit: LengthUnit) -> Iterator[Primitive]:
    (wide, high), x, y = rest["size"], rest["x"], rest["y"]
    box = view.box((x, y, x + wide, y + high))
    yield outlined(box, "centre")
    yield from named(box, [rest["name"], f"label: {rest['label']}", size_words(view.seen((wide, high)), unit)])


def _inside(place: NestPlace) -> list[Loop | Circle]:
    """Cut-outs and holes where they lie."""
    bores = (put(Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0), place) for hole in place.piece.holes)
    return [*place.inner, *bores]


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _head(sheet: NestSheet, number: int, unit: LengthUnit) -> str:
    size = (sheet.stock.width_mm, sheet.stock.height_mm)
    return f"Nest {number}: {sheet_title(sheet.stock.name, sheet.material, sheet.thickness_mm, size, unit)}"


def _foot(sheet: NestSheet, view: View, number: int, unit: LengthUnit) -> list[str]:
    sizes = " Sizes in mm." if unit == "mm" else ""
    kerf = kerf_words(sheet.spec.kerf_mm, unit)
    return [
        f"Pieces at net size, offcuts dashed. Paths in cutting/nest-{number}.dxf stand off by half the kerf, {kerf}.{sizes}",
        f"Places count from this corner of the sheet: {view.corner_words}.",
    ]
