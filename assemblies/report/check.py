"""Checks that plug in: what one is given, what it answers, what it adds to the report and to the packet.

A check reads a design and never edits it. It stands in the room that makes its figures, with its rows of the report and its
sections of the packet beside it; a kind names its checks, and `examine` runs them. A new check is a new `Check`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from assemblies.design import Design
from assemblies.order import Order
from parts.findings import Finding, NotCovered, SeamwrightError, Taken
from parts.lengths import LengthUnit
from parts.process.aside import ask

if TYPE_CHECKING:
    from assemblies.report.blocks import Block, Report, Station

__all__ = [
    "Check",
    "Checked",
    "Lacking",
    "Made",
    "Question",
    "Rows",
    "SectionOf",
    "State",
    "in_turn",
    "not_covered",
    "run_checks",
]

#: Whether it has passed; `not-run` also of a check that lacks what it stands on.
State = Literal["passed", "failed", "not-proven", "not-run", "not-covered"]
#: The commands besides `make`, which asks everything.
Question = Literal["fit", "hold", "cut", "move"]
Rows = Mapping[str, Any]  # keys of the report with records of any kind: `plain` makes them plain at the edge
_Kind = TypeVar("_Kind")


@dataclass(frozen=True, kw_only=True)
class Checked:
    """What a check answers: its state, what it says, and its figures as one record.

    Of a check that is `not-proven`, `until` says what would prove it ("the sheet is measured at 5.81 mm or more"). `taken` is
    what it takes where the order does not say it.
    """

    state: State = "passed"
    findings: tuple[Finding, ...] = ()
    figures: object | None = None
    until: str = ""
    taken: tuple[Taken, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Made:
    """The only carrier between rooms: what was ordered, what was built of it, what checks have answered so far."""

    order: Order
    design: Design
    got: Mapping[str, Checked] = field(default_factory=dict)

    def of(self, kind: type[_Kind]) -> _Kind | None:
        """The figures of this type, of the check that makes them; None where it has not run or makes none."""
        return next((c.figures for c in self.got.values() if isinstance(c.figures, kind)), None)

    def need(self, kind: type[_Kind]) -> _Kind:
        """The same, where a check cannot do without.

        Raises:
            Lacking: they are not there.
        """
        found = self.of(kind)
        if found is None:
            raise Lacking(kind.__name__)
        return found

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything said so far."""
        return tuple(f for checked in self.got.values() for f in checked.findings)

    @property
    def taken(self) -> tuple[Taken, ...]:
        """What is taken because the order does not say it, each once: what may change most first."""
        every = dict.fromkeys(one for checked in self.got.values() for one in checked.taken)
        return tuple(sorted(every, key=lambda one: -one.weight))


class Lacking(SeamwrightError):
    """Figures of another check that are not there."""


@dataclass(frozen=True, kw_only=True)
class SectionOf:
    """A section of the packet that a check brings.

    Attributes:
        id, station, title: as of the `Section`.
        blocks: from the report alone; nothing where the report has nothing for it.
        before: the id of a section of the same station that it stands before; else it comes after those there.
    """

    id: str
    station: Station
    title: str
    blocks: Callable[[Report, LengthUnit], Iterator[Block]]
    before: str = ""


def _no_rows(made: Made, figures: Any) -> Rows:
    return {}


def _never(order: Order) -> bool:
    return False


@dataclass(frozen=True, kw_only=True)
class Check:
    """One question that is asked of a design.

    Attributes:
        name: unique among the checks of a kind.
        run: the answer; it may raise `NotCovered` where its method ends.
        after: names of checks whose figures it reads: these run before it where they run at all.
        questions: the commands that ask it.
        rows: figures to keys of the report; a key whose value is None is left out.
        sections: what it brings to the packet.
        wanted: whether an order asks for it itself, so that the verdict needs it besides what its kind requires.
        solids: whether it needs the geometry kernel: it is asked beside the others, which do not wait for it without need.
    """

    name: str
    run: Callable[[Made], Checked]
    after: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    rows: Callable[[Made, Any], Rows] = _no_rows
    sections: tuple[SectionOf, ...] = ()
    wanted: Callable[[Order], bool] = _never
    solids: bool = False


def in_turn(checks: Sequence[Check]) -> tuple[Check, ...]:
    """The checks as given, but each after those that it reads.

    Raises:
        SeamwrightError: two of one name, or some that wait for each other.
    """
    names = [c.name for c in checks]
    if len(set(names)) < len(names):
        raise SeamwrightError(f"checks: two are called {', '.join(sorted({n for n in names if names.count(n) > 1}))}")
    out: list[Check] = []
    waiting = list(checks)
    while waiting:
        done = {c.name for c in out} | (set().union(*(c.after for c in waiting)) - set(names))
        ready = next((c for c in waiting if set(c.after) <= done), None)
        if ready is None:
            raise SeamwrightError(f"checks: {', '.join(c.name for c in waiting)} wait for each other")
        waiting.remove(ready)
        out.append(ready)
    return tuple(out)


def run_checks(made: Made, checks: Iterable[Check]) -> tuple[Made, dict[str, Any]]:
    """Run the checks in turn.

    Args:
        made: with what is known already; a check whose answer is among that is not run again.
        checks: in any order.

    Returns:
        The same with every answer, and the rows of the report.
    """
    known, rows, turn = made.got, dict[str, Any](), in_turn(tuple(checks))
    begun = replace(made, got={name: one for name, one in known.items() if name not in {c.name for c in turn}})
    got = _answers(begun, turn, {c.name: known[c.name] for c in turn if c.name in known})
    made = begun
    for check in turn:
        checked = got[check.name]
        made = replace(made, got={**made.got, check.name: checked})
        if checked.figures is not None:
            rows |= {key: value for key, value in check.rows(made, checked.figures).items() if value is not None}
    return made, rows


def _answers(begun: Made, turn: Sequence[Check], got: dict[str, Checked]) -> dict[str, Checked]:
    """What each check answers; those that need solids and read no other are asked beside, and waited for at the last."""
    left = [check for check in turn if check.name not in got]
    beside = {c.name: ask(_answer, c.name, c.run, begun) for c in left if c.solids and not c.after}
    while left:
        open_names = {check.name for check in left}
        here = (c for c in left if c.name not in beside and not open_names & set(c.after))
        check = next(here, None) or next(c for c in left if c.name in beside)
        left.remove(check)
        made = replace(begun, got={**begun.got, **got})
        got[check.name] = beside[check.name].answer() if check.name in beside else _answer(check.name, check.run, made)
    return got


def _answer(name: str, run: Callable[[Made], Checked], made: Made) -> Checked:
    try:
        return run(made)
    except Lacking:
        return Checked(state="not-run")
    except NotCovered as error:
        return Checked(state="not-covered", findings=(not_covered(name, str(error)),))


def not_covered(check: str, why: str) -> Finding:
    """What is said where a method ends."""
    return Finding(
        level="care",
        check=check,
        where="whole",
        why=why,
        do="get it proven another way",
        source="judgement: limit of this method",
    )
