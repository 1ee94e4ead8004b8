"""A solved panel read off anywhere: how it moves, what is in its sections, what its seams carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.strength.boxes.lines import Line
from assemblies.strength.boxes.setting import FACES, PLANES, outward
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.given import rigidity

__all__ = ["READ", "Forces", "Sheet"]

#: How far beyond a neighbour's face the section at a joint is read, in its thicknesses: seams then come 5 % low to 20 % high
#: against solid models (whole_tanks.json); at the face itself they are 3 to 11 % low.
READ = 0.375


@dataclass(frozen=True, kw_only=True, eq=False)
class Forces:
    """What a panel's sections carry, per mm: along a, along b, and shear in their plane (N/mm); moments (N mm/mm, positive:
    outside in tension) and twist."""

    n: tuple[Array, Array, Array]
    m: tuple[Array, Array, Array]
    thickness: float

    def stress(self, side: float) -> tuple[Array, Array, Array]:
        """On the outer face (1) or the liquid's (-1), MPa."""
        t = self.thickness
        one, two, three = (n / t + side * 6.0 * m / t**2 for n, m in zip(self.n, self.m, strict=True))
        return one, two, three

    def principal(self, side: float) -> Array:
        """The largest principal stress on a face, MPa."""
        one, two, shear = self.stress(side)
        return np.asarray((one + two) / 2.0 + np.hypot((one - two) / 2.0, shear))


@dataclass(frozen=True, kw_only=True, eq=False)
class Sheet:
    """A panel under every load; places are inside coordinates along its two axes, mm.

    Attributes:
        spec, name: which. lines: its two. coefficients: (loads, 3, size_a, size_b).
    """

    spec: Spec
    name: str
    lines: tuple[Line, Line]
    coefficients: Array

    @property
    def thickness(self) -> float:
        return self.spec.thick[self.name]

    @property
    def axes(self) -> tuple[int, int]:
        _, i, j = PLANES[self.name]
        return i, j

    def _tables(self, a: Array, b: Array) -> tuple[Array, Array]:
        (i, j), off = self.axes, self.spec.offsets
        return self.lines[0].at(np.asarray(a, float) + off[i]), self.lines[1].at(np.asarray(b, float) + off[j])

    def moved(self, a: Array, b: Array, component: int, da: int = 0, db: int = 0) -> Array:
        """A displacement (mm, along an axis of the tank) or a derivative, over the grid of all a by all b: (loads, a, b)."""
        one, other = self._tables(a, b)
        return np.asarray(one[da] @ self.coefficients[:, component] @ other[db].T)

    def forces(self, a: Array, b: Array) -> Forces:
        """Over the grid of all a by all b: (loads, a, b)."""
        one, other = self._tables(a, b)
        (n, i, j), c = PLANES[self.name], self.coefficients
        nu, t = self.spec.poisson, self.thickness
        stretch, bend = self.spec.stretch(self.name), rigidity(self.spec.modulus, t, nu)

        def term(component: int, da: int, db: int) -> Array:
            return np.asarray(one[da] @ c[:, component] @ other[db].T)

        along, across = term(i, 1, 0), term(j, 0, 1)
        bent, bowed = term(n, 2, 0), term(n, 0, 2)
        out = -outward(self.name) * bend
        return Forces(
            n=(
                stretch * (along + nu * across),
                stretch * (across + nu * along),
                stretch * (1.0 - nu) / 2.0 * (term(i, 0, 1) + term(j, 1, 0)),
            ),
            m=(out * (bent + nu * bowed), out * (bowed + nu * bent), out * (1.0 - nu) * term(n, 1, 1)),
            thickness=t,
        )

    def section(self, other: str, places: Array, beyond: float = READ) -> Forces:
        """The section at the joint with a neighbour, along the seam: (loads, places); `a` is across the seam."""
        axis, end = FACES[other]
        inside = -beyond * self.spec.thick[other]
        at = np.array([self.spec.inner[axis] - inside if end else inside])
        if axis == self.axes[0]:
            got = self.forces(at, places)
            n, m = (tuple(one[:, 0] for one in every) for every in (got.n, got.m))
        else:
            got = self.forces(places, at)
            n, m = (tuple(every[k][:, :, 0] for k in (1, 0, 2)) for every in (got.n, got.m))
        return Forces(n=_three(n), m=_three(m), thickness=self.thickness)


def _three(values: Sequence[Array]) -> tuple[Array, Array, Array]:
    one, two, three = values
    return one, two, three


def seam_stress(section: Forces) -> Array:
    """Largest principal stress of a joint's section from what is across the seam and the shear in it, both faces, MPa."""
    worst = np.zeros(section.n[0].shape)
    for side in (1.0, -1.0):
        normal, _, shear = section.stress(side)
        worst = np.maximum(worst, normal / 2.0 + np.hypot(normal / 2.0, shear))
    return worst
