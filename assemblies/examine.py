"""From an order to everything that is known about it: one way, order to design to checks to report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from assemblies.design import Design
from assemblies.kinds import kind
from assemblies.order import Order, OrderError
from assemblies.report.check import Check, Checked, Made, run_checks
from parts.findings import Finding, SeamwrightError

if TYPE_CHECKING:
    from assemblies.fit import Fit
    from assemblies.fit.apart.explode import Exploded
    from assemblies.report.base import Report
    from assemblies.report.blocks import Section
    from assemblies.shop.plan.plan import CuttingPlan

__all__ = ["Examined", "begin", "examine"]


@dataclass(frozen=True, kw_only=True)
class Examined:
    """What came of an order.

    Attributes:
        made: the design and the answer of each check that was asked.
        checks: those checks.
        report: all of it as plain data.
    """

    made: Made
    checks: tuple[Check, ...]
    report: Report

    @property
    def order(self) -> Order:
        return self.made.order

    @property
    def design(self) -> Design:
        return self.made.design

    @property
    def fit(self) -> Fit | None:
        from assemblies.fit import Fit

        return self.made.of(Fit)

    @property
    def exploded(self) -> Exploded | None:
        from assemblies.fit.apart.explode import Exploded

        return self.made.of(Exploded)

    @property
    def plan(self) -> CuttingPlan | None:
        from assemblies.shop.plan.plan import CuttingPlan

        return self.made.of(CuttingPlan)

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The packet to read, in sections."""
        from assemblies.report.sections import sections

        return sections(self.report, self.order.units, self.checks)

    def saying(self, finding: Finding | None) -> Examined:
        """The same, its report saying one thing more, after all that is as grave."""
        if finding is None:
            return self
        findings = [*self.report["findings"], dict(vars(finding))]
        findings.sort(key=lambda f: ("stop", "care", "note").index(f["level"]))
        return replace(self, report={**self.report, "findings": findings})


@contextmanager
def _named(order: Order) -> Iterator[None]:
    """What a room below refuses, which knows no file, is said of the order's file."""
    try:
        yield
    except OrderError:
        raise
    except SeamwrightError as error:
        raise order.refuse((), str(error), "") from error


def begin(order: Order) -> Made:
    """The design of an order, with the choice of its thickness where the order leaves that open; nothing is checked yet.

    Raises:
        OrderError: what only building shows.
    """
    with _named(order):
        return _begun(order)


def _begun(order: Order) -> Made:
    one = kind(order.kind)
    if isinstance(order.sheet.thickness, float):
        return Made(order=order, design=one.build(order, None))
    if one.choose is None:
        raise order.refuse(("sheet", "thickness"), f"a {one.name} does not choose its sheet", "a length")
    choice = one.choose(order, one.build)
    design = one.build(order, choice.thickness_mm)
    known = Checked(findings=(*design.findings, choice.finding), figures=choice, taken=design.taken)
    return Made(order=order, design=design, got={"build": known})


def examine(
    order: Order, checks: Sequence[Check] | None = None, made: Made | None = None, required: Sequence[str] | None = None
) -> Examined:
    """Ask checks about the order, and write down what they answer.

    Args:
        order: what was ordered.
        checks: all that the kind has unless given; a required one that is not asked says `not-run`.
        made: begun already, with answers that are known.
        required: names of the checks that must have passed; the kind's unless given.

    Raises:
        OrderError: what only building shows.
    """
    one, made = kind(order.kind), made or begin(order)  # an order that is refused in building loads no check
    from assemblies.report.base import base_report, close_report

    asked = one.asked() if checks is None else tuple(checks)
    with _named(order):
        made, rows = run_checks(made, asked)
    wanted = (check.name for check in one.checks() if check.wanted(order))
    needed = (*one.required, *wanted) if required is None else tuple(required)
    states = {name: made.got[name].state if name in made.got else "not-run" for name in needed}
    until = [made.got[name].until for name in needed if name in made.got]
    used = {"shop_file": order.shop_file.said} if order.shop_file.said else {}
    known = {**base_report(made.design), **used, **rows, "taken": made.taken}
    report = close_report(known, states, needed, made.findings, until)
    return Examined(made=made, checks=asked, report=report)
