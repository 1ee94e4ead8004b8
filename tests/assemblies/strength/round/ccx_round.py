"""Round tanks as solids of revolution by CalculiX (`ccx`), quadratic axisymmetric elements (CAX8): none was used in tuning.

A development tool besides the slow test that makes one again: it needs the Debian package calculix-ccx. Writes what
`test_ccx_round.py` reads: python ccx_round.py > ccx_round.json

What is read, in MPa and mm. `wall`: bending of the wall where it meets the base, from its moments across cuts at 0.4, 0.8, 1.2
and 1.6 walls over the base, drawn on to the base by the parabola through them (at the corner itself no stress is finite).
`hot`: the same place by the rule for welds, linear through the inner face's stress 0.4 and 1.0 walls away (IIW document
XIII-1965, structural stress at hot spots, from memory), with what the wall is pulled by. `disc`: the larger of the base's
bending with its pull at the middle, and where it meets the wall. `sag` of its middle.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

__all__ = ["CASES", "solve_ccx"]

E, NU = 3300.0, 0.37  # of the table `pmma`
GAMMA, OWN = 998.2 * 9.80665e-9, 1190.0 * 9.80665e-9  # N/mm3
#: Bore, wall, thickness and diameter of base, depth. `spans`: on a ring under the wall's middle; else flat on what gives not.
CASES: tuple[dict[str, Any], ...] = tuple(
    {"bore": bore, "wall": wall, "base": base, "out": out, "depth": depth, "spans": spans}
    for bore, wall, base, out, depth in (
        (80.0, 3.0, 8.0, 86.0, 400.0), (480.0, 10.0, 20.0, 500.0, 250.0), (240.0, 3.0, 10.0, 300.0, 500.0),
        (190.0, 8.0, 6.0, 206.0, 300.0),
    )
    for spans in (True, False)
)  # fmt: skip


def _lines(*stops: tuple[float, int]) -> np.ndarray:
    """Places from 0 through the stops, each with its number of elements."""
    out, last = [0.0], 0.0
    for end, count in stops:
        out += list(np.linspace(last, end, count + 1)[1:])
        last = end
    return np.array(out)


class _Grid:
    """Nodes and elements of the section, by rows of r and z; corners at even places, middles at odd ones."""

    def __init__(self, case: dict[str, Any], fine: int) -> None:
        ri, t, base = case["bore"] / 2.0, case["wall"], case["base"]
        outer, top, f = case["out"] / 2.0, base + case["depth"], fine
        inner = [ri - k * t for k in (1.8, 1.2, 0.6)]
        near = [(r, 3 * f) for r in (*inner[1:], ri)]
        rs = _lines((0.05 * t, 1), (inner[0], 24 * f), *near, (ri + t / 2.0, 4 * f), (ri + t, 4 * f),
                    *([(outer, 8 * f)] if outer > ri + t + 1e-6 else []))  # fmt: skip
        cuts = [base + k * t for k in (0.4, 0.8, 1.0, 1.2, 1.6)]
        zs = _lines(
            (base / 2.0, 4 * f), (base, 4 * f), *((z, 3 * f) for z in cuts), (base + 8.0 * t, 16 * f), (top, 50 * f)
        )
        self.nodes: dict[tuple[int, int], int] = {}
        self.places: list[tuple[float, float]] = []
        self.cells: list[tuple[list[int], float, float, float, float]] = []
        r2, z2 = (np.sort(np.concatenate([one, (one[1:] + one[:-1]) / 2.0])) for one in (rs, zs))
        for (i, (a, b)), (j, (c, d)) in ((x, y) for x in enumerate(pairwise(rs)) for y in enumerate(pairwise(zs))):
            if not (d <= base + 1e-9 or (a >= ri - 1e-9 and b <= ri + t + 1e-9)):
                continue
            ring = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)]
            self.cells.append(([self._node(2 * i + u, 2 * j + v, r2, z2) for u, v in ring], a, b, c, d))

    def _node(self, i: int, j: int, r2: np.ndarray, z2: np.ndarray) -> int:
        if (i, j) not in self.nodes:
            self.nodes[i, j] = len(self.places) + 1
            self.places.append((float(r2[i]), float(z2[j])))
        return self.nodes[i, j]


def _deck(grid: _Grid, case: dict[str, Any]) -> str:
    ri, base, top = case["bore"] / 2.0, case["base"], case["base"] + case["depth"]
    out = ["*NODE, NSET=ALL", *(f"{k}, {r:.9e}, {z:.9e}" for k, (r, z) in enumerate(grid.places, 1))]
    for name, low in (("DISC", True), ("WALL", False)):
        out.append(f"*ELEMENT, TYPE=CAX8, ELSET={name}")
        out += [
            f"{k}, {', '.join(map(str, c[0]))}" for k, c in enumerate(grid.cells, 1) if (c[4] <= base + 1e-9) == low
        ]
    out += ["*MATERIAL, NAME=M", "*ELASTIC", f"{E}, {NU}", "*DENSITY", f"{OWN:.9e}"]
    out += [f"*SOLID SECTION, ELSET={name}, MATERIAL=M" for name in ("DISC", "WALL")]
    out += ["*BOUNDARY", *(f"{k}, 1, 1" for k, (r, _) in enumerate(grid.places, 1) if r < 1e-9)]
    middle = ri + case["wall"] / 2.0
    held = [k for k, (r, z) in enumerate(grid.places, 1) if z < 1e-9 and (not case["spans"] or abs(r - middle) < 1e-6)]
    out += [f"{k}, 2, 2" for k in held]
    out += ["*STEP", "*STATIC", "*DLOAD", "DISC, GRAV, 1.0, 0.0, -1.0, 0.0"]
    for k, (_, a, b, c, d) in enumerate(grid.cells, 1):  # faces: P1 below, P2 right, P3 above, P4 left
        if abs(d - base) < 1e-9 and b <= ri + 1e-9:
            out.append(f"{k}, P3, {GAMMA * case['depth']!r}")
        if abs(a - ri) < 1e-9 and c >= base - 1e-9:
            out.append(f"{k}, P4, {GAMMA * (top - (c + d) / 2.0):.9e}")
    return "\n".join([*out, "*NODE FILE, OUTPUT=2D", "U", "*EL FILE, OUTPUT=2D", "S", "*END STEP", ""])


def _read(frd: Path, wanted: str) -> dict[int, list[float]]:
    """A nodal field of the result file."""
    found: dict[int, list[float]] = {}
    inside = False
    for line in frd.read_text().splitlines():
        if line.startswith(" -4"):
            inside = line.split()[1] == wanted
        elif line.startswith(" -3"):
            inside = False
        elif inside and line.startswith(" -1"):
            found[int(line[3:13])] = [float(line[13 + 12 * k : 25 + 12 * k]) for k in range((len(line) - 13) // 12)]
    return found


def _field(grid: _Grid, stress: dict[int, list[float]], part: int) -> Any:
    """Places and one part of the stress along a cut, in order: r and z as columns."""
    ids = np.array(sorted(stress))
    places = np.array([grid.places[k - 1] for k in ids])
    values = np.array([stress[int(k)][part] for k in ids])

    def along(axis: int, at: float, low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
        on = (
            (np.abs(places[:, axis] - at) < 1e-6)
            & (places[:, 1 - axis] > low - 1e-6)
            & (places[:, 1 - axis] < high + 1e-6)
        )
        order = np.argsort(places[on, 1 - axis])
        return places[on, 1 - axis][order], values[on][order]

    return along


def _integral(x: np.ndarray, y: np.ndarray) -> float:
    """Simpson's rule over quadratic elements."""
    return float(sum((x[k + 2] - x[k]) / 6.0 * (y[k] + 4.0 * y[k + 1] + y[k + 2]) for k in range(0, len(x) - 2, 2)))


def solve_ccx(case: dict[str, Any], fine: int = 1) -> dict[str, float]:
    """What a tank's solid of revolution has."""
    grid = _Grid(case, fine)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "round.inp").write_text(_deck(grid, case))
        done = subprocess.run(["ccx", "round"], cwd=folder, capture_output=True, text=True, check=False)
        assert re.search(r"Job finished", done.stdout), done.stdout[-800:]
        moves, stress = (_read(Path(folder) / "round.frd", one) for one in ("DISP", "STRESS"))
    ri, t, base = case["bore"] / 2.0, case["wall"], case["base"]
    radial, axial = (_field(grid, stress, part) for part in (0, 1))
    middle = ri + t / 2.0

    def wall_moment(z: float) -> float:
        r, s = axial(1, z, ri, ri + t)
        return _integral(r, s * (r - middle) * r / middle)

    def disc(r: float) -> tuple[float, float]:
        """Moment and mean pull across the base."""
        z, s = radial(0, r, 0.0, base)
        return _integral(z, s * (z - base / 2.0)), _integral(z, s) / base

    cuts = [0.4, 0.8, 1.2, 1.6]
    foot = float(
        np.polyval(np.polyfit([base + k * t for k in cuts], [wall_moment(base + k * t) for k in cuts], 2), base)
    )
    near, far = (float(axial(1, base + k * t, ri, ri + t)[1][0]) for k in (0.4, 1.0))
    inward = [ri - k * t for k in (0.6, 1.2, 1.8)]
    edge = float(np.polyval(np.polyfit(inward, [disc(r)[0] for r in inward], 2), ri))
    inner_moment, inner_pull = disc(0.05 * t)
    edged = 6.0 * abs(edge) / base**2 + disc(inward[0])[1]
    at_axis = [moves[k][1] for k, (r, z) in enumerate(grid.places, 1) if r < 1e-9 and abs(z - base / 2.0) < 1e-6]
    return {
        "wall": 6.0 * abs(foot) / t**2, "hot": (near - 0.4 * far) / 0.6,
        "disc": max(edged, 6.0 * abs(inner_moment) / base**2 + inner_pull), "sag": -at_axis[0],
    }  # fmt: skip


if __name__ == "__main__":
    rows = [json.dumps({**case, "solved": {k: round(v, 8) for k, v in solve_ccx(case).items()}}) for case in CASES]
    sys.stdout.write('{"cases": [\n' + ",\n".join(rows) + "\n]}\n")
