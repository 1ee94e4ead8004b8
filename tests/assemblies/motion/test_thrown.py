"""Planned throws of whole orders: figures against an integrator, what is said, what is loaded."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from asked import ask
from scipy.integrate import solve_ivp

from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.motion.case_kinds import CASE_KINDS, way_of
from assemblies.motion.plans.moves import Moves
from assemblies.motion.plans.throw import PlannedThrow
from assemblies.motion.throw.air import AIR_MPA, fed_speed, surge_speed
from assemblies.order import read_order_text
from assemblies.shop.care.proof import proof_stages
from assemblies.strength.proof.loads import Loads

G = 9806.65
SPLASH = (Path(__file__).parents[2] / "orders" / "splash-cup.toml").read_text(encoding="utf-8")
VORTEX = (Path(__file__).parents[2] / "orders" / "vortex-column.toml").read_text(encoding="utf-8")


@cache
def found(text: str, question: Any = "move") -> Examined:
    return ask(read_order_text(text, schemas()), question)


def edited(*edits: tuple[str, str]) -> str:
    text = SPLASH
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return text


def planned(text: str = SPLASH) -> PlannedThrow:
    (one,) = found(text).made.need(Moves).throws
    return one


def said(text: str, level: str) -> list[str]:
    return [f.why for f in found(text).made.findings if f.check == "motion" and f.level == level]


def driven(supply: float | None, absolute: float, area: float, stroke: float, mass: float, dead: float) -> float:
    """Speed at the end of the stroke by scipy's integrator: pressure as a state, fed by ISO 6358 (reference air 1.185 kg/m3,
    293.15 K), or held at the supply's."""
    load, ratio, heat = mass * G * 1e-3, 0.528, 1.185 * 287.05 * 293.15

    def rates(_: float, s: np.ndarray) -> list[float]:
        place, speed, pressure = s
        push = ((pressure - AIR_MPA) * area - load) / mass * 1e3
        if supply is None:
            return [speed, push, 0.0]
        over = max((pressure / absolute - ratio) / (1.0 - ratio), 0.0)
        flow = supply * absolute * heat * 1e-6 * math.sqrt(max(1.0 - over**2, 0.0))
        return [speed, push, (flow - pressure * area * speed) / (dead + area * place)]

    def at_end(_: float, s: np.ndarray) -> float:
        return float(s[0] - stroke)

    at_end.terminal = True  # type: ignore[attr-defined]
    first = absolute if supply is None else AIR_MPA + load / area
    done = solve_ivp(rates, (0.0, 30.0), [0.0, 0.0, first], events=at_end, method="LSODA", rtol=1e-8, atol=1e-9)
    return float(done.y[1, -1])


@pytest.mark.parametrize(
    ("bore", "mass", "stroke", "supply"),
    [(20.0, 1.5, 100.0, 1e6), (32.0, 4.0, 200.0, 3e6), (32.0, 4.0, 200.0, 5e7), (63.0, 20.0, 250.0, 1e7)],
)
def test_a_surge_is_what_an_integrator_says_and_outruns_what_its_path_feeds_for_good(
    bore: float, mass: float, stroke: float, supply: float
) -> None:
    area, absolute = math.pi * bore**2 / 4.0, 0.5
    dead = 0.5 * area * stroke
    mine = surge_speed(supply, 0.528, absolute, area, stroke, mass, mass * G * 1e-3, dead)
    assert mine == pytest.approx(driven(supply, absolute, area, stroke, mass, dead), rel=3e-3)
    fed = fed_speed(supply, 0.528, absolute, area, mass * G * 1e-3).speed
    assert (mine > fed) is (supply != 5e7)  # a narrow path is outrun; a wide one is not reached in this stroke


def test_no_bound_of_the_demo_lies_under_what_an_integrator_drives_it_to() -> None:
    one = planned()
    area, absolute = math.pi * 25.0**2 / 4.0, 0.12 + AIR_MPA
    assert one.run.speed == pytest.approx(driven(None, absolute, area, 50.0, one.mass_kg, 1.0), rel=1e-6)
    surge = driven(0.3e7, absolute, area, 50.0, one.mass_kg, 0.5 * area * 50.0)
    assert one.speed == pytest.approx(surge, rel=3e-3)
    for dead in (0.02, 0.1, 0.3):
        assert driven(0.3e7, absolute, area, 50.0, one.mass_kg, dead * area * 50.0) < one.speed * 1.001
    assert one.fed is not None
    assert one.shut_in is not None
    assert one.fed < one.speed < one.shut_in < one.run.speed


def test_without_its_supply_the_reservoir_bounds_it_and_without_both_its_thrust() -> None:
    unfed = edited(('supply = "0.3 L/(s bar)"\n', ""))
    assert planned(unfed).speed == planned(unfed).shut_in
    bare = edited(('supply = "0.3 L/(s bar)"\n', ""), ('reservoir = "0.4 L"\n', ""))
    assert planned(bare).speed == planned(bare).run.speed
    assert {t.say for t in found(bare).made.taken} >= {"[[case]] supply, reservoir"}


def test_figures_of_the_demo_by_hand() -> None:
    """Stop v2 / 2 s, its energy that of what moves and the work of the drive less the lift; air of both strokes at 2.2 bar."""
    one = planned()
    (row,) = found(SPLASH).report["motion"]["moves"]
    assert found(SPLASH).report["checks"]["motion"] == "passed"
    area, ring = math.pi * 25.0**2 / 4.0, math.pi * (25.0**2 - 10.0**2) / 4.0
    assert row["thrust"] == pytest.approx(0.12 * area)
    assert row["acceleration"] == pytest.approx(0.12 * area / one.mass_kg - 9.80665)
    assert row["stop"]["deceleration"] == pytest.approx(row["speed"] ** 2 / 2.0 / 0.014)
    assert row["stop"]["energy"] == pytest.approx(
        one.mass_kg * row["speed"] ** 2 / 2.0 + (0.12 * area - one.mass_kg * 9.80665) * 0.014
    )
    assert row["air_L"] == pytest.approx((area + ring) * 50.0 * (0.12 + AIR_MPA) / AIR_MPA * 1e-6, rel=1e-4)
    assert row["height"] == pytest.approx(row["speed"] ** 2 / 2.0 / 9.80665 * 1000.0, rel=1e-4)
    assert row["aloft"] == pytest.approx(2.0 * row["speed"] / 9.80665, rel=1e-4)
    assert row["floor_mpa"] == pytest.approx(998.2 * (9.80665 + row["acceleration"]) * 0.040 * 1e-6, rel=1e-3)


def test_a_cup_that_is_fired_empty_comes_faster_and_its_stop_counts() -> None:
    """Lighter by its liquid: by an integrator; its cushion takes (thrust less weight) over stroke and cushion where it is not
    throttled. It is an energy of the full thrust alone that is greater empty."""
    one, area, absolute = planned(), math.pi * 25.0**2 / 4.0, 0.12 + AIR_MPA
    assert one.empty is not None
    assert one.empty.mass_kg == pytest.approx(one.mass_kg - 0.576 * 0.9982, rel=1e-3)
    surge = driven(0.3e7, absolute, area, 50.0, one.empty.mass_kg, 0.5 * area * 50.0)
    assert one.empty.speed == pytest.approx(surge, rel=3e-3)
    assert one.empty.speed > one.speed
    free = planned(edited(('supply = "0.3 L/(s bar)"\nreservoir = "0.4 L"\n', "")))
    assert free.empty is not None
    by_hand = (0.12 * area - one.empty.mass_kg * 9.80665) * 0.064
    assert free.takes == pytest.approx(by_hand) == pytest.approx(free.empty.end.energy)
    assert free.takes > free.end.energy
    tight = edited(
        ('supply = "0.3 L/(s bar)"\nreservoir = "0.4 L"\n', ""),
        ('absorbs = "3 J"', f'absorbs = "{free.end.energy:.2f} J"'),
    )
    (why,) = said(tight, "stop")
    assert "when it is fired empty" in why
    mine = [c for c in found(SPLASH, "hold").made.need(Loads).cases.cases if c.name == "throw the crown"]
    assert max(c.load.effective[2] for c in mine) == pytest.approx(2.0 * one.empty.end.deceleration - G, rel=1e-6)
    assert {round(c.mass_kg, 3) for c in mine} == {round(m.mass_kg, 3) for m in (one, one.empty)}


def test_what_is_not_stopped_softly_or_at_all_is_not_covered() -> None:
    for edits, says in (
        ((('stop = "cushioned"\ncushion = "14 mm"\nabsorbs = "3 J"\n', ""),), "nothing is said to stop it"),
        ((('stop = "cushioned"\ncushion = "14 mm"\nabsorbs = "3 J"', 'stop = "none"'),), "nothing is said to stop it"),
        ((("bore = 25", "bore = 10"), ("1.2 bar", "5 bar"), ('cushion = "14 mm"\n', "")), "comes without a cushion"),
        ((("bore = 25", "bore = 8"),), "do not lift"),
        ((("bore = 25", "bore = 63"), ('supply = "0.3 L/(s bar)"\nreservoir = "0.4 L"\n', "")), "throws end here at 5 m/s"),
        ((('runs-long', 'lid = "loose"\nruns-long'),), "flies off"),
    ):  # fmt: skip
        text = edited(*edits)
        assert found(text).report["checks"]["motion"] == "not-covered", says
        (one,) = found(text).report["motion"]["not_covered"]
        assert says in one["why"]
    unsaid = edited(('stop = "cushioned"\ncushion = "14 mm"\nabsorbs = "3 J"\n', ""))
    assert found(unsaid, "hold").report["checks"]["strength"] == "not-covered"


def test_it_stops_without_a_guard_and_over_its_cushion_and_a_box_without_a_retention_is_not_sound() -> None:
    (why,) = said(edited(("guard = true\n", "")), "stop")
    assert "no guard stands around it" in why
    (why,) = said(edited(('absorbs = "3 J"', 'absorbs = "1.5 J"')), "stop")
    assert "it strikes through" in why
    assert any(
        "hold that against the data sheet" in f.do for f in found(edited(('absorbs = "3 J"\n', ""))).made.findings
    )
    loose = found(edited(('retention = "lanyard"\n', "")), "hold")
    assert any(f.level == "stop" and "with nothing to hold it if a bond lets go" in f.why for f in loose.made.findings)
    assert loose.report["verdict"] == "stop"


def test_a_slanted_throw_goes_aside_and_spills_on_its_way() -> None:
    text = edited(("guard = true", 'guard = true\nangle = 60\ntoward = "left"'), ('fill = "40 mm"', 'fill = "80 mm"'))
    one = planned(text)
    x, y, z = way_of(one.spec)
    assert (x, y, z) == pytest.approx((-0.5, 0.0, math.sqrt(0.75)))
    assert one.aloft == pytest.approx(2.0 * one.speed * math.sqrt(0.75) / G)
    assert one.reach == pytest.approx(one.speed * 0.5 * one.aloft)
    assert one.lost > 0.0
    assert any("spill over the wall behind already" in why for why in said(text, "care"))
    # steady tilt by hand: the surface falls by a_x over g + a_z
    a = one.run.acceleration
    slope = 0.5 * a / (G + a * math.sqrt(0.75))
    assert slope * 60.0 > 10.0  # over the 10 mm of freeboard, or nothing would spill


def test_a_bumper_is_harder_than_a_cushion() -> None:
    text = edited(('stop = "cushioned"\ncushion = "14 mm"\nabsorbs = "3 J"', 'stop = "bumper"'))
    assert planned(text).cushion == 1.0
    assert planned(text).end.deceleration == pytest.approx(14.0 * planned().end.deceleration)
    assert {t.say for t in found(text).made.taken} >= {"[[case]] cushion"}


def test_strength_gets_the_start_at_twice_its_push_and_the_stop_the_other_way() -> None:
    """A sudden push counts twice on top of gravity, on floor and walls: rho (g + 2 a) h; the stop pulls all of it up."""
    one = planned()
    loads = found(SPLASH, "hold").made.need(Loads)
    mine = [case for case in loads.cases.cases if case.name == "throw the crown"]
    deepest = max(float(case.load.pressure("bottom", np.array([[0.0, 0.0, 7.82]]))[0]) for case in mine)
    assert deepest == pytest.approx(998.2 * (G + 2.0 * one.run.acceleration) * 40.0 * 1e-12, rel=1e-3)
    up = [case.load.effective[2] for case in mine if case.mass_kg == pytest.approx(one.mass_kg)]
    assert max(up) == pytest.approx(2.0 * one.end.deceleration - G, rel=1e-6)
    assert not any(t.say.startswith("[[case]] of the stop") for t in found(SPLASH, "hold").made.taken)


def test_compressed_air_comes_first_and_the_first_shot_is_guarded() -> None:
    order = read_order_text(SPLASH, schemas())
    assert CASE_KINDS["throw"].cautions[0] == "pneumatics"
    design = found(SPLASH).design
    first, *more = proof_stages(order, design, planned().mass_kg)[1:]
    assert "Behind a guard around and over it, nobody over or before it" in first.text
    assert "raise the regulator from nothing until it just lifts" in first.text
    assert not any("regulator" in stage.text for stage in more)
    area = math.pi * 25.0**2 / 4.0
    lifts = planned().mass_kg * 9.80665 / area
    assert f"(about {10.0 * (lifts + (0.12 - lifts) / 16.0):.2f} bar)" in first.text
    assert f"(about {1.2:.2f} bar)" in more[-1].text


def test_a_round_cup_can_be_thrown_and_needs_its_retention() -> None:
    head, _, _ = VORTEX.partition("[[case]]")
    throw = SPLASH[SPLASH.index("[[case]]") :].replace("1.2 bar", "2.5 bar").replace("bore = 25", "bore = 40")
    for text, level in ((head + throw, ""), (head.replace('retention = "through-bolts"', "") + throw, "stop")):
        one = found(text)
        (thrown,) = one.made.need(Moves).throws
        assert thrown.mass_kg == pytest.approx(6.05, abs=0.1)
        stops = [f.why for f in one.made.findings if f.level == "stop" and f.check == "motion"]
        assert any("nothing to hold it" in why for why in stops) is (level == "stop")
