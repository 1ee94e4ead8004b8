"""A round tank as its strength sees it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assemblies.strength.round.lid import Cover
from parts.stock.material import Material

__all__ = ["G_M_S2", "RoundTank"]

G_M_S2: Final = 9.80665


@dataclass(frozen=True, kw_only=True)
class RoundTank:
    """What is proven; mm, at the least thickness that may come.

    Attributes:
        bore: diameter of the inside.
        wall, base: thickness.
        floor: height of the inside's floor in the rig's axes.
        tube, disc: what they are made of.
        spans: what carries the base under its edge: radius, None where it lies flat.
        pad: of a base that stands on a plate under its middle: the largest circle in that, radius, and how thick it is.
        flange: whether the base reaches out under the tube by more than its wall.
        inset: whether the base stands in the tube; groove: how deep the tube's end stands in it, 0 for not at all.
        seam: what the seam along a rolled tube has of the sheet's strength, 0 for none; peak: how far it stands off its circle.
        hole: whether a drain goes through the base.
        boss: radius of the motor's boss, 0 for none; motor_n: what hangs on it.
        lid: thickness of a lid, 0 for none; cover: what holds it where it is screwed on.
        density: of the liquid, kg/m3.
        above_kg: mass of all that stands on the base; bolts: number, width of their washers and of their holes, mm.
        edge: radius of the base; tall, inside: how high tube and bore are over the floor; top_kg: mass of ring and lid.
        pull: how often it weighs what it does at rest; omega: how fast it turns, rad/s.
        heads: of liquid that turns, on the base: spread evenly, as it clamps the edge and as it bends the middle, mm.
    """

    bore: float
    wall: float
    base: float
    floor: float
    tube: Material
    disc: Material
    spans: float | None
    pad: tuple[float, float] | None = None
    flange: bool = False
    inset: bool = False
    groove: float = 0.0
    seam: float = 0.0
    peak: float = 0.0
    hole: bool = False
    boss: float = 0.0
    motor_n: float = 0.0
    lid: float = 0.0
    cover: Cover | None = None
    density: float = 998.2
    above_kg: float = 0.0
    bolts: tuple[int, float, float] | None = None
    edge: float = 0.0
    tall: float = 0.0
    inside: float = 0.0
    top_kg: float = 0.0
    pull: float = 1.0
    omega: float = 0.0
    heads: tuple[float, float, float] | None = None

    @property
    def middle(self) -> float:
        """Radius of the middle of the wall."""
        return (self.bore + self.wall) / 2.0

    @property
    def is_solid(self) -> bool:
        """Whether it is solved as a solid: what spans, does not turn and has no motor under its middle."""
        return self.spans is not None and not self.omega and not self.boss

    @property
    def weight(self) -> float:
        """Of the liquid, N/mm3."""
        return self.density * G_M_S2 * self.pull * 1e-9

    @property
    def even(self) -> float:
        """What the wall's own mass presses it out with as it turns, MPa."""
        return self.tube.density_kg_m3 * self.omega**2 * self.middle * self.wall * 1e-12

    @property
    def turning(self) -> float:
        """Stress in the middle of the base as it turns, MPa."""
        edge = max(self.spans or 0.0, self.middle)
        return (3.0 + self.disc.poisson) / 8.0 * self.disc.density_kg_m3 * (self.omega * edge) ** 2 * 1e-12
