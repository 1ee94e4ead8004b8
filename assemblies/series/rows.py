"""What a member comes to: its state, why, and its figures; worked out by the same checks as a command's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from assemblies.report.check import Question
from assemblies.series.figures import FIGURES
from assemblies.series.spec import Asked
from parts.findings import SeamwrightError

if TYPE_CHECKING:
    from assemblies.order import Order
    from assemblies.report.check import Check

__all__ = ["Row", "broken", "row_of"]

Report = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Row:
    """A member: its number from 0, `passed`, `stop`, `not-proven` or `broken`, why it is not passed, its figures."""

    member: int
    state: str
    reason: str
    figures: Mapping[str, float]


def row_of(asked: Asked, member: int) -> Row:
    """A member worked out; whatever goes wrong with it is its own reason, not the series' end."""
    try:
        order = asked.order(member)
        return _asked_row(order, member, _checks(order, asked))
    except SeamwrightError as error:
        return broken(member, str(error))
    except Exception as error:  # the other members are none the worse for it
        return broken(member, f"a fault of seamwright: {error!r}")


def broken(member: int, reason: str) -> Row:
    """A member that came to nothing."""
    return Row(member=member, state="broken", reason=" ".join(reason.split()), figures={})


def _checks(order: Order, asked: Asked) -> tuple[Check, ...]:
    """What `hold` asks, and what the wanted figures need besides; the solids are not compared."""
    from assemblies.kinds import kind

    one = kind(order.kind)
    questions: list[Question] = ["hold", *(FIGURES[name].question for name in asked.figures)]
    names = {check.name for question in questions for check in one.asked(question, solids=False)}
    return tuple(check for check in one.asked(solids=False) if check.name in names)


def _asked_row(order: Order, member: int, checks: tuple[Check, ...]) -> Row:
    from assemblies.examine import examine
    from assemblies.report.base import asked_and_passed
    from assemblies.report.plain import plain

    report = examine(order, checks).report
    figures = {name: figure.read(report) for name, figure in FIGURES.items()}
    passed = bool(asked_and_passed(report)[0])
    return Row(
        member=member,
        state="passed" if passed else "stop" if report["verdict"] == "stop" else "not-proven",
        reason="" if passed else _reason(report),
        figures=plain({name: value for name, value in figures.items() if value is not None}),
    )


def _reason(report: Report) -> str:
    """Why it has not passed: the first stop, else what would prove it, else what is not covered."""
    stop = next((f for f in report["findings"] if f["level"] == "stop"), None)
    if stop is not None:
        return f"{stop['check']}, {stop['where']}: {stop['why']}"
    if report.get("until"):
        return f"not proven until {' and '.join(report['until'])}"
    left = [f"{name} {state}" for name, state in report["checks"].items() if state not in ("passed", "not-run")]
    return ", ".join(left) or "nothing was asked of it"
