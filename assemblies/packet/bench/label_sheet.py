"""labels.pdf: a label for each piece and each offcut, on a plain grid to cut along its lines.

The grid fills the paper inside a margin, two labels across and nine up, with no gaps: every line is cut once. The foot of a
piece's label is drawn wide, and 0 stands at the piece's datum corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from assemblies.order import Order
from assemblies.packet.drawings.title_block import fitted
from assemblies.packet.ink.paper import PAPERS, Paper
from assemblies.packet.ink.pdf import pdf
from assemblies.packet.ink.primitives import WIDTH_MM, Line, Primitive, Text
from assemblies.packet.ink.readback import expect, write_checked
from assemblies.packet.ink.sheet_items import Page
from assemblies.shop.plan.labels import OffcutLabel, PieceLabel, offcut_labels, piece_labels
from parts.lengths import LengthUnit

__all__ = ["label_pages", "paper_of", "write_labels"]

_MARGIN: Final = 10.0
_ACROSS, _UP = 2, 9
_PAD: Final = 4.0
Label = PieceLabel | OffcutLabel


def paper_of(order: Order) -> Paper:
    """The paper that an order prints on: what its shop says, else what goes with its units."""
    return order.shop.paper or ("letter" if order.units == "in" else "a4")


def write_labels(report: Mapping[str, Any], unit: LengthUnit, path: Path, paper: Paper) -> None:
    """Write the labels of an order, or of a plan for several, if there are any; the same report gives the same bytes.

    Raises:
        WrongFile: the file does not have its pages.
        OSError: it cannot be written.
    """
    labels: list[Label] = [*piece_labels(report, unit), *offcut_labels(report, unit)]
    if not labels:
        return
    whose = "; ".join(f"{one['name']}, revision {one['revision']}" for one in report.get("orders", [report]))
    pages = label_pages(labels, paper, whose)

    def check(written: Path) -> None:
        found = written.read_bytes()
        whole = found.startswith(b"%PDF") and found.rstrip().endswith(b"%%EOF")
        expect(written, whole and found.count(b"/Type /Page\n") == len(pages), "is not a whole PDF of its pages")

    write_checked(path, pdf(pages, f"Labels: {whose}", packed=False), check)


def label_pages(labels: Sequence[Label], paper: Paper, whose: str = "") -> tuple[Page, ...]:
    """The pages, filled row by row from the upper left."""
    width, height = PAPERS[paper]
    wide, high = (width - 2.0 * _MARGIN) / _ACROSS, (height - 2.0 * _MARGIN) / _UP
    each = _ACROSS * _UP
    count = -(-len(labels) // each)
    pages = []
    for page in range(count):
        mine = labels[page * each : (page + 1) * each]
        items: list[Primitive] = list(_margins(width, height, whose, page + 1, count))
        items += _grid(wide, high, height - _MARGIN, len(mine))
        for k, label in enumerate(mine):
            x, y = _MARGIN + (k % _ACROSS) * wide, height - _MARGIN - (k // _ACROSS + 1) * high
            items += (
                _piece(label, x, y, wide, high) if isinstance(label, PieceLabel) else _offcut(label, x, y, wide, high)
            )
        pages.append(Page(width_mm=width, height_mm=height, items=tuple(items)))
    return tuple(pages)


def _margins(width: float, height: float, whose: str, page: int, count: int) -> Iterator[Text]:
    """What the labels are of, above; how they are used, below."""
    yield _line(f"Labels: {whose}", _MARGIN, height - 7.0, width - 2.0 * _MARGIN - 30.0, 1.8)
    yield Text(x=width - _MARGIN, y=height - 7.0, text=f"page {page} of {count}", height=1.8, anchor="end")
    yield Text(
        x=_MARGIN,
        y=5.0,
        height=1.8,
        text="Cut along the dashed lines. Stick each on the film of the face it names, its foot along the piece's lower edge.",
    )


def _grid(wide: float, high: float, top: float, count: int) -> Iterator[Line]:
    """Every line to be cut, each once, round the labels that there are."""
    rows = -(-count // _ACROSS)
    last = count - _ACROSS * (rows - 1)  # labels in the last row
    for k in range(rows + 1):
        across = last if k == rows else min(count, _ACROSS)
        yield _cut(_MARGIN, top - k * high, _MARGIN + across * wide, top - k * high)
    for k in range(min(count, _ACROSS) + 1):
        low = top - (rows if k <= last else rows - 1) * high
        yield _cut(_MARGIN + k * wide, top, _MARGIN + k * wide, low)


def _cut(x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(x0=x0, y0=y0, x1=x1, y1=y1, layer="hidden")


def _piece(label: PieceLabel, x: float, y: float, wide: float, high: float) -> Iterator[Primitive]:
    room = wide - 2.0 * _PAD
    left, right, top = x + _PAD, x + wide - _PAD, y + high
    yield _line(label.name, left, top - 7.0, room - 22.0, 4.0, bold=True)
    yield Text(x=right, y=top - 7.0, text=label.count_words, height=3.0, anchor="end", bold=True)
    part = "" if label.part == label.name else f"part {label.part}, "
    yield _line(f"{part}{label.order}, revision {label.revision}", left, top - 11.3, room, 2.2)
    yield _line(label.size, left, top - 16.4, room, 3.0)
    yield _line(f"{label.thickness} thick", left, top - 20.8, room, 2.4)
    yield _line(
        f"{label.face_words}; ↓ lower edge" if label.outside else label.face_words,
        left + 5.0,
        y + 2.6,
        room - 10.0,
        2.2,
        bold=True,
    )
    if label.outside:
        yield from _foot(x, y, wide)
        corner = left if label.outside == "far" else right
        yield Text(
            x=corner, y=y + 2.6, text="0", height=2.2, bold=True, anchor="start" if label.outside == "far" else "end"
        )


def _foot(x: float, y: float, wide: float) -> Iterator[Primitive]:
    """The wide line along the lower edge: three wide lines side by side."""
    for k in range(3):
        level = y + 0.6 + k * WIDTH_MM["visible"]
        yield Line(x0=x + 0.6, y0=level, x1=x + wide - 0.6, y1=level)


def _offcut(label: OffcutLabel, x: float, y: float, wide: float, high: float) -> Iterator[Primitive]:
    room = wide - 2.0 * _PAD
    left, right, top = x + _PAD, x + wide - _PAD, y + high
    yield _line(label.label, left, top - 7.0, room - 22.0, 4.0, bold=True)
    yield Text(x=right, y=top - 7.0, text="offcut", height=3.0, anchor="end", bold=True)
    yield _line(f"back on the rack; {label.name} of the cutting plan", left, top - 11.3, room, 2.2)
    yield _line(label.size, left, top - 16.4, room, 3.0)
    yield _line(f"{label.thickness} thick, {label.material}", left, top - 20.8, room, 2.4)


def _line(text: str, x: float, y: float, room: float, height: float, *, bold: bool = False) -> Text:
    shown, size = fitted(text, room, height, bold)
    return Text(x=x, y=y, text=shown, height=size, bold=bold)
