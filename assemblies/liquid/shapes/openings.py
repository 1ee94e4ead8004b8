"""Where liquid can leave: rim edges, rim circles and ports.

*Up* is the unit vector against the effective gravity; the *height* of a point is its part along up. A liquid
at rest covers no part of an opening, so its surface stands no higher than the lowest point of the lowest
opening. That single rule serves the rim of a level tank, the corner of a tilted one, a drain below the
surface and a tank turned upside down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = ["OVER_THE_RIM", "Circle3", "Lip", "Port"]

OVER_THE_RIM: Final = "over the rim"


@dataclass(frozen=True, kw_only=True)
class Circle3:
    """A circle in space: centre (mm), unit normal, radius (mm)."""

    centre: Vector
    normal: Vector
    radius_mm: float

    def __post_init__(self) -> None:
        finite_vector(self.centre, "centre of a circle")
        object.__setattr__(self, "normal", unit(self.normal, "normal of a circle"))
        if not (finite(self.radius_mm) and self.radius_mm >= 0.0):
            raise SeamwrightError(f"radius of a circle: {self.radius_mm!r} mm, must be finite and not negative")

    def lowest(self, up: Vector) -> Vector:
        """Its lowest point: from the centre by the radius along the steepest way down in its plane."""
        c = sum(u * n for u, n in zip(up, self.normal, strict=True))
        down = [c * n - u for u, n in zip(up, self.normal, strict=True)]
        length = math.hypot(*down)
        reach = self.radius_mm / length if length > 0.0 else 0.0
        x, y, z = (p + reach * d for p, d in zip(self.centre, down, strict=True))
        return x, y, z


@dataclass(frozen=True, kw_only=True)
class Lip:
    """An edge over which liquid leaves: a line of straight edges through `corners`, or a circle.

    Attributes:
        name: such as the wall whose top edge it is.
        corners: mm; two or more.
        circle: instead of corners.
        way: how liquid that leaves by it goes, as in "through the trough on the right".
    """

    name: str
    corners: tuple[Vector, ...] = ()
    circle: Circle3 | None = None
    way: str = OVER_THE_RIM

    def __post_init__(self) -> None:
        if (self.circle is None) == (len(self.corners) < 2):
            raise SeamwrightError(f"lip {self.name!r}: give two or more corners, or a circle")
        for corner in self.corners:
            finite_vector(corner, f"lip {self.name!r}")

    def lowest(self, up: Vector) -> Vector:
        """Its lowest point (the first of equals)."""
        if self.circle is not None:
            return self.circle.lowest(up)
        return min(self.corners, key=lambda p: p[0] * up[0] + p[1] * up[1] + p[2] * up[2])


@dataclass(frozen=True, kw_only=True)
class Port:
    """A round hole in a wall. Shut, it holds liquid like the wall around it; open, liquid leaves at its lowest point.

    The wall area that an open port takes away is not deducted from wetted faces.

    Attributes:
        name, circle, open: as said.
        kind: what it is for: `drain`, `fill`, `overflow`, `spout`, `vent`; empty where that is not known.
        free_mm2: of it that air can pass, nil where a hose or a cap is on it.
    """

    name: str
    circle: Circle3
    open: bool = True
    kind: str = ""
    free_mm2: float = 0.0

    def lowest(self, up: Vector) -> Vector:
        """Its lowest point."""
        return self.circle.lowest(up)
