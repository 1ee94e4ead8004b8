"""How slowly a start must come on for a wet panel not to swing past what it then carries."""

from __future__ import annotations

import math

from assemblies.liquid.waves.modes import positive

__all__ = ["RAMP_PERIODS", "wet_panel_period"]

#: Periods of a panel over which a load that comes on evenly overshoots by under a tenth: 1 / (pi n) at n = 3 (an oscillator
#: under a ramp, any book on vibrations; from memory).
RAMP_PERIODS = 3.0


def wet_panel_period(
    span_mm: float,
    thickness_mm: float,
    modulus_mpa: float,
    *,
    poisson: float = 0.37,
    density_kg_m3: float = 1190.0,
    liquid_kg_m3: float = 1000.0,
    across_mm: float = math.inf,
) -> float:
    """The period (s) of a panel with liquid on one side, as a strip held at both ends of its span: longer than a panel held
    all round has, so that it asks for the longer ramp.

    Liquid swings along as deep as the half wave lets it: span / pi, times coth of what lies across behind it (linear
    potential theory; from memory).

    Args:
        span_mm: the shorter side; of a wall with a free rim the smaller of its length and twice its height (judgement).
        across_mm: how far the liquid reaches behind it.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(span=span_mm, thickness=thickness_mm, modulus=modulus_mpa, sheet=density_kg_m3, liquid=liquid_kg_m3)
    k = math.pi / span_mm
    stiffness = modulus_mpa * thickness_mm**3 / (12.0 * (1.0 - poisson * poisson))  # N mm
    layer = 1.0 / (k * math.tanh(k * across_mm))  # mm of liquid
    mass = (density_kg_m3 * thickness_mm + liquid_kg_m3 * layer) * 1e-12  # t/mm2
    return math.tau / (k * k * math.sqrt(stiffness / mass))
