"""Tables of what is many: beyond a hundred rows nobody reads piece by piece; equal pieces stand in one row with their count.

Each piece by itself still stands on its sheet's drawing and DXF, on its label, and in report.json.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

__all__ = ["ALIKE", "MANY", "folded"]

MANY: Final = 100  # rows; judgement: two pages of a table
ALIKE: Final = (
    24  # rows, where another file has what is said of each: labels, and nests, whose file has the places; judgement
)
Row = tuple[str, ...]


def folded(rows: Sequence[Row], alike: Sequence[Row], most: int = MANY) -> list[Row]:
    """The rows as they are; where they are too many, one for all that are alike, with `first to last (count)` for a name.

    Args:
        rows: each with its name first.
        alike: what each row is alike by; that stands behind the name then.
        most: rows that are not too many.

    >>> folded([("a-1", "7"), ("b", "8"), ("a-2", "9")], [("x",), ("y",), ("x",)], most=2)
    [('a-1 to a-2 (2)', 'x'), ('b', 'y')]
    """
    if len(rows) <= most:
        return list(rows)
    groups: dict[Row, list[Row]] = {}
    for row, key in zip(rows, alike, strict=True):
        groups.setdefault(key, []).append(row)
    return [
        (f"{found[0][0]} to {found[-1][0]} ({len(found)})" if len(found) > 1 else found[0][0], *key)
        for key, found in groups.items()
    ]
