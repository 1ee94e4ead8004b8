"""A round tank as it is laid out: what all builders of its pieces read."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.design import Placed
from assemblies.kinds.round_tank.grooves import Groove
from assemblies.kinds.round_tank.tables import RoundTankSpec
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Order
from parts.shape.piece import Hole, Piece
from parts.stock.sheet import Sheet
from parts.stock.tube import TubeStock

__all__ = ["LAND", "WAYS", "Laid", "stock_of"]

WAYS: Final = {"right": 0.0, "back": 90.0, "left": 180.0, "front": 270.0}  # degrees from the right, seen from above
LAND: Final = 1.5  # diameters of a bolt from its hole's edge to tube or edge; judgement


def stock_of(spec: RoundTankSpec) -> TubeStock:
    """The tube: by its readings where there are any."""
    outside = math.fsum(spec.measured_outside) / len(spec.measured_outside) if spec.measured_outside else spec.outside
    wall = math.fsum(spec.measured_wall) / len(spec.measured_wall) if spec.measured_wall else spec.wall
    return TubeStock(material=spec.tube, outside_mm=outside, wall_mm=wall)


@dataclass(frozen=True)
class Laid:
    """What all builders of pieces read."""

    order: Order
    spec: RoundTankSpec
    tube: TubeStock
    sheet: Sheet
    groove: Groove | None = None

    @property
    def floor_mm(self) -> float:
        """Of the inside, over the underside of the base."""
        return self.sheet.thickness_mm

    @property
    def top_mm(self) -> float:
        """Of the tube."""
        return self.floor_mm + self.spec.depth

    @property
    def disc_mm(self) -> float:
        """Diameter of the base."""
        if self.spec.base == "inset":
            return self.tube.inside_mm
        if self.spec.flange:
            return self.spec.flange.outside
        return math.ceil(self.groove.least_disc_mm) if self.groove else self.tube.outside_mm

    @property
    def beside_mm(self) -> float:
        """Diameter of what stands on the base, or is turned into it: beyond it the base is whole."""
        return self.groove.wide_mm if self.groove else self.tube.outside_mm

    @property
    def foot_mm(self) -> float:
        """Of the tube's lower end."""
        if self.spec.base == "inset":
            return 0.0
        return self.floor_mm - (self.groove.depth_mm if self.groove else 0.0)

    def put(self, piece: Piece, low: float) -> Placed:
        """A round piece about the axis."""
        half = piece.size_mm[0] / 2.0
        return Placed(name=piece.name, piece=piece, origin=(-half, -half, low))

    def sheet_of(self, thickness: float | None) -> Sheet:
        """Of an extra: the order's own where it says no thickness."""
        return self.sheet if thickness is None else extra_sheet(self.order, thickness)

    def through(self, x: float, y: float, wide: float) -> Hole:
        """A hole through the base, from its middle."""
        half = self.disc_mm / 2.0
        return Hole(x_mm=half + x, y_mm=half + y, kind="through", diameter_mm=wide)
