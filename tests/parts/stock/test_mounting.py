"""Mounting patterns: where the holes are, which side is tapped, what is refused."""

from __future__ import annotations

import math
import re
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.findings import SeamwrightError
from parts.stock.mounting import MountingError, holes_made, pattern, pattern_findings, pattern_names
from parts.stock.thread import ThreadError, clearance, thread
from parts.tables import load

ROWS = [pytest.param(row, id=row["name"]) for row in load("mounting")]


@pytest.mark.parametrize("row", ROWS)
def test_every_standard_pattern_is_balanced_about_its_centre_and_screwed_with_a_known_thread(row):
    found = pattern(row["name"])
    assert len(found.centres) == int(row["holes"])
    assert sum(x for x, _ in found.centres) == pytest.approx(0, abs=1e-6)
    assert sum(y for _, y in found.centres) == pytest.approx(0, abs=1e-6)
    assert thread(found.thread).name == found.thread
    assert found.source == row["source"]
    assert pattern(row["name"].lower().replace("-", " ")) == found


@pytest.mark.parametrize("row", [p for p in ROWS if p.values[0]["shape"] != "single"])
def test_holes_of_a_pattern_do_not_run_into_each_other_its_pilot_or_its_pin(row):
    """Hole to hole at least two diameters apart even at the loose clearance; the boss fits between the holes."""
    found = pattern(row["name"])
    hole_mm = clearance(thread(found.thread), "loose").diameter_mm
    assert min(math.dist(a, b) for a, b in combinations(found.centres, 2)) > 2 * hole_mm
    if found.pilot_mm:
        assert found.boss_mm < found.pilot_mm
        assert min(math.hypot(*c) for c in found.centres) - hole_mm / 2 > found.pilot_mm / 2
    if found.pin:
        assert min(math.dist(found.pin, c) for c in found.centres) > (found.pin_mm + hole_mm) / 2


@pytest.mark.parametrize("row", [p for p in ROWS if p.values[0]["shape"] == "circle"])
def test_flange_holes_lie_on_the_circle_of_their_designation_with_the_pin_between_two(row):
    """ISO 9409-1 designates by hole circle, count and thread: 50-4-M6."""
    circle, count, screw = row["name"].removeprefix("ISO 9409-1-").split("-")
    found = pattern(row["name"])
    assert all(math.hypot(x, y) == pytest.approx(float(circle) / 2, abs=1e-8) for x, y in found.centres)
    assert (len(found.centres), found.thread) == (int(count), screw)
    assert math.hypot(*found.pin) == pytest.approx(float(circle) / 2)
    ways = sorted(math.dist(found.pin, c) for c in found.centres)
    assert ways[0] == pytest.approx(ways[1], abs=1e-6)


@pytest.mark.parametrize("row", [p for p in ROWS if p.values[0]["name"].startswith(("ISO 15552", "ISO 21287"))])
def test_cylinder_bolts_stand_on_a_square_outside_the_bore(row):
    """The four tie rods run beside the bore. Both standards have the same square and thread for the same bore."""
    bore = row["name"].split("-")[1]
    found = pattern(row["name"])
    assert found.size_mm[0] == found.size_mm[1]
    assert math.hypot(*found.centres[0]) - thread(found.thread).major_mm / 2 > int(bore) / 2
    if f"ISO 15552-{bore}" in pattern_names():
        other = pattern(f"ISO 15552-{bore}"), pattern(f"ISO 21287-{bore}")
        assert other[0].centres == other[1].centres
        assert other[0].thread == other[1].thread


@pytest.mark.parametrize(("frame", "circle_in"), [(17, 1.725), (23, 2.625), (34, 3.875)])
def test_motor_holes_lie_on_the_bolt_circle_of_nema_ics_16(frame, circle_in):
    """A page of NEMA motor sizes: 1.725, 2.625, 3.875 in; its 69.7 mm for the side at 34 contradicts its own circle."""
    found = pattern(f"NEMA {frame}")
    for x, y in found.centres:
        assert 2 * math.hypot(x, y) == pytest.approx(circle_in * 25.4, abs=0.002)
        assert abs(x) == abs(y)


def test_bores_follow_the_boss_and_are_a_little_wider():
    assert pattern("NEMA 23").boss_mm == 38.1
    assert pattern("NEMA 23").pilot_mm == pytest.approx(38.3)
    assert pattern("ISO 15552-40").pilot_mm == pytest.approx(35.2)
    assert pattern("ISO 9409-1-50-4-M6").pilot_mm is None  # a recess in the flange needs no bore in the plate
    assert pattern("VESA 75").pilot_mm is None


def test_our_plate_is_tapped_only_where_the_counterpart_is_not():
    assert pattern("ISO 15552-40").hole == pattern("ISO 15552-40", "M6").hole == "clearance"
    assert pattern("VESA 100").hole == "clearance"
    assert pattern("NEMA 23").hole == "clearance"
    assert pattern("NEMA 23", "M5").hole == "tapped"
    assert pattern("ISO 1222").hole == "tapped"
    assert pattern("ISO 1222").thread == "1/4-20 UNC"
    assert pattern("grid 25 2x2", "M6").hole == "tapped"


def test_a_grid_is_counted_from_its_middle():
    assert pattern("grid 25 2x2", "M6").centres == ((-12.5, -12.5), (12.5, -12.5), (-12.5, 12.5), (12.5, 12.5))
    assert pattern("grid 1in 2x2", "1/4-20").centres == ((-12.7, -12.7), (12.7, -12.7), (-12.7, 12.7), (12.7, 12.7))
    assert pattern("grid 1 2x1", unit="in").centres == ((-12.7, 0), (12.7, 0))
    assert pattern("GRID  1 1/2 in  3 X 1").centres == ((-38.1, 0), (0, 0), (38.1, 0))
    assert pattern("grid 25 1x1").centres == ((0, 0),)
    assert pattern("grid 25 2x2").name == "grid 25 mm 2x2"
    assert pattern("grid 25 2x2").thread is None
    assert pattern("grid 20 3x2").size_mm == (40, 20)


@given(st.integers(1, 20), st.integers(1, 20), st.floats(min_value=0.5, max_value=500))
def test_every_two_neighbours_of_a_grid_are_one_pitch_apart(across, up, pitch):
    pitch = round(pitch, 3)
    points = pattern(f"grid {pitch:.3f} {across}x{up}").centres
    assert len(points) == len(set(points)) == across * up
    for i, (x, y) in enumerate(points):
        if (i + 1) % across:
            assert points[i + 1] == pytest.approx((x + pitch, y), abs=1e-6)
        if i + across < len(points):
            assert points[i + across] == pytest.approx((x, y + pitch), abs=1e-6)


@pytest.mark.parametrize(
    ("text", "screw", "why"),
    [
        ("grid 25", None, "is not a grid"),
        ("grid", None, "is not a grid"),
        ("grid 2x2", None, "is not a grid"),
        ("grid 0 2x2", None, "above zero"),
        ("grid -3 2x2", None, "below zero"),
        ("grid 1/0 in 2x2", None, "divides by zero"),
        ("grid 25 inn 2x2", None, "did you mean in?"),
        ("grid 25 0x2", None, "1 to 400 holes"),
        ("grid 25 21x20", None, "1 to 400 holes"),
        ("grid 25 999999x999999", None, "1 to 400 holes"),
        ("grid 25 1000000000x1", None, "is not a grid"),
        ("ISO 15552-41", None, "did you mean ISO 15552-40?"),
        ("NEMA 24", None, "did you mean NEMA"),
        ("", None, "no mounting pattern"),
        ("x" * 5000, None, "no mounting pattern"),
        ("ISO 15552-40", "M8", "screwed with M6, not M8"),
        ("NEMA 23", "M6", "holes of 5 mm: M6 does not go through"),
        ("ISO 1222", "M6", "screwed with 1/4-20 UNC, not M6"),
    ],
)
def test_what_cannot_be_a_pattern_is_refused(text, screw, why):
    with pytest.raises(MountingError) as caught:
        pattern(text, screw)
    assert why in str(caught.value)
    assert len(str(caught.value)) < 250


def test_an_unknown_thread_is_refused_by_its_own_name():
    for text in ("grid 25 2x2", "NEMA 23"):
        with pytest.raises(ThreadError, match="M7"):
            pattern(text, "M7")


@given(st.text(max_size=40), st.sampled_from(["", "grid ", "grid 25 ", "grid 25 2x", "NEMA 2", "ISO 15552-4"]))
def test_any_text_is_refused_in_few_words_or_is_the_pattern_that_it_names(text, start):
    found, said = None, ""
    try:
        found = pattern(start + text)
    except SeamwrightError as error:
        said = str(error)
    if found is None:
        assert 0 < len(said) < 250
    else:
        assert found.name.startswith("grid ") == start.startswith("grid")
        assert found.name.startswith("grid ") or found.name in pattern_names()


@given(st.integers(1, 20), st.integers(1, 20), st.floats(0.5, 200.0).map(lambda v: round(v, 3)))
def test_a_grid_has_its_holes_a_pitch_apart_about_the_middle(across, up, pitch):
    found = pattern(f"grid {pitch} {across}x{up}", "M6")
    assert len(set(found.centres)) == across * up
    assert found.size_mm == pytest.approx(((across - 1) * pitch, (up - 1) * pitch), abs=1e-6)
    assert sum(x for x, _ in found.centres) == pytest.approx(0.0, abs=1e-6)
    assert sum(y for _, y in found.centres) == pytest.approx(0.0, abs=1e-6)


def test_what_a_pattern_bolts_to_decides_the_holes_and_an_order_may_say_otherwise_where_it_can_be():
    cylinder, motor, camera = pattern("ISO 15552-40"), pattern("NEMA 23", "M5"), pattern("ISO 1222")
    grid, slots = pattern("grid 25 2x2", "M6"), pattern("T-slot 20 2x2")
    assert [holes_made(p, None) for p in (cylinder, motor, camera, grid, slots)] == [
        "clearance", "tapped", "tapped", "tapped", "clearance",
    ]  # fmt: skip
    assert [holes_made(p, "through") for p in (cylinder, motor, grid, slots)] == ["through"] * 4
    assert holes_made(grid, "clearance") == holes_made(motor, "clearance") == "clearance"


@pytest.mark.parametrize(
    ("name", "asked", "why"),
    [
        (
            "ISO 15552-40",
            "tapped",
            "is tapped itself: a bolt in two threads clamps nothing; it can be clearance, through",
        ),
        ("T-slot 20 2x2", "tapped", "is tapped itself"),
        ("ISO 1222", "clearance", "a screw that stands out"),
        ("ISO 1222", "through", "a screw that stands out: it needs a thread here; it can be tapped"),
    ],
)
def test_holes_that_cannot_be_are_refused_with_the_reason(name, asked, why):
    with pytest.raises(MountingError) as caught:
        holes_made(pattern(name), asked)
    assert why in str(caught.value)


def test_disputed_figures_are_a_care_and_remembered_ones_a_note():
    assert [f.level for f in pattern_findings(pattern("ISO 15552-40", "M6"), "plate-1")] == ["note"]
    assert "from memory" in pattern_findings(pattern("ISO 15552-40", "M6"), "plate-1")[0].why
    assert [f.level for f in pattern_findings(pattern("ISO 9409-1-63-4-M6"), "p")] == ["care"]
    (tight,) = pattern_findings(pattern("NEMA 23", "M5"), "p")
    assert (tight.level, "M5 has 0.0 mm of play in its holes of 5 mm" in tight.why) == ("care", True)
    assert pattern_findings(pattern("NEMA 23", "M4"), "p") == []
    assert pattern_findings(pattern("grid 25 2x2", "M6"), "p") == []


def test_a_list_of_places_is_a_pattern():
    found = pattern([(0.0, 0.0), (40.0, 0.0), (40.0, 25.5)], "M5")
    assert (found.name, found.centres, found.thread) == ("3 places", ((0, 0), (40, 0), (40, 25.5)), "M5")
    assert (found.counterpart, found.hole) == ("any", "tapped")
    for places, why in (([], "0 places"), ([(1.0, 2.0), (1.0, 2.0)], "(1, 2) mm is given twice")):
        with pytest.raises(MountingError, match=re.escape(why)):
            pattern(places, "M5")


def test_screws_into_t_slots_stand_on_the_rails_grid_and_go_into_the_slot():
    """A rail's slots stand one grid apart (table `tslot`), its nuts have the thread."""
    found = pattern("T-slot 20 3x2")
    assert (found.name, found.thread, found.hole, found.counterpart) == (
        "T-slot 20 mm 3x2",
        "M5",
        "clearance",
        "tapped",
    )
    assert found.size_mm == (40, 20)
    assert pattern("t slot 1 in 2x1").centres == ((-12.7, 0), (12.7, 0))
    assert pattern("T-slot 20 2x2", "M4").thread == "M4"
    for text, screw, why in (
        ("T-slot 25 2x2", None, "no T-slot rail of grid 25 mm: there are 20 mm"),
        ("T-slot 20 2x2", "M6", "5 mm wide: M6 does not go in"),
        ("T-slot 20", None, "looks like"),
        ("T-slot 20 0x2", None, "1 to 400 holes"),
    ):
        with pytest.raises(MountingError, match=why):
            pattern(text, screw)


@pytest.mark.parametrize("row", load("tslot"), ids=lambda row: row["grid"])
def test_the_first_slot_is_half_a_grid_in_and_the_screw_goes_through_it(row):
    assert float(row["first_slot_mm"]) == float(row["pitch_mm"]) / 2
    assert thread(row["screw"]).major_mm <= float(row["slot_to_mm"])


@pytest.mark.parametrize("row", load("cutouts"), ids=lambda row: row["name"])
def test_round_cut_outs_are_round_and_the_key_reaches_past_the_edge(row):
    if row["shape"] == "round":
        assert row["width_mm"] == row["height_mm"]
    if row["key_width_mm"]:
        assert float(row["key_width_mm"]) > float(row["width_mm"])


def test_names_are_the_tables():
    assert pattern_names() == tuple(row["name"] for row in load("mounting"))
