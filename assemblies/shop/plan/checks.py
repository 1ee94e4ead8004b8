"""The check of the cutting plan: whether every piece can be cut, from which sheets and in which order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from assemblies.order import Order
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.plan.sections import cut_blocks
from parts.findings import Finding, Taken

if TYPE_CHECKING:
    from assemblies.shop.plan.plan import CuttingPlan

__all__ = ["PLAN", "plan_checked"]

_SECONDS: Final = 3.0  # the work is counted and takes a tenth of this for a tank: the limit is for slow computers


def plan_checked(plan: CuttingPlan) -> Checked:
    """What a plan answers, however it was made; `failed` where something cannot be cut."""
    said = (*_interrupted(plan), *plan.faults, *plan.findings)
    return Checked(state="failed" if plan.faults else "passed", findings=said, figures=plan)


def _interrupted(plan: CuttingPlan) -> Iterator[Finding]:
    if plan.interrupted:
        why = "the search was stopped by hand: this is the best plan found so far"
        yield Finding(level="note", check="cutting", where="plan", why=why, do="", source="computed: cutting plan")


def _run(made: Made) -> Checked:
    """The plan from the usual sheet sizes, with a little searching."""
    from assemblies.shop.plan.items import Wanted
    from assemblies.shop.plan.plan import plan_cutting

    order = made.order
    found = plan_checked(plan_cutting([Wanted(order=order, design=made.design, spares={})], seconds=_SECONDS))
    return replace(found, taken=tuple(_taken(order)))


def _taken(order: Order) -> Iterator[Taken]:
    """What it is cut from and with, where neither order nor shop say it."""
    if not order.shop_file.stock:
        bought = "what must be bought"
        yield Taken(
            what="sheets to cut from", value="the usual sizes", why=bought, say="a rack or shop file", weight=1.2
        )
    if not order.says("cutting", "kerf"):
        fits, kerf = "what fits on a sheet", order.cutting.kerf
        yield Taken(what="kerf", value=kerf, unit="mm", why=fits, say="[cutting] kerf", weight=1.05)


def _rows(made: Made, plan: CuttingPlan) -> Rows:
    from assemblies.shop.plan.rows import cutting_section, nesting_section

    return {"cutting": cutting_section(plan, made.order.units), "nesting": nesting_section(plan, made.order.units)}


PLAN: Final = Check(
    name="plan",
    run=_run,
    questions=("cut",),
    rows=_rows,
    sections=(SectionOf(id="cutting", station="cut", title="Cutting plan", blocks=cut_blocks),),
)
