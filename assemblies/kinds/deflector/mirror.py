"""A parallel beam on a mirror curved round a straight axis: focus, width of the spot, narrowest bundle. Closed forms.

Places count from the mirror's middle, along the beam's axis. Any one unit of length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["Spot", "best_spot", "is_hollow", "mirror", "thrown_back"]


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Where rays near the axis and edge rays cross it (behind a convex mirror: below 0), how far the edge ray is turned
    (rad), and half the width of what it makes on a plane at a distance."""

    focus: float
    focus_edge: float
    turned: float
    half: float


def mirror(radius: float, half_width: float, distance: float, hollow: bool) -> Spot:
    """Law of reflection on a circle; Hecht, Optics (from memory).

    Raises:
        SeamwrightError: an edge ray that would not come back.

    >>> round(mirror(300, 50, 150, True).half, 6)
    0.740473
    """
    turn = 2.0 * _incidence(radius, half_width)
    if not (finite(distance) and distance > 0.0):
        raise SeamwrightError(f"distance = {distance!r}; it must be over 0")
    crosses = _crosses(radius, turn / 2.0)
    if hollow:
        return Spot(focus=radius / 2.0, focus_edge=crosses, turned=turn, half=abs(crosses - distance) * math.tan(turn))
    return Spot(focus=-radius / 2.0, focus_edge=-crosses, turned=turn, half=(crosses + distance) * math.tan(turn))


def is_hollow(sign: float) -> bool:
    """Whether a mirror is hollow, from its sign: 1 concave, -1 convex.

    Raises:
        SeamwrightError: another sign.
    """
    if sign not in (1, -1):
        raise SeamwrightError(f"a mirror of sign {sign!r}; 1 is concave, -1 convex")
    return sign > 0


def best_spot(radius: float, half_width: float) -> tuple[float, float]:
    """Of a hollow mirror: how far off its bundle is narrowest, and half its width there.

    There the edge ray is as far out on its side as the caustic of the inner rays is on the other.
    """
    edge = _incidence(radius, half_width)

    def caustic(inner: float) -> tuple[float, float]:
        """Where neighbours of a ray cross: distance, and height."""
        slope = -radius * math.sin(inner) / (2.0 * math.cos(inner) ** 2)
        return _crosses(radius, inner) + slope * math.sin(4.0 * inner) / 4.0, -slope * math.sin(2.0 * inner) ** 2 / 2.0

    def over(inner: float) -> float:
        distance, high = caustic(inner)
        return (distance - _crosses(radius, edge)) * math.tan(2.0 * edge) - high

    distance, high = caustic(brentq(over, 1e-9 * edge, edge, xtol=1e-15))
    return distance, high


def _incidence(radius: float, half_width: float) -> float:
    if not (finite(radius) and finite(half_width) and radius > 0.0 and half_width > 0.0):
        raise SeamwrightError(f"a mirror of radius {radius!r} and half width {half_width!r}; both must be over 0")
    if half_width >= radius * math.sqrt(0.5):
        raise SeamwrightError(
            f"the edge ray at {half_width:g} of a mirror of radius {radius:g} is turned by 90 degrees or more, and "
            "does not come back"
        )
    return math.asin(half_width / radius)


def _crosses(radius: float, incidence: float) -> float:
    return radius - radius / (2.0 * math.cos(incidence))


def thrown_back(index: float) -> float:
    """The share of light, square on, that both faces of a clear sheet throw back.

    Source: Fresnel; both faces, all their echoes, none absorbed: 2 r / (1 + r).

    >>> round(thrown_back(1.49), 3)
    0.075
    """
    face = ((index - 1.0) / (index + 1.0)) ** 2
    return 2.0 * face / (1.0 + face)
