"""Brackets with gussets as solids, by CalculiX (`ccx`): how far the prop's place moves for 1 N, frequencies with a mass there.

A development tool, not a test: it needs the Debian package calculix-ccx. One solid piece, bricks with incompatible
modes (C3D8I), held at four bolts by the mean of four nodes each in the base's middle plane, as the sheets are. Writes what
`test_solid_bracket.py` reads: python solid_bracket.py > solid_bracket.json
"""

from __future__ import annotations

import json
import re
import subprocess
import tempfile
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import numpy as np

E, NU, RHO = 3200.0, 0.37, 1.19e-9  # MPa, t/mm3
R = 3.3
#: Length, depth of base, height, thickness, gusset back and up, gussets' middles, bolts, prop's place (height), mass (t).
BRACKETS: dict[str, dict[str, Any]] = {
    "two": {"L": 120.0, "D": 100.0, "H": 100.0, "t": 10.0, "reach": 60.0, "rise": 70.0, "at": [10.0, 110.0],
                "bolts": [[40, 45], [80, 45], [40, 85], [80, 85]], "prop": [60.0, 85.0], "mass": 0.45e-3},
    "thin": {"L": 120.0, "D": 100.0, "H": 100.0, "t": 6.0, "reach": 60.0, "rise": 70.0, "at": [10.0, 110.0],
                 "bolts": [[40, 45], [80, 45], [40, 85], [80, 85]], "prop": [60.0, 85.0], "mass": 0.45e-3},
    "tall": {"L": 100.0, "D": 90.0, "H": 160.0, "t": 8.0, "reach": 50.0, "rise": 90.0, "at": [10.0, 90.0],
                 "bolts": [[35, 35], [65, 35], [35, 75], [65, 75]], "prop": [50.0, 140.0], "mass": 0.3e-3},
}  # fmt: skip
LAND = 8.0


def lines(cuts: list[float], size: float) -> np.ndarray:
    """Places along an axis through all cuts, at most so far apart."""
    out = [cuts[0]]
    for a, b in pairwise(cuts):
        n = max(1, int(np.ceil((b - a) / size - 1e-9)))
        out += [a + (b - a) * k / n for k in range(1, n + 1)]
    return np.array(out)


def uniq(values: list[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > 1e-6:
            out.append(v)
    return out


class Solid:
    def __init__(self) -> None:
        self.nodes: dict[tuple[float, float, float], int] = {}
        self.bricks: list[list[int]] = []

    def node(self, x: float, y: float, z: float) -> int:
        return self.nodes.setdefault((round(x, 4), round(y, 4), round(z, 4)), len(self.nodes) + 1)

    def block(self, xs: np.ndarray, ys: np.ndarray, ks: int, z: Any) -> None:
        """Bricks over a grid of x and y, `ks` high; z(y, k) says how high each layer is."""
        for (x0, x1), (y0, y1), k in product(pairwise(xs), pairwise(ys), range(ks)):
            ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            self.bricks.append([self.node(x, y, z(y, j)) for j in (k, k + 1) for x, y in ring])


def built(b: dict[str, Any], size: float) -> Solid:
    t, s = b["t"], Solid()
    walls = [g + d for g in b["at"] for d in (-t / 2, t / 2)]
    cuts_x = uniq([0, b["L"], *walls, *(p[0] + d for p in b["bolts"] for d in (-R, 0, R)),
                   b["prop"][0] - 15, b["prop"][0] + 15])  # fmt: skip
    xs = lines(cuts_x, size)
    ys = lines(
        uniq([0, t / 2, t, t + LAND, t + b["reach"], b["D"], *(p[1] + d for p in b["bolts"] for d in (-R, 0, R))]), size
    )
    n = 4
    s.block(xs, ys, n, lambda y, k: t * k / n)
    zs = lines(uniq([0, LAND, b["rise"], b["prop"][1] - 15, b["prop"][1], b["prop"][1] + 15, b["H"]]), size)
    s.block(xs, ys[ys <= t + 1e-9], len(zs) - 1, lambda y, k: t + zs[k])
    low = zs[zs <= b["rise"] + 1e-9]
    back = ys[(ys >= t - 1e-9) & (ys <= t + b["reach"] + 1e-9)]
    for g in b["at"]:
        mine = xs[(xs >= g - t / 2 - 1e-9) & (xs <= g + t / 2 + 1e-9)]
        tall = lambda y: float(np.interp(y - t, [0, LAND, b["reach"]], [b["rise"], b["rise"], LAND]))  # noqa: E731
        s.block(mine, back, len(low) - 1, lambda y, k: t + low[k] / b["rise"] * tall(y))  # noqa: B023
    return s


def solve(b: dict[str, Any], size: float) -> dict[str, Any]:
    s, t = built(b, size), b["t"]
    count = len(s.nodes)
    out = ["*NODE, NSET=NALL"] + [f"{n}, {x}, {y}, {z}" for (x, y, z), n in s.nodes.items()]
    out += ["*ELEMENT, TYPE=C3D8I, ELSET=EALL"] + [f"{k}, {', '.join(map(str, e))}" for k, e in enumerate(s.bricks, 1)]
    rings = [[s.node(x + a, y + c, t / 2) for a, c in ((R, 0), (-R, 0), (0, R), (0, -R))] for x, y in b["bolts"]]
    px, pz = b["prop"]
    props = [s.node(px + a, t / 2, t + pz + c) for a in (-15, 15) for c in (-15, 15)]
    assert len(s.nodes) == count  # every node that is named is one of a brick
    masses = [f"{len(s.bricks) + k + 1}, {n}" for k, n in enumerate(props)]
    out += ["*ELEMENT, TYPE=MASS, ELSET=PROP", *masses, "*MASS, ELSET=PROP", f"{b['mass'] / 4}"]
    for ring in rings:
        for way in (1, 2, 3):
            out += ["*EQUATION", "4", ", ".join(f"{n}, {way}, 1.0" for n in ring)]
    out += [f"*MATERIAL, NAME=P\n*ELASTIC\n{E}, {NU}\n*DENSITY\n{RHO}\n*SOLID SECTION, ELSET=EALL, MATERIAL=P"]
    out += ["*NSET, NSET=PN", ", ".join(map(str, props))]
    for way in (1, 2, 3):
        out += [
            "*STEP",
            "*STATIC",
            "*CLOAD, OP=NEW",
            *(f"{n}, {way}, 0.25" for n in props),
            "*NODE PRINT, NSET=PN",
            "U",
            "*END STEP",
        ]
    out += ["*STEP", "*FREQUENCY", "2", "*END STEP"]
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "b.inp").write_text("\n".join(out) + "\n")
        run = subprocess.run(["ccx", "b"], cwd=folder, capture_output=True, text=True, timeout=900)
        assert run.returncode == 0, run.stdout[-1500:]
        text = (Path(folder) / "b.dat").read_text()
    found = re.findall(r"displacements.*?\n\n(.*?)\n\n", text, re.S)
    moved = [
        np.array([[float(v) for v in line.split()[1:4]] for line in block.strip().splitlines()]).mean(axis=0)
        for block in found
    ]
    rows = re.search(r"E I G E N V A L U E   O U T P U T(.*?)\n\s*\n\s*P A R", text, re.S)
    assert rows
    values = [float(line.split()[3]) for line in rows[1].splitlines() if re.match(r"\s+\d+\s", line)]
    return {"moved": [float(moved[k][k]) for k in range(3)], "frequency": values[:2], "bricks": len(s.bricks)}


if __name__ == "__main__":
    print(
        json.dumps(
            {name: {"given": b, "coarse": solve(b, 7.0), "fine": solve(b, 4.0)} for name, b in BRACKETS.items()},
            indent=1,
        )
    )
