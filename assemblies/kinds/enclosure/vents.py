"""Vents low and high in a box: their free area, and the draught that warm air makes between them.

Source: stack effect (ASHRAE Handbook Fundamentals, chapter on ventilation; from memory), cd 0.6 of sharp openings. Valid: air
well mixed inside, no wind, no fan, nothing over the vents but what their free share says.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.warm_box import root
from parts.findings import SeamwrightError

__all__ = ["Draught", "vent_area", "vent_rise"]

_CD, _CP, _GRAVITY = 0.6, 1006.0, 9.80665
_GAS, _PRESSURE, _KELVIN = 287.05, 101325.0, 273.15
_HOTTEST: Final = 500.0  # K: beyond, no figure means anything here


def vent_area(slots: int, width: float, length: float, *, rounded: bool = True) -> float:
    """Free area of equal slots, of the units given; ends of full radius where rounded, `length` over all.

    Raises:
        SeamwrightError: no slots, a slot shorter than it is wide.

    >>> round(vent_area(8, 3.0, 40.0), 2)
    944.55
    """
    if isinstance(slots, bool) or not isinstance(slots, int) or slots < 1:
        raise SeamwrightError(f"{slots!r} slots: at least one")
    if not (math.isfinite(width) and math.isfinite(length) and width > 0.0):
        raise SeamwrightError(f"slots of {width!r} x {length!r} are none")
    if length < width:
        raise SeamwrightError(f"a slot of {length:g} is shorter than it is wide ({width:g})")
    one = width * (length - width) + math.pi * width**2 / 4.0 if rounded else width * length
    return slots * one


@dataclass(frozen=True, kw_only=True)
class Draught:
    """How much warmer the air inside is, K, and what flows, m3/s."""

    rise: float
    flow: float


def vent_rise(
    power_w: float,
    low_area: float,
    high_area: float,
    height: float,
    *,
    ambient_c: float = 25.0,
    walls: Callable[[float], float] | None = None,
) -> Draught:
    """Air inside with a vent low and one high, `height` between their middles, m and m2.

    V = cd A sqrt(2 g H dT/T), T the air's that comes in; heat = rho cp V dT, rho at the temperature inside.

    Args:
        walls: what the walls give off at a rise of the air inside, W; nothing where it is not given.

    Raises:
        SeamwrightError: no power, area or height; so little draught that it comes to over 500 K.

    >>> round(vent_rise(20.0, 0.003, 0.003, 0.15).rise, 2)
    27.61
    """
    for name, value in (("power", power_w), ("low vent", low_area), ("high vent", high_area), ("height", height)):
        if not (math.isfinite(value) and value > 0.0):
            raise SeamwrightError(f"{name}: {value!r} is not over 0")
    ambient = ambient_c + _KELVIN
    area = 1.0 / math.sqrt(1.0 / low_area**2 + 1.0 / high_area**2)

    def flow(rise: float) -> float:
        return _CD * area * math.sqrt(2.0 * _GRAVITY * height * rise / ambient)

    def carried(rise: float) -> float:
        return _PRESSURE / (_GAS * (ambient + rise)) * _CP * flow(rise) * rise + (walls(rise) if walls else 0.0)

    if carried(_HOTTEST) < power_w:
        raise SeamwrightError(f"{power_w:g} W through such vents come to over {_HOTTEST:g} K")
    rise = root(lambda one: carried(one) - power_w, _HOTTEST)
    return Draught(rise=rise, flow=flow(rise))
