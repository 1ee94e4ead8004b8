"""One piece of material: its outline, holes, thickness and solid. Never imports `assemblies`."""

from typing import TYPE_CHECKING

from parts.late import late

if TYPE_CHECKING:
    from parts.lengths import read_length, write_length
    from parts.make.disc import disc, ring
    from parts.make.panel import base, panel
    from parts.make.polygon import polygon
    from parts.make.tapped_plate import tapped_plate
    from parts.shape.piece import Hole, Piece
    from parts.stock.sheet import Sheet

__all__ = [
    "Hole",
    "Piece",
    "Sheet",
    "base",
    "disc",
    "panel",
    "polygon",
    "read_length",
    "ring",
    "tapped_plate",
    "write_length",
]

if not TYPE_CHECKING:
    __getattr__ = late(
        __name__,
        __all__,
        (
            "parts.lengths",
            "parts.make.disc",
            "parts.make.panel",
            "parts.make.polygon",
            "parts.make.tapped_plate",
            "parts.shape.piece",
            "parts.stock.sheet",
        ),
    )
