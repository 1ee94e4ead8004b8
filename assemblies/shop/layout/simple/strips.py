"""Layouts in strips: pieces that share a dimension lie in one strip, ripped at one fence setting.

A strip runs the whole length of the sheet; the pieces in it share its width, or (when ends are filled) are smaller. Such
a plan wastes a little more than the free search at times, but where it needs no more sheets a person cuts it faster and
matched pieces come out equal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assemblies.shop.layout.engine import Layout, Put, SheetPlan
from assemblies.shop.layout.job import Job

__all__ = ["strip_layouts"]

Row = list[tuple[int, int, int]]  # (part, length along the strip, width across it)


@dataclass(frozen=True)
class _Style:
    """How strips are made: along the sheet's x or y, ends filled with smaller pieces, widths by number or by area."""

    along_x: bool
    fill_ends: bool
    by_area: bool


def strip_layouts(job: Job, bound: float) -> Iterator[Layout]:
    """All strip layouts that hold every piece, at most eight."""
    for along_x in (True, False):
        for fill_ends in (False, True):
            for by_area in (False, True):
                layout = _lay(job, _Style(along_x, fill_ends, by_area), bound)
                if layout is not None:
                    yield layout


def _widths(job: Job, style: _Style) -> dict[int, int]:
    """For each part the dimension that its strips have: the one shared by most pieces (or by most area)."""
    left = {number for number, want in enumerate(job.wants) if want.count}
    chosen: dict[int, int] = {}
    while left:
        shared: dict[int, int] = {}
        for number in sorted(left):
            want = job.wants[number]
            weight = want.count * (want.width * want.height if style.by_area else 1)
            across = want.height if style.along_x else want.width
            for side in {want.width, want.height} if want.may_turn else {across}:
                shared[side] = shared.get(side, 0) + weight
        best = max(shared, key=lambda side: (shared[side], side))
        for number in sorted(left):
            want = job.wants[number]
            across = want.height if style.along_x else want.width
            if best == across or (want.may_turn and best in (want.width, want.height)):
                chosen[number] = best
                left.discard(number)
    return chosen


def _lay(job: Job, style: _Style, bound: float) -> Layout | None:
    """Sheet after sheet, each of the kind that costs least for what it holds."""
    rest = {number: want.count for number, want in enumerate(job.wants) if want.count}
    there = [job.pieces if s.count is None else s.count for s in job.stock]
    widths = _widths(job, style)
    sheets: list[SheetPlan] = []
    while rest:
        best: tuple[float, int, list[Put]] | None = None
        for number, stock in enumerate(job.stock):
            puts = _fill(job, number, dict(rest), widths, style) if there[number] else []
            area = sum(put.w * put.h for put in puts)
            if area and (best is None or stock.cost / area < best[0]):
                best = stock.cost / area, number, puts
        if best is None:
            return None
        there[best[1]] -= 1
        sheets.append(SheetPlan(stock=best[1], puts=tuple(best[2])))
        for put in best[2]:
            rest[put.part] -= 1
            if not rest[put.part]:
                del rest[put.part]
    cost = float(sum(job.stock[s.stock].cost for s in sheets))
    return Layout(job=job, sheets=tuple(sheets), cost=cost, bound=bound, ended="work done")


def _fill(job: Job, stock: int, rest: dict[int, int], widths: dict[int, int], style: _Style) -> list[Put]:
    """Strip after strip on one sheet, always the one that is filled best; uses up `rest`."""
    sheet = job.stock[stock]
    length, room = sheet.width - 2 * job.trim, sheet.height - 2 * job.trim
    if not style.along_x:
        length, room = room, length
    at = job.trim
    puts: list[Put] = []
    while rest:
        best: tuple[float, int, Row] | None = None
        for width in sorted({widths[part] for part in rest}, reverse=True):
            row = _row(job, dict(rest), widths, width, length, style) if width <= room else []
            share = sum(a * b for _, a, b in row) / (width * length)
            if row and (best is None or share > best[0] + 1e-9):
                best = share, width, row
        if best is None:
            return puts
        _, width, row = best
        along = job.trim
        for part, a, b in row:
            puts.append(Put(part, along, at, a, b) if style.along_x else Put(part, at, along, b, a))
            along += a + job.kerf
            _take(rest, part)
        at += width + job.kerf
        room -= width + job.kerf
    return puts


def _take(rest: dict[int, int], part: int) -> None:
    rest[part] -= 1
    if not rest[part]:
        del rest[part]


def _row(job: Job, rest: dict[int, int], widths: dict[int, int], width: int, length: int, style: _Style) -> Row:
    """One strip: pieces of its own width, longest first, then (if wanted) smaller ones in what is left of its length."""
    row: Row = []
    for own in (True, False) if style.fill_ends else (True,):
        ways: Row = []
        for part in rest:
            if own and widths[part] == width:
                ways += [way for way in _ways(job, part, style) if way[2] == width]
            elif not own:
                ways += [way for way in _ways(job, part, style) if way[2] < width]
        for part, a, b in sorted(ways, key=lambda way: (-way[1], -way[2], way[0])):
            while part in rest and a <= length:
                row.append((part, a, b))
                length -= a + job.kerf
                _take(rest, part)
    return row


def _ways(job: Job, part: int, style: _Style) -> Row:
    """The ways a part can lie in a strip: (part, length along it, width across it)."""
    want = job.wants[part]
    upright = (part, want.width, want.height) if style.along_x else (part, want.height, want.width)
    return [upright, (part, upright[2], upright[1])] if want.may_turn else [upright]
