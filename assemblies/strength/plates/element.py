"""One rectangular plate before it is solved: its functions, what holds and stiffens it, its loads.

Kirchhoff's plate: energy D/2 * integral of w_xx^2 + w_yy^2 + 2 nu w_xx w_yy + 2 (1 - nu) w_xy^2, with D = E t^3 / 12
(1 - nu^2). The deflection is a sum of products of the functions of two axes. Source: the energy is Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, art. 23 (from memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.plates.basis import SLOPE_0, SLOPE_1, VALUE_0, VALUE_1, Array, Axis, gauss

__all__ = ["SIDES", "Element", "Index", "Line", "Patch", "Rim", "mirrored", "part_mass", "side_functions"]

Index = NDArray[np.intp]
SIDES = ("left", "right", "bottom", "top")
Patch = tuple[float, float, float, float, float]


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
        patches: (x0, x1, y0, y1 in 0..1, stiffness N/mm3): elastic beds under a part of the plate.
        foundation: elastic bed under all of the plate, N/mm3.
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
    patches: tuple[Patch, ...] = ()
    foundation: float = 0.0
    ties: tuple[Array, ...] = ()


def side_functions(side: str) -> tuple[int, int]:
    """(deflection, slope) function of a side on its axis."""
    return (VALUE_0, SLOPE_0) if side in ("left", "bottom") else (VALUE_1, SLOPE_1)


def mirrored(patches: Sequence[Patch], direction: int) -> bool:
    """Whether patches are the same from left to right (direction 0) or from bottom to top (1).

    >>> mirrored([(0.1, 0.2, 0.1, 0.2, 1.0), (0.8, 0.9, 0.8, 0.9, 1.0)], 0)  # across a diagonal
    False
    """
    here, k = [list(patch) for patch in patches], 2 * direction
    there = [[*p[:k], 1.0 - p[k + 1], 1.0 - p[k], *p[k + 2 :]] for p in here]
    one, other = (sorted([round(v, 9) for v in patch] for patch in found) for found in (here, there))
    return one == other


def part_mass(axis: Axis, start: float, end: float) -> Array:
    """Integral of f g over a part of the axis."""
    cuts = [start, *[k for k in axis.knots if start < k < end], end]
    total = np.zeros((axis.size, axis.size))
    nodes, weights = gauss(axis.bubbles + 4)
    for a, b in itertools.pairwise(cuts):
        table = axis.at(a + (b - a) * nodes)
        total += table.T @ (((b - a) * weights)[:, None] * table)
    return total
