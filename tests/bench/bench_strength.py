"""How fast plates and boxes are: run `python tests/bench/bench_strength.py`.

Ratios within one run, so they hold on any machine.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: threads only wait for each other

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

from assemblies.strength import Liquid, OnPlates, box, plate
from assemblies.strength.boxes.box import Box
from assemblies.strength.boxes.setting import Pad, load_of
from assemblies.strength.boxes.spec import tank_spec

WATER = Liquid(density_kg_m3=1000.0, depth_mm=380.0)
EDGES = {"left": "clamped", "right": "clamped", "bottom": "clamped", "top": "free"}
FEET = OnPlates(
    pads=tuple(
        Pad(panel="bottom", low=(x, y), high=(x + 50.0, y + 50.0), thickness=12.0)
        for x, y in ((50.0, 50.0), (450.0, 150.0))
    )
)


def process(code: str) -> float:
    """Median seconds of a whole process."""
    times = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True, env=dict(os.environ))
        times.append(time.perf_counter() - start)
    return median(times)


def each(run: Callable[[int], object], count: int = 10) -> float:
    """Median milliseconds of one call, sizes differing from call to call as in a choice of thickness."""
    times = []
    for k in range(count):
        start = time.perf_counter()
        run(k)
        times.append(time.perf_counter() - start)
    return 1e3 * median(times)


def cases(sizes: tuple[float, ...], base: str) -> object:
    """Four cases of one box, its stiffness factored once."""
    spec = tank_spec(sizes[:3], *sizes[3:], base, "free")
    return Box(spec=spec).solve([load_of(WATER, *spec.inner)] * 4)


def main() -> None:
    """Print the figures."""
    yardstick = process("import numpy, scipy.linalg")
    print(f"python -c 'import numpy, scipy.linalg'     {1e3 * yardstick:8.1f} ms")
    print(f"import assemblies.strength                 {process('import assemblies.strength') / yardstick:8.2f} x")
    solved = (
        "import sys; sys.path[:0] = ['tests/bench']; from bench_strength import cases\n"
        "cases((600.0, 300.0, 400.0, 10.0, 3200.0, 0.37), 'hung')"
    )
    print(f"a process that solves a box, four cases    {process(solved) / yardstick:8.2f} x")
    sizes = lambda k: (600.0 + k, 300.0, 400.0, 8.0 + 0.1 * k, 3200.0, 0.37)  # noqa: E731
    for text, run in (
        ("plate, clamped with a free top", lambda k: plate(600.0 + k, 400.0, 8.0, 3200.0, 0.37, EDGES, (0.0, 1e-3))),
        ("box on a flat base", lambda k: box(*sizes(k), WATER, "flat", "free")),
        ("box with a hung floor", lambda k: box(*sizes(k), WATER, "hung", "free")),
        ("box with a hung floor, four cases", lambda k: cases(sizes(k), "hung")),
        ("box on two plates", lambda k: box(*sizes(k), WATER, FEET, "free")),
    ):
        milliseconds = each(run)
        print(f"{text:42} {milliseconds:8.1f} ms {milliseconds / yardstick / 1e3:6.2f} x")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory                                {peak:8.0f} MB")


if __name__ == "__main__":
    main()
