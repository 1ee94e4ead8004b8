"""The shortest move that keeps every wall below its rim and leaves the waves at rest: a linear programme, and its proof.

In a time T the move is made of equal steps of constant acceleration, and asked to go as far as it can: acceleration, speed
and the level at each wall (at half steps) within their limits, every wave at rest at the end. How far that is grows with T, so
the shortest T follows by a few solves; a last scaling makes the limit of the walls hold between samples too. Run backwards
and mirrored a move does the same to its liquid, so the mean of both is as good: half of the steps say all.

*No shorter one*: multipliers of the programme bound how far any move in time T goes, whatever its steps (weak duality).

Source: Lagrangian duality of linear programmes (any text; from memory). Solved by HiGHS in scipy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from assemblies.liquid.waves.modes import positive
from assemblies.motion.path.profile import Array, Path, trapezoid
from assemblies.motion.swing.response import Swing
from parts.findings import NotCovered, SeamwrightError

__all__ = ["Shortest", "shortest"]

_HALF: Final = 60  # steps of half the move, at the least
_PER_PERIOD: Final = 12  # steps in the shortest period of a wave
_MOST_HALF: Final = 260
_NEAR: Final = 3e-4  # of the time: near enough to the shortest in these steps
_LESS: Final = 5e-4  # of the time: the first shorter move that is tried to be ruled out
_TRIES: Final = 3  # of times to rule out
_ROUNDED: Final = 1e-5  # of the distance: what sums for integrals may be off


_Floats = npt.NDArray[np.floating[Any]]


@dataclass(frozen=True, kw_only=True)
class Shortest:
    """The shortest move found.

    Attributes:
        path: it.
        bound: seconds in which no move does it, of any shape without a limit of jerk; nil where none was proven.
        without_liquid: the time of the move that the same drive makes with nothing in the tank.
        solves: linear programmes solved.
    """

    path: Path
    bound: float
    without_liquid: float
    solves: int


@dataclass(frozen=True)
class _Asked:
    """Limits, and walls: a weight for each wave, of which the sum is the level at that wall."""

    swing: Swing
    walls: tuple[tuple[float, ...], ...]
    room: float
    distance: float
    push: float
    speed: float
    jerk: float


@dataclass(frozen=True, eq=False)
class _Solved:
    """The farthest move of a time: its accelerations (half of them), how far it goes, and its multipliers."""

    time: float
    half: Array
    far: float
    mu: Array
    nu: Array
    stay: Array


@lru_cache(maxsize=64)
def shortest(
    swing: Swing,
    walls: tuple[tuple[float, ...], ...],
    *,
    room: float,
    distance: float,
    acceleration: float,
    speed: float,
    jerk: float = math.inf,
    proven: bool = True,
) -> Shortest:
    """The shortest move from rest to rest that lifts no wall over its room and leaves these waves at rest.

    Args:
        swing: the waves.
        walls: of each wall how much of each wave it sees; each is kept from rising and from sinking.
        room: to the rim.
        distance, acceleration, speed, jerk: of the move; without a jerk it changes its acceleration at once.
        proven: also find a time in which no move does it.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
        NotCovered: a move so long that its steps are too many.
    """
    positive(room=room, distance=distance, acceleration=acceleration, speed=speed)
    if not jerk > 0.0:
        raise SeamwrightError(f"jerk: {jerk!r} must be above 0")
    asked = _Asked(swing, walls, room, distance, acceleration, speed, jerk)
    bare = trapezoid(distance, speed, acceleration).time
    best, solves = _search(asked, bare)
    bound, more = _ruled_out(replace(asked, jerk=math.inf), best, bare) if proven else (0.0, 0)
    solves += more
    return Shortest(path=_path(asked, best), bound=bound, without_liquid=bare, solves=solves)


def _search(asked: _Asked, bare: float) -> tuple[_Solved, int]:
    """The shortest time in which these steps go far enough, between one that does and one that does not."""
    wish = asked.distance
    low, low_far = 0.0, 0.0
    found = _solve(asked, bare + math.tau / float(asked.swing.omega[0]))
    solves, best = 1, None
    for _ in range(40):
        if found.far >= wish:
            best = found
            if found.far <= wish * (1.0 + _NEAR) or found.time - low <= _NEAR * found.time:
                return found, solves
        else:
            low, low_far = found.time, found.far
        if best is None:
            time = found.time * max(min(wish / max(found.far, 1e-9 * wish), 2.0), 1.1)
        else:
            share = (wish * (1.0 + 0.3 * _NEAR) - low_far) / (best.far - low_far)
            time = low + min(max(share, 0.02), 0.98) * (best.time - low)
            if low == 0.0:
                time = max(time, bare)
            if time - low < 0.2 * _NEAR * time or best.time - time < 0.2 * _NEAR * time:
                time = (low + best.time) / 2.0
        found = _solve(asked, time)
        solves += 1
    if best is None:
        raise NotCovered("the shortest move without spilling was not found")
    return best, solves


def _ruled_out(free: _Asked, best: _Solved, bare: float) -> tuple[float, int]:
    """A time in which no move goes so far, as long as a few tries find it; and the programmes solved."""
    time = best.time * (1.0 - _LESS)
    slope = free.distance / best.time  # how much farther a second takes it, at the least: it goes ever faster at first
    for tried in range(1, _TRIES + 1):
        if time <= bare:
            return bare, tried - 1
        solved = _solve(free, time)
        over = _bound(free, solved) * (1.0 + _ROUNDED) - free.distance
        if over < 0.0:
            return time, tried
        slope = max(slope, (best.far - solved.far) / (best.time - time))
        time -= 1.15 * over / slope + 1e-5 * time
    return bare, _TRIES


def _count(asked: _Asked, time: float) -> int:
    """Steps of half the move."""
    period = math.tau / float(asked.swing.omega[-1])
    count = max(_HALF, math.ceil(_PER_PERIOD * time / (2.0 * period)))
    if count > _MOST_HALF:
        raise NotCovered(
            f"a move of {time:.0f} s is {time / period:.0f} periods of its waves long: the shortest one is not looked for"
        )
    return count


def _solve(asked: _Asked, time: float) -> _Solved:
    """The farthest move in so long a time, scaled so that the walls hold between samples; a jerk-limited one is smoothed
    afterwards over one step, which its time has in it."""
    from scipy.optimize import linprog

    count = _count(asked, time)
    parts = 2 * count + (1 if math.isfinite(asked.jerk) else 0)
    dt = time / parts
    starts = dt * np.arange(count)
    middle = dt * count
    far = 2.0 * dt * (middle - starts - dt / 2.0)  # twice the area under the speed
    samples = dt / 2.0 * np.arange(1, 2 * count + 1)
    waves = _level(asked.swing, samples, starts, dt)
    walls = np.concatenate([waves @ np.array(wall) for wall in asked.walls])
    speed = dt * np.tril(np.ones((count, count)))
    rows = [walls, -walls, speed, -speed]
    tops = [np.full(2 * len(walls), asked.room), np.full(2 * count, asked.speed)]
    if math.isfinite(asked.jerk):
        steps = np.eye(count) - np.eye(count, k=-1)
        last = np.zeros((1, count))
        last[0, -1] = 2.0
        rows += [steps, -steps, last, -last]
        tops.append(np.full(2 * count + 2, asked.jerk * dt))
    still = waves[-1].T  # at half time every wave passes through level
    found: Any = linprog(
        -far,
        A_ub=np.concatenate(rows),
        b_ub=np.concatenate(tops),
        A_eq=still,
        b_eq=np.zeros(len(still)),
        bounds=(-asked.push, asked.push),
        method="highs",
    )
    if found.status != 0:
        raise NotCovered(f"the shortest move without spilling was not found ({found.message})")
    half = np.asarray(found.x, float)
    fine = dt / 8.0 * np.arange(1, 8 * count + 1)
    highest = max(
        float(np.abs(_level(asked.swing, fine, starts, dt) @ np.array(wall) @ half).max()) for wall in asked.walls
    )
    scale = min(1.0, asked.room / highest) if highest > 0.0 else 1.0
    most = -np.asarray(found.ineqlin.marginals, float)
    held = len(walls)
    return _Solved(
        time,
        half * scale,
        float(far @ half) * scale,
        most[:held] - most[held : 2 * held],
        most[2 * held : 2 * held + count] - most[2 * held + count : 2 * held + 2 * count],
        -np.asarray(found.eqlin.marginals, float),
    )


def _level(swing: Swing, samples: _Floats, starts: _Floats, dt: float) -> Array:
    """(samples, steps, waves): what a unit push in each step does to each wave at each time."""
    since = np.maximum(samples[:, None] - starts[None, :], 0.0)[..., None]
    after = np.maximum(since - dt, 0.0)
    return np.asarray(swing.lift * (np.cos(swing.omega * since) - np.cos(swing.omega * after)))


def _bound(asked: _Asked, solved: _Solved) -> float:
    """How far any move of that time goes at the most, by the multipliers of the programme."""
    count = len(solved.half)
    dt = solved.time / (2 * count)
    fine = 24
    at = dt / fine * (np.arange(fine * count) + 0.5)
    samples = dt / 2.0 * np.arange(1, 2 * count + 1)
    omega, lift = asked.swing.omega, asked.swing.lift
    lag = samples[None, :] - at[:, None]
    hit = np.zeros((len(at), len(samples), len(omega)))
    ahead = lag > 0.0
    for k in range(len(omega)):  # what a blow of unit speed at `at` does to a wave at a sample
        hit[..., k] = np.where(ahead, -lift[k] * omega[k] * np.sin(omega[k] * lag), 0.0)
    cost = 2.0 * (dt * count - at) - hit[:, -1, :] @ solved.stay
    for n, wall in enumerate(asked.walls):
        cost -= (hit @ np.array(wall)) @ solved.mu[n * len(samples) : (n + 1) * len(samples)]
    ends = dt * np.arange(1, count + 1)
    cost -= (ends[None, :] > at[:, None]) @ solved.nu
    return float(
        asked.push * np.abs(cost).sum() * dt / fine
        + asked.room * np.abs(solved.mu).sum()
        + asked.speed * np.abs(solved.nu).sum()
    )


def _path(asked: _Asked, solved: _Solved) -> Path:
    """The whole move, scaled to its distance."""
    both = np.concatenate([solved.half, -solved.half[::-1]]) * (asked.distance / solved.far)
    smooth = math.isfinite(asked.jerk)
    dt = solved.time / (len(both) + (1 if smooth else 0))
    path = Path(np.full(len(both), dt), both, np.zeros(len(both)))
    return path.smoothed(dt) if smooth else path
