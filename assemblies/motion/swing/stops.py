"""An emergency stop at the worst moment of a move: the waves that are already there, and those that the stop raises.

It may come at any time: every sixtieth of the move and each of its joints are looked at. From there it slows evenly to rest,
then the liquid swings freely; without damping, so that nothing dies.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.motion.path.profile import Array, Path
from assemblies.motion.swing.response import Swing, WaveState

__all__ = ["WorstStop", "gentlest_stop", "worst_stop"]

_TIMES: Final = 61
_JOINTS: Final = 40
_AFTER: Final = 3.0  # periods of the first wave
_FINE: Final = 120  # samples of the slowing, and of the swinging after it


@dataclass(frozen=True, kw_only=True)
class WorstStop:
    """The stop that lifts the liquid highest.

    Attributes:
        at: when it begins, s.
        rise: at the wall that rises most.
        runs: how far it still goes from the greatest speed.
        moving: the greatest change of acceleration at once, of any stop.
    """

    at: float
    rise: float
    runs: float
    change: float


def worst_stop(swing: Swing, walls: tuple[tuple[float, ...], ...], path: Path, brake: float) -> WorstStop:
    """The worst of all stops along a path.

    Args:
        swing, walls: the waves, and how much of each the walls see.
        path: of the move.
        brake: how hard it is slowed; nil: it only runs on.
    """
    joints = path.times[:: max(1, len(path.times) // _JOINTS)]
    times = np.unique(np.concatenate([np.linspace(0.0, path.time, _TIMES), joints, np.nextafter(joints[1:], 0.0)]))
    _, speed, push = path.at(times)
    state = swing.along(path, times)
    slows = -np.sign(speed) * brake
    lasts = np.abs(speed) / brake if brake else np.zeros_like(speed)
    weights = np.array(walls).T
    rise = np.zeros(len(times))
    nil = np.zeros((len(times), 1))
    for part in np.linspace(0.0, 1.0, _FINE):
        during = swing.step(state, slows[:, None], nil, (part * lasts)[:, None])
        rise = np.maximum(rise, np.abs(during.q @ weights).max(axis=1))
    end = swing.step(state, slows[:, None], nil, lasts[:, None])
    rise = np.maximum(rise, _free(swing, end, weights))
    k = int(rise.argmax())
    fastest = path.speed
    return WorstStop(
        at=float(times[k]),
        rise=float(rise[k]),
        runs=fastest**2 / (2.0 * brake) if brake else math.inf,
        change=float(np.abs(slows - push).max()),
    )


def _free(swing: Swing, state: WaveState, weights: Array) -> Array:
    """The highest level of each state that swings freely."""
    highest = np.zeros(len(state.q))
    period = math.tau / float(swing.omega[0])
    for time in np.linspace(0.0, _AFTER * period, int(_AFTER * _FINE)):
        turn = swing.omega * time
        q = state.q * np.cos(turn) + state.turn * np.sin(turn)
        highest = np.maximum(highest, np.abs(q @ weights).max(axis=1))
    return np.asarray(highest)


def gentlest_stop(
    swing: Swing, walls: tuple[tuple[float, ...], ...], path: Path, limit: float, brake: float
) -> float | None:
    """The hardest stop, up to `brake`, that keeps every wall within a limit whenever it comes; None where none does."""
    low, high = 0.0, brake
    least = brake / 64.0
    if worst_stop(swing, walls, path, least).rise > limit:
        return None
    low = least
    for _ in range(7):
        middle = (low + high) / 2.0
        low, high = (middle, high) if worst_stop(swing, walls, path, middle).rise <= limit else (low, middle)
    return low
