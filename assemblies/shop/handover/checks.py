"""The checks of what is handed over: what to buy, what it costs, the operator's card, what is done afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from assemblies.fit import Fit
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, State
from assemblies.shop.bond.checks import Bonding
from assemblies.shop.drill.checks import Drilling
from assemblies.shop.handover.after import after_blocks
from assemblies.shop.handover.blocks import buying_blocks, cost_blocks, use_blocks
from parts.findings import Taken
from parts.stock.tube import TubeStock

if TYPE_CHECKING:
    from assemblies.order import Order
    from assemblies.shop.handover.buying import Buying
    from assemblies.shop.handover.card import Proven
    from assemblies.shop.handover.cost import Quote

__all__ = ["AFTER", "BUYING", "CARD", "COST", "named_tube"]

#: The checks without which the card calls a thing not proven.
_PROVING: Final = ("fit", "strength", "liquid")


def _buy(made: Made) -> Checked:
    from assemblies.shop.handover.buying import buying_list

    bonding = made.need(Bonding)
    buying = buying_list(made.order, made.design, bonding.plan, bonding.settings)
    return Checked(figures=buying, taken=tuple(_bolted_to(buying)))


def _bolted_to(buying: Buying) -> Iterator[Taken]:
    """What the bolts clamp, where the shop does not say."""
    if buying.bolts and not buying.clamped.stated:
        bolts = ", ".join(dict.fromkeys(bolt.item for bolt in buying.bolts))
        yield Taken(
            what="thickness of what the plates are bolted to",
            value=buying.clamped.value,
            unit="mm",
            why=f"the length of each bolt ({bolts})",
            say="[shop] clamped",
            weight=2.0,
        )


def _buying_rows(made: Made, buying: Buying) -> Rows:
    return {"buying": buying}


def _cost(made: Made) -> Checked:
    """The quote, at the shop's rates; none where something cannot be cut."""
    from assemblies.shop.handover.cost import quote
    from assemblies.shop.handover.job import job_of
    from assemblies.shop.handover.tubes import tubes_taken
    from assemblies.shop.plan.plan import CuttingPlan
    from assemblies.shop.stock.rates import rates_of

    plan, drilling, fit = made.need(CuttingPlan), made.need(Drilling), made.of(Fit)
    if plan.faults:
        return Checked(state="not-run")
    seams = [one.seam.length_mm for one in fit.seams] if fit else []
    tubes = tubes_taken(made.design, made.order.shop_file, named_tube(made.order))
    job = job_of(made.design, made.order.cutting.process, plan, drilling.sheets, seams, tubes)
    said = made.order.shop_file.rates
    taken = (
        ()
        if said
        else (Taken(what="rates", value="made up", why="every price", say="[rates] of a shop file", weight=1.2),)
    )
    return Checked(figures=quote(job, rates_of(made.order.shop_file)), taken=taken)


def named_tube(order: Order) -> TubeStock | None:
    """The tube of an order as it is sold; its pieces follow what was read of it."""
    spec = order.tables.get(order.kind)  # none of a rig that was put together in Python
    outside, wall, tube = (getattr(spec, key, None) for key in ("outside", "wall", "tube"))
    if not (isinstance(outside, float) and isinstance(wall, float) and isinstance(tube, str)):
        return None
    return TubeStock(material=tube, outside_mm=outside, wall_mm=wall)


def _cost_rows(made: Made, found: Quote) -> Rows:
    return {"cost": found}


def _card(made: Made) -> Checked:
    """Nothing for a thing that neither holds liquid nor moves."""
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.plans.moves import Moves
    from assemblies.shop.handover.card import Proven
    from assemblies.strength.proof.figures import Strength

    if not made.design.cavities and not made.order.case:
        return Checked()
    states: dict[str, State] = {name: made.got[name].state if name in made.got else "not-run" for name in _PROVING}
    if "sound" in made.got and made.got["sound"].state == "failed":  # no figures save what cannot be safe
        states["strength"] = "failed"
    moves, liquid, strength = made.of(Moves), made.of(LiquidState), made.of(Strength)
    return Checked(figures=Proven(liquid=liquid, strength=strength, states=states, moves=moves))


def _card_rows(made: Made, proven: Proven) -> Rows:
    from assemblies.shop.handover.card import card_section

    return {"card": card_section(made.order, made.design, proven)}


def _after(made: Made) -> Checked:
    from assemblies.shop.handover.after import after_rows

    return Checked(figures=after_rows(holds_liquid=bool(made.design.cavities)))


AFTER: Final = Check(
    name="after hand-over",
    run=_after,
    rows=lambda made, found: {"after_handover": found},
    sections=(SectionOf(id="after", station="after", title="After hand-over", blocks=after_blocks),),
)
BUYING: Final = Check(
    name="buying",
    run=_buy,
    after=("bond",),
    rows=_buying_rows,
    sections=(SectionOf(id="buying", station="plan", title="To buy", blocks=buying_blocks),),
)
COST: Final = Check(
    name="cost",
    run=_cost,
    after=("plan", "drill", "bond", "fit"),
    questions=("cut",),
    rows=_cost_rows,
    sections=(SectionOf(id="cost", station="plan", title="Cost", blocks=cost_blocks),),
)
CARD: Final = Check(
    name="card",
    run=_card,
    after=("fit", "liquid", "motion", "sound", "strength"),
    questions=("hold",),
    rows=_card_rows,
    sections=(SectionOf(id="card", station="use", title="Operator's card and tank label", blocks=use_blocks),),
)
