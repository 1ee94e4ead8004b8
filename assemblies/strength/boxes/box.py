"""A box of plates: four walls and a floor (and a bonded lid) that share the rotation of their seams.

    box(length, width, height, thicknesses, modulus, poisson, pressure, base, rim)

Spans run between the middle planes of the neighbours (length + t, height + t/2) and loads act on the inner faces
only. The section at a joint is read half-way between the middle plane and the face of the neighbour: there the
plates come 0 to 3 % high against solid models of the joint; at the face they are 3 % low, at the middle plane 5 to 8
% high. On a flat base it is read at the face of the floor, which fits there (solid_boxes.csv beside its tests has all
the figures). Each seam holds the plates' edges against moving across (a neighbour is some hundred times stiffer in
its own plane); what it takes to do so is the neighbour's pull.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assemblies.strength.boxes.frame import Solution, directions, facing, floor_on_plates, solve_box
from assemblies.strength.boxes.setting import JOINTS, MIRRORED, NEIGHBOURS, WALLS, BoxPressure, OnPlates, Padded
from assemblies.strength.boxes.spec import RimSpec, Spec, check_box
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import Element
from assemblies.strength.plates.limits import UNRESOLVED, coarse, limits, unresolved, unsettled
from assemblies.strength.plates.read_off import compared, read_off
from assemblies.strength.plates.surface import EDGE_PLACES, Bent, Peak, PlateResult
from parts.findings import Finding

__all__ = ["BoxResult", "SeamResult", "box", "box_cases"]

_FLAT = Finding(
    level="note",
    check="strength",
    where="bottom",
    why="the floor is taken to lie flat on its base; where it can lift beside a wall, walls move a few percent more "
    "(2.6 % in a box of 600 x 300 x 400 mm)",
    source="computed: solid model with the floor free to lift",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class SeamResult:
    """What goes through one seam between panels a and b.

    Attributes:
        a, b: the panels; for a floor on a flat base b has the moment of a.
        places_mm: along the seam, in a's own u or v.
        moment_a, moment_b: section moment at the joint in each panel, N mm/mm (positive: outside in tension).
        force_a, force_b: what the seam holds back of each panel's outward push, N/mm; force_a pulls in the plane of
            b.
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
        panels: per panel what `plate` gives, in inside coordinates u, v (mm from the lower-left inside corner, seen
            from outside); without `bottom` on a flat base, which carries it everywhere.
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


def _bent(spec: Spec, name: str, element: Element, coefficients: Array) -> Bent:
    t, sides = spec.thick, NEIGHBOURS[name]
    wall = name in WALLS
    top_hinge = wall and "lid" not in t
    j = directions(name)[1]
    start = t[sides["left"]] / 2.0
    return Bent(
        element=element,
        coefficients=coefficients,
        thickness=t[name],
        hinges=frozenset({"top"}) if top_hinge and not spec.strip else frozenset(),
        loose=frozenset({"top"}) if wall and not spec.held_top else frozenset(),
        mirrored=name in MIRRORED,
        origin=(start, spec.offsets[j]),
        insets={
            side: t[other] / (2.0 if other == "bottom" and spec.base == "flat" else 4.0)
            for side, other in sides.items()
            if other in t
        },
    )


_Forces = dict[tuple[str, str], Array]  # per panel and side, what holds it there, (loads, places)


def _held(bents: Mapping[str, Bent]) -> _Forces:
    return {(name, side): bent.holding_force(side) for name, bent in bents.items() for side in NEIGHBOURS[name]}


def _pulled(bents: Mapping[str, Bent], forces: _Forces) -> dict[str, Bent]:
    """Add to each panel the tension that its neighbours put in."""
    result = {}
    for name, bent in bents.items():
        pull = {}
        for side, other in NEIGHBOURS[name].items():
            if other in bents:
                force = forces[other, facing(other, name)]
                pull[side] = force[:, ::-1] if _against(name, other) else force
        result[name] = replace(bent, pull=pull)
    return result


def _against(a: str, b: str) -> bool:
    """The two panels count along their seam in opposite ways."""
    return bool({a, b} & {"bottom", "lid"}) and bool({a, b} & MIRRORED)


def _seam(spec: Spec, forces: _Forces, results: Mapping[str, PlateResult], a: str, b: str) -> SeamResult:
    edge_a = results[a].edges[facing(a, b)]
    force_a = forces[a, facing(a, b)]
    if b in results:
        moment_b, force_b = results[b].edges[facing(b, a)].normal, forces[b, facing(b, a)]
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


def _results(spec: Spec, solutions: Sequence[Solution], count: int) -> list[BoxResult]:
    """All the loads at once, panel by panel, each held against the lower order where there is one."""
    bents, *lower = (_bents(spec, solution) for solution in solutions)
    forces = _held(bents)
    read = {name: read_off(bent) for name, bent in _pulled(bents, forces).items()}
    for rough in lower:
        read = {name: compared(read[name], coarse) for name, coarse in rough.items()}
    if lower and _unresolved(spec):
        read["bottom"] = [replace(one, error_moment=max(one.error_moment, UNRESOLVED)) for one in read["bottom"]]
    return [
        _result(spec, {at: held[k] for at, held in forces.items()}, {name: each[k] for name, each in read.items()})
        for k in range(count)
    ]


def _unresolved(spec: Spec) -> bool:
    return isinstance(spec.base, OnPlates) and not floor_on_plates(spec).resolved


def _bents(spec: Spec, solution: Solution) -> dict[str, Bent]:
    elements, values = solution
    return {name: _bent(spec, name, element, values[name]) for name, element in elements.items()}


def _result(spec: Spec, forces: _Forces, read: Mapping[str, PlateResult]) -> BoxResult:
    findings: list[Finding] = []
    results: dict[str, PlateResult] = {}
    for name, got in read.items():
        i, j = directions(name)
        short = min(spec.inner[i], spec.inner[j])
        said = limits(name, spec.thick[name], short, got.deflection.value, True, "top" in got.bent.loose)
        rough = name == "bottom" and _unresolved(spec) and not coarse(got.error_moment)
        said += unresolved(name) if rough else unsettled(name, got.error_moment)
        findings += said
        results[name] = replace(got, findings=said)
    if spec.base == "flat":
        findings.append(_FLAT)
    pairs = [(a, b) for a, b in JOINTS if a in results and b in spec.thick]
    seams = [_seam(spec, forces, results, a, b) for a, b in pairs]
    return BoxResult(panels=results, seams={s.name: s for s in seams}, findings=tuple(findings))


def box_cases(
    length: float,
    width: float,
    height: float,
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    pressures: Sequence[BoxPressure | Padded],
    base: str | OnPlates,
    rim: RimSpec,
    *,
    orders: tuple[int, ...] = (0, 1),
) -> list[BoxResult]:
    """`box` for several pressures at once: the stiffness is worked out only once.

    Args:
        orders: by how many functions less than usual to solve; what is read comes from the first, its error from the
            second where there is one.
    """
    inner = (
        (float(length), float(width), float(height)) if all(map(_plain, (length, width, height))) else (math.nan,) * 3
    )
    spec = check_box(inner, thicknesses, modulus, poisson, base, rim)
    return _results(spec, [solve_box(spec, pressures, less) for less in orders], len(pressures))


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
        pressure: on the inner faces, MPa, outward: a `Liquid`; or p(x, y, z) in inside coordinates, called with
            arrays; or a mapping from panel to p(u, v), to a pair (uniform, extra at the bottom that falls to zero at
            the top), or to one number. u runs to the right as seen from outside and v up, from the lower-left inside
            corner (bottom and lid: +x and +y from left-front).
        base: "flat" (rests all over on a flat base: the floor stays flat), "hung" (the floor hangs between the
            walls), or `OnPlates`.
        rim: "free", "supported" (held all round: a bonded lid, which bends too where its thickness is given), a
            `Strip`, a `Brace`, or a sequence of them.

    Raises:
        ValueError: a size, panel, base or rim that makes no sense.

    Valid: solid, square corners as strong as the sheet; linear. Own weight of the panels is left out.

    >>> from assemblies.strength import Liquid
    >>> water = Liquid(density_kg_m3=1000, depth_mm=400, gravity_m_s2=9.81)
    >>> got = box(600, 300, 400, 10, 3200, 0.37, water, "flat", "free")
    >>> round(got.panels["front"].deflection.value, 2), round(got.seams["front-bottom"].stress_a, 2)
    (1.87, 2.56)
    """
    return box_cases(length, width, height, thicknesses, modulus, poisson, [pressure], base, rim)[0]
