"""The exploded view as a printed sheet: isometric, hidden lines removed, item numbers and a parts list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.design.model import Design, Placed
from assemblies.design.shown import as_shown, offsets_of
from assemblies.fit.apart.explode import Exploded, Step
from assemblies.fit.apart.facets import Floats
from assemblies.packet.ink.primitives import Circle, Layer, Line, Primitive, Text, bounds_of, moved, text_width_mm
from assemblies.packet.ink.svg import svg
from assemblies.packet.pictures.balloons import GAP_MM, RADIUS_MM, Spot, anchors, columns, numbered
from assemblies.packet.pictures.sight import Scene, to_picture
from assemblies.packet.pictures.visible import projected, scene_lines
from parts.lengths import LengthUnit, write_length, write_named
from parts.shape.piece import Piece

__all__ = [
    "PartRow",
    "Spread",
    "exploded_picture",
    "exploded_sheet",
    "exploded_svg",
    "parts_list",
    "projected",
    "spread",
]

_MARGIN = 6.0
_TITLE = 15.0
_ROW = 5.6
_TEXT = 2.2
_AIR = 4.0  # between two columns of the parts list
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
    picture_left: float
    picture_right: float
    low: float
    high: float
    table_x: float
    table_top: float
    table_scale: float


@dataclass(frozen=True)
class Spread:
    """The exploded design as it is seen: its pieces, their visible lines, the seen parts of their ways, a point on each."""

    scene: Scene
    lines: Sequence[Primitive]
    paths: Sequence[Primitive]
    dots: Mapping[str, tuple[float, float] | None]


def spread(design: Design, exploded: Exploded) -> Spread:
    """Work out what is seen: the greater part of drawing it, and the same for every sheet and size."""
    scene = Scene(as_shown(design).placed, offsets_of(design, exploded.offsets))
    lines, paths = scene_lines(scene), _paths(scene, exploded)
    return Spread(scene, lines, paths, anchors(scene, [*lines, *paths]))


def exploded_svg(design: Design, seen: Spread, *, width_mm: float = 277.0, unit: LengthUnit = "mm") -> str:
    """The exploded view as an SVG file, mm, `width_mm` wide (default: A4 across less 10 mm each side).

    Deterministic: the same design gives the same bytes. Sizes in the parts list are in `unit`.
    """
    items, width, height = exploded_sheet(design, seen, width_mm=width_mm, unit=unit)
    return svg(items, width, height, f"{design.title}, exploded view")


def exploded_sheet(
    design: Design, seen: Spread, *, width_mm: float = 277.0, unit: LengthUnit = "mm"
) -> tuple[tuple[Primitive, ...], float, float]:
    """The same as primitives for any other renderer: what is on the sheet, its width and its height (mm, y up)."""
    rows = parts_list(design, unit)
    balloons = max(len(rows), min(len(seen.scene.placed), _MANY))
    frame, scale, shift = _frame(width_mm, rows, [*seen.lines, *seen.paths], balloons)
    picture = _picture(seen, scale, shift, frame)
    return (*picture, *_table(rows, frame), *_title(design, frame)), frame.width, frame.height


def exploded_picture(seen: Spread, box: tuple[float, float, float, float]) -> tuple[Primitive, ...]:
    """The picture and its item numbers alone, as large as a box (x min, y min, x max, y max, mm) takes them."""
    left, low, right, high = box[0] + _SIDE, box[1], box[2] - _SIDE, box[3]
    x0, y0, x1, y1 = bounds_of([*seen.lines, *seen.paths])
    scale = min((right - left) / max(x1 - x0, 1e-6), (high - low) / max(y1 - y0, 1e-6))
    half = (x1 - x0) * scale / 2.0
    middle = (left + right) / 2.0
    shift = middle - half - x0 * scale, (low + high - (y0 + y1) * scale) / 2.0
    frame = _Frame(
        width=box[2],
        height=box[3],
        picture_left=middle - half,
        picture_right=middle + half,
        low=low,
        high=high,
        table_x=0.0,
        table_top=0.0,
        table_scale=1.0,
    )
    return tuple(_picture(seen, scale, shift, frame))


def _picture(seen: Spread, scale: float, shift: tuple[float, float], frame: _Frame) -> list[Primitive]:
    """Pieces, their ways and their item numbers, in their places on the sheet."""
    dots = {n: (at[0] * scale + shift[0], at[1] * scale + shift[1]) for n, at in seen.dots.items() if at is not None}
    drawn = [moved(item, scale, *shift) for item in [*seen.paths, *seen.lines]]
    return [*drawn, *_balloons(seen.scene, dots, scale, shift, frame)]


def parts_list(design: Design, unit: LengthUnit) -> tuple[PartRow, ...]:
    """Each part once, numbered in order of first use: item, part, how many in one assembly, finished size."""
    every = as_shown(design).placed
    counts: dict[str, int] = {}
    for placed in every:
        counts[placed.piece.name] = counts.get(placed.piece.name, 0) + 1
    first: dict[str, Piece] = {}
    for placed in every:
        first.setdefault(placed.piece.name, placed.piece)
    return tuple(
        PartRow(str(k), name, counts[name], _size(piece, unit)) for k, (name, piece) in enumerate(first.items(), 1)
    )


def _size(piece: Piece, unit: LengthUnit) -> str:
    """`300 × 150 × 6 mm`; each with its own unit where one has a remainder."""
    width, height, thick = piece.size_mm
    texts = [write_length(width, unit), write_length(height, unit), write_named(thick, unit)]
    ending = f" {unit}"
    if all(text.endswith(ending) and text.count(" mm") + text.count(" in") == 1 for text in texts):
        return " × ".join(text.removesuffix(ending) for text in texts) + ending
    return " × ".join(texts)


def _frame(
    width: float, rows: Sequence[PartRow], drawing: Sequence[Primitive], balloons: int
) -> tuple[_Frame, float, tuple[float, float]]:
    """Lay out the sheet: the parts list on the right if it leaves room, else below; the picture as large as it can be."""
    table_wide, table_high = sum(_widths(rows)), _ROW * (len(rows) + 1)
    beside = table_wide + _MARGIN < 0.4 * width
    left = _MARGIN + _SIDE
    right = width - _MARGIN - _SIDE - ((table_wide + _MARGIN) if beside else 0.0)
    x0, y0, x1, y1 = bounds_of(drawing) if drawing else (0.0, 0.0, 1.0, 1.0)
    wide, high = max(x1 - x0, 1e-6), max(y1 - y0, 1e-6)
    scale = min((right - left) / wide, _PICTURE_HIGH / high)
    columns_high = (2.0 * RADIUS_MM + GAP_MM) * (balloons + 1) / 2.0  # half of the balloons in each
    area_high = max(high * scale, columns_high, table_high if beside else 0.0)
    below = 0.0 if beside else table_high + _MARGIN
    height = _MARGIN + below + area_high + _TITLE + _MARGIN
    low = _MARGIN + below
    frame = _Frame(
        width=width,
        height=height,
        picture_left=(left + right - wide * scale) / 2.0,
        picture_right=(left + right + wide * scale) / 2.0,
        low=low,
        high=low + area_high,
        table_x=width - _MARGIN - table_wide if beside else _MARGIN,
        table_top=low + area_high if beside else _MARGIN + table_high,
        table_scale=min(1.0, (width - 2.0 * _MARGIN) / table_wide),
    )
    shift = ((left + right - wide * scale) / 2.0 - x0 * scale, low + (area_high - high * scale) / 2.0 - y0 * scale)
    return frame, scale, shift


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


def _balloons(
    scene: Scene, dots: dict[str, tuple[float, float]], scale: float, shift: tuple[float, float], frame: _Frame
) -> list[Primitive]:
    """Numbers in circles. A piece that is nowhere seen has one only if no other of its part has; its line is dashed."""
    numbers = numbered({p.name: p.piece.name for p in scene.placed})
    shown: dict[str, tuple[float, float]] = {}
    told: set[str] = set()
    for p in sorted(scene.placed, key=lambda p: p.name not in dots):
        again = numbers[p.name] in told
        if again and (p.name not in dots or len(scene.placed) > _MANY):
            continue
        told.add(numbers[p.name])
        shown[p.name] = dots.get(p.name) or _middle(p, scale, shift)
    wanted = [(f"{numbers[name]} {name}", *spot) for name, spot in shown.items()]
    edges = (
        frame.picture_left - _SIDE + RADIUS_MM,
        frame.low + RADIUS_MM,
        frame.high - RADIUS_MM,
        frame.picture_right + _SIDE - RADIUS_MM,
    )
    out: list[Primitive] = []
    for spot in columns(wanted, edges, (edges[0] + edges[3]) / 2.0):
        out.extend(_balloon(spot, spot.item.split(" ", 1)[1] in dots))
    return out


def _middle(placed: Placed, scale: float, shift: tuple[float, float]) -> tuple[float, float]:
    low, high = placed.box
    x, y, _ = to_picture([(a + b) / 2.0 for a, b in zip(low, high, strict=True)])
    return float(x) * scale + shift[0], float(y) * scale + shift[1]


def _balloon(spot: Spot, seen: bool) -> list[Primitive]:
    number, name = spot.item.split(" ", 1)
    away = np.array([spot.to_x - spot.x, spot.to_y - spot.y])
    long = float(np.hypot(*away)) or 1.0
    x, y = np.array([spot.to_x, spot.to_y]) - away / long * RADIUS_MM
    layer: Layer = "leader" if seen else "hidden"
    dot = [Circle(x=spot.x, y=spot.y, radius=0.55, fill="solid", layer="leader", of=name)] if seen else []
    return [
        Line(x0=spot.x, y0=spot.y, x1=float(x), y1=float(y), layer=layer, of=name),
        *dot,
        Circle(x=spot.to_x, y=spot.to_y, radius=RADIUS_MM, fill="clear", layer="leader", of=name),
        Text(x=spot.to_x, y=spot.to_y - 1.25, text=number, height=2.5, anchor="middle", of=name),
    ]


_HEADS = PartRow("item", "part", 0, "size")


def _cells(row: PartRow) -> tuple[str, str, str, str]:
    return row.item, row.part, "count" if row is _HEADS else str(row.count), row.size


def _widths(rows: Sequence[PartRow]) -> list[float]:
    """Of each column with the air behind it, before the list is made to fit the sheet."""
    cells = [_cells(row) for row in (_HEADS, *rows)]
    air = (_AIR, _AIR, _AIR, 0.0)
    return [max(text_width_mm(row[k], _TEXT, bold=row is cells[0]) for row in cells) + air[k] for k in range(len(air))]


def _table(rows: Sequence[PartRow], frame: _Frame) -> list[Primitive]:
    """The parts list from its top left corner, a thin rule under its heads."""
    widths = [wide * frame.table_scale for wide in _widths(rows)]
    height = _TEXT * frame.table_scale
    out: list[Primitive] = []
    for line, row in enumerate((_HEADS, *rows)):
        y = frame.table_top - _ROW * line - 0.7 * _ROW
        x = frame.table_x
        for k, (cell, wide) in enumerate(zip(_cells(row), widths, strict=True)):
            right = k in (0, 2)
            at = x + wide - _AIR * frame.table_scale if right else x
            out.append(Text(x=at, y=y, text=cell, height=height, anchor="end" if right else "start", bold=line == 0))
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
