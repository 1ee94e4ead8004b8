"""The check of the cutting plan: whether every piece can be cut, from which sheets and in which order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.plan.sections import cut_blocks
from parts.findings import Finding

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
        why = "the search was stopped by hand: this is the best plan until then"
        yield Finding(level="note", check="cutting", where="plan", why=why, do="", source="computed: cutting plan")


def _run(made: Made) -> Checked:
    """The plan from the usual sheet sizes, with a little searching."""
    from assemblies.shop.plan.items import Wanted
    from assemblies.shop.plan.plan import plan_cutting

    return plan_checked(plan_cutting([Wanted(order=made.order, design=made.design, spares={})], seconds=_SECONDS))


def _rows(made: Made, plan: CuttingPlan) -> Rows:
    from assemblies.shop.plan.rows import cutting_section, nesting_section

    return {"cutting": cutting_section(plan, made.order.units), "nesting": nesting_section(plan)}


PLAN: Final = Check(
    name="plan", run=_run, questions=("cut",), rows=_rows,
    sections=(SectionOf(id="cutting", station="cut", title="Cutting plan", blocks=cut_blocks),),
)  # fmt: skip
