"""One piece of material: its outline, holes, thickness and solid. Never imports `assemblies`."""

from importlib import import_module
from typing import TYPE_CHECKING

from parts.lengths import read_length, write_length

if TYPE_CHECKING:
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

#: Where they stand.
_ROOMS = ("make.disc", "make.panel", "make.polygon", "make.tapped_plate", "shape.piece", "stock.sheet")

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """A door is opened when it is first asked for, so that `import parts` stays light."""
        for room in _ROOMS if name in __all__ else ():
            module = import_module(f"parts.{room}")
            if name in module.__all__:
                return globals().setdefault(name, getattr(module, name))
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
