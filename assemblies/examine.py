"""From an order to everything that is known about it: one way, order to design to checks to report."""

from __future__ import annotations

from dataclasses import dataclass

from assemblies.design import Design
from assemblies.explode import Exploded, explode
from assemblies.fit import Allowances, Fit, FitRules, check_fit
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report import Report, assembly_section, base_report, close_report, fit_section
from parts.findings import Finding
from parts.rules import rule

__all__ = ["Examined", "examine", "examine_fit"]


@dataclass(frozen=True, kw_only=True)
class Examined:
    """What came of an order."""

    order: Order
    design: Design
    fit: Fit
    exploded: Exploded
    report: Report


def fit_rules(order: Order) -> FitRules:
    """What the order says the cut and the joints are good for."""
    cutting = order.cutting
    allow = Allowances(
        tolerance_mm=cutting.tolerance,
        repeat_mm=cutting.repeat,
        squareness_mm=cutting.squareness,
        process_tolerance_mm=order.process_tolerances(),
        reading_mm=rule("caliper_error"),
        as_cut=frozenset(order.as_cut),
    )
    return FitRules(allow=allow, gap_ok_mm=order.limits.gap)


def examine_fit(order: Order, *, solids: bool = True) -> Examined:
    """Design, dry fit and exploded view; the solids are compared with the kernel unless told not to."""
    one = kind(order.kind)
    design = one.build(order, None)
    fit = check_fit(design, fit_rules(order), solids=solids)
    exploded = explode(design)
    report = base_report(design)
    report["fit"] = fit_section(fit)
    report["assembly"] = assembly_section(exploded)
    findings: list[Finding] = [*design.findings, *fit.findings, *exploded.findings]
    checks = dict.fromkeys(one.required_checks, "not-run")
    if solids:
        checks["fit"] = "passed" if fit.passed else "failed"
    report = close_report(report, checks, one.required_checks, findings)
    return Examined(order=order, design=design, fit=fit, exploded=exploded, report=report)


def examine(order: Order) -> Examined:
    """Everything that can be checked about the order."""
    return examine_fit(order)
