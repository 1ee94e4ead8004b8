"""Templates of what a mount is bolted to: on either side, the right way round; what stands in the way; what standoffs need."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import ezdxf
import pytest
from test_prop_mount import GRID, PLATE, RISER, SPACER, START, ordered

from assemblies.design.model import Joint, Posts
from assemblies.examine import Examined, examine
from assemblies.fit.running import judge_posts
from assemblies.kinds import kind
from assemblies.kinds.prop_mount.build import build_prop_mount
from assemblies.order import OrderError
from assemblies.packet.bench.counterpart_template import write_counterpart
from assemblies.packet.models.hardware import hardware
from assemblies.shop.drill.counterpart import Counterpart, counterparts, template_names
from parts.shape.kernel import place, volume_mm3
from parts.shape.solid import body
from parts.stock.mounting import pattern, pattern_names
from parts.stock.thread import clearance, thread

ODD = "pattern = [[-22, -14], [20, -9], [5, 16]]"  # no mirror image or turn of it is itself


@cache
def shop(text: str) -> Examined:
    names = ("build", "fit", "apart", "bond", "buying", "drill", "counterpart")
    return examine(ordered(text), [check for check in kind("prop-mount").checks() if check.name in names])


def sides(text: str) -> dict[str, Counterpart]:
    return {one.name: one for one in counterparts(build_prop_mount(ordered(text)))}


def back(one: Counterpart, at: tuple[float, float], text: str) -> tuple[float, float, float]:
    """A place of a template in the world, by one's own eyes: standing in the mount, looking at the other part."""
    placed = build_prop_mount(ordered(text)).instance(one.plates[0])
    (x0, y0, z0), (x1, _, z1) = placed.box
    u, v = at
    return {"bottom": (x0 + u, y0 + v, z0), "top": (x1 - u, y0 + v, z1), "front": (x1 - u, y0, z0 + v)}[one.face]


@pytest.mark.parametrize("text", [START, SPACER, RISER, PLATE])
@pytest.mark.parametrize("turn", [0, 30])
def test_a_pin_through_each_hole_of_a_template_goes_through_the_mount_where_it_stands(text: str, turn: int) -> None:
    """By the kernel: a pin as thick as the thread, set up in the world where the template shows it, meets none of the solid."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    text = text.replace(GRID, f"{ODD}\nturn = {turn}").replace('pattern = "grid 30 2x2"', f"{ODD}\nturn = {turn}")
    design = build_prop_mount(ordered(text))
    found = sides(text)
    stands = "front" if any(p.name == "upright" for p in design.placed) else "top"
    assert {name: one.face for name, one in found.items()} == {"rig": "bottom", "prop": stands}
    for name, one in found.items():
        placed = design.instance(one.plates[0])
        solid = body(placed.piece).Moved(place(placed.origin, placed.x, placed.z))
        assert len(one.holes) == (4 if "grid 80" in text and name == "prop" else 3)
        for hole in one.holes:
            x, y, z = back(one, hole.at, text)
            way = (0.0, 1.0, 0.0) if one.face == "front" else (0.0, 0.0, 1.0)
            start = [c - 50.0 * w for c, w in zip((x, y, z), way, strict=True)]
            axis = gp_Ax2(gp_Pnt(*start), gp_Dir(*way))
            pin = BRepPrimAPI_MakeCylinder(axis, hole.diameter / 2.0, 100.0).Shape()
            assert volume_mm3(BRepAlgoAPI_Common(pin, solid).Shape()) == pytest.approx(0.0, abs=1e-6)


def named(name: str) -> str:
    thick = PLATE.replace("thickness = 10 ", "thickness = 15 ").replace("[9.85, 9.90, 9.88]", "[14.8, 14.9, 14.9]")
    thick = re.sub(r'thread  = "M6"\nholes [^\n]*\n', "", thick.replace(GRID, f'pattern = "{name}"'))
    return thick.replace("size    = [120, 100]", "size = [300, 300]").replace('"grid 80 2x2"', '"grid 240 2x2"')


@pytest.mark.parametrize("name", pattern_names())
def test_the_template_of_a_standard_is_the_standard(name: str) -> None:
    """Below the mount, seen from it: the standard's own face as it looks at us; threads, holes and boss as it has them."""
    one, found = sides(named(name))["rig"], pattern(name)
    standard = sorted((round(150.0 - x, 5), round(150.0 + y, 5)) for x, y in found.centres)
    assert sorted(h.at for h in one.holes) == [pytest.approx(p, abs=1e-4) for p in standard]
    screw = thread(found.thread)  # type: ignore[arg-type]
    wide = found.counterpart_hole_mm or clearance(screw).diameter_mm
    made = ("tapped", screw.major_mm) if found.counterpart == "tapped" else ("clearance", wide)
    assert {(h.made, h.diameter) for h in one.holes} == {made}
    bosses = [m.loop.bounds_mm for m in one.marks if m.what == "boss"]
    half = (found.boss_mm or 0.0) / 2.0
    assert bosses == ([pytest.approx((150 - half, 150 - half, 150 + half, 150 + half))] if half else [])


def test_files_have_holes_slots_seats_and_heads(tmp_path: Path) -> None:
    text = PLATE.replace("locked  = true", "locked = true\nslot = 8\nseat = [60, 50]", 1)
    found = counterparts(build_prop_mount(ordered(text)))
    assert template_names(found) == ["counterpart-rig", "counterpart-prop"]
    for one, name in zip(found, template_names(found), strict=True):
        write_counterpart(one, name, tmp_path)
        document = ezdxf.readfile(tmp_path / f"{name}.dxf")  # type: ignore[attr-defined]
        drilled = [e for e in document.modelspace() if e.dxf.layer == "drill"]
        assert len(drilled) == 4
        marked = [e for e in document.modelspace() if e.dxf.layer == "mark"]
        assert len(marked) == 1 + len(one.marks)  # and the plate
    rig, prop = found
    assert sorted(m.what for m in rig.marks) == ["head"] * 4 + ["seat"] + ["slot"] * 4
    assert [m.what for m in prop.marks] == ["head"] * 4
    for mark in prop.marks:  # heads that slide with their slots: a washer of 13 mm, 8 mm of travel
        x0, y0, x1, y1 = mark.loop.bounds_mm
        assert (x1 - x0, y1 - y0) == pytest.approx((21.0, 13.0))


def test_a_rail_has_nuts_in_its_slots_and_nothing_is_drilled() -> None:
    text = START.replace(GRID, 'pattern = "T-slot 40 2x1"').replace('thread  = "M6"', 'thread  = "M8"')
    assert {h.made for h in sides(text)["rig"].holes} == {"slot-nut"}


def test_heads_under_the_prop_are_said_and_those_clear_of_its_seat_are_not() -> None:
    assert any("stand 6.8 mm out of it where the prop lies" in f.why for f in build_prop_mount(ordered(PLATE)).findings)
    clear = PLATE.replace("locked  = true\n\n[prop-mount.prop]", "locked = true\nseat = [50, 50]\n\n[prop-mount.prop]")
    assert not any("what moves it lies" in f.why for f in build_prop_mount(ordered(clear)).findings)
    assert not any(
        "stand" in f.why for f in build_prop_mount(ordered(PLATE.replace('"clearance"', '"tapped"'))).findings
    )


def test_a_spacer_goes_together_and_its_standoffs_and_screws_are_bought_and_seen() -> None:
    found = shop(SPACER)
    assert found.report["checks"]["fit"] == "passed"
    buying = found.report["buying"]
    assert [(p["amount"], "standoff" in p["item"]) for p in buying["parts"]] == [(4, True)]
    screws = [b for b in buying["bolts"] if b["item"].startswith("screw M5")]
    assert [(b["count"], b["length"]) for b in screws] == [(4, 20.0)] * 2  # 9.9 of sheet, 1 of washer, at most 10 in it
    kinds = [b.kind for b in hardware(found.design, None)]
    assert (kinds.count("standoff"), kinds.count("bolt")) == (4, 16)


@pytest.mark.parametrize(
    ("wrong", "why"), [({"long_mm": 49.0}, "stand 50.000 mm apart"), ({"at": ((0.0, 0.0, 30.0),)}, "no hole")]
)
def test_standoffs_that_do_not_fit_are_stopped(wrong: dict[str, object], why: str) -> None:
    design = build_prop_mount(ordered(SPACER))
    (joint,) = design.joints
    assert isinstance(joint.by, Posts)
    assert not list(judge_posts(design, joint))
    by = Posts(**{"at": joint.by.at, "long_mm": 50.0, "wide_mm": 12.0, **wrong})  # type: ignore[arg-type]
    said = list(judge_posts(design, Joint(a="base", b="top", kind="standoffs", by=by)))
    assert said
    assert all(f.level == "stop" and why in f.why for f in said)


@pytest.mark.parametrize("metal", ['let-in = "nut"', 'let-in = "insert"\ninsert = [6, 9, 1.5]'])
def test_a_hole_that_comes_out_in_its_pocket_is_drilled_right_through(metal: str) -> None:
    text = START.replace('holes   = "clearance"\nat      = [0, 10]\nrefits', f"{metal}\nat      = [0, 10]\nrefits")
    assert text != START
    report = shop(text).report
    (sheet,) = [sheet for sheet in report["drill"] if sheet["part"] == "upright"]
    assert len(sheet["holes"]) == 4
    assert not [f for f in report["findings"] if f["check"] == "drill"]


def test_the_screw_of_a_camera_is_not_bought() -> None:
    found = shop(named("ISO 1222 1/4"))
    assert not any("1/4-20" in b["item"] for b in found.report["buying"]["bolts"])


OF_RIG = 'thread  = "M6"\nholes   = "clearance"'


@pytest.mark.parametrize(("text", "changes", "why"), [
    (START, {GRID: ODD, 'thread  = "M6"\n': ""}, "places do not say their thread"),
    (START, {GRID: "pattern = [[0, 0], [0, 0]]"}, "given twice"),
    (START, {GRID: "pattern = [[0, 0, 1], [2, 3, 4]]"}, "no place"),
    (START, {GRID: "pattern = [[-90, 0], [90, 0]]"}, "edge"),
    (START, {GRID: 'pattern = "T-slot 25 2x1"'}, "no T-slot rail of grid 25 mm"),
    (START, {GRID: 'pattern = "T-slot 20 2x1"'}, "does not go in"),
    (START, {GRID: 'pattern = "VESA 90"'}, "pattern"),
    (START, {GRID: 'pattern = "NEMA 23"'}, "does not go through"),
    (START, {GRID: 'pattern = "ISO 9409-1-50-4-M6"', 'thread  = "M6"': 'thread = "M5"'}, "is screwed with M6"),
    (START, {GRID: 'pattern = "ISO 1222 1/4"\nlet-in = "nut"', OF_RIG: ""}, "does not reach a nut"),
    (SPACER, {"height = 50": "height = 8"}, "less than its diameter"),
    (SPACER, {'standoffs = "grid 70 2x2"': 'standoffs = "grid 44 2x2"'}, "stands in a standoff"),
    (SPACER, {'standoffs = "grid 70 2x2"': "standoffs = [[-40, 0], [40, 0]]"}, "do not stand by themselves"),
    (SPACER, {"standoff = 12": "standoff = 6"}, "leaves no wall"),
])  # fmt: skip
def test_a_wrong_other_part_is_refused_with_one_clear_error(text: str, changes: dict[str, str], why: str) -> None:
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(OrderError) as refused:
        build_prop_mount(ordered(text))
    assert len(refused.value.problems) == 1, str(refused.value)
    assert why in str(refused.value)
