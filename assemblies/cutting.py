"""From orders to one cutting plan and its report: pieces, sheets, steps; without fit, strength or kernel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assemblies.examine import begin, examine
from assemblies.fit.checks import BUILD, HOLES, SHEETS
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report.base import VERSION, Report, close_report
from assemblies.report.check import Made, run_checks
from assemblies.shop.plan.checks import PLAN, plan_checked
from assemblies.shop.plan.items import Wanted
from assemblies.shop.plan.plan import CuttingPlan, Told, plan_cutting
from assemblies.shop.plan.rows import cutting_section, nesting_section, proposed_rack
from assemblies.shop.stock.rack import Rack

__all__ = ["Cut", "cut_orders"]


@dataclass(frozen=True, kw_only=True)
class Cut:
    """The plan, its report, and the rack as it will be.

    Attributes:
        plan: sheets and steps.
        report: of the one order, or of all together.
        rack: once the plan is cut; None where the usual sheets were planned from.
    """

    plan: CuttingPlan
    report: Report
    rack: Rack | None

    @property
    def stops(self) -> bool:
        """Whether anything says stop."""
        return any(f["level"] == "stop" for f in self.report["findings"])


def cut_orders(
    orders: Sequence[Order],
    rack: Rack | None = None,
    spares: Mapping[str, int] | None = None,
    seconds: float = 5.0,
    told: Told | None = None,
) -> Cut:
    """One cutting plan for one or several orders.

    Args:
        orders: their names differ.
        rack: what is on hand; None for the usual sheets.
        spares: how many more of a part are cut, by the part's name.
        seconds: time limit of the search.
        told: progress.

    Raises:
        OrderError: what only building shows.
        SeamwrightError: two orders of one name, or a spare of a part that is not there.
    """
    begun = [begin(order) for order in orders]
    wanted = [Wanted(order=made.order, design=made.design, spares=_own(spares or {}, made, begun)) for made in begun]
    plan = plan_cutting(wanted, rack, seconds, told=told)
    after = proposed_rack(plan) if rack is not None and not plan.faults else None
    report = _one(begun[0], plan) if len(begun) == 1 else _several(begun, plan)
    if after is not None:
        report["rack"] = [dict(vars(slot)) for slot in after.slots]
    return Cut(plan=plan, report=report, rack=after)


def _own(spares: Mapping[str, int], made: Made, begun: Sequence[Made]) -> dict[str, int]:
    """The spares of parts that this order has; what no order has is refused with the last."""
    parts = {piece.name for piece in made.design.pieces}
    return {p: n for p, n in spares.items() if p in parts or len(begun) == 1 or made.order is begun[-1].order}


def _one(made: Made, plan: CuttingPlan) -> Report:
    made = replace(made, got={**made.got, PLAN.name: plan_checked(plan)})
    return examine(made.order, kind(made.order.kind).asked("cut"), made).report


def _several(begun: Sequence[Made], plan: CuttingPlan) -> Report:
    said = [
        replace(f, where=f"{made.order.name}: {f.where}")
        for made in begun
        for f in run_checks(made, (SHEETS, HOLES, BUILD))[0].findings
    ]
    orders = [made.order for made in begun]
    sections: dict[str, Any] = {
        "cutting": cutting_section(plan, orders[0].units),
        "nesting": nesting_section(plan, orders[0].units),
    }
    report: Report = {
        "version": VERSION,
        "orders": [
            {
                "name": o.name,
                "title": o.title,
                "kind": o.kind,
                "revision": o.revision,
                "quantity": o.quantity,
                "units": o.units,
            }
            for o in orders
        ],
        **{name: section for name, section in sections.items() if section is not None},
    }
    closed = close_report(report, {}, (), [*said, *plan_checked(plan).findings])
    return {key: value for key, value in closed.items() if key not in ("checks", "verdict")}
