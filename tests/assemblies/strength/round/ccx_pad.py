"""Round tanks on a plate under the middle of their base, as solids by CalculiX (`ccx`): a quarter, quadratic bricks (C3D20R).

A development tool: it needs the Debian package calculix-ccx. Writes what `test_on_pad.py` reads:
python ccx_pad.py > ccx_pad.json

The plate is a rectangle of the underside that does not move. What is read, in MPa and mm: `edge`, the base's bending over the
middle of the plate's long edge, and `corner`, over the plate's corner along the diagonal, both linear through what stands 0.4
and 1.0 thickness further out on the upper face (IIW document XIII-1965, from memory: at the edge itself no stress is finite);
`wall`, bending of the wall 0.4 and 1.0 walls over the base, drawn on likewise, the largest all round; `drop` of the rim.
"""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from ccx_round import GAMMA, NU, OWN, E, _read

__all__ = ["CASES", "solve_pad"]

#: Bore, wall, thickness of the base, depth, plate: along and across.
CASES: tuple[dict[str, Any], ...] = tuple(
    {"bore": bore, "wall": wall, "base": base, "depth": depth, "plate": plate}
    for bore, wall, base, depth, plate in (
        (190.0, 5.0, 12.0, 200.0, (150.0, 90.0)), (290.0, 5.0, 10.0, 250.0, (160.0, 80.0)),
        (140.0, 4.0, 8.0, 300.0, (70.0, 70.0)),
    )
)  # fmt: skip


def _grid(case: dict[str, Any], fine: int) -> tuple[dict[tuple[int, int, int], tuple[float, float, float]], Any, Any]:
    """Nodes by (r, angle, z) at twice the corners' numbers; cells; how many layers and rows there are."""
    ri, t, base, (a, b) = case["bore"] / 2.0, case["wall"], case["base"], case["plate"]
    turn = math.atan2(b, a)
    angles = np.concatenate(
        [np.linspace(0.0, turn, 2 * 6 * fine + 1), np.linspace(turn, math.pi / 2.0, 2 * 10 * fine + 1)[1:]]
    )
    inner, middle = 5 * fine, 12 * fine
    zs = np.concatenate(
        [
            np.linspace(0.0, base, 2 * 4 * fine + 1),
            base + t * np.array([0.2, 0.4, 0.7, 1.0, 1.5, 2.0]),
            base + np.linspace(2.0 * t, case["depth"], 2 * 9 * fine + 1)[1:],
        ]
    )
    nodes: dict[tuple[int, int, int], tuple[float, float, float]] = {}
    first, walls = 2 * (inner + middle), 2 * 2 * fine
    for i in range(first + walls + 1):
        for j, angle in enumerate(angles):
            pad = min(a / 2.0 / max(math.cos(angle), 1e-9), b / 2.0 / max(math.sin(angle), 1e-9))
            if i <= 2 * inner:
                r = pad * (0.06 + 0.94 * i / (2 * inner))
            elif i <= first:
                share = (i - 2 * inner) / (2 * middle)
                r = pad + (ri - pad) * share
            else:
                r = ri + t * (i - first) / walls
            for k, z in enumerate(zs):
                if (i % 2) + (j % 2) + (k % 2) <= 1 and (z <= base + 1e-9 or i >= first):
                    nodes[i, j, k] = (r * math.cos(angle), r * math.sin(angle), float(z))
    layers = 2 * 4 * fine
    cells = [
        (i, j, k)
        for i in range(0, first + walls, 2)
        for j in range(0, len(angles) - 1, 2)
        for k in range(0, len(zs) - 1, 2)
        if k < layers or i >= first
    ]
    return nodes, cells, (2 * inner, first, first + walls, len(angles) - 1, layers, angles, zs)


_BRICK = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2),
          (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2),
          (0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1)]  # fmt: skip


def solve_pad(case: dict[str, Any], fine: int = 1) -> dict[str, float]:
    """What a tank on its plate has."""
    nodes, cells, (pad, first, last, turns, layers, angles, zs) = _grid(case, fine)
    number = {key: n for n, key in enumerate(nodes, 1)}
    out = ["*NODE, NSET=ALL", *(f"{number[key]}, {x:.9e}, {y:.9e}, {z:.9e}" for key, (x, y, z) in nodes.items())]
    out.append("*ELEMENT, TYPE=C3D20R, ELSET=ALL")
    for n, (i, j, k) in enumerate(cells, 1):
        ids = [number[i + u, j + v, k + w] for u, v, w in _BRICK]
        out.append(f"{n}, {', '.join(map(str, ids[:15]))},\n{', '.join(map(str, ids[15:]))}")
    out += [
        "*MATERIAL, NAME=M",
        "*ELASTIC",
        f"{E}, {NU}",
        "*DENSITY",
        f"{OWN:.9e}",
        "*SOLID SECTION, ELSET=ALL, MATERIAL=M",
    ]
    out.append("*BOUNDARY")
    for (i, j, k), n in number.items():
        if k == 0 and i <= pad:
            out.append(f"{n}, 1, 3")
        else:
            out += [f"{n}, 2, 2"] if j == 0 else []
            out += [f"{n}, 1, 1"] if j == turns else []
    out += ["*STEP", "*STATIC", "*DLOAD", "ALL, GRAV, 1.0, 0.0, 0.0, -1.0"]
    top = case["base"] + case["depth"]
    for n, (i, _, k) in enumerate(cells, 1):  # faces: P2 above, P6 towards the axis (nodes 4, 1, 5, 8)
        if k + 2 == layers and i < first:
            out.append(f"{n}, P2, {GAMMA * case['depth']!r}")
        if i == first and k >= layers:
            out.append(f"{n}, P6, {GAMMA * (top - (zs[k] + zs[k + 2]) / 2.0):.9e}")
    text = "\n".join([*out, "*NODE FILE", "U", "*EL FILE", "S", "*END STEP", ""])
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "pad.inp").write_text(text)
        done = subprocess.run(["ccx", "pad"], cwd=folder, capture_output=True, text=True, check=False)
        assert re.search(r"Job finished", done.stdout), done.stdout[-800:]
        moves, stress = (_read(Path(folder) / "pad.frd", one) for one in ("DISP", "STRESS"))

    def on_top(j: int) -> float:
        """Radial stress of the upper face at one angle, drawn on to the plate's edge."""
        c, s = math.cos(angles[j]), math.sin(angles[j])
        rows = []
        for i in range(pad, first + 1):
            if (i, j, layers) in number:
                sx, sy, _, sxy, *_ = stress[number[i, j, layers]]
                x, y, _ = nodes[i, j, layers]
                rows.append((math.hypot(x, y), sx * c * c + sy * s * s + 2.0 * sxy * s * c))
        r, value = np.array(rows).T
        one, two = (float(np.interp(r[0] + share * case["base"], r, value)) for share in (0.4, 1.0))
        return (one - 0.4 * two) / 0.6

    def in_wall(j: int) -> float:
        found = []
        for share in (0.4, 1.0):
            k = int(np.argmin(abs(zs - (case["base"] + share * case["wall"]))))
            ends = [stress[number[i, j, k]][2] for i in (first, last)]
            found.append((ends[0] - ends[1]) / 2.0)
        return (found[0] - 0.4 * found[1]) / 0.6

    corner = int(np.argmin(abs(angles - math.atan2(case["plate"][1], case["plate"][0]))))
    return {
        "edge": on_top(turns),
        "end": on_top(0),
        "corner": on_top(corner),
        "wall": max((in_wall(j) for j in range(0, turns + 1, 2)), key=abs),
        "drop": -min(moves[n][2] for (i, _, k), n in number.items() if k == 0),
    }


if __name__ == "__main__":
    json.dump(
        [{"case": case, "found": solve_pad(case, int(sys.argv[1]) if len(sys.argv) > 1 else 1)} for case in CASES],
        sys.stdout,
        indent=1,
    )
    print()
