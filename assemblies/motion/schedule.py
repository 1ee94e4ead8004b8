"""Schedules: a planned move by its samples, as integer pulses, and as one place a picture; SI, units in the headers.

Whoever writes them gives pulses to moves that are proven alone; of others the samples say NOT PROVEN in every row.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from assemblies.motion.drive.motor import pulses_a_unit
from assemblies.motion.path.profile import Array
from assemblies.motion.plans.moves import Moves, PlannedSlide, PlannedTurn
from assemblies.motion.plans.spin import PlannedSpin
from assemblies.order.values import DEVICE

__all__ = ["NOT_PROVEN", "TICK_S", "Schedule", "c_header", "frames", "pulses", "schedules", "slugs"]

NOT_PROVEN: Final = "NOT PROVEN"
TICK_S: Final = 0.01
#: Pulses of 200 steps a turn in 8 parts: of a belt of 2 mm pitch on 20 teeth a m, behind a gear of 10 : 1 a rad. Taken.
A_METRE: Final = 200 * 8 / 0.040
A_RADIAN: Final = 200 * 8 * 10 / math.tau
_SLIDE: Final = (
    "time_s",
    "place_m",
    "speed_m_s",
    "acceleration_m_s2",
    "liquid_left_m3",
    "flow_m3_s",
    "force_N",
    "state",
)
_TURN: Final = (
    "time_s",
    "angle_rad",
    "speed_rad_s",
    "acceleration_rad_s2",
    "liquid_left_m3",
    "flow_m3_s",
    "torque_N_m",
    "state",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Schedule:
    """A move by its samples.

    Attributes:
        case: its name.
        proven: whether it may be run.
        header: names of the columns.
        rows: time, place or angle, speed, acceleration, liquid left, flow, force or torque; none of a move without a path.
        a_unit: pulses of a m or rad.
        repeat, wait: how many moves, s between them.
        pictures: a second, of which each has its place.
    """

    case: str
    proven: bool
    header: tuple[str, ...]
    rows: Array
    a_unit: float
    repeat: int = 1
    wait: float = 0.0
    pictures: float = 25.0

    @property
    def state(self) -> str:
        return "proven" if self.proven else NOT_PROVEN

    @property
    def places(self) -> Array:
        return np.asarray(self.rows[:, 1])

    def table(self) -> Iterator[tuple[str, ...]]:
        """The rows of its CSV."""
        for row in self.rows:
            yield (*(f"{value + 0.0:.9g}" for value in row), self.state)
        if not len(self.rows):
            yield ("",) * (len(self.header) - 1) + (self.state,)


def slugs(names: Sequence[str]) -> dict[str, str]:
    """A name for a file of each: a to z, 0 to 9 and -, as names of packets; each its own.

    >>> slugs(["Run the trough!", "run the trough", "con", "..."])
    {'Run the trough!': 'run-the-trough', 'run the trough': 'run-the-trough-2', 'con': 'con-case', '...': 'case'}
    """
    out: dict[str, str] = {}
    for name in names:
        base = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:50].rstrip("-") or "case"
        base = f"{base}-case" if re.match(DEVICE, base) else base
        slug, number = base, 2
        while slug in out.values():
            slug, number = f"{base}-{number}", number + 1
        out[name] = slug
    return out


def schedules(moves: Moves, volume_mm3: float, *, proven: bool) -> tuple[Schedule, ...]:
    """Every planned move but throws: a cylinder goes by its air, not by samples.

    Args:
        moves: as the check of the motion answers.
        volume_mm3: of liquid in it.
        proven: whether the rig holds what the moves do to it.
    """
    found = [_slide(one, volume_mm3, proven=proven and one.spec.name in moves.passed) for one in moves.slides]
    found += [_turn(one, proven=proven and one.spec.name in moves.passed) for one in moves.turns]
    found += [_spin(one, volume_mm3, proven=proven and one.spec.name in moves.passed) for one in moves.spins]
    nothing = np.zeros((0, len(_SLIDE) - 1))
    found += [
        Schedule(case=name, proven=False, header=_SLIDE, rows=nothing, a_unit=A_METRE) for name, _ in moves.outside
    ]
    return tuple(found)


def _slide(one: PlannedSlide, volume: float, *, proven: bool) -> Schedule:
    path = one.plan.path
    times = _at(path.time)
    place, speed, push = path.at(times)
    place[-1], speed[-1], push[-1] = path.distance, 0.0, 0.0
    force = one.force(speed, push)
    left = np.full(len(times), volume * 1e-9)
    rows = np.stack([times, place * 1e-3, speed * 1e-3, push * 1e-3, left, np.zeros(len(times)), force], axis=1)
    return Schedule(
        case=one.spec.name,
        proven=proven,
        header=_SLIDE,
        rows=rows,
        a_unit=pulses_a_unit(one.drive) if one.drive else A_METRE,
        repeat=one.spec.repeat,
        wait=one.wait,
        pictures=one.spec.pictures,
    )


def _turn(one: PlannedTurn, *, proven: bool) -> Schedule:
    plan = one.plan
    times = _at(float(plan.times[-1]))

    def at(values: Array) -> Array:
        return np.asarray(np.interp(times, plan.times, values))

    columns = (plan.angles, plan.rates, plan.pushes, plan.left * 1e-9, plan.flows * 1e-9, one.loads * 1e-3)
    rows = np.stack([times, *map(at, columns)], axis=1)
    return Schedule(
        case=one.spec.name,
        proven=proven,
        header=_TURN,
        rows=rows,
        a_unit=pulses_a_unit(one.drive) if one.drive else A_RADIAN,
        pictures=one.spec.pictures,
    )


def _spin(one: PlannedSpin, volume: float, *, proven: bool) -> Schedule:
    clock, *moved = one.samples
    times = _at(float(clock[-1]))
    angle, rate, push = (np.interp(times, clock, values) for values in moved)
    left = np.full(len(times), (volume - (one.liquid.spilled if one.liquid else 0.0)) * 1e-9)
    rows = np.stack([times, angle, rate, push, left, np.zeros(len(times)), one.inertia * push * 1e-6], axis=1)
    return Schedule(
        case=one.spec.name,
        proven=proven,
        header=_TURN,
        rows=rows,
        a_unit=pulses_a_unit(one.drive) if one.drive else A_RADIAN,
        pictures=one.spec.pictures,
    )


def _at(time: float) -> Array:
    """Every tick, and the end."""
    whole = np.arange(math.ceil(time / TICK_S - 1e-9)) * TICK_S
    return np.append(whole, time)


def pulses(one: Schedule) -> tuple[npt.NDArray[np.int64], Array]:
    """Pulses from the start at each sample, and by how much each place is missed, m or rad: never over half a pulse."""
    exact = one.places * one.a_unit
    whole = np.rint(exact).astype(np.int64)
    return whole, np.asarray((whole - exact) / one.a_unit)


def frames(one: Schedule) -> Iterator[tuple[str, str, str]]:
    """Number, time and place of each picture, the end among them."""
    last = float(one.rows[-1, 0])
    count = math.ceil(last * one.pictures - 1e-9)
    for k in range(count + 1):
        time = k / one.pictures
        place = float(np.interp(time, one.rows[:, 0], one.places))
        yield str(k), f"{time:.9g}", f"{place + 0.0:.9g}"


def c_header(one: Schedule, name: str) -> str:
    """The pulses as a plain C header.

    Args:
        one: the schedule.
        name: of its file, without an ending.
    """
    whole, missed = pulses(one)
    word = name.replace("-", "_")
    word = word if word[0].isalpha() else f"move_{word}"
    big, unit = word.upper(), "m" if one.header is _SLIDE else "rad"
    lines = [
        f"/* {one.header[1]} as pulses from the start, one for each tick; between ticks go evenly.",
        f"   The last tick is {_micro(one.rows[-1, 0] - one.rows[-2, 0])} us long. "
        f"No place is missed by more than {np.abs(missed).max():.3g} {unit}. */",
        f"#ifndef {big}_H",
        f"#define {big}_H",
        "#include <stdint.h>",
        f"#define {big}_TICK_US {_micro(TICK_S)}L",
        f"#define {big}_LAST_TICK_US {_micro(one.rows[-1, 0] - one.rows[-2, 0])}L",
        f"#define {big}_COUNT {len(whole)}",
        f"#define {big}_PULSES_PER_{'M' if unit == 'm' else 'RAD'} {one.a_unit:.9g}",
        f"#define {big}_REPEAT {one.repeat}",
        f"#define {big}_WAIT_MS {math.ceil(one.wait * 1000.0)}L",
        f"static const int32_t {word}_pulses[{big}_COUNT] = {{",
    ]
    lines += [f"    {', '.join(map(str, whole[k : k + 12]))}," for k in range(0, len(whole), 12)]
    return "\n".join([*lines, "};", "#endif", ""])


def _micro(time: float) -> int:
    return round(time * 1e6)
