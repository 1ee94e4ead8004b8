"""Gears as pieces: an outline about its axis, turned, with a bore for a shaft and windows between spokes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from parts.findings import SeamwrightError
from parts.make.gear.gear import Gear
from parts.make.gear.outline import CHORD_MM, gear_loop
from parts.shape.outline import Circle, Loop, Outline, Vertex
from parts.shape.piece import Hole, Piece
from parts.stock.sheet import Sheet

__all__ = ["Wheel", "d_bore", "key_bore", "moved", "turned", "wheel", "windows"]


def moved(loop: Loop | Circle, x_mm: float, y_mm: float) -> Loop | Circle:
    """The same loop elsewhere."""
    if isinstance(loop, Circle):
        return Circle(loop.x_mm + x_mm, loop.y_mm + y_mm, loop.radius_mm)
    return Loop(tuple(Vertex(v.x_mm + x_mm, v.y_mm + y_mm, v.bulge) for v in loop.vertices))


def turned(loop: Loop, angle: float) -> Loop:
    """The same loop turned to the left about (0, 0)."""
    c, s = math.cos(angle), math.sin(angle)
    return Loop(tuple(Vertex(c * v.x_mm - s * v.y_mm, s * v.x_mm + c * v.y_mm, v.bulge) for v in loop.vertices))


def d_bore(diameter_mm: float, across_mm: float) -> Loop:
    """A bore about (0, 0) with a flat on the side of +x, `across_mm` from the far side.

    Raises:
        SeamwrightError: a flat that leaves less than half the bore, or none.
    """
    r, flat = diameter_mm / 2.0, across_mm - diameter_mm / 2.0
    if not 0.0 < flat < r:
        raise SeamwrightError(f"a bore of {diameter_mm:g} mm has no flat {across_mm:g} mm across")
    half = math.acos(flat / r)
    y = r * math.sin(half)
    return Loop((Vertex(flat, -y), Vertex(flat, y, math.tan((2.0 * math.pi - 2.0 * half) / 4.0))))


def key_bore(diameter_mm: float, key_mm: float, deep_mm: float) -> Loop:
    """A bore about (0, 0) with a keyway on the side of +x, so wide and so deep past the bore.

    Raises:
        SeamwrightError: a key wider than the bore.
    """
    r, h = diameter_mm / 2.0, key_mm / 2.0
    if not (0.0 < h < r and deep_mm > 0.0):
        raise SeamwrightError(f"a bore of {diameter_mm:g} mm takes no key {key_mm:g} mm wide")
    x, half = math.sqrt(r * r - h * h), math.asin(h / r)
    around = math.tan((2.0 * math.pi - 2.0 * half) / 4.0)
    return Loop((Vertex(x, -h), Vertex(r + deep_mm, -h), Vertex(r + deep_mm, h), Vertex(x, h, around)))


def windows(count: int, inside_mm: float, outside_mm: float, spoke_mm: float) -> tuple[Circle, ...]:
    """Round windows about (0, 0) between two radii, one between every two spokes; round, for a corner starts a crack.

    Raises:
        SeamwrightError: no room for them.
    """
    if count < 3:
        raise SeamwrightError(f"a gear has at least 3 spokes, got {count}")
    middle = (inside_mm + outside_mm) / 2.0
    radius = min((outside_mm - inside_mm) / 2.0, middle * math.sin(math.pi / count) - spoke_mm / 2.0)
    if radius < spoke_mm / 2.0:
        raise SeamwrightError(
            f"no windows between {count} spokes of {spoke_mm:g} mm fit from {inside_mm:.1f} to {outside_mm:.1f} mm"
        )
    at = [2.0 * math.pi * (i + 0.5) / count for i in range(count)]
    return tuple(Circle(middle * math.cos(a), middle * math.sin(a), radius) for a in at)


@dataclass(frozen=True)
class Wheel:
    """A gear as a piece, and where its axis is in the piece's own axes."""

    piece: Piece
    axis_mm: tuple[float, float]


def wheel(
    name: str,
    gear: Gear,
    sheet: Sheet,
    *,
    turn: float = 0.0,
    inner: Sequence[Loop | Circle] = (),
    holes: Sequence[Hole] = (),
    within_mm: float = CHORD_MM,
    cut_group: str = "",
) -> Wheel:
    """A gear cut from sheet, a tooth at `turn` from the x axis.

    Args:
        name, sheet, cut_group: of the piece.
        gear: the teeth.
        turn: radians to the left.
        inner, holes: cut-outs and drilled holes about its axis at (0, 0).
        within_mm: what its outline may leave the true curves by.
    """
    outer = turned(gear_loop(gear, within_mm), turn)
    x0, y0, _, _ = outer.bounds_mm
    outline = Outline(moved(outer, -x0, -y0), tuple(moved(loop, -x0, -y0) for loop in inner))
    shifted = tuple(replace(h, x_mm=h.x_mm - x0, y_mm=h.y_mm - y0) for h in holes)
    piece = Piece(
        name=name, kind="gear", outline=outline, holes=shifted, sheet=sheet, role="inner", cut_group=cut_group
    )
    return Wheel(piece, (-x0, -y0))
