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

from assemblies.liquid.engine import G_MM_S2, REST, WATER_KG_M3, Settled, capacity, settle
from assemblies.liquid.loads.cases import gravity_at_tilt, slide
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.openings import OVER_THE_RIM
from assemblies.liquid.shapes.root import crossing
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = [
    "PourState",
    "PushState",
    "TiltState",
    "capacity_at_tilt",
    "first_way",
    "pour_smoothly",
    "pour_steadily",
    "pour_ways",
    "pours_at",
    "pushed",
    "spill_acceleration",
    "spill_tilt",
    "tilted",
]

_X: Vector = (1.0, 0.0, 0.0)
_QUARTER = math.pi / 2.0
_SAME_HEIGHT = 1e-5  # openings this near in height, of the depth, overflow together
_JUST_LEANING = 1e-6  # rad: a level rim is equally low all round; leaning a little more shows where it pours


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
class PushState:
    """A tank pushed steadily along a level direction, its liquid settled.

    Attributes:
        slope: of the surface, rise over run: acceleration over gravity.
        liquid: what is left.
        front_mm, rear_mm: depth at the foremost and the rearmost place of the cavity, over the level of its lowest
            point; nil where the floor is bare.
        rest_mm: where the liquid's centre stands at rest.
    """

    slope: float
    liquid: Settled
    front_mm: float
    rear_mm: float
    rest_mm: Vector

    @property
    def shift_mm(self) -> Vector:
        """How far the push moves the liquid's centre.

        Raises:
            NotCovered: some has spilled: it is no longer the centre of the same liquid.
        """
        if self.liquid.lost_mm3 > 0.0 or self.liquid.centre_mm is None:
            raise NotCovered(
                f"{self.liquid.lost_mm3:g} mm3 spill at this push: the centre of the liquid did not only move"
            )
        (x, y, z), (x0, y0, z0) = self.liquid.centre_mm, self.rest_mm
        return x - x0, y - y0, z - z0


@dataclass(frozen=True, kw_only=True)
class PourState:
    """A moment of a pour, level surface: tilt, its rate, liquid left, poured so far, flow and its greatest value."""

    tilt_rad: float
    rate_rad_s: float
    left_mm3: float
    poured_mm3: float
    flow_mm3_s: float
    peak_mm3_s: float


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


def pour_ways(cavity: Cavity) -> tuple[Vector, ...]:
    """The directions to lean in that may pour soonest: over sides, corners, the ends of each spout, open ports."""
    ends = cavity.upright_box
    length, width = (ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]) if ends else (1.0, 1.0)
    ways: list[Vector] = [(1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)]
    ways += [(x * length, y * width, 0.0) for x in (1.0, -1.0) for y in (1.0, -1.0)]
    low, high = (np.array([cavity.body.span(axis)[k] for axis in ways[:3:2]]) for k in (0, 1))
    ends_of = [corner for lip in cavity.lips if lip.way != OVER_THE_RIM for corner in lip.corners]
    for place in [*ends_of, *(port.circle.centre for port in cavity.ports if port.open)]:
        x, y = np.array(place[:2]) - (low + high) / 2.0
        if math.hypot(x, y) > 1e-6:
            ways.append((float(x), float(y), 0.0))
    return tuple(unit(way, "way") for way in dict.fromkeys(ways))


def first_way(cavity: Cavity, tilt_rad: float, toward: Vector = _X) -> str:
    """How liquid goes that first leaves at this lean: its lowest ways out there."""
    x, y, z = gravity_at_tilt(max(tilt_rad, _JUST_LEANING), toward)
    heights = {way.name: -float(np.dot(way.lowest((-x, -y, -z)), (x, y, z))) / G_MM_S2 for way in cavity.openings}
    least = min(heights.values(), default=0.0)
    return cavity.way_out(name for name, height in heights.items() if height - least <= _SAME_HEIGHT * cavity.depth_mm)


def pours_at(cavity: Cavity, volume: float) -> float | None:
    """The least lean (rad) in any direction at which it starts to pour; None where nothing pours by 90 degrees."""
    found = []
    for way in pour_ways(cavity):
        try:
            found.append(spill_tilt(cavity, volume, way))
        except SeamwrightError:  # in this direction it reaches no way out
            continue
    return min(found, default=None)


def spill_acceleration(
    cavity: Cavity, volume: float, direction: Vector = _X, gravity: Vector = REST, *, kept: float = 1.0
) -> float:
    """The steady push (mm/s2) along `direction` at which the surface first reaches a lip.

    With `kept`, the push that leaves that share of the volume (above 0, at most 1) in the tank.

    Raises:
        SeamwrightError: as for `spill_tilt`; a direction along gravity; a share that is none.
    """
    if not (finite(kept) and 0.0 < kept <= 1.0):
        raise SeamwrightError(f"kept: {kept!r}, must be a share above 0 and at most 1")
    g, way = np.array(finite_vector(gravity, "gravity")), np.array(unit(direction, "direction"))
    size = float(np.sqrt(g @ g))
    if float(np.linalg.norm(np.cross(g, way))) <= 1e-9 * size:
        raise SeamwrightError(f"direction: {direction!r} runs along gravity: a push that way tips no surface")

    def effective(
        angle: float,
    ) -> Vector:  # g - a way, its length scaled: the surface and the room depend on direction only
        x, y, z = g * math.cos(angle) - way * (size * math.sin(angle))
        return float(x), float(y), float(z)

    return size * math.tan(_first_spill(cavity, volume, effective, kept))


def pushed(
    cavity: Cavity,
    volume: float,
    acceleration_mm_s2: float,
    *,
    direction: Vector = _X,
    density_kg_m3: float = WATER_KG_M3,
    gravity: Vector = REST,
) -> PushState:
    """Push a tank with this much liquid steadily along a level direction, for so long that its waves have died.

    Source: tan(slope) = a/g (White, Fluid Mechanics, ch. 2; from memory).

    Raises:
        SeamwrightError: as for `slide` and `settle`; no liquid; a direction not square to gravity.

    >>> from assemblies.liquid import box
    >>> state = pushed(box(300, 250, 200), 300 * 250 * 150, 2000.0)
    >>> round(state.front_mm, 2), round(state.rear_mm, 2), round(state.shift_mm[0], 2)
    (119.41, 180.59, -10.2)
    """
    rest = settle(cavity, volume, gravity, density_kg_m3=density_kg_m3)
    if rest.centre_mm is None:
        raise SeamwrightError(f"volume: {volume!r} mm3, must be above 0: no liquid, no surface")
    way = unit(direction, "direction")
    if abs(float(np.dot(way, rest.up))) > 1e-9:
        raise SeamwrightError(f"direction: {direction!r} must be square to gravity")
    liquid = slide(
        cavity, volume, acceleration_mm_s2, direction=way, density_kg_m3=density_kg_m3, gravity=gravity
    ).liquid
    low, high = cavity.body.span(rest.up)

    def depth(along: float) -> float:
        x, y, z = along * np.array(way) + low * np.array(rest.up)
        return min(max(liquid.reach((float(x), float(y), float(z)), rest.up), 0.0), high - low)

    rear, front = cavity.body.span(way)
    return PushState(
        slope=acceleration_mm_s2 / math.hypot(*gravity),
        liquid=liquid,
        front_mm=depth(front),
        rear_mm=depth(rear),
        rest_mm=rest.centre_mm,
    )


def tilted(
    cavity: Cavity,
    volume: float,
    tilt_rad: float,
    *,
    toward: Vector = _X,
    pivot: Vector = (0.0, 0.0, 0.0),
    density_kg_m3: float = WATER_KG_M3,
    g_mm_s2: float = G_MM_S2,
) -> TiltState:
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
        tilt_rad=tilt_rad,
        liquid=liquid,
        lever_mm=lever,
        rise_mm=float(arm @ np.array(liquid.up)),
        torque_nmm=liquid.mass_kg * g_mm_s2 * 1e-3 * lever,
    )


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
    return _pouring(cavity, volume, flow_mm3_s * time_s, flow_mm3_s, flow_mm3_s, toward)


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
    mean = poured_mm3 / duration_s
    flow = mean * 30.0 * (s * (1.0 - s)) ** 2
    return _pouring(cavity, volume, done, flow, mean * 30.0 / 16.0, toward)  # greatest at half time


def _pouring(cavity: Cavity, volume: float, poured: float, flow: float, peak: float, toward: Vector) -> PourState:
    """With the surface turning about the lip, flow = rate x surface area x distance of its centre from the lip."""
    left = volume - poured
    angle = spill_tilt(cavity, left, toward)
    liquid = settle(cavity, left, gravity_at_tilt(angle, toward))
    x, y, _ = unit(toward, "toward")
    level = np.array([x * math.cos(angle), y * math.cos(angle), math.sin(angle)])
    gx, gy, gz = gravity_at_tilt(max(angle, _JUST_LEANING), toward)
    lowest = max((way.lowest((-gx, -gy, -gz)) for way in cavity.openings), key=lambda p: float(np.dot(p, (gx, gy, gz))))
    arm = float((np.array(lowest) - np.array(liquid.surface_centre_mm)) @ level)
    return PourState(
        tilt_rad=angle,
        rate_rad_s=flow / (liquid.surface_area_mm2 * arm),
        left_mm3=left,
        poured_mm3=poured,
        flow_mm3_s=flow,
        peak_mm3_s=peak,
    )


def _quarter(tilt_rad: float) -> float:
    if not (finite(tilt_rad) and 0.0 <= tilt_rad <= _QUARTER):
        raise SeamwrightError(f"tilt: {tilt_rad!r} rad, must be from 0 to {_QUARTER:.6g} (90 degrees)")
    return tilt_rad


def _first_spill(cavity: Cavity, volume: float, gravity: Callable[[float], Vector], kept: float = 1.0) -> float:
    """The angle between 0 and 90 degrees at which the room first equals this share of the volume."""
    room = capacity(cavity, gravity(0.0))
    if not (finite(volume) and 0.0 < volume <= room * (1.0 + 1e-12)):
        raise SeamwrightError(f"volume: {volume!r} mm3, must be above 0 and at most {room:g} mm3, what the tank holds")
    left = kept * volume
    if capacity(cavity, gravity(_QUARTER)) >= left:
        raise SeamwrightError("this much liquid reaches no lip before 90 degrees: nothing pours")
    return crossing(lambda angle: capacity(cavity, gravity(angle)) - left, 0.0, _QUARTER)
