"""The saw plan, carried out literally by a small simulator: blank in, cut, blanks out."""

import random
import re
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import faults

from assemblies.shop import LayoutError
from assemblies.shop.layout.engine import Put
from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.layout.tree import Block, cut_tree
from assemblies.shop.saw.model import SawPart, SawShop, SawStock
from assemblies.shop.saw.plan import plan_saw
from assemblies.shop.saw.words import say_plan, say_step
from parts.findings import SeamwrightError
from parts.lengths import read_length

SHEET = SawStock(name="large", width_mm=1220, height_mm=2440)


def nm(mm):
    return round(mm * NM_PER_MM)


def carry_out(plan, kerf_mm=3.0):
    """Make every cut of the plan from its words' figures alone; what lies in the shop at the end, by name."""
    kerf = nm(kerf_mm)
    there = {}
    for number, entry in enumerate(plan.sheets):
        stock = plan.stock[entry]
        there[f"sheet {number + 1} ({stock.name})"] = [nm(stock.width_mm), nm(stock.height_mm)]
    now = 0
    for step in plan.steps:
        assert step.setting in (now, now + 1)  # a setting once left does not come back
        now = step.setting
        blank = there.pop(step.blank.name)
        side = 0 if step.cut.axis == "x" else 1
        assert step.setting_nm < blank[side]
        over = blank[side] - step.setting_nm - kerf
        kept = list(blank)
        kept[side] = step.setting_nm
        assert step.kept.name not in there
        there[step.kept.name] = kept
        assert (over > 0) == (step.rest is not None)
        if step.rest is not None:
            rest = list(blank)
            rest[side] = over
            there[step.rest.name] = rest
    assert now == plan.settings
    return there


def check(plan, parts, kerf_mm=3.0):
    """The simulator ends with exactly the ordered pieces and the rests of the plan; the areas balance to the nm2."""
    there = carry_out(plan, kerf_mm)
    wanted = Counter()
    for part in parts:
        w, h = (nm(v) for v in part.cut_mm)
        wanted[(part.name, tuple(sorted((w, h))) if part.may_turn else (w, h))] += part.count
    got = Counter()
    for piece in plan.pieces:
        part = plan.parts[piece.part]
        w, h = there.pop(piece.name, [piece.box.w, piece.box.h])  # a piece as large as its sheet is never cut
        got[(part.name, tuple(sorted((w, h))) if part.may_turn else (w, h))] += 1
    assert got == wanted
    there = {name: size for name, size in there.items() if not name.startswith("sheet ")}
    assert there == {rest.name: [rest.box.w, rest.box.h] for rest in plan.rests}
    b = plan.balance
    assert b.pieces + b.kerf + b.waste + b.offcuts == b.stock
    assert b.pieces == sum(nm(p.cut_mm[0]) * nm(p.cut_mm[1]) * p.count for p in parts)
    assert b.waste + b.offcuts == sum(w * h for w, h in there.values())


def as_layout(plan):
    """The pieces where the plan has them, as plain data."""
    sheets = [{"size": [plan.stock[e].width_mm, plan.stock[e].height_mm], "placed": []} for e in plan.sheets]
    for p in plan.pieces:
        place = {k: getattr(p.box, k) / NM_PER_MM for k in "xywh"}
        sheets[p.sheet]["placed"].append({"part": p.part, **place})
    return {"sheets": sheets}


@settings(max_examples=40)
@given(st.data())
def test_every_plan_carried_out_gives_exactly_the_pieces(data):
    whole = st.integers
    trim = data.draw(st.sampled_from([0.0, 1.5, 3.0, 12.0]))
    kerf = data.draw(st.sampled_from([0.0, 2.2, 3.0, 3.175]))
    stock = [SawStock(name="sheet", width_mm=600, height_mm=data.draw(whole(400, 1800)), trim_mm=trim)]
    parts = [
        SawPart(
            name=f"p{k}",
            width_mm=data.draw(whole(20, 300)) + data.draw(st.sampled_from([0, 0.396875, 0.5])),
            height_mm=data.draw(whole(20, 300)),
            count=data.draw(whole(1, 4)),
            may_turn=data.draw(st.booleans()),
            allowance_mm=(0, data.draw(st.sampled_from([0, 2.0])), 0, 0),
        )
        for k in range(data.draw(whole(1, 5)))
    ]
    plan = plan_saw(parts, stock, SawShop(kerf_mm=kerf), seconds=0.05)
    check(plan, parts, kerf)
    rows = [[*p.cut_mm, p.count, p.may_turn] for p in parts]
    assert faults(as_layout(plan), rows, [[600, stock[0].height_mm]], kerf, trim) == []


def test_pieces_that_share_a_dimension_are_ripped_at_one_setting():
    # a tank's walls and floor: 200 is shared by bottom and ends, 158 by the two long walls
    parts = [
        SawPart(name="front", width_mm=312, height_mm=158, count=2, group="walls"),
        SawPart(name="bottom", width_mm=300, height_mm=200, group="across"),
        SawPart(name="end", width_mm=200, height_mm=152, count=2, group="across"),
    ]
    plan = plan_saw(parts, [SHEET])
    check(plan, parts)
    assert len(plan.sheets) == 1
    assert not [f for f in plan.findings if f.check == "cut group"]
    at = {step.setting for step in plan.steps if step.setting_nm == nm(200)}
    assert len(at) == 1
    # three widths of strips and pieces, trimmed nowhere: no more settings than different sizes, and one halving cut
    assert plan.settings <= len({312, 158, 300, 200, 152}) + 1


@pytest.mark.parametrize("seed", range(6))
def test_every_distance_is_set_once(seed):
    dice = random.Random(seed)
    sides = [dice.randint(60, 500) for _ in range(5)]
    parts = [
        SawPart(name=f"p{k}", width_mm=dice.choice(sides), height_mm=dice.choice(sides), count=3) for k in range(4)
    ]
    plan = plan_saw(parts, [SHEET], seconds=0.2)
    check(plan, parts)
    once = {("fence" if s.mode in ("rip", "crosscut") else s.mode, s.setting_nm) for s in plan.steps}
    assert plan.settings <= len(once) + 1  # a chain of cuts may need one distance before and after another


def test_the_last_strip_without_a_cut_of_its_own_is_named():
    # three walls of 100 and two kerfs of 3 fill 306: the third is what is left, and carries the blade's error
    wall = SawPart(name="wall", width_mm=100, height_mm=350, count=3, may_turn=False, group="walls")
    plan = plan_saw([wall], [SawStock(name="s", width_mm=306, height_mm=350)])
    check(plan, [wall])
    assert [f.where for f in plan.findings if f.check == "cut group"] == ["walls"]
    roomy = plan_saw([wall], [SawStock(name="s", width_mm=308, height_mm=350)])
    assert not [f for f in roomy.findings if f.check == "cut group"]


def test_strips_hold_only_what_fits_with_the_kerf():
    parts = [SawPart(name="p", width_mm=100, height_mm=100, count=3)]
    for length, sheets in ((306, 1), (305, 2)):
        plan = plan_saw(parts, [SawStock(name="s", width_mm=length, height_mm=100)], seconds=0.1)
        check(plan, parts)
        assert len(plan.sheets) == sheets


def test_a_gap_narrower_than_the_blade_is_no_cut():
    # 2 apart along x, 3 along y: with a blade of 3 only the cut between the rows can be made
    tree = cut_tree([Put(0, 0, 0, 10, 10), Put(1, 12, 13, 10, 10)], kerf=3)
    assert isinstance(tree, Block)
    assert tree.axis == "y"
    with pytest.raises(SeamwrightError, match="cannot be freed"):
        cut_tree([Put(0, 0, 0, 10, 10), Put(1, 12, 2, 10, 10)], kerf=3)


def test_a_group_cut_at_two_settings_is_named():
    # the width of 100 is the small offcut's own (no cut makes it), and is cut on the large sheet
    stock = [
        SawStock(name="a", width_mm=100, height_mm=400, count=1, cost=1),
        SawStock(name="b", width_mm=400, height_mm=400),
    ]
    parts = [SawPart(name="wall", width_mm=100, height_mm=350, count=4, may_turn=False, group="walls")]
    plan = plan_saw(parts, stock)
    check(plan, parts)
    found = [f for f in plan.findings if f.check == "cut group"]
    assert [(f.where, f.level) for f in found] == [("walls", "care")]
    assert re.search(r"setting \d, the width of sheet 1$", found[0].why)


@pytest.mark.parametrize(
    ("width", "height", "cut_at", "mode"),
    [
        (400, 500, 200, "rip"),  # edge of 500 on the fence
        (500, 299, 200, "sled"),  # edge under 300
        (500, 300, 200, "crosscut"),  # edge just 300, the blank is longer across the fence
        (900, 400, 401, "sled"),  # edge shorter than the cut is wide
        (2440, 600, 1000, "guide"),  # the same, beyond the sled
    ],
)
def test_no_crosscut_on_the_fence_with_a_short_edge(width, height, cut_at, mode):
    # common practice, no source: 300 mm, and never a cut wider than the edge on the fence is long
    part = SawPart(name="p", width_mm=cut_at, height_mm=height, may_turn=False)
    plan = plan_saw([part], [SawStock(name="s", width_mm=width, height_mm=height)])
    assert [step.mode for step in plan.steps] == [mode]
    cares = [f for f in plan.findings if f.level == "care"]
    assert len(cares) == (mode in ("sled", "guide"))
    if mode == "sled":
        assert cares[0].where == "step 1"
        assert "stop block" in cares[0].do


def test_a_long_sheet_is_halved_before_it_is_ripped_across():
    parts = [SawPart(name="shelf", width_mm=1200, height_mm=280, count=8, may_turn=False)]
    plan = plan_saw(parts, [SHEET])
    check(plan, parts)
    halving = [step for step in plan.steps if step.cut.role == "halve"]
    assert halving
    assert max(halving[0].kept.size_mm) < 1500
    # halving leaves every strip a cut of its own: all eight widths come from the fence
    strips = [step for step in plan.steps if step.setting_nm == nm(280)]
    assert len(strips) == 8
    assert len({step.setting for step in strips}) == 1


def test_what_is_left_over_stays_in_one_large_offcut():
    plan = plan_saw([SawPart(name="p", width_mm=300, height_mm=200, count=4)], [SHEET])
    offcuts = [r for r in plan.rests if r.what == "offcut"]
    assert max(o.box.area for o in offcuts) > 0.75 * nm(1220) * nm(2440)  # 4 pieces are 8 % of the sheet


def test_factory_edges_are_trimmed_first_and_pieces_keep_off_the_margins():
    stock = SawStock(name="raw", width_mm=1220, height_mm=1000, trim_mm=12)
    parts = [SawPart(name="p", width_mm=300, height_mm=200, count=9)]
    plan = plan_saw(parts, [stock])
    check(plan, parts)
    assert [step.cut.role for step in plan.steps].count("trim") == 2
    assert all(p.box.x >= nm(12) and p.box.y >= nm(12) for p in plan.pieces)
    assert all(p.box.x + p.box.w <= nm(1208) and p.box.y + p.box.h <= nm(988) for p in plan.pieces)


def test_allowance_makes_the_sawn_piece_larger():
    part = SawPart(name="base", width_mm=300, height_mm=200, allowance_mm=(2, 2, 1.5, 1.5))
    assert part.cut_mm == (304, 203)
    plan = plan_saw([part], [SHEET])
    check(plan, [part])


def test_a_piece_as_large_as_its_sheet_needs_no_cut():
    plan = plan_saw([SawPart(name="p", width_mm=1220, height_mm=2440)], [SHEET])
    assert plan.steps == ()
    assert plan.balance.pieces == plan.balance.stock


def test_offcuts_that_cost_less_are_used_before_a_sheet():
    stock = [SawStock(name="offcut 7", width_mm=420, height_mm=403, count=1, cost=1), SHEET]
    plan = plan_saw([SawPart(name="p", width_mm=200, height_mm=200, count=4)], stock)
    assert [stock[e].name for e in plan.sheets] == ["offcut 7"]


def test_words_carry_the_setting_and_read_back():
    parts = [SawPart(name="front", width_mm=311.64, height_mm=158, count=2)]
    plan = plan_saw(parts, [SHEET])
    for unit, error in (("mm", 0.0005), ("in", 0.05)):
        lines = say_plan(plan, unit)
        assert sum(f"setting {plan.settings}" in line for line in lines) >= 1
        for step in plan.steps:
            words = say_step(step, unit)
            said = words.split(" (setting")[0].split(". ", 1)[1]
            for holder in ("fence ", "sled, stop ", "straightedge "):
                said = said.removeprefix(holder)
            assert read_length(said, unit) == pytest.approx(step.setting_nm / NM_PER_MM, abs=error)
            assert step.blank.name in words
            assert step.kept.name in words


def test_strips_of_one_blank_are_one_line():
    plan = plan_saw([SawPart(name="bar", width_mm=1220, height_mm=142, count=3, may_turn=False)], [SHEET])
    assert any("three strips from" in line for line in say_plan(plan, "mm"))


def test_same_call_same_plan_and_many_pieces_end_in_time():
    dice = random.Random(8)
    sizes = [(dice.randint(60, 500), dice.randint(60, 700)) for _ in range(12)]
    parts = [SawPart(name=f"p{k}", width_mm=w, height_mm=h, count=5) for k, (w, h) in enumerate(sizes)]
    plan = plan_saw(parts, [SHEET], seconds=1)
    check(plan, parts)
    assert plan_saw(parts, [SHEET], seconds=1) == plan
    assert plan.layout.cost >= plan.layout.bound


def test_a_part_larger_than_every_sheet_is_refused():
    with pytest.raises(LayoutError, match="larger than every sheet"):
        plan_saw([SawPart(name="p", width_mm=1300, height_mm=1300)], [SHEET])


@pytest.mark.parametrize(
    ("size", "trim", "step", "fence"), [(1220.0, 10.5, 1.0, 1209.0), (1219.2, 10.0, 25.4 / 8, 1206.5)]
)
def test_the_first_trim_lands_on_a_round_size_and_never_trims_less(size, trim, step, fence):
    # 48 in less 10 mm is 47 39/64 in: the eighth under it is 47 1/2 in, 1206.5 mm
    stock = SawStock(name="raw", width_mm=size, height_mm=600, trim_mm=trim)
    parts = [SawPart(name="p", width_mm=300, height_mm=200, count=5)]
    plan = plan_saw(parts, [stock], SawShop(round_mm=step))
    check(plan, parts)
    first = next(s for s in plan.steps if s.cut.role == "trim" and s.cut.axis == "x")
    assert first.setting_nm == nm(fence)
    assert all(p.box.x >= nm(trim) and p.box.x + p.box.w <= nm(size - trim) for p in plan.pieces)


def test_words_say_which_edge_goes_to_the_fence():
    stock = SawStock(name="raw", width_mm=1220, height_mm=600, trim_mm=10)
    lines = say_plan(plan_saw([SawPart(name="p", width_mm=400, height_mm=310, count=2)], [stock]), "mm")
    assert "measured from its other factory edge" in lines[0]  # 1210 along an edge of 600: by hand
    assert "its other factory edge against the fence" in lines[1]
    assert all("fresh-cut edge" in line for line in lines[2:])
    bare = say_plan(plan_saw([SawPart(name="p", width_mm=400, height_mm=310)], [SHEET]), "mm")
    assert "its own edge" in bare[0]
