"""Moves from rest to rest along a line: a path of pieces of constant jerk, steady or jerk-limited.

One unit of length throughout, whichever. Source: kinematics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["Array", "Path", "SCurve", "Trapezoid", "ramps", "s_curve", "trapezoid"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Path:
    """Pieces of constant jerk one after another, from rest at 0.

    Attributes:
        durations: of the pieces, s.
        starts: acceleration at the start of each; it may jump from piece to piece.
        jerks: of each.
    """

    durations: Array
    starts: Array
    jerks: Array

    @cached_property
    def times(self) -> Array:
        """Where pieces begin, and the end."""
        return np.concatenate([[0.0], np.cumsum(self.durations)])

    @cached_property
    def _knots(self) -> tuple[Array, Array]:
        """Speed and place at those times."""
        t, a, j = self.durations, self.starts, self.jerks
        speed = np.concatenate([[0.0], np.cumsum(t * (a + j * t / 2.0))])
        place = np.concatenate([[0.0], np.cumsum(t * (speed[:-1] + t * (a / 2.0 + j * t / 6.0)))])
        return speed, place

    @property
    def time(self) -> float:
        return float(self.times[-1])

    @property
    def distance(self) -> float:
        return float(self._knots[1][-1])

    def piece_at(self, times: Array) -> tuple[npt.NDArray[np.int64], Array]:
        """Which piece each time lies in, and how long since that began; before and after, the first and the last."""
        k = np.clip(np.searchsorted(self.times, times, side="right") - 1, 0, len(self.durations) - 1)
        return k.astype(np.int64), np.clip(times - self.times[k], 0.0, self.durations[k])

    def at(self, times: Array) -> tuple[Array, Array, Array]:
        """Place, speed and acceleration; at rest before and after."""
        k, t = self.piece_at(times)
        a, j = self.starts[k], self.jerks[k]
        speed, place = self._knots
        inside = (times >= 0.0) & (times < self.time)
        return (
            place[k] + t * (speed[k] + t * (a / 2.0 + j * t / 6.0)),
            np.where(inside, speed[k] + t * (a + j * t / 2.0), 0.0),
            np.where(inside, a + j * t, 0.0),
        )

    @property
    def push(self) -> float:
        """The greatest acceleration, either way."""
        return float(max(np.abs(self.starts).max(), np.abs(self.starts + self.jerks * self.durations).max()))

    @property
    def speed(self) -> float:
        """The greatest speed; pieces begin and end where acceleration is nil or they are short."""
        return float(np.abs(self.at(np.linspace(0.0, self.time, 40 * len(self.durations) + 1))[1]).max())

    def scaled(self, factor: float) -> Path:
        """The same in the same time, so many times as far."""
        return Path(self.durations, self.starts * factor, self.jerks * factor)

    def smoothed(self, width: float) -> Path:
        """The mean of this path over `width` seconds before each time: no limit on place, speed, acceleration or wave that it
        keeps is passed by it, and steps of acceleration become slopes. Of pieces without jerk."""
        knots = np.unique(np.round(np.concatenate([self.times, self.times + width]), 12))
        where = np.concatenate([[-1.0], self.times, [math.inf]])
        level = np.concatenate([[0.0], self.starts, [0.0]])

        def mean(at: float) -> float:
            low, high = np.clip(where[:-1], at - width, at), np.clip(where[1:], at - width, at)
            return float(level @ (high - low)) / width

        values = np.array([mean(t) for t in knots])
        lasts = np.diff(knots)
        return Path(lasts, values[:-1], np.diff(values) / lasts)


@dataclass(frozen=True, kw_only=True)
class Trapezoid:
    """A move of constant acceleration: its time, greatest speed, ramp and cruise times, s."""

    time: float
    peak: float
    ramp: float
    cruise: float

    @property
    def path(self) -> Path:
        return ramps(self.peak / self.ramp, self.ramp, self.cruise)


def ramps(acceleration: float, ramp: float, cruise: float) -> Path:
    """So steadily up for so long, on for so long, and down again.

    Raises:
        SeamwrightError: a figure that is not finite and above 0; the cruise may be nil.
    """
    positive(acceleration=acceleration, ramp=ramp, cruise=cruise or 1.0)
    return Path(np.array([ramp, cruise, ramp]), np.array([acceleration, 0.0, -acceleration]), np.zeros(3))


def trapezoid(distance: float, speed: float, acceleration: float) -> Trapezoid:
    """The shortest move of constant acceleration, cruise and the same back, under these limits.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.

    >>> trapezoid(0.8, 0.5, 1.25).time
    2.0
    """
    positive(distance=distance, speed=speed, acceleration=acceleration)
    peak = min(speed, math.sqrt(distance * acceleration))
    ramp = peak / acceleration
    cruise = max(distance / peak - ramp, 0.0) if peak == speed else 0.0
    return Trapezoid(time=2.0 * ramp + cruise, peak=peak, ramp=ramp, cruise=cruise)


@dataclass(frozen=True, kw_only=True)
class SCurve:
    """A move of limited jerk, seven pieces: `jerk` and `steady` are the times of changing and of constant acceleration."""

    time: float
    peak: float
    push: float
    jerk: float
    steady: float
    cruise: float

    @property
    def path(self) -> Path:
        j, a = self.push / self.jerk, self.push
        lasts = [self.jerk, self.steady, self.jerk, self.cruise, self.jerk, self.steady, self.jerk]
        return Path(np.array(lasts), np.array([0.0, a, a, 0.0, 0.0, -a, -a]), np.array([j, 0, -j, 0, -j, 0, j]))


def s_curve(distance: float, speed: float, acceleration: float, jerk: float) -> SCurve:
    """The shortest such move: greatest speed and acceleration both reached, or one of them, or neither.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(distance=distance, speed=speed, acceleration=acceleration, jerk=jerk)
    ramp = (
        speed / acceleration + acceleration / jerk if speed * jerk >= acceleration**2 else 2.0 * math.sqrt(speed / jerk)
    )
    peak = speed
    if distance < speed * ramp:  # never so fast
        rise = acceleration / jerk
        if distance * jerk**2 >= 2.0 * acceleration**3:
            peak = acceleration / 2.0 * (math.sqrt(rise**2 + 4.0 * distance / acceleration) - rise)
        else:
            peak = (distance**2 * jerk / 4.0) ** (1.0 / 3.0)
    push = min(acceleration, math.sqrt(peak * jerk))
    change = push / jerk
    steady = max(peak / push - change, 0.0)
    cruise = max(distance / peak - steady - 2.0 * change, 0.0) if peak == speed else 0.0
    time = 4.0 * change + 2.0 * steady + cruise
    if not all(map(math.isfinite, (time, peak, push))):
        raise SeamwrightError("limits of a move: too far apart to calculate with")
    return SCurve(time=time, peak=peak, push=push, jerk=change, steady=steady, cruise=cruise)
