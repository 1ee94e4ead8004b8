"""Several plates that share the rotation of their common edges.

Every edge of a plate meets at most one edge of another, square to it, along the same axis. Two plates that stay
square to each other along a seam turn together: measured from the seam into each plate, the slopes of the outward
deflections are opposite. Their edge unknowns are made one, so the slopes agree exactly; where three plates meet, the
signs leave no twist at the corner.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.condense import Condensed
from assemblies.strength.plates.element import side_functions
from assemblies.strength.plates.plate import scaled_solve

__all__ = ["Seam", "Tie", "solve_together"]


@dataclass(frozen=True, kw_only=True)
class Seam:
    """Two sides that are one edge: (plate, side) and (plate, side), in axis directions (no mirrored views here)."""

    a: tuple[str, str]
    b: tuple[str, str]


@dataclass(frozen=True, kw_only=True)
class Tie:
    """A force that works on tie number `members[plate]` of several plates at once, with its compliance (mm/N)."""

    members: Mapping[str, int]
    compliance: float = 0.0


class _Groups:
    """Unknowns that are multiples of one another: a forest with ratios; a contradiction makes the whole group
    zero.
    """

    def __init__(self, count: int) -> None:
        self.parent = list(range(count))
        self.ratio = [1.0] * count
        self.zero = [False] * count

    def find(self, k: int) -> tuple[int, float]:
        ratio = 1.0
        while self.parent[k] != k:
            ratio *= self.ratio[k]
            k = self.parent[k]
        return k, ratio

    def link(self, a: int, b: int, factor: float) -> None:
        """value[a] = factor * value[b]."""
        (root_a, of_a), (root_b, of_b) = self.find(a), self.find(b)
        if root_a == root_b:
            self.zero[root_a] |= abs(of_a - factor * of_b) > 1e-6 * (abs(of_a) + abs(factor * of_b))
            return
        self.parent[root_a], self.ratio[root_a] = root_b, factor * of_b / of_a
        self.zero[root_b] |= self.zero[root_a]


def _slope_rows(condensed: Condensed, side: str) -> tuple[dict[int, int], float]:
    """Edge unknowns that are a side's slope, by their function along the side, and slope into the plate per unit of
    unknown.
    """
    upright = side in ("left", "right")
    column, length = (0, condensed.element.width) if upright else (1, condensed.element.height)
    function = side_functions(side)[1]
    rows = np.nonzero(condensed.edge[:, column] == function)[0]
    sign = 1.0 if side in ("left", "bottom") else -1.0
    return {int(condensed.edge[r, 1 - column]): int(r) for r in rows}, sign / length


def _groups(plates: Mapping[str, Condensed], starts: Mapping[str, int], seams: Sequence[Seam], total: int) -> _Groups:
    groups = _Groups(total)
    for seam in seams:
        rows_a, per_a = _slope_rows(plates[seam.a[0]], seam.a[1])
        rows_b, per_b = _slope_rows(plates[seam.b[0]], seam.b[1])
        for function in rows_a.keys() | rows_b.keys():
            a, b = rows_a.get(function), rows_b.get(function)
            if a is not None and b is not None:
                groups.link(starts[seam.a[0]] + a, starts[seam.b[0]] + b, -per_b / per_a)
            elif a is not None:
                groups.zero[groups.find(starts[seam.a[0]] + a)[0]] = True
            elif b is not None:
                groups.zero[groups.find(starts[seam.b[0]] + b)[0]] = True
    return groups


def solve_together(
    plates: Mapping[str, Condensed], seams: Sequence[Seam], ties: Sequence[Tie] = ()
) -> dict[str, Array]:
    """Coefficients of every plate, (loads, size_x, size_y)."""
    starts, total = {}, 0
    for name, condensed in plates.items():
        starts[name] = total
        total += len(condensed.load)
    groups = _groups(plates, starts, seams, total)
    for tie in ties:
        members = [starts[n] + len(plates[n].load) - len(plates[n].element.ties) + k for n, k in tie.members.items()]
        for other in members[1:]:
            groups.link(other, members[0], 1.0)
    found = [groups.find(k) for k in range(total)]
    roots = sorted({root for root, _ in found if not groups.zero[root]})
    place = {root: k for k, root in enumerate(roots)}
    index = np.array([place.get(root, -1) for root, _ in found])
    factor = np.array([0.0 if place.get(root) is None else ratio for root, ratio in found])
    loads = next(iter(plates.values())).load.shape[1]
    matrix, vector = np.zeros((len(roots),) * 2), np.zeros((len(roots), loads))
    for name, condensed in plates.items():
        cut = slice(starts[name], starts[name] + len(condensed.load))
        kept = np.nonzero(index[cut] >= 0)[0]  # those that are not held at zero
        where, scale = index[cut][kept], factor[cut][kept]
        stiffness = condensed.stiffness[np.ix_(kept, kept)] * np.outer(scale, scale)
        if len(np.unique(where)) == len(where):
            matrix[np.ix_(where, where)] += stiffness
        else:  # two unknowns of one plate are the same
            np.add.at(matrix, np.ix_(where, where), stiffness)
        np.add.at(vector, where, condensed.load[kept] * scale[:, None])
    for tie in ties:
        name, k = next(iter(tie.members.items()))
        row = index[starts[name] + len(plates[name].load) - len(plates[name].element.ties) + k]
        matrix[row, row] -= tie.compliance
    values = scaled_solve(matrix, vector)
    values = np.concatenate([values, np.zeros((1, loads))])  # the last row is what index -1 reads
    unknowns = values[index] * factor[:, None]
    return {
        name: condensed.deflection(unknowns[starts[name] : starts[name] + len(condensed.load)])
        for name, condensed in plates.items()
    }
