"""The saw plan of each sheet as DXF and SVG, from the report's `cutting` alone.

DXF (R2000, mm, the sheet's lower-left corner at (0, 0)): each piece net as a closed line on `outer-cut`; the middle of the
kerf of every saw cut as a line on `saw-cut` (on `score` where it is snapped); its step number, the pieces' names, the
offcuts and the words about the kerf on `label`, the sheet's own edge too. The cuts lie beside the pieces by half a kerf:
that is the compensation, and the file says so.

SVG: the same as a drawing for print, with sizes in the order's units.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assemblies.packet.bench.detail import laid, marks
from assemblies.packet.bench.sheet_picture import View, foot, head, named, outlined, page_size, size_words
from assemblies.packet.dxf.dxf_file import (
    MM,
    RELEASE,
    Box,
    add_layers,
    dxf_bytes,
    dxf_entities,
    dxf_text,
    dxf_words,
    rounded,
)
from assemblies.packet.ink.crowd import Crowd
from assemblies.packet.ink.primitives import Circle, Line, Primitive, Text, text_box
from assemblies.packet.ink.readback import WrongFile, check_name, expect, write_checked
from assemblies.packet.ink.svg import svg
from assemblies.report.base import titled
from assemblies.report.figures import drawn_sheets, kerf_words, sheet_title
from parts.lengths import LengthUnit, write_named

if TYPE_CHECKING:
    from assemblies.shop.plan.plan import CuttingPlan

__all__ = ["check_sheet_dxf", "sheet_svg", "write_cutting", "write_plan"]

Plain = dict[str, Any]
_TEXT_MM = 25.0  # the largest text on a whole sheet


def write_plan(report: Plain, plan: CuttingPlan, folder: Path, unit: LengthUnit) -> None:
    """Everything that is cut, drawn: the sheets of the saw, `nest-N.dxf` and `nest-N.svg` of router and laser.

    Args:
        report: of an order, or of a plan for several; `cutting` and `nesting` are read.
        plan: the nests' paths are taken from it.
        folder: must be there.
        unit: of the sizes on the drawings; the DXF files are in mm.

    Raises:
        as `write_cutting`.
    """
    write_cutting(report, folder)
    sheets = [sheet for one, _ in plan.nests for sheet in one.sheets]
    if not sheets:
        return
    from assemblies.packet.bench.nest_svg import nest_svg
    from assemblies.packet.dxf.nest_dxf import write_nest

    for number, (sheet, said) in enumerate(zip(sheets, report["nesting"]["sheets"], strict=True), 1):
        write_nest(sheet, folder / f"nest-{number}.dxf", _title(report), unit)
        drawing = nest_svg(sheet, number, unit, _title(report), said["offcuts"])
        (folder / f"nest-{number}.svg").write_bytes(drawing.encode("utf-8"))


def write_cutting(report: Plain, folder: Path) -> None:
    """`sheet-N.dxf` and `sheet-N.svg` for every sheet of the report's `cutting`; of those cut alike for the first.

    Raises:
        SeamwrightError: a piece's name cannot stand in a file.
        WrongFile: a file did not read back as the plan.
        OSError: a file cannot be written.
    """
    cutting = report.get("cutting", {"sheets": []})
    for sheet in drawn_sheets(cutting):
        steps = [step for step in cutting["steps"] if step["sheet"] == sheet["number"]]
        stem = folder / f"sheet-{sheet['number']}"
        _write_dxf(sheet, steps, stem.with_suffix(".dxf"), _title(report), cutting["units"])
        drawing = sheet_svg(sheet, steps, cutting["units"], _title(report))
        stem.with_suffix(".svg").write_bytes(drawing.encode("utf-8"))


def _title(report: Plain) -> str:
    orders = report.get("orders", [report])
    return titled(report, ", ".join(f"{o['name']} rev {o['revision']}" for o in orders))


# ---- DXF


def _write_dxf(sheet: Plain, steps: Sequence[Plain], path: Path, title: str, unit: LengthUnit) -> None:
    for placed in sheet["placed"]:
        check_name(placed["name"])
    data = dxf_bytes(lambda document: _draw(document, sheet, steps, title, unit))
    write_checked(path, data, lambda p: check_sheet_dxf(p, sheet, steps, title, unit))


def _draw(document: Any, sheet: Plain, steps: Sequence[Plain], title: str, unit: LengthUnit) -> Box:
    add_layers(document)
    space = document.modelspace()
    for layer, box in _rectangles(sheet):
        space.add_lwpolyline(_corners(box), close=True, dxfattribs={"layer": layer})
    for x0, y0, x1, y1 in _cut_lines(steps):
        space.add_line((x0, y0), (x1, y1), dxfattribs={"layer": _cut_layer(sheet)})
    for words, x, y, height in _dxf_texts(sheet, steps, title, unit):
        space.add_text(dxf_text(words), height=height, dxfattribs={"layer": "label", "insert": (x, y)})
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


def _cut_layer(sheet: Plain) -> str:
    return "score" if sheet["process"] == "score-and-snap" else "saw-cut"


def _kerf_words(sheet: Plain, title: str, unit: LengthUnit) -> list[str]:
    way = (
        "snapped along the lines of layer score, which take nothing"
        if _cut_layer(sheet) == "score"
        else (
            f"compensated for a kerf of {kerf_words(sheet['kerf'], unit)}: the middle of each saw cut is on layer saw-cut"
        )
    )
    return [
        *([title] if title else []),
        f"{_said(sheet)}: {sheet['stock']}, {sheet['material']} {write_named(sheet['thickness'], unit)}",
        f"pieces are net on layer outer-cut, {way}",
        f"small numbers are the steps, in the order of cutting{_others(sheet)}",
    ]


def _dxf_texts(
    sheet: Plain, steps: Sequence[Plain], title: str, unit: LengthUnit
) -> Iterator[tuple[str, float, float, float]]:
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
    lines = _kerf_words(sheet, title, unit)
    x0, y0, x1, y1 = max(map(_box, (*sheet["offcuts"], *sheet["waste"], *sheet["placed"])), key=_area)
    height = min(_TEXT_MM, 0.9 * (x1 - x0) / max(map(len, lines)), 0.06 * (y1 - y0))
    for number, words in enumerate(reversed(lines)):
        yield words, x0 + 0.03 * (x1 - x0), y0 + 0.06 * (y1 - y0) + 1.6 * height * number, height


def check_sheet_dxf(path: Path, sheet: Plain, steps: Sequence[Plain], title: str = "", unit: LengthUnit = "mm") -> None:
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
                texts[dxf_words(next(value for code, value in tags if code == "1"))] += layer == "label"
            else:
                closed = kind != "LWPOLYLINE" or any(code == "70" and int(value) & 1 for code, value in tags)
                expect(path, closed, f"has an open line on {layer}")
                numbers = [float(value) for code, value in tags if code in ("10", "20", "11", "21")]
                found[kind, layer, rounded(numbers)] += 1
    except WrongFile:
        raise
    except (KeyError, IndexError, ValueError, StopIteration) as error:
        raise WrongFile(f"{path.name}: is not a DXF file of ours ({error!r})") from error
    wanted = Counter(
        ("LWPOLYLINE", layer, rounded(c for corner in _corners(box) for c in corner))
        for layer, box in _rectangles(sheet)
    )
    wanted += Counter(("LINE", _cut_layer(sheet), rounded(line)) for line in _cut_lines(steps))
    expect(path, found == wanted, f"has other lines than the plan: {_first((found - wanted) + (wanted - found))}")
    said = Counter(words for words, *_ in _dxf_texts(sheet, steps, title, unit))
    expect(path, texts == said, f"has other words than the plan: {_first((texts - said) + (said - texts))}")


def _first(found: Counter[Any]) -> Any:
    return next(iter(found), "")


# ---- SVG


_RING = 2.3
_TICK_MM, _TICKS_MM = 1.4, 4.0  # length and distance of the ticks at a trimmed edge
_REACH = 4.0  # around a detail, mm of the sheet: cuts beside its pieces are in it


def sheet_svg(sheet: Plain, steps: Sequence[Plain], unit: LengthUnit, title: str = "") -> str:
    """One sheet as a drawing for a page across: pieces with name and size, cuts with step numbers, offcuts labelled.

    A sheet that is higher than wide is drawn lying, its lower-left corner at the upper left; the words say so. Pieces too
    small for their names are named below.
    """
    boxes, rests = ({row["name"]: _box(row) for row in sheet[key]} for key in ("placed", "offcuts"))
    drawn = laid(sheet["size"], lambda view: _foot(sheet, view, unit, steps), boxes, rests)
    view, (width, height) = drawn.view, sheet["size"]
    items: list[Primitive] = [outlined(view.box((0.0, 0.0, width, height)), "dimension"), *_trimmed(view, sheet, steps)]
    for row in sheet["waste"]:
        items += _hatch(view.box(_box(row)))
    for row in sheet["offcuts"]:
        words = [row["name"], f"label: {row['label']}", size_words(view.seen(row["size"]), unit)]
        items += named(view.box(_box(row)), words)
    whole = (0.0, 0.0, width, height)
    items += _shown(view, sheet["placed"], steps, whole, unit, lambda texts: marks(view, drawn.details, texts))
    for one in drawn.details:
        placed = [row for row in sheet["placed"] if row["name"] in one.names]
        items += [one.caption, *_shown(one.view, placed, steps, one.window, unit)]
    page = page_size(view)
    items += head(page[1], _head(sheet, unit), f"{title}. {sheet['mass']:.1f} kg.")
    items += foot(view, drawn.said)
    return svg(items, *page, f"{title}: {_said(sheet)}")


def _shown(
    view: View,
    placed: Sequence[Plain],
    steps: Sequence[Plain],
    window: Box,
    unit: LengthUnit,
    more: Callable[[Sequence[Box]], Iterator[Primitive]] = lambda texts: iter(()),
) -> Iterator[Primitive]:
    """Pieces with name and size, and of the cuts what lies in a window of the sheet, each with the number of its step."""
    cuts = [(step["step"], _clipped(step["line"], window)) for step in steps]
    cut = [(number, (*view.point(*line[:2]), *view.point(*line[2:]))) for number, line in cuts if line is not None]
    for number, (a, b, c, d) in cut:
        yield Line(x0=a, y0=b, x1=c, y1=d, layer="centre", of=f"step {number}")
    texts: list[Text] = []
    for row in placed:
        box = view.box(_box(row))
        yield outlined(box, "visible", row["name"])
        texts += named(box, [row["name"], size_words(view.seen([row["w"], row["h"]]), unit)], bold=True)
    yield from texts
    also = list(more([text_box(text) for text in texts]))
    yield from also
    yield from _step_marks(view, cut, [text_box(t) for t in (*texts, *also) if isinstance(t, Text)])


def _clipped(line: Sequence[float], window: Box) -> Box | None:
    """What of a cut along x or y lies in a window, half a kerf around it too; None where nothing does."""
    x0, y0, x1, y1 = max(line[0], window[0] - _REACH), max(line[1], window[1] - _REACH), *line[2:]
    x1, y1 = min(x1, window[2] + _REACH), min(y1, window[3] + _REACH)
    return (x0, y0, x1, y1) if x0 <= x1 and y0 <= y1 and max(x1 - x0, y1 - y0) > 2.0 * _REACH else None


def _trimmed(view: View, sheet: Plain, steps: Sequence[Plain]) -> Iterator[Primitive]:
    """Ticks outside each edge of the sheet whose factory edge is taken off."""
    width, height = sheet["size"]
    for step in steps:
        if step.get("role") != "trim":
            continue
        x, y = step["line"][:2]
        if step["axis"] == "x":
            at = 0.0 if x < width / 2.0 else width
            edge, out = ((at, 0.0), (at, height)), (-1.0 if at == 0.0 else 1.0, 0.0)
        else:
            at = 0.0 if y < height / 2.0 else height
            edge, out = ((0.0, at), (width, at)), (0.0, -1.0 if at == 0.0 else 1.0)
        (a, b), (c, d) = (view.point(*end) for end in edge)
        (e, f), (g, h) = view.point(0.0, 0.0), view.point(*out)
        across = (_TICK_MM * (g - e) / view.scale, _TICK_MM * (h - f) / view.scale)
        count = max(2, round(math.dist((a, b), (c, d)) / _TICKS_MM))
        for k in range(1, count):
            u, v = a + (c - a) * k / count, b + (d - b) * k / count
            yield Line(x0=u, y0=v, x1=u + across[0], y1=v + across[1], layer="visible", of=f"trimmed {step['step']}")


def _hatch(box: Box) -> list[Primitive]:
    """Waste is crossed out where there is room to see it."""
    x0, y0, x1, y1 = box
    if min(x1 - x0, y1 - y0) < 1.0:
        return []
    return [Line(x0=x0, y0=y0, x1=x1, y1=y1, layer="dimension"), Line(x0=x0, y0=y1, x1=x1, y1=y0, layer="dimension")]


def _step_marks(view: View, cuts: Sequence[tuple[int, Box]], taken: Sequence[Box]) -> Iterator[Primitive]:
    """A ring with the step's number on each cut line where it hides no text and no other ring, else beside it on a leader."""
    texts, marked = Crowd(taken), Crowd(taken)
    for number, (a, b, c, d) in cuts:
        on = [(a + (c - a) * k / 16.0, b + (d - b) * k / 16.0) for k in (1, 2, 3, 5, 7, 9, 11, 13, 14, 15)]
        middle = (a + c) / 2.0, (b + d) / 2.0
        free = (p for p in chain(on, _beside(view, middle)) if not marked.covers(*p, _RING))
        x, y = next((p for p in free if p in on or not _crosses(middle, p, texts)), on[0])
        marked.add((x - _RING, y - _RING, x + _RING, y + _RING))
        if (x, y) not in on:
            short = 1.0 - _RING / math.dist(middle, (x, y))
            end = middle[0] + short * (x - middle[0]), middle[1] + short * (y - middle[1])
            yield Line(x0=middle[0], y0=middle[1], x1=end[0], y1=end[1], layer="leader")
        height = 1.8
        yield Circle(x=x, y=y, radius=_RING, fill="clear", layer="visible")
        yield Text(x=x, y=y - height / 2.0, text=str(number), height=height, anchor="middle")


def _beside(view: View, middle: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """Places round the middle of a cut, ever further out, as far as they are on the sheet."""
    x, y = middle
    left, low, right, top = view.paper
    for reach in (4.0, 5.5, 7.0, 9.0, 11.0, 13.5, 16.0, 19.0, 23.0, 28.0):
        for across, up in ((1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1), (0, 1), (0, -1)):
            u, v = x + across * reach, y + up * reach
            if left + _RING < u < right - _RING and low + _RING < v < top - _RING:
                yield u, v


def _crosses(start: tuple[float, float], end: tuple[float, float], texts: Crowd) -> bool:
    """Whether a leader runs over a text, looked at in twenty places."""
    places = ((start[0] + k / 20.0 * (end[0] - start[0]), start[1] + k / 20.0 * (end[1] - start[1])) for k in range(21))
    return any(texts.covers(*place) for place in places)


def _head(sheet: Plain, unit: LengthUnit) -> str:
    own = sheet_title(sheet["stock"], sheet["material"], sheet["thickness"], sheet["size"], unit)
    return f"{_said(sheet).capitalize()}: {own}"


def _said(sheet: Plain) -> str:
    """Which sheet it is, or for which it stands."""
    return str(sheet.get("said", f"sheet {sheet['number']}"))


def _others(sheet: Plain) -> str:
    """What is to be known of the sheets that are cut alike."""
    same = (
        f": those of sheet {sheet['number']}; the others are cut at the same settings, and take the labels as they come"
    )
    return same if "said" in sheet and sheet["said"] != f"sheet {sheet['number']}" else ""


def _foot(sheet: Plain, view: View, unit: LengthUnit, steps: Sequence[Plain]) -> list[str]:
    kerf = f"kerf {kerf_words(sheet['kerf'], unit)}, its middle on the dashed line" if sheet["kerf"] else "no kerf"
    sizes = " Sizes in mm." if unit == "mm" else ""
    trims = any(step.get("role") == "trim" for step in steps)
    ticks = " Ticks outside an edge: the factory edge, trimmed off first." if trims else ""
    return [
        f"Pieces at their net size. Numbers in rings: the steps of the cutting plan; {kerf}. Crossed out: waste."
        f"{ticks}{sizes}",
        *([f"Steps{others}."] if (others := _others(sheet)) else []),
        f"Places in the plan count from this corner of the sheet: {view.corner_words}.",
    ]
