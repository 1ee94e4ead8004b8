"""Attachment plates: a pattern of holes, tapped, plain or slotted, so that a rig can be bolted to them."""

from __future__ import annotations

from collections.abc import Sequence

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Outline, rectangle
from parts.shape.piece import Hole, Piece, Pocket, Side
from parts.shape.slot import Slot, slot_loop
from parts.shape.tapped import LetIn, tapped_hole
from parts.stock.mounting import Made
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
    made: Made = "tapped",
    hole_mm: float | None = None,
    slot: tuple[float, float] | None = None,
    let_in: LetIn | None = None,
) -> Piece:
    """A rectangular plate with a hole at each of `centres`, counted from its middle; `pilot_mm` bores its middle.

    Args:
        made: `tapped`; or `clearance`, for screws of that thread that go through it into what it is bolted to.
        hole_mm: diameter of clearance holes; that of ISO 273, medium, or its inch series by default.
        slot: travel (mm) and way (rad) of slots in place of clearance holes.
        let_in: nuts or inserts let in from the face away from `side`; their bores are then the holes.

    >>> from parts.stock.sheet import Sheet
    >>> thick = Sheet(material="cast-pmma", nominal_mm=15)
    >>> places = [(x, y) for x in (-40, 0, 40) for y in (-20, 20)]
    >>> plate = tapped_plate("plate", 120, 80, thick, "M5", places)
    >>> plate.holes[0].bore_mm, plate.holes[0].x_mm, len(plate.holes)
    (4.3, 20.0, 6)

    Raises:
        SeamwrightError: a hole that runs through an edge, an unknown thread, pockets deeper than the sheet.
    """
    places = [(width_mm / 2.0 + x, height_mm / 2.0 + y) for x, y in centres]
    openings: list[Loop | Circle] = (
        [] if pilot_mm is None else [Circle(width_mm / 2.0, height_mm / 2.0, pilot_mm / 2.0)]
    )
    holes: list[Hole] = []
    if made == "tapped" and let_in is None:
        holes = [
            tapped_hole(x, y, thread_name, percent=percent, drill_mm=drill_mm, depth_mm=depth_mm, side=side)
            for x, y in places
        ]
    else:
        wide = let_in.bore_mm if let_in else hole_mm or clearance(thread(thread_name)).diameter_mm
        if let_in is not None:  # from the front down to the pocket
            floor = sheet.thickness_mm - let_in.depth_mm
            if floor <= 0.0:
                raise SeamwrightError(f"pockets {let_in.depth_mm:g} mm deep leave nothing of {sheet.thickness_mm:g} mm")
            holes = [Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=wide, depth_mm=floor, side=side) for x, y in places]
        elif slot is None:
            holes = [Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=wide, side=side) for x, y in places]
        else:
            travel, along = slot
            openings += [
                slot_loop(Slot(x_mm=x, y_mm=y, width_mm=wide, travel_mm=travel, along_rad=along)) for x, y in places
            ]
    back: Side = "near" if side == "far" else "far"
    pockets = [Pocket(outline=let_in.pocket(x, y), depth_mm=let_in.depth_mm, side=back) for x, y in places if let_in]
    return Piece(
        name=name,
        kind="tapped-plate" if holes and holes[0].thread else "drilled-plate",
        outline=Outline(rectangle(width_mm, height_mm), tuple(openings)),
        holes=tuple(holes),
        pockets=tuple(pockets),
        sheet=sheet,
        cut_group=cut_group,
        role="mount",
    )
