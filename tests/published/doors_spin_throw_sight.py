"""Doors of what spins, of what is thrown, of what is looked through."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from assemblies.liquid.sight import flat, tube
from assemblies.motion.spin import vortex, wheel
from assemblies.motion.throw import air, flight
from parts.findings import SeamwrightError

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]
G, WATER = 9.80665, 998.2
AIR = air.AIR_MPA * 1e6
PER_RPM = math.tau / 60.0
M3_FT3 = 35.31466672


def spin(
    R: float,
    H: float,
    h0: float,
    rpm: float | None = None,
    omega: float | None = None,
    g: float = G,
    rho: float = WATER,
) -> Out:
    radius, height, depth, gravity = R * 1e3, H * 1e3, h0 * 1e3, g * 1e3
    dries = vortex.dries_at(radius, height, depth, gravity)
    out: Out = {"rpm_dry": dries / PER_RPM, "rpm_centre_dry": dries / PER_RPM}
    turns = omega if omega is not None else None if rpm is None else rpm * PER_RPM
    if turns is None or depth < height:
        spills = vortex.spills_at(radius, height, depth, gravity)
        out |= {"omega_spill": spills, "rpm_spill": spills / PER_RPM, "rpm": spills / PER_RPM}
    if turns is not None:
        if not rho > 0.0 or not math.isfinite(rho):
            raise SeamwrightError(f"density: {rho!r} must be finite and above 0")
        found = vortex.vortex(radius, height, depth, turns, gravity)
        out |= {
            "dz": found.rise / 1e3, "z_centre": found.centre / 1e3, "z_edge": found.edge / 1e3, "r_dry": found.dry / 1e3,
            "spilled": found.spilled / 1e9, "p_wall_floor": rho * g * found.edge / 1e3,
            "p_floor_centre": rho * g * found.centre / 1e3,
        }  # fmt: skip
    return out


def spin_lid(R: float, H: float, h0: float, omega: float, rho: float = WATER, g: float = G) -> Out:
    found = vortex.lidded(R * 1e3, H * 1e3, h0 * 1e3, omega, rho, g * 1e3)
    return {
        "z0": found.vertex / 1e3, "dry_radius": found.dry / 1e3, "lid_radius": found.wets_lid_from / 1e3,
        "p_floor_rim": found.floor_mpa * 1e6, "p_lid_rim": found.lid_mpa * 1e6, "lid_force": found.lift_n,
    }  # fmt: skip


def tube_hoop(
    ri: float, t: float, omega: float, depth_at_wall: float, rho: float = WATER, rho_s: float = 1190.0, nu: float = 0.37,
    g: float = G,
) -> Out:  # fmt: skip
    found = wheel.spun_hoop(ri * 1e3, t * 1e3, omega, depth_at_wall * 1e3, rho, rho_s, nu, g * 1e3)
    return {
        "p": found.pressure * 1e6, "thin_total": found.thin * 1e6, "thin_spin": found.thin_spin * 1e6,
        "thick_total": found.thick * 1e6,
    }  # fmt: skip


def balance(G_mm_s: float, m: float, rpm: float) -> Out:
    found = wheel.balance(G_mm_s, m, rpm * PER_RPM)
    return {
        "e_per": found.off_mm / 1e3, "U_per": found.unbalance / 1e3, "U_per_gmm": found.unbalance * 1e3,
        "force": found.force_n,
    }  # fmt: skip


def cylinder_force(bore: float, p_gauge: float, rod: float = 0.0, eta: float = 0.85) -> Out:
    found = air.thrust(bore * 1e3, rod * 1e3, p_gauge / 1e6, eta)
    return {
        "push_theory": found.push_theory, "push": found.push, "pull_theory": found.pull_theory, "pull": found.pull,
    }  # fmt: skip


def throw(
    bore: float, p: float, m: float, stroke: float, h: float, eta: float = 0.85, rho: float = WATER,
    d_cushion: float | None = None, g: float = G,
) -> Out:  # fmt: skip
    force = air.thrust(bore * 1e3, 0.0, p / 1e6, eta).push
    found = flight.thrown(force, m, stroke * 1e3, h * 1e3, rho, g_mm_s2=g * 1e3)
    out: Out = {
        "F": force, "a": found.acceleration / 1e3, "v": found.speed / 1e3, "t": found.time, "p_floor": found.floor_mpa * 1e6,
        "ke": found.energy, "z_ballistic": found.height / 1e3,
    }  # fmt: skip
    if d_cushion is not None:
        stop = flight.stopped(found.speed, m, d_cushion * 1e3, force, g_mm_s2=g * 1e3)
        out |= {
            "dec": stop.deceleration / 1e3, "leaves": stop.leaves, "stop_force_vented": stop.let_off_n,
            "stop_force_driven": stop.driven_n, "energy_to_absorb": stop.energy,
        }  # fmt: skip
    return out


def air_use(
    bore: float, stroke: float, p_gauge: float, rod: float = 0.0, patm: float = AIR, cycles_per_min: float | None = None
) -> Out:
    used = air.air_used(bore * 1e3, rod * 1e3, stroke * 1e3, p_gauge / 1e6, patm / 1e6) / 1e9
    if cycles_per_min is None:
        return {"per_cycle": used}
    if not (math.isfinite(cycles_per_min) and cycles_per_min > 0.0):
        raise SeamwrightError(f"strokes a minute: {cycles_per_min!r} must be above 0")
    return {"per_cycle": used, "per_min": used * cycles_per_min, "scfm": used * cycles_per_min * M3_FT3}


def air_speed(C: float, b: float, p_supply: float, area: float, load: float, patm: float = AIR) -> Out:
    found = air.fed_speed(C * 1e15, b, p_supply / 1e6, area * 1e6, load, patm / 1e6)
    return {
        "p_chamber": found.chamber_mpa * 1e6, "flow_factor": found.factor, "mass_flow": found.flow_kg_s,
        "speed": found.speed / 1e3,
    }  # fmt: skip


def reservoir_speed(
    p_abs: float, reservoir: float, area: float, stroke: float, mass: float, friction: float = 0.0, angle_deg: float = 90.0,
    g: float = G, patm: float = AIR,
) -> Out:  # fmt: skip
    energy = air.reservoir_energy(
        p_abs / 1e6, reservoir * 1e9, area * 1e6, stroke * 1e3, mass, friction_n=friction, slope_rad=math.radians(angle_deg),
        g_mm_s2=g * 1e3, air_mpa=patm / 1e6,
    )  # fmt: skip
    return {"energy": energy, "speed": math.sqrt(2.0 * energy / mass)}


def apparent_depth(layers: list[list[float]], n0: float = 1.0) -> Out:
    return {"apparent": flat.apparent_depth([(t, n) for t, n in layers], n0)}


def plate_offset(t: float, incidence_deg: float, n: float) -> Out:
    return {"offset": flat.shifted([(t, n)], math.radians(incidence_deg)).aside}


def slab_shift(layers: list[list[float]], incidence_deg: float, n0: float = 1.0) -> Out:
    found = flat.shifted([(t, n) for t, n in layers], math.radians(incidence_deg), n0)
    return {"shift": found.aside, "along": found.along}


def critical_angle(n1: float, n2: float = 1.0) -> Out:
    return {"angle_deg": math.degrees(flat.critical_angle(n1, n2))}


def oblique_depth(depth: float, n: float, view_deg: float) -> Out:
    found = flat.oblique_depth(depth, n, math.radians(view_deg))
    return {"tangential": found.in_plane, "sagittal": found.across, "sideways": found.sideways}


def side_mirror(n_liquid: float, n_wall: float, n_outside: float = 1.0) -> Out:
    found = flat.side_mirror(n_liquid, n_wall, n_outside)
    return {"critical_deg": math.degrees(found.critical), "front_limit_deg": math.degrees(found.front)}


def bowl(R: float, s: float, nw: float) -> Out:
    found = tube.seen_in_tube(R, 0.0, s, nw, nw)
    return {"image": found.behind, "m": found.wider}


def tube_view(Ri: float, Ro: float, s: float, nw: float, n_wall: float) -> Out:
    found = tube.seen_in_tube(Ri, Ro - Ri, s, nw, n_wall)
    return {"image_behind_outer": found.behind, "m": found.wider}


def tube_lens(ri: float, wall: float, n_liquid: float, n_wall: float, half_width: float) -> Out:
    found = tube.tube_lens(ri, wall, n_liquid, n_wall, half_width)
    return {"efl": found.focal, "back": found.back, "back_edge": found.back_edge}


BELOW_ZERO = {("reservoir_speed", "angle_deg")}
DOORS: dict[str, Callable[..., Out]] = {
    one.__name__: one
    for one in (
        air_speed, air_use, apparent_depth, balance, bowl, critical_angle, cylinder_force, oblique_depth, plate_offset,
        reservoir_speed, side_mirror, slab_shift, spin, spin_lid, throw, tube_hoop, tube_lens, tube_view,
    )
}  # fmt: skip
