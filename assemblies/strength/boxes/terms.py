"""What a tank's stiffness is made of: panels, the layers of plates bonded on, strips and braces at the rim."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from assemblies.strength.boxes.lines import END, SLOPE, Line, Span
from assemblies.strength.boxes.setting import PLANES, Brace, Pad, outward
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import Index

__all__ = [
    "Terms",
    "brace_moves",
    "brace_squares",
    "grip_terms",
    "layer_stiffness",
    "layer_terms",
    "panel_terms",
    "rim_terms",
]

_GRIP = 1.0  # of the floor's own stretching: what keeps it in its plane where nothing else does, spread evenly
_Run = tuple[Index, Index, Array]


class Terms(NamedTuple):
    """A product of two integrals for a pair of displacements: along a and along b (first, second, data), and a factor."""

    row: int
    column: int
    a: _Run
    b: _Run
    factor: float


def _pair(row: int, column: int, a: Span, one: Array, b: Span, other: Array, factor: float) -> Terms:
    return Terms(row, column, (a.first, a.second, one), (b.first, b.second, other), factor)


def panel_terms(spec: Spec, name: str, a: Span, b: Span) -> Iterator[Terms]:
    """Bending and stretching of a panel over parts of its lines."""
    n, _, _ = PLANES[name]
    bend, nu = spec.stretch(name) * spec.thick[name] ** 2 / 12.0, spec.poisson
    yield _pair(n, n, a, a.bend, b, b.mass, bend)
    yield _pair(n, n, a, a.mass, b, b.bend, bend)
    yield _pair(n, n, a, a.bent, b, b.sagged, bend * nu)
    yield _pair(n, n, a, a.sagged, b, b.bent, bend * nu)
    yield _pair(n, n, a, a.slope, b, b.slope, bend * 2.0 * (1.0 - nu))
    yield from _stretching(name, a, b, spec.stretch(name), nu)


def _stretching(name: str, a: Span, b: Span, stretch: float, nu: float) -> Iterator[Terms]:
    (_, i, j), shear = PLANES[name], (1.0 - nu) / 2.0
    yield _pair(i, i, a, a.slope, b, b.mass, stretch)
    yield _pair(i, i, a, a.mass, b, b.slope, stretch * shear)
    yield _pair(j, j, a, a.mass, b, b.slope, stretch)
    yield _pair(j, j, a, a.slope, b, b.mass, stretch * shear)
    yield _pair(i, j, a, a.down, b, b.up, stretch * nu)
    yield _pair(i, j, a, a.up, b, b.down, stretch * shear)
    yield _pair(j, i, a, a.up, b, b.down, stretch * nu)
    yield _pair(j, i, a, a.down, b, b.up, stretch * shear)


def layer_stiffness(spec: Spec, pad: Pad) -> tuple[float, float]:
    """Of a plate bonded on and held at its far side: against pressing it and against sliding, N/mm3.

    The first is the modulus with sides held over the plate's thickness and half the panel's; the second G over the plate's.
    """
    nu = spec.poisson
    pressed = spec.modulus * (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu))
    sheared = spec.modulus / (2.0 * (1.0 + nu))
    return pressed / (pad.thickness + spec.thick[pad.panel] / 2.0), sheared / pad.thickness


def layer_terms(spec: Spec, pad: Pad, a: Span, b: Span) -> Iterator[Terms]:
    """A plate bonded on, held at its far side; its displacement is linear through it, from those of the panel's middle plane.

    Energy per area, s = -1 below, left, front: 1/2 [kz w^2 + k (u^2 + v^2) - s k tp (u w_a + v w_b) + k tp^2/3 (w_a^2 + w_b^2)]
    with k = G/tp, and a third of the stretching energy of a sheet of its thickness.
    """
    (n, i, j), side = PLANES[pad.panel], outward(pad.panel)
    press, slide = layer_stiffness(spec, pad)
    lever, tilt = -side * slide * pad.thickness / 2.0, slide * pad.thickness**2 / 3.0
    yield _pair(n, n, a, a.mass, b, b.mass, press)
    yield _pair(n, n, a, a.slope, b, b.mass, tilt)
    yield _pair(n, n, a, a.mass, b, b.slope, tilt)
    yield _pair(i, n, a, a.up, b, b.mass, lever)
    yield _pair(n, i, a, a.down, b, b.mass, lever)
    yield _pair(j, n, a, a.mass, b, b.up, lever)
    yield _pair(n, j, a, a.mass, b, b.down, lever)
    yield _pair(i, i, a, a.mass, b, b.mass, slide)
    yield _pair(j, j, a, a.mass, b, b.mass, slide)
    stretch = spec.modulus * pad.thickness / (1.0 - spec.poisson**2) / 3.0
    yield from _stretching(pad.panel, a, b, stretch, spec.poisson)


def grip_terms(spec: Spec, a: Span, b: Span) -> Iterator[Terms]:
    """What keeps a floor that stands or hangs in its place: soft, even springs in its plane, such as friction."""
    soft = _GRIP * spec.stretch("bottom") / max(spec.spans[:2]) ** 2
    for component in (0, 1):
        yield _pair(component, component, a, a.mass, b, b.mass, soft)


_TOP: _Run = (np.array([END]), np.array([END]), np.ones(1))
_TURN: _Run = (np.array([END + SLOPE]), np.array([END + SLOPE]), np.ones(1))
_TOP_TURN: _Run = (np.array([END]), np.array([END + SLOPE]), np.ones(1))
_TURN_TOP: _Run = (np.array([END + SLOPE]), np.array([END]), np.ones(1))


def rim_terms(spec: Spec, wall: str, along: Span) -> Iterator[Terms]:
    """A strip on a wall's upper edge: a beam whose section keeps its shape and turns with the edge.

    Its middle lies e_n inward and e_z above. Axial strain u_s' - e_n u_n'' - e_z u_z''; bending u_n'' + e_z f'' and
    u_z'' - e_n f''; twist f', f the edge's turn du_n/dz.
    """
    assert spec.strip is not None
    (n, s, _), z, strip = PLANES[wall], 2, spec.strip
    inward = -outward(wall)
    e_n, e_z = inward * strip.inset(spec.thick[wall]), strip.thickness / 2.0
    axial, level, upright, torsion = strip.stiffness(spec.modulus, spec.poisson)

    def run(data: Array) -> _Run:
        return along.first, along.second, data

    def both(one: int, other: int, up: Array, down: Array, factor: float) -> Iterator[Terms]:
        yield Terms(one, other, run(up), _TOP, factor)
        yield Terms(other, one, run(down), _TOP, factor)

    bend = run(along.bend)
    yield Terms(s, s, run(along.slope), _TOP, axial)
    yield from both(s, n, along.steep, along.leant, -axial * e_n)
    yield from both(s, z, along.steep, along.leant, -axial * e_z)
    yield Terms(n, n, bend, _TOP, axial * e_n**2 + level)
    yield Terms(z, z, bend, _TOP, axial * e_z**2 + upright)
    yield from both(n, z, along.bend, along.bend, axial * e_n * e_z)
    for across in (_TOP_TURN, _TURN_TOP):
        yield Terms(n, n, bend, across, level * e_z)
    yield Terms(z, n, bend, _TOP_TURN, -upright * e_n)
    yield Terms(n, z, bend, _TURN_TOP, -upright * e_n)
    yield Terms(n, n, bend, _TURN, level * e_z**2 + upright * e_n**2)
    yield Terms(n, n, run(along.slope), _TURN, torsion)


def brace_squares(spec: Spec, lines: Sequence[Line]) -> Iterator[tuple[dict[str, Array], float]]:
    """Braces as beams between the upper edges of two walls: what is squared, as a sum over coefficients, and the stiffness."""
    for brace in spec.braces:
        moves, (long, flat, edge, torsion) = (
            brace_moves(spec, brace, lines),
            brace.stiffness(spec.modulus, spec.poisson),
        )
        span = spec.spans[brace.axis]
        near, far = moves
        yield _sum((far["along"], 1.0), (near["along"], -1.0)), long / span
        yield _sum((far["turn"], 1.0), (near["turn"], -1.0)), torsion / span
        yield from _bent(near, far, "up", "lean", span, flat)
        yield from _bent(near, far, "across", "sweep", span, edge)


_Move = dict[str, Array]  # per panel, as work on its coefficients: (1, 3, size_a, size_b)


def _bent(
    near: dict[str, _Move], far: dict[str, _Move], move: str, turn: str, span: float, stiff: float
) -> Iterator[tuple[_Move, float]]:
    """A beam in bending: EI/L [3 (p + q)^2 + (p - q)^2], p and q its ends' turns against its chord."""
    chord = _sum((far[move], -2.0 / span), (near[move], 2.0 / span))
    yield _sum((near[turn], 1.0), (far[turn], 1.0), (chord, 1.0)), 3.0 * stiff / span
    yield _sum((near[turn], 1.0), (far[turn], -1.0)), stiff / span


def _sum(*parts: tuple[_Move, float]) -> _Move:
    found: _Move = {}
    for move, factor in parts:
        for name, work in move.items():
            found[name] = found.get(name, 0.0) + factor * work
    return found


def brace_moves(spec: Spec, brace: Brace, lines: Sequence[Line]) -> list[dict[str, _Move]]:
    """How a brace's ends move and turn, near and far: along it, across it and up; its turn about itself, and the slopes of its
    axis upward and sideways. All at its middle's height, as means over its width."""
    k = brace.axis
    s = 1 - k
    line = lines[s]
    places = brace.at_mm + spec.offsets[s] + brace.width * np.array([-3.0, -1.0, 1.0, 3.0]) / 8.0
    value, slope = (line.at(places)[d].mean(axis=0) for d in (0, 1))
    top, turn = np.zeros(lines[2].size), np.zeros(lines[2].size)
    top[END], turn[END + SLOPE] = 1.0, 1.0
    rise = brace.rise + brace.thickness / 2.0

    def ends(name: str) -> dict[str, _Move]:
        def work(component: int, a: Array, b: Array) -> _Move:
            found = np.zeros((1, 3, len(a), len(b)))
            found[0, component] = np.outer(a, b)
            return {name: found}

        lean = work(k, value, turn)  # of the wall, which turns the brace's end down
        return {
            "along": _sum((work(k, value, top), 1.0), (lean, rise)),
            "across": _sum((work(s, value, top), 1.0), (work(2, slope, top), -rise)),
            "up": work(2, value, top),
            "turn": work(2, slope, top),
            "lean": _sum((lean, -1.0)),
            "sweep": _sum((work(k, slope, top), -1.0)),
        }

    return [ends(name) for name in (("left", "right"), ("front", "back"))[k]]
