"""What one bolt of a plate holds, against figures written out by hand; and that nothing that weakens it makes it stronger."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assemblies.design.model import Fastener, Placed
from assemblies.strength.bonds.bolts import thread_loads, tightening_torque_nm
from assemblies.strength.bonds.heads import Bolted, bearing_mpa, held, slide_n, washer_bending_mpa
from assemblies.strength.bonds.mounting import Group, bolted_of
from parts.make.panel import panel
from parts.make.tapped_plate import tapped_plate
from parts.shape.spots import spots_of
from parts.shape.tapped import let_in_insert, let_in_nut
from parts.stock.material import material
from parts.stock.sheet import Sheet
from parts.stock.thread import thread

CAST = material("cast-pmma")
TWELVE = Sheet(material="cast-pmma", nominal_mm=12.0, readings_mm=(12.0,))
SIX = Sheet(material="cast-pmma", nominal_mm=6.0, readings_mm=(6.0,))
GRID = [(x, y) for x in (-12.5, 12.5) for y in (-12.5, 12.5)]
DOWN = (0.0, 0.0, -1.0)


def made(**how):
    return tapped_plate("plate", 60.0, 60.0, TWELVE, "M6", GRID, **how)


def spot(**how):
    return spots_of(made(**how))[0]


def test_a_head_presses_on_its_ring_or_punches_the_sheet_under_it():
    """6.6 mm hole, head 9.9 mm: ring 42.76 mm2, 213.8 N at 5 MPa. Sheet of 1 mm: pi x 9.9 x 1 x 5 / sqrt 3 = 89.8 N."""
    hole = spot(made="clearance")
    assert held(hole, 12.0, Bolted(), 5.0).pull_n == pytest.approx(213.8, abs=0.1)
    assert held(hole, 12.0, Bolted(wall_mm=1.0), 5.0).pull_n == pytest.approx(89.8, abs=0.1)
    assert held(hole, 12.0, Bolted(wall_mm=1.0, backing_mm=6.0), 5.0).pull_n == pytest.approx(213.8, abs=0.1)


def test_a_nut_that_is_let_in_pulls_out_by_its_bearing():
    """M6 nut, pocket 10.2 wide: bears on 0.89 x 10.2 = 9.08 less 6.6: 30.5 mm2, 152.6 N at 5 MPa. Floor: 12 - 7.8 = 4.2."""
    one = spot(let_in=let_in_nut(thread("M6"), 6.6))
    got = held(one, 12.0, Bolted(), 5.0)
    assert got.area_mm2 == pytest.approx(math.pi / 4 * ((0.89 * 10.2) ** 2 - 6.6**2))
    assert got.pull_n == pytest.approx(152.6, abs=0.2)
    assert got.length_mm == pytest.approx(4.2)
    assert pytest.approx(8.9) == 0.89 * 10.0  # ISO 4032, M6: dw at least 8.9


def test_the_flange_of_an_insert_pulls_out_by_its_ring():
    """Barrel 8 in 8.1, flange 12 in 12.2: 0.89 x 12.2 = 10.86 less 8.1."""
    got = held(spot(let_in=let_in_insert(8.0, 12.0, 1.5)), 12.0, Bolted(), 5.0)
    assert got.pull_n == pytest.approx(math.pi / 4 * (10.858**2 - 8.1**2) * 5.0)


def test_a_washer_on_a_slot_presses_on_the_two_segments_beside_it():
    """Washer 12 mm over a slot of 6.6 mm: the disc less the strip, by adding up thin strips."""
    one = spot(made="clearance", slot=(8.0, 0.0))
    steps = 200_000
    strips = sum(
        2.0 * math.sqrt(36.0 - y * y) * (6.0 - 3.3) / steps
        for y in (3.3 + (k + 0.5) * 2.7 / steps for k in range(steps))
    )
    assert held(one, 12.0, Bolted(screw_mm=6.0), 5.0).area_mm2 == pytest.approx(2.0 * strips, rel=1e-6)


def test_bolts_in_clearance_holes_bear_by_half_and_along_their_own_width():
    hole = spot(made="clearance")
    assert bearing_mpa(hole, 60.0, 12.0, Bolted(screw_mm=6.0)) == pytest.approx(2.0 * 60.0 / (6.0 * 12.0))
    assert bearing_mpa(spot(), 60.0, 10.0, Bolted(screw_mm=6.0)) == pytest.approx(60.0 / (6.0 * 10.0))
    through = held(hole, 12.0, Bolted(screw_mm=6.0, wall_mm=6.0), 5.0)
    assert through.length_mm == 6.0  # the wall is the thinner of the two


def test_a_wall_on_a_bolts_head_bends_as_a_round_plate():
    """100 N, wall 6 mm, head 9.9 mm, 30 mm to where it is held, nu 0.37: 3 P / (2 pi t2) ((1 + nu) ln(a / r) + 1) = 4.60 MPa
    times the factor 3 of a hole."""
    one = spot(made="clearance")
    plain = 3.0 * 100.0 / (2.0 * math.pi * 36.0) * (1.37 * math.log(30.0 / 4.95) + 1.0)
    assert plain == pytest.approx(4.601, abs=1e-3)
    assert washer_bending_mpa(100.0, one, Bolted(wall_mm=6.0), 30.0, 0.37) == pytest.approx(3.0 * plain)
    shared = washer_bending_mpa(100.0, one, Bolted(wall_mm=6.0, backing_mm=6.0), 30.0, 0.37)
    assert shared == pytest.approx(1.5 * plain)  # two alike carry half each
    assert washer_bending_mpa(100.0, one, Bolted(), 30.0, 0.37) == 0.0


def test_along_a_slot_friction_alone_holds():
    """Half of 200 N is left by creep, less 40 N of pull, by 0.1: 6 N. Pulled by more than is left: nothing."""
    assert slide_n(200.0, 40.0) == pytest.approx(6.0)
    assert slide_n(200.0, 120.0) == 0.0


def group(piece, **bolted):
    one = Placed(name="p", piece=piece, origin=(-30.0, 30.0, 0.0), x=(1.0, 0.0, 0.0), z=DOWN)
    return Group(plates=(one,), outward=DOWN, bolted={"p": Bolted(screw_mm=6.0, **bolted)})


def use(found, force, at=(0.0, 0.0, 50.0), duration="minutes"):
    return thread_loads(found, force, at, CAST, duration, environment=1.0, factor=1.0)[0].use


def test_a_slot_slides_where_a_hole_holds():
    side = (-20.0, 0.0, 0.0)
    at = (0.0, 0.0, -12.0)  # in the plane of the bolts: shear alone, 5 N each
    assert use(group(made(made="clearance")), side, at) < 0.1
    (load,) = thread_loads(
        group(made(made="clearance", slot=(8.0, 0.0))), side, at, CAST, "minutes", environment=1.0, factor=1.0
    )
    kept = 0.5 * held(spot(made="clearance", slot=(8.0, 0.0)), 12.0, Bolted(screw_mm=6.0), 5.0).pull_n
    assert load.slide_n == pytest.approx(0.1 * kept)
    assert load.use >= 5.0 / load.slide_n - 1e-9


def test_bolts_in_slots_are_taken_where_they_are_worst():
    """A moment about the end of the slots: bolts moved away from the load pull more than those in the middle."""
    hole, slot = made(made="clearance"), made(made="clearance", slot=(20.0, 0.0))
    force, at = (0.0, 0.0, 40.0), (30.0, 0.0, 0.0)
    one = thread_loads(group(hole), force, at, CAST, "minutes", environment=1.0, factor=1.0)[0]
    far = thread_loads(group(slot), force, at, CAST, "minutes", environment=1.0, factor=1.0)[0]
    assert far.pull_n > one.pull_n


@given(
    wall=st.floats(2.0, 12.0), more=st.floats(0.1, 10.0), force=st.tuples(*[st.floats(-100.0, 100.0)] * 3),
    x=st.floats(-60.0, 60.0),
)  # fmt: skip
def test_a_thicker_wall_or_a_backing_never_makes_bolts_worse(wall, more, force, x):
    piece, at = made(made="clearance"), (x, 0.0, 60.0)
    thin = use(group(piece, wall_mm=wall), force, at)
    assert use(group(piece, wall_mm=wall + more), force, at) <= thin + 1e-9
    assert use(group(piece, wall_mm=wall, backing_mm=wall), force, at) <= thin + 1e-9
    assert use(group(piece, wall_mm=wall), tuple(2.0 * f for f in force), at) == pytest.approx(2.0 * thin, abs=1e-9)


def test_what_a_fastener_goes_through_is_found_by_its_names():
    wall, back = panel("bottom", 200.0, 100.0, SIX), panel("backing", 60.0, 60.0, TWELVE, role="stiffener")
    placed = [
        Placed(name=n, piece=p, origin=(0.0, 0.0, 0.0)) for n, p in (("bottom", wall), ("b", back), ("plate-1", made()))
    ]
    bolt = Fastener(
        name="bolt M6", piece="plate-1", through=("b", "bottom", "plate-1"), thread="M6", count=4, ends="nut"
    )
    assert bolted_of(bolt, placed) == Bolted(screw_mm=6.0, wall_mm=6.0, backing_mm=12.0)
    alone = replace(bolt, through=("plate-1",))
    assert bolted_of(alone, placed) == Bolted(screw_mm=6.0)


def test_bolts_that_end_in_metal_are_tightened_by_what_their_sheet_bears():
    """T = K F d with K 0.2: head of 213.8 N on M6: 0.257 N m."""
    one = Placed(name="p", piece=made(made="clearance"), origin=(0.0, 0.0, 0.0))
    assert tightening_torque_nm(one, CAST, bolted=Bolted(screw_mm=6.0)) == pytest.approx(
        0.2 * 213.8 * 6.0 / 1000.0, rel=1e-3
    )
    thin = tightening_torque_nm(one, CAST, bolted=Bolted(screw_mm=6.0, wall_mm=1.0))
    assert thin == pytest.approx(0.2 * 89.8 * 6.0 / 1000.0, rel=1e-3)
