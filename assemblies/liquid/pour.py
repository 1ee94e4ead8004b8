"""How far a tank may lean or be pushed before it spills, and what it keeps beyond: all by asking the engine.

Valid: the surface stays level in the effective gravity (slow tilt, steady push), a sharp lip, no head of liquid
standing over it. Toward a lip the room left shrinks as the lean grows; the first lean at which it equals the
liquid is where pouring starts.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from assemblies.design import Vector
from assemblies.liquid.cases import gravity_at_tilt
from assemblies.liquid.cavity import Cavity
from assemblies.liquid.engine import G_MM_S2, REST, WATER_KG_M3, Settled, capacity, settle
from assemblies.liquid.openings import finite, finite_vector, unit
from assemblies.liquid.root import crossing
from parts.findings import SeamwrightError

__all__ = [
    "PourState",
    "TiltState",
    "capacity_at_tilt",
    "pour_smoothly",
    "pour_steadily",
    "spill_acceleration",
    "spill_tilt",
    "tilted",
]

_X: Vector = (1.0, 0.0, 0.0)
_QUARTER = math.pi / 2.0


@dataclass(frozen=True, kw_only=True)
class TiltState:
    """A tank leaned over.

    Attributes:
        tilt_rad: the lean.
        liquid: what is left, in the tank's own axes.
        lever_mm, rise_mm: of the liquid's centre from the pivot, level (positive toward the lip) and straight up.
        torque_nmm: of the liquid's weight about the pivot; positive leans it further.
    """

    tilt_rad: float
    liquid: Settled
    lever_mm: float
    rise_mm: float
    torque_nmm: float


@dataclass(frozen=True, kw_only=True)
class PourState:
    """A moment of a pour, level surface: tilt, its rate, liquid left, poured so far, flow."""

    tilt_rad: float
    rate_rad_s: float
    left_mm3: float
    poured_mm3: float
    flow_mm3_s: float


def capacity_at_tilt(cavity: Cavity, tilt_rad: float, toward: Vector = _X) -> float:
    """The volume (mm3) a tank leaned over its side `toward` still holds.

    Raises:
        SeamwrightError: a tilt outside 0 to 90 degrees.
    """
    return capacity(cavity, gravity_at_tilt(_quarter(tilt_rad), toward))


def spill_tilt(cavity: Cavity, volume: float, toward: Vector = _X) -> float:
    """The lean (rad) over its side `toward` at which the surface first reaches a lip and pouring starts.

    Asked with less than the tank held, it is the lean at which that much is left.

    Raises:
        SeamwrightError: more than the upright tank holds, no liquid, or a tank that lets nothing out by 90 degrees.
    """
    return _first_spill(cavity, volume, lambda angle: gravity_at_tilt(angle, toward))


def spill_acceleration(cavity: Cavity, volume: float, direction: Vector = _X, gravity: Vector = REST) -> float:
    """The steady push (mm/s2) along `direction` at which the surface first reaches a lip (or that much is left).

    Raises:
        SeamwrightError: as for `spill_tilt`; a direction along gravity.
    """
    g, way = np.array(finite_vector(gravity, "gravity")), np.array(unit(direction, "direction"))
    size = float(np.sqrt(g @ g))
    if float(np.linalg.norm(np.cross(g, way))) <= 1e-9 * size:
        raise SeamwrightError(f"direction: {direction!r} runs along gravity: a push that way tips no surface")

    def effective(
        angle: float,
    ) -> Vector:  # g - a way, its length scaled: the surface and the room depend on direction only
        x, y, z = g * math.cos(angle) - way * (size * math.sin(angle))
        return float(x), float(y), float(z)

    return size * math.tan(_first_spill(cavity, volume, effective))


def tilted(
    cavity: Cavity, volume: float, tilt_rad: float, *, toward: Vector = _X, pivot: Vector = (0.0, 0.0, 0.0),
    density_kg_m3: float = WATER_KG_M3, g_mm_s2: float = G_MM_S2,
) -> TiltState:  # fmt: skip
    """Lean a tank with this much liquid over its side `toward` about a pivot (in its own axes, mm).

    Raises:
        SeamwrightError: a tilt outside 0 to 90 degrees; as for `settle`.
    """
    gravity = gravity_at_tilt(_quarter(tilt_rad), toward, g_mm_s2)
    liquid = settle(cavity, volume, gravity, density_kg_m3=density_kg_m3)
    x, y, _ = unit(toward, "toward")
    level = np.array([x * math.cos(tilt_rad), y * math.cos(tilt_rad), math.sin(tilt_rad)])
    arm = np.array(liquid.centre_mm or pivot) - np.array(finite_vector(pivot, "pivot"))
    lever = float(arm @ level)
    return TiltState(
        tilt_rad=tilt_rad, liquid=liquid, lever_mm=lever, rise_mm=float(arm @ np.array(liquid.up)),
        torque_nmm=liquid.mass_kg * g_mm_s2 * 1e-3 * lever,
    )  # fmt: skip


def pour_steadily(cavity: Cavity, volume: float, flow_mm3_s: float, time_s: float, toward: Vector = _X) -> PourState:
    """The state of a pour of constant flow, `time_s` after the surface reached the lip.

    Raises:
        SeamwrightError: flow not above 0, a negative time, or a time past the end of the pour.
    """
    if not (finite(flow_mm3_s) and flow_mm3_s > 0.0):
        raise SeamwrightError(f"flow: {flow_mm3_s!r} mm3/s, must be finite and above 0")
    end = volume / flow_mm3_s
    if not (finite(time_s) and 0.0 <= time_s < end):
        raise SeamwrightError(f"time: {time_s!r} s, must be from 0 to before {end:g} s, when the tank is empty")
    return _pouring(cavity, volume, flow_mm3_s * time_s, flow_mm3_s, toward)


def pour_smoothly(
    cavity: Cavity, volume: float, poured_mm3: float, duration_s: float, time_s: float, toward: Vector = _X
) -> PourState:
    """The state of a pour whose flow swells and fades smoothly.

    Poured so far is total s^3 (10 - 15 s + 6 s^2), s being time over duration.
    Source: least-jerk quintic (Flash and Hogan 1985, J. Neurosci. 5:1688; from memory).

    Raises:
        SeamwrightError: more poured than there is, a duration not above 0, a time outside it.
    """
    if not (finite(poured_mm3) and 0.0 < poured_mm3 < volume):
        raise SeamwrightError(f"poured: {poured_mm3!r} mm3, must be above 0 and below the {volume:g} mm3 there is")
    if not (finite(duration_s) and duration_s > 0.0):
        raise SeamwrightError(f"duration: {duration_s!r} s, must be finite and above 0")
    if not (finite(time_s) and 0.0 <= time_s <= duration_s):
        raise SeamwrightError(f"time: {time_s!r} s, must be from 0 to {duration_s:g} s")
    s = time_s / duration_s
    done = poured_mm3 * s**3 * (10.0 - 15.0 * s + 6.0 * s * s)
    flow = poured_mm3 / duration_s * 30.0 * (s * (1.0 - s)) ** 2
    return _pouring(cavity, volume, done, flow, toward)


def _pouring(cavity: Cavity, volume: float, poured: float, flow: float, toward: Vector) -> PourState:
    """With the surface turning about the lip, flow = rate x surface area x distance of its centre from the lip."""
    left = volume - poured
    angle = spill_tilt(cavity, left, toward)
    liquid = settle(cavity, left, gravity_at_tilt(angle, toward))
    x, y, _ = unit(toward, "toward")
    level = np.array([x * math.cos(angle), y * math.cos(angle), math.sin(angle)])
    lowest = min((way.lowest(liquid.up) for way in cavity.openings), key=lambda p: float(np.dot(p, liquid.up)))
    arm = float((np.array(lowest) - np.array(liquid.surface_centre_mm)) @ level)
    return PourState(
        tilt_rad=angle, rate_rad_s=flow / (liquid.surface_area_mm2 * arm), left_mm3=left, poured_mm3=poured,
        flow_mm3_s=flow,
    )  # fmt: skip


def _quarter(tilt_rad: float) -> float:
    if not (finite(tilt_rad) and 0.0 <= tilt_rad <= _QUARTER):
        raise SeamwrightError(f"tilt: {tilt_rad!r} rad, must be from 0 to {_QUARTER:.6g} (90 degrees)")
    return tilt_rad


def _first_spill(cavity: Cavity, volume: float, gravity: Callable[[float], Vector]) -> float:
    """The angle between 0 and 90 degrees at which the room first equals the volume."""
    room = capacity(cavity, gravity(0.0))
    if not (finite(volume) and 0.0 < volume <= room * (1.0 + 1e-12)):
        raise SeamwrightError(f"volume: {volume!r} mm3, must be above 0 and at most {room:g} mm3, what the tank holds")
    if capacity(cavity, gravity(_QUARTER)) >= volume:
        raise SeamwrightError("this much liquid reaches no lip before 90 degrees: nothing pours")
    return crossing(lambda angle: capacity(cavity, gravity(angle)) - volume, 0.0, _QUARTER)
