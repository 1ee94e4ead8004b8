"""What a row of solid_boxes.csv or hard_boxes.csv means of a box that we solve."""

from __future__ import annotations

import numpy as np

from assemblies.strength import BoxResult, OnPlates, Pad, Strip, box

RIMS = {"strip inward": Strip(width=30.0, thickness=6.0)}
SIDES = ("left", "right", "front", "back", "bottom")
BENDING = {"rim": 0, "x": 0, "across": 0, "y": 1, "up": 1}


def solved(solid) -> BoxResult:
    """A solid model's box. Hung in its files is held up and down along the middle planes of the walls at the underside."""
    thick = {panel: getattr(solid, panel) for panel in (*SIDES, "lid") if getattr(solid, panel)}
    base = {"hung": "edges"}.get(solid.base, solid.base)
    if solid.base == "pads":  # the underside itself is held there
        base = OnPlates(
            pads=tuple(Pad(panel="bottom", low=(p[0], p[2]), high=(p[1], p[3]), thickness=0.5) for p in solid.pads)
        )
    sizes = (solid.length, solid.width, solid.height)
    return box(*sizes, thick, solid.modulus, solid.poisson, solid.pressure, base, RIMS.get(solid.name, "free"))


def value(solid, got: BoxResult, quantity: str) -> float:
    """Deflection outward (mm), or bending stress 6 M / t2 in the span (outside in tension) or at a joint (in size), MPa."""
    panel, _, what = quantity.partition(" ")
    sheet = got.sheets[panel]
    if what.startswith("at "):
        section = sheet.section(what[3:], got.places(panel, what[3:]))
        return float(6.0 * np.abs(section.m[0]).max() / sheet.thickness**2)
    flat, middle = panel in ("bottom", "lid"), "mid" in what and panel not in ("bottom", "lid")
    a = np.array([sheet.sizes[0] / 2.0])
    b = np.array([sheet.sizes[1] / 2.0 if flat or middle else sheet.sizes[1]])
    kind = what.split()[-1]
    if kind == "w":
        return float(sheet.outward(a, b)[0, 0, 0])
    return float(6.0 * sheet.forces(a, b).m[BENDING[kind]][0, 0, 0] / sheet.thickness**2)
