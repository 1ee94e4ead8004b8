"""The rectangular tank: sizes by hand, what fills what, seams, laps, sizes as cut, grids and bolts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starters import two_plates

from assemblies.design.model import Design, Placed
from assemblies.fit import Fit, check_fit, seams
from assemblies.fit.checks import fit_rules
from assemblies.fit.interference import interferences
from assemblies.kinds import schemas
from assemblies.kinds.tank.box import GROUP_OF, PANELS
from assemblies.kinds.tank.build import build_tank
from assemblies.order import Order, read_order_text
from parts.findings import Finding

LAPS = tuple(permutations(("ends", "front-back", "bottom")))
INCH = 25.4


def order(end: str = "", **tank: Any) -> Order:
    """A tank in 6 mm sheet measured as such, 300 x 200 x 150 mm inside, unless told otherwise."""
    top = {
        "units": "mm",
        "thickness": 6,
        "measured": [6.0],
        **{k: tank.pop(k) for k in ("units", "thickness", "measured") if k in tank},
    }
    table = {"size": [300, 200, 150], **tank}
    rows = "\n".join(f"{k.replace('_', '-')} = {json.dumps(v)}" for k, v in table.items())
    text = (
        f'title = "t"\nname = "t"\nkind = "tank"\nunits = "{top["units"]}"\n'
        f"sheet.thickness = {json.dumps(top['thickness'])}\nsheet.measured = {json.dumps(top['measured'])}\n"
        f"[tank]\n{rows}\n{end}"
    )
    return read_order_text(text, schemas())


def tank(end: str = "", **keys: Any) -> Design:
    return build_tank(order(end, **keys))


def plate(on: str, at: Any, **keys: Any) -> str:
    row = {"on": on, "at": at, "size": [50, 50], "thickness": 12, "thread": "M6", "pattern": "grid 25 2x2", **keys}
    return "[[plate]]\n" + "".join(f"{k.replace('_', '-')} = {json.dumps(v)}\n" for k, v in row.items())


def size(design: Design, name: str) -> tuple[float, float]:
    width, height, _ = design.instance(name).piece.size_mm
    return width, height


def fit(one: Order, *, solids: bool = False) -> Fit:
    return check_fit(build_tank(one), fit_rules(one), solids=solids)


def said(design: Design, check: str) -> list[Finding]:
    return [f for f in design.findings if f.check == check]


def box_overlap_mm3(one: Placed, other: Placed) -> float:
    volume = 1.0
    for low, high, low2, high2 in zip(*one.box, *other.box, strict=True):
        volume *= max(0.0, min(high, high2) - max(low, low2))
    return volume


# --- sizes by hand ---------------------------------------------------------------------------------------------------


def test_sizes_of_the_starter_tank_by_hand() -> None:
    """Inside 300 x 200 x 150, sheet 5.82: front and back run long, the bottom over the ends."""
    design = build_tank(read_order_text(two_plates(), schemas()))
    assert size(design, "front") == pytest.approx((311.64, 155.82), abs=1e-9)
    assert size(design, "bottom") == pytest.approx((311.64, 200.0), abs=1e-9)
    assert size(design, "left") == pytest.approx((200.0, 150.0), abs=1e-9)
    assert design.instance("left").piece is design.instance("right").piece
    assert design.instance("front").piece.name == "front-back"


SIX_OF_100: dict[tuple[str, ...], tuple[Sequence[float], Sequence[float], Sequence[float]]] = {
    # outside 120 x 100 x 80 in 5 mm: end (y, z), front (x, z), bottom (x, y)
    ("ends", "front-back", "bottom"): ((100, 80), (110, 80), (110, 90)),
    ("ends", "bottom", "front-back"): ((100, 80), (110, 75), (110, 100)),
    ("front-back", "ends", "bottom"): ((90, 80), (120, 80), (110, 90)),
    ("front-back", "bottom", "ends"): ((90, 75), (120, 80), (120, 90)),
    ("bottom", "ends", "front-back"): ((100, 75), (110, 75), (120, 100)),
    ("bottom", "front-back", "ends"): ((90, 75), (120, 75), (120, 100)),
}


@pytest.mark.parametrize("laps", LAPS)
def test_sizes_of_all_six_laps_by_hand(laps: tuple[str, ...]) -> None:
    design = tank(size=[120, 100, 80], measure="outside", runs_long=laps, thickness=5, measured=[5.0])
    found = tuple(size(design, name) for name in ("left", "front", "bottom"))
    assert found == SIX_OF_100[laps]


def test_the_mean_of_the_readings_drives_every_size() -> None:
    design = tank(measured=[5.7, 5.9, 5.8])
    assert size(design, "front") == pytest.approx((300 + 2 * 5.8, 150 + 5.8), abs=1e-9)


def test_panels_of_other_thickness_move_their_neighbours() -> None:
    more = '[[panel]]\nname = "bottom"\nthickness = 10\nmeasured = 10\n[[panel]]\nname = "left"\nthickness = 8\nmeasured = 8\n'
    design = tank(more)
    assert size(design, "front") == pytest.approx((300 + 8 + 6, 150 + 10), abs=1e-9)
    assert design.instance("left").piece.name != design.instance("right").piece.name
    assert design.instance("left").box[0][0] == pytest.approx(-157.0)


def test_common_practice_tank_of_six_by_four_by_four_inches() -> None:
    """Common practice, no source: the cutting list for this tank in true 1/4 in sheet."""
    more = (
        plate("bottom", [[-1.5, 0], [1.5, 0]], size=[2, 2], thickness="1/2", measured=["1/2 in"], thread="1/4-20 UNC",
              pattern="grid 1 2x2", percent=72)
        + "[rig]\ngrid = 1\n"
    )  # fmt: skip
    one = order(
        more, units="in", thickness="1/4", measured=["1/4 in"], size=[6, 4, 4], measure="outside",
        runs_long=["ends", "front-back", "bottom"],
    )  # fmt: skip
    design = build_tank(one)
    inches = {p.name: tuple(round(s / INCH, 9) for s in p.piece.size_mm) for p in design.placed}
    assert inches["left"] == inches["right"] == (4, 4, 0.25)
    assert inches["front"] == inches["back"] == (5.5, 4, 0.25)
    assert inches["bottom"] == (5.5, 3.5, 0.25)
    assert inches["plate-1"] == inches["plate-2"] == (2, 2, 0.5)
    holes = design.instance("plate-1").piece.holes
    assert sorted((round(h.x_mm / INCH, 9), round(h.y_mm / INCH, 9)) for h in holes) == [
        (0.5, 0.5),
        (0.5, 1.5),
        (1.5, 0.5),
        (1.5, 1.5),
    ]
    assert {(h.thread, round(h.bore_mm / INCH * 64, 9)) for h in holes} == {("1/4-20 UNC", 13.0)}
    assert not said(design, "plates")
    taped = {frozenset((s.seam.a, s.seam.b)): s.gap.captive for s in fit(one).seams}
    assert len(taped) == 8 + 2
    assert {tuple(sorted(pair)) for pair, captive in taped.items() if captive} == {
        ("bottom", "left"),
        ("bottom", "right"),
    }


# --- what fills what -------------------------------------------------------------------------------------------------

SIDES = st.floats(min_value=60.0, max_value=600.0)
THICK = st.floats(min_value=2.0, max_value=25.0)


@given(
    st.tuples(SIDES, SIDES, SIDES),
    st.tuples(*[THICK] * 5),
    st.sampled_from(LAPS),
    st.sampled_from(["inside", "outside"]),
)
def test_pieces_and_cavity_fill_the_outside_and_nothing_overlaps(
    sides: tuple[float, float, float], thick: tuple[float, ...], laps: tuple[str, ...], measure: str
) -> None:
    own = "".join(
        f'[[panel]]\nname = "{name}"\nthickness = {t!r}\nmeasured = {t!r}\n'
        for name, t in zip(PANELS, thick, strict=True)
    )
    design = tank(own, size=list(sides), measure=measure, runs_long=laps, thickness=2, measured=[2.0])
    by = dict(zip(PANELS, thick, strict=True))
    taken = (by["left"] + by["right"], by["front"] + by["back"], by["bottom"])
    sign = 1.0 if measure == "inside" else -1.0
    other = [s + sign * t for s, t in zip(sides, taken, strict=True)]
    inside, outside = (sides, other) if measure == "inside" else (other, sides)
    cavity, whole = inside[0] * inside[1] * inside[2], outside[0] * outside[1] * outside[2]
    pieces = sum(p.piece.volume_mm3 for p in design.placed)
    assert pieces + cavity == pytest.approx(whole, rel=1e-9)
    assert sum(box_overlap_mm3(a, b) for a, b in combinations(design.placed, 2)) < 1e-9 * whole
    low = [min(p.box[0][k] for p in design.placed) for k in range(3)]
    high = [max(p.box[1][k] for p in design.placed) for k in range(3)]
    assert low == pytest.approx([-outside[0] / 2, -outside[1] / 2, 0.0], abs=1e-9 * max(outside))
    assert high == pytest.approx([outside[0] / 2, outside[1] / 2, outside[2]], abs=1e-9 * max(outside))


@given(st.tuples(SIDES, SIDES, SIDES), THICK, st.sampled_from(LAPS), st.sampled_from(["inside", "outside"]))
@settings(max_examples=60)
def test_every_seam_is_found_once_with_its_length_and_width(
    sides: tuple[float, float, float], t: float, laps: tuple[str, ...], measure: str
) -> None:
    design = tank(size=list(sides), measure=measure, runs_long=laps, thickness=t, measured=[t])
    found = seams(design)
    pairs = {("left", "front"), ("left", "back"), ("right", "front"), ("right", "back")}
    pairs |= {(wall, "bottom") for wall in ("left", "right", "front", "back")}
    assert sorted((s.a, s.b) for s in found) == sorted(pairs)
    for s in found:
        butts = max((s.a, s.b), key=lambda name: laps.index(GROUP_OF[name]))  # its edge meets the other's face
        ends = {s.a: s.a_end, s.b: s.b_end}
        assert ends[butts] in ("x-", "x+", "y-", "y+")
        assert {*ends.values()} - {ends[butts]} <= {"near", "far"}
        assert s.gap_mm == pytest.approx(0.0, abs=1e-9)
        lengths = size(design, butts)
        edge = lengths[0] if ends[butts][0] == "y" else lengths[1]
        assert (s.length_mm, s.width_mm) == pytest.approx((max(edge, t), min(edge, t)), rel=1e-9)
        assert s.area_mm2 == pytest.approx(edge * t, rel=1e-9)


RICH = (
    plate("bottom", [[-87.5, 0], [87.5, 0]]) + plate("left", [[0, 0]]) + plate("back", [[-40, 100], [40, -20]])
    + '[[port]]\nkind = "drain"\non = "front"\nat = [0, -50]\nthread = "G 1/4"\n'
    '[[strip]]\nwhere = "inside-corner"\nsize = [12, 10]\n'
)  # fmt: skip
RIM = '[[strip]]\nwhere = "rim"\nsize = [30, 10]\n'
BRACES = (
    '[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [-60, 60]\n[[strip]]\nwhere = "brace"\nsize = [20, 8]\nat = [0]\n'
)


@pytest.mark.parametrize(
    ("lid", "more"),
    [
        ("none", RICH + BRACES),
        ("none", RICH + RIM + BRACES),
        *((lid, RICH + rim) for lid in ("loose", "bonded", "screwed") for rim in ("", RIM)),
    ],
)
@pytest.mark.parametrize("laps", [LAPS[0], LAPS[5]])
def test_nothing_runs_into_anything_with_every_extra(lid: str, more: str, laps: tuple[str, ...]) -> None:
    """The kernel's own common volume of the solids."""
    one = order(more, lid=lid, runs_long=laps)
    assert interferences(build_tank(one)) == ()
    stops = [f for f in fit(one).findings if "touches nothing" in f.why or "the drawing leaves" in f.why]
    assert not stops


@pytest.mark.parametrize("lid", ["none", "loose", "bonded", "screwed"])
@given(
    inches=st.tuples(st.floats(11.0, 30.0), st.floats(7.0, 20.0), st.floats(5.0, 20.0)), thickness=st.floats(0.2, 0.4)
)
@settings(max_examples=15)
def test_pieces_of_one_name_are_one_part_in_any_unit(
    lid: str, inches: tuple[float, float, float], thickness: float
) -> None:
    """A part is cut once by its name: rounding may not tell front and back apart."""
    more = (
        plate("bottom", [[-2, 0], [2, 0]], size=[2, 2], thickness=0.472, pattern="grid 1 2x2", thread="1/4-20")
        + '[[strip]]\nwhere = "inside-corner"\nsize = [0.5, 0.4]\n[[strip]]\nwhere = "rim"\nsize = [1.2, 0.4]\n'
        + '[[port]]\nkind = "fill"\non = "lid"\nat = [0, 0]\ndiameter = 1\n' * (lid != "none")
    )
    design = tank(more, units="in", size=list(inches), thickness=thickness, measured=[thickness], lid=lid)
    parts = {placed.piece.name: placed.piece for placed in design.placed}
    for placed in design.placed:
        assert placed.piece == parts[placed.piece.name]


@pytest.mark.parametrize("laps", LAPS)
def test_the_kernels_volume_of_every_piece_is_the_hand_formula(laps: tuple[str, ...]) -> None:
    from parts.shape.solid import solid

    for piece in tank(RICH, runs_long=laps).pieces:
        assert solid(piece).Volume() == pytest.approx(piece.volume_mm3, rel=1e-9)


# --- mutations: the fit names the pair and the amount ----------------------------------------------------------------


def moved(design: Design, name: str, by: tuple[float, float, float]) -> Design:
    """One instance shifted."""
    return replace(
        design,
        placed=tuple(
            replace(p, origin=(p.origin[0] + by[0], p.origin[1] + by[1], p.origin[2] + by[2])) if p.name == name else p
            for p in design.placed
        ),
    )


def longer(design: Design, name: str, by_mm: float) -> Design:
    """One instance made longer along its own x, at its far end."""
    from parts.shape.outline import Outline, rectangle

    def grown(p: Placed) -> Placed:
        width, height, _ = p.piece.size_mm
        return replace(
            p, piece=replace(p.piece, name=f"{name}-long", outline=Outline(rectangle(width + by_mm, height)))
        )

    return replace(design, placed=tuple(grown(p) if p.name == name else p for p in design.placed))


def drawn(one: Order, design: Design) -> set[tuple[str, str, float]]:
    """The pairs that the fit says do not meet as drawn, and by how much."""
    found = check_fit(design, fit_rules(one), solids=False)
    return {(s.seam.a, s.seam.b, round(s.gap.nominal, 6)) for s in found.seams if abs(s.gap.nominal) > 1e-6}


@pytest.mark.parametrize(
    ("name", "by", "expected"),
    [
        ("left", (-0.3, 0.0, 0.0), set()),
        ("left", (0.0, 0.3, 0.0), {("left", "front", 0.3), ("left", "back", -0.3)}),
        ("left", (0.0, 0.0, 0.3), {("left", "bottom", 0.3)}),
        ("right", (0.0, 0.0, -0.3), {("right", "bottom", -0.3)}),
        ("front", (0.0, -0.3, 0.0), {("left", "front", 0.3), ("right", "front", 0.3), ("front", "bottom", 0.3)}),
        ("plate-1", (0.0, 0.0, -0.3), {("bottom", "plate-1", 0.3)}),
        ("plate-2", (0.0, 0.0, 0.3), {("bottom", "plate-2", -0.3)}),
    ],
)
def test_a_panel_shifted_by_three_tenths_is_named_with_its_pairs_and_amount(
    name: str, by: tuple[float, float, float], expected: set[tuple[str, str, float]]
) -> None:
    one = order(plate("bottom", [[-87.5, 0], [87.5, 0]]))
    design = moved(build_tank(one), name, by)
    assert drawn(one, design) == expected
    findings = check_fit(design, fit_rules(one), solids=False).findings
    for a, b, gap in expected:
        word = "a gap" if gap > 0 else "an overlap"
        mine = [f for f in findings if f.where == f"{a} and {b}" and f"{word} of 0.300 mm" in f.why]
        assert len(mine) == 1
        assert mine[0].level == "stop"
    assert len([f for f in findings if "the drawing leaves" in f.why]) == len(expected)


@pytest.mark.parametrize(
    ("name", "pair"), [("left", ("left", "front")), ("right", ("right", "back")), ("plate-1", None), ("front", None)]
)
def test_a_panel_longer_by_three_tenths_is_named_with_its_pair_and_amount(
    name: str, pair: tuple[str, str] | None
) -> None:
    """Left lies with its x towards the front, right with its x towards the back; plates and front have room."""
    one = order(plate("bottom", [[-87.5, 0], [87.5, 0]]))
    design = longer(build_tank(one), name, 0.3)
    assert drawn(one, design) == ({(*pair, -0.3)} if pair else set())
    hits = interferences(design)
    if pair:
        height, t = 150.0, 6.0
        assert [(h.a, h.b) for h in hits] == [pair]
        assert hits[0].volume_mm3 == pytest.approx(0.3 * height * t, rel=1e-9)
    else:
        assert hits == ()


# --- laps and faces that are looked through --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("face", "group"), [("front", "front-back"), ("back", "front-back"), ("left", "ends"), ("bottom", "bottom")]
)
def test_a_face_looked_through_runs_long_when_no_laps_are_given(face: str, group: str) -> None:
    design = tank(seen_from=[face], size=[300, 200, 150], measure="outside")
    full = {"front": (300, 150), "back": (300, 150), "left": (200, 150), "bottom": (300, 200)}[face]
    assert size(design, face) == full
    assert group == GROUP_OF[face]
    assert not said(design, "laps")


def test_laps_that_show_a_cut_edge_are_a_care_naming_the_face() -> None:
    found = said(tank(seen_from=["left"], runs_long=["front-back", "bottom", "ends"]), "laps")
    assert [(f.level, f.where) for f in found] == [("care", "left")]
    assert "ends" in found[0].do


def test_a_seen_face_that_comes_second_shows_its_cut_edge() -> None:
    found = said(tank(seen_from=["front"], runs_long=["bottom", "front-back", "ends"]), "laps")
    assert [(f.level, f.where) for f in found] == [("care", "front")]
    assert "bottom runs long over it" in found[0].why


def test_laps_that_agree_with_the_view_say_nothing() -> None:
    assert not said(tank(seen_from=["front", "back"], runs_long=["front-back", "ends", "bottom"]), "laps")
    assert not said(tank(seen_from=["top"]), "laps")


@pytest.mark.parametrize("laps", [None, *LAPS])
def test_two_faces_that_meet_cannot_both_hide_their_edge(laps: tuple[str, ...] | None) -> None:
    keys: dict[str, Any] = {"runs_long": laps} if laps else {}
    found = said(tank(seen_from=["front", "left"], **keys), "laps")
    assert any("cannot both" in f.why and f.level == "care" for f in found)


# --- sizes as cut ----------------------------------------------------------------------------------------------------


def test_pieces_still_to_be_cut_follow_a_front_cut_short() -> None:
    """Front 0.4 short in length: the outside is 0.4 shorter, and so are back and bottom; the ends do not change."""
    one = order("[as-cut]\nfront = [311.6, 156]\n", runs_long=["front-back", "bottom", "ends"])
    design = build_tank(one)
    assert size(design, "front") == (311.6, 156.0)
    assert size(design, "back") == pytest.approx((311.6, 156.0))
    assert size(design, "bottom") == pytest.approx((311.6, 200.0))
    assert size(design, "left") == pytest.approx((200.0, 150.0))
    assert drawn(one, design) == set()


def test_pieces_still_to_be_cut_follow_an_end_cut_long() -> None:
    """Ends stand between front and back: an end 0.5 wide moves front and back out, and the bottom with them."""
    one = order("[as-cut]\nleft = [200.5, 150.2]\nright = [200.5, 150.2]\n", runs_long=["front-back", "bottom", "ends"])
    design = build_tank(one)
    assert size(design, "bottom") == pytest.approx((312.0, 200.5))
    assert size(design, "front") == pytest.approx((312.0, 156.2))
    assert drawn(one, design) == set()


def test_two_ends_cut_unequal_leave_a_gap_but_never_an_overlap() -> None:
    """Ends 200.0 and 200.4: the box follows the longer, the bottom still to be cut follows the shorter so that it goes in."""
    one = order("[as-cut]\nleft = [200.0, 150]\nright = [200.4, 150]\n", runs_long=["front-back", "bottom", "ends"])
    design = build_tank(one)
    assert size(design, "bottom")[1] == pytest.approx(200.0)
    assert {gap for *_, gap in drawn(one, design)} == {0.4}
    assert {name for a, b, _ in drawn(one, design) for name in (a, b)} <= {"left", "bottom", "front", "back"}


@given(st.sampled_from(LAPS), st.sampled_from(PANELS), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0))
@settings(max_examples=60)
def test_one_piece_as_cut_never_leaves_a_gap_or_an_overlap_of_the_others(
    laps: tuple[str, ...], name: str, more_x: float, more_y: float
) -> None:
    plain = tank(runs_long=laps)
    width, height = size(plain, name)
    given_size = [round(width + more_x, 3), round(height + more_y, 3)]
    one = order(f"[as-cut]\n{name} = {given_size}\n", runs_long=laps)
    design = build_tank(one)
    assert size(design, name) == tuple(given_size)
    assert drawn(one, design) == set()


# --- plates, grids and bolts -----------------------------------------------------------------------------------------


def test_plates_on_the_rigs_grid_say_nothing_and_a_plate_off_it_is_a_stop() -> None:
    grid = "[rig]\ngrid = 25\n"
    assert not said(tank(plate("bottom", [[-87.5, 0], [87.5, 0]]) + grid), "plates")
    found = said(tank(plate("bottom", [[-87.5, 0], [87.9, 0.3]]) + grid), "plates")
    assert [(f.level, f.where) for f in found] == [("stop", "plate-2")]
    assert "0.40 mm" in found[0].why


def test_grids_of_different_faces_do_not_meet_and_need_not() -> None:
    more = (
        plate("bottom", [[0, 0]]) + plate("left", [[3.7, 1.1]]) + plate("right", [[-9.3, 4.4]]) + "[rig]\ngrid = 25\n"
    )
    assert not said(tank(more), "plates")


def test_holes_within_half_the_clearance_of_the_grid_pass() -> None:
    assert not said(tank(plate("bottom", [[-87.5, 0], [87.74, 0]]) + "[rig]\ngrid = 25\n"), "plates")
    assert said(tank(plate("bottom", [[-87.5, 0], [87.76, 0]]) + "[rig]\ngrid = 25\n"), "plates")


def test_the_longest_bolt_stops_short_of_the_wall_behind_a_plate() -> None:
    """A 12 mm plate, 1 mm left free in front of the wall: 11 mm."""
    design = tank(plate("bottom", [[0, 0]]))
    (bolts,) = design.fasteners
    assert (bolts.piece, bolts.thread, bolts.count) == ("plate-1", "M6", 4)
    assert bolts.longest_mm == pytest.approx(11.0)
    assert "prises" in bolts.note


def test_a_plate_through_the_wall_bores_it_with_clearance_where_its_threads_are() -> None:
    design = tank(plate("front", [[10, 20]], holes="through"))
    front, one = design.instance("front"), design.instance("plate-1")
    bores = {
        tuple(round(c, 6) for c in front.world(h.x_mm, h.y_mm, front.piece.thickness_mm)) for h in front.piece.holes
    }
    taps = {tuple(round(c, 6) for c in one.world(h.x_mm, h.y_mm, 0.0)) for h in one.piece.holes}
    assert bores == taps
    assert {h.diameter_mm for h in front.piece.holes} == {6.6}  # ISO 273, medium, M6
    assert design.fasteners[0].longest_mm is None
    (seam,) = [s for s in seams(design) if "plate-1" in (s.a, s.b)]
    assert seam.area_mm2 == pytest.approx(50 * 50 - 4 * 3.141592653589793 * 3.3**2, rel=1e-9)


@pytest.mark.parametrize(
    ("face", "right", "up"),
    [("front", (1, 0, 0), (0, 0, 1)), ("back", (-1, 0, 0), (0, 0, 1)), ("left", (0, -1, 0), (0, 0, 1)),
     ("right", (0, 1, 0), (0, 0, 1)), ("bottom", (1, 0, 0), (0, 1, 0))],
)  # fmt: skip
def test_plates_are_counted_from_the_centre_of_the_face_as_seen_from_outside(face: str, right: Any, up: Any) -> None:
    here, there = tank(plate(face, [[0, 0]])).instance("plate-1"), tank(plate(face, [[7, 3]])).instance("plate-1")
    step = tuple(b - a for a, b in zip(here.origin, there.origin, strict=True))
    assert step == pytest.approx(tuple(7 * r + 3 * u for r, u in zip(right, up, strict=True)))


def test_a_plate_mostly_off_its_face_is_a_stop_with_its_share() -> None:
    holes, area = said(tank(plate("bottom", [[160, 0]])), "plates")
    assert (holes.level, area.level) == ("stop", "stop")
    assert "42 %" in area.why  # 160 - 25 to the edge at 156: 21 of 50 mm
    assert "2 of its 4 holes" in holes.why  # at 172.5, past the edge; the others, at 147.5 with 3 mm, are not


@pytest.mark.parametrize(
    ("right", "levels"),
    [(131.0, []), (131.01, ["care"]), (140.4, ["care"]), (140.5, ["stop", "care"]), (156.0, ["stop", "stop"])],
)
def test_a_plate_that_overhangs_is_a_care_until_a_hole_or_half_of_it_is_off(right: float, levels: list[str]) -> None:
    """The floor's edge is at 156: the plate's is 25 from its middle, the edge of its holes 12.5 + 3."""
    assert [f.level for f in said(tank(plate("bottom", [[right, 0]])), "plates")] == levels


def test_quantity_revision_and_retention_reach_the_design() -> None:
    text = two_plates().replace("quantity = 1", "quantity = 3").replace('revision = "A"', 'revision = "C2"')
    design = build_tank(read_order_text(text, schemas()))
    assert (design.quantity, design.revision, design.retention) == (3, "C2", "cradle")
    assert design.supports[0].kind == "plates"
