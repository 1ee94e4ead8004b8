"""What is left of a nested sheet and worth keeping: rectangles that reach an edge of it, and where its area goes.

A *rest* is cut off along straight lines once the pieces are out. Like a piece it keeps the spacing from the nearest cut; two
rests share the cut between them. It is worth keeping where its shorter side is at least the shop rule `offcut_keep`, what is
to be trimmed off a factory edge not counted: the same as of the saw's.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from assemblies.shop.nest.model import NestSheet, NestSpec
from assemblies.shop.nest.paths import routed
from parts.shape.piece import Piece
from parts.stock.rules import rule

__all__ = ["NestBalance", "NestRest", "nest_balance", "nest_rests"]

_MOST: Final = 8  # judgement: nobody labels more from one sheet
Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class NestRest:
    """A rectangle left over, its lower-left corner on the sheet."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def box(self) -> Box:
        """Left, lower, right and upper end."""
        return self.x_mm, self.y_mm, self.x_mm + self.width_mm, self.y_mm + self.height_mm


@dataclass(frozen=True, kw_only=True)
class NestBalance:
    """Where the area of a sheet goes, in mm2; `pieces + kerf + waste + offcuts == stock`.

    Attributes:
        pieces: net, without cut-outs and the bores that are cut; holes that are drilled count as piece.
        kerf: chips of all paths and of the cuts that part the offcuts; too much by 0.054 kerf squared in each inside corner,
            where the cutter passes twice.
    """

    stock: float
    pieces: float
    kerf: float
    waste: float
    offcuts: float


def nest_rests(sheet: NestSheet, trim_mm: float = 0.0) -> tuple[NestRest, ...]:
    """The rests of a sheet that are worth keeping, each the largest of what the earlier ones have left.

    Args:
        sheet: with its pieces.
        trim_mm: factory edge that is to be taken off before the rest is used.
    """
    keep = rule("offcut_keep") + 2.0 * trim_mm
    wide, high = sheet.stock.width_mm, sheet.stock.height_mm
    gap, kerf = sheet.spec.gap_mm, sheet.spec.kerf_mm
    taken = [_grown((p.x_mm, p.y_mm, p.x_mm + p.size_mm[0], p.y_mm + p.size_mm[1]), gap) for p in sheet.placed]
    out: list[NestRest] = []
    while len(out) < _MOST:
        free = [box for box in _edge_rectangles(taken, wide, high) if min(_sides(box)) >= keep]
        if not free:
            break
        x0, y0, x1, y1 = max(free, key=lambda box: (math.prod(_sides(box)), box))
        out.append(NestRest(x_mm=x0, y_mm=y0, width_mm=x1 - x0, height_mm=y1 - y0))
        taken.append(_grown((x0, y0, x1, y1), kerf))
    return tuple(out)


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _sides(box: Box) -> tuple[float, float]:
    return box[2] - box[0], box[3] - box[1]


def _edge_rectangles(taken: Sequence[Box], wide: float, high: float) -> Iterator[Box]:
    """The largest free rectangles that reach the upper, lower, right and left edge."""
    yield from _hanging(taken, wide, high)
    for x0, y0, x1, y1 in _hanging([(x0, high - y1, x1, high - y0) for x0, y0, x1, y1 in taken], wide, high):
        yield x0, high - y1, x1, high - y0
    for y0, x0, y1, x1 in _hanging([(y0, x0, y1, x1) for x0, y0, x1, y1 in taken], high, wide):
        yield x0, y0, x1, y1
    for y0, x0, y1, x1 in _hanging([(y0, wide - x1, y1, wide - x0) for x0, y0, x1, y1 in taken], high, wide):
        yield wide - x1, y0, wide - x0, y1


def _hanging(taken: Sequence[Box], wide: float, high: float) -> Iterator[Box]:
    """Free rectangles that reach the upper edge and can grow neither to a side nor down: under a row of steps."""
    marks = sorted({0.0, wide, *(min(max(x, 0.0), wide) for box in taken for x in (box[0], box[2]))})
    floor = [0.0] * (len(marks) - 1)
    for x0, _, x1, y1 in sorted(taken, key=lambda box: box[3]):  # the highest last: it stays
        first, last = bisect_left(marks, max(x0, 0.0)), bisect_left(marks, min(x1, wide))
        floor[first:last] = [max(0.0, y1)] * (last - first)
    open_ones: list[
        tuple[float, float]
    ] = []  # left end and floor of rectangles that may still grow right, floors falling
    for x, step in zip(marks, [*floor, math.inf], strict=True):
        left = x
        while open_ones and open_ones[-1][1] < step:
            left, low = open_ones.pop()
            if low < high:
                yield left, low, x, high
        if not open_ones or open_ones[-1][1] > step:
            open_ones.append((left, step))


def nest_balance(sheet: NestSheet, rests: Iterable[NestRest]) -> NestBalance:
    """Where the area of a sheet goes when its rests are parted from it."""
    rests = tuple(rests)
    stock = sheet.stock.width_mm * sheet.stock.height_mm
    pieces = math.fsum(_net_area(p.piece, sheet.spec) for p in sheet.placed)
    offcuts = math.fsum(r.width_mm * r.height_mm for r in rests)
    kerf = sheet.cut_length_mm * sheet.spec.kerf_mm + _parting(sheet, rests)
    return NestBalance(stock=stock, pieces=pieces, kerf=kerf, waste=stock - pieces - kerf - offcuts, offcuts=offcuts)


def _net_area(piece: Piece, spec: NestSpec) -> float:
    bores = (h.bore_mm for h in piece.holes if routed(h, spec.kerf_mm, spec.process))
    return piece.outline.area_mm2 - math.fsum(math.pi * bore**2 / 4.0 for bore in bores)


def _parting(sheet: NestSheet, rests: Sequence[NestRest]) -> float:
    """Area of the cuts round the rests, what two of them share counted once."""
    whole = 0.0, 0.0, sheet.stock.width_mm, sheet.stock.height_mm
    cuts = [_within(_grown(rest.box, sheet.spec.kerf_mm), whole) for rest in rests]
    xs = sorted({x for box in (*cuts, *(r.box for r in rests)) for x in (box[0], box[2])})
    ys = sorted({y for box in (*cuts, *(r.box for r in rests)) for y in (box[1], box[3])})
    area = 0.0
    for x0, x1 in pairwise(xs):
        for y0, y1 in pairwise(ys):
            x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
            if any(_holds(box, x, y) for box in cuts) and not any(_holds(r.box, x, y) for r in rests):
                area += (x1 - x0) * (y1 - y0)
    return area


def _within(box: Box, whole: Box) -> Box:
    return max(box[0], whole[0]), max(box[1], whole[1]), min(box[2], whole[2]), min(box[3], whole[3])


def _holds(box: Box, x: float, y: float) -> bool:
    return box[0] < x < box[2] and box[1] < y < box[3]
