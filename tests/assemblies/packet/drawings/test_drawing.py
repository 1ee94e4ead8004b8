"""Drawing sheets as primitives: every view at scale, every figure what it measures, no text on a line or on another."""

from __future__ import annotations

import math
import re
from itertools import combinations

import pytest
from random_pieces import random_piece
from samples import flat, panel, pieces_of_all_sorts, tapped_plate

from assemblies.packet.drawings.callouts import groups_of, spec_line
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawing import SCALES, DrawingSettings, PartFacts, part_sheets, scale_name, settings_for
from assemblies.packet.drawings.drawing_views import side_view
from assemblies.packet.drawings.title_block import PAPERS, frame_of
from assemblies.packet.ink.primitives import WIDTH_MM, Ellipse, Line, Text, bounds_of
from assemblies.packet.ink.primitives import Circle as Ring
from assemblies.packet.ink.sheet_items import Sheet, boxes_meet, line_meets, mark_box, segments
from assemblies.packet.ink.sheet_items import flat as taken_apart
from assemblies.shop.plan.edges import Edge
from parts.findings import NotCovered
from parts.shape.outline import Circle, Loop, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Piece

EDGES = tuple(
    Edge(side=side, use=use, work=work, takes_mm=0.0, source="judgement")
    for side, use, work in (
        ("left", "bonded", "scrape"), ("right", "seen", "sand"), ("bottom", "free", "leave"), ("top", "bonded", "mill")
    )
)  # fmt: skip
FACTS = PartFacts(
    design="ripple-trough", title="A wet demonstration on tour, with a title as long as titles come", revision="A",
    count=2, quantity=3, process="saw", tolerance_mm=0.25, repeat_mm=0.05, alike=("end", "bottom"), edges=EDGES,
)  # fmt: skip


def settings(seed: int) -> DrawingSettings:
    return DrawingSettings(
        units="in" if seed % 3 == 1 else "mm", paper="letter" if seed % 2 else "a4",
        projection="third" if seed % 4 > 1 else "first", dual=seed % 5 == 0,
    )  # fmt: skip


def sheets(piece: Piece, how: DrawingSettings | None = None) -> tuple[Sheet, ...]:
    return part_sheets(piece, FACTS, how)


def words(sheet: Sheet) -> list[str]:
    return [m.text for m in sheet.marks if isinstance(m, Text)]


def faults(sheet: Sheet) -> list[tuple[str, str]]:
    """Texts out of the frame, on one another, or with a line through them."""
    texts = [(m, mark_box(m)) for m in sheet.marks if isinstance(m, Text)]
    lines = [s for m in sheet.marks for s in segments(m)]
    x0, y0, x1, y1 = frame_of(sheet.width_mm, sheet.height_mm)
    out = [("outside", m.text) for m, b in texts if not (x0 <= b[0] and y0 <= b[1] and b[2] <= x1 and b[3] <= y1)]
    out += [(a.text, b.text) for (a, p), (b, q) in combinations(texts, 2) if boxes_meet(p, q)]
    return out + [("line", m.text) for m, box in texts if any(line_meets(line, box) for line in lines)]


def test_what_is_done_to_an_edge_stands_along_it_inside_the_view():
    """A plain panel has room for all four; each lies within 4 mm of its own edge and reads along it."""
    (sheet,) = sheets(panel("wall", 200, 120))
    (x, y), (wide, high) = sheet.views[0].at, (side * sheet.scale for side in (200, 120))
    found = {m.text: m for m in sheet.marks if isinstance(m, Text) and m.text in ("scrape", "sand", "as cut", "mill")}
    assert len(found) == 4
    away = {
        "scrape": mark_box(found["scrape"])[0] - x, "sand": x + wide - mark_box(found["sand"])[2],
        "as cut": mark_box(found["as cut"])[1] - y, "mill": y + high - mark_box(found["mill"])[3],
    }  # fmt: skip
    assert all(0.5 < gap < 4.0 for gap in away.values()), away
    assert {text for text, mark in found.items() if mark.turned} == {"scrape", "sand"}


@pytest.mark.parametrize("seed", range(50))
def test_no_text_of_a_random_piece_leaves_the_frame_or_meets_a_text_or_a_line(seed: int) -> None:
    for sheet in sheets(random_piece(seed), settings(seed)):
        assert faults(sheet) == []


def test_the_fault_finder_sees_texts_that_meet_and_lines_through_them() -> None:
    text = Text(x=50.0, y=50.0, text="figure")
    frame = {"width_mm": 210.0, "height_mm": 297.0, "scale": 1.0}
    assert faults(Sheet(**frame, items=(text, Text(x=52.0, y=51.0, text="other"))))
    assert faults(Sheet(**frame, items=(text, Line(x0=40.0, y0=51.0, x1=90.0, y1=51.0))))
    assert faults(Sheet(**frame, items=(Text(x=5.0, y=50.0, text="figure"),)))
    assert not faults(Sheet(**frame, items=(text, Line(x0=40.0, y0=48.0, x1=90.0, y1=48.0))))


@pytest.mark.parametrize("seed", range(50))
def test_every_figure_is_the_distance_of_its_ends_at_the_scale(seed: int) -> None:
    how = settings(seed)
    for sheet in sheets(random_piece(seed), how):
        for dimension in sheet.dimensions:
            measured_mm = (dimension.b - dimension.a) / sheet.scale
            number = float(re.sub(r"^Ø| \[.*", "", dimension.text))
            unit, digits = (25.4, 0.0005) if how.units == "in" else (1.0, 0.005)
            assert number == pytest.approx(measured_mm / unit, abs=digits + 1e-9)
            arrows = [m for m in dimension.items if not isinstance(m, Line | Text)]
            tips = [m.points[0][0 if dimension.axis == "x" else 1] for m in arrows]
            assert sorted(tips) == pytest.approx([dimension.a, dimension.b])


@pytest.mark.parametrize("seed", range(50))
def test_every_view_is_as_large_as_the_piece_at_scale(seed: int) -> None:
    piece = random_piece(seed)
    sheet = sheets(piece, settings(seed))[0]
    assert sheet.scale in SCALES
    assert [view.name for view in sheet.views] == ["front", "side"]
    width, height, thick = piece.size_mm
    for view, size in zip(sheet.views, ((width, height), (thick, height)), strict=True):
        assert view.size_mm == size
        seen = [m for m in sheet.marks if m.of == view.name and m.layer == "visible"]
        low_x, low_y, high_x, high_y = bounds_of(seen)
        assert (low_x, low_y) == pytest.approx(view.at, abs=1e-6)
        assert (high_x - low_x, high_y - low_y) == pytest.approx([side * sheet.scale for side in size], abs=1e-6)


@pytest.mark.parametrize("piece", pieces_of_all_sorts(), ids=lambda p: p.name)
def test_every_hole_of_a_part_is_placed_by_dimensions_or_by_the_table(piece: Piece) -> None:
    """Each place is said: as a figure of a dimension, or as a row of the table."""
    sheet = sheets(piece)[0]
    along = {axis: {round(d.value_mm, 6) for d in sheet.dimensions if d.axis == axis} for axis in ("x", "y")}
    for hole in piece.holes:
        assert hole.x_mm in along["x"]
        assert hole.y_mm in along["y"]
    total = sum(int(m[1]) if (m := re.match(r"(\d+) × (?!\d+ )", w)) else 1 for w in words(sheet) if callout(w))
    assert total == len(piece.holes) + len(piece.outline.inner)


def callout(text: str) -> bool:
    return "through" in text or " deep" in text


def test_over_six_holes_stand_in_a_table_each_with_its_place() -> None:
    centres = [(20.0 + 31.0 * i, 15.5 + 40.0 * j) for j in range(3) for i in range(5)]
    piece = flat(
        "grid", rectangle(180.0, 120.0),
        holes=tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=5.5) for x, y in centres),
    )  # fmt: skip
    (sheet,) = sheets(piece, DrawingSettings(paper="letter"))
    assert "A: 15 × Ø5.5 through" in words(sheet)
    texts = [m for m in sheet.marks if isinstance(m, Text)]
    (x, y), scale = sheet.views[0].at, sheet.scale
    for k, (across, up) in enumerate(centres, 1):
        beside, listed = sorted((m for m in texts if m.text == f"A{k}"), key=lambda m: -m.y)
        assert math.dist((beside.x, beside.y), (x + across * scale, y + up * scale)) < 12.0
        row = sorted((m for m in texts if m.y == listed.y and m.x > listed.x), key=lambda m: m.x)
        assert [m.text for m in row[:2]] == [figure(across, "mm"), figure(up, "mm")]


def test_many_holes_run_on_to_sheets_of_their_own_and_none_is_lost() -> None:
    centres = [(10.0 + 10.0 * i, 10.0 + 10.0 * j) for j in range(20) for i in range(25)]
    holes = tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=3.0) for x, y in centres)
    drawn = sheets(flat("sieve", rectangle(260.0, 210.0), holes=holes))
    assert len(drawn) > 2
    listed = {w for sheet in drawn[1:] for w in words(sheet) if re.fullmatch(r"A\d+", w)}
    assert listed == {f"A{k}" for k in range(1, len(centres) + 1)}
    for number, sheet in enumerate(drawn, 1):
        assert f"{number} of {len(drawn)}" in words(sheet)
        assert faults(sheet) == []


def test_leaders_end_on_a_hole_of_their_group() -> None:
    sheet = sheets(tapped_plate())[0]
    (text,) = (m for m in sheet.marks if isinstance(m, Text) and callout(m.text))
    assert text.text == "4 × M6 / Ø5.2 × 9 deep"
    tips = [m.points[0] for m in sheet.items if getattr(m, "closed", False) and m.layer == "dimension"]
    x, y = sheet.views[0].at
    centres = [(x + h.x_mm * sheet.scale, y + h.y_mm * sheet.scale) for h in tapped_plate().holes]
    assert len(tips) == 1
    assert min(math.dist(tips[0], c) for c in centres) == pytest.approx(3.0 * sheet.scale)  # the thread's own circle


def test_callouts_say_what_is_made() -> None:
    piece = pieces_of_all_sorts()[-1]
    assert {spec_line(g) for g in groups_of(piece, "mm")} == {
        "Ø5.5 through",
        "Ø8 × 4 deep, from the other face",
        "Ø5 through, countersunk Ø10 × 90°",
        "Ø4 × 7 deep, countersunk Ø8 × 90°, from the other face",
        "M6 / Ø5.2 through",
    }


def test_a_thread_is_a_full_circle_and_three_quarters_of_one_open_at_the_upper_right() -> None:
    """ISO 6410-1:1993, 3.2.2: end on, three quarters of a circle in a narrow line, preferably open at the upper right."""
    marks = [m for m in sheets(tapped_plate())[0].marks if getattr(m, "of", "") == "front"]
    bores = [m for m in marks if isinstance(m, Ring) and m.layer == "visible"]
    threads = [m for m in marks if isinstance(m, Ellipse) and m.layer == "dimension"]
    assert len(bores) == len(threads) == 4
    for bore, thread in zip(bores, threads, strict=True):
        assert thread.a / bore.radius == pytest.approx(6.0 / 5.2)
        assert thread.sweep_rad == pytest.approx(1.5 * math.pi)
        inside = [thread.at(thread.start_rad + k / 20.0 * thread.sweep_rad) for k in range(1, 20)]
        assert not any(px > thread.x + 1e-6 and py > thread.y + 1e-6 for px, py in inside)


def test_a_ring_has_its_diameters_and_no_height() -> None:
    ring = flat("flange", Circle(80.0, 80.0, 80.0), inner=(Circle(80.0, 80.0, 50.0),), kind="ring")
    sheet = sheets(ring)[0]
    assert [d.text for d in sheet.dimensions] == ["Ø160", "6"]
    assert "Ø100 cut through" in words(sheet)
    centre_lines = [m for m in sheet.marks if isinstance(m, Line) and m.layer == "centre" and m.of == "front"]
    assert len(centre_lines) >= 2


def test_holes_on_a_circle_of_a_disc_show_their_pitch_circle() -> None:
    turn = [k * math.pi / 2.0 + 0.3 for k in range(4)]
    holes = tuple(
        Hole(x_mm=60 + 45 * math.cos(a), y_mm=60 + 45 * math.sin(a), kind="through", diameter_mm=4.5) for a in turn
    )
    sheet = sheets(flat("cap", Circle(60.0, 60.0, 60.0), holes=holes, kind="disc"))[0]
    assert [m.radius for m in sheet.marks if isinstance(m, Ring) and m.layer == "centre"] == [
        pytest.approx(45.0 * sheet.scale)
    ]
    assert any("Pitch circle Ø90" in w for w in words(sheet))


STEP = Loop(tuple(Vertex(x, y) for x, y in ((0, 0), (120, 0), (120, 30), (60, 30), (60, 90), (0, 90))))


def test_a_step_is_dimensioned_and_seen_from_the_side_it_faces() -> None:
    piece = flat("bracket", STEP)
    sheet = sheets(piece)[0]
    assert {d.text for d in sheet.dimensions} == {"60", "120", "30", "90", "6"}
    from_left, from_right = (
        [m for m in side_view(piece, 1.0, projection) if m.y0 == m.y1 == 30.0] for projection in ("first", "third")
    )  # fmt: skip
    assert [m.layer for m in from_left] == ["hidden"]
    assert [m.layer for m in from_right] == ["visible"]


def test_a_blind_hole_opens_to_the_face_it_is_drilled_from_in_either_projection() -> None:
    """ISO 128-3: right of the front view stands the view from the left (first angle) or from the right (third)."""
    hole = Hole(x_mm=10, y_mm=10, kind="blind", diameter_mm=4, depth_mm=4, side="far")
    piece = flat("block", rectangle(20, 20), holes=(hole,), thickness_mm=10.0)
    for projection, far in (("first", 10.0), ("third", 0.0)):
        walls = [m for m in side_view(piece, 1.0, projection) if m.layer == "hidden" and m.y0 == m.y1]
        assert len(walls) == 2
        for wall in walls:
            assert far in (wall.x0, wall.x1)
            assert abs(wall.x0 - wall.x1) == pytest.approx(4.0)


def test_what_is_made_from_the_other_face_is_dashed() -> None:
    hole = Hole(x_mm=10, y_mm=10, kind="blind", diameter_mm=4, depth_mm=4, side="near")
    marks = sheets(flat("block", rectangle(20, 20), holes=(hole,)))[0].marks
    assert [m.layer for m in marks if isinstance(m, Ring) and m.of == "front"] == ["hidden"]


def test_the_datum_is_the_lower_left_corner_of_the_front_view() -> None:
    for piece in pieces_of_all_sorts():
        sheet = sheets(piece)[0]
        (mark,) = (m for m in sheet.marks if isinstance(m, Ring) and m.of == "datum")
        assert (mark.x, mark.y) == pytest.approx(sheet.views[0].at)
        starts = [d.a for d in sheet.dimensions[:-1]]  # the last is the thickness
        assert all(a == pytest.approx(sheet.views[0].at[0 if d.axis == "x" else 1])
                   for a, d in zip(starts, sheet.dimensions, strict=False))  # fmt: skip


def test_paper_and_projection_follow_the_units() -> None:
    assert settings_for("mm") == DrawingSettings(units="mm", paper="a4", projection="first")
    assert settings_for("in") == DrawingSettings(units="in", paper="letter", projection="third")
    assert settings_for("in", "a4").paper == "a4"
    for units, paper in (("mm", "a4"), ("in", "letter")):
        sheet = sheets(panel("wall", 300.0, 150.0), settings_for(units))[0]  # type: ignore[arg-type]
        assert sorted((sheet.width_mm, sheet.height_mm)) == sorted(PAPERS[paper])


def test_the_largest_scale_that_goes_in_is_taken() -> None:
    found = [sheets(panel("p", side, side / 2.0))[0].scale for side in (20.0, 60.0, 120.0, 300.0, 900.0, 2000.0)]
    assert found == [5.0, 2.0, 1.0, 0.5, 0.2, 0.1]
    assert [scale_name(s) for s in found] == ["5:1", "2:1", "1:1", "1:2", "1:5", "1:10"]


def test_a_piece_too_large_for_any_scale_is_not_covered() -> None:
    with pytest.raises(NotCovered, match="1:100"):
        sheets(panel("wall", 40_000.0, 150.0))


def test_dual_figures_give_both_units() -> None:
    sheet = sheets(panel("wall", 254.0, 127.0), DrawingSettings(dual=True))[0]
    assert {d.text for d in sheet.dimensions} == {"254 [10.000]", "127 [5.000]", "6 [0.236]"}
    sheet = sheets(panel("wall", 254.0, 127.0), DrawingSettings(units="in", dual=True))[0]
    assert {d.text for d in sheet.dimensions} == {"10.000 [254]", "5.000 [127]", "0.236 [6]"}


def test_the_title_block_says_what_the_order_says() -> None:
    piece = flat("lid", rounded_rectangle(120, 80, 10))
    found = words(sheets(piece)[0])
    for text in ("lid", "ripple-trough/lid", "A", "1:1", "1 of 1", "A4", "cast acrylic (PMMA) sheet", "6 (2 each)",
                 "± 0.25 mm on sizes and places (saw)", f"{piece.mass_kg:.3f} kg", "approved by", "date of issue"):  # fmt: skip
        assert text in found, text
    assert any(w.startswith("6 mm ± 1 mm") for w in found), "ISO 7823-1: 0.4 + 0.1 x 6"
    assert any("R10" in w for w in found)


def test_the_frame_leaves_room_to_file_by() -> None:
    """ISO 5457:1999, 4.2: 20 mm on the left, 10 mm elsewhere; the frame 0.7 mm wide (from memory)."""
    sheet = sheets(panel("wall", 60.0, 150.0))[0]
    frame = next(m for m in sheet.marks if getattr(m, "of", "") == "frame")
    assert bounds_of([frame]) == (20.0, 10.0, 200.0, 287.0)  # type: ignore[list-item]
    assert WIDTH_MM[frame.layer] == 0.7


def test_taking_dimensions_apart_keeps_everything() -> None:
    sheet = sheets(panel("wall", 300.0, 150.0))[0]
    inside = sum(len(d.items) for d in sheet.dimensions)
    assert len(list(taken_apart(sheet.items))) == len(sheet.items) - len(sheet.dimensions) + inside
