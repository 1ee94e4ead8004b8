"""How much a tooth carries: the form factor of the tooth that the rack makes, and Lewis's rule.

The load stands at the tip, as for one pair of teeth with cut errors; the section is where the parabola of equal stress touches
the fillet (W. Lewis, 1892; Shigley, chapter 14; from memory). No factor for the notch at the fillet: it is in the allowance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.make.gear.gear import Gear, Rack
from parts.make.gear.numbers import positive

__all__ = ["Lewis", "basic_form_factor", "form_factor", "lewis"]

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_NARROWINGS = 60


@dataclass(frozen=True, kw_only=True)
class Lewis:
    """Tangential force on the reference circle, the stress that it makes, and the torque that makes all that is allowed."""

    force_n: float
    stress_mpa: float
    torque_limit_nmm: float


def lewis(module_mm: float, teeth: int, width_mm: float, form: float, torque_nmm: float, allowable_mpa: float) -> Lewis:
    """sigma = F / (b m Y), F = 2 T / d.

    >>> round(lewis(2.0, 20, 6.0, 0.322, 300.0, 5.0).stress_mpa, 3)
    3.882
    """
    gear = Gear(teeth, module_mm)
    for name, value in (("the width", width_mm), ("the form factor", form), ("the allowable stress", allowable_mpa)):
        positive(name, value)
    force = 2.0 * positive("the torque", torque_nmm, "N mm") / gear.reference_mm
    carries = width_mm * module_mm * form
    return Lewis(
        force_n=force, stress_mpa=force / carries, torque_limit_nmm=allowable_mpa * carries * gear.reference_mm / 2.0
    )


def form_factor(gear: Gear) -> float:
    """Lewis's Y for the module: thickness squared over six times the height under the load's axis, in modules, at its least.

    Where the fillet has no parabola that touches it within its length, the end that is weaker is the section.
    """
    tip = gear.tip_mm / 2.0
    slope = math.acos(gear.base_mm / gear.tip_mm) - gear.half_angle(tip)  # of the load to the tooth's cross direction
    apex = gear.base_mm / 2.0 / math.cos(slope)

    def at(beta: float) -> float:
        radius, angle = gear.fillet_at(beta)
        half = math.pi / gear.teeth - angle
        return (2.0 * radius * math.sin(half)) ** 2 / (6.0 * (apex - radius * math.cos(half)) * gear.module_mm)

    low, high = gear.form[1], math.pi / 2.0
    ends = at(low), at(high)
    for _ in range(_NARROWINGS):
        a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        if at(a) < at(b):
            high = b
        else:
            low = a
    return min(*ends, at((low + high) / 2.0))


def basic_form_factor(teeth: int, shift: float = 0.0, fillet: float = 0.38, dedendum: float = 1.25) -> float:
    """The form factor of a gear by its numbers, for a pressure angle of 20 degrees.

    Raises:
        SeamwrightError: a rack or tooth that cannot be.
    """
    if fillet >= dedendum:
        raise SeamwrightError(f"a fillet of {fillet:g} modules in a dedendum of {dedendum:g}")
    return form_factor(Gear(teeth, 1.0, shift, Rack(name="-", dedendum=dedendum, fillet=fillet)))
