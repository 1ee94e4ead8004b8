"""Walls inside and sloped floors, held to boxes as solids.

Source: solid_inner.py beside this file, quadratic bricks (C3D20) in CalculiX 2.20, two meshes. None of its boxes was used to
set anything.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import solid_inner

from assemblies.design.model import Placed
from assemblies.strength.bonds.allowed import allowed_stress
from assemblies.strength.inner import walls
from assemblies.strength.inner.walls import Inner, Passed, passed
from assemblies.strength.proof.uses import Use
from parts.make.panel import panel
from parts.shape.piece import Hole
from parts.stock.material import material
from parts.stock.sheet import Sheet

SOLIDS: dict[str, dict[str, Any]] = json.loads((Path(__file__).parent / "solid_inner.json").read_text(encoding="utf-8"))
UPRIGHT = [name for name, one in SOLIDS.items() if "at" in one]
SLOPED = [name for name, one in SOLIDS.items() if "low" in one]
WATER = 9.81e-6  # N/mm3


def inner(one: dict[str, Any]) -> Inner:
    """The piece of a solid, in its place: inside coordinates."""
    (length, width, _), own = one["inner"], one["own"]
    sheet = Sheet(material="cast-pmma", nominal_mm=own, readings_mm=(own,))
    sides = ("left", "right", "bottom", "top")
    if "low" in one:
        rise = one["high"] - one["low"]
        long = float(np.hypot(length, rise))
        up = (-length / long, 0.0, -rise / long)  # its own second axis runs from the high end down
        piece = panel("ramp", width, long, sheet, kind="ramp", role="inner")
        top = one["high"] + own * long / length
        placed = Placed(
            name="ramp", piece=piece, origin=(length, width, top), x=(0.0, -1.0, 0.0), z=_across((0.0, -1.0, 0.0), up)
        )
        return Inner(placed=placed, axis=2, ends=(), on=("left", "right", "front", "back"), held=sides, dam=True)
    low, top = one["from"], one["to"]
    holes = tuple(
        Hole(x_mm=y, y_mm=z - low, kind="through", diameter_mm=2.0 * one["radius"])
        for y0, z in one.get("holes", ())
        for y in (y0, width - y0)
    )
    piece = panel("wall", width, top - low, sheet, kind="divider", role="inner", holes=holes)
    placed = Placed(name="wall", piece=piece, origin=(one["at"], 0.0, low), x=(0.0, 1.0, 0.0), z=(1.0, 0.0, 0.0))
    floor = ("bottom",) if low == 0.0 else ()
    return Inner(
        placed=placed,
        axis=0,
        ends=(0.0, length),
        on=("front", "back", *floor),
        held=("left", "right", *floor),
        dam=True,
    )


def _across(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, float, float]:
    a, b, c = np.cross(x, y)
    return float(a), float(b), float(c)


@cache
def ours(name: str) -> Passed:
    one = SOLIDS[name]
    load = SimpleNamespace(
        pressure=lambda face, points: WATER * np.maximum(one["water"] - points[:, 2], 0.0),
        effective=(0.0, 0.0, 0.0),  # the solids weigh nothing
        duration="minutes",
    )
    allowed = allowed_stress(material("cast-pmma"), "minutes")
    case: Any = SimpleNamespace(name="full", load=load)
    beside = {
        panel: Use(
            case="full", piece=panel, stress=0.0, allowed=allowed, at_mm=(0.0, 0.0), deflection=0.0, allowed_deflection=1.0,
            deflection_at_mm=(0.0, 0.0), error=0.0,
        )
        for panel in ("front", "bottom")
    }  # fmt: skip
    stiff = material("cast-pmma").modulus_mpa / 3200.0  # as the solids' sheet
    return passed(
        inner(one), case, beside, {"front": one["t"], "bottom": one["t"]}, allowed, allowed, (None, 0.005), stiff
    )


def solid(name: str, *quantities: str) -> float:
    return max(SOLIDS[name]["read"].get(quantity, 0.0) for quantity in quantities)


@pytest.mark.published
@pytest.mark.parametrize("name", UPRIGHT)
def test_a_wall_inside_is_stressed_as_in_its_solid(name: str) -> None:
    """Its largest stress, 4 % low to 15 % high; its seams, of which the worst is taken for all, likewise."""
    use, *_ = ours(name).uses
    plain = use.stress / (walls.factor_of("hole_stress") if "holes" in SOLIDS[name] else 1.0)
    assert 0.96 < plain / solid(name, "at front", "at bottom", "across", "up") < 1.15
    for seam in ours(name).seams:
        assert 0.96 < seam.bending / solid(name, "at front", "at bottom") < 1.15
        assert seam.combined > 0.96 * solid(name, "at front", "at bottom")


@pytest.mark.published
@pytest.mark.parametrize("name", SLOPED)
def test_a_sloped_floor_is_stressed_as_in_its_solid(name: str) -> None:
    """The even pressure that is taken is nowhere less than the liquid's: up to 45 % high, and never low."""
    use, *_ = ours(name).uses
    assert 1.0 < use.stress / solid(name, "at front", "at left", "at right", "across", "along") < 1.45
    for seam in ours(name).seams:
        assert 1.0 < seam.bending / solid(name, "at front", "at left", "at right") < 1.45


@pytest.mark.published
@pytest.mark.parametrize("name", SOLIDS)
def test_its_bow_is_a_bound(name: str) -> None:
    """As if it were but supported: 2.5 to 6 times what it bows between walls of its own thickness, which clamp it."""
    use, *_ = ours(name).uses
    assert 2.5 < use.deflection / solid(name, "bow") < 6.0


@pytest.mark.published
@pytest.mark.parametrize("name", UPRIGHT)
def test_what_it_brings_to_the_walls_it_stands_on_is_a_bound(name: str) -> None:
    """All of its edge's moment, in one wall, on top of what that has of the liquid, which the solid's figures hold too."""
    for wall in ("front", "bottom"):
        more = [use.stress for use in ours(name).uses if use.piece == wall]
        if more:
            assert more[0] > solid(name, f"{wall} beside")


@pytest.mark.published
@pytest.mark.parametrize("name", ["holed", "row"])
def test_the_factor_at_holes_bears_what_the_solid_has_there(name: str) -> None:
    use, *_ = ours(name).uses
    assert 1.0 < use.stress / solid(name, "at holes") < 6.0


@pytest.mark.parametrize("name", SOLIDS)
def test_the_two_meshes_agree(name: str) -> None:
    """5 %. In the field, where the largest Gauss place is read, and at holes and free corners 20 %; beside a joint, where the
    section is not settled, 30 %."""
    fine, coarse = SOLIDS[name]["read"], SOLIDS[name]["coarser"]
    for quantity, value in fine.items():
        near = quantity in ("across", "along", "up", "at holes") or (quantity == "at front" and name == "over")
        share = 0.3 if quantity.endswith("beside") else 0.2 if near else 0.05
        assert abs(value - coarse[quantity]) <= share * value, quantity


def test_edges_that_do_not_clamp_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The mutation: of supported edges alone a wall's seams carry nothing."""
    monkeypatch.setattr(walls, "_BOTH", ("supported",))
    ours.cache_clear()
    walls.unit_plate.cache_clear()
    try:
        assert all(seam.bending < 0.5 * solid("baffle", "at bottom") for seam in ours("baffle").seams)
    finally:
        ours.cache_clear()
        walls.unit_plate.cache_clear()


def test_the_solid_model_gives_the_stored_values_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """The coarse mesh of one of them, about two seconds."""
    monkeypatch.setenv("OMP_NUM_THREADS", "1")
    got, kept = solid_inner.read(SOLIDS["ramp"], cells=1), SOLIDS["ramp"]["coarser"]
    assert got.keys() == kept.keys()
    for quantity, value in kept.items():
        assert got[quantity] == pytest.approx(value, rel=1e-3, abs=2e-5), quantity
