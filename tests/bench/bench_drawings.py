"""How long drawings and picture take: python tests/bench/bench_drawings.py (limits: 0.1 s a part of a tank, imports
excluded; 4 s a part with hundreds of holes; 15 s for the picture of 60 pieces on two busy cores)."""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "kit")]

from random_pieces import random_piece  # noqa: E402  # after the path is set
from samples import flat, panel, tank, tapped_plate  # noqa: E402  # after the path is set

from assemblies.design.model import Design, Placed  # noqa: E402  # after the path is set
from assemblies.fit.apart.explode import explode  # noqa: E402  # after the path is set
from assemblies.packet.drawings.assembly_drawing import assembly_sheets  # noqa: E402  # after the path is set
from assemblies.packet.drawings.drawing import PartFacts, part_sheets  # noqa: E402  # after the path is set
from assemblies.packet.dxf.drawing_dxf import drawing_dxf  # noqa: E402  # after the path is set
from assemblies.packet.ink.pdf import pdf  # noqa: E402  # after the path is set
from assemblies.packet.ink.sheet_items import Sheet  # noqa: E402  # after the path is set
from assemblies.packet.models.scene import Scene  # noqa: E402
from assemblies.packet.pictures.line_drawing import spread  # noqa: E402  # after the path is set
from assemblies.packet.pictures.picture import picture_of  # noqa: E402  # after the path is set
from parts.shape.outline import rectangle  # noqa: E402  # after the path is set
from parts.shape.piece import Hole, Piece  # noqa: E402  # after the path is set

FACTS = PartFacts(
    design="bench", title="Bench", revision="A", count=1, quantity=1, process="saw", tolerance_mm=0.25, repeat_mm=0.05
)


def tanks(count: int) -> Design:
    placed: list[Placed] = []
    for k in range(count):
        placed.extend(tank((320.0 * (k % 3), 220.0 * (k // 3), 0.0), f"t{k}-"))
    return Design(name="bench", title="Bench", kind="bench", revision="A", placed=tuple(placed))


def assembly(design: Design) -> tuple[Sheet, ...]:
    exploded = explode(design)
    return assembly_sheets(design, exploded, spread(design, exploded), "")


def seconds(what: Callable[[], object]) -> float:
    start = time.perf_counter()
    what()
    return time.perf_counter() - start


def both(sheets: tuple[Sheet, ...]) -> None:
    pdf([sheet.page for sheet in sheets], "bench")
    drawing_dxf(sheets)


def sieve(across: int, up: int) -> Piece:
    holes = tuple(
        Hole(x_mm=10.0 + 10.0 * i, y_mm=10.0 + 10.0 * j, kind="through", diameter_mm=4.0)
        for i in range(across)
        for j in range(up)
    )
    return flat("sieve", rectangle(10.0 * across + 10.0, 10.0 * up + 10.0), holes=holes)


def picture(design: Design) -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        picture_of(Scene(placed=design.placed), Path(folder) / "bench.png") as made,
    ):
        note = made.collect()
        if note:
            print("   ", note.why)


def main() -> int:
    both(part_sheets(panel("warm-up", 100.0, 50.0), FACTS))
    over = []
    rows: list[tuple[str, float, Callable[[], object]]] = [
        ("a wall", 0.1, lambda: both(part_sheets(panel("wall", 300.0, 150.0), FACTS))),
        ("a tapped plate", 0.1, lambda: both(part_sheets(tapped_plate(), FACTS))),
        ("fifty random pieces", 5.0, lambda: [both(part_sheets(random_piece(k), FACTS)) for k in range(50)]),
        ("a sieve of 600 holes", 4.0, lambda: both(part_sheets(sieve(30, 20), FACTS))),
        ("assembly of 7 pieces", 0.5, lambda: both(assembly(tanks(1)))),
        ("assembly of 63 pieces", 3.0, lambda: both(assembly(tanks(9)))),
        ("picture of 7 pieces", 8.0, lambda: picture(tanks(1))),
        ("picture of 63 pieces", 15.0, lambda: picture(tanks(9))),
    ]
    for name, limit, what in rows:
        took = seconds(what)
        print(f"{name:<24} {took:6.3f} s, limit {limit:g} s")
        if took > limit:
            over.append(name)
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
