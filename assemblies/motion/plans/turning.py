"""About which level line a turn goes, over which side, and how far."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from assemblies.order import CaseSpec
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector, unit

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["WAYS", "axis_of", "over", "turning"]

WAYS: Final[Mapping[str, Vector]] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "front": (0.0, -1.0, 0.0),
}


def axis_of(spec: CaseSpec) -> Vector:
    """The axis it turns about, right-handed."""
    if spec.toward is None:
        return spec.axis
    x, y, _ = WAYS[spec.toward]
    return -y, x, 0.0


def over(spec: CaseSpec) -> Vector:
    """The side that goes down, level; of a level axis."""
    x, y, _ = unit(axis_of(spec), "axis")
    sign = -1.0 if spec.angle is not None and spec.angle < 0.0 else 1.0
    return sign * y, -sign * x, 0.0


def turning(spec: CaseSpec, cavity: Cavity, volume: float) -> tuple[Vector, float]:
    """Axis and angle (rad) of a turn; of one that is to pour so much, to where that has left.

    Raises:
        NotCovered: it cannot pour that much by a quarter turn.
    """
    if spec.pour is None:
        assert spec.angle is not None
        return axis_of(spec), math.radians(spec.angle)
    from assemblies.liquid.pour import spill_tilt

    left = volume - spec.pour * 1e6
    if left < -1e-6 * volume:
        raise NotCovered(f"it is to pour {spec.pour:g} L and holds {volume / 1e6:.3f} L")
    try:
        return axis_of(spec), spill_tilt(cavity, left, over(spec)) if left > 1e-6 * volume else math.pi / 2.0
    except SeamwrightError as error:
        raise NotCovered(f"it cannot pour {spec.pour:g} L: {error}") from None
