"""The kind `gearbox`: what it refuses, what its judges and checks find, and that the starter's packet is whole.

Figures beside the code's: Lewis's rule written out, shapely for gaps and overlaps, kinematics by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import Polygon

from assemblies.design import Bore, Design, Joint, Mesh
from assemblies.examine import examine
from assemblies.fit.apart.explode import explode
from assemblies.fit.check import check_fit
from assemblies.fit.checks import fit_rules
from assemblies.fit.running import judge_bores, judge_mesh, mesh_gaps
from assemblies.kinds import kind, schemas, starter
from assemblies.kinds.gearbox.build import build_gearbox, laid_out
from assemblies.kinds.gearbox.checks import gear_findings
from assemblies.kinds.gearbox.figures import gear_figures
from assemblies.order import Order, OrderError, read_order_text
from parts.findings import NotCovered
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


def edited(old: str, new: str) -> Order:
    assert old in SMALL
    return ordered(SMALL.replace(old, new, 1))


def added(*lines: str) -> Order:
    return ordered(SMALL + "\n".join(lines) + "\n")


@pytest.fixture(scope="module")
def design() -> Design:
    return build_gearbox(ordered())


WRONG = [
    ("module = 2", "module = 2.1", "no module of ISO 54"),
    ("teeth = [[18, 27]]", "teeth = [[4, 27]]", "5 to 400"),
    ("teeth = [[18, 27]]", "teeth = [[18.5, 27]]", "whole number"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27], [18, 27], [18, 27]]", "3 stages"),
    ("teeth = [[18, 27]]", "", "has no teeth"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nratio = 3", "teeth and ratio are both given"),
    ("teeth = [[18, 27]]", "ratio = 60\nstages = 1", "no pair of gears"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nstages = 2", "is of the search for a ratio"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nshift = [[0, 0], [0, 0]]", "2 stages of shift for 1 of teeth"),
    ("teeth = [[18, 27]]", "teeth = [[9, 27]]\nshift = [[1.4, 0]]", "come to a point"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\ncentre = 40", "below the sum of the base radii"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\ncentre = 52", "only with shifts of"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\ncentre = 45\nshift = [[0, 0]]", "a centre distance sets the shifts"),
    ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nangle = 30", "no second to turn aside"),
    ("teeth = [[18, 27]]", "teeth = [[18, 54], [18, 54]]\nangle = 170", "would come within"),
    ("module = 2", 'gears = "internal"\nmodule = 2', "internal gears are not made here"),
    ("module = 2", 'gears = "worm"\nmodule = 2', "worms are not made here"),
    ("module = 2", 'gears = "straight"\nmodule = 2', "is given besides as [gearbox.bar]"),
    ("module = 2", 'gears = "helical"\nmodule = 2', "helical teeth are not made here"),
    ("module = 2", "module = 1", "its hub 18 mm"),
    ("plates = 10", "plates = 10\nshaft = 4\ndrive = \"key\"", "no key is made for a shaft of 4 mm"),
    ("plates = 10", "plates = 3", "it would reach the gears"),
    ("plates = 10", "plates = 10\nhub = 7", "a hub of 7 mm on a shaft of 6 mm"),
    ("plates = 10", "plates = 10\nshaft = 7", "a shaft of 7 mm is not known here"),
    ("teeth = [[18, 27]]", "teeth = [[16, 20]]", "would overlap"),
    ("torque = 0.1", "torque = -1", "over 0"),
    ("[sheet]\nthickness = 6\nmeasured = [5.9]", '[sheet]\nthickness = "choose"', "is not chosen here"),
    ("[gearbox]", '[liquid]\nfill = "1 L"\n[gearbox]', "holds no liquid"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), WRONG)
def test_a_wrong_order_is_refused_with_one_clear_error(old: str, new: str, said: str) -> None:
    with pytest.raises(OrderError) as refused:
        build_gearbox(edited(old, new))
    assert len(refused.value.problems) == 1
    assert said in str(refused.value)


def test_a_ratio_is_searched_and_what_was_chosen_is_said() -> None:
    order = edited("teeth = [[18, 27]]", "ratio = 12\nstages = 2\nfewest = 18\nmost = 72")
    laid = laid_out(order)
    assert math.prod(s.pair.second.teeth / s.pair.first.teeth for s in laid.train.stages) == pytest.approx(12.0)
    assert next(f.why for f in laid.train.findings if f.check == "build").startswith(
        "teeth chosen for the ratio 12: 18/"
    )


def test_a_centre_distance_is_met_by_shift_and_the_pinion_is_spared_from_undercut() -> None:
    laid = laid_out(edited("teeth = [[18, 27]]", "teeth = [[14, 30]]\ncentre = 45"))
    pair = laid.train.stages[0].pair
    assert pair.centre_mm == pytest.approx(45.0)
    assert math.dist(*laid.train.shafts) == pytest.approx(45.0)
    assert pair.first.shift >= 1.0 - 14 * math.sin(math.radians(20)) ** 2 / 2 - 1e-4


def test_teeth_are_thinned_so_that_growth_taper_and_cutting_leave_what_must_be_left() -> None:
    """By the grown pair itself: what is left after growth is all that taper, cutting, bearings and the least may take."""
    stage = laid_out(ordered()).train.stages[0]
    left = grown(stage.pair, stage.strain, 0.0).play.normal_mm
    taken = stage.taken
    assert left == pytest.approx(taken.taper + taken.cut + taken.bearings + taken.left, abs=2e-3)
    assert stage.strain == pytest.approx(0.003 + 10 * 7e-5)
    assert taken.growth == pytest.approx(2 * 45 * stage.strain * math.sin(math.radians(20)), rel=0.03)


def test_no_taper_is_taken_of_a_router() -> None:
    laser = laid_out(ordered(SMALL.replace("taper = 0.1\n", "")))
    router = laid_out(ordered(SMALL.replace("taper = 0.1\n", "").replace('"laser"', '"router"')))
    assert laser.train.stages[0].taken.taper == pytest.approx(0.25 * math.cos(math.radians(20)))
    assert router.train.stages[0].taken.taper == 0.0
    assert {t.say for t in laser.train.taken} >= {"[gearbox] taper", "[gearbox] warmer", "[gearbox] humidity-growth"}


def mesh_of(design: Design) -> Joint:
    return next(j for j in design.joints if j.kind == "gear mesh")


def test_the_mesh_keeps_half_its_backlash_all_through_a_pitch(design: Design) -> None:
    joint = mesh_of(design)
    half = laid_out(ordered()).train.stages[0].pair.play.normal_mm / 2.0
    for area, gap in mesh_gaps(design, joint):
        assert area == 0.0
        assert gap == pytest.approx(half, abs=0.01)
    assert list(judge_mesh(design, joint)) == []


def moved(design: Design, name: str, by: tuple[float, float, float]) -> Design:
    placed = tuple(
        replace(p, origin=tuple(a + b for a, b in zip(p.origin, by, strict=True))) if p.name == name else p
        for p in design.placed
    )
    return replace(design, placed=placed)


@pytest.mark.parametrize(
    ("by", "said"),
    [((-1.0, 0.0, 0.0), "overlap"), ((0.3, 0.0, 0.0), "the gap between"), ((0.0, 0.0, 20.0), "different heights")],
)
def test_a_mesh_that_is_off_is_a_stop(design: Design, by: tuple[float, float, float], said: str) -> None:
    off = moved(design, "gear-2", by)
    joint = mesh_of(off)
    assert isinstance(joint.by, Mesh)
    axes = joint.by.axes[0], tuple(a + b for a, b in zip(joint.by.axes[1], by, strict=True))
    found = list(judge_mesh(off, replace(joint, by=replace(joint.by, axes=axes))))
    assert [f.level for f in found] == ["stop"]
    assert said in found[0].why
    joint = replace(joint, by=replace(joint.by, axes=axes))
    whole = check_fit(replace(off, joints=(*off.joints[:-1], joint)), fit_rules(ordered()), solids=False)
    assert any(said in f.why for f in whole.findings)


def test_bores_off_their_axis_or_pressed_in_are_stops(design: Design) -> None:
    joint = next(j for j in design.joints if j.kind == "bore fit")
    assert isinstance(joint.by, Bore)
    assert list(judge_bores(design, joint)) == []
    pressed = replace(joint, by=replace(joint.by, into_mm=(19.2, 6.0)))
    assert "pressed in, PMMA crazes" in next(iter(judge_bores(design, pressed))).why
    assert "no bore on the axis" in next(iter(judge_bores(moved(design, joint.b, (0.5, 0.0, 0.0)), joint))).why
    with pytest.raises(NotCovered):
        list(judge_bores(design, replace(joint, by=None)))
    with pytest.raises(NotCovered):
        mesh_gaps(design, replace(joint, kind="gear mesh", by=None))


def test_flats_of_one_shaft_are_in_line_and_its_gears_in_mesh() -> None:
    """Two stages at an angle: the flat of each bore looks the same way in the world, and every pair runs."""
    design = build_gearbox(edited("teeth = [[18, 27]]", "teeth = [[18, 45], [18, 54]]\nangle = 50\nhub = 18"))
    flats = set()
    for placed in design.placed:
        if placed.piece.kind in ("gear", "hub"):
            bore = next(loop for loop in placed.piece.outline.inner if hasattr(loop, "vertices"))
            a, b = (placed.world(v.x_mm, v.y_mm, 0.0) for v in bore.vertices)
            flats.add((round(a[0] - b[0], 6), round(a[1] - b[1], 6)))
    assert len(flats) == 1
    joints = [j for j in design.joints if j.kind == "gear mesh"]
    assert len(joints) == 2
    assert [f for j in joints for f in judge_mesh(design, j)] == []


def test_posts_stand_clear_of_gears_and_on_the_plate(design: Design) -> None:
    gears = [
        Polygon([p.world(u, v, 0.0)[:2] for u, v in p.piece.outline.outer.points(0.01)])
        for p in design.placed if p.piece.kind == "gear"
    ]  # fmt: skip
    base = design.instance("base-plate").box
    for placed in design.placed:
        if placed.name.startswith("post"):
            (x0, y0, _), (x1, y1, _) = placed.box
            assert base[0][0] < x0 < x1 < base[1][0]
            assert base[0][1] < y0 < y1 < base[1][1]
            ring = Polygon([placed.world(u, v, 0.0)[:2] for u, v in placed.piece.outline.outer.points(0.01)])
            assert min(ring.distance(g) for g in gears) >= 2.0 - 0.02


def test_it_comes_apart_along_its_shafts_and_screws(design: Design) -> None:
    exploded = explode(design)
    assert exploded.findings == ()
    ways = {s.name: s.direction for s in exploded.steps}
    assert all(abs(ways[p.name][2]) == 1.0 for p in design.placed if not p.name.startswith("foot"))
    order = [s.name for s in exploded.steps]
    assert order.index("gear-1") < order.index("top-plate")


def figures(order: Order):  # type: ignore[no-untyped-def]
    laid = laid_out(order)
    return gear_figures(laid, build_gearbox(order)), laid.spec


def test_teeth_and_torque_by_lewis_written_out() -> None:
    found, _ = figures(edited("teeth = [[18, 27]]", "teeth = [[18, 45], [18, 54]]\nangle = 50"))
    first, last = found.gears[0], found.gears[-1]
    force = 2 * 100.0 / 36.0  # N mm over the reference diameter
    assert first.force == pytest.approx(force)
    assert first.stress == pytest.approx(force / (5.9 * 2.0 * first.form_factor))
    assert last.torque == pytest.approx(0.1 * 45 / 18 * 54 / 18)
    assert last.speed == pytest.approx(30 * 18 / 45 * 18 / 54)
    assert first.limit_torque == pytest.approx(5.0 * 5.9 * 2.0 * first.form_factor * 18e-3)
    middle = found.shafts[1]
    assert middle.limit_torque == min(g.limit_torque for g in found.gears[1:3])
    assert middle.force == pytest.approx(sum(s.force for s in found.stages))
    assert found.stages[0].speed == pytest.approx(
        math.pi * 0.036 * 1.0037 * 30 / 60, rel=1e-6
    )  # laid out by 0.37 % of growth
    span, across = 5 * 5.9 + 10.0, 5.5  # five rings and a plate; a 6 mm shaft over its flat (gear_shafts)
    bending, twist = middle.force * span / 4.0, middle.torque * 1e3
    section = math.pi * across**3 / 32.0  # round; von Mises of bending and twist: any text on strength of materials
    assert middle.stress == pytest.approx(math.hypot(bending / section, math.sqrt(3.0) * twist / (2.0 * section)))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("torque = 0.1", "torque = 0.4", "its teeth are bent with"),
        ("speed = 30", "speed = 700", "dry PMMA squeaks"),
        ("torque = 0.1\nspeed = 30", "torque = 0.2\nspeed = 500", "friction"),
        ("teeth = [[18, 27]]", "teeth = [[12, 33]]\nshift = [[0, 0]]\nshaft = 5", "undercuts 12 teeth"),
        ("teeth = [[18, 27]]", "teeth = [[12, 60]]\nshift = [[0, 0]]\nshaft = 5", "below the flank of the other"),
        ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nshift = [[1.0, 0.9]]", "contact ratio"),
        ("teeth = [[18, 27]]", "teeth = [[18, 27]]\nshift = [[0.8, 0]]", "thick at the tip"),
        ("plates = 10", "plates = 10\nshaft = 4\nhub = 18", "askew"),
        ("plates = 10", "plates = 10\nshaft = 4\nhub = 18", "bent and twisted"),
    ],
)
def test_what_is_wrong_with_gears_is_found(old: str, new: str, said: str) -> None:
    clean, spec = figures(ordered())
    assert [f for f in gear_findings(clean, spec) if f.level != "note"] == []
    order = edited(old, new)
    if said in ("askew", "bent and twisted"):  # long and thin under much force
        order = ordered(SMALL.replace(old, new).replace("torque = 0.1", "torque = 6"))
    found, spec = figures(order)
    assert any(said in f.why for f in gear_findings(found, spec))


def test_extruded_sheet_carries_half() -> None:
    cast, _ = figures(ordered())
    extruded, _ = figures(edited("[sheet]", '[sheet]\nmaterial = "extruded-pmma"'))
    assert extruded.gears[0].limit_torque == pytest.approx(cast.gears[0].limit_torque / 2.0)


def test_gears_that_hold_up_a_load_are_not_covered() -> None:
    order = added('holds = "a load"')
    checks = [c for c in kind("gearbox").checks() if c.name == "strength"]
    found = examine(order, checks)
    assert found.report["checks"]["strength"] == "not-covered"
    assert found.report["verdict"] != "go"
    assert "creep" in str(found.report["findings"])


def test_bolted_hubs_have_their_screws_and_keys_their_ways() -> None:
    design = build_gearbox(added('hubs = "bolted"', 'drive = "key"'))
    rules = fit_rules(added('hubs = "bolted"'))
    fit = check_fit(design, rules, solids=False)
    assert [f for f in fit.findings if f.level == "stop"] == []
    assert [f.count for f in design.fasteners if f.through[0].startswith("gear")] == [3, 3]
    gear = design.instance("gear-1").piece
    assert len(gear.holes) == 3
    assert gear.outline.inner[0].bounds_mm[2] - gear.outline.inner[0].bounds_mm[0] == pytest.approx(6.1 + 1.0, abs=0.2)


def test_the_gauge_lies_between_thickest_and_thinnest_teeth() -> None:
    found = examine(ordered(), [c for c in kind("gearbox").checks() if c.name == "gauge"])
    for row, gear in zip(
        found.report["gauges"], laid_out(ordered()).train.stages[0].pair.__dict__.values(), strict=False
    ):
        drawn = gear.span(row["over"]).over_mm
        assert row["span"][0] < drawn < row["span"][1]
        pins = gear.over_pins(row["pin"]).over_mm
        assert row["pins"][0] < pins < row["pins"][1]
        assert row["pins"][0] > gear.tip_mm


@pytest.mark.slow
def test_the_starter_goes_and_its_solids_run_into_nothing() -> None:
    """The whole examination with solids: no overlap of teeth, bores and flats; cautions, gauges and steps are there."""
    found = examine(ordered(starter("gearbox")))
    report = found.report
    assert report["verdict"] == "go", report["findings"]
    assert report["fit"]["interferences"] == []
    assert {"gears-fingers", "gears-guard"} <= {c["id"] for c in report["cautions"]}
    assert {"gears", "gauges", "cutting", "assembly"} <= set(report) | {"cutting"}
    assert any("ball bearing" in i["item"] for i in report["buying"]["parts"])
    titles = [s.id for s in found.sections] if hasattr(found, "sections") else []
    assert titles == [] or {"gears", "gauge"} <= set(titles)
