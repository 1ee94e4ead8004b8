"""Pieces that stand in the liquid, and strips on the rim: what room is left, by arithmetic and by statics."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from asked import ask
from liquid_shapes import G
from rigs import built, order

from assemblies.design.inside import hollowed
from assemblies.design.model import Placed
from assemblies.kinds import schemas
from assemblies.liquid import box, capacity, depth_for_volume, settle, spill_tilt
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.liquid.shapes.cells import Block
from assemblies.liquid.state import filled
from assemblies.order import read_order_text
from parts.findings import NotCovered, SeamwrightError

RHO = 998.2
CORNERS = tuple(
    Block(name=f"corner-{x}-{y}", low=(x, y, 0.0), high=(x + 20.0, y + 30.0, 90.0))
    for x in (0.0, 80.0)
    for y in (0.0, 70.0)
)
TANK = box(100.0, 100.0, 100.0, low=(0.0, 0.0, 0.0))
STRIPS = replace(TANK, solids=CORNERS)
COLLAR = box(
    100.0, 100.0, 100.0, low=(0.0, 0.0, 0.0), above=Block(name="rim", low=(15.0, 15.0, 100.0), high=(85.0, 85.0, 112.0))
)
DIVIDED = replace(TANK, solids=(Block(name="weir", low=(40.0, 0.0, 0.0), high=(46.0, 100.0, 60.0)),))
PLAN = 100.0 * 100.0 - 4 * 20.0 * 30.0


def test_inside_corner_strips_take_their_room() -> None:
    """95.2 mm deep and 0.84 L to the brim where the walls alone say 80 mm and 1.00 L. Named by the mutation "strips not
    subtracted"."""
    text = (__import__("pathlib").Path(__file__).parents[2] / "orders" / "corner-strips.toml").read_text(
        encoding="utf-8"
    )
    report = ask(read_order_text(text, schemas()), "hold").report
    assert report["liquid"]["fill_depth"] == pytest.approx(8e5 / (1e4 - 4 * 400.0), abs=0.05)
    assert report["liquid"]["capacity_L"] == pytest.approx(0.84, abs=0.001)
    assert report["checks"]["liquid"] == "passed"


def test_volume_and_depth_are_those_of_the_plan_that_is_left() -> None:
    assert capacity(STRIPS) == pytest.approx(90.0 * PLAN + 10.0 * 1e4)
    assert depth_for_volume(STRIPS, 50.0 * PLAN) == pytest.approx(50.0)
    assert depth_for_volume(STRIPS, 90.0 * PLAN + 5e4) == pytest.approx(95.0)
    assert capacity(COLLAR) == pytest.approx(1e6 + 12.0 * 70.0 * 70.0)
    assert depth_for_volume(COLLAR, 1e6 + 4900.0) == pytest.approx(101.0)


@pytest.mark.parametrize("cavity", [STRIPS, COLLAR, DIVIDED, replace(COLLAR, solids=CORNERS)])
@pytest.mark.parametrize("tilt", [0.0, 0.08])
@pytest.mark.parametrize("toward", [(1.0, 0.0, 0.0), (-2.0, 1.0, 0.0)])
def test_what_presses_on_all_faces_is_the_weight(
    cavity: object, tilt: float, toward: tuple[float, float, float]
) -> None:
    from assemblies.liquid.shapes.cavity import Cavity

    assert isinstance(cavity, Cavity)
    g = gravity_at_tilt(tilt, toward)
    liquid = settle(cavity, 0.93 * capacity(cavity, g), g, density_kg_m3=RHO)
    assert liquid.force_n == pytest.approx([liquid.mass_kg * x * 1e-3 for x in g], rel=1e-9, abs=1e-9)
    assert liquid.centre_mm is not None
    turn = np.cross(liquid.centre_mm, [liquid.mass_kg * x * 1e-3 for x in g])
    assert liquid.moment_nmm == pytest.approx(turn, rel=1e-9, abs=1e-6)
    assert {"left", "right", "front", "back", "bottom"} <= set(cavity.face_names)


def test_wetted_faces_are_those_that_are_left_bare() -> None:
    liquid = settle(STRIPS, 50.0 * PLAN)
    assert liquid.face("bottom").area_mm2 == pytest.approx(PLAN)
    assert liquid.face("left").area_mm2 == pytest.approx(40.0 * 50.0)
    assert liquid.face("front").area_mm2 == pytest.approx(60.0 * 50.0)
    assert liquid.face("corner-0.0-0.0").area_mm2 == pytest.approx(50.0 * 50.0)
    full = settle(COLLAR, capacity(COLLAR))
    assert full.face("rim").area_mm2 == pytest.approx(1e4 - 70.0 * 70.0 + 4 * 70.0 * 12.0)
    assert full.face("rim").force_n[2] == pytest.approx(RHO * G * 12.0 * (1e4 - 4900.0) * 1e-12)


def test_over_strips_on_the_rim_it_pours_over_their_inner_edge() -> None:
    """Level at the brim it pours at once; a little lower, from the lean that lifts the surface 35 mm from the middle."""
    assert spill_tilt(COLLAR, capacity(COLLAR)) == pytest.approx(0.0, abs=1e-9)
    lean = spill_tilt(COLLAR, capacity(COLLAR) - 4900.0)
    assert math.tan(lean) == pytest.approx(1.0 / 35.0, rel=1e-6)


def test_pools_on_both_sides_of_a_divider_are_not_one() -> None:
    with pytest.raises(NotCovered, match="2 pools"):
        settle(DIVIDED, 94.0 * 100.0 * 50.0)
    over = settle(DIVIDED, 94.0 * 100.0 * 60.0 + 1e4 * 20.0)
    assert over.level_mm == pytest.approx(80.0)
    # leaned over a corner, what little there is lies on both sides of its strip
    with pytest.raises(NotCovered, match="2 pools"):
        settle(STRIPS, 5e2, gravity_at_tilt(0.5, (-3.0, -2.0, 0.0)))


def test_a_wall_that_is_all_covered_is_a_wall_all_the_same() -> None:
    lined = replace(TANK, solids=(Block(name="liner", low=(0.0, 0.0, 0.0), high=(3.0, 100.0, 100.0)),))
    liquid = settle(lined, 97.0 * 100.0 * 50.0)
    assert liquid.level_mm == pytest.approx(50.0)
    assert liquid.face("left").area_mm2 == 0.0
    assert liquid.face("liner").area_mm2 == pytest.approx(5000.0)
    whole = Block(name="plug", low=(0.0, 0.0, 0.0), high=(100.0, 100.0, 100.0))
    with pytest.raises(SeamwrightError, match="no room"):
        capacity(replace(TANK, solids=(whole,)))


def test_only_a_box_may_have_pieces_in_it_and_what_is_above_stands_on_it() -> None:
    from assemblies.liquid import round_cavity

    with pytest.raises(SeamwrightError, match="only a box"):
        replace(round_cavity(50.0, 100.0), solids=CORNERS)
    for wrong in (
        Block(name="off", low=(-1.0, 15.0, 100.0), high=(85.0, 85.0, 112.0)),
        Block(name="high", low=(15.0, 15.0, 101.0), high=(85.0, 85.0, 112.0)),
    ):
        with pytest.raises(SeamwrightError, match="does not stand on its top"):
            box(100.0, 100.0, 100.0, low=(0.0, 0.0, 0.0), above=wrong)
    with pytest.raises(SeamwrightError, match="not over"):
        Block(name="flat", low=(0.0, 0.0, 0.0), high=(1.0, 1.0, 0.0))


def test_brim_full_goes_to_the_top_of_what_lies_on_the_walls() -> None:
    plain, rimmed = order(), order(more='\n[[strip]]\nwhere = "rim"\nsize = [30, 10]\n')
    depths = [filled(o, built(o)).brim_depth_mm for o in (plain, rimmed)]
    assert depths == pytest.approx([150.0, 160.0])
    inner = 312.0 - 60.0, 212.0 - 60.0  # outside less two strips
    assert filled(rimmed, built(rimmed)).most_mm3 == pytest.approx(9e6 + 10.0 * inner[0] * inner[1])
    lid = order(tables={"tank": 'lid = "loose"'}, more='\n[[strip]]\nwhere = "rim"\nsize = [30, 10]\n')
    assert filled(lid, built(lid)).brim_depth_mm == pytest.approx(160.0)


def test_anything_that_stands_inside_takes_its_room_and_what_is_no_plain_box_is_told() -> None:
    given = order()
    design = built(given)
    mid = design.instance("left")
    wall = replace(mid.piece, name="wall", kind="panel")
    inside = Placed(name="partition", piece=wall, origin=(0.0, mid.origin[1], mid.origin[2]), x=mid.x, z=mid.z)
    cavity, odd = hollowed(replace(design, placed=(*design.placed, inside)))
    assert odd == ()
    assert capacity(cavity) < 9e6
    width, height, thick = wall.size_mm
    assert capacity(cavity) == pytest.approx(9e6 - min(width, 200.0) * min(height, 150.0) * thick, rel=1e-6)
    turned = replace(inside, x=(math.cos(1.0), math.sin(1.0), 0.0), z=(math.sin(1.0), -math.cos(1.0), 0.0))
    assert hollowed(replace(design, placed=(*design.placed, turned)))[1] == ("partition",)
