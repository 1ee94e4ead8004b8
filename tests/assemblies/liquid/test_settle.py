"""Closed forms: what textbooks say about still, tilted and pushed liquid in boxes and drums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from liquid_shapes import G, gravity

from assemblies.liquid import (
    Cavity,
    Circle3,
    Face,
    Lip,
    Port,
    box,
    capacity,
    depth_for_volume,
    round_cavity,
    settle,
    volume_for_depth,
)
from assemblies.liquid.shapes.cavity import lips_of
from parts.findings import NotCovered, SeamwrightError

TANK = box(300.0, 250.0, 200.0, low=(0.0, 0.0, 0.0))
RHO = 998.2


def test_push_on_a_wall_is_half_rho_g_h_squared_b_at_a_third_of_the_depth() -> None:
    s = settle(TANK, 300.0 * 250.0 * 150.0)
    p = RHO * 1e-9 * G * 1e-3 * 150.0  # MPa at the floor
    for name, width, sign, axis in (
        ("left", 250.0, -1, 0),
        ("right", 250.0, 1, 0),
        ("front", 300.0, -1, 1),
        ("back", 300.0, 1, 1),
    ):
        face = s.face(name)
        assert face.force_n[axis] == pytest.approx(sign * p * 150.0 / 2.0 * width, rel=1e-13)
        assert face.centre_mm is not None
        assert face.centre_mm[2] == pytest.approx(50.0, rel=1e-13)
        assert face.area_mm2 == pytest.approx(150.0 * width, rel=1e-13)
    assert s.face("bottom").force_n[2] == pytest.approx(-p * 300.0 * 250.0, rel=1e-13)
    assert s.level_mm == pytest.approx(150.0, rel=1e-14)


def test_pressure_is_rho_g_depth_anywhere_and_nil_above_the_surface() -> None:
    s = settle(TANK, 300.0 * 250.0 * 100.0, density_kg_m3=1030.0)
    found = s.pressure(np.array([[10.0, 10.0, 0.0], [10.0, 10.0, 60.0], [10.0, 10.0, 150.0]]))
    assert found == pytest.approx(1030.0 * G * 1e-12 * np.array([100.0, 40.0, 0.0]), rel=1e-13)


def test_push_on_a_drums_half_wall_and_floor() -> None:
    s = settle(round_cavity(100.0, 250.0), math.pi * 1e4 * 180.0)
    assert s.level_mm == pytest.approx(180.0, rel=1e-14)
    assert s.face("wall").force_n == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)
    assert s.face("wall").area_mm2 == pytest.approx(2.0 * math.pi * 100.0 * 180.0, rel=1e-13)
    assert s.face("bottom").force_n[2] == pytest.approx(-RHO * G * 1e-12 * 180.0 * math.pi * 1e4, rel=1e-13)


@pytest.mark.parametrize("tilt", [0.0, 1e-9, 5.0, 40.0, 89.999999, 90.0, 120.0, 180.0])
@pytest.mark.parametrize(
    "cavity", [box(300, 250, 200, lid="sealed"), round_cavity(100.0, 250.0, lid="sealed")], ids=["box", "drum"]
)
def test_resultant_is_the_liquids_effective_weight_through_its_centre(cavity: Cavity, tilt: float) -> None:
    for share in (1e-6, 0.2, 0.5, 0.97, 1.0):
        g = gravity(tilt, 25.0)
        s = settle(cavity, share * capacity(cavity), g)
        weight = np.array(g) * 1e-3 * s.mass_kg
        assert s.centre_mm is not None
        size = float(np.linalg.norm(weight))
        assert np.array(s.force_n) == pytest.approx(weight, abs=1e-9 * size)
        assert np.array(s.moment_nmm) == pytest.approx(np.cross(s.centre_mm, weight), abs=1e-9 * size * 300.0)


def test_inertia_of_still_liquid_is_that_of_a_block_and_of_a_solid_cylinder() -> None:
    s = settle(TANK, 300.0 * 250.0 * 150.0)
    x, y, z = 300.0**2, 250.0**2, 150.0**2
    assert [s.inertia_kg_mm2[k][k] for k in range(3)] == pytest.approx(
        np.array([y + z, x + z, x + y]) * s.mass_kg / 12, rel=1e-12
    )
    d = settle(round_cavity(100.0, 250.0), math.pi * 1e4 * 180.0)
    side = d.mass_kg * (3.0 * 1e4 + 180.0**2) / 12.0
    assert [d.inertia_kg_mm2[k][k] for k in range(3)] == pytest.approx([side, side, d.mass_kg * 5e3], rel=1e-12)


def test_drum_on_its_side_holds_circle_segments() -> None:
    drum = round_cavity(100.0, 250.0, lid="sealed")
    for depth in (1e-3, 30.0, 100.0, 170.0):
        angle = math.acos(1.0 - depth / 100.0)
        segment = 1e4 * (angle - math.sin(angle) * math.cos(angle))
        s = settle(drum, segment * 250.0, gravity(90.0))
        # a segment 1 um deep comes by cancellation in this closed form, not in the engine
        assert s.level_mm + 100.0 == pytest.approx(depth, rel=1e-5 if depth < 1.0 else 1e-12)
        assert s.surface_area_mm2 == pytest.approx(200.0 * math.sin(angle) * 250.0, rel=1e-5 if depth < 1.0 else 1e-12)


def test_hoof_through_the_floors_diameter_holds_two_thirds_r_squared_h() -> None:
    """Archimedes' hoof; MathWorld, Cylindrical Wedge, eq. 8-10."""
    tilt = math.degrees(math.atan(250.0 / 100.0))
    assert capacity(round_cavity(100.0, 250.0), gravity(tilt)) == pytest.approx(2.0 / 3.0 * 1e4 * 250.0, rel=1e-13)


def test_a_sealed_drum_upside_down_stands_on_its_lid() -> None:
    s = settle(round_cavity(100.0, 250.0, lid="sealed"), math.pi * 1e4 * 180.0, (0.0, 0.0, G))
    assert s.face("lid").force_n[2] == pytest.approx(RHO * G * 1e-12 * 180.0 * math.pi * 1e4, rel=1e-12)
    assert (s.face("bottom").area_mm2, s.face("bottom").centre_mm) == (0.0, None)
    assert s.level_mm == pytest.approx(-70.0)


def test_half_a_tank_pours_at_the_diagonal_over_the_lowered_side() -> None:
    s = settle(TANK, 300.0 * 250.0 * 150.0, gravity(math.degrees(math.atan2(200.0, 300.0))))
    assert s.kept_mm3 == pytest.approx(300.0 * 250.0 * 100.0, rel=1e-13)
    assert s.over == ("right",)
    assert s.reached == ((300.0, 250.0, 200.0), (300.0, 0.0, 200.0))
    assert s.freeboard_mm == pytest.approx(0.0, abs=1e-12)


def test_a_corner_tilt_pours_over_the_two_lips_that_meet_there() -> None:
    s = settle(TANK, 300.0 * 250.0 * 190.0, gravity(20.0, 40.0))
    assert set(s.over) == {"right", "back"}
    assert s.reached == ((300.0, 250.0, 200.0),)


def test_upside_down_an_open_tank_keeps_nothing_and_a_sealed_one_all() -> None:
    up = (0.0, 0.0, G)
    for cavity in (TANK, round_cavity(100.0, 250.0)):
        s = settle(cavity, 1e6, up)
        assert (s.kept_mm3, s.lost_mm3, s.centre_mm, s.force_n) == (0.0, 1e6, None, (0.0, 0.0, 0.0))
        assert s.pressure([(1.0, 1.0, 200.0)]) == pytest.approx([0.0])
    sealed = settle(box(300, 250, 200, low=(0, 0, 0), lid="sealed"), 300.0 * 250.0 * 50.0, up)
    assert sealed.lost_mm3 == 0.0
    assert sealed.centre_mm == pytest.approx((150.0, 125.0, 175.0))
    assert sealed.face("lid").force_n[2] == pytest.approx(RHO * G * 1e-12 * 50.0 * 75000.0, rel=1e-12)


def test_lying_on_its_side_an_open_tank_is_empty() -> None:
    for tilt in (90.0, 90.0000001, 135.0):
        assert settle(TANK, 1e6, gravity(tilt)).kept_mm3 == pytest.approx(0.0, abs=1e-6)


def test_a_loose_lid_lets_out_what_an_open_top_would() -> None:
    loose = box(300, 250, 200, low=(0, 0, 0), lid="loose")
    for tilt in (10.0, 35.0, 80.0):
        assert settle(loose, 1e7, gravity(tilt)).kept_mm3 == pytest.approx(settle(TANK, 1e7, gravity(tilt)).kept_mm3)


def test_nothing_brim_and_just_at_the_lip() -> None:
    room = 300.0 * 250.0 * 200.0
    empty, full, over = (settle(TANK, v) for v in (0.0, room, room + 7.0))
    assert (empty.level_mm, empty.mass_kg, empty.centre_mm) == (0.0, 0.0, None)
    assert (full.level_mm, full.lost_mm3, full.over) == (200.0, 0.0, ())
    assert over.lost_mm3 == pytest.approx(7.0, rel=1e-6)
    assert set(over.over) == {"left", "right", "front", "back"}


def test_an_open_port_below_the_surface_drains_to_its_lowest_point_and_a_shut_one_holds() -> None:
    hole = Circle3(centre=(0.0, 125.0, 60.0), normal=(-1.0, 0.0, 0.0), radius_mm=10.0)
    for is_open, level in ((True, 50.0), (False, 120.0)):
        tank = box(300, 250, 200, low=(0, 0, 0), ports=[Port(name="drain", circle=hole, open=is_open)])
        s = settle(tank, 300.0 * 250.0 * 120.0)
        assert s.level_mm == pytest.approx(level, rel=1e-13)
        assert s.over == (("drain",) if is_open else ())
    assert capacity(box(300, 250, 200, low=(0, 0, 0), ports=[Port(name="overflow", circle=hole)])) == pytest.approx(
        3.75e6
    )


def test_depth_and_volume_are_each_others_inverse_in_a_tapered_tank() -> None:
    """A frustum of a pyramid: volume h/3 (A1 + A2 + sqrt(A1 A2)), from any mensuration table."""
    low = [(-50.0, -50.0, 0.0), (50.0, -50.0, 0.0), (50.0, 50.0, 0.0), (-50.0, 50.0, 0.0)]
    top = [(2 * x, 2 * y, 100.0) for x, y, _ in low]
    sides = [(low[k], low[(k + 1) % 4], top[(k + 1) % 4], top[k]) for k in range(4)]
    faces = (
        Face(name="bottom", corners=tuple(reversed(low))),
        *(Face(name=f"s{k}", corners=c) for k, c in enumerate(sides)),
    )
    tank = Cavity(faces=faces, lips=lips_of(faces))
    assert capacity(tank) == pytest.approx(100.0 / 3.0 * (1e4 + 4e4 + 2e4), rel=1e-13)
    for depth in (1e-6, 13.0, 50.0, 99.9, 100.0):
        side = 100.0 + depth
        volume = depth / 3.0 * (1e4 + side**2 + 100.0 * side)
        exact = 1e-7 if depth < 1e-3 else 1e-12  # heights of 100 mm are kept to 1e-14 mm: 1e-8 of a nanometre's depth
        assert volume_for_depth(tank, depth) == pytest.approx(volume, rel=exact)
        assert depth_for_volume(tank, volume) == pytest.approx(depth, rel=exact)


def test_a_tiny_fill_is_found_as_exactly_as_a_large_one() -> None:
    for volume in (1e-6, 1e-3, 1.0):  # mm3, in a corner: 3 equal slopes, volume = sqrt(3)/2 h^3
        g = tuple(G / math.sqrt(3.0) * v for v in (1.0, 1.0, -1.0))
        s = settle(box(300, 300, 300, low=(0, 0, 0), lid="sealed"), volume, g)  # type: ignore[arg-type]
        assert s.level_mm - s.lowest_mm == pytest.approx((volume * 2.0 / math.sqrt(3.0)) ** (1 / 3), rel=1e-9)


@pytest.mark.parametrize("volume", [-1.0, math.nan, math.inf, "10", None, True, np.array([10.0])])
def test_no_volume_is_refused(volume: float) -> None:
    with pytest.raises(ValueError, match="volume"):
        settle(TANK, volume)


def test_more_than_a_sealed_cavity_holds_is_refused() -> None:
    with pytest.raises(ValueError, match="more than the closed cavity holds"):
        settle(box(10, 10, 10, lid="sealed"), 1000.1)


@pytest.mark.parametrize("g", [(0.0, 0.0, 0.0), (0.0, 0.0, -9.80665)], ids=["weightless", "metres"])
def test_weightless_is_not_covered_and_metres_are_noticed(g: tuple[float, float, float]) -> None:
    with pytest.raises(NotCovered, match="mm/s2"):
        settle(TANK, 1e6, g)


@pytest.mark.parametrize("g", [(math.nan, 0.0, 0.0), (0.0, 1.0), "down", (0.0, 0.0, math.inf)])
def test_no_gravity_is_refused(g: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="gravity"):
        settle(TANK, 1e6, g)


@pytest.mark.parametrize("g", [(0.0, 0.0, -1e10), (0.0, 0.0, -1.7e308), (1e308, 1e308, 1e308)])
def test_a_pull_over_a_million_g_is_refused_and_just_below_it_has_its_weight(g: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="over a million g"):
        settle(TANK, 1e6, g)
    assert settle(TANK, 1e6, (0.0, 0.0, -9.8e9)).force_n[2] == pytest.approx(-998.2e-3 * 9.8e6, rel=1e-12)


def test_numbers_of_numpy_are_numbers() -> None:
    same = settle(TANK, 1e6, (0.0, 0.0, -9807.0), density_kg_m3=1000.0)
    for volume, density in ((np.int64(1000000), np.float32(1000.0)), (np.float64(1e6), np.int32(1000))):
        other = settle(TANK, volume, (0.0, 0.0, -9807.0), density_kg_m3=density)  # type: ignore[arg-type]
        assert (other.level_mm, other.force_n) == (same.level_mm, same.force_n)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: settle(TANK, 1e6).moment_about((math.nan, 0.0, 0.0)),
        lambda: settle(TANK, 1e6).moment_about((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
        lambda: settle(TANK, 1e6).reach((math.nan, 0.0, 0.0), (0.0, 0.0, 1.0)),
        lambda: settle(TANK, 1e6).reach((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
        lambda: settle(TANK, 1e6, density_kg_m3="thick"),  # type: ignore[arg-type]
        lambda: settle(TANK, 1e6, density_kg_m3=None),  # type: ignore[arg-type]
        lambda: volume_for_depth(TANK, "deep"),  # type: ignore[arg-type]
        lambda: volume_for_depth(TANK, None),  # type: ignore[arg-type]
        lambda: Circle3(centre=(0, 0, 0), normal=(0, 0, 1), radius_mm="3"),  # type: ignore[arg-type]
    ],
)
def test_no_point_axis_or_figure_is_one_clear_error(ask: object) -> None:
    assert callable(ask)
    with pytest.raises(SeamwrightError):
        ask()


def test_no_density_and_no_face_are_refused() -> None:
    with pytest.raises(ValueError, match="density"):
        settle(TANK, 1e6, density_kg_m3=0.0)
    with pytest.raises(ValueError, match=r"no face 'lid'.*left, right, front, back, bottom"):
        settle(TANK, 1e6).face("lid")
    with pytest.raises(ValueError, match="fill depth"):
        volume_for_depth(TANK, 200.1)
    with pytest.raises(ValueError, match="more than the cavity holds"):
        depth_for_volume(TANK, 1.6e7)
    with pytest.raises(ValueError, match="never meets"):
        settle(TANK, 1e6).reach((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))


def test_moment_about_a_point_and_an_axis() -> None:
    s = settle(TANK, 300.0 * 250.0 * 150.0)
    assert s.moment_about((150.0, 125.0, 0.0)) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert s.moment_about((0.0, 125.0, 0.0), (0.0, 2.0, 0.0)) == pytest.approx(s.mass_kg * G * 1e-3 * 150.0, rel=1e-12)


def _face(name: str, *corners: tuple[float, float, float]) -> Face:
    return Face(name=name, corners=corners)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: box(0.0, 10.0, 10.0), "length"),
        (lambda: box(10.0, -1.0, 10.0), "width"),
        (lambda: box(10.0, 10.0, math.nan), "depth"),
        (lambda: box(10.0, 10.0, 10.0, lid="glued"), "lid"),
        (lambda: round_cavity(math.nan, 10.0), "radius"),
        (lambda: round_cavity(10.0, 0.0), "height"),
        (lambda: round_cavity(10.0, 10.0, axis=(0.0, 0.0, 0.0)), "axis"),
        (lambda: round_cavity(10.0, 10.0, lid="glued"), "lid"),
        (lambda: Cavity(), "give one of"),
        (lambda: Cavity(faces=TANK.faces, cylinder=round_cavity(1.0, 1.0).cylinder), "give one of"),
        (lambda: Cavity(faces=TANK.faces), "bare and no lip"),
        (lambda: Cavity(cylinder=round_cavity(1.0, 1.0).cylinder), "open top is no lip"),
        (lambda: Cavity(faces=tuple(_face(f.name, *reversed(f.corners)) for f in TANK.faces)), "inside out|not convex"),
        (lambda: Cavity(faces=(_face("a", (0, 0, 0), (1, 0, 0), (1, 1, 0)),)), "no volume"),
        (lambda: Cavity(faces=(*TANK.faces, _face("line", (0, 0, 0), (1, 0, 0), (2, 0, 0)))), "no area"),
        (lambda: _face("two", (0, 0, 0), (1, 0, 0)), "three or more"),
        (lambda: _face("nan", (0, 0, 0), (1, 0, 0), (math.nan, 1, 0)), "finite"),
        (lambda: Lip(name="x"), "two or more corners, or a circle"),
        (lambda: Circle3(centre=(0, 0, 0), normal=(0, 0, 1), radius_mm=-1.0), "radius"),
        (lambda: Cavity(faces=TANK.faces, lips=(*TANK.lips, TANK.lips[0])), "share a name"),
    ],
)  # fmt: skip
def test_no_cavity_is_refused_with_its_reason(make: object, says: str) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match=says):
        make()
