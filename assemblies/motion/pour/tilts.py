"""A rig leaned over one side degree by degree: what stays in, its surface, and what its weight does about the pivot.

Source: hydrostatics by the engine; statics. Slow: the surface stays level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from assemblies.design.mass import Body
from assemblies.liquid.engine import G_MM_S2, WATER_KG_M3, Settled, settle
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.motion.path.profile import Array
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite_vector, unit

__all__ = ["Leaned", "Tilts", "lean", "tilts", "worst_lean"]

_X: Final[Vector] = (1.0, 0.0, 0.0)
_STEP_RAD: Final = math.radians(0.5)


@dataclass(frozen=True, kw_only=True, eq=False)
class Leaned:
    """A rig leaned so far, its liquid at rest.

    Attributes:
        tilt_rad: how far.
        liquid: in the rig's own axes.
        liquid_nmm, dry_nmm: torque of the weight about the pivot; positive leans it further.
    """

    tilt_rad: float
    liquid: Settled
    liquid_nmm: float
    dry_nmm: float

    @property
    def torque_nmm(self) -> float:
        return self.liquid_nmm + self.dry_nmm


def lean(
    cavity: Cavity,
    volume: float,
    tilt_rad: float,
    *,
    toward: Vector = _X,
    pivot: Vector = (0.0, 0.0, 0.0),
    dry: Body | None = None,
    density_kg_m3: float = WATER_KG_M3,
    g_mm_s2: float = G_MM_S2,
) -> Leaned:
    """Lean a rig over its side `toward`, about a pivot in its own axes.

    Raises:
        SeamwrightError: as for `settle`; a pivot that is no point.
    """
    liquid = settle(cavity, volume, gravity_at_tilt(tilt_rad, toward, g_mm_s2), density_kg_m3=density_kg_m3)
    x, y, _ = unit(toward, "toward")
    level = np.array([x * math.cos(tilt_rad), y * math.cos(tilt_rad), math.sin(tilt_rad)])
    about = np.array(finite_vector(pivot, "pivot"))

    def torque(mass_kg: float, centre: Vector) -> float:
        return mass_kg * g_mm_s2 * 1e-3 * float((np.array(centre) - about) @ level)

    return Leaned(
        tilt_rad=tilt_rad,
        liquid=liquid,
        liquid_nmm=0.0 if liquid.centre_mm is None else torque(liquid.mass_kg, liquid.centre_mm),
        dry_nmm=0.0 if dry is None else torque(dry.mass_kg, dry.centre_mm),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Tilts:
    """A rig leaned in small steps, each with all of the liquid that stays.

    Attributes:
        states: from level on.
        first_rad: where the first drop leaves; None where nothing does.
        lip_mm: width of the lip it leaves over; None of a corner or a hole.
    """

    states: tuple[Leaned, ...]
    first_rad: float | None
    lip_mm: float | None

    @cached_property
    def angles(self) -> Array:
        return np.array([s.tilt_rad for s in self.states])

    @cached_property
    def kept(self) -> Array:
        """mm3."""
        return np.array([s.liquid.kept_mm3 for s in self.states])

    @cached_property
    def areas(self) -> Array:
        """Of the surface, mm2; where nothing is left, of the last there was."""
        found = [self.states[0].liquid.surface_area_mm2]
        for state in self.states[1:]:
            found.append(state.liquid.surface_area_mm2 or found[-1])
        return np.array(found)

    @cached_property
    def torques(self) -> Array:
        """Of liquid and dry rig, N mm."""
        return np.array([s.torque_nmm for s in self.states])

    def angle_of(self, left: Array) -> Array:
        """The tilt at which so much is left: monotone cubic between the steps."""
        from scipy.interpolate import PchipInterpolator

        if self.first_rad is None:
            raise SeamwrightError("nothing pours: it has no way out on that side")
        k = np.searchsorted(self.angles, self.first_rad)
        falls = np.concatenate([[True], np.diff(self.kept[k:]) < 0.0])
        kept, angles = self.kept[k:][falls][::-1], self.angles[k:][falls][::-1]
        return np.asarray(PchipInterpolator(kept, angles)(np.clip(left, kept[0], kept[-1])))


def tilts(
    cavity: Cavity,
    volume: float,
    last_rad: float,
    *,
    toward: Vector = _X,
    pivot: Vector = (0.0, 0.0, 0.0),
    dry: Body | None = None,
    density_kg_m3: float = WATER_KG_M3,
) -> Tilts:
    """A rig leaned in half degrees up to `last_rad` (at most a quarter turn), the first drop among them."""
    from assemblies.liquid.pour import spill_tilt

    try:
        first = spill_tilt(cavity, volume, toward)
    except SeamwrightError:
        first = None
    count = max(2, math.ceil(last_rad / _STEP_RAD)) + 1
    angles = [float(a) for a in np.linspace(0.0, last_rad, count)]
    if first is not None and first < last_rad:
        angles = sorted({*(a for a in angles if abs(a - first) > 1e-9), first})
    states = tuple(
        lean(cavity, volume, a, toward=toward, pivot=pivot, dry=dry, density_kg_m3=density_kg_m3) for a in angles
    )
    spills = [s.liquid for s in states if s.liquid.lost_mm3 > 0.0]
    return Tilts(states=states, first_rad=first, lip_mm=_width(spills[0]) if spills else None)


def worst_lean(
    cavity: Cavity,
    volume: float,
    last_rad: float,
    *,
    toward: Vector = _X,
    pivot: Vector = (0.0, 0.0, 0.0),
    dry: Body | None = None,
    density_kg_m3: float = WATER_KG_M3,
    g_mm_s2: float = G_MM_S2,
) -> Leaned:
    """The tilt up to `last_rad` at which the weight turns hardest, either way: by half degrees, then closer."""
    from scipy.optimize import minimize_scalar

    def at(angle: float) -> Leaned:
        return lean(
            cavity,
            volume,
            float(angle),
            toward=toward,
            pivot=pivot,
            dry=dry,
            density_kg_m3=density_kg_m3,
            g_mm_s2=g_mm_s2,
        )

    angles = np.linspace(0.0, last_rad, max(2, math.ceil(last_rad / _STEP_RAD)) + 1)
    k = int(np.argmax([abs(at(a).torque_nmm) for a in angles]))
    near = angles[max(k - 1, 0)], angles[min(k + 1, len(angles) - 1)]
    found = minimize_scalar(lambda a: -abs(at(a).torque_nmm), bounds=near, method="bounded", options={"xatol": 1e-6})
    return max((at(angles[k]), at(found.x)), key=lambda one: abs(one.torque_nmm))


def _width(liquid: Settled) -> float | None:
    """How wide the edge is that it leaves over."""
    if len(liquid.reached) < 2 or any(port.name in liquid.over for port in liquid.cavity.ports):
        return None
    places = np.array(liquid.reached)
    return float(np.ptp(places, axis=0).max())
