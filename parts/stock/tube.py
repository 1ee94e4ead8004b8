"""A tube that lengths are cut from: its material and its two diameters."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.stock.material import Material, material

__all__ = ["TubeStock"]


@dataclass(frozen=True, kw_only=True)
class TubeStock:
    """A round tube as it is bought.

    Attributes:
        material: a name of `parts.stock.material.material_names()`.
        outside_mm: outside diameter.
        wall_mm: thickness of the wall.

    Raises:
        SeamwrightError: sizes that leave no wall or no bore.
        MaterialError: when the material is unknown.

    >>> TubeStock(material="extruded-pmma", outside_mm=100, wall_mm=5).inside_mm
    90.0
    """

    material: str
    outside_mm: float
    wall_mm: float

    def __post_init__(self) -> None:
        material(self.material)
        if not (math.isfinite(self.outside_mm) and 0.0 < self.wall_mm < self.outside_mm / 2.0):
            raise SeamwrightError(f"no tube is {self.outside_mm:g} mm outside with a wall of {self.wall_mm:g} mm")

    @property
    def inside_mm(self) -> float:
        return float(self.outside_mm - 2.0 * self.wall_mm)

    @property
    def substance(self) -> Material:
        """The material with all its figures."""
        return material(self.material)

    @property
    def density_kg_m3(self) -> float:
        return self.substance.density_kg_m3
