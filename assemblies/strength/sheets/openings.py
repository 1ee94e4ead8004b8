"""Panels with openings: by how much a panel with cut-outs, low places of its rim or large holes bears and bows more than the
whole rectangle.

The box of the tank is solved with whole panels. Of a panel with openings the same load is put on sheets of its own outline and
of the rectangle (`strength.sheets`), once with its joints clamped and once with them supported, between which they are; under
an even pressure and under one that grows downward, all of it on what is left. The largest ratio of stress and of bow is taken,
at the opening's edge with its peak. A softer panel gives its neighbours less hold: they, and the joints, are taken larger by
twice what its bow grows. Held to solids: `tests/assemblies/strength/tank/test_openings.py`.

A plate on the panel is a rigid body along its outline. Besides the pressure, with the plate free and held, a push and two turns
of each plate are loads of their own: whatever a tank that hangs by it pulls with is made of them. Held to solids of tanks hung
so: `tests/assemblies/strength/tank/test_plated_openings.py`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from assemblies.design.model import Placed
from assemblies.strength.plates.limits import COARSE
from assemblies.strength.sheets.given import Attached, Held, SheetLoad
from assemblies.strength.sheets.sheet import SheetResult, sheet
from parts.findings import NotCovered
from parts.shape.outline import Arc, Circle, Line, Loop, Outline, rectangle

__all__ = ["MOST_BOW", "Opened", "has_openings", "lowered", "more_at_neighbours", "opened"]

#: By so much may openings make a panel bow more: softer than that, it is no panel of a box any more (judgement).
MOST_BOW: Final = 1.25
_NEIGHBOURS = 2.0  # judgement: see the head; the solids show less than the bow's own growth
_AREA = 1e-6  # share of its box that a rectangle may miss: rounding
_SETTLED = 0.06  # what is in doubt is added
_CORNERS = 1.25  # of what a plate goes further: a box's corners give too; 1.23 in a solid (computed)
_CLEAR = 2.0  # thicknesses between a plate and an opening: nearer, their peaks are one (judgement)
_SHARPEST = 0.5  # thicknesses: a corner of less radius is a notch, whose peak no plate theory knows (judgement)
_UNIT_T, _UNIT_E, _UNIT_P = 1.0, 1e6, 1e-6  # ratios of a thin plate are the same whatever these are


Chain = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Opened:
    """By what factor a panel with openings is stressed, and bows, more than the whole one; 1 or more. `plate`: by what factor
    it is stressed more where a plate on it is pulled or held, which is what the bond of that plate feels."""

    stress: float = 1.0
    bow: float = 1.0
    plate: float = 1.0


def has_openings(placed: Placed, wide_mm: float) -> bool:
    """Whether it has cut-outs, low places of an edge, or through bores wider than `wide_mm`."""
    piece = placed.piece
    return bool(piece.outline.inner) or lowered(piece.outline) or any(h.bore_mm > wide_mm for h in piece.holes)


def lowered(outline: Outline) -> bool:
    """Whether it is no whole rectangle outside."""
    width, height = outline.size_mm
    return abs(outline.outer.area_mm2 - width * height) > _AREA * width * height


def more_at_neighbours(every: Mapping[str, Opened], panel: str = "") -> float:
    """By what factor another panel, or a joint, is taken larger."""
    return 1.0 + _NEIGHBOURS * sum(one.bow - 1.0 for name, one in every.items() if name != panel)


#: Of a plate on a panel, in the panel's own axes: x and y of its low corner, then of its high corner, mm.
Patch = tuple[float, float, float, float]


def opened(placed: Placed, poisson: float, *, free_rim: bool, plates: tuple[Patch, ...] = ()) -> Opened:
    """The factors of a wall or a lid.

    Args:
        free_rim: its upper edge is held by nothing.
        plates: rectangles that are bonded to it, as far as they lie on it.

    Raises:
        NotCovered: it is no rectangle outside, a corner is too sharp, a plate is too near to an opening or a border, it gets
            too soft, or it does not settle.
    """
    piece = placed.piece
    rim = _upper_edge(placed) if free_rim else None
    _see_round(piece.outline, piece.thickness_mm)
    if lowered(piece.outline):
        _see_lowered(piece.outline, rim, piece.thickness_mm)
    _see_clear(piece.profile, piece.thickness_mm, plates)
    found = _factors(piece.profile, poisson, rim, plates, piece.thickness_mm)
    if found.bow > MOST_BOW:
        raise NotCovered(
            f"its openings make it bow {found.bow:.2f} times as far: over {MOST_BOW:g} it no longer holds its neighbours"
        )
    return found


def _see_round(outline: Outline, thick: float) -> None:
    for loop in outline.inner:
        radii = [loop.radius_mm] if isinstance(loop, Circle) else _corner_radii(loop)
        if not radii or min(radii) < _SHARPEST * thick:
            raise NotCovered(
                f"a cut-out has a corner sharper than a radius of {_SHARPEST * thick:.1f} mm: its peak is not calculated"
            )


def _see_clear(outline: Outline, thick: float, plates: tuple[Patch, ...]) -> None:
    """Refuse plates that are not well inside the sheet that is left."""
    from shapely import Polygon, box

    sheet = Polygon(outline.outer.points(), [loop.points() for loop in outline.inner if loop.area_mm2 > thick**2])
    for one in plates:
        if not sheet.contains(box(*one).buffer(_CLEAR * thick - 1e-6, join_style="mitre")):
            raise NotCovered(
                f"a plate on it is less than {_CLEAR * thick:.0f} mm from an opening or a border: what it bears there is "
                "not calculated"
            )


def _see_lowered(outline: Outline, rim: str | None, thick: float) -> None:
    """Refuse what is no rectangle with low places in its free rim, their corners round."""
    outer, (width, height) = outline.outer, outline.size_mm
    segments = outer.segments() if isinstance(outer, Loop) else ()
    sides = {
        "left": (0, 0.0, height),
        "right": (0, width, height),
        "bottom": (1, 0.0, width),
        "top": (1, height, width),
    }
    for name, (axis, at, length) in sides.items():
        whole = any(
            not isinstance(s, Arc)
            and abs(s.length_mm - length) < 1e-6
            and all(abs(v - at) < 1e-6 for v in ((s.x0_mm, s.x1_mm), (s.y0_mm, s.y1_mm))[axis])
            for s in segments
        )
        if name != rim and not whole:
            raise NotCovered("it is no rectangle but for low places of its free rim")
    for one, after in itertools.pairwise((*segments, *segments[:1])):
        if isinstance(one, Arc) and one.radius_mm < _SHARPEST * thick - 1e-6:
            raise NotCovered(f"a corner of its rim is sharper than a radius of {_SHARPEST * thick:.1f} mm")
        if not isinstance(one, Arc) and not isinstance(after, Arc) and _turns_in(one, after):
            raise NotCovered("a corner of its rim goes in sharply: its peak is not calculated")


def _turns_in(one: Line, after: Line) -> bool:
    """Whether the outline, run counter-clockwise, turns right between two straight sides."""
    a, b = (one.x1_mm - one.x0_mm, one.y1_mm - one.y0_mm), (after.x1_mm - after.x0_mm, after.y1_mm - after.y0_mm)
    return a[0] * b[1] - a[1] * b[0] < -1e-9 * one.length_mm * after.length_mm


def _corner_radii(loop: Loop) -> list[float]:
    """Radii of a loop's arcs; 0 where two straight sides meet."""
    segments = loop.segments()
    sharp = any(
        not isinstance(a, Arc) and not isinstance(b, Arc) for a, b in itertools.pairwise((*segments, segments[0]))
    )
    return [0.0] * sharp + [s.radius_mm for s in segments if isinstance(s, Arc)]


def _upper_edge(placed: Placed) -> str:
    """The name of the piece's own side that is up in the world."""
    width, height, _ = placed.piece.size_mm
    middles = {
        "left": (0.0, height / 2),
        "right": (width, height / 2),
        "bottom": (width / 2, 0.0),
        "top": (width / 2, height),
    }
    return max(middles, key=lambda side: placed.world(*middles[side], 0.0)[2])


@cache
def _factors(outline: Outline, poisson: float, rim: str | None, plates: tuple[Patch, ...], thick: float) -> Opened:
    width, height = outline.size_mm
    plain = Outline(rectangle(width, height))
    up = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1), None: (0, 1)}[rim]
    size = width if up[0] else height
    top = size if sum(up) > 0 else 0.0  # where the liquid's pressure is nothing
    grows = tuple(-_UNIT_P * way / size for way in up)
    pressed = (
        SheetLoad(pressure=(_UNIT_P, 0.0, 0.0)),
        SheetLoad(pressure=(_UNIT_P * abs(top) / size if sum(up) > 0 else 0.0, grows[0], grows[1])),
    )
    more = outline.outer.area_mm2 / outline.area_mm2  # what pressed on the opening comes on the rest
    stress = bow = plate = 1.0
    for clamped, (loads, bodies, fixed) in itertools.product((True, False), _ways(pressed, plates)):
        joint = thick if bodies or fixed else 0.0
        cut, whole = (_solved(one, poisson, rim, clamped, loads, bodies, fixed, joint) for one in (outline, plain))
        share = 1.0 if loads[0] in _PULLS else more
        for k in range(len(loads)):
            weights = [float(i == k) for i in range(len(loads))]
            ours, theirs = cut.stress(weights), whole.stress(weights)
            if max(ours.error, theirs.error) > COARSE:
                raise NotCovered("the stress at its openings does not settle on finer meshes")
            stress = max(stress, share * ours.safe / theirs.value)
            plate = max(plate, share * ours.safe / theirs.value if bodies or fixed else 1.0)
            bow = max(bow, share * cut.deflection(weights).safe / whole.deflection(weights).value)
        if loads[0] in _PULLS:
            bow = max(bow, *_softer(cut, whole, loads[0], bodies))
    return Opened(stress=stress, bow=bow, plate=plate)


def _softer(cut: SheetResult, whole: SheetResult, load: SheetLoad, bodies: tuple[Attached, ...]) -> Iterator[float]:
    """By how much more the plate that is pulled goes the way it is pulled."""
    own = load.pull[::-1].index(max(load.pull))  # along x: a turn about y; along y: about x; square to it: a move
    for body, one in enumerate(bodies):
        if one.mass_kg:
            yield 1.0 + _CORNERS * (cut.moved([1.0], body)[own] / whole.moved([1.0], body)[own] - 1.0)


#: A push square to the sheet, and a turn about each of its axes: a mass of 1 kg at a lever is pulled.
_PULLS: Final = tuple(
    SheetLoad(pull=pull) for pull in ((1e3 * _UNIT_P, 0.0, 0.0), (0.0, 1e3 * _UNIT_P, 0.0), (0.0, 0.0, 1e3 * _UNIT_P))
)

_Way = tuple[tuple[SheetLoad, ...], tuple[Attached, ...], tuple[Chain, ...]]


def _ways(pressed: tuple[SheetLoad, ...], plates: tuple[Patch, ...]) -> Iterator[_Way]:
    """What loads the sheet, what goes with it, and what of it does not move."""
    yield pressed, (), ()
    for load in pressed if plates else ():
        yield (load,), tuple(_body(k, one, 0.0) for k, one in enumerate(plates)), ()
        yield (load,), (), tuple(line for one in plates for line in _outline_of(one))
    for pulled, load in itertools.product(range(len(plates)), _PULLS):
        yield (load,), tuple(_body(k, one, float(k == pulled)) for k, one in enumerate(plates)), ()


def _outline_of(patch: Patch) -> tuple[Chain, ...]:
    x0, y0, x1, y1 = patch
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    return tuple(itertools.pairwise(corners))


def _body(k: int, patch: Patch, mass: float) -> Attached:
    x0, y0, x1, y1 = patch
    lever = min(x1 - x0, y1 - y0) / 2.0  # so that all pulls stress it alike
    centre = ((x0 + x1) / 2.0, (y0 + y1) / 2.0, lever)
    return Attached(name=f"plate {k + 1}", at=_outline_of(patch), mass_kg=mass, centre_mm=centre)


@cache
def _solved(
    outline: Outline,
    poisson: float,
    rim: str | None,
    clamped: bool,
    loads: tuple[SheetLoad, ...],
    bodies: tuple[Attached, ...],
    fixed: tuple[Chain, ...],
    joint: float,
) -> SheetResult:
    width, height = outline.size_mm
    sides = {
        "left": ((0.0, 0.0), (0.0, height)),
        "right": ((width, 0.0), (width, height)),
        "bottom": ((0.0, 0.0), (width, 0.0)),
        "top": ((0.0, height), (width, height)),
    }
    held = [Held(at=ends, clamped=clamped) for name, ends in sides.items() if name != rim]
    held += [Held(at=line, clamped=True) for line in fixed]
    return sheet(
        outline, _UNIT_T, _UNIT_E, poisson, held=held, loads=loads, bodies=bodies, joint_mm=joint, settled=_SETTLED
    )
