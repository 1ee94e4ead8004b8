"""The inner loops compiled with numba, the machine code kept in the user's cache."""

from __future__ import annotations

import hashlib
import importlib.util
import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from assemblies.shop.layout import kernel, refill

__all__ = ["cache_folder", "compiled"]

_CALLED = frozenset(
    {"best_cuts", "draw", "greedy", "search", "sort_noisily"}
)  # from Python; the others need no wrappers


def cache_folder() -> Path:
    """Where compiled code is kept: `$XDG_CACHE_HOME` or `~/.cache`, then `seamwright/numba` and a name per source text.

    numba looks at the age of a function's own file only; a caller in another file would keep the old callee.
    """
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    text = b"".join(Path(module.__file__ or "").read_bytes() for module in (kernel, refill))
    return Path(base) / "seamwright" / "numba" / hashlib.sha256(text).hexdigest()[:16]


@cache
def compiled() -> ModuleType | None:
    """A module with the functions of `kernel` and `refill`, compiled; None where numba is not installed.

    Each function is compiled at its first call (a few seconds altogether) unless the cache has it.
    """
    try:
        import numba
    except ImportError:
        return None
    config: Any = numba.config
    before = config.CACHE_DIR
    config.CACHE_DIR = str(cache_folder())
    try:
        lower = _copy(kernel)
        for name in kernel.COMPILED_IN_ORDER:
            setattr(lower, name, _compile(numba.njit, getattr(lower, name)))
        upper = _copy(refill)
        for name in kernel.COMPILED_IN_ORDER:
            setattr(upper, name, getattr(lower, name))
        for name in refill.COMPILED_IN_ORDER:
            setattr(upper, name, _compile(numba.njit, getattr(upper, name)))
    finally:
        config.CACHE_DIR = before
    return upper


def _copy(module: ModuleType) -> ModuleType:
    """A second copy of a module, whose functions can be replaced without touching the plain ones."""
    spec = importlib.util.spec_from_file_location(f"{module.__name__}_compiled", module.__file__ or "")
    assert spec is not None  # a module with a file always has both
    assert spec.loader is not None
    copy = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = copy  # numba looks a function's module up by name when it loads it from the cache
    spec.loader.exec_module(copy)
    return copy


def _compile(njit: Callable[..., Any], plain: Callable[..., Any]) -> Any:
    inner = plain.__name__ not in _CALLED
    wrappers = {"no_cpython_wrapper": inner, "no_cfunc_wrapper": inner}
    options = {"nogil": True, "error_model": "numpy", "_nrt": False, **wrappers}
    try:
        return njit(plain, cache=True, **options)
    except RuntimeError:  # the cache folder cannot be written: compile at each run
        return njit(plain, **options)
