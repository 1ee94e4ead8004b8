"""Will it hold: plates and boxes in bending, and what stands on them."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assemblies.strength.boxes.box import BoxResult, SeamResult, box, box_cases
    from assemblies.strength.boxes.setting import Brace, Liquid, OnPlates, Strip
    from assemblies.strength.plates.given import Bed, Edge, Prop, Rib
    from assemblies.strength.plates.plate import plate
    from assemblies.strength.plates.surface import EdgeMoments, Field, Peak, PlateResult

__all__ = [
    "Bed",
    "BoxResult",
    "Brace",
    "Edge",
    "EdgeMoments",
    "Field",
    "Liquid",
    "OnPlates",
    "Peak",
    "PlateResult",
    "Prop",
    "Rib",
    "SeamResult",
    "Strip",
    "box",
    "box_cases",
    "plate",
]

#: Where they stand.
_ROOMS = (
    "strength.plates.plate",
    "strength.plates.given",
    "strength.plates.surface",
    "strength.boxes.setting",
    "strength.boxes.box",
)

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """A door is opened when it is first asked for, so that the light modules of this room need no numpy."""
        for room in _ROOMS if name in __all__ else ():
            module = import_module(f"assemblies.{room}")
            if name in module.__all__:
                return globals().setdefault(name, getattr(module, name))
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
