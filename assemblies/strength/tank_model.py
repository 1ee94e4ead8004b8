"""From a design to the box that is solved: which panels, how thick, what stiffens the rim, what carries the floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from assemblies.design import Design, Vector
from assemblies.liquid.loadcase import LoadCase
from assemblies.strength.basis import Array
from assemblies.strength.setting import WALLS, Brace, OnPlates, Strip
from assemblies.strength.spec import RimSpec
from parts.findings import NotCovered
from parts.material import Material, material

__all__ = ["TankModel", "tank_model"]


@dataclass(frozen=True, kw_only=True)
class TankModel:
    """A box as the plate solver takes it.

    Attributes:
        low, size: inside corner in the world and inside length, width, height (mm).
        thickness: of the panels, and of a bonded lid.
        material: of the sheet.
        base, rim: as `assemblies.strength.box` takes them.
        self_weight: pressure of the floor's own sheet under 1 g (MPa), for a floor that is not on a flat base.
    """

    low: Vector
    size: Vector
    thickness: Mapping[str, float]
    material: Material
    base: str | OnPlates
    rim: RimSpec
    self_weight: float

    def pressures(self, case: LoadCase) -> dict[str, Callable[[Array, Array], Array]]:
        """Per panel the case's pressure as a function of u, v (right and up as seen from outside; bottom: +x, +y)."""
        panels = [*WALLS, "bottom", *(["lid"] if "lid" in self.thickness else [])]
        down = -(case.gravity[2] - case.acceleration[2]) / 9806.65
        own = self.self_weight * down
        return {name: self._pressure(case, name, own if name == "bottom" else 0.0) for name in panels}

    def _pressure(self, case: LoadCase, panel: str, own: float) -> Callable[[Array, Array], Array]:
        def of(u: Array, v: Array) -> Array:
            u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
            points = self.world(panel, u, v)
            return np.asarray(case.pressure(panel, points.reshape(-1, 3))).reshape(u.shape) + own

        return of

    def world(self, panel: str, u: Array, v: Array) -> Array:
        """World places of inside coordinates of a panel."""
        length, width, height = self.size
        x, y, z = {
            "front": (u, 0.0 * u, v),
            "back": (length - u, 0.0 * u + width, v),
            "left": (0.0 * u, width - u, v),
            "right": (0.0 * u + length, u, v),
            "bottom": (u, v, 0.0 * u),
            "lid": (u, v, 0.0 * u + height),
        }[panel]
        return np.stack([x + self.low[0], y + self.low[1], z + self.low[2]], axis=-1)

    def inside_uv(self, panel: str, point: Vector) -> tuple[float, float]:
        """Inside coordinates of a world point on a panel."""
        x, y, z = (p - q for p, q in zip(point, self.low, strict=True))
        length, width, _ = self.size
        return {
            "front": (x, z),
            "back": (length - x, z),
            "left": (width - y, z),
            "right": (y, z),
            "bottom": (x, y),
            "lid": (x, y),
        }[panel]


def tank_model(design: Design, support: str) -> TankModel:
    """The box of a tank design.

    Args:
        design: with panels called left, right, front, back and bottom, and one box cavity.
        support: `flat`, `hung`, `plates` or `edges` (the floor spans between the walls as when hung).

    Raises:
        NotCovered: no such panels or cavity.
    """
    names = {p.name: p for p in design.placed}
    if not {*WALLS, "bottom"} <= set(names) or len(design.cavities) != 1:
        raise NotCovered(f"{design.name}: the box method needs five panels and one cavity")
    corners = np.array([c for face in design.cavities[0].faces for c in face.corners])
    low, high = corners.min(axis=0), corners.max(axis=0)
    thickness = {n: names[n].piece.thickness_mm for n in (*WALLS, "bottom")}
    loose = {frozenset((j.a, j.b)) for j in design.joints}
    if "lid" in names and not any("lid" in pair for pair in loose):
        thickness["lid"] = names["lid"].piece.thickness_mm
    floor = names["bottom"].piece
    return TankModel(
        low=(float(low[0]), float(low[1]), float(low[2])),
        size=(float(high[0] - low[0]), float(high[1] - low[1]), float(high[2] - low[2])),
        thickness=thickness,
        material=material(floor.sheet.material),
        base=_base(design, support, low),
        rim="supported" if "lid" in thickness else _rim(design, low),
        self_weight=0.0 if support == "flat" else floor.sheet.density_kg_m3 * 9.80665e-9 * floor.thickness_mm,
    )


def _base(design: Design, support: str, low: Array) -> str | OnPlates:
    if support == "flat":
        return "flat"
    under = [p for p in design.placed if p.piece.kind == "tapped-plate" and abs(p.box[1][2]) < 1e-6]
    if support != "plates" or not under:
        return "hung"
    rectangles = tuple(
        (p.box[0][0] - low[0], p.box[1][0] - low[0], p.box[0][1] - low[1], p.box[1][1] - low[1]) for p in under
    )
    others = [p for p in design.placed if p not in under and p.name != "bottom"]
    weight = sum(p.piece.mass_kg for p in others) * 9.80665
    return OnPlates(
        rectangles=tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rectangles), weight_n=weight
    )


def _rim(design: Design, low: Array) -> RimSpec:
    parts: list[Strip | Brace] = []
    for placed in design.placed:
        width, thick = placed.piece.size_mm[1], placed.piece.thickness_mm
        if placed.name == "rim-front":
            parts.append(Strip(width=width, thickness=thick, place="inward"))
        elif placed.name.startswith("brace-"):
            middle = (placed.box[0][0] + placed.box[1][0]) / 2.0
            parts.append(Brace(at_mm=float(middle - low[0]), width=width, thickness=thick))
    return tuple(parts) or "free"
