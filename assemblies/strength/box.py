"""A box of plates: four walls and a floor (and a bonded lid) that share the rotation of their seams.

    box(length, width, height, thicknesses, modulus, poisson, pressure, base, rim)

Spans run between the middle planes of the neighbours (length + t, height + t/2), loads act on the inner faces only, and the section
at a joint is read half-way between the middle plane and the face of the neighbour: at the face the plates come 0 to 3 % low against
solid models of the joint, at the middle plane 5 to 8 % high (tests/strength/solid_boxes.csv). Each seam holds the plates' edges
against moving across (a neighbour is some hundred times stiffer in its own plane); what it takes to do so is the neighbour's pull.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assemblies.strength.basis import Array, Axis, axis
from assemblies.strength.coupled import Seam, Tie, solve_together
from assemblies.strength.element import Condensed, Element, Rim, condense, load
from assemblies.strength.plate import GRADE, check_poisson, limits, number, rigidity, sizes
from assemblies.strength.setting import (
    Liquid,  # noqa: F401  used by the doctest
    JOINTS,
    MIRRORED,
    NEIGHBOURS,
    WALLS,
    BoxPressure,
    Brace,
    OnPlates,
    Strip,
    panel_pressures,
)
from assemblies.strength.surface import EDGE_PLACES, Bent, Peak, PlateResult, read_off
from parts.findings import Finding

__all__ = ["BoxResult", "SeamResult", "box", "box_cases"]

MAXIMUM_KNOTS = 12
RimSpec = str | Strip | Brace | Sequence[Strip | Brace]


@dataclass(frozen=True, kw_only=True, eq=False)
class SeamResult:
    """What goes through one seam between panels a and b.

    Attributes:
        a, b: the panels; for a floor on a flat base b has the moment of a.
        places_mm: along the seam, in a's own u or v.
        moment_a, moment_b: section moment at the joint in each panel, N mm/mm (positive: outside in tension).
        force_a, force_b: what the seam holds back of each panel's outward push, N/mm; force_a pulls in the plane of b.
        stress_a, stress_b: section bending stress at the joint, 6 |M| / t^2, largest along the seam, MPa.
        at_a_mm, at_b_mm: where along the seam, in a's own u or v.
    """

    a: str
    b: str
    places_mm: Array
    moment_a: Array
    moment_b: Array
    force_a: Array
    force_b: Array
    stress_a: float
    stress_b: float
    at_a_mm: float
    at_b_mm: float

    @property
    def name(self) -> str:
        """Both panels, such as `front-left`."""
        return f"{self.a}-{self.b}"


@dataclass(frozen=True, kw_only=True, eq=False)
class BoxResult:
    """A solved box.

    Attributes:
        panels: per panel what `plate` gives, in inside coordinates u, v (mm from the lower-left inside corner, seen from outside);
            without `bottom` on a flat base, which carries it everywhere.
        seams: per pair of panels that meet, such as `front-left`.
        findings: where the method ends.
    """

    panels: dict[str, PlateResult]
    seams: dict[str, SeamResult]
    findings: tuple[Finding, ...]

    @property
    def stress(self) -> tuple[str, Peak]:
        """Panel and place of the largest tensile stress in any panel, MPa."""
        return max(((n, p.stress) for n, p in self.panels.items()), key=lambda item: item[1].value)


@dataclass(frozen=True, kw_only=True)
class _Spec:
    """The checked inputs."""

    inner: tuple[float, float, float]
    thick: dict[str, float]
    modulus: float
    poisson: float
    base: str | OnPlates
    held_top: bool
    strip: Strip | None
    braces: tuple[Brace, ...]

    @property
    def panels(self) -> tuple[str, ...]:
        floor = () if self.base == "flat" else ("bottom",)
        return (*WALLS, *floor, *(("lid",) if "lid" in self.thick else ()))

    @property
    def offsets(self) -> tuple[float, float, float]:
        """Inner corner from the middle planes of left, front and bottom."""
        return self.thick["left"] / 2.0, self.thick["front"] / 2.0, self.thick["bottom"] / 2.0

    @property
    def spans(self) -> tuple[float, float, float]:
        length, width, height = self.inner
        t = self.thick
        return (
            length + (t["left"] + t["right"]) / 2.0,
            width + (t["front"] + t["back"]) / 2.0,
            height + (t["bottom"] + t.get("lid", 0.0)) / 2.0,
        )


def _check(
    inner: tuple[float, float, float],
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    base: str | OnPlates,
    rim: RimSpec,
) -> _Spec:
    names = ("left", "right", "front", "back", "bottom")
    sizes(length=inner[0], width=inner[1], height=inner[2], modulus=modulus)
    if isinstance(thicknesses, Mapping):
        missing, unknown = set(names) - set(thicknesses), set(thicknesses) - {*names, "lid"}
        if missing or unknown:
            wrong = ", ".join(sorted(missing | unknown))
            raise ValueError(f"thicknesses: give left, right, front, back, bottom (and lid); look at {wrong}")
        thick = {name: float(number(f"thickness of {name}", t, high=1e4)) for name, t in thicknesses.items()}
    else:
        thick = dict.fromkeys(names, float(number("thicknesses", thicknesses, high=1e4)))
    if base not in ("flat", "hung") and not isinstance(base, OnPlates):
        raise ValueError(f"base: {base!r} is none of flat, hung, or OnPlates(rectangles=...)")
    if isinstance(base, OnPlates):
        _check_rectangles(base, inner)
    things = () if isinstance(rim, str) else (rim,) if isinstance(rim, Strip | Brace) else tuple(rim)
    if isinstance(rim, str) and rim not in ("free", "supported"):
        raise ValueError(f"rim: {rim!r} is none of free, supported, a Strip, a Brace, or several of them")
    strips, braces = [s for s in things if isinstance(s, Strip)], tuple(b for b in things if isinstance(b, Brace))
    if len(strips) + len(braces) < len(things) or len(strips) > 1:
        raise ValueError("rim: give at most one Strip, and any number of Braces")
    if "lid" in thick and rim != "supported":
        raise ValueError("lid: only a bonded lid holds the walls; say rim='supported', or give no lid thickness")
    for strip in strips:
        strip.check()
    for brace in braces:
        _check_brace(brace, inner)
    return _Spec(
        inner=inner,
        thick=thick,
        modulus=modulus,
        poisson=check_poisson(poisson),
        base=base,
        held_top=rim == "supported",
        strip=strips[0] if strips else None,
        braces=braces,
    )


def _check_rectangles(base: OnPlates, inner: tuple[float, float, float]) -> None:
    if not base.rectangles:
        raise ValueError("base: no plate is given; nothing holds the box")
    for x0, x1, y0, y1 in base.rectangles:
        if not (x0 < x1 and y0 < y1 and x0 < inner[0] and x1 > 0 and y0 < inner[1] and y1 > 0):
            raise ValueError(f"base: the plate {x0:g}..{x1:g} by {y0:g}..{y1:g} mm has no size, or is not under the floor")


def _check_brace(brace: Brace, inner: tuple[float, float, float]) -> None:
    if brace.along not in ("width", "length"):
        raise ValueError(f"brace, along: {brace.along!r} is none of width, length")
    number("brace, width", brace.width, high=1e6)
    number("brace, thickness", brace.thickness, high=1e6)
    run = inner[0] if brace.along == "width" else inner[1]
    if not brace.width / 2.0 <= brace.at_mm <= run - brace.width / 2.0:
        raise ValueError(f"brace: at {brace.at_mm:g} mm it does not lie within the {run:g} mm of the rim")


def _axes(spec: _Spec, less: int) -> tuple[Axis, Axis, Axis]:
    """Axes along length, width and height: graded beside a free rim, with knots at the edges of plates under the floor."""
    spans, loose = spec.spans, not spec.held_top
    plain = isinstance(spec.base, OnPlates)
    made = []
    for k in range(3):
        share = max(1, round(64 * GRADE * min(1.0, min(spans) / spans[k]))) / 64.0
        ends = [1.0 - share] if k == 2 else [share, 1.0 - share]
        knots = {0.0, 1.0, *(ends if loose else [])}
        if isinstance(spec.base, OnPlates) and k < 2:
            knots = _with_rectangles(spec, spec.base, k, knots)
        count = {1: 16, 2: 9, 3: 6, 4: 5, 5: 4}.get(len(knots) - 1, 3)
        made.append(axis(count - less, tuple(sorted(knots)), plain))
    return made[0], made[1], made[2]


def _with_rectangles(spec: _Spec, base: OnPlates, k: int, knots: set[float]) -> set[float]:
    places = {
        round(share, 4)
        for r in base.rectangles
        for share in _shares(spec, r)[2 * k : 2 * k + 2]
        if 0.02 < share < 0.98
    }
    if len(places) > MAXIMUM_KNOTS:
        raise ValueError(f"base: more than {MAXIMUM_KNOTS // 2} plates stand at different places along one side")
    inner = {x for x in knots if 0.0 < x < 1.0 and all(abs(x - p) > 0.04 for p in places)}
    return {0.0, 1.0, *inner, *places}


def _shares(spec: _Spec, rectangle: tuple[float, float, float, float]) -> tuple[float, ...]:
    """A rectangle under the floor as shares of the spans."""
    result = []
    for k in (0, 1):
        for place in rectangle[2 * k : 2 * k + 2]:
            share = min(max((place + spec.offsets[k]) / spec.spans[k], 0.0), 1.0)
            result.append(0.0 if share <= 0.02 else 1.0 if share >= 0.98 else round(share, 4))
    return tuple(result)


def _keep(size: int, dropped: Sequence[int]) -> Array:
    keep = np.ones(size, dtype=bool)
    keep[list(dropped)] = False
    return np.nonzero(keep)[0]


def _directions(name: str) -> tuple[int, int]:
    """Which of length, width, height a panel's axes run along."""
    return {"front": (0, 2), "back": (0, 2), "left": (1, 2), "right": (1, 2)}.get(name, (0, 1))


def _element(spec: _Spec, name: str, axes: tuple[Axis, Axis, Axis]) -> Element:
    i, j = _directions(name)
    x, y = axes[i], axes[j]
    wall = name in WALLS
    held = ([0] + ([1] if spec.base == "flat" else []) + ([2] if spec.held_top else [])) if wall else [0, 2]
    floor = name == "bottom" and isinstance(spec.base, OnPlates)
    rims: tuple[tuple[str, Rim], ...] = ()
    if wall and spec.strip:
        bending, torsion = spec.strip.stiffness(spec.thick[name], spec.spans[i], spec.modulus, spec.poisson)
        rims = (("top", Rim(bending=bending, torsion=torsion)),)
    return Element(
        x=x,
        y=y,
        width=spec.spans[i],
        height=spec.spans[j],
        rigidity=rigidity(spec.modulus, spec.thick[name], spec.poisson),
        poisson=spec.poisson,
        keep_x=_keep(x.size, (0, 2)),
        keep_y=_keep(y.size, held),
        rims=rims,
        patches=_patches(spec) if floor else (),
        modes=_modes(x, y) if floor else (),
        ties=tuple(_tie(spec, brace, x, y) for brace in _braces_of(spec, name)),
    )


def _patches(spec: _Spec) -> tuple[tuple[float, float, float, float, float], ...]:
    assert isinstance(spec.base, OnPlates)
    stiff = spec.base.stiffness or spec.modulus / spec.thick["bottom"]
    return tuple((*_shares(spec, r)[:4], stiff) for r in spec.base.rectangles)  # type: ignore[misc]  # four shares


def _modes(x: Axis, y: Axis) -> tuple[Array, ...]:
    """The floor moving with all of its edges: down, and down at the right, and down at the back."""
    return (
        np.outer(x.line(1.0, 1.0), y.line(1.0, 1.0)),
        np.outer(x.line(0.0, 1.0), y.line(1.0, 1.0)),
        np.outer(x.line(1.0, 1.0), y.line(0.0, 1.0)),
    )


def _braces_of(spec: _Spec, name: str) -> list[Brace]:
    along = {"front": "width", "back": "width", "left": "length", "right": "length"}.get(name)
    return [b for b in spec.braces if b.along == along]


def _tie(spec: _Spec, brace: Brace, x: Axis, y: Axis) -> Array:
    """Mean deflection of the rim over the brace's width."""
    k = 0 if brace.along == "width" else 1
    places = brace.at_mm + spec.offsets[k] + brace.width * np.array([-3.0, -1.0, 1.0, 3.0]) / 8.0
    return np.outer(x.at(places / spec.spans[k]).mean(axis=0), y.at(np.array([1.0]))[0])


def _loads(spec: _Spec, elements: dict[str, Element], pressures: Sequence[BoxPressure]) -> dict[str, Array]:
    """Work of each pressure on each function of each panel, (size_x, size_y, loads)."""
    work: dict[str, list[Array]] = {name: [] for name in elements}
    for pressure in pressures:
        for name, push in panel_pressures(pressure, *spec.inner, tuple(elements)).items():
            i, j = _directions(name)
            u0, v0 = spec.offsets[i], spec.offsets[j]
            region = (u0, u0 + spec.inner[i], v0, v0 + spec.inner[j])
            work[name].append(load(elements[name], lambda u, v, p=push, a=u0, b=v0: p(u - a, v - b), region))  # type: ignore[misc]
    return {name: np.stack(parts, axis=2) for name, parts in work.items()}


def _mode_loads(spec: _Spec, elements: dict[str, Element], work: dict[str, Array]) -> Array:
    """What walls and lid put on the floor's rigid modes: weight, the walls' overturning push, the lid's lift."""
    assert isinstance(spec.base, OnPlates)
    modes = elements["bottom"].modes
    result = np.zeros((3, work["bottom"].shape[2]))
    result += spec.base.weight_n * np.array([1.0, 0.5, 0.5])[:, None]
    for mode, (far, near), span in ((1, ("right", "left"), spec.spans[0]), (2, ("back", "front"), spec.spans[1])):
        for name, sign in ((far, 1.0), (near, -1.0)):
            e = elements[name]
            lever = np.outer(e.x.line(1.0, 1.0), e.y.line(0.0, 1.0)) * e.height
            result[mode] += sign / span * np.tensordot(lever, work[name], axes=2)
    if "lid" in work:
        for k, mode in enumerate(modes):
            result[k] -= np.tensordot(mode, work["lid"], axes=2)
    return result


def _seams_of(spec: _Spec) -> list[tuple[str, str, str, str]]:
    """(a, side, b, side) as seen from outside, for the panels that are solved."""
    pairs = [(a, b) for a, b in JOINTS if a in spec.panels and b in spec.panels]
    return [(a, _facing(a, b), b, _facing(b, a)) for a, b in pairs]


def _facing(a: str, b: str) -> str:
    return next(side for side, other in NEIGHBOURS[a].items() if other == b)


def _plain_side(name: str, side: str) -> str:
    """A side as seen from outside, in the directions of the axes."""
    return {"left": "right", "right": "left"}.get(side, side) if name in MIRRORED else side


def _solve(spec: _Spec, pressures: Sequence[BoxPressure], less: int) -> tuple[dict[str, Element], dict[str, Array]]:
    axes = _axes(spec, less)
    elements = {name: _element(spec, name, axes) for name in spec.panels}
    work = _loads(spec, elements, pressures)
    plates: dict[str, Condensed] = {}
    for name, element in elements.items():
        extra = _mode_loads(spec, elements, work) if element.modes else None
        plates[name] = condense(element, work[name], extra)
    seams = [
        Seam(a=(a, _plain_side(a, side_a)), b=(b, _plain_side(b, side_b))) for a, side_a, b, side_b in _seams_of(spec)
    ]
    ties = []
    for pair, along, span in ((("front", "back"), "width", spec.spans[1]), (("left", "right"), "length", spec.spans[0])):
        for k, brace in enumerate(b for b in spec.braces if b.along == along):
            compliance = span / (spec.modulus * brace.width * brace.thickness)
            ties.append(Tie(members=dict.fromkeys(pair, k), compliance=compliance))
    return elements, solve_together(plates, seams, ties)


def _bent(spec: _Spec, name: str, element: Element, coefficients: Array) -> Bent:
    t, sides = spec.thick, NEIGHBOURS[name]
    wall = name in WALLS
    top_hinge = wall and "lid" not in t
    i, j = _directions(name)
    start = t[sides["left"]] / 2.0
    return Bent(
        element=element,
        coefficients=coefficients,
        thickness=t[name],
        hinges=frozenset({"top"}) if top_hinge and not spec.strip else frozenset(),
        loose=frozenset({"top"}) if wall and not spec.held_top else frozenset(),
        mirrored=name in MIRRORED,
        origin=(start, spec.offsets[j]),
        insets={side: t[other] / 4.0 for side, other in sides.items() if other in t},
    )


def _pulled(bents: dict[str, Bent]) -> dict[str, Bent]:
    """Add to each panel the tension that its neighbours put in."""
    forces = {(name, side): bent.holding_force(side) for name, bent in bents.items() for side in NEIGHBOURS[name]}
    result = {}
    for name, bent in bents.items():
        pull = {}
        for side, other in NEIGHBOURS[name].items():
            if other in bents:
                force = forces[other, _facing(other, name)]
                pull[side] = force[::-1] if _against(name, other) else force
        result[name] = replace(bent, pull=pull)
    return result


def _against(a: str, b: str) -> bool:
    """The two panels count along their seam in opposite ways."""
    return bool({a, b} & {"bottom", "lid"}) and bool({a, b} & MIRRORED)


def _seam(spec: _Spec, bents: dict[str, Bent], results: dict[str, PlateResult], a: str, b: str) -> SeamResult:
    edge_a = results[a].edges[_facing(a, b)]
    force_a = bents[a].holding_force(_facing(a, b))
    if b in bents:
        moment_b, force_b = results[b].edges[_facing(b, a)].normal, bents[b].holding_force(_facing(b, a))
        if _against(a, b):
            moment_b, force_b = moment_b[::-1], force_b[::-1]
    else:
        moment_b, force_b = edge_a.normal, np.zeros_like(force_a)
    stress_a, stress_b = (6.0 * np.abs(m) / spec.thick[n] ** 2 for m, n in ((edge_a.normal, a), (moment_b, b)))
    clear = EDGE_PLACES <= 0.98 if b in WALLS and not spec.held_top else np.ones(len(EDGE_PLACES), dtype=bool)
    best_a, best_b = int(np.argmax(stress_a * clear)), int(np.argmax(stress_b * clear))
    return SeamResult(
        a=a,
        b=b,
        places_mm=edge_a.places_mm,
        moment_a=edge_a.normal,
        moment_b=moment_b,
        force_a=force_a,
        force_b=force_b,
        stress_a=float(stress_a[best_a]),
        stress_b=float(stress_b[best_b]),
        at_a_mm=float(edge_a.places_mm[best_a]),
        at_b_mm=float(edge_a.places_mm[best_b]),
    )


def _result(spec: _Spec, fine: tuple[dict[str, Element], dict[str, Array]], rough: tuple[dict[str, Element], dict[str, Array]], k: int) -> BoxResult:
    bents, results = {}, {}
    for elements, values in (rough, fine):
        coarse = results
        bents = {n: _bent(spec, n, e, values[n][:, :, k]) for n, e in elements.items()}
        bents = _pulled(bents)
        results = {n: read_off(bent) for n, bent in bents.items()}
    findings: list[Finding] = []
    for name, got in results.items():
        i, j = _directions(name)
        short = min(spec.inner[i], spec.inner[j])
        said = limits(name, spec.thick[name], short, got.deflection.value, True, "top" in bents[name].loose)
        findings += said
        results[name] = replace(got.compared_with(coarse[name]), findings=said)
    pairs = [(a, b) for a, b in JOINTS if a in bents and b in spec.thick]
    seams = [_seam(spec, bents, results, a, b) for a, b in pairs]
    return BoxResult(panels=results, seams={s.name: s for s in seams}, findings=tuple(findings))


def box_cases(
    length: float,
    width: float,
    height: float,
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    pressures: Sequence[BoxPressure],
    base: str | OnPlates,
    rim: RimSpec,
) -> list[BoxResult]:
    """`box` for several pressures at once: the stiffness is worked out only once."""
    inner = (float(length), float(width), float(height)) if all(map(_plain, (length, width, height))) else (math.nan,) * 3
    spec = _check(inner, thicknesses, modulus, poisson, base, rim)
    fine, rough = _solve(spec, pressures, 0), _solve(spec, pressures, 1)
    return [_result(spec, fine, rough, k) for k in range(len(pressures))]


def _plain(value: object) -> bool:
    return isinstance(value, int | float | np.floating | np.integer)


def box(
    length: float,
    width: float,
    height: float,
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    pressure: BoxPressure,
    base: str | OnPlates,
    rim: RimSpec,
) -> BoxResult:
    """Walls and floor of a rectangular tank in bending, together.

    Args:
        length, width, height: inside, mm (x, y, z).
        thicknesses: mm, one for all, or per panel (left, right, front, back, bottom; lid when it is bonded on).
        modulus: MPa. poisson: between -1 and 0.5.
        pressure: on the inner faces, MPa, outward: a `Liquid`; or p(x, y, z) in inside coordinates, called with arrays; or a mapping
            from panel to p(u, v), to a pair (uniform, extra at the bottom that falls to zero at the top), or to one number. u runs to
            the right as seen from outside and v up, from the lower-left inside corner (bottom and lid: +x and +y from left-front).
        base: "flat" (rests all over on a flat base: the floor stays flat), "hung" (the floor hangs between the walls), or `OnPlates`.
        rim: "free", "supported" (held all round: a bonded lid, which bends too where its thickness is given), a `Strip`, a `Brace`,
            or a sequence of them.

    Raises:
        ValueError: a size, panel, base or rim that makes no sense.

    Valid: solid, square corners as strong as the sheet; linear. Own weight of the panels is left out.

    >>> got = box(600, 300, 400, 10, 3200, 0.37, Liquid(density_kg_m3=1000, depth_mm=400, gravity_m_s2=9.81), "flat", "free")
    >>> round(got.panels["front"].deflection.value, 2), round(got.seams["front-bottom"].stress_a, 2)
    (1.87, 2.66)
    """
    return box_cases(length, width, height, thicknesses, modulus, poisson, [pressure], base, rim)[0]
