"""Layouts of small jobs in strips that need not lie one way: at every blank the next size is chosen by an order of sizes.

This is how a person goes on when strips of one width across the whole sheet do not do: a strip is cut off at a size that some
piece has, filled with pieces of that size, and the rest is looked at afresh. Orders of sizes and ways to lie are drawn at
random with a fixed seed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Final

from assemblies.shop.layout.engine import Layout, Put, SheetPlan
from assemblies.shop.layout.job import Job

__all__ = ["size_layouts"]

_PIECES: Final = 12
_TRIES: Final = 400
_SEED: Final = 1

Box = tuple[int, int, int, int]  # x, y, width, height


def size_layouts(job: Job, bound: float) -> Iterator[Layout]:
    """Different layouts of a job of up to twelve pieces on one sheet; none where one sheet does not hold it."""
    if job.pieces > _PIECES:
        return
    dice = random.Random(_SEED)
    seen = set()
    for stock, sheet in enumerate(job.stock):
        box = (job.trim, job.trim, sheet.width - 2 * job.trim, sheet.height - 2 * job.trim)
        if sheet.count == 0 or box[2] * box[3] < job.area:
            continue
        for _ in range(_TRIES):
            puts = _Draw(job, dice).lay(box)
            if puts is not None and puts not in seen:
                seen.add(puts)
                plan = SheetPlan(stock=stock, puts=puts)
                yield Layout(job=job, sheets=(plan,), cost=float(sheet.cost), bound=bound, ended="work done")


class _Draw:
    """One layout: an order of sizes, and pieces that are left."""

    def __init__(self, job: Job, dice: random.Random) -> None:
        self.job, self.dice = job, dice
        self.rest = {number: want.count for number, want in enumerate(job.wants) if want.count}
        self.sizes = sorted({side for p in self.rest for side in (job.wants[p].width, job.wants[p].height)})
        dice.shuffle(self.sizes)
        self.turns = dice.random()  # how often the second axis is looked at first
        self.mixes = dice.choice((0.0, 0.5, 1.0))  # how often what is left of a strip is used again
        self.puts: list[Put] = []

    def lay(self, box: Box) -> tuple[Put, ...] | None:
        self.fill(box)
        return None if self.rest else tuple(self.puts)

    def fill(self, box: Box) -> None:
        """Strip after strip of a blank, until nothing more fits."""
        while self.rest:
            found = self.strip(box)
            if found is None:
                return
            box = found

    def strip(self, box: Box) -> Box | None:
        """Cut off and fill a strip at the first size for which there is a piece; what is left of the blank."""
        x, y, w, h = box
        axes = ("x", "y") if self.dice.random() < self.turns else ("y", "x")
        for size in self.sizes:
            for axis in axes:
                length = h if axis == "x" else w
                if size <= (w if axis == "x" else h) and self.fits(size, length, axis):
                    if axis == "x":
                        self.row((x, y, size, h), axis, size)
                        return x + size + self.job.kerf, y, w - size - self.job.kerf, h
                    self.row((x, y, w, size), axis, size)
                    return x, y + size + self.job.kerf, w, h - size - self.job.kerf
        return None

    def fits(self, size: int, length: int, axis: str) -> list[tuple[int, int]]:
        """The parts left that have this size across the strip: (length along it, part)."""
        out = []
        for part in self.rest:
            want = self.job.wants[part]
            across, along = (want.width, want.height) if axis == "x" else (want.height, want.width)
            if across == size and along <= length:
                out.append((along, part))
            elif want.may_turn and along == size and across <= length:
                out.append((across, part))
        return out

    def row(self, box: Box, axis: str, size: int) -> None:
        """Fill a strip with pieces of its width, then perhaps with others."""
        x, y, w, h = box
        while found := self.fits(size, h if axis == "x" else w, axis):
            long, part = max(
                found, key=lambda f: self.sizes.index(f[0]) if self.turns < 0.5 else -self.sizes.index(f[0])
            )
            self.puts.append(Put(part, x, y, size, long) if axis == "x" else Put(part, x, y, long, size))
            self.rest[part] -= 1
            if not self.rest[part]:
                del self.rest[part]
            step = long + self.job.kerf
            x, y, w, h = (x, y + step, w, h - step) if axis == "x" else (x + step, y, w - step, h)
        if self.dice.random() < self.mixes and min(w, h) > 0:
            self.fill((x, y, w, h))
