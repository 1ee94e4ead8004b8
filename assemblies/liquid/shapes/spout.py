"""A spout on a wall: the point that liquid must reach to leave by it, for the one engine."""

from __future__ import annotations

from dataclasses import replace

from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.openings import Lip
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, unit

__all__ = ["spouted"]


def spouted(
    cavity: Cavity,
    *,
    height_mm: float,
    out_mm: float = 0.0,
    width_mm: float = 0.0,
    toward: Vector = (1.0, 0.0, 0.0),
    way: str = "through the spout",
) -> Cavity:
    """The same upright box or cylinder with a lip beyond its wall: what stands in the spout itself is left out.

    Args:
        height_mm: of the lip over the inner floor, at most that of the walls.
        out_mm: how far it reaches out, from the inner face of the wall.
        width_mm: of its level edge.
        toward: the side it is on, level; over the middle of that side.
        way: how liquid that leaves by it goes, in words.

    Raises:
        SeamwrightError: a lip above the rim or below the floor, a size that is none, a second one.
    """
    out = unit(toward, "toward")
    low, high = cavity.body.span((0.0, 0.0, 1.0))
    if abs(out[2]) > 1e-9:
        raise SeamwrightError(f"a spout toward {toward!r}: it must be level")
    if not (finite(height_mm) and 0.0 < height_mm <= (high - low) * (1.0 + 1e-12)):
        raise SeamwrightError(f"a lip {height_mm:g} mm over the floor: over 0, and at most {high - low:g} mm, the rim")
    if not all(finite(v) and v >= 0.0 for v in (out_mm, width_mm)):
        raise SeamwrightError(f"a spout {out_mm:g} mm out and {width_mm:g} mm wide: both count from 0")
    across: Vector = (-out[1], out[0], 0.0)
    start, end = cavity.body.span(out)
    sides = cavity.body.span(across)
    far, middle = end + out_mm, (sides[0] + sides[1]) / 2.0
    assert start < end

    def corner(side: float) -> Vector:
        aside = middle + side * width_mm / 2.0
        return far * out[0] + aside * across[0], far * out[1] + aside * across[1], low + height_mm

    return replace(cavity, lips=(*cavity.lips, Lip(name="spout", corners=(corner(-1.0), corner(1.0)), way=way)))
