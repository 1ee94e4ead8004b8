"""From an order to everything that is known about it: one way, order to design to checks to report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assemblies.design.model import Design
from assemblies.fit import Allowances, Fit, FitRules, check_fit
from assemblies.fit.apart.explode import Exploded, assembly_rows, explode
from assemblies.fit.rows import fit_section
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report.base import Report, base_report, close_report
from parts.findings import Finding
from parts.shape.hole_rules import piece_findings
from parts.stock.rules import rule
from parts.stock.sheet import sheet_findings, sheet_words

if TYPE_CHECKING:
    from assemblies.kinds.tank.choose import Choice
    from assemblies.shop.plan.plan import CuttingPlan

__all__ = ["Examined", "built", "built_findings", "examine", "fit_rules"]


@dataclass(frozen=True, kw_only=True)
class Examined:
    """What came of an order; what was not asked for is None."""

    order: Order
    design: Design
    fit: Fit | None
    exploded: Exploded | None
    report: Report
    plan: CuttingPlan | None = None


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


def built(order: Order) -> tuple[Design, Choice | None]:
    """The design of an order, and the choice of its thickness where the order leaves that open."""
    one = kind(order.kind)
    if isinstance(order.sheet.thickness, float):
        return one.build(order, None), None
    from assemblies.kinds.tank.choose import choose

    choice = choose(order, one.build)
    return one.build(order, choice.thickness_mm), choice


def built_findings(order: Order, design: Design, choice: Choice | None) -> list[Finding]:
    """What is to be said of any design before it is checked: its sheets, its holes, what builder and choice noticed."""
    said: list[Finding] = []
    for sheet in dict.fromkeys(piece.sheet for piece in design.pieces):
        asked = sheet_words(sheet.material, sheet.nominal_mm, order.units)
        said += sheet_findings(sheet, order.sheet.asked if sheet.nominal_mm == order.sheet.thickness else asked)
    said += [finding for piece in design.pieces for finding in piece_findings(piece)]
    return [*said, *design.findings, *([choice.finding] if choice else [])]


def examine(order: Order, *, fit: bool = True, solids: bool = True, strength: bool = True) -> Examined:
    """Everything that is asked for about the order, in one report; a check that was not asked for says `not-run`.

    Args:
        order: what was ordered.
        fit: seams, gaps and the order of assembly.
        solids: compare the solids with the geometry kernel too.
        strength: liquid, weight and strength.

    Raises:
        OrderError: what only building shows.
    """
    required = kind(order.kind).required_checks
    design, choice = built(order)
    report = base_report(design)
    findings = built_findings(order, design, choice)
    checks = dict.fromkeys(required, "not-run")
    fitted, exploded, plan = None, None, None
    if fit:
        fitted, exploded = check_fit(design, fit_rules(order), solids=solids), explode(design)
        report["fit"] = fit_section(fitted)
        report["assembly"] = assembly_rows(exploded)
        findings += [*fitted.findings, *exploded.findings]
        if solids:
            checks["fit"] = "passed" if fitted.passed else "failed"
    if strength:
        from assemblies.strength.tank.hold import hold

        held = hold(order, design, choice)
        report |= {"liquid": held.liquid, "strength": held.strength}
        checks |= held.checks
        findings += held.findings
        from assemblies.shop.handover.sections import proving_sections

        report |= proving_sections(order, design, report, checks)
    if strength and fitted is not None and exploded is not None:
        from assemblies.shop.handover.cut_sections import cut_sections, usual_plan
        from assemblies.shop.handover.sections import shop_sections

        report |= shop_sections(order, design, fitted, exploded, report, checks)
        plan = usual_plan(order, design)
        cut, cut_findings = cut_sections(order, design, report, plan)
        report |= cut
        findings += cut_findings
    report = close_report(report, checks, required, findings)
    return Examined(order=order, design=design, fit=fitted, exploded=exploded, report=report, plan=plan)
