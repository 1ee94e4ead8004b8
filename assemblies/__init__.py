"""Pieces together: designs, checks, exports and the command."""

import os
from typing import TYPE_CHECKING

from parts.late import late

if TYPE_CHECKING:
    from assemblies.assembler import Assembler
    from assemblies.kinds.common import GO_TOGETHER, SHOP

__all__ = ["GO_TOGETHER", "SHOP", "Assembler"]

# The plates are small: more threads than one only get in each other's way, and in other workers'. Set before numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if not TYPE_CHECKING:
    __getattr__ = late(__name__, __all__, ("assemblies.assembler", "assemblies.kinds.common"))
