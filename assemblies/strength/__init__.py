"""Will it hold: plates and boxes in bending, and what stands on them."""

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
