"""A tube that lengths are cut from: its material and its two diameters; and a length of it, as what a piece is cut from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.stock.material import Material, material
from parts.stock.sheet import Sheet
from parts.tables import load

__all__ = ["Blank", "TubeCut", "TubeStock", "tube_tolerance"]

_SAWN_MM = 0.5  # plus or minus on a length sawn square in a mitre saw or lathe: common practice, no source


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


def tube_tolerance(stock: TubeStock) -> tuple[float, float]:
    """Plus or minus on outside diameter (with what it is out of round) and wall of a tube that is not measured, mm.

    >>> tube_tolerance(TubeStock(material="extruded-pmma", outside_mm=200, wall_mm=5))
    (2.0, 0.5)
    """
    row = next(row for row in load("tube_tolerance") if row["material"] == stock.material)
    return float(row["outside_share"]) * stock.outside_mm, float(row["wall_share"]) * stock.wall_mm


@dataclass(frozen=True, kw_only=True)
class Blank:
    """The flat sheet that a tube is rolled from.

    Attributes:
        sheet, size_mm: round it and along it, as it is cut, with what is trimmed off again.
        shrinks: the shares that it loses either way when it is first heated.
        gap_mm: of the seam along, dry and drawn together.
        seam_rad: the way to that seam from the tube's axis, counted from its own x.
    """

    sheet: Sheet
    size_mm: tuple[float, float]
    shrinks: tuple[float, float]
    gap_mm: float = 0.0
    seam_rad: float = 0.0


@dataclass(frozen=True, kw_only=True)
class TubeCut(Sheet):
    """What a length of tube is cut from; what is a sheet's thickness is its length, as wide off as a saw leaves it.

    `rolled` is the blank of a tube that is not bought; `within_mm` plus or minus on the outside diameter as it was read, None
    where it was not.
    """

    tube: TubeStock
    rolled: Blank | None = None
    within_mm: float | None = None

    @property
    def thickness_range_mm(self) -> tuple[float, float]:
        """The least and greatest length."""
        return self.nominal_mm - _SAWN_MM, self.nominal_mm + _SAWN_MM

    @property
    def tolerance_mm(self) -> float:
        """Plus or minus on the length."""
        return _SAWN_MM
