"""What is asked of a tank, in which turn, and what each check brings to the report and to the packet."""

from __future__ import annotations

import pytest
from asked import ask
from shop_orders import order

from assemblies.examine import Examined, examine
from assemblies.kinds import kind

#: Each check with the commands that ask it, its keys of the report and its sections.
CHECKS = {
    "sheets": ("fit hold cut", "", ""),
    "holes": ("fit hold cut", "", ""),
    "build": ("fit hold cut", "", ""),
    "fit": ("fit", "fit", "fit"),
    "rig": ("fit", "rig", "rig"),
    "apart": ("fit", "assembly", "assembly"),
    "loads": ("hold", "liquid strength", ""),
    "liquid": ("hold", "liquid", "liquid"),
    "motion": ("hold", "", "motion"),
    "sound": ("hold", "", ""),
    "handling": ("hold", "", ""),
    "strength": ("hold", "strength", "loads"),
    "quick-release": ("hold", "", "release-loads release-sizes release-test release-use"),
    "proof-test": ("hold", "proof_test proof_rules", "proof"),
    "card": ("hold", "card", "card"),
    "filling": ("hold", "", "filling"),
    "sight": ("hold", "sight", "sight"),
    "bond": ("", "bonding", "bonding"),
    "buying": ("", "buying", "buying"),
    "cautions": ("", "cautions", ""),
    "plan": ("cut", "cutting nesting", "cutting"),
    "drill": ("cut", "drill", "drill"),
    "counterpart": ("cut", "counterparts", "counterpart"),
    "cost": ("cut", "cost", "cost"),
    "after hand-over": ("", "after_handover", "after"),
    "record": ("fit hold cut", "check_in", "check-in"),
}


@pytest.fixture(scope="module")
def found() -> Examined:
    return ask(order())


def test_a_tank_is_asked_these_checks_in_this_turn() -> None:
    assert [c.name for c in kind("tank").asked()] == list(CHECKS)
    for command in ("fit", "hold", "cut"):
        names = [name for name, (commands, _, _) in CHECKS.items() if command in commands.split()]
        assert [c.name for c in kind("tank").asked(command)] == names  # type: ignore[arg-type]
    assert set(kind("tank").required) == {"fit", "strength", "liquid"}


def test_each_check_brings_its_own_keys_and_sections(found: Examined) -> None:
    for check in found.checks:
        _, keys, sections = CHECKS[check.name]
        figures = found.made.got[check.name].figures
        rows = {} if figures is None else check.rows(found.made, figures)
        assert set(rows) == set(keys.split()), check.name
        assert [s.id for s in check.sections] == sections.split(), check.name


@pytest.mark.parametrize("name", [n for n, (_, keys, _) in CHECKS.items() if keys and n != "loads"])
def test_without_a_check_what_it_brings_is_not_there(name: str, found: Examined) -> None:
    less = examine(order(), [c for c in kind("tank").asked(solids=False) if c.name != name])
    for key in CHECKS[name][1].split():
        if key in found.report:
            assert not less.report.get(key), key
    if name in kind("tank").required:
        assert less.report["checks"][name] == "not-run"
        assert less.report["verdict"] != "go"


def test_the_starter_is_go_by_what_was_found_and_not_by_omission(found: Examined) -> None:
    assert found.report["checks"] == {"fit": "not-run", "strength": "passed", "liquid": "passed"}
    assert found.report["verdict"] == "not-proven"
