"""The drawing of one part: a sheet (or more, for many holes) from a `Piece`, as items that a PDF or a DXF is written from.

The far face is towards you; the datum corner, marked 0, is the lower left one, as on the drill sheet. Projection: first
angle where the order is in mm, third angle where it is in inches, unless told otherwise (the usual choice in countries
that use each: common practice, no source). Scales are those of ISO 5455:1979; the largest that leaves room is taken, and
the sheet is upright unless lying down allows a larger one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.packet.drawings.bent_view import bent_items
from assemblies.packet.drawings.callouts import FEW, ROW, Group, cross_free_marks, groups_of, leaders, spec_line
from assemblies.packet.drawings.dimensions import FIRST_ROW, Rows, Wanted, across, figure, rows_depth, short_text
from assemblies.packet.drawings.drawing_views import front_view, is_round, sharp_corners, side_view
from assemblies.packet.drawings.drawing_words import (
    DrawingSettings,
    PartFacts,
    notes_of,
    scale_name,
    settings_for,
    title_facts,
)
from assemblies.packet.drawings.edge_marks import edge_marks
from assemblies.packet.drawings.hole_table import HoleTable, hole_table, marked
from assemblies.packet.drawings.title_block import (
    HEIGHT,
    PAPERS,
    WIDTH,
    TitleFacts,
    border,
    frame_of,
    title_block,
    wrapped,
)
from assemblies.packet.drawings.turned_view import grooves_of, turned_items
from assemblies.packet.ink.primitives import Circle, Text, moved, text_width_mm
from assemblies.packet.ink.sheet_items import Box, Item, Mark, Sheet, View, flat
from parts.findings import NotCovered
from parts.shape import outline as shape
from parts.shape.part import require
from parts.shape.piece import Piece

__all__ = ["SCALES", "DrawingSettings", "PartFacts", "part_sheets", "scale_name", "settings_for"]

#: ISO 5455:1979: full size, enlargements and reductions (5:1 is the largest that a shop drawing needs: judgement).
SCALES: Final = (5.0, 2.0, 1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100)
_BETWEEN = 18.0  # from front view to edge view
_PAD = 4.0  # least from anything to the frame or to what stands below
_NOTE, _NOTE_ROW = 2.0, 3.4
_TABLE_HIGHEST = 62.0  # a table that is higher stands on sheets of its own
_MOST_ROWS = 7  # dimension rows on one side; above, a table
_SAME_MM = 1e-3


def part_sheets(piece: Piece, facts: PartFacts, settings: DrawingSettings | None = None) -> tuple[Sheet, ...]:
    """The sheets of one part, the views on the first.

    Raises:
        NotCovered: the piece is too large for the smallest scale.
    """
    require(piece, "the drawing", "bends", "pockets", "bevels", "tube")
    settings = settings or DrawingSettings()
    groups = groups_of(piece, settings.units, dual=settings.dual)
    few = sum(feature.placed for group in groups for feature in group.features) <= FEW
    first = _best(piece, facts, settings, groups, tabled=False) if few else None
    if first is None:
        first = _best(piece, facts, settings, groups, tabled=bool(groups))
    if first is None:
        raise NotCovered(f"{piece.name}: too large for a drawing at {scale_name(SCALES[-1])} on this paper")
    more = [] if first.table is None or first.table_here else _table_pages(first.table, first.size)
    last = [
        show(piece, settings, first.size, SCALES)
        for show, there in ((bent_items, piece.bends), (turned_items, grooves_of(piece)))
        if there
    ]
    count = 1 + len(more) + len(last)
    block = title_facts(piece, facts, settings, first.scale, count)
    sheets = [_closed(first.size, first.scale, first.items, block(1), first.views)]
    sheets += [_closed(first.size, first.scale, page, block(k), ()) for k, page in enumerate(more, 2)]
    for items, scale in last:
        title = title_facts(piece, facts, settings, scale, count)(len(sheets) + 1)
        sheets.append(_closed(first.size, scale, items, title, ()))
    return tuple(sheets)


@dataclass(frozen=True, kw_only=True)
class _Laid:
    """What stands on the first sheet."""

    size: tuple[float, float]
    scale: float
    items: tuple[Item, ...]
    views: tuple[View, ...]
    table: HoleTable | None
    table_here: bool


class _NoWay(Exception):
    """The views go in, but a callout's leader finds no clear way to its hole."""


def _best(
    piece: Piece, facts: PartFacts, settings: DrawingSettings, groups: Sequence[Group], *, tabled: bool
) -> _Laid | None:
    upright = PAPERS[settings.paper]
    found: _Laid | None = None
    for size in (upright, (upright[1], upright[0])):
        for scale in SCALES:
            if found is not None and scale <= found.scale:
                break
            try:
                laid = _lay_out(piece, facts, settings, groups, size, scale, tabled)
            except _NoWay:
                break
            if laid is not None:
                found = laid
                break
    return found


def _lay_out(
    piece: Piece,
    facts: PartFacts,
    settings: DrawingSettings,
    groups: Sequence[Group],
    size: tuple[float, float],
    scale: float,
    tabled: bool,
) -> _Laid | None:
    frame = frame_of(*size)
    items: list[Item] = []
    notes = notes_of(piece, facts, settings, groups, tabled)
    floor = frame[1] + HEIGHT
    beside = frame[2] - frame[0] - WIDTH - 2.0 * _PAD
    lines = [line for note in notes for line in wrapped(note, beside, _NOTE)] if beside > 50.0 else []
    if lines and len(lines) * _NOTE_ROW < HEIGHT - 2.0:
        top = floor - 2.0
    else:
        lines = [line for note in notes for line in wrapped(note, frame[2] - frame[0] - 2.0 * _PAD, _NOTE)]
        top = floor = floor + len(lines) * _NOTE_ROW + 3.0
        top -= 1.0
    for k, line in enumerate(lines):
        items.append(Text(x=frame[0] + _PAD, y=top - _NOTE_ROW * (k + 1) + 0.8, text=line, height=_NOTE))
    content, here = None, False
    if tabled:
        content = hole_table(groups, settings)
        high = content.height(frame[2] - frame[0] - 2.0 * _PAD)
        here = high <= _TABLE_HIGHEST
        if here:
            items += content.draw(frame[0] + _PAD, floor + 2.0 + high, frame[2] - frame[0] - 2.0 * _PAD)
            floor += high + 4.0
    area = frame[0] + _PAD, floor + _PAD, frame[2] - _PAD, frame[3] - _PAD
    views = _views(piece, facts, settings, groups, scale, area, tabled)
    if views is None:
        return None
    return _Laid(size=size, scale=scale, items=(*items, *views[0]), views=views[1], table=content, table_here=here)


def _views(
    piece: Piece,
    facts: PartFacts,
    settings: DrawingSettings,
    groups: Sequence[Group],
    scale: float,
    area: Box,
    tabled: bool,
) -> tuple[list[Item], tuple[View, ...]] | None:
    """Both views with their dimensions and callouts in the middle of an area; None if they do not go in."""
    width, height, thick = (side * scale for side in piece.size_mm)
    across_x, across_y = _wanted(piece, groups, scale, settings, tabled)
    if max(len(across_x), len(across_y)) > _MOST_ROWS and not tabled:
        return None
    spots = [] if tabled else [(spec_line(g), g) for g in groups]
    first_x, left = _room_left(across_x, across_y, scale, settings)
    below = max(rows_depth(len(across_x), first_x), FIRST_ROW + 2.0)
    thick_text = figure(piece.thickness_mm, settings.units, dual=settings.dual)
    right = 4.0 if not short_text(thick, thick_text) else 7.0 + text_width_mm(thick_text, 2.5)
    lines = min(len(spots) + 1, 7) if spots else 0
    above = 6.0 + ROW * lines + (1.0 if lines else 0.0)
    wide, high = left + width + _BETWEEN + thick + right, below + height + above
    if wide > area[2] - area[0] or high > area[3] - area[1]:
        return None
    x = area[0] + left + (area[2] - area[0] - wide) / 2.0
    y = area[1] + below + (area[3] - area[1] - high) / 2.0
    side_x = x + width + _BETWEEN
    front = [moved(item, 1.0, x, y) for item in front_view(piece, scale)]
    items: list[Item] = [*front, *_datum(x, y)]
    items += [moved(item, 1.0, side_x, y) for item in side_view(piece, scale, settings.projection)]
    rows_x = Rows(
        axis="x",
        origin=(x, y),
        scale=scale,
        units=settings.units,
        dual=settings.dual,
        first=first_x,
        datum_foot=height / 2.0 if is_round(piece) else 0.0,
    )
    rows_y = Rows(
        axis="y",
        origin=(x, y),
        scale=scale,
        units=settings.units,
        dual=settings.dual,
        datum_foot=width / 2.0 if is_round(piece) else 0.0,
    )
    rows = [*rows_x.draw(across_x), *rows_y.draw(across_y)]
    items += rows
    items.append(
        across("x", (side_x, side_x + thick), (y, y), y - FIRST_ROW, piece.thickness_mm, thick_text, beyond=True)
    )
    if spots:
        band = area[0], y + height + 6.0, area[2], y + height + 6.0 + ROW * lines
        placed = [
            (text, [(x + f.x_mm * scale, y + f.y_mm * scale, f.radius_mm * scale) for f in g.features])
            for text, g in spots
        ]
        texts = leaders(placed, band)
        if texts is None:
            raise _NoWay
        items += texts
    elif tabled:
        items += _marks(groups, [*front, *flat(rows)], (x, y, x + width, y + height), scale)
    items += edge_marks(facts.edges, [*flat(items)], (x, y, x + width, y + height))
    views = (
        View(name="front", size_mm=piece.outline.size_mm, at=(x, y)),
        View(name="side", size_mm=(piece.thickness_mm, piece.size_mm[1]), at=(side_x, y)),
    )
    return items, views


def _room_left(
    across_x: Sequence[Wanted], across_y: Sequence[Wanted], scale: float, settings: DrawingSettings
) -> tuple[float, float]:
    """Where the first row below begins, and how much room the rows need on the left.

    Figures that have no room stand before the datum: those of the upright rows run down, so the rows below keep clear.
    """

    def longest(wanted: Sequence[Wanted]) -> float:
        texts = [(w.to_mm * scale, w.before + figure(w.to_mm, settings.units, dual=settings.dual)) for w in wanted]
        return max((text_width_mm(t, 2.5) + 6.0 for long, t in texts if short_text(long, t)), default=0.0)

    down = longest(across_y)
    first_x = max(FIRST_ROW, down + 5.0 if down else 0.0)
    return first_x, max(rows_depth(len(across_y)) + 3.0, longest(across_x) + 2.0, 6.0)


def _wanted(
    piece: Piece, groups: Sequence[Group], scale: float, settings: DrawingSettings, tabled: bool
) -> tuple[list[Wanted], list[Wanted]]:
    """The dimensions from the datum along x and y, each place once."""
    width, height = piece.outline.size_mm
    along: tuple[dict[float, float], dict[float, float]] = ({}, {})

    def add(axis: int, to: float, foot: float) -> None:
        if _SAME_MM < to < (width, height)[axis] - _SAME_MM:
            key = next((k for k in along[axis] if abs(k - to) < _SAME_MM), to)
            along[axis][key] = min(foot, along[axis].get(key, math.inf))

    if not tabled:
        for feature in (f for g in groups for f in g.features if f.placed):
            add(0, feature.x_mm, feature.y_mm)
            add(1, feature.y_mm, feature.x_mm)
    bevelled = [corner for share in (0.0, 1.0) for corner in piece.outer_at(share).points()] if piece.bevels else []
    for corner in (*_steps(piece), *bevelled):
        add(0, *corner)
        add(1, *reversed(corner))
    for axis, to, foot in _levels(piece):
        add(axis, to, foot)
    xs = [Wanted(to_mm=to, foot=foot * scale) for to, foot in along[0].items()]
    ys = [Wanted(to_mm=to, foot=foot * scale) for to, foot in along[1].items()]
    if is_round(piece):
        return [*xs, Wanted(to_mm=width, foot=height * scale / 2.0, before="Ø")], ys
    return [*xs, Wanted(to_mm=width)], [*ys, Wanted(to_mm=height)]


def _steps(piece: Piece) -> list[tuple[float, float]]:
    """Sharp corners of the outline that are no corners of its box; none if there are too many to dimension."""
    outer = piece.outline.outer
    if isinstance(outer, shape.Circle):
        return []
    corners = list(sharp_corners(outer))
    return corners if len(corners) <= 12 else []


def _levels(piece: Piece) -> list[tuple[int, float, float]]:
    """Straight edges between rounded corners, such as that of a notch: along which axis, how far, and from where the line is
    drawn; none if there are too many to dimension."""
    outer = piece.outline.outer
    parts = () if isinstance(outer, shape.Circle) else outer.segments()
    found = []
    for before, one, after in zip((*parts[-1:], *parts[:-1]), parts, (*parts[1:], *parts[:1]), strict=True):
        if isinstance(one, shape.Line) and isinstance(before, shape.Arc) and isinstance(after, shape.Arc):
            if abs(one.y1_mm - one.y0_mm) < _SAME_MM:
                found.append((1, one.y0_mm, min(one.x0_mm, one.x1_mm)))
            elif abs(one.x1_mm - one.x0_mm) < _SAME_MM:
                found.append((0, one.x0_mm, min(one.y0_mm, one.y1_mm)))
    return found if len(found) <= 12 else []


def _datum(x: float, y: float) -> Iterator[Mark]:
    """The datum corner: a small circle and its sign (ISO 129-1, the origin of dimensioning, from memory)."""
    yield Circle(x=x, y=y, radius=0.9, layer="dimension", of="datum")
    yield Text(x=x - 1.6, y=y - 3.2, text="0", height=2.0, anchor="end", bold=True, of="datum")


def _marks(groups: Sequence[Group], lines: Sequence[Mark], room: Box, scale: float) -> tuple[Text, ...]:
    wanted = [
        (mark, room[0] + f.x_mm * scale, room[1] + f.y_mm * scale, f.radius_mm * scale) for mark, f in marked(groups)
    ]
    return cross_free_marks(wanted, lines, room)[0]


def _table_pages(content: HoleTable, size: tuple[float, float]) -> list[list[Mark]]:
    frame = frame_of(*size)
    top = frame[3] - _PAD
    return content.pages(frame[0] + _PAD, top, frame[2] - frame[0] - 2.0 * _PAD, top - frame[1] - HEIGHT - _PAD)


def _closed(
    size: tuple[float, float], scale: float, items: Sequence[Item], facts: TitleFacts, views: Sequence[View]
) -> Sheet:
    frame = frame_of(*size)
    return Sheet(
        width_mm=size[0],
        height_mm=size[1],
        scale=scale,
        views=tuple(views),
        items=(*border(*size), *title_block(facts, frame[2], frame[1]), *items),
    )
