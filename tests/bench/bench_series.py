"""A series against single runs, as ratios in one run, on an otherwise idle machine.

    python tests/bench/bench_series.py [members]        (40 unless said; some minutes)

1. A member worked out in a row of others against `hold` of the same order without imports, processor time. At most 1.1.
2. All cores of this machine against one, members a second once workers are there. At least 0.9 a core.
3. The executor of a local cluster of as many workers against our own processes. At least 0.9.
4. Memory of the process that leads, after 2,000 rows against after 200. At most 1.1.

Exit code 1 when a ratio misses its limit.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "kit")]

from assemblies.examine import examine  # noqa: E402  # after the path is set
from assemblies.kinds import kind, starter  # noqa: E402
from assemblies.series.rows import Row, row_of  # noqa: E402
from assemblies.series.run import by_processes, by_scheduler, cores  # noqa: E402
from assemblies.series.spec import Asked, asked_of, vary_of  # noqa: E402


def plain(asked: Asked, member: int) -> Row:
    """No work at all: what is left is the leading."""
    return Row(member=member, state="passed", reason="", figures={"mass": 1.0, "use": 0.5})


def rate(rows: Iterator[Row], workers: int) -> float:
    """Members a second, once each worker has answered twice."""
    began, count = 0.0, 0
    for k, _ in enumerate(rows):
        if k == 2 * workers:
            began = time.perf_counter()
        count = k
    return (count - 2 * workers) / (time.perf_counter() - began)


def main() -> int:
    members, failed = int(sys.argv[1]) if len(sys.argv) > 1 else 40, False

    def told(what: str, ratio: float, limit: float, *, least: bool = False) -> None:
        nonlocal failed
        good = ratio >= limit if least else ratio <= limit
        failed = failed or not good
        print(f"{what}: {ratio:.3f} ({'at least' if least else 'at most'} {limit}){'' if good else '  MISSED'}")

    with tempfile.TemporaryDirectory() as folder:
        order = Path(folder) / "tank.toml"
        order.write_text(starter("tank"), encoding="utf-8")
        asked = asked_of(
            order, [vary_of("tank.size[1]", {"from": 280, "to": 320, "steps": 2000})], name="bench", title="bench"
        )
        checks = kind("tank").asked("hold")
        for k in range(3):
            row_of(asked, k)
        single = inside = 0.0
        for k in range(3, 13):
            start = time.process_time()
            examine(asked.order(k), checks)
            middle = time.process_time()
            row_of(asked, k)
            single, inside = single + middle - start, inside + time.process_time() - middle
        told("a member / hold", inside / single, 1.1)
        many = cores()
        one = rate(by_processes(asked, range(members), 1), 1)
        all_ = rate(by_processes(asked, range(members), many), many)
        told(f"{many} cores / one", all_ / one, 0.9 * many, least=True)
        from distributed import LocalCluster

        with LocalCluster(n_workers=many, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
            far = rate(by_scheduler(asked, range(members), cluster.scheduler_address), many)
        told("cluster / processes", far / all_, 0.9, least=True)
        sizes = []
        for k, _ in enumerate(by_processes(asked, range(2000), many, plain)):
            if k in (199, 1999):
                sizes.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
        told("memory, 2,000 rows / 200", sizes[1] / sizes[0], 1.1)
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
