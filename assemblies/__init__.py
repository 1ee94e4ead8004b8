"""Pieces together: designs, checks, exports and the command."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assemblies.assembler import Assembler
    from assemblies.kinds.common import GO_TOGETHER, SHOP

__all__ = ["GO_TOGETHER", "SHOP", "Assembler"]

#: Where they stand.
_ROOMS = {"Assembler": "assembler", "GO_TOGETHER": "kinds.common", "SHOP": "kinds.common"}

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """A door is opened when it is first asked for, so that the command stays light."""
        if name not in _ROOMS:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return globals().setdefault(name, getattr(import_module(f"assemblies.{_ROOMS[name]}"), name))
