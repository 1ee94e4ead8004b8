"""The views of a part's drawing as SVG, cut out of its sheet: what the page shows beside the piece's row.

Frame, notes and title block stay on the sheet (`drawings/<part>.pdf`): they would be too small to read on a screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape

from assemblies.packet.ink.primitives import CAPITAL_PER_EM, Polyline, moved
from assemblies.packet.ink.sheet_items import FRAME, Box, Dimension, Mark, Sheet, TurnedText, boxes_meet, mark_box
from assemblies.packet.ink.svg import INK, number, svg

__all__ = ["views_svg"]

_AIR: Final = 3.0  # round the views, mm; less than what a sheet keeps between them and its title block


def views_svg(sheet: Sheet, title: str) -> str:
    """The views with their dimensions and callouts, in mm of the sheet; an empty text if the sheet has no view."""
    if not sheet.views:
        return ""
    marks = _of_views(sheet)
    low_x, low_y, high_x, high_y = _hull(marks)
    dx, dy = _AIR - low_x, _AIR - low_y
    width, height = high_x - low_x + 2.0 * _AIR, high_y - low_y + 2.0 * _AIR
    plain = [moved(m, 1.0, dx, dy) for m in marks if not isinstance(m, TurnedText)]
    more = [_turned(m, dx, height - m.y - dy) for m in marks if isinstance(m, TurnedText)]
    heads = [m for m in plain if isinstance(m, Polyline) and m.closed and m.layer == "dimension"]
    more += [_arrowhead(m, height) for m in heads]
    text = svg([m for m in plain if m not in heads], width, height, title)
    return text.replace("</svg>", "\n".join([*more, "</svg>"]))


def _of_views(sheet: Sheet) -> list[Mark]:
    """All that belongs to the views: their lines and dimensions, leaders, and the texts these reach."""
    names = {view.name for view in sheet.views} | {"datum"}
    sure: list[Mark] = []
    rest: list[Mark] = []
    for item in sheet.items:
        if isinstance(item, Dimension):
            sure += item.items
        elif getattr(item, "layer", "") == "leader" or item.of in names:
            sure.append(item)
        elif item.of != FRAME:
            rest.append(item)
    inside = _grown(_hull(sure))
    return sure + [m for m in rest if boxes_meet(mark_box(m), inside)]


def _hull(marks: Sequence[Mark]) -> Box:
    boxes = [mark_box(mark) for mark in marks]
    return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)


def _grown(box: Box) -> Box:
    return box[0] - _AIR, box[1] - _AIR, box[2] + _AIR, box[3] + _AIR


def _turned(mark: TurnedText, dx: float, y: float) -> str:
    x, size = number(mark.x + dx), number(mark.height / CAPITAL_PER_EM)
    place = f'transform="translate({x} {number(y)}) rotate(-90)" font-size="{size}" text-anchor="middle"'
    return f'<text {place} fill="{INK}">{escape(mark.text)}</text>'


def _arrowhead(mark: Polyline, height: float) -> str:
    points = " ".join(f"{number(x)},{number(height - y)}" for x, y in mark.points)
    return f'<polygon points="{points}" fill="{INK}"/>'
