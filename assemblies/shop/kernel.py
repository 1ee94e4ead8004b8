"""The inner loops of the layout search, in a form that runs as plain Python and compiled alike.

*Spot*: a free rectangle of a sheet that is being filled. *Fill*: put pieces into spots one by one; each piece goes into
a corner of its spot and one straight cut divides what is left into two spots, so every filled sheet can be cut edge to
edge. *Rule*: how the spot for the next piece is chosen, and which way the rest is divided.

All lengths are whole numbers held in floats (exact below 2**53); the blade width is already added to pieces and sheets,
which is exact: n pieces and n - 1 kerfs fit in W just when n pieces, each wider by a kerf, fit in W + kerf. Areas only rank
choices here. Everything is drawn from one small generator, so that plain and compiled runs make the same plan.

`items` is (widths, heights, may turn), `free` is (x, y, w, h, sheet) of spots, `place` is (x, y, w, h, sheet) of pieces
with sheet -1 for a piece left over. No function here allocates: all arrays are the caller's.
"""

from __future__ import annotations

from typing import Any

__all__ = ["COMPILED_IN_ORDER", "FITS", "SORTS", "SPLITS", "Numbers", "draw", "fill", "greedy", "sort_noisily"]

Numbers = Any  # a list in plain Python, a NumPy array when compiled

FITS = 4  # ways to score a piece in a spot
SPLITS = 5  # ways to divide what is left of a spot
SORTS = 5  # measures to sort pieces by


def draw(dice: Numbers) -> float:
    """The next number in [0, 1): the multiplicative generator 48271 mod 2**31 - 1 (Park, Miller, Stockmeyer 1993)."""
    dice[0] = (dice[0] * 48271) % 2147483647
    return dice[0] / 2147483647.0


def score(fit: int, w: float, h: float, spare_w: float, spare_h: float) -> tuple[float, float]:
    """How badly a piece sits in a spot (smaller is better), by the chosen rule, and a second measure for ties."""
    low = min(spare_w, spare_h)
    high = max(spare_w, spare_h)
    if fit == 0:
        return (w + spare_w) * (h + spare_h) - w * h, low
    if fit == 1:
        return low, high
    if fit == 2:
        return high, low
    return low * 4.0 + high, low


def find_spot(
    w: float, h: float, turn: bool, free: Numbers, spots: int, rule: Numbers
) -> tuple[int, bool, float, float]:
    """The best spot for one piece: (spot or -1, turned, score, tie score)."""
    _, _, fw, fh, fs = free
    fit = rule[0]
    in_order = rule[2]
    best = -1
    best_turned = False
    best_a = 0.0
    best_b = 0.0
    for k in range(spots):
        if best >= 0 and in_order and fs[k] > fs[best]:
            continue
        for side in range(2):
            if side == 1:
                if not turn:
                    break
                w, h = h, w
            spare_w = fw[k] - w
            spare_h = fh[k] - h
            if spare_w >= 0.0 and spare_h >= 0.0:
                a, b = score(fit, w, h, spare_w, spare_h)
                earlier = in_order and best >= 0 and fs[k] < fs[best]
                if best < 0 or earlier or a < best_a or (a == best_a and b < best_b):
                    best, best_turned, best_a, best_b = k, side == 1, a, b
        if turn:
            w, h = h, w
    return best, best_turned, best_a, best_b


def splits_upright(split: int, w: float, h: float, spare_w: float, spare_h: float, flip: bool) -> bool:
    """Whether the cut beside the piece runs the full height of the spot (else the cut above it the full width)."""
    if split == 0:
        upright = spare_w * (h + spare_h) > spare_h * (w + spare_w)  # the largest spot left as large as can be
    elif split == 1:
        upright = spare_w * (h + spare_h) <= spare_h * (w + spare_w)
    elif split == 2:
        upright = spare_w < spare_h
    elif split == 3:
        upright = w * spare_h < h * spare_w
    else:
        upright = w + spare_w < h + spare_h
    return upright != flip


def cut_spot(k: int, w: float, h: float, upright: bool, free: Numbers, spots: int, least: float) -> int:
    """Put a piece of w by h into the lower left of spot k and replace the spot by its rests; the new number of spots."""
    fx, fy, fw, fh, fs = free
    x, y, spot_w, spot_h, sheet = fx[k], fy[k], fw[k], fh[k], fs[k]
    spare_w = spot_w - w
    spare_h = spot_h - h
    spots -= 1
    fx[k], fy[k], fw[k], fh[k], fs[k] = fx[spots], fy[spots], fw[spots], fh[spots], fs[spots]
    side_h = spot_h if upright else h
    top_w = w if upright else spot_w
    if spare_w >= least and side_h >= least:
        fx[spots], fy[spots], fw[spots], fh[spots], fs[spots] = x + w, y, spare_w, side_h, sheet
        spots += 1
    if spare_h >= least and top_w >= least:
        fx[spots], fy[spots], fw[spots], fh[spots], fs[spots] = x, y + h, top_w, spare_h, sheet
        spots += 1
    return spots


def next_piece(
    order: Numbers, head: int, count: int, items: Numbers, free: Numbers, spots: int, rule: Numbers, stop_at: float,
    left: float, ps: Numbers,
) -> tuple[int, float, int, int, bool]:  # fmt: skip
    """Choose among the next pieces of the order the one that sits best.

    Pieces that fit nowhere are moved before the new head and marked left over. Returns (head, area left over, place in
    the order of the chosen piece or -1, its spot, turned); ends early once more than `stop_at` is left over.
    """
    iw, ih, turns = items
    chosen, spot, turned = -1, -1, False
    best_a = best_b = 0.0
    j = head
    while j < count and j < head + rule[3]:
        i = order[j]
        k, t, a, b = find_spot(iw[i], ih[i], turns[i] != 0, free, spots, rule)
        if k < 0:
            ps[i] = -1
            left += iw[i] * ih[i]
            if left > stop_at:
                return head, left, -1, -1, False
            order[j] = order[head]
            order[head] = i
            if chosen == head:
                chosen = j
            head += 1
            j = max(j, head)
            continue
        if chosen < 0 or a < best_a or (a == best_a and b < best_b):
            chosen, spot, turned, best_a, best_b = j, k, t, a, b
        j += 1
    return head, left, chosen, spot, turned


def fill(
    order: Numbers, count: int, items: Numbers, sheets: Numbers, opened: int, rule: Numbers, flip: float,
    stop_at: float, dice: Numbers, free: Numbers, place: Numbers,
) -> float:  # fmt: skip
    """Fill `opened` sheets with the first `count` pieces of `order`; the area left over.

    `rule` is (fit, split, in order of sheets, look): `look` pieces are tried at a time and the one that sits best goes
    in. `flip` is the chance of turning a split round. Gives up early (with more than `stop_at`) when more than
    `stop_at` is left over.
    """
    iw, ih, _ = items
    px, py, pw, ph, ps = place
    fx, fy, fw, fh, fs = free
    least = 1e300
    for j in range(count):
        least = min(least, iw[order[j]], ih[order[j]])
    for s in range(opened):
        fx[s], fy[s], fw[s], fh[s], fs[s] = 0.0, 0.0, sheets[0][s], sheets[1][s], s
    spots = opened
    left = 0.0
    head = 0
    while head < count and left <= stop_at:
        head, left, at, k, turned = next_piece(order, head, count, items, free, spots, rule, stop_at, left, ps)
        if at < 0:
            continue
        i = order[at]
        while at > head:
            order[at] = order[at - 1]
            at -= 1
        order[head] = i
        head += 1
        w, h = (ih[i], iw[i]) if turned else (iw[i], ih[i])
        px[i], py[i], pw[i], ph[i], ps[i] = fx[k], fy[k], w, h, fs[k]
        flipped = flip > 0.0 and draw(dice) < flip
        upright = splits_upright(rule[1], w, h, fw[k] - w, fh[k] - h, flipped)
        spots = cut_spot(k, w, h, upright, free, spots, least)
    return left


def greedy(
    n: int, items: Numbers, types: Numbers, rule: Numbers, dice: Numbers, place: Numbers, trial: Numbers,
    free: Numbers, scratch: Numbers, slots: Numbers,
) -> tuple[int, float]:  # fmt: skip
    """Fill one sheet after the other in the given order of pieces, each of the kind that costs least for what it holds.

    `scratch[0]` holds the order of the pieces and is used up. Returns (sheets used, area left over).
    """
    iw, ih, _ = items
    tw, th, cost, stock, spare = types
    order, line, sheet_w, sheet_h = scratch[0], scratch[3], scratch[6], scratch[7]
    kinds = len(tw)
    area = 0.0
    for t in range(kinds):
        spare[t] = stock[t]
    for i in range(n):
        place[4][i] = -1
        area += iw[i] * ih[i]
    rest = n
    used = 0
    while rest > 0:
        best = -1
        best_price = 0.0
        for t in range(kinds):
            if spare[t] > 0:
                for j in range(rest):
                    line[j] = order[j]
                sheet_w[0], sheet_h[0] = tw[t], th[t]
                left = fill(line, rest, items, (sheet_w, sheet_h), 1, rule, 0.0, 1e300, dice, free, trial)
                got = area - left
                if got > area * 1e-12 and (best < 0 or cost[t] / got < best_price):
                    best, best_price = t, cost[t] / got
                    if kinds > 1:
                        keep(line, rest, trial, place, used)
        if best < 0:
            break
        if kinds == 1:
            keep(line, rest, trial, place, used)
        spare[best] -= 1
        slots[used] = best
        kept = 0
        for j in range(rest):
            i = order[j]
            if place[4][i] == used:
                area -= iw[i] * ih[i]
            else:
                order[kept] = i
                kept += 1
        rest = kept
        used += 1
    return used, area if rest > 0 else 0.0


def keep(line: Numbers, count: int, trial: Numbers, place: Numbers, sheet: int) -> None:
    """Copy one filled sheet of a trial; pieces that an earlier trial had put on it are taken off."""
    for j in range(count):
        i = line[j]
        if trial[4][i] == 0:
            place[0][i], place[1][i] = trial[0][i], trial[1][i]
            place[2][i], place[3][i] = trial[2][i], trial[3][i]
            place[4][i] = sheet
        elif place[4][i] == sheet:
            place[4][i] = -1


def sort_noisily(order: Numbers, count: int, items: Numbers, by: int, noise: float, dice: Numbers, key: Numbers) -> None:
    """Sort the first `count` pieces, largest first by a measure, each key off by up to the share `noise`."""
    iw, ih, _ = items
    for j in range(count):
        i = order[j]
        low = min(iw[i], ih[i])
        high = max(iw[i], ih[i])
        if by == 0:
            size = low * high
        elif by == 1:
            size = high
        elif by == 2:
            size = low
        elif by == 3:
            size = low + high
        else:
            size = high * high * low
        key[i] = size * (1.0 - noise * draw(dice))
    gap = 1
    while gap < count // 3:
        gap = 3 * gap + 1
    while gap > 0:
        for j in range(gap, count):
            i = order[j]
            at = j
            while at >= gap and key[order[at - gap]] < key[i]:
                order[at] = order[at - gap]
                at -= gap
            order[at] = i
        gap //= 3


#: What to compile, callees before their callers.
COMPILED_IN_ORDER = (
    "draw", "score", "find_spot", "splits_upright", "cut_spot", "next_piece", "fill", "keep", "greedy", "sort_noisily",
)  # fmt: skip
