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

__all__ = ["RoundPlate", "round_plate"]

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
