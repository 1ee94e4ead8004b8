"""Layouts of few patterns: sawn apart by an independent check, and held to what is known by construction."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from sawing import faults

from assemblies.shop.layout.bounds import cost_bound
from assemblies.shop.layout.door import plain_layout
from assemblies.shop.layout.engine import Layout, find_layout
from assemblies.shop.layout.job import Job, StockShort, read_job
from assemblies.shop.layout.simple.patterns import pattern_layout


def quickly(job: Job) -> Layout:
    return find_layout(job, 0.2, 1, None, False)


def laid(job: Job) -> Layout:
    found = pattern_layout(job, cost_bound(job), quickly)
    assert found is not None
    return found


def test_forty_sheets_cut_up_alike_are_found_again_as_forty_equal_sheets():
    # by construction: a sheet of 100 x 60 in strips of 40 (two of 50 long) and 20 (four of 25), no rest: the area is the bound
    found = laid(read_job([[50, 40, 80], [25, 20, 160]], [100, 60], 0, 0, True))
    assert (len(found.sheets), found.cost) == (40, 40.0)
    assert len(set(found.sheets)) == 1


def test_two_ways_to_cut_a_sheet_are_mixed_as_the_counts_want():
    # on paper: of 8-long bars two 3s and a 2 (30 bars), or four 2s: 60 threes and 70 twos need 30 + (70 - 30) / 4 = 40 bars
    found = laid(read_job([[3, 10, 60], [2, 10, 70]], [8, 10], 0, 0, False))
    assert len(found.sheets) == 40
    assert sorted(Counter(found.sheets).values()) == [10, 30]


@pytest.mark.parametrize("seed", range(8))
def test_any_such_layout_can_be_sawn_and_gives_exactly_the_pieces(seed):
    dice = random.Random(seed)
    parts = [
        [dice.randint(40, 400), dice.randint(40, 300), dice.randint(20, 90), dice.random() < 0.7]
        for _ in range(dice.randint(1, 5))
    ]
    stock = [[900, 700, dice.choice([None, 7]), 5], [1200, 500, None, dice.randint(4, 8)]]
    kerf, trim, turn = dice.randint(0, 4), dice.randint(0, 9), dice.random() < 0.7
    job = read_job(parts, stock, kerf, trim, turn)
    found = laid(job)
    assert faults(plain_layout(found), parts, stock, kerf, trim, turn) == []
    assert found.cost >= found.bound


def test_lengths_in_nanometres_fit_to_the_nanometre():
    # 39 pieces of 33.33 and 38 kerfs of 3.05 are 1415.77: on 1415.77 mm one row of 39, on a nanometre less 38
    wide = 39 * 33.33 + 38 * 3.05
    for width, often in ((round(wide, 6), 39), (round(wide - 1e-6, 6), 38)):
        job = read_job([[33.33, 50.0, 39 * 38]], [[width, 50.0]], 3.05, 0.0, False)
        assert len(laid(job).sheets) == 39 * 38 // often
        parts = [[33.33, 50.0, 2000], [1000.07, 50.0, 40]]  # sizes of no common step are rounded up, never down
        two = laid(read_job(parts, [[width, 50.0]], 3.05, 0.0, False))
        assert faults(plain_layout(two), parts, [[width, 50.0]], 3.05, 0, False) == []


def test_no_layout_where_there_are_too_many_sizes_or_too_few_sheets():
    many = read_job([[10 + n, 20, 30] for n in range(30)], [1000, 500], 0, 0, True)
    assert pattern_layout(many, 0.0, quickly) is None
    short = read_job([[60, 60, 50]], [[100, 100, 20]], 0, 0, True)
    with pytest.raises(StockShort):
        quickly(short)
    assert pattern_layout(short, 0.0, quickly) is None
