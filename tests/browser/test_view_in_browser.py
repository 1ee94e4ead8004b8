"""What the view of the page plays: liquid level in a tank that leans, pours and slides; gears that turn. In headless Chromium.

What must be seen is in the plans of the moves and in the teeth of the gears.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from moving import moving_order
from test_page_in_browser import look

from assemblies.examine import examine
from assemblies.kinds import kind, schemas, starter
from assemblies.motion.plans.plays import Play
from assemblies.order import read_order
from assemblies.packet.models.glb import write_glb
from assemblies.packet.models.scene import Scene, scene_of
from assemblies.packet.pages.page import page

SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True)
class Shown:
    """A scene, and what the browser saw of its page."""

    scene: Scene
    seen: dict[str, Any]
    size: int

    def play(self, number: int) -> tuple[Play, list[dict[str, Any]]]:
        return self.scene.plays[number], self.seen["at"][str(number)]


def _shown(folder: Path, text: str, checks: set[str]) -> Shown:
    """A page with the view alone: of the order what these checks answer."""
    (folder / "order.toml").write_text(text)
    order = read_order(folder / "order.toml", schemas())
    asked = [check for check in kind(order.kind).asked(None, solids=False) if check.name in checks]
    found = examine(order, asked)
    scene, model = scene_of(found), folder / "model.glb"
    write_glb(found.design, model)
    made = page(found.report, found.sections, order.units, model=model.read_bytes(), scene=scene, pictures={})
    (folder / "packet.html").write_text(made, encoding="utf-8")
    return Shown(scene, look("moves", folder / "packet.html"), len(made))


@pytest.fixture(scope="module")
def tank(tmp_path_factory: pytest.TempPathFactory) -> Shown:
    checks = {"build", "fit", "apart", "loads", "liquid", "motion", "bond", "buying"}
    return _shown(tmp_path_factory.mktemp("tank"), moving_order(), checks)


@pytest.fixture(scope="module")
def gears(tmp_path_factory: pytest.TempPathFactory) -> Shown:
    return _shown(tmp_path_factory.mktemp("gears"), starter("gearbox"), {"build", "fit", "apart", "strength"})


@pytest.fixture(params=["tank", "gears"])
def either(request: pytest.FixtureRequest) -> Shown:
    shown: Shown = request.getfixturevalue(request.param)
    return shown


def test_it_plays_without_a_request_or_a_word_on_the_console(either: Shown) -> None:
    assert either.seen["seen"] == {"messages": [], "requests": []}
    assert either.seen["shown"] > 4000, "something is drawn"
    assert either.size < 3_000_000


def test_axe_finds_nothing_and_nothing_is_wider_than_the_screen(either: Shown) -> None:
    for width in ("360", "1280"):
        assert either.seen["axe"][width]["found"] == []
        assert either.seen["wide"][width] == {"page": int(width), "over": []}


def test_it_plays_at_true_speed_and_stands_still_when_paused(tank: Shown) -> None:
    played = tank.seen["played"]
    assert played["label"] == "Pause"
    assert played["running"]
    assert played["moved"] == pytest.approx(0.3, abs=0.04)  # two frames
    assert not played["paused"]["running"]
    assert played["paused"]["time"] == pytest.approx(0.35, abs=0.06)


def test_keys_move_the_time_by_a_two_hundredth(either: Shown) -> None:
    key = either.seen["key"]
    assert key["time"] == pytest.approx(key["max"] / 200.0)
    assert key["said"].startswith(f"{key['time']:.2f} s of {key['max']:.2f} s")


def test_where_less_motion_is_asked_for_nothing_offers_to_run(either: Shown) -> None:
    assert not either.seen["calm"]["button"]
    assert not either.seen["calm"]["running"]
    assert either.seen["calm"]["time"] == 0.0


def test_it_stands_with_its_fill_level_and_its_bolts(tank: Shown) -> None:
    start = tank.seen["start"]
    assert start["wet"]
    assert start["litres"] == pytest.approx(7.2, rel=1e-5)
    assert start["tilt"] < 1e-6
    assert start["bodies"] == len(tank.scene.bodies) == 28
    assert not tank.seen["apart"]["wet"], "what is taken apart holds nothing"


def test_a_pour_turns_about_its_pivot_and_stays_level_while_it_empties(tank: Shown) -> None:
    one, states = tank.play(1)
    pivot = np.array([0.0, 0.140, 0.0])
    for share, state in zip(SHARES, states, strict=True):
        time = share * float(one.times[-1])
        angle = float(np.interp(time, one.times, one.angles))
        assert state["angle"] == pytest.approx(angle, abs=1e-4)
        assert state["tilt"] < 1e-6, "level"
        assert state["litres"] == pytest.approx(float(np.interp(time, one.times, one.kept)) / 1e6, rel=2e-3)
        turned = np.array(
            [pivot[1] * math.sin(angle), pivot[1] * math.cos(angle), 0.0]
        )  # to the right, about z to the front
        assert state["place"] == pytest.approx(list(pivot - turned), abs=1e-6)
    assert states[2]["angle"] > 0.3
    assert states[4]["angle"] == pytest.approx(0.0, abs=1e-6)
    assert states[0]["litres"] - states[4]["litres"] > 2.0


def test_a_slide_goes_its_way_and_its_surface_swings(tank: Shown) -> None:
    one, states = tank.play(0)
    for share, state in zip(SHARES, states, strict=True):
        time = share * float(one.times[-1])
        assert state["place"] == pytest.approx(
            [float(np.interp(time, one.times, one.places)) / 1e3, 0.0, 0.0], abs=1e-5
        )
        assert state["litres"] == pytest.approx(7.2, rel=1e-3)
        assert one.ripple is not None
        wave = np.array([np.interp(time, one.times, h) for h in one.ripple.heights.T]) @ one.ripple.shapes
        assert state["tilt"] == pytest.approx(float(np.ptp(wave)) / 1e3, abs=2e-5)
    assert states[0]["tilt"] == 0.0
    assert max(state["tilt"] for state in states) > 1e-3
    assert states[4]["clock"].endswith("600 mm on its way")


def test_a_lean_that_is_not_planned_stands_with_its_liquid_level(tank: Shown) -> None:
    one, states = tank.play(2)
    assert math.degrees(states[0]["angle"]) == pytest.approx(40.0, abs=1e-3)
    assert states[0]["tilt"] < 1e-6
    assert states[0]["litres"] == pytest.approx(float(one.kept[0]) / 1e6, rel=1e-3)


def test_gears_turn_by_their_ratios(gears: Shown) -> None:
    assert [value for value, _ in gears.seen["options"]] == ["0"], "nothing else to choose"
    one, states = gears.play(0)
    for share, state in zip(SHARES, states, strict=True):
        for spin in one.spins:
            whole = spin.rate * share * float(one.times[-1]) % math.tau
            for name in spin.names:
                assert state["turned"][name] == pytest.approx(min(whole, math.tau - whole), abs=1e-3)
        assert state["turned"]["base-plate"] == 0.0
    assert states[1]["turned"]["gear-4"] == pytest.approx(math.pi / 2.0, abs=1e-3)
