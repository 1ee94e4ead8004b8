"""Plates, bonds and bolts against hand calculation. Closed forms: elastic bolt group (Shigley; the formulas written out)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from assemblies.design.model import Placed
from assemblies.strength.bonds.bolts import edge_loads, longest_bolt, thread_loads, tightening_torque_nm
from assemblies.strength.bonds.mounting import Group, group_load, pad_pull, plate_groups
from parts.make.tapped_plate import tapped_plate
from parts.shape.tapped import full_thread_mm
from parts.stock.material import material
from parts.stock.sheet import Sheet
from parts.stock.thread import thread

CAST = material("cast-pmma")
PLATE = Sheet(material="cast-pmma", nominal_mm=12.0, readings_mm=(12.0,))
GRID = [(x, y) for x in (-12.5, 12.5) for y in (-12.5, 12.5)]
DOWN, LEFT = (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0)


def plate(name, middle, z=DOWN, x=(1.0, 0.0, 0.0), size=(50.0, 50.0), holes=GRID):
    """A 50 x 50 x 12 plate with four M6, its inner face's middle at a place, its normal z away from the tank."""
    piece = tapped_plate("plate", *size, PLATE, "M6", holes)
    found = Placed(name=name, piece=piece, origin=(0.0, 0.0, 0.0), x=x, z=z)
    at = found.world(size[0] / 2.0, size[1] / 2.0, 0.0)
    return Placed(name=name, piece=piece, origin=tuple(m - a for m, a in zip(middle, at, strict=True)), x=x, z=z)


def under(*xs, y=0.0, **more):
    return Group(plates=tuple(plate(f"p{i}", (x, y, 0.0), **more) for i, x in enumerate(xs)), outward=DOWN)


def bond(group, force, at, bonded=0.5, duration="permanent"):
    return group_load(group, force, at, CAST, duration, bonded=bonded, joint=0.4, environment=1.0, factor=1.0)


def bolts(group, force, at, duration="permanent"):
    return thread_loads(group, force, at, CAST, duration, environment=1.0, factor=1.0)


def test_standing_on_plates_only_compresses():
    load = bond(under(-87.5, 87.5), (0.0, 0.0, -86.0), (0.0, 0.0, 64.0))
    assert (load.tension, load.shear, load.use) == (0.0, 0.0, 0.0)
    assert all(
        t.pull_n == 0.0 and t.shear_n == 0.0 for t in bolts(under(-87.5, 87.5), (0.0, 0.0, -86.0), (0.0, 0.0, 64.0))
    )


def test_upside_down_the_whole_weight_pulls_evenly():
    group = under(-87.5, 87.5)
    load = bond(group, (0.0, 0.0, 86.0), (0.0, 0.0, 64.0))
    assert load.tension == pytest.approx(86.0 / (2 * 2500.0 * 0.5))
    assert load.allowed == pytest.approx(2.0)  # 5 MPa x 0.4
    assert load.use == pytest.approx(load.tension / 2.0)
    assert [t.pull_n for t in bolts(group, (0.0, 0.0, 86.0), (0.0, 0.0, 64.0))] == pytest.approx([86.0 / 8] * 2)


def test_hung_from_one_wall_the_upper_bolts_pull_with_w_e_over_the_arm():
    # weight W at e from the rig's plane; four bolts at +-12.5 above and below the middle: n = 4, sum y^2 = 4 x 12.5^2
    weight, out = 100.0, 150.0
    group = Group(plates=(plate("p", (0.0, 0.0, 0.0), z=LEFT, x=(0.0, -1.0, 0.0)),), outward=LEFT)
    (load,) = bolts(group, (0.0, 0.0, -weight), (out, 0.0, 0.0))
    arm = out + 12.0  # the bolts leave the plate at its outer face
    assert load.pull_n == pytest.approx(weight * arm * 12.5 / (4 * 12.5**2))
    assert load.shear_n == pytest.approx(weight / 4)
    got = bond(group, (0.0, 0.0, -weight), (out, 0.0, 0.0), bonded=1.0)
    assert got.tension == pytest.approx(weight * out * 6.0 / 50.0**3)  # M / (b h^2 / 6)
    assert got.shear == pytest.approx(weight / 2500.0)
    assert got.combined == pytest.approx(got.tension / 2 + math.hypot(got.tension / 2, got.shear))


def test_on_a_wall_it_is_the_upper_edge_that_pulls_and_the_lower_that_presses():
    group = Group(plates=(plate("p", (0.0, 0.0, 0.0), z=LEFT, x=(0.0, -1.0, 0.0)),), outward=LEFT)
    pads, (even, slope1, slope2) = pad_pull(group, (0.0, 0.0, -100.0), (150.0, 0.0, 0.0))
    up = np.array([0.0, 0.0, 1.0])
    slope = slope1 * (pads.frame[0] @ up) + slope2 * (pads.frame[1] @ up)
    assert even == pytest.approx(0.0)
    assert slope == pytest.approx(100.0 * 150.0 / (50.0**4 / 12.0))  # positive: outward pull grows upward


def test_pads_give_back_force_and_moment():
    group = under(-80.0, 60.0, 95.0, y=20.0)
    force, at = (30.0, -20.0, 55.0), (10.0, -5.0, 70.0)
    pads, (even, slope1, slope2) = pad_pull(group, force, at)
    wanted, moment = pads.reaction(force, at)
    e1, e2, n = pads.frame
    total, about = 0.0, np.zeros(3)
    places = (np.arange(40) + 0.5) / 40 - 0.5
    for centre, size in zip(pads.centres, pads.sizes, strict=True):
        for a in centre[0] + size[0] * places:
            for b in centre[1] + size[1] * places:
                pull = (even + slope1 * a + slope2 * b) * size[0] * size[1] / 1600
                total += pull
                about += np.cross(a * e1 + b * e2, pull * n)
    assert total == pytest.approx(wanted @ n, rel=1e-9)
    assert about @ e1 == pytest.approx(moment @ e1, rel=1e-3)  # midpoint rule on 40 x 40
    assert about @ e2 == pytest.approx(moment @ e2, rel=1e-3)


def test_a_slide_loads_the_plates_by_mass_times_acceleration_at_the_height_of_the_centre():
    group = under(-87.5, 87.5)
    load = bond(group, (-40.0, 0.0, -86.0), (0.0, 0.0, 64.0), bonded=1.0)
    second = 2 * (50.0**4 / 12.0 + 2500.0 * 87.5**2)
    wanted = -86.0 / 5000.0 + 40.0 * 64.0 * 112.5 / second
    assert load.tension == pytest.approx(max(0.0, wanted), abs=1e-12)
    assert load.shear == pytest.approx(40.0 / 5000.0)
    assert load.moment_nmm[1] == pytest.approx(40.0 * 64.0)


def test_torsion_shears_by_radius():
    group = under(0.0)
    (load,) = bolts(group, (0.0, 10.0, 0.0), (100.0, 0.0, -12.0))
    radius = 12.5 * math.sqrt(2.0)
    twist = 10.0 * 100.0 / (4 * radius**2) * radius  # M r / sum r^2
    direct = 10.0 / 4
    assert load.shear_n == pytest.approx(math.hypot(twist / math.sqrt(2.0), direct + twist / math.sqrt(2.0)))


def test_a_group_that_is_not_symmetric_is_shared_about_its_principal_axes():
    """Three pads in an L: pulls at equilibrium (the tensor's product term counts)."""
    plates = tuple(plate(f"p{i}", (x, y, 0.0)) for i, (x, y) in enumerate([(-80, -50), (80, -50), (80, 50)]))
    group = Group(plates=plates, outward=DOWN)
    force, at = (0.0, 0.0, 60.0), (0.0, 30.0, 50.0)
    _pads, _ = pad_pull(group, force, at)
    found = {t.plate: t for t in bolts(group, force, at)}
    # by statics on pads that share as points: W at (0, 30): p0 + p1 + p2 = W, moments about the lines x = 80 and y = -50
    p0, p2 = 60.0 * 80.0 / 160.0, 60.0 * 80.0 / 100.0
    p1 = 60.0 - p0 - p2
    # each plate's mean bolt pull is near its share; 12.5 mm bolt spread and a least-squares tilt: a tenth of W
    for name, share in (("p0", p0), ("p2", p2)):
        assert found[name].pull_n * 4 == pytest.approx(share, abs=0.35 * 60.0)
    assert p1 < 0.0
    assert found["p1"].pull_n < min(found["p0"].pull_n, found["p2"].pull_n)


def test_a_single_row_of_bolts_pries_on_the_plates_edge():
    group = Group(plates=(plate("p", (0.0, 0.0, 0.0), holes=[(-15.0, 0.0), (15.0, 0.0)]),), outward=DOWN)
    (load,) = bolts(group, (0.0, 50.0, 0.0), (0.0, 0.0, 88.0))
    assert load.pull_n == pytest.approx(50.0 * (88.0 + 12.0) / (2 * 25.0))  # arm: 25 mm to the plate's edge


def test_counting_half_of_the_bond_doubles_its_stress():
    force, at = (20.0, 0.0, 86.0), (0.0, 0.0, 64.0)
    half, whole = bond(under(-87.5, 87.5), force, at, bonded=0.5), bond(under(-87.5, 87.5), force, at, bonded=1.0)
    assert half.combined == pytest.approx(2.0 * whole.combined)


def test_thread_pull_out_and_bearing_by_hand():
    group = under(0.0)
    (load,) = bolts(group, (12.0, 0.0, 100.0), (0.0, 0.0, -12.0))
    length = full_thread_mm(group.plates[0].piece.holes[0], 12.0)
    assert load.engagement_mm == pytest.approx(length)
    area = thread("M6").internal_shear_area_mm2(length)
    assert load.area_mm2 == pytest.approx(area)
    assert load.holds_n == pytest.approx(area * 5.0 / math.sqrt(3.0))  # permanent, no joint in the thread
    assert load.bearing_mpa == pytest.approx(3.0 / (6.0 * length))
    assert load.use == pytest.approx(max(25.0 / load.holds_n, load.bearing_mpa / 5.0))


def test_torque_and_longest_bolt():
    one = plate("p", (0.0, 0.0, 0.0))
    length = full_thread_mm(one.piece.holes[0], 12.0)
    holds = thread("M6").internal_shear_area_mm2(length) * 5.0 / math.sqrt(3.0)
    assert tightening_torque_nm(one, CAST) == pytest.approx(0.2 * holds * 6.0 / 1000.0)  # T = K F d
    assert tightening_torque_nm(one, CAST, factor=2.0) == pytest.approx(0.1 * holds * 6.0 / 1000.0)
    assert longest_bolt(one) == pytest.approx(11.0)  # 1 mm short of the floor behind a through-tapped plate


def test_plates_are_grouped_by_face_and_point_away_from_the_tank():
    below = [plate(f"b{i}", (x, 0.0, 0.0)) for i, x in enumerate((-80.0, 80.0))]
    wall = plate("w", (-150.0, 0.0, 60.0), z=LEFT, x=(0.0, -1.0, 0.0))
    turned = Placed(name="t", piece=wall.piece, origin=(-162.0, -25.0, 35.0), x=(0.0, 1.0, 0.0), z=(1.0, 0.0, 0.0))
    groups = plate_groups([*below, wall], (0.0, 0.0, 75.0))
    assert [(g.names, g.outward) for g in groups] == [("b0, b1", DOWN), ("w", LEFT)]
    (other,) = plate_groups([turned], (0.0, 0.0, 75.0))
    assert other.outward == LEFT  # whichever way the plate's own normal runs


def test_mirrored_loads_give_mirrored_bolts():
    there = bolts(under(-87.5, 87.5), (-40.0, 0.0, 50.0), (5.0, 0.0, 64.0))
    back = bolts(under(-87.5, 87.5), (40.0, 0.0, 50.0), (-5.0, 0.0, 64.0))
    assert [t.pull_n for t in there] == pytest.approx([t.pull_n for t in reversed(back)])


def test_no_force_no_load():
    load = bond(under(-87.5, 87.5), (0.0, 0.0, 0.0), (0.0, 0.0, 64.0))
    assert (load.tension, load.shear, load.combined, load.use) == (0.0, 0.0, 0.0, 0.0)


def test_a_bolt_through_the_plate_is_held_by_its_head():
    """100 N straight off four M6 in clearance holes of 6.6 mm: 25 N each, on a ring of 1.5 times the hole by 5 MPa."""
    piece = tapped_plate("plate", 50.0, 50.0, PLATE, "M6", GRID, made="clearance")
    found = Placed(name="p", piece=piece, origin=(-25.0, 25.0, 0.0), x=(1.0, 0.0, 0.0), z=DOWN)
    (load,) = bolts(Group(plates=(found,), outward=DOWN), (0.0, 0.0, 100.0), (0.0, 0.0, 50.0))
    assert (load.thread, load.pull_n) == ("6.6 mm hole", pytest.approx(25.0))
    assert load.holds_n == pytest.approx(math.pi / 4.0 * (9.9**2 - 6.6**2) * 5.0)
    assert load.use == pytest.approx(25.0 / load.holds_n)
    assert tightening_torque_nm(found, CAST) is None


FACE = ((-100.0, -100.0, 0.0), (15.0, 100.0, 100.0))  # a tank whose right side is at x = 15


def past_the_edge(off_mm=10.0):
    """A 50 x 50 plate under the floor that reaches past the tank's right side; its bolts are 12.5 mm off its middle."""
    return Group(plates=(plate("p", (15.0 + off_mm - 25.0, 0.0, 0.0)),), outward=DOWN, face=FACE)


def edges(group, force, at, bonded=0.5):
    return edge_loads(group, force, at, CAST, "permanent", bonded=bonded, joint=0.4, environment=1.0, factor=1.0)


def test_only_what_lies_on_the_face_is_bonded():
    group = past_the_edge(10.0)
    assert group.pads.sizes.tolist() == [[40.0, 50.0]]
    assert group.pads.middle.tolist() == [-5.0, 0.0, 0.0]
    load = bond(group, (0.0, 0.0, 86.0), (-5.0, 0.0, 64.0))
    assert load.tension == pytest.approx(86.0 / (40.0 * 50.0 * 0.5))


def test_bolts_peel_a_plate_off_past_the_edge_and_bend_it():
    """Pulled by 100 N through the middle of its bolts, 5 mm off the middle of the 40 x 50 that is bonded; bolts at 7.5 and
    -17.5 mm from that middle, so none beyond the edge at 20 mm. With 40 mm past it, two of the bolts are 27.5 mm beyond."""
    (little,) = edges(past_the_edge(10.0), (0.0, 0.0, 100.0), (0.0, 0.0, 64.0))
    assert little.off_mm == pytest.approx(10.0)
    assert little.peel == pytest.approx((100.0 / 2000.0 + 100.0 * 5.0 * 6.0 / (50.0 * 40.0**2)) / 0.5)
    assert little.bending == 0.0
    assert little.use == pytest.approx(little.peel / 2.0)
    (much,) = edges(past_the_edge(40.0), (0.0, 0.0, 100.0), (30.0, 0.0, 64.0))
    assert much.peel == pytest.approx((100.0 / 500.0 + 100.0 * 20.0 * 6.0 / (50.0 * 10.0**2)) / 0.5)
    moment = 50.0 * (12.5 + 20.0 - 5.0) + 50.0 * (
        20.0 - 12.5 - 5.0
    )  # all four lie beyond: 27.5 and 2.5 mm from the edge
    assert much.bending == pytest.approx(3.0 * 6.0 * moment / (50.0 * 12.0**2))
    assert much.use > 1.0


def test_a_plate_wholly_on_its_face_has_no_edge_to_peel_at():
    inside = Group(plates=(plate("p", (-20.0, 0.0, 0.0)),), outward=DOWN, face=FACE)
    assert edges(inside, (0.0, 0.0, 100.0), (0.0, 0.0, 64.0)) == ()
