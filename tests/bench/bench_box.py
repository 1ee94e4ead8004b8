"""How soon the packet of a box is made: `python tests/bench/bench_box.py [rounds]` (3 rounds unless said).

Seconds of processor of `seamwright make` of the starter box against the floor of `bench_kernel.py`, a bare script that imports
the kernel, builds and writes seven pieces; children counted, in turn, median of the ratios, and the starter of `gearbox`
beside it. To be at most 1.6; it is not there yet: finite elements of five faces are two fifths of it.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

from bench_kernel import FLOOR  # noqa: E402  # the path is set above

from assemblies.kinds import starter  # noqa: E402

MOST = 1.6


def used(words: list[str], room: Path) -> float:
    """Seconds of processor of one run, its children's among them."""
    child = os.fork()
    if child == 0:
        os.chdir(room)
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.execv(words[0], words)
    _, _, taken = os.wait4(child, 0)
    return taken.ru_utime + taken.ru_stime


def main() -> int:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    with tempfile.TemporaryDirectory() as name:
        room = Path(name)
        (room / "floor.py").write_text(FLOOR, encoding="utf-8")
        (room / "solids").mkdir()
        for kind in ("enclosure", "gearbox"):
            (room / f"{kind}.toml").write_text(starter(kind), encoding="utf-8")
        make = [sys.executable, "-m", "assemblies", "make"]
        os.environ["PYTHONPATH"] = str(ROOT)
        ratios: dict[str, list[float]] = {"enclosure": [], "gearbox": []}
        for _ in range(rounds):
            floor = used([sys.executable, "floor.py", "solids"], room)
            for kind, found in ratios.items():
                found.append(used([*make, f"{kind}.toml", "--out", "out"], room) / floor)
    own, other = (statistics.median(found) for found in ratios.values())
    print(f"make of the starter box / floor: {own:.2f} (most {MOST}); of the gearbox: {other:.2f}")
    return int(own > MOST)


if __name__ == "__main__":
    sys.exit(main())
