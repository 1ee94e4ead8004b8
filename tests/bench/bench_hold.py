"""How fast `hold` is: run `python tests/bench/bench_hold.py`. Ratios within one run, so they hold on any machine.

Wanted: the demo with four cases at most 3 times a process that only imports numpy and scipy.linalg; with the thickness to be
chosen of twelve at most 1.6 times that again; memory under 300 MB; a thousand tanks in one process at a flat cost each.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: threads only wait for each other

import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from assemblies.kinds import kind, schemas, starter
from assemblies.order import read_order_text

ROUNDS = 7
COMPILED = tempfile.mkdtemp()  # as in an installed copy; numpy's modules are compiled too
ENVIRONMENT = {**os.environ, "PYTHONPYCACHEPREFIX": COMPILED}
for key in ("PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS"):
    ENVIRONMENT.pop(key, None)  # the command sets its own number of threads
TANKS = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
MORE = '\n[[case]]\nname = "up"\nkind = "throw"\nacceleration = "2 m/s2"\n'


def seconds(*words: str) -> tuple[float, float]:
    """CPU and wall seconds of one whole process, its modules compiled before.

    Other work on the machine counts in the second only; threads that a library starts and leaves waiting in the first.
    """
    start = time.perf_counter()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], check=False, env=ENVIRONMENT, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    wall = time.perf_counter() - start
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, wall


def demo(folder: Path) -> tuple[Path, Path]:
    """The demo with four cases (still, brim full, slide, throw), and the same with the thickness to be chosen."""
    text = starter("tank") + MORE
    given, choosing = folder / "given.toml", folder / "choose.toml"
    given.write_text(text, encoding="utf-8")
    rows = [row for row in text.splitlines() if not row.startswith("measured")]
    open_ = "\n".join('thickness = "choose"' if row.startswith("thickness = 6 ") else row for row in rows)
    choosing.write_text(open_, encoding="utf-8")
    return given, choosing


def processes(folder: Path) -> None:
    """Whole processes, taken in turn so that a slow spell hits all alike."""
    given, choosing = demo(folder)
    runs = {
        "yardstick": ("-c", "import numpy, scipy.linalg"),
        "given": ("-m", "assemblies.cli", "hold", str(given)),
        "choose": ("-m", "assemblies.cli", "hold", str(choosing)),
    }
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in runs}
    for words in runs.values():
        seconds(*words)
    for _ in range(ROUNDS):
        for name, words in runs.items():
            times[name].append(seconds(*words))
    for k, clock in enumerate(("CPU", "wall")):
        yardstick, held, chosen = (median(both[k] for both in times[name]) for name in runs)
        print(f"python -c 'import numpy, scipy.linalg'   {1e3 * yardstick:7.0f} ms {clock}")
        print(f"hold, four cases, thickness given        {held / yardstick:7.2f} x   (wanted: at most 3)")
        print(f"hold, thickness chosen, over given       {chosen / held:7.2f} x   (wanted: at most 1.6)")
        print(f"hold, thickness chosen                   {chosen / yardstick:7.2f} x")
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    print(f"largest process                          {most:7.0f} MB  (wanted: under 300)")


def some_tank(rng: random.Random) -> str:
    size = [round(rng.uniform(100.0, 900.0)), round(rng.uniform(80.0, 500.0)), round(rng.uniform(60.0, 450.0))]
    return f"""title = "t"
name = "t"
kind = "tank"
[sheet]
thickness = {rng.choice([3, 4, 5, 6, 8, 10, 12])}
[tank]
size = {size}
[liquid]
fill = "{rng.uniform(0.3, 0.95) * size[2]:.1f} mm"
[support]
kind = "{rng.choice(["flat", "hung"])}"
retention = "cradle"
[[case]]
name = "go"
kind = "slide"
direction = [{rng.choice(["1, 0", "0, 1", "1, 1"])}, 0]
acceleration = {rng.uniform(0.1, 3.0):.2f}
"""


def thousand() -> None:
    """Many tanks through liquid and strength in one process."""
    from assemblies.strength.tank.loads import asked_of, proof_of

    rng = random.Random(20)
    times = []
    for _ in range(TANKS):
        order = read_order_text(some_tank(rng), schemas())
        start = time.process_time()
        proof_of(asked_of(order, kind("tank").build(order, None)))
        times.append(time.process_time() - start)
    tenth = max(1, TANKS // 10)
    first, last = median(times[:tenth]), median(times[-tenth:])
    print(f"{TANKS} tanks in one process             {TANKS / sum(times):9.1f} designs per second (CPU)")
    print(f"last tenth over first tenth, each        {last / first:7.2f} x   (wanted: flat)")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"this process                             {most:7.0f} MB")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as at:
        processes(Path(at))
    shutil.rmtree(COMPILED)
    thousand()
