"""How few sheets a nest can take at the least: whether the one found is proven best."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from assemblies.shop.nest.model import NestSpec, NestStock
from parts.shape.piece import Piece

__all__ = ["least_sheets"]


def least_sheets(pieces: Sequence[Piece], stock: Iterable[NestStock], spec: NestSpec) -> int:
    """No nest of these pieces on these sheets takes fewer, however they are turned and whatever lies inside what.

    By area, with what each keeps free round it, and by pieces of which no two fit on one sheet. Source: computed; areas that do
    not overlap are at most the sheet's.

    >>> from parts.make.panel import panel
    >>> from parts.stock.sheet import Sheet
    >>> one = panel("a", 300.0, 200.0, Sheet(material="cast-pmma", nominal_mm=6))
    >>> laser = NestSpec(process="laser", kerf_mm=0.2, spacing_mm=2.0, margin_mm=5.0)
    >>> [least_sheets([one] * n, [NestStock(name="s", width_mm=600.0, height_mm=400.0)], laser) for n in (1, 3, 4)]
    [1, 1, 2]
    """
    more = spec.spacing_mm - 2.0 * spec.margin_mm  # half of the material between two cuts may lie over the margin
    room = max((s.width_mm + more) * (s.height_mm + more) for s in stock)
    areas = [_least_area(piece, spec.grow_mm) for piece in pieces]
    return max(math.ceil(math.fsum(areas) / room - 1e-9), sum(area > room / 2.0 for area in areas), min(len(areas), 1))


def _least_area(piece: Piece, grow_mm: float) -> float:
    """What no other piece can take, mm2: of a rectangle with what it keeps free, corners rounded; else its net area."""
    width, height = piece.outline.size_mm
    net: float = piece.outline.area_mm2
    if abs(net - width * height) > 1e-6 * net:
        return net
    return net + 2.0 * (width + height) * grow_mm + math.pi * grow_mm**2
