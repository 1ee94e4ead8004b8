"""The order in which the holes of a piece are drilled: by face, then by drill, then row by row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from parts.shape.piece import Hole, Side
from parts.stock.drill import Drill

__all__ = ["in_drilling_order"]

_SAME_ROW_MM = 0.5


def in_drilling_order(
    holes: Sequence[Hole], drill: Callable[[Hole], Drill | None], *, slide: bool
) -> list[tuple[Side, Hole]]:
    """Each hole with the face that is up, in order.

    The far face first; on each face all holes of one drill before the next (thinnest first), so that a drill is
    changed once; holes of one drill in rows, nearest row first. Without a vise the rows run to and fro (the shortest
    way); with one each runs outward, so that only the way back to a new row has to take up backlash.
    """
    up = _through_side(holes)
    turned = [(hole.side if _side_bound(hole) else up, hole) for hole in holes]
    out: list[tuple[Side, Hole]] = []
    for side in ("far", "near"):
        on_side = [hole for s, hole in turned if s == side]
        sizes = sorted({_size(drill(h), h) for h in on_side})
        for size in sizes:
            same = [h for h in on_side if _size(drill(h), h) == size]
            out += [(side, h) for h in _rows(same, slide=slide)]
    return out


def _size(drill: Drill | None, hole: Hole) -> float:
    return hole.bore_mm if drill is None else drill.diameter_mm


def _side_bound(hole: Hole) -> bool:
    return hole.depth_mm is not None or hole.kind == "countersunk"


def _through_side(holes: Sequence[Hole]) -> Side:
    """Holes that go through are drilled from the face that is up anyway, so that fewer pieces are turned over."""
    bound = [h.side for h in holes if _side_bound(h)]
    count = Counter(bound or [h.side for h in holes])
    return "near" if count["near"] > count["far"] else "far"


def _rows(holes: Sequence[Hole], *, slide: bool) -> list[Hole]:
    rows: list[list[Hole]] = []
    for hole in sorted(holes, key=lambda h: (h.y_mm, h.x_mm)):
        if rows and hole.y_mm - rows[-1][0].y_mm <= _SAME_ROW_MM:
            rows[-1].append(hole)
        else:
            rows.append([hole])
    out: list[Hole] = []
    for number, row in enumerate(rows):
        out += sorted(row, key=lambda h: h.x_mm, reverse=not slide and number % 2 == 1)
    return out
