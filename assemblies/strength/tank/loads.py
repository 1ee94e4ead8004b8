"""What loads a tank and where the method ends for it; proofs of it alone, for choosing what it is made of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from assemblies.design import Design
from assemblies.liquid.state import filled
from assemblies.order import Order
from assemblies.strength.proof.cases import load_cases, standing_of
from assemblies.strength.proof.loads import Loads, settings_of
from assemblies.strength.proof.uses import Loaded, Proof, SeamUse, Use, WholeUse
from assemblies.strength.tank.good_for import Asked, probes
from assemblies.strength.tank.prove import prove
from assemblies.strength.tank.scope import outside_method
from assemblies.strength.tank.sheet import least_sheets
from parts.findings import NotCovered

__all__ = ["asked_of", "loads_of", "proof_of", "use_at_fills", "use_at_motions"]


def loads_of(order: Order, design: Design) -> Loads:
    """What a design of one cavity is loaded with.

    Raises:
        OrderError: a liquid or fill that cannot be, a limit over the method's own.
        NotCovered: not one cavity.
    """
    if len(design.cavities) != 1:
        raise NotCovered(f"{design.kind}: the box method needs one cavity")
    given = filled(order, design)
    density = given.fluid.density_kg_m3
    stays = standing_of(order.liquid)
    cases = load_cases(given.cavity, given.volume_mm3, given.most_mm3, density, given.empty, order.case, stays)
    outside = outside_method(order, design, given.most_mm3, given.brim_depth_mm)
    return Loads(
        order=order,
        design=design,
        filled=given,
        settings=settings_of(order),
        cases=cases,
        outside=(*outside, *cases.outside),
    )


def asked_of(order: Order, design: Design) -> Asked:
    """The same, as it is proven: unmeasured sheet as thin as it may come."""
    return Asked(loads=loads_of(order, design), thin=least_sheets(design))


def proof_of(asked: Asked, *, probing: bool = False, orders: tuple[int, ...] = (0, 1)) -> Proof:
    """The proof alone.

    Args:
        asked: of which tank.
        probing: add what the check of strength wants to know of the chosen one.
        orders: as in `prove`; of one order alone it is no proof, only a look at what it may come to.

    Raises:
        NotCovered: it is no box of five panels.
    """
    return prove(asked.tank, asked.loads.cases.cases, probes(asked) if probing else (), orders=orders)


def use_at_fills(asked: Asked, parts: Sequence[float]) -> list[float]:
    """The greatest use of panels and seams when it is filled with these shares of the ordered volume, an overflow standing
    at each fill; infinite where that is not covered; all in one solution."""
    given, specs = asked.filled, asked.loads.order.case
    density = given.fluid.density_kg_m3
    cases: list[Loaded] = []
    covered: list[bool] = []
    for k, part in enumerate(parts):
        volume = part * given.volume_mm3
        one = load_cases(given.cavity, volume, volume, density, given.empty, specs, asked.loads.standing)
        cases += [replace(case, name=f"{k}") for case in one.cases]
        # at a sudden start liquid leaves by that overflow at once
        covered.append(one.stays_in and all(c.load.dynamic_factor == 1.0 for c in one.cases))
    return _greatest(prove(asked.tank, cases), covered)


def use_at_motions(asked: Asked, parts: Sequence[float]) -> list[float]:
    """The same with the ordered fill, when it is pushed with these shares of the ordered accelerations."""
    given = asked.filled
    cases: list[Loaded] = []
    covered: list[bool] = []
    for k, part in enumerate(parts):
        specs = [
            c if c.acceleration is None else c.model_copy(update={"acceleration": c.acceleration * part})
            for c in asked.loads.order.case
        ]
        density, stays = given.fluid.density_kg_m3, asked.loads.standing
        one = load_cases(given.cavity, given.volume_mm3, given.most_mm3, density, given.empty, specs, stays)
        cases += [replace(case, name=f"{k}") for case in one.cases]
        covered.append(one.stays_in)
    return _greatest(prove(asked.tank, cases), covered)


def _greatest(proof: Proof, covered: Sequence[bool]) -> list[float]:
    found = [0.0 if one else math.inf for one in covered]
    everything: list[Use | SeamUse | WholeUse] = [*proof.uses, *proof.seams, *proof.whole]
    for one in everything:
        found[int(one.case)] = max(found[int(one.case)], one.use)
    return found
