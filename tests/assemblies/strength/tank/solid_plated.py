"""Boxes as solids hung by a plate on their front, with and without an opening in that front, by CalculiX: what grows, by how
much (`test_plated_openings.py`).

A development tool, not a test: it needs the Debian package calculix-ccx. python solid_plated.py > solid_plated.json. The
plate's outer face does not move; water carries the box down and turns it about the plate. Of the front it reads, besides what
`solid_box` reads, the largest section bending stress away from corners, which are sharp in the solid; and how far the box
leans.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "boxes"))
import solid_box

#: Inside, thickness, plate and opening (x0, x1, z0, z1 from the front's inside corner), how deep water stands; `floor`: only
#: the floor is pressed. `held out`: not looked at while the factors were made.
BOXES: dict[str, dict[str, Any]] = {
    "notch": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "plate": [100.0, 200.0, 30.0, 90.0],
              "opening": [110.0, 190.0, 120.0, 151.0], "water": 110.0},
    "little": {"inner": [200.0, 240.0, 160.0], "t": 6.0, "plate": [60.0, 140.0, 80.0, 130.0],
               "opening": [80.0, 120.0, 25.0, 55.0], "water": 0.0, "floor": True},
    "tall": {"inner": [260.0, 220.0, 180.0], "t": 6.0, "plate": [70.0, 190.0, 30.0, 80.0],
             "opening": [90.0, 170.0, 140.0, 181.0], "water": 130.0, "held out": True},
}  # fmt: skip
_THICK = 12.0  # of the plate


def box(one: dict[str, Any]) -> solid_box.Solid:
    (length, width, height), t = one["inner"], one["t"]
    (x0, x1, z0, z1), (a0, a1, b0, b1) = one["opening"], one["plate"]
    water = (lambda x, y, z: np.where(z < 1.0, 1e-3, 0.0)) if one.get("floor") else solid_box.still(one["water"])
    return solid_box.Solid(
        name="b", length=length, width=width, height=height, left=t, right=t, front=t, back=t, bottom=t, mirrored="x",
        cells=1, pressure=water, extra=((a0, a1, -t - _THICK, -t, b0, b1),), cuts=((x0, x1), (), (z0, z1)), largest=20.0,
    )  # fmt: skip


def held(box: solid_box.Solid, places: np.ndarray):
    x, y, _ = places.T
    on = np.nonzero(y < -box.front - _THICK + 1e-6)[0]
    return [(int(n), k) for n in on for k in range(3)] + [
        (int(n), 0) for n in np.nonzero(np.abs(x - box.length / 2.0) < 1e-6)[0]
    ]


def read(one: dict[str, Any], cut: bool) -> dict[str, float]:
    kept, (x0, x1, z0, z1) = (solid_box.mesh, solid_box._held, solid_box._base_shear), one["opening"]

    def meshed(b: solid_box.Solid) -> tuple[list[np.ndarray], np.ndarray]:
        grid, solid = kept[0](b)
        x, y, z = np.meshgrid(*((g[1:] + g[:-1]) / 2.0 for g in grid), indexing="ij")
        return grid, solid & ~((x > x0) & (x < x1) & (y < 0.0) & (z > z0) & (z < z1)) if cut else solid

    solid_box.mesh, solid_box._held, solid_box._base_shear = meshed, held, lambda *_: []
    try:
        b = box(one)
        got = solid_box.run(b)
        return {k: round(float(v), 5) for k, v in (solid_box.read(b, got) | figures(one, b, got)).items()}
    finally:
        solid_box.mesh, solid_box._held, solid_box._base_shear = kept


def figures(one: dict[str, Any], b: solid_box.Solid, got: Any) -> dict[str, float]:
    t, most = b.front, 0.0
    for direction in (0, 2):
        x, z, moment, _ = solid_box.moments(b, got, 1, 0, direction)
        stress = np.abs(6.0 * moment / t**2)
        for x0, x1, z0, z1 in (one["opening"], one["plate"]):
            for a, c in ((x0, z0), (x0, z1), (x1, z0), (x1, z1)):
                stress[(np.abs(x - a)[:, None] < t) & (np.abs(z - c)[None, :] < t)] = 0.0
        a0, a1, b0, b1 = one["plate"]
        under = ((x > a0 - t / 2) & (x < a1 + t / 2))[:, None] & ((z > b0 - t / 2) & (z < b1 + t / 2))[None, :]
        stress[under] = 0.0
        stress[(x < t) | (x > b.length - t)] = 0.0
        stress[:, z < t] = 0.0
        most = max(most, float(stress.max()))
    at = solid_box.moved_at
    rims = [at(got, 0.0, y, b.height) for y in (-t / 2.0, b.width)]
    low, far = at(got, 0.0, b.width, -t), at(got, 0.0, -t / 2.0, -t)
    return {
        "front most": most,
        "box drop": -float(low[2]),
        "box lean": float(low[2] - far[2]) / b.width,
        "rim y": float(rims[0][1]),
    }


if __name__ == "__main__":
    wanted = {name: BOXES[name] for name in sys.argv[1:] or BOXES}
    found = {name: {**one, "whole": read(one, False), "cut": read(one, True)} for name, one in wanted.items()}
    print(json.dumps(found, indent=1))
