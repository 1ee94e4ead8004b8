"""The exploded view as a printed sheet: isometric, hidden lines removed, item numbers and a parts list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.design import Design, Placed
from assemblies.explode import Exploded, Step
from assemblies.facets import Floats
from assemblies.packet.balloons import GAP_MM, RADIUS_MM, Spot, anchors, columns, numbered
from assemblies.packet.hidden_lines import Scene, projected, scene_lines, to_picture
from assemblies.packet.primitives import (
    Circle,
    Line,
    Primitive,
    Text,
    bounds_of,
    moved,
    text_width_mm,
)
from assemblies.packet.svg import svg
from parts.lengths import LengthUnit, write_length
from parts.piece import Piece

__all__ = ["PartRow", "exploded_sheet", "exploded_svg", "parts_list", "projected"]

_MARGIN = 6.0
_TITLE = 15.0
_ROW = 5.6
_TEXT = 2.2
_PICTURE_HIGH = 165.0  # a sheet no higher than A4 across, where the parts list stands beside the picture
_SIDE = 2.0 * RADIUS_MM + 7.0  # a column of balloons and the air between it and the picture
_MANY = 24  # above so many instances, a part that repeats is numbered once: judgement


@dataclass(frozen=True)
class PartRow:
    """One line of the parts list."""

    item: str
    part: str
    count: int
    size: str


@dataclass(frozen=True)
class _Frame:
    """Where things stand on the paper, mm: picture area, parts list, sheet."""

    width: float
    height: float
    left: float
    right: float
    low: float
    high: float
    table_x: float
    table_top: float


def exploded_svg(
    design: Design, exploded: Exploded, *, width_mm: float = 277.0, unit: LengthUnit = "mm"
) -> str:
    """The exploded view as an SVG file, mm, `width_mm` wide (default: A4 across less 10 mm each side).

    Deterministic: the same design gives the same bytes. Sizes in the parts list are in `unit`.
    """
    items, width, height = exploded_sheet(design, exploded, width_mm=width_mm, unit=unit)
    return svg(items, width, height, f"{design.title}, exploded view")


def exploded_sheet(
    design: Design, exploded: Exploded, *, width_mm: float = 277.0, unit: LengthUnit = "mm"
) -> tuple[tuple[Primitive, ...], float, float]:
    """The same as primitives for any other renderer: what is on the sheet, its width and its height (mm, y up)."""
    scene = Scene(design.placed, exploded.offsets)
    lines = scene_lines(scene)
    paths = _paths(scene, exploded)
    rows = parts_list(design, unit)
    frame, scale, shift = _frame(width_mm, rows, [*lines, *paths])
    picture = [moved(item, scale, *shift) for item in [*paths, *lines]]
    dots = {name: (x * scale + shift[0], y * scale + shift[1]) for name, (x, y) in anchors(scene, lines).items()}
    items = [*picture, *_balloons(design, dots, frame), *_table(rows, frame), *_title(design, frame)]
    return tuple(items), frame.width, frame.height


def parts_list(design: Design, unit: LengthUnit) -> tuple[PartRow, ...]:
    """Each part once, numbered in order of first use: item, part, how many in one assembly, finished size."""
    counts: dict[str, int] = {}
    for placed in design.placed:
        counts[placed.piece.name] = counts.get(placed.piece.name, 0) + 1
    first: dict[str, Piece] = {}
    for placed in design.placed:
        first.setdefault(placed.piece.name, placed.piece)
    return tuple(
        PartRow(str(k), name, counts[name], _size(piece, unit)) for k, (name, piece) in enumerate(first.items(), 1)
    )


def _size(piece: Piece, unit: LengthUnit) -> str:
    """`300 × 150 × 6 mm`; each with its own unit where one has a remainder."""
    texts = [write_length(side, unit) for side in piece.size_mm]
    ending = f" {unit}"
    if all(text.endswith(ending) and text.count(" mm") + text.count(" in") == 1 for text in texts):
        return " × ".join(text.removesuffix(ending) for text in texts) + ending
    return " × ".join(texts)


def _frame(
    width: float, rows: Sequence[PartRow], drawing: Sequence[Primitive]
) -> tuple[_Frame, float, tuple[float, float]]:
    """Lay out the sheet: the parts list on the right if it leaves room, else below; the picture as large as it can be."""
    table_wide, table_high = sum(_widths(rows)), _ROW * (len(rows) + 1)
    beside = table_wide + _MARGIN < 0.4 * width
    left = _MARGIN + _SIDE
    right = width - _MARGIN - _SIDE - ((table_wide + _MARGIN) if beside else 0.0)
    x0, y0, x1, y1 = bounds_of(drawing) if drawing else (0.0, 0.0, 1.0, 1.0)
    wide, high = max(x1 - x0, 1e-6), max(y1 - y0, 1e-6)
    scale = min((right - left) / wide, _PICTURE_HIGH / high)
    least = _least_high(len(rows))
    area_high = max(high * scale, least, table_high if beside else 0.0)
    below = 0.0 if beside else table_high + _MARGIN
    height = _MARGIN + below + area_high + _TITLE + _MARGIN
    low = _MARGIN + below
    frame = _Frame(
        width=width,
        height=height,
        left=left,
        right=right,
        low=low,
        high=low + area_high,
        table_x=width - _MARGIN - table_wide if beside else _MARGIN,
        table_top=low + area_high if beside else _MARGIN + table_high,
    )
    shift = (
        (left + right - wide * scale) / 2.0 - x0 * scale,
        low + (area_high - high * scale) / 2.0 - y0 * scale,
    )
    return frame, scale, shift


def _least_high(balloons: int) -> float:
    """Room for half the balloons in each column."""
    return (2.0 * RADIUS_MM + GAP_MM) * (balloons + 1) / 2.0


def _paths(scene: Scene, exploded: Exploded) -> list[Primitive]:
    """For each piece the seen part of its way from where it belongs: from its middle back to the next piece or its place."""
    steps = {step.name: step for step in exploded.steps}
    out: list[Primitive] = []
    for placed in scene.placed:
        step = steps.get(placed.name)
        if step is None or step.distance_mm <= 0.0:
            continue
        start, end = _path(placed, step, scene.placed)
        chord = np.array([to_picture(start), to_picture(end)])
        for a, b in scene.seen_spans(chord):
            (x0, y0), (x1, y1) = ((chord[0] + part * (chord[1] - chord[0]))[:2] for part in (a, b))
            out.append(Line(x0=float(x0), y0=float(y0), x1=float(x1), y1=float(y1), layer="centre", of=placed.name))
    return out


def _path(placed: Placed, step: Step, everything: Sequence[Placed]) -> tuple[Floats, Floats]:
    """Start and end in the world."""
    low, high = (np.array(corner) for corner in placed.box)
    middle, back = (low + high) / 2.0, -np.array(step.direction)
    with np.errstate(divide="ignore"):
        reach = np.min(np.where(np.abs(back) > 1e-9, (high - low) / 2.0 / np.abs(back), np.inf))
    start = middle + reach * back
    length = step.distance_mm
    for other in everything:
        if other.name != placed.name:
            length = min(length, _meets(start, back, other))
    return start, start + length * back


def _meets(start: Floats, way: Floats, other: Placed) -> float:
    """How far along a line it enters the box of a piece; infinite if it does not."""
    low, high = (np.array(corner) for corner in other.box)
    if (((start <= low) | (start >= high)) & (np.abs(way) < 1e-9)).any():
        return float("inf")
    moving = np.abs(way) >= 1e-9
    times = np.sort(np.stack([low - start, high - start])[:, moving] / way[moving], axis=0)
    enter, leave = float(times[0].max()), float(times[1].min())
    return enter if leave > enter and enter > 1e-6 else float("inf")


def _balloons(design: Design, dots: dict[str, tuple[float, float]], frame: _Frame) -> list[Primitive]:
    numbers = numbered({p.name: p.piece.name for p in design.placed})
    shown = [(numbers[p.name], p.name) for p in design.placed]
    if len(shown) > _MANY:
        shown = [(number, name) for number, name in {number: (number, name) for number, name in shown[::-1]}.values()]
    wanted = [(f"{number} {name}", *dots[name]) for number, name in shown]
    edges = (
        _MARGIN + RADIUS_MM,
        frame.low + RADIUS_MM,
        frame.high - RADIUS_MM,
        frame.right + _SIDE - RADIUS_MM,
    )
    out: list[Primitive] = []
    for spot in columns(wanted, edges, (frame.left + frame.right) / 2.0):
        out.extend(_balloon(spot))
    return out


def _balloon(spot: Spot) -> list[Primitive]:
    number, name = spot.item.split(" ", 1)
    away = np.array([spot.to_x - spot.x, spot.to_y - spot.y])
    long = float(np.hypot(*away)) or 1.0
    x, y = np.array([spot.to_x, spot.to_y]) - away / long * RADIUS_MM
    return [
        Line(x0=spot.x, y0=spot.y, x1=float(x), y1=float(y), layer="leader", of=name),
        Circle(x=spot.x, y=spot.y, radius=0.55, fill="solid", layer="leader", of=name),
        Circle(x=spot.to_x, y=spot.to_y, radius=RADIUS_MM, fill="clear", layer="leader", of=name),
        Text(x=spot.to_x, y=spot.to_y - 1.25, text=number, height=2.5, anchor="middle", of=name),
    ]


_HEADS = PartRow("item", "part", 0, "size")


def _cells(row: PartRow) -> tuple[str, str, str, str]:
    return row.item, row.part, "count" if row is _HEADS else str(row.count), row.size


def _widths(rows: Sequence[PartRow]) -> list[float]:
    cells = [_cells(row) for row in (_HEADS, *rows)]
    return [
        max(text_width_mm(row[k], _TEXT, bold=cells.index(row) == 0) for row in cells) + (4.0 if k < 3 else 0.0)
        for k in range(4)
    ]


def _table(rows: Sequence[PartRow], frame: _Frame) -> list[Primitive]:
    """The parts list from its top left corner, a thin rule under its heads."""
    widths = _widths(rows)
    out: list[Primitive] = []
    for line, row in enumerate((_HEADS, *rows)):
        y = frame.table_top - _ROW * line - 0.7 * _ROW
        x = frame.table_x
        for k, (cell, wide) in enumerate(zip(_cells(row), widths, strict=True)):
            right = k in (0, 2)
            at = x + wide - 4.0 if right else x
            out.append(Text(x=at, y=y, text=cell, height=_TEXT, anchor="end" if right else "start", bold=line == 0))
            x += wide
    rule = frame.table_top - _ROW
    out.append(Line(x0=frame.table_x, y0=rule, x1=frame.table_x + sum(widths), y1=rule, layer="leader"))
    return out


def _title(design: Design, frame: _Frame) -> list[Primitive]:
    """Title and revision, and under it what the picture is."""
    top = frame.height - _MARGIN
    revision = f"revision {design.revision}"
    room = frame.width - 2.0 * _MARGIN - text_width_mm(revision, 2.5) - 6.0
    made = f"{design.name} · exploded view, isometric, not to scale"
    if design.quantity > 1:
        made += f" · {design.quantity} to be made, counts are for one"
    return [
        Text(x=_MARGIN, y=top - 3.5, text=_shortened(design.title, room, 3.5), height=3.5, bold=True),
        Text(x=frame.width - _MARGIN, y=top - 3.5, text=revision, height=2.5, anchor="end"),
        Text(x=_MARGIN, y=top - 8.5, text=_shortened(made, frame.width - 2.0 * _MARGIN, _TEXT), height=_TEXT),
    ]


def _shortened(text: str, room: float, height: float) -> str:
    """The text, or as much of it as the room takes, and an ellipsis."""
    line = " ".join(text.split())
    if text_width_mm(line, height, bold=True) <= room:
        return line
    while line and text_width_mm(line + "…", height, bold=True) > room:
        line = line[:-1]
    return line.rstrip() + "…"
