"""Which members are the best: within the limits, in the order of what is wanted; and those that no other betters."""

from __future__ import annotations

from collections.abc import Iterable

from assemblies.series.rows import Row
from assemblies.series.spec import Asked

__all__ = ["ranked", "trade_offs", "within"]


def within(asked: Asked, row: Row) -> bool:
    """Whether it has passed and keeps to every limit; a figure that it does not have keeps to none."""
    known = set(asked.figures) <= set(row.figures)
    return (
        row.state == "passed"
        and known
        and all(one.least <= row.figures[one.figure] <= one.most for one in asked.limits)
    )


def _wanted(asked: Asked, row: Row) -> tuple[float, ...]:
    """What is wanted of it, less being better."""
    return tuple(want.sign * row.figures[want.figure] for want in asked.wants)


def ranked(asked: Asked, rows: Iterable[Row]) -> list[Row]:
    """Those within the limits, the best first: by what is wanted first, then by the next, then as they come."""
    good = [row for row in rows if within(asked, row)]
    return sorted(good, key=lambda row: (_wanted(asked, row), row.member))


def trade_offs(asked: Asked, rows: Iterable[Row]) -> list[Row]:
    """Those within the limits that no other betters in one wanted figure without being worse in another; best first.

    In the order of the first wanted figure a member can only be bettered by one before it.
    """
    out: list[tuple[tuple[float, ...], Row]] = []
    for row in ranked(asked, rows):
        mine = _wanted(asked, row)
        if not any(all(a <= b for a, b in zip(theirs, mine, strict=True)) and theirs != mine for theirs, _ in out):
            out.append((mine, row))
    return [row for _, row in out]
