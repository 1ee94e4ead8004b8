"""What a box is given: its panels' places, its liquid, what stiffens its rim, what it stands on.

Inside coordinates: x from the left wall, y from the front wall, z from the floor, all from the inner faces, mm. A panel lies
along two axes of the tank: bottom and lid along x and y, front and back along x and z, left and right along y and z. Where a
panel is looked at from outside it has its own u (to the right) and v (up); on left and back u runs against y or x.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.given import as_pressure, number

__all__ = [
    "FACES",
    "JOINTS",
    "MIRRORED",
    "PANELS",
    "PLANES",
    "WALLS",
    "BoxPressure",
    "Brace",
    "Liquid",
    "Load",
    "OnPlates",
    "Pad",
    "Strip",
    "load_of",
    "outward",
]

WALLS = ("left", "right", "front", "back")
PANELS = (*WALLS, "bottom", "lid")
#: Across which axis a panel stands, and at which end of it.
FACES = {"left": (0, 0), "right": (0, 1), "front": (1, 0), "back": (1, 1), "bottom": (2, 0), "lid": (2, 1)}
#: That axis, and the two that it lies along.
PLANES = {name: (axis, *(k for k in range(3) if k != axis)) for name, (axis, _) in FACES.items()}
MIRRORED = frozenset({"left", "back"})  # seen from outside, their u runs against x or y
JOINTS = tuple(  # seams: a wall with its neighbour wall, then with the bottom, then with the lid
    [("front", "left"), ("front", "right"), ("back", "left"), ("back", "right")]
    + [(wall, plate) for plate in ("bottom", "lid") for wall in WALLS]
)

PanelPressure = Callable[[Array, Array], Array]
SpacePressure = Callable[[Array, Array, Array], Array]
PanelPush = Callable[[str, Array, Array, Array], Array]


def outward(panel: str) -> float:
    """1 where a panel's outside lies along its axis, -1 where it lies against it."""
    return 1.0 if FACES[panel][1] else -1.0


@dataclass(frozen=True, kw_only=True)
class Liquid:
    """A still liquid: density kg/m3, depth mm above the floor's upper face, gravity m/s2."""

    density_kg_m3: float
    depth_mm: float
    gravity_m_s2: float = 9.80665

    def __call__(self, x: Array, y: Array, z: Array) -> Array:
        """Pressure (MPa) at inside places (mm)."""
        head = np.maximum(self.depth_mm - z, 0.0) + 0.0 * x + 0.0 * y
        return np.asarray(self.density_kg_m3 * 1e-9 * self.gravity_m_s2 * head)


BoxPressure = Liquid | SpacePressure | Mapping[str, PanelPressure | tuple[float, float] | float]


@dataclass(frozen=True, kw_only=True)
class Load:
    """What loads a tank.

    Attributes:
        push: pressure on a panel's inner face at inside places x, y, z (mm): MPa, outward.
        pull_mm_s2: on every kilogram of it.
    """

    push: PanelPush
    pull_mm_s2: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Pad:
    """A plate bonded on a panel's outside, held all over its far side.

    Attributes:
        panel: which. low, high: opposite corners along the panel's two axes, inside coordinates, mm (beyond the inner
            faces is over the neighbours' edges).
        thickness: mm.
    """

    panel: str
    low: tuple[float, float]
    high: tuple[float, float]
    thickness: float


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A strip bonded all round on top of the walls, of the same material, its outer edge flush with their outer faces.

    Attributes:
        width: its size level, across the wall, mm. thickness: its size up and down, mm.
    """

    width: float
    thickness: float

    def inset(self, wall: float) -> float:
        """How far inward of a wall's middle plane its own middle lies, mm."""
        return (self.width - wall) / 2.0

    def stiffness(self, modulus: float, poisson: float) -> tuple[float, float, float, float]:
        """E A (N), E I level and upright, G J (N mm2)."""
        return _section(self.width, self.thickness, modulus, poisson)


@dataclass(frozen=True, kw_only=True)
class Brace:
    """A bar across the open top from one wall to the opposite one, bonded on their upper edges or on the strip there.

    Attributes:
        at_mm: its middle, from the inner face of the left wall (or of the front wall when along is "length").
        width, thickness: its section, mm; the width lies along the rim.
        along: "width" ties front and back, "length" ties left and right.
        rise: how high above the walls' edges it lies, mm.
    """

    at_mm: float
    width: float
    thickness: float
    along: str = "width"
    rise: float = 0.0

    @property
    def axis(self) -> int:
        """Along which axis it runs."""
        return 1 if self.along == "width" else 0

    def stiffness(self, modulus: float, poisson: float) -> tuple[float, float, float, float]:
        """E A (N), E I upright and level, G J (N mm2)."""
        axial, level, upright, torsion = _section(self.width, self.thickness, modulus, poisson)
        return axial, upright, level, torsion


def _section(width: float, thickness: float, modulus: float, poisson: float) -> tuple[float, float, float, float]:
    """E A, E I level and upright, G J of a flat bar; of torsion the constant b c^3 / 3 (1 - 0.63 c / b) (from memory)."""
    long, short = max(width, thickness), min(width, thickness)
    torsion = long * short**3 / 3.0 * (1.0 - 0.63 * short / long)
    return (
        modulus * width * thickness,
        modulus * thickness * width**3 / 12.0,
        modulus * width * thickness**3 / 12.0,
        modulus / (2.0 * (1.0 + poisson)) * torsion,
    )


@dataclass(frozen=True, kw_only=True)
class OnPlates:
    """A box that is carried by plates bonded under its floor or on its walls."""

    pads: tuple[Pad, ...]


def load_of(pressure: BoxPressure, length: float, width: float, height: float) -> Load:
    """A pressure as the box takes it, without any weight."""
    if callable(pressure):
        space: SpacePressure = pressure
        return Load(push=lambda panel, x, y, z: space(x, y, z))
    if not isinstance(pressure, Mapping):
        raise ValueError("pressure: give a Liquid, a function p(x, y, z), or a mapping from panel to pressure")
    unknown = sorted(set(pressure) - set(PANELS))
    if unknown:
        raise ValueError(f"pressure: no panel is named {', '.join(unknown)}; panels are {', '.join(PANELS)}")
    sizes = length, width, height
    own = {name: _own(value, sizes[PLANES[name][2]]) for name, value in pressure.items()}

    def push(panel: str, x: Array, y: Array, z: Array) -> Array:
        if panel not in own:
            return np.zeros(np.broadcast_shapes(x.shape, y.shape, z.shape))
        _, i, j = PLANES[panel]
        u, v = (x, y, z)[i], (x, y, z)[j]
        return np.asarray(own[panel](sizes[i] - u if panel in MIRRORED else u, v))

    return Load(push=push)


def _own(value: PanelPressure | tuple[float, float] | float, height: float) -> PanelPressure:
    if callable(value) or isinstance(value, Sequence):
        return as_pressure(value, height)
    return as_pressure((number("pressure", value, -math.inf, False), 0.0), height)
