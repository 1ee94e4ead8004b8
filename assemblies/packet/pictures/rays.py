"""The plot of a beam on a deflector, from the report: the lit face, rays in and out, where they are narrowest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from assemblies.packet.ink.primitives import Line, Polyline, Primitive, Text
from assemblies.packet.ink.svg import svg

__all__ = ["ray_pictures"]

_WIDE, _HIGH = 150.0, 110.0  # of the plot, mm
_ROUND: Final = 8.0
_TEXT: Final = 2.4


def ray_pictures(report: Mapping[str, Any]) -> dict[str, str]:
    """`light-rays`, where the report has them."""
    light = report.get("light")
    if not light or not light["traced"]["rays"]:
        return {}
    traced = light["traced"]
    points = [p for chain in (traced["face"], *traced["rays"]) for p in chain]
    x0, z0, x1, z1 = (pick(p[k] for p in points) for pick in (min, max) for k in (0, 1))
    scale = min(_WIDE / max(x1 - x0, 1.0), _HIGH / max(z1 - z0, 1.0))

    def at(point: Sequence[float]) -> tuple[float, float]:
        return _ROUND + (point[0] - x0) * scale, 2.0 * _ROUND + (point[1] - z0) * scale

    items: list[Primitive] = [Polyline(points=tuple(map(at, chain)), layer="dimension") for chain in traced["rays"]]
    items.append(Polyline(points=tuple(map(at, traced["face"])), layer="visible"))
    middle = traced["rays"][len(traced["rays"]) // 2]
    places = [("narrowest", traced["narrow_at_mm"])] if traced["narrow_at_mm"] > 0.0 else []
    for name, far in (*places, (f"spot at {traced['at_mm']:.0f} mm", traced["at_mm"])):
        items += _mark(name, middle, far, at, scale, traced["beam_mm"])
    bar = _bar((x1 - x0) / 4.0)
    items.append(Line(x0=_ROUND, y0=_ROUND / 2.0, x1=_ROUND + bar * scale, y1=_ROUND / 2.0, layer="visible"))
    items.append(Text(x=_ROUND + bar * scale + 2.0, y=_ROUND / 2.0 - 1.0, text=f"{bar:.0f} mm", height=_TEXT))
    wide, high = (x1 - x0) * scale + 2.0 * _ROUND + 30.0, (z1 - z0) * scale + 3.0 * _ROUND
    return {"light-rays": svg(items, wide, high, "Rays of a parallel beam on the deflector")}


def _mark(name: str, middle: Any, far: float, at: Any, scale: float, beam: float) -> list[Primitive]:
    """A line across the middle ray at a distance, with its name."""
    (hx, hz), (ex, ez) = middle[1], middle[2]
    long = math.hypot(ex - hx, ez - hz)
    u, v = (ex - hx) / long, (ez - hz) / long
    x, z = hx + far * u, hz + far * v
    half = beam / 5.0
    a, b = at((x - half * v, z + half * u)), at((x + half * v, z - half * u))
    right = max(a, b)
    return [
        Line(x0=a[0], y0=a[1], x1=b[0], y1=b[1], layer="centre"),
        Text(x=right[0] + 1.5, y=right[1] - _TEXT / 2.0, text=name, height=_TEXT),
    ]


def _bar(rough: float) -> float:
    """A round length of a scale bar."""
    step = 10.0 ** math.floor(math.log10(max(rough, 1.0)))
    return step * max(m for m in (1.0, 2.0, 5.0) if m * step <= max(rough, 1.0) * (1.0 + 1e-9))
