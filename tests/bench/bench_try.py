"""How soon the page of `try` answers: run `python tests/bench/bench_try.py [SECONDS OF LOAD]`. Ratios within one run.

Wanted: sizes, seams and liquid in at most 0.5 of importing numpy; strength in at most 1.3 of what `hold` costs without its
imports; the page usable within 1.5 of importing the kernel after the start; under 50 changes a second memory stays flat.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import http.client
import json
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from statistics import median
from typing import Any

from assemblies.examine import examine
from assemblies.kinds import kind, schemas, starter
from assemblies.order import read_order_text
from assemblies.page.answer import Ground, quick, solved
from assemblies.page.edit import edited
from assemblies.page.form import edits_of

ROUNDS = 7
LOAD_S = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
TEXT = starter("tank")
GROUND = Ground(file="/nowhere/order.toml")


def importing(name: str) -> float:
    """Seconds of processor that importing a library takes, Python's own start taken off."""

    def cost(code: str) -> float:
        before = os.times()
        subprocess.run([sys.executable, "-c", code], check=True)
        after = os.times()
        return after.children_user + after.children_system - before.children_user - before.children_system

    return median(cost(f"import {name}") for _ in range(ROUNDS)) - median(cost("pass") for _ in range(ROUNDS))


def own(act: Any) -> float:
    begun = time.process_time()
    act()
    return time.process_time() - begun


def text_at(n: int) -> str:
    return TEXT.replace("[300, 200, 150]", f"[{300 + n}, 200, 150]")


def answers() -> None:
    """The first two answers, warm, each to a state that was never seen."""
    one = kind("tank")

    def changed(n: int) -> None:
        edits = edits_of([{"do": "set", "key": ["tank", "size", 0], "typed": str(300 + n)}])
        assert quick(edited(TEXT, edits), GROUND)["stage"] == "sizes"

    changed(0), next(solved(TEXT, GROUND))
    numpy = importing("numpy")
    first = median(own(lambda n=n: changed(n)) for n in range(1, 1 + ROUNDS))
    print(f"sizes, seams, liquid / importing numpy: {first / numpy:.2f} (at most 0.5)")

    def holds(n: int) -> None:
        examine(read_order_text(text_at(n), schemas(), "o"), one.asked("hold"))

    held, bare = [], []
    for n in range(20, 20 + ROUNDS):  # in turn, so that a slow spell hits both
        held.append(own(lambda n=n: next(solved(text_at(n), GROUND))))
        bare.append(own(lambda n=n: holds(n + 30)))
    print(f"strength / hold without imports: {median(held) / median(bare):.2f} (at most 1.3)")


class Server:
    """The command, asked over its socket."""

    def __init__(self, folder: Path) -> None:
        self.begun = time.perf_counter()
        self.run = subprocess.Popen(
            [sys.executable, "-m", "assemblies", "try", "--no-browser"], cwd=folder, text=True, stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        )  # fmt: skip
        assert self.run.stdout is not None
        self.host, _, self.path = self.run.stdout.readline().strip().removeprefix("http://").partition("/")

    def ask(self, page: str, number: int, text: str, *, whole: bool = False) -> list[Any]:
        connection = http.client.HTTPConnection(self.host, timeout=60)
        body = json.dumps({"page": page, "number": number, "text": text, "edits": [], "name": None})
        connection.request(
            "POST", f"/{self.path}answer", body, {"Origin": f"http://{self.host}", "Content-Type": "application/json"}
        )
        with connection.getresponse() as answer:
            lines = list(answer) if whole else [answer.readline()]
        connection.close()
        return [json.loads(line) for line in lines if line]

    def memory_mb(self) -> tuple[float, float]:
        """Of the server and of its worker."""

        def of(pid: str) -> float:
            status = Path(f"/proc/{pid}/status").read_text()
            return int(status.partition("VmRSS:")[2].split()[0]) / 1024.0

        below = Path(f"/proc/{self.run.pid}/task/{self.run.pid}/children").read_text().split()
        return of(str(self.run.pid)), of(below[0])


def usable(folder: Path) -> None:
    """From the start to the first answer, by the clock: only on an idle machine."""
    took = []
    for _ in range(3):
        server = Server(folder)
        assert server.ask("p", 1, TEXT)[0]["stage"] == "sizes"
        took.append(time.perf_counter() - server.begun)
        server.run.terminate()
        server.run.wait()
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import parts.shape.kernel"], check=True)
    kernel = time.perf_counter() - begun
    print(
        f"first answer after the start / importing the kernel, by the clock: {median(took) / kernel:.2f} (at most 1.5)"
    )


def load(folder: Path) -> None:
    """Fifty changes a second, each from a thread of its own, as a page would that waits for nothing."""
    server = Server(folder)
    server.ask("p", 0, TEXT, whole=True)
    before, number, threads = server.memory_mb(), 0, []
    end = time.perf_counter() + LOAD_S
    stages: dict[str, int] = {}

    def one(n: int) -> None:
        for message in server.ask("p", n, text_at(n % 50)):
            stages[message["stage"]] = stages.get(message["stage"], 0) + 1

    while time.perf_counter() < end:
        number += 1
        threads.append(threading.Thread(target=one, args=(number,)))
        threads[-1].start()
        time.sleep(0.02)
    for thread in threads:
        thread.join()
    last = server.ask("p", number + 1, text_at(7), whole=True)
    assert last[-1]["stage"] == "whole"
    assert "[307, 200, 150]" in last[0]["text"]
    after = server.memory_mb()
    print(f"{number} changes in {LOAD_S:.0f} s, first answers: {stages}; then the last in full")
    print(f"memory, MB: server {before[0]:.0f} -> {after[0]:.0f}, worker {before[1]:.0f} -> {after[1]:.0f} (flat)")
    server.run.terminate()
    server.run.wait()


if __name__ == "__main__":
    answers()
    with tempfile.TemporaryDirectory() as name:
        usable(Path(name))
        load(Path(name))
