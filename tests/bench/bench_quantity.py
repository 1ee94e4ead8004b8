"""Quantity: five hundred small tanks against fifty, time and greatest memory of `make`, in one run.

    python tests/bench/bench_quantity.py

Wanted: at most 3 times the time and 1.3 times the memory. Both run in processes of their own, one after the other.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

ORDER = """title = "Small tanks for the travelling table"
name = "small-{count}"
kind = "tank"
quantity = {count}
[sheet]
thickness = 4
measured = [4.0]
[tank]
size = [100, 80, 60]
[liquid]
fill = 40
"""


def made(folder: Path, count: int) -> tuple[float, float]:
    """Processor seconds and greatest memory in MB of `make`."""
    order = folder / f"{count}.toml"
    order.write_text(ORDER.format(count=count))
    root = Path(__file__).parents[2]
    output = os.open(os.devnull, os.O_WRONLY)
    child = os.posix_spawn(
        sys.executable, [sys.executable, "-m", "assemblies", "make", str(order), "--out", str(folder)],
        {**os.environ, "PYTHONPATH": str(root)}, file_actions=[(os.POSIX_SPAWN_DUP2, output, 1)],
    )  # fmt: skip
    _, status, used = os.wait4(child, 0)
    assert os.waitstatus_to_exitcode(status) in (0, 1)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        began = time.monotonic()
        (few_s, few_mb), (many_s, many_mb) = (made(Path(name), count) for count in (50, 500))
    print(f" 50: {few_s:6.1f} s of processor, {few_mb:5.0f} MB")
    print(f"500: {many_s:6.1f} s of processor, {many_mb:5.0f} MB")
    print(f"ratio: {many_s / few_s:.2f} of time (wanted 3), {many_mb / few_mb:.2f} of memory (wanted 1.3)")
    print(f"{time.monotonic() - began:.0f} s in all")


if __name__ == "__main__":
    main()
