"""Base stress and disc of round tanks against solids of revolution by CalculiX that no factor was fitted to."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from ccx_round import CASES, GAMMA, solve_ccx

from assemblies.strength.round.prove import Bent, RoundTank, bent
from parts.stock.material import material

CAST = material("cast-pmma")
SOLVED = json.loads((Path(__file__).parent / "ccx_round.json").read_text(encoding="utf-8"))["cases"]


def ours(case: dict[str, Any]) -> tuple[RoundTank, Bent]:
    middle = (case["bore"] + case["wall"]) / 2.0
    tank = RoundTank(
        bore=case["bore"], wall=case["wall"], base=case["base"], floor=case["base"], tube=CAST, disc=CAST,
        spans=middle if case["spans"] else None, flange=case["out"] > case["bore"] + 4.0 * case["wall"],
    )  # fmt: skip
    return tank, bent(tank, case["depth"])


def name(case: dict[str, Any]) -> str:
    return f"{case['bore']:g}x{case['wall']:g} on {case['base']:g}{'' if case['spans'] else ' flat'}"


def test_what_is_stored_is_what_is_asked() -> None:
    assert [{k: v for k, v in one.items() if k != "solved"} for one in SOLVED] == list(CASES)
    tank, _ = ours(SOLVED[0])
    assert (CAST.modulus_mpa, CAST.poisson) == (3300.0, 0.37)
    assert tank.weight == pytest.approx(GAMMA, rel=1e-9)


@pytest.mark.parametrize("case", SOLVED, ids=name)
def test_the_wall_at_the_base_is_within_8_percent_and_never_5_low(case: dict[str, Any]) -> None:
    """Four tanks, each spanning and lying flat; the last has a wall thicker than its base."""
    _, found = ours(case)
    assert -0.05 < found.stress(case["wall"]) / case["solved"]["wall"] - 1.0 < 0.08


@pytest.mark.parametrize("case", [one for one in SOLVED if one["spans"]], ids=name)
def test_the_disc_that_spans_is_within_8_percent_and_never_5_low(case: dict[str, Any]) -> None:
    """Under a wall that is thicker than it the disc is freer than that: up to 15 % high, which is safe."""
    _, found = ours(case)
    most = 0.08 if case["wall"] <= case["base"] else 0.15
    assert -0.05 < found.disc / case["solved"]["disc"] - 1.0 < most
    assert -0.05 < found.sag / case["solved"]["sag"] - 1.0 < 0.10


@pytest.mark.parametrize("case", [one for one in SOLVED if not one["spans"]], ids=name)
def test_the_disc_that_lies_flat_is_never_taken_for_less_stressed(case: dict[str, Any]) -> None:
    """It is hardly stressed; a third of what the wall is at the most, by the solid."""
    _, found = ours(case)
    assert found.disc > case["solved"]["disc"]
    assert case["solved"]["disc"] < 0.35 * case["solved"]["wall"]


@pytest.mark.parametrize("case", SOLVED, ids=name)
def test_the_structural_stress_by_the_rule_for_welds_is_no_more_than_ours(case: dict[str, Any]) -> None:
    """Another way to read the same solid: linear through 0.4 and 1.0 walls; what the wall is pulled by is in it."""
    _, found = ours(case)
    assert found.stress(case["wall"]) > 0.98 * case["solved"]["hot"]


@pytest.mark.slow
def test_one_of_them_made_again_is_what_is_stored_and_finer_elements_change_it_little() -> None:
    """By ccx itself, on the mesh of the file and on one twice as fine."""
    case = SOLVED[0]
    again = solve_ccx(CASES[0])
    assert again == {key: pytest.approx(value, rel=1e-4, abs=1e-6) for key, value in case["solved"].items()}
    finer = solve_ccx(CASES[0], 2)
    assert finer == {key: pytest.approx(value, rel=0.015, abs=1e-5) for key, value in again.items()}
