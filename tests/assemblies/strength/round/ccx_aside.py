"""Round tanks that are tilted or pushed, as solids in space by CalculiX (`ccx`): half of each, quadratic bricks (C3D20R).

A development tool: it needs the Debian package calculix-ccx. Writes what `test_leaned.py` reads:
python ccx_aside.py > ccx_aside.json

The liquid's surface is a plane square to what pulls on it, which the axis meets `level` over the floor; p = rho (g, x) below it
and nil above, its value at the middle of each element's face. The disc stands on a ring, whose nodes do not move up or down and
share what pulls aside evenly (one equation of their mean move). Wall and disc are one piece; beside a groove they are two.

What is read, in MPa and mm, at planes through the axis. `bending`, `seam`: of the wall where it meets the base (of an inset
disc, of the disc where it meets the wall) the bending stress, and with what it is pulled by, the largest around: moments across
cuts at 0.4, 0.8, 1.2 and 1.6 walls, drawn on by the parabola through them. `tube`: the largest principal stress at the faces of
the wall from 0.4 walls on. `disc`: the same of the disc, from 0.6 walls inside and outside the wall on, or its edge's by
its moments drawn on to the wall. `rim`: the largest move in or out of the tube's top. `sag`: the largest up or down inside.
"""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from ccx_round import NU, E, _integral, _read

__all__ = ["CASES", "RHO", "G", "pressure_of", "solve_aside"]

G, RHO, RHO_SHEET = 9806.65, 998.2e-12, 1190.0e-12  # mm/s2, t/mm3
#: Bore, wall, thickness and diameter of the base, depth, radius of the ring, groove, inset; what pulls aside and down, in g;
#: height of the surface on the axis. `full`: closed and full, so that the nil is where the liquid presses least.
CASES: tuple[dict[str, Any], ...] = tuple(
    dict(zip(("bore", "wall", "base", "out", "depth", "ring", "groove", "inset", "aside", "down", "level"), one, strict=True))
    for one in (
        (190.0, 5.0, 12.0, 270.0, 300.0, 120.0, 0.0, False, math.sin(0.25 * math.pi), math.cos(0.25 * math.pi), 150.0),
        (140.0, 4.0, 8.0, 148.0, 250.0, 72.0, 0.0, False, 0.5, math.sqrt(0.75), 170.0),
        (290.0, 5.0, 12.0, 360.0, 300.0, 165.0, 0.0, False, math.sqrt(0.75), 0.5, 20.0),
        (190.0, 5.0, 10.0, 200.0, 300.0, 97.5, 0.0, False, 4.0 / 9.80665, 1.0, 338.8),
        (190.0, 8.0, 6.0, 206.0, 300.0, 99.0, 0.0, False, math.sin(0.7), math.cos(0.7), 120.0),
        (140.0, 5.0, 12.0, 220.0, 400.0, 96.0, 3.0, False, math.sin(1.0), math.cos(1.0), 200.0),
        (190.0, 5.0, 12.0, 200.0, 300.0, 97.5, 0.0, True, 0.5, math.sqrt(0.75), 200.0),
    )
)  # fmt: skip
_TURNS = 24  # elements in a half turn


def pressure_of(case: dict[str, Any]) -> Callable[[Any, Any], Any]:
    """By the place aside and the height over the floor."""
    return lambda x, z: RHO * G * np.maximum(case["aside"] * x + case["down"] * (case["level"] - z), 0.0)


def _spread(places: list[tuple[float, int]]) -> np.ndarray:
    out, last = [0.0], 0.0
    for end, count in places:
        if end > last + 1e-6:
            out += list(np.linspace(last, end, count + 1)[1:])
            last = end
    return np.array(out)


class _Swept:
    """Nodes and bricks: the section's rows of r and z, swept in half turn; numbers of nodes by (own, i, j, k)."""

    def __init__(self, case: dict[str, Any]) -> None:
        ri, t, base = case["bore"] / 2.0, case["wall"], case["base"]
        self.foot, top, edge = base - case["groove"], base + case["depth"], case["out"] / 2.0
        ro = ri + t
        past = [] if case["inset"] or edge < ro + 1e-6 else [(edge, 2)]
        if past and edge > ro + 1.9 * t:
            ring = [(case["ring"], 1)] if case["ring"] > ro else []
            past = [*((ro + f * t, 1) for f in (0.6, 1.2, 1.8)), *ring, *past]
        self.rs = _spread(
            [(ri - 1.8 * t, 9), (ri - 1.2 * t, 1), (ri - 0.6 * t, 1), (ri, 2), (ri + t / 2.0, 1), (ro, 1), *past]
        )
        cuts = [(self.foot + f * t, 1) for f in (0.4, 0.8, 1.2, 1.6)]
        if case["groove"]:
            cuts = sorted([*cuts, (base, 1)])
        self.zs = _spread([(self.foot, 3), *cuts, (self.foot + 6.0 * t, 5), (top, 16)])
        self.turns = np.linspace(0.0, math.pi, 2 * _TURNS + 1)
        self.r2, self.z2 = (np.sort(np.concatenate([a, (a[1:] + a[:-1]) / 2.0])) for a in (self.rs, self.zs))
        self.number: dict[tuple[bool, int, int, int], int] = {}
        self.bricks: list[tuple[bool, float, float, float, float, int, list[int]]] = []
        for (i, (a, b)), (j, (c, d)) in (
            (x, y) for x in enumerate(pairwise(self.rs)) for y in enumerate(pairwise(self.zs))
        ):
            wall = a > ri - 1e-9 and b < ro + 1e-9 and (case["inset"] or c > self.foot - 1e-9)
            disc = d < base + 1e-9 and b < (ri if case["inset"] else edge) + 1e-9
            if not (wall or disc):
                continue
            for k in range(_TURNS):
                self.bricks.append((wall, a, b, c, d, k, self._brick(i, j, k, wall and not case["inset"], a < 1e-9)))

    def _brick(self, i: int, j: int, k: int, own: bool, axis: bool) -> list[int]:
        def at(x: int, y: int, turn: int) -> int:
            row, column = 2 * j + y, 2 * i + x
            key = (own and self.z2[row] > self.foot + 1e-9, column, row, 2 * k + turn if column else 0)
            return self.number.setdefault(key, len(self.number) + 1)

        if axis:
            flat = [(0, 0), (2, 0), (2, 2)]
            mids = [(1, 0), (2, 1), (1, 2)]
        else:
            flat = [(0, 0), (2, 0), (2, 2), (0, 2)]
            mids = [(1, 0), (2, 1), (1, 2), (0, 1)]
        return [at(x, y, t) for y, ring in ((0, flat), (2, flat), (0, mids), (2, mids), (1, flat)) for x, t in ring]


def _deck(mesh: _Swept, case: dict[str, Any]) -> str:
    press, base, ri = pressure_of(case), case["base"], case["bore"] / 2.0
    out = ["*NODE, NSET=ALL"]
    for (_, i, j, k), number in mesh.number.items():
        r, turn = mesh.r2[i], mesh.turns[k]
        out.append(f"{number}, {r * math.cos(turn):.9e}, {r * math.sin(turn):.9e}, {mesh.z2[j]:.9e}")
    for name, count in (("C3D20R", 20), ("C3D15", 15)):
        out.append(f"*ELEMENT, TYPE={name}, ELSET={name}")
        for number, one in enumerate(mesh.bricks, 1):
            if len(one[6]) == count:
                out += [f"{number}, {', '.join(map(str, one[6][:10]))},", ", ".join(map(str, one[6][10:]))]
    out += ["*MATERIAL, NAME=M", "*ELASTIC", f"{E}, {NU}", "*DENSITY", f"{RHO_SHEET:.9e}"]
    out += [f"*SOLID SECTION, ELSET={name}, MATERIAL=M" for name in ("C3D20R", "C3D15")]
    ring = int(np.argmin(np.abs(mesh.r2 - case["ring"])))
    assert abs(mesh.r2[ring] - case["ring"]) < 1e-6
    held = [(k, n) for (own, i, j, k), n in mesh.number.items() if i == ring and j == 0]
    out.append("*BOUNDARY")
    out += [f"{n}, 2, 2" for (_, i, _, k), n in mesh.number.items() if k in (0, 2 * _TURNS) or i == 0]
    out += [f"{n}, 3, 3" for _, n in held]
    shares = [(n, 1.0 if k in (0, 2 * _TURNS) else 4.0 if k % 2 else 2.0) for k, n in sorted(held)]
    out += ["*EQUATION", str(len(shares)), *(f"{n}, 1, {w}" for n, w in shares)]
    aside, down = case["aside"], case["down"]
    out += ["*STEP", "*STATIC", "*DLOAD"]
    size = math.hypot(aside, down)
    for name in ("C3D20R", "C3D15"):
        out.append(f"{name}, GRAV, {G * size:.9e}, {aside / size:.9e}, 0.0, {-down / size:.9e}")
    for number, (wall, a, b, c, d, k, nodes) in enumerate(mesh.bricks, 1):
        x = math.cos((mesh.turns[2 * k] + mesh.turns[2 * k + 2]) / 2.0)
        if not wall and abs(d - base) < 1e-9 and b < ri + 1e-9:
            out.append(f"{number}, P2, {press((a + b) / 2.0 * x if len(nodes) == 20 else b * x * 2.0 / 3.0, 0.0):.9e}")
        if wall and abs(a - ri) < 1e-9 and c > base - 1e-9:
            out.append(f"{number}, P6, {press(a * x, (c + d) / 2.0 - base):.9e}")
    return "\n".join([*out, "*NODE FILE", "U", "*EL FILE", "S", "*END STEP", ""])


def solve_aside(case: dict[str, Any]) -> dict[str, float]:
    """What its solid has."""
    mesh = _Swept(case)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "aside.inp").write_text(_deck(mesh, case))
        done = subprocess.run(["ccx", "aside"], cwd=folder, capture_output=True, text=True, check=False)
        assert re.search(r"Job finished", done.stdout), done.stdout[-800:]
        moves, stress = (_read(Path(folder) / "aside.frd", one) for one in ("DISP", "STRESS"))
    planes = [_Plane(mesh, case, stress, k) for k in range(0, 2 * _TURNS + 1, 2)]
    joints = [one.joint() for one in planes]
    radius = np.array([mesh.r2[i] for _, i, _, _ in mesh.number])
    top = [
        abs(moves[n][0] * math.cos(mesh.turns[k]) + moves[n][1] * math.sin(mesh.turns[k]))
        for (_, i, j, k), n in mesh.number.items()
        if j == len(mesh.z2) - 1
    ]
    inside = [
        abs(moves[n][2])
        for (_, i, j, _), n in mesh.number.items()
        if mesh.z2[j] < case["base"] + 1e-6 and mesh.r2[i] < case["bore"] / 2.0 + 1e-6
    ]
    assert radius.max() > 0.0
    return {
        "bending": max(abs(bends) for bends, _ in joints),
        "seam": max(abs(bends) + pulls for bends, pulls in joints),
        "tube": max(one.tube() for one in planes),
        "disc": max(one.disc() for one in planes),
        "rim": max(top),
        "sag": max(inside),
    }


class _Plane:
    """Stress in a plane through the axis, in its own directions: r, around, up, r with around, around with up, up with r."""

    def __init__(self, mesh: _Swept, case: dict[str, Any], stress: dict[int, list[float]], k: int) -> None:
        self.mesh, self.case = mesh, case
        turn = mesh.turns[k]
        c, s = math.cos(turn), math.sin(turn)
        way = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
        self.at: dict[tuple[int, int], np.ndarray] = {}
        self.own: dict[tuple[int, int], np.ndarray] = {}
        for (own, i, j, at), n in mesh.number.items():
            if at != k and i:
                continue
            xx, yy, zz, xy, yz, zx = stress[n]  # as the result file has them
            found = way @ np.array([[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]]) @ way.T
            (self.own if own else self.at)[i, j] = found

    def _wall(self, i: int, j: int) -> np.ndarray:
        return self.own[i, j] if (i, j) in self.own else self.at[i, j]

    def _columns(self) -> list[int]:
        ri, t = self.case["bore"] / 2.0, self.case["wall"]
        return [i for i, r in enumerate(self.mesh.r2) if ri - 1e-6 < r < ri + t + 1e-6]

    def _row(self, z: float) -> int:
        return int(np.argmin(np.abs(self.mesh.z2 - z)))

    def _column(self, r: float) -> int:
        return int(np.argmin(np.abs(self.mesh.r2 - r)))

    def _across_disc(self, i: int) -> tuple[float, float]:
        rows = [j for j, z in enumerate(self.mesh.z2) if z < self.case["base"] + 1e-6]
        z, s = self.mesh.z2[rows], np.array([self.at[i, j][0, 0] for j in rows])
        base = self.case["base"]
        return _integral(z, s * (z - base / 2.0)), _integral(z, s) / base

    def _edge(self) -> tuple[float, float]:
        """Bending stress and pull of the disc where it meets the wall."""
        ri, t = self.case["bore"] / 2.0, self.case["wall"]
        inward = [ri - f * t for f in (0.6, 1.2, 1.8)]
        found = [self._across_disc(self._column(r)) for r in inward]
        return 6.0 * float(np.polyval(np.polyfit(inward, [m for m, _ in found], 2), ri)) / self.case[
            "base"
        ] ** 2, found[0][1]

    def joint(self) -> tuple[float, float]:
        """Bending stress and pull at the seam."""
        t, foot = self.case["wall"], self.mesh.foot
        if self.case["inset"]:
            return self._edge()
        columns, middle = self._columns(), self.case["bore"] / 2.0 + t / 2.0
        r = self.mesh.r2[columns]
        bends, pulls, cuts = [], [], [foot + f * t for f in (0.4, 0.8, 1.2, 1.6)]
        for z in cuts:
            s = np.array([self._wall(i, self._row(z))[2, 2] for i in columns])
            bends.append(_integral(r, s * (r - middle) * r / middle))
            pulls.append(_integral(r, s * r / middle))
        at = [float(np.polyval(np.polyfit(cuts, one, 2), foot)) for one in (bends, pulls)]
        return 6.0 * at[0] / t**2, at[1] / t

    def tube(self) -> float:
        """Around and up, and the shear between, at inner and outer face."""
        columns, low = self._columns(), self.mesh.foot + 0.4 * self.case["wall"]
        rows = [j for j, z in enumerate(self.mesh.z2) if z > low - 1e-6]
        return max(
            float(np.linalg.eigvalsh(self._wall(i, j)[1:, 1:])[-1]) for i in (columns[0], columns[-1]) for j in rows
        )

    def disc(self) -> float:
        ri, t = self.case["bore"] / 2.0, self.case["wall"]
        far = [
            i for i, r in enumerate(self.mesh.r2) if i % 2 == 0 and (r < ri - 0.6 * t + 1e-6 or r > ri + 1.6 * t - 1e-6)
        ]
        far = [i for i in far if self._not_at_ring(i) and (i, 0) in self.at]
        most = max(
            float(np.linalg.eigvalsh(self.at[i, j][:2, :2])[-1]) for i in far for j in (0, self._row(self.case["base"]))
        )
        bends, pulls = self._edge()
        return max(most, abs(bends) + pulls) if not self.case["groove"] else most

    def _not_at_ring(self, i: int) -> bool:
        """What stands on a line has no finite stress there."""
        return abs(self.mesh.r2[i] - self.case["ring"]) > 0.5 * self.case["base"]


if __name__ == "__main__":
    rows = [json.dumps({**case, "solved": {k: round(v, 8) for k, v in solve_aside(case).items()}}) for case in CASES]
    sys.stdout.write('{"cases": [\n' + ",\n".join(rows) + "\n]}\n")
