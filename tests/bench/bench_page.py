"""How long the page takes and how large it is, as ratios in one run.

    python tests/bench/bench_page.py [rounds]        (3 rounds unless said; about a minute and a half)

1. The page's share of `make`: sections, drawings, templates and file of the starter tank, against everything else that
   writing its packet does, in one process, best of the rounds. At most 0.1.
2. Growth: the page of a tank with 55 attachment plates (60 pieces) against the starter's (7 pieces). At most 5.
3. Size: both pages under 3 MB.

Exit code 1 when a figure is over its limit.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "kit")]

from starters import two_plates  # noqa: E402  # the path comes first

from assemblies.examine import Examined, examine  # noqa: E402  # the path comes first
from assemblies.kinds import schemas  # noqa: E402
from assemblies.order import read_order  # noqa: E402
from assemblies.packet.drawings.drawings_out import part_drawings  # noqa: E402
from assemblies.packet.models.scene import scene_of  # noqa: E402
from assemblies.packet.pages.page import write_page  # noqa: E402
from assemblies.packet.pages.pictures import part_pictures, sheet_pictures  # noqa: E402
from assemblies.packet.write import write_packet  # noqa: E402


def examined(folder: Path, name: str, text: str) -> Examined:
    path = folder / f"{name}.toml"
    path.write_text(text)
    return examine(read_order(path, schemas()))


def many_plates() -> str:
    """The starter, larger, with 5 x 5 plates under it and 5 x 3 on its front and on its back."""
    text = two_plates().replace("size      = [300, 200, 150]", "size      = [700, 600, 300]")
    head, plate, tail = text.partition("[[plate]]")
    plate, case, tail = tail.partition("[[case]]")
    tables = []
    for face, rows, first in (("bottom", 5, -200), ("front", 3, -100), ("back", 3, -100)):
        places = ", ".join(f"[{100 * i - 200}, {100 * k + first}]" for i in range(5) for k in range(rows))
        table = plate.replace('"bottom"', f'"{face}"').replace("[[-87.5, 0], [87.5, 0]]", f"[{places}]")
        assert table != plate
        tables.append(f"[[plate]]{table}")
    return head + "".join(tables) + case + tail


def best(rounds: int, work: Callable[[], object]) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def drawn(found: Examined, folder: Path) -> dict[str, str]:
    return sheet_pictures(folder) | part_pictures(part_drawings(found))


def main() -> int:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        few, many = examined(folder, "few", two_plates()), examined(folder, "many", many_plates())
        write_packet(many, folder / "many")
        whole = best(rounds, lambda: write_packet(few, folder / "few"))
        page = best(rounds, lambda: write_page(few, scene_of(few), drawn(few, folder / "few"), folder / "few"))
        large = best(rounds, lambda: write_page(many, scene_of(many), drawn(many, folder / "many"), folder / "many"))
        sizes = [(folder / n / "packet.html").stat().st_size / 1e6 for n in ("few", "many")]
    pieces = [len(found.design.placed) for found in (few, many)]
    share, growth = page / (whole - page), large / page
    print(f"page {page * 1e3:.0f} ms of {whole * 1e3:.0f} ms for the packet: {share:.2f} of the rest (at most 0.1)")
    print(f"{pieces[1]} pieces {large * 1e3:.0f} ms, {pieces[0]} pieces {page * 1e3:.0f} ms: {growth:.1f} (at most 5)")
    print(f"sizes {sizes[0]:.2f} and {sizes[1]:.2f} MB (under 3)")
    return int(share > 0.1 or growth > 5.0 or max(sizes) >= 3.0)


if __name__ == "__main__":
    sys.exit(main())
