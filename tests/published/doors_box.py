"""Doors of boxes for electronics: warmth, vents, corner posts, panel parts, tab and slot."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from assemblies.kinds.enclosure import vents
from assemblies.kinds.enclosure import warm_box as warmth
from assemblies.strength.bonds.post import post_holds
from parts.findings import SeamwrightError
from parts.make import tabs
from parts.stock import cutout
from parts.stock.material import material

__all__ = ["BELOW_ZERO", "DOORS"]

Out = dict[str, Any]
MM = 1000.0


def box_rise(size: list[float], wall: float, power: float, ambient_c: float = 25.0, floor: bool = False) -> Out:
    service = material("cast-pmma").figure("service_temperature").value
    x, y, z = size
    found = warmth.box_rise(
        warmth.Box(size=(x, y, z), wall=wall, ambient_c=ambient_c, floor=floor), power, service_c=service
    )
    return {"area": found.area, "outer": found.outer, "inner": found.inner, "air": found.air}


def effective_area(size: list[float], mounting: str) -> Out:
    x, y, z = size
    effective, real = warmth.effective_area((x, y, z), mounting)  # type: ignore[arg-type]  # refused when it is none
    return {"effective": effective, "real": real}


def vent_area(slots: int, width: float, length: float, rounded: bool = True) -> Out:
    return {"area": vents.vent_area(slots, width, length, rounded=rounded)}


def vent_rise(
    power: float, low_area: float, high_area: float, height: float, ua: float = 0.0, ambient_c: float = 25.0
) -> Out:
    if not (math.isfinite(ua) and ua >= 0.0):
        raise SeamwrightError(f"ua {ua!r}")
    walls = (lambda rise: ua * rise) if ua else None
    found = vents.vent_rise(power, low_area, high_area, height, ambient_c=ambient_c, walls=walls)
    return {"rise": found.rise, "flow": found.flow}


def post(side: float, d: float, engagement: float, tau: float, bond_area: float, bond_stress: float) -> Out:
    found = post_holds(side, d, engagement, tau, bond_area, bond_stress)
    return {
        "strip": found.strip, "bond": found.bond, "holds": found.holds, "governs": found.governs,
        "edge_in_d": found.edge_in_d,
    }  # fmt: skip


def panel_part(cutout_name: str, wall: float) -> Out:
    low, high, relief = cutout.panel_part(cutout_name, wall * MM)
    return {"hole_min": low / MM, "hole_max": high / MM, "relief": relief / MM}


def gland_hole(size: int, wall: float) -> Out:
    found = cutout.gland(size, wall * MM)
    return {"hole": found.hole / MM, "pitch": found.pitch / MM}


def dsub(shell: str, n: int = 1, pitch_y: float = 0.0) -> Out:
    spacing, places = cutout.dsub(shell, n, pitch_y * MM)
    return {"spacing": spacing / MM, "xy": [[x / MM, y / MM] for x, y in places]}


def rack_panel(u: int) -> Out:
    found = cutout.rack_panel(u)
    return {
        "width": found.width / MM, "height": found.height / MM, "columns": found.columns / MM,
        "rows": [row / MM for row in found.rows],
    }  # fmt: skip


def tab_edge(
    length: float, n: int, thickness: float, kerf: float, clearance: float, depth_clearance: float = 0.0
) -> Out:
    found = tabs.tab_edge(length, n, thickness, kerf, clearance, depth_clearance)
    return {
        "tab_drawn": found.tab_drawn, "slot_drawn": found.gap_drawn, "tab_cut": found.tab_cut, "slot_cut": found.gap_cut,
        "length_drawn": found.length_drawn, "A_drawn": [list(s) for s in found.a_drawn],
        "B_drawn": [list(s) for s in found.b_drawn], "A_cut": [list(s) for s in found.a_cut],
        "B_cut": [list(s) for s in found.b_cut], "depth_drawn": found.depth,
    }  # fmt: skip


def through_slot(thickness: float, kerf: float, clearance: float, tab_width: float, tab_clearance: float = 0.0) -> Out:
    found = tabs.through_slot(thickness, kerf, clearance, tab_width, tab_clearance)
    return {
        "width_drawn": found.width_drawn, "length_drawn": found.length_drawn, "width_cut": found.width_cut,
        "length_cut": found.length_cut,
    }  # fmt: skip


def sheet_fit(nominal: float, tolerance: float, slot_cut: float) -> Out:
    found = tabs.sheet_fit(nominal, tolerance, slot_cut)
    return {"least": found.least, "largest": found.largest, "always_fits": found.always_fits}


def _part(**inputs: Any) -> Out:
    return panel_part(inputs.pop("cutout"), **inputs)


BELOW_ZERO = {("box_rise", "ambient_c")}
DOORS: dict[str, Callable[..., Out]] = {
    "box_rise": box_rise, "effective_area": effective_area, "vent_area": vent_area, "vent_rise": vent_rise, "post": post,
    "panel_part": _part, "gland_hole": gland_hole, "dsub": dsub, "rack_panel": rack_panel, "tab_edge": tab_edge,
    "through_slot": through_slot, "sheet_fit": sheet_fit,
}  # fmt: skip
