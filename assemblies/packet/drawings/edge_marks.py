"""What is done to each edge once it is sawn, written inside the view along that edge, where no line or text is in the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from assemblies.packet.ink.primitives import Text, text_width_mm
from assemblies.packet.ink.sheet_items import Box, Mark, boxes_meet, line_meets, mark_box, segments
from assemblies.shop.plan.edges import Edge

__all__ = ["edge_marks"]

_HEIGHT: Final = 2.0
_IN: Final = 0.9  # from the edge to the text
_AIR: Final = 0.3
#: Where along the edge, the middle first.
_ALONG: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
_LEFT: Final = "as cut"  # of an edge that is left


def edge_marks(edges: Sequence[Edge], marks: Iterable[Mark], room: Box) -> Iterator[Text]:
    """One text for each edge that has room for it; what there is no room for stands in the notes alone.

    Args:
        edges: what is done.
        marks: everything else on the sheet.
        room: the view, paper mm.
    """
    there = list(marks)
    lines = [s for mark in there for s in segments(mark)]
    boxes = [mark_box(mark) for mark in there if isinstance(mark, Text)]
    for edge in edges:
        for text in _spots(edge, room):
            box = mark_box(text)
            wide = box[0] - _AIR, box[1] - _AIR, box[2] + _AIR, box[3] + _AIR
            inside = room[0] < wide[0] and room[1] < wide[1] and wide[2] < room[2] and wide[3] < room[3]
            if inside and not any(line_meets(s, wide) for s in lines) and not any(boxes_meet(wide, b) for b in boxes):
                boxes.append(box)
                yield text
                break


def _spots(edge: Edge, room: Box) -> Iterator[Text]:
    """Places along one edge, just inside it."""
    said = _LEFT if edge.work == "leave" else edge.work
    x0, y0, x1, y1 = room
    under, over = 0.3 * _HEIGHT, 1.05 * _HEIGHT
    upright = edge.side in ("left", "right")
    long = y1 - y0 if upright else x1 - x0
    for share in _ALONG if text_width_mm(said, _HEIGHT) < long else ():
        if upright:
            x = x0 + _IN + over if edge.side == "left" else x1 - _IN - under
            yield Text(x=x, y=y0 + share * long, text=said, height=_HEIGHT, anchor="middle", turned=True)
        else:
            y = y0 + _IN + under if edge.side == "bottom" else y1 - _IN - over
            yield Text(x=x0 + share * long, y=y, text=said, height=_HEIGHT, anchor="middle")
