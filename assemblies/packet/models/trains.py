"""What turns with what in a train of gears: each instance on a shaft, and how fast, from the joints of the meshes."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from assemblies.design.model import BarMesh, Design, Mesh, Placed
from assemblies.motion.plans.plays import Play, Spin
from parts.vectors import Vector, cross, dot

__all__ = ["gears_play", "spins"]

_ON_LINE_MM: Final = 0.05
_LONGEST_S: Final = 60.0  # of what is played: judgement
_TURNING: Final = ("hub",)  # kinds of pieces that turn with the gear on their axis


def spins(design: Design, rate: float) -> tuple[Spin, ...]:
    """One for each shaft that a mesh joins to the first gear, which turns at `rate`, rad/s about its own normal.

    Two gears that mesh turn against each other, as their teeth have it; all on one axis turn together.
    """
    meshes = [(j.a, j.b, j.by) for j in design.joints if isinstance(j.by, Mesh)]
    if not meshes:
        return ()
    axis = design.instance(meshes[0][0]).z
    rates: dict[Vector, float] = {meshes[0][2].axes[0]: rate}
    for _ in meshes:
        for _, _, by in meshes:
            (one, two), (few, many) = by.axes, by.teeth
            if one in rates and two not in rates:
                rates[two] = -rates[one] * few / many
            elif two in rates and one not in rates:
                rates[one] = -rates[two] * many / few
    gears = {name: at for a, b, by in meshes for name, at in zip((a, b), by.axes, strict=True)}
    on = {at: tuple(p.name for p in design.placed if gears.get(p.name) == at or _rides(p, at, axis)) for at in rates}
    return tuple(Spin(names=on[at], at=at, axis=axis, rate=speed) for at, speed in rates.items())


def _rides(one: Placed, at: Vector, axis: Vector) -> bool:
    if one.piece.kind not in _TURNING:
        return False
    width, height, _ = one.piece.size_mm
    x, y, z = one.world(width / 2.0, height / 2.0, 0.0)
    return math.hypot(*cross((x - at[0], y - at[1], z - at[2]), axis)) < _ON_LINE_MM and abs(dot(one.z, axis)) > 0.999


def gears_play(design: Design, rate: float) -> Play | None:
    """The train at its own speed, for one turn of its slowest shaft; None of what has no gears.

    None of a train with a bar either: what turns on and on would leave the bar standing.
    """
    found = spins(design, rate)
    if not found or any(isinstance(joint.by, BarMesh) for joint in design.joints):
        return None
    slowest = min(abs(one.rate) for one in found)
    nil = np.zeros(2)
    return Play(
        name="turn the gears",
        kind="gears",
        proven=True,
        times=np.array([0.0, min(math.tau / slowest, _LONGEST_S)]),
        places=nil,
        angles=nil,
        levels=np.zeros(0),
        kept=np.zeros(0),
        spins=found,
    )
