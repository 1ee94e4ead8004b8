"""Drawing sheets to PDF at true size: vectors, real text in embedded faces, the same bytes every time.

Text is set in the faces of `faces.py`; a character that these do not have is printed as U+FFFD.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

from assemblies.packet.ink.faces import BOLD, PLAIN, faces, printable
from assemblies.packet.ink.primitives import CAPITAL_PER_EM, DASHES_MM, WIDTH_MM, Circle, Ellipse, Line, Polyline, Text
from assemblies.packet.ink.sheet_items import FRAME, FRAME_WIDTH_MM, Mark, Sheet, TurnedText

__all__ = ["POINTS_PER_MM", "draw_text", "drawing_pdf", "line_width_mm", "pdf_canvas", "true_size"]

POINTS_PER_MM: Final = 72.0 / 25.4  # PDF user space: 1/72 in (ISO 32000-1, 8.3.2.3)


def drawing_pdf(sheets: Sequence[Sheet], title: str) -> bytes:
    """A PDF file of these sheets, one page each; asks the viewer to print without scaling."""
    buffer = io.BytesIO()
    canvas = pdf_canvas(buffer, title)
    for sheet in sheets:
        true_size(canvas, sheet.width_mm, sheet.height_mm)
        canvas.setLineJoin(1)
        _draw(canvas, sheet.marks)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def pdf_canvas(buffer: io.BytesIO, title: str, *, packed: bool = True) -> Any:
    """A canvas for our files: no date, no random id, both faces embedded, and the viewer asked to print without scaling."""
    from reportlab.pdfgen.canvas import Canvas

    faces()
    canvas = Canvas(buffer, invariant=1, pageCompression=int(packed), initialFontName=PLAIN)
    canvas.setTitle(title)
    canvas.setAuthor("seamwright")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def true_size(canvas: Any, width_mm: float, height_mm: float) -> None:
    """A page of that size on which one unit is 1 mm."""
    canvas.setPageSize((width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)


def line_width_mm(mark: Mark) -> float:
    """Width of a mark's line on paper; 0 for text."""
    if isinstance(mark, Text | TurnedText):
        return 0.0
    return FRAME_WIDTH_MM if mark.of == FRAME else WIDTH_MM[mark.layer]


def _draw(canvas: Any, marks: Iterable[Mark]) -> None:
    for mark in marks:
        if isinstance(mark, Text | TurnedText):
            draw_text(canvas, mark)
            continue
        canvas.setLineWidth(line_width_mm(mark))
        canvas.setDash(list(DASHES_MM[mark.layer]))
        if isinstance(mark, Line):
            canvas.line(mark.x0, mark.y0, mark.x1, mark.y1)
        elif isinstance(mark, Circle):
            _circle(canvas, mark)
        elif isinstance(mark, Polyline):
            _polyline(canvas, mark)
        else:
            _ellipse(canvas, mark)


def _circle(canvas: Any, mark: Circle) -> None:
    grey = 1.0 if mark.fill == "clear" else 0.0
    canvas.setFillGray(grey)
    canvas.circle(mark.x, mark.y, mark.radius, stroke=0 if mark.fill == "solid" else 1, fill=mark.fill != "none")
    canvas.setFillGray(0.0)


def _polyline(canvas: Any, mark: Polyline) -> None:
    path = canvas.beginPath()
    path.moveTo(*mark.points[0])
    for x, y in mark.points[1:]:
        path.lineTo(x, y)
    if mark.closed:
        path.close()
    arrowhead = mark.closed and mark.layer == "dimension"
    canvas.drawPath(path, stroke=0 if arrowhead else 1, fill=1 if arrowhead else 0)


def _ellipse(canvas: Any, mark: Ellipse) -> None:
    canvas.saveState()
    canvas.translate(mark.x, mark.y)
    canvas.rotate(math.degrees(mark.turn_rad))
    start, sweep = math.degrees(mark.start_rad), math.degrees(mark.sweep_rad)
    canvas.arc(-mark.a, -mark.b, mark.a, mark.b, start, sweep)
    canvas.restoreState()


def draw_text(canvas: Any, mark: Text | TurnedText) -> None:
    """One line of text in its face, at its place."""
    text = printable(mark.text)
    canvas.setFont(BOLD if isinstance(mark, Text) and mark.bold else PLAIN, mark.height / CAPITAL_PER_EM)
    if isinstance(mark, TurnedText):
        canvas.saveState()
        canvas.translate(mark.x, mark.y)
        canvas.rotate(90)
        canvas.drawCentredString(0, 0, text)
        canvas.restoreState()
        return
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    draw[mark.anchor](mark.x, mark.y, text)
