"""Dimensions of a sheet: parallel dimensioning from the datum corner, as ISO 129-1 has it.

Rows lie outside the view, the shortest dimension nearest, the overall one last, so that no extension line crosses a shorter
dimension. Figures stand above the middle of their line and are read from the bottom or from the right of the sheet; where
the room between the arrows is too small the arrows stand outside, and a figure that is still too wide stands beyond the datum.

Source: ISO 129-1:2018, clauses 5 to 7: extension lines run a little past the dimension line, terminators are closed filled
arrowheads, parallel dimensioning from a common origin (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from assemblies.packet.ink.primitives import Line, Polyline, Text, text_width_mm
from assemblies.packet.ink.sheet_items import Dimension, Mark
from parts.lengths import MM_PER_INCH, LengthUnit

__all__ = ["FIRST_ROW", "PITCH", "TEXT", "Rows", "Wanted", "across", "arrow", "figure", "rows_depth", "short_text"]

TEXT: Final = 2.5  # height of figures (ISO 3098)
FIRST_ROW: Final = 8.0  # from the view to the first dimension line
PITCH: Final = 7.0
_GAP, _PAST = 0.8, 1.5  # of an extension line: from its feature, past the dimension line
_ARROW, _HALF = 2.5, 0.42  # length and half width of an arrowhead: about 20 degrees
_INSIDE = 8.0  # arrows stand inside from this length
_TAIL = 5.0  # of an arrow that stands outside
_ABOVE = 1.2  # from line to figure: its descenders clear the arrowheads
_INCH: Final = float(MM_PER_INCH)


def figure(value_mm: float, units: LengthUnit, *, dual: bool = False) -> str:
    """A dimension's figure: mm to 0.01 without trailing zeros, inches to 0.001; the other unit in brackets when `dual`.

    >>> figure(311.64, "mm"), figure(50.0, "mm", dual=True), figure(311.64, "in")
    ('311.64', '50 [1.969]', '12.269')
    """
    mm = f"{round(value_mm, 2) + 0.0:.2f}".rstrip("0").rstrip(".")
    inches = f"{value_mm / _INCH:.3f}"
    first, second = (mm, inches) if units == "mm" else (inches, mm)
    return f"{first} [{second}]" if dual else first


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A dimension from the datum: how far along the axis (mm), the sign before it, and where its feature begins.

    `foot` is how far (paper mm, from the edge of the view on the dimensions' side inward) the extension line starts.
    """

    to_mm: float
    foot: float = 0.0
    before: str = ""


@dataclass(frozen=True, kw_only=True)
class Rows:
    """A stack of dimensions from one datum, drawn below (`x`) or left (`y`) of a view.

    Attributes:
        axis: `x`: below the view; `y`: left of it.
        origin: paper place of the view's lower left corner.
        scale: paper over piece.
        first: distance of the first row from the view.
        datum_foot: how far inward the extension line of the datum begins.
    """

    axis: Literal["x", "y"]
    origin: tuple[float, float]
    scale: float
    units: LengthUnit
    dual: bool = False
    first: float = FIRST_ROW
    datum_foot: float = 0.0

    def draw(self, wanted: Sequence[Wanted]) -> tuple[Dimension, ...]:
        """One row for each, the shortest first."""
        return tuple(
            self._one(each, self.first + PITCH * k) for k, each in enumerate(sorted(wanted, key=lambda w: w.to_mm))
        )

    def _one(self, want: Wanted, away: float) -> Dimension:
        along, edge = self.origin if self.axis == "x" else (self.origin[1], self.origin[0])
        text = want.before + figure(want.to_mm, self.units, dual=self.dual)
        return across(
            self.axis,
            (along, along + want.to_mm * self.scale),
            (edge + self.datum_foot, edge + want.foot),
            edge - away,
            want.to_mm,
            text,
        )


def across(
    axis: Literal["x", "y"],
    ends: tuple[float, float],
    feet: tuple[float, float],
    row: float,
    value_mm: float,
    text: str,
    *,
    beyond: bool = False,
) -> Dimension:
    """One linear dimension with its extension lines; `beyond` puts a figure that has no room past b instead of before a."""
    a, b = ends
    marks: list[Mark] = []

    def at(along: float, off: float) -> tuple[float, float]:
        return (along, off) if axis == "x" else (off, along)

    def line(p: tuple[float, float], q: tuple[float, float]) -> None:
        marks.append(Line(x0=p[0], y0=p[1], x1=q[0], y1=q[1], layer="dimension"))

    way = 1.0 if row > feet[0] else -1.0
    for end, foot in zip((a, b), feet, strict=True):
        line(at(end, foot + way * _GAP), at(end, row + way * _PAST))
    long, wide = b - a, text_width_mm(text, TEXT)
    inside = long >= _INSIDE
    if inside:
        line(at(a, row), at(b, row))
    else:
        line(at(a - _TAIL, row), at(b + _TAIL, row))
    for end, out in ((a, -1.0), (b, 1.0)):
        marks.append(arrow(at(end, row), at(end + (out if inside else -out), row)))
    if short_text(long, text):
        middle = b + _TAIL + 1.0 + wide / 2.0 if beyond else a - _TAIL - 1.0 - wide / 2.0
        line(at(b if beyond else a, row), at(middle + (wide if beyond else -wide) / 2.0, row))
    else:
        middle = (a + b) / 2.0
    if axis == "x":
        marks.append(Text(x=middle, y=row + _ABOVE, text=text, height=TEXT, anchor="middle"))
    else:
        marks.append(Text(x=row - _ABOVE, y=middle, text=text, height=TEXT, anchor="middle", turned=True))
    return Dimension(axis=axis, a=a, b=b, feet=feet, row=row, value_mm=value_mm, text=text, items=tuple(marks))


def short_text(long: float, text: str) -> bool:
    """Whether the figure has no room between the extension lines."""
    return text_width_mm(text, TEXT) > long - 1.0


def rows_depth(count: int, first: float = FIRST_ROW) -> float:
    """How far `count` rows reach from the view.

    >>> rows_depth(2)
    16.5
    """
    return first + PITCH * (count - 1) + _PAST if count else 0.0


def arrow(tip: tuple[float, float], towards: tuple[float, float]) -> Polyline:
    """A filled arrowhead whose tip is at `tip`, pointing from the middle of the line outward to `towards`."""
    dx, dy = towards[0] - tip[0], towards[1] - tip[1]
    long = (dx * dx + dy * dy) ** 0.5
    ux, uy = dx / long, dy / long
    back = tip[0] - ux * _ARROW, tip[1] - uy * _ARROW
    left = back[0] - uy * _HALF, back[1] + ux * _HALF
    right = back[0] + uy * _HALF, back[1] - ux * _HALF
    return Polyline(points=(tip, left, right), closed=True, solid=True, layer="dimension")
