"""What the assembler itself costs, as a share of what it calls, in processor time of one process.

    python tests/bench/bench_assembler.py [rounds]        (5 rounds unless said; about a minute)

*Own*: placing the tank of `test_assembler.py`, saying what it holds, making the design and the order. *Called*: the checks of
GO_TOGETHER and SHOP with the comparison of the solids, and the packet. At most 0.05.

Exit code 1 when the ratio is over its limit.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "kit"), str(ROOT / "tests" / "assemblies")]

MOST = 0.05


def main() -> int:
    from test_assembler import tank

    from assemblies import GO_TOGETHER, SHOP

    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    ratios = []
    for k in range(rounds + 1):  # the first imports and is not counted
        start = time.process_time()
        rig = tank()
        rig.design()
        own = time.process_time() - start
        with tempfile.TemporaryDirectory() as folder:
            start = time.process_time()
            rig.check(*GO_TOGETHER, *SHOP).write(folder)
            called = time.process_time() - start
        if k:
            ratios.append(own / called)
    ratios.sort()
    print(f"own / called: {ratios[0]:.4f} to {ratios[-1]:.4f}, middle {ratios[len(ratios) // 2]:.4f} (at most {MOST})")
    return int(ratios[len(ratios) // 2] > MOST)


if __name__ == "__main__":
    sys.exit(main())
