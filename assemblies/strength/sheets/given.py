"""What is said of a flat piece: how it is held, what hangs on it, what loads it. Lengths in mm from its outline's origin.

z is square to the sheet, from its near to its far face; forces in N, masses in kg, accelerations in mm/s2.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from parts.shape.outline import Circle, Loop
from parts.vectors import Vector

__all__ = ["Attached", "Held", "Recess", "Rib", "SheetLoad", "Spot"]

Chain = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A bolt: the ring at which it holds, in the mean. That of a hole is the hole's own edge (same middle, same radius).

    `stiff`: the ring turns with what it is bolted to; else it may tilt.
    """

    x_mm: float
    y_mm: float
    radius_mm: float
    stiff: bool = False


@dataclass(frozen=True, kw_only=True)
class Held:
    """What does not move: a bolt, a chain of straight lines (on the border or inside), all of the outer border (`rim`).

    `clamped` lines do not turn either; of a bolt `Spot.stiff` says that.
    """

    at: Spot | Chain | Literal["rim"]
    clamped: bool = False


@dataclass(frozen=True, kw_only=True)
class Attached:
    """A rigid body that is fixed to the sheet at bolts or along lines, and moves with it.

    Attributes:
        at: bolts, or chains of lines.
        mass_kg, centre_mm: its mass, and where its middle is; z from the middle of the sheet.
        inertia_kg_mm2: about x and about y through its centre of mass.
        twist: stiffness, N mm2, with which it resists being twisted; None: rigid. What it stands on along x then slopes across
            that by the twist times the distance from the body's own x; its y counts from the first line's start.
    """

    name: str
    at: tuple[Spot | Chain, ...]
    mass_kg: float
    centre_mm: Vector
    inertia_kg_mm2: tuple[float, float] = (0.0, 0.0)
    twist: float | None = None

    @property
    def foot(self) -> float:
        """The y from which a twist counts."""
        first = self.at[0]
        return first.y_mm if isinstance(first, Spot) else first[0][1]


@dataclass(frozen=True, kw_only=True)
class Rib:
    """A beam along a straight line of the sheet: what it adds to the bending stiffness, N mm2, at even places from its start;
    and, where that is given, what its own stiffness in torsion is there.

    Attributes:
        built_in: its start is held as a clamped line is; else it starts with the slope of the sheet.
        shear: at even places too, its stiffness in shear, N; none: it is not sheared.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    stiffness: tuple[float, ...]
    built_in: bool = False
    torsion: tuple[float, ...] = ()
    shear: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Recess:
    """A pocket: its outline and how thick the sheet still is there."""

    outline: Loop | Circle
    left_mm: float


@dataclass(frozen=True, kw_only=True)
class SheetLoad:
    """One load: a pressure square to the sheet, MPa, as (at the origin, per mm of x, per mm of y), and what each mass is pulled
    with, the sheet's own among them."""

    pressure: Vector = (0.0, 0.0, 0.0)
    pull: Vector = (0.0, 0.0, 0.0)
