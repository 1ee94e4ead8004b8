"""Doors of sheet bent by heat: flat lengths, formers, oven, mirrors."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from assemblies.kinds.deflector import mirror as light
from assemblies.shop.heat.oven import heating_time as warmed
from parts.make import bend
from parts.stock.material import material

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]


def bend_allowance(R: float, T: float, angle_deg: float, K: float = bend.NEUTRAL) -> Out:
    return {"BA": bend.allowance(math.radians(angle_deg), R, T, K), "strain_outer": bend.outer_strain(R, T)}


def flat_length(
    straight_legs: list[float], R: float, T: float, angles_deg: list[float], K: float = bend.NEUTRAL
) -> Out:
    return {"flat": bend.flat_length(straight_legs, [math.radians(a) for a in angles_deg], R, T, K)}


def arc_from_sagitta(chord: float, sagitta: float) -> Out:
    radius, angle, arc = bend.arc_of(chord, sagitta)
    return {"R": radius, "angle": angle, "arc": arc}


def springback(Ri: float, T: float, Y: float, E: float) -> Out:
    share, after = bend.metal_springback(Ri, T, Y, E)
    return {"Ri_over_Rf": share, "Rf": after}


def cold_bend(E: float, T: float, R: float) -> Out:
    return {"stress": bend.cold_stress(E, T, R)}


def bend_lines(
    outside: list[float], R: list[float], t: float, angles_deg: list[float], K: float = bend.NEUTRAL,
    heated: float | None = None,
) -> Out:  # fmt: skip
    found = bend.bend_lines(outside, R, t, [math.radians(a) for a in angles_deg], K, heated)
    return {
        "flat": found.flat, "bends": [list(one) for one in found.bends], "straights": list(found.straights),
        "deduction": list(found.deductions),
    }  # fmt: skip


def cold_radius(t: float, E: float, allowable: float) -> Out:
    inside = bend.cold_radius(t, E, allowable)
    return {"inside_radius": inside, "ratio": inside / t}


def curve(inside_radius: float, t: float, angle_deg: float, stations: int) -> Out:
    found = bend.curve(inside_radius, t, math.radians(angle_deg), stations)
    return {
        "developed": found.developed, "chord": found.chord, "sagitta": found.sagitta,
        "points": [list(one) for one in found.points],
    }  # fmt: skip


def former(part_inside_radius: float, t: float, angle_deg: float, opening: float) -> Out:
    radius, angle = bend.former(part_inside_radius, t, math.radians(angle_deg), opening)
    return {"former_radius": radius, "former_angle_deg": math.degrees(angle)}


def shrink_blank(final_x: float, final_y: float, t: float, shrink_x: float, shrink_y: float) -> Out:
    x, y, after = bend.blank((final_x, final_y), t, (shrink_x, shrink_y))
    return {"cut_x": x, "cut_y": y, "t_after": after}


def heated_width(R: float, t: float, angle_deg: float) -> Out:
    least = bend.heated_width(R, t, math.radians(angle_deg))
    low, high = (n * t for n in bend.HEATED_IN_T)
    return {
        "least": least, "in_t": least / t, "practice_min": low, "practice_max": high,
        "covered_by_practice": least <= high,
    }  # fmt: skip


def heating_time(
    t: float, h: float, T_oven: float, T_start: float, T_target: float, k: float | None = None,
    rho: float | None = None, c: float | None = None,
) -> Out:  # fmt: skip
    pmma = material("cast-pmma")
    own = [pmma.figure(name).value for name in ("thermal_conductivity", "density", "specific_heat")]
    k, rho, c = (mine if given is None else given for given, mine in zip((k, rho, c), own, strict=True))
    found = warmed(t, h, T_oven, T_start, T_target, k, rho, c)
    return {"time": found.time_s, "face_temperature": found.face_c}


def mirror(R: float, half_width: float, distance: float, sign: float) -> Out:
    found = light.mirror(R, half_width, distance, light.is_hollow(sign))
    return {
        "focus_paraxial": found.focus, "focus_edge": found.focus_edge, "edge_angle_deg": math.degrees(found.turned),
        "spot_half": found.half,
    }  # fmt: skip


def best_spot(R: float, half_width: float) -> Out:
    distance, half = light.best_spot(R, half_width)
    return {"distance": distance, "half": half}


DOORS: dict[str, Callable[..., Out]] = {
    one.__name__: one
    for one in (
        bend_allowance, flat_length, arc_from_sagitta, springback, cold_bend, bend_lines, cold_radius, curve, former,
        shrink_blank, heated_width, heating_time, mirror, best_spot,
    )
}  # fmt: skip
#: Inputs that may be below zero.
BELOW_ZERO = {("mirror", "sign"), ("heating_time", "T_start")}
