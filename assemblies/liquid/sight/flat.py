"""Flat walls and level surfaces: apparent depth, sideways shift, total reflection; lengths in any one unit, angles in radians.

Source: Snell's law; fans at a plane face (Hecht, Optics, ch. 4; Born and Wolf, ch. 4; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = [
    "Mirror",
    "Oblique",
    "Shift",
    "apparent_depth",
    "critical_angle",
    "fan",
    "oblique_depth",
    "shifted",
    "side_mirror",
]

Layers = Sequence[tuple[float, float]]
"""Thickness and index of each, from the eye inward."""


def _through(layers: Layers) -> None:
    if not layers:
        raise SeamwrightError("layers: there are none")
    for thickness, index in layers:
        positive(thickness=thickness, index=index)


def _leans(angle: float, name: str) -> None:
    if not (finite(angle) and 0.0 <= angle < math.pi / 2.0):
        raise SeamwrightError(f"{name}: {angle!r} rad must be from 0 to under a quarter turn")


def apparent_depth(layers: Layers, outside: float = 1.0) -> float:
    """How deep the far side of flat layers seems, looked at squarely.

    Raises:
        SeamwrightError: no layers, or a thickness or an index that is not above 0.

    >>> round(apparent_depth([(800.0, 1.33)]), 1)
    601.5
    """
    _through(layers)
    positive(outside=outside)
    return outside * sum(thickness / index for thickness, index in layers)


@dataclass(frozen=True, kw_only=True)
class Shift:
    """How far a ray comes out aside: square to itself, and along the face."""

    aside: float
    along: float


def shifted(layers: Layers, angle: float, outside: float = 1.0) -> Shift:
    """What flat layers do to a ray that comes from and goes into the same medium.

    Raises:
        SeamwrightError: as `apparent_depth`; an angle that never meets the face; a layer that throws the ray back.
    """
    _through(layers)
    positive(outside=outside)
    _leans(angle, "angle")
    along = 0.0
    for thickness, index in layers:
        sine = outside * math.sin(angle) / index
        if sine >= 1.0:
            raise SeamwrightError(f"the layer of index {index:g} throws the ray back")
        along += thickness * (math.tan(angle) - math.tan(math.asin(sine)))
    return Shift(aside=along * math.cos(angle), along=along)


def critical_angle(inside: float, outside: float) -> float:
    """The angle of incidence above which all light is thrown back into the denser medium.

    Raises:
        SeamwrightError: an index that is not above 0; outside is not the less dense of the two.
    """
    positive(inside=inside, outside=outside)
    if outside >= inside:
        raise SeamwrightError(f"no total reflection from index {inside:g} into {outside:g}: it is no less dense")
    return math.asin(outside / inside)


@dataclass(frozen=True, kw_only=True)
class Oblique:
    """Image of a point under a plane face: depth of the fan in the plane of view and across it, how far it moves to the eye."""

    in_plane: float
    across: float
    sideways: float


def oblique_depth(depth: float, index: float, view: float) -> Oblique:
    """Where a point at a depth seems to be, seen from air at an angle to the normal.

    Raises:
        SeamwrightError: a depth or an index that is not above 0, under 1, an angle that never meets the face.
    """
    positive(depth=depth, index=index)
    _leans(view, "view")
    if index < 1.0:
        raise SeamwrightError(f"index: {index!r} must be 1 or more")
    left = math.sqrt(index**2 - math.sin(view) ** 2)
    in_plane = depth * index**2 * math.cos(view) ** 3 / left**3
    out = depth * math.sin(view) / left
    return Oblique(in_plane=in_plane, across=depth * math.cos(view) / left, sideways=out - in_plane * math.tan(view))


def fan(layers: Layers, view: float) -> tuple[float, float]:
    """Depth of the image of the far side of flat layers, in the plane of view and across it: each layer adds its own.

    Raises:
        SeamwrightError: as `oblique_depth`.
    """
    found = [oblique_depth(thickness, index, view) for thickness, index in layers]
    return sum(one.in_plane for one in found), sum(one.across for one in found)


@dataclass(frozen=True, kw_only=True)
class Mirror:
    """A side wall as a mirror: from which incidence in the liquid, and up to which angle at the square front face it is one."""

    critical: float
    front: float


def side_mirror(liquid: float, wall: float, outside: float = 1.0) -> Mirror:
    """When a flat side wall throws back all light that comes through the front face beside it.

    Raises:
        SeamwrightError: an index that is not above 0; nothing that is less dense than the liquid.
    """
    positive(liquid=liquid, wall=wall, outside=outside)
    critical = critical_angle(liquid, min(wall, outside))
    sine = liquid * math.cos(critical) / outside
    return Mirror(critical=critical, front=math.asin(sine) if sine < 1.0 else math.pi / 2.0)
