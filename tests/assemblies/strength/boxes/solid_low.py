"""Boxes as solids whose front is lower than the other walls over its whole length, by CalculiX (`test_low_walls.py`).

A development tool, not a test: it needs the Debian package calculix-ccx. python solid_low.py > solid_low.json. What it
reads of each panel: how far it moves out, sections' bending stress at the rims, and along the seams away from the last 2 % of
their height; on two meshes.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from typing import Any

import numpy as np
import solid_box

#: Inside, thickness, the front's upper edge, water: how deep, and how it slopes (up to the back) where it does.
BOXES: dict[str, dict[str, Any]] = {
    "tray": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "low": 110.0, "water": 110.0},
    "end": {"inner": [180.0, 280.0, 140.0], "t": 6.0, "low": 105.0, "water": 105.0, "base": "hung"},
    "tall": {"inner": [600.0, 300.0, 400.0], "t": 10.0, "low": 280.0, "water": 280.0},
    "little": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "low": 138.0, "water": 138.0, "base": "hung"},
    "leaned": {"inner": [300.0, 220.0, 160.0], "t": 6.0, "low": 100.0, "water": 100.0, "slope": 0.3, "base": "hung"},
    "half": {"inner": [240.0, 160.0, 180.0], "t": 5.0, "low": 90.0, "water": 90.0},
    "two": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "low": 110.0, "water": 110.0, "mirrored": "xy"},
}


def box(one: dict[str, Any]) -> solid_box.Solid:
    (length, width, height), t = one["inner"], one["t"]
    water = solid_box.tilted(one["water"], 0.0, one.get("slope", 0.0), length, 0.0)  # its depth is that at the front
    return solid_box.Solid(
        name="b", length=length, width=width, height=height, left=t, right=t, front=t, back=t, bottom=t,
        mirrored=one.get("mirrored", "x"), base=one.get("base", "flat"), pressure=water, cuts=((), (), (one["low"],)),
    )  # fmt: skip


def read(one: dict[str, Any], **meshing: Any) -> dict[str, float]:
    """Deflections outward, mm, and section bending stresses, MPa."""
    whole, low, b = solid_box.mesh, one["low"], replace(box(one), **meshing)

    def meshed(b: solid_box.Solid) -> tuple[list[np.ndarray], np.ndarray]:
        grid, solid = whole(b)
        _, y, z = np.meshgrid(*((g[1:] + g[:-1]) / 2.0 for g in grid), indexing="ij")
        return grid, solid & ~((y < 0.0) & (z > low))

    solid_box.mesh = meshed
    try:
        return {name: round(value, 5) for name, value in figures(b, solid_box.run(b), low).items()}
    finally:
        solid_box.mesh = whole


def figures(b: solid_box.Solid, got: Any, low: float) -> dict[str, float]:
    (length, width, height), t = (b.length, b.width, b.height), b.front
    at = solid_box.moved_at
    seen = {
        "front w": -at(got, length / 2.0, -t / 2.0, low)[1],
        "left w front": -at(got, -t / 2.0, 0.0, height)[0],
        "left w": -at(got, -t / 2.0, width / 2.0, height)[0],
        "left w low": -at(got, -t / 2.0, width / 2.0, low)[0],
    }
    if "y" not in b.mirrored:
        seen["back w"] = at(got, length / 2.0, width + t / 2.0, height)[1]
    if b.base != "flat":
        seen["bottom w"] = -at(got, length / 2.0, width / 2.0, -t / 2.0)[2]
    tops = {"front": low, "left": height, "back": height}
    for name, top in tops.items():
        if name == "back" and "y" in b.mirrored:
            continue
        normal, high, u_axis, _ = solid_box.SIDES[name]
        u, v, along, _ = solid_box.moments(b, got, normal, high, u_axis)
        along *= 6.0 / t**2
        seen[f"{name} rim"] = solid_box._at(u, v[v < top], along[:, v < top], (length, width)[u_axis] / 2.0, top)
        for end, other in ((0, ("left", "front")[u_axis]), (1, ("right", "back")[u_axis])):
            if "xy"[u_axis] in b.mirrored and end:
                continue
            joint = solid_box.at_face(u, along, (0.0, (length, width)[u_axis])[end], 4.0 * t)
            meets = min(top, tops.get(other, height))
            seen[f"{name} at {other}"] = float(np.abs(joint[v < 0.98 * meets]).max())
        _, v, up, _ = solid_box.moments(b, got, normal, high, 2)
        joint = solid_box.at_face(v, 6.0 / t**2 * up.T, 0.0, 4.0 * t)
        seen[f"{name} at bottom"] = float(np.abs(joint).max())
    return {name: float(value) for name, value in seen.items()}


if __name__ == "__main__":
    found = {}
    for name, one in BOXES.items():
        if not sys.argv[1:] or name in sys.argv[1:]:
            largest = max(one["inner"]) / 20.0
            found[name] = {**one, "read": read(one, cells=2, largest=largest), "coarser": read(one, cells=1)}
    print(json.dumps(found, indent=1))
