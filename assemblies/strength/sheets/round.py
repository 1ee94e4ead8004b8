"""Round plates in closed form: solid, with a hole, with a rigid boss.

Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, art. 16 and 17: w = C1 + C2 r2 + C3 ln r + C4 r2 ln r +
q r4 / (64 D). Valid: thin plates, deflection up to half the thickness.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from assemblies.strength.plates.basis import Array
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["Overhung", "RoundPlate", "overhung_plate", "round_plate"]

_PLACES = 400


@dataclass(frozen=True, kw_only=True)
class RoundPlate:
    """Deflection at the inner edge (or the middle), mm, along the load; moments, N mm/mm, over 0 where the far side stretches;
    the largest bending stress anywhere, MPa."""

    deflection: float
    radial_edge: float
    radial_inner: float
    tangential_inner: float
    stress: float


def round_plate(
    radius_mm: float,
    thickness_mm: float,
    modulus_mpa: float,
    poisson: float,
    pressure_mpa: float,
    edge: Literal["supported", "clamped"],
    *,
    hole_mm: float = 0.0,
    boss_mm: float = 0.0,
    force_n: float = 0.0,
) -> RoundPlate:
    """A round plate under a pressure, and a force on its boss.

    Args:
        hole_mm: radius of a free inner edge.
        boss_mm: radius of a rigid disc bonded in, on which the pressure acts too.
        force_n: on the boss, along the pressure.

    Raises:
        SeamwrightError: a size that is none, a hole and a boss, one no smaller than the plate, a force without a boss.
    """
    inner = hole_mm or boss_mm
    _refuse(radius_mm, thickness_mm, modulus_mpa, poisson, pressure_mpa, force_n)
    if edge not in ("supported", "clamped"):
        raise SeamwrightError(f"edge {edge!r} is none of supported, clamped")
    if (hole_mm and boss_mm) or not (finite(inner) and 0.0 <= inner < radius_mm):
        raise SeamwrightError(
            f"a hole or boss of radius {inner:g} mm, one of them, must be smaller than {radius_mm:g} mm"
        )
    if force_n and not boss_mm:
        raise SeamwrightError("a force at a point of a plate without a boss: no stress there is finite")
    rigid = modulus_mpa * thickness_mm**3 / (12.0 * (1.0 - poisson**2))
    terms = _Terms(poisson, rigid, pressure_mpa)
    a, rows = radius_mm, []
    rows.append(terms.row("w", a))
    rows.append(terms.row("slope" if edge == "clamped" else "radial", a))
    if not inner:
        rows += [(np.array([0.0, 0.0, 1.0, 0.0]), 0.0), (np.array([0.0, 0.0, 0.0, 1.0]), 0.0)]
    else:
        rows.append(terms.row("radial" if hole_mm else "slope", inner))
        carried = 0.0 if hole_mm else force_n + pressure_mpa * math.pi * inner**2
        shear = (
            carried / (2.0 * math.pi * inner) - pressure_mpa * inner / 2.0
        )  # 2 pi r D d(del2 w)/dr carries what is inside
        rows.append((np.array([0.0, 0.0, 0.0, 4.0 / inner]), shear / rigid))
    found = np.linalg.solve(np.array([row for row, _ in rows]), np.array([value for _, value in rows]))
    at = inner or 1e-9 * a
    every = np.linspace(at, a, _PLACES)
    moments = [abs(terms.read(kind, r, found)) * rigid for kind in ("radial", "tangential") for r in every]
    return RoundPlate(
        deflection=terms.read("w", at, found),
        radial_edge=-rigid * terms.read("radial", a, found) if edge == "clamped" else 0.0,
        radial_inner=0.0 if hole_mm else -rigid * terms.read("radial", at, found),
        tangential_inner=-rigid * terms.read("tangential", at, found),
        stress=6.0 * max(moments) / thickness_mm**2,
    )


@dataclass(frozen=True, kw_only=True)
class Overhung:
    """A plate that reaches out past what holds its middle: how far its rim sinks, mm; the slope there, over 0 where it droops;
    the radial moment at the inner edge, N mm/mm, over 0 where the side that the load presses on stretches."""

    drop: float
    slope: float
    moment: float


def overhung_plate(
    radius_mm: float,
    thickness_mm: float,
    modulus_mpa: float,
    poisson: float,
    pressure_mpa: float,
    inner_mm: float,
    rim_n: float = 0.0,
    rim_moment: float = 0.0,
) -> Overhung:
    """A round plate clamped within a radius, its rim free, under a pressure, a force and a moment along its rim.

    Args:
        inner_mm: radius within which it is clamped.
        rim_n: along the pressure, N per mm of the rim.
        rim_moment: N mm per mm of the rim, over 0 where it lifts the rim.

    Raises:
        SeamwrightError: a size that is none, a clamped part no smaller than the plate.
    """
    _refuse(radius_mm, thickness_mm, modulus_mpa, poisson, pressure_mpa, rim_n)
    if not (finite(inner_mm) and finite(rim_moment) and 0.0 < inner_mm < radius_mm):
        raise SeamwrightError(f"what clamps a plate of radius {radius_mm:g} mm has a radius of {inner_mm:g} mm")
    rigid = modulus_mpa * thickness_mm**3 / (12.0 * (1.0 - poisson**2))
    terms, a, b = _Terms(poisson, rigid, pressure_mpa), radius_mm, inner_mm
    radial, load = terms.row("radial", a)
    rows = [terms.row("w", b), terms.row("slope", b), (radial, load - rim_moment / rigid)]
    carried = a * rim_n + pressure_mpa * a * a / 2.0  # 2 pi r D d(del2 w)/dr: less what hangs past r
    rows.append((np.array([0.0, 0.0, 0.0, 4.0]), -carried / rigid))
    found = np.linalg.solve(np.array([row for row, _ in rows]), np.array([value for _, value in rows]))
    return Overhung(
        drop=terms.read("w", a, found),
        slope=terms.read("slope", a, found),
        moment=rigid * terms.read("radial", b, found),
    )


def _refuse(radius: float, thickness: float, modulus: float, poisson: float, pressure: float, force: float) -> None:
    if not all(finite(v) and v > 0.0 for v in (radius, thickness, modulus)) or not 0.0 <= poisson < 0.5:
        raise SeamwrightError(
            "a round plate needs a radius, a thickness and a modulus over 0, Poisson's ratio under 0.5"
        )
    if not all(finite(v) and v >= 0.0 for v in (pressure, force)):
        raise SeamwrightError("pressure and force on a round plate are finite, and count from 0 along one way")


@dataclass(frozen=True)
class _Terms:
    """The four functions and the load's own, and what is made of their derivatives."""

    poisson: float
    rigid: float
    pressure: float

    def row(self, kind: str, r: float) -> tuple[Array, float]:
        """An equation that what `kind` names is nothing at r."""
        functions, load = self._parts(kind, r)
        return functions, -load

    def read(self, kind: str, r: float, found: Array) -> float:
        functions, load = self._parts(kind, r)
        return float(functions @ found + load)

    def _parts(self, kind: str, r: float) -> tuple[Array, float]:
        q = self.pressure / self.rigid
        log = math.log(r)
        w = np.array([1.0, r * r, log, r * r * log, q * r**4 / 64.0])
        slope = np.array([0.0, 2.0 * r, 1.0 / r, 2.0 * r * log + r, q * r**3 / 16.0])
        bend = np.array([0.0, 2.0, -1.0 / r**2, 2.0 * log + 3.0, 3.0 * q * r * r / 16.0])
        nu = self.poisson
        every = {"w": w, "slope": slope, "radial": bend + nu * slope / r, "tangential": slope / r + nu * bend}[kind]
        return every[:4], float(every[4])
