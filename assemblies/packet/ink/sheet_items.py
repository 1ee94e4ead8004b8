"""What a drawing sheet holds besides plain primitives: dimensions, and the sheet itself.

Everything is in mm of paper, y up, (0, 0) at the lower left of the sheet. A *view* stands at the sheet's scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from assemblies.packet.ink.primitives import Circle, Ellipse, Line, Polyline, Primitive, Text, bounds_of, text_box

__all__ = [
    "Box",
    "Dimension",
    "Item",
    "Mark",
    "Page",
    "Sheet",
    "View",
    "boxes_meet",
    "flat",
    "line_meets",
    "mark_box",
    "segments",
]

Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """A linear dimension.

    Attributes:
        axis: along which it measures.
        a, b: its ends on the paper, along the axis.
        feet: where the extension lines of a and b begin, across the axis.
        row: where the dimension line lies, across the axis.
        value_mm: what is measured, at true size.
        text: what is written.
        items: all that is drawn: lines, arrowheads, text.
    """

    axis: Literal["x", "y"]
    a: float
    b: float
    feet: tuple[float, float]
    row: float
    value_mm: float
    text: str
    items: tuple[Primitive, ...]


Mark = Primitive
Item = Mark | Dimension


@dataclass(frozen=True, kw_only=True)
class View:
    """A view of a piece: its name (`of` its lines), what it measures (mm), and where its lower left corner is."""

    name: str
    size_mm: tuple[float, float]
    at: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Page:
    """One page in mm, y up, (0, 0) at its lower left; `shown` is drawn within the window only."""

    width_mm: float
    height_mm: float
    items: tuple[Primitive, ...]
    shown: tuple[Primitive, ...] = ()
    window: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One sheet; `scale` is paper over piece."""

    width_mm: float
    height_mm: float
    scale: float
    items: tuple[Item, ...]
    views: tuple[View, ...] = ()

    @property
    def marks(self) -> tuple[Mark, ...]:
        return tuple(flat(self.items))

    @property
    def page(self) -> Page:
        return Page(width_mm=self.width_mm, height_mm=self.height_mm, items=self.marks)

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        return tuple(item for item in self.items if isinstance(item, Dimension))


def flat(items: Iterable[Item]) -> Iterator[Mark]:
    """The same with each dimension taken apart."""
    for item in items:
        if isinstance(item, Dimension):
            yield from item.items
        else:
            yield item


def mark_box(mark: Mark) -> Box:
    """x min, y min, x max, y max."""
    return text_box(mark) if isinstance(mark, Text) else bounds_of([mark])


def boxes_meet(one: Box, two: Box, air: float = 0.0) -> bool:
    """Whether two boxes come nearer than `air` both along and across."""
    return one[0] < two[2] + air and two[0] < one[2] + air and one[1] < two[3] + air and two[1] < one[3] + air


def segments(mark: Mark) -> Iterator[tuple[float, float, float, float]]:
    """The lines of anything but text, curves as chords of at most a sixteenth turn."""
    points: list[tuple[float, float]] = []
    if isinstance(mark, Line):
        points = [(mark.x0, mark.y0), (mark.x1, mark.y1)]
    elif isinstance(mark, Polyline):
        points = [*mark.points, mark.points[0]] if mark.closed else list(mark.points)
    elif isinstance(mark, Circle):
        ring = Ellipse(x=mark.x, y=mark.y, a=mark.radius, b=mark.radius, turn_rad=0.0)
        points = [ring.at(k / 16.0 * ring.sweep_rad) for k in range(17)]
    elif isinstance(mark, Ellipse):
        points = [mark.at(mark.start_rad + k / 16.0 * mark.sweep_rad) for k in range(17)]
    for (x0, y0), (x1, y1) in pairwise(points):
        yield x0, y0, x1, y1


def line_meets(segment: tuple[float, float, float, float], box: Box) -> bool:
    """Whether a straight line enters a box (Liang and Barsky's clipping)."""
    x0, y0, x1, y1 = segment
    enter, leave = 0.0, 1.0
    for start, step, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if abs(step) < 1e-12:
            if not low < start < high:
                return False
            continue
        first, last = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, first), min(leave, last)
    return enter < leave - 1e-12
