"""A gearbox as it is laid out: its train, its sheets, the heights of its layers, and what is placed so far."""

from __future__ import annotations

from dataclasses import dataclass, field

from assemblies.design import Fastener, Joint, Placed
from assemblies.kinds.gearbox.bar import LaidBar
from assemblies.kinds.gearbox.rules import ShaftSize
from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.kinds.gearbox.train import Point, Train
from assemblies.order import Order
from parts.make.gear.gear import Gear
from parts.shape.piece import Piece
from parts.stock.sheet import Sheet

__all__ = ["CLEAR_MM", "COVER_MM", "POST_MM", "Laid", "gear_name"]

CLEAR_MM = 1.0  # least room between what turns and what does not run with it; judgement
COVER_MM = 10.5  # a cover's edge past the bearing
POST_MM = 12.0  # radius of posts and feet


def gear_name(stage: int, driven: bool) -> str:
    """Of the gears in the order of the drive: `gear-1` drives `gear-2`.

    >>> gear_name(1, True)
    'gear-4'
    """
    return f"gear-{2 * stage + 1 + driven}"


@dataclass
class Laid:
    """The design as it grows."""

    order: Order
    spec: GearboxSpec
    sheet: Sheet
    plate: Sheet
    train: Train
    size: ShaftSize
    bar: LaidBar | None = None
    shift: Point = (0.0, 0.0)
    placed: list[Placed] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    fasteners: list[Fastener] = field(default_factory=list)

    @property
    def thick(self) -> float:
        return self.sheet.thickness_mm

    @property
    def plate_thick(self) -> float:
        return self.plate.thickness_mm

    @property
    def base_z(self) -> float:
        """Of the underside of the base plate, on its feet."""
        return 2.0 * self.thick

    @property
    def layers(self) -> int:
        return len(self.train.stages)

    @property
    def posts(self) -> int:
        """Rings in a post."""
        return 2 * self.layers + 1

    @property
    def inside_z(self) -> float:
        """Of the upper face of the base plate."""
        return self.base_z + self.plate_thick

    @property
    def top_z(self) -> float:
        return self.inside_z + self.posts * self.thick

    def layer_z(self, stage: int) -> float:
        """Of the underside of the gears of a stage."""
        return self.inside_z + 0.5 * self.thick + 2.0 * stage * self.thick

    @property
    def hub_mm(self) -> float:
        if self.spec.hub is not None:
            return self.spec.hub
        return 3.0 * self.size.diameter if self.spec.hubs == "bonded" else self.size.diameter + 20.0

    def gears_on(self, shaft: int) -> list[tuple[str, int, Gear]]:
        """Name, stage and gear of what sits on a shaft, from below."""
        out = []
        if shaft > 0:
            out.append((gear_name(shaft - 1, True), shaft - 1, self.train.stages[shaft - 1].pair.second))
        if shaft < self.layers:
            out.append((gear_name(shaft, False), shaft, self.train.stages[shaft].pair.first))
        return out

    def put(self, name: str, piece: Piece, x: float, y: float, z: float) -> None:
        """A piece with its box's low corner at a place (of the shafts' own axes)."""
        self.placed.append(Placed(name=name, piece=piece, origin=(x + self.shift[0], y + self.shift[1], z)))

    def world(self, at: Point, z: float) -> tuple[float, float, float]:
        return at[0] + self.shift[0], at[1] + self.shift[1], z
