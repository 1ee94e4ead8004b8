"""Page and print of the starter against the rest of its packet, processor time of one run: at most 0.25.

Run by hand: `.venv/bin/python tests/bench/bench_pages.py`. The picture is drawn by a child process beside all of it
(`pictures/picture.py`) and counts for neither side; processor time of threads counts, so it may be taken while others compute.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).parents[2]))

from assemblies.examine import examine
from assemblies.kinds import kind, schemas, starter
from assemblies.order import read_order_text
from assemblies.packet import write

LIMIT: Final = 0.25
_spent: dict[str, float] = {}


def _timed(name: str, run: Callable[..., Any]) -> Callable[..., Any]:
    def timed(*given: Any, **named: Any) -> Any:
        start = time.process_time()
        try:
            return run(*given, **named)
        finally:
            _spent[name] = time.process_time() - start

    return timed


def main() -> None:
    """Print both times and their ratio; end with 1 where it is over the limit."""
    write.write_page = _timed("page", write.write_page)
    write.write_print = _timed("print", write.write_print)
    start = time.process_time()
    order = read_order_text(starter("tank"), schemas())
    with tempfile.TemporaryDirectory() as folder:
        write.write_packet(examine(order, kind(order.kind).asked()), Path(folder) / order.name)
    whole = time.process_time() - start
    pages = _spent["page"] + _spent["print"]
    rest = whole - pages
    print(
        f"page {_spent['page']:.2f} s, print {_spent['print']:.2f} s, rest {rest:.2f} s: {pages / rest:.2f}, limit {LIMIT}"
    )
    sys.exit(pages / rest > LIMIT)


if __name__ == "__main__":
    main()
