"""Doors for outside checks: from the `case` of a case to what this project says of its inputs.

Inputs are SI units as keywords (angles in degrees where the key says deg), as the cases name them; what comes back
holds the names in the case's `expected`, and more where one call gives more. A door changes units and calls
public functions, nothing more: what is refused there raises `parts.findings.SeamwrightError` here.
"""

from __future__ import annotations

import importlib
import math
import pathlib
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from assemblies.liquid import (
    Body,
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
from assemblies.liquid.waves.modes import Mode, first_waves, positive, rect_mode, rect_waves, round_mode, round_share
from assemblies.motion.drive.needs import belt_turn, microstep_share, motor_torque, pulses_per_mm, slide_drive
from assemblies.motion.path.profile import Path, ramps, s_curve, trapezoid
from assemblies.motion.path.shaper import shaper
from assemblies.motion.pour.lag import constant_pour
from assemblies.motion.pour.tilts import lean, worst_lean
from assemblies.motion.pour.weir import francis, lip_head, rehbock
from assemblies.motion.swing.response import Swing
from assemblies.motion.swing.shortest import shortest
from assemblies.shop import capillary
from assemblies.strength import Box, BoxResult, Liquid, Load, OnPlates, Pad, Strip, tank_spec
from parts.findings import SeamwrightError
from parts.make.gear.gear import STRAIGHT, Gear, Rack, involute, involute_inverse, undercut
from parts.make.gear.pair import Backlash, Pair, grown, pair, shift_for_centre
from parts.make.gear.ratio import pairs
from parts.make.gear.strength import basic_form_factor, lewis

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]
WATER = 998.2  # kg/m3, where a case names none
NO_INERTIA = ((0.0, 0.0, 0.0),) * 3  # of a body whose weight alone counts
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


def gear_involute(angle_deg: float) -> Out:
    return {"inv": involute(math.radians(angle_deg))}


def gear_involute_inverse(value: float) -> Out:
    return {"angle_deg": math.degrees(involute_inverse(value))}


def _gear(z: int, m: float, x: float = 0.0, alpha_deg: float = 20.0, thin: float = 0.0) -> Gear:
    return Gear(z, m * 1e3, x, Rack(alpha=math.radians(alpha_deg)), thin * 1e3)


def gear(z: int, m: float, x: float = 0.0, alpha_deg: float = 20.0) -> Out:
    g = _gear(z, m, x, alpha_deg)
    found = {
        "d": g.reference_mm, "db": g.base_mm, "da": g.tip_mm, "df": g.root_mm, "p": g.pitch_mm, "pb": g.base_pitch_mm,
        "s": g.arc_mm, "sa": g.tip_thickness_mm,
    }  # fmt: skip
    return {key: value * 1e-3 for key, value in found.items()}


def gear_thickness(z: int, m: float, r: float, x: float = 0.0, alpha_deg: float = 20.0) -> Out:
    return {"s": _gear(z, m, x, alpha_deg).thickness_mm(r * 1e3) * 1e-3}


def gear_span(z: int, m: float, k: int, x: float = 0.0, alpha_deg: float = 20.0) -> Out:
    found = _gear(z, m, x, alpha_deg).span(k)
    return {"W": found.over_mm * 1e-3, "contact_diameter": found.touches_mm * 1e-3}


def gear_over_pins(z: int, m: float, pin: float, x: float = 0.0, alpha_deg: float = 20.0) -> Out:
    found = _gear(z, m, x, alpha_deg).over_pins(pin * 1e3)
    return {"pin_circle_diameter": found.centres_mm * 1e-3, "M": found.over_mm * 1e-3}


def gear_mesh(
    m: float, z1: int, z2: int, x1: float = 0.0, x2: float = 0.0, alpha_deg: float = 20.0, shorten: bool = False
) -> Out:
    found = pair(_gear(z1, m, x1, alpha_deg), _gear(z2, m, x2, alpha_deg), shorten=shorten)
    return {
        "a": found.centre_mm * 1e-3, "alpha_w_deg": math.degrees(found.working_angle),
        "da1": found.first.tip_mm * 1e-3, "da2": found.second.tip_mm * 1e-3, "contact_ratio": found.contact_ratio,
        "clearance1": found.clearances_mm[0] * 1e-3, "clearance2": found.clearances_mm[1] * 1e-3,
    }  # fmt: skip


def gear_shift(m: float, z1: int, z2: int, a: float, alpha_deg: float = 20.0) -> Out:
    found = shift_for_centre(m * 1e3, (z1, z2), a * 1e3, math.radians(alpha_deg))
    return {"alpha_w_deg": math.degrees(found.working_angle), "x_sum": found.together}


def gear_undercut(z: int, alpha_deg: float = 20.0, hFf: float = STRAIGHT) -> Out:
    found = undercut(z, math.radians(alpha_deg), hFf)
    return {"z_limit": found.limit, "x_min": found.least_shift}


def _play(found: Backlash) -> Out:
    return {
        "j_normal": found.normal_mm * 1e-3, "j_working": found.working_mm * 1e-3,
        "alpha_w_deg": math.degrees(found.working_angle),
    }  # fmt: skip


def gear_backlash(
    m: float, z1: int, z2: int, a: float, x1: float = 0.0, x2: float = 0.0, alpha_deg: float = 20.0,
    thin1: float = 0.0, thin2: float = 0.0,
) -> Out:  # fmt: skip
    return _play(Pair(_gear(z1, m, x1, alpha_deg, thin1), _gear(z2, m, x2, alpha_deg, thin2), a * 1e3).backlash)


def gear_backlash_growth(
    m: float, z1: int, z2: int, a: float, strain_gears: float, strain_plate: float, alpha_deg: float = 20.0,
    thin1: float = 0.0, thin2: float = 0.0,
) -> Out:  # fmt: skip
    before = Pair(_gear(z1, m, 0.0, alpha_deg, thin1), _gear(z2, m, 0.0, alpha_deg, thin2), a * 1e3)
    return _play(grown(before, strain_gears, strain_plate).backlash)


def gear_lewis(m: float, z: int, b: float, Y: float, torque: float, allowable: float) -> Out:
    found = lewis(m * 1e3, z, b * 1e3, Y, torque * 1e3, allowable * 1e-6)
    return {"F_t": found.force_n, "stress": found.stress_mpa * 1e6, "torque_limit": found.torque_limit_nmm * 1e-3}


def gear_form_factor(z: int, x: float = 0.0, rho: float = 0.38) -> Out:
    return {"Y": basic_form_factor(z, x, rho)}


def gear_flank_points(z: int, m: float, radii: Sequence[float], x: float = 0.0, alpha_deg: float = 20.0) -> Out:
    g = _gear(z, m, x, alpha_deg)
    return {"xy": [[v * 1e-3 for v in g.flank_point(r * 1e3)] for r in radii]}


def gear_ratio_search(
    ratio: float, tol_rel: float, z_min: int, z_max: int, m: float | None = None, a: float | None = None,
    a_tol: float = 0.0,
) -> Out:  # fmt: skip
    found = pairs(ratio, tol_rel, z_min, z_max, m, a, a_tol)  # module and centre distance in one unit, whichever
    return {"pairs": [list(p) for p in found], "count": len(found)}


def weir_francis(b: float, h: float, n: int = 0) -> Out:
    return {"Q": francis(b * 1e3, h * 1e3, n) * 1e-9}


def weir_rehbock(
    b: float, h: float, p: float, g: float = 9.80665, k1: float = 0.602, k2: float = 0.083, k3: float = 0.0011
) -> Out:
    return {"Q": rehbock(b * 1e3, h * 1e3, p * 1e3, gravity=g * 1e3, k1=k1, k2=k2, k3=k3 * 1e3) * 1e-9}


def weir_lip_head(b: float, Q: float, L: float, H: float, theta0_deg: float) -> Out:
    """In a box as wide as its lip that has just begun to pour at this tilt."""
    head = lip_head(b * 1e3, Q * 1e9)
    cavity = box(L * 1e3, b * 1e3, H * 1e3)
    angle = math.radians(theta0_deg)
    full = lean(cavity, capacity_at_tilt(cavity, angle), angle).liquid
    return {"head": head * 1e-3, "held_back_volume": head * full.surface_area_mm2 * 1e-9}


def pour_lag(L: float, H: float, W: float, h: float, q: float, C: float = 1.84) -> Out:
    """The case does not say when its lag is taken: once six tenths are poured by the schedule fits it."""
    found = constant_pour(*_box(L, W, H, h), q * 1e9, coefficient=C)
    return {"t95": found.behind_s, "lag_volume": found.standing_at(0.6 * L * W * h / q) * 1e-9}


def torque_set(
    L: float, H: float, W: float, h: float, wall: float, pivot: Sequence[float], angles_deg: Sequence[float],
    extra: Sequence[float] | None = None, rho_s: float = 1190.0, rho: float = WATER,
) -> Out:  # fmt: skip
    """Positive drives the tilt on."""
    cavity = box(L * 1e3, W * 1e3, H * 1e3)
    dry = open_box_body((L * 1e3, W * 1e3, H * 1e3), wall * 1e3, rho_s)
    if extra is not None:
        mass, x, z = extra
        dry = combine([dry, Body(mass_kg=mass, centre_mm=((x - L / 2) * 1e3, 0.0, z * 1e3), inertia_kg_mm2=NO_INERTIA)])
    about, volume = ((pivot[0] - L / 2) * 1e3, 0.0, pivot[1] * 1e3), volume_for_depth(cavity, h * 1e3)
    found = [lean(cavity, volume, math.radians(a), pivot=about, dry=dry, density_kg_m3=rho) for a in angles_deg]
    return {
        "liquid": [s.liquid_nmm * 1e-3 for s in found], "structure": [s.dry_nmm * 1e-3 for s in found],
        "total": [s.torque_nmm * 1e-3 for s in found],
    }  # fmt: skip


def pour_holding_torque(
    L: float, H: float, W: float, h: float, wall: float, rho_s: float, rho: float, pivot_x: float, pivot_z: float,
    gear_ratio: float, safety: float, g: float = 9.80665,
) -> Out:  # fmt: skip
    cavity = box(L * 1e3, W * 1e3, H * 1e3)
    dry = open_box_body((L * 1e3, W * 1e3, H * 1e3), wall * 1e3, rho_s)
    worst = worst_lean(
        cavity, volume_for_depth(cavity, h * 1e3), math.pi / 2.0, pivot=((pivot_x - L / 2) * 1e3, 0.0, pivot_z * 1e3),
        dry=dry, density_kg_m3=rho, g_mm_s2=g * 1e3,
    )  # fmt: skip
    peak = abs(worst.torque_nmm) * 1e-3
    return {
        "m_tank": dry.mass_kg, "peak_torque": peak, "at_deg": math.degrees(worst.tilt_rad),
        "motor_torque": motor_torque(peak, gear_ratio, safety),
    }  # fmt: skip


def slosh_pulse(L: float, h: float, a: float, ta: float, g: float = 9.80665) -> Out:
    swing = Swing(rect_waves(L, h, g, 1), g)
    positive(push=a, time=ta)
    path = Path(np.array([ta]), np.array([a]), np.zeros(1))
    return {"T1": rect_mode(L, h, g).period_s, "residual": float(swing.left(path)[0])}


def slosh_trapezoid(L: float, h: float, a: float, ta: float, tc: float, g: float = 9.80665) -> Out:
    swing, path = Swing(rect_waves(L, h, g, 1), g), ramps(a, ta, tc)
    return {"residual": float(swing.left(path)[0]), "distance": path.distance, "v": a * ta}


def shaped_slide(L: float, h: float, a: float, t_ramp: float, t_cruise: float, g: float = 9.80665) -> Out:
    swing, path = Swing(rect_waves(L, h, g, 3), g), ramps(a, t_ramp, t_cruise)
    shaped = shaper("ZV", rect_mode(L, h, g).omega).of(path)
    return {"plain": list(swing.left(path)), "shaped": list(swing.left(shaped)), "time": shaped.time}


def shape(kind: str, omega: float, zeta: float, omega2: float, zeta2: float) -> Out:
    found = shaper(kind, omega, zeta)  # type: ignore[arg-type]
    return {
        "sizes": list(found.sizes), "times": list(found.times), "residual_10pct": found.leaves(1.1 * omega, zeta),
        "residual_mode2": found.leaves(omega2, zeta2),
    }  # fmt: skip


def steady_move(distance: float, v_max: float, a_max: float) -> Out:
    found = trapezoid(distance, v_max, a_max)
    return {"time": found.time, "v_peak": found.peak, "t_ramp": found.ramp, "t_cruise": found.cruise}


def smooth_move(distance: float, v_max: float, a_max: float, j_max: float) -> Out:
    found = s_curve(distance, v_max, a_max, j_max)
    return {
        "time": found.time, "v_peak": found.peak, "a_peak": found.push, "t_jerk": found.jerk,
        "t_const_acc": found.steady, "t_cruise": found.cruise,
    }  # fmt: skip


def slide_min_time(
    L: float, h: float, n_modes: int, freeboard: float, distance: float, a_max: float, v_max: float, g: float = 9.80665
) -> Out:
    """`T_upper` is the move found, `T_lower` what no move does it in."""
    swing = Swing(rect_waves(L, h, g, n_modes), g)
    found = shortest(
        swing, ((1.0,) * n_modes,), room=freeboard, distance=distance, acceleration=a_max, speed=v_max
    )  # fmt: skip
    return {"T_lower": found.bound, "T_upper": found.path.time, "T_without_liquid": found.without_liquid}


def slider(
    m: float, a: float, v: float, D: float, mu: float, eta: float, J: float, micro: float, steps: int,
    g: float = 9.80665,
) -> Out:  # fmt: skip
    found = slide_drive(
        m, a * 1e3, v * 1e3, math.pi * D * 1e3, friction=mu, efficiency=eta, inertia_kg_mm2=J * 1e6, steps=steps,
        micro=micro, g_mm_s2=g * 1e3,
    )  # fmt: skip
    return {
        "F": found.force_n, "T": found.torque_nmm * 1e-3, "rpm": found.rpm, "P": found.power_w,
        "pulses_per_m": found.pulses_per_mm * 1e3, "pulse_rate": found.pulses_per_s,
    }  # fmt: skip


def steps(pitch: float, teeth: int, steps: int, micro: int) -> Out:
    return {"pulses_per_mm": pulses_per_mm(belt_turn(pitch * 1e3, teeth), steps, micro)}


def microstep_torque(microsteps: Sequence[int]) -> Out:
    return {f"frac{n}": microstep_share(n) for n in microsteps}


DOORS: dict[str, Callable[..., Out]] = {
    "accel_box": accel_box,
    "accel_cube_third": accel_cube_third,
    "assembly_inertia": tank_inertia,
    "backlash": gear_backlash,
    "backlash_growth": gear_backlash_growth,
    "capillary": slot,
    "drop": drop,
    "flank_points": gear_flank_points,
    "gear": gear,
    "housner_cyl": housner_drum,
    "housner_rect": housner_box,
    "involute": gear_involute,
    "involute_inverse": gear_involute_inverse,
    "lewis": gear_lewis,
    "lewis_Y": gear_form_factor,
    "liquid_shift": liquid_shift,
    "mass_check": mass_check,
    "mesh": gear_mesh,
    "microstep_torque": microstep_torque,
    "niosh": niosh,
    "niosh_inch": niosh_inch,
    "over_pins": gear_over_pins,
    "pour_holding_torque": pour_holding_torque,
    "pour_lag": pour_lag,
    "pour_schedule": pour_schedule,
    "pour_smooth": pour_smooth,
    "ratio_search": gear_ratio_search,
    "s_curve": smooth_move,
    "shaped_slide": shaped_slide,
    "shaper": shape,
    "shift_for_centre": gear_shift,
    "slide_min_time": slide_min_time,
    "slider": slider,
    "slosh_cyl": slosh_cyl,
    "slosh_pulse": slosh_pulse,
    "slosh_rect": slosh_rect,
    "slosh_sudden": slosh_sudden,
    "slosh_trapezoid": slosh_trapezoid,
    "span": gear_span,
    "steps": steps,
    "tank_inertia": tank_inertia,
    "tank_period": tank_period,
    "thickness": gear_thickness,
    "tilt_cyl_capacity": tilt_cyl_capacity,
    "tilt_cyl_start": tilt_cyl_start,
    "tilt_cyl_state": tilt_cyl_state,
    "tilt_rect_start": tilt_rect_start,
    "tilt_rect_state": tilt_rect_state,
    "tip": tip,
    "torque_set": torque_set,
    "trapezoid": steady_move,
    "undercut": gear_undercut,
    "wall_pressure": wall_pressure,
    "weir_francis": weir_francis,
    "weir_lip_head": weir_lip_head,
    "weir_rehbock": weir_rehbock,
    "whole_tank": whole_tank,
}
BELOW_ZERO: set[tuple[str, str]] = set()  # case and input that may be below zero
# a file `doors_*.py` beside this one brings the doors of a room, and what of them may be below zero
for _file in sorted(pathlib.Path(__file__).parent.glob("doors_*.py")):
    _module = importlib.import_module(_file.stem)
    DOORS |= _module.DOORS
    BELOW_ZERO |= getattr(_module, "BELOW_ZERO", set())
