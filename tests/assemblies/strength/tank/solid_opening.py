"""Boxes as solids with and without an opening in the front, by CalculiX: what grows, by how much (`test_openings.py`).

A development tool, not a test: it needs the Debian package calculix-ccx. python solid_opening.py > solid_opening.json
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "boxes"))
import solid_box

#: Opening in the front, from its inside corner: x0, x1, z0, z1; how deep water stands.
OPENINGS: dict[str, dict[str, Any]] = {
    "dry": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "opening": [110.0, 190.0, 90.0, 130.0], "water": 80.0},
    "notch": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "opening": [110.0, 190.0, 120.0, 151.0], "water": 110.0},
    "wet": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "opening": [125.0, 175.0, 50.0, 100.0], "water": 150.0},
}


def box(one: dict[str, Any]) -> solid_box.Solid:
    (length, width, height), t = one["inner"], one["t"]
    x0, x1, z0, z1 = one["opening"]
    return solid_box.Solid(
        name="b", length=length, width=width, height=height, left=t, right=t, front=t, back=t, bottom=t, mirrored="x",
        cells=1, pressure=lambda x, y, z: 9.81e-6 * np.maximum(one["water"] - z, 0.0),
        cuts=((x0, x1), (), (z0, z1)),
    )  # fmt: skip


def read(one: dict[str, Any], cut: bool) -> dict[str, float]:
    whole, (x0, x1, z0, z1) = solid_box.mesh, one["opening"]

    def meshed(b: solid_box.Solid) -> tuple[list[np.ndarray], np.ndarray]:
        grid, solid = whole(b)
        x, y, z = np.meshgrid(*((g[1:] + g[:-1]) / 2.0 for g in grid), indexing="ij")
        return grid, solid & ~((x > x0) & (x < x1) & (y < 0.0) & (z > z0) & (z < z1))

    solid_box.mesh = meshed if cut else whole
    try:
        b = box(one)
        return {k: float(v) for k, v in solid_box.read(b, solid_box.run(b)).items()}
    finally:
        solid_box.mesh = whole


if __name__ == "__main__":
    found = {name: {**one, "whole": read(one, False), "cut": read(one, True)} for name, one in OPENINGS.items()}
    print(json.dumps(found, indent=1))
