"""Planned spins of whole orders: figures against quadrature, what is said, what is written."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from asked import ask
from scipy.integrate import quad, quad_vec
from scipy.optimize import brentq
from starters import bare

from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.liquid.shapes.cavity import round_cavity
from assemblies.motion.plans.moves import Moves
from assemblies.motion.plans.spin import PlannedSpin, SpunLiquid, spun_liquid
from assemblies.motion.schedule import pulses, schedules
from assemblies.order import read_order_text
from parts.findings import NotCovered

G = 9806.65
VORTEX = (Path(__file__).parents[2] / "orders" / "vortex-column.toml").read_text(encoding="utf-8")


@cache
def found(text: str) -> Examined:
    return ask(read_order_text(text, schemas()), "move")


def edited(*edits: tuple[str, str], text: str = VORTEX) -> str:
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return text


def planned(text: str = VORTEX) -> PlannedSpin:
    (one,) = found(text).made.need(Moves).spins
    return one


def said(text: str, level: str) -> list[str]:
    return [f.why for f in found(text).made.findings if f.check == "motion" and f.level == level]


def row(text: str = VORTEX) -> Any:
    (one,) = found(text).report["motion"]["moves"]
    return one


def level_by_bisection(radius: float, height: float, depth: float, omega: float, closed: bool) -> tuple[float, float]:
    """Vertex of the paraboloid that keeps the volume under rim or lid, by quadrature; and the volume that is kept."""
    a = omega**2 / (2.0 * G)

    def kept(vertex: float) -> float:
        bends = [math.sqrt(x) for x in (-vertex / a, (height - vertex) / a) if 0.0 < x < radius**2]
        return float(
            quad(lambda r: math.tau * r * min(max(vertex + a * r * r, 0.0), height), 0, radius, points=bends or None)[0]
        )

    full = math.pi * radius**2 * depth
    vertex = brentq(lambda z: kept(z) - full, -a * radius**2, height, xtol=1e-10)
    if not closed and vertex + a * radius**2 > height:
        vertex = height - a * radius**2
    return float(vertex), kept(vertex)


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("omega", [6.0, 21.0, 30.0, 60.0])
@pytest.mark.parametrize("depth", [60.0, 200.0, 290.0])
def test_level_pressure_inertia_and_lift_are_those_of_the_paraboloid_by_quadrature(
    depth: float, omega: float, closed: bool
) -> None:
    radius, height, rho = 95.0, 300.0, 998.2
    cavity = round_cavity(radius, height, base=(0.0, 0.0, 12.0), lid="sealed" if closed else "none")
    one = spun_liquid(cavity, math.pi * radius**2 * depth, omega, rho)
    vertex, kept = level_by_bisection(radius, height, depth, omega, closed)
    a = omega**2 / (2.0 * G)
    assert one.vertex == pytest.approx(vertex, rel=1e-6, abs=1e-4)
    assert one.spilled == pytest.approx(math.pi * radius**2 * depth - kept, rel=1e-5, abs=1.0)
    rs = np.linspace(0.0, radius, 40)
    assert one.level(rs) == pytest.approx(np.clip(vertex + a * rs**2, 0.0, height), abs=1e-3)
    turned, _ = quad_vec(lambda r: math.tau * r**3 * one.level(np.array(r)), 0.0, radius, epsabs=1.0)
    assert one.inertia == pytest.approx(rho * 1e-9 * float(turned), rel=1e-5)
    assert one.pressure("wall", np.array([[radius, 0.0, 12.0]]))[0] == pytest.approx(
        rho * G * 1e-12 * (vertex + a * radius**2), rel=1e-6
    )
    # forces on the liquid along its axis: what floor and lid press, and its weight, come to nothing
    places = np.sqrt((np.arange(20000) + 0.5) / 20000) * radius
    zeros = np.zeros_like(places)
    area = math.pi * radius**2
    floor = one.pressure("bottom", np.column_stack([places, zeros, zeros + 12.0])).mean() * area
    lid = one.pressure("lid", np.column_stack([places, zeros, zeros + 312.0])).mean() * area if closed else 0.0
    assert floor - lid == pytest.approx(rho * G * 1e-12 * kept, rel=1e-3)
    assert one.lift == pytest.approx(lid, rel=1e-3, abs=1e-6)


def test_the_demo_passes_and_its_figures_are_by_hand() -> None:
    """210 rpm, R 95.0, 140 mm: rise w2 R2 / 2 g; spill and dry speeds by the closed forms of reference/liquid-motion.md, 3."""
    one, radius = row(), 199.9333 / 2.0 - 5.0
    omega = 210.0 * math.tau / 60.0
    assert found(VORTEX).report["checks"]["motion"] == "passed"
    assert one["liquid"]["rise"] == pytest.approx(omega**2 * radius**2 / (2.0 * G), rel=1e-4)
    assert one["liquid"]["centre"] == pytest.approx(140.0 - one["liquid"]["rise"] / 2.0, rel=1e-6)
    height = one["liquid"]["height"]
    assert one["liquid"]["spills_from"] == pytest.approx(
        height * math.sqrt(G / 140.0) / radius * 60.0 / math.tau, rel=1e-4
    )
    assert one["liquid"]["dries_from"] == pytest.approx(2.0 * math.sqrt(G * 140.0) / radius * 60.0 / math.tau, rel=1e-4)
    assert one["energy"] == pytest.approx(one["inertia"] * omega**2 / 2.0 * 1e-6)
    assert one["rim_speed"] == pytest.approx(omega * 0.135)  # the flange of 270 mm reaches furthest
    assert one["balance"]["allowed"] == pytest.approx(16.0 / omega)
    assert one["balance"]["force"] == pytest.approx(one["mass"] * 0.5 * omega**2 * 1e-3)


def test_it_stops_what_spills_flies_shakes_or_is_not_held() -> None:
    assert said(VORTEX, "stop") == []
    for edits, says in (
        ((("210 rpm", "280 rpm"),), "run over the rim"),
        ((("guard = true\n", ""),), "no guard stands around it"),
        ((('retention = "through-bolts"', 'retention = "none"'),), "nothing to hold it"),
        ((('off-centre = "0.5 mm"', 'off-centre = "2 mm"'),), "pulls sideways with"),
        ((('kind = "plates"', 'kind = "edges"'),), "nothing bolts it to what turns it"),
    ):
        (why,) = said(edited(*edits), "stop")
        assert says in why
        assert found(edited(*edits)).report["checks"]["motion"] == "failed"


def test_what_spills_is_the_volume_that_is_missing() -> None:
    text = edited(("210 rpm", "280 rpm"))
    one = planned(text).liquid
    assert one is not None
    _, kept = level_by_bisection(one.radius, one.height, one.depth, one.omega, False)
    assert row(text)["liquid"]["spilled_L"] == pytest.approx(
        (math.pi * one.radius**2 * one.depth - kept) / 1e6, rel=1e-5
    )


def test_a_boss_off_the_axis_is_known_and_half_a_millimetre_of_setting_is_not() -> None:
    """A drain's boss at 60 mm: its moment over the whole mass, beside what is taken; the mass at the rim mends it."""
    drain = '[round-tank.drain]\nat = [60, 0]\nthread = "G 1/4"\nboss = 46\nthickness = 15\n\n[liquid]'
    text = edited(("[liquid]", drain), ('off-centre = "0.5 mm"\n', ""))
    one = planned(text)
    boss = next(p for p in found(text).design.placed if p.name == "drain-boss").piece.mass_kg
    assert one.built == pytest.approx(60.0 * boss / one.mass_kg, rel=0.2)  # the hole in the base takes some of it away
    assert one.off == pytest.approx(one.built + 0.5)
    (why,) = said(text, "care")
    assert f"as drawn {one.built:.2f} mm" in why
    fast = edited(("210 rpm", "320 rpm"), ('fill  = "140 mm"', 'fill = "60 mm"'), ('off-centre = "0.5 mm"\n', ""))
    assert row(fast)["balance"]["grade"] == 6.3
    assert any("pulls sideways" in w for w in said(fast, "care"))  # nothing off as drawn: only taken
    assert {t.say for t in found(text).made.taken} >= {"[[case]] off-centre"}


@pytest.mark.parametrize(
    ("edits", "says"),
    [
        ((("210 rpm", "900 rpm"), ('fill  = "140 mm"', 'fill = "20 mm"')), "its rim would run at 12.7 m/s"),
        (
            (
                ("outside = 200", "outside = 400"), ("measured-outside = [200.1, 199.8, 199.9]", ""),
                ("measured-wall    = [4.9, 5.1, 5.0]", ""), ("outside = 270", "outside = 470"),
                ("circle  = 240", "circle = 440"), ("outside = 230", "outside = 430"), ("210 rpm", "330 rpm"),
                ("thickness = 12\nmeasured  = [11.85, 11.9, 11.88]", "thickness = 25"),
            ),
            "J would turn",
        ),
        ((('ramp = "40 s"', 'ramp = "1000 s"'),), "too many samples"),
        ((('fill  = "140 mm"', 'fill = "0 mm"'), ("210 rpm", "3000 rpm")), "its rim would run"),
    ],
)  # fmt: skip
def test_over_the_limits_it_is_not_covered(edits: tuple[tuple[str, str], ...], says: str) -> None:
    text = edited(*edits)
    assert found(text).report["checks"]["motion"] == "not-covered"
    assert any(says in one["why"] for one in found(text).report["motion"]["not_covered"])


def test_flat_walls_are_not_covered_in_words() -> None:
    text = bare("tank").partition("[[case]]")[0] + '\n[[case]]\nname = "whirl"\nkind = "spin"\nspeed = 60\n'
    one = found(text)
    assert one.report["checks"]["motion"] == "not-covered"
    (why,) = [n["why"] for n in one.report["motion"]["not_covered"]]
    assert why.startswith("a spinning box: how liquid turns between flat walls is not calculated")


def test_liquid_to_the_lid_pieces_in_it_and_open_holes_are_not_covered() -> None:
    sealed = round_cavity(95.0, 300.0, lid="sealed")
    with pytest.raises(NotCovered, match="no air"):
        spun_liquid(sealed, math.pi * 95.0**2 * 300.0, 10.0, 998.2)
    from assemblies.liquid.shapes.openings import Circle3, Port

    vent = Port(
        name="vent", circle=Circle3(centre=(60.0, 0.0, 300.0), normal=(0.0, 0.0, 1.0), radius_mm=5.0), kind="vent"
    )
    vented = round_cavity(95.0, 300.0, lid="sealed", ports=(vent,))
    volume = math.pi * 95.0**2 * 200.0
    assert isinstance(spun_liquid(vented, volume, 10.0, 998.2), SpunLiquid)
    with pytest.raises(NotCovered, match="stands at vent"):
        spun_liquid(vented, volume, 60.0, 998.2)


def test_its_schedule_turns_smoothly_by_whole_pulses_and_comes_to_rest() -> None:
    one = planned()
    times, angles, rates, pushes = one.samples
    assert (rates[0], rates[-1]) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert rates.max() == pytest.approx(one.omega, rel=1e-12)
    assert np.gradient(angles, times)[1:-1] == pytest.approx(rates[1:-1], abs=2e-3 * one.omega)
    assert np.gradient(rates, times)[1:-1] == pytest.approx(pushes[1:-1], abs=2e-3 * np.abs(pushes).max())
    assert one.torque == pytest.approx(one.inertia * 1e-3 * one.omega / one.ramp * 15.0 / 8.0, rel=1e-4)
    (written,) = schedules(found(VORTEX).made.need(Moves), 4e6, proven=True)
    whole, missed = pulses(written)
    assert int(whole[-1]) == round(angles[-1] * 5 * 2000 / math.tau) == 350 * 10_000
    assert np.abs(missed).max() <= 0.5 / written.a_unit * (1.0 + 1e-6)
    left_out = schedules(found(edited(("guard = true\n", ""))).made.need(Moves), 4e6, proven=True)
    assert [s.state for s in left_out] == ["NOT PROVEN"]


def test_the_ramp_that_is_taken_lets_the_liquid_follow() -> None:
    text = edited(('ramp = "40 s"\n', ""))
    one = planned(text)
    assert one.ramp == math.ceil(3.0 * 140.0 / math.sqrt(1.0034 * one.omega)) == pytest.approx(one.follows, abs=1.0)
    assert {t.say for t in found(text).made.taken} >= {"[[case]] ramp"}


def test_a_weak_motor_is_stopped() -> None:
    text = edited(("steps = 2000", "steps = 2000\ncurve = [[0, 0.012], [3000, 0.012]]"))
    assert any("its motor must give" in why for why in said(text, "stop"))


def test_the_view_plays_it_with_the_liquid_that_there_is() -> None:
    """The surface of the play at each sample, by cones between its rings: its volume stays what was filled in."""
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.plans.plays import plays

    hold = ask(read_order_text(VORTEX, schemas()), "hold")
    (play,) = plays(hold.order, hold.made.of(Moves), hold.made.of(LiquidState))
    assert (play.kind, play.proven) == ("spin", True)
    assert play.ripple is not None
    one = planned()
    assert play.angles[-1] == pytest.approx(one.samples[1][-1])
    radii = np.hypot(*(play.ripple.places - np.array([0.0, 0.0])).T)
    fastest = int(np.argmax(np.gradient(play.angles, play.times)))
    for k in (0, fastest, len(play.times) - 1):
        high = (play.levels[k] - play.ripple.floor_mm) + play.ripple.heights[k] @ play.ripple.shapes
        volume = 0.0
        for a, b, c in play.ripple.triangles:
            (ax, ay), (bx, by), (cx, cy) = (play.ripple.places[i] for i in (a, b, c))
            volume += abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2.0 * float(high[[a, b, c]].mean())
        assert volume == pytest.approx(play.kept[k], rel=0.01)
        if k == fastest:
            assert high[radii > 94.9].mean() == pytest.approx(row()["liquid"]["edge"], rel=2e-3)
            assert high[0] == pytest.approx(row()["liquid"]["centre"], rel=2e-2)
