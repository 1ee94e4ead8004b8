"""Layouts of many equal pieces: a few ways to cut up a sheet, each used many times.

*Pattern*: how many of each part one sheet gives. Which patterns, and how often, is a linear problem; a pattern that would
make it cheaper is looked for until there is none (Gilmore and Gomory 1965, Operations Research 13:94-120): strips across
the sheet, columns in the strips, pieces in the columns, each the best filled row for what a piece is worth there. Whole
times are taken as they come out, and what is then still wanted is laid out by the search. Sheets of one pattern are equal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement
from math import gcd
from typing import TYPE_CHECKING, Any, Final

from assemblies.shop.layout.engine import Layout, Put, SheetPlan
from assemblies.shop.layout.job import Job, Stock, StockShort

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["pattern_layout"]

_KINDS: Final = 12  # sizes of pieces: of more the search does as well
_STEPS: Final = 2500  # of a row, to which sizes are rounded up
_STRIPS: Final = 40  # heights of strips that are tried
_ROUNDS: Final = 20
_NEAR: Final = 1e-9

Rest = Callable[[Job], Layout]


@dataclass(frozen=True)
class Pattern:
    """One way to cut up a sheet: its stock, where each piece lies, and how many of each part that gives."""

    stock: int
    puts: tuple[Put, ...]
    gives: tuple[int, ...]


def pattern_layout(job: Job, bound: float, rest: Rest) -> Layout | None:
    """A layout of few patterns; None where there are too many sizes.

    Args:
        job: its pieces and sheets.
        bound: what any plan costs at least.
        rest: lays out what is left over.
    """
    wants = [n for n, want in enumerate(job.wants) if want.count]
    if not wants or len(wants) > _KINDS:
        return None
    patterns, times = _solved(job)
    left = [want.count for want in job.wants]
    there = [job.pieces if s.count is None else s.count for s in job.stock]
    sheets: list[SheetPlan] = []
    for k in sorted(range(len(patterns)), key=lambda k: (-times[k], k)):
        one = patterns[k]
        most = min(left[n] // give for n, give in enumerate(one.gives) if give)
        often = min(int(times[k] + _NEAR), most, there[one.stock])
        sheets += [SheetPlan(stock=one.stock, puts=one.puts)] * often
        left = [n - often * give for n, give in zip(left, one.gives, strict=True)]
        there[one.stock] -= often
    if any(left):
        try:
            found = rest(_left_over(job, left, there))
        except StockShort:
            return None
        sheets += found.sheets
    cost = float(sum(job.stock[s.stock].cost for s in sheets))
    return Layout(job=job, sheets=tuple(sheets), cost=cost, bound=bound, ended="work done")


def _left_over(job: Job, left: Sequence[int], there: Sequence[int]) -> Job:
    """The job of what is still wanted, from the sheets that are still there."""
    wants = tuple(replace(want, count=n) for want, n in zip(job.wants, left, strict=True))
    stock = tuple(s if s.count is None else replace(s, count=n) for s, n in zip(job.stock, there, strict=True))
    return replace(job, wants=wants, stock=stock)


def _solved(job: Job) -> tuple[list[Pattern], list[float]]:
    """Patterns, and how often each is used where parts of sheets may be bought."""
    import numpy as np
    from scipy.optimize import linprog

    wanted = np.array([-float(want.count) for want in job.wants])
    limits = [k for k, s in enumerate(job.stock) if s.count is not None]
    makers = [_Maker(job, k) for k, s in enumerate(job.stock) if s.count != 0]
    patterns = [p for n in range(len(job.wants)) for maker in makers for p in maker.best(np.eye(len(job.wants))[n])]
    times: list[float] = []
    for _ in range(_ROUNDS):
        gives = -np.array([p.gives for p in patterns], float).T
        uses = np.array([[float(p.stock == k) for p in patterns] for k in limits]).reshape(len(limits), len(patterns))
        solved = linprog(
            [float(job.stock[p.stock].cost) for p in patterns],
            A_ub=np.vstack([gives, uses]),
            b_ub=[*wanted, *(float(job.stock[k].count or 0) for k in limits)],
            method="highs",
        )
        if not solved.success:
            return [], []
        times = [float(v) for v in solved.x]
        worth = -np.asarray(solved.ineqlin.marginals)
        price = dict.fromkeys(range(len(job.stock)), 0.0) | dict(zip(limits, -worth[len(job.wants) :], strict=True))
        known = set(patterns)
        more = [
            p
            for maker in makers
            for p in maker.best(worth[: len(job.wants)])
            if p not in known
            and float(np.dot(worth[: len(job.wants)], p.gives))
            > (job.stock[p.stock].cost + price[p.stock]) * (1 + _NEAR)
        ]
        if not more:
            break
        patterns += more
    return patterns, times


class _Maker:
    """Patterns of one size of sheet, its strips along either side."""

    def __init__(self, job: Job, stock: int) -> None:
        self.job, self.stock = job, stock

    def best(self, worth: NDArray[Any]) -> Iterator[Pattern]:
        """The best pattern for what each part is worth, of each way that strips can lie."""
        sheet = self.job.stock[self.stock]
        for along_x in (True, False):
            puts = tuple(_Strips(self.job, sheet, along_x, worth).puts())
            if puts:
                gives = tuple(sum(put.part == n for put in puts) for n in range(len(self.job.wants)))
                yield Pattern(self.stock, puts, gives)


class _Strips:
    """One sheet in strips: which heights, which columns in each, which pieces in those."""

    def __init__(self, job: Job, sheet: Stock, along_x: bool, worth: NDArray[Any]) -> None:
        import numpy as np

        self.job, self.along_x = job, along_x
        rooms = [v - 2 * job.trim + job.kerf for v in (sheet.width, sheet.height)]
        self.long, self.high = rooms if along_x else rooms[::-1]
        lies = []  # part, length along the strip, height across it
        for n, want in enumerate(job.wants):
            if want.count and worth[n] > 0.0:
                w, h = want.width + job.kerf, want.height + job.kerf
                both = [(w, h), (h, w)] if along_x else [(h, w), (w, h)]
                lies += [(n, *way) for way in both[: 2 if want.may_turn and w != h else 1]]
        self.lies = [lie for lie in lies if lie[1] <= self.long and lie[2] <= self.high]
        if not self.lies:
            return
        self.across = _Row(self.high, [h for *_, h in self.lies])
        self.along = _Row(self.long, [a for _, a, _ in self.lies])
        self.lengths = sorted({a for _, a, _ in self.lies})
        singles = sorted({h for *_, h in self.lies})
        sums = {a + b for a, b in combinations_with_replacement(singles, 2) if a + b <= self.high}
        self.heights = [*singles, *sorted(sums - set(singles))][:_STRIPS]
        value = np.array([[float(worth[n]) * (long <= a) for n, long, _ in self.lies] for a in self.lengths])
        self.columns = self.across.filled([high for *_, high in self.lies], value)
        each = self.columns.value[:, [self.across.down(h) for h in self.heights]].T
        self.strips = self.along.filled(self.lengths, each)
        self.sheet = self.across.filled(self.heights, self.strips.value[:, -1][None, :])

    def puts(self) -> Iterator[Put]:
        """Every piece where it lies."""
        if not self.lies:
            return
        y = 0
        for strip in self.sheet.taken(0, -1):
            x = 0
            for column in self.strips.taken(strip, -1):
                at = y
                for k in self.columns.taken(column, self.across.down(self.heights[strip])):
                    part, long, high = self.lies[k]
                    yield self._put(part, x, at, long, high)
                    at += high
                x += self.lengths[column]
            y += self.heights[strip]

    def _put(self, part: int, along: int, across: int, long: int, high: int) -> Put:
        k, t = self.job.kerf, self.job.trim
        if self.along_x:
            return Put(part, along + t, across + t, long - k, high - k)
        return Put(part, across + t, along + t, high - k, long - k)


class _Row:
    """Rooms of one length in whole steps, to which sizes are rounded up."""

    def __init__(self, room: int, sizes: Sequence[int]) -> None:
        self.step = max(gcd(*sizes), -(-room // _STEPS))
        self.room = room // self.step

    def down(self, size: int) -> int:
        """A room of this size, in steps."""
        return size // self.step

    def filled(self, sizes: Sequence[int], values: NDArray[Any]) -> _Filled:
        """The most that rooms up to the whole can hold; a row of values is one problem, its columns go with the sizes."""
        import numpy as np

        steps = [-(-size // self.step) for size in sizes]
        least = min(steps)
        best = np.zeros((len(values), self.room + 1))
        for low in range(least, self.room + 1, least):
            high = min(low + least, self.room + 1)
            best[:, low:high] = best[:, low - 1 : low]
            for k, step in enumerate(steps):
                first = max(low, step)
                if first < high:
                    found = best[:, first - step : high - step] + values[:, k : k + 1]
                    np.maximum(best[:, first:high], found, out=best[:, first:high])
            np.maximum.accumulate(best[:, low:high], axis=1, out=best[:, low:high])
        return _Filled(steps, values, best)


@dataclass(frozen=True)
class _Filled:
    """The most that rooms hold, in steps; `value[p][x]` of problem p."""

    steps: list[int]
    values: NDArray[Any]
    value: NDArray[Any]

    def taken(self, problem: int, room: int) -> list[int]:
        """What a room is filled with, largest first."""
        best, own = self.value[problem], self.values[problem]
        worth, found = float(best[room]), list[int]()
        while worth > 0.0:
            at = int(best.searchsorted(worth))  # the least room that holds as much: a piece ends there
            k = next(k for k, s in enumerate(self.steps) if s <= at and own[k] > 0.0 and best[at - s] + own[k] == worth)
            found.append(k)
            worth = float(best[at - self.steps[k]])
        return sorted(found, key=lambda k: (-self.steps[k], k))
