"""A bracket as one solid: base, upright and gussets as bricks of the second order, bolts by the mean of their holes' walls.

Plates and ribs do not know that gussets and upright make a channel, whose shear centre lies before it, that short thick plates
yield in shear, or how a gusset's toe peels. Bricks do. Source: linear elasticity, displacements on bricks of 20 nodes (any text
on finite elements). Valid: sheet between one bolt's row and the next as drawn, small movements. Held to far finer solids of
CalculiX: `tests/assemblies/strength/mount/test_solid_bracket.py`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from assemblies.design.mass import Body
from assemblies.strength.sheets.given import Spot
from assemblies.strength.sheets.sheet import Reading
from parts.findings import NotCovered
from parts.vectors import Vector

__all__ = ["Block", "BracketBricks", "BracketPlate", "Shape", "bricks", "principal"]

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
#: Of bricks along the plates, mm: one through the thickness, finer at holes.
SIZE: Final = 12.0
#: Bricks so coarse move by 2 to 4 % too little, against three finer solids (computed: `test_solid_bracket.py`).
_SOFTER: Final = 1.03
_DOUBT: Final = 0.02  # of a stress: the same solids
_FIRST: Final = 1.5  # mm: height of the bricks on the bond
_RINGS: Final = (0.0, 0.35, 1.0)  # of bricks about a hole, as shares of the way to its square
_SQUARE, _LEAST, _MOST = 2.2, 1.4, 3.2  # half a side of it in radii: wanted, least, most
_TIED: Final = 1e4  # of a spring that stands for a rigid tie, times modulus and thickness
_NODES: Final = 20  # of a brick
_SWINGS, _SWUNG = 60, 1e-6  # as of sheets
_GAUSS: Final = 0.5 - 0.5 / np.sqrt(3.0)
#: Corners and middles of sides in the order of the library's brick, as of one that counts around its lower face first.
_ORDER: Final = (6, 2, 5, 7, 1, 3, 4, 0)


@dataclass(frozen=True, kw_only=True)
class Shape:
    """A bracket: length (x), depth of its base (y), height of its upright, thickness, mm; middles of the gussets along x, how
    far they reach back and up, and how long their blunt end is; holes of base and upright."""

    length: float
    depth: float
    height: float
    thick: float
    gussets: tuple[float, ...]
    reach: float
    rise: float
    land: float
    bolts: tuple[Spot, ...]
    held: tuple[Spot, ...]

    @property
    def walls(self) -> list[tuple[float, float]]:
        """From and to along x of each gusset."""
        return [(g - self.thick / 2.0, g + self.thick / 2.0) for g in self.gussets]

    def rise_at(self, back: float) -> float:
        """How high a gusset is so far behind the upright."""
        return float(np.interp(back, [0.0, self.land, self.reach], [self.rise, self.rise, self.land]))


@dataclass(frozen=True, kw_only=True)
class Block:
    """The material: modulus, MPa, Poisson's ratio, density, kg/m3."""

    modulus_mpa: float
    poisson: float
    density_kg_m3: float


@dataclass(frozen=True, kw_only=True, eq=False)
class BracketBricks:
    """The answers for pulls of 1 m/s2 along x, y and z; they add up.

    Attributes:
        moved: of the prop's centre, mm: (3 pulls, 3).
        frequency_hz: the first.
        bow: how far any place of base or upright moves square to it, mm: (3 pulls, n), by piece.
        places: where both faces of base and upright are read: (n, 3), in the bracket's own axes.
        stress: there, xx, yy, zz, xy, yz, zx, MPa: (3 pulls, n, 6).
        bonds: means over squares of one thickness of what stands on the base, at toes and along the upright: pull across,
            and shears along x and y, MPa: (3 pulls, n, 3).
        pulls: force along z with which each bolt pulls the base, N: (3 pulls, bolts).
    """

    moved: Array
    frequency_hz: float
    bow: dict[str, Array]
    places: dict[str, Array]
    stress: dict[str, Array]
    bonds: dict[str, Array]
    pulls: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class BracketPlate:
    """Base or upright of a bracket of bricks, read as a sheet is (`SheetResult`): for pulls along its own axes.

    `axes`: those, in the bracket's. `whole`: what moves and swings is told by one of the two; the other adds nothing.
    """

    solved: BracketBricks
    part: str
    axes: tuple[Vector, Vector, Vector]
    whole: bool

    @property
    def frequency_hz(self) -> tuple[float, float]:
        """The first frequency and its error as a share."""
        return (self.solved.frequency_hz if self.whole else math.inf), 0.0

    def stress(self, weights: Sequence[float]) -> Reading:
        """The largest principal stress on either face, MPa, holes' edges among them; half a thickness off what is bonded on."""
        places, values = self.solved.places[self.part], principal(self._of(self.solved.stress[self.part], weights))
        at = int(np.argmax(values))
        x, y, _ = places[at]
        return Reading(value=float(values[at]), x_mm=float(x), y_mm=float(y), error=_DOUBT)

    def deflection(self, weights: Sequence[float]) -> Reading:
        """How far a place of it moves at most, mm."""
        most = float(np.abs(self._of(self.solved.bow[self.part], weights)).max())
        return Reading(value=most, x_mm=0.0, y_mm=0.0, error=_DOUBT)

    def prop_moves(self, weights: Sequence[float]) -> Vector:
        """How far the prop's centre moves, in its own axes, mm."""
        moved = self._of(self.solved.moved, weights) if self.whole else np.zeros(3)
        x, y, z = (float(np.dot(axis, moved)) for axis in self.axes)
        return x, y, z

    def pulls(self, weights: Sequence[float]) -> Array:
        """What each held bolt pulls the base with, N."""
        return self._of(self.solved.pulls, weights)

    def bond(self, name: str, weights: Sequence[float]) -> float:
        """The largest principal stress of a mean pull across a bond and a mean shear in it, MPa."""
        pull, *shear = self._of(self.solved.bonds[name], weights).T
        half = np.maximum(pull, 0.0) / 2.0
        return float((half + np.hypot(half, np.hypot(*shear))).max())

    def _of(self, values: Array, weights: Sequence[float]) -> Array:
        """The values for a pull that is told in its own axes."""
        return np.asarray(np.tensordot(np.array(weights) @ np.array(self.axes), values, axes=1))


def principal(stress: Array) -> Array:
    """The principal stress that is largest in size, of xx, yy, zz, xy, yz, zx (last axis)."""
    rows = [[0, 3, 5], [3, 1, 4], [5, 4, 2]]
    return np.asarray(np.abs(np.linalg.eigvalsh(stress[..., rows])).max(axis=-1))


def bricks(shape: Shape, block: Block, prop: Body, size: float = SIZE) -> BracketBricks:
    """A bracket held at its bolts, pulled at its prop and by its own weight.

    Args:
        prop: its centre in the bracket's own axes, from the base's lower-left corner.
        size: of bricks along the plates, at most, mm.

    Raises:
        NotCovered: holes so near to each other or to an edge that there is no room for bricks about them.
    """
    return _Work(shape, block, size).solve(prop)


class _Work:
    """The mesh and its matrices. Unknowns: x of all nodes, then y, then z; last how the prop moves and turns."""

    def __init__(self, shape: Shape, block: Block, size: float) -> None:
        from skfem import Basis, ElementHexS2, MeshHex, MeshHex2

        self.shape, self.block = shape, block
        nodes: dict[tuple[float, float, float], int] = {}
        cells, parts, walls = [], [], []
        for part, wall, corners in _cells(shape, size):
            cells.append([nodes.setdefault(tuple(round(c, 5) for c in p), len(nodes)) for p in corners])  # type: ignore[arg-type]
            parts.append(part)
            walls.append(wall)
        self.parts, self.walls = np.array(parts), np.array(walls)
        straight = MeshHex(np.array(list(nodes)).T.copy(), np.array(cells).T[list(_ORDER)].copy())
        bent, element = MeshHex2.from_mesh(straight), ElementHexS2()
        places, own = bent.doflocs.copy(), bent.dofs.element_dofs
        for spots, axes in ((shape.bolts, (0, 1, 2)), (shape.held, (0, 2, 1))):
            for spot in spots:
                middle = np.array([spot.x_mm, spot.y_mm + (shape.thick if axes[1] == 2 else 0.0)])[:, None]
                arm = places[list(axes[:2])] - middle
                far = np.hypot(*arm)
                wall = (far < spot.radius_mm) & (np.abs(places[axes[2]] - shape.thick / 2.0) < shape.thick / 2.0 + 1e-6)
                places[np.ix_(axes[:2], wall)] = (middle + arm * spot.radius_mm / np.where(far > 0, far, 1.0))[:, wall]
        rest = np.arange(_NODES, own.shape[0])  # middles of faces and bodies go where 20 nodes put them
        at = np.array(bent.elem().doflocs)[rest].T
        shares = np.array([element.lbasis(at, k)[0] for k in range(_NODES)])
        places[:, own[rest]] = np.einsum("dkc,kr->drc", places[:, own[:_NODES]], shares)
        self.grid = MeshHex2(places, bent.t)
        self.basis = Basis(self.grid, element, intorder=4)
        self.count = int(self.basis.N)

    def solve(self, prop: Body) -> BracketBricks:
        from scipy.sparse import block_diag, coo_matrix
        from scipy.sparse.linalg import splu

        stiff, mass, weigh = self._matrices()
        size = 3 * self.count + 6
        ties = list(self._ties(prop))
        rows = np.concatenate([np.full(len(w), k) for k, (w, _) in enumerate(ties)])
        tied = coo_matrix(
            (np.concatenate([w for w, _ in ties]), (rows, np.concatenate([n for _, n in ties]))),
            shape=(len(ties), size),
        ).tocsr()
        spring = _TIED * self.block.modulus_mpa * self.shape.thick
        whole = (block_diag([stiff, coo_matrix((6, 6))]) + spring * tied.T @ tied).tocsc()
        factors = splu(whole, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        forces = np.zeros((size, 3))
        for way in range(3):
            forces[way * self.count : (way + 1) * self.count, way] = weigh
            forces[3 * self.count + way, way] = prop.mass_kg
        answer = factors.solve(forces)
        heavy = np.zeros((6, 6))
        heavy[:3, :3], heavy[3:, 3:] = prop.mass_kg * np.eye(3), np.array(prop.inertia_kg_mm2)
        swings = block_diag([mass, mass, mass, coo_matrix(heavy)]).tocsr() * 1e-3
        fields = answer[: 3 * self.count].T.reshape(3, 3, self.count)
        many = np.cumsum([0] + [5 if spot.stiff else 3 for spot in self.shape.bolts])
        third = many[:-1] + 2  # of each bolt's ties the one along z
        return BracketBricks(
            moved=_SOFTER * answer[3 * self.count : 3 * self.count + 3].T,
            frequency_hz=_first(swings, factors) / math.sqrt(_SOFTER),
            pulls=-spring * (tied[third] @ answer).T,
            **self._read(fields),
        )

    def _matrices(self) -> tuple[Any, Any, Array]:
        """Stiffness (N/mm), and mass (kg) and weight (kg) of one direction."""
        from scipy.sparse import bmat
        from skfem import BilinearForm, LinearForm

        modulus, nu, density = self.block.modulus_mpa, self.block.poisson, self.block.density_kg_m3 * 1e-9
        mu, lame = modulus / (2.0 * (1.0 + nu)), modulus * nu / ((1.0 + nu) * (1.0 - 2.0 * nu))

        def along(a: int, b: int) -> Any:
            form = BilinearForm(lambda u, v, w: v.grad[a] * u.grad[b])
            return form.assemble(self.basis)

        own = {(a, b): along(a, b) for a in range(3) for b in range(a, 3)}
        own |= {(b, a): own[a, b].T for a, b in list(own) if a != b}
        all_ways = own[0, 0] + own[1, 1] + own[2, 2]
        stiff = bmat(
            [
                [lame * own[i, j] + mu * own[j, i] + (mu * all_ways if i == j else 0.0 * own[i, j]) for j in range(3)]
                for i in range(3)
            ]
        )
        mass = BilinearForm(lambda u, v, w: density * u * v).assemble(self.basis)
        weigh = LinearForm(lambda v, w: density * v).assemble(self.basis)
        return stiff, mass, np.asarray(weigh)

    def _ties(self, prop: Body) -> Iterator[tuple[Array, Numbers]]:
        """What is nothing: how far a hole's wall moves in the mean, and turns where it is stiff, less the prop's own motion."""
        own = 3 * self.count
        for part, spots, axes in (("base", self.shape.bolts, (0, 1, 2)), ("upright", self.shape.held, (0, 2, 1))):
            middle = None if part == "base" else np.array(prop.centre_mm)
            for number, spot in enumerate(spots):
                forms, at = self._on_wall(part, number, axes)
                mean = forms[0]
                near = np.flatnonzero(mean)
                for way in range(3):
                    weights, places = mean[near], near + way * self.count
                    if middle is not None:  # moves + turns x arm
                        i, j = (way + 1) % 3, (way + 2) % 3
                        arm = at - middle
                        weights = np.concatenate([weights, [-1.0, -arm[j], arm[i]]])
                        places = np.concatenate([places, [own + way, own + 3 + i, own + 3 + j]])
                    yield weights, places
                for k in axes[:2] if spot.stiff else ():  # the slope of what is square to the sheet, along k
                    slope = forms[1 + axes.index(k)]
                    near = np.flatnonzero(slope)
                    weights, places = slope[near], near + axes[2] * self.count
                    if middle is not None:
                        other = 3 - k - axes[2]
                        sign = 1.0 if (other + 1) % 3 == k else -1.0  # d(turns x arm) along axes[2], by arm[k]
                        weights, places = np.append(weights, -sign), np.append(places, own + 3 + other)
                    yield weights, places

    def _on_wall(self, part: str, number: int, axes: tuple[int, int, int]) -> tuple[Array, Array]:
        """Over a hole's wall: mean, and slopes that fit best along both axes, as shares of unknowns (3, n); its middle."""
        from skfem import Basis, ElementHexS2

        cells = np.flatnonzero((self.parts == part) & (self.walls == number))
        line, weight = np.polynomial.legendre.leggauss(3)
        pairs = np.array([(a, 1.0, b) for a, b in product((line + 1.0) / 2.0, repeat=2)]).T
        wall = Basis(
            self.grid, ElementHexS2(), quadrature=(pairs, np.outer(weight, weight).ravel() / 4.0), elements=cells
        )
        turned = wall.mapping.DF(pairs, tind=cells)
        area = np.linalg.norm(np.cross(turned[:, 0], turned[:, 2], axis=0), axis=0) * wall.quadrature[1]
        place = np.asarray(wall.global_coordinates())
        middle = (place * area).sum(axis=(1, 2)) / area.sum()
        fit = [np.full(area.shape, 1.0 / area.sum())]
        for k in axes[:2]:
            arm = place[k] - middle[k]
            fit.append(arm / (arm**2 * area).sum())
        out = np.zeros((3, self.count))
        for k, function in enumerate(wall.basis):
            value = np.broadcast_to(np.asarray(function[0]), area.shape)
            for j in range(3):
                np.add.at(out[j], wall.element_dofs[k], (value * fit[j] * area).sum(axis=1))
        return out, middle

    def _strains(self, fields: Array, cells: Numbers, at: Array) -> tuple[Array, Array]:
        """Places (3, cells, points) and stresses xx, yy, zz, xy, yz, zx (pulls, 6, cells, points) by the unit brick."""
        from skfem import Basis, ElementHexS2

        there = Basis(self.grid, ElementHexS2(), quadrature=(at, np.ones(at.shape[1])), elements=cells)
        grads = np.stack([[there.interpolate(one).grad for one in pull] for pull in fields])  # pull, u, d, cell, point
        strain = (grads + grads.swapaxes(1, 2)) / 2.0
        nu = self.block.poisson
        mu = self.block.modulus_mpa / (2.0 * (1.0 + nu))
        trace = 2.0 * mu * nu / (1.0 - 2.0 * nu) * np.einsum("piicq->pcq", strain)
        pairs = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0))
        stress = np.stack([2.0 * mu * strain[:, i, j] + (trace if i == j else 0.0) for i, j in pairs], axis=1)
        return np.asarray(there.global_coordinates()), stress

    def _clear(self, part: str, places: Array) -> NDArray[np.bool_]:
        """Places at least half a thickness off what is bonded on: nearer is the notch of the joint. Holes' edges stay."""
        shape, t = self.shape, self.shape.thick
        x, y, z = places.T
        back, end = (y, t + shape.reach + t / 2.0) if part == "base" else (z, t + shape.rise + t / 2.0)
        near = back < 1.5 * t - 1e-6
        for g in shape.gussets:
            near |= (np.abs(x - g) < t - 1e-6) & (back < end - 1e-6)
        for spot in shape.bolts if part == "base" else shape.held:
            up = spot.y_mm + (0.0 if part == "base" else t)
            near &= np.hypot(x - spot.x_mm, back - up) > spot.radius_mm + 0.01
        return np.asarray(~near)

    def _read(self, fields: Array) -> dict[str, dict[str, Array]]:
        out: dict[str, dict[str, Array]] = {"bow": {}, "places": {}, "stress": {}, "bonds": {}}
        thick = self.shape.thick
        for part, axes in (("base", (0, 1, 2)), ("upright", (0, 2, 1))):
            plane = np.array(list(product((0.0, 0.5, 1.0), repeat=2))).T
            cells = np.flatnonzero(self.parts == part)
            place, stress = [], []
            for face in (0.0, 1.0):
                at = np.stack([*plane, np.full(9, face)])
                where, found = self._strains(fields, cells, at)
                outer = np.abs(where[axes[2]] - thick / 2.0) > thick * (0.5 - 1e-6)
                place.append(where[:, outer].T)
                stress.append(found[:, :, outer].transpose(0, 2, 1))
            places, values = _averaged(np.concatenate(place), np.concatenate(stress, axis=1))
            clear = self._clear(part, places)
            out["places"][part], out["stress"][part] = places[clear], values[:, clear]
            corners = self.basis.nodal_dofs[0][np.unique(self.grid.t[:, cells])]
            out["bow"][part] = fields[:, axes[2]][:, corners]
        cells = np.flatnonzero(self.parts != "base")
        corners = self.grid.p[:, self.grid.t]
        low, high = corners.min(axis=1), corners.max(axis=1)
        cells = cells[np.abs(low[2, cells] - thick) < 1e-4]
        eight = np.array(list(product((_GAUSS, 1.0 - _GAUSS), repeat=3))).T
        mean = self._strains(fields, cells, eight)[1].mean(axis=3)[:, [2, 5, 4]]  # pull, (zz, zx, yz), cell
        squares = {
            "toe": [(a, thick + self.shape.reach - thick) for a, _ in self.shape.walls],
            "root": [(float(x), 0.0) for x in np.arange(0.0, self.shape.length - thick + 1e-6, thick / 2.0)],
        }
        for name, starts in squares.items():
            means: list[Array] = []
            for x, y in starts:
                over = np.clip(np.minimum(high[0, cells], x + thick) - np.maximum(low[0, cells], x), 0.0, None)
                over = over * np.clip(np.minimum(high[1, cells], y + thick) - np.maximum(low[1, cells], y), 0.0, None)
                means.append(mean @ over / over.sum())
            out["bonds"][name] = np.stack(means, axis=1)
        return out


def _cells(shape: Shape, size: float) -> Iterator[tuple[str, int, list[tuple[float, float, float]]]]:
    """Each brick: its part, the hole whose wall is its side from the third corner to the fourth (else -1), its
    corners, four around its lower face and four over them."""
    t, high, far = shape.thick, shape.thick + shape.height, shape.thick + shape.reach
    sides = [x for wall in shape.walls for x in wall]
    held = tuple(replace(s, y_mm=s.y_mm + t) for s in shape.held)
    xs, across = _lines([0.0, shape.length, *sides], [(s.x_mm, s.radius_mm) for s in (*shape.bolts, *held)], size)
    ys, deep = _lines([0.0, t, far - t, far, shape.depth], [(s.y_mm, s.radius_mm) for s in shape.bolts], size)
    zs, up = _lines([t, t + _FIRST, t + shape.rise, high], [(s.y_mm, s.radius_mm) for s in held], size)

    for wall, quad in _quads(xs, ys, shape.bolts, across[: len(shape.bolts)], deep):
        yield "base", wall, [(x, y, z) for z in (0.0, t) for x, y in quad]
    for wall, quad in _quads(xs, zs, held, across[len(shape.bolts) :], up):
        for y0, y1 in pairwise(ys[ys <= t + 1e-9]):
            yield "upright", wall, [(x, y, z) for y in (y1, y0) for x, z in quad]
    low, back = zs[zs <= t + shape.rise + 1e-9], ys[(ys >= t - 1e-9) & (ys <= far + 1e-9)]
    for a, b in shape.walls:
        mine = xs[(xs >= a - 1e-9) & (xs <= b + 1e-9)]
        for (x0, x1), (y0, y1), (z0, z1) in product(pairwise(mine), pairwise(back), pairwise(low)):
            ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            yield (
                "gusset",
                -1,
                [(x, y, t + (z - t) * shape.rise_at(y - t) / shape.rise) for z in (z0, z1) for x, y in ring],
            )


def _lines(
    must: Sequence[float], holes: Sequence[tuple[float, float]], size: float
) -> tuple[Array, list[tuple[float, float]]]:
    """Places along an axis, at most so far apart, and of each hole from where to where its square reaches: its side is at a
    line that must be, or at another hole's, where one is near."""
    cuts = sorted({round(one, 6) for one in must})
    wanted = [tuple(m + way * _SQUARE * r for way in (-1, 1)) for m, r in holes]
    reach: list[tuple[float, float]] = []
    for (middle, radius), (low, high) in zip(holes, wanted, strict=True):
        ends = []
        for way, one in ((-1.0, low), (1.0, high)):
            near = [c for c in cuts if _LEAST * radius < way * (c - middle) < _MOST * radius]
            if near:
                one = min(near, key=lambda c: abs(c - one))
            else:
                one = round(one, 6)
                cuts.append(one)
            ends.append(one)
        reach.append((ends[0], ends[1]))
    cuts = sorted(set(cuts))
    for a, b in reach:  # at least two cells across a square
        if not any(a < c < b for c in cuts):
            cuts.append((a + b) / 2.0)
    cuts.sort()
    out = [cuts[0]]
    for a, b in pairwise(cuts):
        n = max(1, int(np.ceil((b - a) / size - 1e-9)))
        out += [a + (b - a) * k / n for k in range(1, n + 1)]
    return np.array(out), reach


def _quads(
    us: Array,
    vs: Array,
    holes: Sequence[Spot],
    across: Sequence[tuple[float, float]],
    up: Sequence[tuple[float, float]],
) -> Iterator[tuple[int, list[tuple[float, float]]]]:
    """The cells of a grid, counter-clockwise; about each hole rings of them, from its edge to its rectangle, each innermost one
    with the hole's number.

    Raises:
        NotCovered: rectangles that meet, or that reach over the edge.
    """
    squares = [(a, b, c, d) for (a, b), (c, d) in zip(across, up, strict=True)]
    for k, (a, b, c, d) in enumerate(squares):
        if any(a < f and e < b and c < h and g < d for e, f, g, h in squares[:k]):
            raise NotCovered("its holes are so near to each other that they are not meshed")
        if a < us[0] - 1e-6 or b > us[-1] + 1e-6 or c < vs[0] - 1e-6 or d > vs[-1] + 1e-6:
            raise NotCovered("its holes are so near to an edge that they are not meshed")
    for (u0, u1), (v0, v1) in product(pairwise(us), pairwise(vs)):
        x, y = (u0 + u1) / 2.0, (v0 + v1) / 2.0
        if not any(a < x < b and c < y < d for a, b, c, d in squares):
            yield -1, [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    for number, (spot, (a, b, c, d)) in enumerate(zip(holes, squares, strict=True)):
        along, high = us[(us >= a - 1e-6) & (us <= b + 1e-6)], vs[(vs >= c - 1e-6) & (vs <= d + 1e-6)]
        edge = [(u, high[0]) for u in along[:-1]] + [(along[-1], v) for v in high[:-1]]
        edge += [(u, high[-1]) for u in along[:0:-1]] + [(along[0], v) for v in high[:0:-1]]
        turns = [float(np.arctan2(v - spot.y_mm, u - spot.x_mm)) for u, v in edge]
        rims = [(spot.x_mm + spot.radius_mm * np.cos(s), spot.y_mm + spot.radius_mm * np.sin(s)) for s in turns]

        def at(k: int, share: float, rims: Any = rims, edge: Any = edge) -> tuple[float, float]:
            (x, y), (u, v) = rims[k % len(edge)], edge[k % len(edge)]
            return x + (u - x) * share, y + (v - y) * share

        for k, (low, far) in product(range(len(edge)), pairwise(_RINGS)):
            yield number if low == 0.0 else -1, [at(k, far), at(k + 1, far), at(k + 1, low), at(k, low)]


def _first(swings: Any, factors: Any) -> float:
    """The first frequency by inverse iteration, Hz (as of sheets); masses in t."""
    swung, found = np.random.default_rng(0).standard_normal(swings.shape[0]), 0.0
    for _ in range(_SWINGS):
        pushed = swings @ swung
        moved = factors.solve(pushed)
        before, found = found, float(moved @ pushed) / float(moved @ (swings @ moved))
        if abs(found - before) <= _SWUNG * found:
            break
        swung = moved / np.abs(moved).max()
    return float(np.sqrt(max(found, 0.0)) / (2.0 * np.pi))


def _averaged(places: Array, stress: Array) -> tuple[Array, Array]:
    """Each place once, with the mean of what the bricks about it have."""
    _, first, number, many = np.unique(
        np.round(places, 3), axis=0, return_index=True, return_inverse=True, return_counts=True
    )
    total = np.zeros((len(stress), len(first), stress.shape[2]))
    for sums, values in zip(total, stress, strict=True):
        np.add.at(sums, number.ravel(), values)
    return places[first], total / many[:, None]
