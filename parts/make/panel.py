"""Panels and bases: flat rectangles of sheet with holes and cut-outs."""

from __future__ import annotations

from collections.abc import Sequence

from parts.shape.outline import Circle, Loop, Outline, rounded_rectangle
from parts.shape.piece import Hole, Piece, Role
from parts.stock.sheet import Sheet

__all__ = ["base", "panel"]


def panel(
    name: str,
    width_mm: float,
    height_mm: float,
    sheet: Sheet,
    *,
    holes: Sequence[Hole] = (),
    cut_outs: Sequence[Loop | Circle] = (),
    corner_radius_mm: float = 0.0,
    cut_group: str = "",
    kind: str = "panel",
    process: str | None = None,
    role: Role = "shell",
) -> Piece:
    """A rectangular panel, lower-left corner at (0, 0), finished size, before kerf.

    Raises:
        SeamwrightError: a side or radius that is no size, a hole through an edge.
    """
    outer = rounded_rectangle(width_mm, height_mm, corner_radius_mm)
    return Piece(
        name=name,
        kind=kind,
        outline=Outline(outer, tuple(cut_outs)),
        holes=tuple(holes),
        sheet=sheet,
        cut_group=cut_group,
        process=process,
        role=role,
    )


def base(
    name: str,
    width_mm: float,
    height_mm: float,
    sheet: Sheet,
    *,
    oversize_mm: float = 0.0,
    holes: Sequence[Hole] = (),
    cut_group: str = "",
) -> Piece:
    """A base that may stand out by `oversize_mm` on every side, to be trimmed flush after bonding.

    Hole places count from the corner of the piece as cut, oversize included.

    >>> from parts.stock.sheet import Sheet
    >>> base("base", 200, 100, Sheet(material="cast-pmma", nominal_mm=6.0), oversize_mm=2).size_mm
    (204.0, 104.0, 6.0)
    """
    grown = 2.0 * oversize_mm
    return panel(name, width_mm + grown, height_mm + grown, sheet, holes=holes, cut_group=cut_group, kind="base")
