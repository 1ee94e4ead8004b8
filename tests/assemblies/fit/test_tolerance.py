"""Tolerance loops: worked out by hand for every order of laps, and held to pieces cut by chance a hundred thousand times."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from numpy.typing import NDArray
from samples import design, flat, panel

from assemblies.design.model import Design, Placed
from assemblies.fit import Allowances, FitRules, Gap, Loop, check_fit, seams
from assemblies.fit.tolerance import captive_loops, gap_of
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.order import read_order_text
from parts.findings import NotCovered
from parts.shape.outline import rectangle
from parts.shape.piece import Piece
from parts.stock.sheet import Sheet

TOL, REPEAT, SQUARE = 0.25, 0.05, 0.04
ALLOW = Allowances(tolerance_mm=TOL, repeat_mm=REPEAT, squareness_mm=SQUARE)
LAPS = tuple(permutations(("ends", "front-back", "bottom")))
Numbers = NDArray[np.float64]


def tank(laps: tuple[str, ...], end: str = "", lid: str = "none") -> Design:
    return build_tank(
        read_order_text(
            'title = "t"\nname = "t"\nkind = "tank"\nsheet.thickness = 6\nsheet.measured = [5.8, 5.9, 5.84]\n'
            f'[tank]\nsize = [300, 200, 150]\nlid = "{lid}"\nruns-long = {list(laps)}\n{end}',
            schemas(),
        )
    )


def loops(one: Design, allow: Allowances = ALLOW) -> tuple[Loop, ...]:
    return captive_loops(one, seams(one), allow)


def captive_pairs(one: Design) -> set[tuple[str, ...]]:
    by_id = {s.id: s for s in seams(one)}
    return {tuple(sorted((by_id[i].a, by_id[i].b))) for loop in loops(one) for i in loop.seams}


def terms(loop: Loop) -> set[tuple[str, str, float]]:
    return {(t.piece, t.size, round(t.plus_minus_mm, 9)) for t in loop.terms}


#: Worked out by hand: which piece is captive, between which, and the two equal sizes that decide its gap. With the bottom
#: under everything the walls stand on it and are drawn in; in the other four the bottom fills a frame of walls.
BY_HAND: dict[tuple[str, ...], tuple[str, tuple[str, str], tuple[set[str], str]] | None] = {
    ("ends", "front-back", "bottom"): ("bottom", ("left", "right"), ({"front", "back"}, "bottom")),
    ("ends", "bottom", "front-back"): ("bottom", ("left", "right"), ({"front", "back"}, "bottom")),
    ("front-back", "ends", "bottom"): ("bottom", ("front", "back"), ({"left", "right"}, "bottom")),
    ("front-back", "bottom", "ends"): ("bottom", ("front", "back"), ({"left", "right"}, "bottom")),
    ("bottom", "ends", "front-back"): None,
    ("bottom", "front-back", "ends"): None,
}


@pytest.mark.parametrize("laps", LAPS)
def test_the_captive_piece_of_each_order_of_laps_by_hand(laps: tuple[str, ...]) -> None:
    expected, found = BY_HAND[laps], loops(tank(laps))
    if expected is None:
        assert found == ()
        return
    piece, between, (either, same) = expected
    (loop,) = found
    assert loop.piece == piece
    assert set(loop.between) == set(between)
    assert captive_pairs(tank(laps)) == {tuple(sorted((piece, wall))) for wall in between}
    (term,) = loop.terms  # two equal sizes of one cut group: they differ by the repeat error only
    one, _, other = term.piece.partition(" and ")
    assert same in (one, other)
    assert {one, other} - {same} <= either
    assert (term.size, term.plus_minus_mm) == ("repeat", REPEAT)
    assert (loop.left_over_mm, loop.spread_mm, loop.rss_mm) == pytest.approx((0.0, REPEAT, REPEAT), abs=1e-9)


@pytest.mark.parametrize("laps", LAPS)
def test_a_bonded_lid_makes_walls_captive_only_where_all_four_stand_on_the_bottom(laps: tuple[str, ...]) -> None:
    """With the bottom under everything two walls settle between bottom and lid, the other two must match them in height."""
    found = {loop.piece: loop for loop in loops(tank(laps, lid="bonded")) if "lid" in loop.between}
    if laps[0] != "bottom":
        assert found == {}
        return
    assert set(found) == {"front", "back"}
    for loop in found.values():
        assert set(loop.between) == {"bottom", "lid"}
        (term,) = loop.terms
        assert (term.size, term.plus_minus_mm) == ("repeat", REPEAT)


def test_a_piece_cut_another_way_pairs_with_nothing() -> None:
    """Sizes of the same figure but not of one cut group: both tolerances count in full."""
    one = tank(("front-back", "bottom", "ends"))
    apart = tuple(
        Placed(
            name=p.name, piece=_regrouped(p.piece, "") if p.name == "bottom" else p.piece, origin=p.origin, x=p.x, z=p.z
        )
        for p in one.placed
    )
    (loop,) = captive_loops(design(*apart), seams(design(*apart)), ALLOW)
    assert {e for *_, e in terms(loop)} == {TOL}
    assert len(loop.terms) == 2
    assert (loop.spread_mm, loop.rss_mm) == pytest.approx((2 * TOL, TOL * math.sqrt(2)))


def _regrouped(piece: Piece, group: str) -> Piece:
    return replace(piece, cut_group=group)


def test_another_process_brings_its_own_tolerance() -> None:
    one = tank(("ends", "front-back", "bottom"))
    laser = Allowances(tolerance_mm=TOL, repeat_mm=REPEAT, squareness_mm=SQUARE, process_tolerance_mm={"laser": 0.15})
    assert laser.of(one.instance("front")) == TOL
    other = tank(("ends", "front-back", "bottom"), '[[panel]]\nname = "front"\nthickness = 6\nprocess = "laser"\n')
    assert laser.of(other.instance("front")) == 0.15
    assert laser.of(other.instance("back")) == TOL


def test_what_is_cut_is_a_fact_and_the_rest_follows_it_at_one_fence_setting() -> None:
    """The trial's order as-cut: the bottom 0.3 mm over; the ends are cut with the fence set to it: the repeat error is left."""
    laps, cut = ("front-back", "bottom", "ends"), "[as-cut]\nbottom = [312, 200.3]\n"
    allow = Allowances(
        tolerance_mm=TOL, repeat_mm=REPEAT, squareness_mm=SQUARE, reading_mm=0.02, as_cut=frozenset(("bottom",))
    )
    one = tank(laps, cut)
    assert one.instance("left").piece.size_mm[0] == pytest.approx(200.3)
    (loop,) = loops(one, allow)
    assert (loop.left_over_mm, loop.spread_mm) == (pytest.approx(0.0), REPEAT)
    assert {error for *_, error in terms(loop)} == {REPEAT}


def test_two_that_are_cut_are_what_they_read() -> None:
    allow = Allowances(
        tolerance_mm=TOL, repeat_mm=REPEAT, squareness_mm=SQUARE, reading_mm=0.02,
        as_cut=frozenset(("left", "right", "bottom")),
    )  # fmt: skip
    cut = "[as-cut]\nleft = [200.1, 150]\nright = [200.1, 150]\nbottom = [312, 200.1]\n"
    (loop,) = loops(tank(("front-back", "bottom", "ends"), cut), allow)
    assert {error for *_, error in terms(loop)} == {0.02}
    assert loop.spread_mm == pytest.approx(0.04)


def test_a_captive_piece_of_another_cut_group_is_trimmed_to_its_opening() -> None:
    """All walls cut and read to 0.02; the bottom trimmed to the measured opening as near as the repeat error."""
    allow = Allowances(
        tolerance_mm=TOL, repeat_mm=REPEAT, squareness_mm=SQUARE, reading_mm=0.02,
        as_cut=frozenset(("left", "right", "front", "back")),
    )  # fmt: skip
    one = tank(("front-back", "bottom", "ends"), "[as-cut]\nleft = [200.1, 150]\nright = [200.1, 150]\n")
    apart = design(
        *(replace(p, piece=_regrouped(p.piece, "other" if p.name == "bottom" else "box")) for p in one.placed)
    )
    (loop,) = captive_loops(apart, seams(apart), allow)
    assert ("bottom", "height", REPEAT) in terms(loop)
    assert loop.spread_mm == pytest.approx(0.07)


# --- a thickness in the loop -----------------------------------------------------------------------------------------


def shelf(
    *, readings: tuple[float, ...] = (), pad_mm: float = 6.0, wall_mm: float = 50.0, post_mm: float | None = None
) -> Design:
    """Two posts between a base and a top, and a third post on a pad, which must fill what the two leave open."""

    def stock(thick: float, read: tuple[float, ...] = ()) -> Sheet:
        return Sheet(material="cast-pmma", nominal_mm=thick, readings_mm=read)

    def piece(name: str, w: float, h: float, sheet: Sheet, group: str = "") -> Piece:
        return replace(flat(name, rectangle(w, h)), sheet=sheet, cut_group=group)

    pad = stock(pad_mm, readings)
    up = {"x": (0.0, 1.0, 0.0), "z": (1.0, 0.0, 0.0)}  # standing, its height along z

    def post(name: str, height: float, x: float, z: float) -> Placed:
        return Placed(
            name=name, piece=piece(name, 80, height, stock(6, (6.0,))), origin=(x, 10, z), x=up["x"], z=up["z"]
        )

    thick = pad.thickness_mm
    return design(
        Placed(name="base", piece=piece("base", 200, 100, stock(6, (6.0,))), origin=(0, 0, 0)),
        post("one", wall_mm, 10, 6),
        post("two", wall_mm, 180, 6),
        Placed(name="top", piece=piece("top", 200, 100, stock(6, (6.0,))), origin=(0, 0, 6 + wall_mm)),
        Placed(name="pad", piece=piece("pad", 60, 100, pad), origin=(70, 0, 6)),
        post("three", wall_mm - thick if post_mm is None else post_mm, 100, 6 + thick),
    )


def test_an_unmeasured_thickness_brings_the_standards_tolerance_into_the_loop() -> None:
    """ISO 7823-1: 6 mm cast sheet is within ± (0.4 + 0.1 x 6) = 1.0 mm."""
    (loop,) = loops(shelf())
    assert (loop.piece, set(loop.between)) == ("three", {"pad", "top"})
    spread = {t.piece: (t.size, t.sign, t.plus_minus_mm) for t in loop.terms}
    assert spread.pop("pad") == ("thickness", -1, 1.0)
    assert spread.pop("three") == ("height", -1, TOL)
    assert list(spread.values()) == [("height", 1, TOL)]
    assert loop.spread_mm == pytest.approx(1.0 + 2 * TOL)
    assert loop.rss_mm == pytest.approx(math.sqrt(1.0 + 2 * TOL**2))


def test_unmeasured_quarter_inch_sheet_brings_what_is_sold_under_that_name_into_the_loop() -> None:
    """Drawn at 6.35 mm, and usually 6 mm sheet, which ISO 7823-1 lets be 5 mm: 1.35 mm less."""
    (loop,) = loops(shelf(pad_mm=6.35))
    assert [t.plus_minus_mm for t in loop.terms if t.piece == "pad"] == [pytest.approx(1.35)]
    assert loop.spread_mm == pytest.approx(1.35 + 2 * TOL)


def test_a_measured_thickness_brings_the_spread_of_its_readings() -> None:
    (loop,) = loops(shelf(readings=(5.80, 5.90, 5.84)))
    assert [t.plus_minus_mm for t in loop.terms if t.piece == "pad"] == [pytest.approx(0.05)]
    assert loop.spread_mm == pytest.approx(0.05 + 2 * TOL)


def test_a_thickness_no_standard_covers_is_not_covered() -> None:
    with pytest.raises(NotCovered):
        loops(shelf(pad_mm=40.0, wall_mm=90.0))
    assert loops(shelf(pad_mm=40.0, wall_mm=90.0, readings=(40.1,)))


def test_the_loop_leaves_over_what_the_sizes_leave_open_and_each_term_has_its_sign() -> None:
    """Built anew with every size changed at random: what is left over is wall less pad less post."""
    rng = np.random.default_rng(31)
    for wall, pad, post in np.array([50.0, 6.0, 44.0]) + rng.uniform(-0.3, 0.3, (20, 3)):
        (loop,) = loops(shelf(readings=(pad,), wall_mm=wall, post_mm=post))
        assert loop.left_over_mm == pytest.approx(wall - pad - post, abs=1e-9)
        assert loop.left_over_mm == pytest.approx(sum(t.sign * t.nominal_mm for t in loop.terms), abs=1e-9)


@pytest.mark.parametrize(
    ("places", "captive"), [((10, 180), ()), ((10, 95, 180), ("post-3",)), ((10, 60, 120, 180), ("post-3", "post-4"))]
)
def test_a_plate_settles_on_two_parallel_edges_and_each_further_one_is_captive(
    places: tuple[int, ...], captive: tuple[str, ...]
) -> None:
    posts = [
        Placed(name=f"post-{i}", piece=panel(f"post-{i}", 80, 50), origin=(x, 10, 6), x=(0, 1, 0), z=(1, 0, 0))
        for i, x in enumerate(places, start=1)
    ]
    base, top = (Placed(name=n, piece=panel(n, 200, 100), origin=(0, 0, z)) for n, z in (("base", 0), ("top", 56)))
    assert tuple(loop.piece for loop in loops(design(base, *posts, top))) == captive


# --- gaps of seams ---------------------------------------------------------------------------------------------------


def gaps(one: Design, allow: Allowances = ALLOW) -> dict[tuple[str, str], Gap]:
    fit = check_fit(one, FitRules(allow=allow), solids=False)
    return {(s.seam.a, s.seam.b): s.gap for s in fit.seams}


def test_a_taped_seam_opens_by_what_its_cut_edge_leaves() -> None:
    found = gaps(tank(("front-back", "bottom", "ends")))
    taped = found["left", "front"]
    assert not taped.captive
    assert (taped.nominal, taped.min) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert taped.max == pytest.approx(SQUARE + REPEAT)
    assert taped.rss == pytest.approx(math.hypot(SQUARE, REPEAT))


def test_a_seam_of_two_sheet_faces_lies_flat() -> None:
    both = design(
        Placed(name="a", piece=panel("a", 80, 60), origin=(0, 0, 0)),
        Placed(name="b", piece=panel("b", 80, 60), origin=(0, 0, 6)),
    )
    assert gaps(both)["a", "b"] == Gap(nominal=0.0, min=0.0, max=0.0, rss=0.0, captive=False)


def test_a_captive_seam_opens_by_its_loop_and_its_edge() -> None:
    found = gaps(tank(("front-back", "bottom", "ends")))["front", "bottom"]
    assert found.captive
    assert (found.min, found.max) == pytest.approx((-REPEAT, REPEAT + SQUARE), abs=1e-9)
    assert found.rss == pytest.approx(math.hypot(REPEAT, SQUARE))


# --- pieces cut by chance --------------------------------------------------------------------------------------------

DRAWS = 100_000


def cut(rng: np.random.Generator, *, normal: bool) -> dict[str, Numbers]:
    """What five pieces ripped at one fence come out at, less what they should be: one setting error, and each its own."""

    def error(limit: float) -> Numbers:
        return rng.normal(0.0, limit / 3.0, DRAWS) if normal else rng.uniform(-limit, limit, DRAWS)

    setting = error(TOL)
    # Each its own error: two of them differ by at most (or, for normal ones, by three sigma of) the repeat error.
    own = REPEAT / math.sqrt(2.0) if normal else REPEAT / 2.0
    return {name: setting + error(own) for name in ("left", "right", "front", "back", "bottom")}


@pytest.mark.parametrize("laps", [laps for laps, hand in BY_HAND.items() if hand])
def test_real_gaps_of_pieces_cut_by_chance_lie_within_least_and_greatest(laps: tuple[str, ...]) -> None:
    rng = np.random.default_rng(7823)
    hand = BY_HAND[laps]
    assert hand is not None
    _, (one, _), (either, _) = hand
    made = cut(rng, normal=False)
    gap = gaps(tank(laps))[one, "bottom"]
    for wall in either:  # the opening is as wide as the walls between the other two
        left_over = made[wall] - made["bottom"]
        edge = rng.uniform(0.0, SQUARE, DRAWS)
        pushed_over = left_over + edge  # all of it at one seam
        assert left_over.min() >= gap.min
        assert pushed_over.max() <= gap.max
        assert pushed_over.max() > 0.9 * gap.max  # and the limits are no wider than they need be
        assert left_over.min() < 0.9 * gap.min


def test_the_likely_gap_covers_997_of_1000_when_sizes_are_normal_within_three_sigma() -> None:
    rng = np.random.default_rng(1101)
    (loop,) = loops(tank(("front-back", "bottom", "ends")))
    made = cut(rng, normal=True)
    inside = np.abs(made["left"] - made["bottom"]) <= loop.rss_mm
    assert inside.mean() == pytest.approx(0.9973, abs=0.0007)  # four standard errors of 100 000 draws


def test_the_likely_gap_of_unlike_terms_covers_997_of_1000_too() -> None:
    """Two posts and a pad of an unmeasured sheet: three independent errors of different size."""
    rng = np.random.default_rng(2718)
    (loop,) = loops(shelf())
    total = sum(rng.normal(0.0, limit / 3.0, DRAWS) for limit in (TOL, TOL, 1.0))
    assert (np.abs(total) <= loop.rss_mm).mean() == pytest.approx(0.9973, abs=0.0007)
    assert (np.abs(total) <= loop.spread_mm).mean() > 0.9999  # the worst case is passed by chance alone


def test_gap_of_keeps_the_sign_of_an_overlap() -> None:
    (seam,) = seams(
        design(
            Placed(name="a", piece=panel("a", 80, 60), origin=(0, 0, 0)),
            Placed(name="b", piece=panel("b", 80, 60), origin=(0, 0, 5.7)),
        )
    )
    assert gap_of(seam, None, ALLOW).min == pytest.approx(-0.3)
