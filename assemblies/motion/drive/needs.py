"""What a drive must give: force, torque, speed, power, pulses; mm, N, N mm and kg as everywhere.

Source: F = m a + m g (mu cos + sin); T = F D / 2 eta + 2 J a / D (statics and kinematics); torque of a micro-step
sin(90 deg / N) of the holding torque. A belt is taken as stiff; resonance is not in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["SlideDrive", "belt_turn", "microstep_share", "motor_torque", "pulses_per_mm", "slide_drive"]

_LEAST_TEETH: Final = 6


@dataclass(frozen=True, kw_only=True)
class SlideDrive:
    """A carriage drawn by a pulley, a pinion or a nut on a screw.

    Attributes:
        force_n: greatest, along the way.
        torque_nmm, rpm, power_w: at the motor, at the greatest force and the greatest speed.
        holds_nmm: what keeps it from running down its slope, at the motor.
        inertia_ratio: of what it moves, as the motor sees it, to the motor's own; nil where that is not given.
        pulses_per_mm, pulses_per_s: of a stepper.
    """

    force_n: float
    torque_nmm: float
    rpm: float
    power_w: float
    holds_nmm: float
    inertia_ratio: float
    pulses_per_mm: float
    pulses_per_s: float


def slide_drive(
    mass_kg: float,
    acceleration: float,
    speed: float,
    per_turn: float,
    *,
    friction: float = 0.02,
    efficiency: float = 0.9,
    inertia_kg_mm2: float = 0.0,
    slope_rad: float = 0.0,
    steps: int = 200,
    micro: int = 8,
    g_mm_s2: float = G_MM_S2,
) -> SlideDrive:
    """The drive of a slide.

    Args:
        mass_kg: all that moves.
        acceleration, speed: greatest, mm/s2 and mm/s.
        per_turn: how far a turn of the motor takes it, mm: pi D of a pulley, the lead of a screw.
        friction: of the guide, of the weight.
        efficiency: of what is between motor and carriage.
        inertia_kg_mm2: of what turns with the motor.
        slope_rad: of the way, up positive.
        steps, micro: a turn, and parts of each.

    Raises:
        SeamwrightError: a figure that cannot be.
    """
    positive(mass=mass_kg, speed=speed, per_turn=per_turn, efficiency=efficiency, gravity=g_mm_s2)
    for name, value in (("acceleration", acceleration), ("friction", friction), ("inertia", inertia_kg_mm2)):
        if not (finite(value) and value >= 0.0):
            raise SeamwrightError(f"{name}: {value!r} must be finite and not negative")
    if efficiency > 1.0 or not (finite(slope_rad) and abs(slope_rad) <= math.pi / 2.0):
        raise SeamwrightError(
            f"efficiency {efficiency!r} must be up to 1, slope {slope_rad!r} rad within a quarter turn"
        )
    arm = per_turn / math.tau
    weight = mass_kg * g_mm_s2 * 1e-3
    climbs = weight * abs(math.sin(slope_rad))
    force = mass_kg * acceleration * 1e-3 + weight * friction * math.cos(slope_rad) + climbs
    pulses = pulses_per_mm(per_turn, steps, micro)
    return SlideDrive(
        force_n=force,
        torque_nmm=force * arm / efficiency + inertia_kg_mm2 * 1e-3 * acceleration / arm,
        rpm=60.0 * speed / per_turn,
        power_w=force * speed * 1e-3 / efficiency,
        holds_nmm=climbs * arm,
        inertia_ratio=mass_kg * arm**2 / inertia_kg_mm2 if inertia_kg_mm2 else 0.0,
        pulses_per_mm=pulses,
        pulses_per_s=pulses * speed,
    )


def pulses_per_mm(per_turn: float, steps: int = 200, micro: int = 8) -> float:
    """Pulses of a stepper to a mm.

    Raises:
        SeamwrightError: not whole, or not above 0.

    >>> pulses_per_mm(40.0, 200, 2)
    10.0
    """
    positive(per_turn=per_turn, steps=steps, micro=micro)
    if steps != int(steps) or micro != int(micro):
        raise SeamwrightError(f"steps {steps!r} and micro-steps {micro!r} must be whole numbers")
    return steps * micro / per_turn


def belt_turn(pitch: float, teeth: int) -> float:
    """How far a turn of a toothed pulley takes its belt.

    Raises:
        SeamwrightError: a pitch that is none, teeth that are not whole or fewer than six.
    """
    positive(pitch=pitch, teeth=teeth)
    if teeth != int(teeth) or teeth < _LEAST_TEETH:
        raise SeamwrightError(f"teeth: {teeth!r} must be a whole number from {_LEAST_TEETH} on")
    return pitch * teeth


def motor_torque(torque: float, gear_ratio: float, safety: float) -> float:
    """What a motor must give behind a gear, with a factor of safety; in the unit of the torque.

    Raises:
        SeamwrightError: a figure that is not finite and above 0; a safety under 1.
    """
    positive(torque=torque, gear_ratio=gear_ratio, safety=safety)
    if safety < 1.0:
        raise SeamwrightError(f"safety: {safety!r} must be 1 or more")
    return safety * torque / gear_ratio


def microstep_share(micro: int) -> float:
    """The torque with which one micro-step is taken, of the holding torque.

    Raises:
        SeamwrightError: not a whole number from 1 on.
    """
    positive(micro=micro)
    if micro != int(micro):
        raise SeamwrightError(f"micro-steps: {micro!r} must be a whole number")
    return math.sin(math.pi / (2.0 * micro))
