"""A sheet solved on one mesh: discrete Kirchhoff triangles, rings and bodies by stiff springs, moments from patches.

The triangle has the deflection and the two slopes at each corner (Batoz, Bathe and Ho 1980, A study of three-node triangular
plate bending elements; from memory); its slopes are parabolas, of which scikit-fem works out the energy. A polygon of them
whose corners alone are supported converges to the round plate. Moments are read from cubics (`recover`). Held to Morley's
triangles on other meshes: `tests/assemblies/strength/sheets`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from assemblies.strength.sheets.borders import Array, Numbers
from assemblies.strength.sheets.given import Attached, Held, Recess, Rib, SheetLoad, Spot
from assemblies.strength.sheets.mesh import Mesh, inside
from assemblies.strength.sheets.recover import curvatures

__all__ = ["Level", "Plain", "solved", "stiffness"]

_FREE = 4  # of a body: up, turns about x and y, twist
_AROUND_BOLT = (
    12.0  # judgement: as far as this many radii the sheet yields in shear about a bolt, which thin plates do not
)
_SWINGS, _SWUNG = 60, 1e-6  # turns of the inverse iteration at most; change of the square of the frequency that ends it
_STIFF = 1e6  # of a spring that stands for a rigid tie, times the sheet's own bending stiffness over a length squared

_Row = tuple[Array, Numbers, float]  # of a spring: weights, unknowns, stiffness


@dataclass(frozen=True, kw_only=True)
class Plain:
    """The sheet itself: thickness, mm, modulus, MPa, Poisson's ratio, density, kg/m3, and its pockets."""

    thickness_mm: float
    modulus_mpa: float
    poisson: float
    density_kg_m3: float = 0.0
    recesses: tuple[Recess, ...] = ()

    def rigidity(self, thickness: Array) -> Array:
        """Bending stiffness of a plate, N mm: E t3 / 12 (1 - nu2)."""
        return self.modulus_mpa * thickness**3 / (12.0 * (1.0 - self.poisson**2))


@dataclass(frozen=True, kw_only=True, eq=False)
class Level:
    """The answers on one mesh, for every load.

    Attributes:
        places: (n, 2) at which the moments are read; thickness: there; deflection: (loads, n) there.
        notch: radius of the hole or inner corner at whose edge each place is, 0 for none.
        moments: xx, yy, xy at the places, N mm/mm: (loads, n, 3).
        moved: of each body w (mm) and the turns about x and y (rad): (loads, bodies, 3).
        pulls: force, N, with which each held bolt pulls the sheet: (loads, bolts).
        frequency_hz: the first; None where it was not asked for.
        triangles: how many.
    """

    places: Array
    thickness: Array
    notch: Array
    deflection: Array
    moments: Array
    moved: Array
    pulls: Array
    frequency_hz: float | None
    triangles: int


def solved(
    mesh: Mesh,
    chains: Sequence[object],
    plain: Plain,
    held: Sequence[Held],
    bodies: Sequence[Attached],
    ribs: Sequence[Rib],
    loads: Sequence[SheetLoad],
    vibrates: bool,
) -> Level:
    """All loads on one mesh. `chains` says what each path of the mesh stands for: a `Spot`, a chain, "rim" or nothing."""
    return _Work(mesh, chains, plain).solve(held, bodies, ribs, loads, vibrates)


def stiffness(points: Array, triangles: Numbers, rigidity: Array, poisson: float) -> Array:
    """Of triangles (m, 3) for deflection, slope along x and slope along y at each corner: (m, 9, 9).

    The slopes are parabolas, the library's elements; at the middle of a side, along it, theirs is that of the cubic through its
    ends, and across it the mean of both.
    """
    from skfem import Basis, BilinearForm, ElementTriP2, ElementVector, MeshTri

    grid = MeshTri(points.T.copy(), triangles.T.copy(), sort_t=False)
    basis = Basis(grid, ElementVector(ElementTriP2()), intorder=2)

    @BilinearForm  # type: ignore[untyped-decorator]
    def bends(turn: Any, other: Any, w: Any) -> Any:
        (xx, xy), (yx, yy) = turn.grad
        (also_xx, also_xy), (also_yx, also_yy) = other.grad
        even = xx * also_xx + yy * also_yy + poisson * (xx * also_yy + yy * also_xx)
        return rigidity[:, None] * (even + (1.0 - poisson) / 2.0 * (xy + yx) * (also_xy + also_yx))

    slopes = _slopes(points[triangles]).reshape(len(triangles), 12, 9)
    own = bends.elemental(basis).tolocal()
    return np.asarray(slopes.transpose(0, 2, 1) @ own @ slopes)


def _slopes(corners: Array) -> Array:
    """Slopes along x and y at corners and middles of sides, by the nine unknowns of each triangle: (m, 6, 2, 9)."""
    across = np.roll(corners, -1, axis=1) - corners  # of side k from corner k to the next
    out = np.zeros((len(corners), 6, 2, 9))
    for k in range(3):
        after = (k + 1) % 3
        out[:, k, :, 3 * k + 1 : 3 * k + 3] = np.eye(2)
        way = across[:, k]
        square = (way**2).sum(axis=1)[:, None]
        middle = 0.5 * np.eye(2) - 0.75 * way[:, :, None] * way[:, None, :] / square[:, :, None]
        out[:, 3 + k, :, 3 * k] = -1.5 * way / square
        out[:, 3 + k, :, 3 * after] = 1.5 * way / square
        for end in (k, after):
            out[:, 3 + k, :, 3 * end + 1 : 3 * end + 3] = middle
    return out


class _Work:
    """The matrices of one mesh while they are filled. Of corner k the unknowns are 3 k, its deflection, and two slopes."""

    def __init__(self, mesh: Mesh, chains: Sequence[object], plain: Plain) -> None:
        self.mesh, self.plain = mesh, plain
        self.paths: dict[object, Numbers] = {}
        for what, numbers in zip(chains, mesh.paths, strict=True):
            self.paths.setdefault(what, numbers)
        self.corners = mesh.points[mesh.triangles]
        self.thick = np.full(len(self.corners), plain.thickness_mm)
        for recess in plain.recesses:
            self.thick[inside(self.corners.mean(axis=1), [np.array(recess.outline.points())])] = recess.left_mm
        a, b = self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0]
        self.areas = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0
        self.count = 3 * len(mesh.points)
        self.rigid = float(plain.rigidity(np.array(plain.thickness_mm)))
        sheared = plain.modulus_mpa / (2.0 * (1.0 + plain.poisson)) * plain.thickness_mm
        self.local = float(
            2.0 * np.pi * (5.0 / 6.0) * sheared / np.log(_AROUND_BOLT)
        )  # stiffness about a bolt, in shear

    def solve(
        self,
        held: Sequence[Held],
        bodies: Sequence[Attached],
        ribs: Sequence[Rib],
        loads: Sequence[SheetLoad],
        vibrates: bool,
    ) -> Level:
        from scipy.sparse.linalg import splu

        ends = np.cumsum([_FREE * len(bodies), *(len(self.paths[rib.start, rib.end]) for rib in ribs)]) + self.count
        size = int(ends[-1])
        free = np.setdiff1d(np.arange(size), self._fixed(held, ribs))
        spots = [h.at for h in held if isinstance(h.at, Spot)]
        rows = [row for spot in spots for row in self._ring(spot)]
        rows += [row for one in held if not isinstance(one.at, Spot) and not one.clamped for row in self._lies(one)]
        for k, body in enumerate(bodies):
            rows += self._tied(body, self.count + _FREE * k)
        rows += [row for rib, first in zip(ribs, ends.tolist(), strict=False) for row in self._rib(rib, first)]
        # in order of what each row shares with others, no pivots are sought: the matrix is symmetrical and definite
        factors = splu(
            self._stiff(rows, free, size),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        answer = np.zeros((size, len(loads)))
        answer[free] = factors.solve(self._forces(bodies, loads, size)[free])
        moved = answer[self.count : ends[0]].T.reshape(len(loads), len(bodies), _FREE)[:, :, :3]
        frequency = self._frequency(bodies, free, size, factors) if vibrates else None
        return self._level(answer, moved, spots, frequency)

    def _level(self, answer: Array, moved: Array, spots: Sequence[Spot], frequency: float | None) -> Level:
        points = self.mesh.points
        nodal = answer[: self.count].reshape(len(points), 3, -1)
        nodes, thickness, bent = curvatures(points, self.mesh.triangles, self.thick, nodal)
        rigidity, nu = self.plain.rigidity(thickness)[:, None], self.plain.poisson
        xx, yy, xy = np.moveaxis(bent, 2, 0)
        moments = -np.stack([rigidity * (xx + nu * yy), rigidity * (yy + nu * xx), rigidity * (1.0 - nu) * xy], axis=2)
        pulls = np.array([-w * (c @ answer[n]) for spot in spots for c, n, w in self._ring(spot)[:1]])
        return Level(
            places=points[nodes],
            thickness=thickness,
            notch=_notches(self.mesh)[nodes],
            deflection=nodal[nodes, 0].T,
            moments=moments.transpose(1, 0, 2),
            moved=moved,
            pulls=pulls.reshape(len(spots), answer.shape[1]).T,
            frequency_hz=frequency,
            triangles=len(self.corners),
        )

    def _stiff(self, rows: Sequence[_Row], free: Numbers, size: int) -> Any:
        """The stiffness of what is free to move: sheet and springs."""
        from scipy.sparse import coo_matrix

        mine = (3 * self.mesh.triangles[:, :, None] + np.arange(3)).reshape(-1, 9)
        own = stiffness(self.mesh.points, self.mesh.triangles, self.plain.rigidity(self.thick), self.plain.poisson)
        values, down, across = [own.ravel()], [np.repeat(mine, 9, axis=1).ravel()], [np.tile(mine, 9).ravel()]
        for weights, places, stiff in rows:
            values.append((stiff * np.outer(weights, weights)).ravel())
            down.append(np.repeat(places, len(places)))
            across.append(np.tile(places, len(places)))
        number = np.full(size, -1, dtype=np.int32)
        number[free] = np.arange(len(free), dtype=np.int32)
        i, j = number[np.concatenate(down)], number[np.concatenate(across)]
        kept = (i >= 0) & (j >= 0)
        return coo_matrix((np.concatenate(values)[kept], (i[kept], j[kept])), shape=(len(free),) * 2).tocsc()

    def _fixed(self, held: Sequence[Held], ribs: Sequence[Rib]) -> Numbers:
        """The unknowns that are nothing: of held lines, and of ribs' held ends."""
        out = [np.zeros(0, dtype=np.int64)]
        for one in held:
            if not isinstance(one.at, Spot):
                first = 3 * self.paths[one.at]
                out += [first, first + 1, first + 2] if one.clamped else [first]
        out += [3 * self.paths[rib.start, rib.end][0] + np.arange(3) for rib in ribs if rib.built_in]
        return np.unique(np.concatenate(out))

    def _lies(self, line: Held) -> Iterator[_Row]:
        """Where a supported line is straight the sheet has no slope along it; on arcs that would clamp the polygon."""
        which = next(k for k, path in enumerate(self.mesh.paths) if path is self.paths[line.at])
        path, closed = self.mesh.paths[which], line.at == "rim"
        ends = np.stack([path, np.roll(path, -1)], axis=1)[None if closed else slice(len(path) - 1)]
        for pair, bow in zip(ends.reshape(-1, 2), self.mesh.bows[which], strict=True):
            if not bow[2]:
                way = self.mesh.points[pair[1]] - self.mesh.points[pair[0]]
                for node in pair:
                    yield way / np.linalg.norm(way), np.array([3 * node + 1, 3 * node + 2]), _STIFF * self.rigid

    def _ring(self, spot: Spot) -> list[_Row]:
        """Mean deflection of a ring, and its slopes where it is stiff."""
        path = self.paths[spot]
        arm = self.mesh.points[path] - np.array([spot.x_mm, spot.y_mm])
        out = [(np.full(len(path), 1.0 / len(path)), 3 * path, self.local)]
        if spot.stiff:  # turn about y lowers what lies at +x, turn about x raises what lies at +y
            square = (arm**2).sum(axis=0)
            out += [(arm[:, k] / square[k], 3 * path, _STIFF * self.rigid) for k in (1, 0)]
        return out

    def _tied(self, body: Attached, first: int) -> list[_Row]:
        """A body's springs to the sheet: its w, turn about x and turn about y at its own middle stand from `first` on."""
        mine = np.arange(first, first + 3)
        x, y, _ = body.centre_mm
        out = [(np.ones(1), np.array([first + 3]), _STIFF * self.rigid if body.twist is None else body.twist)]
        for at in body.at:
            if not isinstance(at, Spot):
                out += self._on_line(self.paths[at], np.arange(first, first + _FREE), x, y, body.foot)
                continue
            weights, places, rigid = self._ring(at)[0]
            there = np.array([-1.0, -(at.y_mm - y), at.x_mm - x])
            out.append((np.concatenate([weights, there]), np.concatenate([places, mine]), rigid))
            for (turn, places, rigid), k in zip(self._ring(at)[1:], (1, 2), strict=False):
                sign = -1.0 if k == 1 else 1.0
                out.append((np.concatenate([turn, [sign]]), np.concatenate([places, [first + k]]), rigid))
        return out

    def _on_line(self, path: Numbers, mine: Numbers, x: float, y: float, foot: float) -> Iterator[_Row]:
        """A body that stands on a line: the sheet goes and turns with it there. Twisted, it moves what it stands on by the
        twist times (distance from its x) times (distance from `foot`)."""
        turning = _STIFF * self.rigid
        for node in path:
            px, py = self.mesh.points[node]
            there = np.array([1.0, -1.0, -(py - y), px - x, -(px - x) * (py - foot)])
            yield there, np.array([3 * node, *mine]), turning / self.plain.thickness_mm**2
            yield np.array([1.0, 1.0, -(py - foot)]), np.array([3 * node + 1, *mine[2:]]), turning
            yield np.array([1.0, -1.0, -(px - x)]), np.array([3 * node + 2, mine[1], mine[3]]), turning

    def _rib(self, rib: Rib, first: int) -> Iterator[_Row]:
        """A beam along its line that yields to bending and to shear, with its own slope at each corner from `first` on
        (Timoshenko's, any text on beams: linear between corners, sheared evenly); twisted by the sheet's slope across it."""
        path = self.paths[rib.start, rib.end]
        way = (np.array(rib.end) - np.array(rib.start)) / np.linalg.norm(np.array(rib.end) - np.array(rib.start))
        left = np.array([-way[1], way[0]])
        at = (self.mesh.points[path] - np.array(rib.start)) @ way
        own = first + np.arange(len(path))
        rigid = _STIFF * self.rigid / self.plain.thickness_mm
        yield np.array([1.0, *-way]), np.array([own[0], 3 * path[0] + 1, 3 * path[0] + 2]), rigid
        for k, ((i, j), (a, b)) in enumerate(zip(pairwise(path), pairwise(at), strict=True)):
            long, share = b - a, (a + b) / 2.0 / at[-1]
            yield np.array([-1.0, 1.0]) / long, own[k : k + 2], _between(rib.stiffness, share) * long
            sheared = _between(rib.shear, share) if rib.shear else rigid / self.plain.thickness_mm
            weights = np.array([-1.0 / long, 1.0 / long, -0.5, -0.5])
            yield weights, np.array([3 * i, 3 * j, *own[k : k + 2]]), sheared * long
            if rib.torsion:
                places = np.array([3 * i + 1, 3 * i + 2, 3 * j + 1, 3 * j + 2])
                yield np.concatenate([-left, left]) / long, places, _between(rib.torsion, share) * long

    def _forces(self, bodies: Sequence[Attached], loads: Sequence[SheetLoad], size: int) -> Array:
        """Of each load: pressure and own weight, linear over each triangle, on its corners; what bodies are pulled with."""
        out = np.zeros((size, len(loads)))
        share = self.areas[:, None] / 12.0
        for k, load in enumerate(loads):
            even, *slope = load.pressure
            pressed = even + self.corners @ np.array(slope) + (load.pull[2] * 1e-12 * self._heavy())[:, None]
            corner = share * (pressed + pressed.sum(axis=1, keepdims=True))
            out[: self.count : 3, k] = np.bincount(self.mesh.triangles.ravel(), corner.ravel(), self.count // 3)
            for i, body in enumerate(bodies):
                fx, fy, fz = (body.mass_kg * a * 1e-3 for a in load.pull)
                z = body.centre_mm[2]
                out[self.count + _FREE * i : self.count + _FREE * i + 3, k] = fz, -z * fy, z * fx
        return out

    def _heavy(self) -> Array:
        """Mass by area, density in kg/m3 times mm."""
        return self.plain.density_kg_m3 * self.thick

    def _frequency(self, bodies: Sequence[Attached], free: Numbers, size: int, factors: Any) -> float:
        """The first of the generalised eigenproblem, by inverse iteration on what is factored already (any text on
        eigenvalues): the quotient is never under the least. Masses in t go with N and mm. It starts without symmetry."""
        from scipy.sparse import coo_matrix

        mass = (1e-12 * self._heavy() * self.areas)[:, None, None] / 12.0 * (1.0 + np.eye(3))
        down = np.repeat(3 * self.mesh.triangles, 3, axis=1).ravel()
        across = np.tile(3 * self.mesh.triangles, 3).ravel()
        own = [
            (m, b.inertia_kg_mm2[0] + m * b.centre_mm[2] ** 2, b.inertia_kg_mm2[1] + m * b.centre_mm[2] ** 2, 0.0)
            for b in bodies
            for m in [b.mass_kg]
        ]
        last = self.count + np.arange(_FREE * len(bodies))
        values = np.concatenate([mass.ravel(), np.maximum(np.array(own).ravel(), 1e-12) * 1e-3])
        places = np.concatenate([down, last]), np.concatenate([across, last])
        heavy = coo_matrix((values, places), shape=(size, size)).tocsr()
        swung, found = np.zeros(size), 0.0
        swung[free] = np.random.default_rng(0).standard_normal(len(free))
        moved = np.zeros(size)
        for _ in range(_SWINGS):  # each turn the part of the next mode falls by the ratio of their squares
            pushed = heavy @ swung
            moved[free] = factors.solve(pushed[free])
            before, found = found, float(moved @ pushed) / float(moved @ (heavy @ moved))
            if abs(found - before) <= _SWUNG * found:
                break
            swung = moved / np.abs(moved).max()
        return float(np.sqrt(max(found, 0.0)) / (2.0 * np.pi))


def _notches(mesh: Mesh) -> Array:
    """Of each point the radius of the arc that it is on where the middle of that is in the air: a hole, an inner corner."""
    out = np.zeros(len(mesh.points))
    a, b, c = (mesh.points[mesh.triangles[:, k]] for k in range(3))
    for path, bows in zip(mesh.paths, mesh.bows, strict=True):
        for bow in np.unique(bows[bows[:, 2] > 0.0], axis=0):
            turns = [_cross(q - p, bow[:2] - p) for p, q in ((a, b), (b, c), (c, a))]
            if not (np.min(turns, axis=0) > 0.0).any():
                sides = np.flatnonzero((bows == bow).all(axis=1))
                out[path[np.concatenate([sides, (sides + 1) % len(path)])]] = bow[2]
    return out


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _between(values: Sequence[float], share: float) -> float:
    """What is given at even places, at a share of the length."""
    return float(np.interp(share, np.linspace(0.0, 1.0, len(values)), values))
