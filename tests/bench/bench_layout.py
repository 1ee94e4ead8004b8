"""How good the layouts are and how long they take.

    python tests/bench/bench_layout.py [folder of outside checks]       (about 2 min)

1. Public instances through `lay_out`, each plan held to the outside verifier, where the folder has `layout.json` and
   `verify_layout.py` (else "not there"): sheets in all at most 408, none above the packing library's, 5 s an instance;
   several sheet sizes: no cost above the baseline's, and how far under it they are in all.
2. Time from nothing to the first valid plan of 60 pieces against importing the compiler of the search: at most 2.
3. Quality against time: sheets of three tight jobs (drawn by fixed seed) for growing time limits.
4. 500 pieces in at most 60 s and 500 MB; 5 000 pieces within their limit.

Exit code 1 when a limit is passed.
"""

from __future__ import annotations

import importlib.util
import json
import random
import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "kit")]

from sawing import faults  # noqa: E402

from assemblies.shop import lay_out  # noqa: E402  # the path comes first

CHECKS = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT.parent / "shared" / "checks"

FIRST_PLAN = """
import random, sys, time
start = time.perf_counter()
from assemblies.shop import lay_out
dice = random.Random(3)
parts = [[dice.randint(80, 520), dice.randint(150, 900), 1] for _ in range(60)]
class Enough(Exception): pass
def first(share, sheets):
    if sheets:
        print(time.perf_counter() - start)
        raise Enough
try:
    lay_out(parts, [1220, 2440], 3, seconds=5, progress=first)
    print(time.perf_counter() - start)
except Enough:
    pass
"""
IMPORT = "import time; start = time.perf_counter(); import numba; print(time.perf_counter() - start)"


def job(pieces: int, seed: int) -> list[list[int]]:
    dice = random.Random(seed)
    return [[dice.randint(80, 520), dice.randint(150, 900), 1] for _ in range(pieces)]


def outside() -> bool:
    if not (CHECKS / "layout.json").is_file() or not (CHECKS / "verify_layout.py").is_file():
        print(f"outside instances: not there ({CHECKS})")
        return True
    spec = importlib.util.spec_from_file_location("verify_layout", CHECKS / "verify_layout.py")
    verifier = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(verifier)
    data = json.loads((CHECKS / "layout.json").read_text())
    good, total, slowest = True, 0, 0.0
    for inst in data["instances"]:
        start = time.perf_counter()
        plan = lay_out(inst["parts"], inst["sheet"], inst["kerf"], 0, inst["rotation"], 5, 1)
        took = time.perf_counter() - start
        errors, _ = verifier.verify(inst, plan)
        sheets = len(plan["sheets"])
        total, slowest = total + sheets, max(slowest, took)
        ok = not errors and sheets <= inst["rectpack_sheets"] and took <= 5
        good &= ok
        if not ok or sheets > inst["best_known_sheets"]:
            print(f"  {inst['name']}: {sheets} (best known {inst['best_known_sheets']}), {took:.2f} s, {errors[:1]}")
    print(f"one sheet size: {total} sheets in all (limit 408), slowest {slowest:.2f} s")
    cost = base = shares = 0.0
    for inst in data["several_sheet_sizes"]:
        plan = lay_out(inst["parts"], inst["stock"], inst["kerf"], 0, inst["rotation"], 5, 1)
        errors, info = verifier.verify(inst, plan)
        good &= not errors and info["cost"] <= inst["baseline_cost"]
        cost, base = cost + info["cost"], base + inst["baseline_cost"]
        shares += info["cost"] / inst["baseline_cost"] / len(data["several_sheet_sizes"])
    print(f"several sizes: {1 - cost / base:.2%} under the baseline by sum, {1 - shares:.2%} by mean share")
    return good and total <= 408


def first_plan() -> bool:
    def best(code: str) -> float:
        command = [sys.executable, "-c", code]
        runs = [subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True) for _ in range(5)]
        return min(float(run.stdout) for run in runs)

    plan, library = best(FIRST_PLAN), best(IMPORT)
    print(
        f"first plan of 60 pieces {plan:.3f} s, importing the compiler {library:.3f} s: ratio {plan / library:.2f} (limit 2)"
    )
    return plan <= 2 * library


def quality() -> bool:
    for pieces, seed in ((45, 1), (70, 2), (90, 3)):
        parts = job(pieces, seed)
        curve = []
        for seconds in (0.05, 0.5, 5, 20):
            start = time.perf_counter()
            plan = lay_out(parts, [1220, 2440], 3, seconds=seconds)
            curve.append(f"{len(plan['sheets'])} in {time.perf_counter() - start:.2f} s")
        print(f"{pieces} pieces, bound {plan['bound']:.0f}: {', '.join(curve)}")
    return True


def large() -> bool:
    good = True
    for pieces, seconds in ((500, 20), (5000, 30)):
        start = time.perf_counter()
        parts = job(pieces, 5)
        plan = lay_out(parts, [1220, 2440], 3, seconds=seconds)
        took = time.perf_counter() - start
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        found = faults(plan, parts, [1220, 2440], 3)
        sheets = f"{len(plan['sheets'])} sheets (bound {plan['bound']:.0f})"
        print(f"{pieces} pieces: {sheets} in {took:.1f} s, {memory:.0f} MB, {found[:1]}")
        good &= not found and took <= 60 and memory <= 500
    return good


if __name__ == "__main__":
    results = [first_plan(), outside(), quality(), large()]
    sys.exit(0 if all(results) else 1)
