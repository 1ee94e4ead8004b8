"""Whether a plan is proven best: no choice of sheets that costs less can hold the pieces.

*Choice*: how many of each size of sheet. Of all that cost less than the plan only the fullest are looked at: what these
cannot hold, no smaller one can. A choice is ruled out by the area; where the pieces are few or of few kinds, by all that
can be cut out of one sheet; else by dual feasible functions, and last by all ways to cut that are not held to what is wanted
(`relaxed`).

All that can be cut out of one sheet: of every handful of pieces the smallest blanks that give it, found from those of its
halves, are known exactly. How many sheets the whole takes at least is then a linear problem (Gilmore and Gomory 1965,
Operations Research 13:94-120), and for a few pieces all ways to share them out are tried.

Dual feasible functions: Fekete and Schepers 2001, Mathematical Programming 91:11-31 (u(k), U(eps)); Carlier, Clautiaux and
Moukrim 2007, Computers and Operations Research 34:2223-2250 (the third family); both from memory. For two such functions
f, g the sum of f(w) g(h) over what lies on one sheet is at most 1. Here each piece may lie partly one way and partly the
other, and on parts of several sheets: a linear problem whose least is never above the truth, so that what it rules out is
ruled out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import islice, product
from math import ceil, prod
from operator import le, mul, sub
from types import ModuleType
from typing import TYPE_CHECKING, Any, Final

from assemblies.shop.layout.bounds import cost_bound
from assemblies.shop.layout.job import Job
from assemblies.shop.layout.relaxed import cannot_hold

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["Proof", "prove"]

_FEW: Final = 8  # pieces that are shared out to the sheets in every way
_HANDFULS: Final = 1000  # of one sheet, that are looked at
_CHOICES: Final = 200
_KINDS: Final = 120  # sizes of pieces in the linear problem
_ROUNDS: Final = 40
_NEAR: Final = 1e-6

Choice = tuple[int, ...]
Size = tuple[int, int]
Many = tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Proof:
    """What is proven of a plan.

    Attributes:
        best: no choice of the sheets costs less.
        sheets: no plan has fewer sheets than these.
        cost: no plan costs less.
    """

    best: bool
    sheets: int
    cost: float


def prove(
    job: Job, cost: float, used: int, bound: float = 0.0, rounds: int = 0, loops: ModuleType | None = None
) -> Proof:
    """What can be proven in a short time of a plan of this cost and number of sheets; the same for the same job.

    Args:
        job: its pieces and sheets.
        cost, used: of the plan.
        bound: what is known already of what any plan costs at least.
        rounds: of the longest way to rule sheets out (`relaxed`), which takes compiled loops.
        loops: those.
    """

    def holds(choice: Choice) -> bool:
        return _holds(job, choice) and not (loops is not None and _ruled_out(job, choice, rounds, loops))

    bound = max(bound, cost_bound(job))
    if len(job.stock) == 1 and job.stock[0].cost > 0:
        least = max(1, ceil(bound / job.stock[0].cost - _NEAR)) if used else 0
        while least < used and not holds((least,)):
            least += 1
        return Proof(best=least >= used, sheets=least, cost=least * job.stock[0].cost)
    best = cost <= bound * (1 + 1e-12) or _none_cheaper(job, cost, holds)
    return Proof(best=best, sheets=min(1, used), cost=cost if best else bound)


def _none_cheaper(job: Job, cost: float, holds: Callable[[Choice], bool]) -> bool:
    """Whether every choice that costs less is ruled out; False where there are too many to look at."""
    choices = list(_choices(job, cost))
    return len(choices) <= _CHOICES and not any(map(holds, choices))


def _choices(job: Job, cost: float) -> Iterator[Choice]:
    """The fullest choices that cost less."""

    def more(entry: int, money: float) -> Iterator[Choice]:
        if entry == len(job.stock):
            yield ()
            return
        sheet = job.stock[entry]
        most = job.pieces if sheet.count is None else min(sheet.count, job.pieces)
        if sheet.cost > 0:
            most = min(most, int(money / sheet.cost))
        for number in range(most, -1, -1):
            for rest in more(entry + 1, money - number * sheet.cost):
                yield (number, *rest)

    found: list[Choice] = []
    for choice in more(0, cost * (1 - 1e-9)):
        if not any(all(a <= b for a, b in zip(choice, full, strict=True)) for full in found):
            found.append(choice)
            yield choice
            if len(found) > _CHOICES:
                return


def _holds(job: Job, choice: Choice) -> bool:
    """Whether a choice might hold the pieces, for all that is known."""
    rooms = _rooms(job)
    need = sum((want.width + job.kerf) * (want.height + job.kerf) * want.count for want in job.wants)
    if need > sum(w * h * n for (w, h), n in zip(rooms, choice, strict=True) if min(w, h) > 0):
        return False
    handfuls = _handfuls(job, tuple(rooms))
    if handfuls is not None and job.pieces <= _FEW:
        return _shared_out(job, handfuls, choice)
    if handfuls is not None:
        return _patterns_hold(job, handfuls, choice)
    return len(job.wants) > _KINDS or _share(job, rooms, choice) <= 1.0 + _NEAR


def _rooms(job: Job) -> list[Size]:
    return [(s.width - 2 * job.trim + job.kerf, s.height - 2 * job.trim + job.kerf) for s in job.stock]


@lru_cache(maxsize=32)
def _ruled_out(job: Job, choice: Choice, rounds: int, loops: ModuleType) -> bool:
    return cannot_hold(job, _rooms(job), choice, rounds, loops)


# ---- by all that can be cut out of one sheet


@lru_cache(maxsize=8)
def _handfuls(job: Job, rooms: tuple[Size, ...]) -> tuple[tuple[Many, frozenset[int]], ...] | None:
    """Every handful of pieces that one sheet gives by straight cuts, with the sizes of sheet that do; None for too many.

    Kerfs are added to pieces and sheets.
    """
    wants = [want for want in job.wants if want.count]
    areas = [(want.width + job.kerf) * (want.height + job.kerf) for want in wants]
    room = max(w * h for w, h in rooms)
    every = [range(min(want.count, room // area) + 1) for want, area in zip(wants, areas, strict=True)]
    some = [m for m in islice(product(*every), 50 * _HANDFULS) if sum(map(mul, m, areas)) <= room]
    if prod(map(len, every)) > 50 * _HANDFULS or len(some) > _HANDFULS:
        return None
    blanks: dict[Many, tuple[Size, ...]] = {}
    out = []
    for many in sorted(some, key=lambda m: (sum(m), m))[1:]:
        blanks[many] = _smallest(_blanks(job, many, blanks), rooms)
        if blanks[many]:
            out.append((many, frozenset(k for k, r in enumerate(rooms) if any(_fits(b, r) for b in blanks[many]))))
    return tuple(out)


def _blanks(job: Job, many: Many, known: Mapping[Many, tuple[Size, ...]]) -> Iterator[Size]:
    """Rectangles out of which a handful can be cut: a piece alone, or two smaller handfuls side by side."""
    if sum(many) == 1:
        want = [want for want in job.wants if want.count][many.index(1)]
        yield want.width + job.kerf, want.height + job.kerf
        if want.may_turn:
            yield want.height + job.kerf, want.width + job.kerf
        return
    for part in product(*(range(n + 1) for n in many)):
        rest = tuple(map(sub, many, part))
        if part <= rest and any(part):
            for (w, h), (a, b) in product(known.get(part, ()), known.get(rest, ())):
                yield w + a, max(h, b)
                yield max(w, a), h + b


def _smallest(blanks: Iterator[Size], rooms: Sequence[Size]) -> tuple[Size, ...]:
    """Those that some sheet holds and that are not larger than another."""
    small: list[Size] = []
    for size in sorted({blank for blank in blanks if any(_fits(blank, room) for room in rooms)}):
        if not small or size[1] < small[-1][1]:
            small.append(size)
    return tuple(small)


def _fits(size: Size, room: Size) -> bool:
    return size[0] <= room[0] and size[1] <= room[1]


def _shared_out(job: Job, handfuls: Sequence[tuple[Many, frozenset[int]]], choice: Choice) -> bool:
    """Whether a few pieces can be shared out to the sheets of a choice."""
    gives = [[many for many, sizes in handfuls if k in sizes] for k in range(len(choice))]

    @cache
    def rest(many: Many, left: Choice) -> bool:
        if not any(many):
            return True
        size = next((k for k, n in enumerate(left) if n), None)
        if size is None:
            return False
        fewer = (*left[:size], left[size] - 1, *left[size + 1 :])
        some = [m for m in gives[size] if all(map(le, m, many))]
        return any(rest(tuple(map(sub, many, m)), fewer) for m in some) or rest(
            many, (*left[:size], 0, *left[size + 1 :])
        )

    most = tuple(min(n, job.pieces) for n in choice)
    return rest(tuple(want.count for want in job.wants if want.count), most)


def _patterns_hold(job: Job, handfuls: Sequence[tuple[Many, frozenset[int]]], choice: Choice) -> bool:
    """Whether parts of sheets, each cut up in some way, could give all the pieces."""
    import numpy as np
    from scipy.optimize import linprog

    ways = [(many, k) for many, sizes in handfuls for k in sorted(sizes)]
    goal = np.array([0.0] * len(ways) + [1.0])
    gives = -np.array([many for many, _ in ways], float).T
    wants = [-float(want.count) for want in job.wants if want.count]
    uses = np.array([[float(size == k) for _, size in ways] + [-float(n)] for k, n in enumerate(choice)])
    rows = np.vstack([np.hstack([gives, np.zeros((len(gives), 1))]), uses])
    solved = linprog(goal, A_ub=rows, b_ub=[*wants, *(0.0 for _ in choice)], method="highs")
    return not solved.success or float(solved.fun) <= 1.0 + _NEAR


# ---- by dual feasible functions


def _share(job: Job, rooms: Sequence[Size], choice: Choice) -> float:
    """How many times over a choice of sheets is needed at least: above 1 it cannot hold the pieces."""
    import numpy as np
    from scipy.optimize import linprog

    k = job.kerf
    pieces: Counter[tuple[int, int, bool]] = Counter()
    for want in job.wants:
        pieces[want.width + k, want.height + k, want.may_turn] += want.count
    kinds = sorted(+pieces)
    sides = sorted({side for w, h, _ in kinds for side in (w, h)})
    lies = [(n, w, h) for n, (w, h, _) in enumerate(kinds)]
    lies += [(n, h, w) for n, (w, h, turn) in enumerate(kinds) if turn and w != h]
    sheets = [(room, number) for room, number in zip(rooms, choice, strict=True) if number and min(room) > 0]
    own = np.array([n for n, _, _ in lies])
    at = [np.array([sides.index(lie[axis]) for lie in lies]) for axis in (1, 2)]
    tables = [(_functions(sides, w)[:, at[0]], _functions(sides, h)[:, at[1]]) for (w, h), _ in sheets]
    count = len(lies)
    goal = np.zeros(count * len(sheets) + 1)
    goal[-1] = 1.0
    each = np.zeros((len(kinds), len(goal)))
    for s in range(len(sheets)):
        each[own, s * count + np.arange(count)] = 1.0
    wide = [lie[1] <= room[0] and lie[2] <= room[1] for room, _ in sheets for lie in lies]
    limits = [(0.0, None if ok else 0.0) for ok in wide] + [(0.0, None)]
    wanted = np.array([float(pieces[kind]) for kind in kinds])
    rows: dict[tuple[int, int, int], NDArray[Any]] = {}
    worst = [(s, 0, 0) for s in range(len(sheets))]
    for _ in range(_ROUNDS):
        for s, f, g in worst:
            row = np.zeros(len(goal))
            row[s * count : (s + 1) * count] = tables[s][0][f] * tables[s][1][g]
            row[-1] = -sheets[s][1]
            rows[s, f, g] = row
        solved = linprog(
            goal,
            A_ub=np.array(list(rows.values())),
            b_ub=np.zeros(len(rows)),
            A_eq=each,
            b_eq=wanted,
            bounds=limits,
            method="highs",
        )
        if not solved.success:
            return 2.0 if solved.status == 2 else 0.0  # no way at all: a piece fits on none of these sheets
        worst = [key for key in _broken(tables, sheets, solved.x, count) if key not in rows]
        if not worst:
            break
    return float(solved.fun)


def _broken(
    tables: Sequence[tuple[NDArray[Any], NDArray[Any]]], sheets: Sequence[tuple[Size, int]], x: NDArray[Any], count: int
) -> Iterator[tuple[int, int, int]]:
    """Pairs of functions by which more lies on a sheet than there are of it, the worst of each sheet."""
    import numpy as np

    for s, ((first, second), (_, number)) in enumerate(zip(tables, sheets, strict=True)):
        sums = (first * x[s * count : (s + 1) * count]) @ second.T - number * x[-1]
        for flat in np.argsort(-sums, axis=None, kind="stable")[:12]:
            f, g = divmod(int(flat), sums.shape[1])
            if sums[f, g] > _NEAR / 10:
                yield s, f, g


def _functions(sides: Sequence[int], row: int) -> NDArray[Any]:
    """The value of each function (a row of the table) at each size, for a row of this length; the first is the size."""
    import numpy as np

    size = np.array([float(v) for v in sides])
    plain = size / row
    found = [plain]
    for k in range(1, 13):
        whole = np.array([(k + 1) * v // row for v in sides], float)
        found.append(np.where([(k + 1) * v % row == 0 for v in sides], plain, whole / k))
    for least in sorted({min(v, row - v) for v in sides if v < row}):
        found.append(np.where(size > row - least, 1.0, np.where(size < least, 0.0, plain)))
    steps = {step for v in sides for d in range(1, 7) for step in (v // d, (row - v) // d + 1) if 0 < 2 * step <= row}
    for step in sorted(steps):
        most = row // step
        found.append(np.array([_third(v, row, step, most) for v in sides]))
    return np.array(list(dict.fromkeys(map(tuple, found))))


def _third(size: int, row: int, step: int, most: int) -> float:
    """The third family: how many steps go into a size, what is over half counted by what is left beside it."""
    if 2 * size > row:
        return (most - max(0, row - size) // step) / most
    return 0.5 if 2 * size == row else (size // step) / most
