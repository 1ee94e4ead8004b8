"""What a plot shows: curves over one axis, with the lines that they must not pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["Array", "Curve", "Limit", "Panel"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class Curve:
    """A curve with a name; of several in a panel each its own kind of line."""

    name: str
    x: Array
    y: Array


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A level line that a curve must not pass."""

    name: str
    value: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Panel:
    """Curves over one axis."""

    x: str
    y: str
    curves: tuple[Curve, ...]
    limits: tuple[Limit, ...] = ()
