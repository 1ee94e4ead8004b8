"""How soon waves die: the least damping there is, that of thin layers of liquid along clean walls and floor.

Dirt on the surface and the wetting of walls damp more, so that a real tank is still sooner (judgement).

Source: energy lost in laminar boundary layers over the energy of the wave, box: ratio D / 2 omega E with D = rho
sqrt(nu omega / 2) / 2 times the square of the speed along every wet face (Keulegan 1959, J. Fluid Mech. 6:33; the integrals
are worked out here); cylinder: NASA SP-106, ch. 4; from memory.
"""

from __future__ import annotations

import math

from assemblies.liquid.waves.modes import positive

__all__ = ["box_damping", "round_damping"]


def box_damping(length: float, width: float, depth: float, omega: float, viscosity: float, gravity: float) -> float:
    """The damping ratio of the first wave along the length of a box.

    Args:
        length, width, depth: inside, of the liquid.
        omega: of the wave, rad/s.
        viscosity: kinematic, in the square of the unit of length per s.
        gravity: in that unit per s2.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(length=length, width=width, depth=depth, omega=omega, viscosity=viscosity, gravity=gravity)
    k = math.pi / length
    kh = min(k * depth, 300.0)
    grows = math.sinh(2.0 * kh) / (2.0 * k)  # the integral of cosh 2kz over the depth
    floor = length * width / 2.0
    sides = length * grows  # two of them
    ends = width * (grows - depth)
    lost = 0.5 * math.sqrt(viscosity * omega / 2.0) * k * k * (floor + sides + ends)
    energy = gravity * length * width / 4.0 * (k * math.sinh(kh) / omega) ** 2
    return lost / (2.0 * omega * energy)


def round_damping(radius: float, depth: float, viscosity: float, gravity: float) -> float:
    """The same of an upright cylinder.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(radius=radius, depth=depth, viscosity=viscosity, gravity=gravity)
    x = min(1.84 * depth / radius, 300.0)
    rest = 1.0 + 0.318 / math.sinh(x) * (1.0 + max(1.0 - depth / radius, -1.0) / math.cosh(x))
    return 0.79 * math.sqrt(viscosity / math.sqrt(radius**3 * gravity)) * rest
