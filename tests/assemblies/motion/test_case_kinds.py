"""The registry of case kinds: the same names as the order knows, each with its loads or the reason why it has none."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, get_args

import pytest

from assemblies.design.mass import cuboid
from assemblies.liquid import box, settle
from assemblies.liquid.loads.cases import LiquidCase, tilt
from assemblies.liquid.shapes.cavity import round_cavity
from assemblies.motion.case_kinds import CASE_KINDS, CaseKind
from assemblies.order import CaseSpec
from assemblies.order.cases.case import NEEDS, CaseKindName
from assemblies.shop.care.cautions import STATIONS
from assemblies.strength.proof.cases import load_cases

TANK = box(300.0, 200.0, 150.0, low=(-150.0, -100.0, 6.0))
FILL = 300.0 * 200.0 * 60.0
DRY = cuboid((300.0, 200.0, 6.0), (0.0, 0.0, 3.0), 1190.0)
GIVEN: dict[str, Any] = {"acceleration": 0.5, "angle": 40.0, "speed": 30.0}


def spec(kind: str) -> CaseSpec:
    own = {key: GIVEN[key] for key in NEEDS.get(kind, ())[:1]}
    return CaseSpec.model_validate({"name": "c", "kind": kind, **own}, context={"units": "mm"})


def test_the_order_and_the_registry_know_the_same_kinds() -> None:
    assert set(CASE_KINDS) == set(get_args(CaseKindName))
    assert set(NEEDS) <= set(CASE_KINDS)
    assert {key for keys in NEEDS.values() for key in keys} <= set(CaseSpec.model_fields)
    assert all(name == one.name for name, one in CASE_KINDS.items())


@pytest.mark.parametrize("kind", sorted(CASE_KINDS))
def test_each_kind_has_loads_and_its_cautions_are_steps(kind: str) -> None:
    """A spin in a round tank alone: of a box it is said why not."""
    one = CASE_KINDS[kind]
    if kind == "spin":
        (said,) = load_cases(TANK, FILL, FILL, 998.2, DRY, [spec(kind)]).outside
        assert "a spinning box" in said.why
    cavity = round_cavity(100.0, 150.0) if kind == "spin" else TANK
    found = load_cases(cavity, 2e6 if kind == "spin" else FILL, FILL, 998.2, DRY, [spec(kind)])
    own = [case for case in found.cases if case.name == "c"]
    assert own
    assert not found.outside
    assert set(one.cautions) <= set(STATIONS)
    assert any(case.load.dynamic_factor == 2.0 for case in own) == (one.sudden or kind == "carry")


def test_what_is_driven_moves_and_what_is_late_is_driven() -> None:
    assert [k for k, one in CASE_KINDS.items() if one.driven and not one.moving] == []
    assert [k for k, one in CASE_KINDS.items() if one.late and not one.driven] == []
    assert [k for k, one in CASE_KINDS.items() if not one.moving] == ["still"]


def test_a_new_kind_is_one_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    def rock(case: CaseSpec, cavity: Any, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
        for side in (-1.0, 1.0):
            yield tilt(
                cavity, volume, math.radians(5.0), toward=(side, 0.0, 0.0), name=case.name, density_kg_m3=density
            )

    monkeypatch.setattr(
        "assemblies.strength.proof.cases.CASE_KINDS", {**CASE_KINDS, "rock": CaseKind(name="rock", loads=rock)}
    )
    rocked = CaseSpec.model_construct(name="c", kind="rock")
    found = [c for c in load_cases(TANK, FILL, FILL, 998.2, DRY, [rocked]).cases if c.name == "c"]
    flat = settle(TANK, FILL).centre_mm
    assert flat is not None
    assert len(found) == 2
    assert found[0].load.gravity[0] == pytest.approx(-found[1].load.gravity[0])
    assert found[0].centre_mm[0] < flat[0] < found[1].centre_mm[0]
