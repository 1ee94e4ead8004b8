"""A box as it grows: its faces, its posts, what is placed, screwed and bought so far."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from assemblies.design import Bought, Fastener
from assemblies.design.gather import Gathered
from assemblies.kinds.enclosure.openings import Face
from assemblies.kinds.enclosure.spec import EnclosureSpec
from assemblies.kinds.enclosure.walls import Edges, Inner
from assemblies.order import Order, OrderError
from assemblies.order.errors import Key
from parts.findings import Finding, SeamwrightError, Taken
from parts.shape.piece import Piece
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.vectors import Vector

__all__ = ["Laid", "said"]


@dataclass
class Laid:
    """The box as it grows. `t`: as its sheet measures; `walls`: the inside of the box in the world, low and high corner."""

    order: Order
    spec: EnclosureSpec
    sheet: Sheet
    edges: Edges | None
    faces: dict[str, Face]
    post: tuple[float, float]
    post_sheet: Sheet
    gathered: Gathered = field(default_factory=Gathered)
    more: list[Fastener] = field(default_factory=list)
    bought: list[Bought] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)
    reliefs: list[tuple[str, str, float]] = field(default_factory=list)
    vents: list[tuple[float, float, str]] = field(default_factory=list)
    walls: list[Inner] = field(default_factory=list)
    subs: list[tuple[str, Piece, tuple[float, float]]] = field(default_factory=list)

    @property
    def t(self) -> float:
        return self.sheet.thickness_mm

    @property
    def inside(self) -> tuple[Vector, Vector]:
        length, width, depth = self.spec.size
        return (-length / 2, -width / 2, self.t), (length / 2, width / 2, self.t + depth)

    @property
    def radius(self) -> float:
        """Of inside corners: what the shop wants, and the cutter leaves."""
        cutter = self.order.cutting.kerf / 2.0 if self.order.cutting.process == "router" else 0.0
        least = max(rule("inside_corner_min"), rule("inside_corner_thickness_min") * self.t)
        return round(max(least, cutter), 3)

    def height(self, name: str, up: float) -> float:
        """How high a place of a face stands over the table, mm; `up` from the face's middle."""
        placed = self.low(name)
        return placed[2] + (self.faces[name].middle[1] + up if name not in ("lid", "bottom") else 0.0)

    def low(self, name: str) -> Vector:
        """Where the low corner of a face's box stands."""
        (x0, y0, z0), (x1, y1, z1) = self.inside
        wide, _ = self.faces[name].outer.bounds_mm[2:]
        w, h = self.faces[name].outer.bounds_mm[2:]
        tabs = self.edges is not None
        return {
            "bottom": (-w / 2, y1 + self.t - h, 0.0),
            "front": (-wide / 2, y0 - self.t, (z1 + self.t - h) / 2 if self.rack else 0.0 if tabs else z0),
            "back": (-wide / 2, y1, 0.0 if tabs else z0),
            "left": (x0 - self.t, -wide / 2, 0.0 if tabs else z0),
            "right": (x1, -wide / 2, 0.0 if tabs else z0),
            "lid": (-w / 2, (y0 if self.rack else y0 - self.t - self.spec.drip), z1),
        }[name]

    @property
    def rack(self) -> bool:
        return self.spec.mount is not None and self.spec.mount.by == "rack"


@contextmanager
def said(order: Order, *key: str | int) -> Iterator[None]:
    """What makers of pieces refuse, said at a key of the order."""
    try:
        yield
    except OrderError:
        raise
    except SeamwrightError as error:
        at: Key = ("enclosure", *key)
        raise order.refuse(at, str(error), "") from error
