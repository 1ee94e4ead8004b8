"""How fast a mount's `hold` is: `python tests/bench/bench_mount.py`. Processor time, ratios within one run.

Wanted: `hold` of the starter at most 3 times a process that imports numpy, scipy.linalg and scipy.sparse.linalg. Both run from
compiled files, as an installed one does, in the environment of a bare shell. A bracket is solved as one solid of bricks, which
takes a quarter of it, most of that to factor one matrix. Exit code 1: over.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from assemblies.kinds import starter

ROUNDS, LIMIT = 3, 3.0


def seconds(compiled: str, *words: str) -> float:
    """Processor time of one whole process; `compiled`: the folder of its compiled files."""
    unlike = ("PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS")  # the second our own import sets, for children too
    env = {name: value for name, value in os.environ.items() if name not in unlike}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *words], check=False, stdout=subprocess.DEVNULL, env={**env, "PYTHONPYCACHEPREFIX": compiled}
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        order = Path(folder) / "mount.toml"
        order.write_text(starter("prop-mount"), encoding="utf-8")
        runs = (("-c", "import numpy, scipy.linalg, scipy.sparse.linalg"), ("-m", "assemblies.cli", "hold", str(order)))
        times = [[seconds(f"{folder}/compiled", *words) for words in runs] for _ in range(1 + ROUNDS)][1:]
    imports, hold = (median(one[k] for one in times) for k in (0, 1))
    print(
        f"importing scipy {imports:.2f} s, hold of the mount {hold:.2f} s: {hold / imports:.1f} x (at most {LIMIT:g})"
    )
    return int(hold > LIMIT * imports)


if __name__ == "__main__":
    sys.exit(main())
