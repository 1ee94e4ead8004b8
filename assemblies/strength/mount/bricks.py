"""A bracket as one solid: base, upright and gussets as bricks of the second order, bolts by the mean of their holes' walls.

Plates and ribs do not know that gussets and upright make a channel, whose shear centre lies before it, that short thick plates
yield in shear, or how a gusset's toe peels. Bricks do. Source: linear elasticity, displacements on bricks of 20 nodes (any text
on finite elements). Valid: sheet between one bolt's row and the next as drawn, small movements. Held to far finer solids of
CalculiX: `tests/assemblies/strength/mount/test_solid_bracket.py`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from assemblies.design.mass import Body
from assemblies.strength.mount.bracket_mesh import Shape, meshed
from assemblies.strength.mount.brick import GAUSS, shares
from assemblies.strength.sheets.sheet import Reading
from parts.vectors import Vector

__all__ = ["Block", "BracketBricks", "BracketPlate", "bricks", "principal"]

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
#: Of bricks along the plates, mm: one through the thickness, finer at holes.
SIZE: Final = 12.0
#: Bricks so coarse move by 2 to 4 % too little, against three finer solids (computed: `test_solid_bracket.py`).
_SOFTER: Final = 1.03
_DOUBT: Final = 0.02  # of a stress: the same solids
_TIED: Final = 1e4  # of a spring that stands for a rigid tie, times modulus and thickness
_SWINGS, _SWUNG = 60, 1e-6  # as of sheets


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
        self.shape, self.block = shape, block
        self.grid, self.parts, self.walls = meshed(shape, size)
        self.count = len(self.grid.places)

    def solve(self, prop: Body) -> BracketBricks:
        from scipy.sparse import block_diag, coo_matrix, kron
        from scipy.sparse.linalg import splu

        stiff, volume, own = self.grid.matrices(self.block.modulus_mpa, self.block.poisson)
        density = self.block.density_kg_m3 * 1e-9
        last, size = 3 * self.count, 3 * self.count + 6
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
            forces[way:last:3, way] = density * own
            forces[last + way, way] = prop.mass_kg
        answer = factors.solve(forces)
        heavy = np.zeros((6, 6))
        heavy[:3, :3], heavy[3:, 3:] = prop.mass_kg * np.eye(3), np.array(prop.inertia_kg_mm2)
        swings = block_diag([kron(density * volume, np.eye(3)), coo_matrix(heavy)]).tocsr() * 1e-3
        fields = answer[:last].T.reshape(3, self.count, 3)
        many = np.cumsum([0] + [5 if spot.stiff else 3 for spot in self.shape.bolts])
        third = many[:-1] + 2  # of each bolt's ties the one along z
        return BracketBricks(
            moved=_SOFTER * answer[last : last + 3].T,
            frequency_hz=_first(swings, factors, answer) / math.sqrt(_SOFTER),
            pulls=-spring * (tied[third] @ answer).T,
            **self._read(fields),
        )

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
                    weights, places = mean[near], 3 * near + way
                    if middle is not None:  # moves + turns x arm
                        i, j = (way + 1) % 3, (way + 2) % 3
                        arm = at - middle
                        weights = np.concatenate([weights, [-1.0, -arm[j], arm[i]]])
                        places = np.concatenate([places, [own + way, own + 3 + i, own + 3 + j]])
                    yield weights, places
                for k in axes[:2] if spot.stiff else ():  # the slope of what is square to the sheet, along k
                    slope = forms[1 + axes.index(k)]
                    near = np.flatnonzero(slope)
                    weights, places = slope[near], 3 * near + axes[2]
                    if middle is not None:
                        other = 3 - k - axes[2]
                        sign = 1.0 if (other + 1) % 3 == k else -1.0  # d(turns x arm) along axes[2], by arm[k]
                        weights, places = np.append(weights, -sign), np.append(places, own + 3 + other)
                    yield weights, places

    def _on_wall(self, part: str, number: int, axes: tuple[int, int, int]) -> tuple[Array, Array]:
        """Over a hole's wall: mean, and slopes that fit best along both axes, as shares of unknowns (3, n); its middle."""
        nodes = self.grid.nodes[(self.parts == part) & (self.walls == number)]
        line, weight = np.polynomial.legendre.leggauss(3)
        points = np.array([(a, 1.0, b) for a, b in product(line, repeat=2)])
        values, slopes = shares(points)
        turned = np.einsum("qad,cai->cqdi", slopes, self.grid.places[nodes])
        area = np.linalg.norm(np.cross(turned[:, :, 0], turned[:, :, 2]), axis=2) * np.outer(weight, weight).ravel()
        place = values @ self.grid.places[nodes]
        middle = np.einsum("cqi,cq->i", place, area) / area.sum()
        fit = [np.full(area.shape, 1.0 / area.sum())]
        for k in axes[:2]:
            arm = place[:, :, k] - middle[k]
            fit.append(arm / (arm**2 * area).sum())
        shared = [np.bincount(nodes.ravel(), ((one * area) @ values).ravel(), minlength=self.count) for one in fit]
        return np.array(shared), middle

    def _stresses(self, fields: Array, cells: Numbers, points: Array) -> tuple[Array, Array]:
        """Places (cells, points, 3) and stresses xx, yy, zz, xy, yz, zx (pulls, cells, points, 6) at points of unit bricks."""
        place, slopes, _ = self.grid.at(cells, points)
        moved = fields[:, self.grid.nodes[cells]]  # pull, cell, node, way
        grads = slopes.swapaxes(2, 3) @ moved[:, :, None]  # pull, cell, point, along, way
        nu = self.block.poisson
        mu = self.block.modulus_mpa / (2.0 * (1.0 + nu))
        trace = 2.0 * mu * nu / (1.0 - 2.0 * nu) * np.trace(grads, axis1=3, axis2=4)
        pairs = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0))
        stress = [mu * (grads[..., i, j] + grads[..., j, i]) + (trace if i == j else 0.0) for i, j in pairs]
        return place, np.stack(stress, axis=-1)

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
            cells = np.flatnonzero(self.parts == part)
            plane = np.array(list(product((-1.0, 0.0, 1.0), (-1.0, 0.0, 1.0), (-1.0, 1.0))))
            where, found = self._stresses(fields, cells, plane)
            outer = np.abs(where[..., axes[2]] - thick / 2.0) > thick * (0.5 - 1e-6)
            places, values = _averaged(where[outer], found[:, outer])
            clear = self._clear(part, places)
            out["places"][part], out["stress"][part] = places[clear], values[:, clear]
            out["bow"][part] = fields[:, np.unique(self.grid.nodes[cells]), axes[2]]
        cells = np.flatnonzero(self.parts != "base")
        corners = self.grid.places[self.grid.nodes[cells]]
        low, high = corners.min(axis=1).T, corners.max(axis=1).T
        on = np.abs(low[2] - thick) < 1e-4
        cells, low, high = cells[on], low[:, on], high[:, on]
        mean = self._stresses(fields, cells, GAUSS)[1].mean(axis=2)[..., [2, 5, 4]]  # pull, cell, (zz, zx, yz)
        squares = {
            "toe": [(a, thick + self.shape.reach - thick) for a, _ in self.shape.walls],
            "root": [(float(x), 0.0) for x in np.arange(0.0, self.shape.length - thick + 1e-6, thick / 2.0)],
        }
        for name, starts in squares.items():
            means: list[Array] = []
            for x, y in starts:
                over = np.clip(np.minimum(high[0], x + thick) - np.maximum(low[0], x), 0.0, None)
                over = over * np.clip(np.minimum(high[1], y + thick) - np.maximum(low[1], y), 0.0, None)
                means.append(np.einsum("pcs,c->ps", mean, over) / over.sum())
            out["bonds"][name] = np.stack(means, axis=1)
        return out


def _first(swings: Any, factors: Any, swung: Array) -> float:
    """The first frequency by inverse iteration on what three pulls bend (any text on vibration), Hz; masses in t."""
    from scipy.linalg import eigh

    found = 0.0
    for _ in range(_SWINGS):
        pushed = swings @ swung
        moved = factors.solve(pushed)
        values, mixed = eigh(moved.T @ pushed, moved.T @ (swings @ moved))
        before, found = found, float(values[0])
        if abs(found - before) <= _SWUNG * found:
            break
        swung = moved @ mixed
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
