"""Plates to bolt the whole by, as an order asks for them: the piece, what its pattern decides, where its bolts end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from assemblies.order import Faults, Order
from assemblies.order.errors import Key
from parts.findings import SeamwrightError
from parts.make.tapped_plate import tapped_plate
from parts.shape.hole_rules import least_plate_mm, rounded_up
from parts.shape.piece import Hole, Piece, Side
from parts.shape.slot import slots_of
from parts.shape.tapped import LetIn, let_in_of, tapped_hole
from parts.stock.mounting import Holes, Pattern, holes_made, pattern
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import DEFAULT_PERCENT, LEAST_PERCENT, MOST_PERCENT, clearance, percent_thread, thread

__all__ = ["Keys", "Mount", "mount", "pattern_of"]


@dataclass(frozen=True, kw_only=True)
class Keys:
    """The keys of an order that say how a plate is bolted; `named` is what its kind calls `holes`."""

    thread: str
    pattern: str | tuple[tuple[float, float], ...]
    holes: Holes | None = None
    hole: float | None = None
    slot: float | None = None
    slot_way: Literal["across", "up"] = "across"
    let_in: Literal["nut", "insert"] | None = None
    insert: tuple[float, float, float] | None = None
    percent: float = DEFAULT_PERCENT
    drill: float | None = None
    named: str = "holes"


@dataclass(frozen=True, kw_only=True)
class Mount:
    """A plate with what its order and its pattern decide.

    Attributes:
        piece: the plate.
        pattern: of its holes.
        holes: how they are made; of metal let in, `tapped`, as the bolt ends here.
        screw: name of the bolts' thread.
        let_in: the metal in its back, if any.
    """

    piece: Piece
    pattern: Pattern
    holes: Holes
    screw: str
    let_in: Literal["nut", "insert"] | None = None


def mount(
    order: Order,
    key: Key,
    spec: Keys,
    name: str,
    size_mm: tuple[float, float],
    sheet: Sheet | None,
    faults: Faults,
    *,
    side: Side = "far",
    cut_group: str = "",
) -> Mount | None:
    """The plate that an order's keys ask for; None where it was refused.

    Args:
        key: of the table that holds them.
        sheet: None where that was refused already.
        faults: what is refused goes there, each fault at its key.
    """
    made = let_in = None
    with faults.step():
        made = pattern_of(order, key, spec)
    with faults.step():
        if made is None or (made[1] == "tapped" and not spec.let_in):
            _check_thread(order, key, spec)
        else:
            _check_passes(order, key, spec)
        let_in = _let_in(order, key, spec)
        if made is not None and sheet is not None:
            piece = _piece(order, key, spec, name, size_mm, sheet, made, let_in, side, cut_group)
            return Mount(
                piece=piece, pattern=made[0], holes=made[1], screw=thread(spec.thread).name, let_in=spec.let_in
            )
    return None


def pattern_of(order: Order, key: Key, spec: Keys) -> tuple[Pattern, Holes]:
    """The pattern, and how its holes are made.

    Raises:
        OrderError: an unknown one, or holes that it cannot have.
    """
    try:
        found = pattern(spec.pattern, thread=spec.thread, unit=order.units)
    except SeamwrightError as error:
        raise order.refuse((*key, "pattern"), str(error), "a pattern of `seamwright show mountings`") from error
    return found, _holes(order, key, spec, found)


def _piece(
    order: Order,
    key: Key,
    spec: Keys,
    name: str,
    size_mm: tuple[float, float],
    sheet: Sheet,
    made: tuple[Pattern, Holes],
    let_in: LetIn | None,
    side: Side,
    cut_group: str,
) -> Piece:
    found, holes = made
    if let_in is not None and let_in.depth_mm >= sheet.thickness_mm:
        what = f"a pocket of {let_in.depth_mm:g} mm leaves nothing of {sheet.thickness_mm:g} mm"
        raise order.refuse(
            (*key, "let-in"), what, f"a plate of at least {let_in.depth_mm + rule('floor_left_min'):g} mm"
        )
    along = 0.0 if spec.slot_way == "across" else math.pi / 2.0
    how: Literal["tapped", "clearance"] = "tapped" if holes == "tapped" else "clearance"
    try:
        piece = tapped_plate(
            name,
            *size_mm,
            sheet,
            spec.thread,
            found.centres,
            percent=spec.percent,
            drill_mm=spec.drill,
            pilot_mm=found.pilot_mm,
            side=side,
            cut_group=cut_group,
            made=how,
            hole_mm=spec.hole,
            slot=None if spec.slot is None else (spec.slot, along),
            let_in=let_in,
        )
    except SeamwrightError as error:
        allowed = f"a pattern that lies inside the plate{_size_for(found, how, spec.thread, sheet, size_mm)}"
        raise order.refuse((*key, "pattern"), str(error), allowed) from error
    _check_slots(order, key, piece)
    return piece


def _holes(order: Order, key: Key, spec: Keys, found: Pattern) -> Holes:
    """How they are made; refused where neither side, or both, would have the thread."""
    try:
        holes = holes_made(found, "tapped" if spec.let_in else spec.holes)
    except SeamwrightError as error:
        raise order.refuse((*key, "let-in" if spec.let_in else spec.named), str(error), "") from error
    if spec.slot is not None and holes == "tapped":
        raise order.refuse((*key, "slot"), f"the holes of {found.name} are tapped here", f'{spec.named} = "clearance"')
    if spec.hole is not None and holes == "tapped":
        raise order.refuse((*key, "hole"), f"the holes of {found.name} are tapped here", f'{spec.named} = "clearance"')
    if holes == "clearance" and found.counterpart == "clearance":
        what = f"what {found.name} bolts to has clearance holes itself: nothing has the thread"
        raise order.refuse((*key, spec.named), what, 'tapped, through, or let-in = "nut" in place of it')
    return holes


def _check_thread(order: Order, key: Key, spec: Keys) -> None:
    """Refuse a drill that leaves too little of the thread or too much."""
    screw = thread(spec.thread)
    percent = spec.percent if spec.drill is None else percent_thread(screw, spec.drill)
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        what = f"{percent:.0f} % of the thread {screw.name}"
        raise order.refuse(
            (*key, "percent" if spec.drill is None else "drill"),
            what if spec.drill is None else f"a drill of {spec.drill:g} mm leaves {what}",
            f"{LEAST_PERCENT:g} to {MOST_PERCENT:g} %",
        )


def _check_passes(order: Order, key: Key, spec: Keys) -> None:
    """Refuse a hole that its bolt does not go through."""
    screw = thread(spec.thread)
    try:
        clearance(screw)
    except SeamwrightError as error:
        raise order.refuse((*key, "thread"), str(error), "a thread of `seamwright show threads`") from error
    if spec.hole is not None and spec.hole <= screw.major_mm:
        what = f"{screw.name} does not go through a hole of {spec.hole:g} mm"
        raise order.refuse((*key, "hole"), what, f"over {screw.major_mm:g} mm")


def _let_in(order: Order, key: Key, spec: Keys) -> LetIn | None:
    if spec.let_in is None:
        return None
    try:
        return let_in_of(thread(spec.thread), spec.insert)
    except SeamwrightError as error:
        where = "let-in" if spec.insert is None else "insert"
        raise order.refuse((*key, where), str(error), "what the maker of the insert gives") from error


def _check_slots(order: Order, key: Key, piece: Piece) -> None:
    """Refuse a slot that leaves the plate."""
    width, height = piece.outline.size_mm
    for slot in slots_of(piece.outline.inner):
        reach = slot.width_mm / 2.0
        if not all(reach < x < width - reach and reach < y < height - reach for x, y in slot.ends):
            what = f"a slot of {slot.width_mm:g} x {slot.width_mm + slot.travel_mm:g} mm runs through the plate's edge"
            raise order.refuse((*key, "slot"), what, f"slots inside {width:g} x {height:g} mm")


def _size_for(found: Pattern, made: str, screw: str, sheet: Sheet, size_mm: Sequence[float]) -> str:
    """The plate that the pattern would need; empty where the one that was ordered is as large."""
    if made == "tapped":
        hole = tapped_hole(0.0, 0.0, screw)
    else:
        hole = Hole(x_mm=0.0, y_mm=0.0, kind="through", diameter_mm=clearance(thread(screw)).diameter_mm)
    holes = [replace(hole, x_mm=x, y_mm=y) for x, y in found.centres]
    width, height = least_plate_mm(holes, sheet.thickness_mm)
    if width <= size_mm[0] and height <= size_mm[1]:
        return ""
    wide, high = rounded_up(max(width, size_mm[0])), rounded_up(max(height, size_mm[1]))
    return f"; {found.name} needs one of at least {wide:g} x {high:g} mm"
