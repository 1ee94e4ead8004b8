"""Enlarged details below the picture of a sheet: pieces that are too small there for their names, as large as the page allows.

A *detail* shows pieces that lie in one row of the sheet, each whole; the next begins with the first that does not fit any more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.packet.bench.sheet_picture import (
    FOOT_TEXT,
    LEFT,
    NOTE,
    PAGE,
    View,
    named,
    nameless_lines,
    outlined,
    view_of,
)
from assemblies.packet.drawings.title_block import wrapped
from assemblies.packet.dxf.dxf_file import Box
from assemblies.packet.ink.primitives import Primitive, Text, text_box

__all__ = ["Detail", "Laid", "laid", "marks"]

_AROUND: Final = 35.0  # head, foot and margins of the page
_HIGHEST: Final = 244.0  # mm of the whole page: of more the print would make its letters smaller
_SCALES: Final = (0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0)
_WORTH: Final = 1.3  # times larger than on the sheet, or it shows no more (judgement)
_CAPTION: Final = 5.0  # above each detail
_AIR: Final = 4.0  # below each
_GAP: Final = 5.0  # above the first


@dataclass(frozen=True, kw_only=True)
class Detail:
    """A part of the sheet drawn larger: its letter, the window of the sheet (mm), the pieces in it, where it is drawn."""

    letter: str
    window: Box
    names: tuple[str, ...]
    view: View
    turned: bool

    @property
    def caption(self) -> Text:
        """What it is, above it."""
        way = "" if not self.turned else ", turned to the right" if self.view.lying else ", turned to the left"
        top = self.view.paper[3] + 1.6
        return Text(
            x=LEFT,
            y=top,
            text=f"Detail {self.letter}, 1 : {1.0 / self.view.scale:.3g}{way}",
            height=FOOT_TEXT,
            bold=True,
        )


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A sheet's view, its details, and the lines below the sheet."""

    view: View
    details: tuple[Detail, ...]
    said: list[str]


def laid(
    size: Sequence[float], lines: Callable[[View], Sequence[str]], boxes: Mapping[str, Box], offcuts: Mapping[str, Box]
) -> Laid:
    """The view of a sheet with room for what is said below it and for its details.

    Args:
        size: of the sheet, mm.
        lines: what the drawing means, by its view.
        boxes, offcuts: by name, on the sheet.
    """
    first = view_of(size)
    small = nameless(first, boxes)
    said = [part for line in lines(first) for part in wrapped(line, PAGE[0], FOOT_TEXT)]
    room = _HIGHEST - _AROUND - first.short * first.scale - NOTE * (len(said) + 1)
    rows = _rows(first, {name: boxes[name] for name in small}, room)
    high = sum(row.high + _CAPTION + _AIR for row in rows)
    y, details = LEFT + high, []
    for k, row in enumerate(rows):
        y -= _CAPTION + row.high
        details.append(_detail(chr(ord("A") + k), row, boxes, first, y))
        y -= _AIR
    shown = {
        name for detail in details for name in detail.names if named(detail.view.box(boxes[name]), [name], bold=True)
    }
    left = [name for name in nameless(first, {**boxes, **offcuts}) if name not in shown]
    if details:
        letters = ", ".join(detail.letter for detail in details)
        said += [f"Small pieces: see {'detail' if len(details) == 1 else 'details'} {letters} below."]
    said += nameless_lines(left)
    under = high + _GAP if details else 0.0
    return Laid(view=view_of(size, max(0, len(said) - 2), under), details=tuple(details), said=said)


def nameless(view: View, boxes: Mapping[str, Box]) -> list[str]:
    """The boxes that are too small for their names, from left to right and from top to bottom of the page."""
    shown = {name: view.box(box) for name, box in boxes.items()}
    small = [(box[0], -box[3], name) for name, box in shown.items() if not named(box, [name], bold=True)]
    return [name for *_, name in sorted(small)]


@dataclass(frozen=True, kw_only=True)
class _Row:
    """The window of a detail, and how it is drawn."""

    window: Box
    scale: float
    lying: bool

    @property
    def high(self) -> float:
        x0, y0, x1, y1 = self.window
        return self.scale * ((x1 - x0) if self.lying else (y1 - y0))


def _rows(view: View, small: Mapping[str, Box], room: float) -> list[_Row]:
    """The smallest scale at which all names can be read, or else the largest for which there is room; none where that is
    hardly larger than the sheet itself."""
    best: list[_Row] = []
    if not small:
        return best
    x0, y0, x1, y1 = _around(small.values())
    lying = y1 - y0 > x1 - x0
    for scale in _SCALES:
        if scale < _WORTH * view.scale:
            continue
        rows = [
            _Row(window=window, scale=scale, lying=lying) for window in _windows(list(small.values()), scale, lying)
        ]
        if not rows or sum(row.high + _CAPTION + _AIR for row in rows) > room or len(rows) > 26:
            break
        best = rows
        if all(_readable(name, box, scale, lying) for name, box in small.items()):
            break
    return best


def _readable(name: str, box: Box, scale: float, lying: bool) -> bool:
    wide, high = (box[2] - box[0]) * scale, (box[3] - box[1]) * scale
    return bool(named((0.0, 0.0, *((high, wide) if lying else (wide, high))), [name], bold=True))


def _windows(boxes: Sequence[Box], scale: float, lying: bool) -> list[Box]:
    """Windows no longer than the page at this scale, each around whole pieces; none where one piece alone is longer."""
    along = 1 if lying else 0
    out: list[list[Box]] = []
    for box in sorted(boxes, key=lambda b: (b[along], b)):
        if (box[along + 2] - box[along]) * scale > PAGE[0]:
            return []
        if out and (max(b[along + 2] for b in [*out[-1], box]) - out[-1][0][along]) * scale <= PAGE[0]:
            out[-1].append(box)
        else:
            out.append([box])
    return [_around(group) for group in out]


def _around(boxes: Iterable[Box]) -> Box:
    every = list(boxes)
    return min(b[0] for b in every), min(b[1] for b in every), max(b[2] for b in every), max(b[3] for b in every)


def _detail(letter: str, row: _Row, boxes: Mapping[str, Box], view: View, y: float) -> Detail:
    x0, y0, x1, y1 = row.window
    long = (y1 - y0) if row.lying else (x1 - x0)
    own = View(
        scale=row.scale,
        lying=row.lying,
        wide=long,
        short=x1 if row.lying else y1 - y0,
        x=LEFT - (y0 if row.lying else x0) * row.scale,
        y=y if row.lying else y - y0 * row.scale,
        frame=(LEFT, y, LEFT + long * row.scale, y + row.high),
    )
    inside = tuple(name for name, b in boxes.items() if x0 <= b[0] and y0 <= b[1] and b[2] <= x1 and b[3] <= y1)
    return Detail(letter=letter, window=row.window, names=inside, view=own, turned=row.lying != view.lying)


def marks(view: View, details: Sequence[Detail], taken: Sequence[Box]) -> Iterator[Primitive]:
    """On the sheet: the window of each detail with its letter, where that hides no other text."""
    texts = list(taken)
    for detail in details:
        x0, y0, x1, y1 = view.box(detail.window)
        yield outlined((x0 - 0.6, y0 - 0.6, x1 + 0.6, y1 + 0.6), "dimension")
        places = (
            (x1 + 2.6, (y0 + y1) / 2 - 1.2),
            (x0 - 2.6, (y0 + y1) / 2 - 1.2),
            (x1 + 2.6, y1 - 2.4),
            (x1 + 2.6, y0),
        )
        letters = [Text(x=x, y=y, text=detail.letter, height=2.4, anchor="middle", bold=True) for x, y in places]
        free = next((t for t in letters if not any(_meet(text_box(t), other) for other in texts)), None)
        if free is not None:
            texts.append(text_box(free))
            yield free


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
