"""Public names of a package that are opened when first asked for, so that its light modules need no heavy ones."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from importlib import import_module

__all__ = ["late"]


def late(package: str, offered: Sequence[str], modules: Sequence[str]) -> Callable[[str], object]:
    """The `__getattr__` (PEP 562) of a package.

    Args:
        package: its `__name__`.
        offered: its `__all__`.
        modules: full names of those that have the names in their own `__all__`, the first that does is taken.
    """

    def get(name: str) -> object:
        for path in modules if name in offered else ():
            module = import_module(path)
            if name in module.__all__:
                return vars(sys.modules[package]).setdefault(name, getattr(module, name))
        raise AttributeError(f"module {package!r} has no attribute {name!r}")

    return get
