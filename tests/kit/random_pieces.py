"""Random pieces for tests: outlines of every sort, holes and cut-outs that do not touch. Sizes are invented."""

from __future__ import annotations

import math
import random

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Outline, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import tapped_hole
from parts.stock.sheet import Sheet

__all__ = ["random_piece"]


def random_piece(seed: int) -> Piece:
    """The piece of a seed: from 12 mm to over a metre, with none to forty holes."""
    dice = random.Random(seed)
    nominal = dice.choice([3.0, 6.0, 12.0])
    readings = (round(nominal * 0.97, 2),) if dice.random() < 0.5 else ()
    sheet = Sheet(material="cast-pmma", nominal_mm=nominal, readings_mm=readings)
    outer, width, height = _outer(dice)
    inner: list[Loop | Circle] = []
    holes: list[Hole] = []
    taken: list[tuple[float, float, float]] = []
    for _ in range(dice.choice([0, 1, 2, 3, 4, 6, 8, 14, 40])):
        room = _room(dice, outer, width, height, taken)
        if room is None:
            continue
        x, y, reach = room
        taken.append(room)
        if dice.random() < 0.15 and reach > 3.0:
            inner.append(_cut_out(dice, x, y, reach))
        else:
            holes.append(_hole(dice, x, y, reach, sheet.thickness_mm))
    name = f"piece-{seed}"
    try:
        return Piece(name=name, kind="panel", outline=Outline(outer, tuple(inner)), holes=tuple(holes), sheet=sheet)
    except SeamwrightError:
        return Piece(name=name, kind="panel", outline=Outline(outer), sheet=sheet)


def _outer(dice: random.Random) -> tuple[Loop | Circle, float, float]:
    width = round(math.exp(dice.uniform(math.log(12.0), math.log(1200.0))), 2)
    height = round(min(900.0, max(8.0, width * math.exp(dice.uniform(-1.8, 1.0)))), 2)
    sort = dice.choice(["plain", "plain", "rounded", "disc", "step"])
    if sort == "rounded":
        return rounded_rectangle(width, height, round(0.2 * min(width, height), 1)), width, height
    if sort == "disc":
        return Circle(width / 2.0, width / 2.0, width / 2.0), width, width
    if sort == "step":
        u, v = round(width * dice.uniform(0.3, 0.7), 2), round(height * dice.uniform(0.3, 0.7), 2)
        corners = ((0, 0), (width, 0), (width, v), (u, v), (u, height), (0, height))
        return Loop(tuple(Vertex(x, y) for x, y in corners)), width, height
    return rectangle(width, height), width, height


def _room(
    dice: random.Random, outer: Loop | Circle, width: float, height: float, taken: list[tuple[float, float, float]]
) -> tuple[float, float, float] | None:
    """A place with the radius that is free about it."""
    from shapely.geometry import Point, Polygon

    shape = Polygon(outer.points(0.01))
    for _ in range(20):
        reach = dice.uniform(1.2, 0.08 * min(width, height) + 1.3)
        x, y = round(dice.uniform(0.0, width), 2), round(dice.uniform(0.0, height), 2)
        inside = shape.contains(Point(x, y)) and shape.exterior.distance(Point(x, y)) > reach + 0.5
        if inside and all(math.hypot(x - a, y - b) > reach + r + 0.5 for a, b, r in taken):
            return x, y, reach
    return None


def _cut_out(dice: random.Random, x: float, y: float, reach: float) -> Loop | Circle:
    side = 1.3 * reach
    if dice.random() < 0.5:
        return Circle(x, y, 0.9 * reach)
    return rounded_rectangle(side, side, 0.15 * side, x - side / 2.0, y - side / 2.0)


def _hole(dice: random.Random, x: float, y: float, reach: float, thickness_mm: float) -> Hole:
    sort = dice.choice(["through", "through", "blind", "countersunk", "tapped"])
    side = dice.choice(["near", "far"])
    bore = round(reach, 1)
    if sort == "blind":
        return Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=bore, depth_mm=round(0.6 * thickness_mm, 2), side=side)
    if sort == "countersunk" and bore / 2.0 < thickness_mm:
        return Hole(x_mm=x, y_mm=y, kind="countersunk", diameter_mm=bore, sink_mm=2.0 * bore, side=side)
    if sort == "tapped" and reach > 3.2:
        return tapped_hole(x, y, dice.choice(["M5", "M6", "1/4-20"]))
    return Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=bore)
