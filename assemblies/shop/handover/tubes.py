"""Tube that is bought by length: what is sawn from it, how much is bought, at which price a metre."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design
from assemblies.order import ShopFile
from assemblies.order.shop_file import TubeSpec
from parts.stock.tube import TubeCut, TubeStock

__all__ = ["TubeLength", "TubeTaken", "tube_lengths", "tubes_taken"]

_KERF_MM: Final = 3.0  # of a mitre saw, and squared on the lathe; common practice, no source
_SAME_MM: Final = 0.05  # a tube is priced by its name, which is never nearer


@dataclass(frozen=True, kw_only=True)
class TubeLength:
    """A length of tube: which, how many, sawn to, plus or minus, what to buy for all of them; mm."""

    name: str
    material: str
    outside: float
    wall: float
    length: float
    within: float
    count: int
    buy: float


@dataclass(frozen=True, kw_only=True)
class TubeTaken:
    """Tube of one sort for the whole job: metres to buy, price of a metre where the shop says one, its section, how many are
    sawn."""

    what: str
    metres: float
    price: float | None
    section_cm2: float
    count: int


def tube_lengths(design: Design) -> tuple[TubeLength, ...]:
    """Every part that is sawn from tube; what is rolled from sheet is none."""
    rows = []
    for piece in design.pieces:
        if isinstance(piece.sheet, TubeCut) and piece.as_cut is None:
            count = design.quantity * sum(p.piece == piece for p in design.placed)
            tube = piece.sheet.tube
            rows.append(
                TubeLength(
                    name=piece.name,
                    material=tube.material,
                    outside=tube.outside_mm,
                    wall=tube.wall_mm,
                    length=piece.thickness_mm,
                    within=piece.sheet.tolerance_mm,
                    count=count,
                    buy=count * (piece.thickness_mm + 2.0 * _KERF_MM),
                )
            )
    return tuple(rows)


def tubes_taken(design: Design, shop: ShopFile, named: TubeStock | None = None) -> tuple[TubeTaken, ...]:
    """The tube of a job; of what is sold in whole lengths as many as its pieces need.

    Args:
        named: the tube as it is sold, where its pieces are as they were read.
    """
    return tuple(_taken(one, shop, named) for one in tube_lengths(design))


def _taken(one: TubeLength, shop: ShopFile, named: TubeStock | None) -> TubeTaken:
    outside, wall = (named.outside_mm, named.wall_mm) if named else (one.outside, one.wall)
    sold = next((s for s in shop.tube if _is(s, one.material, outside, wall)), None)
    metres, each = one.buy / 1e3, one.buy / one.count
    if sold is not None and sold.length is not None and sold.length >= each:
        metres = math.ceil(one.count / math.floor(sold.length / each + 1e-9)) * sold.length / 1e3
    return TubeTaken(
        what=f"{one.material} {outside:g} x {wall:g} mm",
        metres=metres,
        price=sold.price if sold else None,
        section_cm2=math.pi * (outside - wall) * wall / 100.0,
        count=one.count,
    )


def _is(sold: TubeSpec, material: str, outside: float, wall: float) -> bool:
    return sold.material == material and abs(sold.outside - outside) < _SAME_MM and abs(sold.wall - wall) < _SAME_MM
