"""Planned moves of whole orders: what is found and said, what is given to strength, what is written."""

from __future__ import annotations

import csv
import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from click.testing import CliRunner
from starters import bare

from assemblies.cli import cli
from assemblies.design.mass import cuboid
from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas
from assemblies.liquid import box, volume_for_depth
from assemblies.motion.plans.basin import basin
from assemblies.motion.plans.moves import Moves
from assemblies.motion.plans.slide import plan_slide
from assemblies.motion.plans.turn import plan_turn
from assemblies.motion.schedule import NOT_PROVEN, Schedule, pulses, schedules
from assemblies.order import CaseSpec, read_order_text
from assemblies.packet.bench.schedule_files import write_schedules
from assemblies.packet.pages.pictures import plot_pictures
from assemblies.report.blocks import Picture
from assemblies.strength.proof.cases import load_cases
from parts.findings import NotCovered

START = bare("tank").partition("[[case]]")[0]
TANK = box(300.0, 200.0, 150.0)
FILL = volume_for_depth(TANK, 120.0)
DRY = cuboid((300.0, 200.0, 6.0), (0.0, 0.0, 3.0), 1190.0)
SLIDE = {
    "kind": "slide", "acceleration": "0.8 m/s2", "distance": "600 mm", "speed": "0.5 m/s", "brake": True, "stop": "0.1 m/s2",
}  # fmt: skip
POUR = {"kind": "turn", "toward": "right", "pour": "2 L", "flow": "0.2 L/s", "pivot": (0, 0, 140)}


def spec(given: dict[str, Any], **changes: Any) -> CaseSpec:
    own = {key: value for key, value in {**given, **changes}.items() if value is not None}
    return CaseSpec.model_validate({"name": "c", **own}, context={"units": "mm"})


def found(given: dict[str, Any], start: str = START, **changes: Any) -> Examined:
    own = {key: value for key, value in {**given, **changes}.items() if value is not None}
    lines = "\n".join(f"{key} = {json.dumps(value)}" for key, value in own.items())
    order = read_order_text(f'{start}\n[[case]]\nname = "c"\n{lines}\n', schemas(), "order.toml")
    return examine(order, kind("tank").asked("move"))


def said(one: Examined, level: str) -> list[str]:
    return [f["why"] for f in one.report["findings"] if f["level"] == level and f["check"] == "motion"]


def moves(one: Examined) -> Moves:
    return one.made.need(Moves)


def test_a_calm_slide_with_a_gentle_stop_passes_and_says_what_the_others_do() -> None:
    one = found(SLIDE)
    assert one.report["checks"]["motion"] == "passed"
    (row,) = one.report["motion"]["moves"]
    assert row["profile"] == "calm"
    assert row["rise"] <= row["freeboard"]
    assert row["time"] >= row["no_move_under"] > 0.0
    by = {p["name"]: p for p in row["profiles"]}
    assert set(by) == {"calm", "steady", "shaped"}
    assert by["calm"]["rise"] < by["steady"]["rise"]
    assert by["calm"]["left"] < by["steady"]["left"]
    assert row["margin"] == pytest.approx(row["freeboard"] - row["rise"])


def test_the_verdict_needs_the_motion_where_a_move_is_planned_and_only_there() -> None:
    assert list(found(SLIDE).report["checks"]) == ["fit", "strength", "liquid", "motion"]
    order = read_order_text(bare("tank"), schemas(), "order.toml")
    assert list(examine(order, kind("tank").asked("move")).report["checks"]) == ["fit", "strength", "liquid"]


def test_a_hard_steady_slide_spills_and_is_a_stop() -> None:
    one = found(SLIDE, profile="steady", acceleration="1.6 m/s2", speed="1 m/s")
    assert one.report["checks"]["motion"] == "failed"
    assert any(text.startswith("spills: the steady move") for text in said(one, "stop"))
    assert any("they break and splash" in text for text in said(one, "care"))
    assert not moves(one).passed


def test_waves_over_a_fifth_of_the_depth_are_not_covered() -> None:
    shallow = START.replace('fill = "120 mm"', 'fill = "60 mm"')
    one = found(SLIDE, start=shallow, profile="steady", acceleration="0.9 m/s2")
    (row,) = one.report["motion"]["moves"]
    assert 12.0 < row["rise"] < row["freeboard"]
    assert one.report["checks"]["motion"] == "not-covered"
    calm = found(SLIDE, start=shallow, acceleration="0.9 m/s2")
    assert calm.report["motion"]["moves"][0]["rise"] <= 12.0


def test_an_emergency_stop_at_the_worst_moment_is_said_and_its_advice_followed() -> None:
    hard = found(SLIDE, stop=None)
    (care,) = [text for text in said(hard, "care") if "emergency stop" in text]
    assert "it spills" in care
    assert hard.report["checks"]["motion"] == "not-covered"
    (do,) = [f["do"] for f in hard.report["findings"] if "emergency stop" in f["why"]]
    gentle = re.search(r'stop = "([0-9.]+ m/s2)"', do)
    assert gentle is not None
    assert found(SLIDE, stop=gentle[1]).report["checks"]["motion"] == "passed"


def test_power_loss_on_a_slope_without_a_brake_is_a_stop() -> None:
    sloped = {"direction": [1, 0, 0.1]}
    assert any("runs down" in text for text in said(found(SLIDE, brake=None, **sloped), "stop"))
    assert not said(found(SLIDE, **sloped), "stop")
    assert any("it runs on" in text for text in said(found(SLIDE, brake=None), "care"))


def test_what_pours_on_when_power_fails_is_a_stop_unless_its_pivot_returns_it_or_it_has_a_brake() -> None:
    assert not said(found(POUR), "stop")
    low = {"pivot": (0, 0, 0)}
    (text,) = said(found(POUR, **low), "stop")
    assert "turns it on" in text
    assert not said(found(POUR, brake=True, **low), "stop")


def test_a_slide_to_both_sides_sees_its_corners() -> None:
    one = plan_slide(spec(SLIDE, direction=(1, 1, 0), profile="steady"), TANK, FILL)
    assert set(one.taken.rises) == {"right and back", "left and front", "right and front", "left and back"}
    along = plan_slide(spec(SLIDE, direction=(1, 0, 0), profile="steady"), TANK, FILL)
    back = plan_slide(spec(SLIDE, direction=(-1, 0, 0), profile="steady"), TANK, FILL)
    assert set(along.taken.rises) == {"right", "left"}
    assert along.taken.rises["left"] == pytest.approx(back.taken.rises["right"])
    calm = plan_slide(spec(SLIDE, direction=(1, 1, 0)), TANK, FILL)
    assert calm.taken.rise <= 0.2 * 120.0
    assert calm.pool is not None
    assert calm.pool.few.left(calm.path).max() < 1e-6


def test_a_slope_lightens_the_liquid_and_a_steep_hard_one_is_not_covered() -> None:
    steep = (math.cos(0.6), 0.0, math.sin(0.6))
    level, sloped = basin(TANK, FILL, (1.0, 0.0, 0.0), 500.0), basin(TANK, FILL, steep, 500.0)
    assert sloped.swing.gravity < level.swing.gravity
    with pytest.raises(NotCovered, match="weight of the liquid"):
        basin(TANK, FILL, steep, 2000.0)


def test_moves_in_a_row_wait_until_what_they_leave_has_died() -> None:
    given = {**SLIDE, "profile": "steady", "acceleration": "0.5 m/s2", "repeat": 4}
    (row,) = found(given).report["motion"]["moves"]
    assert row["shortest_wait"] > 0.0
    assert row["wait"] == row["shortest_wait"]
    short = found(given, wait="0 s")
    assert any("may add up" in text for text in said(short, "care"))
    assert short.report["checks"]["motion"] == "not-covered"


def test_strength_is_given_the_loads_of_the_very_move() -> None:
    def pressure(one: CaseSpec) -> float:
        cases = load_cases(TANK, FILL, FILL, 998.2, DRY, [one])
        assert not cases.outside
        assert not cases.liquid_outside
        places = np.array([[150.0, 0.0, z] for z in np.linspace(0.0, 120.0, 9)])
        return max(float(c.load.pressure("right", places).max()) for c in cases.cases if c.name == "c")

    still = 998.2e-12 * 9806.65 * 120.0
    gentle, hard = pressure(spec(SLIDE)), pressure(spec(SLIDE, stop="3 m/s2"))
    assert hard > gentle > still
    sudden = pressure(spec({"kind": "slide", "acceleration": "0.8 m/s2"}))
    assert gentle < sudden < hard


def turn(**changes: Any) -> Any:
    return plan_turn(spec(POUR, **changes), TANK, FILL, 998.2, DRY, (0.0, 0.0, 140.0))


@pytest.mark.parametrize("changes", [{}, {"flow": None, "time": "15 s"}, {"pour": None, "angle": 40, "toward": "back"}])
def test_a_pour_keeps_its_volume_and_its_flow(changes: dict[str, Any]) -> None:
    plan = turn(**changes)
    assert plan.times[0] == 0.0
    assert (np.diff(plan.times) > 0.0).all()
    assert (np.diff(plan.left) <= 1e-6).all()
    run = float(np.sum((plan.flows[1:] + plan.flows[:-1]) / 2.0 * np.diff(plan.times)))
    assert run + plan.left[-1] == pytest.approx(FILL, rel=1e-4)
    if "flow" not in changes:
        assert plan.peak_flow <= 0.2e6 * (1.0 + 1e-9)
    real = plan.real
    assert real is not None
    assert (real.flows >= 0.0).all()
    assert (
        real.delivered[-1] + real.standing[-1]
        <= FILL - np.interp(plan.angles.max(), plan.out.angles, plan.out.kept) + 1.0
    )
    if plan.spec.pour is not None:  # corrected for what stands over the lip when it turns back
        assert real.delivered[-1] == pytest.approx(2e6, rel=2e-3)
        assert plan.angles[-1] == pytest.approx(0.0, abs=1e-9)
        assert real.flows[-1] == 0.0


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"pour": "5 L", "flow": "2 L/s"}, "over the lip"),
        ({"pour": None, "flow": None, "angle": 5, "time": "1 s"}, "periods of its waves"),
        ({"pivot": (0, 0, 9000)}, "is pushed with"),
    ],
)
def test_a_turn_too_fast_for_a_level_surface_is_not_covered(changes: dict[str, Any], says: str) -> None:
    one = found(POUR, brake=True, **changes)
    assert one.report["checks"]["motion"] == "not-covered"
    assert any(says in text for text in said(one, "care"))
    assert not moves(one).passed


@pytest.mark.parametrize("changes", [{"distance": "9 m", "speed": "0.05 m/s"}, {"stop": "0.01 m/s2"}])
def test_where_no_calm_move_is_looked_for_the_one_in_parts_is_taken_and_named(changes: dict[str, Any]) -> None:
    start = START if "distance" in changes else START.replace('"120 mm"', '"150 mm"')
    (row,) = found(SLIDE, start=start, **changes).report["motion"]["moves"]
    assert row["profile"] == "shaped"
    assert "no_move_under" not in row or row["no_move_under"] is None


def test_a_film_of_liquid_is_not_covered() -> None:
    one = found(SLIDE, start=START.replace('"120 mm"', '"8 mm"'))
    assert any("waves run and break" in text for text in said(one, "care"))


def test_a_turn_by_angle_ends_at_it() -> None:
    plan = turn(pour=None, flow=None, angle=30, time="12 s")
    assert math.degrees(plan.angles[-1]) == pytest.approx(30.0)
    assert plan.times[-1] == 12.0
    assert plan.wanted == pytest.approx(FILL - plan.out.kept[-1])


@pytest.mark.parametrize(
    ("changes", "says"), [({"pour": "8 L"}, "to pour 8 L"), ({"pour": None, "angle": 5}, "nothing pours at that angle")]
)
def test_a_pour_that_cannot_be_is_not_covered(changes: dict[str, Any], says: str) -> None:
    one = found(POUR, **changes)
    assert one.report["checks"]["motion"] == "not-covered"
    assert any(says in text for text in said(one, "care"))


def test_a_schedule_of_twice_the_time_has_twice_the_samples() -> None:
    counts = [len(turn(flow=None, time=f"{t} s").times) for t in (10, 20, 40)]
    assert counts[2] - counts[1] == pytest.approx(2 * (counts[1] - counts[0]), rel=0.03)


def written(given: dict[str, Any], folder: Path, *, proven: bool = True, **changes: Any) -> tuple[Schedule, Path]:
    one = schedules(moves(found(given, **changes)), FILL, proven=proven)
    write_schedules(one, folder / "schedule")
    return one[0], folder / "schedule"


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_schedule_keeps_its_limits_at_every_sample_and_ends_at_its_target(tmp_path: Path) -> None:
    _, folder = written(SLIDE, tmp_path, jerk="10 m/s3")
    samples = rows(folder / "c.csv")
    assert float(samples[-1]["place_m"]) == 0.6
    assert max(abs(float(r["speed_m_s"])) for r in samples) <= 0.5
    assert max(abs(float(r["acceleration_m_s2"])) for r in samples) <= 0.8
    assert {r["liquid_left_m3"] for r in samples} == {"0.0072"}
    assert {r["state"] for r in samples} == {"proven"}
    steps = rows(folder / "c-pulses.csv")
    assert steps[-1]["pulses"] == "24000"
    assert max(abs(float(r["missed_m"])) for r in steps) <= 0.5 / 40_000 * (1.0 + 1e-6)
    header = (folder / "c.h").read_text(encoding="utf-8")
    counted = [int(n) for n in re.findall(r"-?\d+", header[header.index("{") : header.index("}")])]
    assert counted == [int(r["pulses"]) for r in steps]
    assert f"#define C_COUNT {len(counted)}" in header
    pictures = rows(folder / "c-frames.csv")
    assert float(pictures[-1]["place_m"]) == 0.6
    assert float(pictures[1]["time_s"]) == 0.04


def test_a_pour_is_written_in_radians_and_newton_metres(tmp_path: Path) -> None:
    one, folder = written(POUR, tmp_path)
    samples = rows(folder / "c.csv")
    assert float(samples[-1]["angle_rad"]) == pytest.approx(0.0, abs=1e-9)
    assert max(float(r["flow_m3_s"]) for r in samples) <= 0.2e-3
    assert float(samples[0]["torque_N_m"]) == pytest.approx(0.0, abs=0.05)
    whole, missed = pulses(one)
    assert abs(missed).max() <= 0.5 / one.a_unit
    assert whole.max() > 0


def test_what_is_not_proven_gets_no_pulses_and_says_so(tmp_path: Path) -> None:
    for k, (given, changes, proven) in enumerate(
        [(SLIDE, {"stop": None}, True), (SLIDE, {}, False), (POUR, {"pour": "8 L"}, True)]
    ):
        place = tmp_path / f"{k}"
        place.mkdir()
        _, folder = written(given, place, proven=proven, **changes)
        assert [path.name for path in folder.iterdir()] == ["c.csv"]
        assert {r["state"] for r in rows(folder / "c.csv")} == {NOT_PROVEN}


def test_move_prints_in_eighty_columns_and_names_the_keys_where_nothing_is_planned(tmp_path: Path) -> None:
    order = tmp_path / "order.toml"
    lines = "\n".join(f"{key} = {json.dumps(value)}" for key, value in SLIDE.items())
    more = "\n".join(f"{key} = {json.dumps(value)}" for key, value in POUR.items())
    order.write_text(f'{START}\n[[case]]\nname = "c"\n{lines}\n[[case]]\nname = "p"\n{more}\n', encoding="utf-8")
    done = CliRunner().invoke(cli, ["move", str(order)])
    assert done.exit_code == 0, done.output
    assert max(map(len, done.output.splitlines())) <= 80
    assert "c: slides 600 mm" in done.output
    assert "p: leans to" in done.output
    report = json.loads(CliRunner().invoke(cli, ["move", str(order), "--json"]).stdout)
    assert [m["case"] for m in report["motion"]["moves"]] == ["c", "p"]
    order.write_text(bare("tank"), encoding="utf-8")
    nothing = CliRunner().invoke(cli, ["move", str(order)])
    assert nothing.exit_code != 0
    assert all(word in str(nothing.exception) for word in ("distance", "pour", "flow", "pivot", "brake"))


def test_pieces_placed_one_by_one_have_no_planned_move_yet_and_do_not_pass() -> None:
    """Nothing there says what they hold."""
    lines = "\n".join(f"{key} = {json.dumps(value)}" for key, value in SLIDE.items())
    order = read_order_text(f'{bare("panels")}\n[[case]]\nname = "c"\n{lines}\n', schemas(), "order.toml")
    one = examine(order, kind("panels").asked("move"))
    assert one.report["checks"]["motion"] == "not-covered"
    assert one.report["verdict"] == "not-proven"


def test_a_dry_rig_is_planned_too() -> None:
    one = plan_slide(spec(SLIDE), TANK, 0.0)
    assert one.pool is None
    assert one.path.distance == pytest.approx(600.0)
    assert replace(one.taken, left=0.0).rise == 0.0


def test_every_plot_of_a_move_names_its_axes_and_tells_its_curves_apart_by_their_lines() -> None:
    pictures = plot_pictures(moves(found(SLIDE)), None) | plot_pictures(moves(found(POUR)), None)
    assert set(pictures) == {"move-c-schedule", "move-c-rise", "move-c-surface", "move-c-kept"}
    rise = ElementTree.fromstring(pictures["move-c-rise"])
    texts = {"".join(one.itertext()) for one in rise.iter() if one.tag.endswith("text")}
    assert {"level mm", "s", "right", "left", "rim", "a fifth of the depth"} <= texts
    lines = [one for one in rise.iter() if one.get("class") in ("visible", "hidden")]
    assert [one.get("stroke-dasharray") is None for one in lines] in ([True, False], [False, True])
    colours = set(re.findall(r"#[0-9a-f]{6}", "".join(pictures.values())))
    assert colours == {"#16191d", "#ffffff"}
    section = found(SLIDE).sections
    shown = [block.key for one in section if one.id == "motion" for block in one.blocks if isinstance(block, Picture)]
    assert set(shown) == {"move-c-schedule", "move-c-rise", "move-c-surface"}
