"""What the engine asks of a shape: the integrals over its part below a level.

*Level* is a height along *up* (mm); *depth* is the distance of a point below the level, along up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from parts.vectors import Vector

__all__ = ["Array", "Body", "Wet"]

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class Wet:
    """Integrals over the wetted part, all about the body's `origin`, in mm; face arrays follow the body's names.

    Attributes:
        origin: where the moments are taken.
        volume, first, second: of 1, x and x x^T over the liquid: (), (3,), (3, 3).
        face_area: wetted area: (faces,).
        face_vector: of the outward normal: (faces, 3).
        face_place: of x times the normal's part along up: (faces, 3).
        face_depth: of depth: (faces,).
        face_push: of depth times outward normal: (faces, 3).
        face_turn: of x cross (depth times normal): (faces, 3).
        face_centre: of depth times x: (faces, 3).
    """

    origin: Array
    volume: float
    first: Array
    second: Array
    face_area: Array
    face_vector: Array
    face_place: Array
    face_depth: Array
    face_push: Array
    face_turn: Array
    face_centre: Array


class Body(Protocol):
    """A shape whose part below a level can be measured."""

    @property
    def names(self) -> tuple[str, ...]:
        """Face names, each once."""

    def span(self, up: Vector) -> tuple[float, float]:
        """Lowest and highest height of the shape."""

    def beside(self, point: Vector) -> tuple[tuple[str, ...], Array, Array]:
        """Walls as seen from a point: names, how far each is (mm), and their unit normals there, (n), (n), (n, 3)."""

    def fill(self, up: Vector, level: float) -> tuple[float, float]:
        """Volume below the level, and the area of the free surface there."""

    def wet(self, up: Vector, level: float) -> Wet:
        """Everything below the level.

        Raises:
            NotCovered: the liquid stands in several pools that need not share one level.
        """
