"""From a design to the tank that is solved: which panels, how thick, what stiffens the rim, what carries it, what it weighs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from assemblies.design.mass import Body, piece_body
from assemblies.design.model import Design, Placed
from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.boxes.box import Box
from assemblies.strength.boxes.setting import (
    FACES,
    MIRRORED,
    PANELS,
    PLANES,
    WALLS,
    Brace,
    Load,
    OnPlates,
    Pad,
    Strip,
    outward,
)
from assemblies.strength.boxes.spec import MEET, Spec, tank_spec
from assemblies.strength.plates.basis import Array
from parts.findings import NotCovered
from parts.stock.material import Material, material
from parts.vectors import Vector

__all__ = ["TankModel", "no_low_wall", "pads_of", "tank_model"]

_TOUCH_MM = 1.0  # as drawn and as cut may differ by a saw's error


@dataclass(frozen=True, kw_only=True, eq=False)
class TankModel:
    """A tank as it is solved.

    Attributes:
        low: inside corner in the world, mm.
        spec: what is solved.
        material: of the sheet.
        braces: names of the braces, in the order of `spec.braces`.
        pads: the plates that carry it, by name.
        wet: the panels that the liquid may press on.
    """

    low: Vector
    spec: Spec
    material: Material
    braces: tuple[str, ...] = ()
    pads: Mapping[str, Pad] = field(default_factory=dict)
    wet: tuple[str, ...] = PANELS

    @cached_property
    def box(self) -> Box:
        """The same with its stiffness, set up once."""
        return Box(spec=self.spec)

    @property
    def size(self) -> Vector:
        """Inside length, width, height, mm."""
        return self.spec.inner

    @property
    def thickness(self) -> Mapping[str, float]:
        """Of the panels, and of a bonded lid, mm."""
        return self.spec.thick

    def at(self, thickness: Mapping[str, float]) -> TankModel:
        """The same with panels, strips, braces and plates of these thicknesses (mm) by their names; sizes stay."""
        spec = self.spec
        strip = replace(spec.strip, thickness=thickness["rim-front"]) if spec.strip else None
        pads = {name: replace(pad, thickness=thickness[name]) for name, pad in self.pads.items()}
        braces = tuple(
            replace(brace, thickness=thickness[name], rise=strip.thickness if strip else 0.0)
            for brace, name in zip(spec.braces, self.braces, strict=True)
        )
        thick = {name: thickness[name] for name in spec.thick}
        changed = replace(spec, thick=thick, strip=strip, braces=braces, pads=tuple(pads.values()))
        return replace(self, spec=changed, pads=pads)

    def load(self, case: LoadCase) -> Load:
        """What a case puts on its inner faces, and on every kilogram of it."""

        def push(panel: str, x: Array, y: Array, z: Array) -> Array:
            if panel not in self.wet:
                return np.zeros(np.broadcast_shapes(x.shape, y.shape, z.shape))
            points = np.stack(np.broadcast_arrays(x, y, z), axis=-1) + np.array(self.low)
            return np.asarray(case.pressure(panel, points.reshape(-1, 3))).reshape(points.shape[:-1])

        return Load(push=push, pull_mm_s2=case.effective)

    def inside(self, panel: str, point: Vector) -> tuple[float, float]:
        """Places along a panel's two axes of a world point, from the inner corner, mm."""
        _, i, j = PLANES[panel]
        return point[i] - self.low[i], point[j] - self.low[j]

    def seen(self, panel: str, a: float, b: float) -> tuple[float, float]:
        """A place on a panel as seen from outside: to the right and up (bottom and lid: along x and y)."""
        return (self.size[PLANES[panel][1]] - a if panel in MIRRORED else a), b


def tank_model(design: Design, support: str, bodies: Mapping[str, Body] | None = None) -> TankModel:
    """The tank of a design.

    Args:
        design: with panels called left, right, front, back and bottom, and one box cavity.
        support: `flat`, `hung`, `plates` or `edges`.
        bodies: each instance by name, where they are known.

    Raises:
        NotCovered: no such panels or cavity.
    """
    names = {p.name: p for p in design.placed}
    if not {*WALLS, "bottom"} <= set(names) or len(design.cavities) != 1 or not design.cavities[0].faces:
        raise NotCovered(f"{design.name}: the box method needs five panels and one cavity of flat faces")
    thick = {n: names[n].piece.thickness_mm for n in (*WALLS, "bottom")}
    low, high, tops = _inner(names)
    if "lid" in names and not any("lid" in (j.a, j.b) for j in design.joints):
        thick["lid"] = names["lid"].piece.thickness_mm
    rim, in_rim = ((), set()) if "lid" in thick else _rim(design, low, high[0] - low[0])
    pads = pads_of(design, low, high, thick) if support == "plates" else {}
    base = OnPlates(pads=tuple(pads.values())) if pads else "hung" if support == "plates" else support
    if tops and (no_low_wall(design, tops) or base == "hung"):  # its scope has said so
        high, tops = (*high[:2], low[2] + min(tops.values())), {}
    known = bodies or {}
    rest = [p for p in design.carried if p.name not in {*thick, *in_rim, *pads}]
    sheet = material(names["bottom"].piece.sheet.material)
    spec = tank_spec(
        [b - a for a, b in zip(low, high, strict=True)],
        thick,
        sheet.modulus_mpa,
        sheet.poisson,
        base,
        rim or "free",
        density_kg_m3=sheet.density_kg_m3,
        rim_kg=sum((known.get(p.name) or piece_body(p)).mass_kg for p in rest),
        ledge_mm=(1.0 - MEET) * max(thick[wall] for wall in WALLS),
        tops=tops,
    )
    braces = tuple(p.name for p in design.placed if p.name.startswith("brace-")) if spec.braces else ()
    return TankModel(low=low, spec=spec, material=sheet, braces=braces, pads=pads, wet=design.cavities[0].face_names)


def no_low_wall(design: Design, tops: Iterable[str]) -> str:
    """What is there that ends on, or closes, walls that are lower than the others; empty where nothing is."""
    if any("lid" in p.name for p in design.placed) and not any("lid" in (j.a, j.b) for j in design.joints):
        return "a lid is bonded on"
    if any(p.name.startswith("rim-") for p in design.placed):
        return "strips lie along the rim"
    if {"front", "back"} & set(tops) and any(p.name.startswith("brace-") for p in design.placed):
        return "a brace ends there"
    return ""


def _inner(panels: Mapping[str, Placed]) -> tuple[Vector, Vector, dict[str, float]]:
    """The two corners of what lies between the panels, up to the walls' upper edges; and how high over the floor those reach
    that are lower than the others."""
    x0, y0, z0 = (panels[name].box[1][k] for k, name in enumerate(("left", "front", "bottom")))
    x1, y1 = (panels[name].box[0][k] for k, name in enumerate(("right", "back")))
    ends = {wall: panels[wall].box[1][2] for wall in WALLS}
    lower = {wall: end for wall, end in ends.items() if end < max(ends.values()) - _TOUCH_MM}
    z1 = min(end for wall, end in ends.items() if wall not in lower)
    return (x0, y0, z0), (x1, y1, z1), {wall: end - z0 for wall, end in lower.items()}


def pads_of(design: Design, low: Vector, high: Vector, thick: Mapping[str, float]) -> dict[str, Pad]:
    """The plates that are bonded to the outside of a panel, by name."""
    found = {}
    for placed in design.placed:
        panel = _bonded_to(placed, low, high, thick) if placed.piece.role == "mount" else None
        if panel is not None:
            ends = [tuple(corner[k] - low[k] for k in PLANES[panel][1:]) for corner in placed.box]
            found[placed.name] = Pad(
                panel=panel,
                low=(ends[0][0], ends[0][1]),
                high=(ends[1][0], ends[1][1]),
                thickness=placed.piece.thickness_mm,
            )
    return found


def _bonded_to(placed: Placed, low: Vector, high: Vector, thick: Mapping[str, float]) -> str | None:
    for name, t in thick.items():
        axis, end = FACES[name]
        face = (low, high)[end][axis] + outward(name) * t
        if abs(placed.box[1 - end][axis] - face) < _TOUCH_MM and abs(placed.z[axis]) > 0.5:
            return name
    return None


def _rim(design: Design, low: Vector, length: float) -> tuple[tuple[Strip | Brace, ...], set[str]]:
    """What stiffens the open rim, and which pieces' weight is in it."""
    parts: list[Strip | Brace] = []
    strips = [p for p in design.placed if p.name.startswith("rim-")]
    rise = 0.0
    for placed in strips[:1]:
        rise = placed.piece.thickness_mm
        parts.append(Strip(width=placed.piece.size_mm[1], thickness=rise))
    for placed in design.placed:
        if placed.name.startswith("brace-"):
            width, middle = placed.piece.size_mm[1], (placed.box[0][0] + placed.box[1][0]) / 2.0 - low[0]
            at = min(max(middle, width / 2.0), length - width / 2.0)  # one over an end wall, as far in as it goes
            parts.append(Brace(at_mm=at, width=width, thickness=placed.piece.thickness_mm, rise=rise))
    return tuple(parts), {p.name for p in strips}
