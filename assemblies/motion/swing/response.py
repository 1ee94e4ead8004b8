"""The waves of liquid that is moved along a path: how high they stand at the walls during the move and after it.

Each wave answers a level push a with q'' + omega^2 q = -omega^2 C a / g, C its lift; while the push changes evenly,
q + C a / g swings freely: exact in every piece of a path. Undamped, which overstates (safe); a wall ahead of the push sees
the sum of q, the wall behind it the same with the other sign. Valid as `liquid.waves.modes`: low waves, level and rigid tank.

Source: Ibrahim, Liquid Sloshing Dynamics, 2005, ch. 2; from memory; held to an integrator and to finite elements in tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from assemblies.liquid.waves.modes import WallWave
from assemblies.motion.path.profile import Array, Path

__all__ = ["Swing", "WaveState"]


@dataclass(frozen=True, eq=False)
class WaveState:
    """Waves at some times: level `q` at the wall ahead, and its rate over omega, (times, waves)."""

    q: Array
    turn: Array

    @property
    def swing(self) -> Array:
        """How high each wave swings from there on, if nothing more is done."""
        return np.asarray(np.hypot(self.q, self.turn))


@dataclass(frozen=True)
class Swing:
    """Waves and the gravity that holds them down; one unit of length, that of the lifts."""

    waves: tuple[WallWave, ...]
    gravity: float

    @property
    def omega(self) -> Array:
        return np.array([wave.omega for wave in self.waves])

    @property
    def lift(self) -> Array:
        """Of a unit push, (length per that)."""
        return np.array([wave.lift for wave in self.waves]) / self.gravity

    def step(self, state: WaveState, push: Array, jerk: Array, time: Array) -> WaveState:
        """From each state on under a push that begins so and changes so, after so long; of any shapes that broadcast."""
        omega, lift = self.omega, self.lift
        x = state.q + lift * push
        y = state.turn + lift * jerk / omega
        cosine, sine = np.cos(omega * time), np.sin(omega * time)
        return WaveState(
            x * cosine + y * sine - lift * (push + jerk * time), y * cosine - x * sine - lift * jerk / omega
        )

    def along(self, path: Path, times: Array, first: WaveState | None = None) -> WaveState:
        """The waves at these times from the start of a path, from rest unless told; after its end they swing freely."""
        at = first or WaveState(np.zeros(len(self.waves)), np.zeros(len(self.waves)))
        q, turn = [at.q], [at.turn]
        for last, start, jerk in zip(path.durations, path.starts, path.jerks, strict=True):
            at = self.step(at, start, jerk, last)
            q.append(at.q)
            turn.append(at.turn)
        q_all, turn_all = np.array(q), np.array(turn)
        k, since = path.piece_at(times)
        over = times >= path.time
        k = np.where(over, len(path.durations), k)
        push = np.append(path.starts, 0.0)[k][:, None]
        jerk = np.append(path.jerks, 0.0)[k][:, None]
        since = np.where(over, times - path.time, since)[:, None]
        return self.step(WaveState(q_all[k], turn_all[k]), push, jerk, since)

    def left(self, path: Path) -> Array:
        """How high each wave still swings after the stop."""
        return np.asarray(self.along(path, np.array([path.time])).swing[0])

    def times(self, path: Path, after_periods: float = 2.0, fine: int = 16) -> Array:
        """Times close enough together to see the highest waves: 16 in the shortest period that counts, and the joints."""
        period = math.tau / float(self.omega[min(len(self.waves), 4) - 1])
        first = math.tau / float(self.omega[0])
        count = min(max(int(fine * (path.time + after_periods * first) / period), 200), 40_000)
        grid = np.linspace(0.0, path.time + after_periods * first, count)
        return np.unique(np.concatenate([grid, path.times]))
