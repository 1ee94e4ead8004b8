"""Lines, arcs and circles, held to closed forms and to general-purpose geometry libraries."""

from __future__ import annotations

import math

import pytest
from ezdxf.math import bulge_center, bulge_radius
from hypothesis import example, given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from parts.findings import SeamwrightError
from parts.shape.outline import STRAIGHT_BULGE, Arc, Circle, Loop, Outline, Vertex, rectangle, rounded_rectangle

lengths = st.floats(1.0, 2000.0)


def loop_on_circle(turns: list[float], fullness: list[float], radius: float = 50.0) -> Loop:
    """Corners on a circle; between them arcs from a little hollow to lying on that circle."""
    total, angle, vertices = sum(turns), 0.0, []
    for turn, full in zip(turns, fullness, strict=True):
        sweep = turn / total * math.tau
        x, y = radius * math.cos(angle), radius * math.sin(angle)
        vertices.append(Vertex(x, y, full * math.tan(sweep / 4.0)))
        angle += sweep
    return Loop(tuple(vertices))


@st.composite
def loops(draw: st.DrawFn) -> Loop:
    n = draw(st.integers(4, 9))
    turns = draw(st.lists(st.floats(1.0, 2.0), min_size=n, max_size=n))
    kinds = st.one_of(st.just(0.0), st.floats(0.05, 1.0), st.floats(-0.2, -0.05))
    fullness = draw(st.lists(kinds, min_size=n, max_size=n))
    return loop_on_circle(turns, fullness)


def test_a_half_turn_of_bulge_one_turns_left_about_its_middle() -> None:
    # Convention: DXF reference, LWPOLYLINE, group code 42 (1 is a semicircle, positive is counter-clockwise).
    stadium = Loop((Vertex(0, 0), Vertex(40, 0, 1.0), Vertex(40, 20), Vertex(0, 20, 1.0)))
    arc = stadium.segments()[1]
    assert isinstance(arc, Arc)
    assert (arc.cx_mm, arc.cy_mm, arc.radius_mm) == pytest.approx((40.0, 10.0, 10.0))
    assert arc.at(0.5) == pytest.approx((50.0, 10.0))
    assert stadium.area_mm2 == pytest.approx(40 * 20 + math.pi * 100, rel=1e-14)
    assert stadium.length_mm == pytest.approx(80 + 20 * math.pi, rel=1e-14)
    assert stadium.bounds_mm == pytest.approx((-10.0, 0.0, 50.0, 20.0))


@given(st.floats(-3.0, 3.0).filter(lambda b: abs(b) > 0.01), lengths, lengths)
def test_arcs_have_the_centre_and_radius_that_ezdxf_gives(bulge: float, x: float, y: float) -> None:
    loop = Loop((Vertex(0, 0, bulge), Vertex(x, y), Vertex(x, -5000.0)))
    arc = loop.segments()[0]
    assert isinstance(arc, Arc)
    assert arc.radius_mm == pytest.approx(bulge_radius((0, 0), (x, y), bulge), rel=1e-9)
    centre = bulge_center((0, 0), (x, y), bulge)
    assert math.dist((arc.cx_mm, arc.cy_mm), (centre.x, centre.y)) < 1e-9 * arc.radius_mm
    assert math.dist(arc.at(1.0), (x, y)) < 1e-9 * arc.radius_mm


def closed(bulge: float, x: float, y: float) -> Loop:
    """A segment from (0, 0) to (x, y), and two straight ones back by a corner well off it."""
    return Loop((Vertex(0.0, 0.0, bulge), Vertex(x, y), Vertex(x / 2.0 - y, y / 2.0 + x)))


@given(st.floats(-320.0, 0.0), st.sampled_from([-1.0, 1.0]), lengths, st.floats(-2000.0, 2000.0))
@example(-157.0, 1.0, 100.0, 0.0)  # gave an arc with points at infinity
@example(-7.0, 1.0, 2000.0, 2000.0)
def test_however_flat_an_arc_is_its_points_lie_beside_its_chord(power: float, sign: float, x: float, y: float) -> None:
    """Closed forms: an arc leaves its chord by chord times bulge over 2; the sliver is 2/3 of their product when flat."""
    bulge, chord = sign * 10.0**power, math.hypot(x, y)
    loop, flat = closed(bulge, x, y), closed(0.0, x, y)
    sag = abs(bulge) * chord / 2.0
    points = loop.points(0.01)
    assert len(points) < 400
    ahead = [(px * x + py * y) / chord for px, py in points[: len(points) - 2]]
    off = [(py * x - px * y) / chord for px, py in points[: len(points) - 2]]
    assert min(ahead) >= -sag - 1e-5
    assert max(ahead) <= chord + sag + 1e-5
    assert max(map(abs, off)) <= sag + 1e-5
    if abs(bulge) < 1e-3:
        assert loop.signed_area_mm2 - flat.signed_area_mm2 == pytest.approx(bulge * chord**2 / 3.0, rel=1e-2, abs=1e-1)
        assert loop.length_mm == pytest.approx(flat.length_mm, rel=1e-6)
    low_x, low_y, high_x, high_y = loop.bounds_mm
    corners = flat.bounds_mm
    assert min(low_x - corners[0], low_y - corners[1]) >= -sag - 1e-5
    assert max(high_x - corners[2], high_y - corners[3]) <= sag + 1e-5


def test_what_no_cutter_could_follow_is_straight_to_all_who_ask() -> None:
    straight = closed(1e-157, 100.0, 0.0)
    assert straight == closed(0.0, 100.0, 0.0)
    assert [type(s).__name__ for s in straight.segments()] == ["Line"] * 3
    assert isinstance(closed(STRAIGHT_BULGE, 100.0, 0.0).segments()[0], Arc)
    with pytest.raises(SeamwrightError, match="three corners or two arcs"):
        Loop((Vertex(0, 0, 1e-9), Vertex(10, 0, 1e-9)))


@given(st.floats(2.0, 7.0), lengths)
def test_an_arc_that_is_nearly_a_circle_is_as_large_as_its_opening_says(power: float, chord: float) -> None:
    """Closed form: radius = chord (1 + bulge^2) / (4 bulge), held to ezdxf's where that still has digits."""
    bulge = 10.0**power
    arc = closed(bulge, chord, 0.0).segments()[0]
    assert isinstance(arc, Arc)
    assert arc.radius_mm == pytest.approx(bulge_radius((0, 0), (chord, 0), bulge), rel=1e-6 if bulge < 1e6 else 1e-2)
    assert math.dist(arc.at(0.0), (0.0, 0.0)) < 1e-9 * arc.radius_mm


@given(loops())
def test_area_length_and_box_agree_with_shapely_to_the_sag_of_the_chords(loop: Loop) -> None:
    sag = 0.001
    polygon = Polygon(loop.points(sag))
    assert polygon.is_valid
    assert loop.area_mm2 == pytest.approx(polygon.area, abs=sag * loop.length_mm)
    assert polygon.length <= loop.length_mm * (1 + 1e-12)
    # 0.001 mm of sag on arcs of 50 mm and more costs under 0.01 % of length
    assert polygon.length == pytest.approx(loop.length_mm, rel=1e-4)
    assert loop.bounds_mm == pytest.approx(polygon.bounds, abs=sag)


@given(loops())
def test_reversing_a_loop_turns_the_sign_of_its_area_only(loop: Loop) -> None:
    vs = loop.vertices
    bulges = [v.bulge for v in (*vs[-2::-1], vs[-1])]  # a segment keeps its arc, started at its other end
    back = Loop(tuple(Vertex(v.x_mm, v.y_mm, -b) for v, b in zip(vs[::-1], bulges, strict=True)))
    assert back.signed_area_mm2 == pytest.approx(-loop.signed_area_mm2, rel=1e-12)
    assert back.length_mm == pytest.approx(loop.length_mm, rel=1e-12)


@given(lengths, lengths, st.one_of(st.just(0.0), st.floats(1e-6, 1.0)))
def test_rounded_rectangles_lose_four_corners(width: float, height: float, part: float) -> None:
    radius = part * min(width, height) / 2.0
    loop = rounded_rectangle(width, height, radius)
    assert loop.area_mm2 == pytest.approx(width * height - (4 - math.pi) * radius**2, rel=1e-12)
    assert loop.signed_area_mm2 > 0.0
    assert loop.bounds_mm == pytest.approx((0.0, 0.0, width, height), abs=1e-9)


def test_circles_and_outlines_by_closed_form() -> None:
    ring = Outline(Circle(50, 50, 50), (Circle(50, 50, 30),))
    assert ring.area_mm2 == pytest.approx(math.pi * (2500 - 900), rel=1e-14)
    assert ring.size_mm == (100.0, 100.0)
    assert Circle(50, 50, 30).length_mm == pytest.approx(60 * math.pi)
    polygon = Polygon(Circle(0, 0, 100).points(0.01))
    assert polygon.area == pytest.approx(math.pi * 1e4, abs=0.01 * math.tau * 100)


def test_points_of_a_circle_lie_on_it_and_their_chords_stay_within_the_sag() -> None:
    points = Circle(3.0, 4.0, 25.0).points(0.02)
    assert all(math.dist(p, (3.0, 4.0)) == pytest.approx(25.0, rel=1e-12) for p in points)
    chord = math.dist(points[0], points[1])
    assert 25.0 - math.sqrt(25.0**2 - chord**2 / 4) <= 0.02
    assert len(points) % 4 == 0


@pytest.mark.parametrize(
    "make",
    [
        lambda: Loop((Vertex(0, 0),)),
        lambda: Loop((Vertex(0, 0), Vertex(10, 0))),
        lambda: Loop((Vertex(0, 0), Vertex(10, 0), Vertex(10, 0))),
        lambda: Vertex(0, 0, float("nan")),
        lambda: Vertex(0, 0, float("inf")),
        lambda: Vertex(0, 0, -1.1e7),
        lambda: Vertex(0, float("inf")),
        lambda: Circle(0, 0, 0.0),
        lambda: Circle(0, 0, float("nan")),
        lambda: rectangle(0.0, 5.0),
        lambda: rectangle(5.0, float("nan")),
        lambda: rounded_rectangle(20.0, 10.0, 5.1),
    ],
)
def test_shapes_that_cannot_be_are_refused(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(SeamwrightError):
        make()
