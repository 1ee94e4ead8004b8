"""One rectangular plate under any pressure, with any mix of edges.

    plate(width, height, thickness, modulus, poisson, edges, pressure)

Kirchhoff's thin plate at small deflections. The deflection is a sum of smooth polynomials fitted to the edges
(Ritz), on a grid that is finer beside the ends of a free edge, where the moments change fastest; the error is
estimated by solving at a lower order too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from assemblies.strength.plates.basis import Array, Axis, axis
from assemblies.strength.plates.condense import Condensed, condense
from assemblies.strength.plates.element import SIDES, Element, Index, Line, Rim
from assemblies.strength.plates.given import (
    Bed,
    Edge,
    Pressure,
    Prop,
    Rib,
    as_edges,
    as_pressure,
    check_poisson,
    check_supports,
    rigidity,
    sizes,
)
from assemblies.strength.plates.limits import limits, unsettled
from assemblies.strength.plates.read_off import compared, read_off
from assemblies.strength.plates.surface import Bent, PlateResult
from assemblies.strength.plates.work import GOAL, work_of
from parts.findings import Finding

__all__ = ["plate", "scaled_solve"]

LOOSE = "edges: nothing holds the plate in place; hold an edge or give a support"
GRADE = 0.1  # share of the side, next to the corner of a free edge, that gets its own polynomials
ORDERS = ((0, 96), (2, 80))  # functions less per interval, and places of the pressure along a side, in both solutions
LONG = 2.2  # sides over this many times the other get more functions where they are cut near their ends
MOST_KNOTS = 10  # on an axis, before point supports get no more
_NEAR = 0.03  # share of a side: nearer to another knot than this, a point support gets none
_POINTED = 0.12  # of the short side: nearer to a point support than this no moment is said to be right
_LOOK = np.linspace(0.05, 0.95, 13)  # where both solutions are compared, as shares of the sides


def graded(length: float, other: float, at_0: bool, at_1: bool) -> tuple[float, ...]:
    """Knots of an axis with a short interval at the ends asked for, never longer than a tenth of the other side.

    The share is rounded to 1/64, so that the tables of an axis serve many plates.
    """
    share = max(1, round(64 * GRADE * min(1.0, other / length))) / 64.0
    return (0.0, *([share] if at_0 else []), *([1.0 - share] if at_1 else []), 1.0)


def active(size: int, start: Edge, end: Edge, held_knots: Sequence[int] = ()) -> Index:
    """Functions of an axis that its two edges leave free."""
    keep = np.ones(size, dtype=bool)
    for edge, k in ((start, 0), (end, 2)):
        keep[k] = not math.isinf(edge.translation)
        keep[k + 1] = not math.isinf(edge.rotation)
    keep[list(held_knots)] = False
    return np.nonzero(keep)[0]


def rim_of(edge: Edge | Rib) -> Rim:
    """The finite part of an edge's or a rib's stiffness."""
    return Rim(
        translation=0.0 if math.isinf(edge.translation) else edge.translation,
        rotation=0.0 if math.isinf(edge.rotation) else edge.rotation,
        bending=edge.bending,
        torsion=edge.torsion,
    )


def solve(condensed: Condensed, tie_compliance: Sequence[float] = ()) -> Array:
    """Coefficients of one plate that stands alone, (loads, size_x, size_y)."""
    matrix = condensed.stiffness.copy()
    first = len(matrix) - len(tie_compliance)
    for k, compliance in enumerate(tie_compliance):
        matrix[first + k, first + k] -= compliance
    return condensed.deflection(scaled_solve(matrix, condensed.load))


def scaled_solve(matrix: Array, vector: Array) -> Array:
    """Solve after scaling the diagonal to one; ValueError when the supports leave the plate free to move."""
    if not len(matrix):
        return vector
    size = np.abs(np.diag(matrix))
    scale = 1.0 / np.sqrt(np.where(size > 0.0, size, 1.0))
    scaled = matrix * np.outer(scale, scale)
    try:
        got = np.linalg.solve(scaled, vector * scale[:, None])
    except np.linalg.LinAlgError:
        raise ValueError(LOOSE) from None
    return np.asarray(got * scale[:, None])


def _held(edges: dict[str, Edge], extras: Sequence[Prop | Rib | Bed], width: float, height: float) -> None:
    """Refuse a plate that can move as a whole: up, or tilting about either axis (in shares of the sides)."""
    ends = {"left": ((0, 0), (0, 1)), "right": ((1, 0), (1, 1)), "bottom": ((0, 0), (1, 0)), "top": ((0, 1), (1, 1))}
    rows: list[tuple[float, float, float]] = []
    for side, edge in edges.items():
        rows += [(1.0, x, y) for x, y in ends[side]] if edge.translation > 0.0 else []
        rows += [(0.0, *((1.0, 0.0) if side in ("left", "right") else (0.0, 1.0)))] if edge.rotation > 0.0 else []
    for extra in extras:
        if isinstance(extra, Prop):
            rows.append((1.0, extra.x_mm / width, extra.y_mm / height))
        elif isinstance(extra, Bed):
            rows += [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)]
        else:
            x, y = (extra.x_mm or 0.0) / width, (extra.y_mm or 0.0) / height
            upright = extra.x_mm is not None
            along, across = ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)) if upright else ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
            rows += [(1.0, x, y), along] if extra.translation > 0.0 else []
            rows += [across] if extra.rotation > 0.0 else []
    if not rows or np.linalg.matrix_rank(np.array(rows), tol=1e-6) < 3:
        raise ValueError(LOOSE)


def _knots(
    length: float,
    other: float,
    own: tuple[Edge, Edge],
    cross: tuple[Edge, Edge],
    extra: Sequence[float],
    points: Sequence[float],
) -> tuple[float, ...]:
    """Knots of one axis: short ends where a free edge meets another edge; supports inside; as far as there is room, point
    supports, and a little beside them.
    """
    loose_own = [edge.translation == 0.0 for edge in own]
    loose_cross = any(edge.translation == 0.0 for edge in cross)
    ends = [loose or loose_cross for loose in loose_own]
    if all(e.translation == 0.0 for e in (*own, *cross)):
        ends = [False, False]
    knots = set(graded(length, other, ends[0], ends[1]))
    for place in sorted(set(extra)):
        share = place / length
        near = [k for k in knots if abs(k - share) < 1e-6]
        knots -= {k for k in knots if 1e-6 <= abs(k - share) < 0.03 and 0.0 < k < 1.0}
        if not near:
            knots.add(share)
    reach = GRADE * min(1.0, other / length)
    at = [place / length for place in points]
    for share in [*at, *(one + beside for one in at for beside in (-reach, reach))]:
        if len(knots) < MOST_KNOTS and all(abs(k - share) > _NEAR for k in knots) and 0.0 < share < 1.0:
            knots.add(share)
    return tuple(sorted(knots))


class _Built(NamedTuple):
    """A plate's element; its point supports that can do something, one for each tie, and the compliance of each (mm/N)."""

    element: Element
    props: tuple[Prop, ...]
    compliance: tuple[float, ...]


def _build(
    width: float,
    height: float,
    stiff: float,
    poisson: float,
    edges: dict[str, Edge],
    extras: Sequence[Prop | Rib | Bed],
    less: int,
) -> _Built:
    ribs = [e for e in extras if isinstance(e, Rib)]
    beds = [e for e in extras if isinstance(e, Bed)]
    props = [e for e in extras if isinstance(e, Prop)]
    cuts_x = [r.x_mm for r in ribs if r.x_mm is not None] + [v for b in beds if b.x_mm for v in b.x_mm]
    cuts_y = [r.y_mm for r in ribs if r.y_mm is not None] + [v for b in beds if b.y_mm for v in b.y_mm]
    sides_x, sides_y = (edges["left"], edges["right"]), (edges["bottom"], edges["top"])
    plain = bool(ribs)  # a rib holds the function of its own knot
    knots_x = _knots(width, height, sides_x, sides_y, cuts_x, [p.x_mm for p in props])
    knots_y = _knots(height, width, sides_y, sides_x, cuts_y, [p.y_mm for p in props])
    axis_x, axis_y = _axis(knots_x, less, plain, width / height), _axis(knots_y, less, plain, height / width)
    lines, held_x, held_y = _lines(ribs, axis_x, axis_y, width, height)
    keep_x, keep_y = active(axis_x.size, *sides_x, held_x), active(axis_y.size, *sides_y, held_y)
    every = [
        np.outer(axis_x.at(np.array([p.x_mm / width]))[0], axis_y.at(np.array([p.y_mm / height]))[0]) for p in props
    ]
    used = list(_of_use(every, [math.isinf(p.stiffness) for p in props], keep_x, keep_y))
    element = Element(
        x=axis_x,
        y=axis_y,
        width=width,
        height=height,
        rigidity=stiff,
        poisson=poisson,
        keep_x=keep_x,
        keep_y=keep_y,
        rims=tuple((side, rim_of(edges[side])) for side in SIDES),
        lines=tuple(lines),
        patches=tuple(
            (b.x_mm[0] / width, b.x_mm[1] / width, b.y_mm[0] / height, b.y_mm[1] / height, b.stiffness)
            for b in beds
            if b.x_mm and b.y_mm
        ),
        foundation=sum(b.stiffness for b in beds if not (b.x_mm and b.y_mm)),
        ties=tuple(every[k] for k in used),
    )
    kept = tuple(props[k] for k in used)
    return _Built(element, kept, tuple(0.0 if math.isinf(p.stiffness) else 1.0 / p.stiffness for p in kept))


def _of_use(ties: Sequence[Array], rigid: Sequence[bool], keep_x: Index, keep_y: Index) -> Iterator[int]:
    """Which ties hold anything: not those on what is held already, nor a rigid one that repeats others."""
    span: list[Array] = []
    for k, tie in enumerate(ties):
        own = tie[keep_x[:, None], keep_y].ravel()
        size = float(np.linalg.norm(own))
        if size <= 1e-9 * float(np.linalg.norm(tie)):
            continue
        if rigid[k]:
            for _ in range(2):  # once more for what rounding has left
                own = own - sum((other * (other @ own) for other in span), np.zeros_like(own))
            left = float(np.linalg.norm(own))
            if left <= 1e-6 * size:
                continue
            span.append(own / left)
        yield k


def _lines(
    ribs: Sequence[Rib], axis_x: Axis, axis_y: Axis, width: float, height: float
) -> tuple[list[Line], list[int], list[int]]:
    """Ribs as lines at knots, and the functions of each axis that they hold."""
    lines: list[Line] = []
    held: dict[str, list[int]] = {"x": [], "y": []}
    for rib in ribs:
        across, place = ("x", rib.x_mm) if rib.x_mm is not None else ("y", rib.y_mm or 0.0)
        own, length = (axis_x, width) if across == "x" else (axis_y, height)
        knot = own.knots[1 + int(np.argmin(np.abs(np.array(own.knots[1:-1]) - place / length)))]
        if math.isinf(rib.translation):
            held[across].append(own.knot(knot))
        if math.isinf(rib.rotation):
            held[across].append(own.knot(knot) + 1)
        lines.append(Line(across=across, knot=knot, rim=rim_of(rib)))
    return lines, held["x"], held["y"]


def _axis(knots: tuple[float, ...], less: int, plain: bool, slender: float) -> Axis:
    """More functions per interval the fewer intervals there are, and where a long middle reaches far from short ends."""
    intervals = len(knots) - 1
    count = {1: 20, 2: 12, 3: 8, 4: 6}.get(intervals, 5) + (3 if slender > LONG and intervals in (2, 3) else 0)
    return axis(count - less, knots, plain)


def plate(
    width: float,
    height: float,
    thickness: float,
    modulus: float,
    poisson: float,
    edges: Mapping[str, str | Edge],
    pressure: Pressure,
    *,
    supports: Sequence[Prop | Rib | Bed] = (),
) -> PlateResult:
    """Deflection and moments of one rectangular plate.

    Args:
        width, height, thickness: mm; x runs 0 to width from the left, y 0 to height from the bottom.
        modulus: Young's modulus, MPa. poisson: Poisson's ratio, between -1 and 0.5.
        edges: left, right, bottom, top -> "clamped", "supported", "free", or an `Edge`.
        pressure: p(x, y) in MPa (called with arrays), or a pair (uniform, extra at the bottom that falls to zero at
            the top). It may step: its places are refined there. What is narrower than a fortieth of a side may lie
            between them.
        supports: props, ribs and beds inside the plate. A prop on what is held already does nothing.

    Raises:
        ValueError: a size, modulus, ratio, edge or pressure that makes no sense, or nothing that holds the plate.

    Valid: thickness up to span/20 (clamped) or span/11 (supported), deflection up to t/2; the findings say where it
        ends. Errors are shares of the largest deflection and moment anywhere: a moment that is small beside the largest
        may be off by more of itself.

    >>> edges = dict.fromkeys(("left", "right", "bottom", "top"), "supported")
    >>> got = plate(300, 150, 6, 3200, 0.37, edges, (0.001, 0.0))
    >>> round(got.deflection.value, 4), round(got.stress.value, 3)
    (0.0768, 0.386)
    """
    sizes(width=width, height=height, thickness=thickness, modulus=modulus)
    nu, checked = check_poisson(poisson), as_edges(edges)
    check_supports(supports, float(width), float(height))
    _held(checked, supports, float(width), float(height))
    push = as_pressure(pressure, float(height))
    stiff = rigidity(modulus, thickness, nu)
    hinges = frozenset(s for s, e in checked.items() if e.rotation == 0.0 and e.torsion == 0.0)
    loose = frozenset(s for s, e in checked.items() if not math.isinf(e.translation))
    bents, rest = [], 0.0
    for less, places in ORDERS:
        element, props, compliance = _build(float(width), float(height), stiff, nu, checked, supports, less)
        whole = (0.0, element.width, 0.0, element.height)
        work, doubt = work_of((element.x, element.y), whole[1::2], [push], whole, places, GOAL)
        values = solve(condense(element, work), compliance)
        bents.append(Bent(element=element, coefficients=values, thickness=float(thickness), hinges=hinges, loose=loose))
        rest = max(rest, float(doubt[0]))
    fine = _with_errors(compared(read_off(bents[0]), bents[1])[0], bents[1].only(0), rest)
    span = float(min(width, height))
    clamped = any(e.rotation > 0.0 for e in checked.values())
    said = limits("plate", thickness, span, fine.deflection.value, clamped, bool(loose))
    said += (*unsettled("plate", fine.error_moment), *_pointed(props, width, height), *_unloaded(rest))
    return replace(fine, findings=said)


def _with_errors(fine: PlateResult, coarse: Bent, rest: float) -> PlateResult:
    """With the change of the moments all over the plate, where that is larger than at the largest ones, and with the share
    of the load that has not settled.
    """
    if not fine.moment.value:
        return fine
    one, other = fine.bent.grid(_LOOK, _LOOK), coarse.grid(_LOOK, _LOOK)
    pairs = ((one.mx, other.mx), (one.my, other.my), (one.mxy, other.mxy))
    change = max(float(np.max(np.abs(a - b))) for a, b in pairs) / abs(fine.moment.value)
    return replace(
        fine, error_deflection=fine.error_deflection + rest, error_moment=max(fine.error_moment, change) + rest
    )


def _pointed(props: Sequence[Prop], width: float, height: float) -> Iterator[Finding]:
    """A care for supports that are points: on a corner they only twist the plate, anywhere else its moments are singular."""
    inside = [p for p in props if p.x_mm not in (0.0, width) or p.y_mm not in (0.0, height)]
    if inside:
        places = ", ".join(f"({p.x_mm:g}, {p.y_mm:g})" for p in inside)
        off = 5 if len(props) <= 3 else 12
        yield Finding(
            level="care",
            check="strength",
            where="plate",
            why=f"point support at {places} mm: moments are singular there and the largest found means nothing; nearer than "
            f"{_POINTED * min(width, height):.3g} mm none is right, further away they are within {off} % of the largest there",
            do="give the support its size, as a bed, or check the place another way",
            source="thin-plate theory under a point force (Timoshenko and Woinowsky-Krieger, from memory); computed: plates of "
            "B-splines on one to seven points",
        )


def _unloaded(rest: float) -> Iterator[Finding]:
    """A care for a pressure that steps too often to be integrated."""
    if rest > GOAL:
        yield Finding(
            level="care",
            check="strength",
            where="plate",
            why=f"the pressure steps so often that {100.0 * rest:.2g} % of its load is in doubt; the errors count it",
            do="give a pressure that is smoother, or on fewer patches",
            source="what is left of the load between two sets of places",
        )
