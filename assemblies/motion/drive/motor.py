"""A motor against the move it makes: at every sample its torque, with a safety, under what its data sheet gives at that speed.

Source: torque and speed by statics and kinematics (`drive.needs`); safety and inertia ratio are common practice, no source.
Between the points of its curve the torque is taken as straight; past the last one nothing is known. Resonance is not in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from assemblies.motion.drive.needs import microstep_share
from parts.findings import Finding, Level

if TYPE_CHECKING:
    from assemblies.motion.path.profile import Array
    from assemblies.order.cases.drive import DriveSpec

__all__ = ["RATIO", "SAFETY", "MotorUse", "motor_findings", "motor_use", "pulses_a_unit"]

SAFETY: Final = 2.0  # on torque; common practice, no source
_SOURCE: Final = f"computed: statics and kinematics; a safety of {SAFETY:g}: common practice, no source"
_FAILS: Final = {"stepper": "loses steps, and its place", "geared": "falls behind", "servo": "falls behind"}
RATIO: Final = 10.0  # inertia moved over the motor's own, at most; common practice, no source


@dataclass(frozen=True, kw_only=True)
class MotorUse:
    """What a move takes of its motor, N m and rpm, at the sample at which it has least to spare.

    Attributes:
        spec: as ordered.
        at: time of that sample, s.
        rpm, needs: its speed there, and its torque without safety.
        gives: by its curve at that speed; 0 past its last point; None where no curve is given.
        fastest: its greatest speed in the move.
        holds, holding: what it must hold at rest, and what it does; None where it is not given.
        inertia_ratio: of what it moves to its own; None where that is not given.
        micro_share: of its holding torque, what moves it by one part of a step; None of what does not step.
    """

    spec: DriveSpec
    at: float
    rpm: float
    needs: float
    gives: float | None
    fastest: float
    holds: float
    holding: float | None
    inertia_ratio: float | None
    micro_share: float | None

    @property
    def use(self) -> float | None:
        """The share of its torque that is used, safety in it: over 1 it is too weak."""
        return None if self.gives is None else SAFETY * self.needs / self.gives if self.gives > 0.0 else math.inf

    @property
    def slips(self) -> bool:
        """Whether it is too weak for the move, or at rest."""
        weak = self.use is not None and self.use > 1.0 + 1e-9
        return weak or (self.holding is not None and SAFETY * self.holds > self.holding * (1.0 + 1e-9))

    @property
    def heavy(self) -> bool:
        """Whether what it moves is too much for its rotor to follow closely."""
        return self.inertia_ratio is not None and self.inertia_ratio > RATIO


def motor_use(
    spec: DriveSpec,
    times: Array,
    rates: Array,
    pushes: Array,
    loads: Array,
    *,
    turns: float,
    inertia: float,
    holds: float,
) -> MotorUse:
    """Hold a motor against a move.

    Args:
        spec: the drive as ordered.
        times: s, of each sample.
        rates, pushes: of the rig, mm/s and mm/s2 or rad/s and rad/s2.
        loads: force or torque it takes to move it so, without what turns with the motor; N or N mm.
        turns: radians of the motor to a mm or rad of the rig.
        inertia: what it moves, kg or kg mm2.
        holds: at rest, N or N mm.
    """
    own = spec.inertia or 0.0
    needs = np.abs(loads) / turns / spec.efficiency * 1e-3 + own * np.abs(pushes) * turns * 1e-6
    rpm = np.abs(rates) * turns * 60.0 / math.tau
    gives = None if spec.curve is None else _gives(spec.curve, rpm)
    k = int(np.argmax(needs if gives is None else needs / np.maximum(gives, 1e-12)))
    holding = spec.holding if spec.holding is not None else spec.curve[0][1] if spec.curve else None
    return MotorUse(
        spec=spec,
        at=float(times[k]),
        rpm=float(rpm[k]),
        needs=float(needs[k]),
        gives=None if gives is None else float(gives[k]),
        fastest=float(rpm.max()),
        holds=abs(holds) / turns * 1e-3,
        holding=holding,
        inertia_ratio=inertia / turns**2 / own if own else None,
        micro_share=microstep_share(spec.micro) if spec.motor == "stepper" else None,
    )


def _gives(curve: tuple[tuple[float, float], ...], rpm: Array) -> Array:
    """Torque by speed; under the first point that of the first, past the last nothing."""
    speeds, torques = np.asarray(curve).T
    return np.asarray(np.interp(rpm, speeds, torques, right=0.0))


def pulses_a_unit(spec: DriveSpec) -> float:
    """Pulses to a m of a slide, or to a rad of a turn."""
    micro = spec.micro if spec.motor == "stepper" else 1
    if spec.per_turn is not None:
        return spec.steps * micro / spec.per_turn * 1000.0
    assert spec.gear is not None
    return spec.steps * micro * spec.gear / math.tau


def motor_findings(name: str, use: MotorUse | None) -> Iterator[Finding]:
    """The motor that the order names for a case, where it is too weak or has too much to move."""
    if use is None:
        return

    def said(level: Level, why: str, do: str) -> Finding:
        return Finding(level=level, check="motion", where=name, why=why, do=do, source=_SOURCE)

    if use.use is not None and use.use > 1.0 + 1e-9:
        last = use.spec.curve[-1][0] if use.spec.curve else 0.0
        gives = f"gives {use.gives:.3f} N m" if use.gives else f"has no figure past {last:g} rpm"
        why = (
            f"its motor must give {SAFETY * use.needs:.3f} N m at {use.rpm:.0f} rpm, {use.at:.2f} s after the start (a safety "
            f"of {SAFETY:g} in it), and {gives}: it {_FAILS[use.spec.motor]}"
        )
        yield said("stop", why, "a stronger motor, another gear or belt, or a gentler move")
    elif use.slips:
        why = (
            f"at rest its motor must hold {SAFETY * use.holds:.3f} N m (a safety of {SAFETY:g} in it), and holds "
            f"{use.holding:.3f} N m"
        )
        yield said("stop", why, "a stronger motor, more gear, or a pivot nearer the middle of its weight")
    if use.heavy:
        why = (
            f"what it moves has {use.inertia_ratio:.0f} times the inertia of its motor, as the motor sees it, over {RATIO:g}: "
            "it swings about its place"
        )
        yield said("care", why, "more gear, a larger rotor, or a gentler move")
