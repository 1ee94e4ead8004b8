"""The packet's pictures as SVG by the keys of `Picture` blocks, drawn or read from the files that are written by now."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assemblies.examine import Examined

__all__ = ["part_pictures", "sheet_pictures"]


def sheet_pictures(folder: Path) -> dict[str, str]:
    """Every sheet of the cutting plan: `sheet-<n>` as sawn, `nest-<n>` as nested."""
    return {path.stem: path.read_text(encoding="utf-8") for path in sorted(folder.glob("cutting/*.svg"))}


def part_pictures(found: Examined) -> dict[str, str]:
    """The views of each part's drawing: `part-<part>`; of a part without views there is none."""
    from assemblies.packet.drawings.drawing import part_sheets
    from assemblies.packet.drawings.drawing_words import settings_for
    from assemblies.packet.drawings.drawings_out import part_facts
    from assemblies.packet.ink.drawing_svg import views_svg

    order, design = found.order, found.design
    settings = settings_for(order.units, order.shop.paper)
    out = {}
    for piece in design.pieces:
        first = part_sheets(piece, part_facts(piece, design, order), settings)[0]
        out[f"part-{piece.name}"] = views_svg(first, f"Drawing of {piece.name}")
    return {key: text for key, text in out.items() if text}
