"""The shop floor of the design: which sheet, which cut first, which fence setting.

*Blank*: material between two cuts. *Kerf*: what the blade turns to chips. *Offcut*: what is left and can be used again.
*Guillotine*: every cut goes straight through from edge to edge, as a table saw cuts.
"""

from typing import TYPE_CHECKING

from parts.late import late

if TYPE_CHECKING:
    from assemblies.shop.bond.solvent import Capillary, capillary
    from assemblies.shop.layout.door import lay_out
    from assemblies.shop.layout.job import LayoutError, StockShort

__all__ = ["Capillary", "LayoutError", "StockShort", "capillary", "lay_out"]

if not TYPE_CHECKING:
    __getattr__ = late(
        __name__, __all__, ("assemblies.shop.layout.door", "assemblies.shop.layout.job", "assemblies.shop.bond.solvent")
    )
