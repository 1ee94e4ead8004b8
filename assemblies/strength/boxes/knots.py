"""Where the functions of a tank's axes have knots."""

from __future__ import annotations

import itertools
import math

from assemblies.strength.boxes.lines import Line
from assemblies.strength.boxes.setting import PLANES, Pad
from assemblies.strength.boxes.spec import Spec

__all__ = ["lines_of", "mirrored", "resolved"]

_NEAR = 0.9  # thicknesses: knots nearer than that to another are left out
_BESIDE = 2.0  # thicknesses inside and outside of a plate's edge
_END = 0.2  # of the smaller span: a short interval at each end, where the panels turn
_LONGEST = 1.1  # of the smaller of the other spans
_MOST = 200  # knots on the floor of one part; with more, they stand at the plates' edges only


def mirrored(spec: Spec) -> tuple[bool, bool]:
    """Whether it is solved half by half."""
    return spec.mirrors(0), spec.mirrors(1)


def lines_of(spec: Spec, bubbles: int) -> tuple[Line, Line, Line]:
    """The lines along x, y and z, with so many bubbles in each interval."""
    x, y, z = _places(spec, resolved(spec))
    return Line(x, bubbles), Line(y, bubbles), Line(z, bubbles)


def resolved(spec: Spec) -> bool:
    """Whether there are knots beside the edges of all plates; where many stand unlike each other it would take long."""
    x, y, _ = _places(spec, True)
    halves = sum(mirrored(spec))
    return not spec.pads or len(x) * len(y) / 2**halves <= _MOST


def _places(spec: Spec, beside: bool) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    half = mirrored(spec)
    return _knots(spec, 0, half[0], beside), _knots(spec, 1, half[1], beside), _knots(spec, 2, False, beside)


def _knots(spec: Spec, axis: int, mirror: bool, beside: bool) -> tuple[float, ...]:
    spans, thin = spec.spans, min(spec.thick.values())
    span, other = spans[axis], min(spans[k] for k in range(3) if k != axis)
    ends = (0.0, span / 2.0) if mirror else (0.0, span)
    edges = [end for pad in spec.pads if axis in PLANES[pad.panel] for end in _edges(spec, axis, pad)]
    tops = [spec.until(wall, 2) for wall in spec.tops if axis == 2]
    near = [edge + side * _BESIDE * thin for edge in edges for side in (1.0, -1.0)] if beside else []
    short = _END * min(span, other)
    found = [ends[0], *dict.fromkeys(tops), ends[1]]
    for place in (*edges, *near, short, span - short):
        if ends[0] < place < ends[1] and all(abs(place - k) >= _NEAR * thin for k in found):
            found.append(place)
    half = _split(sorted(found), _LONGEST * other)
    whole = (*half, *(span - k for k in half[-2::-1])) if mirror else half
    return tuple(round(k, 9) for k in whole)


def _edges(spec: Spec, axis: int, pad: Pad) -> tuple[float, ...]:
    _, *along = PLANES[pad.panel]
    if axis not in along:
        return ()
    k = 2 * along.index(axis)
    return spec.under(pad)[k : k + 2]


def _split(knots: list[float], longest: float) -> tuple[float, ...]:
    found = [knots[0]]
    for a, b in itertools.pairwise(knots):
        parts = max(1, math.ceil((b - a) / longest - 1e-9))
        found += [a + (b - a) * (k + 1) / parts for k in range(parts)]
    return tuple(found)
