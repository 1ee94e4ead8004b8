"""Order of assembly and exploded view. Sizes are invented; what is checked is geometry, by other means than the
code's own: sampled positions of boxes, points in polygons (shapely) and linear programmes (scipy)."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import design as sample_design
from samples import flat
from scipy.optimize import linprog
from starters import two_plates

from assemblies.design.model import Design, Placed
from assemblies.fit.apart.explode import Exploded, assembly_rows, explode, ways_out
from assemblies.fit.apart.sweep import ARC_SAGITTA_MM, Sweeps
from parts.shape.outline import Circle, Loop, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Role
from parts.vectors import Vector

UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
LAPS = list(permutations(("ends", "front-back", "bottom")))


def box(name: str, low: Vector, high: Vector, role: Role = "shell") -> Placed:
    """A rectangular piece that fills the box, its sheet across the thinnest side."""
    sizes = [b - a for a, b in zip(low, high, strict=True)]
    thin = sizes.index(min(sizes))
    x_axis, y_axis = (thin + 1) % 3, (thin + 2) % 3
    unit = np.eye(3)
    piece = flat(name, rectangle(sizes[x_axis], sizes[y_axis]), thickness_mm=sizes[thin], role=role)
    return Placed(name=name, piece=piece, origin=low, x=tuple(unit[x_axis]), z=tuple(unit[thin]))


def tank(size: Vector, t: float, laps: tuple[str, ...], *, lid: bool = False, plates: tuple[str, ...] = ()) -> Design:
    """An open box of outside size, any of the six lap orders, plates of 30 x 30 x 10 in the middle of faces."""
    length, width, height = size
    first = {group: k for k, group in enumerate(laps)}

    def inset(group: str, against: str) -> float:
        return 0.0 if first[group] < first[against] else t

    x, y = length / 2.0, width / 2.0
    fb, fz = inset("front-back", "ends"), inset("front-back", "bottom")
    ey, ez = inset("ends", "front-back"), inset("ends", "bottom")
    bx, by = inset("bottom", "ends"), inset("bottom", "front-back")
    pieces = [
        box("front", (-x + fb, -y, fz), (x - fb, -y + t, height)),
        box("back", (-x + fb, y - t, fz), (x - fb, y, height)),
        box("left", (-x, -y + ey, ez), (-x + t, y - ey, height)),
        box("right", (x - t, -y + ey, ez), (x, y - ey, height)),
        box("bottom", (-x + bx, -y + by, 0.0), (x - bx, y - by, t)),
    ]
    if lid:
        pieces.append(box("lid", (-x, -y, height), (x, y, height + t), role="lid"))
    z, p = height / 2.0, 15.0
    spots = {
        "front": ((-p, -y - 10.0, z - p), (p, -y, z + p)),
        "back": ((-p, y, z - p), (p, y + 10.0, z + p)),
        "left": ((-x - 10.0, -p, z - p), (-x, p, z + p)),
        "right": ((x, -p, z - p), (x + 10.0, p, z + p)),
        "bottom": ((-p, -p, -10.0), (p, p, 0.0)),
    }
    pieces.extend(box(f"plate-{on}", *spots[on], role="mount") for on in plates)
    return Design(name="tank", title="Tank", kind="tank", revision="A", placed=tuple(pieces))


def taken_apart(exploded: Exploded) -> list[str]:
    return [step.name for step in reversed(exploded.steps)]


def overlap(a: tuple[Vector, Vector], b: tuple[Vector, Vector], shift: Vector = (0.0, 0.0, 0.0)) -> bool:
    return all(min(a[1][k] + shift[k], b[1][k]) - max(a[0][k] + shift[k], b[0][k]) > 1e-6 for k in range(3))


def check_boxes_leave_freely(design: Design, exploded: Exploded) -> None:
    """Step by step, at sampled positions, by nothing but box against box."""
    there = {p.name: p for p in design.placed}
    for step in reversed(exploded.steps):
        mover = there.pop(step.name)
        for way in (*np.geomspace(1e-3, 2000.0, 60), 0.0):
            shift = tuple(c * way for c in step.direction)
            assert not any(overlap(mover.box, other.box, shift) for other in there.values()), step


def check_exploded_apart(design: Design, exploded: Exploded) -> None:
    moved = [
        tuple(tuple(c + o for c, o in zip(corner, exploded.offsets[p.name], strict=True)) for corner in p.box)
        for p in design.placed
    ]
    for i, a in enumerate(moved):
        for b in moved[:i]:
            assert not overlap(a, b)


@settings(max_examples=60)
@given(
    laps=st.sampled_from(LAPS),
    size=st.tuples(*(st.floats(80.0, 600.0) for _ in range(3))),
    t=st.floats(2.0, 25.0),
    lid=st.booleans(),
    plates=st.sets(st.sampled_from(["front", "back", "left", "right", "bottom"])),
)
def test_every_tank_comes_apart_and_is_laid_out_apart(
    laps: tuple[str, ...], size: Vector, t: float, lid: bool, plates: set[str]
) -> None:
    design = tank(size, t, laps, lid=lid, plates=tuple(sorted(plates)))
    exploded = explode(design)
    assert exploded.findings == ()
    assert sorted(s.name for s in exploded.steps) == sorted(p.name for p in design.placed)
    assert [s.step for s in exploded.steps] == list(range(1, len(design.placed) + 1))
    assert all(s.free for s in exploded.steps)
    assert all(math.isclose(math.hypot(*s.direction), 1.0) and s.distance_mm > 0.0 for s in exploded.steps)
    check_boxes_leave_freely(design, exploded)
    check_exploded_apart(design, exploded)
    last = [s.name for s in exploded.steps[len(exploded.steps) - len(plates) :]]
    assert sorted(last) == sorted(f"plate-{on}" for on in plates)


@pytest.mark.parametrize("laps", LAPS)
def test_each_panel_leaves_outward(laps: tuple[str, ...]) -> None:
    exploded = explode(tank((300.0, 200.0, 150.0), 6.0, laps, lid=True, plates=("bottom", "left")))
    ways = {s.name: s.direction for s in exploded.steps}
    assert ways["front"] == (0.0, -1.0, 0.0)
    assert ways["back"] == (0.0, 1.0, 0.0)
    assert ways["left"] == ways["plate-left"] == (-1.0, 0.0, 0.0)
    assert ways["right"] == (1.0, 0.0, 0.0)
    assert ways["bottom"] == ways["plate-bottom"] == DOWN
    assert ways["lid"] == UP


def test_order_is_plates_first_off_then_the_lowest_that_can_leave_then_by_name() -> None:
    """Written out by hand. Front and back run long, the bottom butts; the lower panels all start at height 0."""
    design = tank((300.0, 200.0, 150.0), 6.0, ("front-back", "bottom", "ends"), lid=True, plates=("bottom", "back"))
    assert taken_apart(explode(design)) == [
        "plate-bottom", "plate-back", "lid", "back", "bottom", "front", "left", "right",
    ]  # fmt: skip


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_where_the_normal_is_closed_a_piece_leaves_by_the_more_outward_way(side: float) -> None:
    """A slip between two walls and under a bar: free to both ends of the slot, and it goes to the nearer."""
    placed = (
        box("one", (-100.0, 0.0, 0.0), (100.0, 5.0, 60.0)),
        box("slip", (60.0 * side - 20.0, 5.0, 0.0), (60.0 * side + 20.0, 10.0, 50.0)),
        box("two", (-100.0, 10.0, 0.0), (100.0, 15.0, 60.0)),
        box("bar", (-100.0, 5.0, 50.0), (100.0, 10.0, 60.0)),
        box("floor", (-100.0, 0.0, -5.0), (100.0, 15.0, 0.0)),
    )
    design = Design(name="slot", title="Slot", kind="x", revision="A", placed=placed)
    low, high = np.array([p.box for p in placed]).min(axis=(0, 1)), np.array([p.box for p in placed]).max(axis=(0, 1))
    free = [
        way
        for way in ways_out(placed[1], tuple((low + high) / 2.0))
        if Sweeps(placed).blocker(1, way, np.ones(len(placed), dtype=bool)) is None
    ]
    assert free == [(side, 0.0, 0.0), (-side, 0.0, 0.0)]
    check_exploded_apart(design, explode(design))


def test_order_of_the_pieces_in_the_design_does_not_matter() -> None:
    design = sample_design()
    turned = Design(name="t", title="t", kind="tank", revision="A", placed=tuple(reversed(design.placed)))
    assert explode(design) == explode(turned)


def test_a_nested_plate_goes_further_out_than_what_it_sits_on() -> None:
    design = sample_design()
    exploded = explode(design)
    offsets = exploded.offsets
    assert offsets["plate-1"][2] < offsets["bottom"][2] < 0.0
    plate, bottom = design.instance("plate-1"), design.instance("bottom")
    assert plate.box[1][2] + offsets["plate-1"][2] < bottom.box[0][2] + offsets["bottom"][2]
    check_exploded_apart(design, exploded)


def test_opposite_walls_go_equally_far() -> None:
    by_name = {s.name: s.distance_mm for s in explode(sample_design()).steps}
    assert by_name["left"] == by_name["right"]
    assert by_name["front"] == by_name["back"]


def closed_box(inside: Placed) -> Design:
    """Laps that close: bottom and lid full size, so that what is inside waits for a wall or a lid."""
    walls = tank((200.0, 150.0, 100.0), 5.0, ("bottom", "front-back", "ends"), lid=True)
    return Design(name="closed", title="Closed", kind="enclosure", revision="A", placed=(*walls.placed, inside))


def test_a_piece_shut_in_waits_until_a_wall_is_out() -> None:
    # lowest first: the bottom goes, then the piece would be free only downward through it, if nothing else holds it
    shut_in = box("shelf", (-90.0, -65.0, 40.0), (90.0, 65.0, 45.0))
    design = closed_box(shut_in)
    order = taken_apart(explode(design))
    assert order.index("shelf") > 0
    sweeps = Sweeps(design.placed)
    there = np.ones(len(design.placed), dtype=bool)
    number = [p.name for p in design.placed].index("shelf")
    for way in (UP, DOWN, (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)):
        assert sweeps.blocker(number, way, there) is not None
    there[[p.name for p in design.placed].index("lid")] = False
    assert sweeps.blocker(number, UP, there) is None
    check_boxes_leave_freely(design, explode(design))


def interlocked() -> tuple[Placed, Placed]:
    """Two links of a chain: each a square frame round one bar of the other."""
    frame = flat("link", rectangle(60.0, 60.0), inner=(rectangle(40.0, 40.0, 10.0, 10.0),), thickness_mm=5.0)
    return (
        Placed(name="link-a", piece=frame, origin=(0.0, 0.0, 0.0)),
        Placed(name="link-b", piece=frame, origin=(30.0, 32.5, -30.0), z=(0.0, -1.0, 0.0)),
    )


def test_pieces_that_lock_each_other_are_named_and_still_laid_out() -> None:
    bystander = box("marker", (200.0, 0.0, 0.0), (220.0, 20.0, 5.0))
    design = Design(name="chain", title="Chain", kind="x", revision="A", placed=(*interlocked(), bystander))
    exploded = explode(design)
    (finding,) = exploded.findings
    assert finding.level == "care"
    assert finding.where == "link-a, link-b"
    assert sum(not s.free for s in exploded.steps) == 1
    check_exploded_apart(design, exploded)


def test_a_locked_piece_does_not_blame_those_it_merely_stands_behind() -> None:
    """The chain lies in an open tray: the tray's floor and walls are no part of the lock."""
    tray = [
        box("under", (-30.0, -30.0, -50.0), (120.0, 100.0, -45.0)),
        box("wall", (-35.0, -30.0, -45.0), (-30.0, 100.0, 60.0)),
    ]
    design = Design(name="chain", title="Chain", kind="x", revision="A", placed=(*tray, *interlocked()))
    (finding,) = explode(design).findings
    assert finding.where == "link-a, link-b"


def test_a_piece_that_is_stuck_only_because_others_lock_is_not_named() -> None:
    """A peg in a blind hole of one link, under a bar of the other: it has no way out either, but locks nobody."""
    one, two = interlocked()
    hole = Hole(x_mm=55.0, y_mm=30.0, kind="blind", diameter_mm=4.0, depth_mm=3.0, side="far")
    one = replace(one, piece=replace(one.piece, holes=(hole,)))
    peg = Placed(name="peg", piece=flat("peg", Circle(2.0, 2.0, 2.0), thickness_mm=3.0), origin=(53.0, 28.0, 2.0))
    design = Design(name="chain", title="Chain", kind="x", revision="A", placed=(one, two, peg))
    exploded = explode(design)
    (finding,) = exploded.findings
    assert finding.where == "link-a, link-b"
    assert {s.name: s.free for s in exploded.steps}["peg"]


def ring_and_disc(gap_mm: float = 0.0) -> Design:
    ring = flat("ring", Circle(50.0, 50.0, 50.0), inner=(Circle(50.0, 50.0, 30.0),), kind="ring")
    disc = flat("disc", Circle(30.0 - gap_mm, 30.0 - gap_mm, 30.0 - gap_mm), kind="disc")
    # turned by an angle that puts the chords of the two circles out of step
    x = (math.cos(0.1234), math.sin(0.1234), 0.0)
    centre = 30.0 - gap_mm
    corner = (50.0 - centre * (x[0] - x[1]), 50.0 - centre * (x[1] + x[0]), 0.0)
    placed = (
        Placed(name="ring", piece=ring, origin=(0.0, 0.0, 0.0)),
        Placed(name="disc", piece=disc, origin=corner, x=x),
    )
    return Design(name="ring", title="Ring", kind="x", revision="A", placed=placed)


@pytest.mark.parametrize("gap_mm", [0.0, 0.2])
def test_a_disc_leaves_a_ring_along_its_axis_and_not_sideways(gap_mm: float) -> None:
    design = ring_and_disc(gap_mm)
    sweeps = Sweeps(design.placed)
    assert not sweeps.hits(1, 0, UP)
    assert not sweeps.hits(1, 0, DOWN)
    for angle in np.linspace(0.0, math.tau, 9):
        assert sweeps.hits(1, 0, (math.cos(angle), math.sin(angle), 0.0))
    exploded = explode(design)
    assert exploded.findings == ()
    check_exploded_apart(design, exploded)


def test_a_disc_larger_than_the_ring_by_more_than_the_chords_leave_is_held() -> None:
    design = ring_and_disc(-3.0 * ARC_SAGITTA_MM)
    assert Sweeps(design.placed).hits(1, 0, UP)


def test_a_rod_passes_a_bore_along_it_only_and_a_blind_hole_one_way_only() -> None:
    def holed(depth_mm: float | None) -> Placed:
        hole = Hole(x_mm=20.0, y_mm=20.0, kind="through", diameter_mm=10.0, depth_mm=depth_mm, side="far")
        piece = flat("plate", rectangle(40.0, 40.0), holes=(hole,), thickness_mm=10.0)
        return Placed(name="plate", piece=piece, origin=(0.0, 0.0, 0.0))

    rod = Placed(name="rod", piece=flat("rod", Circle(5.0, 5.0, 5.0), thickness_mm=50.0), origin=(15.0, 15.0, 4.0))
    through, blind = Sweeps((holed(None), rod)), Sweeps((holed(6.0), rod))
    assert not through.hits(1, 0, UP)
    assert not through.hits(1, 0, DOWN)
    assert not blind.hits(1, 0, UP)
    assert blind.hits(1, 0, DOWN)
    assert through.hits(1, 0, (1.0, 0.0, 0.0))
    assert blind.hits(1, 0, (1.0, 0.0, 0.0))


def test_faces_that_touch_slide_and_a_real_overlap_does_not() -> None:
    a = box("a", (0.0, 0.0, 0.0), (50.0, 50.0, 5.0))
    for deep, hit in ((0.0, False), (5e-7, False), (2e-6, True), (0.3, True)):
        b = box("b", (0.0, 0.0, 5.0 - deep), (50.0, 50.0, 10.0 - deep))
        assert Sweeps((a, b)).hits(0, 1, (1.0, 0.0, 0.0)) is hit
        assert Sweeps((a, b)).hits(0, 1, DOWN) is hit
        assert Sweeps((a, b)).hits(0, 1, UP)


def test_the_role_says_what_goes_on_last_whatever_a_piece_is_called_or_made_by() -> None:
    lid = box("hood", (-50.0, -40.0, 60.0), (50.0, 40.0, 65.0))
    open_box = tank((100.0, 80.0, 60.0), 5.0, ("front-back", "ends", "bottom"))
    orders = {}
    for role in ("shell", "lid", "stiffener", "mount"):
        hood = replace(lid, piece=replace(lid.piece, role=role))
        orders[role] = [s.name for s in explode(replace(open_box, placed=(*open_box.placed, hood))).steps]
    assert {role: names[-1] == "hood" for role, names in orders.items()} == {
        "shell": False, "lid": True, "stiffener": True, "mount": True,
    }  # fmt: skip


def test_a_plate_that_others_shut_in_is_a_care_and_comes_later() -> None:
    design = closed_box(box("plate", (-15.0, -15.0, 5.0), (15.0, 15.0, 15.0), role="mount"))
    exploded = explode(design)
    (finding,) = exploded.findings
    assert finding.level == "care"
    assert finding.where == "plate"
    assert taken_apart(exploded)[:2] == ["lid", "plate"]
    check_boxes_leave_freely(design, exploded)


# Independent proof for slanted convex pieces: the largest ball that fits into both, the mover anywhere on its way.


def half_spaces(placed: Placed) -> tuple[np.ndarray, np.ndarray]:
    points = np.array([(v.x_mm, v.y_mm) for v in placed.piece.outline.outer.vertices])
    edges = np.roll(points, -1, axis=0) - points
    flat_normals = np.column_stack([edges[:, 1], -edges[:, 0]]) / np.linalg.norm(edges, axis=1)[:, None]
    axes = np.array([placed.x, placed.y, placed.z])
    normals = np.column_stack([flat_normals, np.zeros(len(points))]) @ axes
    limits = (flat_normals * points).sum(axis=1) + normals @ np.array(placed.origin)
    top = np.array([placed.z, [-c for c in placed.z]])
    ends = top @ np.array(placed.origin) + np.array([placed.piece.thickness_mm, 0.0])
    return np.vstack([normals, top]), np.concatenate([limits, ends])


def deepest_ball(mover: Placed, other: Placed, way: Vector) -> float:
    n1, b1 = half_spaces(mover)
    n2, b2 = half_spaces(other)
    rows = np.vstack(
        [
            np.column_stack([n1, -(n1 @ np.array(way)), np.ones(len(n1))]),
            np.column_stack([n2, np.zeros(len(n2)), np.ones(len(n2))]),
        ]
    )
    got = linprog(
        [0, 0, 0, 0, -1], A_ub=rows, b_ub=np.concatenate([b1, b2]),
        bounds=[(None, None)] * 3 + [(0, None), (None, 1.0)],
    )  # fmt: skip
    assert got.status == 0
    return float(-got.fun)


def random_prism(name: str, rng: random.Random) -> Placed:
    angles = sorted(rng.uniform(0.0, math.tau) for _ in range(rng.randint(3, 7)))
    raw = [(30.0 * math.cos(a), 30.0 * math.sin(a)) for a in angles]
    x0, y0 = min(p[0] for p in raw), min(p[1] for p in raw)
    outer = Loop(tuple(Vertex(x - x0, y - y0) for x, y in raw))
    turn = np.linalg.qr(np.array([[rng.gauss(0.0, 1.0) for _ in range(3)] for _ in range(3)]))[0]
    piece = flat(name, outer, thickness_mm=rng.uniform(3.0, 20.0))
    origin = tuple(rng.uniform(-50.0, 50.0) for _ in range(3))
    return Placed(name=name, piece=piece, origin=origin, x=tuple(turn[0]), z=tuple(turn[2]))


def test_slanted_pieces_agree_with_a_linear_programme() -> None:
    rng = random.Random(7)
    seen = {True: 0, False: 0}
    while min(seen.values()) < 60:
        a, b = random_prism("a", rng), random_prism("b", rng)
        way = np.array([rng.gauss(0.0, 1.0) for _ in range(3)])
        direction: Vector = tuple(way / np.linalg.norm(way))
        ball = deepest_ball(a, b, direction)
        if 0.0 <= ball < 1e-3:  # so thin that the two measures of depth may differ
            continue
        hit = Sweeps((a, b)).hits(0, 1, direction)
        assert hit is (ball > 0.0)
        seen[hit] += 1


def in_material(placed: Placed, points: np.ndarray) -> np.ndarray:
    """Points in the world that lie inside the piece, by shapely on its own plane (holes that go through only)."""
    local = (points - np.array(placed.origin)) @ np.array([placed.x, placed.y, placed.z]).T
    outline = placed.piece.profile
    shape = shapely.Polygon(outline.outer.points(1e-4), [loop.points(1e-4) for loop in outline.inner])
    inside = shapely.contains_xy(shape, local[:, 0], local[:, 1])
    return inside & (local[:, 2] > 1e-3) & (local[:, 2] < placed.piece.thickness_mm - 1e-3)


def test_what_leaves_freely_has_no_point_inside_another_anywhere_on_its_way() -> None:
    """Curved pieces, rings, slots and bores at odd angles; points of the mover tried at sampled positions."""
    rng = np.random.default_rng(11)
    shapes = [
        flat("ring", Circle(40.0, 40.0, 40.0), inner=(Circle(40.0, 40.0, 31.0),)),
        flat("frame", rounded_rectangle(90.0, 70.0, 12.0), inner=(rounded_rectangle(60.0, 40.0, 9.0, 15.0, 15.0),)),
        flat("rod", Circle(9.0, 9.0, 9.0), thickness_mm=25.0),
        flat("holed", rectangle(60.0, 60.0), holes=(Hole(x_mm=30.0, y_mm=30.0, kind="through", diameter_mm=42.0),)),
    ]  # fmt: skip
    free = blocked = grazed = 0
    for _ in range(120):
        one, two = (shapes[k] for k in rng.integers(0, 4, 2))
        turn = np.linalg.qr(rng.normal(size=(3, 3)))[0] if rng.random() < 0.5 else np.eye(3)
        a = Placed(name="a", piece=one, origin=tuple(rng.uniform(-40, 20, 3)), x=tuple(turn[0]), z=tuple(turn[2]))
        b = Placed(name="b", piece=two, origin=(0.0, 0.0, 0.0))
        size = np.array(one.size_mm)
        points = rng.uniform(0.0, 1.0, (1500, 3)) * size @ np.array([a.x, a.y, a.z]) + np.array(a.origin)
        points = points[in_material(a, points)]
        direction: Vector = (UP, (1.0, 0.0, 0.0), tuple(np.array([0.6, 0.0, 0.8])))[rng.integers(0, 3)]
        tries = np.concatenate([points + way * np.array(direction) for way in np.linspace(0.0, 250.0, 60)])
        struck = bool(in_material(b, tries).any())
        hit = Sweeps((a, b)).hits(0, 1, direction)
        assert hit >= struck
        free += not hit
        blocked += struck
        grazed += hit and not struck
    assert free > 15
    assert blocked > 15
    assert grazed <= 1  # one pair overlaps by a sliver that no sampled point lies in


def test_report_rows_are_plain_data_in_order_of_assembly() -> None:
    rows = assembly_rows(explode(sample_design()))
    assert [row["step"] for row in rows] == list(range(1, 8))
    assert set(rows[0]) == {"step", "name", "direction", "distance", "carrier"}
    assert rows[-1]["name"] == "plate-1"
    assert all(type(c) is float for row in rows for c in row["direction"])


def test_an_empty_design_has_no_steps() -> None:
    assert explode(Design(name="n", title="n", kind="x", revision="A", placed=())).steps == ()


def test_importing_it_loads_neither_kernel_nor_shapely() -> None:
    heavy = "('OCP', 'cadquery', 'shapely', 'scipy')"
    code = f"import sys, assemblies.fit.apart.explode; print([m for m in {heavy} if m in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_a_loose_lid_goes_on_after_everything_that_is_bonded_but_the_plates() -> None:
    from asked import ask

    from assemblies.kinds import schemas
    from assemblies.order import read_order_text

    text = two_plates().replace('lid       = "none"', 'lid = "loose"')
    found = ask(read_order_text(text, schemas()), "fit")
    names = [row["name"] for row in found.report["assembly"]]
    assert names[-7] == "lid"
    assert all(n.startswith("plate") for n in names[-2:])
    assert {n.split("-")[0] for n in names[-6:-2]} == {"locator"}
    carriers = {row["name"]: row["carrier"] for row in found.report["assembly"]}
    assert carriers == {n: "lid" if n.startswith("locator") else None for n in names}


STRIPS = {
    "rim": '[[strip]]\nwhere = "rim"\nsize = [30, 6]\n',
    "inside-corner": '[[strip]]\nwhere = "inside-corner"\nsize = [12, 12]\n',
    "brace": '[[strip]]\nwhere = "brace"\nsize = [40, 6]\nat = [-60, 60]\n',
}


@pytest.mark.parametrize("lid", ["none", "loose", "bonded", "screwed"])
@pytest.mark.parametrize("laps", LAPS)
def test_strips_and_lid_come_after_what_they_are_bonded_to_and_plates_last(lid: str, laps: tuple[str, ...]) -> None:
    """Every bonded seam that the fit finds: the strip, lid or plate of it comes later than the wall or floor."""
    from assemblies.examine import begin
    from assemblies.fit import seams
    from assemblies.kinds import schemas
    from assemblies.order import read_order_text

    strips = [text for where, text in STRIPS.items() if where != "brace" or lid == "none"]
    text = two_plates().replace('lid       = "none"', f'lid = "{lid}"') + "\n" + "".join(strips)
    text = text.replace('["front-back", "bottom", "ends"]', str(list(laps)).replace("'", '"'))
    design = begin(read_order_text(text, schemas())).design
    exploded = explode(design)
    assert exploded.findings == ()
    check_exploded_apart(design, exploded)
    step = {s.name: s.step for s in exploded.steps}
    bonded = [(s.a, s.b) for s in seams(design) if s.kind == "bonded"]
    stage = dict.fromkeys(step, 1) | dict.fromkeys(("left", "right", "front", "back", "bottom"), 0)
    stage |= {n: 3 for n in step if n.startswith(("plate", "locator"))} | {"lid": 2}  # a loose lid carries its locators
    apart = [pair for pair in bonded if stage[pair[0]] != stage[pair[1]]]
    assert {n.split("-")[0] for pair in apart for n in pair} >= {"rim", "corner", "plate", "bottom"}
    for one, other in apart:
        assert (step[one] < step[other]) is (stage[one] < stage[other]), (one, other)
    assert [s.name.startswith("plate") for s in exploded.steps[-2:]] == [True, True]


def test_what_goes_away_from_the_eye_is_drawn_clear_of_strips_and_lid_that_come_later() -> None:
    """The back wall of a tank with a rim and a lid: its middle is seen, though both are put on after it."""
    from assemblies.examine import begin
    from assemblies.kinds import schemas
    from assemblies.order import read_order_text

    text = two_plates().replace('lid       = "none"', 'lid = "screwed"') + "\n" + STRIPS["rim"]
    design = begin(read_order_text(text, schemas())).design
    exploded = explode(design)
    back = design.instance("back").box
    middle = np.array(back).mean(axis=0) + exploded.offsets["back"]
    for other in design.placed:
        if other.name != "back":
            low, high = (np.array(c) + exploded.offsets[other.name] for c in other.box)
            on_the_way = middle + np.linspace(0.0, 900.0, 4000)[:, None] * np.array([1.0, -1.0, 1.0]) / math.sqrt(3.0)
            assert not ((on_the_way > low) & (on_the_way < high)).all(axis=1).any(), other.name
