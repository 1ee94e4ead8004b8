"""The bar of a gearbox: what is refused, its mesh through its travel, its force and its verdict. Figures by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from assemblies.design import BarMesh, Design
from assemblies.examine import examine
from assemblies.fit.running import judge_mesh, mesh_gaps
from assemblies.kinds import kind, schemas, starter
from assemblies.kinds.gearbox.build import build_gearbox, laid_out
from assemblies.kinds.gearbox.checks import gear_findings
from assemblies.kinds.gearbox.figures import Gears, gear_figures
from assemblies.kinds.gearbox.sections import gear_blocks
from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.kinds.gearbox.train import make_train
from assemblies.order import Order, OrderError, read_order_text
from parts.make.gear.outline import gear_loop
from parts.make.gear.pair import grown

SMALL = """
title = "Crank drive of the tide clock"
name  = "tide-drive"
kind  = "gearbox"
[sheet]
thickness = 6
measured = [5.9]
[cutting]
process = "laser"
tolerance = 0.15
repeat = 0.03
[gearbox]
module = 2
teeth = [[18, 27]]
torque = 0.1
speed = 30
plates = 10
taper = 0.1
"""


def ordered(text: str = SMALL) -> Order:
    return read_order_text(text, schemas(), "order.toml")


def added(*lines: str) -> Order:
    return ordered(SMALL + "\n".join(lines) + "\n")


def table(order: Order) -> GearboxSpec:
    assert isinstance(order.table, GearboxSpec)
    return order.table


def moved(design: Design, by: tuple[float, float, float]) -> Design:
    """The bar elsewhere."""
    placed = tuple(
        replace(p, origin=tuple(a + b for a, b in zip(p.origin, by, strict=True))) if p.name == "bar" else p
        for p in design.placed
    )
    return replace(design, placed=placed)


def figures(order: Order) -> tuple[Gears, GearboxSpec]:
    laid = laid_out(order)
    return gear_figures(laid, build_gearbox(order)), laid.spec


BAR = ("[gearbox.bar]", "travel = 60", "back = 10")

#: Lines of `[gearbox.bar]`, and what of them is refused.
WRONG_BARS = [
    ("back = 10", "has neither travel nor teeth"),
    ("travel = 60", "back: is missing"),
    ("travel = 60\nback = 0", "length over 0"),
    ("teeth = 2\nback = 10", "3 to 400"),
    ("teeth = 3\nback = 10", "3 teeth let it go nowhere: it runs out of mesh"),
    ("teeth = 13\ntravel = 60\nback = 10", "13 teeth let it go"),
    ("travel = 4000\nback = 10", "take more than 400 teeth"),
    ("travel = 60\nback = 10\nangle = 180", "of gear-1, which stands"),
    ("travel = 60\nback = 10\nangle = 120", "gear-1"),
    ("travel = 60\nback = 10\nangle = 35", "of post 2, which stands"),
    ('travel = 60\nback = 10\nside = "left"', "side"),
]


@pytest.mark.parametrize(("lines", "said"), WRONG_BARS)
def test_a_wrong_bar_is_refused_with_one_clear_error(lines: str, said: str) -> None:
    with pytest.raises(OrderError) as refused:
        build_gearbox(added("[gearbox.bar]", lines))
    assert len(refused.value.problems) == 1
    assert said in str(refused.value)


@pytest.mark.parametrize("lines", [(), ("angle = 90",), ("angle = -90.5", "teeth = 21")])
def test_a_bar_keeps_half_its_backlash_all_through_its_travel(lines: tuple[str, ...]) -> None:
    """From the middle to either end; a bar set closer, further off or half a pitch along is a stop."""
    order = added(*BAR, *lines)
    design, laid = build_gearbox(order), laid_out(order)
    joint = next(j for j in design.joints if j.b == "bar")
    assert laid.bar is not None
    gaps = mesh_gaps(design, joint)
    assert len(gaps) == math.ceil(60 / (math.pi * 2) * 12 / 5) + 1
    for area, gap in gaps:
        assert area == 0.0
        assert gap == pytest.approx(laid.bar.mesh.play_mm / 2.0, abs=0.005)
    x, y = laid.bar.along
    for along, out, said in (
        (0.0, -1.5, "60.0 mm their teeth overlap"),
        (0.0, 0.3, "the gap between"),
        (math.pi, 0.0, "overlap"),
    ):
        off = moved(design, (along * x + out * y, along * y - out * x, 0.0))
        assert [said in f.why for f in judge_mesh(off, joint)] == [True]
    assert isinstance(joint.by, BarMesh)
    for travel in (laid.bar.mesh.long_mm + 10.0, 300.0):  # out of teeth, by a little and by far
        said = next(iter(judge_mesh(design, replace(joint, by=replace(joint.by, travel_mm=travel)))))
        assert (said.level, "the gap between" in said.why) == ("stop", True)


def test_a_bar_of_two_stages_meets_the_last_wheel_at_its_height() -> None:
    design = build_gearbox(
        ordered(SMALL.replace("[[18, 27]]", "[[18, 45], [18, 54]]\nangle = 50\nhub = 18") + "\n".join(BAR))
    )
    assert design.instance("bar").origin[2] == design.instance("gear-4").origin[2]
    assert [f for j in design.joints if j.kind == "gear mesh" for f in judge_mesh(design, j)] == []


def test_the_force_of_a_bar_its_guide_and_its_travel_by_hand() -> None:
    order = added(*BAR)
    found, spec = figures(order)
    bar = found.bar
    assert bar is not None
    force = 0.1 * 27 / 18 * 1e3 / 27.0  # torque of the last shaft over half of 27 x 2 mm
    assert (bar.force, bar.apart) == (pytest.approx(force), pytest.approx(force * math.tan(math.radians(20))))
    assert bar.stress == pytest.approx(force / (5.9 * 2.0 * bar.form_factor))
    assert bar.a_turn == pytest.approx(math.pi * 54)
    assert bar.speed == pytest.approx(math.pi * 0.054 * 20 / 60)
    wheel = found.gears[-1]
    assert wheel.allowed == pytest.approx(0.7 * found.allowed)  # bent both ways
    assert bar.limit_force == pytest.approx(min(5.0 * bar.form_factor, 3.5 * wheel.form_factor) * 5.9 * 2.0)
    assert found.shafts[-1].force == pytest.approx(found.stages[-1].force + force / math.cos(math.radians(20)))
    said = list(gear_findings(found, spec))
    assert [(f.level, f.where) for f in said] == [("care", "bar")]
    assert "what guides the bar" in said[0].why
    taken = bar.taken  # grown by 0.3 % and 10 K, between axis and back: 27 + 2.5 + 10 mm
    assert taken.growth == pytest.approx(2 * math.sin(math.radians(20)) * bar.distance * 0.0037)
    assert (bar.distance, bar.out) == (pytest.approx(39.5 / (1 - 0.0037)), pytest.approx(bar.distance * 0.0037))
    assert 0.05 <= bar.play_grown < 0.053


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("torque = 0.1", "torque = 0.6", "along it, not"),
        ("speed = 30", "speed = 700", "it runs at"),
        ("torque = 0.1\nspeed = 30", "torque = 0.2\nspeed = 500", "friction of both its meshes"),
        ("teeth = [[18, 27]]", "teeth = [[27, 14]]\nshift = [[0, 0]]\nshaft = 4\nhub = 12", "last wheel and bar"),
    ],
)
def test_what_is_wrong_with_a_bar_is_found(old: str, new: str, said: str) -> None:
    found, spec = figures(ordered(SMALL.replace(old, new) + "\n".join(BAR)))
    assert any(said in f.why + f.where and f.level == "stop" for f in gear_findings(found, spec))


def test_a_gearbox_with_a_bar_is_never_proven() -> None:
    """By the starter's own sheet, whose teeth are thinner, and its gauge."""
    order = ordered(starter("gearbox") + "\n".join(BAR))
    found = examine(order, [c for c in kind("gearbox").checks() if c.name in ("strength", "gauge")])
    report = found.report
    assert report["checks"]["strength"] == "not-proven"
    assert report["verdict"] == "not-proven"
    assert report["until"] == ["what guides the bar is made and proven"]
    told = [str(block) for block in gear_blocks(report, "mm")]
    assert any("bent both ways, they may be bent with 3.5 MPa" in text for text in told)
    assert not any("once round by the crank" in text for text in told)  # it would run out of teeth
    row = report["gauges"][-1]
    assert row["gear"] == "bar"
    assert row["pins"][0] < laid_out(order).bar.mesh.over_pin_mm(row["pin"]) < row["pins"][1]  # type: ignore[union-attr]


def test_grown_wheels_keep_the_play_that_is_said_with_full_tips() -> None:
    """Outlines scaled by what damp and warmth add, on the shafts as they are: no tip comes near a fillet."""
    from shapely import Polygon
    from shapely.affinity import rotate, scale, translate

    order = ordered(starter("gearbox"))
    for stage in make_train(order, table(order), 10.0).stages:
        at, k = stage.pair, 1.0 + stage.strain
        flat = [
            scale(Polygon(gear_loop(one, 0.0002).points(0.0001)), k, k, origin=(0, 0)) for one in (at.first, at.second)
        ]
        half = math.pi / at.second.teeth * (1 - at.second.teeth % 2)
        gaps = []
        for step in range(9):
            roll = math.tau / at.first.teeth * step / 8.0
            one = rotate(flat[0], roll, origin=(0, 0), use_radians=True)
            other = rotate(flat[1], half - roll / at.ratio, origin=(0, 0), use_radians=True)
            gaps.append(one.distance(translate(other, at.centre_mm)))
        assert min(gaps) == pytest.approx(grown(at, stage.strain, 0.0).play.normal_mm / 2.0, abs=0.002)
        assert stage.strain > 0.003
