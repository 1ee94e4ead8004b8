"""The saw plan of each sheet as DXF and SVG, from the report's `cutting` alone.

DXF (R2000, mm, the sheet's lower-left corner at (0, 0)): each piece net as a closed line on `outer-cut`; the middle of the
kerf of every saw cut as a line on `score`, its step number, the pieces' names, the offcuts and the words about the kerf on
`label`, the sheet's own edge too. The cuts lie beside the pieces by half a kerf: that is the compensation, and the file
says so.

SVG: the same as a drawing for print, with sizes in the order's units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from assemblies.packet.dxf_file import MM, RELEASE, Box, add_layers, dxf_bytes, dxf_entities, rounded
from assemblies.packet.primitives import Circle, Line, Polyline, Primitive, Text, text_box, text_width_mm
from assemblies.packet.readback import WrongFile, check_name, expect, write_checked
from assemblies.packet.svg import svg
from parts.lengths import LengthUnit, write_length

__all__ = ["check_sheet_dxf", "sheet_svg", "write_cutting"]

Plain = dict[str, Any]
_TEXT_MM = 25.0  # the largest text on a whole sheet


def write_cutting(report: Plain, folder: Path) -> None:
    """`sheet-N.dxf` and `sheet-N.svg` for every sheet of the report's `cutting`.

    Raises:
        SeamwrightError: a piece's name cannot stand in a file.
        WrongFile: a file did not read back as the plan.
        OSError: a file cannot be written.
    """
    cutting = report.get("cutting", {"sheets": []})
    for sheet in cutting["sheets"]:
        steps = [step for step in cutting["steps"] if step["sheet"] == sheet["number"]]
        stem = folder / f"sheet-{sheet['number']}"
        _write_dxf(sheet, steps, stem.with_suffix(".dxf"))
        drawing = sheet_svg(sheet, steps, cutting["units"], _title(report))
        stem.with_suffix(".svg").write_bytes(drawing.encode("utf-8"))


def _title(report: Plain) -> str:
    if "orders" in report:
        return ", ".join(f"{o['name']} rev {o['revision']}" for o in report["orders"])
    return f"{report['name']} rev {report['revision']}"


# ---- DXF


def _write_dxf(sheet: Plain, steps: Sequence[Plain], path: Path) -> None:
    for placed in sheet["placed"]:
        check_name(placed["name"])
    data = dxf_bytes(lambda document: _draw(document, sheet, steps))
    write_checked(path, data, lambda p: check_sheet_dxf(p, sheet, steps))


def _draw(document: Any, sheet: Plain, steps: Sequence[Plain]) -> Box:
    add_layers(document)
    space = document.modelspace()
    for layer, box in _rectangles(sheet):
        space.add_lwpolyline(_corners(box), close=True, dxfattribs={"layer": layer})
    for x0, y0, x1, y1 in _cut_lines(steps):
        space.add_line((x0, y0), (x1, y1), dxfattribs={"layer": "score"})
    for words, x, y, height in _dxf_texts(sheet, steps):
        space.add_text(words, height=height, dxfattribs={"layer": "label", "insert": (x, y)})
    return 0.0, 0.0, sheet["size"][0], sheet["size"][1]


def _box(row: Plain) -> Box:
    w, h = (row["w"], row["h"]) if "w" in row else row["size"]
    return row["x"], row["y"], row["x"] + w, row["y"] + h


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _corners(box: Box) -> list[tuple[float, float]]:
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _rectangles(sheet: Plain) -> list[tuple[str, Box]]:
    """The pieces to be cut, and the sheet itself, which is not."""
    width, height = sheet["size"]
    return [*(("outer-cut", _box(placed)) for placed in sheet["placed"]), ("label", (0.0, 0.0, width, height))]


def _cut_lines(steps: Sequence[Plain]) -> list[Box]:
    return [tuple(step["line"]) for step in steps]


def _kerf_words(sheet: Plain) -> list[str]:
    way = "snapped along the lines of layer score, which take nothing" if not sheet["kerf"] else (
        f"compensated for a kerf of {sheet['kerf']:g} mm: the middle of each saw cut is on layer score"
    )  # fmt: skip
    return [
        f"sheet {sheet['number']}: {sheet['stock']}, {sheet['material']} {sheet['thickness']:g} mm",
        f"pieces are net on layer outer-cut, {way}",
        "small numbers are the steps, in the order of cutting",
    ]


def _dxf_texts(sheet: Plain, steps: Sequence[Plain]) -> Iterator[tuple[str, float, float, float]]:
    """Words, place, height."""
    for row in (*sheet["placed"], *sheet["offcuts"]):
        x0, y0, x1, y1 = _box(row)
        words = row["name"]
        height = min(_TEXT_MM, 0.8 * (x1 - x0) / len(words), 0.3 * (y1 - y0))
        yield words, x0 + 0.1 * (x1 - x0), y0 + 0.45 * (y1 - y0), height
    for step in steps:
        x0, y0, x1, y1 = step["line"]
        height = min(_TEXT_MM / 2.0, 0.05 * max(x1 - x0, y1 - y0))
        yield str(step["step"]), x0 + 0.02 * (x1 - x0), y0 + 0.02 * (y1 - y0), height
    lines = _kerf_words(sheet)
    x0, y0, x1, y1 = max(map(_box, (*sheet["offcuts"], *sheet["waste"], *sheet["placed"])), key=_area)
    height = min(_TEXT_MM, 0.9 * (x1 - x0) / max(map(len, lines)), 0.06 * (y1 - y0))
    for number, words in enumerate(reversed(lines)):
        yield words, x0 + 0.03 * (x1 - x0), y0 + 0.06 * (y1 - y0) + 1.6 * height * number, height


def check_sheet_dxf(path: Path, sheet: Plain, steps: Sequence[Plain]) -> None:
    """Hold a DXF file against the plan, read tag by tag: units, extents, every piece and cut once, every name and step.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    try:
        header, entities = dxf_entities(path)
        expect(path, header["$ACADVER"][0] == ("1", RELEASE), "is not in R2000 form")
        expect(path, header["$INSUNITS"][0] == ("70", str(MM)), "is not in mm")
        extents = [float(value) for _, value in header["$EXTMAX"][:2]]
        right = rounded(extents) == rounded(sheet["size"])
        expect(path, right, f"gives the extents {extents} mm, not {sheet['size']} mm")
        found: Counter[tuple[str, str, tuple[float, ...]]] = Counter()
        texts: Counter[str] = Counter()
        for kind, tags in entities:
            layer = next(value for code, value in tags if code == "8")
            if kind == "TEXT":
                texts[next(value for code, value in tags if code == "1")] += layer == "label"
            else:
                closed = kind != "LWPOLYLINE" or any(code == "70" and int(value) & 1 for code, value in tags)
                expect(path, closed, f"has an open line on {layer}")
                numbers = [float(value) for code, value in tags if code in ("10", "20", "11", "21")]
                found[kind, layer, rounded(numbers)] += 1
    except WrongFile:
        raise
    except (KeyError, IndexError, ValueError, StopIteration) as error:
        raise WrongFile(f"{path.name}: is no DXF file of ours ({error!r})") from error
    wanted = Counter(
        ("LWPOLYLINE", layer, rounded(c for corner in _corners(box) for c in corner))
        for layer, box in _rectangles(sheet)
    )
    wanted += Counter(("LINE", "score", rounded(line)) for line in _cut_lines(steps))
    expect(path, found == wanted, f"has other lines than the plan: {_first((found - wanted) + (wanted - found))}")
    said = Counter(words for words, *_ in _dxf_texts(sheet, steps))
    expect(path, texts == said, f"has other words than the plan: {_first((texts - said) + (said - texts))}")


def _first(found: Counter[Any]) -> Any:
    return next(iter(found), "")


# ---- SVG


_PAGE = (277.0, 190.0)  # A4 across, less 10 mm all round
_HEAD, _FOOT = 14.0, 10.0
_SMALL, _LEAST = 2.4, 1.2
_RING = 1.7


def sheet_svg(sheet: Plain, steps: Sequence[Plain], unit: LengthUnit, title: str = "") -> str:
    """One sheet as a drawing for a page across: pieces with name and size, cuts with step numbers, offcuts labelled.

    A sheet that is higher than wide is drawn lying, its lower-left corner at the upper left; the words say so.
    """
    width, height = sheet["size"]
    lying = height > width
    long, short = (height, width) if lying else (width, height)
    scale = min(_PAGE[0] / long, (_PAGE[1] - _HEAD - _FOOT) / short)
    view = _View(scale=scale, lying=lying, short=short, x=10.0, y=10.0 + _FOOT)
    items: list[Primitive] = [_outline(view.box((0.0, 0.0, width, height)), "dimension")]
    for step in steps:
        items += _cut(view, step)
    for row in sheet["waste"]:
        items += _hatch(view.box(_box(row)))
    for row in sheet["offcuts"]:
        items += _named(
            view.box(_box(row)), [row["name"], f"label: {row['label']}", _size(view.seen(row["size"]), unit)]
        )
    for row in sheet["placed"]:
        box = view.box(_box(row))
        items += [_outline(box, "visible", row["name"])]
        items += _named(box, [row["name"], _size(view.seen([row["w"], row["h"]]), unit)], bold=True)
    items += _step_marks(view, steps, [text_box(item) for item in items if isinstance(item, Text)])
    page = 10.0 + view.y + short * scale + _HEAD
    items += _words(sheet, unit, title, lying, page)
    return svg(items, _PAGE[0] + 20.0, page, f"{title}: sheet {sheet['number']}")


class _View:
    """From the sheet to the paper; a lying sheet is turned clockwise by a quarter."""

    def __init__(self, *, scale: float, lying: bool, short: float, x: float, y: float) -> None:
        self.scale, self.lying, self.short, self.x, self.y = scale, lying, short, x, y

    def point(self, x: float, y: float) -> tuple[float, float]:
        u, v = (y, self.short - x) if self.lying else (x, y)
        return self.x + u * self.scale, self.y + v * self.scale

    def seen(self, size: Sequence[float]) -> Sequence[float]:
        """A size as it is seen on the page: across, then up."""
        return size[::-1] if self.lying else size

    def box(self, box: Box) -> Box:
        (x0, y0), (x1, y1) = self.point(box[0], box[1]), self.point(box[2], box[3])
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _outline(box: Box, layer: Any, of: str = "") -> Polyline:
    return Polyline(points=tuple(_corners(box)), closed=True, layer=layer, of=of)


def _size(size: Sequence[float], unit: LengthUnit) -> str:
    """Both sides; without the unit in mm, which the drawing says once."""
    return " x ".join(write_length(v, unit).removesuffix(" mm" if unit == "mm" else "") for v in size)


def _cut(view: _View, step: Plain) -> list[Primitive]:
    x0, y0, x1, y1 = step["line"]
    (a, b), (c, d) = view.point(x0, y0), view.point(x1, y1)
    return [Line(x0=a, y0=b, x1=c, y1=d, layer="centre", of=f"step {step['step']}")]


def _hatch(box: Box) -> list[Primitive]:
    """Waste is crossed out where there is room to see it."""
    x0, y0, x1, y1 = box
    if min(x1 - x0, y1 - y0) < 1.0:
        return []
    return [
        Line(x0=x0, y0=y0, x1=x1, y1=y1, layer="dimension"),
        Line(x0=x0, y0=y1, x1=x1, y1=y0, layer="dimension"),
    ]


def _named(box: Box, lines: Sequence[str], *, bold: bool = False) -> list[Primitive]:
    """Lines in the middle of a box, as large as they fit; a box too small for its name keeps what fits."""
    x0, y0, x1, y1 = box
    while lines:
        widest = max(text_width_mm(line, 1.0, bold) for line in lines)
        size = min(_SMALL, 0.92 * (x1 - x0) / widest, (y1 - y0) / (1.7 * len(lines) + 0.6))
        if size >= _LEAST or len(lines) == 1:
            break
        lines = lines[:-1]
    if size < 0.7:
        return []
    top = (y0 + y1) / 2.0 + 0.85 * size * len(lines) - 1.3 * size
    return [
        Text(x=(x0 + x1) / 2.0, y=top - 1.7 * size * k, text=line, height=size, anchor="middle", bold=bold and k == 0)
        for k, line in enumerate(lines)
    ]


def _step_marks(view: _View, steps: Sequence[Plain], taken: list[Box]) -> Iterator[Primitive]:
    """A ring with the step's number on each cut line, where it hides no text and no other ring if there is such a place."""
    marked = list(taken)
    for step in steps:
        x0, y0, x1, y1 = step["line"]
        (a, b), (c, d) = view.point(x0, y0), view.point(x1, y1)
        places = [(a + (c - a) * k / 16.0, b + (d - b) * k / 16.0) for k in (1, 2, 3, 5, 7, 9, 11, 13, 14, 15)]
        x, y = next((p for p in places if not any(_near(p, box) for box in marked)), places[0])
        marked.append((x - _RING, y - _RING, x + _RING, y + _RING))
        height = 1.5 if step["step"] < 100 else 1.1
        yield Circle(x=x, y=y, radius=_RING, fill="clear", layer="visible")
        yield Text(x=x, y=y - height / 2.0, text=str(step["step"]), height=height, anchor="middle")


def _near(point: tuple[float, float], box: Box) -> bool:
    x, y = point
    return box[0] - _RING < x < box[2] + _RING and box[1] - _RING < y < box[3] + _RING


def _words(sheet: Plain, unit: LengthUnit, title: str, lying: bool, page: float) -> Iterator[Primitive]:
    """Above: which sheet of what. Below: what the lines mean."""
    head = f"Sheet {sheet['number']}: {sheet['stock']} ({_size(sheet['size'], unit)}), {sheet['material']}"
    thick = f"{write_length(sheet['thickness'], unit)} nominal"
    yield Text(x=10.0, y=page - 13.0, text=f"{head}, {thick}", height=3.2, bold=True)
    yield Text(x=10.0, y=page - 18.5, text=f"{title}. {sheet['mass']:.1f} kg.", height=2.2)
    corner = "upper left; drawn lying, turned clockwise" if lying else "lower left"
    kerf = f"kerf {write_length(sheet['kerf'], unit)}, its middle on the dashed line" if sheet["kerf"] else "no kerf"
    sizes = " Sizes in mm." if unit == "mm" else ""
    yield Text(
        x=10.0, y=13.0, height=2.0,
        text=f"Pieces at their net size. Numbers in rings: the steps of the cutting plan; {kerf}. Crossed out: waste.{sizes}",
    )  # fmt: skip
    yield Text(x=10.0, y=9.0, height=2.0, text=f"Places in the plan count from this corner of the sheet: {corner}.")
