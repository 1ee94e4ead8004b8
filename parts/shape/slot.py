"""Slotted holes: two straight sides and two half circles, a loop of the outline like any cut-out.

*Travel*: how far a bolt can be moved along its slot; the slot is as much longer than it is wide. A slot is known again by its
shape alone, so that nothing has to be told of it besides the outline.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.shape.outline import Arc, Circle, Line, Loop, Vertex

__all__ = ["Slot", "slot_loop", "slots_of"]

_SAME_MM = 1e-6


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A slotted hole: its middle, how wide it is, its travel, and its way (counted from the x axis, under half a turn)."""

    x_mm: float
    y_mm: float
    width_mm: float
    travel_mm: float
    along_rad: float

    @property
    def way(self) -> tuple[float, float]:
        """The unit direction along it."""
        return math.cos(self.along_rad), math.sin(self.along_rad)

    @property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Where a bolt stands at either end."""
        (c, s), half = self.way, self.travel_mm / 2.0
        return (self.x_mm - half * c, self.y_mm - half * s), (self.x_mm + half * c, self.y_mm + half * s)


def slot_loop(slot: Slot) -> Loop:
    """The outline of a slot, counter-clockwise, its ends true arcs.

    Raises:
        SeamwrightError: no width or no travel.

    >>> slot_loop(Slot(x_mm=10, y_mm=0, width_mm=6, travel_mm=8, along_rad=0)).bounds_mm
    (3.0, -3.0, 17.0, 3.0)
    """
    if not (slot.width_mm > 0.0 and slot.travel_mm > 0.0):
        raise SeamwrightError(f"a slot of {slot.width_mm:g} mm with a travel of {slot.travel_mm:g} mm")
    (c, s), half, (first, last) = slot.way, slot.width_mm / 2.0, slot.ends
    right = (half * s, -half * c)
    corners = [(first, 1.0, 0.0), (last, 1.0, 1.0), (last, -1.0, 0.0), (first, -1.0, 1.0)]
    return Loop(
        tuple(
            Vertex(round(p[0] + side * right[0], 9) + 0.0, round(p[1] + side * right[1], 9) + 0.0, bulge)
            for p, side, bulge in corners
        )
    )


def slots_of(loops: Iterable[Loop | Circle]) -> tuple[Slot, ...]:
    """Those of some loops that are slots.

    >>> one = Slot(x_mm=10.0, y_mm=5.0, width_mm=6.0, travel_mm=8.0, along_rad=0.0)
    >>> slots_of([slot_loop(one), Circle(0, 0, 3)]) == (one,)
    True
    """
    return tuple(found for loop in loops if isinstance(loop, Loop) and (found := _slot(loop)) is not None)


def _slot(loop: Loop) -> Slot | None:
    segments = loop.segments()
    arcs = [s for s in segments if isinstance(s, Arc)]
    lines = [s for s in segments if isinstance(s, Line)]
    if len(segments) != 4 or len(arcs) != 2 or len(lines) != 2:
        return None
    one, other = arcs
    half = all(abs(abs(a.sweep_rad) - math.pi) < 1e-6 for a in arcs)
    if not half or one.sweep_rad * other.sweep_rad < 0.0 or abs(one.radius_mm - other.radius_mm) > _SAME_MM:
        return None
    dx, dy = other.cx_mm - one.cx_mm, other.cy_mm - one.cy_mm
    travel = math.hypot(dx, dy)
    if abs(lines[0].length_mm - travel) > _SAME_MM:
        return None
    return Slot(
        x_mm=round((one.cx_mm + other.cx_mm) / 2.0, 6) + 0.0,
        y_mm=round((one.cy_mm + other.cy_mm) / 2.0, 6) + 0.0,
        width_mm=round(2.0 * one.radius_mm, 6),
        travel_mm=round(travel, 6),
        along_rad=round(math.atan2(dy, dx) % math.pi, 9) % round(math.pi, 9) + 0.0,
    )
