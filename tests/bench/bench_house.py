"""This checkout against another one (the commit before a change of the house): python tests/bench/bench_house.py OTHER [rounds]

OTHER is a checkout with a `.venv` of its own. Whole processes in turn, ratios pair by pair: `make`, `hold`, `fit --sizes-only`
and a refused order of the starter, seconds of processor and peak memory. Limits: 1.05 of the time, 1.03 of the memory.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parents[2]


def run(checkout: Path, words: list[str], room: Path) -> tuple[float, float]:
    """Seconds of processor and peak MiB of one run, its children's among them."""
    program = str(checkout / ".venv" / "bin" / "seamwright")
    child = os.fork()
    if child == 0:
        os.chdir(room)
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.execv(program, [program, *words])
    _, _, used = os.wait4(child, 0)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def main() -> int:
    other, rounds = Path(sys.argv[1]).resolve(), int(sys.argv[2]) if len(sys.argv) > 2 else 7
    slow = 0
    with tempfile.TemporaryDirectory() as name:
        room = Path(name)
        starter = (HERE / "assemblies" / "kinds" / "tank" / "tank.toml").read_text(encoding="utf-8")
        (room / "good.toml").write_text(starter, encoding="utf-8")
        (room / "bad.toml").write_text(starter.replace('"saw"', '"sawn"'), encoding="utf-8")
        for words in (
            ["make", "good.toml"], ["hold", "good.toml"], ["fit", "good.toml", "--sizes-only"], ["hold", "bad.toml"],
        ):  # fmt: skip
            pairs = [(run(HERE, words, room), run(other, words, room)) for _ in range(rounds + 1)][1:]
            time, memory = (statistics.median(a[k] / b[k] for a, b in pairs) for k in (0, 1))
            mine = statistics.median(a[0] for a, _ in pairs)
            print(f"{' '.join(words):28} {mine:6.2f} s of processor: {time:.2f} x the other's, memory {memory:.3f} x")
            slow += time > 1.05 or memory > 1.03
    return int(slow > 0)


if __name__ == "__main__":
    sys.exit(main())
