"""The inner loops of the layout search, in a form that runs as plain Python and compiled alike.

*Spot*: a free rectangle of a sheet that is being filled. *Fill*: put pieces into spots one by one; each piece goes into
a corner of its spot and one straight cut divides what is left into two spots, so every filled sheet can be cut edge to
edge. *Rule*: how the spot for the next piece is chosen, and which way the rest is divided.

All lengths are whole numbers held in floats (exact below 2**53); the blade width is already added to pieces and sheets,
which is exact: n pieces and n - 1 kerfs fit in W just when n pieces, each wider by a kerf, fit in W + kerf. Areas only
rank choices here. Everything is drawn from one small generator, so that plain and compiled runs make the same plan.

All rows are flat, record after record (this compiles in half the time of separate rows):

- `items`: width, height, 1 when it may be turned; `sheets`: width, height; `order`: numbers of items
- `types`: width, height, cost, how many there are, and a cell to count down in
- `free` (spots) and `place` (where a piece is): x, y, width, height, sheet; sheet -1 is left over

Nothing here allocates: all rows are the caller's, lists in plain Python and NumPy arrays when compiled.
"""

from __future__ import annotations

from typing import Any

__all__ = ["COMPILED_IN_ORDER", "FITS", "SORTS", "SPLITS", "Numbers", "draw", "fill", "greedy", "sort_noisily"]

Numbers = Any

FITS = 4  # ways to score a piece in a spot
SPLITS = 5  # ways to divide what is left of a spot
SORTS = 5  # measures to sort pieces by
HALVED = 0.5  # of the splits turned round, those that come with a cut further out


def draw(dice: Numbers) -> float:
    """The next number in [0, 1): the multiplicative generator 48271 mod 2**31 - 1 (Park, Miller, Stockmeyer 1993)."""
    dice[0] = (dice[0] * 48271) % 2147483647
    return float(dice[0] / 2147483647.0)


def find_spot(
    w: float, h: float, turn: bool, free: Numbers, spots: int, rule: Numbers
) -> tuple[int, bool, float, float]:
    """The best spot for one piece: (spot or -1, turned, score, tie score); smaller scores are better."""
    fit = rule[0]
    in_order = rule[2] == 1
    best, best_turned = -1, False
    best_a = best_b = best_sheet = 0.0
    for k in range(spots):
        spot_w, spot_h, sheet = free[5 * k + 2], free[5 * k + 3], free[5 * k + 4]
        if in_order and best >= 0 and sheet > best_sheet:
            continue
        for side in range(2 if turn else 1):
            spare_w = spot_w - (h if side else w)
            spare_h = spot_h - (w if side else h)
            if spare_w < 0.0 or spare_h < 0.0:
                continue
            low, high = min(spare_w, spare_h), max(spare_w, spare_h)
            if fit == 0:
                a, b = spot_w * spot_h - w * h, low
            elif fit == 1:
                a, b = low, high
            elif fit == 2:
                a, b = high, low
            else:
                a, b = low * 4.0 + high, low
            earlier = in_order and sheet < best_sheet
            if best < 0 or earlier or a < best_a or (a == best_a and b < best_b):
                best, best_turned, best_a, best_b, best_sheet = k, side == 1, a, b, sheet
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


def put_spot(free: Numbers, k: int, x: float, y: float, w: float, h: float, sheet: float) -> None:
    """Write one record of spots or places."""
    free[5 * k] = x
    free[5 * k + 1] = y
    free[5 * k + 2] = w
    free[5 * k + 3] = h
    free[5 * k + 4] = sheet


def cut_spot(k: int, w: float, h: float, upright: bool, free: Numbers, spots: int, least: float) -> int:
    """Put a piece of w by h into the lower left of spot k, and its rests in place of the spot; the number of spots."""
    x, y, sheet = free[5 * k], free[5 * k + 1], free[5 * k + 4]
    spare_w, spare_h = free[5 * k + 2] - w, free[5 * k + 3] - h
    spots -= 1
    for c in range(5):
        free[5 * k + c] = free[5 * spots + c]
    side_h = h + spare_h if upright else h
    top_w = w if upright else w + spare_w
    if spare_w >= least and side_h >= least:
        put_spot(free, spots, x + w, y, spare_w, side_h, sheet)
        spots += 1
    if spare_h >= least and top_w >= least:
        put_spot(free, spots, x, y + h, top_w, spare_h, sheet)
        spots += 1
    return spots


def halve_spot(
    k: int, w: float, h: float, upright: bool, beside: float, free: Numbers, spots: int, least: float
) -> int:
    """Cut spot k straight through before a piece of w by h goes in, so that room of `beside` stays next to the piece.

    Without it no sheet could be made whose first cut touches no edge of its corner piece. Returns the number of spots,
    the same as before where the cut would leave nothing to use.
    """
    x, y, spot_w, spot_h, sheet = free[5 * k], free[5 * k + 1], free[5 * k + 2], free[5 * k + 3], free[5 * k + 4]
    if upright and spot_w - w - beside >= least:
        free[5 * k + 2] = w + beside
        put_spot(free, spots, x + w + beside, y, spot_w - w - beside, spot_h, sheet)
        return spots + 1
    if not upright and spot_h - h - beside >= least:
        free[5 * k + 3] = h + beside
        put_spot(free, spots, x, y + h + beside, spot_w, spot_h - h - beside, sheet)
        return spots + 1
    return spots


def next_piece(
    order: Numbers,
    head: int,
    count: int,
    items: Numbers,
    free: Numbers,
    spots: int,
    rule: Numbers,
    stop_at: float,
    left: float,
    place: Numbers,
) -> tuple[int, float, int, int, bool]:
    """Choose among the next pieces of the order the one that sits best.

    Pieces that fit nowhere are moved before the new head and marked left over. Returns (head, area left over, place in
    the order of the chosen piece or -1, its spot, turned); ends early once more than `stop_at` is left over.
    """
    chosen, spot, turned = -1, -1, False
    best_a = best_b = 0.0
    j = head
    while j < count and j < head + rule[3]:
        i = order[j]
        w, h = items[3 * i], items[3 * i + 1]
        k, t, a, b = find_spot(w, h, items[3 * i + 2] > 0.0, free, spots, rule)
        if k < 0:
            place[5 * i + 4] = -1.0
            left += w * h
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
    order: Numbers,
    count: int,
    items: Numbers,
    sheets: Numbers,
    opened: int,
    rule: Numbers,
    flip: float,
    stop_at: float,
    dice: Numbers,
    free: Numbers,
    place: Numbers,
) -> float:
    """Fill `opened` sheets with the first `count` pieces of `order`; the area left over.

    `rule` is (fit, split, in order of sheets, look): `look` pieces are tried at a time and the one that sits best goes
    in. `flip` is the chance of turning a split round (in half of these the spot is halved first, to leave room for
    another piece beside this one). Gives up early (with more than `stop_at`) when more than `stop_at` is left over.
    """
    least = 1e300
    for j in range(count):
        least = min(least, items[3 * order[j]], items[3 * order[j] + 1])
    for s in range(opened):
        put_spot(free, s, 0.0, 0.0, sheets[2 * s], sheets[2 * s + 1], float(s))
    spots = opened
    left = 0.0
    head = 0
    while head < count and left <= stop_at:
        head, left, at, k, turned = next_piece(order, head, count, items, free, spots, rule, stop_at, left, place)
        if at < 0:
            continue
        i = order[at]
        while at > head:
            order[at] = order[at - 1]
            at -= 1
        order[head] = i
        head += 1
        w, h = (items[3 * i + 1], items[3 * i]) if turned else (items[3 * i], items[3 * i + 1])
        put_spot(place, i, free[5 * k], free[5 * k + 1], w, h, free[5 * k + 4])
        luck = draw(dice) if flip > 0.0 else 1.0
        upright = splits_upright(rule[1], w, h, free[5 * k + 2] - w, free[5 * k + 3] - h, luck < flip)
        if luck < flip * HALVED and head < count:
            mate = order[head + int(draw(dice) * (count - head))]
            beside = items[3 * mate + (1 if draw(dice) < 0.5 and items[3 * mate + 2] > 0.0 else 0)]
            before = spots
            spots = halve_spot(k, w, h, upright, beside, free, spots, least)
            if spots > before:
                upright = not upright
        spots = cut_spot(k, w, h, upright, free, spots, least)
    return left


def keep(line: Numbers, count: int, trial: Numbers, place: Numbers, sheet: int) -> None:
    """Copy one filled sheet of a trial; pieces that an earlier trial had put on it are taken off."""
    for j in range(count):
        i = line[j]
        if trial[5 * i + 4] == 0.0:
            for c in range(4):
                place[5 * i + c] = trial[5 * i + c]
            place[5 * i + 4] = float(sheet)
        elif place[5 * i + 4] == sheet:
            place[5 * i + 4] = -1.0


def greedy(
    n: int,
    items: Numbers,
    types: Numbers,
    kinds: int,
    rule: Numbers,
    dice: Numbers,
    place: Numbers,
    trial: Numbers,
    free: Numbers,
    order: Numbers,
    line: Numbers,
    sheet: Numbers,
    slots: Numbers,
) -> tuple[int, float]:
    """Fill one sheet after the other in the given order of pieces, each of the kind that costs least for what it holds.

    `order` is used up, `line` and `sheet` are scratch. Returns (sheets used, area left over).
    """
    area = 0.0
    for t in range(kinds):
        types[5 * t + 4] = types[5 * t + 3]
    for i in range(n):
        place[5 * i + 4] = -1.0
        area += items[3 * i] * items[3 * i + 1]
    rest, used = n, 0
    while rest > 0:
        best, best_price = -1, 0.0
        for t in range(kinds):
            if types[5 * t + 4] <= 0.0:
                continue
            for j in range(rest):
                line[j] = order[j]
            sheet[0], sheet[1] = types[5 * t], types[5 * t + 1]
            got = area - fill(line, rest, items, sheet, 1, rule, 0.0, 1e300, dice, free, trial)
            if got > area * 1e-12 and (best < 0 or types[5 * t + 2] / got < best_price):
                best, best_price = t, types[5 * t + 2] / got
                keep(line, rest, trial, place, used)
        if best < 0:
            break
        types[5 * best + 4] -= 1.0
        slots[used] = best
        kept = 0
        for j in range(rest):
            i = order[j]
            if place[5 * i + 4] == used:
                area -= items[3 * i] * items[3 * i + 1]
            else:
                order[kept] = i
                kept += 1
        rest = kept
        used += 1
    return used, area if rest > 0 else 0.0


def sort_noisily(
    order: Numbers, count: int, items: Numbers, by: int, noise: float, dice: Numbers, key: Numbers
) -> None:
    """Sort the first `count` pieces, largest first by a measure, each key off by up to the share `noise`."""
    for j in range(count):
        i = order[j]
        low = min(items[3 * i], items[3 * i + 1])
        high = max(items[3 * i], items[3 * i + 1])
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


def best_cuts(wide: int, high: int, count: int, sizes: Numbers, worth: Numbers, value: Numbers, cut: Numbers) -> None:
    """What straight cuts make of every rectangle up to `wide` by `high` at most, and how.

    `sizes` has a number, width and height for each of `count` lies of pieces, `worth` what each is worth. `value` and `cut`
    have a cell for each rectangle (width times `high` + 1, and height): `cut` is -1 for nothing, else three times a lie; three
    times a place and 1 for a cut across the width there, and 2 for one across the height.
    """
    row = high + 1
    for cell in range((wide + 1) * row):
        value[cell] = 0.0
        cut[cell] = -1
    for lie in range(count):
        w, h = sizes[3 * lie + 1], sizes[3 * lie + 2]
        if w <= wide and h <= high and worth[lie] > value[w * row + h]:
            value[w * row + h] = worth[lie]
            cut[w * row + h] = 3 * lie
    for w in range(1, wide + 1):
        for h in range(1, high + 1):
            best = value[w * row + h]
            how = cut[w * row + h]
            if value[(w - 1) * row + h] > best:
                best = value[(w - 1) * row + h]
                how = 3 * 1 + 1
            if value[w * row + h - 1] > best:
                best = value[w * row + h - 1]
                how = 3 * 1 + 2
            for k in range(1, w // 2 + 1):
                both = value[k * row + h] + value[(w - k) * row + h]
                if both > best:
                    best = both
                    how = 3 * k + 1
            for k in range(1, h // 2 + 1):
                both = value[w * row + k] + value[w * row + h - k]
                if both > best:
                    best = both
                    how = 3 * k + 2
            value[w * row + h] = best
            cut[w * row + h] = how


#: What to compile, callees before their callers.
COMPILED_IN_ORDER = (
    "draw",
    "find_spot",
    "splits_upright",
    "put_spot",
    "cut_spot",
    "halve_spot",
    "next_piece",
    "fill",
    "keep",
    "greedy",
    "sort_noisily",
    "best_cuts",
)
