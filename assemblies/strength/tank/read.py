"""What a solved tank shows under every load at once: each panel's stress and bow, each seam's section, the whole's sag and
lean.

What is in doubt makes a figure larger, and the share is kept beside it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from assemblies.strength.boxes.box import BoxResult
from assemblies.strength.boxes.knots import resolved
from assemblies.strength.boxes.setting import FACES, PLANES, Load, outward
from assemblies.strength.boxes.surface import JOINT, Forces, Sheet, principal
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.limits import SETTLED, UNRESOLVED

__all__ = ["CLOSE", "NEAR_PLATE", "JointRead", "PanelRead", "Read", "WholeRead"]

_PLACES, _LONGEST = 49, 4  # along a panel's shorter side; so many times as many along a long one at most
_CORNER = 0.02  # of the shorter side: nearer to the corner of a free rim the theory is singular
#: Within so many thicknesses of a plate's edge a seam's section is not settled, in solid models either; it is taken larger
#: by the share by which it was low there at most (computed: the prototype's range beside plates was -19 to +24 %).
CLOSE: Final = 3.0
NEAR_PLATE: Final = 0.25
#: A bow inward is what is left of a floor's sag and a liquid's push: this share of the sag may be missing (computed).
INWARD: Final = 0.06
_SMALL, _NOTHING_MPA = (
    0.25,
    0.05,
)  # of the tank's largest, and MPa: smaller stresses are not checked in shares of themselves
_SAG_MORE = 0.06  # of a floor on plates whose edges are not resolved (computed: with knots beside them and without)
_SHEAR = 5.0 / 6.0  # of a rectangular section (Timoshenko; from memory)


@dataclass(frozen=True, kw_only=True, eq=False)
class PanelRead:
    """Per load: the largest stress (MPa) with its place, the largest bow (mm) with its place, and by what share the stress
    still changes with the order of the solution."""

    stress: Array
    stress_at: tuple[Array, Array]
    bow: Array
    bow_at: tuple[Array, Array]
    error: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class JointRead:
    """A joint, per load where it is used most: peel (bending), pull and shear, MPa; all of them together; where along it, mm.

    Attributes:
        name: of the seam. butts: what meets the other with its edge.
        doubt: the share by which all have been taken larger.
    """

    name: str
    butts: str
    bending: Array
    tension: Array
    shear: Array
    combined: Array
    at: Array
    doubt: Array | float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class WholeRead:
    """Per load: how far the floor sinks at most the way it is pulled, how far its edges do (mm), how far the tank leans
    (degrees)."""

    sag: Array
    drop: Array
    lean: Array


def _peak(values: Array, a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Per load the largest of (loads, a, b), and where."""
    best = np.argmax(values.reshape(len(values), -1), axis=1)
    i, j = np.unravel_index(best, values.shape[1:])
    return values[np.arange(len(values)), i, j], a[i], b[j]


class Read:
    """A solved tank, and the same by a lower order where there is one."""

    def __init__(self, fine: BoxResult, coarse: BoxResult | None, loads: Sequence[Load]) -> None:
        self.fine, self.coarse, self.spec, self.loads = fine, coarse, fine.spec, loads

    @cached_property
    def _rough(self) -> bool:
        """Whether plates are so many, and so unlike each other, that what bends at their edges is not resolved."""
        return not resolved(self.spec)

    def _places(self, sheet: Sheet) -> tuple[Array, Array]:
        sides = sheet.sizes
        return tuple(  # type: ignore[return-value]  # two
            np.linspace(0.0, side, (_PLACES - 1) * min(max(math.ceil(side / (2.2 * other)), 1), _LONGEST) + 1)
            for side, other in zip(sides, sides[::-1], strict=True)
        )

    def _blind(self, sheet: Sheet, a: Array, b: Array) -> Array:
        """Where no stress is read: at the corners of a free rim, and within a thickness of a plate's edge."""
        blind = np.zeros((len(a), len(b)), dtype=bool)
        if sheet.axes[1] == 2 and "lid" not in self.spec.thick:
            reach = _CORNER * min(sheet.sizes)
            for end, top in zip((0.0, sheet.sizes[0]), self._held_to(sheet), strict=True):
                blind |= np.hypot(a[:, None] - end, b[None, :] - top) < reach
        for pad in self.spec.pads:
            if pad.panel == sheet.name:
                out = [np.maximum(low - at, at - high) for at, low, high in zip((a, b), pad.low, pad.high, strict=True)]
                off = np.maximum(out[0][:, None], out[1][None, :])
                blind |= np.abs(off) < sheet.thickness
        return blind

    def _held_to(self, wall: Sheet) -> tuple[float, float]:
        """How high a wall's two upright edges are held by its neighbours, mm: one may be lower."""
        beside = [next(n for n, at in FACES.items() if at == (wall.axes[0], end)) for end in (0, 1)]
        low, high = (min(wall.sizes[1], self.spec.reach(name, 2)) for name in beside)
        return low, high

    @cached_property
    def _stresses(self) -> dict[str, tuple[Array, Array, Array]]:
        found = {}
        for name, sheet in self.fine.sheets.items():
            a, b = self._places(sheet)
            values = np.where(self._blind(sheet, a, b), 0.0, sheet.forces(a, b).largest)
            found[name] = _peak(values, a, b)
        return found

    @cached_property
    def _small(self) -> Array:
        """Per load, below what a stress is not checked in shares of itself."""
        return np.asarray(np.maximum(_SMALL * np.max([s for s, _, _ in self._stresses.values()], axis=0), _NOTHING_MPA))

    def panel(self, name: str) -> PanelRead:
        """A panel's largest stress and bow."""
        sheet = self.fine.sheets[name]
        stress, at_a, at_b = self._stresses[name]
        error = np.zeros(len(stress))
        if self.coarse is not None:
            each = np.arange(len(stress))
            there = self.coarse.sheets[name].forces(at_a, at_b).largest[each, each, each]
            error = self._error(stress, there)
        if self._rough and any(pad.panel == name for pad in self.spec.pads):
            error = np.maximum(error, UNRESOLVED)
        bow, bow_a, bow_b = self._bow(sheet)
        return PanelRead(stress=stress, stress_at=(at_a, at_b), bow=bow, bow_at=(bow_a, bow_b), error=error)

    def _error(self, stress: Array, there: Array) -> Array:
        """By what share stresses change from one order to the other, of those that are not small in their tank."""
        return np.asarray(np.abs(stress - there) / np.maximum(stress, self._small))

    def _bow(self, sheet: Sheet) -> tuple[Array, Array, Array]:
        """How far a panel departs from its own held edges, with what it yields in shear, and with what may be missing of a bow
        inward. How the edges move with the whole tank is its sag, not a panel's bow."""
        a, b = self._places(sheet)
        out = sheet.outward(a, b)
        s, t = np.linspace(0.0, 1.0, len(a))[:, None], np.linspace(0.0, 1.0, len(b))
        one, other = out[:, :1], out[:, -1:]
        if (
            sheet.axes[1] == 2 and self.spec.tops
        ):  # an edge is free over a lower neighbour: it counts from where it is held
            first, last = self._held_to(sheet)
            one, other = sheet.outward(a[:1], np.minimum(b, first)), sheet.outward(a[-1:], np.minimum(b, last))
        across = one * (1.0 - s) + other * s
        edges = across
        if sheet.axes[1] != 2 or "lid" in self.spec.thick:  # four edges (Coons' surface)
            rest = out - across
            edges = across + rest[:, :, :1] * (1.0 - t) + rest[:, :, -1:] * t
        bow = out - edges
        missing = np.where(bow < 0.0, INWARD * self.whole.sag[:, None, None], 0.0) if sheet.axes[1] == 2 else 0.0
        most, at_a, at_b = _peak(np.abs(bow) + missing, a, b)
        return most + self._shear(sheet), at_a, at_b

    def _shear(self, sheet: Sheet) -> Array:
        """The most that a panel's bow grows because it yields in shear, mm: a strip between its sides (p s^2 / 8), or one that
        stands out from the floor (p h^2 / 2), by the section's G t 5/6 (Timoshenko's beam; from memory)."""
        spec, (long, up) = self.spec, sheet.sizes
        reach = min(long, up) ** 2 / 8.0
        if sheet.axes[1] == 2 and "lid" not in spec.thick:
            reach = min(long**2 / 8.0, up**2 / 2.0)
        stiff = _SHEAR * spec.modulus / (2.0 * (1.0 + spec.poisson)) * sheet.thickness
        return np.asarray(self._pressed[sheet.name] * reach / stiff)

    @cached_property
    def _pressed(self) -> dict[str, Array]:
        """Per panel the largest pressure of each load, in size, MPa."""
        found = {}
        for name, sheet in self.fine.sheets.items():
            n, i, j = PLANES[name]
            a, b = np.meshgrid(*(np.linspace(0.0, side, 9) for side in sheet.sizes), indexing="ij")
            at = {i: a, j: b, n: np.full(a.shape, self.spec.inner[n] if outward(name) > 0.0 else 0.0)}
            found[name] = np.array([np.abs(load.push(name, at[0], at[1], at[2])).max() for load in self.loads])
        return found

    @cached_property
    def _downward(self) -> Array:
        """Per load the direction in which it is pulled; straight down where nothing but friction holds it sideways."""
        pull = np.array([load.pull_mm_s2 for load in self.loads])
        size = np.linalg.norm(pull, axis=1, keepdims=True)
        return np.where((size > 0.0) & bool(self.spec.pads), pull / np.maximum(size, 1e-12), [0.0, 0.0, -1.0])

    @cached_property
    def whole(self) -> WholeRead:
        """The tank as one beam on its supports."""
        floor = self.fine.sheets["bottom"]
        a, b = self._places(floor)
        down = sum(way[:, None, None] * floor.moved(a, b, k) for k, way in enumerate(self._downward.T))
        edges = np.concatenate(
            [down[:, [0, -1], :].reshape(len(down), -1), down[:, :, [0, -1]].reshape(len(down), -1)], axis=1
        )
        corner = down[:, [0, 0, -1, -1], [0, -1, 0, -1]]
        length, width, _ = self.spec.inner
        slope_x = (corner[:, 2] + corner[:, 3] - corner[:, 0] - corner[:, 1]) / 2.0 / length
        slope_y = (corner[:, 1] + corner[:, 3] - corner[:, 0] - corner[:, 2]) / 2.0 / width
        more = 1.0 + _SAG_MORE * self._rough
        return WholeRead(
            sag=more * np.maximum(down.max(axis=(1, 2)), 0.0),
            drop=more * np.maximum(edges.max(axis=1), 0.0),
            lean=np.degrees(np.arctan(np.hypot(slope_x, slope_y))),
        )

    def seam(self, name: str, butting: str, other: str) -> JointRead:
        """The joint of a panel that meets another with its cut edge."""
        places = self.fine.places(butting, other)
        peel, pull, shear, combined = self._section(self.fine, butting, other, places)
        doubt = np.broadcast_to(1.0 + NEAR_PLATE * self._close(butting, other, places), combined.shape)
        best = np.argmax(combined * doubt, axis=1)
        loads = np.arange(len(best))
        share = doubt[loads, best]
        if self.coarse is not None:
            there = self._section(self.coarse, butting, other, places)[3]
            error = self._error(combined[loads, best], there[loads, best])
            share = share * np.where(error > SETTLED, 1.0 + error, 1.0)
        if self._rough and any(pad.panel in (butting, other) for pad in self.spec.pads):
            share = share * (1.0 + UNRESOLVED)
        got = [values[loads, best] * share for values in (peel, pull, shear, combined)]
        return JointRead(
            name=name,
            butts=butting,
            bending=got[0],
            tension=got[1],
            shear=got[2],
            combined=got[3],
            at=places[best],
            doubt=share - 1.0,
        )

    def _section(self, result: BoxResult, butting: str, other: str, places: Array) -> tuple[Array, Array, Array, Array]:
        """What is judged along a seam, (loads, places): peel, pull, shear and the largest principal stress. Where one of two
        walls is lower the worse of both: near its upper edge their sections differ."""
        one = self._through(result, butting, other, places)
        if not {butting, other} & set(self.spec.tops) or "bottom" in (butting, other):
            return one
        two = self._through(result, other, butting, places)
        peel, pull, shear, combined = (np.where(two[3] > one[3], b, a) for a, b in zip(one, two, strict=True))
        return peel, pull, shear, combined

    def _through(self, result: BoxResult, butting: str, other: str, places: Array) -> tuple[Array, Array, Array, Array]:
        """Peel, pull, shear and the largest principal stress along a seam, (loads, places). At the faces of the butting sheet
        bending, pull and what shears along the seam; in its middle pull, and 1.5 times the mean of what shears across."""
        section = result.sheets[butting].section(other, places)
        across = result.sheets[other].section(butting, places).n[0]
        t, bent = section.thickness, section
        if self.spec.base == "flat" and butting == "bottom":  # it lies still: what the wall brings is its own
            wall = result.sheets[other].section(butting, places)
            bent = Forces(n=section.n, m=wall.m, thickness=t)
        pull = np.maximum(section.n[0], 0.0) / t
        peel, twist = 6.0 * np.abs(bent.m[0]) / t**2, 6.0 * np.abs(bent.m[2]) / t**2
        along, over = np.abs(section.n[2]) / t, 1.5 * np.abs(across) / t
        outer = principal(peel + section.n[0] / t, 0.0, along + twist)
        middle = principal(section.n[0] / t, 0.0, np.hypot(along, over))
        shear = np.where(outer >= middle, along + twist, np.hypot(along, over))
        return JOINT * peel, JOINT * pull, JOINT * shear, JOINT * np.maximum(outer, middle)

    def _close(self, butting: str, other: str, places: Array) -> Array:
        """Where along a seam the edge of a plate is so close that its section is not settled."""
        found = np.zeros(len(places), dtype=bool)
        for panel, across in ((butting, other), (other, butting)):
            reach = CLOSE * self.spec.thick[panel]
            axes, (axis, end) = PLANES[panel][1:], FACES[across]
            for pad in self.spec.pads:
                if pad.panel == panel:
                    k = axes.index(axis)
                    gap = self.spec.inner[axis] - pad.high[k] if end else pad.low[k]
                    beside = (places > pad.low[1 - k] - reach) & (places < pad.high[1 - k] + reach)
                    found |= beside & (gap < reach)
        return found
