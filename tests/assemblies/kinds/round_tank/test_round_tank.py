"""Round tanks: what is refused, where pieces stand, what they hold, what packets say of tubes."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh
from asked import ask
from round_orders import START, built

from assemblies.fit.seams import seams
from assemblies.kinds import schemas
from assemblies.liquid.state import LiquidState
from assemblies.order import OrderError, read_order_text
from parts.shape.mesh import mesh

EXTRAS = START.replace("# [round-tank.ring]", "[round-tank.ring]").replace("# outside = 230", "outside = 230")
MOTOR = '\n[round-tank.motor]\npattern = "NEMA 23"\nmass = 0.7\nboss = 70\nthickness = 12\n'


WRONG: Mapping[str, tuple[str, str, str]] = {
    "a wall of half the outside": ("wall    = 5", "wall    = 100", "round-tank.measured-wall"),
    "readings of one alone": ("measured-wall    = [4.9, 5.1, 5.0]", "", "round-tank.measured-wall"),
    "a diameter in the wrong unit": ("[200.1, 199.8, 199.9]", "[7.87]", "round-tank.measured-outside"),
    "a base of a kind that is none": ('base    = "under"', 'base    = "over"', "round-tank.base"),
    "a disc in the bore with a flange": ('base    = "under"', 'base    = "inset"', "no flange"),
    "no depth": ("depth   = 300", "", "round-tank.depth"),
    "a depth below nothing": ("depth   = 300", "depth = -3", "round-tank.depth"),
    "a bolt circle on the tube": ("circle  = 240", "circle  = 205", "do not stand between"),
    "a bolt circle off the base": ("circle  = 240", "circle  = 268", "do not stand between"),
    "a flange inside the tube": ("outside = 270", "outside = 190", "do not stand between"),
    "bolts that meet": ("bolts   = 6", "bolts   = 24", "\x00"),
    "two bolts": ("bolts   = 6", "bolts   = 2", "round-tank.flange.bolts"),
    "a bolt thread that is none": ('thread  = "M6"', 'thread  = "Q6"', "round-tank.flange.thread"),
    "a drain through the tube": ("at     = [66, 0]", "at     = [85, 0]", "beyond the bore"),
    "a drain boss smaller than its thread": ("boss   = 54", "boss   = 12", "round-tank.drain.boss"),
    "a drain boss too thin for any thread": ("thickness = 20", "thickness = 2", "finds no thread"),
    "flat on its boss": ('kind = "plates" ', 'kind = "flat" ', "cannot stand flat"),
    "bolted down without a flange": ("[round-tank.flange]", "[round-tank.frange]", "frange"),
    "a chosen thickness": ("thickness = 10 ", 'thickness = "choose" ', "sheet"),
    "a motor that is tapped itself": ("[liquid]", MOTOR.replace("NEMA 23", "NEMA 17") + "[liquid]", "round-tank.motor.pattern"),
    "a motor boss on the drain's": ("[liquid]", MOTOR.replace("boss = 70", "boss = 110") + "[liquid]", "mm apart"),
    "a motor without its mass": ("[liquid]", MOTOR.replace("mass = 0.7\n", "") + "[liquid]", "round-tank.motor.mass"),
    "a motor pattern that is none": ("[liquid]", MOTOR.replace("NEMA 23", "NEMO 23") + "[liquid]", "motor.pattern"),
    "a ring that leaves the end bare": ("[liquid]", "[round-tank.ring]\noutside = 195\n[liquid]", "does not cover"),
    "filled over the rim": ('fill  = "250 mm"', 'fill  = "400 mm"', "liquid.fill"),
    "panels of a box": ("[liquid]", '[[panel]]\nname = "front"\nthickness = 6\n[liquid]', "panel"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_orders_are_refused_at_their_place(what: str) -> None:
    old, new, says = WRONG[what]
    assert START.count(old) >= 1
    text = START.replace(old, new, 1)
    if what == "a flange inside the tube":
        text = START.replace("outside = 270", new)
    if what == "bolts that meet":
        text = (
            text.replace("M6", "M12")
            .replace("circle  = 240", "circle  = 260")
            .replace("outside = 270", "outside = 330")
        )
        says = "mm apart"
    with pytest.raises(OrderError, match=says.replace(".", r"\.")):
        ask(read_order_text(text, schemas()), "hold")


def test_pieces_stand_on_one_another_and_their_seams_are_rings() -> None:
    """By hand: the tube's end is pi (200 - 5) long at the mean and 5 wide; a boss's face is a disc less its bore."""
    design = built(EXTRAS)
    found = {(s.a, s.b): s for s in seams(design)}
    assert set(found) == {("base", "tube"), ("tube", "ring"), ("base", "drain-boss")}
    tube = design.instance("tube").piece.sheet.tube
    ring = found["base", "tube"]
    assert ring.length_mm == pytest.approx(math.pi * (tube.outside_mm - tube.wall_mm), rel=2e-3)
    assert ring.area_mm2 == pytest.approx(math.pi * (tube.outside_mm - tube.wall_mm) * tube.wall_mm, rel=5e-3)
    assert ring.width_mm == pytest.approx(tube.wall_mm, rel=5e-3)


def test_the_end_of_a_tube_is_a_cut_edge_and_its_gap_is_not_nothing() -> None:
    """The order's squareness and repeat: 0.02 + 0.03 mm."""
    fit = ask(read_order_text(START, schemas()), "fit").fit
    assert fit is not None
    gap = next(s.gap for s in fit.seams if {s.seam.a, s.seam.b} == {"base", "tube"})
    assert gap.max == pytest.approx(0.05, abs=1e-9)


def test_a_disc_in_the_bore_waits_for_readings_and_then_fits_it() -> None:
    head, _, rest = START.partition("[round-tank.flange]")
    text = head.replace('"under"  ', '"inset"  ') + "[liquid]" + rest.partition("[liquid]")[2]
    text = text.replace('kind = "plates"', 'kind = "edges"')
    found = ask(read_order_text(text, schemas()), "hold")
    design = found.design
    base, tube = design.instance("base"), design.instance("tube")
    assert base.piece.size_mm[0] == pytest.approx(tube.piece.sheet.tube.inside_mm)
    assert tube.piece.thickness_mm == pytest.approx(300.0 + base.piece.thickness_mm)
    assert [(s.a_end, s.b_end) for s in seams(design)] == [("round", "round")]
    bare = "\n".join(line for line in text.splitlines() if not line.startswith("measured-"))
    said = ask(read_order_text(bare, schemas()), "hold").made.findings
    assert any(f.level == "stop" and "not measured" in f.why for f in said)


@pytest.mark.parametrize("ring", [False, True])
def test_it_holds_what_its_bore_holds(ring: bool) -> None:
    """By hand: pi r2 h, to the top of the ring; what pours at 30 degrees by Cavalieri: a level cut through the rim."""
    found = ask(read_order_text(EXTRAS if ring else START, schemas()), "hold")
    state = found.made.of(LiquidState)
    assert state is not None
    tube = found.design.instance("tube").piece.sheet.tube
    deep = 300.0 + (found.design.instance("ring").piece.thickness_mm if ring else 0.0)
    radius = tube.inside_mm / 2.0
    assert state.capacity_l == pytest.approx(math.pi * radius**2 * deep / 1e6, rel=1e-9)
    kept = next(k.kept_l for k in state.at_tilt if k.toward == "right" and k.tilt_deg == 30.0)
    by_hand = math.pi * radius**2 * (deep - radius * math.tan(math.radians(30.0))) / 1e6  # mean height of the cut
    assert kept == pytest.approx(min(by_hand, state.fill_l), rel=1e-9)


def test_pieces_and_cavity_fill_the_outside() -> None:
    """By trimesh: tube, base and liquid together make the cylinder of the tube over the base."""
    design = built(START)
    tube, base = design.instance("tube").piece, design.instance("base").piece
    for piece in (tube, base):
        made = mesh(piece)
        read = trimesh.Trimesh(np.array(made.points_mm), made.triangles, process=True, merge_norm=True)
        assert read.is_watertight
        assert read.volume == pytest.approx(piece.volume_mm3, rel=1e-3)  # chords
    cylinder = design.cavities[0].cylinder
    assert cylinder is not None
    room = math.pi * cylinder.radius_mm**2 * cylinder.height_mm
    outside = math.pi * tube.sheet.tube.outside_mm**2 / 4.0 * 300.0
    assert room + tube.volume_mm3 == pytest.approx(outside, rel=1e-12)
    assert cylinder.base[2] == pytest.approx(base.thickness_mm)


def test_a_motor_hangs_under_the_middle_with_its_bore_and_threads() -> None:
    apart = START.replace("at     = [66, 0]", "at     = [62, 0]").replace("boss   = 54", "boss   = 40")
    design = built(apart.replace("[liquid]", MOTOR + "[liquid]", 1))
    boss = design.instance("motor-boss")
    assert boss.box[1][2] == pytest.approx(0.0)
    assert len(boss.piece.holes) == 4
    assert all(hole.thread == "M5" and hole.side == "near" for hole in boss.piece.holes)
    (bore,) = boss.piece.outline.inner
    assert 2.0 * bore.radius_mm == pytest.approx(38.3)  # the boss of NEMA 23 and 0.2 mm


def test_what_stands_on_a_flange_does_not_tip_about_its_boss() -> None:
    """The boss moves the centre of mass by little, and the footprint not at all."""
    with_boss = ask(read_order_text(START, schemas()), "hold").made.of(LiquidState)
    head, _, rest = START.partition("[round-tank.drain]")
    without = ask(read_order_text(head + "[liquid]" + rest.partition("[liquid]")[2], schemas()), "hold").made.of(
        LiquidState
    )
    assert with_boss is not None
    assert without is not None
    assert with_boss.tips_at_deg == pytest.approx(without.tips_at_deg, abs=1.0)
    assert without.tips_at_deg is not None
    assert 40.0 < without.tips_at_deg < 55.0


def test_the_packet_says_where_the_tube_is_sawn_and_has_no_sheet_for_it(packet: Path) -> None:
    report = json.loads((packet / "report.json").read_text(encoding="utf-8"))
    assert report["verdict"] == "go", report["findings"]
    (row,) = report["tubes"]
    assert (row["name"], row["count"], row["length"]) == ("tube", 1, 302.5)
    assert not (packet / "profiles" / "tube.dxf").exists()
    assert (packet / "drawings" / "tube.pdf").stat().st_size > 1000
    cut = [p["name"] for sheet in report["nesting"]["sheets"] for p in sheet["placed"]]
    assert sorted(cut) == ["base", "drain-boss", "lid", "ring"]
    disc = ezdxf.readfile(packet / "profiles" / "base.dxf")
    circles = [e for e in disc.modelspace() if e.dxftype() == "CIRCLE"]
    assert len(circles) == 10  # the rim, six bolts, the drain, the groove
    holes = [c.dxf.center for c in circles if abs(c.dxf.radius - 3.3) < 0.01]
    assert [round(math.hypot(c.x - 135.0, c.y - 135.0), 6) for c in holes] == [120.0] * 6


def test_a_round_tank_through_another_proof_is_no_pass() -> None:
    """The method of round tanks refuses what is no tube on a disc."""
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.round.checks import round_tank_of
    from parts.findings import NotCovered

    made = ask(read_order_text(START, schemas()), "hold").made
    loads = made.of(Loads)
    assert loads is not None
    bare = replace(made.design, placed=tuple(p for p in made.design.placed if p.name != "tube"))
    with pytest.raises(NotCovered, match="tube bonded to a disc"):
        round_tank_of(bare, loads)
