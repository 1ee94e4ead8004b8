"""What a bend in sheet takes and gives: flat length, bend lines, radii, former, blank, heated width.

*Inside radius*: of the face that becomes hollow. *Neutral line*: the line in the thickness whose length a bend keeps, a share
`k` of the thickness from the hollow face. *Bend allowance*: the length of the neutral line in a bend. *Mould-line corner*:
where the outer faces of two legs would meet. *Setback*: from there to where the bend begins. *Deduction*: what a bend takes off
the sum of both outer legs. *Opening*: the share of its angle by which a part opens once it is let go. Any one unit of length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = [
    "HEATED_IN_T",
    "NEUTRAL",
    "Bends",
    "Curve",
    "allowance",
    "arc_of",
    "bend_lines",
    "blank",
    "cold_radius",
    "cold_stress",
    "curve",
    "flat_length",
    "former",
    "heated_width",
    "metal_springback",
    "outer_strain",
]

#: Heated sheet bent without pull keeps the length of its middle. Source: common practice, no source; geometry of the middle.
NEUTRAL: Final = 0.5
#: Least and most heated width in thicknesses, and least inside radius in thicknesses. Source: page AB (secondary).
HEATED_IN_T: Final = (3.0, 5.0)
LEAST_IN_T: Final = 2.0
_MOST_SHRINK: Final = 0.10  # judgement: sheet that shrinks more is none that the standards know
_MOST_SWELL: Final = 0.05


def _over(value: float, what: str, *, nil: bool = False) -> float:
    if not (finite(value) and (value > 0.0 or (nil and value == 0.0))):
        raise SeamwrightError(f"{what} = {value!r}; it must be {'0 or more' if nil else 'over 0'}")
    return float(value)


def _angle(value: float, most: float = math.pi) -> float:
    if not (finite(value) and 0.0 < value <= most * (1.0 + 1e-12)):
        raise SeamwrightError(f"a bend of {value!r} rad; it must be over 0 and up to {math.degrees(most):.0f} degrees")
    return float(value)


def allowance(angle_rad: float, inside: float, thick: float, k: float = NEUTRAL) -> float:
    """Length of the neutral line in a bend: angle (R + k t).

    Source: sheet-bending chapters (from memory): Kalpakjian and Schmid; Machinery's Handbook. Valid: k 0 to 0.5, a half turn.

    >>> round(allowance(math.pi / 2, 12, 6), 6)
    23.561945
    """
    _angle(angle_rad)
    if not (finite(k) and 0.0 <= k <= 0.5):
        raise SeamwrightError(
            f"a neutral line at k = {k!r}; it lies from 0 to 0.5 of the thickness from the hollow face"
        )
    return angle_rad * (_over(inside, "inside radius", nil=True) + k * _over(thick, "thickness"))


def outer_strain(inside: float, thick: float) -> float:
    """Stretch of the outer face of a bend with its neutral line in the middle: t / (2 R + t)."""
    _over(thick, "thickness")
    return thick / (2.0 * _over(inside, "inside radius", nil=True) + thick)


def flat_length(
    straights: Sequence[float], angles_rad: Sequence[float], inside: float, thick: float, k: float
) -> float:
    """Straight legs and bends between them, one after the other."""
    if len(straights) != len(angles_rad) + 1:
        raise SeamwrightError(f"{len(straights)} legs for {len(angles_rad)} bends; there is one leg more than bends")
    legs = math.fsum(_over(leg, "a straight leg", nil=True) for leg in straights)
    return legs + math.fsum(allowance(angle, inside, thick, k) for angle in angles_rad)


@dataclass(frozen=True, kw_only=True)
class Bends:
    """A strip bent along parallel lines, laid flat: from its first edge start, middle and end of each bend."""

    flat: float
    bends: tuple[tuple[float, float, float], ...]
    straights: tuple[float, ...]
    deductions: tuple[float, ...]


def bend_lines(
    outside: Sequence[float],
    inside: Sequence[float],
    thick: float,
    angles_rad: Sequence[float],
    k: float = NEUTRAL,
    heated: float | None = None,
) -> Bends:
    """Where the bends of a strip lie when it is flat; its legs are given to their mould-line corners.

    Args:
        heated: width of the heated band about the middle of each bend.

    Raises:
        SeamwrightError: a leg shorter than its bends, or heated bands that overlap.

    >>> [round(v, 3) for v in bend_lines([102 + 18, 80], [12], 6, [math.pi / 2]).bends[0]]
    [102.0, 113.781, 125.562]
    """
    if not len(outside) - 1 == len(angles_rad) == len(inside) >= 1:
        raise SeamwrightError(
            f"{len(outside)} legs, {len(angles_rad)} angles and {len(inside)} radii do not make a strip"
        )
    arcs = [allowance(a, r, thick, k) for a, r in zip(angles_rad, inside, strict=True)]
    if max(angles_rad) > math.radians(179.0):
        raise SeamwrightError("a half turn has no mould-line corner; give its straight legs")
    backs = [(r + thick) * math.tan(a / 2.0) for a, r in zip(angles_rad, inside, strict=True)]
    straights = []
    for number, (leg, before, after) in enumerate(zip(outside, [0.0, *backs], [*backs, 0.0], strict=True), 1):
        straight = _over(leg, "a leg") - before - after
        if straight < -1e-12 * leg:
            raise SeamwrightError(
                f"leg {number} of {leg:g} is shorter than its bends, which take {before + after:.4g} of it"
            )
        straights.append(max(0.0, straight))
    places, at = [], 0.0
    for straight, arc in zip(straights, arcs, strict=False):
        at += straight
        places.append((at, at + arc / 2.0, at + arc))
        at += arc
    _check_bands([middle for _, middle, _ in places], heated)
    return Bends(
        flat=at + straights[-1],
        bends=tuple(places),
        straights=tuple(straights),
        deductions=tuple(2.0 * back - arc for back, arc in zip(backs, arcs, strict=True)),
    )


def _check_bands(middles: Sequence[float], heated: float | None) -> None:
    if heated is None:
        return
    _over(heated, "heated width")
    for number, (a, b) in enumerate(pairwise(middles), 1):
        if b - a < heated * (1.0 - 1e-12):
            raise SeamwrightError(
                f"the heated bands of bends {number} and {number + 1} overlap: {heated:g} wide, {b - a:.4g} apart"
            )


@dataclass(frozen=True, kw_only=True)
class Curve:
    """Sheet bent to an arc: developed length, chord and rise of the hollow face, its offsets from the chord."""

    developed: float
    chord: float
    sagitta: float
    points: tuple[tuple[float, float], ...]


def curve(inside: float, thick: float, angle_rad: float, stations: int, k: float = NEUTRAL) -> Curve:
    """An arc to be marked out: places from the middle of the chord, equally spaced along it. Valid: to a half turn."""
    if not (finite(stations) and stations == int(stations) and stations >= 2):
        raise SeamwrightError(f"{stations!r} stations; at least 2, the ends")
    long, r, half = allowance(angle_rad, inside, thick, k), _over(inside, "inside radius"), angle_rad / 2.0
    chord, low, count = 2.0 * r * math.sin(half), r * math.cos(half), int(stations)
    xs = [chord * (i / (count - 1) - 0.5) for i in range(count)]
    points = tuple((x, 0.0 if i in (0, count - 1) else math.sqrt(r * r - x * x) - low) for i, x in enumerate(xs))
    return Curve(developed=long, chord=chord, sagitta=r - low, points=points)


def arc_of(chord: float, sagitta: float) -> tuple[float, float, float]:
    """Radius, angle (rad) and length of the arc over a chord; a rise over the radius is more than half a circle.

    Source: R = c2/8s + s/2, segments of circles, Machinery's Handbook (from memory).

    >>> [round(v, 6) for v in arc_of(200, 100)]
    [100.0, 3.141593, 314.159265]
    """
    c, s = _over(chord, "chord"), _over(sagitta, "rise")
    radius, angle = c * c / (8.0 * s) + s / 2.0, 4.0 * math.atan(2.0 * s / c)
    return radius, angle, radius * angle


def former(inside: float, thick: float, angle_rad: float, opening: float) -> tuple[float, float]:
    """Radius and angle (rad) of the former for a part that opens by a share of its angle; the length of its middle is kept.

    Source: geometry; the share itself comes from a test strip of the same sheet. The formula for metals does not apply.
    """
    r, t = _over(inside, "inside radius"), _over(thick, "thickness")
    if not (finite(opening) and 0.0 <= opening < 0.5):
        raise SeamwrightError(f"an opening of {opening!r}; it is a share of the angle, from 0 to under 0.5")
    radius = (r + t / 2.0) * (1.0 - opening) - t / 2.0
    if radius <= 0.0:
        raise SeamwrightError(
            f"a part of inside radius {r:g} that opens by {opening:.3g} has no former: its radius would be {radius:.3g}"
        )
    return radius, _angle(_angle(angle_rad, math.tau) / (1.0 - opening), math.tau)


def blank(final: tuple[float, float], thick: float, shrinks: tuple[float, float]) -> tuple[float, float, float]:
    """Sides to cut so that sheet has its size after its first free heating, and its thickness then; the volume is kept.

    Args:
        shrinks: share of its length along either side; below 0 it grows.
    """
    for share in shrinks:
        if not (finite(share) and -_MOST_SWELL <= share <= _MOST_SHRINK):
            raise SeamwrightError(
                f"a shrinkage of {share!r}; sheet shrinks by a share of -{_MOST_SWELL:g} to {_MOST_SHRINK:g}"
            )
    (x, y), (sx, sy) = (_over(final[0], "length"), _over(final[1], "width")), shrinks
    return x / (1.0 - sx), y / (1.0 - sy), _over(thick, "thickness") / ((1.0 - sx) * (1.0 - sy))


def heated_width(inside: float, thick: float, angle_rad: float) -> float:
    """The least width that must be soft: the length of the middle of the bend.

    Source: page AB (secondary): inside radius at least 2 t, heated 3 to 5 t (`HEATED_IN_T`).

    Raises:
        SeamwrightError: an inside radius under 2 t.
    """
    least = allowance(angle_rad, inside, thick)
    if inside < LEAST_IN_T * thick * (1.0 - 1e-12):
        raise SeamwrightError(
            f"an inside radius of {inside:g} on sheet of {thick:g}; bent hot it must be at least {LEAST_IN_T:g} t"
        )
    return least


def cold_stress(modulus: float, thick: float, middle_radius: float) -> float:
    """Stress in the faces of sheet curved cold: E t / (2 R), R of its middle. Source: plane bending (Timoshenko)."""
    return _over(modulus, "modulus") * _over(thick, "thickness") / (2.0 * _over(middle_radius, "radius"))


def cold_radius(thick: float, modulus: float, allowed: float) -> float:
    """The least inside radius for a curve held cold for good.

    >>> round(cold_radius(6, 3300, 5), 3)
    1977.0
    """
    inside = cold_stress(modulus, thick, _over(allowed, "allowed stress")) - thick / 2.0
    if inside <= 0.0:
        raise SeamwrightError(
            f"an allowed stress of {allowed:g} bends sheet flat on itself: it is no stress of a solid"
        )
    return inside


def metal_springback(inside: float, thick: float, yields: float, modulus: float) -> tuple[float, float]:
    """Of metal: radius as bent over radius after release, and the radius after. Never of heated PMMA.

    Source: 4 x3 - 3 x + 1, x = R Y / (E t), Kalpakjian and Schmid (from memory). Valid: x under 0.5, else it springs flat.
    """
    r, t = _over(inside, "inside radius"), _over(thick, "thickness")
    x = r * _over(yields, "yield stress") / (_over(modulus, "modulus") * t)
    if x >= 0.5:
        raise SeamwrightError(f"R Y / (E t) = {x:.3g}: bent so little it springs back flat")
    share = 4.0 * x**3 - 3.0 * x + 1.0
    return share, r / share
