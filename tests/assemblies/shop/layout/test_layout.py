"""The layout engine: every plan can be sawn, and none is worse than what is proven or known by construction."""

import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import faults

from assemblies.shop import LayoutError, StockShort, lay_out
from assemblies.shop.layout import fast, kernel, refill
from assemblies.shop.layout.bounds import area_bound, cost_bound, sheet_bound
from assemblies.shop.layout.door import plain_layout
from assemblies.shop.layout.engine import Arrays, find_layout
from assemblies.shop.layout.job import NM_PER_MM, read_job

MM_PER_64TH = 25.4 / 64


def dissect(width, height, cuts, kerf, dice):
    """Cut a sheet apart at random, straight through: the parts, whose known best layout is that one sheet."""
    blanks = [(width, height)]
    for _ in range(cuts):
        w, h = blanks.pop(max(range(len(blanks)), key=lambda k: blanks[k][0] * blanks[k][1]))
        if w >= h:
            a = dice.randint(w // 4, w - w // 4)
            blanks += [(a, h), (w - a - kerf, h)]
        else:
            a = dice.randint(h // 4, h - h // 4)
            blanks += [(w, a), (w, h - a - kerf)]
    return [[*size, 1] for size in blanks]


def test_the_sawing_check_finds_what_is_wrong():
    parts, stock = [[4, 6, 2], [6, 4, 1]], [10, 10]

    def sheet(*puts):
        return {"sheets": [{"size": stock, "placed": [dict(zip(("part", *"xywh"), put, strict=True)) for put in puts]}]}

    good = ((0, 0, 0, 4, 6), (0, 4, 0, 4, 6), (1, 0, 6, 6, 4))
    assert faults(sheet(*good), parts, stock) == []
    assert faults(sheet(*good), parts, stock, kerf=1) == ["sheet 0 cannot be sawn apart"]
    assert faults(sheet(*good), parts, stock, trim=1) == ["sheet 0 cannot be sawn apart"]
    assert faults(sheet(*good[:2]), parts, stock) == ["part 1: 0 cut, 1 wanted"]
    assert faults(sheet(*good[:2], (1, 0, 6, 4, 6)), parts, stock, turn=False) == [
        "part 1 is cut 4 x 6",
        "sheet 0 cannot be sawn apart",
    ]
    pinwheel = ((0, 0, 0, 3, 2), (0, 3, 0, 2, 3), (0, 2, 3, 3, 2), (0, 0, 2, 2, 3))
    assert faults(sheet(*pinwheel), [[3, 2, 4]], [10, 10]) == ["sheet 0 cannot be sawn apart"]


@settings(max_examples=60)
@given(st.data())
def test_every_plan_can_be_sawn_and_gives_exactly_the_parts(data):
    whole = st.integers
    kerf, trim = data.draw(whole(0, 4)), data.draw(whole(0, 6))
    stock = data.draw(
        st.lists(
            st.tuples(whole(60, 120), whole(60, 120), st.none(), whole(1, 90)),
            min_size=1,
            max_size=3,
            unique_by=lambda sheet: sheet[:2],
        )
    )
    side = whole(max(1, kerf), 48)
    parts = data.draw(st.lists(st.tuples(side, side, whole(0, 4), st.booleans()), min_size=1, max_size=8))
    turn = data.draw(st.booleans())
    plan = lay_out(parts, stock, kerf, trim, turn, seconds=0.05, seed=data.draw(whole(0, 9)))
    assert faults(plan, parts, stock, kerf, trim, turn) == []
    assert plan["cost"] == sum(stock[sheet["stock"]][3] for sheet in plan["sheets"])
    assert plan["cost"] >= plan["bound"]


@pytest.mark.parametrize("seed", range(6))
def test_one_sheet_cut_apart_at_random_goes_back_on_one_sheet(seed):
    parts = dissect(1000, 600, 6, 4, random.Random(seed))
    plan = lay_out(parts, [1000, 600], kerf=4, seconds=1)
    assert faults(plan, parts, [1000, 600], 4) == []
    assert len(plan["sheets"]) == 1


@pytest.mark.parametrize("seed", range(12))
def test_bounds_never_exceed_a_plan_known_by_construction(seed):
    dice = random.Random(seed)
    parts = [part for _ in range(3) for part in dissect(100, 60, dice.randint(1, 5), 0, dice)]
    job = read_job(parts, [100, 60], 0, 0, True)
    assert area_bound(job) == 3  # the three sheets are full
    assert sheet_bound(job) <= 3


def test_bound_of_parts_over_half_the_sheet_is_one_each():
    # closed form: of parts wider and higher than half the sheet no two share one, though half of each sheet is bare
    job = read_job([[51, 51, 7], [10, 10, 4]], [100, 100], 0, 0, True)
    assert area_bound(job) == 2
    assert cost_bound(job) == 7


def test_three_sheets_less_a_little_are_filled_again():
    # drawn by fixed seed: three sheets cut into 24 parts, then 24 mm planed off each side: an optimum of 3 is known
    dice = random.Random(12)
    parts = [[w - 24, h - 24, n] for _ in range(3) for w, h, n in dissect(1220, 2440, 7, 4, dice)]
    plan = lay_out(parts, [1220, 2440], kerf=4, seconds=5)
    assert faults(plan, parts, [1220, 2440], 4) == []
    assert len(plan["sheets"]) == 3


def test_kerf_0_and_a_huge_sheet_is_one_sheet():
    dice = random.Random(2)
    parts = [[dice.randint(10, 400), dice.randint(10, 400), dice.randint(1, 5)] for _ in range(40)]
    plan = lay_out(parts, [10_000, 10_000])
    assert len(plan["sheets"]) == 1
    assert faults(plan, parts, [10_000, 10_000]) == []


def test_blade_may_run_off_the_edge_but_not_into_a_part():
    # 3 parts of 30 and 2 kerfs of 4 are 98: they fit in 98, 99 leaves a rest thinner than the blade, 97 is too short
    for length, sheets in ((98, 1), (99, 1), (97, 2)):
        plan = lay_out([[30, 50, 3]], [length, 50], kerf=4, turn=False, seconds=0.1)
        assert len(plan["sheets"]) == sheets


def test_inch_sizes_in_mm_are_exact_in_nanometres():
    # 1/64 in is 396 875 nm: three parts of 7 3/8 in and two kerfs of 1/8 in fill 22 3/8 in to the nanometre
    inch = 25.4
    parts, sheet = [[7.375 * inch, 5 * inch, 3]], [22.375 * inch, 5 * inch]
    plan = lay_out(parts, sheet, kerf=0.125 * inch, turn=False)
    assert len(plan["sheets"]) == 1
    shorter = [22.375 * inch - 1e-6, 5 * inch]
    assert len(lay_out(parts, shorter, kerf=0.125 * inch, turn=False, seconds=0.1)["sheets"]) == 2
    assert round(MM_PER_64TH * NM_PER_MM, 6) == 396875


def test_same_seed_same_layout_whatever_the_clock(monkeypatch):
    # the time limit counts what this process has worked, however busy the machine is
    monkeypatch.setattr("assemblies.shop.layout.engine.time.monotonic", time.process_time)
    dice = random.Random(5)
    parts = [[dice.randint(80, 520), dice.randint(150, 900), 1] for _ in range(40)]
    first = lay_out(parts, [1220, 2440], 3, seconds=3.0, seed=7)
    assert lay_out(parts, [1220, 2440], 3, seconds=3.0, seed=7) == first
    assert first["ended"] != "time limit"


def test_compiled_and_plain_loops_make_the_same_moves():
    loops = fast.compiled()
    assert loops is not None  # numba comes with the geometry kernel
    dice = random.Random(9)
    parts = [[dice.randint(10, 50), dice.randint(10, 50), 2] for _ in range(15)]
    job = read_job(parts, [[100, 100, None, 10], [70, 80, 3, 5]], 2, 0, True)
    ends = []
    for upper, lower, wide in ((refill, kernel, False), (loops, loops, True)):
        a = Arrays(job, wide)
        for i in range(a.n):
            a.order[i] = i
        luck = a.whole([77])
        lower.sort_noisily(a.order, a.n, a.items, 1, 0.3, luck, a.key)
        a.rule[3] = 1
        rows = (a.order, a.picked, a.sheets, a.slots)
        used, _ = lower.greedy(a.n, a.items, a.types, 2, a.rule, luck, a.place, a.trial, a.free, *rows)
        a.place[4] = -1.0
        now = a.area(0)
        scratch = (a.trial, a.free, a.key, a.sheets, a.order, a.picked, a.offer, a.renumber, a.whole([0, 0, 0, 1]))
        end = upper.search(a.n, a.items, a.types, 2, a.slots, used, 31.0, 1e5, now, now, 100.0, luck, a.place, *scratch)
        ends.append((end, list(a.place[: 5 * a.n]), list(a.slots[: end[0]]), int(luck[0])))
    assert ends[0] == ends[1]


@pytest.mark.parametrize("seed", range(5))
def test_the_search_never_spends_more_than_its_budget(seed):
    dice = random.Random(seed)
    parts = [[dice.randint(10, 50), dice.randint(10, 50), 1] for _ in range(20)]
    a = Arrays(read_job(parts, [[100, 100, None, 10], [70, 80, 1, 5], [60, 60, 2, 3]], 2, 0, True), wide=False)
    for i in range(a.n):
        a.place[5 * i + 4] = -1.0
    area = sum(a.area(i) for i in range(a.n))
    scratch = (a.trial, a.free, a.key, a.sheets, a.order, a.picked, a.offer, a.renumber, a.rule)
    luck = [seed + 1]
    for budget in (7.0, 12.0, 23.0):
        used, left, *_ = refill.search(
            a.n, a.items, a.types, 3, a.slots, 0, budget, 2e4, area, area, 0.0, luck, a.place, *scratch
        )
        slots = a.slots[:used]
        assert a.cost(slots) <= budget
        assert slots.count(1) <= 1
        assert slots.count(2) <= 2
        assert left == sum(a.area(i) for i in range(a.n) if a.on(i) < 0) < area
        for i in range(a.n):
            a.place[5 * i + 4] = -1.0


def test_plain_loops_alone_give_a_sawable_plan():
    dice = random.Random(6)
    parts = [[dice.randint(80, 520), dice.randint(150, 900), 1] for _ in range(60)]
    job = read_job(parts, [1220, 2440], 3, 5, True)
    plan = plain_layout(find_layout(job, seconds=1, seed=1, compile_loops=False))
    assert faults(plan, parts, [1220, 2440], 3, 5) == []


def test_cheapest_mix_of_sizes_is_found():
    # two small sheets hold it for 2 x 30; the big one costs 100; one small sheet is not enough
    plan = lay_out([[50, 50, 2]], [[100, 100, None, 100], [60, 60, None, 30]])
    assert plan["cost"] == 60
    # with one small sheet on the rack the big one alone holds both: cheaper than big and small
    plan = lay_out([[50, 50, 2]], [[100, 100, None, 100], [60, 60, 1, 30]], seconds=0.2)
    assert plan["cost"] == 100
    assert [sheet["stock"] for sheet in plan["sheets"]] == [0]


def test_limited_stock_is_kept_or_the_shortage_is_named():
    stock = [[100, 100, 2, 10]]
    assert len(lay_out([[60, 60, 2]], stock)["sheets"]) == 2
    with pytest.raises(StockShort, match="1 of part 0") as caught:
        lay_out([[60, 60, 3]], stock, seconds=0.2)
    assert caught.value.left_over == {0: 1}


def test_scarce_stock_that_the_first_plans_miss_is_still_filled():
    # both sheets are needed and only one split of the parts fills them: A holds 4 of 50, B the strip of 100 x 20
    parts, stock = [[50, 50, 4], [100, 20, 1]], [[100, 100, 1, 1], [100, 20, 1, 100]]
    plan = lay_out(parts, stock, seconds=0.5)
    assert faults(plan, parts, stock) == []


def test_an_interrupt_keeps_the_best_plan_so_far():
    dice = random.Random(4)
    parts = [[dice.randint(80, 520), dice.randint(150, 900), 1] for _ in range(300)]
    calls = []

    def stop(share, sheets):
        calls.append(sheets)
        if len(calls) == 3:
            raise KeyboardInterrupt

    plan = lay_out(parts, [1220, 2440], 3, seconds=20, progress=stop)
    assert plan["ended"] == "interrupted"
    assert faults(plan, parts, [1220, 2440], 3) == []


def test_5000_pieces_end_with_a_plan_and_progress():
    dice = random.Random(3)
    parts = [[dice.randint(80, 520), dice.randint(150, 900), 10] for _ in range(500)]
    shares = []
    plan = lay_out(parts, [1220, 2440], 3, seconds=4, progress=lambda share, sheets: shares.append((share, sheets)))
    assert faults(plan, parts, [1220, 2440], 3) == []
    assert shares == sorted(shares, key=lambda s: s[0])
    assert shares[-1][1] >= len(plan["sheets"])


def test_nothing_to_cut_needs_no_sheet():
    assert lay_out([], [100, 100])["sheets"] == []
    assert lay_out([[10, 10, 0]], [100, 100])["cost"] == 0


@pytest.mark.parametrize(
    ("parts", "stock", "more", "says"),
    [
        ([[101, 50, 1]], [100, 100], {}, r"part 0 \(101 x 50\) is larger than every sheet: the largest is 100 x 100"),
        ([[120, 50, 1]], [100, 130], {"turn": False}, "may not be turned"),
        ([[95, 95, 1]], [100, 100], {"trim": 3}, "less 3 trimmed off each edge"),
        ([[2, 50, 1]], [100, 100], {"kerf": 3}, "thinner than the kerf of 3"),
        ([[0, 50, 1]], [100, 100], {}, "part 0: width is 0: it must be above 0"),
        ([[10, float("nan"), 1]], [100, 100], {}, "part 0: height must be a length, got nan"),
        ([[10, True, 1]], [100, 100], {}, "height must be a length, got True"),
        ([[10, 10, 1.5]], [100, 100], {}, "quantity must be a whole number"),
        ([[10, 10, -1]], [100, 100], {}, "quantity must be a whole number"),
        ([[10, 10, 1, "no"]], [100, 100], {}, "fourth entry"),
        ([[10]], [100, 100], {}, r"part 0 must be \[width, height"),
        (["10x10"], [100, 100], {}, "part 0 must be"),
        ([[10, 10, 1]], [], {}, "no sheet to cut from"),
        ([[10, 10, 1]], [[100, 100, 1, -5]], {}, "cost must be a number from 0"),
        ([[10, 10, 1]], [100, 100], {"kerf": -1}, "kerf is -1: it must be at least 0"),
        ([[10, 10, 1]], [1e300, 100], {}, "no longer than a sheet can be"),
    ],
)
def test_bad_input_is_refused_with_the_reason(parts, stock, more, says):
    with pytest.raises(LayoutError, match=says):
        lay_out(parts, stock, **more)
