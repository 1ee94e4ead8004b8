"""Forces on a bevelled strip in its shoe: pulled off, clamped, sliding out. Friction is no lock.

Any consistent units. Source: statics of a wedge with friction; the shoe's lip as a cantilever, with tension. Angles are of the
flank to the seat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.make.strip import flank_angle
from parts.vectors import finite

__all__ = ["Clamped", "Pulled", "clamp_hold", "pull_out", "slide_off"]


@dataclass(frozen=True, kw_only=True)
class Pulled:
    """Force on each flank, what spreads each side, whether friction alone would hold it, stress at the root of a lip."""

    flank: float
    spread: float
    self_holding: bool
    stress: float


@dataclass(frozen=True, kw_only=True)
class Clamped:
    """Force on each flank, on the seat, and what it holds along the slot."""

    flank: float
    seat: float
    holds: float


def _figures(**given: float) -> None:
    for name, value in given.items():
        if not (finite(value) and value >= 0.0):
            raise SeamwrightError(f"{name}: {value!r} must be a finite number from 0")


def pull_out(force: float, angle_deg: float, friction: float, length: float, root: float, height: float) -> Pulled:
    """A plate pulled straight off its shoe; friction 0 is the safe case.

    Args:
        length, root, height: of the lip: along the slot, thickness where it stands, height of the flank's middle over that.

    Raises:
        SeamwrightError: a figure that is none.

    >>> round(pull_out(150, 60, 0, 100, 12, 10).stress, 4)
    0.6038
    """
    angle = flank_angle(angle_deg)
    _figures(force=force, friction=friction, length=length, root=root, height=height)
    if min(length, root) <= 0.0:
        raise SeamwrightError(f"a lip of {length:g} x {root:g} is none")
    flank = force / (2.0 * (math.cos(angle) + friction * math.sin(angle)))
    spread = flank * (math.sin(angle) - friction * math.cos(angle))
    bent = 6.0 * spread * height / (length * root**2)
    return Pulled(
        flank=flank,
        spread=spread,
        self_holding=friction >= math.tan(angle),
        stress=bent + force / (2.0 * length * root),
    )


def clamp_hold(clamp: float, angle_deg: float, friction: float) -> Clamped:
    """One side of the shoe pressed against the strip: both flanks and the seat rub."""
    angle = flank_angle(angle_deg)
    _figures(clamp=clamp, friction=friction)
    flank, seat = clamp / math.sin(angle), 2.0 * clamp / math.tan(angle)
    return Clamped(flank=flank, seat=seat, holds=friction * (2.0 * flank + seat))


def slide_off(
    weight: float, angle_deg: float, friction: float, *, clamp: float = 0.0, hanging: bool = False
) -> float | None:
    """The tilt of the slot (rad) at which a plate slides out by its own weight; None where it never does by a quarter turn.

    Raises:
        SeamwrightError: a figure that is none; a clamp on one that hangs, which is not worked out.
    """
    angle = flank_angle(angle_deg)
    _figures(weight=weight, friction=friction, clamp=clamp)
    if hanging not in (True, False):
        raise SeamwrightError(f"hanging: {hanging!r} is neither true nor false")
    if weight <= 0.0:
        raise SeamwrightError(f"weight: {weight!r} must be over 0")
    if hanging:
        if clamp:
            raise SeamwrightError("a clamped plate that hangs: what it holds is not worked out")
        return math.atan(friction / math.cos(angle))
    # sin(tilt) - friction cos(tilt) = held
    held = clamp_hold(clamp, angle_deg, friction).holds / weight
    share = held / math.hypot(1.0, friction)
    if share >= 1.0:
        return None
    tilt = math.asin(share) + math.atan(friction)
    return tilt if tilt < math.pi / 2.0 else None
