"""Whether a design is the box that the method of strength was made for: if not, what is different, and what to do.

The method solves flat rectangular panels of even thickness that meet at right angles round an empty box. It reads panels by
their names; what it does not read is looked for here, so that nothing passes by not being looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from assemblies.design.inside import SLOPED, backings, inside_pieces
from assemblies.design.model import Design, Placed
from assemblies.strength.sheets.openings import Opened, has_openings, lowered, opened
from assemblies.strength.tank.model import no_low_wall
from parts.findings import Finding, NotCovered, Remedy
from parts.vectors import Vector

__all__ = ["box_findings", "openings_of"]

_SAME_MM = 1.0  # judgement: panels as cut and a cavity as drawn may differ by a saw's error
_TOUCH_MM = 0.01  # less is touching
_SQUARE = 1e-9
#: Of a panel's shorter side: the gross stress factor 3 of a round hole in a wide plate is 3.24 at a quarter, under a tenth more
#: (Peterson, Stress Concentration Factors, finite width; from memory).
_HOLE = 0.25
_JUDGEMENT = "judgement: limit of this method"
_ELSE = "or get it proven another way"
#: The panels and the (axis, end) of the cavity that their inner faces make: end 0 is low, 1 is high.
_FACES = {"left": (0, 0), "right": (0, 1), "front": (1, 0), "back": (1, 1), "bottom": (2, 0)}
_Box = tuple[Vector, Vector]


def openings_of(design: Design, poisson: float) -> dict[str, Opened | str]:
    """What the openings of each wall and of the lid make of it, or why that is not known."""
    panels = {p.name: p for p in design.placed if p.name in (*_FACES, "lid")}
    plated = [p for p in design.placed if p.piece.role == "mount"]
    found: dict[str, Opened | str] = {}
    for name, placed in panels.items():
        if not has_openings(placed, _HOLE * min(placed.piece.outline.size_mm[:2])) and not list(_together(placed)):
            continue
        if name == "bottom":
            found[name] = "of a floor, which lies on something, that is not calculated"
        else:
            bonded = [
                p for p in panels.values() if p.name == "lid" and not any("lid" in (j.a, j.b) for j in design.joints)
            ]
            try:
                plates = tuple(_patch(placed, plate) for plate in plated if _on(placed, plate))
                found[name] = opened(placed, poisson, free_rim=name != "lid" and not bonded, plates=plates)
            except NotCovered as error:
                found[name] = str(error)
    return found


def _patch(panel: Placed, plate: Placed) -> tuple[float, float, float, float]:
    """Where a plate lies on a panel, in the panel's own axes.

    Raises:
        NotCovered: it is no rectangle, or does not lie flat on it.
    """
    if (
        lowered(plate.piece.outline)
        or abs(math.fsum(p * q for p, q in zip(panel.z, plate.z, strict=True))) < 1.0 - _SQUARE
    ):
        raise NotCovered("a plate that touches it is no rectangle, or does not lie flat on it: that is not calculated")
    (x0, y0, _), (x1, y1, _) = (panel.local(corner) for corner in plate.box)
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _on(panel: Placed, plate: Placed) -> bool:
    """Whether a plate touches a panel."""
    return all(
        a <= d + _SAME_MM and c <= b + _SAME_MM
        for (a, b), (c, d) in zip(zip(*panel.box, strict=True), zip(*plate.box, strict=True), strict=True)
    )


def box_findings(design: Design, support: str, depth_mm: float = math.inf, calm: bool = False) -> Iterator[Finding]:
    """One care for each thing in which the design is not the box of the method.

    Args:
        design: with one cavity.
        support: what the order says carries it.
        depth_mm: how deep liquid stands at most. calm: nothing moves or tilts it.
    """
    panels = {p.name: p for p in design.placed if p.name in (*_FACES, "lid")}
    if not set(_FACES) <= set(panels):
        return  # the proof itself refuses what has not these panels
    sheet = panels["bottom"].piece.sheet.substance
    yield from _flat(panels.values(), openings_of(design, sheet.poisson), panels["bottom"].box[1][2] + depth_mm, calm)
    inside = design.cavities[0].upright_box
    upright = [n for n in _FACES if n != "bottom" and abs(panels[n].z[2]) < _SQUARE]
    low = [n for n in upright if inside and panels[n].box[1][2] < inside[1][2] - _SAME_MM]
    other = low and (no_low_wall(design, low) or ("it hangs by its rim" if support == "hung" else ""))
    if other:
        yield _finding(
            ", ".join(low),
            f"lower than the other walls over its whole length, and {other}: that is not calculated together",
            f"a low-rim with a width, {_ELSE}",
        )
        return
    if inside is None or not all(_closes(panels[n], inside, *at, low=n in low) for n, at in _FACES.items()):
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


def _closes(panel: Placed, inside: _Box, axis: int, end: int, *, low: bool) -> bool:
    """Whether a panel stands square and closes its side of the box, inner face on it; a low one as far as it goes up."""
    first, last = panel.box
    square = abs(last[axis] - first[axis] - panel.piece.thickness_mm) < _TOUCH_MM
    on = abs((first, last)[1 - end][axis] - inside[end][axis]) < _SAME_MM
    others = [k for k in range(3) if k != axis]
    starts = all(first[k] < inside[0][k] + _SAME_MM for k in others)
    return square and on and starts and all(last[k] > inside[1][k] - _SAME_MM for k in others if not (low and k == 2))


def _flat(
    panels: Iterable[Placed], openings: Mapping[str, Opened | str], level_mm: float, calm: bool
) -> Iterator[Finding]:
    """Panels that are no plain rectangles, or have openings of which nothing is known, or that liquid may reach."""
    for placed in panels:
        piece, (width, height) = placed.piece, placed.piece.outline.size_mm
        outline, known = piece.outline, openings.get(placed.name)
        cut = sum(loop.area_mm2 for loop in outline.inner)
        if piece.features or (lowered(outline) and not isinstance(known, Opened)):
            why = f"it is no flat rectangle{f': {known}' if known else ''}"
            yield _finding(placed.name, why, f"a rectangular panel, {_ELSE}")
            continue
        if outline.inner:
            why = _leaks(placed, level_mm, calm) or (known if isinstance(known, str) else "")
            if why:
                yield _finding(
                    placed.name,
                    f"it has {len(outline.inner)} cut-out{'s' if len(outline.inner) > 1 else ''} of {cut:.0f} mm2 in all: "
                    f"{why}",
                    f"no such cut-out in a panel that carries liquid, {_ELSE}",
                )
        wide = max((max(h.bore_mm, h.sink_mm or 0.0) for h in piece.holes), default=0.0)
        if not isinstance(known, str):
            continue
        if wide > _HOLE * min(width, height):
            yield _finding(
                placed.name,
                f"a hole of {wide:g} mm is over a quarter of its shorter side of {min(width, height):.0f} mm: too large "
                f"for the factor that is taken at its edge; {known}",
                f"a hole of at most {(most := math.floor(_HOLE * min(width, height))):g} mm, {_ELSE}",
                "a hole in a plate of finite width (Peterson, Stress Concentration Factors; from memory)",
                Remedy(piece=placed.name, change="diameter", least=(float(most),)),
            )
        else:
            yield from _together(placed)


def _leaks(placed: Placed, level_mm: float, calm: bool) -> str:
    """Why liquid may come through a panel's cut-outs; empty where it cannot."""
    if placed.name == "lid":
        return "" if calm else "what moves may throw liquid through it"
    lowest = min(
        placed.world(x, y, 0.0)[2]
        for loop in placed.piece.outline.inner
        for x, y in ((loop.bounds_mm[0], loop.bounds_mm[1]), (loop.bounds_mm[2], loop.bounds_mm[3]))
    )
    if lowest < level_mm:
        return "liquid stands as high as that, and nothing is said of what closes it"
    return "" if calm else "what moves may throw liquid through it"


def _together(placed: Placed) -> Iterator[Finding]:
    """Holes that are small one by one, and yet a row that takes much of the panel, or so near that they share their stress."""
    holes = [(h.x_mm, h.y_mm, max(h.bore_mm, h.sink_mm or 0.0)) for h in placed.piece.holes]
    for k, side in enumerate(placed.piece.outline.size_mm):
        rows = [sum(o[2] for o in holes if abs(o[1 - k] - one[1 - k]) < o[2] / 2.0) for one in holes]
        if max(rows, default=0.0) > _HOLE * side:
            yield _finding(
                placed.name,
                f"holes in one line take up {max(rows):.0f} mm of its {side:.0f} mm: what is left between them is not "
                f"calculated",
                f"fewer holes, or smaller ones, in a line, {_ELSE}",
            )
            return
    gaps = [(math.dist(a[:2], b[:2]) - (a[2] + b[2]) / 2.0, max(a[2], b[2])) for a, b in combinations(holes, 2)]
    near = [gap for gap, bore in gaps if gap < bore]  # judgement: a diameter between them
    if near:
        yield _finding(
            placed.name,
            f"{max(min(near), 0.0):.1f} mm between two holes, less than the larger one's diameter: they raise each other's "
            "stress, which is not calculated",
            f"holes at least a diameter apart, edge to edge, {_ELSE}",
        )


def _within(design: Design) -> Iterator[Finding]:
    under_heads = backings(design)  # what they stiffen is not counted
    inside = inside_pieces(design)
    found = [p for p in inside if p not in under_heads and p.piece.role != "inner"]
    for placed in inside:
        if placed.piece.role == "inner":
            yield from _parting(placed)
    if found:
        yield _finding(
            ", ".join(p.name for p in found),
            "bonded inside: what it does to the walls is not calculated",
            f"leave it out, {_ELSE}",
        )


def _parting(placed: Placed) -> Iterator[Finding]:
    """A wall inside that is no upright rectangle, or whose holes are too large for the factor that is taken at their edge."""
    piece, side = placed.piece, min(placed.piece.outline.size_mm)
    if piece.kind in SLOPED:
        return  # wall to wall on all four sides, and what it rests on, which no figure counts on
    wide = max((hole.bore_mm for hole in piece.holes), default=0.0)
    if piece.features or lowered(piece.outline) or piece.outline.inner or abs(placed.z[2]) > _SQUARE:
        yield _finding(placed.name, "a wall inside that is no upright rectangle", f"a plain wall, {_ELSE}")
    elif wide > _HOLE * side:
        most = math.floor(_HOLE * side)
        why = f"a hole of {wide:g} mm is over a quarter of its shorter side of {side:.0f} mm"
        yield _finding(placed.name, why, f"holes of at most {most:g} mm, {_ELSE}")
    else:
        yield from _together(placed)


def _plates(design: Design, inside: _Box, support: str) -> Iterator[Finding]:
    """Plates under the floor of a tank that is to stand or hang in another way."""
    under = [p for p in design.carried if p.piece.role == "mount" and p.box[1][2] < inside[0][2] and abs(p.z[2]) > 0.5]
    if under and support in ("flat", "edges", "hung"):
        yield _finding(
            ", ".join(p.name for p in under),
            f'support = "{support}" with plates under the floor: it then stands on them, and the floor bends between'
            if support != "hung"
            else "hung, with plates under the floor: how much of it they carry is not known",
            f'support = "plates", {_ELSE}',
        )
