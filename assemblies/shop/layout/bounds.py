"""Proven lower bounds: how few sheets, or how little money, any plan needs.

Source of the bound with dual feasible functions: Fekete and Schepers 2001, Mathematical Programming 91:11-31 (functions
u(k) and U(eps)), from memory; here each part takes the smaller of its two ways round, which keeps it valid when turning
is allowed. Proof in one line: a dual feasible function f gives sum f(x) <= 1 for any sizes x that fit in a row of
length 1, so the sum of f(w) g(h) over the parts of one sheet is at most 1.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from assemblies.shop.layout.job import Job

__all__ = ["area_bound", "cost_bound", "sheet_bound"]

Shape = Callable[[int, int], float]  # size and length of the row -> a share of the row


def cost_bound(job: Job) -> float:
    """What any complete plan costs at least (0 when there is nothing to cut): the better of all bounds here."""
    if len(job.stock) == 1:
        return max(area_bound(job), sheet_bound(job) * job.stock[0].cost)
    return area_bound(job)


def area_bound(job: Job) -> float:
    """What the area alone costs at least: bought where it is cheapest first, as if it could be cut to any shape."""
    need = sum((w.width + job.kerf) * (w.height + job.kerf) * w.count for w in job.wants)
    rooms = [((s.width - 2 * job.trim + job.kerf) * (s.height - 2 * job.trim + job.kerf), s) for s in job.stock]
    if len(rooms) == 1:
        return -(-need // rooms[0][0]) * rooms[0][1].cost
    total = 0.0
    for room, sheet in sorted((r for r in rooms if r[0] > 0), key=lambda r: r[1].cost / r[0]):
        take = need if sheet.count is None else min(need, room * sheet.count)
        total += sheet.cost * take / room
        need -= take
    if all(isinstance(s.cost, int) for s in job.stock):
        step = math.gcd(*(int(s.cost) for s in job.stock))
        return float(math.ceil(total / step - 1e-9) * step) if step else 0.0
    return total


def sheet_bound(job: Job) -> int:
    """How many sheets of the one size any plan needs at least, by dual feasible functions."""
    sheet = job.stock[0]
    length, height = sheet.width - 2 * job.trim + job.kerf, sheet.height - 2 * job.trim + job.kerf
    parts = [(w.width + job.kerf, w.height + job.kerf, w.count, w.may_turn) for w in job.wants if w.count]
    if not parts:
        return 0
    best = 0
    shapes = _shapes(parts, length, height)
    for f in shapes:
        for g in shapes:
            total = 0.0
            for w, h, count, turn in parts:
                value = f(w, length) * g(h, height)
                total += count * (min(value, f(h, length) * g(w, height)) if turn else value)
            best = max(best, math.ceil(total - 1e-6))
    return best


def _shapes(parts: list[tuple[int, int, int, bool]], length: int, height: int) -> list[Shape]:
    """Plain size, u(1) to u(4), and U(eps) for some shares that occur among the parts."""
    sides = {side for w, h, _, _ in parts for side in (w, h)}
    shares = sorted({side / row for side in sides for row in (length, height) if 2 * side <= row})
    few = shares[:: max(1, len(shares) // 8)]
    return [lambda x, row: x / row, *(_rounded(k) for k in range(1, 5)), *(_cut_off(share) for share in few)]


def _rounded(k: int) -> Shape:
    """u(k): (k+1) x rounded down, over k, where (k+1) x is not whole."""

    def shape(x: int, row: int) -> float:
        whole, rest = divmod((k + 1) * x, row)
        return whole / k if rest else x / row

    return shape


def _cut_off(share: float) -> Shape:
    """U(eps): 1 above 1 - eps, 0 below eps, the size itself between."""

    def shape(x: int, row: int) -> float:
        size = x / row
        return 1.0 if size > 1.0 - share + 1e-12 else (0.0 if size < share - 1e-12 else size)  # sizes differ by more

    return shape
