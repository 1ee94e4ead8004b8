"""The drill sheet against tables, a sheet maker's guidelines, a technical manual on taps, and shop practice."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import design, flat, panel, pieces_of_all_sorts, tank, tapped_plate

from assemblies.design.model import Placed
from assemblies.report.tables import csv_text
from assemblies.shop.drill.cross_slide import cross_slide
from assemblies.shop.drill.rows import drill_csv_rows, drill_findings, drill_header, drill_section
from assemblies.shop.drill.sheet import DrillSheet, DrillShop, drill_for, drill_rows, drill_sheet
from assemblies.shop.drill.speed import (
    bit_kind,
    coolant,
    flute_mm,
    pecks,
    point_height_mm,
    point_range_deg,
    spindle_rpm,
)
from parts.findings import NotCovered, SeamwrightError
from parts.make.tapped_plate import tapped_plate as plate_of
from parts.shape.outline import Circle, rectangle
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import tapped_hole
from parts.stock.drill import drills
from parts.stock.thread import clearance, tap_drill, thread
from parts.tables import load

INCH = 25.4
GRID = [(x, y) for x in (-12.7, 12.7) for y in (-12.7, 12.7)]


def inch_plate(percent: float = 72) -> Piece:
    """Two inches square of half-inch sheet, four 1/4-20 on a one inch grid: holes 1/2 in and 1 1/2 in from the edges."""
    from parts.stock.sheet import Sheet

    sheet = Sheet(material="cast-pmma", nominal_mm=12.7)
    return plate_of("plate", 50.8, 50.8, sheet, "1/4-20", GRID, percent=percent)


# ---- speed, feed, point: the outside world


@pytest.mark.published
def test_the_speed_printed_for_a_25_mm_drill_is_in_the_range():
    """A sheet maker's guidelines on machining, section 3.1, figure 13: 25 mm at 510 rpm is best."""
    low, high = spindle_rpm(25.0)
    assert low <= 510 <= high
    assert (low + high) / 2 == pytest.approx(510, rel=0.15)  # not merely at an end


@pytest.mark.parametrize(("size", "low", "high"), [(3, 3200, 6400), (6, 1600, 3200), (12, 800, 1600)])
def test_speeds_of_three_sizes_as_remembered_by_the_trade(size, low, high):
    """Remembered figures, rounded to hundreds: 1 %."""
    assert spindle_rpm(size) == pytest.approx((low, high), rel=0.01)


@given(st.floats(0.5, 25.4))
def test_the_rim_of_every_drill_runs_at_30_to_60_m_a_minute(size):
    low, high = spindle_rpm(size)
    assert math.pi * size * low / 1000 == pytest.approx(30, rel=0.02)  # speeds are rounded to 10 rpm
    assert math.pi * size * high / 1000 == pytest.approx(60, rel=0.02)


def test_a_slow_press_limits_both_ends():
    assert spindle_rpm(3.0, 3000) == (3000, 3000)
    assert spindle_rpm(6.0, 2000) == (1590, 2000)
    with pytest.raises(SeamwrightError, match="does not turn"):
        spindle_rpm(3.0, 0)


@pytest.mark.parametrize("size", [0.0, -1.0, math.nan, math.inf])
def test_what_is_no_drill_has_no_speed(size):
    with pytest.raises(SeamwrightError, match="has no speed"):
        spindle_rpm(size)


@pytest.mark.published
@pytest.mark.parametrize(
    ("size", "depth", "angles"),
    [
        (6.0, None, (60, 90)),  # sheet maker's brief: ground to 60 to 90 degrees; manual p. 16: 60 where it comes out
        (12.7, None, (60, 60)),  # brief: 60 degrees especially from 1/2 in
        (6.0, 12.0, (90, 90)),  # manual p. 16: blind, under three diameters
        (6.0, 18.1, (118, 118)),  # manual p. 16: blind, over three diameters
    ],
)
def test_point_angles_are_those_of_two_sheet_makers(size, depth, angles):
    assert point_range_deg(size, depth) == angles


@pytest.mark.published
def test_cooled_with_water_from_more_than_5_mm_and_never_with_oil():
    """The guidelines on machining, section 3.1: coolant from more than 5 mm of material."""
    assert coolant(5.0).startswith("dry")
    assert coolant(5.1).startswith("water or soapy water")
    assert "oil" not in coolant(3) + coolant(30)


@given(st.floats(0.5, 60), st.floats(1, 25))
def test_pecks_are_equal_add_up_and_are_never_deeper_than_a_diameter(depth, size):
    found = pecks(depth, size)
    assert found.number * found.depth_mm == pytest.approx(depth)
    assert found.depth_mm <= size * (1 + 1e-9)
    assert (found.number - 1) * size < depth  # and not one too many


def test_flute_lengths_cover_the_drills_of_the_table_without_a_gap():
    rows = load("drill_flutes")
    for a, b in pairwise(rows):
        assert a["up_to_mm"] == b["over_mm"]
        assert float(a["flute_mm"]) < float(b["flute_mm"])
    for drill in drills():
        if 0.95 < drill.diameter_mm <= 20:
            assert flute_mm(drill.diameter_mm) > 4 * drill.diameter_mm
    with pytest.raises(NotCovered, match="not in the table"):
        flute_mm(22.0)


# ---- the drill for a hole


@pytest.mark.parametrize("screw", [r["size"] for r in load("threads_metric")] + ["1/4-20", "#10-24", "3/8-16", "G 1/4"])
@pytest.mark.parametrize("percent", [55, 65, 75])
def test_a_tapped_hole_gets_its_tap_drill_back_and_the_percent_of_that_drill(screw, percent):
    hole = tapped_hole(30, 30, screw, percent=percent)
    wanted = tap_drill(thread(screw), percent)
    assert drill_for(hole) == wanted.drill
    sheet = drill_sheet(flat("p", rectangle(60, 60), holes=(hole,), thickness_mm=12), 1, DrillShop())
    assert sheet.rows[0].tap.percent == pytest.approx(wanted.percent)
    assert sheet.rows[0].drill_error_mm == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("size", ["M4", "M6", "1/4-20", "#10-24", "1/2-13"])
def test_a_clearance_hole_gets_its_clearance_drill(size):
    wanted = clearance(thread(size))
    hole = Hole(x_mm=30, y_mm=30, kind="through", diameter_mm=wanted.diameter_mm)
    assert drill_for(hole, "mm" if size.startswith("M") else "in").diameter_mm == wanted.diameter_mm


def test_a_13_64_drill_for_a_quarter_twenty_leaves_72_percent():
    """Common practice, no source; 72.2 % by the handbook formula."""
    (sheet,) = drill_rows(design(Placed(name="p", piece=inch_plate(), origin=(0, 0, 0))))
    assert {row.drill.label for row in sheet.rows} == {"13/64 in"}
    assert {round(row.tap.percent, 1) for row in sheet.rows} == {72.2}


@pytest.mark.parametrize(
    ("bore", "units", "label"),
    [(6.35, "mm", "1/4 in"), (6.35, "in", "1/4 in"), (5.0, "in", "5 mm"), (19.05, "mm", "3/4 in"), (25.4, "mm", "1 in"),
     (30.0, "mm", None)],
)  # fmt: skip
def test_the_real_drill_is_of_the_size_asked_for_whatever_the_units(bore, units, label):
    found = drill_for(Hole(x_mm=40, y_mm=40, kind="through", diameter_mm=bore), units)
    assert (found.label if found else None) == label


def test_a_hole_no_drill_makes_is_said():
    odd = Hole(x_mm=40, y_mm=40, kind="through", diameter_mm=24.8)
    huge = Hole(x_mm=40, y_mm=90, kind="through", diameter_mm=50)
    sheet = drill_sheet(flat("p", rectangle(140, 140), holes=(odd, huge)), 1, DrillShop())
    assert [(f.level, f.check) for f in drill_findings([sheet])] == [("care", "drill"), ("note", "drill")]
    said = " ".join(f.why for f in drill_findings([sheet]))
    assert "31/32 in drill, is -0.19 mm off" in said  # 31/32 in = 24.606 mm; 63/64 in = 25.003 is 0.20 off
    assert [row.bit for row in sheet.rows] == ["twist", "circle-cutter"]
    assert drill_section([sheet])[0]["holes"][1]["drill"] == "50 mm, circle cutter or router"


# ---- tapping


@pytest.mark.published
def test_turns_of_the_tap_and_full_thread_follow_the_manuals_chamfers():
    """TM 9-254, paragraph 4-27: plug 3 to 5 threads of chamfer, bottoming 1 to 2; the longer ones are taken."""
    through, blind = tapped_hole(25, 25, "M6"), tapped_hole(25, 25, "M6", depth_mm=9.0)
    rows = drill_sheet(flat("p", rectangle(50, 50), holes=(through,), thickness_mm=12), 1, DrillShop()).rows
    assert (rows[0].tap.kind, rows[0].tap.turns) == ("spiral-point (gun) tap", 12 / 1.0 + 5)
    rows = drill_sheet(flat("p", rectangle(50, 50), holes=(blind,), thickness_mm=12), 1, DrillShop()).rows
    assert (rows[0].tap.kind, rows[0].tap.turns) == ("plug tap to start, then bottoming tap", 9 - 0.5)
    chamfer = (7.5 - 5.2) / 2  # shop rule: 90 degrees to 1.25 diameters
    assert rows[0].edge_mm == pytest.approx(chamfer)
    assert rows[0].tap.full_thread_mm == pytest.approx(9 - chamfer - 2 * 1.0)


def test_too_little_full_thread_over_a_bottoming_tap_is_care():
    (sheet,) = drill_rows(design())
    (said,) = drill_findings([sheet])
    assert said.level == "care"
    assert "leaves 5.8 mm of full thread, under one diameter (6.0 mm)" in said.why


@pytest.mark.parametrize(
    ("depth", "point", "level"),
    [
        (7.0, 90, None),  # 90 degrees on 5.2 mm is 2.6 high: 12 - 7 - 2.6 = 2.4 of floor
        (9.0, 118, None),  # 90 degrees would leave 0.4; 118 is 1.56 high and leaves 1.44
        (10.0, 118, "care"),  # leaves 0.44
        (11.0, 118, "stop"),  # 11 + 1.56 is over 12
    ],
)
def test_the_point_of_a_blind_hole_must_not_come_through_the_floor(depth, point, level):
    hole = Hole(x_mm=25, y_mm=25, kind="blind", diameter_mm=5.2, depth_mm=depth)
    sheet = drill_sheet(flat("p", rectangle(50, 50), holes=(hole,), thickness_mm=12), 1, DrillShop())
    assert sheet.rows[0].point_deg == (point, point)
    assert [f.level for f in drill_findings([sheet])] == ([level] if level else [])
    assert point_height_mm(5.2, 118) == pytest.approx(2.6 / math.tan(math.radians(59)))


# ---- vise


def test_half_an_inch_is_four_turns_and_an_inch_over_is_eight():
    """Common practice, no source: eight turns to the inch; 1/2 in from both edges is four each way."""
    shop = DrillShop(slide=cross_slide(turns_per_inch=8), units="in")
    rows = drill_sheet(inch_plate(), 1, shop).rows
    turns = [(row.x_turns.words(), row.y_turns.words()) for row in rows]
    assert turns == [("4 turns", "4 turns"), ("12 turns", "4 turns"), ("4 turns", "12 turns"), ("12 turns", "12 turns")]
    assert rows[1].x_turns.turns - rows[0].x_turns.turns == 8
    assert all(row.x_turns.error_mm == 0.0 for row in rows)


def test_coming_back_inward_is_marked_so_that_backlash_is_taken_up():
    rows = drill_sheet(inch_plate(), 1, DrillShop(slide=cross_slide(mm_per_turn=2))).rows
    assert [(row.x_back, row.y_back) for row in rows] == [(False, False), (False, False), (True, False), (False, False)]
    for before, row in pairwise(rows):
        assert row.x_back == (row.x_mm < before.x_mm)


VISES = st.integers(4, 40).map(lambda n: cross_slide(turns_per_inch=n)) | st.sampled_from([1, 1.5, 2, 2.5, 4, 5]).map(
    lambda p: cross_slide(mm_per_turn=p)
)


@given(st.floats(0, 400), VISES)
def test_the_dial_is_never_off_by_more_than_half_a_division(distance, vise):
    found = vise.reading(distance)
    assert 0 <= found.divisions < vise.divisions
    back = found.turns * vise.mm_per_turn + found.divisions * vise.mm_per_division
    assert float(back) == pytest.approx(distance + found.error_mm, abs=1e-6)
    assert abs(found.error_mm) <= float(vise.mm_per_division) / 2 + 1e-9


def test_dials_are_a_thousandth_of_an_inch_or_two_hundredths_of_a_mm_unless_given():
    assert cross_slide(turns_per_inch=10).divisions == 100
    assert cross_slide(mm_per_turn=2).divisions == 100
    vise = cross_slide(turns_per_inch=8, divisions=50)
    assert vise.mm_per_division == Fraction(254, 10) / 400


@pytest.mark.parametrize(
    "pitch",
    [{}, {"turns_per_inch": 8, "mm_per_turn": 2}, {"turns_per_inch": 0}, {"mm_per_turn": -2}, {"mm_per_turn": math.nan},
     {"mm_per_turn": 2, "divisions": 0}],
)  # fmt: skip
def test_a_vise_that_cannot_be_is_refused(pitch):
    with pytest.raises(SeamwrightError):
        cross_slide(**pitch)


# ---- order, faces, stacks


def travel(rows) -> float:
    return sum(math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) for a, b in pairwise(rows))


def test_rows_run_to_and_fro_without_a_vise_and_outward_with_one():
    holes = tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=5) for x in (80, 20, 50) for y in (60, 20, 40))
    piece = flat("p", rectangle(100, 80), holes=holes)
    free = drill_sheet(piece, 1, DrillShop()).rows
    assert [(r.x_mm, r.y_mm) for r in free] == [
        (20, 20), (50, 20), (80, 20), (80, 40), (50, 40), (20, 40), (20, 60), (50, 60), (80, 60)
    ]  # fmt: skip
    assert travel(free) == 6 * 30 + 2 * 20  # nothing shorter visits three rows of three
    vise = drill_sheet(piece, 1, DrillShop(slide=cross_slide(mm_per_turn=2))).rows
    assert [r.x_mm for r in vise] == [20, 50, 80] * 3


places = st.tuples(st.integers(1, 9), st.integers(1, 9))


@given(
    st.dictionaries(places, st.sampled_from(["5", "6.6", "M6", "blind", "near", "sunk"]), min_size=1, max_size=20),
    st.booleans(),
)
def test_every_hole_is_drilled_once_and_each_drill_is_put_in_once_a_face(spots, vise):
    holes = []
    for (i, j), sort in spots.items():
        x, y = 20.0 * i, 20.0 * j
        holes.append(
            {
                "5": Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=5.0),
                "6.6": Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=6.6),
                "M6": tapped_hole(x, y, "M6"),
                "blind": Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=5.0, depth_mm=4.0),
                "near": Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=5.0, depth_mm=4.0, side="near"),
                "sunk": Hole(x_mm=x, y_mm=y, kind="countersunk", diameter_mm=5.0, sink_mm=10.0),
            }[sort]
        )
    piece = flat("p", rectangle(200, 200), holes=tuple(holes), thickness_mm=12)
    shop = DrillShop(slide=cross_slide(mm_per_turn=2) if vise else None)
    rows = drill_sheet(piece, 3, shop).rows
    assert [r.number for r in rows] == list(range(1, len(holes) + 1))
    assert sorted((r.x_mm, r.y_mm) for r in rows) == sorted((h.x_mm, h.y_mm) for h in holes)
    for row in rows:  # what can only be done from one face is done from it
        if row.depth_mm is not None or row.kind == "countersunk":
            assert row.side == row.hole.side
    changes = [(r.side, r.drill.diameter_mm) for r in rows]
    runs = [c for i, c in enumerate(changes) if i == 0 or changes[i - 1] != c]
    assert len(runs) == len(set(runs))
    bound = {h.side for h in holes if h.depth_mm is not None or h.kind == "countersunk"}
    assert len({r.side for r in rows}) == max(1, len(bound))  # never turned over for a hole that goes through


def test_the_corner_stays_the_same_when_the_piece_is_turned_over():
    sheet = drill_sheet(pieces_of_all_sorts()[-1], 1, DrillShop())
    assert sheet.sides == ("far", "near")
    words = drill_section([sheet])[0]["datum"]
    assert (
        words == "lower left corner of the far face; near face up it is the lower right one, and x counts to the left"
    )
    assert {(r.x_mm, r.y_mm) for r in sheet.rows} == {(h.x_mm, h.y_mm) for h in sheet.piece.holes}


def test_a_round_piece_lies_against_two_stops():
    disc = flat("d", Circle(40, 40, 40), holes=(Hole(x_mm=40, y_mm=40, kind="through", diameter_mm=5),))
    assert drill_section([drill_sheet(disc, 1, DrillShop())])[0]["datum"].startswith("two stops touching")


@given(st.integers(1, 60), st.sampled_from([2, 3, 4.5, 6, 10, 12, 20]), st.sampled_from([3.0, 5.0, 6.6, 10.0, 13.0]))
def test_a_stack_is_within_the_flutes_and_five_diameters_and_loads_are_even(count, thickness, size):
    hole = Hole(x_mm=30, y_mm=30, kind="through", diameter_mm=size)
    sheet = drill_sheet(flat("p", rectangle(60, 60), holes=(hole,), thickness_mm=thickness), count, DrillShop())
    assert sheet.stack * sheet.loads >= count > sheet.stack * (sheet.loads - 1)
    if sheet.stack > 1:
        tip = size / 2 / math.tan(math.radians(30)) + 0.5
        assert sheet.stack * thickness + tip + size <= flute_mm(size) + 1e-9
        assert sheet.stack * thickness <= 5 * size + 1e-9
    deeper = (sheet.stack + 1) * thickness
    fewer_loads = math.ceil(count / (sheet.stack + 1)) < sheet.loads
    if fewer_loads:  # then one more would have been too deep
        tip = size / 2 / math.tan(math.radians(30)) + 0.5
        assert deeper > 5 * size or deeper + tip + size > flute_mm(size)
    assert sheet.rows[0].pecks.number * sheet.rows[0].pecks.depth_mm == pytest.approx(sheet.stack * thickness)


def test_nothing_blind_or_countersunk_is_stacked_and_stacking_can_be_refused():
    blind = tapped_plate()
    assert drill_sheet(blind, 10, DrillShop()).stack == 1
    plain = flat("p", rectangle(60, 60), holes=(Hole(x_mm=30, y_mm=30, kind="through", diameter_mm=5),))
    assert drill_sheet(plain, 10, DrillShop()).stack == 4  # 25 mm at most; equal loads of 4, 4, 2
    assert drill_sheet(plain, 10, DrillShop(stack=False)).stack == 1


@pytest.mark.parametrize(
    ("size", "thickness", "held", "bit"),
    [(8, 3, "press", "step"), (8, 6, "press", "twist"), (8, 6, "hand", "step"), (8, 10, "hand", "twist"),
     (3, 2, "press", "twist"), (26, 2, "press", "circle-cutter")],
)  # fmt: skip
def test_step_bits_are_for_thin_sheet_and_thicker_by_hand(size, thickness, held, bit):
    assert bit_kind(size, thickness, through=True, held=held, largest_mm=25.4) == bit
    assert bit_kind(8, 3, through=False, held=held, largest_mm=25.4) == "twist"


# ---- the report and its table


def sheets_of(shop: DrillShop | None = None, quantity: int = 1) -> tuple[DrillSheet, ...]:
    return drill_rows(replace(design(), quantity=quantity), shop)


def test_only_drilled_parts_have_a_sheet_and_the_count_is_for_the_whole_order():
    assert [(s.piece.name, s.count) for s in sheets_of()] == [("plate", 2)]
    assert [s.count for s in sheets_of(quantity=5)] == [10]
    assert drill_rows(design(*tank()[:5])) == ()
    assert drill_rows(design(Placed(name="w", piece=panel("wall", 300, 150), origin=(0, 0, 0)))) == ()


def test_the_csv_has_one_row_a_hole_and_reads_back():
    sheets = sheets_of(DrillShop(slide=cross_slide(mm_per_turn=2)))
    read = list(csv.DictReader(io.StringIO(csv_text(drill_header(), drill_csv_rows(sheets)))))
    assert [(r["part"], r["hole"], r["x_mm"], r["y_mm"]) for r in read] == [
        ("plate", "1", "12.5", "12.5"), ("plate", "2", "37.5", "12.5"),
        ("plate", "3", "12.5", "37.5"), ("plate", "4", "37.5", "37.5"),
    ]  # fmt: skip
    assert {(r["drill"], r["thread"], r["depth_mm"], r["x_run_past"]) for r in read[:2]} == {
        ("5.2 mm", "M6", "9", "no")
    }
    assert (read[0]["x_turns"], read[0]["x_divisions"]) == ("6", "25")  # 12.5 mm at 2 mm a turn, 100 divisions
    assert None not in read[0]


def texts(shop: DrillShop | None = None, piece: Piece | None = None) -> str:
    sheet = drill_sheet(piece or tapped_plate(), 2, shop or DrillShop())
    return "\n".join(c["text"] for c in drill_section([sheet])[0]["cautions"])


def test_cautions_stand_at_the_work_they_are_for_and_have_a_source():
    always = ("Clamp the work", "No gloves", "eye protection", "scrap board", "chips away", "No cutting oil")
    assert all(word in texts() for word in always)
    plain = flat("p", rectangle(60, 60), holes=(Hole(x_mm=30, y_mm=30, kind="through", diameter_mm=5),))
    assert "Tap by hand" in texts()
    assert "Tap by hand" not in texts(piece=plain)
    assert "stack" in texts(piece=plain)
    assert "stack" not in texts()
    assert "both hands" in texts(DrillShop(held="hand"))
    assert "both hands" not in texts()
    section = drill_section([drill_sheet(plain, 1, DrillShop())])
    assert all(c["source"] for c in section[0]["cautions"])


def test_the_section_is_plain_data_and_the_same_every_time():
    import json

    one, two = (json.dumps(drill_section(sheets_of())) for _ in range(2))
    assert one == two


PORTS = (
    '\n[[port]]\nkind = "drain"\non = "left"\nat = [0, -40]\ndiameter = 16\n'
    '\n[[port]]\nkind = "overflow"\non = "left"\nat = [0, 40]\nthread = "G 1/4"\n'
)


@pytest.mark.parametrize("process", ["saw", "router", "laser"])
def test_what_router_or_laser_cut_with_the_outline_is_not_drilled_again(process):
    """By hand: the end with the ports has a plain hole of 16 mm and a tapped one; the plates have four tapped holes each."""
    from shop_orders import order

    from assemblies.examine import begin
    from assemblies.shop.drill.checks import drill_sheets

    ordered = order(('"saw"', f'"{process}"'), more=PORTS)
    sections = {row["part"]: row for row in drill_section(drill_sheets(ordered, begin(ordered).design))}
    assert {part: len(row["holes"]) for part, row in sections.items()} == {
        "left": 2 if process == "saw" else 1, "plate": 4,
    }  # fmt: skip
    assert sections["left"]["machined"] == (0 if process == "saw" else 1)
    assert [h["thread"] for h in sections["left"]["holes"] if h["thread"]] == ["G 1/4"]


def test_an_order_whose_every_hole_is_cut_with_the_outline_has_no_work_at_the_drill():
    """Its nest cuts them, nothing is charged for drilling, and no caution of the drill press stands there."""
    from asked import ask
    from shop_orders import order

    from assemblies.order import Order

    plain = '\n[[port]]\nkind = "drain"\non = "left"\nat = [0, -40]\ndiameter = 10\n'
    flat_one: Order = order(('"saw"', '"laser"'), more=plain).model_copy(update={"plate": ()})
    found = ask(flat_one)
    assert "drill" not in found.report
    steps = {row["step"] for row in found.report["cautions"]}
    assert "laser" in steps
    assert not steps & {"drill", "tap"}
    assert {row["station"] for row in found.report["cautions"]} >= {"cut", "bond"}
    assert "drill" not in {row["station"] for row in found.report["cautions"]}
    assert [line["what"] for line in found.report["cost"]["lines"] if line["what"] in ("drill", "tap")] == []
    (sheet,) = found.report["nesting"]["sheets"]
    assert sheet["stock"].startswith("6 mm")


@pytest.mark.parametrize(("name", "tap"), [("G 1/4", "straight pipe tap"), ("M6", "spiral-point (gun) tap")])
def test_a_pipe_thread_is_cut_with_a_pipe_tap(name, tap):
    hole = Hole(x_mm=30, y_mm=30, kind="tapped", diameter_mm=13.157, drill_mm=11.8, thread="G 1/4")
    if name == "M6":
        hole = tapped_hole(30, 30, "M6")
    piece = flat("p", rectangle(60, 60), holes=(hole,), thickness_mm=12.0)
    (row,) = drill_sheet(piece, 1, DrillShop()).rows
    assert row.tap is not None
    assert row.tap.kind == tap
