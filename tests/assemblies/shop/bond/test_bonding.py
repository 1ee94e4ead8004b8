"""The bonding plan: order, lie, needle, amounts, steps; held to hand-worked figures and to what must always be so."""

from __future__ import annotations

import math
from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import design as sample_design
from samples import panel, tank
from shop_orders import every_text, examined, order

from assemblies.design.model import Joint, Placed
from assemblies.examine import Examined
from assemblies.fit import Allowances, FitRules, check_fit
from assemblies.fit.apart.explode import explode
from assemblies.liquid import box
from assemblies.report.plain import plain
from assemblies.shop.bond.figures import bond_figures, leaf_mm
from assemblies.shop.bond.plan import BondingPlan, BondSettings, bonding_plan, inside_box
from assemblies.shop.bond.rows import bonding_section
from assemblies.shop.bond.solvent import SolventError
from assemblies.shop.care.cautions import cautions_for
from assemblies.shop.care.rules import figure, wait

LAPS = 'runs-long = ["front-back", "bottom", "ends"]'
GROUPS = ("front-back", "bottom", "ends")
RULES = FitRules(allow=Allowances(tolerance_mm=0.25, repeat_mm=0.05, squareness_mm=0.05))


def plan_of(found: Examined) -> BondingPlan:
    assert found.fit is not None
    assert found.exploded is not None
    plan = bonding_plan(found.design, found.fit, found.exploded)
    assert plan is not None
    return plan


def section_of(found: Examined, **settings):
    plan, shop = plan_of(found), BondSettings(**settings)
    known = bond_figures(found.order, found.design, plan, shop)
    return plain(bonding_section(found.order, found.design, plan, shop, known))


@pytest.fixture(scope="module")
def starter():
    return examined()


def test_the_starter_tank_is_bonded_from_the_front_round_and_its_plates_last(starter):
    """By hand: front lies down first with all that meets it, then the bottom's, then the back's; the work turns thrice."""
    rows = [(s.seam.a, s.seam.b, s.down, s.feed, s.kind) for s in plan_of(starter).seams]
    assert {r[:2] for r in rows[:3]} == {("left", "front"), ("right", "front"), ("front", "bottom")}
    assert [r[2] for r in rows[:3]] == ["front"] * 3
    assert {r[:2] for r in rows[3:5]} == {("left", "bottom"), ("right", "bottom")}
    assert [r[2] for r in rows[3:5]] == ["bottom"] * 2
    assert [r[2] for r in rows[5:8]] == ["back"] * 3
    assert [r[3] for r in rows[:8]] == ["inside"] * 8
    assert [r[2:] for r in rows[8:]] == [("bottom", "edges", "plate")] * 2
    assert plan_of(starter).turns == 3


def test_millilitres_are_area_times_gap_by_hand(starter):
    """Walls 5.82 thick, gaps 0.10 mm: 4 x 150 + 2 x 200 + 2 x 311.64 = 1623.28 mm of seam; plates 2 x (50 x 50 less
    four bores of 5.2) x 0.05."""
    plan = plan_of(starter)
    by_hand = 1623.28 * 5.82 * 0.10 / 1000 + 2 * (50 * 50 - 4 * math.pi / 4 * 5.2**2) * 0.05 / 1000
    assert plan.net_ml == pytest.approx(by_hand, rel=1e-9)
    assert plan.draw_ml == 4.0  # 3 x 1.186 = 3.56, up to the next half millilitre


def test_tape_runs_along_every_corner_with_tabs_across_it(starter):
    """4 seams of 150 with 2 tabs, 2 of 200 with 2, 2 of 311.64 with 4; tabs 100 long; a tenth more."""
    by_hand = 1.1 * (1623.28 + 100 * (4 * 2 + 2 * 2 + 2 * 4)) / 1000
    assert plan_of(starter).tape_m == pytest.approx(by_hand, rel=1e-9)
    assert plan_of(starter).taped == ("left", "right", "front", "back", "bottom")


@pytest.mark.parametrize("laps", list(permutations(GROUPS)))
def test_whatever_runs_long_each_seam_is_bonded_once_and_level(laps):
    words = ", ".join(f'"{g}"' for g in laps)
    found = examined((LAPS, f"runs-long = [{words}]"), ('seen-from = ["front"]', "seen-from = []"))
    check_levels(found)


@given(
    length=st.integers(60, 600), width=st.integers(60, 400), depth=st.integers(60, 500), laps=st.permutations(GROUPS)
)  # fmt: skip
def test_any_size_of_tank_is_bonded_level_with_the_lower_piece_on_the_bench(length, width, depth, laps):
    words = ", ".join(f'"{g}"' for g in laps)
    found = examined(
        (LAPS, f"runs-long = [{words}]"),
        ('seen-from = ["front"]', "seen-from = []"),
        ("[300, 200, 150]", f"[{length}, {width}, {depth}]"),
        ('fill = "120 mm"', 'fill = "40 mm"'),
        ("[[-87.5, 0], [87.5, 0]]", "[[0, 0]]"),
    )
    check_levels(found)
    hand = min(length, width) >= 100 and depth <= 450
    feeds = {s.feed for s in plan_of(found).seams if s.kind == "corner"}
    assert feeds == ({"inside"} if hand else {"outside"})


def check_levels(found: Examined) -> None:
    """Every bonded seam once; the piece that lies down is below the seam, the other one above it, the seam level."""
    plan = plan_of(found)
    assert found.fit is not None
    assert sorted(s.seam.id for s in plan.seams) == sorted(s.seam.id for s in found.fit.seams)
    assert [s.number for s in plan.seams] == list(range(1, len(plan.seams) + 1))
    kinds = [s.kind for s in plan.seams]
    assert kinds == sorted(kinds, key=("corner", "lid", "plate").index)
    for one in plan.seams:
        assert one.down in (one.seam.a, one.seam.b)
        other = one.seam.b if one.down == one.seam.a else one.seam.a
        assert height(found, one.down, one) < 1e-6
        assert height(found, other, one) > 1e-6
        assert abs(sum(f * a for f, a in zip(one.floor, one.seam.along, strict=True))) < 1e-9
    floors = [s.floor for s in plan.seams]
    assert plan.turns == sum(a != b for a, b in pairwise(floors))


def height(found: Examined, name: str, one) -> float:
    """How high the middle of a piece stands over the seam while it is bonded."""
    low, high = found.design.instance(name).box
    return sum(
        -f * ((a + b) / 2 - c) for f, a, b, c in zip(one.floor, low, high, one.seam.centre, strict=True)
    )  # fmt: skip


def test_seams_follow_the_order_of_assembly(starter):
    step = {s.name: s.step for s in starter.exploded.steps}
    steps = [max(step[s.seam.a], step[s.seam.b]) for s in plan_of(starter).seams if s.kind == "corner"]
    assert steps == sorted(steps)


def test_a_bonded_lid_closes_the_tank_after_its_corners_and_from_outside():
    found = examined(('lid       = "none"', 'lid       = "bonded"'))
    rows = plan_of(found).seams
    kinds = [s.kind for s in rows]
    assert kinds.index("lid") > max(i for i, k in enumerate(kinds) if k == "corner")
    assert {s.feed for s in rows if s.kind == "lid"} == {"outside"}
    assert {s.feed for s in rows if s.kind == "corner"} == {"inside"}
    check_levels(found)


def test_what_is_not_bonded_has_no_plan():
    a = Placed(name="a", piece=panel("a", 100, 50), origin=(0, 0, 0))
    b = Placed(name="b", piece=panel("b", 100, 50), origin=(0, 0, 6.0))
    loose = sample_design(a, b)
    loose = type(loose)(**{**vars(loose), "joints": (Joint(a="a", b="b", kind="screwed"),)})
    assert bonding_plan(loose, check_fit(loose, RULES, solids=False), explode(loose)) is None


def test_a_thing_without_a_space_for_liquid_is_fed_from_outside():
    plain = sample_design()
    plan = bonding_plan(plain, check_fit(plain, RULES, solids=False), explode(plain))
    assert inside_box(plain) is None
    assert {s.feed for s in plan.seams if s.kind == "corner"} == {"outside"}


@pytest.mark.parametrize(
    ("size", "feed"),
    [
        ((300, 100, 450), "inside"),
        ((300, 99, 150), "outside"),
        ((99, 300, 150), "outside"),
        ((300, 200, 451), "outside"),
    ],
)
def test_a_hand_needs_100_mm_across_and_reaches_450_mm_down(size, feed):
    """ISO 13854's gap for a hand; the reach is judgement."""
    found = examined(("[300, 200, 150]", str(list(size))), ("[[-87.5, 0], [87.5, 0]]", "[[0, 0]]"))
    assert {s.feed for s in plan_of(found).seams if s.kind == "corner"} == {feed}


def test_what_is_bonded_on_the_outside_is_fed_from_outside_though_a_hand_goes_in():
    rib = Placed(
        name="rib",
        piece=panel("rib", 200.0, 20.0),
        origin=(-100.0, -100.0, 60.0),
        x=(1.0, 0.0, 0.0),
        z=(0.0, -1.0, 0.0),
    )
    space = box(288.0, 188.0, 144.0, low=(-144.0, -94.0, 6.0))
    whole = sample_design(*tank(), rib)
    whole = type(whole)(**{**vars(whole), "cavities": (space,)})
    plan = bonding_plan(whole, check_fit(whole, RULES, solids=False), explode(whole))
    feeds = {frozenset((s.seam.a, s.seam.b)): (s.feed, s.down) for s in plan.seams}
    assert feeds[frozenset(("front", "rib"))] == ("outside", "front")
    assert feeds[frozenset(("front", "left"))] == ("inside", "front")


# ---- the section


def test_the_default_solvent_is_not_stated_and_the_worst_of_the_table_is_reckoned_with(starter):
    section = section_of(starter)
    assert section["solvent"]["stated"] is None
    assert section["solvent"]["says"].startswith("not stated")
    assert section["air"]["worst"]["solvent"] == "1,2-dichloroethane"
    assert (section["air"]["room_stated"], section["air"]["air_changes_stated"]) == (False, False)
    assert len(section["air"]["each"]) == 10


def test_a_stated_solvent_and_room_are_used(starter):
    section = section_of(starter, solvent="MEK", room_m3=200.0, air_changes_h=6.0)
    air = section["air"]
    assert {row["solvent"] for row in air["each"]} == {"butanone"}
    # 4 mL x 0.805 / 72.11 x 24.45 L = 1.0918 L in 200 000 L
    assert air["worst"]["peak_ppm"] == pytest.approx(5.459, abs=0.002)
    assert (air["room_m3"], air["room_stated"], air["over"]) == (200.0, True, False)
    # 1.0918 L burn in up to 1.0918/0.015 L of air
    assert air["burns_up_to_L"] == pytest.approx(72.8, abs=0.1)
    with pytest.raises(SolventError):
        section_of(starter, solvent="rain")


def test_capillary_figures_are_those_of_the_slowest_seam(starter):
    """Plates: 50 mm deep at 0.05 mm, 1,2-dichloroethane: 3 x 0.00082 x 0.05^2 / (0.0326 x 5e-5) = 3.773 s."""
    cap = section_of(starter)["capillary"]
    assert cap["fill_s_without_inertia"] == pytest.approx(3.773, abs=0.001)
    assert cap["fill_s"] > cap["fill_s_without_inertia"]
    # the least rise: dichloromethane at 0.10 mm, 2 x 0.0278/(1328 x 9.80665 x 1e-4)
    assert cap["rise"] == pytest.approx(42.69, abs=0.01)


def test_annealing_takes_the_longer_of_two_sources_and_shows_both(starter):
    """The plates are 12 mm: 12 h at one hour a millimetre, 6 h by the other; cooled over 12/4 h."""
    anneal = section_of(starter)["anneal"]
    assert (anneal["hours"], anneal["hours_other_source"], anneal["cool_hours"]) == (12.0, 6.0, 3.0)
    assert anneal["temperature"]["value"] == 80.0
    thin = examined(
        ("thickness = 6 ", "thickness = 1.5 "), ("[5.82, 5.80, 5.84]", "[1.5]"), ("thickness = 12", "thickness = 5")
    )
    assert section_of(thin)["anneal"]["hours"] == 5.0
    assert section_of(thin)["anneal"]["cool_hours"] is None


@pytest.mark.parametrize(
    ("limit", "leaf"), [(0.1, 0.1), (0.10000000001, 0.1), (0.11, 0.15), (0.15, 0.15), (0.03, 0.05)]
)
def test_the_feeler_leaf_is_the_next_of_the_gauge(limit, leaf):
    assert leaf_mm(limit) == leaf


def test_steps_are_numbered_through_the_stations_in_order_of_work(starter):
    steps = section_of(starter)["steps"]
    assert [s["step"] for s in steps] == list(range(1, len(steps) + 1))
    stations = [s["station"] for s in steps]
    assert set(stations) == {"edges", "tape", "bond", "wait", "test"}
    first = [stations.index(s) for s in ("edges", "tape", "bond", "wait", "test")]
    assert first == sorted(first)
    assert stations[-1] == "test"
    for step in steps:
        assert step["text"].endswith(".")
        assert step["source"]


def test_each_figure_a_step_speaks_of_is_the_one_of_its_table(starter):
    texts = {s["step"]: s["text"] for s in section_of(starter)["steps"]}
    whole = " ".join(texts.values())
    for words in ("back 12 mm", "the 0.10 mm leaf", "the 0.25 mm leaf", "360.6 mm each", "After 10 min", "21 to 24 °C",
                  "24 h:", "72 h (3 days):", "brim full for 24 h", "Load 4 mL", "12 h at 80 °C"):  # fmt: skip
        assert words in whole, words
    assert "7 days" not in whole  # nothing is thrown
    assert wait("throw").value == 7 * 24
    assert figure("peel_back").value == 12.0


def test_a_throw_waits_a_week():
    found = examined(('kind = "slide"\ndirection = [1, 0, 0]', 'kind = "throw"\ndirection = [0, 0, 1]'))
    whole = " ".join(s["text"] for s in section_of(found)["steps"])
    assert "168 h (7 days)" in whole


def test_every_solvent_step_bears_every_solvent_caution(starter):
    solvent_ids = {c.id for c in cautions_for("solvent")}
    wet = [s for s in section_of(starter)["steps"] if s["station"] == "bond"]
    assert len(wet) == 5
    for step in wet:
        assert solvent_ids <= set(step["cautions"])


def test_lasered_edges_are_named_before_anything_is_bonded():
    found = examined(('process    = "saw" ', 'process    = "laser" '))
    first = section_of(found)["steps"][2]
    assert first["station"] == "edges"
    assert "machine or anneal them first" in first["text"]
    assert set(first["where"]) >= {"left", "right", "front", "back", "bottom"}
    machined = examined(('process    = "saw" ', 'process    = "laser"\nedge = "machined" '))
    assert not any("lasered or snapped" in t for t in every_text(section_of(machined)["steps"]))


def test_captive_seams_are_named_in_a_step_of_their_own(starter):
    (step,) = [s for s in section_of(starter)["steps"] if s["text"].startswith("Tape cannot close")]
    assert set(step["where"]) == {s.seam.id for s in starter.fit.seams if s.gap.captive} != set()


def test_feeding_through_a_tapped_hole_is_an_option_that_is_off_and_warns(starter):
    option = section_of(starter)["through_hole"]
    assert option["default"] == "no"
    assert option["plates"] == ["plate-1", "plate-2"]
    assert "crazes" in option["caution"]


def test_no_text_of_the_shop_names_a_web_address_or_cites_nothing(starter):
    for text in every_text(section_of(starter)):
        assert "http" not in text
        assert "www." not in text


def test_the_whole_comes_with_make_but_not_with_fit_or_hold_alone():
    from asked import ask

    one = order()
    both = {"bonding", "buying", "cautions"}
    assert both <= set(ask(one).report)
    assert not both & set(ask(one, "fit").report)
    assert not both & set(ask(one, "hold").report)


def test_strips_of_one_height_are_bonded_together_so_that_the_work_is_seldom_turned():
    """Four corner strips meet five panels in twelve seams with five ways to lie: no way comes back before the rim is on."""
    more = '\n[[strip]]\nwhere = "inside-corner"\nsize = [12, 12]\n[[strip]]\nwhere = "rim"\nsize = [30, 6]\n'
    plan = plan_of(examined(more=more))
    corner = [s for s in plan.seams if s.seam.a.startswith("corner") or s.seam.b.startswith("corner")]
    assert len(corner) == 12
    floors = [s.floor for s in corner]
    assert sum(one != other for one, other in pairwise(floors)) == len(set(floors)) - 1 == 4
    rim = [k for k, s in enumerate(plan.seams) if "rim-" in s.seam.a + s.seam.b]
    assert min(rim) > max(k for k, s in enumerate(plan.seams) if s in corner)


def test_the_times_of_a_limit_are_never_written_with_an_exponent():
    found = examined(
        ("[300, 200, 150]", "[1700, 900, 400]"), ("thickness = 6 ", "thickness = 20 "), ("[5.82, 5.80, 5.84]", "[20]")
    )
    section = section_of(found)
    (text,) = [row["text"] for row in section["steps"] if "times the limit" in row["text"]]
    times = section["air"]["worst"]["times_limit"]
    assert times > 100.0
    assert f"{times:.0f} times the limit" in text
