"""A solved panel read off anywhere: how it moves, what is in its sections, what its seams carry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.strength.boxes.lines import Line
from assemblies.strength.boxes.setting import FACES, PLANES, outward
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.given import rigidity

__all__ = ["JOINT", "Forces", "Sheet", "principal"]

#: What is read at a neighbour's face is taken larger by this: against solid models it comes 10 % low to 2 % high there,
#: whatever the gradient (62 seams of whole_tanks.json). Read beyond the face instead, steep ones beside plates come up to 37
#: % high.
JOINT: Final = 1.08


def principal(one: Array, two: Array | float, shear: Array) -> Array:
    """The largest principal stress."""
    return np.asarray((one + two) / 2.0 + np.hypot((one - two) / 2.0, shear))


@dataclass(frozen=True, kw_only=True, eq=False)
class Forces:
    """What a panel's sections carry, per mm; each (loads, ..).

    Attributes:
        n: along its first axis, along its second, and shear in its plane, N/mm.
        m: moments likewise (N mm/mm, positive: outside in tension), and twist.
        thickness: mm.
    """

    n: tuple[Array, Array, Array]
    m: tuple[Array, Array, Array]
    thickness: float

    def stress(self, side: float) -> tuple[Array, Array, Array]:
        """On the outer face (1) or the liquid's (-1), MPa."""
        t = self.thickness
        one, two, three = (n / t + side * 6.0 * m / t**2 for n, m in zip(self.n, self.m, strict=True))
        return one, two, three

    @property
    def largest(self) -> Array:
        """The largest principal stress on either face, MPa."""
        return np.maximum(principal(*self.stress(1.0)), principal(*self.stress(-1.0)))

    @property
    def across(self) -> Array:
        """The largest principal stress of what goes through the section across its first axis, on either face, MPa."""
        found = []
        for side in (1.0, -1.0):
            normal, _, shear = self.stress(side)
            found.append(principal(normal, 0.0, shear))
        return np.maximum(*found)

    def seen(self, at: tuple[slice | int, ...], swapped: bool = False) -> Forces:
        """Of some places, or with its two axes for one another."""
        order = (1, 0, 2) if swapped else (0, 1, 2)
        n, m = ([every[k][at] for k in order] for every in (self.n, self.m))
        return Forces(n=(n[0], n[1], n[2]), m=(m[0], m[1], m[2]), thickness=self.thickness)


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
        """Which axes of the tank it lies along."""
        _, i, j = PLANES[self.name]
        return i, j

    @property
    def sizes(self) -> tuple[float, float]:
        """Of its inner face, mm."""
        i, j = self.axes
        return self.spec.reach(self.name, i), self.spec.reach(self.name, j)

    def _tables(self, a: Array, b: Array) -> tuple[Array, Array]:
        (i, j), off = self.axes, self.spec.offsets
        up = np.asarray(b, float) + off[j]
        if self.name in self.spec.tops:  # at its upper edge what is below that counts
            up = np.minimum(up, (1.0 - 1e-9) * self.spec.until(self.name, j))
        return self.lines[0].at(np.asarray(a, float) + off[i]), self.lines[1].at(up)

    def moved(self, a: Array, b: Array, component: int, da: int = 0, db: int = 0) -> Array:
        """A displacement of the middle plane (mm, along an axis of the tank) or its derivative, over the grid of all a by
        all b: (loads, a, b)."""
        one, other = self._tables(a, b)
        return np.asarray(one[da] @ self.coefficients[:, component] @ other[db].T)

    def outward(self, a: Array, b: Array) -> Array:
        """How far it moves out, mm, over the grid: (loads, a, b)."""
        return outward(self.name) * self.moved(a, b, FACES[self.name][0])

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

    def section(self, other: str, places: Array) -> Forces:
        """The section at the face of a neighbour, along the seam: (loads, places); the first axis is across the seam."""
        axis, end = FACES[other]
        at = np.array([self.spec.inner[axis] if end else 0.0])
        if axis == self.axes[0]:
            return self.forces(at, places).seen((slice(None), 0))
        return self.forces(places, at).seen((slice(None), slice(None), 0), swapped=True)
