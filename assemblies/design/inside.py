"""Pieces that stand where the liquid is, and the room that they take from it."""

from __future__ import annotations

import math
from dataclasses import replace

from assemblies.design.model import Design, Placed
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.cells import Block
from parts.shape.piece import Hole
from parts.vectors import Vector

__all__ = ["SLOPED", "backings", "hollowed", "inside_pieces"]

#: Kinds of pieces that make a sloped floor: it, and what it rests on.
SLOPED = ("ramp", "ramp-rest")
_TOUCH_MM = 0.01  # less is touching
_AREA = 1e-6  # share of its box that a plain piece may miss: rounding
_AROUND = frozenset({"left", "right", "front", "back", "bottom", "lid"})


def inside_pieces(design: Design) -> tuple[Placed, ...]:
    """Pieces that reach into a box of liquid; what a loose lid is laid in with does not count.

    Args:
        design: with one cavity.
    """
    ends = design.cavities[0].upright_box
    if ends is None:
        return ()
    low, high = ends
    loose = {name for j in design.joints if j.kind == "loose" for name in (j.a, j.b)}
    return tuple(
        p
        for p in design.placed
        if p.name not in _AROUND
        and not (p.name in loose and p.piece.role == "stiffener")
        and all(p.box[0][k] < high[k] - _TOUCH_MM and p.box[1][k] > low[k] + _TOUCH_MM for k in range(3))
    )


def backings(design: Design) -> tuple[Placed, ...]:
    """What bolts through a wall go through on its inside, under their heads, and no wider than the plate outside of that."""
    placed = {p.name: p for p in design.placed}
    found = []
    for bolt in design.fasteners:
        plate = placed[bolt.piece]
        for one in (placed[name] for name in bolt.through):
            (low, high), (start, end) = plate.box, one.box
            across = [k for k in range(3) if abs(plate.z[k]) < 0.5]
            within = all(low[k] - _TOUCH_MM <= start[k] and end[k] <= high[k] + _TOUCH_MM for k in across)
            if plate.piece.role == "mount" and one.piece.role == "stiffener" and within:
                found.append(one)
    return tuple(found)


def hollowed(design: Design) -> tuple[Cavity, tuple[str, ...]]:
    """The cavity of a design less the pieces that stand in it; and the names of those whose room is not taken out, as they are
    no plain boxes along the axes, with round holes right through or without.

    Args:
        design: with one cavity.
    """
    cavity, inside = design.cavities[0], inside_pieces(design)
    if cavity.slopes:  # what makes a sloped floor, and what stands under it
        inside = tuple(p for p in inside if p.piece.kind not in SLOPED)
    plugged = {p.name for p in backings(design)}  # bolts fill their holes
    odd = tuple(p.name for p in inside if not _plain(p, p.name in plugged))
    solids = tuple(_clipped(p, cavity, p.name in plugged) for p in inside if p.name not in odd)
    return (replace(cavity, solids=(*cavity.solids, *solids)) if solids else cavity), odd


def _plain(placed: Placed, plugged: bool = False) -> bool:
    piece, (width, height) = placed.piece, placed.piece.outline.size_mm
    square = all(min(abs(abs(c) - 1.0), abs(c)) < 1e-9 for axis in (placed.x, placed.z) for c in axis)
    whole = abs(piece.outline.area_mm2 - width * height) <= _AREA * width * height
    through = plugged or all(h.kind == "through" and h.depth_mm is None for h in piece.holes)
    return square and whole and through and not (piece.outline.inner or piece.features)


def _clipped(placed: Placed, cavity: Cavity, plugged: bool) -> Block:
    """The part of a piece that stands in the liquid; what is a saw's error from a wall stands against it."""
    ends = cavity.upright_box
    assert ends is not None
    low, high = ends
    a, b = placed.box
    start = [max(a[k], low[k]) if a[k] > low[k] + _TOUCH_MM else low[k] for k in range(3)]
    end = [min(b[k], high[k]) if b[k] < high[k] - _TOUCH_MM else high[k] for k in range(3)]
    first, last = (start[0], start[1], start[2]), (end[0], end[1], end[2])
    passages = () if plugged else tuple(_passage(placed, hole, first, last) for hole in placed.piece.holes)
    return Block(name=placed.name, low=first, high=last, passages=passages)


def _passage(placed: Placed, hole: Hole, low: Vector, high: Vector) -> tuple[Vector, Vector]:
    """A round hole as a square one of the same section, right through the block: its two corners."""
    half, t = math.sqrt(math.pi) * hole.bore_mm / 4.0, placed.piece.thickness_mm
    ends = [placed.world(hole.x_mm + s * half, hole.y_mm + s * half, w) for s, w in ((-1.0, 0.0), (1.0, t))]
    across = [abs(n) < 0.5 for n in placed.z]
    start = [min(e[k] for e in ends) if across[k] else low[k] for k in range(3)]
    end = [max(e[k] for e in ends) if across[k] else high[k] for k in range(3)]
    return (start[0], start[1], start[2]), (end[0], end[1], end[2])
