"""A wall inside a tank, or its sloped floor, as a plate: held by its bonded edges, pressed from one side alone as if the other
were empty.

In each case the pressure is the largest that the liquid has at the same place of the wall itself and of the two walls that
look at it, so that a wave or a blow on either side is in it; for what liquid passes through, over or under, it lasts minutes,
for a dam as long as the case. A bonded edge is between supported and clamped: of both the larger is taken, of the span as of
the edges. What turns the clamped edge is given to the wall that it stands on, in full and wherever that is stressed most.

Valid: the plate's bow up to what linear theory bears (looked at with the panels); the walls are proven as if nothing stood
between them, which a beam on one support more, wherever that stands, does not exceed in any moment (judgement: ties are not
counted). Source: `strength.plates`; Peterson's factor 3 at round holes as for panels. Held to solids
(`tests/assemblies/strength/inner`): stress of walls and their seams 4 % low to 15 % high, of sloped floors up to 45 % high; the
bow, as if edges were but supported, 2.5 to 6 times what it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from assemblies.design.inside import inside_pieces
from assemblies.design.model import Design, Placed
from assemblies.strength.bonds.allowed import Allowed, factor_of
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.plate import plate
from assemblies.strength.proof.uses import Loaded, SeamUse, Use
from parts.stock.material import Duration
from parts.vectors import Vector

__all__ = ["Inner", "inners_of", "passed", "unit_plate"]

_TOUCH_MM: Final = 0.5  # a saw's error
_PLACES: Final = (5, 25)  # along and up, at which the pressure is looked at
_PEAK: Final = 1.5  # of a mean shear over the thickness
_UNIT_E: Final = 1e6
_BOTH: Final = ("clamped", "supported")


@dataclass(frozen=True, kw_only=True)
class UnitPlate:
    """Of a plate 1 mm thick, of modulus 1e6 MPa, under 1 MPa at its foot: greatest moment in it, at its clamped edges, N, and
    greatest deflection, mm; by an even pressure and by one that falls to nothing at its top."""

    moment: tuple[float, float]
    edge: tuple[float, float]
    bow: tuple[float, float]


@lru_cache(maxsize=64)
def unit_plate(width: float, height: float, poisson: float, held: tuple[str, ...]) -> UnitPlate:
    """The larger of clamped and supported edges at the sides that are held (`left right bottom top`)."""
    found: list[list[float]] = [[], [], []]
    for pressure in ((1e-6, 0.0), (0.0, 1e-6)):
        ways = []
        for how in _BOTH:
            edges = {side: how if side in held else "free" for side in ("left", "right", "bottom", "top")}
            got = plate(width, height, 1.0, _UNIT_E, poisson, edges, pressure)
            sides = [abs(got.edges[s].extreme.value) for s, edge in edges.items() if edge == "clamped"]
            error = 1.0 + got.error_moment
            ways.append((abs(got.moment.value) * error, max(sides, default=0.0) * error, abs(got.deflection.value)))
        for k, values in enumerate(zip(*ways, strict=True)):
            found[k].append(1e6 * max(values))
    (m0, m1), (e0, e1), (w0, w1) = found
    return UnitPlate(moment=(m0, m1), edge=(e0, e1), bow=(w0, w1))


@dataclass(frozen=True, kw_only=True)
class Inner:
    """A wall inside: where it stands, between which walls, and whether liquid passes it.

    Attributes:
        placed: the wall.
        axis: along which it is pressed.
        ends: where the inner faces of the walls that look at it lie on that axis; none of a sloped floor.
        on: what its bonded edges stand on.
        held: which of its sides those are.
        dam: liquid passes over it alone, or not at all: a sloped floor.
    """

    placed: Placed
    axis: int
    ends: tuple[float, ...]
    on: tuple[str, ...]
    held: tuple[str, ...]
    dam: bool

    @property
    def size(self) -> tuple[float, float]:
        return self.placed.piece.outline.size_mm

    def pressures(self, case: Loaded, face: str) -> tuple[float, float]:
        """An even pressure and one that falls to nothing at its top which together are nowhere less than the case's, MPa."""
        width, height = self.size
        u, v = np.meshgrid(np.linspace(0.0, width, _PLACES[0]), np.linspace(0.0, height, _PLACES[1]))
        points = np.array([self.placed.world(a, b, 0.0) for a, b in zip(u.ravel(), v.ravel(), strict=True)])
        most = np.zeros(u.size)
        for at in (None, *self.ends):
            if at is not None:
                points[:, self.axis] = at
            most = np.maximum(most, np.abs(np.asarray(case.load.pressure(face, points)).reshape(-1)))
        rows: Array = most.reshape(u.shape).max(axis=1)
        grows = max(float(rows[0] - rows[-1]), 0.0)
        even = float((rows - grows * (1.0 - v[:, 0] / height)).max())
        sheet = self.placed.piece.sheet
        own = sheet.density_kg_m3 * sheet.thickness_mm * 1e-12 * math.hypot(*case.load.effective)
        return even + (own if "top" in self.held else 0.0), grows

    def duration(self, case: Loaded) -> Duration:
        """How long one side can stand full and the other empty."""
        return case.load.duration if self.dam else "minutes"


def inners_of(design: Design) -> tuple[Inner, ...]:
    """Every wall inside a tank of upright walls."""
    ends = design.cavities[0].upright_box
    if ends is None:
        return ()
    inside = (p for p in inside_pieces(design) if p.piece.role == "inner" and p.piece.kind != "ramp-rest")
    return tuple(_inner(p, ends) for p in inside)


def _inner(placed: Placed, ends: tuple[Vector, Vector]) -> Inner:
    if placed.piece.kind == "ramp":
        sides = ("left", "right", "front", "back")
        return Inner(placed=placed, axis=2, ends=(), on=sides, held=("left", "right", "bottom", "top"), dam=True)
    axis = max(range(3), key=lambda k: abs(placed.z[k]))
    on_floor = placed.box[0][2] - ends[0][2] < _TOUCH_MM
    walls = ("front", "back") if axis == 0 else ("left", "right")
    return Inner(
        placed=placed,
        axis=axis,
        ends=(ends[0][axis], ends[1][axis]),
        on=(*walls, *(("bottom",) if on_floor else ())),
        held=("left", "right", *(("bottom",) if on_floor else ())),
        dam=on_floor and not placed.piece.holes,
    )


@dataclass(frozen=True, kw_only=True)
class Passed:
    """What a wall inside comes to in a case: itself, its bonds, and the walls that it stands on."""

    uses: tuple[Use, ...]
    seams: tuple[SeamUse, ...]


def passed(
    one: Inner,
    case: Loaded,
    walls: Mapping[str, Use],
    thick: Mapping[str, float],
    allowed: Allowed,
    joint: Allowed,
    limits: tuple[float | None, float],
    soft: float,
) -> Passed:
    """Prove a wall inside in one case.

    Args:
        walls, thick: of the panels that it stands on, what they come to in the case, and their thickness, mm.
        allowed, joint: in the sheet and at a bond, for as long as one side can stand full.
        limits: of the deflection: a length, mm, or the share of the span.
        soft: by how much the sheet has crept.
    """
    piece, (width, height) = one.placed.piece, one.size
    t, sheet = piece.thickness_mm, piece.sheet.substance
    unit = unit_plate(width, height, sheet.poisson, one.held)
    load = one.pressures(case, "bottom")

    def summed(pair: tuple[float, float]) -> float:
        return load[0] * pair[0] + load[1] * pair[1]

    holed = factor_of("hole_stress") if piece.holes else 1.0
    span = min(width, height * {4: 1.0, 3: 2.0}.get(len(one.held), math.inf))
    edge = summed(unit.edge)
    use = Use(
        case=case.name,
        piece=one.placed.name,
        stress=holed * 6.0 * summed(unit.moment) / t**2,
        allowed=allowed,
        at_mm=(width / 2.0, height),
        deflection=summed(unit.bow) * _UNIT_E / sheet.modulus_mpa / t**3 * soft,
        allowed_deflection=limits[0] or limits[1] * span,
        deflection_at_mm=(width / 2.0, height),
        error=0.0,
    )
    bending, shear = 6.0 * edge / t**2, _PEAK * sum(load) * span / 2.0 / t
    combined = bending / 2.0 + math.hypot(bending / 2.0, shear)
    seams = tuple(
        SeamUse(
            case=case.name,
            seam=f"{one.placed.name}-{wall}",
            butts=one.placed.name,
            bending=bending,
            tension=0.0,
            shear=shear,
            combined=combined,
            allowed=joint,
            at_mm=0.0,
        )
        for wall in one.on
    )
    return Passed(uses=(use, *_beside(one, walls, thick, edge)), seams=seams)


def _beside(one: Inner, walls: Mapping[str, Use], thick: Mapping[str, float], edge: float) -> Iterator[Use]:
    """The walls that it stands on, with the moment of its edge besides."""
    for name in one.on:
        if name in walls:
            wall = walls[name]
            more = 6.0 * edge / thick[name] ** 2
            yield replace(wall, stress=wall.stress + more, what=f"at the {one.placed.name}", deflection=0.0)
