"""Seams, held to polygons cut by shapely, to motions of the whole design, and to places worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import design, flat, panel, tank, tapped_plate
from shapely import Point, Polygon
from shapely.affinity import rotate, translate

from assemblies.design.model import Design, Fastener, Joint, Placed
from assemblies.fit import FitRules, Seam, check_fit, seams
from assemblies.fit.apart.explode import explode
from assemblies.fit.joints import JOINT_KINDS, JointKind, Judged
from assemblies.fit.tolerance import Allowances, captive_loops
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.order import read_order_text
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.shape.outline import Circle, Loop, Vertex, rectangle
from parts.shape.piece import Hole, Piece
from parts.vectors import Vector

ALLOW = Allowances(tolerance_mm=0.25, repeat_mm=0.05, squareness_mm=0.05)


def flat_on(name: str, piece: Piece, origin: Vector, turn_rad: float = 0.0) -> Placed:
    """An instance lying flat, turned about its lower-left corner."""
    return Placed(name=name, piece=piece, origin=origin, x=(math.cos(turn_rad), math.sin(turn_rad), 0.0))


def on_top(
    upper: Piece, at: tuple[float, float], turn_rad: float = 0.0, lower: Piece | None = None, gap: float = 0.0
) -> Design:
    """A piece on a 200 x 120 sheet, 6 mm thick."""
    below = lower or panel("below", 200.0, 120.0)
    return design(flat_on("below", below, (0, 0, 0)), flat_on("above", upper, (*at, 6.0 + gap), turn_rad))


def bored(name: str, width: float, height: float, *holes: tuple[float, float, float]) -> Piece:
    return flat(
        name, rectangle(width, height),
        holes=tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=d) for x, y, d in holes),
    )  # fmt: skip


def shape(piece: Piece, at: tuple[float, float] = (0.0, 0.0), turn_rad: float = 0.0) -> Polygon:
    """The piece seen from above, by shapely alone."""
    width, height, _ = piece.size_mm
    out = Polygon([(0, 0), (width, 0), (width, height), (0, height)])
    for hole in piece.holes:
        out = out.difference(Point(hole.x_mm, hole.y_mm).buffer(hole.diameter_mm / 2, quad_segs=500))
    return translate(rotate(out, turn_rad, origin=(0, 0), use_radians=True), *at)


PLACES = st.tuples(st.floats(-90, 190), st.floats(-70, 110))


@given(PLACES, st.floats(-math.pi, math.pi), st.floats(10, 150), st.floats(10, 90))
def test_the_overlap_of_two_panels_is_the_polygon_shapely_cuts(
    at: tuple[float, float], turn: float, w: float, h: float
) -> None:
    upper, lower = panel("above", w, h), panel("below", 200.0, 120.0)
    expected = shape(lower).intersection(shape(upper, at, turn))
    found = seams(on_top(upper, at, turn))
    flat_ones = [s for s in found if (s.a_end, s.b_end) == ("far", "near")]
    if expected.area < 1e-2:
        assert not [s for s in flat_ones if s.area_mm2 > 2e-2]
        return
    (seam,) = flat_ones
    assert seam.area_mm2 == pytest.approx(expected.area, rel=1e-9, abs=1e-6)
    corners = Polygon([(x, y) for x, y, _ in seam.corners])
    assert corners.symmetric_difference(expected).area < 1e-6 * max(1.0, expected.area)
    assert seam.centre[:2] == pytest.approx((expected.centroid.x, expected.centroid.y), abs=1e-5)
    assert seam.centre[2] == pytest.approx(6.0)
    box = expected.minimum_rotated_rectangle
    assert seam.length_mm * seam.width_mm == pytest.approx(box.area, rel=1e-6, abs=1e-4)


HOLES = st.lists(st.tuples(st.floats(12, 60), st.floats(12, 40), st.floats(3, 20)), max_size=2)


@given(PLACES, st.floats(-math.pi, math.pi), HOLES, HOLES)
@settings(max_examples=60)
def test_holes_of_either_piece_come_off_the_area(at: tuple[float, float], turn: float, up: Any, low: Any) -> None:
    if any(math.dist(a[:2], b[:2]) < 21 for holes in (up, low) for a in holes for b in holes if a is not b):
        return  # holes that run into each other
    upper, lower = bored("above", 80, 60, *up), bored("below", 200, 120, *low)
    expected = shape(lower).intersection(shape(upper, at, turn))
    found = [s for s in seams(on_top(upper, at, turn, lower)) if (s.a_end, s.b_end) == ("far", "near")]
    total = sum(s.area_mm2 for s in found)
    # Circles that cross a border or each other are cut as polygons of 256 sides: 1e-4 of a circle's area each.
    circles = sum(math.pi * d * d / 4 for *_, d in [*up, *low])
    assert total == pytest.approx(expected.area, rel=1e-7, abs=2e-2 + 2e-4 * circles)


def test_blind_holes_open_on_one_face_only() -> None:
    """A tapped plate bored from its far face: whole on its near face, four bores of 5.2 on the far one."""
    below = design(flat_on("below", panel("below", 200, 120), (0, 0, 0)), flat_on("plate", tapped_plate(), (20, 20, 6)))
    above = design(flat_on("plate", tapped_plate(), (20, 20, 0)), flat_on("lid", panel("lid", 200, 120), (0, 0, 12)))
    assert seams(below)[0].area_mm2 == pytest.approx(2500.0, rel=1e-12)
    assert seams(above)[0].area_mm2 == pytest.approx(2500.0 - 4 * math.pi * 2.6**2, rel=1e-12)


def test_a_countersink_opens_wider_on_its_own_face() -> None:
    sunk = flat(
        "sunk",
        rectangle(80, 60),
        holes=(Hole(x_mm=40, y_mm=30, kind="countersunk", diameter_mm=5, sink_mm=10, side="far"),),
    )
    top = design(flat_on("sunk", sunk, (0, 0, 0)), flat_on("on", panel("on", 80, 60), (0, 0, 6)))
    bottom = design(flat_on("under", panel("under", 80, 60), (0, 0, -6)), flat_on("sunk", sunk, (0, 0, 0)))
    assert seams(top)[0].area_mm2 == pytest.approx(4800 - math.pi * 25, rel=1e-12)
    assert seams(bottom)[0].area_mm2 == pytest.approx(4800 - math.pi * 6.25, rel=1e-12)


def test_holes_on_one_axis_count_once_by_the_wider() -> None:
    both = on_top(bored("above", 80, 60, (40, 30, 6)), (20, 20), lower=bored("below", 200, 120, (60, 50, 9)))
    assert seams(both)[0].area_mm2 == pytest.approx(4800 - math.pi * 4.5**2, rel=1e-12)


def test_holes_that_cross_count_their_common_part_once() -> None:
    """Two holes of 10 mm, 6 mm apart: the lens they share is 2 r2 acos(d/2r) - d/2 sqrt(4 r2 - d2)."""
    both = on_top(bored("above", 80, 60, (40, 30, 10)), (20, 20), lower=bored("below", 200, 120, (66, 50, 10)))
    lens = 2 * 25 * math.acos(0.6) - 3 * math.sqrt(100 - 36)
    assert seams(both)[0].area_mm2 == pytest.approx(4800 - (2 * math.pi * 25 - lens), abs=0.05)  # circles as 256 sides
    wide = on_top(
        bored("above", 80, 60, (40, 30, 30)), (20, 20), lower=bored("below", 200, 120, (54, 50, 6), (66, 50, 6))
    )
    assert seams(wide)[0].area_mm2 == pytest.approx(4800 - math.pi * 225, rel=1e-12)


def test_cut_outs_and_notches_come_off_the_area() -> None:
    notched = flat(
        "above",
        Loop(tuple(Vertex(*p) for p in [(0, 0), (80, 0), (80, 60), (50, 60), (50, 30), (30, 30), (30, 60), (0, 60)])),
    )
    window = flat("below", rectangle(200, 120), inner=(rectangle(20, 10, 25, 25),))
    (seam,) = [s for s in seams(on_top(notched, (20, 20), lower=window)) if s.a_end == "far"]
    assert seam.area_mm2 == pytest.approx(80 * 60 - 20 * 30 - 20 * 10, rel=1e-9)


@pytest.mark.parametrize(("gap", "found"), [(0.0, True), (0.7, True), (-0.7, True), (1.3, False), (-1.3, False)])
def test_a_gap_is_signed_and_found_within_the_search_distance(gap: float, found: bool) -> None:
    hits = [s for s in seams(on_top(panel("above", 80, 60), (20, 20), gap=gap)) if s.a_end == "far"]
    assert [s.gap_mm for s in hits] == ([pytest.approx(gap, abs=1e-12)] if found else [])
    assert bool([s for s in seams(on_top(panel("above", 80, 60), (20, 20), gap=gap), 2.0) if s.a_end == "far"])


def test_pieces_that_only_share_a_corner_or_an_edge_line_have_no_seam() -> None:
    for at in ((200.0, 120.0, 6.0), (200.0, 0.0, 6.0), (0.0, 120.0, 6.0), (200.0, 120.0, 0.0)):
        assert seams(design(flat_on("a", panel("a", 200, 120), (0, 0, 0)), flat_on("b", panel("b", 50, 50), at))) == ()


def test_faces_of_one_piece_and_faces_turned_the_same_way_have_no_seam() -> None:
    assert seams(design(flat_on("a", panel("a", 200, 120, 0.5), (0, 0, 0)))) == ()
    stacked = design(flat_on("a", panel("a", 200, 120), (0, 0, 0)), flat_on("b", panel("b", 200, 120), (300, 0, 0)))
    assert seams(stacked) == ()


# --- tilt ------------------------------------------------------------------------------------------------------------


def leaning(tilt_rad: float) -> Design:
    """A 80 x 60 panel on the sheet, lifted by turning about its own lower edge (its x)."""
    z = (0.0, -math.sin(tilt_rad), math.cos(tilt_rad))
    return design(
        flat_on("below", panel("below", 200, 120), (0, 0, 0)),
        Placed(name="above", piece=panel("above", 80, 60), origin=(20, 20, 6), z=z),
    )


@pytest.mark.parametrize("tilt_rad", [0.001, 0.003, 0.008])
def test_a_piece_a_little_askew_is_found_with_its_greatest_gap(tilt_rad: float) -> None:
    (seam,) = seams(leaning(tilt_rad))
    assert seam.gap_mm == pytest.approx(60 * math.sin(tilt_rad), rel=1e-4)
    fit = check_fit(leaning(tilt_rad), FitRules(allow=ALLOW), solids=False)
    assert any(f.where == "below and above" and f"a gap of {seam.gap_mm:.3f} mm" in f.why for f in fit.findings)


def test_a_piece_askew_into_the_sheet_is_an_overlap() -> None:
    (seam,) = seams(leaning(-0.005))
    assert seam.gap_mm == pytest.approx(-60 * math.sin(0.005), rel=1e-4)


@pytest.mark.parametrize("tilt_rad", [0.02, 0.3, math.pi / 4])
def test_a_leaning_piece_has_no_seam_and_is_said_to_touch_nothing(tilt_rad: float) -> None:
    assert seams(leaning(tilt_rad)) == ()
    fit = check_fit(leaning(tilt_rad), FitRules(allow=ALLOW), solids=False)
    assert [f.level for f in fit.findings if "touches nothing" in f.why] == ["stop"]


# --- round -----------------------------------------------------------------------------------------------------------


def disc_in_ring(hole_d: float, disc_d: float, aside: float = 0.0, up: float = 0.0) -> Design:
    ring = flat(
        "ring", Circle(80.0, 80.0, 80.0), inner=(Circle(80.0, 80.0, hole_d / 2),), kind="ring", thickness_mm=10.0
    )
    r = disc_d / 2
    disc = flat("disc", Circle(r, r, r), kind="disc", thickness_mm=6.0)
    return design(flat_on("ring", ring, (-80, -80, 0)), flat_on("disc", disc, (aside - r, -r, up)))


@pytest.mark.parametrize(("up", "width"), [(0.0, 6.0), (3.0, 6.0), (7.0, 3.0), (-2.0, 4.0)])
def test_a_disc_in_a_ring_is_one_round_seam(up: float, width: float) -> None:
    (seam,) = seams(disc_in_ring(100.0, 99.8, up=up))
    assert (seam.a, seam.b, seam.a_end, seam.b_end) == ("ring", "disc", "round", "round")
    assert seam.gap_mm == pytest.approx(0.1, abs=1e-9)
    assert seam.width_mm == pytest.approx(width)
    assert seam.area_mm2 == pytest.approx(math.pi * 99.8 * width)


def test_a_disc_off_the_middle_is_measured_at_its_narrowest() -> None:
    (seam,) = seams(disc_in_ring(100.0, 99.0, aside=0.3))
    assert seam.gap_mm == pytest.approx(0.2, abs=1e-9)
    assert seams(disc_in_ring(100.0, 99.0, up=11.0)) == ()
    assert seams(disc_in_ring(100.0, 90.0)) == ()


def test_a_disc_in_a_ring_is_captive_by_the_difference_of_the_diameters() -> None:
    (loop,) = captive_loops(d := disc_in_ring(100.0, 99.8), seams(d), ALLOW)
    assert (loop.piece, loop.between) == ("disc", ("ring", "ring"))
    assert loop.left_over_mm == pytest.approx(0.2)
    assert [(t.piece, t.size, t.sign, round(t.nominal_mm, 6)) for t in loop.terms] == [
        ("ring", "diameter", 1, 100.0),
        ("disc", "diameter", -1, 99.8),
    ]
    assert (loop.spread_mm, loop.rss_mm) == pytest.approx((0.5, 0.25 * math.sqrt(2)))


# --- motion of the whole -----------------------------------------------------------------------------------------------


def turned(one: Design, q: tuple[float, float, float, float], by: Vector) -> Design:
    """The design turned by a quaternion and moved."""
    w, x, y, z = np.array(q) / np.linalg.norm(q)
    m = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )

    def vector(v: Vector, move: Vector = (0.0, 0.0, 0.0)) -> Vector:
        a, b, c = (m @ np.array(v) + np.array(move)).tolist()
        return a, b, c

    return replace(
        one, placed=tuple(replace(p, origin=vector(p.origin, by), x=vector(p.x), z=vector(p.z)) for p in one.placed)
    )


def facts(found: tuple[Seam, ...]) -> list[tuple[Any, ...]]:
    rows = [
        (
            s.a,
            s.b,
            s.a_end,
            s.b_end,
            round(s.length_mm, 6),
            round(s.width_mm, 6),
            round(s.area_mm2, 4),
            round(s.gap_mm, 7) + 0.0,
        )
        for s in found
    ]
    return sorted(rows)


PART = st.floats(-1.0, 1.0)


@given(
    st.tuples(PART, PART, PART, PART).filter(lambda q: sum(c * c for c in q) > 0.1),
    st.tuples(*[st.floats(-2e3, 2e3)] * 3),
)
@settings(max_examples=60)
def test_seams_and_loops_do_not_change_when_the_whole_is_turned_and_moved(q: Any, by: Any) -> None:
    lap = [p if p.name != "left" else replace(p, origin=(p.origin[0], p.origin[1], p.origin[2] + 0.3)) for p in tank()]
    here = design(*lap)
    there = turned(here, q, by)
    assert facts(seams(there)) == facts(seams(here))
    loops, moved = captive_loops(here, seams(here), ALLOW), captive_loops(there, seams(there), ALLOW)
    assert sorted(
        (lp.piece, *sorted(lp.between), round(lp.left_over_mm, 6), round(lp.spread_mm, 9)) for lp in moved
    ) == sorted((lp.piece, *sorted(lp.between), round(lp.left_over_mm, 6), round(lp.spread_mm, 9)) for lp in loops)


def test_the_sample_tank_has_its_ten_seams_in_the_order_of_its_pieces() -> None:
    found = seams(design())
    assert [s.id for s in found] == [f"S{i}" for i in range(1, 11)]
    assert [(s.a, s.b) for s in found] == sorted(
        ((s.a, s.b) for s in found), key=lambda p: [[q.name for q in tank()].index(n) for n in p]
    )


# --- joints ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["loose", "screwed", "bolted"])
def test_joints_that_are_not_bonded_are_seams_that_no_solvent_has_to_seal(kind: str) -> None:
    gap = on_top(panel("above", 80, 60), (20, 20), gap=0.4)
    joined = replace(gap, joints=(Joint(a="above", b="below", kind=kind),))
    assert [s.kind for s in seams(joined)] == [kind]
    rules = FitRules(allow=ALLOW)
    bonded, other = check_fit(gap, rules, solids=False), check_fit(joined, rules, solids=False)
    assert [f.level for f in bonded.findings] == ["stop"]
    assert (len(bonded.seams), other.seams, other.loops) == (1, (), ())


SCREW = Fastener(name="screw M4", piece="above", through=("above", "below"), thread="M4", count=4)


@pytest.mark.parametrize(
    ("kind", "gap", "levels"),
    [
        ("loose", 0.4, []), ("loose", 0.0, []), ("loose", -0.01, ["stop"]),
        ("screwed", 0.0, []), ("screwed", 0.05, ["care"]), ("screwed", 0.4, ["stop"]), ("screwed", -0.01, ["stop"]),
        ("bolted", 0.0, []), ("bolted", 0.4, ["stop"]),
    ],
)  # fmt: skip
def test_each_kind_of_joint_has_its_own_judge(kind: str, gap: float, levels: list[str]) -> None:
    """Play is meant where a piece is only laid on; a screw that closes a gap bends the sheet; an overlap is never meant."""
    one = on_top(panel("above", 80, 60), (20, 20), gap=gap)
    one = replace(one, joints=(Joint(a="above", b="below", kind=kind),), fasteners=(SCREW,))
    assert [f.level for f in check_fit(one, FitRules(allow=ALLOW), solids=False).findings] == levels


@pytest.mark.parametrize("kind", ["screwed", "bolted"])
def test_a_joint_that_nothing_goes_through_is_a_stop(kind: str) -> None:
    one = replace(on_top(panel("above", 80, 60), (20, 20), gap=0.0), joints=(Joint(a="above", b="below", kind=kind),))
    only_one = replace(SCREW, through=("above",))
    for fasteners in ((), (only_one,)):
        (finding,) = check_fit(replace(one, fasteners=fasteners), FitRules(allow=ALLOW), solids=False).findings
        assert (finding.level, finding.where) == ("stop", "below and above")
        assert "no fastener goes through both" in finding.why


@pytest.mark.parametrize("apart", [0.0, 40.0])
def test_a_joint_of_a_kind_without_a_judge_is_not_covered(apart: float) -> None:
    one = replace(on_top(panel("above", 80, 60), (20, 20), gap=apart),
                  joints=(Joint(a="above", b="below", kind="gear-mesh"),))  # fmt: skip
    for look in (lambda: check_fit(one, FitRules(allow=ALLOW), solids=False), lambda: explode(one)):
        with pytest.raises(NotCovered, match="no judge for joint kind 'gear-mesh'"):
            look()


def test_a_new_kind_of_joint_is_one_entry_with_its_judge(monkeypatch: pytest.MonkeyPatch) -> None:
    def judge(design: Design, seam: Seam, loop: object, rules: FitRules) -> Judged:
        return Judged(findings=(Finding(level="care", check="fit", where=seam.a, why=f"{seam.gap_mm:.1f} mm of play"),))

    snapped = JointKind(name="snapped", judge=judge)
    monkeypatch.setattr("assemblies.fit.joints.JOINT_KINDS", {**JOINT_KINDS, "snapped": snapped})
    one = replace(
        on_top(panel("above", 80, 60), (20, 20), gap=0.4), joints=(Joint(a="above", b="below", kind="snapped"),)
    )
    found = check_fit(one, FitRules(allow=ALLOW), solids=False)
    assert [(f.where, f.why) for f in found.findings] == [("below", "0.4 mm of play")]
    assert found.seams == ()
    assert explode(one).steps[-1].name == "below"


def test_a_fastener_goes_through_the_piece_it_is_listed_with() -> None:
    with pytest.raises(SeamwrightError, match="screw M4: listed with above, and does not go through it"):
        replace(SCREW, through=("below",))


# --- thin sheet --------------------------------------------------------------------------------------------------------

THIN = st.floats(0.3, 1.2)
NEAR = st.floats(-0.1, 0.24)  # drawn a little too wide or too tight, as the gap limit of 0.25 mm lets through


def stack(thicknesses: tuple[float, ...], gaps: tuple[float, ...]) -> Design:
    """Sheets one on the other, the first largest, with a gap below each but the first."""
    placed, z = [], 0.0
    for k, thick in enumerate(thicknesses):
        z += gaps[k - 1] if k else 0.0
        size = 100.0 - 20.0 * k
        placed.append(flat_on(f"s{k}", panel(f"s{k}", size, size, thick), (10.0 * k, 10.0 * k, z)))
        z += thick
    return design(*placed)


@given(st.lists(THIN, min_size=2, max_size=4), st.tuples(NEAR, NEAR, NEAR), st.booleans())
def test_sheets_thinner_than_the_search_distance_meet_their_neighbours_only(
    thin: list[float], gaps: tuple[float, float, float], on_thick: bool
) -> None:
    thicknesses = ((6.0, *thin) if on_thick else tuple(thin))[:4]
    found = seams(stack(thicknesses, gaps))
    assert [(s.a, s.b, s.a_end, s.b_end) for s in found] == [
        (f"s{k}", f"s{k + 1}", "far", "near") for k in range(len(thicknesses) - 1)
    ]
    assert [s.gap_mm for s in found] == pytest.approx(list(gaps[: len(found)]), abs=1e-9)


@given(THIN, st.floats(0.0, 0.999))
def test_thin_sheet_with_nothing_between_is_found_over_the_whole_search_distance(thick: float, gap: float) -> None:
    (seam,) = seams(stack((thick, thick), (gap,)))
    assert (seam.a_end, seam.b_end) == ("far", "near")
    assert seam.gap_mm == pytest.approx(gap, abs=1e-9)


def test_a_thin_frame_parts_what_it_lies_between_and_one_beside_does_not() -> None:
    frame = flat("s1", rectangle(80, 80), inner=(rectangle(60, 60, 10, 10),), thickness_mm=0.5)
    top = flat_on("s2", panel("s2", 80, 80, 3.0), (10, 10, 6.5))
    base = flat_on("s0", panel("s0", 300, 100, 6.0), (0, 0, 0))
    between = seams(design(base, flat_on("s1", frame, (10, 10, 6.0)), top))
    assert [(s.a, s.b, round(s.area_mm2, 6)) for s in between] == [("s0", "s1", 2800.0), ("s1", "s2", 2800.0)]
    beside = seams(design(base, flat_on("s1", frame, (150, 10, 6.0)), top))
    assert [(s.a, s.b, round(s.gap_mm, 6)) for s in beside] == [("s0", "s1", 0.0), ("s0", "s2", 0.5)]
    # the top lies over the opening only: nothing is between
    small = seams(
        design(base, flat_on("s1", frame, (10, 10, 6.0)), flat_on("s2", panel("s2", 50, 50, 3.0), (25, 25, 6.5)))
    )
    assert [(s.a, s.b) for s in small] == [("s0", "s1"), ("s0", "s2")]


def ends(one: Design) -> set[tuple[str, str, str, str]]:
    return {(s.a, s.b, s.a_end, s.b_end) for s in seams(one)}


@pytest.mark.parametrize("lid", ["none", "loose", "bonded"])
@pytest.mark.parametrize("strips", [False, True])
@pytest.mark.parametrize("thick", [0.5, 1.0, 2.0])
def test_a_tank_of_thin_sheet_has_the_seams_of_a_thick_one(thick: float, lid: str, strips: bool) -> None:
    def tank_of(t: float) -> Design:
        sheet = f"thickness = {t}\nmeasured = [{t}]\n"
        text = (
            f'title = "t"\nname = "t"\nkind = "tank"\n[sheet]\n{sheet}[tank]\nsize = [300, 200, 150]\nlid = "{lid}"\n'
        )
        text += (
            f'[[plate]]\non = "bottom"\nat = [0, 0]\nsize = [50, 50]\n{sheet}thread = "M3"\npattern = "grid 25 2x2"\n'
        )
        if strips:
            text += (
                f'[[strip]]\nwhere = "rim"\nsize = [30, {t}]\n[[strip]]\nwhere = "inside-corner"\nsize = [12, {t}]\n'
            )
        return build_tank(read_order_text(text, schemas()))

    assert ends(tank_of(thick)) == ends(tank_of(6.0))
    assert {round(s.gap_mm, 9) for s in seams(tank_of(thick))} <= {0.0, 1.0}  # locating strips play 1 mm
