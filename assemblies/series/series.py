"""A series run: members not known yet are worked out, results kept, the best found; from a file or from Python."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from assemblies.series.figures import FIGURES
from assemblies.series.journal import Journal, journal_at
from assemblies.series.rank import ranked, trade_offs
from assemblies.series.rows import Row
from assemblies.series.run import Tls, by_processes, by_scheduler, cores
from assemblies.series.spec import Asked, Limit, asked_of, not_varied, vary_of
from parts.findings import SeamwrightError

__all__ = ["Made", "Series", "make_best", "run"]

Told = Callable[[int, int, float], None]  # members known, members in all, seconds left
_SURE: Final = 8  # rows after which the time that is left is worth saying


def run(
    asked: Asked,
    folder: Path | None = None,
    *,
    workers: int | None = None,
    scheduler: str | None = None,
    tls: Tls | None = None,
    hours: float = 24.0,
    told: Told | None = None,
) -> list[Row]:
    """Every member, in its order.

    Args:
        folder: of the journal; what stands there already is not worked out again. None keeps nothing.
        workers: processes on this machine; one a core unless given.
        scheduler: address of a running scheduler whose workers do it instead.
        hours: what would take longer is refused once that is plain.
        told: progress.

    Raises:
        SeamwrightError: it would take too long, the journal cannot be written, or the scheduler cannot be reached.
    """
    kept = nullcontext(Journal(-1, {})) if folder is None else journal_at(folder / "journal.jsonl", asked.digest)
    with kept as journal:
        left = [member for member in range(asked.count) if member not in journal.rows]
        many = min(workers or cores(), max(len(left), 1))
        rows = by_scheduler(asked, left, scheduler, tls) if scheduler else by_processes(asked, left, many)
        began, had = time.monotonic(), len(journal.rows)
        for row in rows:
            journal.add(row)
            new = len(journal.rows) - had
            ahead = (time.monotonic() - began) / new * (len(left) - new)
            if new == _SURE and ahead > hours * 3600.0:
                raise SeamwrightError(
                    f"{asked.name}: {len(left):,} members would take {ahead / 3600.0:,.0f} hours; at most {hours:g} (--hours)"
                )
            if told is not None:
                told(len(journal.rows), asked.count, ahead)
        return [journal.rows[member] for member in range(asked.count)]


@dataclass(frozen=True, kw_only=True)
class Made:
    """A packet of a member: where it stands, or why none was made."""

    row: Row
    folder: Path | None
    why: str = ""


def make_best(asked: Asked, rows: Sequence[Row], wanted: int, folder: Path) -> Iterator[Made]:
    """Packets of the best so many members; one whose whole examination does not say go is passed over and said."""
    from assemblies.examine import examine
    from assemblies.packet.write import write_packet

    made, wide = 0, len(str(asked.count))
    for row in ranked(asked, rows):
        if made == wanted:
            return
        base = str(asked.data.get("name", "member"))[:40]
        found = examine(asked.order(row.member, f"{base}-{row.member + 1:0{wide}d}"))
        if found.report["verdict"] != "go" or found.exploded is None:
            left = [f"{name} {state}" for name, state in found.report["checks"].items() if state != "passed"]
            yield Made(row=row, folder=None, why=", ".join(left) or "something says stop")
            continue
        target = folder / found.design.name
        write_packet(found, target)
        made += 1
        yield Made(row=row, folder=target)


class Series:
    """Many variants of an order, from Python: `Series("trough.toml", vary={"tank.size[1]": [300, 400]}, least=["mass"])`.

    A script that runs one does so under `if __name__ == "__main__":`, since the workers read the script too.
    """

    def __init__(
        self,
        order: str | Path,
        *,
        vary: Mapping[str, Any],
        least: Sequence[str] = (),
        most: Sequence[str] = (),
        limits: Mapping[str, tuple[float, float]] | None = None,
        name: str = "series",
    ) -> None:
        """A series of an order file.

        Args:
            vary: keys of the order with their values, each a list or `{"from": ..., "to": ..., "steps": ...}`.
            least, most: figures wanted small, and large; `FIGURES` has their names.
            limits: least and most of a figure.

        Raises:
            OrderError: the order cannot be read.
            SeamwrightError: an unknown figure, a key that is none, or too many members.
        """
        for one in (*least, *most, *(limits or {})):
            if one not in FIGURES:
                raise SeamwrightError(f"{one!r} is no figure; there are {', '.join(FIGURES)}")
        kept = [Limit(figure=one, least=low, most=high) for one, (low, high) in (limits or {}).items()]
        varied = [vary_of(text, values) for text, values in vary.items()]
        self.asked = asked_of(order, varied, least, most, kept, name=name, title=name)
        for key in varied:
            fault = not_varied(self.asked.data, key)
            if fault is not None:
                raise SeamwrightError(f"{name}: {fault[0]}; allowed: {fault[1]}")

    def run(
        self, folder: str | Path | None = None, *, workers: int | None = None, told: Told | None = None
    ) -> list[Row]:
        """Every member; with a folder results are kept there, and what is known is not worked out again."""
        return run(self.asked, None if folder is None else Path(folder), workers=workers, told=told)

    def best(self, rows: Sequence[Row]) -> list[Row]:
        """Those that no other betters, best first."""
        return trade_offs(self.asked, rows)
