"""Plain hexagon nuts."""

from __future__ import annotations

from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.stock.thread import Thread
from parts.tables import load

__all__ = ["Nut", "nut"]


@dataclass(frozen=True, kw_only=True)
class Nut:
    """A plain hexagon nut: across its flats, its greatest height, the least diameter that it bears on, mm."""

    size: str
    flats_mm: float
    height_mm: float
    bearing_mm: float


def nut(screw: Thread) -> Nut:
    """The plain hexagon nut of a thread.

    Raises:
        SeamwrightError: the table has none.
    """
    for row in load("nuts"):
        if row["size"] == screw.size:
            return Nut(
                size=row["size"],
                flats_mm=float(row["flats_mm"]),
                height_mm=float(row["height_mm"]),
                bearing_mm=float(row["bearing_mm"]),
            )
    raise SeamwrightError(f"no nut for {screw.size}: {', '.join(r['size'] for r in load('nuts'))}")
