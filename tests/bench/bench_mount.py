"""How fast a mount's `hold` is: `python tests/bench/bench_mount.py`. Processor time, ratios within one run.

Wanted: `hold` of the starter at most 3 times a process that imports numpy, scipy.linalg and scipy.sparse.linalg. On 2026-11-28,
beside other work and within one process, it took 16 times the import of scipy.linalg alone (28 times before): missed. Most of
it is solving meshes of 4,000 and 12,000 triangles.
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


def seconds(*words: str) -> float:
    """Processor time of one whole process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], check=False, stdout=subprocess.DEVNULL, env=os.environ)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        order = Path(folder) / "mount.toml"
        order.write_text(starter("prop-mount"), encoding="utf-8")
        runs = (("-c", "import numpy, scipy.linalg, scipy.sparse.linalg"), ("-m", "assemblies.cli", "hold", str(order)))
        times = [[seconds(*words) for words in runs] for _ in range(ROUNDS)]
    imports, hold = (median(one[k] for one in times) for k in (0, 1))
    print(
        f"importing scipy {imports:.2f} s, hold of the mount {hold:.2f} s: {hold / imports:.1f} x (at most {LIMIT:g})"
    )


if __name__ == "__main__":
    main()
