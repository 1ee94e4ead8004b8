"""Tables of what is many: beyond a hundred rows nobody reads piece by piece; equal pieces stand in one row with their count.

Each piece by itself still stands on its sheet's drawing and DXF, on its label, and in report.json. Of sheets that are cut alike
one is drawn, for all of them; its pieces are numbered part by part then, for on each sheet they are others.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from assemblies.shop.saw.model import SawPlan

__all__ = ["ALIKE", "MANY", "cut_alike", "folded"]

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


def cut_alike(saw: SawPlan, most: int = MANY) -> list[int]:
    """For each sheet, from 0, the first that has the same pieces in the same places and is cut at the same settings.

    With few pieces each sheet is its own: then their names say more than a count.
    """
    if len(saw.pieces) <= most:
        return list(range(len(saw.sheets)))
    pieces: list[list[Any]] = [[] for _ in saw.sheets]
    cuts: list[list[Any]] = [[] for _ in saw.sheets]
    for piece in saw.pieces:
        pieces[piece.sheet].append((piece.part, piece.box))
    for step in saw.steps:
        cuts[step.blank.sheet].append((step.setting, step.mode, step.cut))
    first: dict[Any, int] = {}
    return [
        first.setdefault((entry, frozenset(pieces[k]), frozenset(cuts[k])), k) for k, entry in enumerate(saw.sheets)
    ]
