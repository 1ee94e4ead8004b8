"""One rectangular plate under any pressure, with any mix of edges.

    plate(width, height, thickness, modulus, poisson, edges, pressure)

Kirchhoff's thin plate at small deflections. The deflection is a sum of smooth polynomials fitted to the edges
(Ritz), on a grid that is finer beside the ends of a free edge, where the moments change fastest; the error is
estimated by solving at a lower order too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assemblies.strength.basis import Array, Axis, axis
from assemblies.strength.element import SIDES, Condensed, Element, Index, Line, Rim, condense, load
from assemblies.strength.surface import Bent, PlateResult, read_off
from parts.findings import Finding

__all__ = ["Bed", "Edge", "Pressure", "Prop", "Rib", "limits", "plate"]

Pressure = Callable[[Array, Array], Array] | tuple[float, float]
GRADE = 0.1  # share of the side, next to the corner of a free edge, that gets its own polynomials


@dataclass(frozen=True, kw_only=True)
class Edge:
    """An edge that is none of clamped, supported, free.

    Attributes:
        translation: spring against deflection, N/mm per mm of edge; math.inf holds it.
        rotation: spring against rotation, N mm/rad per mm of edge; math.inf clamps it.
        bending: E I of a stiffener along the edge, N mm2. torsion: its G J, N mm2.
    """

    translation: float = math.inf
    rotation: float = 0.0
    bending: float = 0.0
    torsion: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Prop:
    """A point support (a bolt, a post): stiffness N/mm, math.inf for a rigid one."""

    x_mm: float
    y_mm: float
    stiffness: float = math.inf


@dataclass(frozen=True, kw_only=True)
class Rib:
    """A support or a rib along a whole line: at x_mm (upright) or at y_mm (level), exactly one of them given.

    `translation` N/mm per mm (math.inf: the line is held), `rotation` N mm/rad per mm, `bending` and `torsion` N mm2.
    """

    x_mm: float | None = None
    y_mm: float | None = None
    translation: float = math.inf
    rotation: float = 0.0
    bending: float = 0.0
    torsion: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Bed:
    """An elastic bed under a rectangle of the plate (both ways: it pulls too), stiffness N/mm3; no size: under all
    of it.
    """

    stiffness: float
    x_mm: tuple[float, float] | None = None
    y_mm: tuple[float, float] | None = None


NAMED = {
    "clamped": Edge(translation=math.inf, rotation=math.inf),
    "supported": Edge(translation=math.inf),
    "free": Edge(translation=0.0),
}


def number(name: str, value: float, low: float = 0.0, strict: bool = True, high: float = math.inf) -> float:
    """The value as a float, or ValueError when it is no number or outside low .. high."""
    try:
        got = float(value)
    except (TypeError, ValueError):
        raise ValueError(f"{name}: {value!r} is not a number") from None
    if math.isnan(got) or got < low or (strict and got == low) or got > high:
        above = f"above {low:g}" if strict else f"at least {low:g}"
        raise ValueError(f"{name}: {got:g} is not allowed; give a number {above}" + _upto(high))
    return got


def _upto(high: float) -> str:
    return f" and at most {high:g}" if math.isfinite(high) else ""


def sizes(**values: float) -> None:
    """Check that each is a finite number above zero."""
    for name, value in values.items():
        if not math.isfinite(number(name, value)):
            raise ValueError(f"{name}: must be finite")


def check_poisson(poisson: float) -> float:
    """Poisson's ratio of an isotropic solid lies between -1 and 0.5."""
    got = number("poisson", poisson, low=-1.0)
    if not got < 0.5:
        raise ValueError(f"poisson: {got:g} is not allowed; give a number above -1 and below 0.5")
    return got


def rigidity(modulus: float, thickness: float, poisson: float) -> float:
    """D = E t^3 / 12 (1 - nu^2), N mm."""
    return float(modulus * thickness**3 / (12.0 * (1.0 - poisson**2)))


def as_edges(edges: Mapping[str, str | Edge]) -> dict[str, Edge]:
    """The four edges, checked."""
    unknown = sorted(set(edges) ^ set(SIDES))
    if unknown:
        raise ValueError(f"edges: give each of left, right, bottom, top once (check {', '.join(unknown)})")
    result = {}
    for side in SIDES:
        given = edges[side]
        edge = NAMED.get(given) if isinstance(given, str) else given
        if not isinstance(edge, Edge):
            raise ValueError(f"edges, {side}: {given!r} is none of clamped, supported, free, or an Edge")
        for name in ("translation", "rotation", "bending", "torsion"):
            number(f"edges, {side}, {name}", getattr(edge, name), strict=False)
        if not (math.isfinite(edge.bending) and math.isfinite(edge.torsion)):
            raise ValueError(f"edges, {side}: a stiffener's E I and G J must be finite; hold the edge instead")
        result[side] = edge
    return result


def as_pressure(pressure: Pressure, height: float) -> Callable[[Array, Array], Array]:
    """A pressure as p(x, y); a pair is (uniform, extra at the bottom that falls to zero at the top)."""
    if callable(pressure):
        return pressure
    if isinstance(pressure, Sequence) and len(pressure) == 2:
        uniform, extra = (number("pressure", p, low=-math.inf, strict=False) for p in pressure)
        if not (math.isfinite(uniform) and math.isfinite(extra)):
            raise ValueError("pressure: must be finite")
        return lambda x, y: uniform + extra * (1.0 - y / height) + 0.0 * x
    raise ValueError("pressure: give p(x, y) in MPa, or a pair (uniform, extra at the bottom)")


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
    """Coefficients of one plate that stands alone."""
    matrix = condensed.stiffness.copy()
    first = len(matrix) - len(tie_compliance)
    for k, compliance in enumerate(tie_compliance):
        matrix[first + k, first + k] -= compliance
    return condensed.deflection(scaled_solve(matrix, condensed.load))[:, :, 0]


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
        raise ValueError("edges: nothing holds the plate in place; hold an edge or give a support") from None
    return np.asarray(got * scale[:, None])


def _held(edges: dict[str, Edge], extras: Sequence[Prop | Rib | Bed]) -> None:
    """Refuse a plate that can move as a whole."""
    stiff = [s for s in SIDES if edges[s].translation > 0.0]
    turned = [s for s in stiff if edges[s].rotation > 0.0]
    props = sum(isinstance(e, Prop) for e in extras)
    wide = any(isinstance(e, Bed) for e in extras)
    if not (wide or turned or len(stiff) >= 2 or (stiff and extras) or props >= 3 or len(extras) >= 2):
        raise ValueError("edges: nothing holds the plate in place; hold an edge or give a support")


def _knots(
    length: float, other: float, own: tuple[Edge, Edge], cross: tuple[Edge, Edge], extra: Sequence[float]
) -> tuple[tuple[float, ...], bool]:
    """Knots of one axis: short ends where a free edge meets another edge; supports inside; and whether functions
    stay plain.
    """
    loose_own = [edge.translation == 0.0 for edge in own]
    loose_cross = any(edge.translation == 0.0 for edge in cross)
    ends = [loose or loose_cross for loose in loose_own]
    if all(e.translation == 0.0 for e in (*own, *cross)):
        ends = [False, False]
    knots = set(graded(length, other, ends[0], ends[1]))
    for place in sorted(set(extra)):
        share = place / length
        if not -1e-9 <= share <= 1.0 + 1e-9:
            raise ValueError(f"support at {place:g} mm lies off the plate (0 to {length:g} mm)")
        near = [k for k in knots if abs(k - share) < 1e-6]
        knots -= {k for k in knots if 1e-6 <= abs(k - share) < 0.03 and 0.0 < k < 1.0}
        if not near:
            knots.add(share)
    return tuple(sorted(knots)), bool(extra)


def _build(
    width: float,
    height: float,
    stiff: float,
    poisson: float,
    edges: dict[str, Edge],
    extras: Sequence[Prop | Rib | Bed],
    less: int,
) -> tuple[Element, list[float]]:
    """The plate's element, and the compliance of each point support."""
    ribs = [e for e in extras if isinstance(e, Rib)]
    beds = [e for e in extras if isinstance(e, Bed)]
    cuts_x = [r.x_mm for r in ribs if r.x_mm is not None] + [v for b in beds if b.x_mm for v in b.x_mm]
    cuts_y = [r.y_mm for r in ribs if r.y_mm is not None] + [v for b in beds if b.y_mm for v in b.y_mm]
    sides_x, sides_y = (edges["left"], edges["right"]), (edges["bottom"], edges["top"])
    plain = bool(cuts_x or cuts_y)
    axis_x = _axis(*_knots(width, height, sides_x, sides_y, cuts_x), less, plain)
    axis_y = _axis(*_knots(height, width, sides_y, sides_x, cuts_y), less, plain)
    lines: list[Line] = []
    held_x: list[int] = []
    held_y: list[int] = []
    for rib in ribs:
        across, place = ("x", rib.x_mm) if rib.x_mm is not None else ("y", rib.y_mm)
        assert place is not None
        own, length, held = (axis_x, width, held_x) if across == "x" else (axis_y, height, held_y)
        knot = min(own.knots, key=lambda k: abs(k - place / length))
        if math.isinf(rib.translation):
            held.append(own.knot(knot))
        if math.isinf(rib.rotation):
            held.append(own.knot(knot) + 1)
        lines.append(Line(across=across, knot=knot, rim=rim_of(rib)))
    props = [e for e in extras if isinstance(e, Prop)]
    ties = tuple(
        np.outer(axis_x.at(np.array([p.x_mm / width]))[0], axis_y.at(np.array([p.y_mm / height]))[0]) for p in props
    )
    element = Element(
        x=axis_x,
        y=axis_y,
        width=width,
        height=height,
        rigidity=stiff,
        poisson=poisson,
        keep_x=active(axis_x.size, *sides_x, held_x),
        keep_y=active(axis_y.size, *sides_y, held_y),
        rims=tuple((side, rim_of(edges[side])) for side in SIDES),
        lines=tuple(lines),
        patches=tuple(
            (b.x_mm[0] / width, b.x_mm[1] / width, b.y_mm[0] / height, b.y_mm[1] / height, b.stiffness)
            for b in beds
            if b.x_mm and b.y_mm
        ),
        foundation=sum(b.stiffness for b in beds if not (b.x_mm and b.y_mm)),
        ties=ties,
    )
    return element, [0.0 if math.isinf(p.stiffness) else 1.0 / p.stiffness for p in props]


def _axis(knots: tuple[float, ...], extra: bool, less: int, plain: bool) -> Axis:
    """More functions per interval the fewer intervals there are."""
    count = {1: 20, 2: 12, 3: 8, 4: 6}.get(len(knots) - 1, 5)
    return axis(count - less, knots, plain)


def limits(
    where: str, thickness: float, span: float, deflection: float, clamped: bool, loose: bool
) -> tuple[Finding, ...]:
    """Where thin-plate, small-deflection theory ends for a plate with this short span.

    Source: deflection more than t/2, Roark's stated limit; span/20 and span/11: beyond it the deflection is more
        than 5 % low,
    computed for nu = 0.37 by comparing thin plates with ones that yield in shear.
    """
    said = []
    ratio = 20.0 if clamped else 11.0
    if thickness > span / ratio:
        said.append(
            Finding(
                level="care",
                check="strength",
                where=where,
                why=f"{thickness:g} mm is thick for a span of {span:.4g} mm (over span/{ratio:g}): "
                "the deflection may be more than 5 % low",
                do="allow for a larger deflection",
                source="computed, nu 0.37: thin plate against one that yields in shear",
            )
        )
    if abs(deflection) > thickness / 2.0:
        ends = (
            "with an edge free to move it may be up to 3 % low" if loose else "held on four sides it is normally high"
        )
        said.append(
            Finding(
                level="care",
                check="strength",
                where=where,
                why=f"deflection {abs(deflection):.3g} mm is over half the thickness: small-deflection theory ends; "
                + ends,
                do="take a thicker sheet, or a strip or brace at the free edge",
                source="Roark's Formulas for Stress and Strain, chapter on flat plates: deflection up to t/2",
            )
        )
    return tuple(said)


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
            the top).
        supports: props, ribs and beds inside the plate.

    Raises:
        ValueError: a size, modulus, ratio, edge or pressure that makes no sense, or nothing that holds the plate.

    Valid: thickness up to span/20 (clamped) or span/11 (supported), deflection up to t/2; the findings say where it
        ends.

    >>> edges = dict.fromkeys(("left", "right", "bottom", "top"), "supported")
    >>> got = plate(300, 150, 6, 3200, 0.37, edges, (0.001, 0.0))
    >>> round(got.deflection.value, 4), round(got.stress.value, 3)
    (0.0768, 0.386)
    """
    sizes(width=width, height=height, thickness=thickness, modulus=modulus)
    nu, checked = check_poisson(poisson), as_edges(edges)
    _held(checked, supports)
    push = as_pressure(pressure, float(height))
    stiff = rigidity(modulus, thickness, nu)
    hinges = frozenset(s for s, e in checked.items() if e.rotation == 0.0 and e.torsion == 0.0)
    loose = frozenset(s for s, e in checked.items() if not math.isinf(e.translation))
    bents = []
    for less in (0, 2):
        element, compliance = _build(float(width), float(height), stiff, nu, checked, supports, less)
        values = solve(condense(element, load(element, push)[:, :, None]), compliance)
        bents.append(Bent(element=element, coefficients=values, thickness=float(thickness), hinges=hinges, loose=loose))
    fine = read_off(bents[0]).compared_with(bents[1])
    span = float(min(width, height))
    clamped = any(e.rotation > 0.0 for e in checked.values())
    return replace(fine, findings=limits("plate", thickness, span, fine.deflection.value, clamped, bool(loose)))
