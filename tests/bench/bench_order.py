"""How soon an order is read or refused: `python tests/bench/bench_order.py`.

Prints the processor time of whole processes as ratios to `python -c "import numpy"`, least of several rounds taken in turn
(refused orders, `show order` and `--help` are to stay under 3), the milliseconds of reading one order, and the slowest of
texts made to be slow.
"""

from __future__ import annotations

import contextlib
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from assemblies.kinds import schemas, starter
from assemblies.order import OrderError, read_order_text

ROOT = Path(__file__).parents[2]
MOST = 3.0
ROUNDS = 9


def processes(commands: dict[str, list[str]]) -> dict[str, float]:
    """Processor seconds of each whole process: the least of several rounds, all commands in each round."""
    least = dict.fromkeys(commands, float("inf"))
    for _ in range(ROUNDS):
        for name, command in commands.items():
            start = _of_children()
            subprocess.run([sys.executable, *command], cwd=ROOT, capture_output=True, check=False)
            least[name] = min(least[name], _of_children() - start)
    return least


def _of_children() -> float:
    """Processor seconds of the processes that have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call, the least of three; a refusal counts."""
    least = float("inf")
    for _ in range(3):
        start = time.process_time()
        with contextlib.suppress(OrderError):
            work()
        least = min(least, time.process_time() - start)
    return least


def slow_texts() -> dict[str, str]:
    """Texts of nearly the largest size whose every item is wrong."""
    start, nines = starter("tank"), "9," * 900
    return {
        "140 lists of 900 wrong items": start + f"\n[[plate]]\nat = [{nines}]" * 140,
        "20000 unknown keys": start.replace("title", "".join(f"k{i} = 1\n" for i in range(20_000)) + "title", 1),
        "open brackets": "[" * 250_000,
        "list of 120000 items": start.replace("[5.82, 5.80, 5.84]", "[" + "5," * 120_000 + "]"),
    }


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        wrong = Path(folder) / "wrong.toml"
        wrong.write_text(starter("tank").replace("thickness = 6 ", "thicknes = 6 "))
        slip = Path(folder) / "slip.toml"  # mm that are meant as inches: seen once the pieces are looked at
        slip.write_text(starter("tank").replace("[300, 200, 150]", "[12.6, 7, 2.75]"))
        found = processes(
            {
                "import numpy": ["-c", "import numpy"],
                "a refused order": ["-m", "assemblies.cli", "make", str(wrong)],
                "refused in building": ["-m", "assemblies.cli", "fit", str(slip)],
                "show order": ["-m", "assemblies.cli", "show", "order"],
                "show order tank.size": ["-m", "assemblies.cli", "show", "order", "tank.size"],
                "--help": ["-m", "assemblies.cli", "--help"],
            }
        )
    base = found.pop("import numpy")
    for name, taken in found.items():
        print(f"{name:24} {taken:6.3f} s  {taken / base:5.2f} x import numpy ({base:.3f} s), at most {MOST:g}")
    text, tables = starter("tank"), schemas()
    print(f"reading the starter      {seconds(lambda: read_order_text(text, tables)) * 1e3:6.1f} ms")
    for name, slow in slow_texts().items():
        print(f"{name:30} {seconds(lambda slow=slow: read_order_text(slow, tables)):6.2f} s")  # type: ignore[misc]
    return int(max(found.values()) > MOST * base)


if __name__ == "__main__":
    sys.exit(main())
