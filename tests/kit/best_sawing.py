"""An exhaustive search for the plan of a small sawing job that a person would like best: the measure of the tool's own.

It shares nothing with the engine. Every size must come off the saw at some setting, so no plan has fewer settings than
there are different sizes. All orders of exactly so many settings are tried (each size at the fence or at the sled's stop),
and of each all ways to cut and to share the pieces out: what is found breaks no cut group, has the fewest settings there
can be, and of those the fewest cuts.
"""

from __future__ import annotations

from functools import cache
from itertools import permutations, product

Keys = tuple[tuple[str, int], ...]
NEVER = 99


def fewest_cuts(sheet, sizes, counts, kerf, short_edge=300, sled=900, sled_deep=600):
    """Fewest cuts with every size set once and nothing shared out of two settings; None where there is no such plan.

    Args:
        sheet: its two sides, none of them a size of a piece; whole numbers, as all lengths here.
        sizes: of the kinds of pieces, which may be turned.
        counts: how many of each.
    """
    sizes = [tuple(sorted(size, reverse=True)) for size in sizes]
    areas = [w * h for w, h in sizes]

    def holds(box, many):
        (w, h), area = box, sum(a * n for a, n in zip(areas, many, strict=True))
        fit = all(not n or (p <= w and q <= h) for (p, q), n in zip(sizes, many, strict=True))
        return fit and area <= w * h

    def may(holder, edge, distance):
        led = edge >= short_edge and edge >= distance
        return led if holder == "fence" else distance <= sled and (not led or edge <= sled_deep)

    @cache
    def least(box, many, keys: Keys):
        """Fewest cuts that free the pieces of a box with the settings left."""
        if sum(many) == 1 and box == sizes[many.index(1)]:
            return 0
        if not keys:
            return NEVER
        best = least(box, many, keys[1:])
        holder, distance = keys[0]
        for along, edge in {box, box[::-1]}:
            if not (distance < along and may(holder, edge, distance)):
                continue
            kept = tuple(sorted((distance, edge), reverse=True))
            over = along - distance - kerf
            rest = tuple(sorted((over, edge), reverse=True)) if over > 0 else None
            for part in product(*(range(n + 1) for n in many)):
                other = tuple(n - k for n, k in zip(many, part, strict=True))
                if not any(part) or not holds(kept, part) or (any(other) and not (rest and holds(rest, other))):
                    continue
                cuts = 1 + least(kept, part, keys)
                if cuts < best and any(other):
                    cuts += least(rest, other, keys)
                best = min(best, cuts)
        return best

    distances = sorted({side for size in sizes for side in size})
    start = tuple(sorted(sheet, reverse=True))
    best = NEVER
    for order in permutations(distances):
        for holders in product(("fence", "sled"), repeat=len(order)):
            best = min(best, least(start, tuple(counts), tuple(zip(holders, order, strict=True))))
    return None if best >= NEVER else best
