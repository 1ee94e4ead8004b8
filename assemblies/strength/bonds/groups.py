"""Groups of bolts: shares in their plane, pulls out of it by a heel and by a bed that only pushes, what a tapped hole holds.

Any consistent units. Source: elastic centre of a fastener group and pull in proportion to the distance from the heel (Shigley,
Mechanical Engineering Design, ch. 8; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import Array
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import finite

__all__ = ["Heel", "OnBed", "Shares", "bolts_heel", "bolts_in_plane", "plate_on_bed", "tap_pullout"]

_NOTHING = 1e-9  # of a moment, beside force times arm
_ROUNDS = 200


@dataclass(frozen=True, kw_only=True)
class Shares:
    """The moment of a force about the middle of the bolts (positive from x to y), and the force on each bolt."""

    moment: float
    shares: tuple[tuple[float, float], ...]

    @property
    def largest(self) -> float:
        return max(math.hypot(*one) for one in self.shares)


def _numbers(what: str, *values: float) -> None:
    if not all(finite(v) for v in values):
        raise SeamwrightError(f"{what}: every figure must be a finite number")


def bolts_in_plane(bolts: Sequence[tuple[float, float]], force: tuple[float, float], at: tuple[float, float]) -> Shares:
    """Equal bolts under a force in their plane: an even share each, and what turns them by distance from their middle.

    Raises:
        SeamwrightError: no bolt; one, or all at one place, under a force that turns.

    >>> bolts_in_plane([(25, 25), (-25, 25), (-25, -25), (25, -25)], (0, -60), (200, 0)).shares[0]
    (60.0, -75.0)
    """
    if not bolts:
        raise SeamwrightError("no bolts")
    _numbers("bolts", *force, *at, *(v for bolt in bolts for v in bolt))
    places = np.array(bolts, dtype=float)
    arms = places - places.mean(axis=0)
    x, y = np.array(at, dtype=float) - places.mean(axis=0)
    moment = float(x * force[1] - y * force[0])
    polar = float((arms**2).sum())
    size = math.hypot(*force) * max(math.hypot(x, y), 1e-30)
    if polar <= 1e-12 * max(float((places**2).sum()), 1e-30) or polar == 0.0:
        if abs(moment) > _NOTHING * size:
            raise SeamwrightError(
                "one bolt, or bolts at one place, cannot hold what turns them: take two or more apart"
            )
        polar = math.inf
    turned = moment / polar * np.stack([-arms[:, 1], arms[:, 0]], axis=1)
    each = turned + np.array(force) / len(bolts)
    return Shares(moment=moment, shares=tuple((float(a), float(b)) for a, b in each))


@dataclass(frozen=True, kw_only=True)
class Heel:
    """Pull of each bolt, and what the heel presses with."""

    tension: tuple[float, ...]
    heel: float

    @property
    def largest(self) -> float:
        return max(self.tension)


def bolts_heel(ys: Sequence[float], moment: float, pull: float = 0.0) -> Heel:
    """A rigid plate that pivots on its lower edge, y = 0: bolts pull in proportion to their height, a central pull evenly.

    Raises:
        SeamwrightError: no bolt, one on the heel or below it, a moment that lifts the other edge.

    >>> bolts_heel([20, 60], 9000, 12).tension
    (51.0, 141.0)
    """
    _numbers("bolts", moment, pull, *ys)
    if not ys or min(ys) <= 0.0:
        raise SeamwrightError(
            "a bolt row on the heel, or below it, pulls nothing: count heights from the edge it pivots on"
        )
    if min(moment, pull) < 0.0:
        raise SeamwrightError(
            "a moment that lifts the lower edge, or a push: count heights from the other edge, pulls over 0"
        )
    square = math.fsum(y * y for y in ys)
    return Heel(tension=tuple(moment * y / square + pull / len(ys) for y in ys), heel=moment * math.fsum(ys) / square)


@dataclass(frozen=True, kw_only=True)
class OnBed:
    """Pressed length from the lower edge, pull of each bolt, largest pressure of the bed."""

    pressed: float
    tension: tuple[float, ...]
    bed_pressure: float


def plate_on_bed(
    width: float, depth: float, ys: Sequence[float], moment: float, k_bolt: float, k_bed: float, pull: float = 0.0
) -> OnBed:
    """A rigid plate on an elastic bed that only pushes, held by bolts that only pull: prying comes in through the bed.

    Args:
        width, depth: of the plate; ys are heights of the bolts from its lower edge.
        moment: lifts the upper edge. pull: at mid-depth, away from the bed.
        k_bolt: force per length of each bolt. k_bed: pressure per length of the bed.

    Raises:
        SeamwrightError: a size or stiffness that is none, a bolt off the plate, nothing that holds.
        NotCovered: no balance is found.
    """
    _numbers("plate on a bed", width, depth, moment, k_bolt, k_bed, pull, *ys)
    if min(width, depth, k_bolt, k_bed) <= 0.0 or not ys or min(moment, pull) < 0.0:
        raise SeamwrightError(
            "a plate on a bed needs sizes, stiffness, bolts, a moment that lifts its upper edge, a pull"
        )
    if min(ys) < 0.0 or max(ys) > depth:
        raise SeamwrightError(
            f"a bolt at {max(ys, key=lambda y: abs(y - depth / 2.0)):g} is off the plate of {depth:g}"
        )
    high, wanted = np.array(ys, dtype=float), np.array([pull, moment + pull * depth / 2.0])
    bed = k_bed * width

    def state(u: Array) -> tuple[Array, Array]:
        """What the plate is held with at (lift of the lower edge, slope), and how that grows."""
        lift = u[0] + u[1] * high
        active = np.stack([np.ones(len(high)), high])[:, lift > 0.0]
        stiff = k_bolt * active @ active.T
        low, top = _pressed(u, depth)
        parts = [(top**k - low**k) / k for k in (1, 2, 3)]
        stiff = stiff + bed * np.array([[parts[0], parts[1]], [parts[1], parts[2]]])
        return stiff @ u, stiff

    u = np.array([-1e-9 * depth, 0.0])
    for _ in range(_ROUNDS):  # the energy is convex and made of parabolas: Newton ends after a few pieces
        held, stiff = state(u)
        rest = wanted - held
        scale = np.array([1.0, depth])
        if np.abs(rest / scale).max() <= 1e-11 * np.abs(wanted / scale).max():
            break
        step = np.linalg.solve(stiff + 1e-14 * np.trace(stiff) * np.eye(2), rest)
        share, now = 1.0, _energy(u, high, k_bolt, bed, depth, wanted)
        while share > 1e-6 and _energy(u + share * step, high, k_bolt, bed, depth, wanted) > now + 1e-12 * abs(now):
            share /= 2.0
        u = u + share * step
    else:
        raise NotCovered("bolts and bed come to no balance")
    low, top = _pressed(u, depth)
    tension = tuple(float(t) for t in k_bolt * np.maximum(u[0] + u[1] * high, 0.0))
    most = max(-float(u[0]), -float(u[0] + u[1] * depth), 0.0)
    return OnBed(pressed=top - low, tension=tension, bed_pressure=k_bed * most)


def _pressed(u: Array, depth: float) -> tuple[float, float]:
    """From where to where the plate presses."""
    ends = float(u[0]), float(u[0] + u[1] * depth)
    if max(ends) <= 0.0:
        return 0.0, depth
    if min(ends) >= 0.0:
        return 0.0, 0.0
    line = -ends[0] / float(u[1])
    return (0.0, line) if ends[0] < 0.0 else (line, depth)


def _energy(u: Array, high: Array, k_bolt: float, bed: float, depth: float, wanted: Array) -> float:
    low, top = _pressed(u, depth)
    parts = [(top**k - low**k) / k for k in (1, 2, 3)]
    pressed = u[0] ** 2 * parts[0] + 2.0 * u[0] * u[1] * parts[1] + u[1] ** 2 * parts[2]
    lifted = (np.maximum(u[0] + u[1] * high, 0.0) ** 2).sum()
    return float((k_bolt * lifted + bed * pressed) / 2.0 - wanted @ u)


def tap_pullout(diameter: float, engagement: float, shear: float, count: int = 1) -> float:
    """What screws hold in tapped holes at basic size: 7/8 of pi d L each, times the shear stress.

    Source: ASME B1.1 appendix B at basic size. Not for what moves without a positive lock.

    Raises:
        SeamwrightError: an engagement under one diameter, a figure that is none.

    >>> round(tap_pullout(6.0, 12.0, 5.97, 4), 1)
    4726.3
    """
    _numbers("thread", diameter, engagement, shear)
    if min(diameter, shear) <= 0.0 or not isinstance(count, int) or count < 1:
        raise SeamwrightError("a thread needs a diameter, a stress over 0 and at least one screw")
    if engagement < diameter:
        raise SeamwrightError(
            f"an engagement of {engagement:g} is under one diameter ({diameter:g}): the thread strips"
        )
    return 0.875 * math.pi * diameter * engagement * shear * count
