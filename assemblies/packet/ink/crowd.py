"""Boxes on a page, asked by place: what is near a point is found without looking at all the others."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from itertools import product
from typing import Final

__all__ = ["Crowd"]

_CELL: Final = 8.0  # mm; judgement: a few texts to a cell
Box = tuple[float, float, float, float]


class Crowd:
    """Boxes that may be added to.

    >>> crowd = Crowd([(0, 0, 10, 2)])
    >>> crowd.covers(5, 1), crowd.covers(5, 3), crowd.covers(5, 3, 1.5)
    (True, False, True)
    """

    def __init__(self, boxes: Iterable[Box] = ()) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = defaultdict(list)
        for box in boxes:
            self.add(box)

    def add(self, box: Box) -> None:
        x0, y0, x1, y1 = (math.floor(v / _CELL) for v in box)
        for cell in product(range(x0, x1 + 1), range(y0, y1 + 1)):
            self._cells[cell].append(box)

    def covers(self, x: float, y: float, air: float = 0.0) -> bool:
        """Whether the point lies within a box, or nearer to one than `air` (at most the 8 mm of a cell)."""
        low, high = (math.floor((v - air) / _CELL) for v in (x, y)), (math.floor((v + air) / _CELL) for v in (x, y))
        across, up = (range(a, b + 1) for a, b in zip(low, high, strict=True))
        return any(
            x0 - air < x < x1 + air and y0 - air < y < y1 + air
            for cell in product(across, up)
            for x0, y0, x1, y1 in self._cells.get(cell, ())
        )
