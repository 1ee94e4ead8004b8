"""How long `explode` and its picture take: python tests/bench/bench_explode.py (limit for 200 pieces: 1 s, imports
excluded)."""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "kit")]

from samples import flat, tank  # noqa: E402  # after the path is set

from assemblies.design.model import Design, Placed  # noqa: E402  # after the path is set
from assemblies.fit.apart.explode import explode  # noqa: E402  # after the path is set
from assemblies.packet.pictures.line_drawing import exploded_svg  # noqa: E402  # after the path is set
from parts.shape.outline import Circle  # noqa: E402  # after the path is set


def tanks(count: int) -> tuple[Placed, ...]:
    """Tanks of seven pieces in a row and in layers, two plates below each."""
    placed: list[Placed] = []
    for k in range(count):
        placed.extend(tank((320.0 * (k % 6), 220.0 * (k // 6 % 6), 170.0 * (k // 36)), f"t{k}-"))
    return tuple(placed)


def stacks(count: int) -> tuple[Placed, ...]:
    """Rings with a disc in each, stacked ten high: nothing but curved edges."""
    ring = flat("ring", Circle(50.0, 50.0, 50.0), inner=(Circle(50.0, 50.0, 30.0),), kind="ring")
    disc = flat("disc", Circle(30.0, 30.0, 30.0), kind="disc")
    placed: list[Placed] = []
    for k in range(count // 2):
        x, z = 110.0 * (k // 10), 6.0 * (k % 10)
        placed.append(Placed(name=f"ring-{k}", piece=ring, origin=(x, 0.0, z)))
        placed.append(Placed(name=f"disc-{k}", piece=disc, origin=(x + 20.0, 20.0, z)))
    return tuple(placed)


def seconds(placed: tuple[Placed, ...]) -> float:
    design = Design(name="bench", title="Bench", kind="bench", revision="A", placed=placed)
    start = time.perf_counter()
    explode(design)
    return time.perf_counter() - start


def drawn(placed: tuple[Placed, ...]) -> float:
    """Seconds for the picture alone."""
    design = Design(name="bench", title="Bench", kind="bench", revision="A", placed=placed)
    exploded = explode(design)
    start = time.perf_counter()
    exploded_svg(design, exploded)
    return time.perf_counter() - start


def main() -> int:
    import shapely  # noqa: F401  # its import is not what is measured

    slow = 0
    for what, placed in (
        ("200 pieces of boxes", tanks(29)[:200]),
        ("50 round pieces", stacks(50)),
        ("200 round pieces", stacks(200)),
    ):
        took = seconds(placed)
        slow += took > 1.0
        print(f"{what:24s} {took:6.3f} s {'' if took <= 1.0 else ' over 1 s'}")
    for what, placed in (("picture of 63 pieces", tanks(9)), ("picture of 60 round", stacks(60))):
        print(f"{what:24s} {drawn(placed):6.3f} s")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
