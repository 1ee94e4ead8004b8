"""The exploded drawing: projection, hidden lines, balloons, parts list, SVG. Sizes are invented.

Hidden lines are held to sight lines cast through boxes and to arcs worked out by hand, not to the code's own facets.
"""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace
from itertools import combinations, pairwise, permutations, product
from pathlib import Path
from xml.etree import ElementTree

import facet_lines as by_facets
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import design as sample_design
from samples import flat, panel, pieces_of_all_sorts, tank

from assemblies.design.model import Design, Placed
from assemblies.fit.apart.explode import EYE, Exploded, explode
from assemblies.kinds import kind, schemas
from assemblies.order import read_order_text
from assemblies.packet.ink.primitives import (
    Circle,
    Ellipse,
    Line,
    Primitive,
    Text,
    bounds_of,
    moved,
    text_box,
    text_width_mm,
)
from assemblies.packet.ink.svg import number, svg
from assemblies.packet.pictures.balloons import RADIUS_MM, columns
from assemblies.packet.pictures.line_drawing import exploded_sheet, exploded_svg, parts_list, spread
from assemblies.packet.pictures.sight import Scene, to_picture
from assemblies.packet.pictures.visible import projected, scene_lines
from parts.shape.outline import Circle as Round
from parts.shape.outline import Loop, Vertex, rectangle
from parts.shape.piece import Hole
from parts.vectors import Vector

SVG = "{http://www.w3.org/2000/svg}"


def design(*placed: Placed, title: str = "Sample", **more: object) -> Design:
    return Design(name="sample", title=title, kind="x", revision="A", placed=placed, **more)  # type: ignore[arg-type]


def block(name: str, low: Vector, size: Vector) -> Placed:
    """A box lying flat: its sheet is as thick as it is high."""
    return Placed(name=name, piece=flat(name, rectangle(size[0], size[1]), thickness_mm=size[2]), origin=low)


def lines_of(drawing: tuple[Primitive, ...], name: str, layer: str = "visible") -> list[Line]:
    return [item for item in drawing if isinstance(item, Line) and item.of == name and item.layer == layer]


def ellipses_of(drawing: tuple[Primitive, ...], name: str) -> list[Ellipse]:
    return [item for item in drawing if isinstance(item, Ellipse) and item.of == name]


def length(lines: list[Line]) -> float:
    return sum(math.hypot(line.x1 - line.x0, line.y1 - line.y0) for line in lines)


@pytest.mark.published
def test_axes_lie_as_isometric_axonometry_wants_them() -> None:
    """ISO 5456-3:1996, isometric axonometry (from memory): z upright, x and y at 30 degrees, one scale on all three."""
    x, y, z = (to_picture(axis)[:2] for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    assert z == pytest.approx([0.0, 1.0])
    assert math.degrees(math.atan2(x[1], x[0])) == pytest.approx(-30.0)
    assert math.degrees(math.atan2(y[1], y[0])) == pytest.approx(30.0)
    assert [np.hypot(*axis) for axis in (x, y, z)] == pytest.approx([1.0, 1.0, 1.0])
    assert to_picture(EYE)[:2] == pytest.approx([0.0, 0.0], abs=1e-12)


@pytest.mark.published
def test_a_circle_on_a_main_plane_becomes_the_standard_s_ellipse() -> None:
    """ISO 5456-3:1996 (from memory): long axis 1.22 of the diameter, short axis 0.71; level for a horizontal circle."""
    disc = Placed(name="disc", piece=flat("disc", Round(50.0, 50.0, 50.0)), origin=(0.0, 0.0, 0.0))
    top = next(e for e in ellipses_of(projected(design(disc), {}), "disc") if e.is_whole)
    assert top.a / 50.0 == pytest.approx(1.22, abs=0.005)
    assert top.b / 50.0 == pytest.approx(0.71, abs=0.005)
    assert math.sin(top.turn_rad) == pytest.approx(0.0, abs=1e-9)
    assert (top.x, top.y) == pytest.approx(tuple(to_picture((50.0, 50.0, 6.0))[:2]))


def test_the_picture_is_the_right_way_up() -> None:
    """A tall marker: its top is above its foot on the picture, and further up on the SVG, where y runs down."""
    marker = block("marker", (0.0, 0.0, 0.0), (10.0, 10.0, 100.0))
    drawing = projected(design(marker), {})
    ys = [y for line in lines_of(drawing, "marker") for y in (line.y0, line.y1)]
    assert max(ys) == pytest.approx(to_picture((0.0, 10.0, 100.0))[1])
    assert min(ys) == pytest.approx(to_picture((10.0, 0.0, 0.0))[1])
    text = svg((Line(x0=1, y0=2, x1=3, y1=18),), 20.0, 20.0, "t")
    assert 'd="M1 18L3 2"' in text  # the foot at 18 from the top, the top at 2


def test_lower_pieces_are_drawn_lower() -> None:
    shown = exploded_svg(sample_design(), spread(sample_design(), explode(sample_design())))
    root = ElementTree.fromstring(shown)
    tops = {}
    for path in root.iter(f"{SVG}path"):
        if path.get("data-name") and path.get("stroke-dasharray") is None:
            ys = [float(pair.split()[1]) for pair in re.findall(r"[\d.]+ [\d.]+", path.get("d", ""))]
            tops[path.get("data-name")] = max(ys)
    assert tops["plate-1"] > tops["left"]
    assert tops["front"] > tops["back"]


def test_a_lone_box_shows_nine_edges() -> None:
    drawing = projected(design(block("box", (0.0, 0.0, 0.0), (30.0, 20.0, 10.0))), {})
    assert sorted(round(length([line]), 6) for line in drawing) == [10.0] * 3 + [20.0] * 3 + [30.0] * 3
    assert (
        len(lines_of(projected(design(block("box", (0, 0, 0), (30, 20, 10))), {}, hidden=True), "box", "hidden")) == 3
    )


def test_what_stands_right_behind_a_larger_face_is_gone() -> None:
    near = block("near", (0.0, 0.0, 0.0), (100.0, 5.0, 100.0))
    far = block("far", (10.0, 30.0, 0.0), (20.0, 5.0, 20.0))
    assert lines_of(projected(design(near, far), {}), "far") == []
    assert len(lines_of(projected(design(far), {}), "far")) == 9


def test_an_edge_is_cut_exactly_where_it_goes_behind() -> None:
    """A long bar behind an upright plate, worked out by hand.

    A line of sight runs along (1, -1, 1), so x + y stays the same along it. The plate covers x + y from 0 (its front left
    edge) to 45 (its back right edge); of the bar's long top edge at y = 30 it hides x from -30 to 15.
    """
    plate = block("plate", (0.0, 0.0, -200.0), (40.0, 5.0, 400.0))
    bar = block("bar", (-100.0, 20.0, 0.0), (300.0, 10.0, 10.0))
    lines = lines_of(projected(design(plate, bar), {}), "bar")
    marks = [to_picture((x, 30.0, 10.0))[:2] for x in (-100.0, -30.0, 15.0, 200.0)]
    along = (marks[3] - marks[0]) / np.hypot(*(marks[3] - marks[0]))
    found = []
    for line in lines:
        ends = np.array([(line.x0, line.y0), (line.x1, line.y1)]) - marks[0]
        if np.abs(ends @ np.array([-along[1], along[0]])).max() < 1e-6:
            found.append(sorted(float(end @ along) for end in ends))
    # 1e-3 mm: a facet counts as nearer only when it is by that much
    assert np.array(sorted(found)) == pytest.approx(np.array([[0.0, 70.0], [115.0, 300.0]]), abs=2e-3)


def test_seen_and_hidden_parts_make_up_every_edge() -> None:
    placed = tank()
    drawing = projected(design(*placed), explode(design(*placed)).offsets, hidden=True)
    for p in placed:
        a, b, t = p.piece.size_mm
        both = length(lines_of(drawing, p.name)) + length(lines_of(drawing, p.name, "hidden"))
        # a bore has two outlines; of four in a square two stand one above the other on the picture
        bores = 6.0 * t if p.piece.holes else 0.0
        assert both == pytest.approx(4.0 * (a + b + t) + bores, abs=1e-3)


def long(drawing: tuple[Primitive, ...], name: str) -> float:
    """All lines and arcs of an instance, arcs by chords of a thousandth of a turn."""
    total = length(lines_of(drawing, name))
    for arc in ellipses_of(drawing, name):
        points = [arc.at(arc.start_rad + k / 1000.0 * arc.sweep_rad) for k in range(1001)]
        total += sum(math.dist(p, q) for p, q in pairwise(points))
    return total


def test_the_kernel_s_lines_are_those_that_facets_give() -> None:
    """Held to a second way that shares nothing with the kernel: edges cut by the facets before them."""
    sorts = [Placed(name=f"s{k}", piece=piece, origin=(90.0 * k, 40.0 * (k % 3), 0.0))
             for k, piece in enumerate(pieces_of_all_sorts())]  # fmt: skip
    for placed in (tank(), tuple(sorts)):
        of = design(*placed)
        scene = Scene(placed, explode(of).offsets)
        kernel, facets = scene_lines(scene), by_facets.scene_lines(scene)
        for p in placed:
            assert long(kernel, p.name) == pytest.approx(long(facets, p.name), rel=0.01, abs=1.5), p.name


def sighted(point: np.ndarray, boxes: list[tuple[np.ndarray, np.ndarray]]) -> bool:
    """Whether a line of sight from a point reaches the eye: it enters no box. Plain slab arithmetic."""
    eye = np.array(EYE)
    for low, high in boxes:
        times = np.sort(np.stack([low - point, high - point]) / eye, axis=0)
        if min(times[1]) > max(max(times[0]), 0.0) + 1e-7:
            return False
    return True


def box_edges(low: np.ndarray, high: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    ends = (low, high)
    corners = [np.array([ends[k][axis] for axis, k in enumerate(pick)]) for pick in product((0, 1), repeat=3)]
    return [(a, b) for a, b in combinations(corners, 2) if (a != b).sum() == 1]


def on_some(lines: list[Line], spot: np.ndarray) -> bool:
    for line in lines:
        a, step = np.array([line.x0, line.y0]), np.array([line.x1 - line.x0, line.y1 - line.y0])
        part = float(np.clip((spot - a) @ step / (step @ step), 0.0, 1.0))
        if np.hypot(*(a + part * step - spot)) < 1e-5:
            return True
    return False


def test_random_boxes_show_just_what_sight_lines_reach() -> None:
    rng = random.Random(5)
    checked = {True: 0, False: 0}
    for _ in range(12):
        boxes: list[tuple[np.ndarray, np.ndarray]] = []
        while len(boxes) < 6:
            low = np.array([rng.uniform(-60.0, 60.0) for _ in range(3)])
            high = low + np.array([rng.uniform(5.0, 50.0) for _ in range(3)])
            if all((np.maximum(low, a) >= np.minimum(high, b)).any() for a, b in boxes):
                boxes.append((low, high))
        placed = [block(f"b{k}", tuple(a), tuple(b - a)) for k, (a, b) in enumerate(boxes)]
        drawing = projected(design(*placed), {})
        for k, (low, high) in enumerate(boxes):
            mine = lines_of(drawing, f"b{k}")
            for a, b in box_edges(low, high):
                for part in (0.13, 0.37, 0.61, 0.83):
                    spot = a + part * (b - a)
                    near = [spot + nudge * (b - a) / np.linalg.norm(b - a) for nudge in (-0.02, 0.0, 0.02)]
                    answers = {sighted(point, boxes) for point in near}
                    if len(answers) == 1:
                        seen = answers.pop()
                        assert on_some(mine, to_picture(spot)[:2]) is seen
                        checked[seen] += 1
    assert min(checked.values()) > 500


def test_a_disc_shows_its_top_whole_its_foot_half_and_two_outlines() -> None:
    disc = Placed(name="disc", piece=flat("disc", Round(40.0, 40.0, 40.0), thickness_mm=20.0), origin=(0.0, 0.0, 0.0))
    drawing = projected(design(disc), {})
    whole, foot = sorted(ellipses_of(drawing, "disc"), key=lambda e: -abs(e.sweep_rad))
    assert whole.is_whole
    assert abs(foot.sweep_rad) == pytest.approx(math.pi, abs=0.11)  # a chord of 0.05 mm sagitta spans 0.1 rad
    ends = sorted(foot.at(foot.start_rad + part * foot.sweep_rad)[0] for part in (0.0, 1.0))
    # 0.05 mm: how far the chords leave the circle; 1.22 of that on the picture
    assert ends == pytest.approx([whole.x - whole.a, whole.x + whole.a], abs=0.061)
    assert foot.at(foot.start_rad + foot.sweep_rad / 2.0)[1] < foot.y
    sides = lines_of(drawing, "disc")
    assert [round(length([side]), 6) for side in sides] == [20.0, 20.0]


def test_through_a_bore_the_far_rim_is_seen_as_far_as_the_near_rim_lets() -> None:
    """Two equal ellipses one above the other, apart by the thickness t; short half axis b: of the lower one the arc within
    acos(t / 2b) of the middle shows, by the symmetry of two circles after stretching."""
    thick, radius = 8.0, 15.0
    hole = Hole(x_mm=40.0, y_mm=40.0, kind="through", diameter_mm=2.0 * radius)
    piece = flat("p", rectangle(80.0, 80.0), holes=(hole,), thickness_mm=thick)
    plate = Placed(name="p", piece=piece, origin=(0.0, 0.0, 0.0))
    near, far = sorted(ellipses_of(projected(design(plate), {}), "p"), key=lambda e: -abs(e.sweep_rad))
    assert near.is_whole
    short = radius * math.sqrt(0.5)
    # two circles of radius b, centres t apart: the lower's arc inside the upper spans 2 acos(t / 2b)
    assert abs(far.sweep_rad) == pytest.approx(2.0 * math.acos(thick / (2.0 * short)), abs=0.02)


def test_a_slot_shows_what_lies_behind_it_and_the_frame_hides_it() -> None:
    frame = flat("frame", rectangle(100.0, 100.0), inner=(rectangle(60.0, 60.0, 20.0, 20.0),), thickness_mm=2.0)
    over = Placed(name="frame", piece=frame, origin=(0.0, 0.0, 100.0))
    # the sight line up through the middle of the opening leaves the ground 100 mm before it along x and y
    seen = block("seen", (50.0 - 100.0 - 5.0, 50.0 + 100.0 - 5.0, 0.0), (10.0, 10.0, 2.0))
    hidden = block("hidden", (10.0 - 100.0 - 3.0, 50.0 + 100.0 - 3.0, 0.0), (6.0, 6.0, 2.0))
    drawing = projected(design(over, seen, hidden), {})
    assert len(lines_of(drawing, "seen")) == 9
    assert lines_of(drawing, "hidden") == []


def test_arcs_of_an_outline_are_drawn_as_arcs_and_corners_as_edges() -> None:
    bulge = math.tan(math.pi / 8.0)
    quarter = Loop((Vertex(0.0, 0.0), Vertex(50.0, 0.0, bulge), Vertex(0.0, 50.0)))
    drawing = projected(design(Placed(name="q", piece=flat("q", quarter), origin=(0.0, 0.0, 0.0))), {})
    assert any(abs(e.sweep_rad) == pytest.approx(math.pi / 2.0) for e in ellipses_of(drawing, "q"))
    assert sum(abs(length([line]) - 6.0) < 1e-6 for line in lines_of(drawing, "q")) >= 2


def sheet(of: Design, unit: str = "mm", width_mm: float = 277.0) -> tuple[tuple[Primitive, ...], float, float]:
    return exploded_sheet(of, spread(of, explode(of)), unit=unit, width_mm=width_mm)  # type: ignore[arg-type]


def overlap(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > 1e-6 and min(a[3], b[3]) - max(a[1], b[1]) > 1e-6


def check_sheet(items: tuple[Primitive, ...], width: float, height: float) -> None:
    texts = [item for item in items if isinstance(item, Text)]
    boxes = [text_box(text) for text in texts]
    for (one, a), (two, b) in combinations(zip(texts, boxes, strict=True), 2):
        assert not overlap(a, b), (one, two)
    rings = [item for item in items if isinstance(item, Circle) and item.fill == "clear"]
    for a, b in combinations(rings, 2):
        assert math.hypot(a.x - b.x, a.y - b.y) > 2.0 * RADIUS_MM
    x0, y0, x1, y1 = bounds_of(items)
    assert x0 >= 0.0
    assert y0 >= 0.0
    assert x1 <= width
    assert y1 <= height


def test_the_sheet_is_in_order_for_samples_of_every_sort() -> None:
    sorts = tuple(
        Placed(name=f"{p.name}-1", piece=p, origin=(400.0 * (k % 3), 300.0 * (k // 3), 0.0))
        for k, p in enumerate(pieces_of_all_sorts())
    )
    for of in (
        sample_design(),
        design(*sorts),
        design(*tank(), *tank((0, 0, 400), "upper-"), *tank((0, 0, 800), "top-")),
    ):
        for unit in ("mm", "in"):
            for width_mm in (120.0, 277.0):
                check_sheet(*sheet(of, unit, width_mm))


@settings(max_examples=25)
@given(size=st.tuples(*(st.floats(60.0, 900.0) for _ in range(3))), t=st.floats(2.0, 25.0), title=st.text(max_size=200))
def test_any_box_and_any_title_make_a_sheet_in_order_and_sound_xml(size: Vector, t: float, title: str) -> None:
    x, y, z = size
    placed = (
        block("bottom", (0.0, 0.0, 0.0), (x, y, t)),
        Placed(name="front", piece=panel("front", x, z, t), origin=(0.0, t, t), z=(0.0, -1.0, 0.0)),
        Placed(name="left", piece=panel("left", z, y - t, t), origin=(t, t, t), x=(0.0, 0.0, 1.0), z=(-1.0, 0.0, 0.0)),
        block("lid", (0.0, 0.0, z + t), (x, y, t)),
    )
    of = design(*placed, title=title)
    check_sheet(*sheet(of))
    ElementTree.fromstring(exploded_svg(of, spread(of, explode(of))))


def test_the_parts_list_counts_parts_and_balloons_name_them() -> None:
    of = sample_design()
    rows = parts_list(of, "mm")
    assert [(row.item, row.part, row.count, row.size) for row in rows] == [
        ("1", "front-back", 2, "300 × 150 × 6 mm"),
        ("2", "bottom", 1, "300 × 188 × 6 mm"),
        ("3", "end", 2, "188 × 144 × 6 mm"),
        ("4", "plate", 2, "50 × 50 × 12 mm"),
    ]
    items, _, _ = sheet(of)
    named = {item.of: item.text for item in items if isinstance(item, Text) and item.of}
    assert named == {
        "front": "1", "back": "1", "bottom": "2", "left": "3", "right": "3", "plate-1": "4", "plate-2": "4",
    }  # fmt: skip


def test_sizes_are_in_the_unit_of_the_order() -> None:
    of = design(block("end", (0.0, 0.0, 0.0), (101.6, 139.7, 6.35)))
    assert [row.size for row in parts_list(of, "in")] == ["4 × 5 1/2 × 1/4 in"]
    odd = design(block("end", (0.0, 0.0, 0.0), (101.6, 139.82, 6.35)))
    assert [row.size for row in parts_list(odd, "in")] == ["4 in × 5 1/2 in (5.505) × 1/4 in"]


def test_every_leader_ends_on_a_seen_spot_of_its_piece() -> None:
    """The dot lies inside the outline of its own piece as a sight line finds it, boxes only."""
    of = sample_design()
    exploded = explode(of)
    boxes = {}
    for p in of.placed:
        low, high = (np.array(corner) + np.array(exploded.offsets[p.name]) for corner in p.box)
        boxes[p.name] = (low, high)
    items, _, _ = exploded_sheet(of, spread(of, exploded))
    drawn = [i for i in items if isinstance(i, Line) and i.layer == "visible"]
    raw = projected(of, exploded.offsets)
    (ax, ay, bx, _), (cx, cy, dx, _) = bounds_of(raw), bounds_of(drawn)
    scale = (dx - cx) / (bx - ax)
    dots = [i for i in items if isinstance(i, Circle) and i.fill == "solid"]
    assert len(dots) == 7
    for dot in dots:
        right, up = (dot.x - cx) / scale + ax, (dot.y - cy) / scale + ay
        start = np.linalg.solve(np.array([to_picture(e) for e in np.eye(3)]).T, np.array([right, up, 0.0]))
        nearest = max(boxes, key=lambda name: entered(start, boxes[name]))
        assert nearest == dot.of


def entered(start: np.ndarray, box: tuple[np.ndarray, np.ndarray]) -> float:
    """How near the eye a line of sight leaves a box; minus infinity if it misses it."""
    times = np.sort(np.stack([box[0] - start, box[1] - start]) / np.array(EYE), axis=0)
    return float(min(times[1])) if min(times[1]) > max(times[0]) else -math.inf


def test_a_piece_that_cannot_be_seen_has_a_dashed_leader_and_no_dot() -> None:
    near = block("near", (0.0, 0.0, 0.0), (100.0, 5.0, 100.0))
    far = block("far", (10.0, 30.0, 0.0), (20.0, 5.0, 20.0))
    of = design(near, far)
    items, width, height = exploded_sheet(of, spread(of, Exploded(steps=(), offsets={})))
    assert [i.layer for i in items if isinstance(i, Line) and i.of == "far"] == ["hidden"]
    assert not [i for i in items if isinstance(i, Circle) and i.of == "far" and i.fill == "solid"]
    check_sheet(items, width, height)


def test_balloon_lines_of_one_column_do_not_cross() -> None:
    rng = random.Random(3)
    for _ in range(40):
        dots = [(str(k), rng.uniform(20.0, 100.0), rng.uniform(0.0, 150.0)) for k in range(14)]
        spots = columns(dots, (0.0, 0.0, 150.0, 120.0), 60.0)
        assert sorted(spot.item for spot in spots) == sorted(d[0] for d in dots)
        for column in (0.0, 120.0):
            mine = [s for s in spots if s.to_x == column]
            for a, b in combinations(mine, 2):
                assert not crossing(a.x, a.y, a.to_x, a.to_y, b.x, b.y, b.to_x, b.to_y)
                assert abs(a.to_y - b.to_y) > 2.0 * RADIUS_MM


def crossing(ax: float, ay: float, bx: float, by: float, cx: float, cy: float, dx: float, dy: float) -> bool:
    try:
        s, t = np.linalg.solve([[bx - ax, cx - dx], [by - ay, cy - dy]], [cx - ax, cy - ay])
    except np.linalg.LinAlgError:
        return False
    return bool(1e-6 < s < 1.0 - 1e-6 and 1e-6 < t < 1.0 - 1e-6)


def test_the_svg_is_sound_in_mm_the_same_each_time_and_rounded() -> None:
    of = replace(sample_design(), title='Trough <A> & "B"\x00\x1f for the harbour')
    one, two = exploded_svg(of, spread(of, explode(of))), exploded_svg(of, spread(of, explode(of)))
    assert one == two
    root = ElementTree.fromstring(one)
    width, height = float(root.get("width", "").removesuffix("mm")), float(root.get("height", "").removesuffix("mm"))
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    assert width == 277.0
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    assert 'Trough <A> & "B" for the harbour' in texts
    assert "revision A" in texts
    numbers = re.findall(r"-?\d+\.\d+", re.sub(r">[^<]*<", "><", one.split("?>", 1)[1]))
    assert numbers
    assert all(len(text.split(".")[1]) <= 2 for text in numbers)
    assert "nan" not in one
    assert not re.search(r"\d[eE][-+]?\d", one)


def test_arcs_reach_the_same_ends_on_the_svg_as_in_the_primitive() -> None:
    """Read back with the arc formulas of SVG 1.1, appendix F.6: the middle of each arc lies on the ellipse."""
    arc = Ellipse(x=50.0, y=40.0, a=30.0, b=12.0, turn_rad=0.4, start_rad=0.3, sweep_rad=2.5)
    path = ElementTree.fromstring(svg((arc,), 100.0, 80.0, "t")).find(f".//{SVG}path")
    assert path is not None
    found = re.findall(r"A(\S+) (\S+) (\S+) 0 ([01]) (\S+) ([\d.]+)", path.get("d", ""))
    start = re.match(r"M(\S+) ([\d.]+)", path.get("d", ""))
    assert start is not None
    x0, y0 = float(start[1]), float(start[2])
    assert (x0, 80.0 - y0) == pytest.approx(arc.at(0.3), abs=0.006)
    for k, (rx, ry, turn, sweep, x1, y1) in enumerate(found, 1):
        assert (float(rx), float(ry)) == (30.0, 12.0)
        assert float(turn) == pytest.approx(-math.degrees(0.4), abs=0.006)
        assert sweep == "0"  # counter-clockwise on paper
        end = arc.at(0.3 + 2.5 * k / len(found))
        assert (float(x1), 80.0 - float(y1)) == pytest.approx(end, abs=0.006)


def test_numbers_have_no_minus_nought() -> None:
    assert [number(v) for v in (-0.0, -0.004, 100.0, 12.346, -7.5)] == ["0", "0", "100", "12.35", "-7.5"]


@pytest.mark.published
def test_text_is_never_wider_than_estimated() -> None:
    """Advance widths of a common sans face in 1/1000 em (Core font metrics of the PDF base 14, from memory)."""
    thousandths = {"0": 556, "a": 556, "m": 833, "W": 944, "i": 222, "M": 833, "@": 1015, " ": 278, "G": 778}
    for character, wide in thousandths.items():
        assert text_width_mm(character, 0.72) * 1000.0 >= wide


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_picture_does_not_depend_on_the_order_of_pieces(order: tuple[int, ...]) -> None:
    boxes = [block(f"b{k}", (20.0 * k, 10.0 * k, 5.0 * k), (30.0, 8.0, 4.0)) for k in range(3)]
    assert set(projected(design(*(boxes[k] for k in order)), {})) == set(projected(design(*boxes), {}))


def test_moving_a_primitive_scales_then_shifts_it() -> None:
    assert moved(Line(x0=1, y0=2, x1=3, y1=4), 2.0, 10.0, 20.0) == Line(x0=12, y0=24, x1=16, y1=28)
    with pytest.raises(ValueError, match="empty"):
        bounds_of(())


def test_equal_screws_of_a_shoe_have_one_balloon_and_each_of_its_other_bodies_one() -> None:
    """Eight screws of the jaws of the demo's shoe of metal; its two pins, which are handled one by one, have one each."""
    text = (Path(__file__).parents[3] / "orders" / "swap-trough.toml").read_text(encoding="utf-8")
    of = kind("tank").build(read_order_text(text, schemas()))
    rows = {row.part: row for row in parts_list(of, "mm")}
    assert rows["jaw-screw"].count == 8
    items, _, _ = exploded_sheet(of, spread(of, explode(of)))
    numbers = [item.text for item in items if isinstance(item, Text) and item.of]
    assert numbers.count(rows["jaw-screw"].item) == 1
    assert numbers.count(rows["locking-pin"].item) == rows["locking-pin"].count == 2
