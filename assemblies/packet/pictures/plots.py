"""Plots of the drawing model: panels one below another, curves told apart by their lines and names, never by colour."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from assemblies.packet.ink.primitives import Layer, Line, Polyline, Primitive, Text, text_width_mm
from assemblies.packet.ink.svg import svg
from assemblies.report.panels import Curve, Panel

__all__ = ["plot_svg", "ticks"]

_WIDE, _HIGH = 110.0, 38.0  # of a panel, mm
_LEFT, _BELOW, _ABOVE, _RIGHT = 18.0, 10.0, 6.0, 34.0
_SMALL: Final = 2.0
_LINES: Final[tuple[Layer, ...]] = ("visible", "hidden", "centre", "dimension")
_NEAR: Final = 0.02  # mm: points nearer than that to a line between others are left out


def plot_svg(panels: Sequence[Panel], title: str) -> str:
    """Panels as one SVG file."""
    high = len(panels) * (_HIGH + _BELOW + _ABOVE)
    items = [
        item
        for k, panel in enumerate(panels)
        for item in _panel(panel, _LEFT, high - (k + 1) * (_HIGH + _BELOW + _ABOVE) + _BELOW)
    ]
    return svg(items, _LEFT + _WIDE + _RIGHT, high, title)


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers from `low` to `high`, at steps of 1, 2 or 5.

    >>> ticks(0.0, 1.9)
    [0.0, 0.5, 1.0, 1.5]
    """
    rough = (high - low) / most
    step = 10.0 ** math.floor(math.log10(rough))
    step *= next(m for m in (1.0, 2.0, 5.0, 10.0) if m * step >= rough * (1.0 - 1e-9))
    return [k * step for k in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


def _panel(panel: Panel, x0: float, y0: float) -> Iterator[Primitive]:
    xs = [float(v) for c in panel.curves for v in (c.x.min(), c.x.max())]
    ys = [float(v) for c in panel.curves for v in (c.y.min(), c.y.max())] + [one.value for one in panel.limits]
    left, right = min(xs), max(xs)
    low, high = min(*ys, 0.0), max(*ys, 0.0)
    high = high if high > low else low + 1.0
    low, high = low - 0.04 * (high - low) * (low < 0.0), high + 0.06 * (high - low)

    def at(x: float, y: float) -> tuple[float, float]:
        return x0 + (x - left) / (right - left) * _WIDE, y0 + (y - low) / (high - low) * _HIGH

    yield Polyline(points=((x0, y0 + _HIGH), (x0, y0), (x0 + _WIDE, y0)), layer="dimension")
    for x in ticks(left, right):
        u, _ = at(x, low)
        yield Line(x0=u, y0=y0, x1=u, y1=y0 - 1.0, layer="dimension")
        yield Text(x=u, y=y0 - 4.0, text=f"{x + 0.0:.6g}", height=_SMALL, anchor="middle")
    for y in ticks(low, high, 5):
        _, v = at(left, y)
        yield Line(x0=x0 - 1.0, y0=v, x1=x0, y1=v, layer="dimension")
        yield Text(x=x0 - 2.0, y=v - _SMALL / 2.0, text=f"{y + 0.0:.6g}", height=_SMALL, anchor="end")
    yield Text(x=x0 + _WIDE, y=y0 - 7.5, text=panel.x, height=_SMALL, anchor="end")
    yield Text(x=x0, y=y0 + _HIGH + 1.8, text=panel.y, height=_SMALL, bold=True)
    said: list[tuple[float, str]] = []
    for limit in panel.limits:
        (u0, v), (u1, _) = at(left, limit.value), at(right, limit.value)
        yield Line(x0=u0, y0=v, x1=u1, y1=v, layer="dimension")
        said.append((v, limit.name))
    for curve, layer in zip(panel.curves, _LINES, strict=False):
        yield Polyline(
            points=_thinned([at(float(x), float(y)) for x, y in zip(curve.x, curve.y, strict=True)]), layer=layer
        )
    yield from _names([one for one in said if one[1]], x0 + _WIDE + 1.5)
    yield from _key(panel.curves, x0, y0 + _HIGH + 1.8)


def _names(said: Sequence[tuple[float, str]], x: float) -> Iterator[Primitive]:
    """At the right ends of the limits, shifted apart where they would touch."""
    last = -math.inf
    for y, name in sorted(said):
        y = max(y - _SMALL / 2.0, last + 1.5 * _SMALL)
        yield Text(x=x, y=y, text=name, height=_SMALL)
        last = y


def _key(curves: Sequence[Curve], x0: float, y: float) -> Iterator[Primitive]:
    """Which line is which, above the panel."""
    named = [(curve.name, layer) for curve, layer in zip(curves, _LINES, strict=False) if curve.name]
    x = x0 + _WIDE
    for name, layer in reversed(named):
        x -= text_width_mm(name, _SMALL)
        yield Text(x=x, y=y, text=name, height=_SMALL)
        yield Line(x0=x - 9.0, y0=y + _SMALL / 2.0, x1=x - 1.0, y1=y + _SMALL / 2.0, layer=layer)
        x -= 13.0


def _thinned(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Without points that lie on the line between those kept: a curve of 400 samples needs a few dozen."""
    out = [points[0]]
    start, x, y = 0, *np.array(points).T
    for k in range(2, len(points)):
        (ax, ay), (bx, by) = points[start], points[k]
        long = math.hypot(bx - ax, by - ay) or 1.0
        off = (bx - ax) * (y[start + 1 : k] - ay) - (by - ay) * (x[start + 1 : k] - ax)
        if off.size and max(off.max(), -off.min()) > _NEAR * long:
            out.append(points[k - 1])
            start = k - 1
    return (*out, points[-1])
