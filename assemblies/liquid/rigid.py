"""Mass, centre of mass and inertia of plates and liquid.

Units mm, kg, kg mm2; inertia as 3 x 3 rows, off the diagonal the products of inertia with a minus sign.

Source: parallel-axis theorem; Green's theorem for the moments of an outline of lines and arcs. Liquid is taken as
frozen, which overstates the inertia of a fast turn of real liquid.
"""

from __future__ import annotations

from assemblies.design.mass import Body, combine, cuboid
from assemblies.liquid.engine import WATER_KG_M3, Settled, settle, volume_for_depth
from assemblies.liquid.shapes.cavity import box
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite_vector

__all__ = ["liquid_body", "open_box_body"]


def liquid_body(settled: Settled) -> Body:
    """Settled liquid as a body, frozen where it stands.

    Raises:
        SeamwrightError: no liquid is left.
    """
    if settled.centre_mm is None:
        raise SeamwrightError("liquid: none is left, so it has no centre of mass")
    return Body(mass_kg=settled.mass_kg, centre_mm=settled.centre_mm, inertia_kg_mm2=settled.inertia_kg_mm2)


def open_box_body(
    inside_mm: Vector, wall_mm: float, sheet_kg_m3: float, fill_mm: float = 0.0, liquid_kg_m3: float = WATER_KG_M3
) -> Body:
    """A bare box tank, four walls standing on a floor of the same sheet and flush with it, with its liquid frozen.

    For a first look and for outside checks; `piece_body` takes the pieces as they are.

    Args:
        inside_mm: length, width, height; the origin is the middle of the inner floor.
        wall_mm: thickness of walls and floor.
        sheet_kg_m3, liquid_kg_m3: densities.
        fill_mm: depth of the liquid; 0 for an empty tank.

    Raises:
        SeamwrightError: a size or density that is not finite and above 0, a fill above the rim.

    >>> round(open_box_body((300, 250, 200), 6, 1190.0, 150).mass_kg, 4)
    13.4185
    """
    length, width, height = finite_vector(inside_mm, "inside")
    t = wall_mm
    bodies = [cuboid((length + 2 * t, width + 2 * t, t), (0.0, 0.0, -t / 2), sheet_kg_m3)]
    for side in (-1.0, 1.0):
        bodies.append(cuboid((t, width + 2 * t, height), (side * (length + t) / 2, 0.0, height / 2), sheet_kg_m3))
        bodies.append(cuboid((length, t, height), (0.0, side * (width + t) / 2, height / 2), sheet_kg_m3))
    cavity = box(length, width, height)
    liquid = settle(cavity, volume_for_depth(cavity, fill_mm), density_kg_m3=liquid_kg_m3)
    return combine([*bodies, liquid_body(liquid)] if liquid.centre_mm is not None else bodies)
