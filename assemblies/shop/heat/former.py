"""What a bend is formed on and gauged by: ribs of a former, gauges that lie in the hollow side. Flat outlines, any board."""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.shop.heat.rules import heat_rule
from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Outline, Vertex

__all__ = ["Ribs", "gauge", "ribs"]

_PAST_MM = 15.0  # how far a former goes on past the part; judgement
_BASE_MM = 40.0  # what stands below the lowest point of its curve; judgement
_ROD_MM = 12.0  # rods that hold the ribs apart


@dataclass(frozen=True, kw_only=True)
class Ribs:
    """The ribs of a former: the outline of one, how many, how far apart their middles are, the skin over them, mm."""

    outline: Outline
    count: int
    apart_mm: float
    skin_mm: float
    radius_mm: float
    angle_rad: float


def _wings(radius: float, angle: float, legs: tuple[float, float]) -> list[Vertex]:
    """The hollow face from end to end: a leg, the arc, a leg; its middle at the top, the arc's centre at (0, 0)."""
    half = angle / 2.0
    s, c = radius * math.sin(half), radius * math.cos(half)
    out = [Vertex(-s, c, -math.tan(angle / 4.0)), Vertex(s, c)]
    if legs[0] > 0.0:
        out.insert(0, Vertex(-s - legs[0] * math.cos(half), c - legs[0] * math.sin(half)))
    if legs[1] > 0.0:
        out.append(Vertex(s + legs[1] * math.cos(half), c - legs[1] * math.sin(half)))
    return out


def gauge(radius: float, angle: float, leg: float) -> Loop:
    """A plate that lies in the hollow side of a bend: touches both legs and the arc when the bend is right."""
    return _from_corner(_wings(radius, angle, (leg, leg)))


def ribs(radius: float, angle: float, legs: tuple[float, float], width: float) -> Ribs:
    """The ribs under a former of this radius and angle for a part of this width, less the skin.

    Raises:
        SeamwrightError: a radius no larger than the skin; a former that turns under itself.
    """
    skin = heat_rule("former_skin")
    inner = radius - skin
    if inner <= 0.0 or angle > math.pi:
        raise SeamwrightError(f"a former of radius {radius:.4g} mm and {math.degrees(angle):.4g} degrees has no ribs")
    top = _wings(inner, angle, (legs[0] + _PAST_MM, legs[1] + _PAST_MM))
    low = min(0.0, *(v.y_mm for v in top)) - _BASE_MM
    base = [Vertex(top[-1].x_mm, low), Vertex(top[0].x_mm, low)]
    rods = tuple(
        Circle(side * 0.35 * (top[-1].x_mm - top[0].x_mm), low + _BASE_MM / 2.0, _ROD_MM / 2.0) for side in (-1.0, 1.0)
    )
    count = max(2, math.ceil(width / heat_rule("rib_apart")) + 1)
    corner = _from_corner([*top, *base])
    dx, dy = top[-1].x_mm - max(v.x_mm for v in corner.vertices), low - 0.0
    return Ribs(
        outline=Outline(corner, tuple(Circle(r.x_mm - dx, r.y_mm - dy, r.radius_mm) for r in rods)),
        count=count,
        apart_mm=width / (count - 1),
        skin_mm=skin,
        radius_mm=radius,
        angle_rad=angle,
    )


def _from_corner(vertices: list[Vertex]) -> Loop:
    """A loop with its box from (0, 0)."""
    x0, y0, _, _ = Loop(tuple(vertices)).bounds_mm
    return Loop(tuple(Vertex(v.x_mm - x0, v.y_mm - y0, v.bulge) for v in vertices))
