"""What a mount is to its proof: its plates, its bolts on both sides, what stands on it, how it is moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from assemblies.design.mass import Body
from assemblies.design.model import Placed
from parts.shape.piece import Pocket
from parts.stock.material import Material, Stay
from parts.vectors import Vector

__all__ = ["Bolted", "Gussets", "Mount", "Moves", "Pull", "Rules", "Standoffs"]


@dataclass(frozen=True, kw_only=True)
class Bolted:
    """The bolts of one side.

    Attributes:
        plate: the instance that they go through or into.
        places: from the plate's lower-left corner, mm.
        hole_mm: of the clearance holes, or of the thread where they are tapped.
        seat_mm: width and height of what it lies on, about the bolts' middle; None: just the bolts.
        away: the way in the world in which what is carried leaves what carries it.
        face_mm: the face it lies on, in the plate's own thickness.
        slot_mm: travel of slots along the plate's x; 0: round holes.
        at: the bolts stand at the slots' middles (0), or at their lesser (-1) or greater (1) end.
        pocket: behind its first bolt, where metal is let in.
        refits, locked: how often it is taken off; whether its bolts cannot turn loose.
    """

    side: Literal["rig", "prop"]
    plate: Placed
    places: tuple[tuple[float, float], ...]
    thread: str
    tapped: bool
    hole_mm: float
    seat_mm: tuple[float, float] | None
    away: Vector
    face_mm: float
    refits: int
    locked: bool
    slot_mm: float = 0.0
    at: int = 0
    pocket: Pocket | None = None

    @property
    def placings(self) -> tuple[Bolted, ...]:
        """The same with its bolts at the middles and at both ends of its slots."""
        if not self.slot_mm or self.at:
            return (self,)
        shifts = [(at, at * self.slot_mm / 2.0) for at in (0, -1, 1)]
        return tuple(replace(self, at=at, places=tuple((x + by, y) for x, y in self.places)) for at, by in shifts)

    @property
    def middle(self) -> tuple[float, float]:
        return tuple(sum(p[k] for p in self.places) / len(self.places) for k in (0, 1))  # type: ignore[return-value]

    @property
    def centre(self) -> Vector:
        """The bolts' middle in the world, in the face they draw together."""
        return self.plate.world(*self.middle, self.face_mm)


@dataclass(frozen=True, kw_only=True)
class Moves:
    """Accelerations in use along x, y and z, and of the emergency stop, m/s2; the shake, Hz. None is what is not said."""

    still: bool
    acceleration: Vector
    stop: float | None
    shake: float | None
    stands: Literal["upright", "hanging", "any"]


@dataclass(frozen=True, kw_only=True)
class Rules:
    """What is allowed on top of the material: factor, share of a joint, sag of the prop as a part of its reach or in mm."""

    factor: float
    joint: float
    sag_of_reach: float | None
    sag_mm: float | None


@dataclass(frozen=True, kw_only=True)
class Pull:
    """A way of loading: what each kilogram is pulled with, m/s2, in every direction that it may come; how long."""

    name: str
    ways: tuple[Vector, ...]
    duration: Stay


@dataclass(frozen=True, kw_only=True)
class Mount:
    """A mount as it is proven.

    Attributes:
        placed: its pieces, as thin as their sheet may come.
        prop: mass, centre and inertia of what stands on it.
        standoffs: places, diameter, length, modulus (MPa), and what bending it may bear (MPa); None without.
        gussets: how far they reach back and up, and their middles along the length; None without.
    """

    style: Literal["plate", "spacer", "bracket", "riser"]
    placed: Mapping[str, Placed]
    material: Material
    rig: Bolted
    held: Bolted
    prop: Body
    moves: Moves
    rules: Rules
    standoffs: Standoffs | None = None
    gussets: Gussets | None = None


@dataclass(frozen=True, kw_only=True)
class Standoffs:
    """Round posts of metal between two plates; places from the plates' lower-left corners."""

    places: tuple[tuple[float, float], ...]
    diameter_mm: float
    length_mm: float
    modulus_mpa: float
    allowed_mpa: float
    density_kg_m3: float


@dataclass(frozen=True, kw_only=True)
class Gussets:
    """Gussets behind an upright: how far back and up, and their middles from the base's left edge."""

    reach_mm: float
    rise_mm: float
    places: tuple[float, ...]
