"""Whether some sheets can hold the pieces at all, if each might be cut more often than it is wanted.

*Worth*: of a piece, any number from 0. However the sheets are cut, what lies on one is worth at most what the best way to cut
it up gives; where all pieces together are worth more than that of all sheets, these sheets cannot hold them (Farley 1990,
Operations Research 38:922-923, from memory). The best way to cut a rectangle is the better of any two parts of it (Gilmore and
Gomory 1966, Operations Research 14:1045-1074, from memory), on a grid to which sizes are rounded down. Worths that rule out
most are those of the linear problem whose columns are ways to cut a sheet; new ones are looked for between its worths and the
best so far.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import gcd
from types import ModuleType
from typing import TYPE_CHECKING, Any, Final

from assemblies.shop.layout.job import Job

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["cannot_hold"]

_GRID: Final = 160  # steps of the longest side
_NEW: Final = 60  # ways to cut that a round adds
_KEPT: Final = 0.5  # of the best worths so far, in those that are tried
_NEAR: Final = 1e-6

Size = tuple[int, int]
Way = tuple[int, tuple[int, ...]]  # which room, and how many of each size it gives


def cannot_hold(job: Job, rooms: Sequence[Size], choice: Sequence[int], rounds: int, loops: ModuleType) -> bool:
    """Whether it is proven that so many sheets of each size do not hold the pieces; False proves nothing.

    Args:
        job: its pieces.
        rooms: of each size of sheet, with a kerf more than the pieces may fill.
        choice: how many sheets of each size.
        rounds: how often better worths are looked for.
        loops: the compiled loops.
    """
    grid = _grid(job, rooms, choice)
    return grid is not None and rounds > 0 and _Worths(grid, loops).prove(rounds)


@dataclass(frozen=True)
class _Grid:
    """The job in steps: sizes and how many are wanted, ways each may lie (size, width, height), rooms with their number."""

    wanted: tuple[int, ...]
    lies: tuple[tuple[int, int, int], ...]
    rooms: tuple[tuple[int, int, int], ...]


def _grid(job: Job, rooms: Sequence[Size], choice: Sequence[int]) -> _Grid | None:
    """None where a piece is thinner than a step, or a room is none."""
    there = [(w, h, n) for (w, h), n in zip(rooms, choice, strict=True) if n]
    sizes: Counter[tuple[int, int, bool]] = Counter()
    for want in job.wants:
        w, h = want.width + job.kerf, want.height + job.kerf
        sizes[(min(w, h), max(w, h), True) if want.may_turn else (w, h, False)] += want.count
    kinds = sorted(+sizes)
    if not there or min(min(room) for room in there) <= 0:
        return None
    longest = max(max(w, h) for w, h, _ in there)
    exact = gcd(*(side for w, h, *_ in (*kinds, *there) for side in (w, h)))
    step = exact if longest <= _GRID * exact else -(-longest // _GRID)
    lies = [(k, w // step, h // step) for k, (w, h, _) in enumerate(kinds)]
    lies += [(k, h // step, w // step) for k, (w, h, turn) in enumerate(kinds) if turn and w != h]
    if min(min(w, h) for _, w, h in lies) < 1:
        return None
    small = tuple((w // step, h // step, n) for w, h, n in there)
    return _Grid(tuple(sizes[kind] for kind in kinds), tuple(lies), small)


class _Worths:
    """The search for worths that rule the sheets out."""

    def __init__(self, grid: _Grid, loops: ModuleType) -> None:
        import numpy as np

        self.grid, self.loops = grid, loops
        self.wide, self.high = (max(room[k] for room in grid.rooms) for k in (0, 1))
        self.value = np.zeros((self.wide + 1) * (self.high + 1))
        self.cut = np.zeros(len(self.value), dtype=np.int64)
        self.sizes = np.array([side for lie in grid.lies for side in lie], dtype=np.int64)
        self.own = np.array([k for k, _, _ in grid.lies])
        self.wanted = np.array([float(n) for n in grid.wanted])

    def prove(self, rounds: int) -> bool:
        """Whether some worths rule the sheets out."""
        ways: dict[Way, None] = {}
        for k, w, h in self.grid.lies:
            for room, (wide, high, _) in enumerate(self.grid.rooms):
                if w <= wide and h <= high:
                    ways[room, tuple(int(k == size) for size in range(len(self.wanted)))] = None
        if len({size for _, many in ways for size, n in enumerate(many) if n}) < len(self.wanted):
            return True  # a piece fits on none of them
        best: NDArray[Any] | None = None
        most = 0.0
        for _ in range(rounds):
            needed, worth, price = self._solve(list(ways))
            if needed <= 1.0 + _NEAR:  # enough as it is, and with more ways to cut even more so
                return False
            tries = [worth] if best is None else [_KEPT * best + (1.0 - _KEPT) * worth, worth]
            for worths in tries:
                share = self._share(worths)
                if share > 1.0 + _NEAR:
                    return True
                if share > most:
                    most, best = share, worths
                found = (way for way in self._ways(worths) if way not in ways and self._pays(way, worth, price))
                new = dict.fromkeys(islice(found, _NEW))
                if new:
                    break
            else:
                return False
            ways |= new
        return False

    def _solve(self, ways: Sequence[Way]) -> tuple[float, NDArray[Any], NDArray[Any]]:
        """How many times over the sheets are needed by these ways; what each size is worth there, and each room."""
        import numpy as np
        from scipy.optimize import linprog

        rooms = range(len(self.grid.rooms))
        gives = -np.array([many for _, many in ways], float).T
        uses = np.array([[float(room == k) for room, _ in ways] for k in rooms])
        last = np.array([[0.0]] * len(gives) + [[-float(n)] for *_, n in self.grid.rooms])
        rows = np.hstack([np.vstack([gives, uses]), last])
        solved = linprog(
            [0.0] * len(ways) + [1.0], A_ub=rows, b_ub=[*-self.wanted, *(0.0 for _ in rooms)], method="highs"
        )
        if not solved.success:
            return 0.0, self.wanted, self.wanted
        duals = np.maximum(-np.asarray(solved.ineqlin.marginals), 0.0)
        return float(solved.fun), duals[: len(gives)], duals[len(gives) :]

    def _pays(self, way: Way, worth: NDArray[Any], price: NDArray[Any]) -> bool:
        """Whether a way to cut would make the linear problem cheaper."""
        return float(worth @ way[1]) > float(price[way[0]]) * (1.0 + _NEAR) + 1e-12

    def _share(self, worth: NDArray[Any]) -> float:
        """What all pieces are worth over what all sheets can give; works out what every rectangle can give."""
        self.loops.best_cuts(
            self.wide, self.high, len(self.grid.lies), self.sizes, worth[self.own], self.value, self.cut
        )
        most = sum(n * float(self.value[self._at(w, h)]) for w, h, n in self.grid.rooms)
        return float(worth @ self.wanted) / most if most > 0.0 else 0.0

    def _at(self, w: int, h: int) -> int:
        return w * (self.high + 1) + h

    def _ways(self, worth: NDArray[Any]) -> Iterator[Way]:
        """Ways to cut a sheet with each piece in its corner and the best beside and above that, the best first."""
        found = []
        for room, (wide, high, _) in enumerate(self.grid.rooms):
            for lie, (k, w, h) in enumerate(self.grid.lies):
                if w <= wide and h <= high and worth[k] > 0.0:
                    for rests in (((wide - w, high), (w, high - h)), ((wide, high - h), (wide - w, h))):
                        gives = float(worth[k]) + sum(float(self.value[self._at(*rest)]) for rest in rests)
                        found.append((-gives, room, lie, rests))
        for _, room, lie, rests in sorted(found):
            many = [0] * len(self.wanted)
            many[self.grid.lies[lie][0]] += 1
            for rest in rests:
                self._take(rest, many)
            yield room, tuple(many)

    def _take(self, room: Size, many: list[int]) -> None:
        """Count what the best way to cut a rectangle gives."""
        waiting = [room]
        while waiting:
            w, h = waiting.pop()
            cut = int(self.cut[self._at(w, h)]) if w and h else -1
            if cut < 0:
                continue
            sort, by = cut % 3, cut // 3
            if sort == 0:
                many[int(self.own[by])] += 1
            else:
                waiting += [(by, h), (w - by, h)] if sort == 1 else [(w, by), (w, h - by)]
