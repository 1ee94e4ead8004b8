"""Orders asked without the geometry kernel."""

from __future__ import annotations

from typing import Any

from assemblies.examine import Examined, examine
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report.check import Made, Question
from assemblies.report.sections import sections
from assemblies.report.terminal.answers import fit_text, hold_text

__all__ = ["ask", "printed"]


def ask(order: Order, question: Question | None = None, made: Made | None = None) -> Examined:
    """What the checks of a command answer, or all of them; the solids are not compared."""
    return examine(order, kind(order.kind).asked(question, solids=False), made)


def printed(report: dict[str, Any], question: Question, unit: Any = "mm", *, every: bool = False) -> str:
    """What a command prints of a report, one with figures put in by a test too."""
    shown = sections(report, unit, kind(report["kind"]).asked(question, solids=False))
    return hold_text(report, unit, shown, every=every) if question == "hold" else fit_text(report, unit, shown)
