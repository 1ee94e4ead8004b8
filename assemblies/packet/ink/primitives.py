"""What any drawing is made of, before it becomes SVG, PDF or DXF: lines, curves and text in mm, y up.

*Layer*: what a line stands for, in the words of ISO 128-2 (line types and their use). *Wide* and *narrow* lines keep the
ratio 2 : 1 of that standard (ISO 128-2:2020, clause 5, from memory); the pair 0.35 and 0.18 mm suits A4 and A3.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal

__all__ = [
    "DASHES_MM",
    "WIDTH_MM",
    "Circle",
    "Ellipse",
    "Layer",
    "Line",
    "Polyline",
    "Primitive",
    "Text",
    "bounds_of",
    "moved",
    "text_box",
    "text_width_mm",
]

Layer = Literal["visible", "hidden", "centre", "dimension", "leader", "frame"]

#: Line width on paper; that of the frame by ISO 5457:1999, clause 4.2, from memory.
WIDTH_MM: Final[dict[Layer, float]] = {
    "visible": 0.35,
    "hidden": 0.18,
    "centre": 0.18,
    "dimension": 0.18,
    "leader": 0.18,
    "frame": 0.7,
}
#: Dash, gap, dash, gap on paper; empty: continuous.
DASHES_MM: Final[dict[Layer, tuple[float, ...]]] = {
    "visible": (),
    "hidden": (2.0, 0.8),
    "centre": (4.0, 0.9, 0.4, 0.9),
    "dimension": (),
    "leader": (),
    "frame": (),
}


@dataclass(frozen=True, kw_only=True)
class Line:
    """A straight line; `of` names the instance it belongs to, if any."""

    x0: float
    y0: float
    x1: float
    y1: float
    layer: Layer = "visible"
    of: str = ""


@dataclass(frozen=True, kw_only=True)
class Polyline:
    """A chain of straight lines; `solid`: its inside is ink, and no line is drawn, as of an arrowhead."""

    points: tuple[tuple[float, float], ...]
    closed: bool = False
    solid: bool = False
    layer: Layer = "visible"
    of: str = ""


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A circle; filled with paper (`clear`) or ink (`solid`) or not at all."""

    x: float
    y: float
    radius: float
    fill: Literal["none", "clear", "solid"] = "none"
    layer: Layer = "visible"
    of: str = ""


@dataclass(frozen=True, kw_only=True)
class Ellipse:
    """An ellipse or an arc of one.

    A point is at centre + turn(a cos p, b sin p), p from `start_rad` through `sweep_rad` (positive: counter-clockwise).
    """

    x: float
    y: float
    a: float
    b: float
    turn_rad: float
    start_rad: float = 0.0
    sweep_rad: float = math.tau
    layer: Layer = "visible"
    of: str = ""

    @property
    def is_whole(self) -> bool:
        return abs(abs(self.sweep_rad) - math.tau) < 1e-9

    def at(self, angle_rad: float) -> tuple[float, float]:
        """The point at a parameter angle."""
        u, v = self.a * math.cos(angle_rad), self.b * math.sin(angle_rad)
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return self.x + c * u - s * v, self.y + s * u + c * v


@dataclass(frozen=True, kw_only=True)
class Text:
    """One line of text; `height` is that of a capital letter (ISO 3098), (x, y) lies on the base line.

    `turned`: read from the right side of the sheet, it runs up.
    """

    x: float
    y: float
    text: str
    height: float = 2.5
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False
    turned: bool = False
    of: str = ""


Primitive = Line | Polyline | Circle | Ellipse | Text

CAPITAL_PER_EM: Final = 0.72  # height of a capital in common sans faces; from memory
_NARROW: Final = frozenset(" .,:;'|!ijltfrI()[]/-·")
_BROAD: Final = frozenset("mwMWOQ@%—×")


def text_width_mm(text: str, height: float, bold: bool = False) -> float:
    """How wide a text is at most in a common sans face: an estimate for want of the font.

    >>> round(text_width_mm("bottom", 2.5), 2)
    12.99
    """
    return _ems(text) * height / CAPITAL_PER_EM * (1.1 if bold else 1.0)


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    return sum(0.4 if c in _NARROW else 1.02 if c in _BROAD else _plain(c) for c in text)


def _plain(character: str) -> float:
    """Latin and Greek letters and signs; Cyrillic ones are wider, and all others are taken to be square."""
    code = ord(character)
    if code < 0x400 or 0x2000 <= code < 0x2400:
        return 0.78 if character.isupper() else 0.64
    return 0.82 if code < 0x500 and character.islower() else 1.02


def text_box(text: Text) -> tuple[float, float, float, float]:
    """x min, y min, x max, y max of a text, with its descenders."""
    wide = text_width_mm(text.text, text.height, text.bold)
    back = {"start": 0.0, "middle": wide / 2.0, "end": wide}[text.anchor]
    under, over = 0.3 * text.height, 1.05 * text.height
    if text.turned:
        return text.x - over, text.y - back, text.x + under, text.y - back + wide
    return text.x - back, text.y - under, text.x - back + wide, text.y + over


def bounds_of(primitives: Iterable[Primitive]) -> tuple[float, float, float, float]:
    """x min, y min, x max, y max of a drawing (of an arc: of its ends and every sixteenth turn).

    Raises:
        ValueError: there is nothing in it.
    """
    points = [p for primitive in primitives for p in _extremes(primitive)]
    if not points:
        raise ValueError("an empty drawing has no bounds")
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _extremes(item: Primitive) -> list[tuple[float, float]]:
    if isinstance(item, Line):
        return [(item.x0, item.y0), (item.x1, item.y1)]
    if isinstance(item, Polyline):
        return list(item.points)
    if isinstance(item, Circle):
        return [(item.x - item.radius, item.y - item.radius), (item.x + item.radius, item.y + item.radius)]
    if isinstance(item, Ellipse):
        return [item.at(item.start_rad + k / 16.0 * item.sweep_rad) for k in range(17)]
    x0, y0, x1, y1 = text_box(item)
    return [(x0, y0), (x1, y1)]


def moved(item: Primitive, scale: float, dx: float, dy: float) -> Primitive:
    """The same, scaled about (0, 0) and then shifted; the height of a text stays."""
    if isinstance(item, Line):
        return replace(
            item, x0=item.x0 * scale + dx, y0=item.y0 * scale + dy, x1=item.x1 * scale + dx, y1=item.y1 * scale + dy
        )
    if isinstance(item, Polyline):
        return replace(item, points=tuple((x * scale + dx, y * scale + dy) for x, y in item.points))
    if isinstance(item, Circle):
        return replace(item, x=item.x * scale + dx, y=item.y * scale + dy, radius=item.radius * scale)
    if isinstance(item, Ellipse):
        return replace(item, x=item.x * scale + dx, y=item.y * scale + dy, a=item.a * scale, b=item.b * scale)
    return replace(item, x=item.x * scale + dx, y=item.y * scale + dy)
