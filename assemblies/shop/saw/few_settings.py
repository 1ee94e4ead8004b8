"""The cuts of a small job on one sheet at the fewest settings there can be: every order of settings is tried.

Every size comes off the saw at some setting, so no plan has fewer settings than there are different sizes. Here each is set
once, on the fence or at the sled's stop, in every order; of each order the ways to cut and to share out the pieces are all
looked at, and of those with the fewest cuts the one is kept that leaves the largest rests. No size is what is left over. The
work is counted: a job that wants more of it than that is left to the other layouts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from itertools import permutations, product, repeat
from typing import Final, Literal, NamedTuple

from assemblies.shop.layout.job import Job
from assemblies.shop.layout.tree import Axis
from assemblies.shop.saw.cuts import Box, Cut, Sawn

__all__ = ["Holder", "fewest_settings_cuts"]

Holder = Literal["fence", "sled", "either"]
May = Callable[[Literal["fence", "sled"], Cut], bool]
Key = tuple[Holder, int]
Many = tuple[int, ...]
Cost = tuple[int, float]  # cuts, rests (the sum of the squares of their areas, less than zero: few large ones are best)

_HOLDERS: Final[tuple[Literal["fence", "sled"], ...]] = ("fence", "sled")
_PIECES: Final = 12
_SIZES: Final = 6
_WORK: Final = 200_000  # ways to cut that are looked at


class _State(NamedTuple):
    """A blank with the pieces that are to come out of it, and the settings left."""

    w: int
    h: int
    many: Many
    keys: tuple[Key, ...]


class _Choice(NamedTuple):
    """The next cut of a blank, and which of the pieces are on the side that is kept."""

    cost: Cost
    cut: Cut | None = None
    part: Many = ()


class _TooMuch(Exception):
    """The work that may be done is used up."""


def fewest_settings_cuts(job: Job, box: Box, may: May) -> Sawn | None:
    """The cuts that free all pieces of a job from a box; None where each size cannot be set once, or it is too much work.

    Args:
        job: its pieces and its kerf.
        box: the sheet, its factory edges off.
        may: whether a cut can be made so held.
    """
    sizes = {side for want in job.wants if want.count for side in (want.width, want.height)}
    if not 0 < job.pieces <= _PIECES or len(sizes) > _SIZES or sizes & {box.w, box.h}:
        return None  # a size that the sheet has itself may need no setting, or a factory edge taken off
    return _Search(job, may, sorted(sizes, reverse=True)).best(box)


class _Search:
    def __init__(self, job: Job, may: May, sizes: list[int]) -> None:
        self.job, self.may, self.sizes = job, may, sizes
        self.wants = [want for want in job.wants if want.count]
        self.numbers = [number for number, want in enumerate(job.wants) if want.count]
        self.ways = [
            {(w.width, w.height), (w.height, w.width)} if w.may_turn else {(w.width, w.height)} for w in self.wants
        ]
        self.areas = [want.width * want.height for want in self.wants]
        self.work = _WORK
        self.left: dict[tuple[Key, ...], frozenset[int]] = {}
        self.laid: dict[tuple[int, int, frozenset[int]], tuple[bool, ...]] = {}
        self.known: dict[_State, _Choice | None] = {}

    def best(self, box: Box) -> Sawn | None:
        """The best of all orders of settings; of a large job the best of those looked at.

        An order is looked at first as if each cut could be held either way: that costs no more than held as it must be.
        """
        found: tuple[Cost, _State] | None = None
        orders: list[tuple[Cost, tuple[int, ...]]] = []
        with suppress(_TooMuch):
            for order in permutations(self.sizes):
                choice = self.least(self.start(box, order, repeat("either")))
                if choice is not None:
                    orders.append((choice.cost, order))
        self.work = _WORK
        with suppress(_TooMuch):
            for least, order in sorted(orders):
                if found is not None and found[0] <= least:
                    break
                for holders in product(_HOLDERS, repeat=len(order)):
                    state = self.start(box, order, holders)
                    choice = self.least(state)
                    if choice is not None and (found is None or choice.cost < found[0]):
                        found = choice.cost, state
        if found is None:
            return None
        out = Sawn()
        self.write(found[1], box, out)
        return out

    def start(self, box: Box, order: tuple[int, ...], holders: Iterable[Holder]) -> _State:
        many = tuple(want.count for want in self.wants)
        return _State(box.w, box.h, many, tuple(zip(holders, order, strict=False)))

    def held(self, holder: Holder, cut: Cut) -> bool:
        return any(self.may(one, cut) for one in _HOLDERS) if holder == "either" else self.may(holder, cut)

    def least(self, state: _State) -> _Choice | None:
        """The best way to free the pieces of a blank; None for none."""
        state = self.plain(state)
        if state not in self.known:
            self.known[state] = self._least(state)
        return self.known[state]

    def plain(self, state: _State) -> _State:
        """The same without the settings that no piece of the blank has: they only cut away from it what another one would."""
        own = {side for ways, n in zip(self.ways, state.many, strict=True) if n for pair in ways for side in pair}
        return state._replace(keys=tuple(key for key in state.keys if key[1] in own))

    def _least(self, state: _State) -> _Choice | None:
        w, h, many, keys = state
        if sum(many) == 1 and (w, h) in self.ways[many.index(1)]:
            return _Choice((0, 0.0))
        if not keys or not self.holds(w, h, many, keys):
            return None
        found = self.least(state._replace(keys=keys[1:]))
        best = None if found is None else _Choice(found.cost)
        for choice in self.cuts(state):
            if best is None or choice.cost < best.cost:
                best = choice
        return best

    def cuts(self, state: _State) -> Iterator[_Choice]:
        """Every cut of a blank at the setting that is next, with what it costs in all."""
        w, h, many, keys = state
        holder, at = keys[0]
        blank = Box(0, 0, w, h)
        axes: tuple[Axis, ...] = ("x", "y")
        for axis in axes:
            if at >= blank.along(axis):
                continue
            kept, rest = blank.split(axis, at, self.job.kerf)
            if rest is not None and rest.along(axis) in self.sizes:
                continue  # a size that is left over is one that nothing set
            shares = self.shares(kept, rest, many, keys)
            cut = Cut(blank=blank, axis=axis, setting=at, kept=kept, rest=rest, role="strip")
            if not all(shares) or not self.held(holder, cut):
                continue
            for part in product(*shares):
                cost = self.cost(kept, rest, many, part, keys) if any(part) else None
                if cost is not None:
                    yield _Choice(cost, cut, part)

    def shares(self, kept: Box, rest: Box | None, many: Many, keys: tuple[Key, ...]) -> list[range]:
        """How many of each piece may be on the side that is kept: none without room there, all where the rest has none."""
        here = self.lying(kept.w, kept.h, keys)
        there = self.lying(rest.w, rest.h, keys) if rest is not None else (False,) * len(many)
        return [range(0 if t else n, (n if f else 0) + 1) for n, f, t in zip(many, here, there, strict=True)]

    def cost(self, kept: Box, rest: Box | None, many: Many, part: Many, keys: tuple[Key, ...]) -> Cost | None:
        """What a cut costs in all that leaves these pieces in what is kept, the others in the rest."""
        other = tuple(n - k for n, k in zip(many, part, strict=True))
        if any(other) and (rest is None or not self.holds(rest.w, rest.h, other, keys)):
            return None
        here = self.least(_State(kept.w, kept.h, part, keys)) if self.holds(kept.w, kept.h, part, keys) else None
        if here is None:
            return None
        if not any(other) or rest is None:
            return here.cost[0] + 1, here.cost[1] - (0.0 if rest is None else float(rest.area) ** 2)
        there = self.least(_State(rest.w, rest.h, other, keys))
        return None if there is None else (here.cost[0] + there.cost[0] + 1, here.cost[1] + there.cost[1])

    def holds(self, w: int, h: int, many: Many, keys: tuple[Key, ...]) -> bool:
        """Whether there is room, and each side of each piece is still to be set or is the blank's own."""
        self.work -= 1
        if self.work < 0:
            raise _TooMuch
        lies = self.lying(w, h, keys)
        if not all(here for here, count in zip(lies, many, strict=True) if count):
            return False
        return sum(area * count for area, count in zip(self.areas, many, strict=True)) <= w * h

    def lying(self, w: int, h: int, keys: tuple[Key, ...]) -> tuple[bool, ...]:
        """Of each piece: whether it has room in a blank, its sides still to be set or the blank's own."""
        left = self.left.get(keys)
        if left is None:
            left = self.left[keys] = frozenset(at for _, at in keys)
        found = self.laid.get((w, h, left))
        if found is None:
            found = tuple(any(self.sits(a, w, left) and self.sits(b, h, left) for a, b in ways) for ways in self.ways)
            self.laid[w, h, left] = found
        return found

    @staticmethod
    def sits(side: int, room: int, left: frozenset[int]) -> bool:
        return side == room or (side < room and side in left)

    def write(self, state: _State, box: Box, out: Sawn) -> None:
        """The cuts of a blank as they are made, into `out`."""
        state = self.plain(state)
        choice = self.known[state]
        assert choice is not None  # it was found
        w, h, many, keys = state
        if sum(many) == 1 and (w, h) in self.ways[many.index(1)]:
            out.pieces.append((self.numbers[many.index(1)], box))
        elif choice.cut is None:
            self.write(state._replace(keys=keys[1:]), box, out)
        else:
            cut = choice.cut
            kept, rest = box.split(cut.axis, cut.setting, self.job.kerf)
            other = tuple(n - k for n, k in zip(many, choice.part, strict=True))
            role: Literal["strip", "size"] = "strip" if any(other) else "size"
            out.cuts.append(Cut(blank=box, axis=cut.axis, setting=cut.setting, kept=kept, rest=rest, role=role))
            self.write(_State(kept.w, kept.h, choice.part, keys), kept, out)
            if any(other) and rest is not None:
                self.write(_State(rest.w, rest.h, other, keys), rest, out)
            elif rest is not None:
                out.rests.append(rest)
