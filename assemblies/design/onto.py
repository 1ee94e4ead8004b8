"""What bolts hold a piece against that is no part of the whole: a prop, a flange, a rail. It has its own drilling template."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.shape.piece import Side
from parts.stock.mounting import Pattern

__all__ = ["Onto", "Proud"]


@dataclass(frozen=True, kw_only=True)
class Proud:
    """A head or nut that stands out of the face that the other part lies on, mm: its middle in the piece's own axes, how wide
    it is with its washer and how high it stands; how far it can be moved in all, along the piece's x."""

    x_mm: float
    y_mm: float
    wide_mm: float
    high_mm: float
    travel_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Onto:
    """The other part that the bolts of one fastener hold their piece against.

    Attributes:
        name: what it is called (`rig`, `prop`); empty: by the face of the whole that lies on it.
        side: the face of the piece that lies on it.
        pattern: where the bolts are; at: its middle in the piece's own axes, mm; turn_rad: turned to the left there.
        seat: width and height of the face that it lies on, about the middle of the bolts, mm; None where that is not said.
        proud: what stands out of that face besides, in its way.
    """

    name: str
    side: Side
    pattern: Pattern
    at: tuple[float, float]
    turn_rad: float = 0.0
    seat: tuple[float, float] | None = None
    proud: tuple[Proud, ...] = ()

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """Of the bolts in the piece's own axes, mm; of slots their middles."""
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return tuple((self.at[0] + c * x - s * y, self.at[1] + s * x + c * y) for x, y in self.pattern.centres)

    @property
    def middle(self) -> tuple[float, float]:
        """Of the bolts."""
        places = self.places
        return math.fsum(x for x, _ in places) / len(places), math.fsum(y for _, y in places) / len(places)

    def has(self, x_mm: float, y_mm: float) -> bool:
        """Whether one of its bolts stands at a place of the piece."""
        return any(math.dist(place, (x_mm, y_mm)) < 1e-3 for place in self.places)
