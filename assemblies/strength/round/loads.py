"""What a load case presses and pulls on a round tank's solid, as amplitudes of its harmonics."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.plates.basis import Array
from assemblies.strength.round.solid import Solid, shapes
from assemblies.strength.round.tank import RoundTank

__all__ = ["AROUND", "HARMONICS", "amplitudes", "lid_pressed", "synthesis"]

HARMONICS: Final = 11  # 0 to 10: more change no figure by a hundredth (a test)
AROUND: Final = 64  # places around
_EDGE: Final = np.polynomial.legendre.leggauss(4)
_NEAR: Final = 1e-6


def _turns() -> Array:
    return np.arange(AROUND) * math.tau / AROUND


def _harmonics(values: Array, count: int) -> Array:
    """Amplitudes of what is read at the places around, last axis: the sum of Re(c e^(i n phi)) gives it back."""
    found = np.fft.fft(values, axis=-1)[..., :count] * 2.0 / AROUND
    found[..., 0] /= 2.0
    return np.asarray(found)


def synthesis(count: int) -> Array:
    """e^(i n phi) by harmonic and place around."""
    return np.asarray(np.exp(1j * np.arange(count)[:, None] * _turns()[None, :]))


def amplitudes(solid: Solid, tank: RoundTank, load: LoadCase, count: int = HARMONICS) -> Array:
    """Forces on the nodes' moves, by radian: `(harmonic, node, radial around up)`."""
    out = np.zeros((count, len(solid.nodes), 3), complex)
    _wet(out, solid, tank, load, count)
    _heavy(out, solid, tank, load)
    return out


def _wet(out: Any, solid: Solid, tank: RoundTank, load: LoadCase, count: int) -> None:
    """The liquid's pressure on wall and floor."""
    o = solid.outline
    a, b, c, d = solid.boxes.T
    turns = _turns()
    on_wall = np.flatnonzero(solid.in_wall & (np.abs(a - o.bore) < _NEAR) & (c > o.base - _NEAR))
    on_floor = np.flatnonzero(~solid.in_wall & (np.abs(d - o.base) < _NEAR) & (b < o.bore + _NEAR))
    up = tank.floor - o.base  # of the section in the rig
    for which, face, local, along, sign in (
        (on_wall, "wall", (0, 7, 3), 2, 1.0),
        (on_floor, "bottom", (3, 6, 2), 0, -1.0),
    ):
        for x, weight in zip(*_EDGE, strict=True):
            low, high = solid.boxes[which, along], solid.boxes[which, along + 1]
            at = (low + high) / 2.0 + x * (high - low) / 2.0
            r, z = (np.full(len(which), o.bore), at) if along == 2 else (at, np.full(len(which), o.base))
            places = np.stack(
                np.broadcast_arrays(r[:, None] * np.cos(turns), r[:, None] * np.sin(turns), z[:, None] + up), axis=-1
            )
            pressure = load.pressure(face, places.reshape(-1, 3)).reshape(len(which), AROUND)
            force = _harmonics(pressure, count) * (sign * r * weight * (high - low) / 2.0)[:, None]
            shape, _, _ = shapes(-1.0, x) if along == 2 else shapes(x, 1.0)
            into: Any = out[:, :, 0 if along == 2 else 2].T  # a view: by node
            for k in local:
                np.add.at(into, solid.cells[which, k], force * shape[k])


def _heavy(out: Any, solid: Solid, tank: RoundTank, load: LoadCase) -> None:
    """Weight and inertia of tube and disc where they are, of ring and lid on the tube's top; and what lifts the lid there."""
    x, y, z = (v * 1e-3 for v in load.effective)
    aside = complex(x, -y)  # Re(a e^(i phi)) outward, -Im(a e^(i phi)) around
    density = np.where(solid.in_wall, tank.tube.density_kg_m3, tank.disc.density_kg_m3) * 1e-9
    for g, (gx, gy) in enumerate(((-1, -1), (1, -1), (-1, 1), (1, 1))):
        shape, _, _ = shapes(gx / math.sqrt(3.0), gy / math.sqrt(3.0))
        mass = density * solid.areas * solid.places[:, g, 0]
        for k in range(8):
            _pull(out, solid.cells[:, k], mass * shape[k], aside, z)
    top, nodes = _top(solid)
    _pull(out, nodes, top * tank.top_kg / math.tau, aside, z)
    lift, moment = lid_pressed(tank, load)
    r = solid.outline.middle
    np.add.at(out[0, :, 2], nodes, top * lift / math.tau)
    if len(out) > 1:
        np.add.at(out[1, :, 2], nodes, top * moment / (math.pi * r))


def _pull(out: Any, nodes: Any, mass: Array, aside: complex, up: float) -> None:
    np.add.at(out[0, :, 2], nodes, mass * up)
    if len(out) == 1:
        return
    np.add.at(out[1, :, 0], nodes, mass * aside)
    np.add.at(out[1, :, 1], nodes, -mass * aside)


def _top(solid: Solid) -> tuple[Array, Any]:
    """The share of each node of the tube's end, and which they are."""
    which = np.flatnonzero(solid.in_wall & (np.abs(solid.boxes[:, 3] - solid.boxes[:, 3].max()) < _NEAR))
    wide = solid.boxes[which, 1] - solid.boxes[which, 0]
    share = np.concatenate([wide / 6.0, wide * 4.0 / 6.0, wide / 6.0]) / wide.sum()
    return share, np.concatenate([solid.cells[which, k] for k in (3, 6, 2)])


def lid_pressed(tank: RoundTank, load: LoadCase) -> tuple[float, complex]:
    """With what the liquid lifts a lid that is screwed on, N, and its moment about the axis' middle, N mm."""
    if not tank.cover:
        return 0.0, 0j
    rings, turns = 24, _turns()
    r = tank.bore / 2.0 * np.sqrt((np.arange(rings) + 0.5) / rings)
    places = np.stack(
        np.broadcast_arrays(r[:, None] * np.cos(turns), r[:, None] * np.sin(turns), tank.floor + tank.inside), axis=-1
    )
    each = load.pressure("lid", places.reshape(-1, 3)).reshape(rings, AROUND)
    each = each * (math.pi * (tank.bore / 2.0) ** 2 / each.size)
    return float(each.sum()), complex((each * r[:, None] * np.exp(-1j * turns)).sum())
