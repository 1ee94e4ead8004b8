"""Drawing primitives to SVG 1.1, the same bytes every time. Text stays text, a curve a curve; the view box is in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from assemblies.packet.ink.primitives import (
    CAPITAL_PER_EM,
    DASHES_MM,
    WIDTH_MM,
    Circle,
    Ellipse,
    Layer,
    Line,
    Polyline,
    Primitive,
    Text,
)

__all__ = ["INK", "PAPER", "number", "svg"]

INK, PAPER = "#16191d", "#ffffff"  # dark on white: reads the same on a light and on a dark page, and in print


def svg(primitives: Sequence[Primitive], width_mm: float, height_mm: float, title: str) -> str:
    """A whole SVG file. The primitives are in mm, y up, (0, 0) at the lower left of the paper.

    Lines of one layer and one instance become one path, in a group that bears the instance's name.
    """
    size = f"{number(width_mm)}mm", f"{number(height_mm)}mm"
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}" height="{size[1]}" '
        f'viewBox="0 0 {number(width_mm)} {number(height_mm)}" role="img" font-family="system-ui, sans-serif">',
        f"<title>{escape(_clean(title))}</title>",
        f'<rect width="{number(width_mm)}" height="{number(height_mm)}" fill="{PAPER}"/>',
    ]
    layers: tuple[Layer, ...] = ("hidden", "centre", "visible", "dimension", "leader", "frame")
    for layer in layers:
        out.extend(_strokes([p for p in primitives if not isinstance(p, Text) and p.layer == layer], layer, height_mm))
    texts = [p for p in primitives if isinstance(p, Text)]
    if texts:
        out.append(f'<g fill="{INK}">')
        out.extend(_text(item, height_mm) for item in texts)
        out.append("</g>")
    return "\n".join([*out, "</svg>", ""])


def number(value: float) -> str:
    """Rounded to 0.01, without trailing zeros and without a minus nought.

    >>> number(-0.001), number(12.5), number(3.14159)
    ('0', '12.5', '3.14')
    """
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def _strokes(items: Iterable[Primitive], layer: Layer, height_mm: float) -> list[str]:
    paths: dict[str, list[str]] = {}
    filled: list[str] = []
    for item in items:
        if isinstance(item, Circle):
            filled.append(_circle(item, height_mm))
        elif isinstance(item, Polyline) and item.solid:
            filled.append(f'<path d="{_path(item, height_mm)}" fill="{INK}" stroke="none"/>')
        else:
            paths.setdefault(getattr(item, "of", ""), []).append(_path(item, height_mm))
    if not paths and not filled:
        return []
    dashes = " ".join(number(d) for d in DASHES_MM[layer])
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    out = [
        f'<g class="{layer}" fill="none" stroke="{INK}" stroke-width="{number(WIDTH_MM[layer])}" '
        f'stroke-linecap="round" stroke-linejoin="round"{dashed}>'
    ]
    for name, parts in paths.items():
        named = f" data-name={quoteattr(_clean(name))}" if name else ""
        out.append(f'<path{named} d="{" ".join(parts)}"/>')
    return [*out, *filled, "</g>"]


def _path(item: Primitive, height_mm: float) -> str:
    if isinstance(item, Line):
        return f"M{_at(item.x0, item.y0, height_mm)}L{_at(item.x1, item.y1, height_mm)}"
    if isinstance(item, Polyline):
        start, *rest = (_at(x, y, height_mm) for x, y in item.points)
        return f"M{start}{''.join('L' + point for point in rest)}{'Z' if item.closed else ''}"
    assert isinstance(item, Ellipse)
    return _arc(item, height_mm)


def _arc(item: Ellipse, height_mm: float) -> str:
    """Elliptic arcs; y runs down in SVG, so turns change their sense.

    None is longer than a quarter: the centre of a half ellipse hangs on the last digit of its ends.
    """
    radii = f"{number(item.a)} {number(item.b)} {number(-math.degrees(item.turn_rad))}"
    sweep = 0 if item.sweep_rad > 0.0 else 1
    pieces = math.ceil(abs(item.sweep_rad) / (math.pi / 2.0) - 1e-9)
    out = [f"M{_at(*item.at(item.start_rad), height_mm)}"]
    for k in range(1, pieces + 1):
        end = item.at(item.start_rad + item.sweep_rad * k / pieces)
        out.append(f"A{radii} 0 {sweep} {_at(*end, height_mm)}")
    return "".join(out) + ("Z" if item.is_whole else "")


def _circle(item: Circle, height_mm: float) -> str:
    fill = {"none": "", "clear": f' fill="{PAPER}"', "solid": f' fill="{INK}" stroke="none"'}[item.fill]
    x, y = number(item.x), number(height_mm - item.y)
    return f'<circle cx="{x}" cy="{y}" r="{number(item.radius)}"{fill}/>'


def _text(item: Text, height_mm: float) -> str:
    size = number(item.height / CAPITAL_PER_EM)
    anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
    bold = ' font-weight="600"' if item.bold else ""
    x, y = number(item.x), number(height_mm - item.y)
    place = f'transform="translate({x} {y}) rotate(-90)"' if item.turned else f'x="{x}" y="{y}"'
    return f'<text {place} font-size="{size}"{anchor}{bold}>{escape(_clean(item.text))}</text>'


def _at(x: float, y: float, height_mm: float) -> str:
    return f"{number(x)} {number(height_mm - y)}"


def _clean(text: str) -> str:
    """Without the characters that XML 1.0 forbids."""
    return "".join(c for c in text if c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\ufffe\uffff")
