"""A closed box breathes through a vent above its liquid that is wide enough, or it is not covered."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from held import hold
from rigs import built, case, order

from assemblies.kinds import schemas
from assemblies.liquid.state import filled
from assemblies.order import OrderError, read_order_text
from assemblies.strength.proof.vents import needed_mm2

SEALED = (Path(__file__).parents[3] / "orders" / "lid-sealed.toml").read_text(encoding="utf-8")
VENT = '\n[[port]]\nkind = "vent"\non = "{on}"\nat = [{x}, {y}]\n{hole}\n'


def vent(on: str = "lid", at: tuple[float, float] = (0.0, 0.0), hole: str = "diameter = 8") -> str:
    return VENT.format(on=on, x=at[0], y=at[1], hole=hole)


def said(given) -> list[str]:
    got = hold(given, built(given))
    found = [f for f in got.findings if "vent" in f.do]
    assert (got.checks["liquid"] == "not-covered") == bool(found)
    assert not found or got.checks["strength"] == "not-covered"
    return [f"{f.why}. {f.do}" for f in found]


def sealed(more: str = ""):
    return read_order_text(SEALED + more, schemas())


def lidded(more: str = "", **given):
    return order(tables={"tank": 'lid = "screwed"'}, more=more, **given)


def test_a_screwed_lid_without_a_vent_says_add_a_vent() -> None:
    (only,) = said(sealed())
    assert "add a vent" in only
    assert "engineer" not in only
    assert "sealed" not in only
    assert said(sealed(vent(hole="diameter = 7"))) == []
    assert said(sealed(vent(hole='thread = "G 1/4"'))) == []
    assert hold(sealed(vent()), built(sealed(vent()))).passed


def test_what_it_must_carry_is_the_fastest_of_fill_drain_and_warming() -> None:
    """By hand: Torricelli out of the drain, 2 m/s of hose in by it, air through a sharp hole at 100 Pa."""
    given = sealed(vent())
    inside = filled(given, built(given))
    area = math.pi / 4.0 * 13.157**2
    hose = 2000.0 * area
    head = inside.brim.level_mm - (90.0 - 60.0 - 13.157 / 2.0)
    drained = 0.8 * area * math.sqrt(2.0 * 9806.65 * head)
    air = 0.6 * 1000.0 * math.sqrt(2.0 * 100.0 / 1.2)
    wanted = max(hose, drained) / air
    assert needed_mm2(inside.cavity, inside.most_mm3, inside.brim.level_mm) == pytest.approx(wanted, rel=1e-4)
    assert 6.5 < 2.0 * math.sqrt(wanted / math.pi) <= 7.0
    no_ports = lidded(vent())
    still = filled(no_ports, built(no_ports))
    assert needed_mm2(still.cavity, 9e6, 150.0) == pytest.approx(math.pi / 4.0 * 9.0)  # a drop shuts a smaller hole
    bath = 10.0 / 60.0 / 293.0 * 1.5e9 / air  # warming alone, of a box of 1.5 m3
    assert needed_mm2(still.cavity, 1.5e9, 150.0) == pytest.approx(bath)


def test_a_vent_that_is_too_narrow_does_not_carry_it() -> None:
    (only,) = said(sealed(vent(hole="diameter = 6")))
    assert "28 mm2 of vent for" in only
    assert "7 mm or more" in only
    assert said(sealed(vent(at=(-40.0, 0.0), hole="diameter = 6") + vent(hole="diameter = 6"))) == []
    filling = '\n[[port]]\nkind = "fill"\non = "lid"\nat = [60, 0]\nthread = "G 1/2"\n'
    assert said(
        sealed(filling + vent(hole="diameter = 8"))
    )  # a hose fills faster than that drain empties, and shuts its port
    assert said(sealed(filling + vent(hole="diameter = 10"))) == []


def test_a_vent_counts_only_above_the_liquid_in_every_case() -> None:
    assert said(lidded(vent("left", (0.0, 60.0), "diameter = 8"))) == []
    low = vent("left", (0.0, 44.0), "diameter = 8")  # its lower edge stands 112 mm over the floor
    assert said(lidded(low, fill="111 mm")) == []
    (under,) = said(lidded(low, fill="112 mm"))
    assert "vent-1 is under the liquid in still" in under
    over = case("lean", "turn", axis=[0, 1, 0], angle=30)
    (leaned,) = said(lidded(vent("right", (0.0, 60.0), "diameter = 8") + over))
    assert "under the liquid in lean" in leaned
    both = vent("left", (0.0, 60.0), "diameter = 8") + vent("right", (0.0, 60.0), "diameter = 8") + over
    assert said(lidded(both)) == []


def test_an_open_tank_and_a_loose_lid_need_none() -> None:
    assert said(order()) == []
    assert said(order(tables={"tank": 'lid = "loose"'})) == []


@pytest.mark.parametrize("kind", ["air", "compressed-air", "Compressed Air", "vacuum"])
def test_compressed_air_into_a_closed_box_is_refused(kind: str) -> None:
    with pytest.raises(OrderError, match="no pressure vessel"):
        sealed(f'\n[[port]]\nkind = "{kind}"\non = "lid"\nat = [0, 0]\ndiameter = 8\n')
    with pytest.raises(OrderError, match="no pressure vessel"):
        read_order_text(SEALED.replace('name = "water"', f'name = "{kind}"\ndensity = 700'), schemas())
