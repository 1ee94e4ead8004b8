"""The packet's pictures as SVG by the keys of `Picture` blocks, drawn or read from the files that are written by now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from assemblies.liquid.sight.seen import Sight
from assemblies.liquid.sight.told import sight_panels
from assemblies.motion.plans.moves import Moves
from assemblies.motion.told.curves import move_panels
from assemblies.packet.ink.drawing_svg import views_svg
from assemblies.packet.ink.sheet_items import Sheet
from assemblies.packet.pictures.plots import plot_svg

__all__ = ["part_pictures", "plot_pictures", "sheet_pictures"]


def sheet_pictures(folder: Path) -> dict[str, str]:
    """Every sheet of the cutting plan: `sheet-<n>` as sawn, `nest-<n>` as nested."""
    return {path.stem: path.read_text(encoding="utf-8") for path in sorted(folder.glob("cutting/*.svg"))}


def part_pictures(parts: Mapping[str, Sequence[Sheet]]) -> dict[str, str]:
    """The views of each part's drawing: `part-<part>`; of a part without views there is none."""
    out = {f"part-{name}": views_svg(sheets[0], f"Drawing of {name}") for name, sheets in parts.items()}
    return {key: text for key, text in out.items() if text}


def plot_pictures(moves: Moves | None, sight: Sight | None) -> dict[str, str]:
    """The plots of planned moves, `move-<case>-<what>`, and of what is looked through, `sight-<face>`."""
    found = {**({} if moves is None else move_panels(moves)), **sight_panels(sight)}
    return {key: plot_svg(panels, words) for key, (panels, words) in found.items()}
