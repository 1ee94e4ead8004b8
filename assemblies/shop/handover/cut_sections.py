"""Adapter for the order of the day in `examine` and `cutting`, until those run the checks themselves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assemblies.design.model import Design
from assemblies.fit import Fit
from assemblies.order import Order
from assemblies.report.check import Checked, Made, run_checks
from assemblies.shop.drill.check import DRILL
from assemblies.shop.handover.check import COST
from assemblies.shop.plan.check import PLAN, plan_checked
from assemblies.shop.plan.items import Wanted
from assemblies.shop.plan.plan import CuttingPlan, plan_cutting
from parts.findings import Finding

__all__ = ["cut_sections", "usual_plan"]


def usual_plan(order: Order, design: Design) -> CuttingPlan:
    """The plan from the usual sheet sizes, with a little searching."""
    return plan_cutting([Wanted(order=order, design=design, spares={})], seconds=3.0)


def cut_sections(
    order: Order, design: Design, report: Mapping[str, Any], plan: CuttingPlan | None = None, fit: Fit | None = None
) -> tuple[dict[str, Any], list[Finding]]:
    """The sections that apply, and what must be said; one with nothing to say is absent."""
    plan = plan or usual_plan(order, design)
    got = {"plan": plan_checked(plan), **({"fit": Checked(figures=fit)} if fit else {})}
    made, rows = run_checks(Made(order=order, design=design, got=got), (PLAN, DRILL, COST))
    return rows, [f for name in ("plan", "drill") for f in made.got[name].findings]
