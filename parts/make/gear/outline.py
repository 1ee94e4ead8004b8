"""The outlines of gears: fillets and flanks as arcs that leave the true curves by no more than is stated.

Each curve is cut into equal parts of its parameter, and each part is the arc through its ends and its middle; there are as many
as it takes to keep the points between within the chord error.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Final

from parts.findings import SeamwrightError
from parts.make.gear.gear import Gear, Rack
from parts.make.gear.numbers import plain, positive, whole_teeth
from parts.shape.outline import Loop, Vertex

__all__ = ["CHORD_MM", "gear_loop", "straight_gear_loop"]

#: What an outline may leave the true curve by, mm: a tenth of what a laser repeats (judgement).
CHORD_MM: Final = 0.001
_MOST_ARCS = 64
_Point = tuple[float, float]
_Curve = Callable[[float], _Point]


def _bulge(start: _Point, middle: _Point, end: _Point) -> float:
    """Of the arc through three points: the tangent of half the angle between its chords."""
    ax, ay = middle[0] - start[0], middle[1] - start[1]
    bx, by = end[0] - middle[0], end[1] - middle[1]
    return math.tan(math.atan2(ax * by - ay * bx, ax * bx + ay * by) / 2.0)


def _off(start: _Point, end: _Point, bulge: float, point: _Point) -> float:
    """How far a point is from the arc."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(dx, dy)
    along = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / chord
    left = ((point[1] - start[1]) * dx - (point[0] - start[0]) * dy) / chord
    if abs(bulge) < 1e-9:
        return abs(left)
    apothem = chord * (1.0 - bulge**2) / (4.0 * bulge)
    return abs(math.hypot(along - chord / 2.0, left - apothem) - chord * (1.0 + bulge**2) / (4.0 * abs(bulge)))


def _arcs(curve: _Curve, start: float, end: float, within_mm: float) -> list[tuple[_Point, float]]:
    """The arcs along a curve: each with its first point and bulge; the last point is not among them."""
    count = 1
    while count <= _MOST_ARCS:
        step = (end - start) / count
        at = [[curve(start + (i + q / 4.0) * step) for q in range(5)] for i in range(count)]
        bulges = [_bulge(p[0], p[2], p[4]) for p in at]
        if all(_off(p[0], p[4], b, p[q]) <= within_mm for p, b in zip(at, bulges, strict=True) for q in (1, 3)):
            return [(p[0], b) for p, b in zip(at, bulges, strict=True)]
        count += 1
    raise SeamwrightError(f"no {_MOST_ARCS} arcs keep a flank within {within_mm:g} mm")


@cache
def gear_loop(gear: Gear, within_mm: float = CHORD_MM) -> Loop:
    """The outline about (0, 0), a tooth centred on the x axis.

    Args:
        gear: what it is of.
        within_mm: what it may leave the true curves by.

    Raises:
        SeamwrightError: teeth so thin that the spaces meet.
    """
    positive("the chord error", within_mm, "mm")
    half = math.pi / gear.teeth

    def polar(radius: float, angle: float) -> _Point:
        return radius * math.cos(angle), radius * math.sin(angle)

    def fillet(beta: float) -> _Point:  # from the space after the tooth, at angle `half`
        radius, angle = gear.fillet_at(beta)
        return polar(radius, half - angle)

    def flank(string: float) -> _Point:  # by the length of the unwound string
        radius = math.hypot(gear.base_mm / 2.0, string)
        return polar(radius, gear.half_angle(radius))

    form, beta = gear.form
    root, tip = gear.root_mm / 2.0, gear.tip_mm / 2.0
    strings = [math.sqrt(max(0.0, r**2 - gear.base_mm**2 / 4.0)) for r in (tip, form)]
    #: The falling half of a tooth: tip corner to the middle of the space.
    falling = _arcs(flank, strings[0], strings[1], within_mm) + _arcs(fillet, beta, math.pi / 2.0, within_mm)
    land = gear.fillet_at(math.pi / 2.0)[1]
    points = [*(p for p, _ in falling), polar(root, half - land)]
    bulges = [b for _, b in falling]
    rising = [(x, -y) for x, y in reversed(points)]
    tooth = [*zip(rising, (*reversed(bulges), math.tan(gear.half_angle(tip) / 2.0)), strict=True)]
    tooth += zip(points, (*bulges, math.tan(land / 2.0)), strict=True)
    if land * root <= 1e-6:  # the rounding of the tool is full: fillet meets fillet
        tooth = tooth[:-1]
    vertices = []
    for i in range(gear.teeth):
        c, s = math.cos(2.0 * half * i), math.sin(2.0 * half * i)
        vertices += [Vertex(c * x - s * y, s * x + c * y, b) for (x, y), b in tooth]
    return Loop(tuple(vertices))


def straight_gear_loop(
    module_mm: float, teeth: int, back_mm: float, rack: Rack | None = None, thin_mm: float = 0.0
) -> Loop:
    """The outline of a straight gear: the basic rack itself, with whole teeth and half a space at either end.

    The datum line lies on the x axis, a tooth centred on x = pitch/2, teeth up; its back is `back_mm` below the root. Its
    flanks are straight, its fillets the true arcs of the rack.

    Raises:
        SeamwrightError: no teeth, no back, teeth thinned to nothing.
    """
    rack = rack or Rack()
    m = positive("the module", module_mm, "mm")
    whole_teeth("teeth", teeth, 1)
    positive("the back of a straight gear", back_mm, "mm")
    lean, pitch = math.tan(rack.alpha), math.pi * m
    half = pitch / 4.0 - plain("the thinning of the teeth", thin_mm, 0.0) / 2.0  # of a tooth on the datum
    top, bottom, straight = rack.addendum * m, -rack.dedendum * m, -rack.straight * m
    if half - top * lean <= 0.0:
        raise SeamwrightError(f"teeth of a straight gear thinned by {thin_mm:g} mm come to a point")
    foot = half - straight * lean + rack.fillet * m * math.cos(rack.alpha)  # where the fillet ends in the root line
    bend = math.tan((math.pi / 2.0 - rack.alpha) / 4.0)  # right turn into the root: the arc is hollow
    vertices = [Vertex(0.0, bottom - back_mm), Vertex(teeth * pitch, bottom - back_mm)]
    vertices.append(Vertex(teeth * pitch, bottom))
    for i in reversed(range(teeth)):
        mid = (i + 0.5) * pitch
        right = [(foot, bottom, -bend), (half - straight * lean, straight, 0.0), (half - top * lean, top, 0.0)]
        left = [(top, half - top * lean, 0.0), (straight, half - straight * lean, -bend), (bottom, foot, 0.0)]
        vertices += [Vertex(mid + x, y, b if rack.fillet else 0.0) for x, y, b in right]
        vertices += [Vertex(mid - x, y, b if rack.fillet else 0.0) for y, x, b in left]
    vertices.append(Vertex(0.0, bottom))
    kept = [v for k, v in enumerate(vertices) if math.dist(_at(v), _at(vertices[k - 1])) > 1e-9]
    return Loop(tuple(kept))


def _at(vertex: Vertex) -> _Point:
    return vertex.x_mm, vertex.y_mm
