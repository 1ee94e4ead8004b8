"""From orders to one cutting plan and its report: pieces, sheets, steps; without fit, strength or kernel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assemblies.examine import built, built_findings
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report.base import VERSION, Report, base_report, close_report
from assemblies.shop.handover.cut_sections import cut_sections
from assemblies.shop.plan.items import Wanted
from assemblies.shop.plan.plan import CuttingPlan, Told, plan_cutting
from assemblies.shop.plan.rows import cutting_section, nesting_section, proposed_rack
from assemblies.shop.stock.rack import Rack
from parts.findings import Finding

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
    wanted, said = [], []
    for order in orders:
        design, choice = built(order)
        parts = {piece.name for piece in design.pieces}
        own = {p: n for p, n in (spares or {}).items() if p in parts or len(orders) == 1 or order is orders[-1]}
        wanted.append(Wanted(order=order, design=design, spares=own))
        prefix = f"{order.name}: " if len(orders) > 1 else ""
        said += [replace(f, where=f"{prefix}{f.where}") for f in built_findings(order, design, choice)]
    plan = plan_cutting(wanted, rack, seconds, told=told)
    after = proposed_rack(plan) if rack is not None and not plan.faults else None
    report = _one(wanted[0], plan, said) if len(wanted) == 1 else _several(wanted, plan, said)
    if after is not None:
        report["rack"] = [dict(vars(slot)) for slot in after.slots]
    return Cut(plan=plan, report=report, rack=after)


def _interrupted(plan: CuttingPlan) -> list[Finding]:
    if not plan.interrupted:
        return []
    why = "the search was stopped by hand: this is the best plan until then"
    return [Finding(level="note", check="cutting", where="plan", why=why, do="", source="computed: cutting plan")]


def _one(one: Wanted, plan: CuttingPlan, said: list[Finding]) -> Report:
    required = kind(one.order.kind).required_checks
    report = base_report(one.design)
    sections, findings = cut_sections(one.order, one.design, report, plan)
    checks = dict.fromkeys(required, "not-run")
    return close_report(report | sections, checks, required, [*said, *findings])


def _several(wanted: Sequence[Wanted], plan: CuttingPlan, said: list[Finding]) -> Report:
    sections: dict[str, Any] = {
        "cutting": cutting_section(plan, wanted[0].order.units),
        "nesting": nesting_section(plan),
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
            for o in (one.order for one in wanted)
        ],
        **{name: section for name, section in sections.items() if section is not None},
    }
    closed = close_report(report, {}, (), [*said, *_interrupted(plan), *plan.faults, *plan.findings])
    return {key: value for key, value in closed.items() if key not in ("checks", "verdict")}
