"""From a design to the box that is solved: which panels, how thick, what stiffens the rim, what carries the floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from assemblies.design.mass import Body, piece_body
from assemblies.design.model import Design
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.boxes.setting import WALLS, Brace, OnPlates, Strip
from assemblies.strength.boxes.spec import RimSpec
from assemblies.strength.plates.basis import Array
from parts.findings import NotCovered
from parts.stock.material import Material, material
from parts.vectors import Vector

__all__ = ["Field", "Shell", "TankModel", "tank_model"]

Field = Callable[[Array, Array], Array]


_NORMALS: Mapping[str, Vector] = {
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "bottom": (0.0, 0.0, -1.0),
    "lid": (0.0, 0.0, 1.0),
}
_EDGE = 8  # what stands on the floor presses with this power of the place across it: close to the edge, and smooth


@dataclass(frozen=True, kw_only=True)
class Shell:
    """What stands on a floor that is carried by plates: mass (kg) and centre (mm, world) of one part of it.

    `own` says along which axis (0 length, 1 width, None neither) its inertia already bends it as a panel.
    """

    mass_kg: float
    centre_mm: Vector
    own: int | None


@dataclass(frozen=True, kw_only=True)
class TankModel:
    """A box as the plate solver takes it.

    Attributes:
        low, size: inside corner in the world and inside length, width, height (mm).
        thickness: of the panels, and of a bonded lid.
        material: of the sheet.
        base, rim: as `assemblies.strength.box` takes them.
        shell: what stands on the floor, when plates carry it.
    """

    low: Vector
    size: Vector
    thickness: Mapping[str, float]
    material: Material
    base: str | OnPlates
    rim: RimSpec
    shell: tuple[Shell, ...]

    def pressures(self, case: LoadCase) -> dict[str, Field]:
        """Per panel the case's pressure as a function of u, v (right and up as seen from outside; bottom: +x, +y).

        Liquid, the panel's own weight and inertia, and on a floor that plates carry what stands on it beyond its
        weight at rest, which the box adds itself.
        """
        panels = [*WALLS, "bottom", *(["lid"] if "lid" in self.thickness else [])]
        added = {"bottom": self._standing(case)} if self.shell else {}
        return {name: self._pressure(case, name, added.get(name)) for name in panels}

    def own_weight(self, case: LoadCase, panel: str) -> float:
        """Pressure of a panel's own weight and inertia, MPa, outward."""
        pull = sum(g * n for g, n in zip(case.effective, _NORMALS[panel], strict=True))
        return self.material.density_kg_m3 * 1e-12 * self.thickness[panel] * pull

    def _pressure(self, case: LoadCase, panel: str, added: Field | None) -> Field:
        own = self.own_weight(case, panel)

        def of(u: Array, v: Array) -> Array:
            u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
            points = self.world(panel, u, v)
            push = np.asarray(case.pressure(panel, points.reshape(-1, 3))).reshape(u.shape) + own
            return push if added is None else push + added(u, v)

        return of

    def _standing(self, case: LoadCase) -> Field:
        """Weight beyond that at rest, and overturning by inertia, of what stands on the floor, pressed in near its edge."""
        length, width, _ = self.size
        middle = (self.low[0] + length / 2.0, self.low[1] + width / 2.0, self.low[2])
        extra, turns = 0.0, [0.0, 0.0]
        for part in self.shell:
            force = [part.mass_kg * g / 1000.0 for g in case.effective]
            lever = [c - m for c, m in zip(part.centre_mm, middle, strict=True)]
            extra += -force[2] - part.mass_kg * G_MM_S2 / 1000.0
            for k in (0, 1):
                turns[k] += -force[2] * lever[k] + (0.0 if part.own == k else force[k] * lever[2])
        down = extra * (_EDGE + 1) / 2.0 / (length * width)
        tilts = [
            2.0 * (_EDGE + 3) * t / (length * width * span) for t, span in zip(turns, (length, width), strict=True)
        ]

        def of(u: Array, v: Array) -> Array:
            s, t = 2.0 * u / length - 1.0, 2.0 * v / width - 1.0
            return np.asarray(_eighth(s) * (down + tilts[0] * s) + _eighth(t) * (down + tilts[1] * t))

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


def _eighth(value: Array) -> Array:
    """The power _EDGE, by squaring: numpy's own power is slow on whole grids."""
    square = value * value
    fourth = square * square
    return np.asarray(fourth * fourth)


def tank_model(design: Design, support: str, bodies: Mapping[str, Body] | None = None) -> TankModel:
    """The box of a tank design.

    Args:
        design: with panels called left, right, front, back and bottom, and one box cavity.
        support: `flat`, `hung`, `plates` or `edges` (the floor spans between the walls as when hung).
        bodies: each instance by name, where they are known.

    Raises:
        NotCovered: no such panels or cavity.
    """
    names = {p.name: p for p in design.placed}
    if not {*WALLS, "bottom"} <= set(names) or len(design.cavities) != 1 or not design.cavities[0].faces:
        raise NotCovered(f"{design.name}: the box method needs five panels and one cavity of flat faces")
    corners = np.array([c for face in design.cavities[0].faces for c in face.corners])
    low, high = corners.min(axis=0), corners.max(axis=0)
    thickness = {n: names[n].piece.thickness_mm for n in (*WALLS, "bottom")}
    loose = {frozenset((j.a, j.b)) for j in design.joints}
    if "lid" in names and not any("lid" in pair for pair in loose):
        thickness["lid"] = names["lid"].piece.thickness_mm
    base, shell = _base(design, support, low, "lid" in thickness, bodies or {})
    return TankModel(
        low=(float(low[0]), float(low[1]), float(low[2])),
        size=(float(high[0] - low[0]), float(high[1] - low[1]), float(high[2] - low[2])),
        thickness=thickness,
        material=material(names["bottom"].piece.sheet.material),
        base=base,
        rim="supported" if "lid" in thickness else _rim(design, low),
        shell=shell,
    )


def _base(
    design: Design, support: str, low: Array, lid: bool, bodies: Mapping[str, Body]
) -> tuple[str | OnPlates, tuple[Shell, ...]]:
    if support == "flat":
        return "flat", ()
    under = [p for p in design.placed if p.piece.role == "mount" and abs(p.box[1][2]) < 1e-6]
    if support != "plates" or not under:
        return "hung", ()
    rectangles = tuple(
        (p.box[0][0] - low[0], p.box[1][0] - low[0], p.box[0][1] - low[1], p.box[1][1] - low[1]) for p in under
    )
    panels = {"left": 0, "right": 0, "front": 1, "back": 1}
    shell = []
    for placed in design.placed:
        if placed not in under and placed.name != "bottom" and not (lid and placed.name == "lid"):
            body = bodies.get(placed.name) or piece_body(placed)
            shell.append(Shell(mass_kg=body.mass_kg, centre_mm=body.centre_mm, own=panels.get(placed.name)))
    on = OnPlates(
        rectangles=tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rectangles),
        weight_n=sum(part.mass_kg for part in shell) * G_MM_S2 / 1000.0,
    )
    return on, tuple(shell)


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
