"""Discs and rings: round flat pieces, for routers and lasers."""

from __future__ import annotations

from collections.abc import Sequence

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Outline
from parts.shape.piece import Hole, Piece, Role
from parts.stock.sheet import Sheet

__all__ = ["disc", "ring"]


def disc(
    name: str,
    diameter_mm: float,
    sheet: Sheet,
    *,
    holes: Sequence[Hole] = (),
    cut_group: str = "",
    kind: str = "disc",
    inner: Sequence[Circle] = (),
    role: Role = "shell",
) -> Piece:
    """A disc whose box has its lower-left corner at (0, 0).

    >>> from parts.stock.sheet import Sheet
    >>> disc("lid", 100, Sheet(material="cast-pmma", nominal_mm=5.0)).size_mm
    (100.0, 100.0, 5.0)
    """
    r = diameter_mm / 2.0
    return Piece(
        name=name,
        kind=kind,
        outline=Outline(Circle(r, r, r), tuple(inner)),
        holes=tuple(holes),
        sheet=sheet,
        cut_group=cut_group,
        role=role,
    )


def ring(
    name: str,
    outside_mm: float,
    inside_mm: float,
    sheet: Sheet,
    *,
    holes: Sequence[Hole] = (),
    cut_group: str = "",
    role: Role = "shell",
) -> Piece:
    """A flat ring of two concentric circles (diameters).

    Raises:
        SeamwrightError: the inside is no smaller than the outside.
    """
    if not 0.0 < inside_mm < outside_mm:
        raise SeamwrightError(f"{name}: inside {inside_mm:g} mm must be over 0 and under {outside_mm:g} mm")
    r = outside_mm / 2.0
    return disc(
        name,
        outside_mm,
        sheet,
        holes=holes,
        cut_group=cut_group,
        kind="ring",
        inner=(Circle(r, r, inside_mm / 2.0),),
        role=role,
    )
