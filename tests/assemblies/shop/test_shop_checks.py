"""The shop's checks as they plug in: what they answer together, what they stand on, what each works out once."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace

import pytest
from shop_orders import answers, examined, liquid_state, order, strength_found

from assemblies.examine import begin
from assemblies.report.check import Checked, Made, run_checks
from assemblies.report.plain import plain
from assemblies.shop.bond import plan as bond_plan
from assemblies.shop.bond.checks import BOND, Bonding
from assemblies.shop.care.checks import CAUTIONS, PROOF_TEST
from assemblies.shop.drill.checks import DRILL, Drilling
from assemblies.shop.handover.checks import BUYING, CARD, COST
from assemblies.shop.nest import rests
from assemblies.shop.plan.checks import PLAN, plan_checked
from assemblies.shop.plan.plan import CuttingPlan
from parts.findings import SeamwrightError

SHOP = (PROOF_TEST, CARD, BOND, BUYING, CAUTIONS, PLAN, DRILL, COST)
KEYS = {
    "proof-test": {"proof_test", "proof_rules"}, "card": {"card"}, "bond": {"bonding"}, "buying": {"buying"},
    "cautions": {"cautions"}, "plan": {"cutting", "nesting"}, "drill": {"drill"}, "cost": {"cost"},
}  # fmt: skip


def asked_of(found, checks, order=None, **more):
    """What these checks answer after fit, liquid and strength."""
    got = {
        "fit": Checked(figures=found.fit), "apart": Checked(figures=found.exploded),
        "liquid": Checked(figures=liquid_state(found.design)), "strength": Checked(figures=strength_found()), **more,
    }  # fmt: skip
    return answers(order or found.order, found.design, got, checks)


@pytest.fixture(scope="module")
def starter():
    return examined()


@pytest.fixture(scope="module")
def asked(starter):
    return asked_of(starter, SHOP)


def test_the_rows_stand_in_the_order_of_the_checks_and_are_plain_at_the_edge(asked):
    made, rows = asked
    assert list(rows) == [
        "proof_test", "proof_rules", "card", "bonding", "buying", "cautions", "cutting", "drill", "cost",
    ]  # fmt: skip
    assert json.loads(json.dumps(plain(rows))) == plain(rows)
    assert {name: made.got[name].state for name in KEYS} == dict.fromkeys(KEYS, "passed")


def test_each_check_brings_its_own_keys_and_a_section_that_says_something_of_them(asked, starter):
    report = {**starter.report, **plain(asked[1])}
    for check in SHOP:
        assert set(check.rows(asked[0], asked[0].got[check.name].figures)) <= KEYS[check.name]
        for section in check.sections:
            assert list(section.blocks(report, "mm")), section.id
            assert list(section.blocks({**starter.report, **dict.fromkeys(KEYS[check.name])}, "mm")) == [], section.id


def test_the_findings_are_those_of_plan_and_drill_in_this_order(asked):
    made, _ = asked
    plan, drilling = made.need(CuttingPlan), made.need(Drilling)
    assert made.got["plan"].findings == (*plan.faults, *plan.findings) != ()
    assert made.got["drill"].findings == ()
    assert drilling.sheets


@pytest.mark.parametrize("check", [BOND, BUYING, CAUTIONS, COST], ids=lambda c: c.name)
def test_what_stands_on_another_check_is_not_run_without_it(check):
    one = order()
    made, rows = run_checks(Made(order=one, design=begin(one).design), (check,))
    assert (made.got[check.name].state, rows) == ("not-run", {})


def test_a_search_that_was_stopped_says_so(asked):
    plan = replace(asked[0].need(CuttingPlan), interrupted=True)
    note, *others = plan_checked(plan).findings
    assert (note.level, note.where) == ("note", "plan")
    assert "stopped by hand" in note.why
    assert tuple(others) == (*plan.faults, *plan.findings)


def test_a_hole_that_comes_out_of_the_other_face_fails_the_drilling():
    one = order()
    design = begin(one).design
    plate = next(p for p in design.placed if p.piece.holes)
    deep = replace(plate.piece, holes=tuple(replace(h, depth_mm=11.5) for h in plate.piece.holes))
    made, _ = run_checks(Made(order=one, design=replace(design, placed=(replace(plate, piece=deep),))), (DRILL,))
    assert made.got["drill"].state == "failed"
    assert {f.level for f in made.got["drill"].findings} >= {"stop"}


def test_a_solvent_or_a_vise_that_cannot_be_is_the_orders_fault(starter):
    for check, changes in ((BOND, {"solvent": "rain"}), (BOND, {"room": -1.0}), (DRILL, {"mm_per_turn": 1e9})):
        shop = starter.order.shop.model_copy(update=changes)
        with pytest.raises(SeamwrightError, match="shop"):
            asked_of(starter, (check,), starter.order.model_copy(update={"shop": shop}))


def test_a_thing_of_which_nothing_is_bonded_needs_no_solvent(starter):
    loose = replace(starter.fit, seams=tuple(s for s in starter.fit.seams if s.seam.kind != "bonded"))
    made, rows = asked_of(starter, (BOND, BUYING, CAUTIONS), fit=Checked(figures=loose))
    assert made.need(Bonding).plan is None
    assert set(rows) == {"buying", "cautions"}
    assert (rows["buying"].bonding, rows["buying"].tools, rows["buying"].protection) == ((), (), ())
    assert not {"solvent", "edges"} & {one.step for one in rows["cautions"]}


# ---- once


def counted(monkeypatch, room, name):
    calls, real = [], getattr(room, name)
    monkeypatch.setattr(room, name, lambda *args, **more: calls.append(args) or real(*args, **more))
    return calls


def test_how_a_seam_lies_is_worked_out_once_for_each(starter, monkeypatch):
    calls = counted(monkeypatch, bond_plan, "_down")
    made, _ = asked_of(starter, (BOND,))
    assert len(calls) == len(made.need(Bonding).plan.seams) == 10


def test_what_is_left_of_a_nested_sheet_is_worked_out_once(monkeypatch):
    one = order(('"saw"', '"laser"'))
    calls = counted(monkeypatch, rests, "nest_rests")
    made, rows = run_checks(Made(order=one, design=begin(one).design), (PLAN, DRILL, COST))
    assert len(calls) == len(rows["nesting"]["sheets"]) == 2
    assert made.need(CuttingPlan).after.rack.slots


def test_the_checks_are_light_until_they_run():
    names = [f"assemblies.shop.{room}.checks" for room in ("plan", "drill", "bond", "care", "handover")]
    code = (
        f"import sys, {', '.join(names)}\n"
        "print(sorted({'cadquery', 'OCP', 'vtk', 'numpy', 'scipy', 'shapely', 'ezdxf', 'numba'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
