"""One rectangular plate as a stiffness between its edges: bending energy, edge springs and stiffeners, loads.

Kirchhoff's plate: energy D/2 * integral of w_xx^2 + w_yy^2 + 2 nu w_xx w_yy + 2 (1 - nu) w_xy^2, with D = E t^3 / 12
(1 - nu^2). The deflection is a sum of products of the functions of two axes. Everything inside is eliminated first
(in blocks that do not mix by symmetry), so that only the unknowns of the edges are left for the plate, or the box,
to solve. Source: the energy is Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, art. 23 (from memory);
the elimination is plain static condensation.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.basis import SLOPE_0, SLOPE_1, VALUE_0, VALUE_1, Array, Axis, gauss

__all__ = ["SIDES", "Condensed", "Element", "Index", "Line", "Rim", "condense", "load", "side_functions"]

Index = NDArray[np.intp]
SIDES = ("left", "right", "bottom", "top")
LOAD_POINTS = 40


@dataclass(frozen=True, kw_only=True)
class Rim:
    """What is added along an edge that may move: springs per mm of edge and a stiffener.

    Attributes:
        translation: N/mm per mm. rotation: N mm/rad per mm.
        bending: E I of a stiffener, N mm2. torsion: G J, N mm2.
    """

    translation: float = 0.0
    rotation: float = 0.0
    bending: float = 0.0
    torsion: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Line:
    """An inner support or rib along a whole line x = const (`across` "x") or y = const ("y"), at a knot of that
    axis.
    """

    across: str
    knot: float
    rim: Rim


@dataclass(frozen=True, kw_only=True, eq=False)
class Element:
    """A plate before its unknowns are solved.

    Attributes:
        x, y: axes. width, height: mm. rigidity: D, N mm. poisson: Poisson's ratio.
        keep_x, keep_y: functions that are free to act; the others are held at zero.
        rims: additions on the sides.
        lines: inner lines (axes must be plain).
        patches: (x0, x1, y0, y1 in 0..1, stiffness N/mm3): elastic beds under a part of the plate (axes must be
            plain).
        foundation: elastic bed under all of the plate, N/mm3.
        modes: deflections (size_x, size_y) that act as one unknown each, such as the rigid movement of all four
            edges.
        ties: vectors (size_x, size_y) of what a point force or a brace works on; each is one unknown force.
    """

    x: Axis
    y: Axis
    width: float
    height: float
    rigidity: float
    poisson: float
    keep_x: Index
    keep_y: Index
    rims: tuple[tuple[str, Rim], ...] = ()
    lines: tuple[Line, ...] = ()
    patches: tuple[tuple[float, float, float, float, float], ...] = ()
    foundation: float = 0.0
    modes: tuple[Array, ...] = ()
    ties: tuple[Array, ...] = ()

    @property
    def mixed_inside(self) -> bool:
        """Something inside the plate couples functions that would be apart by symmetry."""
        return bool(self.lines or self.patches or self.modes)


@dataclass(frozen=True, kw_only=True, eq=False)
class Condensed:
    """A plate reduced to its edges, for several loads at once.

    Attributes:
        element: the plate.
        edge: (i, j) of each edge unknown; the unknowns of modes, then of ties, follow them.
        stiffness: (n, n) over those unknowns. load: (n, loads).
        inner: per symmetry block the inner functions (i, j), their coefficients under the load alone (m, loads), and
            per unknown (m, n).
    """

    element: Element
    edge: Index
    stiffness: Array
    load: Array
    inner: tuple[tuple[Index, Array, Array], ...]

    def loads(self, which: slice, element: Element) -> Condensed:
        """Some of the loads, for an element of the same stiffness."""
        inner = tuple((index, alone[:, which], per_unknown) for index, alone, per_unknown in self.inner)
        return replace(self, element=element, load=self.load[:, which], inner=inner)

    def deflection(self, unknowns: Array) -> Array:
        """All coefficients (size_x, size_y, loads) once the unknowns of the edges (n, loads) are known."""
        element = self.element
        values = np.zeros((element.x.size, element.y.size, unknowns.shape[1]))
        values[self.edge[:, 0], self.edge[:, 1]] = unknowns[: len(self.edge)]
        for index, alone, per_unknown in self.inner:
            values[index[:, 0], index[:, 1]] = alone - per_unknown @ unknowns
        for k, mode in enumerate(element.modes):
            values += mode[:, :, None] * unknowns[len(self.edge) + k]
        return values


def side_functions(side: str) -> tuple[int, int]:
    """(deflection, slope) function of a side on its axis."""
    return (VALUE_0, SLOPE_0) if side in ("left", "bottom") else (VALUE_1, SLOPE_1)


def _factors(element: Element, which: str, rows: Index, columns: Index) -> Array:
    """The factors of the energy in one direction, (terms, rows x columns)."""
    axis, length = (element.x, element.width) if which == "x" else (element.y, element.height)
    cut = np.ix_(rows, columns)
    turned = axis.mixed.T[cut]
    mass, bend, slope, mixed = axis.mass[cut], axis.bend[cut], axis.slope[cut], axis.mixed[cut]
    if which == "x":
        stiff, nu = element.rigidity, element.poisson
        terms = (
            bend * (stiff / length**3),
            mass * (stiff * length),
            mixed * (stiff * nu / length),
            turned * (stiff * nu / length),
            slope * (2.0 * stiff * (1.0 - nu) / length),
            mass * (element.foundation * length),
        )
    else:
        terms = (
            mass * length, bend / length**3, turned / length, mixed / length, slope / length, mass * length,
        )  # fmt: skip
    return np.stack(terms).reshape(6, -1)


def _block(element: Element, rows: tuple[Index, Index], columns: tuple[Index, Index]) -> Array:
    """Stiffness between the product sets rows = x functions by y functions, and columns likewise."""
    left = _factors(element, "x", rows[0], columns[0])
    right = _factors(element, "y", rows[1], columns[1])
    shape = (len(rows[0]), len(columns[0]), len(rows[1]), len(columns[1]))
    product = (left.T @ right).reshape(shape).transpose(0, 2, 1, 3)
    return np.asarray(product.reshape(shape[0] * shape[2], shape[1] * shape[3]))


def _pairs(sets: tuple[Index, Index]) -> Index:
    return np.stack([np.repeat(sets[0], len(sets[1])), np.tile(sets[1], len(sets[0]))], axis=1)


def _along(axis: Axis, length: float, rim: Rim, slope_scale: float) -> tuple[Array, Array]:
    """What a rim adds between the deflection functions, and between the slope functions, of a line."""
    value = rim.translation * length * axis.mass + rim.bending / length**3 * axis.bend
    turn = (rim.rotation * length * axis.mass + rim.torsion / length * axis.slope) / slope_scale**2
    return value, turn


def _add_rims(element: Element, edge: Index, stiffness: Array) -> None:
    for side, rim in element.rims:
        upright = side in ("left", "right")
        column, other = (0, 1) if upright else (1, 0)
        axis, length, scale = (
            (element.y, element.height, element.width) if upright else (element.x, element.width, element.height)
        )
        for function, added in zip(side_functions(side), _along(axis, length, rim, scale), strict=True):
            rows = np.nonzero(edge[:, column] == function)[0]
            along = edge[rows, other]
            stiffness[np.ix_(rows, rows)] += added[np.ix_(along, along)]


def _added_inside(element: Element) -> Array:
    """Lines and patches as a full matrix over all functions."""
    added = np.zeros((element.x.size * element.y.size,) * 2)
    for line in element.lines:
        sideways = line.across == "x"
        own, other = (element.x, element.y) if sideways else (element.y, element.x)
        scale, length = (element.width, element.height) if sideways else (element.height, element.width)
        for k, matrix in enumerate(_along(other, length, line.rim, scale)):
            unit = np.zeros((own.size, own.size))
            unit[own.knot(line.knot) + k, own.knot(line.knot) + k] = 1.0
            added += np.kron(unit, matrix) if sideways else np.kron(matrix, unit)
    for x0, x1, y0, y1, stiff in element.patches:
        part_x, part_y = _part_mass(element.x, x0, x1), _part_mass(element.y, y0, y1)
        added += np.kron(part_x * (stiff * element.width), part_y * element.height)
    return added


def _part_mass(axis: Axis, start: float, end: float) -> Array:
    """Integral of f g over a part of the axis."""
    cuts = [start, *[k for k in axis.knots if start < k < end], end]
    total = np.zeros((axis.size, axis.size))
    nodes, weights = gauss(axis.bubbles + 4)
    for a, b in itertools.pairwise(cuts):
        table = axis.at(a + (b - a) * nodes)
        total += table.T @ (((b - a) * weights)[:, None] * table)
    return total


def _split(element: Element) -> tuple[list[tuple[Index, Index]], list[tuple[Index, Index]]]:
    """Product sets of the edge unknowns (two) and of the inner unknowns (one per symmetry block)."""
    edge_x, edge_y = element.keep_x[element.keep_x < 4], element.keep_y[element.keep_y < 4]
    inner_x, inner_y = element.keep_x[element.keep_x >= 4], element.keep_y[element.keep_y >= 4]
    edge = [(edge_x, element.keep_y), (inner_x, edge_y)]
    if element.mixed_inside or len(inner_x) + 4 < element.x.size or len(inner_y) + 4 < element.y.size:
        return edge, [(inner_x, inner_y)]
    return edge, [(a, b) for a in element.x.classes for b in element.y.classes]


class _Reduction:
    """The work of `condense`: the edge matrix, from which each block of inner unknowns is taken out in turn."""

    def __init__(self, element: Element, forces: Array) -> None:
        self.element, self.forces = element, forces
        self.sets, self.inner_sets = _split(element)
        self.edge = np.concatenate([_pairs(s) for s in self.sets])
        self.n = len(self.edge)
        self.starts = np.cumsum([0] + [len(a) * len(b) for a, b in self.sets])
        self.flat = self.edge[:, 0] * element.y.size + self.edge[:, 1]
        self.added = _added_inside(element) if element.mixed_inside else None
        self.ties_at = self.n + len(element.modes)
        whole = self.ties_at + len(element.ties)
        self.matrix, self.vector = np.zeros((whole, whole)), np.zeros((whole, forces.shape[2]))

    def edges(self) -> None:
        """Stiffness and load between the edge unknowns, modes and ties themselves."""
        n, starts = self.n, self.starts
        for i, rows in enumerate(self.sets):
            for j, columns in enumerate(self.sets):
                block = _block(self.element, rows, columns)
                self.matrix[starts[i] : starts[i + 1], starts[j] : starts[j + 1]] = block
        _add_rims(self.element, self.edge, self.matrix[:n, :n])
        self.vector[:n] = self.forces[self.edge[:, 0], self.edge[:, 1]]
        if self.added is not None:
            self.matrix[:n, :n] += self.added[np.ix_(self.flat, self.flat)]
            self._modes(self.added)
        for k, tie in enumerate(self.element.ties):
            row = self.ties_at + k
            self.matrix[row, :n] = self.matrix[:n, row] = tie[self.edge[:, 0], self.edge[:, 1]]
            for m, mode in enumerate(self.element.modes):
                self.matrix[row, n + m] = self.matrix[n + m, row] = float(np.sum(tie * mode))

    def _modes(self, added: Array) -> None:
        """Rigid modes store no bending energy, only that of the beds they press on."""
        n = self.n
        for k, mode in enumerate(self.element.modes):
            pressed = added @ mode.ravel()
            self.matrix[n + k, :n] = self.matrix[:n, n + k] = pressed[self.flat]
            self.vector[n + k] = np.tensordot(mode, self.forces, axes=2)
            for m, other in enumerate(self.element.modes):
                self.matrix[n + k, n + m] = float(pressed @ other.ravel())

    def take_out(self, sets: tuple[Index, Index]) -> tuple[Index, Array, Array]:
        """Eliminate one block of inner unknowns."""
        index, element = _pairs(sets), self.element
        own, across = _block(element, sets, sets), np.zeros((len(index), len(self.matrix)))
        for j, columns in enumerate(self.sets):
            across[:, self.starts[j] : self.starts[j + 1]] = _block(element, sets, columns)
        if self.added is not None:
            flat = index[:, 0] * element.y.size + index[:, 1]
            own += self.added[np.ix_(flat, flat)]
            across[:, : self.n] += self.added[np.ix_(flat, self.flat)]
            for m, mode in enumerate(element.modes):
                across[:, self.n + m] = self.added[flat] @ mode.ravel()
        for k, tie in enumerate(element.ties):
            across[:, self.ties_at + k] = tie[index[:, 0], index[:, 1]]
        force = self.forces[index[:, 0], index[:, 1]]
        scale = 1.0 / np.sqrt(np.diag(own))
        right = np.concatenate([force, across], axis=1) * scale[:, None]
        solved = np.linalg.solve(own * np.outer(scale, scale), right) * scale[:, None]
        alone, per_unknown = solved[:, : force.shape[1]], solved[:, force.shape[1] :]
        self.matrix -= across.T @ per_unknown
        self.vector -= across.T @ alone
        return index, alone, per_unknown


def condense(element: Element, forces: Array, mode_forces: Array | None = None) -> Condensed:
    """Eliminate everything inside.

    Args:
        forces: (size_x, size_y, loads), the work of each load on each function.
        mode_forces: (modes, loads), the work of loads elsewhere on the rigid modes.
    """
    work = _Reduction(element, forces)
    work.edges()
    if mode_forces is not None:
        work.vector[work.n : work.ties_at] += mode_forces
    inner = tuple(work.take_out(sets) for sets in work.inner_sets)
    return Condensed(element=element, edge=work.edge, stiffness=work.matrix, load=work.vector, inner=inner)


def _load_points(axis: Axis, length: float, start: float, end: float) -> tuple[Array, Array]:
    """Gauss places (mm) and weights from start to end, interval by interval: the functions are polynomials only
    there.
    """
    cuts = [start, *[k * length for k in axis.knots[1:-1] if start < k * length < end], end]
    nodes, weights = gauss(max(LOAD_POINTS // (len(cuts) - 1), axis.bubbles // 2 + 8))
    places = np.concatenate([a + (b - a) * nodes for a, b in itertools.pairwise(cuts)])
    return places, np.concatenate([(b - a) * weights for a, b in itertools.pairwise(cuts)])


def load(
    element: Element,
    pressure: Callable[[Array, Array], Array],
    region: tuple[float, float, float, float] | None = None,
) -> Array:
    """Work of a pressure (MPa, at places in mm) on each function, over the plate or a region x0, x1, y0, y1 of it in
    mm.
    """
    x0, x1, y0, y1 = region or (0.0, element.width, 0.0, element.height)
    across, weight_x = _load_points(element.x, element.width, x0, x1)
    up, weight_y = _load_points(element.y, element.height, y0, y1)
    grid_x, grid_y = np.meshgrid(across, up, indexing="ij")
    values = np.broadcast_to(np.asarray(pressure(grid_x, grid_y), dtype=float), grid_x.shape)
    if not np.all(np.isfinite(values)):
        raise ValueError("pressure: not a finite number somewhere on the plate; give MPa at every place")
    table_x = element.x.at(across / element.width) * weight_x[:, None]
    table_y = element.y.at(up / element.height) * weight_y[:, None]
    return np.asarray(table_x.T @ values @ table_y)
