"""The views of a part's drawing as SVG, cut out of its sheet: what the page shows beside the piece's row.

Frame, notes and title block stay on the sheet (`drawings/<part>.pdf`): they would be too small to read on a screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from assemblies.packet.ink.primitives import moved
from assemblies.packet.ink.sheet_items import Box, Dimension, Mark, Sheet, boxes_meet, mark_box
from assemblies.packet.ink.svg import svg

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
    return svg([moved(mark, 1.0, dx, dy) for mark in marks], width, height, title)


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
        elif item.of != "frame":
            rest.append(item)
    inside = _grown(_hull(sure))
    return sure + [m for m in rest if boxes_meet(mark_box(m), inside)]


def _hull(marks: Sequence[Mark]) -> Box:
    boxes = [mark_box(mark) for mark in marks]
    return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)


def _grown(box: Box) -> Box:
    return box[0] - _AIR, box[1] - _AIR, box[2] + _AIR, box[3] + _AIR
