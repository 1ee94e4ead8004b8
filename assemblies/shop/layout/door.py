"""The public door of the layout engine: plain data in, plain data out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from assemblies.shop.layout.engine import Layout, Progress, Put, find_layout
from assemblies.shop.layout.job import Job, read_job

__all__ = ["lay_out", "plain_layout"]


def lay_out(
    parts: Sequence[Any],
    stock: Sequence[Any],
    kerf: float = 0,
    trim: float = 0,
    turn: bool = True,
    seconds: float = 5.0,
    seed: int = 1,
    progress: Progress | None = None,
) -> dict[str, Any]:
    """Lay rectangular parts on sheets so that straight edge-to-edge cuts take them apart, on as little stock as found.

    Several sheet sizes: the sum of costs is made small; with one size that is the number of sheets.

    Args:
        parts: `[width, height, quantity]`, or `[width, height, quantity, may turn]`.
        stock: `[width, height, quantity or None, cost or None]` for each size; `[width, height]` is as many as needed.
            Cost None is the area (or 1 when there is one size).
        kerf: width of the blade, kept between any two parts exactly.
        trim: margin kept free along all four edges of every sheet.
        turn: False forbids turning every part.
        seconds: time limit. The amount of work is set by it and normally done earlier, so that the same call gives the
            same layout.
        seed: start of the random search.
        progress: called with the share of work done and the number of sheets so far.

    Lengths are ints of any one unit, or mm with floats among them (then nanometres inside).

    Returns:
        `{"sheets": [{"size": [w, h], "stock": i, "placed": [{"part", "x", "y", "w", "h"}, ...]}, ...], "cost", "bound",
        "ended"}`: x, y lower-left corner and w, h size as placed, from the sheet's lower-left corner; `bound` is a cost
        that no plan can beat; `ended` is `proven best`, `work done`, `time limit` or `interrupted`.

    Raises:
        LayoutError: a length or quantity that is none; a part larger than every sheet or thinner than the kerf.
        StockShort: more parts than the sheets on hand hold.

    >>> plan = lay_out([[40, 60, 2], [60, 40, 1]], [100, 100])
    >>> len(plan["sheets"]), plan["ended"]
    (1, 'proven best')
    """
    return plain_layout(find_layout(read_job(parts, stock, kerf, trim, turn), seconds, seed, progress))


def plain_layout(layout: Layout) -> dict[str, Any]:
    """A layout as plain data in the caller's unit (see `lay_out`)."""
    job = layout.job

    def own(put: Put) -> dict[str, float]:
        lengths = {side: _own(job, getattr(put, side)) for side in "xywh"}
        return {"part": put.part, **lengths}

    return {
        "sheets": [
            {
                "size": [_own(job, job.stock[sheet.stock].width), _own(job, job.stock[sheet.stock].height)],
                "stock": sheet.stock,
                "placed": [own(put) for put in sheet.puts],
            }
            for sheet in layout.sheets
        ],
        "cost": layout.cost,
        "bound": layout.bound,
        "ended": layout.ended,
    }


def _own(job: Job, whole: int) -> float:
    """A whole length in the caller's unit."""
    return whole if job.scale == 1 else whole / job.scale
