"""Drawing primitives to PDF at true size, in our embedded faces, the same bytes every time; the pages are not compressed."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from assemblies.packet.ink.drawing_pdf import draw_text, pdf_canvas, true_size
from assemblies.packet.ink.primitives import DASHES_MM, WIDTH_MM, Circle, Ellipse, Line, Polyline, Primitive, Text

__all__ = ["Page", "pdf"]


@dataclass(frozen=True, kw_only=True)
class Page:
    """One page in mm, y up, (0, 0) at its lower left; `shown` is drawn within the window only."""

    width_mm: float
    height_mm: float
    items: tuple[Primitive, ...]
    shown: tuple[Primitive, ...] = ()
    window: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)


def pdf(pages: Sequence[Page], title: str) -> bytes:
    """A PDF file of these pages; asks the viewer to print without scaling."""
    buffer = io.BytesIO()
    canvas = pdf_canvas(buffer, title, packed=False)
    for page in pages:
        true_size(canvas, page.width_mm, page.height_mm)
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
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Any, items: Iterable[Primitive]) -> None:
    for item in items:
        if isinstance(item, Text):
            draw_text(canvas, item)
            continue
        canvas.setLineWidth(WIDTH_MM[item.layer])
        canvas.setDash(list(DASHES_MM[item.layer]))
        if isinstance(item, Line):
            canvas.line(item.x0, item.y0, item.x1, item.y1)
        elif isinstance(item, Circle):
            canvas.circle(
                item.x, item.y, item.radius, stroke=0 if item.fill == "solid" else 1, fill=item.fill == "solid"
            )
        else:
            canvas.drawPath(_path(canvas, item), stroke=1, fill=0)


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
