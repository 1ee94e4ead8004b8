"""Drawing primitives to PDF at true size: vectors, real text in embedded faces, the same bytes every time.

Text is set in the faces of `faces.py`; a character that these do not have is printed as U+FFFD.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Sequence
from typing import Any, Final

from assemblies.packet.ink.faces import BOLD, PLAIN, faces, printable
from assemblies.packet.ink.primitives import (
    CAPITAL_PER_EM,
    DASHES_MM,
    WIDTH_MM,
    Circle,
    Ellipse,
    Line,
    Polyline,
    Primitive,
    Text,
)
from assemblies.packet.ink.sheet_items import Page

__all__ = ["OURS", "POINTS_PER_MM", "pdf"]

OURS: Final = "seamwright"  # who made a file, in its own data
#: What the library says of itself in comments: blanked, as long as it was, since the file counts its bytes.
_COMMENT: Final = re.compile(rb"(% *(?:[\x80-\xff]+ )?)ReportLab [^\r\n]*", re.IGNORECASE)
POINTS_PER_MM: Final = 72.0 / 25.4  # PDF user space: 1/72 in (ISO 32000-1, 8.3.2.3)


def pdf(pages: Sequence[Page], title: str, *, packed: bool = True) -> bytes:
    """A PDF file of these pages, without date or random id; asks the viewer to print without scaling."""
    from reportlab.pdfgen.canvas import Canvas

    faces()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=int(packed), initialFontName=PLAIN)
    canvas.setTitle(title)
    canvas.setSubject(title)
    for sign in (canvas.setAuthor, canvas.setCreator, canvas.setProducer):
        sign(OURS)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        _page(canvas, page)
    canvas.save()
    return _COMMENT.sub(lambda found: found[1] + b" " * (len(found[0]) - len(found[1])), buffer.getvalue())


def _page(canvas: Any, page: Page) -> None:
    canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.setLineJoin(1)
    _draw(canvas, page.items)
    if page.shown:
        canvas.saveState()
        x0, y0, x1, y1 = page.window
        path = canvas.beginPath()
        path.rect(x0, y0, x1 - x0, y1 - y0)
        canvas.clipPath(path, stroke=0, fill=0)
        _draw(canvas, page.shown)
        canvas.restoreState()
    canvas.showPage()


def _draw(canvas: Any, items: Iterable[Primitive]) -> None:
    for item in items:
        if isinstance(item, Text):
            _text(canvas, item)
            continue
        canvas.setLineWidth(WIDTH_MM[item.layer])
        canvas.setDash(list(DASHES_MM[item.layer]))
        if isinstance(item, Line):
            canvas.line(item.x0, item.y0, item.x1, item.y1)
        elif isinstance(item, Circle):
            _circle(canvas, item)
        else:
            solid = isinstance(item, Polyline) and item.solid
            canvas.drawPath(_path(canvas, item), stroke=int(not solid), fill=int(solid))


def _circle(canvas: Any, item: Circle) -> None:
    canvas.setFillGray(1.0 if item.fill == "clear" else 0.0)
    canvas.circle(item.x, item.y, item.radius, stroke=int(item.fill != "solid"), fill=int(item.fill != "none"))
    canvas.setFillGray(0.0)


def _text(canvas: Any, item: Text) -> None:
    canvas.setFont(BOLD if item.bold else PLAIN, item.height / CAPITAL_PER_EM)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[item.anchor]
    if not item.turned:
        draw(item.x, item.y, printable(item.text))
        return
    canvas.saveState()
    canvas.translate(item.x, item.y)
    canvas.rotate(90)
    draw(0, 0, printable(item.text))
    canvas.restoreState()


def _path(canvas: Any, item: Polyline | Ellipse) -> Any:
    path = canvas.beginPath()
    if isinstance(item, Polyline):
        path.moveTo(*item.points[0])
        for x, y in item.points[1:]:
            path.lineTo(x, y)
        if item.closed:
            path.close()
        return path
    pieces = max(1, math.ceil(abs(item.sweep_rad) / (math.pi / 4.0) - 1e-9))  # a cubic over 45 degrees: 4e-6 of r
    step = item.sweep_rad / pieces
    path.moveTo(*item.at(item.start_rad))
    for k in range(pieces):
        path.curveTo(*_cubic(item, item.start_rad + k * step, step))
    return path


def _cubic(item: Ellipse, start_rad: float, step_rad: float) -> tuple[float, ...]:
    """The control points of the usual cubic for an arc: tangents of length 4/3 tan(step / 4)."""
    k = 4.0 / 3.0 * math.tan(step_rad / 4.0)
    c, s = math.cos(item.turn_rad), math.sin(item.turn_rad)
    out: list[float] = []
    for angle, way in ((start_rad, k), (start_rad + step_rad, -k)):
        x, y = item.at(angle)
        du, dv = -item.a * math.sin(angle), item.b * math.cos(angle)
        out += [x + way * (c * du - s * dv), y + way * (s * du + c * dv)]
    return (*out, *item.at(start_rad + step_rad))
