"""What is engraved on the far face of a piece: a line of capitals of single strokes, for a beam or a cutter to run along.

The glyphs stand in the table `strokes`. They take out nothing that counts: volume, mass and strength do without them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

from parts.findings import SeamwrightError
from parts.tables import load

__all__ = ["ADVANCE", "Mark"]

#: From letter to letter, in heights.
ADVANCE: Final = 0.75
_HIGH, _WIDE = 12.0, 6.0  # of the grid of the table
_Stroke = tuple[tuple[float, float], ...]


@cache
def _glyphs() -> dict[str, tuple[_Stroke, ...]]:
    found = {}
    for row in load("strokes"):
        lines = (line.split() for line in row["strokes"].split("/"))
        found[row["character"]] = tuple(
            tuple((float(int(p[0], 16)), float(int(p[1], 16))) for p in line) for line in lines
        )
    return {" ": (), **found}


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A line of text about its middle, mm, in the piece's own axes, seen on its far face.

    Raises:
        SeamwrightError: a character without a glyph, no height.

    >>> Mark(text="I", x_mm=10.0, y_mm=5.0, height_mm=6.0).strokes
    (((10.0, 2.0), (10.0, 8.0)),)
    """

    text: str
    x_mm: float
    y_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        lost = sorted(set(self.text) - set(_glyphs()))
        if lost or not self.text.strip():
            raise SeamwrightError(f"{self.text!r} cannot be engraved: A to Z, 0 to 9, spaces and - + . / :")
        if not self.height_mm > 0.0:
            raise SeamwrightError(f"letters {self.height_mm!r} mm high")

    @property
    def length_mm(self) -> float:
        """From the left of the first letter to the right of the last."""
        return self.height_mm * (ADVANCE * (len(self.text) - 1) + _WIDE / _HIGH)

    @property
    def strokes(self) -> tuple[_Stroke, ...]:
        """The lines to run along, each a chain of points."""
        unit, left, low = self.height_mm / _HIGH, self.x_mm - self.length_mm / 2.0, self.y_mm - self.height_mm / 2.0
        return tuple(
            tuple((round(left + k * ADVANCE * self.height_mm + x * unit, 6), round(low + y * unit, 6)) for x, y in line)
            for k, letter in enumerate(self.text)
            for line in _glyphs()[letter]
        )
