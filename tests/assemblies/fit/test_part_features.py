"""What is not a flat sheet piece: each room does it for real, or refuses it by name; none takes it for flat."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from samples import FACTS, design, flat, panel

from assemblies.design.mass import piece_body
from assemblies.design.model import Joint, Placed
from assemblies.fit import Allowances, FitRules, check_fit, seams
from assemblies.fit.apart.explode import explode
from assemblies.fit.apart.facets import facets
from assemblies.fit.apart.sweep import Sweeps
from assemblies.fit.faces import flat_faces, round_faces
from assemblies.fit.interference import interferences
from assemblies.fit.lines import line_contacts
from assemblies.fit.seams import GROOVE_SIDE
from assemblies.packet.drawings.drawing import part_sheets
from assemblies.packet.dxf.profile_dxf import write_profile
from assemblies.packet.pictures.visible import projected
from assemblies.shop.layout.job import LayoutError
from assemblies.shop.nest.model import NestStock
from assemblies.shop.nest.nest import default_spec, nest
from parts.findings import NotCovered, SeamwrightError
from parts.shape.hole_rules import edge_distance_mm
from parts.shape.mesh import mesh
from parts.shape.outline import Circle, rectangle, rounded_rectangle
from parts.shape.piece import Bend, Bevel, Hole, Piece, Pocket
from parts.shape.solid import solid
from parts.shape.tube import sawn_tube
from parts.stock.tube import TubeStock

SHEET = NestStock(name="sheet", width_mm=600.0, height_mm=400.0)
PLATE = flat("plate", rectangle(200.0, 120.0), thickness_mm=10.0)
MADE: dict[str, Piece] = {
    "a bent piece": replace(
        PLATE, bends=(Bend(x_mm=50, y_mm=0, along_rad=math.pi / 2, angle_rad=1.0, inside_radius_mm=10),)
    ),
    "a piece with bevelled edges": replace(PLATE, bevels=(Bevel(edge=0, angle_rad=0.7),)),
    "a piece with pockets": replace(PLATE, pockets=(Pocket(outline=rectangle(60, 30, 20, 20), depth_mm=4.0),)),
    "a tube": sawn_tube("plate", TubeStock(material="cast-pmma", outside_mm=60.0, wall_mm=3.0), 200.0),
}


def placed(piece: Any, name: str = "one", origin: tuple[float, float, float] = (0.0, 0.0, 0.0), **axes: Any) -> Placed:
    return Placed(name=name, piece=piece, origin=origin, **axes)


EVERY = set(MADE)
ROOMS: dict[str, tuple[Callable[[Any], object], set[str]]] = {
    "solid": (solid, EVERY),
    "inertia": (lambda p: piece_body(placed(p)), EVERY),
    "volume": (lambda p: p.mass_kg, EVERY),
    "interference": (
        lambda p: interferences(design(placed(p), placed(PLATE, "two", (1.0, 1.0, 1.0)))),
        EVERY,
    ),
    "facets": (lambda p: facets(placed(p), 0.1, True), EVERY),
    "way out": (lambda p: Sweeps([placed(p)]), EVERY),
    "explode": (lambda p: explode(design(placed(p))), EVERY),
    "flat faces": (lambda p: flat_faces(placed(p)), EVERY),
    "round faces": (lambda p: round_faces(placed(p)), EVERY),
    "lines": (lambda p: line_contacts(design(placed(p))), EVERY),
    "picture": (lambda p: projected(design(placed(p)), {}), EVERY),
    "drawing": (lambda p: part_sheets(p, FACTS), EVERY),
    "profile": (lambda p: write_profile(p, Path(tempfile.mkdtemp()) / "plate.dxf"), EVERY - {"a tube"}),
    "nest": (lambda p: nest([("one", p)], [SHEET], default_spec("router")), EVERY - {"a tube"}),
}  # fmt: skip


@pytest.mark.parametrize("feature", MADE)
@pytest.mark.parametrize("room", ROOMS)
def test_each_room_does_a_feature_or_refuses_it_by_name(room: str, feature: str) -> None:
    look, does = ROOMS[room]
    if feature in does:
        look(MADE[feature])
        return
    with pytest.raises(NotCovered, match=f"^plate: the [a-z ]+ of {feature} is not covered$"):
        look(MADE[feature])


def test_the_rooms_that_refuse_do_a_flat_piece() -> None:
    for room, (look, _) in ROOMS.items():
        if room not in ("profile", "nest"):
            look(PLATE)
    with pytest.raises(LayoutError):
        nest([("one", PLATE)], [], default_spec("router"))


#: Two flanks cut back on the near face, one end on the far one; by hand, 200 x 120 x 10.
WEDGE = replace(
    PLATE,
    bevels=(
        Bevel(edge=0, angle_rad=math.radians(30.0), side="near"),
        Bevel(edge=2, angle_rad=math.radians(30.0), side="near"),
        Bevel(edge=1, angle_rad=math.radians(45.0)),
    ),
)


def test_a_bevelled_piece_has_the_volume_and_inertia_of_its_mesh_and_of_the_closed_form() -> None:
    """By hand: sections run from 200 x (120 - 2 a) to (200 - 10) x 120 with a = 10 tan 30: their area by Simpson. The mesh is
    the kernel's, of plane faces, and trimesh integrates it; the facets close round the same volume."""
    a = 10.0 * math.tan(math.radians(30.0))
    by_hand = 10.0 * (200.0 * (120.0 - 2.0 * a) + 4.0 * 195.0 * (120.0 - a) + 190.0 * 120.0) / 6.0
    assert WEDGE.volume_mm3 == pytest.approx(by_hand, rel=1e-12)
    one = placed(WEDGE, origin=(5.0, -7.0, 11.0), x=(0.0, 1.0, 0.0), z=(1.0, 0.0, 0.0))
    made, body = mesh(WEDGE), piece_body(one)
    check = trimesh.Trimesh(
        np.array([one.world(*p) for p in made.points_mm]), made.triangles, process=True, merge_norm=True
    )
    assert check.is_watertight
    assert check.volume == pytest.approx(by_hand, rel=1e-9)
    check.density = WEDGE.stock.density_kg_m3 * 1e-9
    assert body.centre_mm == pytest.approx(check.center_mass, abs=1e-6)
    assert np.array(body.inertia_kg_mm2) == pytest.approx(check.moment_inertia, rel=1e-6, abs=1e-6)
    shape = facets(one, 0.1, True)
    rings = sum(
        float(ring[0] @ normal) * _spread(ring, normal)
        for (ring,), normal in zip(shape.rings, shape.ring_normals, strict=True)
    )
    walls = sum(
        float(quad[0] @ normal) * _spread(quad, normal) for quad, normal in zip(shape.quads, shape.normals, strict=True)
    )
    assert (rings + walls) / 3.0 == pytest.approx(by_hand, rel=1e-9)  # Gauss
    faces = flat_faces(one)
    assert sum(
        _flat_area(f.polygon) * sum(f.origin[k] * f.normal[k] for k in range(3)) for f in faces
    ) / 3.0 == pytest.approx(by_hand, rel=1e-9)
    assert sorted(f.end for f in faces) == ["bevel", "bevel", "bevel", "far", "near", "x-"]


def _spread(ring: Any, normal: Any) -> float:
    """Area of a flat ring, however it runs."""
    ends = zip(ring, [*ring[1:], ring[0]], strict=True)
    return abs(float(sum(np.cross(a, b) for a, b in ends) @ normal)) / 2.0


def _flat_area(points: Any) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True)) / 2.0


def test_two_bevels_make_a_mitre_that_is_one_seam_and_a_strip_slides_in_its_slot_one_way_only() -> None:
    """By hand: 45 degrees on both, 10 thick, a mitre 14.142 wide and 120 long. Flanks cut back on the near face hold the
    strip down: it leaves along the slot, and neither up nor to the side."""
    flat_one = replace(PLATE, bevels=(Bevel(edge=1, angle_rad=math.radians(45.0)),))
    up = replace(
        flat("up", rectangle(200.0, 120.0), thickness_mm=10.0), bevels=(Bevel(edge=3, angle_rad=math.radians(45.0)),)
    )
    corner = design(
        placed(flat_one, "flat"), placed(up, "up", (200.0, 0.0, 0.0), x=(0.0, 0.0, 1.0), z=(-1.0, 0.0, 0.0))
    )
    (seam,) = seams(corner)
    assert (seam.length_mm, seam.width_mm, seam.gap_mm) == pytest.approx((120.0, 10.0 * math.sqrt(2.0), 0.0), abs=1e-6)
    assert not interferences(corner)
    lean = math.radians(30.0)
    strip = replace(PLATE, bevels=(Bevel(edge=0, angle_rad=lean), Bevel(edge=2, angle_rad=lean)))
    jaw = replace(
        flat("jaw", rectangle(200.0, 40.0), thickness_mm=10.0), bevels=(Bevel(edge=2, angle_rad=lean, side="near"),)
    )
    back = 10.0 * math.tan(lean)
    slot = design(
        placed(strip, "strip"),
        placed(jaw, "left", (0.0, -40.0 + back - 0.2, 0.0)),
        placed(jaw, "right", (200.0, 160.0 - back + 0.2, 0.0), x=(-1.0, 0.0, 0.0)),
    )
    assert not interferences(slot)
    ways = Sweeps(slot.placed)
    others = np.array([False, True, True])
    assert ways.blocker(0, (1.0, 0.0, 0.0), others) is None
    assert all(ways.blocker(0, way, others) is not None for way in ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)))


GROOVED = replace(
    PLATE,
    pockets=(
        Pocket(outline=rectangle(60.0, 30.0, 20.0, 20.0), depth_mm=4.0, islands=(rectangle(30.0, 14.0, 35.0, 28.0),)),
        Pocket(outline=rectangle(40.0, 50.0, 120.0, 40.0), depth_mm=7.0, side="near"),
    ),
)


def test_the_inertia_of_a_piece_with_pockets_is_that_of_its_mesh() -> None:
    """Straight pockets make a body of plane faces: its mesh, from the kernel, is exact, and trimesh integrates it."""
    one = placed(GROOVED, origin=(5.0, -7.0, 11.0), x=(0.0, 1.0, 0.0), z=(1.0, 0.0, 0.0))
    made, body = mesh(GROOVED), piece_body(one)
    points = np.array([one.world(*p) for p in made.points_mm])
    check = trimesh.Trimesh(points, made.triangles, process=True, merge_norm=True)
    check.density = GROOVED.stock.density_kg_m3 * 1e-9
    assert body.mass_kg == pytest.approx(check.mass, rel=1e-9)
    assert body.centre_mm == pytest.approx(check.center_mass, abs=1e-6)
    assert np.array(body.inertia_kg_mm2) == pytest.approx(check.moment_inertia, rel=1e-6, abs=1e-6)


def test_the_inertia_of_a_tube_is_the_textbooks() -> None:
    """Hollow cylinder: m (R2 + r2) / 2 about its axis, m (3 (R2 + r2) + h2) / 12 across it (from memory)."""
    tube = MADE["a tube"]
    body = piece_body(placed(tube, origin=(10.0, 20.0, 30.0)))
    assert body.mass_kg == pytest.approx(tube.mass_kg, rel=1e-12)
    assert body.centre_mm == pytest.approx((40.0, 50.0, 130.0), rel=1e-12)
    squares = 30.0**2 + 27.0**2
    along, across = body.mass_kg * squares / 2.0, body.mass_kg * (3.0 * squares + 200.0**2) / 12.0
    assert np.array(body.inertia_kg_mm2) == pytest.approx(np.diag([across, across, along]), rel=1e-9, abs=1e-9)


def test_the_facets_of_a_piece_with_pockets_close_round_its_volume() -> None:
    """Divergence theorem over caps, floors and walls."""
    body = facets(placed(GROOVED, origin=(3.0, 5.0, -2.0)), 0.01, False)
    volume = 0.0
    for rings, normal in zip(body.rings, body.ring_normals, strict=True):
        areas = [abs(_area(ring)) for ring in rings]
        volume += float(rings[0][0] @ normal) * (areas[0] - sum(areas[1:])) / 3.0
    for quad, normal in zip(body.quads, body.normals, strict=True):
        area = np.linalg.norm(np.cross(quad[1] - quad[0], quad[3] - quad[0]))
        volume += float(quad.mean(axis=0) @ normal) * float(area) / 3.0
    assert volume == pytest.approx(GROOVED.volume_mm3, rel=1e-9)


def _area(ring: Any) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0


@pytest.mark.parametrize(("side", "up"), [("far", 1.0), ("near", -1.0)])
def test_a_piece_that_stands_in_a_pocket_meets_its_floor_and_walls_and_comes_out_one_way(side: str, up: float) -> None:
    """A tongue of 60 x 30 in a pocket of its own size, 4 deep: a floor of 1800 mm2, four walls of 4 mm, all at no gap."""
    base = replace(PLATE, pockets=(Pocket(outline=rectangle(60.0, 30.0, 20.0, 20.0), depth_mm=4.0, side=side),))  # type: ignore[arg-type]
    block = panel("block", 60.0, 30.0, 24.0)
    low = 6.0 if side == "far" else 4.0 - 24.0
    one = design(placed(base, "base"), placed(block, "block", (20.0, 20.0, low)))
    found = {(s.a_end, s.b_end): s for s in seams(one)}
    floor = found["pocket", "near" if side == "far" else "far"]
    assert (floor.area_mm2, floor.gap_mm) == pytest.approx((1800.0, 0.0), abs=1e-9)
    assert floor.normal == pytest.approx((0.0, 0.0, up))
    walls = [s for ends, s in found.items() if "pocket" not in ends]
    assert sorted(s.area_mm2 for s in walls) == pytest.approx([120.0, 120.0, 240.0, 240.0])
    assert len(found) == 5
    assert [s.gap_mm for s in walls] == pytest.approx([0.0] * 4, abs=1e-9)
    ways = Sweeps(one.placed)
    assert not ways.hits(1, 0, (0.0, 0.0, up))
    assert all(ways.hits(1, 0, way) for way in ((0.0, 0.0, -up), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    assert interferences(one) == ()
    assert [s.free for s in explode(one).steps] == [True, True]


def test_a_pocket_takes_its_opening_from_the_seam_over_it_and_a_disc_sits_in_a_round_one() -> None:
    """By hand: a cover of 100 x 80 over the pocket of 60 x 30 lies on 6200 mm2, and on the 30 x 14 that stand in it less a hole
    of 8; a disc of 49.8 in a recess of 50."""
    holed = replace(GROOVED, holes=(Hole(x_mm=50.0, y_mm=35.0, kind="through", diameter_mm=8.0),))
    cover = design(placed(holed, "base"), placed(panel("cover", 100.0, 80.0), "cover", (10.0, 10.0, 10.0)))
    areas = sorted(seam.area_mm2 for seam in seams(cover))
    assert areas == pytest.approx([420.0 - math.pi * 16.0, 8000.0 - 1800.0])
    recess = replace(PLATE, pockets=(Pocket(outline=Circle(100.0, 60.0, 25.0), depth_mm=4.0),))
    disc = flat("disc", Circle(24.9, 24.9, 24.9), thickness_mm=6.0, kind="disc")
    seated = design(placed(recess, "base"), placed(disc, "disc", (75.1, 35.1, 6.0)))
    by_ends = {(s.a_end, s.b_end): s for s in seams(seated)}
    assert by_ends["round", "round"].gap_mm == pytest.approx(0.1)
    assert by_ends["round", "round"].width_mm == pytest.approx(4.0)
    assert by_ends["pocket", "near"].gap_mm == pytest.approx(0.0, abs=1e-9)


RING = replace(
    flat("base", Circle(60.0, 60.0, 60.0), thickness_mm=10.0, kind="disc"),
    pockets=(Pocket(outline=Circle(60.0, 60.0, 50.5), depth_mm=3.0, islands=(Circle(60.0, 60.0, 44.5),)),),
    holes=(Hole(x_mm=90.0, y_mm=60.0, kind="through", diameter_mm=8.0),),
)


def test_a_tube_in_a_turned_groove_is_bonded_on_its_floor_and_has_play_at_its_sides() -> None:
    """By hand: the end of a tube of 100 by 5 covers pi 95 x 5 mm2 of the floor; 0.5 mm of play each side, 3 mm high."""
    tube = sawn_tube("tube", TubeStock(material="cast-pmma", outside_mm=100.0, wall_mm=5.0), 80.0)
    one = replace(
        design(placed(RING, "base"), placed(tube, "tube", (10.0, 10.0, 7.0))),
        joints=(Joint(a="base", b="tube", kind="groove"),),
    )
    found = {(s.a_end, round(s.area_mm2)): s for s in seams(one)}
    floor = next(s for s in found.values() if s.a_end == "pocket")
    assert (floor.kind, floor.gap_mm) == ("groove", pytest.approx(0.0, abs=1e-9))
    assert floor.area_mm2 == pytest.approx(math.pi * 95.0 * 5.0, rel=5e-3)
    sides = [s for s in found.values() if s.a_end == "round"]
    assert [(s.kind, s.gap_mm, s.width_mm) for s in sides] == [
        (GROOVE_SIDE, pytest.approx(0.5), pytest.approx(3.0))
    ] * 2
    assert interferences(one) == ()
    ways = Sweeps(one.placed)
    assert not ways.hits(1, 0, (0.0, 0.0, 1.0))
    assert all(ways.hits(1, 0, way) for way in ((0.0, 0.0, -1.0), (1.0, 0.0, 0.0)))
    rules = FitRules(allow=Allowances(tolerance_mm=0.1, repeat_mm=0.05, squareness_mm=0.05))
    assert check_fit(one, rules).passed
    tight = replace(one, placed=(one.placed[0], placed(tube, "tube", (10.6, 10.0, 7.0))))
    assert any(f.level == "stop" for f in check_fit(tight, rules).findings)


def test_a_hole_in_what_stands_in_a_groove_is_on_the_piece_and_one_in_its_floor_is_not() -> None:
    """By hand: 30 mm from the middle, 14.5 mm from the island's edge at 44.5; at 47.5 it is 3 mm in the groove."""
    (hole,) = RING.holes
    assert edge_distance_mm(RING, hole) == pytest.approx(14.5)
    assert edge_distance_mm(RING, replace(hole, x_mm=107.5)) == pytest.approx(-3.0)
    assert edge_distance_mm(RING, replace(hole, x_mm=115.0)) == pytest.approx(4.5)
    assert RING.openings_in(RING.pockets[0]) == ()
    ring = math.pi * (50.5**2 - 44.5**2) * 3.0
    assert RING.volume_mm3 == pytest.approx(math.pi * (3600.0 - 16.0) * 10.0 - ring)
    with pytest.raises(SeamwrightError, match="reaches out of it"):
        replace(RING, pockets=(replace(RING.pockets[0], islands=(Circle(60.0, 60.0, 51.0),)),))


def test_the_fit_of_a_tongue_too_long_for_its_pocket_is_a_stop() -> None:
    rules = FitRules(allow=Allowances(tolerance_mm=0.1, repeat_mm=0.05, squareness_mm=0.05))
    base = replace(PLATE, pockets=(Pocket(outline=rounded_rectangle(60.0, 30.0, 3.0, 20.0, 20.0), depth_mm=4.0),))
    one = design(placed(base, "base"), placed(panel("block", 60.5, 20.0, 24.0), "block", (19.75, 25.0, 6.0)))
    found = check_fit(one, rules)
    assert not found.passed
    assert found.interferences
    assert any("overlap of 0.250 mm" in f.why for f in found.findings)


def test_a_piece_that_leans_on_the_mouth_of_a_pocket_touches_along_a_line() -> None:
    """A plate that rises at 30 degrees over the mouth's upright edge: 30 mm long, open by 30 degrees on the face and by
    60 on the wall, which with the edge's 90 make a half turn."""
    lean = math.radians(30.0)
    along, out = (math.cos(lean), 0.0, math.sin(lean)), (-math.sin(lean), 0.0, math.cos(lean))
    mouth = (80.0, 20.0, 10.0)  # the edge of the pocket at x = 80 on the far face
    start = tuple(m - 40.0 * a for m, a in zip(mouth, along, strict=True))
    raised = placed(panel("leaf", 90.0, 30.0, 3.0), "leaf", start, x=along, z=out)  # type: ignore[arg-type]
    deep = replace(
        flat("plate", rectangle(200.0, 120.0), thickness_mm=40.0),
        pockets=(Pocket(outline=rectangle(60.0, 30.0, 20.0, 20.0), depth_mm=39.0),),
    )
    base = placed(deep, "base", (0.0, 0.0, -30.0))
    (line,) = line_contacts(design(base, raised))
    assert line.length_mm == pytest.approx(30.0)
    assert line.gaps_deg == pytest.approx((30.0, 60.0))
