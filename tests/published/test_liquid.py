"""A sudden start, a wall's pressure and a throw, held to figures with their sources; what has no door of its own.

The figures and the source of each stand in `data/liquid.json`; `doors.py` has the rest.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from assemblies.liquid import Cavity, box, capacity_at_tilt, recommended_weight, tip_limit, volume_for_depth
from assemblies.liquid.loads.cases import slide
from assemblies.liquid.loads.sudden import starts
from parts.findings import SeamwrightError

pytestmark = pytest.mark.published

CASES = json.loads((Path(__file__).parent / "data" / "liquid.json").read_text(encoding="utf-8"))["cases"]
Inputs = Mapping[str, Any]


def fill(cavity: Cavity, i: Inputs) -> float:
    return volume_for_depth(cavity, i["h"] * 1e3)


def down(g: float) -> tuple[float, float, float]:
    return 0.0, 0.0, -g * 1e3


def sudden(i: Inputs) -> dict[str, float]:
    cavity = box(i["L"] * 1e3, 200.0, 10.0 * i["h"] * 1e3, low=(0.0, 0.0, 0.0))  # high enough to spill nothing
    steady = slide(cavity, fill(cavity, i), i["a"] * 1e3, gravity=down(i["g"])).liquid
    waves = next(c.liquid for c in starts(cavity, fill(cavity, i), i["a"] * 1e3, gravity=down(i["g"])) if c.wave)
    rises = [s.reach((0.0, 1.0, i["h"] * 1e3), (0.0, 0.0, 1.0)) * 1e-3 for s in (steady, waves)]
    return {"steady_rise": rises[0], "bound": rises[1]}


def wall_pressure(i: Inputs) -> dict[str, float]:
    cavity = box(i["L"] * 1e3, 200.0, 10.0 * i["h"] * 1e3, low=(0.0, 0.0, 0.0))
    volume = fill(cavity, i)
    moving, rest = (slide(cavity, volume, a * 1e3, density_kg_m3=i["rho"]).load.pressure for a in (i["a"], 0.0))
    foot = [(0.0, 1.0, 0.0)]
    return {"p_quasi_steady_add": float((moving("left", foot) - rest("left", foot))[0]) * 1e6}


def thrown(i: Inputs) -> dict[str, float]:
    cavity = box(100.0, 80.0, 2e3 * i["h"])
    up = 0.0, 0.0, 1.0
    case = slide(cavity, fill(cavity, i), i["a"] * 1e3, direction=up, density_kg_m3=i["rho"], gravity=down(i["g"]))
    return {"p_floor": float(case.load.pressure("bottom", [(0.0, 0.0, 0.0)])[0]) * 1e6}


DOORS: dict[str, Callable[[Inputs], dict[str, float]]] = {
    "slosh-sudden": sudden,
    "wall-pressure": wall_pressure,
    "launch-": thrown,
}
REFUSALS: dict[str, Callable[[Inputs], object]] = {
    "rect_capacity": lambda i: capacity_at_tilt(box(i["L"] * 1e3, i["W"] * 1e3, i["H"] * 1e3), i["theta"]),
    "tip": lambda i: tip_limit(i["zc"] * 1e3, i["half_base"] * 1e3, offset_mm=i["x_off"] * 1e3),
    "niosh_rwl": lambda i: recommended_weight(
        i["H"] * 100, i["V"] * 100, i["D"] * 100, i["A_deg"], i["F"], i["hours"], i["coupling"], liquid=i["liquid"]
    ),
}


def door(name: str) -> Callable[[Inputs], dict[str, float]]:
    return next(run for start_of, run in DOORS.items() if name.startswith(start_of))


GOOD = [case for case in CASES if not case["id"].startswith("bad-")]
BAD = [case for case in CASES if case["id"].startswith("bad-")]


@pytest.mark.parametrize("case", GOOD, ids=lambda case: case["id"])
def test_figure_is_met(case: dict[str, Any]) -> None:
    found = door(case["id"])(case["inputs"])
    for key, expected in case["expected"].items():
        assert found[key] == pytest.approx(expected, rel=case["tolerance_rel"]), (key, case["source"])


@pytest.mark.parametrize("case", BAD, ids=lambda case: case["id"])
def test_bad_input_is_refused(case: dict[str, Any]) -> None:
    with pytest.raises(SeamwrightError, match=r"\w+ .*"):
        REFUSALS[case["inputs"]["case"]](case["inputs"])
