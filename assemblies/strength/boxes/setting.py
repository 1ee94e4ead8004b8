"""What a box is given: its liquid, what stiffens its rim, what it stands on; and how each panel is looked at.

Inside coordinates: x from the left wall, y from the front wall, z from the floor, all from the inner faces, mm. Each
panel has its own u (to the right as seen from outside) and v (up); for bottom and lid u is +x and v is +y.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.given import as_pressure, number

__all__ = [
    "JOINTS",
    "MIRRORED",
    "NEIGHBOURS",
    "PANELS",
    "WALLS",
    "BoxPressure",
    "Brace",
    "Liquid",
    "OnPlates",
    "Pad",
    "Padded",
    "Strip",
    "panel_pressures",
]

WALLS = ("left", "right", "front", "back")
PANELS = (*WALLS, "bottom", "lid")
MIRRORED = frozenset({"left", "back"})  # their u runs against x or y
NEIGHBOURS: dict[str, dict[str, str]] = {  # which panel meets each side, as seen from outside
    "front": {"left": "left", "right": "right", "bottom": "bottom", "top": "lid"},
    "back": {"left": "right", "right": "left", "bottom": "bottom", "top": "lid"},
    "left": {"left": "back", "right": "front", "bottom": "bottom", "top": "lid"},
    "right": {"left": "front", "right": "back", "bottom": "bottom", "top": "lid"},
    "bottom": {"left": "left", "right": "right", "bottom": "front", "top": "back"},
    "lid": {"left": "left", "right": "right", "bottom": "front", "top": "back"},
}
JOINTS = tuple(  # seams: a wall with its neighbour wall, then with the bottom, then with the lid
    [("front", "left"), ("front", "right"), ("back", "left"), ("back", "right")]
    + [(wall, plate) for plate in ("bottom", "lid") for wall in WALLS]
)

PanelPressure = Callable[[Array, Array], Array]
SpacePressure = Callable[[Array, Array, Array], Array]


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


@dataclass(frozen=True, kw_only=True)
class Pad:
    """A plate bonded to a wall, which presses and pulls on a part of its face only.

    Attributes:
        low, high: opposite corners, u and v, mm. pressure: outward, MPa, over it.
    """

    low: tuple[float, float]
    high: tuple[float, float]
    pressure: PanelPressure


BoxPressure = Liquid | SpacePressure | Mapping[str, PanelPressure | tuple[float, float] | float]


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A strip bonded all round the rim, of the same material.

    Attributes:
        width: its size level, across the wall, mm. thickness: its size up and down, mm.
        place: "inward" (lies on top of the wall, its outer edge flush with the outer face), "outward" (its inner
            edge flush with the inner face), "centred", or "beside" (bonded to a face of the wall, at the top).
    """

    width: float
    thickness: float
    place: str = "inward"

    def stiffness(self, wall: float, span: float, modulus: float, poisson: float) -> tuple[float, float]:
        """(E I, G J), N mm2, of the strip together with the part of the wall that stretches with it.

        The strip's centre lies off the wall's middle plane, so it bends about an axis between the two; the wall
        takes part with the area wall * span / (4 pi), the response of a half-plane to an edge shear of one wave per
        span (judgement; held to solid models in tests). G J: a rectangle's torsion constant, b c^3 / 3 (1 -
        0.63 c / b) (from memory).
        """
        offset = {
            "inward": (self.width - wall) / 2.0,
            "outward": (self.width - wall) / 2.0,
            "centred": 0.0,
            "beside": (self.width + wall) / 2.0,
        }[self.place]
        area, taking_part = self.width * self.thickness, wall * span / (4.0 * math.pi)
        second = self.thickness * self.width**3 / 12.0 + offset**2 * area * taking_part / (area + taking_part)
        long, short = max(self.width, self.thickness), min(self.width, self.thickness)
        torsion = long * short**3 / 3.0 * (1.0 - 0.63 * short / long)
        return modulus * second, modulus / (2.0 * (1.0 + poisson)) * torsion

    def check(self) -> None:
        """Refuse a strip that makes no sense."""
        number("rim strip, width", self.width, high=1e6)
        number("rim strip, thickness", self.thickness, high=1e6)
        if self.place not in ("inward", "outward", "centred", "beside"):
            raise ValueError(f"rim strip, place: {self.place!r} is none of inward, outward, centred, beside")


@dataclass(frozen=True, kw_only=True)
class Brace:
    """A bar across the open top that ties two opposite walls.

    Attributes:
        at_mm: its middle, from the inner face of the left wall (or of the front wall when along is "length").
        width, thickness: its section, mm; the width lies along the rim.
        along: "width" ties front and back, "length" ties left and right.
    """

    at_mm: float
    width: float
    thickness: float
    along: str = "width"


@dataclass(frozen=True, kw_only=True)
class OnPlates:
    """A box that stands on, or hangs from, plates bonded under its floor.

    Attributes:
        rectangles: (x0, x1, y0, y1) of each in inside coordinates, mm (beyond the inner faces is under the walls).
        stiffness: of the bond to the rig, N/mm3, pushing and pulling alike; None: modulus over floor thickness
            (judgement).
        weight_n: weight of walls and lid that comes down through the floor as well.
    """

    rectangles: tuple[tuple[float, float, float, float], ...]
    stiffness: float | None = None
    weight_n: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Padded:
    """A pressure, and pads on walls beside it; the pads are integrated over their own faces, and resolved there."""

    pressure: BoxPressure
    pads: Mapping[str, Sequence[Pad]]


def panel_pressures(
    pressure: BoxPressure, length: float, width: float, height: float, panels: Sequence[str]
) -> dict[str, PanelPressure]:
    """Per panel, the pressure over its inner face as a function of x or y, and z (or x and y), not yet mirrored."""
    if not callable(pressure):
        return _from_mapping(pressure, length, width, height, panels)
    space: SpacePressure = pressure
    every: dict[str, PanelPressure] = {
        "left": lambda y, z: space(0.0 * y, y, z),
        "right": lambda y, z: space(0.0 * y + length, y, z),
        "front": lambda x, z: space(x, 0.0 * x, z),
        "back": lambda x, z: space(x, 0.0 * x + width, z),
        "bottom": lambda x, y: space(x, y, 0.0 * x),
        "lid": lambda x, y: space(x, y, 0.0 * x + height),
    }
    return {name: every[name] for name in panels}


def _from_mapping(
    given: Mapping[str, PanelPressure | tuple[float, float] | float],
    length: float,
    width: float,
    height: float,
    panels: Sequence[str],
) -> dict[str, PanelPressure]:
    if not isinstance(given, Mapping):
        raise ValueError("pressure: give a Liquid, a function p(x, y, z), or a mapping from panel to pressure")
    unknown = sorted(set(given) - set(PANELS))
    if unknown:
        raise ValueError(f"pressure: no panel is named {', '.join(unknown)}; panels are {', '.join(PANELS)}")
    result: dict[str, PanelPressure] = {}
    for name in panels:
        value = given.get(name, 0.0)
        pair = (
            value
            if callable(value) or isinstance(value, Sequence)
            else (number("pressure", value, -math.inf, False), 0.0)
        )
        own = as_pressure(pair, width if name in ("bottom", "lid") else height)
        across = width if name == "left" else length
        result[name] = _turned(own, across) if name in MIRRORED else own
    return result


def _turned(own: PanelPressure, across: float) -> PanelPressure:
    return lambda x, v: own(across - x, v)
