"""What a nest is made of. *Nest*: pieces of any outline laid close on sheets for a router or a laser.

*Net*: as the finished piece. *Kerf*: width of the cut, the cutter's or the beam's diameter. *Spacing*: material left
between two cuts; *margin*: from the sheet's edge to the nearest cut. *Path*: where the middle of the cutter runs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from parts.findings import Finding, SeamwrightError
from parts.shape.outline import Circle, Loop, Vertex
from parts.shape.piece import Piece
from parts.tables import load

__all__ = [
    "CutPath",
    "Nest",
    "NestPlace",
    "NestSheet",
    "NestSpec",
    "NestStock",
    "Process",
    "Role",
    "nest_rule",
    "put",
    "put_point",
]

Process = Literal["router", "laser"]
Role = Literal["drill", "inner", "outer"]


def nest_rule(name: str) -> float:
    """The figure of one rule of the table `nest_rules`; its unit stands there.

    Raises:
        KeyError: there is no such rule.
    """
    for row in load("nest_rules"):
        if row["rule"] == name:
            return float(row["value"])
    raise KeyError(name)


@dataclass(frozen=True, kw_only=True)
class NestSpec:
    """How the machine cuts.

    Attributes:
        process: `router` or `laser`.
        kerf_mm: diameter of cutter or beam.
        spacing_mm: least material between two cuts.
        margin_mm: least distance from the sheet's edge to a cut.
        turns: how far a piece may be turned, in quarter turns.
        tries: how many orders of laying are tried; the best is kept.

    Raises:
        SeamwrightError: a figure that cannot be.
    """

    process: Process
    kerf_mm: float
    spacing_mm: float
    margin_mm: float = field(default_factory=lambda: nest_rule("margin"))
    turns: tuple[int, ...] = (0, 1, 2, 3)
    tries: int = 4

    def __post_init__(self) -> None:
        if not 0.0 < self.kerf_mm <= 50.0:
            raise SeamwrightError(f"{self.process}: a kerf of {self.kerf_mm:g} mm; it must be over 0 and at most 50 mm")
        for name, value in (("spacing", self.spacing_mm), ("margin", self.margin_mm)):
            if not 0.0 <= value <= 500.0:
                raise SeamwrightError(f"{self.process}: a {name} of {value:g} mm; it must be 0 to 500 mm")
        if not self.turns or not set(self.turns) <= {0, 1, 2, 3}:
            raise SeamwrightError("a piece may be turned by 0, 1, 2 or 3 quarter turns")

    @property
    def grow_mm(self) -> float:
        """What each piece keeps free round it: its own cut and half of the material between two."""
        return self.kerf_mm + self.spacing_mm / 2.0

    @property
    def gap_mm(self) -> float:
        """Least distance between the net outlines of two pieces."""
        return 2.0 * self.grow_mm


@dataclass(frozen=True, kw_only=True)
class NestStock:
    """A sheet on hand; `count` None is as many as needed."""

    name: str
    width_mm: float
    height_mm: float
    count: int | None = None


@dataclass(frozen=True, kw_only=True)
class NestPlace:
    """One piece on a sheet: lower-left corner of its turned box, and quarter turns counter-clockwise."""

    name: str
    piece: Piece
    x_mm: float
    y_mm: float
    quarter_turns: int

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the turned box."""
        w, h = self.piece.outline.size_mm
        return (h, w) if self.quarter_turns % 2 else (w, h)

    @property
    def outer(self) -> Loop | Circle:
        """The net outline where it lies."""
        return put(self.piece.outline.outer, self)

    @property
    def inner(self) -> tuple[Loop | Circle, ...]:
        """The net cut-outs where they lie."""
        return tuple(put(loop, self) for loop in self.piece.outline.inner)


def put_point(place: tuple[float, float], at: NestPlace) -> tuple[float, float]:
    """A place on the piece where the piece lies."""
    (x, y), (w, h) = place, at.piece.outline.size_mm
    turned = ((x, y), (h - y, x), (w - x, h - y), (y, w - x))[at.quarter_turns]
    return turned[0] + at.x_mm, turned[1] + at.y_mm


def put(loop: Loop | Circle, at: NestPlace) -> Loop | Circle:
    """A loop of the piece where the piece lies; bulges and radii do not change."""

    def point(x: float, y: float) -> tuple[float, float]:
        return put_point((x, y), at)

    if isinstance(loop, Circle):
        return Circle(*point(loop.x_mm, loop.y_mm), loop.radius_mm)
    return Loop(tuple(Vertex(*point(v.x_mm, v.y_mm), v.bulge) for v in loop.vertices))


@dataclass(frozen=True, kw_only=True)
class CutPath:
    """One path on the sheet, in the order of cutting.

    Attributes:
        name: the placed piece.
        role: `drill`, `inner` or `outer`.
        loop: where the middle of the cutter runs (drill: the bore itself).
        tabs: places on the path where the piece is left hanging on.
    """

    name: str
    role: Role
    loop: Loop | Circle
    tabs: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class NestSheet:
    """One sheet: what lies where, and what is cut in which order.

    Attributes:
        cut_length_mm: length of all inner and outer paths, each once.
        minutes: estimate; None where no speed is known for the thickness.
    """

    stock: NestStock
    thickness_mm: float
    material: str
    spec: NestSpec
    placed: tuple[NestPlace, ...]
    paths: tuple[CutPath, ...]
    cut_length_mm: float
    minutes: float | None

    @property
    def used(self) -> float:
        """Share of the sheet that parts."""
        return math.fsum(p.piece.outline.area_mm2 for p in self.placed) / (self.stock.width_mm * self.stock.height_mm)


@dataclass(frozen=True, kw_only=True)
class Nest:
    """Every sheet, and what must be said."""

    sheets: tuple[NestSheet, ...]
    findings: tuple[Finding, ...]
