"""Doors of round tanks, spouts and the quick-release plate."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from assemblies.liquid import box, capacity_at_tilt, pour_steadily, round_cavity, spill_tilt, volume_for_depth
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.spout import spouted
from assemblies.strength.bonds import wedge
from assemblies.strength.round import shell
from parts.make.strip import bevelled, play_of
from parts.shape.tube import groove_play, rolled

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]
G, PMMA = 9.80665, 1190.0


def rolled_tube(outer_d: float, t: float, height: float, gap: float = 0.0, density: float = PMMA) -> Out:
    found = rolled(outer_d, t, height, gap)
    return {
        "developed": found.developed_mm, "capacity": found.capacity_mm3, "mass": density * found.volume_mm3,
        "outer_strain": found.outer_strain,
    }  # fmt: skip


def hoop(ri: float, t: float, p_in: float, E: float, nu: float, p_out: float = 0.0) -> Out:
    found = shell.hoop(ri, t, p_in, E, nu, p_out)
    return {"thin": found.thin, "inner": found.inner, "outer": found.outer, "bore_growth": found.growth}


def disc_groove(
    tube_od: float, tube_id: float, groove_od: float, groove_id: float, strain_tube: float = 0.0,
    strain_disc: float = 0.0, tol_tube: float = 0.0, tol_groove: float = 0.0,
) -> Out:  # fmt: skip
    found = groove_play(
        (tube_od, tube_id), (groove_od, groove_id), strains=(strain_tube, strain_disc), within_mm=(tol_tube, tol_groove)
    )
    return {
        "outer_min": found.outer_least_mm, "inner_min": found.inner_least_mm, "outer_nominal": found.outer_mm,
        "inner_nominal": found.inner_mm,
    }  # fmt: skip


def tank_base(radius: float, t: float, depth: float, gamma: float, E: float, nu: float) -> Out:
    found = shell.bent_base(radius, t, depth, gamma, E, nu)
    return {
        "beta_d": found.waves, "M_base": found.moment, "Q_base": found.shear, "M_base_long": found.moment_long,
        "Q_base_long": found.shear_long, "w_max": found.growth, "x_w_max": found.growth_at, "base_stress": found.stress,
    }  # fmt: skip


def strip(narrow: float, depth: float, alpha_deg: float, pin: float, sheet: float | None = None) -> Out:
    found = bevelled(narrow, depth, alpha_deg, pin, sheet)
    return {
        "wide": found.wide, "flank": found.flank, "over_pins": found.over_pins, "between_pins": found.between_pins,
        "contact_height": found.contact,
    }  # fmt: skip


def clearance(
    width: float, side_gap: float, length: float, alpha_deg: float, strain_strip: float = 0.0, strain_shoe: float = 0.0
) -> Out:
    found = play_of(width, side_gap, length, alpha_deg, (strain_strip, strain_shoe))
    return {
        "play": found.sideways, "normal": found.normal, "lift": found.lift, "yaw_deg": math.degrees(found.yaw_rad),
    }  # fmt: skip


def pull_out(force: float, alpha_deg: float, length: float, lip_root: float, lip_height: float, mu: float = 0.0) -> Out:
    return vars(wedge.pull_out(force, alpha_deg, mu, length, lip_root, lip_height))


def clamp_hold(clamp: float, alpha_deg: float, mu: float) -> Out:
    return vars(wedge.clamp_hold(clamp, alpha_deg, mu))


def slide_off(mass: float, alpha_deg: float, mu: float, clamp: float = 0.0, hanging: bool = False, g: float = G) -> Out:
    angle = wedge.slide_off(mass * g, alpha_deg, mu, clamp=clamp, hanging=hanging)
    return {"angle_deg": None if angle is None else math.degrees(angle)}


def _box(L: float, H: float, W: float, h: float, lip_out: float, lip_height: float) -> tuple[Cavity, float]:
    cavity = spouted(box(L * 1e3, W * 1e3, H * 1e3), height_mm=lip_height * 1e3, out_mm=lip_out * 1e3)
    return cavity, volume_for_depth(cavity, h * 1e3)


def _drum(R: float, H: float, h: float, lip_out: float, lip_height: float) -> tuple[Cavity, float]:
    cavity = spouted(round_cavity(R * 1e3, H * 1e3), height_mm=lip_height * 1e3, out_mm=lip_out * 1e3)
    return cavity, volume_for_depth(cavity, h * 1e3)


def _kept(cavity: Cavity, volume: float, theta_deg: float) -> Out:
    room = capacity_at_tilt(cavity, math.radians(theta_deg))
    kept = min(room, volume)
    return {"capacity": room / 1e9, "kept": kept / 1e9, "poured": (volume - kept) / 1e9}


def pour_rect_lip(theta_deg: float, **given: float) -> Out:
    return _kept(*_box(**given), theta_deg)


def pour_cyl_lip(theta_deg: float, **given: float) -> Out:
    return _kept(*_drum(**given), theta_deg)


def pour_start_lip(**given: float) -> Out:
    return {"theta_deg": math.degrees(spill_tilt(*_box(**given)))}


def pour_schedule_lip(q: float, times: list[float], **given: float) -> Out:
    cavity, volume = _box(**given)
    return {"theta_deg": [math.degrees(pour_steadily(cavity, volume, q * 1e9, t).tilt_rad) for t in times]}


DOORS: dict[str, Callable[..., Out]] = {
    one.__name__: one
    for one in (
        rolled_tube, hoop, disc_groove, tank_base, strip, clearance, pull_out, clamp_hold, slide_off, pour_rect_lip,
        pour_cyl_lip, pour_start_lip, pour_schedule_lip,
    )
}  # fmt: skip
BELOW_ZERO: frozenset[tuple[str, str]] = frozenset()
