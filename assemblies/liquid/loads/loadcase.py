"""What strength reads of a way the rig is loaded: a `LoadCase`, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from assemblies.liquid.engine import Settled
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.wet import Array
from parts.findings import SeamwrightError
from parts.stock.material import DURATIONS, Duration, Repeated
from parts.vectors import Vector, finite_vector

__all__ = ["Duration", "LoadCase", "PressureField", "face_of", "load_case"]

PressureField = Callable[[str, Array], Array]


@dataclass(frozen=True, kw_only=True)
class LoadCase:
    """One way the rig is loaded. Every dynamic effect is already in: nobody multiplies again.

    Attributes:
        name: of the case.
        duration: how long it lasts, or comes and goes.
        gravity: in the rig's own, turned axes, mm/s2.
        acceleration: of the rig in its own axes, mm/s2: the steady one that does as much as the real one does
            with its dynamic factor.
        pressure: of a face's name and world points (n, 3) in mm, on the wetted side: MPa, pushing the face out
            of the liquid.
        dynamic_factor: what is in `pressure` and `acceleration` for suddenness; 1 for a rig at rest. For the report.
        source: of the factor and the rule.
        omega: how fast the rig turns with its liquid about its upright axis, rad/s.
        lift_n: with what that liquid lifts a lid.
    """

    name: str
    duration: Duration
    gravity: Vector
    acceleration: Vector
    pressure: PressureField
    dynamic_factor: float
    source: str
    omega: float = 0.0
    lift_n: float = 0.0

    def __post_init__(self) -> None:
        if not isinstance(self.duration, Repeated) and self.duration not in DURATIONS:
            raise SeamwrightError(f"case {self.name!r}: duration {self.duration!r} is none of {', '.join(DURATIONS)}")

    @property
    def effective(self) -> Vector:
        """Gravity less acceleration, mm/s2: what pulls on every kilogram of sheet, fitting and liquid."""
        a, b, c = (g - x for g, x in zip(self.gravity, self.acceleration, strict=True))
        return a, b, c


@dataclass(frozen=True)
class _Field:
    """The pressure of settled liquid as a function of face and points."""

    settled: Settled

    def __call__(self, face: str, points: Array) -> Array:
        return self.settled.pressure(face_of(self.settled.cavity, face, points))


def face_of(cavity: Cavity, face: str, points: Array) -> Array:
    """Places on a face as (n, 3).

    Raises:
        SeamwrightError: the cavity has no such face.
    """
    names = cavity.face_names
    if face not in names:
        raise SeamwrightError(f"no liquid face {face!r}: the cavity has {', '.join(names)}")
    return np.asarray(points, float).reshape(-1, 3)


def load_case(
    settled: Settled, *, name: str, duration: Duration, acceleration: Vector, dynamic_factor: float, source: str
) -> LoadCase:
    """The case of liquid settled under an effective gravity, of which `acceleration` (mm/s2) is the rig's share."""
    acceleration = finite_vector(acceleration, f"case {name!r}: acceleration")
    x, y, z = (e + a for e, a in zip(settled.gravity, acceleration, strict=True))
    return LoadCase(
        name=name,
        duration=duration,
        gravity=(x, y, z),
        acceleration=acceleration,
        pressure=_Field(settled),
        dynamic_factor=dynamic_factor,
        source=source,
    )
