"""How fast liquid settles: `python tests/bench/bench_liquid.py`.

Prints milliseconds for one tank, the cost per tank over a thousand random ones (it must not grow with their
number), and the whole process against `import numpy`.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

import numpy as np

from assemblies.liquid import box, round_cavity, settle
from assemblies.liquid.loads.cases import slide, still


def once(work: object, count: int) -> float:
    """Milliseconds per call, the median of five rounds."""
    assert callable(work)
    rounds = []
    for _ in range(5):
        start = time.perf_counter()
        for _ in range(count):
            work()
        rounds.append((time.perf_counter() - start) / count * 1e3)
    return statistics.median(rounds)


def tanks(count: int, seed: int) -> float:
    """Milliseconds per random tank: made new, still and sliding, with its pressure at 100 points of a wall."""
    rng = np.random.default_rng(seed)
    sizes = rng.uniform(80.0, 600.0, (count, 3))
    points = rng.uniform(0.0, 1.0, (100, 3))
    start = time.perf_counter()
    for length, width, depth in sizes:
        cavity = box(length, width, depth)
        volume = 0.8 * length * width * depth
        for case in (still(cavity, volume), slide(cavity, volume, 800.0)):
            case.load.pressure("front", points * (length, 0.0, depth))
    return (time.perf_counter() - start) / count * 1e3


def process(code: str) -> float:
    """Seconds for a whole Python process, the least of five."""
    out = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        out.append(time.perf_counter() - start)
    return min(out)


def main() -> None:
    tank, drum, g = box(300.0, 250.0, 200.0), round_cavity(100.0, 250.0), (2000.0, 300.0, -9806.65)
    print(f"settle, box          {once(lambda: settle(tank, 9e6, g), 200):8.3f} ms")
    print(f"settle, cylinder     {once(lambda: settle(drum, 4e6, g), 200):8.3f} ms")
    tanks(20, 0)
    for count in (100, 300, 1000):
        print(f"per tank, {count:5d} tanks {tanks(count, count):8.3f} ms  (two cases and their pressures)")
    base, own = process("import numpy"), process("import assemblies.liquid")
    print(f"import assemblies.liquid over import numpy: {own / base:.2f} ({own:.3f} s, {base:.3f} s)")


if __name__ == "__main__":
    main()
