"""Flow through a hole and over an edge, by the level; mm, mm3/s, s.

Source: Torricelli's law with the coefficient of a sharp-edged hole, 0.60 to 0.62 (Brater and King, Handbook of Hydraulics,
section 4; White, Fluid Mechanics, flow meters and jets; both from memory); over an edge by Francis (`motion.pour.weir`).
Valid: free jet into air, no hose; head over the middle of the hole at least its diameter; Reynolds number over 1000 (judgement:
below it viscosity counts). A hose makes it slower.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.waves.modes import positive
from assemblies.motion.pour.weir import FRANCIS, francis
from parts.findings import NotCovered

__all__ = ["HOLE", "LEAST_HEAD", "SOURCE", "draining", "head_for", "lip_needs", "through_hole"]

HOLE: Final = 0.61
LEAST_HEAD: Final = 1.0  # diameters of the hole over its middle: with less it sucks air or runs part full; judgement
_LEAST_REYNOLDS: Final = 1000.0
_STEPS: Final = 200  # even, for Simpson's rule
_WIDEST_HEAD: Final = 3.0  # Francis: the edge is at least three heads wide
SOURCE: Final = "Torricelli, coefficient 0.61 (Brater and King, Handbook of Hydraulics, section 4; from memory)"


def through_hole(diameter: float, head: float, viscosity_mm2_s: float = 1.0) -> float:
    """The flow through a hole with this head over its middle.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
        NotCovered: less head than its diameter; a liquid so thick that viscosity counts.

    >>> round(through_hole(10.0, 100.0) / 1e6, 4)
    0.0671
    """
    positive(diameter=diameter, head=head, viscosity=viscosity_mm2_s)
    if head < LEAST_HEAD * diameter * (1.0 - 1e-9):
        raise NotCovered(f"a head of {head:.1f} mm over the middle of a hole of {diameter:g} mm: it runs part full")
    speed = math.sqrt(2.0 * G_MM_S2 * head)
    if speed * diameter / viscosity_mm2_s < _LEAST_REYNOLDS:
        raise NotCovered("a liquid so thick that viscosity slows it in the hole")
    return HOLE * math.pi * diameter**2 / 4.0 * speed


def head_for(diameter: float, flow: float) -> float:
    """The head over the middle of a hole at which this flow goes through; at least that from which the law holds."""
    positive(diameter=diameter, flow=flow)
    needed = (flow / (HOLE * math.pi * diameter**2 / 4.0)) ** 2 / (2.0 * G_MM_S2)
    return max(needed, LEAST_HEAD * diameter)


def draining(
    cavity: Cavity, level: float, middle: float, diameter: float, viscosity_mm2_s: float = 1.0
) -> tuple[float, float]:
    """How long the level takes to fall to a diameter over the middle of a hole, s, and what is left then, mm3.

    With s the root of the head, dt = 2 A ds / (c a sqrt(2 g)): Simpson's rule over s, A the surface at each level.

    Raises:
        NotCovered: as `through_hole`; the hole is not that deep under the level.
    """
    last = middle + LEAST_HEAD * diameter
    if level <= last:
        raise NotCovered(f"less than {LEAST_HEAD * diameter:g} mm of liquid over the middle of the hole")
    through_hole(diameter, LEAST_HEAD * diameter, viscosity_mm2_s)
    roots = np.linspace(math.sqrt(last - middle), math.sqrt(level - middle), _STEPS + 1)
    areas = np.array([cavity.body.fill((0.0, 0.0, 1.0), middle + float(s * s))[1] for s in roots])
    weights = np.ones(_STEPS + 1)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    step = (roots[-1] - roots[0]) / _STEPS
    whole = float((weights * areas).sum() * step / 3.0)
    rate = HOLE * math.pi * diameter**2 / 4.0 * math.sqrt(2.0 * G_MM_S2)
    return 2.0 * whole / rate, cavity.body.fill((0.0, 0.0, 1.0), last)[0]


def lip_needs(width: float, flow: float, contractions: int) -> float:
    """The head over an edge at which this flow runs over it, by halving.

    Raises:
        NotCovered: an edge narrower than three such heads, where Francis ends.
    """
    positive(width=width, flow=flow)
    low, high = 0.0, width / _WIDEST_HEAD
    if francis(width, high, contractions, FRANCIS) < flow:
        raise NotCovered(
            f"{flow * 60e-6:.3g} L/min over an edge only {width:g} mm wide: its head is over a third of that"
        )
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if francis(width, middle, contractions, FRANCIS) < flow else (low, middle)
    return high
