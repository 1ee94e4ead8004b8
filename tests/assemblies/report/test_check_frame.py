"""Checks that plug in: each after what it reads, its answer kept, its rows in the report, an end of its method said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from samples import design
from shop_orders import order

from assemblies.report.check import Check, Checked, Lacking, Made, in_turn, run_checks
from parts.findings import Finding, NotCovered, SeamwrightError


@dataclass(frozen=True)
class Weight:
    kg: float


@dataclass(frozen=True)
class Price:
    sum: float


def said(check: str, level: str = "note") -> Finding:
    return Finding(level=level, check=check, where="whole", why=check, source="computed")  # type: ignore[arg-type]


def weigh(made: Made) -> Checked:
    return Checked(figures=Weight(2.0), findings=(said("weight"),))


def pay(made: Made) -> Checked:
    return Checked(figures=Price(3.0 * made.need(Weight).kg), findings=(said("price"),))


WEIGHT = Check(name="weight", run=weigh, rows=lambda made, w: {"weight": w.kg, "nothing": None})
PRICE = Check(name="price", run=pay, after=("weight",), rows=lambda made, p: {"price": p})


def made(**got: Checked) -> Made:
    return Made(order=order(), design=design(), got=got)


def test_a_check_runs_after_what_it_reads_and_else_as_listed() -> None:
    last = Check(name="last", run=weigh)
    assert [c.name for c in in_turn((PRICE, last, WEIGHT))] == ["last", "weight", "price"]
    assert [c.name for c in in_turn((PRICE,))] == ["price"]  # what is not asked is not waited for


@pytest.mark.parametrize(
    "checks",
    [
        (WEIGHT, WEIGHT),
        (Check(name="a", run=weigh, after=("b",)), Check(name="b", run=weigh, after=("a",))),
        (Check(name="a", run=weigh, after=("a",)),),
    ],
)
def test_two_of_one_name_and_checks_that_wait_for_each_other_are_refused(checks: tuple[Check, ...]) -> None:
    with pytest.raises(SeamwrightError, match="checks: "):
        in_turn(checks)


def test_answers_rows_and_findings_are_collected_in_turn() -> None:
    found, rows = run_checks(made(), (PRICE, WEIGHT))
    assert rows == {"weight": 2.0, "price": Price(6.0)}
    assert [f.check for f in found.findings] == ["weight", "price"]
    assert found.of(Price) == Price(6.0)
    assert found.of(Finding) is None


def test_an_answer_that_is_known_is_not_asked_again() -> None:
    found, rows = run_checks(made(weight=Checked(figures=Weight(5.0))), (WEIGHT, PRICE))
    assert rows["price"] == Price(15.0)
    assert [f.check for f in found.findings] == ["price"]


def test_a_check_without_what_it_stands_on_has_not_run() -> None:
    found, rows = run_checks(made(), (PRICE,))
    assert found.got["price"] == Checked(state="not-run")
    assert rows == {}
    with pytest.raises(Lacking):
        found.need(Weight)


def test_where_its_method_ends_it_is_not_covered_and_says_so() -> None:
    def ends(made: Made) -> Any:
        raise NotCovered("a wall of 80 mm")

    found, rows = run_checks(made(), (Check(name="weight", run=ends), PRICE))
    assert found.got["weight"].state == "not-covered"
    (finding,) = found.findings
    assert (finding.level, finding.check, finding.why) == ("care", "weight", "a wall of 80 mm")
    assert rows == {}
