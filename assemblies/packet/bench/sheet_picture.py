"""What the pictures of a sheet share, sawn or nested: the page, the way from sheet to paper, names and sizes inside a box."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.packet.drawings.title_block import wrapped
from assemblies.packet.dxf.dxf_file import Box
from assemblies.packet.ink.primitives import Layer, Polyline, Text, text_width_mm
from parts.lengths import LengthUnit, write_length
from parts.shape.outline import Circle, Loop, Vertex

__all__ = [
    "FOOT_TEXT",
    "LEFT",
    "NOTE",
    "PAGE",
    "View",
    "foot",
    "head",
    "named",
    "nameless_lines",
    "outlined",
    "page_size",
    "size_words",
    "view_of",
]

PAGE: Final = (182.0, 150.0)  # as wide as the packet is printed, so that a letter there is as large as here
LEFT: Final = 3.0
HEAD, FOOT = 14.0, 10.0
_SMALL, _LEAST = 2.4, 1.8  # heights of capitals: usual; the least, 7 points of the face
_LARGEST: Final = 0.5  # the scale at most: a blank no larger than a hand needs no page
_ROW: Final = 1.7  # of the height of a line
FOOT_TEXT: Final = 2.06  # height of capitals below the sheet: 8 points
NOTE: Final = 4.0  # from line to line below the sheet


@dataclass(frozen=True, kw_only=True)
class View:
    """From the sheet to the paper; a lying sheet is turned clockwise by a quarter. A detail has its `frame` on the page."""

    scale: float
    lying: bool
    wide: float
    short: float
    y: float
    x: float = LEFT
    frame: Box | None = None

    @property
    def paper(self) -> Box:
        """What it covers of the page."""
        return self.frame or (self.x, self.y, self.x + self.wide * self.scale, self.y + self.short * self.scale)

    @property
    def corner_words(self) -> str:
        """Where the sheet's lower-left corner is on the page."""
        return "upper left; drawn lying, turned clockwise" if self.lying else "lower left"

    def point(self, x: float, y: float) -> tuple[float, float]:
        u, v = (y, self.short - x) if self.lying else (x, y)
        return self.x + u * self.scale, self.y + v * self.scale

    def seen(self, size: Sequence[float]) -> Sequence[float]:
        """A size as it is seen on the page: across, then up."""
        return size[::-1] if self.lying else size

    def box(self, box: Box) -> Box:
        (x0, y0), (x1, y1) = self.point(box[0], box[1]), self.point(box[2], box[3])
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def loop(self, loop: Loop | Circle) -> Loop | Circle:
        """A loop as it is seen on the page; arcs bulge to the same side."""
        if isinstance(loop, Circle):
            return Circle(*self.point(loop.x_mm, loop.y_mm), loop.radius_mm * self.scale)
        return Loop(tuple(Vertex(*self.point(v.x_mm, v.y_mm), v.bulge) for v in loop.vertices))


def view_of(size: Sequence[float], notes: int = 0, under_mm: float = 0.0) -> View:
    """As large as the sheet fits the page; one that is higher than wide lies, its lower-left corner at the upper left.

    Args:
        size: width and height of the sheet, mm.
        notes: lines below the usual two.
        under_mm: room for details below those.
    """
    width, height = size
    long, short = max(width, height), min(width, height)
    scale = min(PAGE[0] / long, (PAGE[1] - HEAD - FOOT) / short, _LARGEST)
    return View(scale=scale, lying=height > width, wide=long, short=short, y=LEFT + FOOT + NOTE * notes + under_mm)


def page_size(view: View) -> tuple[float, float]:
    """The page that a view stands on."""
    return PAGE[0] + 2.0 * LEFT, view.y + view.short * view.scale + HEAD + LEFT


def size_words(size: Sequence[float], unit: LengthUnit) -> str:
    """Both sides; without the unit in mm, which the drawing says once."""
    return " x ".join(write_length(v, unit).removesuffix(" mm" if unit == "mm" else "") for v in size)


def head(page: float, title: str, about: str) -> Iterator[Text]:
    """Which sheet of what it is."""
    yield Text(x=LEFT, y=page - 5.0, text=title, height=3.2, bold=True)
    yield Text(x=LEFT, y=page - 10.5, text=about, height=2.2)


def foot(view: View, lines: Sequence[str]) -> Iterator[Text]:
    """What the lines mean, downwards from just below the sheet."""
    for number, line in enumerate(lines):
        yield Text(x=LEFT, y=view.y - 7.0 - NOTE * number, text=line, height=FOOT_TEXT)


def nameless_lines(names: Sequence[str]) -> list[str]:
    """What says which pieces are too small for their names; nothing where none is."""
    return (
        wrapped(f"Too small here for a name, from the left: {', '.join(names)}.", PAGE[0], FOOT_TEXT) if names else []
    )


def named(box: Box, lines: Sequence[str], *, bold: bool = False) -> list[Text]:
    """Lines in the middle of a box, each as large as it fits there and none under 7 points: long ones after the first are
    broken, the last ones go where there is no room for all.

    A box too small for the first has none.
    """
    x0, y0, x1, y1 = box
    shown = [part for k, line in enumerate(lines) for part in ([line] if k == 0 else _broken(line, x1 - x0))]
    while shown:
        room = (y1 - y0) / (_ROW * len(shown) + 0.6)
        sizes = [min(_SMALL, room, _fits(line, x1 - x0, bold and k == 0)) for k, line in enumerate(shown)]
        if min(sizes) >= _LEAST:
            break
        shown.pop()
    if not shown:
        return []
    y = (y0 + y1) / 2.0 + _ROW / 2.0 * sum(sizes)
    out = []
    for k, (line, size) in enumerate(zip(shown, sizes, strict=True)):
        y -= _ROW * size
        place = y + 0.4 * size
        out.append(Text(x=(x0 + x1) / 2.0, y=place, text=line, height=size, anchor="middle", bold=bold and k == 0))
    return out


def _broken(line: str, wide: float) -> list[str]:
    """A line in as many as it takes to be read; whole where no break helps."""
    parts = wrapped(line, 0.9 * wide, _LEAST) if _fits(line, wide, False) < _LEAST else [line]
    return parts if " ".join(parts) == line else [line]


def outlined(box: Box, layer: Layer, of: str = "") -> Polyline:
    """The edge of a box."""
    x0, y0, x1, y1 = box
    return Polyline(points=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), closed=True, layer=layer, of=of)


def _fits(line: str, wide: float, bold: bool) -> float:
    """The height at which a line is as wide as that, less a little air."""
    return 0.92 * wide / text_width_mm(line, 1.0, bold)
