"""A sheet solved on one mesh: Morley triangles of scikit-fem, rings and bodies by stiff springs, moments from patches.

Morley's triangle (Morley 1968, The triangular equilibrium element; from memory) has the deflection at corners and the slope
across sides; a polygon of them for a round supported edge converges to the round plate. Moments are read from cubics
(`recover`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from assemblies.strength.sheets.given import Attached, Held, Recess, Rib, SheetLoad, Spot
from assemblies.strength.sheets.mesh import Array, Mesh, Numbers, inside
from assemblies.strength.sheets.recover import Bent, curvatures

__all__ = ["Level", "Plain", "solved"]

_FREE = 4  # of a body: up, turns about x and y, twist
_AROUND_BOLT = (
    12.0  # judgement: as far as this many radii the sheet yields in shear about a bolt, which thin plates do not
)
_SWINGS, _SWUNG = 60, 1e-6  # turns of the inverse iteration at most; change of the square of the frequency that ends it
_STIFF = 1e6  # of a spring that stands for a rigid tie, times the sheet's own bending stiffness over a length squared


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
        moments: xx, yy, xy at the places, N mm/mm: (loads, n, 3).
        moved: of each body w (mm) and the turns about x and y (rad): (loads, bodies, 3).
        pulls: force, N, with which each held bolt pulls the sheet: (loads, bolts).
        frequency_hz: the first; None where it was not asked for.
        triangles: how many.
    """

    places: Array
    thickness: Array
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


class _Work:
    """The matrices of one mesh while they are filled."""

    def __init__(self, mesh: Mesh, chains: Sequence[object], plain: Plain) -> None:
        from skfem import Basis, ElementTriMorley, MeshTri

        self.mesh, self.plain = mesh, plain
        self.grid = MeshTri(mesh.points.T.copy(), mesh.triangles.T.copy(), sort_t=True)
        self.basis = Basis(self.grid, ElementTriMorley(), intorder=4)
        self.paths: dict[object, list[Numbers]] = {}
        for what, numbers in zip(chains, mesh.paths, strict=True):
            self.paths.setdefault(what, []).append(numbers)
        corners = self.grid.p.T[self.grid.t.T]
        self.middles = corners.mean(axis=1)
        self.thick = np.full(len(self.middles), plain.thickness_mm)
        for recess in plain.recesses:
            self.thick[inside(self.middles, [np.array(recess.outline.points())])] = recess.left_mm
        self.up = np.asarray(self.basis.nodal_dofs[0])  # the deflection of each corner
        self.count = int(self.basis.N)
        self.rigid = float(plain.rigidity(np.array(plain.thickness_mm)))
        sheared = plain.modulus_mpa / (2.0 * (1.0 + plain.poisson)) * plain.thickness_mm
        self.local = float(
            2.0 * np.pi * (5.0 / 6.0) * sheared / np.log(_AROUND_BOLT)
        )  # stiffness about a bolt, in shear
        self.side = {(int(a), int(b)): k for k, (a, b) in enumerate(np.sort(self.grid.facets.T, axis=1))}
        self.normals = self._normals()

    def solve(
        self,
        held: Sequence[Held],
        bodies: Sequence[Attached],
        ribs: Sequence[Rib],
        loads: Sequence[SheetLoad],
        vibrates: bool,
    ) -> Level:
        from scipy.sparse import bmat, coo_matrix
        from scipy.sparse.linalg import splu

        size = self.count + _FREE * len(bodies)
        free = np.setdiff1d(np.arange(size), self._fixed(held))
        rows: list[tuple[Array, Numbers, float]] = []  # weights, places and stiffness of springs
        spots = [h.at for h in held if isinstance(h.at, Spot)]
        rows += [row for spot in spots for row in self._ring(spot)]
        for k, body in enumerate(bodies):
            rows += self._tied(body, self.count + _FREE * k)
        rows += [row for rib in ribs for row in self._rib(rib)]
        springs = _springs(rows, size)
        own, weigh, push = self._matrices(bool(bodies) or vibrates)
        rest = coo_matrix((size - self.count, size - self.count))
        stiff = (bmat([[own, None], [None, rest]]) if len(bodies) else own).tocsc() + springs
        factors = splu(stiff[free][:, free].tocsc())
        forces = self._forces(push, bodies, loads, size)
        answer = np.zeros((size, len(loads)))
        answer[free] = factors.solve(forces[free])
        moved = answer[self.count :].T.reshape(len(loads), len(bodies), _FREE)[:, :, :3]
        frequency = self._frequency(stiff, weigh, bodies, free, factors) if vibrates else None
        return self._level(answer, moved, spots, frequency)

    def _level(self, answer: Array, moved: Array, spots: Sequence[Spot], frequency: float | None) -> Level:
        nodes, thickness, bent = curvatures(self._patch_data(answer[: self.count]), self.thick)
        rigidity, nu = self.plain.rigidity(thickness)[:, None], self.plain.poisson
        xx, yy, xy = np.moveaxis(bent, 2, 0)
        moments = -np.stack([rigidity * (xx + nu * yy), rigidity * (yy + nu * xx), rigidity * (1.0 - nu) * xy], axis=2)
        pulls = np.array([-w * (c @ answer[n]) for spot in spots for c, n, w in self._ring(spot)[:1]])
        return Level(
            places=self.grid.p.T[nodes],
            thickness=thickness,
            deflection=answer[self.up[nodes]].T,
            moments=moments.transpose(1, 0, 2),
            moved=moved,
            pulls=pulls.reshape(len(spots), answer.shape[1]).T,
            frequency_hz=frequency,
            triangles=len(self.middles),
        )

    def _normals(self) -> Array:
        """The normals along which slopes count: left from the lesser number, on the border outward, as the library has it."""
        points, sides = self.grid.p.T, self.grid.facets.T
        way = points[sides[:, 1]] - points[sides[:, 0]]
        normal = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.linalg.norm(way, axis=1)[:, None]
        border = self.grid.boundary_facets()
        out = points[sides[border]].mean(axis=1) - self.middles[self.grid.f2t[0, border]]
        normal[border] *= np.sign((normal[border] * out).sum(axis=1))[:, None]
        return np.asarray(normal)

    def _patch_data(self, answer: Array) -> Bent:
        """Deflections at corners and slopes across sides."""
        points = self.grid.p.T
        return Bent(
            points=points,
            triangles=self.grid.t.T,
            sides=self.grid.t2f.T,
            middles=points[self.grid.facets.T].mean(axis=1),
            normals=self.normals,
            deflection=answer[self.up],
            slopes=answer[np.asarray(self.basis.facet_dofs[0])],
        )

    def _fixed(self, held: Sequence[Held]) -> Numbers:
        """The unknowns that are nothing, of held lines."""
        across = np.asarray(self.basis.facet_dofs[0])
        out: list[int] = []
        for one in held:
            for path in [] if isinstance(one.at, Spot) else self.paths[one.at]:
                out += self.up[path].tolist()
                if one.clamped:
                    out += across[self._along(path, one.at == "rim")].tolist()
        return np.unique(np.array(out, dtype=np.int64))

    def _ring(self, spot: Spot) -> list[tuple[Array, Numbers, float]]:
        """Mean deflection of a ring, and its slopes where it is stiff: (weights, unknowns, stiffness)."""
        path = self.paths[spot][0]
        rigid = _STIFF * self.rigid / spot.radius_mm**2
        arm = self.mesh.points[path] - np.array([spot.x_mm, spot.y_mm])
        out = [self._mean(path, self.local)]
        if spot.stiff:  # turn about y lowers what lies at +x, turn about x raises what lies at +y
            square = (arm**2).sum(axis=0)
            out += [(arm[:, k] / square[k], self.up[path], rigid * spot.radius_mm**2) for k in (1, 0)]
        return out

    def _mean(self, path: Numbers, stiff: float) -> tuple[Array, Numbers, float]:
        return np.full(len(path), 1.0 / len(path)), self.up[path], stiff

    def _tied(self, body: Attached, first: int) -> list[tuple[Array, Numbers, float]]:
        """A body's springs to the sheet: its w, turn about x and turn about y at its own middle stand from `first` on."""
        mine = np.arange(first, first + 3)
        x, y, _ = body.centre_mm
        out = [(np.ones(1), np.array([first + 3]), _STIFF * self.rigid if body.twist is None else body.twist)]
        for at in body.at:
            if isinstance(at, Spot):
                weights, places, rigid = self._ring(at)[0]
                there = np.array([-1.0, -(at.y_mm - y), at.x_mm - x])
                out.append((np.concatenate([weights, there]), np.concatenate([places, mine]), rigid))
                for (turn, places, rigid), k in zip(self._ring(at)[1:], (1, 2), strict=False):
                    sign = -1.0 if k == 1 else 1.0
                    out.append((np.concatenate([turn, [sign]]), np.concatenate([places, [first + k]]), rigid))
                continue
            out += self._on_line(self.paths[at][0], np.arange(first, first + _FREE), x, y, body.foot)
        return out

    def _on_line(
        self, path: Numbers, mine: Numbers, x: float, y: float, foot: float
    ) -> list[tuple[Array, Numbers, float]]:
        """A body that stands on a line: corners go with it, and the sheet turns with it across the line. Twisted, it moves what
        it stands on by the twist times (distance from its x) times (distance from `foot`)."""
        out = []
        turning = _STIFF * self.rigid
        for node in path:
            px, py = self.mesh.points[node]
            there = np.array([1.0, -1.0, -(py - y), px - x, -(px - x) * (py - foot)])
            out.append((there, np.concatenate([[self.up[node]], mine]), turning / self.plain.thickness_mm**2))
        for side in self._along(path):
            (nx, ny), (px, py) = self.normals[side], self.mesh.points[self.grid.facets[:, side]].mean(axis=0)
            unknown = int(self.basis.facet_dofs[0][side])
            twisted = -(nx * (py - foot) + ny * (px - x))
            out.append((np.array([1.0, -ny, nx, twisted]), np.array([unknown, *mine[1:]]), turning))
        return out

    def _along(self, path: Numbers, closed: bool = False) -> list[int]:
        """The sides of triangles along a path."""
        ends = np.roll(path, -1) if closed else path[1:]
        return [self.side[min(a, b), max(a, b)] for a, b in zip(path.tolist(), ends.tolist(), strict=False)]

    def _rib(self, rib: Rib) -> list[tuple[Array, Numbers, float]]:
        """A beam by second differences of the deflection at the corners along its line."""
        path = self.paths[(rib.start, rib.end)][0]
        along = np.linalg.norm(self.mesh.points[path] - np.array(rib.start), axis=1)
        share = along / along[-1]
        bends = np.interp(share, np.linspace(0.0, 1.0, len(rib.stiffness)), rib.stiffness)
        out = []
        for k in range(1, len(path) - 1):
            a, b = along[k] - along[k - 1], along[k + 1] - along[k]
            weights = np.array([2.0 / (a * (a + b)), -2.0 / (a * b), 2.0 / (b * (a + b))])
            out.append((weights, self.up[path[k - 1 : k + 2]], float(bends[k]) * (a + b) / 2.0))
        if rib.built_in:
            a = along[1] - along[0]
            out.append((np.array([2.0 / a**2]), self.up[path[1:2]], float(bends[0]) * a / 2.0))
        return [*out, *self._twisted(rib, path, share)] if rib.torsion else out

    def _twisted(self, rib: Rib, path: Numbers, share: Array) -> list[tuple[Array, Numbers, float]]:
        """The same rib twisted: by differences of the slopes across it, at the middles of the sides along its line."""
        way = np.array(rib.end) - np.array(rib.start)
        long, left = float(np.linalg.norm(way)), np.array([-way[1], way[0]]) / float(np.linalg.norm(way))
        sides = self._along(path)
        signs = [float(np.sign(self.normals[side] @ left)) for side in sides]
        at = (share[1:] + share[:-1]) / 2.0
        twists = np.interp((at[1:] + at[:-1]) / 2.0, np.linspace(0.0, 1.0, len(rib.torsion)), rib.torsion)
        slopes = np.asarray(self.basis.facet_dofs[0])[sides]
        out = []
        for k, apart in enumerate(np.diff(at) * long):
            weights = np.array([-signs[k], signs[k + 1]]) / apart
            out.append((weights, slopes[k : k + 2], float(twists[k]) * float(apart)))
        if rib.built_in:
            first = float(at[0]) * long
            out.append((np.array([signs[0] / first]), slopes[:1], float(rib.torsion[0]) * first))
        return out

    def _matrices(self, heavy: bool) -> tuple[Any, Any, Array]:
        """Stiffness, mass (kg) and what a pressure does at each quadrature point."""
        from skfem import BilinearForm, ElementTriP1, LinearForm
        from skfem.helpers import dd, ddot

        rigidity, nu = self.plain.rigidity(self.thick)[:, None], self.plain.poisson
        mass = (self.plain.density_kg_m3 * 1e-9 * self.thick)[:, None]

        @BilinearForm  # type: ignore[untyped-decorator]
        def bends(u: Any, v: Any, w: Any) -> Any:
            trace = (dd(u)[0, 0] + dd(u)[1, 1]) * (dd(v)[0, 0] + dd(v)[1, 1])
            return rigidity * (nu * trace + (1.0 - nu) * ddot(dd(u), dd(v)))

        @BilinearForm  # type: ignore[untyped-decorator]
        def weighs(u: Any, v: Any, w: Any) -> Any:
            return mass * u * v

        forms = [lambda v, w: v, lambda v, w: w.x[0] * v, lambda v, w: w.x[1] * v, lambda v, w: mass * v]
        straight = self.basis.with_element(ElementTriP1())
        push = np.zeros((self.count, 4))
        push[self.up] = np.stack([LinearForm(form).assemble(straight) for form in forms], axis=1)
        return bends.assemble(self.basis), weighs.assemble(self.basis) if heavy else None, push

    def _forces(self, push: Array, bodies: Sequence[Attached], loads: Sequence[SheetLoad], size: int) -> Array:
        out = np.zeros((size, len(loads)))
        for k, load in enumerate(loads):
            out[: self.count, k] = push[:, :3] @ np.array(load.pressure) + push[:, 3] * load.pull[2] * 1e-3
            for i, body in enumerate(bodies):
                fx, fy, fz = (body.mass_kg * a * 1e-3 for a in load.pull)
                z = body.centre_mm[2]
                out[self.count + _FREE * i : self.count + _FREE * i + 3, k] = fz, -z * fy, z * fx
        return out

    def _frequency(self, stiff: Any, weigh: Any, bodies: Sequence[Attached], free: Numbers, factors: Any) -> float:
        """The first of the generalised eigenproblem, by inverse iteration on what is factored already (any text on
        eigenvalues): the quotient is never under the least. Masses in t go with N and mm. It starts without symmetry."""
        from scipy.sparse import block_diag, diags

        weights = [
            (
                b.mass_kg,
                b.inertia_kg_mm2[0] + b.mass_kg * b.centre_mm[2] ** 2,
                b.inertia_kg_mm2[1] + b.mass_kg * b.centre_mm[2] ** 2,
            )
            for b in bodies
        ]
        heavy = diags(np.maximum(np.array([(*w, 0.0) for w in weights]).ravel(), 1e-12)) if bodies else None
        start = np.random.default_rng(0).standard_normal(len(free))
        mass = (block_diag([weigh, heavy]) if bodies else weigh).tocsc()[free][:, free] * 1e-3
        swung, found = start, 0.0
        for _ in range(_SWINGS):  # each turn the part of the next mode falls by the ratio of their squares
            pushed = mass @ swung
            moved = factors.solve(pushed)
            before, found = found, float(moved @ pushed) / float(moved @ (mass @ moved))
            if abs(found - before) <= _SWUNG * found:
                break
            swung = moved / np.abs(moved).max()
        return float(np.sqrt(max(found, 0.0)) / (2.0 * np.pi))


def _springs(rows: Sequence[tuple[Array, Numbers, float]], size: int) -> Any:
    from scipy.sparse import coo_matrix

    values, across, down = [np.zeros(0)], [np.zeros(0, dtype=int)], [np.zeros(0, dtype=int)]
    for weights, places, stiff in rows:
        values.append((stiff * np.outer(weights, weights)).ravel())
        across.append(np.repeat(places, len(places)))
        down.append(np.tile(places, len(places)))
    return coo_matrix(
        (np.concatenate(values), (np.concatenate(across), np.concatenate(down))), shape=(size, size)
    ).tocsc()
