"""The plan of a small job against an exhaustive search: same settings, no group broken, one cut more at most, in all of 40."""

import random

from best_sawing import fewest_cuts

from assemblies.shop.saw.model import SawPart, SawStock
from assemblies.shop.saw.plan import plan_saw

JOBS = 40


def job(seed):
    """A sheet and two or three kinds of pieces that share sizes, up to seven of them: what can be searched in seconds."""
    dice = random.Random(seed)
    pool = dice.sample(range(61, 331, 3), dice.choice((3, 4)))
    sizes = []
    for _ in range(dice.choice((2, 3))):
        size = (dice.choice(pool), dice.choice(pool))
        if size not in sizes and size[::-1] not in sizes:
            sizes.append(size)
    counts = [dice.randint(1, 3) for _ in sizes]
    return (dice.randint(350, 1100), dice.randint(340, 700)), sizes, counts


def test_forty_small_jobs_are_cut_as_well_as_any_search_finds():
    measured, worse = 0, []
    for seed in range(200):
        sheet, sizes, counts = job(seed)
        shared = len({side for size in sizes for side in size})
        if len(sizes) < 2 or sum(counts) > (7 if shared < 4 else 5):
            continue
        best = fewest_cuts(sheet, sizes, counts, 3)
        if best is None:  # no plan sets each size once: nothing to measure by
            continue
        parts = [
            SawPart(name=f"p{k}", width_mm=w, height_mm=h, count=n, group="g")
            for k, ((w, h), n) in enumerate(zip(sizes, counts, strict=True))
        ]
        plan = plan_saw(
            parts, [SawStock(name="s", width_mm=sheet[0], height_mm=sheet[1])], seconds=0.2, compile_loops=False
        )
        broken = sum(f.check == "cut group" for f in plan.findings)
        assert plan.settings >= shared, seed  # else the search is no bound
        if (broken, plan.settings) == (0, shared):
            assert len(plan.steps) >= best, seed
        if (broken, plan.settings) != (0, shared) or len(plan.steps) > best + 1:
            worse.append((seed, (broken, plan.settings, len(plan.steps)), (0, shared, best)))
        measured += 1
        if measured == JOBS:
            break
    assert measured == JOBS
    assert not worse


def test_the_search_knows_plans_worked_out_by_hand():
    # two of 100 x 50 from 300 x 400: 50 at the fence twice, 100 at the stop twice; along 400 one strip holds both
    assert fewest_cuts((400, 301), [(100, 50)], [2], 3) == 3
    # one piece, two cuts; the sheet is too small for two of them
    assert fewest_cuts((400, 301), [(300, 200)], [1], 3) == 2
    assert fewest_cuts((400, 301), [(300, 200)], [2], 3) is None
