"""A tank as one thing: one field of three displacements per panel, bending and stretching alike, solved together.

Every panel is a product of the functions of two axes of the tank (`lines`), for each of the three displacements, which are kept
in the tank's directions. So a coefficient has a place (displacement; function of x, of y, of z), a panel being where one of the
three is the value at its end: panels that meet share their displacements by themselves. What is left to say is that angles
along seams stay square, d u(n_A)/d n_B = - d u(n_B)/d n_A, and that a closed corner does not twist.

Energy of a panel (w across it, a and b in its plane): bending D [w_aa^2 + w_bb^2 + 2 nu w_aa w_bb + 2(1-nu) w_ab^2] and
stretching C [u_a^2 + v_b^2 + 2 nu u_a v_b + (1-nu)/2 (u_b+v_a)^2], C = E t/(1-nu^2) (Timoshenko and Woinowsky-Krieger,
Theory of Plates and Shells; from memory). All are sums of products of one-dimensional integrals.

Where the tank mirrors, every load is split into what is even and what is odd: half the panels, or a quarter of each, are solved
for each part that is not nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse
from numpy.typing import NDArray
from scipy.sparse.linalg import SuperLU, splu

from assemblies.strength.boxes.lines import END, SLOPE, START, VALUES, Line
from assemblies.strength.boxes.setting import FACES, PLANES
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.boxes.terms import Terms, brace_squares, grip_terms, layer_terms, panel_terms, rim_terms
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import Index

__all__ = ["Coefficients", "Folded"]

Coefficients = dict[str, Array]  # per panel of each of its functions, or the work on them: (loads, 3, size_a, size_b)
_FLAT_BUBBLES = 1  # in each interval, of displacements in a panel's plane: they are smoother than bending
_NOTHING = 1e-12  # share of a load's largest that is rounding


@dataclass(frozen=True, kw_only=True, eq=False)
class Folded:
    """A tank whose stiffness is set up once, and factored part by part as loads ask for them.

    Attributes:
        spec: the tank.
        lines: along x, y, z.
        mirrored: whether it mirrors in x, in y.
    """

    spec: Spec
    lines: tuple[Line, Line, Line]
    mirrored: tuple[bool, bool]

    @cached_property
    def _net(self) -> _Net:
        return _Net(self.spec, self.lines, self.mirrored)

    @cached_property
    def _parts(self) -> dict[tuple[bool, bool, int], _Part]:
        return {}

    def solve(self, loads: Coefficients, fewer: int = 0) -> Coefficients:
        """Coefficients of every panel under each of the loads.

        Args:
            loads: their work on each function.
            fewer: bubbles per interval that are left at nothing.
        """
        largest = max(float(np.abs(work).max()) for work in loads.values())
        found = {name: np.zeros_like(work) for name, work in loads.items()}
        for x, y in itertools.product(*((True, False) if one else (True,) for one in self.mirrored)):
            if (x, y, fewer) not in self._parts:
                self._parts[x, y, fewer] = _Part(self._net, (x, y), fewer)
            part = self._parts[x, y, fewer]
            work = part.gathered(loads)
            some = np.nonzero(np.abs(work).max(axis=0) > _NOTHING * largest)[0]
            if len(some):
                part.spread(part.solve(work[:, some]), found, some)
        return found


class _Net:
    """The part of a tank that stands for all of it: which coefficients are one, which are nothing, and its stiffness. What is
    held in the middle, where it mirrors, is not yet."""

    def __init__(self, spec: Spec, whole: Sequence[Line], mirrored: tuple[bool, bool]) -> None:
        self.spec, self.whole = spec, whole
        self.half = (*mirrored, False)
        self.lines = [line.half if half else line for line, half in zip(whole, self.half, strict=True)]
        self.panels = [n for n in spec.thick if not (FACES[n][1] and self.half[FACES[n][0]])]
        shape = (3, *(line.size for line in self.lines))
        self.key = np.arange(int(np.prod(shape))).reshape(shape)
        self.factor = np.ones(shape)
        self.held = np.zeros(shape, dtype=bool)
        self._hold_base()
        self._share()
        self._number()

    def _ends(self, axis: int) -> tuple[int, ...]:
        """The values at those ends of an axis where a panel stands."""
        standing = {FACES[name] for name in self.panels}
        return tuple(value for end, value in enumerate(VALUES) if (axis, end) in standing)

    def _hold_base(self) -> None:
        base, level = self.spec.base, START
        if base == "flat":
            self.held[_at(2, {2: level})] = True
        elif base in ("edges", "hung"):
            level = START if base == "edges" else END
            for axis in (0, 1):
                for value in self._ends(axis):
                    self._hold_line(axis, value, level)

    def _hold_line(self, axis: int, value: int, level: int) -> None:
        """Held up and down along a wall's foot, at `ledge` outside of its middle plane, or along its upper edge."""
        here, out = _at(2, {axis: value, 2: level}), self.spec.ledge if level == START else 0.0
        if out:
            self._link(here, _at(2, {axis: value + SLOPE, 2: level}), out if value == START else -out)
            for across in self._ends(1 - axis):
                for one, other in itertools.product((0, SLOPE), repeat=2):
                    self.held[_at(2, {axis: value + one, 1 - axis: across + other, 2: level})] = True
        else:
            self.held[here] = True

    def _share(self) -> None:
        """Square angles along seams; no twist in closed corners. Over a lower wall its functions are nothing, and the angle of
        its neighbour is free by itself."""
        for a, b in itertools.combinations(range(3), 2):
            for at_a, at_b in itertools.product(self._ends(a), self._ends(b)):
                self._link(_at(a, {a: at_a, b: at_b + SLOPE}), _at(b, {a: at_a + SLOPE, b: at_b}), -1.0)
        for corner in itertools.product(*(self._ends(axis) for axis in range(3))):
            for component in range(3):
                at = {axis: value + SLOPE * (axis != component) for axis, value in enumerate(corner)}
                self.held[_at(component, at)] = True

    def _link(self, one: tuple[slice | int, ...], other: tuple[slice | int, ...], factor: float) -> None:
        """Coefficients at one place are so many times those at another."""
        self.key[one], self.factor[one] = self.key[other], factor

    def _number(self) -> None:
        used = np.zeros(self.key.shape, dtype=bool)
        every = [_kept(line, 0) for line in self.lines]
        flat = [_kept(line, line.bubbles - min(_FLAT_BUBBLES, line.bubbles)) for line in self.lines]
        for name, component in itertools.product(self.panels, range(3)):
            n, i, j = PLANES[name]
            kept = list(every if component == n else flat)
            if name in self.spec.tops:
                kept[2] = kept[2] & self.lines[2].below(self.spec.until(name, 2))
            used[_at(component, {n: VALUES[FACES[name][1]]})] |= np.outer(kept[i], kept[j])
        alive = used & ~self.held & ~self.held.ravel()[self.key]
        roots, number = np.unique(self.key[alive], return_inverse=True)
        self.key, self.count = np.full(self.key.shape, -1), len(roots)
        self.key[alive] = number

    def of(self, name: str, component: int) -> tuple[Index, Array]:
        """Numbers (-1: held) and factors of a panel's coefficients."""
        axis, end = FACES[name]
        at = _at(component, {axis: VALUES[end]})
        return self.key[at], self.factor[at]

    @cached_property
    def stiffness(self) -> tuple[Index, Index, Array]:
        """Row, column and value of each entry, column by column."""
        rows, columns, data = zip(*self._entries(), strict=True)
        entries = np.concatenate(data), (np.concatenate(rows), np.concatenate(columns))
        matrix = scipy.sparse.coo_array(entries, shape=(self.count, self.count)).tocsc()
        return matrix.indices, np.repeat(np.arange(self.count, dtype=np.int32), np.diff(matrix.indptr)), matrix.data

    def _entries(self) -> Iterator[tuple[Index, Index, Array]]:
        for name in self.panels:
            yield from self._placed(name, self._terms(name))

    def _terms(self, name: str) -> Iterator[Terms]:
        _, i, j = PLANES[name]
        a, b = self.lines[i], self.lines[j]
        yield from panel_terms(self.spec, name, a.over(0.0, a.span), b.over(0.0, min(b.span, self.spec.until(name, j))))
        for pad in self.spec.pads:
            if pad.panel == name:
                a_low, a_high, b_low, b_high = self.spec.under(pad)
                a_high, b_high = min(a_high, a.span), min(b_high, b.span)
                if a_high > a_low and b_high > b_low:
                    yield from layer_terms(self.spec, pad, a.over(a_low, a_high), b.over(b_low, b_high))
        if name == "bottom" and not self.spec.pads:
            yield from grip_terms(self.spec, a.over(0.0, a.span), b.over(0.0, b.span))
        if self.spec.strip and j == 2:
            yield from rim_terms(self.spec, name, a.over(0.0, a.span))

    def _placed(self, name: str, terms: Iterable[Terms]) -> Iterator[tuple[Index, Index, Array]]:
        """Entries of the stiffness; terms that follow each other for one pair of displacements and functions as one."""
        for (row, column, *_), group in itertools.groupby(terms, key=_alike):
            same = list(group)
            (key_r, factor_r), (key_c, factor_c) = self.of(name, row), self.of(name, column)
            first = same[0].a[0][:, None], same[0].b[0]
            second = same[0].a[1][:, None], same[0].b[1]
            rows, columns = key_r[first], key_c[second]
            data = sum(t.factor * np.outer(t.a[2], t.b[2]) for t in same) * (factor_r[first] * factor_c[second])
            alive = (rows >= 0) & (columns >= 0) & (data != 0.0)
            yield rows[alive], columns[alive], data[alive]


class _Part:
    """What is even, or odd, about each of the planes in which a tank mirrors."""

    def __init__(self, net: _Net, even: tuple[bool, bool], fewer: int) -> None:
        self.net, self.even, self.half = net, (*even, True), net.half
        alive = np.zeros(net.count, dtype=bool)
        kept = [_kept(line, fewer) for line in net.lines]
        for name, component in itertools.product(net.panels, range(3)):
            _, i, j = PLANES[name]
            use = [kept[axis].copy() for axis in (i, j)]
            for axis, functions in zip((i, j), use, strict=True):
                if self.half[axis]:  # in the middle an even one does not turn, an odd one does not move
                    functions[END + SLOPE if self._even(component, axis) else END] = False
            key, _ = net.of(name, component)
            wanted = key[np.outer(*use) & (key >= 0)]
            alive[wanted] = True
        self.number = np.where(alive, np.cumsum(alive) - 1, -1).astype(np.int32)
        self.count = int(alive.sum())

    def _even(self, component: int, axis: int) -> bool:
        """Whether a displacement is even along an axis."""
        return self.even[axis] != (component == axis)

    def _of(self, name: str, component: int) -> tuple[Index, Array]:
        """Numbers (-1: nothing) and factors of a panel's coefficients."""
        key, factor = self.net.of(name, component)
        return np.where(key >= 0, self.number[key], -1), factor

    @cached_property
    def _factored(self) -> tuple[SuperLU, Array]:
        rows, columns, data = self.net.stiffness
        rows, columns = np.asarray(self.number[rows]), np.asarray(self.number[columns])
        kept = (rows >= 0) & (columns >= 0)
        rows, columns, data = rows[kept], columns[kept], data[kept]
        starts = np.concatenate([[0], np.cumsum(np.bincount(columns, minlength=self.count))])
        matrix = scipy.sparse.csc_array((data, rows, starts), shape=(self.count, self.count))
        for vector, stiffness in self._squares():
            row = scipy.sparse.csc_array(vector[:, None])
            matrix = matrix + stiffness * (row @ row.T)
        matrix = scipy.sparse.csc_array(matrix)
        scale = 1.0 / np.sqrt(matrix.diagonal())
        matrix.data *= scale[matrix.indices] * np.repeat(scale, np.diff(matrix.indptr))
        options = {"SymmetricMode": True}
        return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options), scale

    def _squares(self) -> Iterator[tuple[Array, float]]:
        """Braces: stiffnesses against what is a sum over coefficients."""
        for square, stiffness in brace_squares(self.net.spec, self.net.whole):
            yield self.gathered(square)[:, 0], stiffness / self._copies

    @property
    def _copies(self) -> int:
        """How many times what is solved is in the whole."""
        return int(2 ** sum(self.half))

    def _change(self, component: int, axis: int) -> Array:
        """From this part's functions along an axis to all."""
        if self.half[axis]:
            return self.net.whole[axis].unfolded(self._even(component, axis))
        return np.eye(self.net.whole[axis].size)

    def _twin(self, name: str, component: int) -> tuple[str, float]:
        """The panel that is solved for this one, and with which sign."""
        axis, end = FACES[name]
        if end and self.half[axis]:
            other = next(n for n, at in FACES.items() if at == (axis, 0))
            return other, 1.0 if self._even(component, axis) else -1.0
        return name, 1.0

    def gathered(self, loads: Coefficients) -> Array:
        """What is work on this part's coefficients, (count, loads)."""
        count = len(next(iter(loads.values())))
        found = np.zeros((self.count + 1, count))  # the last row takes what is held
        for name, work in loads.items():
            _, i, j = PLANES[name]
            for component in range(3):
                if not work[:, component].any():
                    continue
                solved, sign = self._twin(name, component)
                own = self._change(component, i).T @ work[:, component] @ self._change(component, j)
                key, factor = self._of(solved, component)
                np.add.at(found, key.ravel(), (sign * factor * own).reshape(count, -1).T)
        return found[:-1]

    def solve(self, work: Array) -> Array:
        factored, scale = self._factored
        return np.asarray(factored.solve(work * scale[:, None]) * scale[:, None] / self._copies)

    def spread(self, values: Array, found: Coefficients, some: Index) -> None:
        """Add what is solved, of some of the loads, to the coefficients of all panels."""
        values = np.concatenate([values, np.zeros((1, values.shape[1]))])
        for name, total in found.items():
            _, i, j = PLANES[name]
            for component in range(3):
                solved, sign = self._twin(name, component)
                key, factor = self._of(solved, component)
                own = np.moveaxis(values[key] * factor[..., None], 2, 0) * sign
                total[some, component] += self._change(component, i) @ own @ self._change(component, j).T


def _at(component: int, functions: Mapping[int, int]) -> tuple[slice | int, ...]:
    """Where coefficients of a displacement stand, with these functions along some axes and any along the others."""
    return (component, *(functions.get(axis, slice(None)) for axis in range(3)))


def _alike(term: Terms) -> tuple[int, int, int, int]:
    """Terms with the same displacements and the same pairs of functions."""
    return term.row, term.column, id(term.a[0]), id(term.b[0])


def _kept(line: Line, fewer: int) -> NDArray[np.bool_]:
    """Which functions are left with so many bubbles fewer in each interval."""
    kept = np.ones(line.size, dtype=bool)
    first = 2 * len(line.knots)
    for n in range(line.bubbles - fewer, line.bubbles):
        kept[first + n :: line.bubbles] = False
    return kept
