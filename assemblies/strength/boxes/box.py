"""A box of plates: four walls and a floor (and a bonded lid), solved as one (`folded`).

    box(length, width, height, thicknesses, modulus, poisson, pressure, base, rim)

Loads act on the inner faces only. How it compares with solid models stands beside its tests (whole_tanks.json,
solid_boxes.csv).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from assemblies.strength.boxes.folded import Coefficients, Folded
from assemblies.strength.boxes.knots import lines_of, mirrored
from assemblies.strength.boxes.setting import FACES, PLANES, BoxPressure, Load, OnPlates, load_of, outward
from assemblies.strength.boxes.spec import RimSpec, Spec, tank_spec
from assemblies.strength.boxes.surface import JOINT, Sheet, principal
from assemblies.strength.boxes.work import work_on
from assemblies.strength.plates.basis import Array

__all__ = ["Box", "BoxResult", "box"]

_BUBBLES = 2  # in each interval, of the first order
_ALONG = np.linspace(0.0, 1.0, 201)
_RIM = 0.02  # of a wall's height: nearer to a free rim a seam's section is singular


@dataclass(frozen=True, kw_only=True, eq=False)
class Box:
    """A tank as it is solved; what is set up for one set of loads serves the next."""

    spec: Spec

    @cached_property
    def _folded(self) -> dict[int, Folded]:
        return {}

    def solve(self, loads: Sequence[Load], orders: Sequence[int] = (0,)) -> list[BoxResult]:
        """Every panel under every load, by each order of the solution.

        Args:
            loads: together.
            orders: by how many functions per interval fewer than usual; the first leaves out least.
        """
        least = 0 if orders[0] <= 1 else orders[0]  # the first two share one stiffness
        if least not in self._folded:
            lines = lines_of(self.spec, _BUBBLES - least)
            self._folded[least] = Folded(spec=self.spec, lines=lines, mirrored=mirrored(self.spec))
        folded = self._folded[least]
        work = work_on(self.spec, folded.lines, loads)
        return [self._result(folded, folded.solve(work, order - least)) for order in orders]

    def _result(self, folded: Folded, found: Coefficients) -> BoxResult:
        return BoxResult(
            spec=self.spec,
            sheets={
                name: Sheet(
                    spec=self.spec,
                    name=name,
                    lines=(folded.lines[PLANES[name][1]], folded.lines[PLANES[name][2]]),
                    coefficients=values,
                )
                for name, values in found.items()
            },
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class BoxResult:
    """A solved box, under one load or several: what is read has the loads first.

    Attributes:
        spec: what was solved. sheets: its panels.
    """

    spec: Spec
    sheets: Mapping[str, Sheet]

    def moved(self, panel: str, a: float, b: float, component: int) -> Array:
        """How far a panel's outer face moves along an axis of the tank at a place, mm: (loads,)."""
        sheet, (n, i, j) = self.sheets[panel], PLANES[panel]
        at = np.array([a]), np.array([b])
        found = sheet.moved(*at, component)
        if component != n:  # its middle plane turns
            turn = sheet.moved(*at, n, 1, 0) if component == i else sheet.moved(*at, n, 0, 1)
            assert component in (i, j)
            found = found - outward(panel) * sheet.thickness / 2.0 * turn
        return np.asarray(found[:, 0, 0])

    def stress(self, panel: str, a: float, b: float, side: float) -> Array:
        """Largest principal stress at a place on the outer face (1) or the liquid's (-1), MPa: (loads,)."""
        forces = self.sheets[panel].forces(np.array([a]), np.array([b]))
        return np.asarray(principal(*forces.stress(side))[:, 0, 0])

    def pull(self, panel: str, a: float, b: float, along: int = 0) -> Array:
        """Mean stress along a panel's first or second axis through its thickness at a place, MPa: (loads,)."""
        sheet = self.sheets[panel]
        return np.asarray(sheet.forces(np.array([a]), np.array([b])).n[along][:, 0, 0] / sheet.thickness)

    def places(self, panel: str, other: str) -> Array:
        """Places along a seam where its section is read, mm: one thickness from corners, 2 % of its length from a free rim."""
        spec, (along,) = self.spec, (k for k in self.sheets[panel].axes if k != FACES[other][0])
        ends = [next((t for n, t in spec.thick.items() if FACES[n] == (along, end)), None) for end in (0, 1)]
        reach = min(spec.reach(one, along) for one in (panel, other))
        low, high = (_RIM * reach if t is None else t for t in ends)
        return low + (reach - low - high) * _ALONG

    def seam(self, panel: str, other: str) -> Array:
        """Largest stress of a panel's section at the joint with another, along the seam, MPa: (loads,)."""
        section = self.sheets[panel].section(other, self.places(panel, other))
        return np.asarray(JOINT * section.across.max(axis=1))


def box(
    length: float,
    width: float,
    height: float,
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    pressure: BoxPressure,
    base: str | OnPlates,
    rim: RimSpec,
) -> BoxResult:
    """Walls and floor of a rectangular tank, together.

    Args:
        length, width, height: inside, mm (x, y, z).
        thicknesses: mm, one for all, or per panel (left, right, front, back, bottom; lid when it is bonded on).
        modulus: MPa. poisson: between -1 and 0.5.
        pressure: on the inner faces, MPa, outward: a `Liquid`; or p(x, y, z) in inside coordinates, called with
            arrays; or a mapping from panel to p(u, v), to a pair (uniform, extra at the bottom that falls to zero at
            the top), or to one number. u runs to the right as seen from outside and v up, from the lower-left inside
            corner (bottom and lid: +x and +y from left-front).
        base: "flat" (rests all over on a flat base: the floor stays flat), "edges" (the floor spans between the walls,
            which stand on their feet), "hung" (the walls hang by their upper edges), or `OnPlates`.
        rim: "free", a `Strip`, a `Brace`, or a sequence of them.

    Raises:
        ValueError: a size, panel, base or rim that makes no sense.

    Valid: solid, square corners as strong as the sheet; linear. Own weight of the panels is left out.

    >>> from assemblies.strength import Liquid
    >>> water = Liquid(density_kg_m3=1000, depth_mm=400, gravity_m_s2=9.81)
    >>> got = box(600, 300, 400, 10, 3200, 0.37, water, "flat", "free")
    >>> round(-float(got.moved("front", 300, 400, 1)[0]), 2), round(float(got.seam("front", "bottom")[0]), 2)
    (1.86, 2.74)
    """
    spec = tank_spec((length, width, height), thicknesses, modulus, poisson, base, rim)
    return Box(spec=spec).solve([load_of(pressure, *spec.inner)])[0]
