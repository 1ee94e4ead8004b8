"""How soon a gear is drawn: `python tests/bench/bench_gears.py`.

Prints the outline of a 40-tooth gear (not cached) as a ratio to importing numpy in a process of its own, least of several
rounds taken in turn; it is to stay under 0.1.
"""

from __future__ import annotations

import subprocess
import sys
import time

from parts.make.gear.gear import Gear
from parts.make.gear.outline import gear_loop

MOST = 0.1
ROUNDS = 9
IMPORT = "import time; t = time.perf_counter(); import numpy; print(time.perf_counter() - t)"


def main() -> int:
    outline = numpy = float("inf")
    for _ in range(ROUNDS):
        gear_loop.cache_clear()
        start = time.perf_counter()
        loop = gear_loop(Gear(40, 2.0, 0.1, thin_mm=0.1))
        outline = min(outline, time.perf_counter() - start)
        said = subprocess.run([sys.executable, "-c", IMPORT], capture_output=True, text=True, check=True)
        numpy = min(numpy, float(said.stdout))
    print(f"outline of 40 teeth ({len(loop.vertices)} vertices) / import numpy: {outline / numpy:.3f} (most {MOST})")
    return int(outline / numpy > MOST)


if __name__ == "__main__":
    sys.exit(main())
