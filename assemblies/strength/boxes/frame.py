"""The plates of a box, put together and solved."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from assemblies.strength.boxes.coupled import Seam, Tie, solve_together
from assemblies.strength.boxes.setting import (
    JOINTS,
    MIRRORED,
    NEIGHBOURS,
    WALLS,
    BoxPressure,
    Brace,
    OnPlates,
    Pad,
    Padded,
    PanelPressure,
    panel_pressures,
)
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.plates.basis import Array, Axis, axis
from assemblies.strength.plates.condense import Condensed, condense
from assemblies.strength.plates.element import Element, Index, Patch, Rim, load, mirrored
from assemblies.strength.plates.given import rigidity
from assemblies.strength.plates.plate import GRADE
from parts.findings import NotCovered

__all__ = ["Solution", "directions", "facing", "floor_on_plates", "solve_box"]

MAXIMUM_KNOTS = 12
_CLEAR = 0.005  # share of a side: edges of plates nearer to each other than this, or to another knot, have one knot
_COUNTS = {1: 16, 2: 9, 3: 6, 4: 5, 5: 4}  # bubbles per interval, by how many intervals there are
LEVELS = ((2, True), (3, False), (2, False), (1, False))  # bubbles per interval; with knots beside the plates' edges
MOST_UNKNOWNS = 1200  # inside a floor on plates, in one block that does not mix with others
_IN, _OUT = 1.9, 2.5  # how far inside and outside of a plate's edge a knot lies, in lengths of the elastic bed
Solution = tuple[dict[str, Element], dict[str, Array]]  # per panel, what was solved and (loads, size_x, size_y)


_Axes = dict[str, tuple[Axis, Axis]]  # per panel
_Rectangle = tuple[float, float, float, float]  # x0, x1, y0, y1


def _axes(spec: Spec, less: int, pads: Mapping[str, Collection[_Rectangle]]) -> _Axes:
    """The axes of every panel. A floor on plates and a wall with plates on it have finer ones for their inside."""
    coarse = [(_COUNTS[len(knots) - 1] - less, knots) for knots in _graded(spec)]
    made = [axis(*one) for one in coarse]
    found = {name: (made[i], made[j]) for name in spec.panels for i, j in [directions(name)]}
    inside = {name: _wall_with_pads(spec, name, pads[name]) for name in pads}
    if isinstance(spec.base, OnPlates):
        inside["bottom"] = floor_on_plates(spec)
    for name, own in inside.items():
        bubbles = max(own.bubbles - less, 1)
        x, y = (axis(*coarse[k], finer=(bubbles, knots)) for k, knots in zip(directions(name), own.knots, strict=True))
        found[name] = (x, y)
    return found


def _graded(spec: Spec) -> list[tuple[float, ...]]:
    """Knots along length, width and height: a short interval beside a free rim."""
    spans, found = spec.spans, []
    for k in range(3):
        share = max(1, round(64 * GRADE * min(1.0, min(spans) / spans[k]))) / 64.0
        ends = {1.0 - share} if k == 2 else {share, 1.0 - share}
        found.append(tuple(sorted({0.0, 1.0} if spec.held_top else {0.0, 1.0, *ends})))
    return found


def _wall_with_pads(spec: Spec, name: str, pads: Collection[_Rectangle]) -> Under:
    """Knots at the edges of the pads, where the load steps, and all those of the wall's sides: its rim moves, and what bends
    with it has to break where it does. (A floor's sides only turn: without those knots it is within 0.5 %.)
    """
    found = []
    for place, k in enumerate(directions(name)):
        edges = _merged((edge / spec.spans[k] for pad in pads for edge in pad[2 * place : 2 * place + 2]), _CLEAR)
        sides = _graded(spec)[k]
        clear = {edge for edge in edges if all(abs(edge - knot) > _CLEAR for knot in sides)}
        found.append(tuple(sorted({*sides, *clear})))
    knots = (found[0], found[1])
    most = _COUNTS.get(max(len(k) for k in knots) - 1, 4)
    for bubbles in range(most, 0, -1):
        if math.prod((2 + bubbles) * (len(k) - 1) for k in knots) <= MOST_UNKNOWNS:
            break
    return Under(bubbles, knots, True)


class Under(NamedTuple):
    """The functions inside a panel with plates under or on it: bubbles per interval, knots along both of its sides, and
    whether its bending at the edges of the plates is resolved.
    """

    bubbles: int
    knots: tuple[tuple[float, ...], tuple[float, ...]]
    resolved: bool


def floor_on_plates(spec: Spec) -> Under:
    """Knots at the edges of the plates and beside them; with so many plates that this would take long, at the edges only.

    Raises:
        NotCovered: more plates at different places than can be solved.
    """
    assert isinstance(spec.base, OnPlates)
    blocks = math.prod(1 + mirrored(_patches(spec), k) for k in (0, 1))
    for bubbles, resolved in LEVELS:
        knots = (_knots_under(spec, spec.base, 0, resolved), _knots_under(spec, spec.base, 1, resolved))
        if math.prod((2 + bubbles) * (len(k) - 1) for k in knots) <= MOST_UNKNOWNS * blocks:
            break
    return Under(bubbles, knots, resolved)


def _knots_under(spec: Spec, base: OnPlates, k: int, beside: bool) -> tuple[float, ...]:
    """Knots at the edges of plates under the floor, and a little inside and outside of them, where its bending changes over
    a few times (4 D / stiffness)^(1/4), the length of a beam on an elastic bed (Hetenyi; from memory).
    """
    edges = {0.0, 1.0, *(share for r in base.rectangles for share in _shares(spec, r)[2 * k : 2 * k + 2])}
    if len(edges) > MAXIMUM_KNOTS + 2:
        raise NotCovered(f"base: more than {MAXIMUM_KNOTS // 2} plates stand at different places along one side")
    bending = rigidity(spec.modulus, spec.thick["bottom"], spec.poisson)
    length = (4.0 * bending / _bed(spec, base)) ** 0.25 / spec.spans[k]
    edges = {0.0, 1.0, *_merged(edges - {0.0, 1.0}, _CLEAR)}
    near: set[float] = set()
    for r in base.rectangles if beside else ():
        for edge, inward in zip(_shares(spec, r)[2 * k : 2 * k + 2], (1.0, -1.0), strict=True):
            near |= {edge + inward * _IN * length, edge - inward * _OUT * length}
    least = 0.6 * _IN * length
    clear = {x for x in near if 0.0 < x < 1.0 and all(abs(x - edge) > least for edge in edges)}
    return tuple(sorted(edges | _merged(clear, least)))


def _merged(knots: Iterable[float], least: float) -> set[float]:
    """Those nearer to each other than this as one, in their middle: the same read from either end."""
    groups: list[list[float]] = []
    for knot in sorted(knots):
        if groups and knot - groups[-1][-1] <= least:
            groups[-1].append(knot)
        else:
            groups.append([knot])
    return {round((group[0] + group[-1]) / 2.0, 6) for group in groups}


def _bed(spec: Spec, base: OnPlates) -> float:
    """Stiffness of what the floor stands on, N/mm3."""
    return base.stiffness or spec.modulus / spec.thick["bottom"]


def _shares(spec: Spec, rectangle: tuple[float, float, float, float]) -> tuple[float, ...]:
    """A rectangle under the floor as shares of the spans."""
    result = []
    for k in (0, 1):
        for place in rectangle[2 * k : 2 * k + 2]:
            share = min(max((place + spec.offsets[k]) / spec.spans[k], 0.0), 1.0)
            result.append(0.0 if share <= 0.02 else 1.0 if share >= 0.98 else round(share, 6))
    return tuple(result)


def _keep(size: int, dropped: Sequence[int]) -> Index:
    keep = np.ones(size, dtype=bool)
    keep[list(dropped)] = False
    return np.nonzero(keep)[0]


def directions(name: str) -> tuple[int, int]:
    """Which of length, width, height a panel's axes run along."""
    return {"front": (0, 2), "back": (0, 2), "left": (1, 2), "right": (1, 2)}.get(name, (0, 1))


def _element(spec: Spec, name: str, axes: tuple[Axis, Axis]) -> Element:
    (i, j), (x, y) = directions(name), axes
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


def _patches(spec: Spec) -> tuple[Patch, ...]:
    assert isinstance(spec.base, OnPlates)
    stiff = _bed(spec, spec.base)
    return tuple((*_shares(spec, r)[:4], stiff) for r in spec.base.rectangles)  # type: ignore[misc]  # four shares


def _modes(x: Axis, y: Axis) -> tuple[Array, ...]:
    """The floor moving with all of its edges: down, and down at the right, and down at the back."""
    return (
        np.outer(x.line(1.0, 1.0), y.line(1.0, 1.0)),
        np.outer(x.line(0.0, 1.0), y.line(1.0, 1.0)),
        np.outer(x.line(1.0, 1.0), y.line(0.0, 1.0)),
    )


def _braces_of(spec: Spec, name: str) -> list[Brace]:
    along = {"front": "width", "back": "width", "left": "length", "right": "length"}.get(name)
    return [b for b in spec.braces if b.along == along]


def _tie(spec: Spec, brace: Brace, x: Axis, y: Axis) -> Array:
    """Mean deflection of the rim over the brace's width."""
    k = 0 if brace.along == "width" else 1
    places = brace.at_mm + spec.offsets[k] + brace.width * np.array([-3.0, -1.0, 1.0, 3.0]) / 8.0
    return np.outer(x.at(places / spec.spans[k]).mean(axis=0), y.at(np.array([1.0]))[0])


def _loads(spec: Spec, elements: dict[str, Element], pressures: Sequence[BoxPressure | Padded]) -> dict[str, Array]:
    """Work of each pressure on each function of each panel, (size_x, size_y, loads)."""
    plain = [one.pressure if isinstance(one, Padded) else one for one in pressures]
    pushes = [panel_pressures(pressure, *spec.inner, tuple(elements)) for pressure in plain]
    work = {}
    for name, element in elements.items():
        u0, v0 = _corner(spec, name)
        i, j = directions(name)
        region = (u0, u0 + spec.inner[i], v0, v0 + spec.inner[j])
        work[name] = load(element, [_moved(push[name], u0, v0) for push in pushes], region)
    for name, places in _pads_of(spec, pressures).items():
        for place, pads in places.items():
            own = [_moved(_turned(spec, name, pad.pressure), *_corner(spec, name)) for _, pad in pads]
            work[name][:, :, [k for k, _ in pads]] += load(elements[name], own, place)
    return work


def _corner(spec: Spec, name: str) -> tuple[float, float]:
    """Inner corner of a panel in its span, mm."""
    i, j = directions(name)
    return spec.offsets[i], spec.offsets[j]


def _moved(push: PanelPressure, u0: float, v0: float) -> PanelPressure:
    """The same over places in the span."""
    return lambda u, v: push(u - u0, v - v0)


def _turned(spec: Spec, name: str, push: PanelPressure) -> PanelPressure:
    """The same in the directions of the axes."""
    across = spec.inner[directions(name)[0]]
    return (lambda u, v: push(across - u, v)) if name in MIRRORED else push


def _place(spec: Spec, name: str, pad: Pad) -> _Rectangle:
    """Where a pad lies in the span of its panel, mm."""
    (u0, v0), across = _corner(spec, name), spec.inner[directions(name)[0]]
    (low_u, low_v), (high_u, high_v) = pad.low, pad.high
    if name in MIRRORED:
        low_u, high_u = across - high_u, across - low_u
    return u0 + low_u, u0 + high_u, v0 + low_v, v0 + high_v


def _pads_of(
    spec: Spec, pressures: Sequence[BoxPressure | Padded]
) -> dict[str, dict[_Rectangle, list[tuple[int, Pad]]]]:
    """Per panel the places where pads lie, and which pressures have a pad there."""
    found: dict[str, dict[_Rectangle, list[tuple[int, Pad]]]] = {}
    for k, pressure in enumerate(pressures):
        for name, pads in pressure.pads.items() if isinstance(pressure, Padded) else ():
            for pad in pads:
                found.setdefault(name, {}).setdefault(_place(spec, name, pad), []).append((k, pad))
    return found


def _mode_loads(spec: Spec, elements: dict[str, Element], work: dict[str, Array]) -> Array:
    """What walls and lid put on the floor's rigid modes: weight, the walls' overturning push, the lid's lift."""
    assert isinstance(spec.base, OnPlates)
    result = np.zeros((3, work["bottom"].shape[2]))
    result += spec.base.weight_n * np.array([1.0, 0.5, 0.5])[:, None]
    for mode, (far, near), span in ((1, ("right", "left"), spec.spans[0]), (2, ("back", "front"), spec.spans[1])):
        for name, sign in ((far, 1.0), (near, -1.0)):
            e = elements[name]
            lever = np.outer(e.x.line(1.0, 1.0), e.y.line(0.0, 1.0)) * e.height
            result[mode] += sign / span * np.tensordot(lever, work[name], axes=2)
    if "lid" in work:
        for k, shape in enumerate(_modes(elements["lid"].x, elements["lid"].y)):
            result[k] -= np.tensordot(shape, work["lid"], axes=2)
    return result


def _seams_of(spec: Spec) -> list[tuple[str, str, str, str]]:
    """(a, side, b, side) as seen from outside, for the panels that are solved."""
    pairs = [(a, b) for a, b in JOINTS if a in spec.panels and b in spec.panels]
    return [(a, facing(a, b), b, facing(b, a)) for a, b in pairs]


def facing(a: str, b: str) -> str:
    return next(side for side, other in NEIGHBOURS[a].items() if other == b)


def _plain_side(name: str, side: str) -> str:
    """A side as seen from outside, in the directions of the axes."""
    return {"left": "right", "right": "left"}.get(side, side) if name in MIRRORED else side


def _condense_all(spec: Spec, elements: dict[str, Element], work: dict[str, Array]) -> dict[str, Condensed]:
    """Condense every panel; two opposite walls of one thickness only once."""
    plates: dict[str, Condensed] = {}
    for name, element in elements.items():
        twin = {"left": "right", "front": "back"}.get(name, "")
        if name in plates:
            continue
        if (
            twin in elements
            and spec.thick[twin] == spec.thick[name]
            and elements[twin].x is element.x
            and elements[twin].y is element.y
        ):
            both = condense(element, np.concatenate([work[name], work[twin]], axis=2))
            half = work[name].shape[2]
            plates[name] = both.loads(slice(None, half), element)
            plates[twin] = both.loads(slice(half, None), elements[twin])
        else:
            plates[name] = condense(element, work[name], _mode_loads(spec, elements, work) if element.modes else None)
    return plates


def solve_box(spec: Spec, pressures: Sequence[BoxPressure | Padded], less: int) -> Solution:
    axes = _axes(spec, less, _pads_of(spec, pressures))
    elements = {name: _element(spec, name, axes[name]) for name in spec.panels}
    work = _loads(spec, elements, pressures)
    plates = _condense_all(spec, elements, work)
    seams = [
        Seam(a=(a, _plain_side(a, side_a)), b=(b, _plain_side(b, side_b))) for a, side_a, b, side_b in _seams_of(spec)
    ]
    ties = []
    for pair, along, span in (
        (("front", "back"), "width", spec.spans[1]),
        (("left", "right"), "length", spec.spans[0]),
    ):
        for k, brace in enumerate(b for b in spec.braces if b.along == along):
            compliance = span / (spec.modulus * brace.width * brace.thickness)
            ties.append(Tie(members=dict.fromkeys(pair, k), compliance=compliance))
    return elements, solve_together(plates, seams, ties)
