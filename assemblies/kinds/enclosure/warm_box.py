"""A sealed box in still air: how much warmer its outside, its inside and the air in it are than the air about it.

Source: simplified laminar free convection of air (McAdams; Holman, Heat Transfer, table 7-2) and the law of Stefan and
Boltzmann; both and the emissivity 0.9 of PMMA from memory; the film inside 6 W/m2 K by judgement, and it governs: a box is
much warmer inside than its wall feels. Valid: Gr Pr of every face over 1e4 and under 1e9, one temperature all over the outside,
no sun, no warm neighbours. A real box differs by 25 % (judgement).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from parts.findings import NotCovered, SeamwrightError

__all__ = ["OFF", "Box", "Mounting", "Rise", "box_heat_w", "box_rise", "effective_area"]

Mounting = Literal["free", "wall", "row", "corner"]
OFF: Final = 0.25  # judgement: by how much a real box differs
_SIDE, _TOP, _FLOOR = 1.42, 1.32, 0.59  # W/m2 K, at (K/m)^1/4
_EMISSIVITY, _SIGMA = 0.9, 5.670374419e-8
_INSIDE = 6.0  # W/m2 K
CONDUCTIVITY: Final = 0.19  # W/m K: pmma, table `pmma`
_KELVIN: Final = 273.15
_GAS, _PRESSURE, _GRAVITY, _PRANDTL = 287.05, 101325.0, 9.80665, 0.71
_LAMINAR: Final = (1e4, 1e9)
#: Factors of the surfaces by how the box stands: top, front, back, each end. IEC TR 60890, from memory; the floor not counted.
_FACTORS: Final = {
    "free": (1.4, 0.9, 0.9, 0.9, 0.9),
    "wall": (1.4, 0.9, 0.5, 0.9, 0.9),
    "row": (1.4, 0.9, 0.9, 0.5, 0.5),
    "corner": (1.4, 0.9, 0.5, 0.9, 0.5),
}


@dataclass(frozen=True, kw_only=True)
class Box:
    """A box, m, outside, z up; its wall, m; the air about it, C; whether its floor gives off heat; the share of its
    surface that does where it stands against something."""

    size: tuple[float, float, float]
    wall: float
    ambient_c: float = 25.0
    floor: bool = False
    share: float = 1.0

    def __post_init__(self) -> None:
        sizes = (*self.size, self.wall)
        if len(self.size) != 3 or not all(math.isfinite(s) and s > 0.0 for s in sizes):
            raise SeamwrightError(f"a box of {self.size} m with a wall of {self.wall!r} m is none")
        if 2.0 * self.wall >= min(self.size):
            raise SeamwrightError(f"walls of {self.wall:g} m leave no room in a box of {min(self.size):g} m")
        if not (-40.0 <= self.ambient_c <= 60.0):
            raise SeamwrightError(f"air of {self.ambient_c!r} °C about the box: -40 to 60")
        if not isinstance(self.floor, bool):
            raise SeamwrightError(f"floor {self.floor!r}: whether it gives off heat")
        if not 0.0 < self.share <= 1.0:
            raise SeamwrightError(f"a share of {self.share!r} of the surface")

    @property
    def _faces(self) -> tuple[tuple[float, float, float], ...]:
        """Film factor, characteristic length, area of sides, top and floor."""
        x, y, z = self.size
        faces = ((_SIDE, z, 2.0 * (x + y) * z), (_TOP, (x + y) / 2.0, x * y), (_FLOOR, (x + y) / 2.0, x * y))
        return faces if self.floor else faces[:2]

    @property
    def area(self) -> float:
        """What gives off heat, m2."""
        return self.share * sum(area for _, _, area in self._faces)

    def gives(self, outer: float) -> float:
        """What the outside gives off when it is so much warmer than the air, W."""
        if outer <= 0.0:
            return 0.0
        ambient = self.ambient_c + _KELVIN
        films = sum(c * math.sqrt(math.sqrt(outer / long)) * area for c, long, area in self._faces) * outer
        area = sum(area for _, _, area in self._faces)
        return self.share * (films + _EMISSIVITY * _SIGMA * area * ((ambient + outer) ** 4 - ambient**4))

    def rayleigh(self, outer: float) -> tuple[float, float]:
        """Least and greatest Gr Pr of its faces; air at the mean temperature."""
        mean = self.ambient_c + _KELVIN + outer / 2.0
        viscosity = 1.458e-6 * mean**1.5 / (mean + 110.4) / (_PRESSURE / (_GAS * mean))  # Sutherland
        found = [_GRAVITY / mean * outer * long**3 / viscosity**2 * _PRANDTL for _, long, _ in self._faces]
        return min(found), max(found)


@dataclass(frozen=True, kw_only=True)
class Rise:
    """How much warmer than the air about it, K: outer face, inner face, air inside; the area that gives off heat, m2."""

    area: float
    outer: float
    inner: float
    air: float


def root(value: Callable[[float], float], high: float) -> float:
    """Where a growing function crosses 0, between 0 and at most `high`; by halving, to the last digit."""
    low = 0.0
    while value(high) < 0.0:
        high *= 2.0
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (middle, high) if value(middle) < 0.0 else (low, middle)
    return (low + high) / 2.0


def box_rise(box: Box, power_w: float, service_c: float | None = None) -> Rise:
    """The rises of a sealed box that takes so much power.

    Args:
        service_c: the service temperature of the sheet; a hotter outside is refused.

    Raises:
        SeamwrightError: no power; an outside hotter than the sheet may be.
        NotCovered: films that are not laminar.

    >>> round(box_rise(Box(size=(0.2, 0.15, 0.1), wall=0.005), 12.0).air, 2)
    34.98
    """
    if not (math.isfinite(power_w) and power_w > 0.0):
        raise SeamwrightError(f"a power of {power_w!r} W is none")
    outer = root(lambda rise: box.gives(rise) - power_w, 100.0)
    if service_c is not None and box.ambient_c + outer > service_c:
        raise SeamwrightError(
            f"the outside comes to {box.ambient_c + outer:.0f} °C, over the service temperature of {service_c:g} °C"
        )
    low, high = box.rayleigh(outer)
    if low < _LAMINAR[0] or high > _LAMINAR[1]:
        raise NotCovered(
            f"the film of air is not laminar as the method wants it: Gr Pr {low:.2g} to {high:.2g}, not 1e4 to 1e9"
        )
    inner = outer + power_w * box.wall / (CONDUCTIVITY * box.area)
    return Rise(area=box.area, outer=outer, inner=inner, air=inner + power_w / (_INSIDE * box.area))


def box_heat_w(box: Box, air: float) -> float:
    """What a sealed box gives off when the air in it is so much warmer than that about it, W; the inverse of `box_rise`.

    >>> box = Box(size=(0.2, 0.15, 0.1), wall=0.005)
    >>> round(box_heat_w(box, box_rise(box, 12.0).air), 6)
    12.0
    """
    if air <= 0.0:
        return 0.0
    through = box.wall / (CONDUCTIVITY * box.area) + 1.0 / (_INSIDE * box.area)
    outer = root(lambda rise: rise + box.gives(rise) * through - air, air)
    return box.gives(outer)


def effective_area(size: tuple[float, float, float], mounting: Mounting) -> tuple[float, float]:
    """Effective and real cooling surface of a box of width, depth and height, without its floor, m2.

    Source: surface factors of the IEC TR 60890 method, from memory. `wall`: its back is covered; `row`: both ends; `corner`:
    its back and one end.

    Raises:
        SeamwrightError: no size, an unknown mounting.

    >>> round(effective_area((0.4, 0.2, 0.6), "wall")[0], 3)
    0.664
    """
    if mounting not in _FACTORS:
        raise SeamwrightError(f"mounting {mounting!r} is none of {', '.join(_FACTORS)}")
    if len(size) != 3 or not all(math.isfinite(s) and s > 0.0 for s in size):
        raise SeamwrightError(f"a box of {size} is none")
    w, d, h = size
    faces = (w * d, w * h, w * h, d * h, d * h)
    return sum(f * a for f, a in zip(_FACTORS[mounting], faces, strict=True)), sum(faces)
