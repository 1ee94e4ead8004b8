"""The saw's and the drill press's sections of the report: `cutting`, `nesting`, `drill`, `cost`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, Final

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.shop.drill.cross_slide import cross_slide
from assemblies.shop.drill.rows import drill_findings, drill_section
from assemblies.shop.drill.sheet import DrillSheet, DrillShop, drill_rows
from assemblies.shop.handover.cost import quote
from assemblies.shop.nest.machined import machined_holes
from assemblies.shop.plan.items import Wanted
from assemblies.shop.plan.plan import CuttingPlan, plan_cutting
from assemblies.shop.plan.rows import cutting_section, nesting_section
from assemblies.shop.stock.rates import Rates, default_rates
from parts.findings import Finding, SeamwrightError

__all__ = ["cut_sections", "drill_sheets", "usual_plan"]

_SECONDS: Final = 3.0  # the work is counted and takes a tenth of this for a tank: the limit is for slow computers


def usual_plan(order: Order, design: Design) -> CuttingPlan:
    """The plan from the usual sheet sizes, with a little searching."""
    return plan_cutting([Wanted(order=order, design=design, spares={})], seconds=_SECONDS)


def drill_sheets(order: Order, design: Design) -> tuple[DrillSheet, ...]:
    """What the drill press does, with drills of the order's units first; not what router or laser cut with the outline.

    Raises:
        OrderError: a pitch or dial of the cross-slide vise that cannot be.
    """
    shop = order.shop
    slide = None
    if shop.turns_per_inch is not None or shop.mm_per_turn is not None:
        try:
            slide = cross_slide(turns_per_inch=shop.turns_per_inch, mm_per_turn=shop.mm_per_turn, divisions=shop.dial)
        except SeamwrightError as error:
            raise order.refuse(("shop",), str(error), "the pitch and dial of a real vise") from error
    settings = DrillShop(
        units=order.units, held=shop.held, spindle_max_rpm=shop.spindle_max, slide=slide, stack=shop.stack
    )
    return drill_rows(design, settings, partial(machined_holes, order))


def cut_sections(
    order: Order,
    design: Design,
    report: Mapping[str, Any],
    plan: CuttingPlan | None = None,
    rates: Rates | None = None,
) -> tuple[dict[str, Any], list[Finding]]:
    """The sections that apply, and what must be said; one with nothing to say is absent.

    Args:
        order, design: what is made.
        report: so far: parts, quantity and seams are read.
        plan: the cutting plan; `usual_plan` without one.
        rates: what the shop charges; the table's without.
    """
    plan = plan or usual_plan(order, design)
    sheets = drill_sheets(order, design)
    sections: dict[str, Any] = {
        "cutting": cutting_section(plan, order.units),
        "nesting": nesting_section(plan),
        "drill": drill_section(sheets) if sheets else None,
    }
    sections = {name: section for name, section in sections.items() if section is not None}
    if not plan.faults:
        bill = _for_the_bill({**report, **sections})
        sections["cost"] = quote(bill, rates or default_rates(), order.cutting.process)
    return sections, [*plan.faults, *plan.findings, *drill_findings(sheets)]


def _for_the_bill(report: dict[str, Any]) -> dict[str, Any]:
    """With the sheets of the nests among those to be paid; where a nest's time is not known, the length is charged."""
    nests = report.get("nesting", {}).get("sheets", [])
    cutting = report.get("cutting", {})
    bill = {"drill": [], **report, "cutting": {**cutting, "sheets": [*cutting.get("sheets", []), *nests]}}
    if any(sheet["minutes"] is None for sheet in nests):
        del bill["nesting"]
    return bill
