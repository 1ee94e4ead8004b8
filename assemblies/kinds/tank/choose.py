"""The thinnest stocked sheet that holds, for the whole tank or panel by panel."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from assemblies.kinds.tank.box import GROUPS, PANELS
from assemblies.kinds.tank.remedies import remedies
from assemblies.kinds.tank.thickness import Build, Choice, Solver, choice_of, uniform
from assemblies.order import Order
from parts.stock.sheet import stocked

__all__ = ["Choice", "choose"]


def choose(order: Order, build: Build) -> Choice:
    """Choose the sheet of an order whose thickness is `choose` or `choose-each`.

    Unmeasured sheet is taken as thin as its standard allows; which readings would let the next thinner one do is said.
    Scaling (stress with 1/t2, deflection with 1/t3) only tells where to look; the chosen thickness and the next thinner
    one are always solved afresh, since spans follow the thickness.

    Raises:
        OrderError: the order cannot be built in some thickness that was tried and must be.
    """
    solver = Solver(order, build)
    listed = stocked(order.sheet.material, order.units)
    best = uniform(solver, listed)
    if not best.passes:
        if solver.refused is not None and all(math.isinf(known[0]) for known in solver.known.values()):
            raise solver.refused
        return replace(best, remedies=remedies(order, build, listed, best))
    if order.sheet.thickness == "choose-each":
        return _each(solver, listed, best)
    if best.thinner_mm is None or not isinstance(best.thickness_mm, float):
        return best
    return replace(best, would_do_mm=solver.would_do(best.thinner_mm, best.thickness_mm))


def _each(solver: Solver, listed: Sequence[float], best: Choice) -> Choice:
    """Thin one group of panels at a time, the heaviest first, as long as everything still holds."""
    assert isinstance(best.thickness_mm, float)
    groups = {"bottom": ("bottom",), "front-back": ("front", "back"), "ends": ("left", "right")}
    now = dict.fromkeys((*PANELS, "lid"), best.thickness_mm)
    for group in sorted(GROUPS, key=("bottom", "front-back", "ends").index):
        for thinner in reversed([t for t in listed if t < best.thickness_mm]):
            trial = {**now, **dict.fromkeys(groups[group], thinner)}
            if solver.use(trial)[0] > 1.0:
                break
            now = trial
    return choice_of(solver, now, best.thinner_mm, passes=True)
