"""Doors for outside checks: from the `case` of a case to what this project says of its inputs.

Inputs are SI units as keywords (angles in degrees where the key says deg), as the cases name them; what comes back
holds the names in the case's `expected`, and more where one call gives more. A door changes units and calls
public functions, nothing more: what is refused there raises `parts.findings.SeamwrightError` here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from doors_mount import MOUNT_DOORS

from assemblies.liquid import (
    Cavity,
    PourState,
    TiltState,
    box,
    capacity_at_tilt,
    combine,
    cuboid,
    drop_factor,
    lift_limits,
    open_box_body,
    pour_smoothly,
    pour_steadily,
    pushed,
    recommended_weight,
    round_cavity,
    spill_acceleration,
    spill_tilt,
    tilted,
    tip_limit,
    volume_for_depth,
    weight_limit,
)
from assemblies.liquid.waves.housner import housner_period, housner_pressure, housner_rect, housner_round
from assemblies.liquid.waves.modes import Mode, first_waves, rect_mode, round_mode, round_share
from assemblies.shop import capillary
from assemblies.strength import Box, BoxResult, Liquid, Load, OnPlates, Pad, Strip, tank_spec
from parts.findings import SeamwrightError

__all__ = ["DOORS"]

Out = dict[str, Any]
WATER = 998.2  # kg/m3, where a case names none
DRUM_PIVOT = "axis, mid height H/2"


def _box(L: float, W: float, H: float, h: float) -> tuple[Cavity, float]:
    """The inside of a box and what stands h deep in it; x from the back wall to the lip at L, z from the floor."""
    cavity = box(L * 1e3, W * 1e3, H * 1e3, low=(0.0, 0.0, 0.0))
    return cavity, volume_for_depth(cavity, h * 1e3)


def _drum(R: float, H: float, h: float) -> tuple[Cavity, float]:
    """The same of a round tank; x from the axis toward the lip."""
    cavity = round_cavity(R * 1e3, H * 1e3)
    return cavity, volume_for_depth(cavity, h * 1e3)


def _start(cavity: Cavity, volume: float) -> Out:
    angle = spill_tilt(cavity, volume)
    return {"theta0": angle, "theta0_deg": math.degrees(angle)}


def _state(s: TiltState) -> Out:
    x, _, z = s.liquid.centre_mm or (math.nan, math.nan, math.nan)
    return {
        "V": s.liquid.kept_mm3 * 1e-9, "poured": s.liquid.lost_mm3 * 1e-9, "xc": x * 1e-3, "zc": z * 1e-3,
        "Xc": s.lever_mm * 1e-3, "Zc": s.rise_mm * 1e-3, "torque": s.torque_nmm * 1e-3,
    }  # fmt: skip


def tilt_rect_start(L: float, H: float, h: float, W: float = 1.0) -> Out:
    return _start(*_box(L, W, H, h))


def tilt_rect_state(
    L: float, H: float, W: float, h: float, theta_deg: float, pivot_x: float, pivot_z: float, rho: float, g: float
) -> Out:
    pivot = pivot_x * 1e3, W * 500.0, pivot_z * 1e3
    return _state(
        tilted(*_box(L, W, H, h), math.radians(theta_deg), pivot=pivot, density_kg_m3=rho, g_mm_s2=g * 1e3)
    )  # fmt: skip


def tilt_cyl_start(R: float, H: float, h: float) -> Out:
    return _start(*_drum(R, H, h))


def tilt_cyl_state(
    R: float, H: float, h: float, theta_deg: float, rho: float, g: float, pivot: str = DRUM_PIVOT
) -> Out:
    if pivot != DRUM_PIVOT:
        raise SeamwrightError(f"pivot: {pivot!r} is not {DRUM_PIVOT!r}, the only one this door knows")
    middle = 0.0, 0.0, H * 500.0
    return _state(tilted(*_drum(R, H, h), math.radians(theta_deg), pivot=middle, density_kg_m3=rho, g_mm_s2=g * 1e3))


def tilt_cyl_capacity(R: float, H: float, theta_deg: float) -> Out:
    return {"V": capacity_at_tilt(round_cavity(R * 1e3, H * 1e3), math.radians(theta_deg)) * 1e-9}


def _pour(s: PourState) -> Out:
    return {
        "theta_deg": math.degrees(s.tilt_rad), "rate_deg_s": math.degrees(s.rate_rad_s), "V": s.left_mm3 * 1e-9,
        "poured": s.poured_mm3 * 1e-9, "q": s.flow_mm3_s * 1e-9, "q_peak": s.peak_mm3_s * 1e-9,
    }  # fmt: skip


def pour_schedule(L: float, H: float, W: float, h: float, q: float, t: float) -> Out:
    return _pour(pour_steadily(*_box(L, W, H, h), q * 1e9, t))


def pour_smooth(L: float, H: float, W: float, h: float, Vpour: float, T: float, t: float) -> Out:
    return _pour(pour_smoothly(*_box(L, W, H, h), Vpour * 1e9, T, t))


def accel_cube_third(L: float, H: float, W: float, h: float, kept_fraction: float, g: float) -> Out:
    return {"a": spill_acceleration(*_box(L, W, H, h), gravity=(0.0, 0.0, -g * 1e3), kept=kept_fraction) * 1e-3}


def accel_box(
    L: float, H: float, W: float, h: float, a: float | None = None, g: float = 9.80665, rho: float = WATER
) -> Out:
    """Pushed along +x, so that the liquid climbs the rear wall at x = 0; without `a`, at the verge of spilling."""
    (cavity, volume), gravity = _box(L, W, H, h), (0.0, 0.0, -g * 1e3)
    limit = spill_acceleration(cavity, volume, gravity=gravity)
    s = pushed(cavity, volume, limit if a is None else a * 1e3, density_kg_m3=rho, gravity=gravity)
    return {
        "a_limit": limit * 1e-3, "slope": s.slope, "depth_front": s.front_mm * 1e-3, "depth_rear": s.rear_mm * 1e-3,
        "kept": s.liquid.kept_mm3 * 1e-9, "spilled": s.liquid.lost_mm3 * 1e-9,
        "F_rear": -s.liquid.face("left").force_n[0], "F_front": s.liquid.face("right").force_n[0],
    }  # fmt: skip


def liquid_shift(L: float, h: float, a: float, g: float) -> Out:
    """In a box so high that nothing spills. dx is counted toward the rear."""
    x, _, z = pushed(*_box(L, 1.0, 1e3 * (L + h), h), a * 1e3, gravity=(0.0, 0.0, -g * 1e3)).shift_mm
    return {"dx": -x * 1e-3, "dz": z * 1e-3}


def tank_inertia(
    L: float, W: float, H: float, wall: float, fill: float, rho_s: float, rho: float,
    extra_plate: tuple[float, ...] | None = None,
) -> Out:  # fmt: skip
    """`extra_plate`: three sizes, the place of its centre, its density."""
    body = open_box_body((L * 1e3, W * 1e3, H * 1e3), wall * 1e3, rho_s, fill * 1e3, rho)
    if extra_plate is not None:
        dx, dy, dz, cx, cy, cz, density = extra_plate
        body = combine([body, cuboid((dx * 1e3, dy * 1e3, dz * 1e3), (cx * 1e3, cy * 1e3, cz * 1e3), density)])
    (x, y, z), rows, products = body.centre_mm, body.inertia_kg_mm2, body.products
    return {
        "m": body.mass_kg, "x": x * 1e-3, "y": y * 1e-3, "z": z * 1e-3, "z_cog": z * 1e-3, "Ixx": rows[0][0] * 1e-6,
        "Iyy": rows[1][1] * 1e-6, "Izz": rows[2][2] * 1e-6, "Pxy": products[0] * 1e-6, "Pxz": products[1] * 1e-6,
        "Pyz": products[2] * 1e-6,
    }  # fmt: skip


def tip(z_cog: float, half_base: float, a: float, g: float, m: float | None = None) -> Out:
    """The mass cancels out."""
    found = tip_limit(z_cog * 1e3, half_base * 1e3, acceleration_mm_s2=a * 1e3, g_mm_s2=g * 1e3)
    return {
        "tilt_deg": math.degrees(found.tilt_rad), "a_tip": found.acceleration_mm_s2 * 1e-3,
        "sf": math.inf if found.safety is None else found.safety,
    }  # fmt: skip


def niosh(
    H: float, V: float, D: float, A_deg: float, F: float, hours: float, coupling: Any, liquid: bool = False
) -> Out:
    found = recommended_weight(H * 100, V * 100, D * 100, A_deg, F, hours, coupling, liquid=liquid)
    return {
        "HM": found.horizontal, "VM": found.vertical, "DM": found.distance, "AM": found.asymmetry,
        "FM": found.frequency, "CM": found.coupling, "RWL": found.weight,
    }  # fmt: skip


def niosh_inch(
    LC_lb: float, HM: float, V_in: float, D_in: float, A: float, FM: float, CM: float, dest_H_in: float,
    dest_V_in: float, dest_CM: float,
) -> Out:  # fmt: skip
    """Origin and destination of one lift. HM at the origin is 10 in over the reach."""
    if not 0.0 < HM <= 1.0:
        raise SeamwrightError(f"HM: {HM!r} must be above 0 and at most 1")
    origin, destination = (
        weight_limit(at, height, D_in, A, FM, grip, load_constant=LC_lb, system="us").weight
        for at, height, grip in ((10.0 / HM, V_in, CM), (dest_H_in, dest_V_in, dest_CM))
    )
    return {"rwl_origin_lb": origin, "rwl_dest_lb": destination}


def mass_check(mass: float) -> Out:
    over = {limit.name: limit.over for limit in lift_limits(mass)}
    return {"over_25kg": over["reference-mass"], "over_niosh_LC": over["load-constant"]}


def drop(h: float, delta_static: float) -> Out:
    return {"factor": drop_factor(h * 1e3, delta_static * 1e3)}


def slot(gamma: float, theta: float, mu: float, rho: float, gap: float, depth: float, g: float) -> Out:
    found = capillary(gamma, theta, mu, rho, gap, depth, g)
    return {"rise": found.rise, "t_viscous": found.t_viscous, "t_with_inertia": found.t_with_inertia}


_OUTER, _LIQUID = 1.0, -1.0
_AXES = {"left": 0, "right": 0, "front": 1, "back": 1}


def whole_tank(
    size: Sequence[float],
    thickness: Mapping[str, float],
    fill: float,
    support: str,
    strip: Mapping[str, Any] | None,
    floor_plates: Sequence[Mapping[str, Any]],
    wall_plates: Sequence[Mapping[str, Any]],
    quantities: Sequence[Mapping[str, Any]],
) -> Out:
    """Water and own weight, short-term modulus; mm and MPa, as in `data/whole_tanks.json`: {id: value} of what is asked."""
    pads = [_pad("bottom", p["x"], p["y"], p["thickness"]) for p in floor_plates]
    pads += [_pad(p["wall"], p["along"], p["z"], p["thickness"]) for p in wall_plates]
    spec = tank_spec(
        size, thickness, 3200.0, 0.37, OnPlates(pads=tuple(pads)) if support == "plates" else support,
        Strip(width=strip["width"], thickness=strip["thickness"]) if strip else "free", density_kg_m3=1190.0,
    )  # fmt: skip
    water = Liquid(density_kg_m3=WATER, depth_mm=fill)
    load = Load(push=lambda _, x, y, z: water(x, y, z), pull_mm_s2=(0.0, 0.0, -9806.65))
    solved = Box(spec=spec).solve([load])[0]
    return {q["id"]: _asked(solved, q["id"], q["at"]) for q in quantities}


def _pad(panel: str, a: Sequence[float], b: Sequence[float], thickness: float) -> Pad:
    return Pad(panel=panel, low=(a[0], b[0]), high=(a[1], b[1]), thickness=thickness)


def _asked(solved: BoxResult, name: str, at: Any) -> float:
    panel, _, what = name.partition(".")
    if panel == "seam":
        found = solved.seam(*what.split("|"))
    elif panel in ("floor", "lid") and ("down" in what or "sag" in what):
        found = -solved.moved({"floor": "bottom"}.get(panel, panel), at[0], at[1], 2)
    elif what.startswith(("rim_", "out_")):
        a, b = at[1 - _AXES[panel]], at[2]
        out = 1.0 if panel in ("right", "back") else -1.0
        found = -solved.moved(panel, a, b, 2) if what == "rim_down" else out * solved.moved(panel, a, b, _AXES[panel])
    elif what.startswith("mx"):
        found = solved.pull(panel, *at)
    elif what.endswith("_p1"):
        found = solved.stress(panel, *at, _OUTER if what.startswith("outer") else _LIQUID)
    else:
        raise SeamwrightError(f"{name}: nothing of that name is known of a whole tank")
    return float(found[0])


def _mode(found: Mode) -> Out:
    return {"omega": found.omega, "f": found.frequency_hz, "T": found.period_s}


def slosh_rect(L: float, h: float, n: int = 1, g: float = 9.80665) -> Out:
    return _mode(rect_mode(L, h, g, n))


def slosh_cyl(R: float, h: float, g: float = 9.80665) -> Out:
    return {**_mode(round_mode(R, h, g)), "m1_over_m": round_share(R, h)}


def slosh_sudden(L: float, h: float, a: float, g: float = 9.80665) -> Out:
    found = first_waves(L, h, a, g)
    return {
        "steady_rise": found.steady, "bound": found.bound, "first_mode_peak": found.first_mode,
        "multimode_peak": found.all_modes,
    }  # fmt: skip


def housner_box(L: float, h: float) -> Out:
    found = housner_rect(L, h)
    return {
        "mi_over_m": found.fixed, "mc_over_m": found.swings, "hi_over_h": found.fixed_at, "hc_over_h": found.swings_at,
        "hi_star_over_h": found.fixed_at_with_floor, "hc_star_over_h": found.swings_at_with_floor,
    }  # fmt: skip


def housner_drum(D: float, h: float) -> Out:
    found = housner_round(D, h)
    return {
        "mi_over_m": found.fixed, "mc_over_m": found.swings, "hi_over_h": found.fixed_at, "hc_over_h": found.swings_at,
    }  # fmt: skip


def tank_period(D: float, h: float, g: float = 9.80665) -> Out:
    return {"Tc": housner_period(D, h, g)}


def wall_pressure(L: float, h: float, a: float, rho: float = WATER) -> Out:
    """Housner's form, the bound; `p_quasi_steady_add` is what the steady, tilted surface adds at the wall."""
    steady = first_waves(L, h, a, 9.80665).steady
    return {
        "p_impulsive_floor": housner_pressure(L, h, a, rho), "p_mid": housner_pressure(L, h, a, rho, h / 2.0),
        "p_quasi_steady_add": rho * 9.80665 * steady,
    }  # fmt: skip


DOORS: dict[str, Callable[..., Out]] = {
    **MOUNT_DOORS,
    "accel_box": accel_box,
    "accel_cube_third": accel_cube_third,
    "assembly_inertia": tank_inertia,
    "capillary": slot,
    "drop": drop,
    "housner_cyl": housner_drum,
    "housner_rect": housner_box,
    "liquid_shift": liquid_shift,
    "mass_check": mass_check,
    "niosh": niosh,
    "niosh_inch": niosh_inch,
    "pour_schedule": pour_schedule,
    "pour_smooth": pour_smooth,
    "slosh_cyl": slosh_cyl,
    "slosh_rect": slosh_rect,
    "slosh_sudden": slosh_sudden,
    "tank_inertia": tank_inertia,
    "tank_period": tank_period,
    "tilt_cyl_capacity": tilt_cyl_capacity,
    "tilt_cyl_start": tilt_cyl_start,
    "tilt_cyl_state": tilt_cyl_state,
    "tilt_rect_start": tilt_rect_start,
    "tilt_rect_state": tilt_rect_state,
    "tip": tip,
    "whole_tank": whole_tank,
    "wall_pressure": wall_pressure,
}
