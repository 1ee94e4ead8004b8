"""The drill and tap sheet: where each hole goes from the datum corner, and with what it is drilled and tapped.

*Datum corner*: the corner from which everything on a piece is measured: lower left of its far face. It stays the same corner of
the plastic when the piece is turned over; it is then at the lower right, and x counts to the left. *Load*: one time the
clamps are closed; a stack of identical pieces drilled together is one load.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from assemblies.design.model import Design
from assemblies.shop.drill.cross_slide import CrossSlide, HandleReading
from assemblies.shop.drill.order import in_drilling_order
from assemblies.shop.drill.speed import (
    BitKind,
    Held,
    Pecks,
    bit_kind,
    coolant,
    drilling_rule,
    flute_mm,
    pecks,
    point_height_mm,
    point_range_deg,
    spindle_rpm,
)
from assemblies.shop.drill.tapping import Tapping, tapping
from parts.findings import NotCovered
from parts.lengths import LengthUnit
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Hole, HoleKind, Piece, Side
from parts.shape.tapped import chamfer_mm
from parts.stock.drill import INCH_SERIES, METRIC_SERIES, Drill, nearest
from parts.stock.thread import thread

__all__ = ["DrillRow", "DrillSheet", "DrillShop", "drill_for", "drill_rows", "drill_sheet"]

_EXACT_MM = 0.005
_LARGEST_MM = 25.4  # the largest twist drill of the table `drills`


@dataclass(frozen=True, kw_only=True)
class DrillShop:
    """What the shop has.

    Attributes:
        units: which drills are reached for first where either would do.
        held: how the work is drilled: on a drill press, or by hand.
        spindle_max_rpm: the fastest the press turns, if known.
        slide: the cross-slide vise, if there is one.
        stack: whether identical pieces may be drilled together.
    """

    units: LengthUnit = "mm"
    held: Held = "press"
    spindle_max_rpm: float | None = None
    slide: CrossSlide | None = None
    stack: bool = True


@dataclass(frozen=True, kw_only=True)
class DrillRow:
    """One hole.

    Attributes:
        number: in the order of drilling, from 1.
        hole: what the design asks for.
        x_mm, y_mm: from the datum corner, along the edges.
        side: the face that is up when it is drilled.
        drill: the real drill, None where none is so large.
        drill_error_mm: that drill less the bore that was asked for.
        bit: twist drill, step bit or circle cutter.
        point_deg: least and greatest good point angle.
        rpm: slowest and fastest good spindle speed.
        feed_mm_rev: least and greatest feed.
        depth_mm: how deep the full diameter goes in one piece; None goes through.
        pecks: how the drill is fed, through the whole stack.
        coolant: what to wet it with.
        edge_mm: depth of the 90 degree chamfer or countersink on the drilled face.
        edge_far_mm: the same on the other face; 0 where the hole is blind.
        tap: the thread, None for plain holes.
        x_turns, y_turns: the vise's handles; None without a vise.
        x_back, y_back: the vise comes from further out: run past by the backlash and come back.
    """

    number: int
    hole: Hole
    x_mm: float
    y_mm: float
    side: Side
    drill: Drill | None
    drill_error_mm: float
    bit: BitKind
    point_deg: tuple[float, float]
    rpm: tuple[float, float]
    feed_mm_rev: tuple[float, float]
    depth_mm: float | None
    pecks: Pecks
    coolant: str
    edge_mm: float
    edge_far_mm: float
    tap: Tapping | None
    x_turns: HandleReading | None
    y_turns: HandleReading | None
    x_back: bool
    y_back: bool

    @property
    def kind(self) -> HoleKind:
        return self.hole.kind


@dataclass(frozen=True, kw_only=True)
class DrillSheet:
    """One drilled part.

    Attributes:
        piece: the part.
        count: how many are drilled for the whole order.
        corner: whether the outline has a corner at the datum; without one the piece lies against two stops.
        stack: how many are drilled together.
        loads: how often that is done.
        rows: the holes in the order of drilling.
        held: as the shop drills.
        backlash_turns: how far to run past where a row says so.
        machined: how many more holes are cut with the outline; they have no row.
    """

    piece: Piece
    count: int
    corner: bool
    stack: int
    loads: int
    rows: tuple[DrillRow, ...]
    held: Held
    backlash_turns: float
    machined: int = 0

    @property
    def sides(self) -> tuple[Side, ...]:
        """The faces it is drilled from, in order."""
        return tuple(dict.fromkeys(row.side for row in self.rows))


def drill_rows(
    design: Design, shop: DrillShop | None = None, machined: Callable[[Piece], tuple[Hole, ...]] | None = None
) -> tuple[DrillSheet, ...]:
    """The sheet of every drilled part of the design, in the order of first use.

    Args:
        design: what is made.
        shop: what the shop has.
        machined: the holes of a piece that are cut with its outline: they are not drilled. Without it none are.
    """
    count = Counter(placed.piece for placed in design.placed)
    sheets = []
    for piece in design.pieces:
        done = machined(piece) if machined else ()
        left = replace(piece, holes=tuple(hole for hole in piece.holes if hole not in done))
        if left.holes:
            sheet = drill_sheet(left, count[piece] * design.quantity, shop or DrillShop())
            sheets.append(replace(sheet, machined=len(done)))
    return tuple(sheets)


def drill_sheet(piece: Piece, count: int, shop: DrillShop) -> DrillSheet:
    """The sheet of one part, of which `count` are wanted."""
    stack = _stack(piece, count, shop)
    ordered = in_drilling_order(piece.holes, lambda h: drill_for(h, shop.units), slide=shop.slide is not None)
    rows: list[DrillRow] = []
    for number, (side, hole) in enumerate(ordered, 1):
        before = rows[-1] if rows and rows[-1].side == side else None
        rows.append(_row(piece, hole, side, number, stack, shop, before))
    return DrillSheet(
        piece=piece,
        count=count,
        corner=_has_corner(piece),
        stack=stack,
        loads=math.ceil(count / stack),
        rows=tuple(rows),
        held=shop.held,
        backlash_turns=drilling_rule("backlash") if shop.slide else 0.0,
    )


def drill_for(hole: Hole, units: LengthUnit = "mm") -> Drill | None:
    """The real drill for a hole: of the size asked for, in the series of its thread or of the order's units first;
    else the nearest; None where the bore is over an inch.

    >>> from parts.make.tapped_plate import tapped_hole
    >>> drill_for(tapped_hole(20, 20, "M5")).label
    '4.3 mm'
    """
    bore = hole.bore_mm
    if bore > _LARGEST_MM + drilling_rule("same_drill"):
        return None
    system = thread(hole.thread).system if hole.thread else ""
    first = INCH_SERIES if system == "inch" or (units == "in" and not system) else METRIC_SERIES
    second = METRIC_SERIES if first == INCH_SERIES else INCH_SERIES
    for series in (first, second):
        near = nearest(bore, series)
        if abs(near.diameter_mm - bore) <= _EXACT_MM:
            return near
    near = nearest(bore, first)
    return near if abs(near.diameter_mm - bore) <= drilling_rule("same_drill") else nearest(bore)


def _row(
    piece: Piece, hole: Hole, side: Side, number: int, stack: int, shop: DrillShop, before: DrillRow | None
) -> DrillRow:
    found = drill_for(hole, shop.units)
    size = hole.bore_mm if found is None else found.diameter_mm
    through = hole.depth_mm is None
    point = _point(hole, size, piece.thickness_mm)
    cut = stack * piece.thickness_mm if hole.depth_mm is None else hole.depth_mm
    turned = None if shop.slide is None else (shop.slide.reading(hole.x_mm), shop.slide.reading(hole.y_mm))
    edge, edge_far = _edges(hole)
    return DrillRow(
        number=number,
        hole=hole,
        x_mm=hole.x_mm,
        y_mm=hole.y_mm,
        side=side,
        drill=found,
        drill_error_mm=size - hole.bore_mm,
        bit=bit_kind(size, stack * piece.thickness_mm, through=through, held=shop.held, largest_mm=_LARGEST_MM),
        point_deg=point,
        rpm=spindle_rpm(size, shop.spindle_max_rpm),
        feed_mm_rev=(drilling_rule("feed_min"), drilling_rule("feed_max")),
        depth_mm=hole.depth_mm,
        pecks=pecks(cut, size),
        coolant=coolant(cut),
        edge_mm=edge,
        edge_far_mm=edge_far,
        tap=tapping(hole, piece.thickness_mm, size) if hole.thread else None,
        x_turns=turned[0] if turned else None,
        y_turns=turned[1] if turned else None,
        x_back=turned is not None and before is not None and hole.x_mm < before.x_mm - _EXACT_MM,
        y_back=turned is not None and before is not None and hole.y_mm < before.y_mm - _EXACT_MM,
    )


def _point(hole: Hole, size_mm: float, thickness_mm: float) -> tuple[float, float]:
    """The point angles by the rules; blunter where a sharper point would come through the floor of a blind hole."""
    least, most = point_range_deg(size_mm, hole.depth_mm)
    if hole.depth_mm is None:
        return least, most
    blunt = drilling_rule("point_angle_deep_blind")
    floor = thickness_mm - hole.depth_mm - point_height_mm(size_mm, least)
    return (blunt, blunt) if floor < drilling_rule("blind_floor") else (least, most)


def _edges(hole: Hole) -> tuple[float, float]:
    """Depth of the 90 degree edge on the drilled face and on the other one."""
    if hole.kind == "countersunk" and hole.sink_mm is not None:
        return (hole.sink_mm - hole.bore_mm) / 2.0, drilling_rule("edge_break")
    edge = chamfer_mm(hole) if hole.kind == "tapped" else drilling_rule("edge_break")
    return edge, edge if hole.depth_mm is None else 0.0


def _stack(piece: Piece, count: int, shop: DrillShop) -> int:
    """How many identical pieces one load may hold: none but plain through bores, within flute and depth."""
    sinks = any(h.depth_mm is not None or h.kind == "countersunk" for h in piece.holes)
    if not shop.stack or count == 1 or sinks:
        return 1
    most = count
    for hole in piece.holes:
        found = drill_for(hole, shop.units)
        if found is None:
            return 1
        size = found.diameter_mm
        try:
            free = flute_mm(size) - drilling_rule("flute_kept_free") * size
        except NotCovered:
            return 1
        tip = point_height_mm(size, drilling_rule("point_angle_least")) + drilling_rule("into_backing")
        deepest = min(free - tip, drilling_rule("stack_deepest") * size)
        most = min(most, int(deepest / piece.thickness_mm + 1e-9))
    most = max(1, most)
    return math.ceil(count / math.ceil(count / most))  # equal loads


def _has_corner(piece: Piece) -> bool:
    outer = piece.outline.outer
    if isinstance(outer, Circle):
        return False
    assert isinstance(outer, Loop)
    return any(math.hypot(v.x_mm, v.y_mm) < _EXACT_MM for v in outer.vertices)


def real_bore_mm(row: DrillRow) -> float:
    """The bore that the real drill leaves."""
    return row.hole.bore_mm + row.drill_error_mm
