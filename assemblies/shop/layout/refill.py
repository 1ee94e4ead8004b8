"""The search that betters a layout: take a few sheets apart and refill them, over and over.

The state is a set of sheets that may be bought with the money allowed, and pieces left over. A step refills one to four
random sheets (or others for the same money) together with the left-over pieces, in a random order by a random rule, and
is kept when no more area is left over than before. Once nothing is left over the layout is complete at the lower cost.

Written like `kernel` (see there for the rows), to run as plain Python and compiled alike. `slots` is the kind of each
sheet in use, `picked` marks those taken apart, `offer` is the kinds of the sheets that replace them.
"""

from __future__ import annotations

from assemblies.shop.layout.kernel import FITS, SORTS, SPLITS, Numbers, draw, fill, sort_noisily

__all__ = ["COMPILED_IN_ORDER", "search"]


def throw_rule(dice: Numbers, rule: Numbers) -> None:
    """Draw a rule for one fill."""
    rule[0] = int(draw(dice) * FITS)
    rule[1] = int(draw(dice) * SPLITS)
    rule[2] = 1 if draw(dice) < 0.4 else 0
    luck = draw(dice)
    rule[3] = 1 if luck < 0.6 else (2 if luck < 0.75 else (4 if luck < 0.9 else 1000))


def pick_sheets(used: int, picked: Numbers, dice: Numbers) -> None:
    """Mark one to four of the used sheets at random."""
    luck = draw(dice)
    wanted = min(1 if luck < 0.25 else (2 if luck < 0.65 else (3 if luck < 0.9 else 4)), used)
    for s in range(used):
        picked[s] = 0
    while wanted > 0:
        s = int(draw(dice) * used)
        if picked[s] == 0:
            picked[s] = 1
            wanted -= 1


def buy_one(types: Numbers, kinds: int, money: float, dice: Numbers) -> int:
    """A random kind of sheet that is there and not too dear, or -1."""
    fits = 0
    for t in range(kinds):
        if types[5 * t + 4] > 0.0 and types[5 * t + 2] <= money:
            fits += 1
    at = int(draw(dice) * fits)
    for t in range(kinds):
        if types[5 * t + 4] > 0.0 and types[5 * t + 2] <= money:
            if at == 0:
                return t
            at -= 1
    return -1


def offer_sheets(
    used: int,
    slots: Numbers,
    picked: Numbers,
    types: Numbers,
    kinds: int,
    money: float,
    area: float,
    offer: Numbers,
    dice: Numbers,
) -> int:
    """Draw the sheets that may replace the picked ones: the same again, or others that `money` buys; how many."""
    count = 0
    have = 0.0
    for t in range(kinds):
        types[5 * t + 4] = types[5 * t + 3]
    for s in range(used):
        if picked[s] == 0:
            types[5 * slots[s] + 4] -= 1.0
    if kinds == 1 or draw(dice) < 0.4:
        for s in range(used):
            t = slots[s]
            if picked[s] == 1 and types[5 * t + 2] <= money:
                offer[count] = t
                count += 1
                money -= types[5 * t + 2]
                types[5 * t + 4] -= 1.0
                have += types[5 * t] * types[5 * t + 1]
    more = count == 0 or draw(dice) < 0.3
    while more and count < 8 and have < area * 1.02:
        t = buy_one(types, kinds, money, dice)
        more = t >= 0
        if more:
            offer[count] = t
            count += 1
            money -= types[5 * t + 2]
            types[5 * t + 4] -= 1.0
            have += types[5 * t] * types[5 * t + 1]
    return count


def take_over(
    order: Numbers,
    count: int,
    used: int,
    picked: Numbers,
    slots: Numbers,
    offer: Numbers,
    offered: int,
    trial: Numbers,
    place: Numbers,
    n: int,
    renumber: Numbers,
) -> int:
    """Put the refilled sheets in place of the picked ones, dropping those left empty; the new number of sheets."""
    kept = 0
    for s in range(used):
        renumber[s] = kept
        if picked[s] == 0:
            slots[kept] = slots[s]
            kept += 1
    for i in range(n):
        if place[5 * i + 4] >= 0.0:
            place[5 * i + 4] = float(renumber[int(place[5 * i + 4])])
    for s in range(offered):
        renumber[s] = -1
    for j in range(count):
        i = order[j]
        s = int(trial[5 * i + 4])
        if s >= 0 and renumber[s] < 0:
            renumber[s] = kept
            slots[kept] = offer[s]
            kept += 1
        for c in range(4):
            place[5 * i + c] = trial[5 * i + c]
        place[5 * i + 4] = float(renumber[s]) if s >= 0 else -1.0
    return kept


def gather(n: int, items: Numbers, place: Numbers, picked: Numbers, order: Numbers) -> tuple[int, float]:
    """The pieces left over or on picked sheets: how many, and their area."""
    count = 0
    area = 0.0
    for i in range(n):
        s = int(place[5 * i + 4])
        if s < 0 or picked[s] == 1:
            order[count] = i
            count += 1
            area += items[3 * i] * items[3 * i + 1]
    return count, area


def search(
    n: int,
    items: Numbers,
    types: Numbers,
    kinds: int,
    slots: Numbers,
    used: int,
    budget: float,
    work: float,
    now: float,
    best: float,
    slack: float,
    dice: Numbers,
    place: Numbers,
    trial: Numbers,
    free: Numbers,
    key: Numbers,
    sheets: Numbers,
    order: Numbers,
    picked: Numbers,
    offer: Numbers,
    renumber: Numbers,
    rule: Numbers,
) -> tuple[int, float, float, float]:
    """Refill a few random sheets together with the pieces left over until nothing is left over or the work is done.

    The sheets used never cost more than `budget`. A refill is kept when it leaves no more over than `now`, or at most
    `slack` more than the least so far (`best`). Returns (sheets used, area left over, the least so far, work left).
    """
    while work > 0.0 and now > 0.0:
        pick_sheets(used, picked, dice)
        kept_cost = 0.0
        for s in range(used):
            if picked[s] == 0:
                kept_cost += types[5 * slots[s] + 2]
        count, area = gather(n, items, place, picked, order)
        offered = offer_sheets(used, slots, picked, types, kinds, budget - kept_cost, area, offer, dice)
        for s in range(offered):
            sheets[2 * s], sheets[2 * s + 1] = types[5 * offer[s]], types[5 * offer[s] + 1]
        sort_noisily(order, count, items, int(draw(dice) * SORTS), draw(dice) ** 2, dice, key)
        throw_rule(dice, rule)
        flip = 0.0 if draw(dice) < 0.5 else 0.3
        limit = max(now, best + slack)
        left = fill(order, count, items, sheets, offered, rule, flip, limit, dice, free, trial)
        work -= 30.0 + 0.2 * n + count * min(count, 24)
        if left <= limit:
            used = take_over(order, count, used, picked, slots, offer, offered, trial, place, n, renumber)
            now = left
            best = min(best, now)
    return used, now, best, work


#: What to compile, callees before their callers; `draw`, `fill` and `sort_noisily` come from the kernel.
COMPILED_IN_ORDER = ("throw_rule", "pick_sheets", "buy_one", "offer_sheets", "take_over", "gather", "search")
