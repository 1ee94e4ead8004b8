"""A length of tube, cut square."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.shape.part import Feature
from parts.shape.piece import Role
from parts.stock.tube import TubeStock

__all__ = ["Tube"]


@dataclass(frozen=True, kw_only=True)
class Tube:
    """One kind of cut length of tube. It stands on z = 0, its axis upright in the middle of its box.

    Attributes:
        name: the part's name, ASCII, unique in the design.
        stock: the tube it is cut from.
        length_mm: along its axis.
        kind, role, cut_group: as of a `Piece`.

    >>> stock = TubeStock(material="extruded-pmma", outside_mm=100, wall_mm=5)
    >>> Tube(name="mast", stock=stock, length_mm=300).size_mm
    (100.0, 100.0, 300.0)
    """

    name: str
    stock: TubeStock
    length_mm: float
    kind: str = "tube"
    role: Role = "shell"
    cut_group: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.length_mm) and self.length_mm > 0.0):
            raise SeamwrightError(f"{self.name}: a tube of {self.length_mm:g} mm")

    @property
    def features(self) -> tuple[Feature, ...]:
        return ("tube",)

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """The sides of its box: twice the outside diameter, and its length."""
        return float(self.stock.outside_mm), float(self.stock.outside_mm), float(self.length_mm)

    @property
    def volume_mm3(self) -> float:
        return math.pi / 4.0 * (self.stock.outside_mm**2 - self.stock.inside_mm**2) * self.length_mm

    @property
    def mass_kg(self) -> float:
        return self.volume_mm3 * 1e-9 * self.stock.density_kg_m3
