"""Will it hold: plates and boxes in bending, and what stands on them."""

from assemblies.strength.plate import plate
from assemblies.strength.surface import PlateResult

__all__ = ["PlateResult", "plate"]
