"""A quick-release plate as it is drawn: a bevelled strip under a bonded plate, and the shoe that it slides into."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from parts.make.strip import Bevelled
from parts.shape.piece import Piece
from parts.vectors import Vector, cross

__all__ = ["Part", "Release", "Shoe"]


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part of a shoe that is made elsewhere: where its lower-left corner stands, and which way its own x goes."""

    name: str
    piece: Piece
    at: Vector
    x: Vector


@dataclass(frozen=True, kw_only=True)
class Shoe:
    """The female part, mm.

    Attributes:
        made_of: `acrylic` is made here; the others are bought or made elsewhere, to these sizes.
        count: how many there are.
        names: its instances; none where it is of metal. made: of one of metal its parts in their places, for its drawing.
        name: of its base. base: that with the holes of the pattern alone; at: where its lower-left corner stands.
        holes: tapped or clearance holes; bolt: thread of what goes through or into them.
        lip, root: width of a jaw at its lip and on the base.
        screw, screws: thread and number of the screws of each jaw; heel: from their line to the jaw's back edge.
        rated: what the maker of one of metal rates it for, N; None where that is not said.
        jaw: length of the jaws; rail: width of what the clamped jaw backs on to; stop: along and across the slot.
    """

    made_of: Literal["acrylic", "aluminium", "steel"]
    count: int
    names: tuple[str, ...]
    name: str
    base: Piece
    at: Vector
    holes: str
    bolt: str
    lip: float
    root: float
    screw: str
    screws: int
    heel: float
    jaw: float
    rail: float
    stop: tuple[float, float]
    rated: float | None = None
    made: tuple[Part, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Release:
    """One plate with its strip, mm.

    Attributes:
        plate, strip: their instances.
        face: of the tank. origin: middle of the plate's outer face; pull: the way out; out: from the tank to the rig.
        angle_deg: of the flanks to their seat; narrow: width at the plate; depth: thickness of the strip; length: of the plate
            along the slot. sizes: what follows of these; gauge: diameter of the pins that it is measured over.
        clearance: sideways play in the open shoe.
        pin, pins: diameter and number of the locking pins; reach: from the plate's end to their line; bore: of their holes;
            beside: how far each stands from the middle, across.
        tab: how far the strip reaches past the plate; lanyard: diameter of the hole in it.
        wear: of a flank, at which it is given up.
    """

    plate: str
    strip: str
    face: str
    origin: Vector
    pull: Vector
    out: Vector
    angle_deg: float
    narrow: float
    depth: float
    length: float
    sizes: Bevelled
    gauge: float
    clearance: float
    pin: float
    pins: int
    bore: float
    beside: tuple[float, ...]
    reach: float
    tab: float
    lanyard: float
    wear: float
    shoe: Shoe

    @property
    def across(self) -> Vector:
        """The way across the slot."""
        return cross(self.out, self.pull)

    @property
    def back(self) -> float:
        """By how much a flank is cut back."""
        return (self.sizes.wide - self.narrow) / 2.0

    @property
    def grip(self) -> float:
        """What a pin goes through: the strip and the shoe's base."""
        return self.depth + self.shoe.base.thickness_mm

    @property
    def lanyard_at(self) -> float:
        """From the plate's end to the middle of the lanyard's hole."""
        return self.tab - 1.5 * self.lanyard

    def on_strip(self, past: float, across: float) -> Vector:
        """A point of the strip's face towards the plate, so far past the plate's end and beside the middle."""
        side = self.across
        x, y, z = (
            c + (self.length / 2.0 + past) * a + across * b
            for c, a, b in zip(self.origin, self.pull, side, strict=True)
        )
        return x, y, z

    @property
    def names(self) -> frozenset[str]:
        """The strip and what of the shoe is made here."""
        return frozenset((self.strip, *self.shoe.names))
