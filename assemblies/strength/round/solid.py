"""A tube on a disc as a solid of revolution whose load is none: by harmonics around it, each by finite elements of its section.

What a load does at the angle phi is a sum over n of cos and sin n phi: moves along r and z and normal stresses go as the real
part of an amplitude times e^(i n phi), moves around and their shears as the imaginary part. Each n is solved on quadratic
quadrilaterals with four places of integration. Stress is read as force and moment across wall and disc, so that it
is the structural one; at the corner, where none is finite, by the parabola through cuts beside it.

Sources: Zienkiewicz and Taylor, The Finite Element Method, semi-analytical solids of revolution; IIW document XIII-1965 for
structural stress (both from memory). mm, N, MPa. Held in the tests to solids in space by another solver, and to closed forms.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any, Final

import numpy as np

from assemblies.strength.plates.basis import Array
from parts.findings import SeamwrightError

__all__ = ["Lines", "Moved", "Outline", "Solid"]

_AT: Final = 1.0 / math.sqrt(3.0)
_GAUSS: Final = ((-_AT, -_AT), (_AT, -_AT), (-_AT, _AT), (_AT, _AT))
_CORNERS: Final = ((-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0))
_NEAR: Final = 1e-6  # mm
_GROWS: Final = 1.35  # each element up the wall, from the foot on
_CUTS: Final = (0.4, 0.8, 1.2, 1.6)  # walls over the foot: rows of elements; from these what is at the foot is drawn on
_INWARD: Final = (0.6, 1.2, 1.8)  # walls from the wall's faces into the disc, the same


@dataclass(frozen=True, kw_only=True)
class Outline:
    """The section; radii and heights in mm, elastic constants in MPa.

    Attributes:
        bore, wall: radius of the bore, thickness of the wall.
        base, edge: thickness and radius of the disc.
        depth: from the floor to the top of the tube.
        spans: radius of the ring that carries the disc from below.
        inset: whether the disc stands in the tube; groove: how deep the tube's end stands in the disc.
        tube, disc: modulus and Poisson's ratio.
    """

    bore: float
    wall: float
    base: float
    edge: float
    depth: float
    spans: float
    inset: bool
    groove: float
    tube: tuple[float, float]
    disc: tuple[float, float]

    @property
    def middle(self) -> float:
        return self.bore + self.wall / 2.0

    @property
    def foot(self) -> float:
        """How high the wall begins to stand free."""
        return self.base - self.groove


@dataclass(frozen=True, kw_only=True)
class Lines:
    """Forces and moments by length across wall or disc, along the section: amplitudes (case, harmonic, place).

    Attributes:
        at: height over the foot, or radius.
        thick: of what is cut there.
        force, moment: the normal ones along the section, around, and the shear between: `[..., 3]`.
        through: the shear across.
    """

    at: Array
    thick: Array
    force: Array
    moment: Array
    through: Array


@dataclass(frozen=True, kw_only=True)
class Moved:
    """What the solid does: lines of wall and disc, amplitudes of its moves (case, harmonic, node; along r, around, z)."""

    wall: Lines
    disc: Lines
    moves: Array


def _spread(start: float, end: float, first: float, most: float) -> list[float]:
    """Places after the start to the end, each further than the last."""
    out, step = [start], first
    while out[-1] + step < end - step / 2.0:
        out.append(out[-1] + step)
        step = min(step * _GROWS, most)
    return [*out[1:], end]


def _apart(places: list[float], keep: tuple[float, ...], least: float) -> Array:
    """In order, without those that nearly are one that must stay."""
    some = [p for p in places if all(abs(p - k) > least for k in keep)]
    return np.array(sorted({*some, *keep}))


class Solid:
    """The section's elements, and what its harmonics make of loads."""

    def __init__(self, outline: Outline) -> None:
        """Raises SeamwrightError: a wall that leaves no bore to speak of, a ring off the disc."""
        o = self.outline = outline
        if o.wall >= o.bore or not 0.0 <= o.groove < o.base:
            raise SeamwrightError(
                f"a wall of {o.wall:g} mm round a bore of radius {o.bore:g} mm is no tube for this method"
            )
        rs, zs = self._grid()
        if not np.any(np.abs(rs - o.spans) < _NEAR):
            raise SeamwrightError(f"a ring of radius {o.spans:g} mm carries no disc of {o.edge:g} mm")
        self._cells(rs, zs)
        self._strains()
        self._kept: dict[int, tuple[Callable[[Array], Array], Any, Array]] = {}

    def _grid(self) -> tuple[Array, Array]:
        o = self.outline
        out, near = o.bore + o.wall, min(o.wall, o.bore / 4.0)
        inner = o.bore - _INWARD[-1] * near
        rs = [*np.linspace(0.0, inner, 11)[1:], *(o.bore - f * near for f in _INWARD)]
        if not o.inset:
            rs += [p for f in _INWARD if (p := out + f * near) < o.edge]
            rs += _spread(min(out + _INWARD[-1] * near, o.edge), o.edge, near, o.edge)
        least = min(near / 5.0, abs(o.spans - o.middle) / 2.0 or math.inf)
        radii = _apart(rs, tuple({0.0, o.bore, o.middle, out, max(o.edge, out), o.spans}), least)
        cuts = [o.foot + f * o.wall for f in _CUTS]
        top = o.base + o.depth
        most = max(math.sqrt(o.middle * o.wall), o.depth / 24.0)
        heights = [*np.linspace(0.0, o.foot, 4)[1:], *cuts, *_spread(cuts[-1], top, 0.6 * o.wall, most)]
        keep = tuple({0.0, o.foot, o.base, top})
        return radii, _apart([z for z in heights if z < top], keep, o.wall / 20.0)

    def _cells(self, rs: Array, zs: Array) -> None:
        """Elements in the order of `_CORNERS`; the wall's own nodes beside a groove are not those of the disc."""
        o, out = self.outline, self.outline.bore + self.outline.wall
        number: dict[tuple[bool, int, int], int] = {}
        cells, walls, boxes = [], [], []
        for (i, (a, b)), (j, (c, d)) in ((x, y) for x in enumerate(pairwise(rs)) for y in enumerate(pairwise(zs))):
            in_wall = a > o.bore - _NEAR and b < out + _NEAR and (o.inset or c > o.foot - _NEAR)
            if not in_wall and not (d < o.base + _NEAR and b < (o.bore if o.inset else o.edge) + _NEAR):
                continue
            free = in_wall and not o.inset  # its nodes over the foot belong to it alone
            cell = []
            for x, y in _CORNERS:
                at = (2 * i + 1 + x, 2 * j + 1 + y)
                own = free and c + (y + 1) / 2.0 * (d - c) > o.foot + _NEAR
                cell.append(number.setdefault((own, *at), len(number)))
            cells.append(cell)
            walls.append(in_wall)
            boxes.append((a, b, c, d))
        self.cells, self.in_wall, self.boxes = np.array(cells), np.array(walls), np.array(boxes)
        self.nodes = np.zeros((len(number), 2))
        r, z = (np.sort(np.concatenate([one, (one[1:] + one[:-1]) / 2.0])) for one in (rs, zs))
        for (_, i, j), k in number.items():
            self.nodes[k] = r[i], z[j]

    def _strains(self) -> None:
        """Strains at the places of integration, by the nodes' moves: without n, and times n. Parts: along r, around, along z,
        r with around, around with z, z with r."""
        a, b, c, d = self.boxes.T
        count = len(self.cells)
        self._plain, self._by_n = np.zeros((2, count, 4, 6, 24))
        self.places = np.zeros((count, 4, 2))
        self.areas = (b - a) * (d - c) / 4.0
        for k, (x, y) in enumerate(_GAUSS):
            shape, along, up = shapes(x, y)
            r = (a + b) / 2.0 + x * (b - a) / 2.0
            self.places[:, k] = np.column_stack([r, (c + d) / 2.0 + y * (d - c) / 2.0])
            dr, dz = along[None, :] * (2.0 / (b - a))[:, None], up[None, :] * (2.0 / (d - c))[:, None]
            over = shape[None, :] / r[:, None]
            u, v, w = slice(0, 24, 3), slice(1, 24, 3), slice(2, 24, 3)
            one, n = self._plain[:, k], self._by_n[:, k]
            one[:, 0, u], one[:, 1, u], one[:, 2, w] = dr, over, dz
            one[:, 3, v], one[:, 4, v], one[:, 5, u], one[:, 5, w] = dr - over, dz, dz, dr
            n[:, 1, v], n[:, 3, u], n[:, 4, w] = over, -over, -over
        stiff = [_stiff(*of) for of in (self.outline.disc, self.outline.tube)]
        self._stiff = np.array([stiff[int(one)] for one in self.in_wall])
        weight = self.places[:, :, 0] * self.areas[:, None]
        pulled = np.einsum("cij,cgjk,cg->cgik", self._stiff, self._plain, weight)
        turned = np.einsum("cij,cgjk,cg->cgik", self._stiff, self._by_n, weight)
        self._parts = (
            np.einsum("cgij,cgik->cjk", self._plain, pulled),
            np.einsum("cgij,cgik->cjk", self._plain, turned) + np.einsum("cgij,cgik->cjk", self._by_n, pulled),
            np.einsum("cgij,cgik->cjk", self._by_n, turned),
        )

    @cached_property
    def ring(self) -> int:
        """The node that the disc stands on."""
        at = np.array([self.outline.spans, 0.0])
        return int(np.argmin(np.abs(self.nodes - at).sum(axis=1)))

    def _free(self, n: int) -> tuple[Any, Array]:
        """The unknown of each node's moves, -1 where there is none, and with which sign it counts."""
        count = len(self.nodes)
        same, sign = np.arange(3 * count).reshape(count, 3), np.ones((count, 3))
        axis = np.flatnonzero(self.nodes[:, 0] < _NEAR)
        if n == 0:
            same[:, 1], same[axis, 0] = -1, -1
        elif n == 1:  # what stands on the axis goes aside as one; the ring's bolts share that evenly
            same[axis, 1], sign[axis, 1], same[axis, 2] = same[axis, 0], -1.0, -1
            same[self.ring, 1] = same[self.ring, 0]
        else:
            same[axis] = -1
        same[self.ring, 2] = -1
        used = np.unique(same[same >= 0])
        number = np.full(3 * count + 1, -1)
        number[used] = np.arange(len(used))
        return number[same], sign

    def solve(self, loads: Array) -> Moved:
        """What loads do.

        Args:
            loads: forces on the nodes' moves by radian, amplitudes (case, harmonic, node, 3).
        """
        moves = np.zeros(loads.shape, complex)
        for n in range(loads.shape[1]):
            if not np.any(loads[:, n]):
                continue
            solved, free, sign = self._solved(n)
            known = free >= 0
            wanted = np.zeros((int(free.max()) + 1, len(loads)), complex)
            for k, load in enumerate(loads[:, n]):
                np.add.at(wanted[:, k], free[known], (load * sign)[known])
            found = solved(np.hstack([wanted.real, wanted.imag]))
            found = found[:, : len(loads)] + 1j * found[:, len(loads) :]
            moves[:, n][:, known] = (found[free[known]] * sign[known][:, None]).T
        return Moved(wall=self._across_wall(moves), disc=self._across_disc(moves), moves=moves)

    def _solved(self, n: int) -> tuple[Callable[[Array], Array], Any, Array]:
        """What solves a harmonic, its unknowns and their signs; kept."""
        from scipy.sparse import coo_matrix
        from scipy.sparse.linalg import splu

        if n not in self._kept:
            free, sign = self._free(n)
            at, by = free[self.cells].reshape(len(self.cells), 24), sign[self.cells].reshape(len(self.cells), 24)
            one, two, three = self._parts
            rigid = (one + n * two + n * n * three) * by[:, :, None] * by[:, None, :]
            rows, columns = np.broadcast_to(at[:, :, None], rigid.shape), np.broadcast_to(at[:, None, :], rigid.shape)
            has, size = (rows >= 0) & (columns >= 0), int(free.max()) + 1
            matrix = coo_matrix((rigid[has], (rows[has], columns[has])), shape=(size, size)).tocsc()
            found = splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
            self._kept[n] = found.solve, free, sign
        return self._kept[n]

    def _stress(self, moves: Array, which: Any) -> Array:
        """At places of some elements: (case, harmonic, element, place, part)."""
        own = moves[:, :, self.cells[which]].reshape(*moves.shape[:2], len(which), 24)
        strain = np.einsum("cgij,shcj->shcgi", self._plain[which], own)
        turned = np.einsum("cgij,shcj->shcgi", self._by_n[which], own)
        strain = strain + turned * np.arange(moves.shape[1])[None, :, None, None, None]
        return np.asarray(np.einsum("cij,shcgj->shcgi", self._stiff[which], strain))

    def _cut(self, moves: Array, which: Any, along: int) -> tuple[Array, Array, Array]:
        """Cuts across some elements: where, stress at the places of each, their place across and weight."""
        stress, places = self._stress(moves, which), self.places[which]
        a, b, c, d = self.boxes[which].T
        weight = np.repeat(((b - a) if along == 1 else (d - c))[:, None] / 2.0, 4, axis=1)
        flat = places.reshape(-1, 2)
        return (
            np.column_stack([flat, weight.reshape(-1)]),
            stress.reshape(*stress.shape[:2], -1, 6),
            np.round(flat[:, along] / _NEAR).astype(np.int64),
        )

    def _lines(self, moves: Array, which: Any, along: int, parts: tuple[int, int, int, int]) -> Lines:
        """Force and moment across, with what is further out counting as it is wider."""
        places, stress, key = self._cut(moves, which, along)
        at, group = np.unique(key, return_inverse=True)
        into: Any = (..., group)
        count, across = len(at), 1 - along

        def summed(values: Array) -> Array:
            out = np.zeros((*values.shape[:-1], count), values.dtype)
            np.add.at(out, into, values)
            return out

        thick = summed(places[:, 2])
        middle = summed(places[:, 2] * places[:, across]) / thick
        lever = places[:, across] - middle[group]
        wide = places[:, 0] / middle[group] if along == 1 else np.ones(len(places))
        normal, around, shear, through = (stress[..., p] for p in parts)
        force = [summed(v * places[:, 2] * w) for v, w in ((normal, wide), (around, 1.0), (shear, wide))]
        moment = [summed(v * lever * places[:, 2] * w) for v, w in ((normal, wide), (around, 1.0), (shear, wide))]
        return Lines(
            at=at * _NEAR,
            thick=thick,
            force=np.stack(force, axis=-1),
            moment=np.stack(moment, axis=-1),
            through=summed(through * places[:, 2] * wide),
        )

    def _across_wall(self, moves: Array) -> Lines:
        """Over its foot."""
        foot = self.outline.foot
        found = self._lines(moves, np.flatnonzero(self.in_wall & (self.boxes[:, 2] > foot - _NEAR)), 1, (2, 1, 4, 5))
        return replace(found, at=found.at - foot)

    def _across_disc(self, moves: Array) -> Lines:
        """Under a groove what is left there."""
        a, b, _, d = self.boxes.T
        o = self.outline
        beside = (b < o.bore + _NEAR) | (a > o.bore + o.wall - _NEAR) | (d < o.foot + _NEAR)
        return self._lines(moves, np.flatnonzero(~self.in_wall & beside), 0, (0, 1, 3, 5))


def shapes(x: float, y: float) -> tuple[Array, Array, Array]:
    """The eight functions of a quadratic quadrilateral, from -1 to 1, and their slopes along x and y."""
    f, fx, fy = np.zeros((3, 8))
    for k, (cx, cy) in enumerate(_CORNERS):
        if k < 4:
            f[k] = (1 + cx * x) * (1 + cy * y) * (cx * x + cy * y - 1) / 4.0
            fx[k] = cx * (1 + cy * y) * (2 * cx * x + cy * y) / 4.0
            fy[k] = cy * (1 + cx * x) * (cx * x + 2 * cy * y) / 4.0
        elif cx == 0:
            f[k], fx[k], fy[k] = (1 - x * x) * (1 + cy * y) / 2.0, -x * (1 + cy * y), cy * (1 - x * x) / 2.0
        else:
            f[k], fx[k], fy[k] = (1 + cx * x) * (1 - y * y) / 2.0, cx * (1 - y * y) / 2.0, -y * (1 + cx * x)
    return f, fx, fy


def _stiff(modulus: float, poisson: float) -> Array:
    lam, mu = modulus * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson)), modulus / (2.0 * (1.0 + poisson))
    out = np.diag([2.0 * mu] * 3 + [mu] * 3)
    out[:3, :3] += lam
    return out
