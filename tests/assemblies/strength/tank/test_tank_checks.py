"""The five checks of whether it holds: what each stands on, what each brings, and that nothing is reckoned twice."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from itertools import permutations

import pytest
from held import CHECKS, hold
from rigs import built, case, order, plates

from assemblies.design import mass
from assemblies.kinds import kind
from assemblies.kinds.tank.choose import choose
from assemblies.liquid.checks import HANDLING
from assemblies.liquid.state import LiquidState
from assemblies.report.check import in_turn
from assemblies.strength.proof.checks import LIQUID
from assemblies.strength.proof.figures import Strength
from assemblies.strength.proof.loads import Loads
from assemblies.strength.tank import checks, model, prove
from assemblies.strength.tank.checks import LOADS, SOUND, STRENGTH

#: Each has something to say: it moves over people; it is warm; edges by laser, hung, no retention; heavy; thin.
SAYING = order(
    (500.0, 300.0, 250.0),
    5,
    support="hung",
    retention="none",
    fill="220 mm",
    tables={"liquid": "temperature = 45", "cutting": 'process = "laser"'},
    more=case("up", "throw", acceleration=1.0, over_people=True),
)


@pytest.fixture(scope="module")
def said():
    return hold(SAYING, built(SAYING))


def test_each_speaks_in_its_turn(said):
    assert list(said.made.got) == ["build", "loads", "liquid", "sound", "handling", "strength"]
    words = {
        "loads": ["over people"],
        "liquid": ["over 40 °C"],
        "sound": ["edges cut by laser", "hooks, straps", "on bond alone"],
        "handling": ["kg is over 15 kg", "slops and shifts"],
        "strength": ["allowed"],
    }
    found = [f.why for f in said.findings]
    at = 0
    for name, wanted in words.items():
        mine = said.made.got[name].findings
        assert [any(w in f.why for f in mine) for w in wanted] == [True] * len(wanted), name
        assert found[at : at + len(mine)] == [f.why for f in mine]
        at += len(mine)
    assert at == len(found)


def test_the_states_are_those_of_each(said):
    assert {name: one.state for name, one in said.made.got.items()} == {
        "build": "passed",
        "loads": "not-covered",
        "liquid": "passed",
        "sound": "failed",
        "handling": "passed",
        "strength": "failed",  # outside the method its figures fail nothing, but what is not sound does
    }
    assert hold(order(), built(order())).passed


def test_whatever_way_they_are_listed_each_comes_after_what_it_reads(said):
    for listed in permutations(CHECKS):
        names = [c.name for c in in_turn(listed)]
        assert names.index("loads") < names.index("liquid") < names.index("handling")
        assert max(names.index(n) for n in ("loads", "liquid", "sound")) < names.index("strength")
    back = hold(SAYING, built(SAYING), checks=CHECKS[::-1])
    assert back.checks == said.checks
    assert dict(back.rows) == dict(said.rows)
    assert sorted(back.findings) == sorted(said.findings)


@pytest.mark.parametrize(
    ("without", "states"),
    [
        (LOADS, {"liquid": "not-run", "sound": "failed", "handling": "not-run", "strength": "not-run"}),
        (LIQUID, {"loads": "not-covered", "sound": "failed", "handling": "not-run", "strength": "failed"}),
        (SOUND, {"loads": "not-covered", "liquid": "passed", "handling": "passed", "strength": "not-run"}),
        (HANDLING, {"loads": "not-covered", "liquid": "passed", "sound": "failed", "strength": "failed"}),
        (STRENGTH, {"loads": "not-covered", "liquid": "passed", "sound": "failed", "handling": "passed"}),
    ],
    ids=lambda v: getattr(v, "name", ""),
)
def test_a_check_that_is_left_out_takes_with_it_what_stands_on_it(without, states):
    got = hold(SAYING, built(SAYING), checks=[c for c in CHECKS if c is not without]).made.got
    assert {name: one.state for name, one in got.items() if name != "build"} == states


def test_each_brings_its_own_record_its_rows_and_its_section(said):
    made = said.made
    loads, state, strength = made.need(Loads), made.need(LiquidState), made.need(Strength)
    assert [list(c.rows(made, made.got[c.name].figures)) for c in CHECKS] == [
        ["liquid", "strength"], ["liquid"], [], [], ["strength"],
    ]  # fmt: skip
    assert list(said.rows) == ["liquid", "strength"]
    assert LOADS.rows(made, loads) == {"liquid": {}, "strength": {}}  # where the others come to nothing the keys stand
    assert LIQUID.rows(made, state)["liquid"]["fill_L"] == said.liquid["fill_L"] == pytest.approx(33.0)
    assert STRENGTH.rows(made, strength)["strength"]["good_for"]["fill_l"] == strength.good_for.fill_l
    brought = {s.id: (s.station, s.title, s.before) for c in CHECKS for s in c.sections}
    assert brought == {"liquid": ("plan", "Liquid and balance", ""), "loads": ("plan", "Loads", "liquid")}
    for check in (LIQUID, STRENGTH):
        assert list(check.sections[0].blocks(said.rows, "mm"))
    assert {c.questions for c in CHECKS} == {("hold",)}


@pytest.mark.parametrize("count", [0, 2])
def test_a_design_without_one_cavity_is_not_covered_in_words(count):
    given = order()
    design = built(given)
    got = hold(given, replace(design, cavities=design.cavities * count))
    assert got.checks == {"strength": "not-covered", "liquid": "not-covered"}
    (said,) = got.findings
    assert (said.check, said.where) == ("strength", "whole")
    assert "needs one cavity" in said.why
    assert got.made.got["handling"].state == "not-run"
    assert dict(got.rows) == {}


def test_a_design_that_is_no_box_keeps_its_liquid_and_says_that_its_strength_is_not_covered():
    given = order()
    design = built(given)
    got = hold(given, replace(design, placed=tuple(p for p in design.placed if p.name != "left")))
    assert got.checks == {"strength": "not-covered", "liquid": "passed"}
    assert got.liquid["fill_L"] == pytest.approx(7.2)
    assert dict(got.strength) == {}
    (said,) = got.made.got["strength"].findings
    assert "needs five panels" in said.why


def test_masses_seams_and_the_box_are_made_once_for_a_design(monkeypatch):
    counted: dict[str, int] = {}

    def count(where, name):
        was = getattr(where, name)

        def of(*args, **words):
            counted[name] = counted.get(name, 0) + 1
            return was(*args, **words)

        monkeypatch.setattr(where, name, of)

    from assemblies.liquid import state
    from assemblies.strength.tank import loads

    given = order(support="plates", more=plates())
    design = built(given)
    count(state, "piece_body")
    monkeypatch.setattr(model, "piece_body", state.piece_body)
    count(prove, "tank_model")
    count(prove, "seams")
    count(loads, "load_cases")
    count(loads, "filled")
    assert mass.piece_body is not state.piece_body
    assert hold(given, design).passed
    assert len(design.placed) == 7
    assert counted == {"piece_body": 7, "tank_model": 1, "seams": 1, "load_cases": 1, "filled": 1}


def test_a_proof_that_choosing_has_made_is_taken_as_it_is():
    given = order((200.0, 150.0, 120.0), "choose", fill="110 mm")
    chosen = choose(given, kind("tank").build)
    design = built(given, chosen.thickness_mm)
    assert chosen.proof is not None
    assert hold(given, design, chosen).proof is chosen.proof
    assert hold(given, design, replace(chosen, proof=None)).proof == chosen.proof


def test_the_checks_can_be_named_without_numpy():
    names = ("assemblies.liquid.checks", LIQUID.run.__module__, checks.__name__)
    code = f"import sys, {', '.join(names)}\nprint(sorted({{'numpy', 'scipy', 'OCP', 'shapely'}} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
