"""How long `packet.pdf` takes: python tests/bench/bench_print.py (limit for the first: 0.8 s, imports included)."""

from __future__ import annotations

import copy
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "kit")]

from asked import ask  # noqa: E402  # after the path is set
from reports import sections_of  # noqa: E402  # after the path is set

from assemblies.kinds import schemas, starter  # noqa: E402  # after the path is set
from assemblies.order import read_order_text  # noqa: E402  # after the path is set
from assemblies.packet.pictures.line_drawing import exploded_svg, spread  # noqa: E402  # after the path is set
from assemblies.report.base import Report  # noqa: E402  # after the path is set

LIMIT_S = 0.8
PIECES = 60


def many(report: Report) -> Report:
    """The same report with as many pieces and seams as an order of 60 pieces has: the words of one, repeated."""
    more = copy.deepcopy(report)
    times = -(-PIECES // len(report["placed"]))
    for rows in (more["placed"], more["parts"], more["fit"]["seams"], more["assembly"], more["bonding"]["seams"]):
        rows *= times
    for rows in (more["cutting"]["steps"], more["bonding"]["steps"], more["drill"]):
        rows *= times
    return more


def seconds(report: Report, pictures: dict[str, str]) -> tuple[float, int]:
    from assemblies.packet.pages.print_packet import packet_pdf

    start = time.perf_counter()
    made = packet_pdf(report, sections_of(report, "mm"), "mm", pictures)
    return time.perf_counter() - start, len(made)


def main() -> int:
    found = ask(read_order_text(starter("tank"), schemas()))
    assert found.exploded is not None
    pictures = {"exploded": exploded_svg(found.design, spread(found.design, found.exploded))}
    first, size = seconds(found.report, pictures)
    print(
        f"{'starter tank, first':24s} {first:6.3f} s  {size / 1e3:6.0f} kB{'' if first <= LIMIT_S else '  over the limit'}"
    )
    for what, report in ((f"{PIECES} pieces", many(found.report)), ("starter tank, again", found.report)):
        took, size = seconds(report, pictures)
        print(f"{what:24s} {took:6.3f} s  {size / 1e3:6.0f} kB")
    return 1 if first > LIMIT_S else 0


if __name__ == "__main__":
    sys.exit(main())
