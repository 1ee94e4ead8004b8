"""Brackets with gussets as solids, by CalculiX (`ccx`): what moves, swings and is stressed, for 1 N at the prop.

A development tool, not a test: it needs the Debian package calculix-ccx. One solid piece of second-order bricks (C3D20R), rings
of them about each hole. The walls of the rig's holes stand still, and those of the prop's follow a rigid body, each in the
mean. Writes what `test_solid_bracket.py` reads: python solid_bracket.py > solid_bracket.json
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import numpy as np

E, NU, RHO = 3200.0, 0.37, 1.19e-9  # MPa, t/mm3
R, R_PROP = 3.3, 2.25  # of the holes
PATCH, PATCH_PROP = 8.0, 4.5  # half the square about a hole that is meshed in rings
LAND = 8.0
FIRST = 1.5  # height of the bricks on the bond
AROUND = [(x, z) for x in (-15.0, 15.0) for z in (-14.0, 8.0)]  # the prop's holes, from its place
#: Length, depth of base, height, thickness, gusset back and up, gussets' middles, bolts, prop's place (along, up from the base,
#: out from the upright's middle plane), mass (t). The last two are held out: nothing was fitted to them.
BRACKETS: dict[str, dict[str, Any]] = {
    "two": {"L": 120.0, "D": 100.0, "H": 100.0, "t": 10.0, "reach": 60.0, "rise": 70.0, "at": [10.0, 110.0],
            "bolts": [[40, 45], [80, 45], [40, 85], [80, 85]], "prop": [60.0, 85.0, 0.0], "mass": 0.45e-3},
    "thin": {"L": 120.0, "D": 100.0, "H": 100.0, "t": 6.0, "reach": 60.0, "rise": 70.0, "at": [10.0, 110.0],
             "bolts": [[40, 45], [80, 45], [40, 85], [80, 85]], "prop": [60.0, 85.0, 0.0], "mass": 0.45e-3},
    "tall": {"L": 100.0, "D": 90.0, "H": 160.0, "t": 8.0, "reach": 50.0, "rise": 90.0, "at": [10.0, 90.0],
             "bolts": [[35, 35], [65, 35], [35, 75], [65, 75]], "prop": [50.0, 140.0, 30.0], "mass": 0.3e-3},
    "three": {"L": 180.0, "D": 120.0, "H": 130.0, "t": 8.0, "reach": 70.0, "rise": 80.0, "at": [15.0, 90.0, 165.0],
              "bolts": [[50, 45], [130, 45], [50, 100], [130, 100]], "prop": [90.0, 110.0, 40.0], "mass": 0.5e-3},
    "near": {"L": 90.0, "D": 80.0, "H": 110.0, "t": 12.0, "reach": 40.0, "rise": 50.0, "at": [9.0, 81.0],
             "bolts": [[30, 28], [60, 28], [30, 58], [60, 58]], "prop": [45.0, 90.0, 35.0], "mass": 0.6e-3},
}  # fmt: skip
Point = tuple[float, float]
Quad = list[Point]


def lines(cuts: list[float], size: float) -> np.ndarray:
    """Places along an axis through all cuts, at most so far apart."""
    cuts = uniq(cuts)
    out = [cuts[0]]
    for a, b in pairwise(cuts):
        n = max(1, int(np.ceil((b - a) / size - 1e-9)))
        out += [a + (b - a) * k / n for k in range(1, n + 1)]
    return np.array(out)


def uniq(values: Sequence[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > 1e-6:
            out.append(v)
    return out


def about(middles: Sequence[Sequence[float]], axis: int, half: float) -> list[float]:
    return [p[axis] + d for p in middles for d in (-half, 0.0, half)]


def quads(us: np.ndarray, vs: np.ndarray, holes: Sequence[Point], radius: float, half: float, rings: int) -> list[Quad]:
    """The cells of a grid, counter-clockwise; about each hole rings of them, from its edge to a square."""
    out: list[Quad] = []
    for (u0, u1), (v0, v1) in product(pairwise(us), pairwise(vs)):
        middle = ((u0 + u1) / 2, (v0 + v1) / 2)
        if not any(max(abs(middle[0] - a), abs(middle[1] - b)) < half for a, b in holes):
            out.append([(u0, v0), (u1, v0), (u1, v1), (u0, v1)])
    for a, b in holes:
        along = [u for u in us if abs(u - a) <= half + 1e-6]
        up = [v for v in vs if abs(v - b) <= half + 1e-6]
        square = [(u, up[0]) for u in along[:-1]] + [(along[-1], v) for v in up[:-1]]
        square += [(u, up[-1]) for u in along[:0:-1]] + [(along[0], v) for v in up[:0:-1]]

        def place(p: Point, k: int, a: float = a, b: float = b) -> Point:
            far = float(np.hypot(p[0] - a, p[1] - b))
            share = radius / far + (1 - radius / far) * (k / rings) ** 1.4
            return a + (p[0] - a) * share, b + (p[1] - b) * share

        for (p, q), k in product(zip(square, square[1:] + square[:1], strict=True), range(rings)):
            out.append([place(p, k + 1), place(q, k + 1), place(q, k), place(p, k)])
    return out


class Solid:
    """Nodes by their places, and bricks; a node between two on one hole's edge lies on that edge."""

    def __init__(self, bores: list[tuple[tuple[int, int], Point, float]]) -> None:
        self.nodes: dict[tuple[float, float, float], int] = {}
        self.bricks: list[list[int]] = []
        self.parts: list[str] = []
        self.bores = bores
        self.walls: dict[int, dict[int, float]] = {k: {} for k in range(len(bores))}

    def node(self, p: np.ndarray) -> int:
        return self.nodes.setdefault((round(p[0], 4), round(p[1], 4), round(p[2], 4)), len(self.nodes) + 1)

    def on(self, p: np.ndarray) -> int | None:
        """The bore on whose wall a place is."""
        for k, ((i, j), (a, b), radius) in enumerate(self.bores):
            if abs(np.hypot(p[i] - a, p[j] - b) - radius) < 1e-3 and (i, j) == (
                (0, 1) if self.part == "base" else (0, 2)
            ):
                return k
        return None

    def between(self, p: np.ndarray, q: np.ndarray) -> np.ndarray:
        middle, k = (p + q) / 2, self.on(p)
        if k is not None and k == self.on(q):
            (i, j), (a, b), radius = self.bores[k]
            far = np.hypot(middle[i] - a, middle[j] - b)
            middle[i], middle[j] = a + (middle[i] - a) * radius / far, b + (middle[j] - b) * radius / far
        return np.asarray(middle)

    def brick(self, part: str, corners: Sequence[Sequence[float]]) -> None:
        """Eight corners: four counter-clockwise seen from the side where the other four are."""
        self.part = part
        p = [np.array(c, dtype=float) for c in corners]
        pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
        every = [*p, *(self.between(p[a], p[b]) for a, b in pairs)]
        found = [self.node(q) for q in every]
        self.bricks.append(found)
        self.parts.append(part)
        walls = [self.on(q) for q in p]
        if walls[2] is not None and walls[2] == walls[3] == walls[6] == walls[7]:  # as `quads` turns its rings
            area = float(np.linalg.norm(p[2] - p[3]) * np.linalg.norm(p[2] - p[6]))
            mine = self.walls[walls[2]]
            for k in (2, 3, 6, 7):  # the shares of an even pull on a face of eight nodes
                mine[found[k]] = mine.get(found[k], 0.0) - area / 12.0
            for k in (8 + 2, 12 + 2, 16 + 2, 16 + 3):
                mine[found[k]] = mine.get(found[k], 0.0) + area / 3.0


def prop_holes(b: dict[str, Any]) -> list[Point]:
    px, pz, _ = b["prop"]
    return [(px + a, b["t"] + pz + c) for a, c in AROUND]


def built(b: dict[str, Any], size: float, layers: int) -> Solid:
    t, held = b["t"], prop_holes(b)
    bolts: list[Point] = [(x, y) for x, y in b["bolts"]]
    s = Solid([((0, 1), p, R) for p in bolts] + [((0, 2), p, R_PROP) for p in held])
    sides = [g + d for g in b["at"] for d in (-t / 2, t / 2)]
    fine = [x + d * half for pts, half in ((bolts, PATCH), (held, PATCH_PROP)) for x, _ in pts for d in (-0.5, 0.5)]
    xs = lines([0, b["L"], *sides, *about(bolts, 0, PATCH), *about(held, 0, PATCH_PROP), *fine], size)
    fine = [y + d * PATCH for _, y in bolts for d in (-0.5, 0.5)]
    ys = lines([0, t, t + LAND, t + b["reach"], b["D"], *about(bolts, 1, PATCH), *fine,
                *(t * k / layers for k in range(1, layers)), t + b["reach"] - t], size)  # fmt: skip
    fine = [z + d * PATCH_PROP for _, z in held for d in (-0.5, 0.5)]
    zs = lines([t, t + FIRST, t + b["rise"], *about(held, 1, PATCH_PROP), *fine, t + b["H"]], size)
    rings = max(3, round(12 / size))
    for quad, k in product(quads(xs, ys, bolts, R, PATCH, rings), range(layers)):
        s.brick("base", [(*p, t * j / layers) for j in (k, k + 1) for p in quad])
    thick = ys[ys <= t + 1e-9]
    for quad, (y0, y1) in product(quads(xs, zs, held, R_PROP, PATCH_PROP, rings), pairwise(thick)):
        s.brick("upright", [(x, y, z) for y in (y1, y0) for x, z in quad])
    low = zs[zs <= t + b["rise"] + 1e-9] - t
    back = ys[(ys >= t - 1e-9) & (ys <= t + b["reach"] + 1e-9)]
    tall = lambda y: float(np.interp(y - t, [0, LAND, b["reach"]], [b["rise"], b["rise"], LAND]))  # noqa: E731
    for g in b["at"]:
        mine = xs[(xs >= g - t / 2 - 1e-9) & (xs <= g + t / 2 + 1e-9)]
        for (x0, x1), (y0, y1), (z0, z1) in product(pairwise(mine), pairwise(back), pairwise(low)):
            ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            s.brick("gusset", [(x, y, t + z / b["rise"] * tall(y)) for z in (z0, z1) for x, y in ring])
    return s


def equation(terms: list[tuple[int, int, float]]) -> Iterator[str]:
    yield "*EQUATION"
    yield str(len(terms))
    for k in range(0, len(terms), 4):
        yield ", ".join(f"{n}, {way}, {c:.10g}" for n, way, c in terms[k : k + 4])


def deck(b: dict[str, Any], s: Solid) -> list[str]:
    """What CalculiX reads. The prop is two nodes without a place: how it moves, and how it turns about its middle."""
    px, pz, off = b["prop"]
    middle = np.array([px, b["t"] / 2 - off, b["t"] + pz])
    by_number = {n: np.array(p) for p, n in s.nodes.items()}
    moves, turns = len(s.nodes) + 1, len(s.nodes) + 2
    out = ["*NODE, NSET=NALL"] + [f"{n}, {x}, {y}, {z}" for (x, y, z), n in s.nodes.items()]
    out += [f"{n}, {middle[0]}, {middle[1]}, {middle[2]}" for n in (moves, turns)]
    for part in ("base", "upright", "gusset"):
        out += [f"*ELEMENT, TYPE=C3D20R, ELSET={part.upper()}"]
        for k, (e, where) in enumerate(zip(s.bricks, s.parts, strict=True), 1):
            if where == part:
                out += [f"{k}, {', '.join(map(str, e[:15]))},", ", ".join(map(str, e[15:]))]
    n = len(s.bricks)
    out += ["*ELEMENT, TYPE=MASS, ELSET=HEAVY", f"{n + 1}, {moves}", "*MASS, ELSET=HEAVY", f"{b['mass']}"]
    out += ["*ELEMENT, TYPE=MASS, ELSET=TURNS", f"{n + 2}, {turns}", "*MASS, ELSET=TURNS", f"{b['mass'] * INERTIA}"]
    for k, wall in s.walls.items():
        whole = sum(wall.values())
        heavy = max(wall, key=lambda n: abs(wall[n]))
        order = [heavy, *(n for n in wall if n != heavy)]
        place = sum(wall[n] / whole * by_number[n] for n in wall)
        for way in (1, 2, 3):
            terms = [(n, way, wall[n] / whole) for n in order]
            if k >= len(b["bolts"]):  # it follows the prop: moves + turns x arm
                arm = place - middle
                terms.append((moves, way, -1.0))
                i, j = way % 3, (way + 1) % 3
                terms += [(turns, i + 1, -arm[j]), (turns, j + 1, arm[i])]
                terms = [term for term in terms if abs(term[2]) > 1e-9]
            out += equation(terms)
    out += [f"*MATERIAL, NAME=P\n*ELASTIC\n{E}, {NU}\n*DENSITY\n{RHO}"]
    out += [f"*SOLID SECTION, ELSET={part}, MATERIAL=P" for part in ("BASE", "UPRIGHT", "GUSSET")]
    out += [f"*NSET, NSET=PROP\n{moves}", "*ELSET, ELSET=STANDS\nUPRIGHT, GUSSET"]
    for way in (1, 2, 3):
        out += ["*STEP", "*STATIC", "*CLOAD, OP=NEW", f"{moves}, {way}, 1.0", "*NODE PRINT, NSET=PROP", "U"]
        out += ["*EL PRINT, ELSET=STANDS", "S", "*EL FILE", "S", "*END STEP"]
    return [*out, "*STEP", "*FREQUENCY", "2", "*END STEP"]


INERTIA = 600.0  # mm2, times its mass: of a cube with sides of 60 about each axis through its middle
Field = np.ndarray


def principal(stress: Field) -> Field:
    """The principal stress that is largest in size, of xx, yy, zz, xy, yz, zx."""
    xx, yy, zz, xy, yz, zx = stress.T
    full = np.stack([np.stack(r, axis=-1) for r in ((xx, xy, zx), (xy, yy, yz), (zx, yz, zz))], axis=-2)
    return np.asarray(np.abs(np.linalg.eigvalsh(full)).max(axis=-1))


def nodal(frd: str) -> list[Field]:
    """The nodes' stresses (n, 7: number first) of each static step."""
    out: list[Field] = []
    rows: list[list[float]] | None = None
    for line in frd.splitlines():
        if line.startswith(" -4  STRESS"):
            rows = []
        elif rows is not None and line.startswith(" -1"):
            rows.append([float(line[3:13]), *(float(line[13 + 12 * k : 25 + 12 * k]) for k in range(6))])
        elif rows is not None and line.startswith(" -3"):
            out.append(np.array(rows))
            rows = None
    return out


def blocks(dat: str, head: str) -> list[Field]:
    """The tables of numbers under each such head."""
    out: list[Field] = []
    rows: list[list[float]] | None = None
    for line in dat.splitlines():
        words = line.split()
        if head in line:
            rows = []
        elif rows is not None and words:
            try:
                rows.append([float(w) for w in words])
            except ValueError:
                out.append(np.array(rows))
                rows = None
    return [*out, np.array(rows)] if rows is not None else out


def inland(b: dict[str, Any]) -> dict[str, list[Point]]:
    """Where faces are read, away from all notches: on the base midway between the upright and the first bolts, on the upright a
    thickness above the gussets; over the base, and up from it."""
    t, xs = b["t"], sorted({x for x, _ in b["bolts"]})
    y = (t + min(y for _, y in b["bolts"]) - R) / 2
    return {
        "base": [(x, y) for x in (*xs, (xs[0] + xs[-1]) / 2)],
        "upright": [(x, b["rise"] + t) for x in (*b["at"], b["L"] / 2)],
    }


def largest_at(points: Sequence[Point], places: Field, stress: Field) -> float:
    """The largest principal stress at points of a face, between places (n, 2) at which it is known."""
    from scipy.interpolate import LinearNDInterpolator

    return float(principal(LinearNDInterpolator(places, stress)(np.array(points))).max())


def at_holes(holes: Sequence[Sequence[float]], radius: float) -> Callable[[Field, Field], Field]:
    return lambda u, v: np.any([np.hypot(u - a, v - c) < radius + 0.01 for a, c in holes], axis=0)


def mean_bond(stress: Field) -> float:
    """The largest principal of a mean pull across and a mean shear, of zz, and the hypot of yz and zx."""
    pull, shear = max(float(stress[2]), 0.0), float(np.hypot(stress[4], stress[5]))
    return pull / 2 + float(np.hypot(pull / 2, shear))


def read(b: dict[str, Any], s: Solid, nodes: Field, points: Field) -> dict[str, float]:
    """The largest stresses of one step, MPa for 1 N."""
    t, size = b["t"], {n: np.array(p) for p, n in s.nodes.items()}
    place = np.array([size[int(n)] for n in nodes[:, 0]])
    x, y, z = place.T
    large = principal(nodes[:, 1:])
    base = (np.abs(z) < 1e-3) | (np.abs(z - t) < 1e-3)
    front = (z > t + 1e-3) & ((np.abs(y) < 1e-3) | (np.abs(y - t) < 1e-3))
    ours = [(p[0], p[1] - t) for p in prop_holes(b)]
    most = lambda where: float(large[where].max())  # noqa: E731
    out = {
        "holes": most(base & at_holes(b["bolts"], R)(x, y)),
        "prop holes": most(front & at_holes(ours, R_PROP)(x, z - t)),
    }
    for part, high, faces in (("base", y, (z, [0.0, t])), ("upright", z - t, (y, [0.0, t]))):
        for face in faces[1]:
            flat = (np.abs(faces[0] - face) < 1e-3) & ((z > t + 1e-3) | (part == "base"))
            there = np.stack([x[flat], high[flat]], axis=1)
            out[part] = max(out.get(part, 0.0), largest_at(inland(b)[part], there, nodes[flat, 1:]))
    toe, root = b["reach"], np.arange(0.0, b["L"] - t + 1e-6, t / 2)
    out["toe"] = max(foot(b, s, points, "gusset", (g - t / 2, toe), (t, t)) for g in b["at"])
    out["root"] = max(foot(b, s, points, "upright", (x, 0.0), (t, t)) for x in root)
    return out


def foot(b: dict[str, Any], s: Solid, points: Field, part: str, start: Point, size: Point) -> float:
    """What the bond bears, in the mean over a rectangle of the base's face: from the bricks of a part that stand on it."""
    place = {n: np.array(p) for p, n in s.nodes.items()}
    area, whole = 0.0, np.zeros(6)
    for k in np.unique(points[:, 0]).astype(int):
        corners = np.array([place[n] for n in s.bricks[k - 1][:8]])
        (x0, y0, z0), (x1, y1, _) = corners.min(axis=0), corners.max(axis=0)
        if s.parts[k - 1] != part or abs(z0 - b["t"]) > 1e-3:
            continue
        over = max(min(x1, start[0] + size[0]) - max(x0, start[0]), 0.0)
        over *= max(min(y1, start[1] + size[1]) - max(y0, start[1]), 0.0)
        area, whole = area + over, whole + over * points[points[:, 0] == k][:, 2:8].mean(axis=0)
    assert abs(area - size[0] * size[1]) < 1e-3 * area
    return mean_bond(whole / area)


def solve(b: dict[str, Any], size: float, layers: int) -> dict[str, Any]:
    s = built(b, size, layers)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "b.inp").write_text("\n".join(deck(b, s)) + "\n")
        run = subprocess.run(["ccx", "b"], cwd=folder, capture_output=True, text=True, timeout=900)
        assert run.returncode == 0, run.stdout[-1500:]
        dat, frd = ((Path(folder) / f"b.{end}").read_text() for end in ("dat", "frd"))
    moved = blocks(dat, "displacements")
    points = blocks(dat, "stresses (elem")
    modes = re.search(r"E I G E N V A L U E   O U T P U T(.*?)\n\s*\n\s*P A R", dat, re.S)
    assert modes
    frequency = [float(line.split()[3]) for line in modes[1].splitlines() if re.match(r"\s+\d+\s", line)]
    return {
        "moved": [[round(float(v), 9) for v in one[0, 1:4]] for one in moved[:3]],
        "frequency": frequency[:2],
        "stress": [
            {k: round(v, 6) for k, v in read(b, s, n, p).items()}
            for n, p in zip(nodal(frd)[:3], points[:3], strict=True)
        ],
        "bricks": len(s.bricks),
    }  # fmt: skip


if __name__ == "__main__":
    print(
        json.dumps(
            {
                name: {"given": b, "coarse": solve(b, 10.0, 2), "fine": solve(b, 6.5, 2)}
                for name, b in BRACKETS.items()
                if not sys.argv[1:] or name in sys.argv[1:]
            },
            indent=1,
        )
    )
