"""Pieces that stand where the liquid is, and the room that they take from it."""

from __future__ import annotations

from dataclasses import replace

from assemblies.design.model import Design, Placed
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.cells import Block

__all__ = ["backings", "hollowed", "inside_pieces"]

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
    no plain boxes along the axes.

    Args:
        design: with one cavity.
    """
    cavity, inside = design.cavities[0], inside_pieces(design)
    plugged = {p.name for p in backings(design)}  # bolts fill their holes
    odd = tuple(p.name for p in inside if not _plain(p, p.name in plugged))
    solids = tuple(_clipped(p, cavity) for p in inside if p.name not in odd)
    return (replace(cavity, solids=solids) if solids else cavity), odd


def _plain(placed: Placed, plugged: bool = False) -> bool:
    piece, (width, height) = placed.piece, placed.piece.outline.size_mm
    square = all(min(abs(abs(c) - 1.0), abs(c)) < 1e-9 for axis in (placed.x, placed.z) for c in axis)
    whole = abs(piece.outline.area_mm2 - width * height) <= _AREA * width * height
    return square and whole and not (piece.outline.inner or (piece.holes and not plugged) or piece.features)


def _clipped(placed: Placed, cavity: Cavity) -> Block:
    """The part of a piece that stands in the liquid; what is a saw's error from a wall stands against it."""
    ends = cavity.upright_box
    assert ends is not None
    low, high = ends
    a, b = placed.box
    start = [max(a[k], low[k]) if a[k] > low[k] + _TOUCH_MM else low[k] for k in range(3)]
    end = [min(b[k], high[k]) if b[k] < high[k] - _TOUCH_MM else high[k] for k in range(3)]
    return Block(name=placed.name, low=(start[0], start[1], start[2]), high=(end[0], end[1], end[2]))
