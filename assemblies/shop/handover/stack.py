"""What a bolt holds together, layer by layer from its head on: so its length, and what is bought with it.

*Grip*: all that is clamped, washers and seals included. *Reach*: how far a bolt may go past that before it bottoms out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assemblies.design.model import Design, Ends, Fastener
from assemblies.shop.care.rules import figure
from parts.shape.piece import Piece, Pocket
from parts.shape.spots import spots_of
from parts.stock.nut import nut, washer_mm
from parts.stock.rules import rule
from parts.stock.thread import thread

__all__ = ["Layer", "Stack", "pocket_of", "stack_of"]

_PAST = 2.0  # pitches that a bolt stands out of a free nut: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One thing that the bolt goes through: what, and how thick in mm."""

    what: str
    mm: float


@dataclass(frozen=True, kw_only=True)
class Stack:
    """The stack of a bolt.

    Attributes:
        layers: what is clamped, from the head on.
        reach_mm: how deep the bolt may go past them; None where it may come through.
        threaded_mm: how much thread it can use there.
        least_mm: how much of it must be used at the least.
    """

    layers: tuple[Layer, ...]
    reach_mm: float | None
    threaded_mm: float
    least_mm: float

    @property
    def grip_mm(self) -> float:
        return sum(layer.mm for layer in self.layers)


def stack_of(design: Design, fastener: Fastener, clamped_mm: float) -> Stack:
    """The stack of one of a design's fasteners.

    Args:
        clamped_mm: thickness of what the plates are bolted to.
    """
    screw, ends = thread(fastener.thread), design.ends_in(fastener)
    piece = design.instance(fastener.piece).piece
    least = rule("engagement_min") * screw.major_mm
    layers = tuple(_layers(design, fastener, ends, clamped_mm))
    if _passes(fastener, piece, ends):  # through a lid into a strip, or a plate into a standoff
        reach = fastener.longest_mm
        deep = rule("engagement_good") * screw.major_mm
        return Stack(layers=layers, reach_mm=reach, threaded_mm=deep, least_mm=least)
    if ends == "counterpart":
        return Stack(layers=layers, reach_mm=None, threaded_mm=least, least_mm=least)
    pocket = pocket_of(fastener, piece)
    if ends == "nut" and pocket:  # let in: the bolt stops short of what is behind
        deep = pocket.depth_mm - rule("bolt_end_clearance")
        return Stack(layers=layers, reach_mm=deep, threaded_mm=deep, least_mm=nut(screw).height_mm)
    if ends == "nut":
        deep = nut(screw).height_mm + _PAST * screw.pitch_mm
        return Stack(layers=layers, reach_mm=None, threaded_mm=deep, least_mm=deep)
    through = len(fastener.through) > 1
    reach = None if through else fastener.longest_mm
    return Stack(
        layers=layers, reach_mm=reach, threaded_mm=piece.thickness_mm if reach is None else reach, least_mm=least
    )


def _layers(design: Design, fastener: Fastener, ends: Ends, clamped_mm: float) -> Iterator[Layer]:
    """From the head on. A tapped plate, and one with metal let in, has what it is bolted to under the head."""
    size, pieces = thread(fastener.thread).size, {p.name: p.piece for p in design.placed}
    at = fastener.through.index(fastener.piece)
    mine = pieces[fastener.piece]
    passed = fastener.through[:at]
    sealed = fastener.sealed or (passed and mine.role == "mount")
    yield Layer(what="sealing washer", mm=figure("seal").value) if sealed else Layer(what="washer", mm=washer_mm(size))
    if _passes(fastener, mine, ends):
        yield Layer(what=mine.name, mm=mine.thickness_mm)
        return
    rig = Layer(what="what it is bolted to", mm=clamped_mm)
    pocket = pocket_of(fastener, mine) if ends == "nut" else None
    if not passed and ends != "counterpart":
        yield rig
    yield from (Layer(what=pieces[name].name, mm=pieces[name].thickness_mm) for name in _once(passed, pieces))
    if ends == "counterpart":
        yield Layer(what=mine.name, mm=mine.thickness_mm)
    elif pocket:
        yield Layer(what=f"floor of {mine.name}", mm=mine.thickness_mm - pocket.depth_mm)
    elif ends == "nut":
        yield Layer(what=mine.name, mm=mine.thickness_mm)
        if passed:
            yield rig
        yield Layer(what="washer", mm=washer_mm(size))


def pocket_of(fastener: Fastener, piece: Piece) -> Pocket | None:
    """The pocket behind the first of its bolts in a piece that lets in what they are screwed into."""
    onto = fastener.onto
    found = (s.pocket for s in spots_of(piece) if s.pocket and (onto is None or onto.has(s.x_mm, s.y_mm)))
    return next(found, None)


def _passes(fastener: Fastener, piece: Piece, ends: Ends) -> bool:
    """Whether a bolt goes through what it is listed with, and into another piece or something bought."""
    into = fastener.insert_mm is not None or any(
        bool(hole.thread) and (fastener.onto is None or fastener.onto.has(hole.x_mm, hole.y_mm)) for hole in piece.holes
    )
    return piece.role != "mount" and ends == "thread" and not into


def _once(names: tuple[str, ...], pieces: Mapping[str, Piece]) -> Iterator[str]:
    """Of strips that lie side by side the first: a bolt goes through one of them."""
    strip = False
    for name in names:
        if pieces[name].role == "stiffener":
            if strip:
                continue
            strip = True
        yield name
