"""A trough as a short beam that stands out from its wall: its bond there, and what it does to the wall.

It is taken full to its sides in every case, for as long as that lasts, with the case's dynamic factor: more than it ever holds.
Valid: nobody lifts or leans by it. Source: a cantilever under an even load (Roark's Formulas for Stress and Strain, table 8.1;
from memory); the moment goes into the wall over the width of the trough (judgement), and may add `MOST_AT_WALL` of what is
allowed there, else it is not covered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design, Placed
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.loads.cases import SUDDEN
from assemblies.strength.bonds.allowed import Allowed, allowed_stress
from assemblies.strength.proof.uses import Loaded, SeamUse
from parts.findings import Finding
from parts.stock.tube import TubeCut

__all__ = ["MOST_AT_WALL", "Trough", "far_out", "no_handles", "trough_uses", "troughs_of"]

MOST_AT_WALL: Final = 0.05
_DENSEST_KG_M3: Final = 3000.0  # of the liquids that an order may name
_PEAK: Final = 1.5  # of a mean shear: parabolic over a section


@dataclass(frozen=True, kw_only=True)
class Trough:
    """A floor between two sides, mm: how far out, how wide inside, how high its sides stand over the floor, how thick;
    the piece that it is bonded to, and how thick that is."""

    name: str
    wall: str
    wall_mm: float
    out: float
    width: float
    height: float
    thickness: float
    density_kg_m3: float

    @property
    def load_n_mm(self) -> float:
        """Weight of the trough, full of the densest, N for each mm that it reaches out."""
        return self.full_of(_DENSEST_KG_M3)

    def full_of(self, liquid_kg_m3: float) -> float:
        """Weight of the trough full of a liquid, N for each mm that it reaches out."""
        sheet = self.thickness * (self.width + 2.0 * (self.height + self.thickness)) * self.density_kg_m3
        return (sheet + self.width * self.height * liquid_kg_m3) * 1e-9 * G_MM_S2 * 1e-3

    @property
    def section(self) -> tuple[float, float, float]:
        """Of what is bonded to the wall: area, mm2; moduli at its upper and lower edge, mm3."""
        t, deep = self.thickness, self.height + self.thickness
        parts = ((2.0 * t, deep, deep / 2.0), (self.width, t, t / 2.0))
        area = sum(b * h for b, h, _ in parts)
        middle = sum(b * h * z for b, h, z in parts) / area
        inertia = sum(b * h**3 / 12.0 + b * h * (z - middle) ** 2 for b, h, z in parts)
        return area, inertia / (deep - middle), inertia / middle


def troughs_of(design: Design) -> tuple[Trough, ...]:
    """Every trough of a design, by the names of its pieces."""
    placed = {p.name: p for p in design.placed}
    return tuple(
        _trough(design, placed, p) for p in design.placed if p.piece.kind == "trough" and p.name.endswith("-floor")
    )


def _trough(design: Design, placed: Mapping[str, Placed], floor: Placed) -> Trough:
    name = floor.name.removesuffix("-floor")
    (wide, out, t), (_, deep, _) = floor.piece.size_mm, placed[f"{name}-side-left"].piece.size_mm
    outward = tuple(-v for v in floor.y)
    saddled = {joint.b: joint.a for joint in design.joints if joint.kind == "saddle"}
    wall = saddled.get(floor.name) or next(
        p.name for p in design.placed if p.piece.role == "shell" and math.dist(p.z, outward) < 1e-9
    )
    sheet = placed[wall].piece.sheet
    return Trough(
        name=name,
        wall=wall,
        wall_mm=sheet.tube.wall_mm if isinstance(sheet, TubeCut) else sheet.thickness_mm,
        out=out,
        width=wide,
        height=deep - t,
        thickness=t,
        density_kg_m3=floor.piece.sheet.density_kg_m3,
    )


def trough_uses(troughs: tuple[Trough, ...], case: Loaded, allowed: Allowed) -> Iterator[SeamUse]:
    """The bond of each trough on its wall in a case."""
    for one in troughs:
        load = one.load_n_mm * case.load.dynamic_factor
        area, above, _ = one.section
        bending, shear = load * one.out**2 / 2.0 / above, _PEAK * load * one.out / area
        yield SeamUse(
            case=case.name,
            seam=f"{one.name}-{one.wall}",
            butts=one.name,
            bending=bending,
            tension=0.0,
            shear=shear,
            combined=bending / 2.0 + math.hypot(bending / 2.0, shear),
            allowed=allowed,
            at_mm=0.0,
        )


def far_out(design: Design, liquid_kg_m3: float = _DENSEST_KG_M3) -> Iterator[Finding]:
    """Of a trough that, full and suddenly loaded, bends its wall more than may be left out."""
    for one in troughs_of(design):
        wall = design.instance(one.wall).piece
        moment = SUDDEN * one.full_of(liquid_kg_m3) * one.out**2 / 2.0
        stress = 6.0 * moment / ((one.width + 2.0 * one.thickness) * one.wall_mm**2)
        most = MOST_AT_WALL * allowed_stress(wall.sheet.substance, "permanent").value
        if stress > most:
            yield Finding(
                level="care",
                check="strength",
                where=one.name,
                why=f"not covered: full, it bends the rim of the {one.wall} with {stress:.2f} MPa, over {most:.2f} MPa "
                f"({100.0 * MOST_AT_WALL:.0f} % of what is allowed permanently): what it does to the wall is not calculated",
                do="a trough that reaches out less, or a thicker wall",
                source="judgement: limit of this method",
            )


def no_handles(design: Design) -> Iterator[Finding]:
    """That a trough is not to be lifted by."""
    names = [one.name for one in troughs_of(design)]
    if names:
        yield Finding(
            level="note",
            check="strength",
            where=", ".join(names),
            why="a trough is no handle: its bond is proven for itself and what runs through it",
            do="lift by the walls",
            source="judgement",
            step="use",
        )
