"""The drilling template: a part at true size on paper, to lay on the masking film and prick the centres through.

Each hole has its circle, a cross that runs past it, its number and its drill. Two bars of 100 mm, one along and one up
the page, and one of 4 in tell whether the printer has kept the size. A part larger than the page is spread over tiles
that overlap; the register marks of neighbours are laid on each other. Where that
would take more pages than a person sticks together, each face is one page of its own size, for a plotter, and the packet says
so (`plotted_finding`). Each face that is drilled has its own template, seen as it is drilled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.paper import PAPERS, Paper
from assemblies.packet.ink.pdf import pdf
from assemblies.packet.ink.primitives import Circle, Ellipse, Line, Primitive, Text, moved, text_width_mm
from assemblies.packet.ink.readback import check_name, expect, write_checked
from assemblies.packet.ink.sheet_items import Page
from assemblies.packet.ink.svg import svg
from assemblies.shop.drill.sheet import DrillRow, DrillSheet, real_bore_mm
from parts.findings import Finding, SeamwrightError
from parts.shape.piece import Side

__all__ = [
    "Traced",
    "datum",
    "plotted_finding",
    "spans",
    "template_pages",
    "template_svg",
    "write_template",
    "write_traced",
]


_MARGIN, _HEAD, _FOOT, _SIDE = 10.0, 24.0, 22.0, 14.0  # mm of paper round the window
_PAD, _OVERLAP = 4.0, 10.0
_MOST_PAGES = 40  # judgement: more tiles do not keep the size when they are stuck together
_SHARP = 1e-9
_SIDE_WORDS = {"far": "far face up", "near": "near face up: the piece turned over, left for right"}


@dataclass(frozen=True, kw_only=True)
class Traced:
    """What a template shows of one face: head line, size, lines from the lower left corner, what else the head says."""

    head: str
    size_mm: tuple[float, float]
    items: tuple[Primitive, ...]
    legend: tuple[str, ...] = ()


def _traced(sheet: DrillSheet, side: Side, room_mm: float) -> Traced:
    """A drilled face of a part; its legend is as wide as the page has room."""
    return Traced(
        head=f"{sheet.piece.name}, {_SIDE_WORDS[side]}",
        size_mm=sheet.piece.outline.size_mm,
        items=tuple(_drawing(sheet, side)),
        legend=tuple(_legend(sheet, side, room_mm)),
    )


def write_template(sheet: DrillSheet, path: Path, paper: Paper = "a4", whose: str = "") -> None:
    """Write the template of a part as PDF; the same sheet gives the same bytes.

    Args:
        whose: order and revision, for the head of each page.

    Raises:
        SeamwrightError: the part's name cannot stand in a file, or there is no such paper.
        WrongFile: the file does not have its pages.
    """
    title = f"Drilling template: {sheet.piece.name}"
    _write(title, sheet.piece.name, template_pages(sheet, paper, whose), path)


def write_traced(title: str, name: str, face: Traced, path: Path, paper: Paper = "a4", whose: str = "") -> None:
    """Write the template of one face that is no part's, as `write_template`.

    Args:
        title, name: of the file, of what it shows.
    """
    _write(title, name, _pages([face], paper, whose), path)


def _write(title: str, name: str, pages: Sequence[Page], path: Path) -> None:
    check_name(name)
    data = pdf(pages, title, packed=False)

    def check(written: Path) -> None:
        found = written.read_bytes()
        whole = found.startswith(b"%PDF") and found.rstrip().endswith(b"%%EOF")
        expect(written, whole and found.count(b"/Type /Page\n") == len(pages), "is not a whole PDF of its pages")

    write_checked(path, data, check)


def template_svg(sheet: DrillSheet, side: Side) -> str:
    """One face of the template as one drawing in mm, whatever its size: for a plotter or for the screen.

    Raises:
        SeamwrightError: nothing is drilled from that face.
    """
    if side not in sheet.sides:
        raise SeamwrightError(f"{sheet.piece.name}: nothing is drilled from the {side} face")
    frame = _whole(sheet.piece.outline.size_mm)
    x0, y0, _, _ = frame.window
    face = _traced(sheet, side, frame.width - 2 * _MARGIN)
    drawing = [moved(item, 1.0, x0 + _PAD, y0 + _PAD) for item in face.items]
    return svg(
        [*_furniture(frame, face, "", ""), *drawing], frame.width, frame.height, f"{sheet.piece.name}, {side} face"
    )


@dataclass(frozen=True, kw_only=True)
class _Frame:
    """A page and the window in which the part is seen."""

    width: float
    height: float

    @property
    def window(self) -> tuple[float, float, float, float]:
        return _MARGIN, _FOOT, self.width - _MARGIN - _SIDE, self.height - _HEAD


def _whole(size_mm: tuple[float, float]) -> _Frame:
    """A page as large as the part needs."""
    width, height = size_mm
    return _Frame(
        width=max(width + 2 * _PAD, 130.0) + _MARGIN + _MARGIN + _SIDE,
        height=max(height + 2 * _PAD, 110.0) + _HEAD + _FOOT,
    )


def _spread(size_mm: tuple[float, float], faces: int, paper: Paper) -> tuple[_Frame, tuple[int, int]]:
    """The page, and how many of it across and up: of that paper, or one as large as the part where it would be too many."""
    if paper not in PAPERS:
        raise SeamwrightError(f"no paper {paper!r}; there are {', '.join(PAPERS)}")
    frame = _Frame(width=PAPERS[paper][0], height=PAPERS[paper][1])
    x0, y0, x1, y1 = frame.window
    across, up = (_tiles(length + 2 * _PAD, room) for length, room in zip(size_mm, (x1 - x0, y1 - y0), strict=True))
    return (frame, (across, up)) if across * up * faces <= _MOST_PAGES else (_whole(size_mm), (1, 1))


def plotted_finding(sheets: Sequence[DrillSheet], paper: Paper) -> Finding | None:
    """A note naming the parts whose template is too large for pages of that paper; None where none is."""
    large = [
        f"{sheet.piece.name} ({frame.width:.0f} x {frame.height:.0f} mm)"
        for sheet in sheets
        for frame, _ in [_spread(sheet.piece.outline.size_mm, len(sheet.sides), paper)]
        if frame.width != PAPERS[paper][0]
    ]
    if not large:
        return None
    return Finding(
        level="note",
        check="print",
        where="templates",
        source="judgement",
        why=f"on {paper.upper() if paper == 'a4' else paper} they would take more than {_MOST_PAGES} pages each, "
        f"so each face is one large page: {', '.join(large)}",
        do="plot them at true size, or mark out from the coordinates of the drill sheet",
    )


def template_pages(sheet: DrillSheet, paper: Paper = "a4", whose: str = "") -> tuple[Page, ...]:
    """The pages: for each drilled face its tiles, left to right, bottom to top.

    Raises:
        SeamwrightError: there is no such paper.
    """
    frame, _ = _spread(sheet.piece.outline.size_mm, len(sheet.sides), paper)
    return _pages([_traced(sheet, side, frame.width - 2 * _MARGIN) for side in sheet.sides], paper, whose)


def _pages(faces: Sequence[Traced], paper: Paper, whose: str) -> tuple[Page, ...]:
    """The tiles of faces that are all of one size."""
    if not faces:
        return ()
    frame, (across, up) = _spread(faces[0].size_mm, len(faces), paper)
    return tuple(
        _page(frame, face, (i, j), (across, up), whose) for face in faces for j in range(up) for i in range(across)
    )


def _tiles(length: float, room: float) -> int:
    return 1 if length <= room + _SHARP else math.ceil((length - _OVERLAP) / (room - _OVERLAP) - _SHARP)


def _page(frame: _Frame, face: Traced, at: tuple[int, int], of: tuple[int, int], whose: str) -> Page:
    x0, y0, x1, y1 = frame.window
    step = x1 - x0 - _OVERLAP, y1 - y0 - _OVERLAP
    dx, dy = x0 + _PAD - at[0] * step[0], y0 + _PAD - at[1] * step[1]
    tile = "" if of == (1, 1) else f"tile {at[0] + 1} of {of[0]} across, {at[1] + 1} of {of[1]} up"
    shown: list[Primitive] = [moved(item, 1.0, dx, dy) for item in face.items]
    if tile:
        shown += [moved(item, 1.0, dx, dy) for item in _register(step, of)]
    return Page(
        width_mm=frame.width,
        height_mm=frame.height,
        items=tuple(_furniture(frame, face, tile, whose)),
        shown=tuple(shown),
        window=frame.window,
    )


def _register(step: tuple[float, float], of: tuple[int, int]) -> Iterator[Primitive]:
    """Marks in the middle of every overlap, in the part's own mm: seen on all the tiles that meet there."""
    for i in range(of[0] + 1):
        for j in range(of[1] + 1):
            if not (0 < i < of[0] or 0 < j < of[1]):
                continue
            x, y = (k * s - _PAD + _OVERLAP / 2.0 for k, s in zip((i, j), step, strict=True))
            yield Circle(x=x, y=y, radius=1.5, layer="dimension")
            yield Line(x0=x - 3.0, y0=y, x1=x + 3.0, y1=y, layer="dimension")
            yield Line(x0=x, y0=y - 3.0, x1=x, y1=y + 3.0, layer="dimension")


# ---- the part, lower left corner of its box at (0, 0)


def _drawing(sheet: DrillSheet, side: Side) -> list[Primitive]:
    loops = (sheet.piece.outline.outer, *sheet.piece.outline.inner)
    out = [item for loop in loops for item in loop_lines(loop)]
    out += list(datum())
    rows = [row for row in sheet.rows if row.side == side]
    width = sheet.piece.outline.size_mm[0]
    if side == "near":
        out = [_mirrored(item, width) for item in out]
        rows = [replace(row, x_mm=width - row.x_mm) for row in rows]
    return [*out, *(item for row in rows for item in _hole(row, rows, width))]


def _hole(row: DrillRow, rows: list[DrillRow], width: float) -> Iterator[Primitive]:
    x, y, radius = row.x_mm, row.y_mm, real_bore_mm(row) / 2.0
    reach = radius + 3.0
    yield Circle(x=x, y=y, radius=radius)
    yield Line(x0=x - reach, y0=y, x1=x + reach, y1=y, layer="dimension")
    yield Line(x0=x, y0=y - reach, x1=x, y1=y + reach, layer="dimension")
    text = f"{row.number}: {_drill_name(row)}"
    place = x + 0.75 * radius + 1.0, y + 0.75 * radius + 1.0
    wide = text_width_mm(text, 2.0)
    crowded = any(
        other is not row and 0.0 < other.x_mm - x < wide + reach and abs(other.y_mm - y) < reach + 3.0 for other in rows
    )
    short = crowded or place[0] + wide > width  # over the part's edge: the head says what the number is drilled with
    yield Text(x=place[0], y=place[1], text=str(row.number) if short else text, height=2.0)


def _drill_name(row: DrillRow) -> str:
    return row.drill.label if row.drill else f"{row.hole.bore_mm:g} mm cutter"


def datum() -> Iterator[Primitive]:
    """The datum: an arrow along each edge from the corner."""
    for x, y in ((1.0, 0.0), (0.0, 1.0)):
        for a, b in (((0.0, 0.0), (9.0, 0.0)), ((9.0, 0.0), (7.0, 0.8)), ((9.0, 0.0), (7.0, -0.8))):
            ends = [(u * x - v * y - 1.5, u * y + v * x - 1.5) for u, v in (a, b)]
            yield Line(x0=ends[0][0], y0=ends[0][1], x1=ends[1][0], y1=ends[1][1])
    yield Text(x=-3.2, y=-3.4, text="0", height=2.0, bold=True)


def _mirrored(item: Primitive, width: float) -> Primitive:
    """As seen from the other face: left for right, writing still to be read."""
    if isinstance(item, Line):
        return replace(item, x0=width - item.x0, x1=width - item.x1)
    if isinstance(item, Ellipse):
        return replace(item, x=width - item.x, start_rad=math.pi - item.start_rad, sweep_rad=-item.sweep_rad)
    if isinstance(item, Text):
        return replace(item, x=width - item.x, anchor="end")
    assert isinstance(item, Circle)
    return replace(item, x=width - item.x)


# ---- what stands round it


def _furniture(frame: _Frame, face: Traced, tile: str, whose: str) -> Iterator[Primitive]:
    top = frame.height - _MARGIN
    name = face.head + (f", {tile}" if tile else "")
    yield Text(x=_MARGIN, y=top - 2.5, text=name, height=3.0, bold=True)
    if whose:
        yield Text(x=frame.width - _MARGIN, y=top - 6.5, text=whose, height=1.8, anchor="end")
    yield Text(
        x=_MARGIN,
        y=top - 6.5,
        height=1.8,
        text="True size: print at 100 %, not fitted to the page; measure the three bars before use.",
    )
    for number, line in enumerate(face.legend):
        yield Text(x=_MARGIN, y=top - 9.5 - 2.8 * number, text=line, height=1.8)
    yield from _bar(_MARGIN, 11.0, 100.0, 10, 1.0, "100 mm", up=False)
    yield from _bar(_MARGIN, 16.5, 4 * 25.4, 8, 1.0, "4 in", up=False)
    yield from _bar(frame.width - _MARGIN - 4.0, _FOOT + 4.0, 100.0, 10, 1.0, "100 mm", up=True)


def _legend(sheet: DrillSheet, side: Side, room_mm: float) -> list[str]:
    """One line for each drill, at most two and the rest counted: the drill sheet has them all."""
    by_drill: dict[str, list[int]] = {}
    for row in sheet.rows:
        if row.side == side:
            by_drill.setdefault(_drill_name(row) + (f", tap {row.tap.thread}" if row.tap else ""), []).append(
                row.number
            )
    lines = [f"{name}: holes {spans(numbers)}" for name, numbers in by_drill.items()]
    if len(lines) > 2:
        lines = [lines[0], f"and {len(lines) - 1} other drills: see the drill sheet"]
    return [
        line if text_width_mm(line, 1.8) <= room_mm else f"{line.split(':')[0]}: see the drill sheet" for line in lines
    ]


def spans(numbers: list[int]) -> str:
    """Numbers of holes, those that follow one another as from and to.

    >>> spans([1, 2, 3, 7])
    '1-3, 7'
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and runs[-1][1] == n - 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    return ", ".join(f"{a}" if a == b else f"{a}-{b}" for a, b in runs)


def _bar(x: float, y: float, length: float, parts: int, tick: float, name: str, *, up: bool) -> Iterator[Primitive]:
    def at(along: float, off: float) -> tuple[float, float]:
        return (x - off, y + along) if up else (x + along, y + off)

    def line(a: tuple[float, float], b: tuple[float, float]) -> Line:
        return Line(x0=a[0], y0=a[1], x1=b[0], y1=b[1], layer="dimension")

    yield line(at(0.0, 0.0), at(length, 0.0))
    for k in range(parts + 1):
        yield line(at(length * k / parts, 0.0), at(length * k / parts, 2.0 * tick if k in (0, parts) else tick))
    if up:
        yield Text(x=x, y=y + length + 1.5, text=name, height=1.8, anchor="middle")
    else:
        yield Text(x=x + length + 2.0, y=y, text=name, height=1.8)
