"""The motor of a planned move, as its data sheet says; without one the packet lists what a buyer needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, Field

from assemblies.order.cases.case import CaseSpec
from assemblies.order.errors import Key, Refused, shown
from assemblies.order.values import Joined, Length, Positive, Text, bounded, counted, number, whole

__all__ = ["DriveSpec", "undriven"]

Motor = Literal["stepper", "geared", "servo"]
_MOST_POINTS: Final = 50

Point = Annotated[
    tuple[Annotated[float, number(0.0, 100_000.0)], Annotated[float, number(0.0, 100_000.0)]], counted(2, "rpm, N m")
]


def _rising(curve: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    for k, (one, other) in enumerate(pairwise(curve)):
        if other[0] <= one[0]:
            raise Refused(f"{other[0]:g} rpm follows {one[0]:g} rpm", "points from slow to fast", (k + 1,))
    return curve


class DriveSpec(Joined):
    """The motor of one planned move: its torque is held against what the move takes at each speed, its pulses are counted."""

    case: Text
    """The planned case that it moves. e.g. `"run the trough"`"""
    motor: Motor = "stepper"
    """Whether it steps, is geared down, or follows its place by itself. e.g. `"stepper"`"""
    per_turn: Length | None = None
    """Of a slide: how far a turn of the motor takes it: pitch times teeth of a belt, lead of a screw. e.g. `"40 mm"`"""
    gear: Positive | None = None
    """Of a turn or a spin: turns of the motor to one of the rig. e.g. `20`"""
    efficiency: Annotated[float, number(0.05, 1.0)] = 0.9
    """Of what is between motor and rig; a plain screw has 0.3 to 0.5. e.g. `0.9`"""
    steps: Annotated[int, whole(1, 100_000)] = 200
    """Full steps a turn, or counts of one that follows its place. e.g. `200`"""
    micro: Annotated[int, whole(1, 256)] = 8
    """Parts of a step. e.g. `8`"""
    curve: (
        Annotated[tuple[Point, ...], AfterValidator(_rising), Field(min_length=2, max_length=_MOST_POINTS)] | None
    ) = None
    """Its torque by speed, from its data sheet, at the voltage it gets: rpm and N m, from slow to fast.
    e.g. `[[0, 1.2], [600, 0.5]]`"""
    holding: Annotated[float, bounded({"N m": 1.0, "N cm": 0.01, "mN m": 1e-3}, "a torque", 0.0, 1e5)] | None = None
    """What it holds at rest under power. Default: the first point of its curve. e.g. `"1.2 N m"`"""
    inertia: (
        Annotated[float, bounded({"kg mm2": 1.0, "g cm2": 0.1, "kg cm2": 100.0}, "an inertia", 0.0, 1e9)] | None
    ) = None
    """Of its rotor, and of what turns with it. e.g. `"300 g cm2"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """What a slide and a turn have between motor and rig; parts of a step of what does not step."""
        if ("per-turn" in data) == ("gear" in data):
            what = "stands beside per-turn" if "gear" in data else "is missing"
            yield Refused(what, "per-turn for a slide or gear for a turn, and not both", ("gear",))
        if "micro" in data and data.get("motor", "stepper") != "stepper":
            yield Refused("belongs to a stepper", 'motor = "stepper"', ("micro",))


def undriven(drives: Sequence[DriveSpec], cases: Sequence[CaseSpec]) -> Iterator[tuple[Key, Refused]]:
    """Drives of what is not there, of what is not planned, or of another kind of move."""
    planned = {case.name: case for case in cases if case.planned}
    for k, drive in enumerate(drives):
        case = planned.get(drive.case)
        if case is None:
            allowed = (
                f"one of {', '.join(shown(name) for name in planned)}"
                if planned
                else "a planned case, of which there is none"
            )
            yield ("drive", k, "case"), Refused(f"{shown(drive.case)} is no planned case", allowed)
        elif case.kind == "throw":
            yield (
                ("drive", k, "case"),
                Refused(f"{shown(drive.case)} is thrown by its cylinder", "a slide, turn or spin"),
            )
        elif (case.kind == "slide") != (drive.per_turn is not None):
            key, other = ("per-turn", "gear") if case.kind == "slide" else ("gear", "per-turn")
            yield ("drive", k, other), Refused(f"{shown(drive.case)} is a {case.kind}", f"{key} instead")
        if drive.case in [one.case for one in drives[:k]]:
            yield ("drive", k, "case"), Refused(f"{shown(drive.case)} has a drive already", "one drive for each case")
