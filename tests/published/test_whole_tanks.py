"""A tank as one thing, against solid models of whole tanks.

Source of the figures: `data/whole_tanks.json`, as given to the project: 20-node bricks, computed, not measured; their two
meshes, readings and tolerances stand in its head.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from doors import DOORS

from assemblies.strength.boxes import terms

TANKS = json.loads((Path(__file__).parent / "data" / "whole_tanks.json").read_text(encoding="utf-8"))["tanks"]
BY_NAME = {tank["name"]: tank for tank in TANKS}


@cache
def ours(name: str) -> dict[str, float]:
    tank = BY_NAME[name]
    return DOORS["whole_tank"](**tank["inputs"], quantities=tank["quantities"])


def outside(name: str) -> list[str]:
    """What is to be held and is not."""
    got = ours(name)
    return [
        f"{q['id']}: {got[q['id']]:.4g} for {q['value']:.4g} ({q['low']:+.3g} .. {q['high']:+.3g})"
        for q in BY_NAME[name]["quantities"]
        if q["use"] == "check" and not q["low"] <= got[q["id"]] - q["value"] <= q["high"]
    ]


def test_every_kind_of_support_is_there():
    inputs = [tank["inputs"] for tank in TANKS]
    assert {one["support"] for one in inputs} == {"plates", "edges", "flat"}
    assert any(one["wall_plates"] for one in inputs)
    assert any(one["strip"] for one in inputs)
    assert sum(q["use"] == "check" for tank in TANKS for q in tank["quantities"]) == 223


@pytest.mark.published
@pytest.mark.parametrize("name", BY_NAME)
def test_a_whole_tank_is_as_its_solid_model(name):
    assert outside(name) == []


def test_walls_and_floor_that_do_not_stretch_would_be_seen(monkeypatch):
    """The mutation of rigid edges: with panels 300 times as stiff in their plane a long tank does not sag as one."""
    plain = terms._stretching
    monkeypatch.setattr(terms, "_stretching", lambda name, a, b, stretch, nu: plain(name, a, b, 300.0 * stretch, nu))
    tank = BY_NAME["two plates, long"]
    got = DOORS["whole_tank"](**tank["inputs"], quantities=tank["quantities"])
    assert got["floor.sag_max"] < 0.2 * next(q["value"] for q in tank["quantities"] if q["id"] == "floor.sag_max")
