"""The search that betters a layout: take a few sheets apart and refill them, over and over.

The state is a set of sheets that may be bought with the money allowed, and pieces left over. A step refills one to four
random sheets (or others for the same money) together with the left-over pieces, in a random order by a random rule, and
is kept when no more area is left over than before. Once nothing is left over the layout is complete at the lower cost.

Written like `kernel`, to run as plain Python and compiled alike. `types` is (widths, heights, costs, how many there are,
a scratch row) of the sheets on offer, `slots` the kind of each sheet in use.
"""

from __future__ import annotations

from assemblies.shop.kernel import FITS, SORTS, SPLITS, Numbers, draw, fill, sort_noisily

__all__ = ["COMPILED_IN_ORDER", "search"]


def throw_rule(dice: Numbers, rule: Numbers) -> None:
    """Draw a rule for one fill."""
    rule[0] = int(draw(dice) * FITS)
    rule[1] = int(draw(dice) * SPLITS)
    rule[2] = 1 if draw(dice) < 0.4 else 0
    luck = draw(dice)
    rule[3] = 1 if luck < 0.6 else (2 if luck < 0.75 else (4 if luck < 0.9 else 1000))


def pick_sheets(used: int, picked: Numbers, dice: Numbers) -> int:
    """Mark one to four of the used sheets at random; how many."""
    luck = draw(dice)
    wanted = 1 if luck < 0.25 else (2 if luck < 0.65 else (3 if luck < 0.9 else 4))
    wanted = min(wanted, used)
    for s in range(used):
        picked[s] = 0
    have = 0
    while have < wanted:
        s = int(draw(dice) * used)
        if picked[s] == 0:
            picked[s] = 1
            have += 1
    return wanted


def offer_sheets(
    used: int, slots: Numbers, picked: Numbers, types: Numbers, money: float, area: float, offer: Numbers, dice: Numbers
) -> int:
    """Draw the sheets that may replace the picked ones: the same again, or others that `money` buys; how many."""
    tw, th, cost, stock, spare = types
    kinds = len(tw)
    count = 0
    if kinds == 1 or draw(dice) < 0.4:
        for s in range(used):
            if picked[s] == 1:
                offer[count] = slots[s]
                money -= cost[slots[s]]
                count += 1
        if money < 0.0:
            count = 0
    if count == 0 or draw(dice) < 0.3:
        for t in range(kinds):
            spare[t] = stock[t]
        for s in range(used):
            if picked[s] == 0:
                spare[slots[s]] -= 1
        have = 0.0
        for j in range(count):
            spare[offer[j]] -= 1
            have += tw[offer[j]] * th[offer[j]]
        while count < 8 and have < area * 1.02:
            fits = 0
            for t in range(kinds):
                if spare[t] > 0 and cost[t] <= money:
                    fits += 1
            if fits == 0:
                break
            at = int(draw(dice) * fits)
            for t in range(kinds):
                if spare[t] > 0 and cost[t] <= money:
                    if at == 0:
                        offer[count] = t
                        count += 1
                        spare[t] -= 1
                        money -= cost[t]
                        have += tw[t] * th[t]
                        break
                    at -= 1
    return count


def take_over(
    order: Numbers, count: int, used: int, picked: Numbers, slots: Numbers, offer: Numbers, offered: int,
    trial: Numbers, place: Numbers, n: int, renumber: Numbers,
) -> int:  # fmt: skip
    """Put the refilled sheets in place of the picked ones, dropping those left empty; the new number of sheets."""
    ps = place[4]
    kept = 0
    for s in range(used):
        if picked[s] == 0:
            renumber[s] = kept
            slots[kept] = slots[s]
            kept += 1
        else:
            renumber[s] = -1
    for i in range(n):
        if ps[i] >= 0:
            ps[i] = renumber[ps[i]]
    for s in range(offered):
        renumber[s] = -1
    for j in range(count):
        i = order[j]
        s = trial[4][i]
        if s >= 0:
            if renumber[s] < 0:
                renumber[s] = kept
                slots[kept] = offer[s]
                kept += 1
            place[0][i], place[1][i] = trial[0][i], trial[1][i]
            place[2][i], place[3][i] = trial[2][i], trial[3][i]
            ps[i] = renumber[s]
        else:
            ps[i] = -1
    return kept


def total_cost(used: int, slots: Numbers, cost: Numbers) -> float:
    """What the used sheets cost."""
    spent = 0.0
    for s in range(used):
        spent += cost[slots[s]]
    return spent


def search(
    n: int, items: Numbers, types: Numbers, slots: Numbers, used: int, budget: float, work: float, best: float,
    slack: float, dice: Numbers, place: Numbers, trial: Numbers, free: Numbers, scratch: Numbers,
) -> tuple[int, float, float, float]:  # fmt: skip
    """Refill a few random sheets together with the pieces left over until nothing is left over or the work is done.

    The sheets used never cost more than `budget`. A refill is kept when it leaves no more over than now, or at most
    `slack` more than the least so far (`best`). Returns (sheets used, area left over, the least so far, work left).
    """
    iw, ih, _ = items
    tw, th, cost, _, _ = types
    order, key, picked, offer, renumber, rule, sheet_w, sheet_h = scratch
    ps = place[4]
    spent = total_cost(used, slots, cost)
    now = 0.0
    for i in range(n):
        if ps[i] < 0:
            now += iw[i] * ih[i]
    best = min(best, now)
    while work > 0.0 and now > 0.0:
        pick_sheets(used, picked, dice)
        money = budget - spent
        for s in range(used):
            if picked[s] == 1:
                money += cost[slots[s]]
        count = 0
        area = 0.0
        for i in range(n):
            if ps[i] < 0 or picked[ps[i]] == 1:
                order[count] = i
                count += 1
                area += iw[i] * ih[i]
        offered = offer_sheets(used, slots, picked, types, money, area, offer, dice)
        for s in range(offered):
            sheet_w[s], sheet_h[s] = tw[offer[s]], th[offer[s]]
        sort_noisily(order, count, items, int(draw(dice) * SORTS), draw(dice) ** 2, dice, key)
        throw_rule(dice, rule)
        flip = 0.0 if draw(dice) < 0.5 else 0.3
        limit = max(now, best + slack)
        left = fill(order, count, items, (sheet_w, sheet_h), offered, rule, flip, limit, dice, free, trial)
        work -= 30.0 + 0.5 * n + count * count
        if left <= limit:
            used = take_over(order, count, used, picked, slots, offer, offered, trial, place, n, renumber)
            spent = total_cost(used, slots, cost)
            now = left
            best = min(best, now)
    return used, now, best, work


#: What to compile, callees before their callers; `draw`, `fill` and `sort_noisily` come from the kernel.
COMPILED_IN_ORDER = ("throw_rule", "pick_sheets", "offer_sheets", "take_over", "total_cost", "search")
