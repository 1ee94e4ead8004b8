"""A cutting job as whole numbers, read from plain data and checked.

*Job*: the parts wanted and the stock to cut them from, all in one whole unit so that areas balance exactly: the
caller's own unit when every length is an int, else nanometres (floats are mm; 1/64 in is 396 875 nm).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from parts.findings import SeamwrightError

__all__ = ["NM_PER_MM", "Job", "LayoutError", "Stock", "StockShort", "Want", "read_job"]

NM_PER_MM: Final = 1_000_000
_LONGEST: Final = 2**50  # sums of lengths stay exact in a float: 1 125 km in nanometres


class LayoutError(SeamwrightError):
    """A job that cannot be laid out as given; the message names the part or the sheet and the limit."""


class StockShort(LayoutError):
    """The stock on hand does not hold all parts; `left_over` counts the pieces without a place, by part."""

    def __init__(self, message: str, left_over: dict[int, int]) -> None:
        super().__init__(message)
        self.left_over = left_over


@dataclass(frozen=True, kw_only=True)
class Want:
    """A part wanted: size, how many, and whether it may be turned by 90 degrees."""

    width: int
    height: int
    count: int
    may_turn: bool


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A sheet size on hand: `count` None is as many as needed; `cost` is what one is worth."""

    width: int
    height: int
    count: int | None
    cost: float


@dataclass(frozen=True, kw_only=True)
class Job:
    """Parts, stock, blade width and trimmed margin, in whole units; `scale` units to one of the caller's."""

    wants: tuple[Want, ...]
    stock: tuple[Stock, ...]
    kerf: int
    trim: int
    scale: int

    @property
    def pieces(self) -> int:
        return sum(want.count for want in self.wants)

    @property
    def area(self) -> int:
        """Net area of all parts."""
        return sum(want.width * want.height * want.count for want in self.wants)


def read_job(parts: Sequence[Any], stock: Sequence[Any], kerf: float, trim: float, turn: bool) -> Job:
    """Check a job given as plain data (see `lay_out`) and bring it to whole numbers.

    Raises:
        LayoutError: for anything that is no size, and for a part that no sheet can hold.
    """
    rows = [_row(part, "part", number) for number, part in enumerate(parts)]
    if stock and all(isinstance(v, int | float) for v in stock):
        stock = [stock]
    sheets = [_row(sheet, "sheet", number) for number, sheet in enumerate(stock)]
    if not sheets:
        raise LayoutError("there is no sheet to cut from: give at least one size")
    lengths = [v for row in (*rows, *sheets) for v in row[:2]] + [kerf, trim]
    scale = 1 if all(isinstance(v, int) for v in lengths) else NM_PER_MM
    job = Job(
        wants=tuple(_want(row, number, turn, scale) for number, row in enumerate(rows)),
        stock=tuple(_stock(row, number, len(sheets), scale) for number, row in enumerate(sheets)),
        kerf=_whole(kerf, scale, "kerf", least=0),
        trim=_whole(trim, scale, "trim", least=0),
        scale=scale,
    )
    _check_fit(job)
    return job


def _row(row: Any, what: str, number: int) -> list[Any]:
    if isinstance(row, str) or not isinstance(row, Sequence) or not 2 <= len(row) <= 4:
        raise LayoutError(f"{what} {number} must be [width, height, ...], got {row!r:.60}")
    return list(row)


def _whole(value: Any, scale: int, what: str, least: int = 1) -> int:
    """A length in whole units."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise LayoutError(f"{what} must be a length, got {value!r:.60}")
    whole = value if scale == 1 and isinstance(value, int) else round(value * scale)
    if not least <= whole <= _LONGEST:
        limit = "above 0" if least else "at least 0"
        raise LayoutError(f"{what} is {value!r:.60}: it must be {limit} and no longer than a sheet can be")
    return int(whole)


def _count(value: Any, what: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 1_000_000:
        raise LayoutError(f"{what}: the quantity must be a whole number from 0 to 1 000 000, got {value!r:.60}")
    return value


def _want(row: list[Any], number: int, turn: bool, scale: int) -> Want:
    what = f"part {number}"
    width, height = (_whole(v, scale, f"{what}: {side}") for v, side in zip(row, ("width", "height"), strict=False))
    count = _count(row[2], what) if len(row) > 2 else 1
    if len(row) > 3 and not isinstance(row[3], bool):
        raise LayoutError(f"{what}: the fourth entry says whether it may be turned, true or false, got {row[3]!r:.60}")
    return Want(width=width, height=height, count=count, may_turn=turn and (len(row) < 4 or row[3]))


def _stock(row: list[Any], number: int, sizes: int, scale: int) -> Stock:
    what = f"sheet {number}"
    width, height = (_whole(v, scale, f"{what}: {side}") for v, side in zip(row, ("width", "height"), strict=False))
    count = None if len(row) < 3 or row[2] is None else _count(row[2], what)
    cost = row[3] if len(row) > 3 else None
    if cost is None:
        cost = 1 if sizes == 1 else row[0] * row[1]
    if isinstance(cost, bool) or not isinstance(cost, int | float) or not math.isfinite(cost) or cost < 0:
        raise LayoutError(f"{what}: the cost must be a number from 0, got {cost!r:.60}")
    return Stock(width=width, height=height, count=count, cost=cost)


def _check_fit(job: Job) -> None:
    """Refuse parts that no sheet can hold, and parts thinner than the blade."""
    rooms = [(s.width - 2 * job.trim, s.height - 2 * job.trim) for s in job.stock]
    for number, want in enumerate(job.wants):
        w, h = want.width, want.height
        size = f"{w / job.scale:g} x {h / job.scale:g}"
        if min(w, h) < job.kerf:
            kerf = f"{job.kerf / job.scale:g}"
            raise LayoutError(f"part {number} ({size}) is thinner than the kerf of {kerf}: it cannot be sawn")
        if not any((w <= a and h <= b) or (want.may_turn and h <= a and w <= b) for a, b in rooms):
            big = max(job.stock, key=lambda s: s.width * s.height)
            largest = f"{big.width / job.scale:g} x {big.height / job.scale:g}"
            raise LayoutError(
                f"part {number} ({size}) is larger than every sheet: the largest is {largest}"
                + (f" less {job.trim / job.scale:g} trimmed off each edge" if job.trim else "")
                + ("" if want.may_turn else ", and the part may not be turned")
            )
