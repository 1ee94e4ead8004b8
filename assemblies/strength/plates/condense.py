"""A plate reduced to its edges: everything inside is eliminated, in blocks that do not mix by symmetry.

All of the stiffness is a sum of products, one matrix over the functions of x times one over those of y, so any block
of it is one product of small tables. Where an axis and all that lies inside are the same from left to right, even and
odd functions do not mix; the unknowns of the two ends are then taken as their sum and difference while the inside is
eliminated, which leaves each block a half (or a quarter) of the unknowns and of the edges. Plain static condensation.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import SLOPE_0, SLOPE_1, VALUE_0, VALUE_1, Array, Axis
from assemblies.strength.plates.element import Element, Index, Rim, mirrored, part_mass, side_functions

__all__ = ["Condensed", "condense"]

_HALF = 0.5**0.5
_ENDS = ((VALUE_0, VALUE_1, 1.0), (SLOPE_0, SLOPE_1, -1.0))  # mirrored, a slope changes its sign


@dataclass(frozen=True, kw_only=True, eq=False)
class _Fold:
    """The edge unknowns as sums and differences of mirrored ones.

    Attributes:
        swaps: per mirrored axis the rows of the first and of the second of each pair, and the sign of the second.
    """

    swaps: tuple[tuple[Index, Index, Array], ...]

    def fold(self, plain: Array) -> Array:
        """Rows of plain unknowns to rows of sums (at the first of each pair) and differences (at the second)."""
        folded = plain.copy()
        for first, second, sign in self.swaps:
            a, b = folded[first], sign[:, None] * folded[second]
            folded[first], folded[second] = (a + b) * _HALF, (a - b) * _HALF
        return folded

    def unfold(self, folded: Array) -> Array:
        """The inverse of `fold`, and what it does to the rows of a stiffness or a load."""
        plain = folded.copy()
        for first, second, sign in self.swaps:
            a, b = plain[first], plain[second]
            plain[first], plain[second] = (a + b) * _HALF, sign[:, None] * (a - b) * _HALF
        return plain


@dataclass(frozen=True, kw_only=True, eq=False)
class _Inside:
    """One block of inner functions, eliminated.

    Attributes:
        index: its functions (i, j). alone: their coefficients under the load alone, (m, loads).
        slots: the (folded) unknowns it reaches. per_unknown: its coefficients for one of each, (m, n).
    """

    index: Index
    alone: Array
    slots: Index
    per_unknown: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class Condensed:
    """A plate reduced to its edges, for several loads at once.

    Attributes:
        element: the plate.
        edge: (i, j) of each edge unknown; the unknowns of ties follow them.
        stiffness: (n, n) over those unknowns. load: (n, loads).
    """

    element: Element
    edge: Index
    stiffness: Array
    load: Array
    _fold: _Fold
    _inside: tuple[_Inside, ...]

    def deflection(self, unknowns: Array) -> Array:
        """All coefficients (loads, size_x, size_y) once the unknowns of the edges (n, loads) are known."""
        element = self.element
        values = np.zeros((element.x.size, element.y.size, unknowns.shape[1]))
        values[self.edge[:, 0], self.edge[:, 1]] = unknowns[: len(self.edge)]
        folded = self._fold.fold(unknowns)
        for one in self._inside:
            values[one.index[:, 0], one.index[:, 1]] = one.alone - one.per_unknown @ folded[one.slots]
        return np.ascontiguousarray(np.moveaxis(values, 2, 0))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Part:
    """The functions of one axis that do not mix with its others.

    Attributes:
        inner: those inside.
        ends: those of the ends; of a mirrored pair only the first.
        slots: where sums or differences of the ends are kept. scale: of a sum or difference over its first alone.
    """

    inner: Index
    ends: Index
    slots: Index
    scale: float


def _parts(axis: Axis, keep: Index, mirrored: bool) -> tuple[list[_Part], bool]:
    """The parts of an axis, and whether its ends are folded."""
    ends, inner = keep[keep < 4], keep[keep >= 4]
    if not mirrored or len(axis.inside) == 1 or len(inner) + 4 < axis.size:
        return [_Part(inner=inner, ends=ends, slots=ends, scale=1.0)], False
    if any((first in ends) != (second in ends) for first, second, _ in _ENDS):
        return [_Part(inner=one, ends=ends, slots=ends, scale=1.0) for one in axis.inside], False
    firsts = np.array([k for k, _, _ in _ENDS if k in ends], dtype=np.intp)
    return [
        _Part(inner=one, ends=firsts, slots=firsts + shift, scale=2.0**0.5)
        for one, shift in zip(axis.inside, (0, 2), strict=True)
    ], True


def _along(axis: Axis, length: float, rim: Rim, slope_scale: float) -> tuple[Array, Array]:
    """What a rim adds between the deflection functions, and between the slope functions, of a line."""
    value = rim.translation * length * axis.mass + rim.bending / length**3 * axis.bend
    turn = (rim.rotation * length * axis.mass + rim.torsion / length * axis.slope) / slope_scale**2
    return value, turn


def _added_inside(element: Element) -> Iterator[tuple[Array, Array]]:
    """What lines, patches and the bed add, each as a product over x and over y."""
    x, y, width, height = element.x, element.y, element.width, element.height
    for line in element.lines:
        sideways = line.across == "x"
        own, other = (x, y) if sideways else (y, x)
        scale, length = (width, height) if sideways else (height, width)
        for k, matrix in enumerate(_along(other, length, line.rim, scale)):
            unit = np.zeros((own.size, own.size))
            unit[own.knot(line.knot) + k, own.knot(line.knot) + k] = 1.0
            yield (unit, matrix) if sideways else (matrix, unit)
    for x0, x1, y0, y1, stiff in element.patches:
        yield part_mass(x, x0, x1) * (stiff * width), part_mass(y, y0, y1) * height
    if element.foundation:
        yield x.mass * (element.foundation * width), y.mass * height


def _bending(element: Element) -> tuple[tuple[Array, Array], ...]:
    """The plate's own stiffness as products over x and over y."""
    x, y, a, b, nu = element.x, element.y, element.width, element.height, element.poisson
    stiff = element.rigidity
    return (
        (x.bend * (stiff / a**3), y.mass * b),
        (x.mass * (stiff * a), y.bend / b**3),
        (x.mixed * (stiff * nu / a), y.mixed.T / b),
        (x.mixed.T * (stiff * nu / a), y.mixed / b),
        (x.slope * (2.0 * stiff * (1.0 - nu) / a), y.slope / b),
    )


def _pairs(sets: tuple[Index, Index]) -> Index:
    return np.stack([np.repeat(sets[0], len(sets[1])), np.tile(sets[1], len(sets[0]))], axis=1)


class _Reduction:
    """The work of `condense`: the edge matrix, from which each block of inner unknowns is taken out in turn."""

    def __init__(self, element: Element, forces: Array) -> None:
        self.element, self.forces = element, forces
        self.added = list(_added_inside(element))
        terms = [*_bending(element), *self.added]
        self.terms_x, self.terms_y = (np.stack(side) for side in zip(*terms, strict=True))
        self.parts_x, folded_x = _parts(element.x, element.keep_x, not element.lines and mirrored(element.patches, 0))
        self.parts_y, folded_y = _parts(element.y, element.keep_y, not element.lines and mirrored(element.patches, 1))
        ends_x, ends_y = element.keep_x[element.keep_x < 4], element.keep_y[element.keep_y < 4]
        along_x, along_y = (np.concatenate([part.inner for part in parts]) for parts in (self.parts_x, self.parts_y))
        self.sets = [(ends_x, np.concatenate([ends_y, along_y])), (along_x, ends_y)]
        self.edge = np.concatenate([_pairs(s) for s in self.sets])
        self.n = len(self.edge)
        self.at = np.full((element.x.size, element.y.size), -1)
        self.at[self.edge[:, 0], self.edge[:, 1]] = np.arange(self.n)
        swaps = [self._swap(0)] if folded_x else []
        self.fold = _Fold(swaps=tuple(swaps + ([self._swap(1)] if folded_y else [])))
        whole = self.n + len(element.ties)
        self.matrix, self.vector = np.zeros((whole, whole)), np.zeros((whole, forces.shape[2]))

    def _swap(self, column: int) -> tuple[Index, Index, Array]:
        """Rows of the first and of the second of each pair of edge unknowns that mirror each other, and the sign."""
        first, second, signs = [], [], []
        for a, b, sign in _ENDS:
            rows = np.nonzero(self.edge[:, column] == a)[0]
            others = self.edge[rows].copy()
            others[:, column] = b
            first.append(rows)
            second.append(self.at[others[:, 0], others[:, 1]])
            signs.append(np.full(len(rows), sign))
        return np.concatenate(first), np.concatenate(second), np.concatenate(signs)

    def block(self, rows: tuple[Index, Index], columns: tuple[Index, Index]) -> Array:
        """Stiffness between the product sets rows = x functions by y functions, and columns likewise."""
        left, right = self.terms_x[:, rows[0]][:, :, columns[0]], self.terms_y[:, rows[1]][:, :, columns[1]]
        shape = (len(rows[0]), len(columns[0]), len(rows[1]), len(columns[1]))
        count = len(self.terms_x)
        product = (left.reshape(count, -1).T @ right.reshape(count, -1)).reshape(shape).transpose(0, 2, 1, 3)
        return np.asarray(product.reshape(shape[0] * shape[2], shape[1] * shape[3]))

    def edges(self) -> None:
        """Stiffness and load between the edge unknowns and ties themselves."""
        n, element = self.n, self.element
        cuts = np.cumsum([0] + [len(a) * len(b) for a, b in self.sets])
        for (i, j), rows in zip(itertools.pairwise(cuts), self.sets, strict=True):
            for (k, m), columns in zip(itertools.pairwise(cuts), self.sets, strict=True):
                self.matrix[i:j, k:m] = self.block(rows, columns)
        self._rims()
        self.vector[:n] = self.forces[self.edge[:, 0], self.edge[:, 1]]
        for k, tie in enumerate(element.ties):
            self.matrix[n + k, :n] = self.matrix[:n, n + k] = tie[self.edge[:, 0], self.edge[:, 1]]

    def _rims(self) -> None:
        element, edge = self.element, self.edge
        for side, rim in element.rims:
            upright = side in ("left", "right")
            column, other = (0, 1) if upright else (1, 0)
            axis, length, scale = (
                (element.y, element.height, element.width) if upright else (element.x, element.width, element.height)
            )
            for function, added in zip(side_functions(side), _along(axis, length, rim, scale), strict=True):
                rows = np.nonzero(edge[:, column] == function)[0]
                along = edge[rows, other]
                self.matrix[np.ix_(rows, rows)] += added[np.ix_(along, along)]

    def insides(self) -> Iterator[_Inside]:
        """Eliminate the inner unknowns, part by part."""
        matrix, vector = np.zeros_like(self.matrix), np.zeros_like(self.vector)
        for x, y in itertools.product(self.parts_x, self.parts_y):
            inside, across = self._take_out(x, y)
            matrix[np.ix_(inside.slots, inside.slots)] += across.T @ inside.per_unknown
            vector[inside.slots] += across.T @ inside.alone
            yield inside
        self.matrix -= self.fold.unfold(self.fold.unfold(matrix).T).T
        self.vector -= self.fold.unfold(vector)

    def _take_out(self, x: _Part, y: _Part) -> tuple[_Inside, Array]:
        """One block of inner unknowns, and its stiffness towards the unknowns it reaches."""
        own, element = (x.inner, y.inner), self.element
        index = _pairs(own)
        i, j = index[:, 0], index[:, 1]
        whole_y = np.concatenate([y.ends, y.inner])
        scale_y = np.concatenate([np.full(len(y.ends), y.scale), np.ones(len(y.inner))])
        edges = [
            self.block(own, (x.ends, whole_y)) * np.tile(x.scale * scale_y, len(x.ends)),
            self.block(own, (x.inner, y.ends)) * y.scale,
        ]
        at = [self.at[np.ix_(x.slots, np.concatenate([y.slots, y.inner]))], self.at[np.ix_(x.inner, y.slots)]]
        others = [shape[i, j][:, None] for shape in element.ties]
        across = np.concatenate([*edges, *others], axis=1)
        slots = np.concatenate([*(one.ravel() for one in at), np.arange(self.n, len(self.matrix))])
        stiff, force = self.block(own, own), self.forces[i, j]
        scale = 1.0 / np.sqrt(np.diag(stiff))
        right = np.concatenate([force, across], axis=1) * scale[:, None]
        solved = np.linalg.solve(stiff * np.outer(scale, scale), right) * scale[:, None]
        alone, per_unknown = solved[:, : force.shape[1]], solved[:, force.shape[1] :]
        return _Inside(index=index, alone=alone, slots=slots, per_unknown=per_unknown), across


def condense(element: Element, forces: Array) -> Condensed:
    """Eliminate everything inside; forces (size_x, size_y, loads) are the work of each load on each function."""
    work = _Reduction(element, forces)
    work.edges()
    inside = tuple(work.insides())
    return Condensed(
        element=element, edge=work.edge, stiffness=work.matrix, load=work.vector, _fold=work.fold, _inside=inside
    )
