"""Doors of what bolts to the world: bolt groups, beams, gussets, standoffs, patterns, round plates."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from assemblies.strength.bonds import groups
from assemblies.strength.mount import beams
from assemblies.strength.sheets.round import round_plate
from parts.stock.mounting import hole_circle as circle_of
from parts.stock.mounting import pattern
from parts.stock.thread import clearance, thread

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]
G, PMMA = 9.80665, 1190.0


def bolts_in_plane(bolts: list[list[float]], force: list[float], at: list[float]) -> Out:
    found = groups.bolts_in_plane([(x, y) for x, y in bolts], (force[0], force[1]), (at[0], at[1]))
    return {"moment": found.moment, "shares": [list(one) for one in found.shares], "largest": found.largest}


def bolts_heel(ys: list[float], moment: float, pull: float = 0.0) -> Out:
    found = groups.bolts_heel(ys, moment, pull)
    return {"tension": list(found.tension), "largest": found.largest, "heel": found.heel}


def plate_on_bed(
    width: float, depth: float, ys: list[float], moment: float, k_bolt: float, k_bed: float, pull: float = 0.0
) -> Out:
    found = groups.plate_on_bed(width, depth, ys, moment, k_bolt, k_bed, pull)
    return {"pressed": found.pressed, "tension": list(found.tension), "bed_pressure": found.bed_pressure}


def tap_pullout(d: float, engagement: float, tau: float, n: int = 1) -> Out:
    return {"force": groups.tap_pullout(d, engagement, tau, n)}


def cantilever(
    length: float, width: float, t: float, payload: float, E: float, accel: float = 0.0, density: float = PMMA,
    holes: list[Any] | None = None, g: float = G,
) -> Out:  # fmt: skip
    row = None if holes is None else (holes[0], holes[1], holes[2])
    found = beams.cantilever(length, width, t, E, payload * (g + accel), density * width * t * (g + accel), row)
    net = {} if found.stress_net is None else {"stress_net": found.stress_net}
    return {"stress": found.stress, "deflection": found.deflection, **net}


def cantilever_frequency(
    length: float, width: float, t: float, E: float, density: float, tip_mass: float = 0.0, tip_inertia: float = 0.0
) -> Out:
    stiff = E * width * t**3 / 12.0 if min(width, t) > 0.0 else math.nan
    exact, estimate = beams.cantilever_frequency(stiff, length, density * width * t * length, tip_mass, tip_inertia)
    return {"frequency": exact, "frequency_estimate": estimate}


def gusset_section(width: float, t: float, n: int, tg: float, h: float, moment: float) -> Out:
    found = beams.gusset_section(width, t, n, tg, h, moment)
    return {
        "centroid": found.centroid, "I": found.second, "stress_gusset": found.stress_gusset,
        "stress_face": found.stress_face, "bond_shear_per_force": found.bond_shear,
    }  # fmt: skip


def standoff_tower(n: int, height: float, d: float, E: float, plate_mass: float, density: float = PMMA) -> Out:
    found = beams.standoff_tower(n, height, d, E, plate_mass, density)
    return {"stiffness": found.stiffness, "frequency": found.frequency, "stress_per_sway": found.stress_per_sway}


def circular_plate(
    a: float, t: float, q: float, edge: str, E: float, nu: float, hole: float = 0.0, boss: float = 0.0,
    force: float = 0.0,
) -> Out:  # fmt: skip
    found = round_plate(a, t, E, nu, q, edge, hole_mm=hole, boss_mm=boss, force_n=force)  # type: ignore[arg-type]
    return {
        "w": found.deflection, "M_r_edge": found.radial_edge, "M_r_in": found.radial_inner,
        "M_t_in": found.tangential_inner, "stress_max": found.stress,
    }  # fmt: skip


def hole_circle(n: int, circle: float, start_deg: float = 0.0) -> Out:
    xy, neighbour = circle_of(n, circle, start_deg)
    return {"xy": [list(one) for one in xy], "neighbour": neighbour}


def _round(centres: tuple[tuple[float, float], ...]) -> list[list[float]]:
    """In metres, counter-clockwise from +x."""
    return [[x / 1e3, y / 1e3] for x, y in sorted(centres, key=lambda c: math.atan2(c[1], c[0]) % math.tau)]


def robot_flange(designation: str) -> Out:
    found = pattern(f"ISO 9409-1-{designation}")
    assert found.thread
    assert found.recess_mm
    assert found.outer_mm
    screw, circle = thread(found.thread).major_mm, 2.0 * math.hypot(*found.centres[0])
    return {
        "xy": _round(found.centres), "pilot": found.recess_mm / 1e3, "outer": found.outer_mm / 1e3, "thread": screw / 1e3,
        "web_pilot": (circle - found.recess_mm - screw) / 2e3, "web_rim": (found.outer_mm - circle - screw) / 2e3,
    }  # fmt: skip


def motor_face(frame: int) -> Out:
    found = pattern(f"NEMA {frame}")
    assert found.boss_mm
    return {"square": found.size_mm[0] / 1e3, "xy": _round(found.centres), "pilot": found.boss_mm / 1e3}


def cylinder_face(bore: int) -> Out:
    found = pattern(f"ISO 15552-{bore}")
    assert found.thread
    assert found.boss_mm
    screw = thread(found.thread)
    return {
        "xy": _round(found.centres), "clearance": clearance(screw).diameter_mm / 1e3, "pilot": found.boss_mm / 1e3,
        "circle": 2e-3 * math.hypot(*found.centres[0]), "least_plate": (found.size_mm[0] + 4.0 * screw.major_mm) / 1e3,
    }  # fmt: skip


BELOW_ZERO = {("gusset_section", "moment"), ("cantilever", "accel"), ("hole_circle", "start_deg")}
DOORS: dict[str, Callable[..., Out]] = {
    "bolts_heel": bolts_heel,
    "bolts_in_plane": bolts_in_plane,
    "cantilever": cantilever,
    "cantilever_frequency": cantilever_frequency,
    "circular_plate": circular_plate,
    "cylinder_face": cylinder_face,
    "gusset_section": gusset_section,
    "hole_circle": hole_circle,
    "motor_face": motor_face,
    "plate_on_bed": plate_on_bed,
    "robot_flange": robot_flange,
    "standoff_tower": standoff_tower,
    "tap_pullout": tap_pullout,
}
