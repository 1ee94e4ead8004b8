"""From a job to the best layout found: quick plans first, then the search for one sheet less.

The amount of work is counted, not timed, so that the same job with the same seed gives the same layout on any computer;
the time limit only ends a run that would take too long. The search ends early when a plan reaches the proven bound.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any, Final, Literal

from assemblies.shop.layout import bounds, kernel, refill
from assemblies.shop.layout.job import Job, StockShort
from assemblies.shop.layout.proof import prove

__all__ = ["Layout", "Progress", "Put", "SheetPlan", "find_layout"]

Progress = Callable[[float, int], None]
"""Called now and then with the share of the work done (0 to 1) and the number of sheets of the best plan."""

Ended = Literal["proven best", "work done", "time limit", "interrupted"]

_WORK_PER_SECOND: Final = 4e7  # about 0.4 s of search per second allowed: slow or busy computers keep the limit too
_PLAIN_WORK_PER_SECOND: Final = 2e5
_SLOWER_OVER: Final = 250  # pieces: of more a unit of work takes longer, as there are more places on a sheet to look at
_STRETCH: Final = 2e6  # work between two looks at the clock
_ROUNDS_PER_SECOND: Final = 16  # of the longest proof, which takes under half of the limit then
_ROUNDS: Final = 8
_QUICK_PIECES: Final = 150  # up to here the first plans are made in plain Python
_QUICK_TRIES: Final = 8
_TRIES: Final = 40
_SLACKS: Final = (0.0, 0.01, 0.03)  # shares of a sheet's area by which a step may be worse


@dataclass(frozen=True)
class Put:
    """A piece on a sheet: its part, lower-left corner and size as placed, in whole units."""

    part: int
    x: int
    y: int
    w: int
    h: int


@dataclass(frozen=True, kw_only=True)
class SheetPlan:
    """One sheet: which stock entry, and what is put on it."""

    stock: int
    puts: tuple[Put, ...]


@dataclass(frozen=True, kw_only=True)
class Layout:
    """A complete plan; `bound` is what any plan costs at least, `ended` why the search stopped."""

    job: Job
    sheets: tuple[SheetPlan, ...]
    cost: float
    bound: float
    ended: Ended


class Arrays:
    """The rows the inner loops work on (see `kernel`): lists for plain Python, NumPy arrays for the compiled loops."""

    def __init__(self, job: Job, wide: bool) -> None:
        k = job.kerf
        self.parts = [number for number, want in enumerate(job.wants) for _ in range(want.count)]
        self.kinds = [s for s, sheet in enumerate(job.stock) if min(sheet.width, sheet.height) > 2 * job.trim]
        self.n = len(self.parts)
        room = self.n + 64
        self.real, self.whole = _numpy() if wide else (_list, _list)
        items: list[float] = []
        for part in self.parts:
            want = job.wants[part]
            turn = want.may_turn and want.width != want.height
            items += (float(want.width + k), float(want.height + k), float(turn))
        types: list[float] = []
        for sheet in (job.stock[s] for s in self.kinds):
            size = (float(v - 2 * job.trim + k) for v in (sheet.width, sheet.height))
            types += (*size, float(sheet.cost), float(room if sheet.count is None else sheet.count), 0.0)
        self.items, self.types = self.real(items), self.real(types)
        self.place, self.trial, self.free = (self.real([0.0] * (5 * room)) for _ in range(3))
        self.key, self.sheets = self.real([0.0] * room), self.real([0.0] * (2 * room))
        self.slots, self.order, self.picked, self.offer, self.renumber = (self.whole([0] * room) for _ in range(5))
        self.rule = self.whole([0] * 4)

    def cost(self, slots: list[int]) -> float:
        return float(sum(self.types[5 * t + 2] for t in slots))

    def area(self, i: int) -> float:
        return float(self.items[3 * i] * self.items[3 * i + 1])

    def on(self, i: int) -> int:
        """The sheet that piece i is on, -1 when it is left over."""
        return int(self.place[5 * i + 4])


def _list(values: list[Any]) -> Any:
    return list(values)


def _numpy() -> tuple[Callable[[list[Any]], Any], Callable[[list[Any]], Any]]:
    import numpy as np

    return (lambda v: np.array(v, dtype=np.float64)), (lambda v: np.array(v, dtype=np.int64))


@dataclass
class Best:
    """The best plan so far, as copies."""

    cost: float
    slots: list[int]
    place: list[float]

    def sheets(self) -> int:
        return len(self.slots)


def find_layout(
    job: Job, seconds: float, seed: int, progress: Progress | None = None, compile_loops: bool = True
) -> Layout:
    """The best layout found for a job.

    Args:
        job: what to cut from what.
        seconds: time limit; it also sets the amount of work, which is normally done in under half of it.
        seed: same seed, same job and same limit: same layout.
        progress: called now and then.
        compile_loops: False keeps to plain Python (as where numba is not installed).

    Raises:
        StockShort: when the sheets on hand hold no plan that was found.
    """
    return _Finder(job, seconds, seed, progress, compile_loops).run()


class _Finder:
    """One run: its clock, its dice and its best plan."""

    def __init__(self, job: Job, seconds: float, seed: int, progress: Progress | None, compile_loops: bool) -> None:
        self.job, self.seconds, self.progress, self.compile_loops = job, seconds, progress, compile_loops
        self.ends = time.monotonic() + seconds
        self.start = 1 + (seed * 7919 + 12345) % 2147483646
        self.best: Best | None = None
        self.bound = bounds.area_bound(job)
        self.ended: Ended = "work done"

    def run(self) -> Layout:
        if self.job.pieces == 0:
            return Layout(job=self.job, sheets=(), cost=0.0, bound=0.0, ended="proven best")
        arrays = Arrays(self.job, wide=False)
        try:
            if self.job.pieces <= _QUICK_PIECES or not self.compile_loops:
                self._first_plans(kernel, arrays, _QUICK_TRIES if self.job.pieces <= _QUICK_PIECES else 1)
            if not self._proven():
                self.bound = max(self.bound, bounds.cost_bound(self.job))
            if not self._proven() and self.best is not None and len(self.job.stock) == 1:
                self.bound = prove(self.job, self.best.cost, self.best.sheets(), self.bound).cost
            if not self._proven():
                arrays = self._search_on(arrays)
            self._prove_last()
        except KeyboardInterrupt:
            if self.best is None:
                raise
            self.ended = "interrupted"
        if self._proven():
            self.ended = "proven best"
        return self._layout(arrays)

    def _prove_last(self) -> None:
        """What takes longest to prove, once nothing better was found."""
        rounds = int(_ROUNDS_PER_SECOND * self.seconds)
        if self._proven() or self.best is None or len(self.job.stock) > 1 or not (self.compile_loops and rounds):
            return
        from assemblies.shop.layout import fast

        self.bound = prove(self.job, self.best.cost, self.best.sheets(), self.bound, rounds, fast.compiled()).cost

    def _search_on(self, arrays: Arrays) -> Arrays:
        """More first plans, then the search, compiled where that can be."""
        from assemblies.shop.layout import fast

        loops = fast.compiled() if self.compile_loops else None
        if loops is None:
            self._search(kernel, refill, arrays, _PLAIN_WORK_PER_SECOND * self.seconds)
            return arrays
        plain, arrays = arrays, Arrays(self.job, wide=True)
        if self.job.pieces <= _QUICK_PIECES:
            for c, value in enumerate(plain.place):
                arrays.place[c] = value
        else:
            self._first_plans(loops, arrays, _TRIES if self.job.pieces <= 1000 else _QUICK_TRIES)
        slower = max(1.0, self.job.pieces / _SLOWER_OVER)
        self._search(loops, loops, arrays, _WORK_PER_SECOND / slower * self.seconds)
        return arrays

    def _proven(self) -> bool:
        return self.best is not None and self.best.cost <= self.bound * (1 + 1e-12)

    def _late(self) -> bool:
        if time.monotonic() < self.ends:
            return False
        self.ended = "time limit"
        return True

    def _tell(self, share: float) -> None:
        if self.progress is not None:
            self.progress(min(share, 1.0), self.best.sheets() if self.best else 0)

    def _first_plans(self, loops: ModuleType, a: Arrays, tries: int) -> None:
        """Sheet after sheet, by every sort order and rule; where none is complete the last one stays in `a`."""
        dice = a.whole([self.start])
        for number in range(tries):
            for i in range(a.n):
                a.order[i] = i
            noise = 0.0 if number < _TRIES // 2 else 0.2
            loops.sort_noisily(a.order, a.n, a.items, number % kernel.SORTS, noise, dice, a.key)
            rule = a.whole([number % kernel.FITS, (number // 2) % kernel.SPLITS, 0, 1])
            used, left = loops.greedy(
                a.n,
                a.items,
                a.types,
                len(a.kinds),
                rule,
                dice,
                a.place,
                a.trial,
                a.free,
                a.order,
                a.picked,
                a.sheets,
                a.slots,
            )
            self.partial = [int(t) for t in a.slots[:used]]
            if left == 0.0:
                self._keep(a, used)
            if self._proven() or (self.best is not None and self._late()):
                return
            self._tell(0.0)

    def _keep(self, a: Arrays, used: int) -> None:
        """Remember the plan in `a` when it is cheaper, or as cheap with fewer sheets."""
        slots = [int(t) for t in a.slots[:used]]
        cost = a.cost(slots)
        if self.best is None or (cost, used) < (self.best.cost, self.best.sheets()):
            self.best = Best(cost, slots, [float(v) for v in a.place[: 5 * a.n]])

    def _search(self, loops: ModuleType, upper: ModuleType, a: Arrays, work: float) -> None:
        """Search in rounds, each from the best plan less a sheet (or from the last plan that fell short)."""
        dice = a.whole([self.start])
        whole_work = work
        stretch = min(_STRETCH, work / _ROUNDS)
        sheet_area = max(a.types[5 * t] * a.types[5 * t + 1] for t in range(len(a.kinds)))
        number = 0
        while work > 0.0 and not self._proven() and not self._late():
            budget = self._budget()
            used = self._less_a_sheet(loops, a, budget, number, dice)
            slack = _SLACKS[number % len(_SLACKS)] * sheet_area
            left = least = sum(a.area(i) for i in range(a.n) if a.on(i) < 0)
            spend = min(work, whole_work / _ROUNDS)
            while spend > 0.0 and left > 0.0 and not self._late():
                used, left, least, rest = upper.search(
                    a.n,
                    a.items,
                    a.types,
                    len(a.kinds),
                    a.slots,
                    used,
                    budget,
                    stretch,
                    left,
                    least,
                    slack,
                    dice,
                    a.place,
                    a.trial,
                    a.free,
                    a.key,
                    a.sheets,
                    a.order,
                    a.picked,
                    a.offer,
                    a.renumber,
                    a.rule,
                )
                spend -= stretch - rest
                work -= stretch - rest
                self._tell(1.0 - work / whole_work)
            if left == 0.0:
                self._keep(a, used)
            self.partial = [int(t) for t in a.slots[:used]]
            number += 1

    def _budget(self) -> float:
        """The most the next plan may cost: less than the best."""
        if self.best is None:
            return 1e300
        costs = [s.cost for s in self.job.stock]
        if all(isinstance(c, int) for c in costs):
            return self.best.cost - 0.5
        return self.best.cost * (1 - 1e-9)

    def _less_a_sheet(self, loops: ModuleType, a: Arrays, budget: float, number: int, dice: Any) -> int:
        """Set the rows to the best plan less sheets until it costs no more than `budget`; the sheets in use.

        The emptiest sheet goes in every other round, a random one in the rounds between.
        """
        if self.best is None:
            slots = self.partial
        else:
            slots = list(self.best.slots)
            for c, value in enumerate(self.best.place):
                a.place[c] = value
        while slots and a.cost(slots) > budget:
            filled = [0.0] * len(slots)
            for i in range(a.n):
                if a.on(i) >= 0:
                    filled[a.on(i)] += a.area(i)
            gone = filled.index(min(filled)) if number % 2 == 0 else int(loops.draw(dice) * len(slots))
            del slots[gone]
            for i in range(a.n):
                if a.on(i) >= gone:
                    a.place[5 * i + 4] = -1.0 if a.on(i) == gone else a.place[5 * i + 4] - 1.0
        for s, t in enumerate(slots):
            a.slots[s] = t
        return len(slots)

    def _layout(self, a: Arrays) -> Layout:
        if self.best is None:
            raise self._short(a)
        job, place = self.job, self.best.place
        puts: list[list[Put]] = [[] for _ in self.best.slots]
        for i, part in enumerate(a.parts):
            x, y, w, h, sheet = (int(v) for v in place[5 * i : 5 * i + 5])
            puts[sheet].append(Put(part, x + job.trim, y + job.trim, w - job.kerf, h - job.kerf))
        sheets = tuple(
            SheetPlan(stock=a.kinds[t], puts=tuple(row)) for t, row in zip(self.best.slots, puts, strict=True)
        )
        return Layout(job=job, sheets=sheets, cost=self.best.cost, bound=self.bound, ended=self.ended)

    def _short(self, a: Arrays) -> StockShort:
        over: dict[int, int] = {}
        for i, part in enumerate(a.parts):
            if a.on(i) < 0:
                over[part] = over.get(part, 0) + 1
        which = ", ".join(f"{count} of part {part}" for part, count in sorted(over.items())[:5])
        more = "" if len(over) <= 5 else f" and {len(over) - 5} more parts"
        return StockShort(f"the sheets on hand do not hold all pieces: {which}{more} found no place; add stock", over)
