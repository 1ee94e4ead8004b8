"""What loads work on the functions of a tank's panels: pressure on inner faces, weight of the panels and of what is on the
rim."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from assemblies.strength.boxes.folded import Coefficients
from assemblies.strength.boxes.lines import END, SLOPE, Line
from assemblies.strength.boxes.setting import PLANES, Load, outward
from assemblies.strength.boxes.spec import Spec
from assemblies.strength.plates.basis import Array

__all__ = ["work_on"]

_FINE = 24  # places at least along the smallest span: a liquid's surface may lie anywhere
_NEWTONS = 1e-12  # from kg/m3 mm3 mm/s2


def work_on(spec: Spec, lines: Sequence[Line], loads: Sequence[Load]) -> Coefficients:
    """Of each panel the work on each of its functions.

    Raises:
        ValueError: a pressure that is no finite number somewhere.
    """
    found = {}
    pulls = np.array([load.pull_mm_s2 for load in loads])
    for name, t in spec.thick.items():
        _, i, j = PLANES[name]
        work = _pressed(spec, lines, loads, name)
        ends = [min(lines[k].span, spec.until(name, k)) for k in (i, j)]
        runs = [_run(spec, lines[k], 0.0, end) for k, end in zip((i, j), ends, strict=True)]
        whole = [lines[k].at(at)[0].T @ weights for k, (at, weights) in zip((i, j), runs, strict=True)]
        weight = pulls * spec.density_kg_m3 * t * _NEWTONS
        work += weight[:, :, None, None] * np.outer(*whole)
        if j == 2 and "lid" not in spec.thick:
            _on_rim(spec, name, pulls, whole[0], lines[2].at(np.array([ends[1]]))[0][0], work)
        found[name] = work
    return found


def _run(spec: Spec, line: Line, low: float = 0.0, high: float | None = None) -> tuple[Array, Array]:
    """Places along a line and their weights."""
    return line.places(low, line.span if high is None else high, min(spec.spans) / _FINE)


def _pressed(spec: Spec, lines: Sequence[Line], loads: Sequence[Load], name: str) -> Array:
    n, i, j = PLANES[name]
    places, tables = {}, {}
    for k in (i, j):
        off = spec.offsets[k]
        at, weights = _run(spec, lines[k], off, off + spec.reach(name, k))
        places[k], tables[k] = at - off, lines[k].at(at)[0] * weights[:, None]
    a, b = np.meshgrid(places[i], places[j], indexing="ij")
    point = {i: a, j: b, n: np.full(a.shape, spec.inner[n] if outward(name) > 0.0 else 0.0)}
    values = np.stack([np.broadcast_to(load.push(name, point[0], point[1], point[2]), a.shape) for load in loads])
    if not np.all(np.isfinite(values)):
        raise ValueError("pressure: not a finite number somewhere on a panel; give MPa at every place")
    work = np.zeros((len(loads), 3, lines[i].size, lines[j].size))
    work[:, n] = outward(name) * (tables[i].T @ values @ tables[j])
    return work


def _on_rim(spec: Spec, wall: str, pulls: Array, along: Array, top: Array, work: Array) -> None:
    """Weight of a strip on a wall, at the strip's own middle, and of what else hangs on the rim."""
    (n, *_), strip = PLANES[wall], spec.strip
    own = strip.width * strip.thickness * spec.density_kg_m3 * _NEWTONS if strip else 0.0
    force = pulls * (own + spec.rim_kg_mm * 1e-3)
    work += force[:, :, None, None] * np.outer(along, top)
    if strip:
        inset, rise = -outward(wall) * strip.inset(spec.thick[wall]), strip.thickness / 2.0
        turning = pulls[:, n] * rise - pulls[:, 2] * inset
        work[:, n, :, END + SLOPE] += own * turning[:, None] * along
