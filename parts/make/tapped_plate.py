"""Tapped plates: attachment plates with a pattern of threaded holes, bonded on so that a rig can be bolted to them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from parts.shape.outline import Circle, Outline, rectangle
from parts.shape.piece import Hole, Piece, Side
from parts.shape.tapped import tapped_hole
from parts.stock.sheet import Sheet
from parts.stock.thread import DEFAULT_PERCENT, clearance, thread

__all__ = ["tapped_plate"]


def tapped_plate(
    name: str,
    width_mm: float,
    height_mm: float,
    sheet: Sheet,
    thread_name: str,
    centres: Sequence[tuple[float, float]],
    *,
    percent: float = DEFAULT_PERCENT,
    drill_mm: float | None = None,
    depth_mm: float | None = None,
    pilot_mm: float | None = None,
    side: Side = "far",
    cut_group: str = "",
    made: Literal["tapped", "clearance"] = "tapped",
) -> Piece:
    """A rectangular plate tapped at `centres`, counted from its middle; `pilot_mm` opens a round hole in the middle.

    With `made="clearance"` the screws of that thread go through it instead, into what it is bolted to.

    >>> from parts.stock.sheet import Sheet
    >>> thick = Sheet(material="cast-pmma", nominal_mm=15)
    >>> places = [(x, y) for x in (-40, 0, 40) for y in (-20, 20)]
    >>> plate = tapped_plate("plate", 120, 80, thick, "M5", places)
    >>> plate.holes[0].bore_mm, plate.holes[0].x_mm, len(plate.holes)
    (4.3, 20.0, 6)

    Raises:
        SeamwrightError: a hole that runs through an edge, an unknown thread.
    """
    mid_x, mid_y = width_mm / 2.0, height_mm / 2.0
    pilot = () if pilot_mm is None else (Circle(mid_x, mid_y, pilot_mm / 2.0),)

    def hole(x: float, y: float) -> Hole:
        if made == "clearance":
            wide = clearance(thread(thread_name)).diameter_mm
            return Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=wide, side=side)
        return tapped_hole(x, y, thread_name, percent=percent, drill_mm=drill_mm, depth_mm=depth_mm, side=side)

    holes = tuple(hole(mid_x + x, mid_y + y) for x, y in centres)
    return Piece(
        name=name,
        kind="tapped-plate" if made == "tapped" else "drilled-plate",
        outline=Outline(rectangle(width_mm, height_mm), pilot),
        holes=holes,
        sheet=sheet,
        cut_group=cut_group,
        role="mount",
    )
