"""Layouts in strips of one width, in every way worth trying: which side of each part its strips share, which way the strips
lie, which widths and which sheets come first.

A person cuts such a layout with few settings: each width is ripped at one, each length crosscut at one. Those with the
fewest different sizes come first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, permutations, product
from typing import Final

from assemblies.shop.layout.engine import Layout, Put, SheetPlan
from assemblies.shop.layout.job import Job

__all__ = ["width_layouts"]

_PIECES: Final = 400  # of a larger job only the quick strip layouts are made
_WAYS: Final = 8  # choices of sides looked at, those with the fewest sizes
_SIDES: Final = 4096  # choices of sides that are compared at all
_ORDERS: Final = 24
_TRIES: Final = 600

Sides = dict[int, tuple[int, int]]  # part -> width of its strip, length along it
Row = tuple[int, tuple[int, ...]]  # width of a strip, the parts in it


@dataclass(frozen=True)
class _Try:
    """One way: sides, order of widths, order of sheets, how strips lie, longest pieces first or last."""

    sides: Sides
    widths: tuple[int, ...]
    sheets: tuple[int, ...]
    lie: str
    longest: bool


def width_layouts(job: Job, bound: float) -> Iterator[Layout]:
    """All different layouts of this kind that hold every piece, at most some hundreds."""
    if job.pieces > _PIECES:
        return
    seen = set()
    for way in islice(_tries(job), _TRIES):
        sheets = _lay(job, way)
        if sheets is None:
            continue
        key = tuple(sorted((stock, along, tuple(sorted(rows))) for stock, along, rows in sheets))
        if key in seen:
            continue
        seen.add(key)
        plans = tuple(SheetPlan(stock=s, puts=_puts(job, way.sides, along, rows)) for s, along, rows in sheets)
        cost = float(sum(job.stock[s.stock].cost for s in plans))
        yield Layout(job=job, sheets=plans, cost=cost, bound=bound, ended="work done")


def _tries(job: Job) -> Iterator[_Try]:
    """The ways, a few of every choice of sides before more of any."""
    each = [_tries_of(job, sides) for sides in _choices(job)]
    while each:
        for ways in list(each):
            some = list(islice(ways, 16))
            yield from some
            if len(some) < 16:
                each.remove(ways)


def _tries_of(job: Job, sides: Sides) -> Iterator[_Try]:
    """The ways of one choice of sides."""
    square = all(s.width == s.height for s in job.stock)
    lies = ("x",) if square else ("x", "y") if len(job.stock) == 1 else ("long", "short", "x", "y")
    widths = sorted({w for w, _ in sides.values()}, reverse=True)
    for some in islice(permutations(widths), _ORDERS):
        for sheets in _sheet_orders(job):
            for longest in (True, False) if len(job.wants) > 1 else (True,):
                for lie in lies:
                    yield _Try(sides, some, sheets, lie, longest)


def _choices(job: Job) -> list[Sides]:
    """Which side of each part lies across its strip: those with fewest widths and lengths, and none that is both."""
    wanted = [(number, want) for number, want in enumerate(job.wants) if want.count]
    options = []
    for number, want in wanted:
        w, h = want.width, want.height
        options.append([(number, (h, w))] if w == h else [(number, (h, w)), (number, (w, h))])
    rows = [dict(one) for one in islice(product(*options), _SIDES)]

    def settings(sides: Sides) -> tuple[int, int]:
        widths, lengths = {w for w, _ in sides.values()}, {a for _, a in sides.values()}
        return len(widths) + len(lengths), len(widths & lengths)

    return sorted(rows, key=lambda sides: (settings(sides), sorted(sides.items())))[:_WAYS]


def _sheet_orders(job: Job) -> Iterator[tuple[int, ...]]:
    """Orders in which the sheets are taken; of many kinds only which two come first, the cheap ones then."""
    cheap = sorted(range(len(job.stock)), key=lambda s: (job.stock[s].cost, s))
    if len(cheap) <= 3:
        yield from permutations(cheap)
        return
    for first in permutations(cheap[:6], 2):
        yield (*first, *(s for s in cheap if s not in first))


def _lay(job: Job, way: _Try) -> list[tuple[int, bool, list[Row]]] | None:
    """Sheet after sheet in the order given: its stock, whether its strips lie along x, and the strips."""
    rest = {number: want.count for number, want in enumerate(job.wants) if want.count}
    sheets: list[tuple[int, bool, list[Row]]] = []
    for number in way.sheets:
        sheet = job.stock[number]
        along_x = {"x": True, "y": False, "long": sheet.width >= sheet.height, "short": sheet.width < sheet.height}
        count = sheet.count
        while rest and count != 0:
            rows = _fill(job, number, rest, way, along_x[way.lie])
            if not rows:
                break
            sheets.append((number, along_x[way.lie], rows))
            count = None if count is None else count - 1
    return None if rest else sheets


def _fill(job: Job, stock: int, rest: dict[int, int], way: _Try, along_x: bool) -> list[Row]:
    """The strips of one sheet, width after width; uses up `rest`."""
    sheet = job.stock[stock]
    length, room = sheet.width - 2 * job.trim, sheet.height - 2 * job.trim
    if not along_x:
        length, room = room, length
    rows: list[Row] = []
    for width in way.widths:
        while width <= room:
            row = _row(job, rest, way, width, length, along_x)
            if not row:
                break
            rows.append((width, row))
            room -= width + job.kerf
    return rows


def _row(job: Job, rest: dict[int, int], way: _Try, width: int, length: int, along_x: bool) -> tuple[int, ...]:
    """One strip: as many pieces of its width as there is length for."""
    row: list[int] = []
    fits = [p for p in rest if way.sides[p][0] == width and _lies(job, p, way.sides[p], along_x)]
    for part in sorted(fits, key=lambda p: (-way.sides[p][1] if way.longest else way.sides[p][1], p)):
        size = way.sides[part][1]
        count = min(rest[part], (length + job.kerf) // (size + job.kerf))
        if count > 0:
            row += [part] * count
            length -= count * (size + job.kerf)
            rest[part] -= count
            if not rest[part]:
                del rest[part]
    return tuple(row)


def _lies(job: Job, part: int, side: tuple[int, int], along_x: bool) -> bool:
    """Whether a part may lie so."""
    want = job.wants[part]
    return want.may_turn or (want.width, want.height) == ((side[1], side[0]) if along_x else side)


def _puts(job: Job, sides: Sides, along_x: bool, rows: list[Row]) -> tuple[Put, ...]:
    puts = []
    at = job.trim
    for width, row in rows:
        along = job.trim
        for part in row:
            size = sides[part][1]
            puts.append(Put(part, along, at, size, width) if along_x else Put(part, at, along, width, size))
            along += size + job.kerf
        at += width + job.kerf
    return tuple(puts)
