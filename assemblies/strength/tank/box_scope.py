"""Whether a design is the box that the method of strength was made for: if not, what is different, and what to do.

The method solves flat rectangular panels of even thickness that meet at right angles round an empty box. It reads panels by
their names; what it does not read is looked for here, so that nothing passes by not being looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np

from assemblies.design.inside import inside_pieces
from assemblies.design.model import Design, Placed
from assemblies.strength.boxes.setting import WALLS
from parts.findings import Finding, Remedy
from parts.vectors import Vector

__all__ = ["box_findings"]

_SAME_MM = 1.0  # judgement: panels as cut and a cavity as drawn may differ by a saw's error
_TOUCH_MM = 0.01  # less is touching
_AREA = 1e-6  # share of its box's area that a rectangle's outline may miss: rounding
#: Of a panel's shorter side: the gross stress factor 3 of a round hole in a wide plate is 3.24 at a quarter, under a tenth more
#: (Peterson, Stress Concentration Factors, finite width; from memory).
_HOLE = 0.25
_PLACES = 101  # along each side of the floor, its corners with them
_APART, _OVER = 2.0, 1.0  # in heights of the tank: between the plates under its floor, and past them
_JUDGEMENT = "judgement: limit of this method"
_ELSE = "or have it proven another way"
#: The panels and the (axis, end) of the cavity that their inner faces make: end 0 is low, 1 is high.
_FACES = {"left": (0, 0), "right": (0, 1), "front": (1, 0), "back": (1, 1), "bottom": (2, 0)}
_Box = tuple[Vector, Vector]


def box_findings(design: Design, support: str) -> Iterator[Finding]:
    """One care for each thing in which the design is not the box of the method.

    Args:
        design: with one cavity.
        support: what the order says carries it.
    """
    panels = {p.name: p for p in design.placed if p.name in (*_FACES, "lid")}
    if not set(_FACES) <= set(panels):
        return  # the proof itself refuses what has not these panels
    yield from _flat(panels.values())
    inside = design.cavities[0].upright_box
    if inside is None or not all(_closes(panels[n], inside, *at) for n, at in _FACES.items()):
        yield _finding(
            "cavity",
            "what holds the liquid is not the box between the inner faces of its panels",
            f"a rectangular tank of upright walls, {_ELSE}",
        )
        return
    yield from _within(design)
    yield from _plates(design, inside, support)


def _finding(where: str, why: str, do: str, source: str = _JUDGEMENT, remedy: Remedy | None = None) -> Finding:
    why = f"not covered: {why}"
    return Finding(level="care", check="strength", where=where, why=why, do=do, source=source, remedy=remedy)


def _ends(points: Iterable[Vector]) -> _Box:
    x, y, z = zip(*points, strict=True)
    return (min(x), min(y), min(z)), (max(x), max(y), max(z))


def _closes(panel: Placed, inside: _Box, axis: int, end: int) -> bool:
    """Whether a panel stands square and closes its side of the box, inner face on it."""
    low, high = panel.box
    square = abs(high[axis] - low[axis] - panel.piece.thickness_mm) < _TOUCH_MM
    on = abs((low, high)[1 - end][axis] - inside[end][axis]) < _SAME_MM
    others = [k for k in range(3) if k != axis]
    return square and on and all(low[k] < inside[0][k] + _SAME_MM and high[k] > inside[1][k] - _SAME_MM for k in others)


def _flat(panels: Iterable[Placed]) -> Iterator[Finding]:
    """Panels that are no plain rectangles, or have openings that are no small round holes."""
    for placed in panels:
        piece, (width, height) = placed.piece, placed.piece.outline.size_mm
        outline = piece.outline
        cut = sum(loop.area_mm2 for loop in outline.inner)
        if abs(outline.area_mm2 + cut - width * height) > _AREA * width * height or piece.features:
            yield _finding(placed.name, "it is no flat rectangle", f"a rectangular panel, {_ELSE}")
        if outline.inner:
            yield _finding(
                placed.name,
                f"it has {len(outline.inner)} cut-out{'s' if len(outline.inner) > 1 else ''} of {cut:.0f} mm2 in all, and "
                "neither what is missing nor the stress at the corners is reckoned",
                f"no cut-out in a panel that carries liquid, {_ELSE}",
            )
        wide = max((max(h.bore_mm, h.sink_mm or 0.0) for h in piece.holes), default=0.0)
        if wide > _HOLE * min(width, height):
            yield _finding(
                placed.name,
                f"a hole of {wide:g} mm is over a quarter of its shorter side of {min(width, height):.0f} mm: too large "
                "for the factor that is taken at its edge",
                f"a hole of at most {(most := math.floor(_HOLE * min(width, height))):g} mm, {_ELSE}",
                "a hole in a plate of finite width (Peterson, Stress Concentration Factors; from memory)",
                Remedy(piece=placed.name, change="diameter", least=(float(most),)),
            )
        else:
            yield from _together(placed)


def _together(placed: Placed) -> Iterator[Finding]:
    """Holes that are small one by one, and yet a row that takes much of the panel, or so near that they share their stress."""
    holes = [(h.x_mm, h.y_mm, max(h.bore_mm, h.sink_mm or 0.0)) for h in placed.piece.holes]
    for k, side in enumerate(placed.piece.outline.size_mm):
        rows = [sum(o[2] for o in holes if abs(o[1 - k] - one[1 - k]) < o[2] / 2.0) for one in holes]
        if max(rows, default=0.0) > _HOLE * side:
            yield _finding(
                placed.name,
                f"holes in one line take {max(rows):.0f} mm of its {side:.0f} mm: what is left between them is not reckoned",
                f"fewer holes, or smaller ones, in a line, {_ELSE}",
            )
            return
    gaps = [(math.dist(a[:2], b[:2]) - (a[2] + b[2]) / 2.0, max(a[2], b[2])) for a, b in combinations(holes, 2)]
    near = [gap for gap, bore in gaps if gap < bore]  # judgement: a diameter between them
    if near:
        yield _finding(
            placed.name,
            f"{max(min(near), 0.0):.1f} mm between two holes, less than the larger one's diameter: they raise each other's "
            "stress, which is not reckoned",
            f"holes at least a diameter apart, edge to edge, {_ELSE}",
        )


def _within(design: Design) -> Iterator[Finding]:
    found = inside_pieces(design)
    if found:
        yield _finding(
            ", ".join(p.name for p in found),
            "bonded inside: what it does to the walls is not reckoned",
            f"leave it out, {_ELSE}",
        )


def _plates(design: Design, inside: _Box, support: str) -> Iterator[Finding]:
    """Plates on walls; plates under the floor that leave much of it to the walls.

    The walls carry the floor between plates and past them as deep beams. They are taken as stiff for that, which is so only
    while they are short for their height.
    """
    plates = [p for p in design.placed if p.piece.role == "mount"]
    under = [p for p in plates if p.box[1][2] < inside[0][2] and abs(p.z[2]) > 0.5]
    walls = [p.name for p in plates if p not in under]
    if walls:
        yield _finding(
            ", ".join(walls),
            "plates on a wall: how they bend the wall and pull on its seams is not reckoned well enough",
            f"plates under the floor instead, {_ELSE}",
        )
    if under and support in ("flat", "edges", "hung"):
        yield _finding(
            ", ".join(p.name for p in under),
            f'support = "{support}" with plates under the floor: it then stands on them, and the floor bends between'
            if support != "hung"
            else "hung, with plates under the floor: how much of it they carry is not known",
            f'support = "plates", {_ELSE}',
        )
    if support == "plates" and under:
        yield from _spread(
            under, _ends([c for p in design.placed if p.name in (*WALLS, "bottom") for c in p.box]), inside
        )


def _spread(under: Sequence[Placed], floor: _Box, inside: _Box) -> Iterator[Finding]:
    """Plates too far apart, or too far from what they carry. The safe readings: height is that of the inside; apart is from
    middle to middle; past them is from the nearest edge of any plate to the farthest place of the floor's outside."""
    height = inside[1][2] - inside[0][2]
    names, more = ", ".join(p.name for p in under), f"more plates under the floor, {_ELSE}"
    gap = max(_gaps(under, axis) for axis in (0, 1))
    if gap > _APART * height:
        yield _finding(
            names,
            f"plates {gap:.0f} mm apart, middle to middle, are over twice the tank's height of {height:.0f} mm: the walls "
            "sag between them, which bends the floor and its seams more than is reckoned",
            more,
        )
    far = _farthest(under, floor)
    if far > _OVER * height and not (gap > _APART * height and far <= gap / 2.0):  # said already
        yield _finding(
            names,
            f"part of the floor is {far:.0f} mm from the nearest plate, over the tank's height of {height:.0f} mm: the walls "
            "sag there, which bends the floor and its seams more than is reckoned",
            more,
        )


def _gaps(under: Sequence[Placed], axis: int) -> float:
    middles = sorted((p.box[0][axis] + p.box[1][axis]) / 2.0 for p in under)
    return max((b - a for a, b in pairwise(middles)), default=0.0)


def _farthest(under: Sequence[Placed], floor: _Box) -> float:
    """How far the worst place of the floor is from the nearest plate's edge, along the length or the width, mm."""
    (x0, y0, _), (x1, y1, _) = floor
    x, y = np.meshgrid(np.linspace(x0, x1, _PLACES), np.linspace(y0, y1, _PLACES))
    nearest = np.full(x.shape, np.inf)
    for plate in under:
        (a0, b0, _), (a1, b1, _) = plate.box
        off = np.maximum(np.maximum(a0 - x, x - a1), np.maximum(b0 - y, y - b1))
        nearest = np.minimum(nearest, np.maximum(off, 0.0))
    return float(nearest.max())
