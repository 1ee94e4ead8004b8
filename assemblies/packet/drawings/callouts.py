"""What is written about holes and cut-outs: callouts with leaders, or a letter at each hole and a table.

A *feature* is a drilled hole or a cut-out; features that are made alike share one callout. Up to `FEW` of them have leaders
to one of their kind; above that, or where leaders find no clear way, every hole bears a mark such as `B3` and its place
stands in the table.

Source: ISO 129-1:2018 (count x diameter), ISO 6410-1:1993 (thread designation, then the bore), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.packet.drawings.dimensions import TEXT, arrow, figure
from assemblies.packet.ink.primitives import Line, Text, text_width_mm
from assemblies.packet.ink.sheet_items import Box, Mark, boxes_meet, line_meets, mark_box, segments
from parts.lengths import LengthUnit
from parts.shape import outline as shape
from parts.shape.piece import Hole, Piece

__all__ = ["FEW", "ROW", "Feature", "Group", "cross_free_marks", "groups_of", "leaders", "spec_line"]

FEW: Final = 6  # features that are dimensioned one by one; above, a table
ROW: Final = 5.0  # from one callout to the next
_AIR: Final = 0.6  # least between a text and any line that is not its own
_LABEL: Final = 1.8
_MOST_TRIES: Final = 80  # places tried for all callouts of a sheet before a table is made instead


@dataclass(frozen=True)
class Feature:
    """Something at a place (mm from the datum corner), with the radius that a leader touches."""

    x_mm: float
    y_mm: float
    radius_mm: float
    placed: bool = True  # False: on the middle of a round piece, so that it needs no dimensions


@dataclass(frozen=True)
class Group:
    """Features that are made alike, and what is said about one of them."""

    text: str
    features: tuple[Feature, ...]


def groups_of(piece: Piece, units: LengthUnit, *, dual: bool = False) -> tuple[Group, ...]:
    """The piece's features, alike ones together, in order of first use: cut-outs, then holes; within a group
    along each row from the lower left."""
    found: dict[str, list[Feature]] = {}
    outer = piece.outline.outer
    for loop in piece.outline.inner:
        x0, y0, x1, y1 = loop.bounds_mm
        x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
        central = isinstance(outer, shape.Circle) and math.hypot(x - outer.x_mm, y - outer.y_mm) < 1e-6
        round_one = isinstance(loop, shape.Circle)
        reach = loop.radius_mm if isinstance(loop, shape.Circle) else min(x1 - x0, y1 - y0) / 2.0
        text = _loop_text(loop, units, dual)
        text = text.replace("cut through", "bore") if piece.is_tube else text
        found.setdefault(text, []).append(Feature(x, y, reach, not (central and round_one)))
    for hole in piece.holes:
        radius = max(hole.diameter_mm, hole.bore_mm, hole.sink_mm or 0.0) / 2.0
        found.setdefault(_hole_text(hole, units, dual), []).append(Feature(hole.x_mm, hole.y_mm, radius))
    return tuple(
        Group(text, tuple(sorted(features, key=lambda f: (round(f.y_mm, 6), f.x_mm))))
        for text, features in found.items()
    )


def spec_line(group: Group) -> str:
    """The callout: `4 × M6 / Ø5.1 through`."""
    count = len(group.features)
    return group.text if count == 1 else f"{count} × {group.text}"


def _hole_text(hole: Hole, units: LengthUnit, dual: bool) -> str:
    """
    >>> from parts.make.tapped_plate import tapped_hole
    >>> _hole_text(tapped_hole(20, 20, "M6"), "mm", False)
    'M6 / Ø5.2 through'
    >>> _hole_text(Hole(x_mm=9, y_mm=9, kind="blind", diameter_mm=8, depth_mm=4, side="near"), "mm", False)
    'Ø8 × 4 deep, from the other face'
    """

    def size(value: float) -> str:
        return figure(value, units, dual=dual)

    deep = "through" if hole.depth_mm is None else f"× {size(hole.depth_mm)} deep"
    words = f"{hole.thread} / Ø{size(hole.bore_mm)} {deep}" if hole.thread else f"Ø{size(hole.bore_mm)} {deep}"
    if hole.kind == "countersunk" and hole.sink_mm is not None:
        words += f", countersunk Ø{size(hole.sink_mm)} × 90°"
    one_sided = hole.depth_mm is not None or hole.kind == "countersunk"
    return words + (", from the other face" if one_sided and hole.side == "near" else "")


def _loop_text(loop: shape.Loop | shape.Circle, units: LengthUnit, dual: bool) -> str:
    if isinstance(loop, shape.Circle):
        return f"Ø{figure(2.0 * loop.radius_mm, units, dual=dual)} cut through"
    x0, y0, x1, y1 = loop.bounds_mm
    words = f"{figure(x1 - x0, units, dual=dual)} × {figure(y1 - y0, units, dual=dual)} cut through"
    radii = sorted({round(s.radius_mm, 6) for s in loop.segments() if isinstance(s, shape.Arc)})
    return words + (f", R{figure(radii[0], units, dual=dual)}" if len(radii) == 1 else "")


# ---- leaders


@dataclass(frozen=True)
class _Try:
    cost: float
    row: int
    marks: tuple[Mark, ...]
    box: Box
    way: tuple[float, float, float, float]


def leaders(
    spots: Sequence[tuple[str, Sequence[tuple[float, float, float]]]], room: Box, taken: Sequence[Box] = ()
) -> tuple[Mark, ...] | None:
    """A callout for each text, in a band above the view, with a leader to one of its features; None if any finds no way.

    Args:
        spots: text, and the features it may point at: x, y, radius on paper.
        room: the band in which the texts stand.
        taken: boxes of text that leaders must not cross.
    """
    everything = [feature for _, features in spots for feature in features]
    ordered = sorted(spots, key=lambda s: -max(f[0] for f in s[1]))
    budget = [_MOST_TRIES]

    def place(k: int, put: tuple[_Try, ...]) -> tuple[_Try, ...] | None:
        """Every text from the k-th on, with those that are put already; steps back where one finds no way."""
        if k == len(ordered):
            return put
        boxes, ways = [*taken, *(t.box for t in put)], [t.way for t in put]
        best: dict[int, _Try] = {}
        for found in _tries(*ordered[k], room, boxes, ways, everything):
            if found.row not in best or found.cost < best[found.row].cost:
                best[found.row] = found
        for found in sorted(best.values(), key=lambda t: t.cost):
            budget[0] -= 1
            if budget[0] < 0:
                return None
            whole = place(k + 1, (*put, found))
            if whole is not None:
                return whole
        return None

    found = place(0, ())
    return None if found is None else tuple(mark for each in found for mark in each.marks)


def _tries(
    text: str,
    features: Sequence[tuple[float, float, float]],
    room: Box,
    boxes: Sequence[Box],
    ways: Sequence[tuple[float, float, float, float]],
    everything: Sequence[tuple[float, float, float]],
) -> Iterator[_Try]:
    wide = text_width_mm(text, TEXT)
    rows = int((room[3] - room[1]) / ROW + 1e-9)
    places = int((room[2] - room[0] - wide) / 5.0 + 1e-9)
    for x, y, radius in sorted(features, key=lambda f: (-f[1], f[0]))[:4]:
        for row in range(rows):
            base = room[1] + ROW * row
            for place in range(places + 1):
                left = room[0] + 5.0 * place
                for knee in (left, left + wide):
                    found = _try(text, (x, y, radius), (left, base, left + wide, row), knee, boxes, ways, everything)
                    if found is not None:
                        yield found


def _try(
    text: str,
    at: tuple[float, float, float],
    shelf: tuple[float, float, float, int],
    knee: float,
    boxes: Sequence[Box],
    ways: Sequence[tuple[float, float, float, float]],
    everything: Sequence[tuple[float, float, float]],
) -> _Try | None:
    left, base, right, row = shelf
    box = left - _AIR, base - 0.3 * TEXT - _AIR, right + _AIR, base + 1.05 * TEXT + _AIR
    low = base - 0.3 * TEXT - 0.3  # the reference line under the text
    dx, dy = knee - at[0], low - at[1]
    long = math.hypot(dx, dy)
    if dy < 0.35 * long or long < at[2] + 3.0:  # never flatter than 20 degrees
        return None
    tip = at[0] + dx / long * at[2], at[1] + dy / long * at[2]
    way = (*tip, knee, low)
    inner = (box[0], box[1] + 0.1, box[2], box[3])
    if any(boxes_meet(box, other) or line_meets(way, other) for other in boxes):
        return None
    if any(line_meets(other, inner) or _cross(way, other) for other in ways):
        return None
    inward = (knee == left) == (dx >= 0.0)  # the text runs on from the leader
    hits = sum(_near(way, f[:2]) < f[2] + 0.5 for f in everything if f != at)
    upright = 4.0 if abs(dx) < 0.1 * long else 0.0
    cost = long + 30.0 * hits + upright + (0.0 if inward else 12.0)
    shelf_end = knee + (0.85 if knee == left else -0.85) * (
        right - left
    )  # the text is a little shorter than its estimate
    marks: tuple[Mark, ...] = (
        Line(x0=tip[0], y0=tip[1], x1=knee, y1=low, layer="leader"),
        arrow(tip, (tip[0] - dx, tip[1] - dy)),
        Line(x0=knee, y0=low, x1=shelf_end, y1=low, layer="leader"),
        Text(x=knee, y=base, text=text, height=TEXT, anchor="start" if knee == left else "end"),
    )
    return _Try(round(cost, 6), row, marks, box, way)


def _cross(one: tuple[float, float, float, float], two: tuple[float, float, float, float]) -> bool:
    def side(s: tuple[float, float, float, float], x: float, y: float) -> float:
        return (s[2] - s[0]) * (y - s[1]) - (s[3] - s[1]) * (x - s[0])

    return side(one, *two[:2]) * side(one, *two[2:]) < 0.0 and side(two, *one[:2]) * side(two, *one[2:]) < 0.0


def _near(way: tuple[float, float, float, float], point: tuple[float, float]) -> float:
    dx, dy = way[2] - way[0], way[3] - way[1]
    part = ((point[0] - way[0]) * dx + (point[1] - way[1]) * dy) / (dx * dx + dy * dy)
    part = min(1.0, max(0.0, part))
    return math.hypot(point[0] - way[0] - part * dx, point[1] - way[1] - part * dy)


# ---- marks


def cross_free_marks(
    wanted: Iterable[tuple[str, float, float, float]], lines: Iterable[Mark], room: Box
) -> tuple[tuple[Text, ...], tuple[str, ...]]:
    """A mark beside each hole (text, x, y, radius on paper) that no line crosses, inside a box; and those with no room."""
    obstacles = _Grid([s for mark in lines for s in segments(mark)])
    put: list[Text] = []
    boxes: list[Box] = []
    left_out: list[str] = []
    for text, x, y, radius in wanted:
        for spot in _spots(text, x, y, radius):
            box = mark_box(spot)
            wider = box[0] - 0.3, box[1] - 0.3, box[2] + 0.3, box[3] + 0.3
            inside = room[0] < box[0] and room[1] < box[1] and box[2] < room[2] and box[3] < room[3]
            if inside and not obstacles.hit(wider) and not any(boxes_meet(wider, other) for other in boxes):
                put.append(spot)
                boxes.append(box)
                break
        else:
            left_out.append(text)
    return tuple(put), tuple(left_out)


def _spots(text: str, x: float, y: float, radius: float) -> Iterator[Text]:
    """Places for a mark, upper right first, then the other quarters, then a little further out."""
    wide = text_width_mm(text, _LABEL)
    for more in (0.6, 1.6, 2.8):
        off = radius * math.sqrt(0.5) + more
        for right, up in ((True, True), (False, True), (True, False), (False, False)):
            base = y + off if up else y - off - _LABEL
            yield Text(x=x + off if right else x - off - wide, y=base, text=text, height=_LABEL)


class _Grid:
    """Segments by cells of the sheet, so that hundreds of holes stay quick."""

    _CELL = 8.0

    def __init__(self, lines: Sequence[tuple[float, float, float, float]]) -> None:
        self._cells: dict[tuple[int, int], list[tuple[float, float, float, float]]] = {}
        for line in lines:
            for cell in self._covered(
                (min(line[0], line[2]), min(line[1], line[3]), max(line[0], line[2]), max(line[1], line[3]))
            ):
                self._cells.setdefault(cell, []).append(line)

    def _covered(self, box: Box) -> Iterator[tuple[int, int]]:
        x0, y0, x1, y1 = (math.floor(c / self._CELL) for c in box)
        return ((i, j) for i in range(x0, x1 + 1) for j in range(y0, y1 + 1))

    def hit(self, box: Box) -> bool:
        """Whether any segment enters the box."""
        return any(line_meets(line, box) for cell in self._covered(box) for line in self._cells.get(cell, ()))
