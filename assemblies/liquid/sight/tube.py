"""A filled tube: how near and how wide things in it seem, and what it does to a beam across it; lengths in any one unit.

Seen across its axis: along it a tube is a flat window. Source: Gauss's equation of a refracting surface, n1/s + n2/s' =
(n2 - n1)/R, m = -n1 s'/(n2 s) (Hecht, Optics, ch. 5; from memory), paraxial; the edge ray by Snell's law at each surface.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["Lens", "Seen", "seen_in_tube", "tube_lens"]


@dataclass(frozen=True, kw_only=True)
class Seen:
    """How far behind the outer surface the image stands, and how much wider it is."""

    behind: float
    wider: float


def _refract(distance: float, before: float, after: float, radius: float) -> tuple[float, float]:
    """Image distance (under 0: on the side it comes from) and magnification of one surface; radius under 0: centre before."""
    power = (after - before) / radius - before / distance
    if power == 0.0:
        raise SeamwrightError("the image is endlessly far away")
    image = after / power
    return image, -before * image / (after * distance)


def seen_in_tube(
    inner: float, wall: float, depth: float, liquid: float, wall_index: float, outside: float = 1.0
) -> Seen:
    """The image of a thing in the liquid, looked at through the nearest wall.

    Args:
        inner: radius of the tube.
        wall: its thickness; 0 for none.
        depth: of the thing behind the inner surface, toward the axis and past it.
        liquid, wall_index, outside: indices.

    Raises:
        SeamwrightError: a figure that cannot be; a thing outside the tube.
    """
    positive(inner=inner, depth=depth, liquid=liquid, wall_index=wall_index, outside=outside)
    if not (math.isfinite(wall) and wall >= 0.0):
        raise SeamwrightError(f"wall: {wall!r} must be finite and not negative")
    if depth > 2.0 * inner:
        raise SeamwrightError(f"depth: {depth!r} is outside the tube, {2.0 * inner:g} across")
    if wall == 0.0:
        image, wider = _refract(depth, liquid, outside, -inner)
        return Seen(behind=-image, wider=wider)
    first, one = _refract(depth, liquid, wall_index, -inner)
    image, other = _refract(wall - first, wall_index, outside, -(inner + wall))
    return Seen(behind=-image, wider=one * other)


@dataclass(frozen=True, kw_only=True)
class Lens:
    """Focal length, and how far behind the far outer surface the beam crosses: near the middle, and its edge rays."""

    focal: float
    back: float
    back_edge: float


def tube_lens(
    inner: float, wall: float, liquid: float, wall_index: float, half_width: float, outside: float = 1.0
) -> Lens:
    """A filled tube in a parallel beam across it.

    Raises:
        SeamwrightError: a figure that cannot be; a beam wider than the tube; rays that do not come together or not through.
    """
    positive(inner=inner, wall=wall, liquid=liquid, wall_index=wall_index, half_width=half_width, outside=outside)
    outer = inner + wall
    if half_width >= outer:
        raise SeamwrightError(f"half width: {half_width!r} must be under the outer radius of {outer:g}")
    # by how much a ray near the middle is turned, for its height: all surfaces have one centre
    surfaces = ((outside, wall_index, outer), (wall_index, liquid, inner))
    turns = 2.0 * outside * sum((after - before) / (before * after * radius) for before, after, radius in surfaces)
    if turns <= 0.0:
        raise SeamwrightError("the beam does not come together: the tube spreads it")
    focal = 1.0 / turns
    return Lens(focal=focal, back=focal - outer, back_edge=_edge(surfaces, outside * half_width, half_width) - outer)


def _edge(surfaces: Sequence[tuple[float, float, float]], kept: float, height: float) -> float:
    """Where an edge ray crosses the axis of the beam, from the middle of the tube: n r sin i is kept all along (Bouguer)."""
    turned = 0.0
    for before, after, radius in surfaces:
        into, out = kept / (before * radius), kept / (after * radius)
        if max(into, out) >= 1.0:
            raise SeamwrightError("the edge ray is thrown back, or misses the liquid")
        turned += 2.0 * (math.asin(into) - math.asin(out))
    if turned <= 0.0:
        raise SeamwrightError("the edge ray does not come to the middle")
    return height / math.sin(turned)
