"""A round base that stands on a plate under its middle: held to solids by CalculiX (`ccx_pad.py`), and to beams by hand."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from assemblies.strength.round.prove import RoundTank, bent
from assemblies.strength.sheets.round import overhung_plate
from parts.findings import SeamwrightError
from parts.stock.material import material

FOUND = json.loads(Path(__file__).with_name("ccx_pad.json").read_text(encoding="utf-8"))
PMMA = material("cast-pmma")


def tank(case: dict[str, Any]) -> RoundTank:
    outer, inner = case["bore"] / 2.0 + case["wall"], case["bore"] / 2.0
    above = math.pi * (outer**2 - inner**2) * case["depth"] * PMMA.density_kg_m3 * 1e-9
    return RoundTank(
        bore=case["bore"], wall=case["wall"], base=case["base"], floor=case["base"], tube=PMMA, disc=PMMA, spans=None,
        pad=(min(case["plate"]) / 2.0, 12.0), above_kg=above,
    )  # fmt: skip


@pytest.mark.parametrize("row", FOUND, ids=["150x90", "160x80", "70x70"])
def test_no_solid_is_bent_more_and_none_by_less_than_a_fifth(row: dict[str, Any]) -> None:
    """The plate's largest circle holds less than its corners do, and the wall keeps the rim flat: an upper bound, of 1.2 to 4
    times the solids' stress."""
    found, solid, case = bent(tank(row["case"]), row["case"]["depth"]), row["found"], row["case"]
    worst = max(solid["edge"], solid["end"], solid["corner"])
    assert worst <= 6.0 * found.pad / case["base"] ** 2 <= 5.0 * worst
    assert abs(solid["wall"]) <= found.stress(case["wall"])
    assert solid["drop"] <= found.sag


def test_a_narrow_overhang_is_a_cantilever() -> None:
    """Where the radius is long: M = q l2 / 2 + P l, drop = q l4 / (8 D) + P l3 / (3 D), slope = q l3 / (6 D) + P l2 / (2 D);
    a moment of 1 that lifts the rim takes 1 off (beam tables, from memory)."""
    long, t, q, p = 10.0, 6.0, 0.01, 0.2
    rigid = 3300.0 * t**3 / (12.0 * (1.0 - 0.37**2))
    one = overhung_plate(2e3 + long, t, 3300.0, 0.37, q, 2e3, p)
    assert one.moment == pytest.approx(q * long**2 / 2.0 + p * long, rel=0.01)
    assert one.drop == pytest.approx(q * long**4 / (8.0 * rigid) + p * long**3 / (3.0 * rigid), rel=0.01)
    assert one.slope == pytest.approx(q * long**3 / (6.0 * rigid) + p * long**2 / (2.0 * rigid), rel=0.01)
    lifted = overhung_plate(2e3 + long, t, 3300.0, 0.37, 0.0, 2e3, 0.0, 1.0)
    assert lifted.moment == pytest.approx(-1.0, rel=0.01)
    assert lifted.drop < 0.0


def test_a_plate_as_wide_as_its_clamp_is_refused() -> None:
    with pytest.raises(SeamwrightError, match="radius of"):
        overhung_plate(50.0, 6.0, 3300.0, 0.37, 0.01, 50.0)
