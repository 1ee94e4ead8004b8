"""Orders asked without the geometry kernel."""

from __future__ import annotations

from assemblies.examine import Examined, examine
from assemblies.kinds import kind
from assemblies.order import Order
from assemblies.report.check import Question

__all__ = ["ask"]


def ask(order: Order, question: Question | None = None) -> Examined:
    """What the checks of a command answer, or all of them; the solids are not compared."""
    return examine(order, kind(order.kind).asked(question, solids=False))
