"""Where the bolts of a plate stand: its threads, or its plain holes and slots, with the pocket that lets a nut in behind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.shape.outline import Circle, Loop
from parts.shape.piece import Hole, Piece, Pocket
from parts.shape.slot import Slot, slots_of

__all__ = ["Spot", "spots_of"]

_SAME_MM = 1e-6


@dataclass(frozen=True, kw_only=True)
class Spot:
    """One bolt: its place in the plate's own axes (the middle of a slot), the opening that it goes through or is screwed
    into, the pocket on the other face that lets in what it is screwed into."""

    x_mm: float
    y_mm: float
    hole: Hole | None = None
    slot: Slot | None = None
    pocket: Pocket | None = None

    @property
    def width_mm(self) -> float:
        """Of the opening: the thread's or the hole's diameter, the slot's width."""
        if self.hole is not None:
            return self.hole.diameter_mm
        return self.slot.width_mm if self.slot else 0.0

    @property
    def ends(self) -> tuple[tuple[float, float], ...]:
        """Where the bolt may stand: one place, or the ends of its slot."""
        return self.slot.ends if self.slot else ((self.x_mm, self.y_mm),)


def spots_of(piece: Piece) -> tuple[Spot, ...]:
    """The bolts of a plate, threads alone where it has any."""
    tapped = any(hole.thread for hole in piece.holes)
    kind = "tapped" if tapped else "through"
    holes = [
        Spot(x_mm=hole.x_mm, y_mm=hole.y_mm, hole=hole, pocket=_behind(piece, hole))
        for hole in piece.holes
        if hole.kind == kind or _behind(piece, hole)
    ]
    slots = () if tapped else slots_of(piece.outline.inner)
    return (*holes, *(Spot(x_mm=slot.x_mm, y_mm=slot.y_mm, slot=slot) for slot in slots))


def _behind(piece: Piece, hole: Hole) -> Pocket | None:
    return next((one for one in piece.pockets if _about(one.outline, hole)), None)


def _about(loop: Loop | Circle, hole: Hole) -> bool:
    x0, y0, x1, y1 = loop.bounds_mm
    return math.hypot((x0 + x1) / 2.0 - hole.x_mm, (y0 + y1) / 2.0 - hole.y_mm) < _SAME_MM
