"""Plain hexagon nuts, plain washers."""

from __future__ import annotations

from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.stock.thread import Thread
from parts.tables import load

__all__ = ["Nut", "nut", "washer_mm"]


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


def washer_mm(size: str) -> float:
    """Thickness of the plain washer for a thread size.

    Raises:
        SeamwrightError: the table has none.

    >>> washer_mm("M6")
    1.6
    """
    for row in load("washers"):
        if row["size"] == size:
            return float(row["thickness_mm"])
    raise SeamwrightError(f"no washer for {size}: {', '.join(r['size'] for r in load('washers'))}")
