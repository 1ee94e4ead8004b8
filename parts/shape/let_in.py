"""What is let into the back of a plate so that a bolt finds metal: a nut, or a threaded insert with a flange.

*Let in*: set into a pocket milled from behind, so that the bolt draws it against the pocket's floor, which is what is left of
the sheet there. The pocket of a nut is a slot as wide as the nut's flats: its straight sides keep the nut from turning, and it
has no corner that could start a crack.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop
from parts.shape.slot import Slot, slot_loop
from parts.stock.nut import nut, washer_mm
from parts.stock.rules import rule
from parts.stock.thread import Thread, clearance

__all__ = ["LetIn", "let_in_insert", "let_in_nut", "let_in_of"]

PLAY_MM: Final = 0.2  # judgement: a pocket is so much wider than what goes into it, a bore than an insert's barrel


@dataclass(frozen=True, kw_only=True)
class LetIn:
    """What is let in: the pocket's width, its straight part (0: a round one) and depth, and the bore in front, mm."""

    width_mm: float
    straight_mm: float
    depth_mm: float
    bore_mm: float

    def pocket(self, x_mm: float, y_mm: float) -> Loop | Circle:
        """The pocket's outline about a place."""
        if not self.straight_mm:
            return Circle(x_mm, y_mm, self.width_mm / 2.0)
        return slot_loop(Slot(x_mm=x_mm, y_mm=y_mm, width_mm=self.width_mm, travel_mm=self.straight_mm, along_rad=0.0))


def let_in_nut(screw: Thread, bore_mm: float) -> LetIn:
    """The pocket of a nut: its flats wide, straight as far as they reach, and deep enough that the bolt's end stops short of
    what is behind (rule `bolt_end_clearance`), whatever its length: one washer more or less under its head finds one that fits.

    Raises:
        SeamwrightError: the table of nuts has none for it.
    """
    one = nut(screw)
    wide = one.flats_mm + PLAY_MM
    deep = one.height_mm + washer_mm(screw.size) + rule("bolt_end_clearance")
    return LetIn(width_mm=wide, straight_mm=round(wide * math.tan(math.pi / 6.0), 3), depth_mm=deep, bore_mm=bore_mm)


def let_in_insert(outside_mm: float, flange_mm: float, flange_thick_mm: float) -> LetIn:
    """The pocket of a flanged insert, flush with the back, and the bore of its barrel: a sliding fit, never pressed in.

    Raises:
        SeamwrightError: a flange no wider than the barrel.
    """
    if flange_mm <= outside_mm:
        raise SeamwrightError(f"a flange of {flange_mm:g} mm is no wider than its barrel of {outside_mm:g} mm")
    return LetIn(
        width_mm=flange_mm + PLAY_MM, straight_mm=0.0, depth_mm=flange_thick_mm, bore_mm=outside_mm + PLAY_MM / 2.0
    )


def let_in_of(screw: Thread, insert: tuple[float, float, float] | None) -> LetIn:
    """What an order lets in for a screw: a nut, or the insert whose barrel, flange and thickness of flange it gives.

    Raises:
        SeamwrightError: no nut is known for it, the insert has no room for its thread.
    """
    if insert is None:
        return let_in_nut(screw, clearance(screw).diameter_mm)
    if insert[0] <= screw.major_mm:
        raise SeamwrightError(f"a barrel of {insert[0]:g} mm has no room for the thread {screw.name}")
    return let_in_insert(*insert)
