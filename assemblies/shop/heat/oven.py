"""How long sheet takes to warm through: conduction across it, a film of air at its faces."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["Heated", "heating_time"]

_TERMS = 60  # of the series: the terms after them are under 1e-12 once the middle has warmed by 1 %


@dataclass(frozen=True, kw_only=True)
class Heated:
    """When the middle has its temperature: the time, s, and the temperature of the faces then."""

    time_s: float
    face_c: float


def heating_time(
    thick_m: float,
    film: float,
    oven_c: float,
    start_c: float,
    target_c: float,
    conductivity: float,
    density: float,
    heat: float,
) -> Heated:
    """Sheet that air warms from both faces; from one face alone it is as sheet of twice the thickness.

    Source: one-dimensional conduction with a film, by its series; Holman, Heat Transfer, ch. 4 (from memory). Valid: constant
    properties, no heat of its own; the film is what is known least.

    Args:
        film: W/(m2 K), with what it radiates.
        conductivity, density, heat: W/(m K), kg/m3, J/(kg K).

    >>> round(heating_time(0.006, 25, 180, 20, 160, 0.19, 1190, 1460).time_s / 60, 1)
    8.4
    """
    for name, value in (
        ("thickness", thick_m),
        ("film", film),
        ("conductivity", conductivity),
        ("density", density),
        ("specific heat", heat),
    ):
        if not (finite(value) and value > 0.0):
            raise SeamwrightError(f"{name} = {value!r}; it must be over 0")
    if not all(map(finite, (oven_c, start_c, target_c))) or min(oven_c, start_c, target_c) < -273.15:
        raise SeamwrightError(f"temperatures {oven_c!r}, {start_c!r}, {target_c!r} are not three temperatures")
    if not start_c < target_c < oven_c:
        raise SeamwrightError(
            f"sheet at {start_c:g} °C reaches {target_c:g} °C in air of {oven_c:g} °C never, or at once"
        )
    import numpy as np  # orders are read without it
    from scipy.optimize import brentq

    half = thick_m / 2.0
    biot = film * half / conductivity
    roots = np.array(
        [
            brentq(lambda z: z * math.sin(z) - biot * math.cos(z), n * math.pi, (n + 0.5) * math.pi)
            for n in range(_TERMS)
        ]
    )
    weights = 4.0 * np.sin(roots) / (2.0 * roots + np.sin(2.0 * roots))

    def left(fourier: float, at: float) -> float:
        """What is left of the first difference to the air, at a share of the half thickness from the middle."""
        return float(np.sum(weights * np.exp(-(roots**2) * fourier) * np.cos(roots * at)))

    wanted = (oven_c - target_c) / (oven_c - start_c)
    if not 1e-12 < wanted < 0.999:
        raise SeamwrightError(
            f"from {start_c:g} to {target_c:g} °C in air of {oven_c:g} °C: too near to either for this method"
        )
    most = (1.0 + math.log(1.5 / wanted)) / roots[0] ** 2
    number = brentq(lambda fo: left(fo, 0.0) - wanted, 1e-4, most, xtol=1e-12)
    return Heated(
        time_s=number * half**2 * density * heat / conductivity, face_c=oven_c - (oven_c - start_c) * left(number, 1.0)
    )
