"""The shop floor of the design: which sheet, which cut first, which fence setting.

*Blank*: material between two cuts. *Kerf*: what the blade turns to chips. *Offcut*: what is left and can be used again.
*Guillotine*: every cut goes straight through from edge to edge, as a table saw cuts.
"""

from assemblies.shop.job import LayoutError, StockShort
from assemblies.shop.layout import lay_out
from assemblies.shop.solvent import Capillary, capillary

__all__ = ["Capillary", "LayoutError", "StockShort", "capillary", "lay_out"]
