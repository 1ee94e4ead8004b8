"""The assembly drawing: exploded isometric view, item numbers in circles, parts list above the title block.

Source: ISO 7573:2008 (parts list: item, quantity, designation, material; running up from the title block), ISO 6433 (item
references), both from memory. What is bought is listed after the parts, without a number in the picture.
"""

from __future__ import annotations

from collections.abc import Sequence

from assemblies.design.model import Design
from assemblies.design.shown import as_shown, is_bought
from assemblies.fit.apart.explode import Exploded
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawing_words import DrawingSettings, material_of
from assemblies.packet.drawings.title_block import (
    HEIGHT,
    PAPER_NAMES,
    PAPERS,
    WIDTH,
    TitleFacts,
    border,
    frame_of,
    table,
    title_block,
    wrapped,
)
from assemblies.packet.ink.primitives import Text
from assemblies.packet.ink.sheet_items import Item, Sheet
from assemblies.packet.pictures.line_drawing import Spread, exploded_picture, parts_list

__all__ = ["assembly_sheets", "list_rows"]

_ROW, _TEXT = 5.0, 2.2
_MOST_HERE = 16  # rows of the parts list on the sheet of the picture; judgement
_HEAD = ("item", "count", "part", "material", "size or thread")
_WIDTHS = (12.0, 14.0, 50.0, 48.0, 56.0)
_RIGHT = (True, True, False, False, False)
_NOTE, _NOTE_ROW, _PAD = 2.0, 3.4, 4.0


def assembly_sheets(
    design: Design, exploded: Exploded, seen: Spread, tolerance: str, settings: DrawingSettings | None = None
) -> tuple[Sheet, ...]:
    """The sheets of a design, the picture on the first; a long parts list follows on sheets of its own.

    Args:
        exploded, seen: how it comes apart, and how that looks.
        tolerance: the general tolerance, in words.
    """
    settings = settings or DrawingSettings()
    size = PAPERS[settings.paper]
    frame = frame_of(*size)
    left, floor = frame[2] - WIDTH, frame[1] + HEIGHT
    rows = list_rows(design, settings)
    here = rows if len(rows) <= _MOST_HERE else ()
    first: list[Item] = []
    if here:
        floor += _ROW * (len(here) + 1)
        first += table([_HEAD, *here], _WIDTHS, left, floor, _ROW, _TEXT, right=_RIGHT, head_below=True)
    notes = _notes(design, exploded, here == (), frame[2] - frame[0] - 2.0 * _PAD)
    for k, line in enumerate(notes):
        height = floor + _NOTE_ROW * (len(notes) - k) - 1.2
        first.append(Text(x=frame[0] + _PAD, y=height, text=line, height=_NOTE))
    floor += _NOTE_ROW * len(notes) + 4.0
    first += exploded_picture(seen, (frame[0] + _PAD, floor, frame[2] - _PAD, frame[3] - 6.0))
    pages: list[list[Item]] = [first]
    if not here:
        most = int((frame[3] - _PAD - frame[1] - HEIGHT - _PAD) / _ROW) - 1
        for k in range(0, len(rows), most):
            some = [_HEAD, *rows[k : k + most]]
            pages.append([*table(some, _WIDTHS, left, frame[3] - _PAD, _ROW, _TEXT, right=_RIGHT)])
    return tuple(
        Sheet(
            width_mm=size[0],
            height_mm=size[1],
            scale=1.0,
            items=(
                *border(*size),
                *title_block(_facts(design, tolerance, settings, k, len(pages)), frame[2], frame[1]),
                *page,
            ),
        )
        for k, page in enumerate(pages, 1)
    )


def list_rows(design: Design, settings: DrawingSettings) -> tuple[tuple[str, str, str, str, str], ...]:
    """The parts list without its head, as texts: the parts as numbered in the picture, then what is bought."""
    pieces = {piece.name: piece for piece in as_shown(design).pieces}
    rows = []
    for row in parts_list(design, settings.units):
        piece = pieces[row.part]
        sides = " × ".join(figure(side, settings.units) for side in piece.size_mm)
        material = is_bought(piece) or material_of(piece)
        rows.append((row.item, str(row.count), row.part, material, f"{sides} {settings.units}"))
    bought: dict[tuple[str, str], int] = {}
    for fastener in design.fasteners:
        key = fastener.name, fastener.thread
        bought[key] = bought.get(key, 0) + fastener.count
    for number, ((name, thread), count) in enumerate(bought.items(), len(rows) + 1):
        rows.append((str(number), str(count), name, "bought", thread))
    return tuple(rows)


def _notes(design: Design, exploded: Exploded, apart: bool, room: float) -> Sequence[str]:
    names = [_with_carried(step.name, exploded) for step in exploded.steps if step.carrier is None]
    order = ", ".join(names) if len(names) <= 24 else "see the order of assembly in the packet"
    notes = [
        f"1. Put together in this order: {order}.",
        "2. Counts are for one assembly; the mass is that of the sheet parts.",
    ]
    if apart:
        notes.append("3. Parts list on the next sheet.")
    return [line for note in notes for line in wrapped(note, room, _NOTE)]


def _with_carried(name: str, exploded: Exploded) -> str:
    """A piece, and what is bonded to it first it goes in."""
    carried = [step.name for step in exploded.steps if step.carrier == name]
    return f"{name} (with {', '.join(carried)})" if carried else name


def _facts(design: Design, tolerance: str, settings: DrawingSettings, number: int, count: int) -> TitleFacts:
    mass_kg = sum(placed.piece.mass_kg for placed in design.placed)
    return TitleFacts(
        title=design.title,
        part="assembly",
        identification=f"{design.name}/assembly",
        document="assembly drawing",
        revision=design.revision,
        scale="none",
        sheet=f"{number} of {count}",
        paper=PAPER_NAMES[settings.paper],
        material="see the parts list",
        thickness="see the parts list",
        quantity=str(design.quantity),
        mass=f"{mass_kg:.3f} kg",
        tolerance=tolerance,
        projection=settings.projection,
        units=settings.units,
    )
