"""The `liquid` section of the report, from what the engine returned."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from assemblies.design.mass import Body, combine
from assemblies.design.model import Design
from assemblies.liquid import settle
from assemblies.liquid.balance import tip_check
from assemblies.liquid.cases import gravity_at_tilt
from assemblies.liquid.fluids import Fluid
from assemblies.liquid.pour import spill_tilt
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.strength.proof.cases import LoadedCases
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.vectors import Vector

__all__ = ["liquid_section"]


def liquid_section(
    design: Design, liquid: Fluid, volume: float, most: float, dry: Body, loaded: LoadedCases, *, assumed: bool = False
) -> tuple[dict[str, Any], list[Finding]]:
    """The liquid, its weight and balance, and what is to be said about them; `assumed`: the order names none."""
    cavity = design.cavities[0]
    settled = settle(cavity, volume, density_kg_m3=liquid.density_kg_m3)
    depth = settled.level_mm - settled.lowest_mm if volume > 0.0 else 0.0
    full = combine([dry, liquid_body(settled)]) if settled.centre_mm else dry
    low = min(p.box[0][2] for p in design.placed)
    tips, said = _tips(design, dry, low, volume, liquid)
    brim = settle(cavity, most, density_kg_m3=liquid.density_kg_m3) if most > 0.0 else settled
    about: Vector = (0.0, 0.0, low)
    section = {
        "name": liquid.name,
        "assumed": assumed,
        "density": liquid.density_kg_m3,
        "viscosity": liquid.viscosity_mpa_s,
        "temperature": liquid.temperature_c,
        "source": liquid.source,
        "capacity_L": most / 1e6,
        "fill_L": volume / 1e6,
        "fill_depth": depth,
        "brim_depth": brim.level_mm - brim.lowest_mm,
        "freeboard": settled.freeboard_mm,
        "open": bool(cavity.lips),
        "full_to": _full_to(cavity, settled.level_mm) if volume > 0.0 and volume >= most * (1.0 - 1e-9) else None,
        "mass_empty": dry.mass_kg,
        "mass_full": full.mass_kg,
        "centre_empty": list(dry.centre_mm),
        "centre_full": list(full.centre_mm),
        "inertia_empty": [dry.about_axis(about, axis) for axis in _AXES],
        "inertia_full": [full.about_axis(about, axis) for axis in _AXES],
        "inertia_about": list(about),
        "spill_tilt": {name: _spills(cavity, volume, way) for name, way in _WAYS.items()},
        "at_tilt": _at_tilts(design, dry, volume, liquid),
        "tips_at": tips,
        "lost_L": dict(loaded.lost_l),
    }
    return section, said


def _full_to(cavity: Cavity, level: float) -> str:
    """Where the liquid stands when no more goes in: at its `brim`, at the lowest `opening` below it, or under its `lid`."""
    up: Vector = (0.0, 0.0, 1.0)
    if cavity.lips and level >= min(lip.lowest(up)[2] for lip in cavity.lips) - 1e-6:
        return "brim"
    return "opening" if any(port.open for port in cavity.ports) else "lid"


def _tips(
    design: Design, dry: Body, low: float, volume: float, liquid: Fluid
) -> tuple[dict[str, float | None], list[Finding]]:
    """The tilt and push that tip it over standing free; with a finding when it does not even stand."""
    try:
        tip = tip_check(
            dry,
            _footprint(design, low),
            low,
            cavity=design.cavities[0],
            volume=volume,
            density_kg_m3=liquid.density_kg_m3,
            directions=_alike(dry),
        )
    except SeamwrightError as error:
        falls = Finding(
            level="care",
            check="handling",
            where="whole",
            why=f"standing free it falls over: {error}",
            do="set it down in a cradle",
            source="centre of mass against footprint",
        )
        return {"tilt": 0.0, "push_m_s2": 0.0}, [falls]
    push = None if tip.acceleration_mm_s2 is None else tip.acceleration_mm_s2 / 1000.0
    return {"tilt": _degrees(tip.tilt_rad), "push_m_s2": push}, []


def _alike(dry: Body) -> tuple[Vector, ...]:
    """Directions to look in: two are enough for what weighs the same on both sides of its middle."""
    x, y, _ = dry.centre_mm
    return tuple(_WAYS.values()) if max(abs(x), abs(y)) > 1e-3 else (_WAYS["right"], _WAYS["back"])


def _at_tilts(design: Design, dry: Body, volume: float, liquid: Fluid) -> list[dict[str, Any]]:
    """Liquid kept, mass and centre of mass (the tank's own axes) at slow tilts."""
    rows = []
    for name in ("right", "back"):
        for tilt in _TILTS_DEG if volume > 0.0 else ():
            gravity = gravity_at_tilt(math.radians(tilt), _WAYS[name])
            try:
                left = settle(design.cavities[0], volume, gravity, density_kg_m3=liquid.density_kg_m3)
            except NotCovered:
                continue
            whole = combine([dry, liquid_body(left)]) if left.centre_mm is not None else dry
            rows.append(
                {
                    "toward": name,
                    "tilt": tilt,
                    "kept_L": left.kept_mm3 / 1e6,
                    "mass": whole.mass_kg,
                    "centre": list(whole.centre_mm),
                }
            )
    return rows


_TILTS_DEG = (15.0, 30.0, 45.0, 60.0, 75.0, 90.0)


_AXES: tuple[Vector, Vector, Vector] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


_WAYS: Mapping[str, Vector] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "front": (0.0, -1.0, 0.0),
}


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _spills(cavity: Cavity, volume: float, way: Vector) -> float | None:
    """The tilt at which it starts to pour, degrees; None when it reaches no way out up to a quarter turn."""
    try:
        return _degrees(spill_tilt(cavity, volume, toward=way))
    except SeamwrightError:
        return None


def _footprint(design: Design, low: float) -> tuple[tuple[float, float], ...]:
    """The box around everything that stands at the lowest level."""
    boxes = [p.box for p in design.placed if abs(p.box[0][2] - low) < 1e-6]
    x0, y0 = min(b[0][0] for b in boxes), min(b[0][1] for b in boxes)
    x1, y1 = max(b[1][0] for b in boxes), max(b[1][1] for b in boxes)
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)
