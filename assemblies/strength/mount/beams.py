"""Strips, gusseted roots and standoffs as beams. Any consistent units; a mass times an acceleration must be a force in them.

Source: Euler-Bernoulli beams (any text on strength of materials); Blevins, Formulas for Natural Frequency and Mode Shape (from
memory) for tip masses. Valid: strips over ten thicknesses long.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = [
    "Cantilever",
    "GussetSection",
    "Tower",
    "cantilever",
    "cantilever_frequency",
    "gusset_section",
    "standoff_tower",
]

_BARE = 1.8751040687119611  # first root of a bare cantilever


def _over_nought(what: str, **values: float) -> None:
    for name, value in values.items():
        if not (finite(value) and value > 0.0):
            raise SeamwrightError(f"{what}: {name.replace('_', ' ')} {value!r} must be over 0")


@dataclass(frozen=True, kw_only=True)
class Cantilever:
    """Stress at the clamp, deflection of the tip, and the nominal stress on what a row of holes leaves (None without holes)."""

    stress: float
    deflection: float
    stress_net: float | None


def cantilever(
    length: float,
    width: float,
    thickness: float,
    modulus: float,
    force: float,
    spread: float,
    holes: tuple[float, float, int] | None = None,
) -> Cantilever:
    """A strip clamped at one end.

    Args:
        force: at its tip. spread: along it, per length.
        holes: distance of a row from the clamp, diameter, how many.

    Raises:
        SeamwrightError: a size that is none, holes that leave nothing or lie off the strip.
    """
    _over_nought("cantilever", length=length, width=width, thickness=thickness, modulus=modulus)
    if not (finite(force) and finite(spread)) or min(force, spread) < 0.0:
        raise SeamwrightError("the loads of a cantilever are finite, and count from 0 along one way")
    section, stiff = width * thickness**2 / 6.0, modulus * width * thickness**3 / 12.0

    def moment(x: float) -> float:
        return force * (length - x) + spread * (length - x) ** 2 / 2.0

    net = None
    if holes is not None:
        at, diameter, count = holes
        left = width - count * diameter
        if not 0.0 <= at <= length or diameter <= 0.0 or count < 1:
            raise SeamwrightError(f"a row of {count} holes of {diameter:g} at {at:g} is none on a strip of {length:g}")
        if left <= 0.0:
            raise SeamwrightError(f"{count} holes of {diameter:g} leave no plate of a width of {width:g}")
        net = moment(at) / (left * thickness**2 / 6.0)
    sag = force * length**3 / (3.0 * stiff) + spread * length**4 / (8.0 * stiff)
    return Cantilever(stress=moment(0.0) / section, deflection=sag, stress_net=net)


def cantilever_frequency(
    stiffness: float, length: float, mass: float, tip_mass: float, tip_inertia: float = 0.0
) -> tuple[float, float]:
    """The first bending frequency of a clamped strip with a mass at its tip: exact, and by one term (33/140 of its own mass).

    Args:
        stiffness: E I. mass: of the strip itself. tip_inertia: of the tip mass about the tip.

    Raises:
        SeamwrightError: a figure that is none.
    """
    from scipy.optimize import brentq

    _over_nought("strip", stiffness=stiffness, length=length, mass=mass)
    if not (finite(tip_mass) and finite(tip_inertia)) or min(tip_mass, tip_inertia) < 0.0:
        raise SeamwrightError("a tip mass and its inertia are 0 or more")
    share, turn = tip_mass / mass, tip_inertia / (mass * length**2)

    def free(k: float) -> float:
        """Nothing where moment and shear at the tip are those of the mass; k is beta L."""
        ch, sh, c, s = math.cosh(k), math.sinh(k), math.cos(k), math.sin(k)
        bend = (ch + c - turn * k**3 * (sh + s), sh + s - turn * k**3 * (ch - c))
        shear = (sh - s + share * k * (ch - c), ch + c + share * k * (sh - s))
        return bend[0] * shear[1] - bend[1] * shear[0]

    low = 1e-6
    while free(low * 1.1) * free(low) > 0.0 and low < _BARE:
        low *= 1.1
    root = brentq(free, low, low * 1.1, xtol=1e-14)
    unit = math.sqrt(stiffness / (mass * length**3)) / (2.0 * math.pi)
    return root**2 * unit, math.sqrt(3.0 / (share + 33.0 / 140.0)) * unit


@dataclass(frozen=True, kw_only=True)
class GussetSection:
    """The root of a gusseted plate as one section.

    Attributes:
        centroid: above the plain face. second: second moment of area.
        stress_gusset, stress_face: at the gussets' far edges and at the plain face, for the moment.
        bond_shear: shear stress in the bond under the gussets for a shear force of one.
    """

    centroid: float
    second: float
    stress_gusset: float
    stress_face: float
    bond_shear: float


def gusset_section(
    width: float, thickness: float, count: int, gusset: float, height: float, moment: float
) -> GussetSection:
    """A plate with upright gussets on one face that act with it: parallel axes, bond shear V S / (I b).

    The root alone: nothing is said of a gusset's toe, where the bond peels.

    Args:
        gusset, height: thickness of each, and how far it stands out of the plate's face.
        moment: stretches the side of the gussets.

    Raises:
        SeamwrightError: a size that is none, gussets wider than the plate.
    """
    _over_nought("gusseted plate", width=width, thickness=thickness, gusset=gusset, height=height)
    if not isinstance(count, int) or count < 1 or count * gusset > width or not finite(moment):
        raise SeamwrightError(f"{count} gussets of {gusset:g} do not stand on a plate of {width:g}")
    plate, ribs = width * thickness, count * gusset * height
    middle = thickness + height / 2.0
    centroid = (plate * thickness / 2.0 + ribs * middle) / (plate + ribs)
    second = plate * (thickness**2 / 12.0 + (thickness / 2.0 - centroid) ** 2) + ribs * (
        height**2 / 12.0 + (middle - centroid) ** 2
    )
    return GussetSection(
        centroid=centroid,
        second=second,
        stress_gusset=moment * (thickness + height - centroid) / second,
        stress_face=-moment * centroid / second,
        bond_shear=ribs * (middle - centroid) / (second * count * gusset),
    )


@dataclass(frozen=True, kw_only=True)
class Tower:
    """A plate on standoffs: sideways stiffness, frequency of the sway, bending stress for a sway of one."""

    stiffness: float
    frequency: float
    stress_per_sway: float


def standoff_tower(
    count: int, height: float, diameter: float, modulus: float, plate_mass: float, density: float
) -> Tower:
    """A rigid plate on round standoffs that are built in at both ends: 12 E I n / h3, with 13/35 of their own mass.

    Raises:
        SeamwrightError: a size that is none.
    """
    _over_nought("standoffs", height=height, diameter=diameter, modulus=modulus, plate_mass=plate_mass, density=density)
    if not isinstance(count, int) or count < 1:
        raise SeamwrightError("a tower needs at least one standoff")
    second = math.pi * diameter**4 / 64.0
    stiff = 12.0 * modulus * second * count / height**3
    own = density * math.pi * diameter**2 / 4.0 * height * count
    return Tower(
        stiffness=stiff,
        frequency=math.sqrt(stiff / (plate_mass + 13.0 / 35.0 * own)) / (2.0 * math.pi),
        stress_per_sway=3.0 * modulus * diameter / height**2,
    )
