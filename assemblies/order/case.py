"""One way a thing is loaded or moved, exactly as the file may write it: a sudden start, or a move that is planned.

A slide with a `distance` is planned, and a turn that says what it pours, how fast or about which pivot; what plans it is
`assemblies.motion`. Its drive, as its data sheet says; without one the packet lists what a buyer needs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, Field

from assemblies.order.errors import Key, Refused, shown
from assemblies.order.specs import Duration
from assemblies.order.values import (
    VOLUMES,
    Acceleration,
    Angle,
    Joined,
    Length,
    Point3,
    Positive,
    Reads,
    Text,
    Way,
    amount,
    bounded,
    counted,
    number,
    whole,
)

__all__ = ["MOVES", "NEEDS", "CaseKindName", "CaseSpec", "DriveSpec", "Profile", "Speed", "Toward", "undriven"]

CaseKindName = Literal["still", "slide", "turn", "spin", "throw", "carry"]
Profile = Literal["steady", "smooth", "calm"]
Toward = Literal["left", "right", "front", "back"]
#: What a case of a kind cannot do without; more of the kinds: motion/case_kinds.
NEEDS: Final[Mapping[str, tuple[str, ...]]] = {
    "slide": ("acceleration",), "throw": ("acceleration",), "turn": ("angle", "pour"), "spin": ("speed",),
}  # fmt: skip
#: The keys that plan a move, by the kind they belong to.
MOVES: Final[Mapping[str, tuple[str, ...]]] = {
    "slide": ("distance", "jerk", "profile", "wait", "repeat", "stop"),
    "turn": ("pour", "flow", "pivot", "toward", "time"),
}
_BOTH: Final = ("slide", "turn")  # these have a brake, and pictures
_PLANS: Final = {"slide": ("distance",), "turn": ("pour", "flow", "pivot", "time")}
_SPEEDS: Final = {"m/s": 1000.0, "mm/s": 1.0, "cm/s": 10.0, "in/s": 25.4}
_TURNS: Final = {"rpm": 1.0}
_ANY: Final = number(0.0, 1e9, over=True)
_FASTEST_MM_S: Final = 100e3
_TIMES: Final = {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}


@dataclass(frozen=True)
class Speed:
    """Along a way (mm/s) or in turns a minute; a bare number is either, as its case has it."""

    mm_s: float | None = None
    rpm: float | None = None


def _speed(value: Any) -> Speed:
    if not isinstance(value, str):
        figure = _ANY.func(value)  # type: ignore[call-arg]
        return Speed(mm_s=figure * 1000.0, rpm=figure)
    figure = amount(value, {**_SPEEDS, **_TURNS}, None, "a speed")
    if figure <= 0.0:
        raise Refused(f"{shown(value)} is not over 0", "a speed over 0")
    if value.strip().endswith(tuple(_TURNS)):
        return Speed(rpm=figure)
    if figure > _FASTEST_MM_S:
        raise Refused(f"{shown(value)} is out of range", f"up to {_FASTEST_MM_S / 1000.0:g} m/s")
    return Speed(mm_s=figure)


def _litres(units: Mapping[str, float], what: str, most: float) -> Reads:
    """An amount of liquid with its unit, over 0."""

    def read(value: Any) -> float:
        figure = amount(value, units, None, what)
        if not 0.0 < figure <= most:
            raise Refused(f"{shown(value)} is out of range", f"over 0, up to {most:g} {next(iter(units))}")
        return figure

    return Reads(read, allowed=what, units=", ".join(units))


def _over(read: Reads) -> Reads:
    """The same, and not 0."""

    def over(value: Any) -> float:
        figure: float = read.func(value)  # type: ignore[call-arg]
        if figure <= 0.0:
            raise Refused(f"{shown(value)} is not over 0", read.allowed)
        return figure

    return Reads(over, allowed=read.allowed, units=read.units)


SpeedAmount = Annotated[Speed, Reads(_speed, allowed="over 0", units=", ".join((*_SPEEDS, *_TURNS)))]
Jerk = Annotated[float, _over(bounded({"m/s3": 1.0, "mm/s3": 1e-3}, "a jerk", 0.0, 1e5))]
Seconds = Annotated[float, bounded(_TIMES, "a time", 0.0, 86_400.0)]
Volume = Annotated[float, _litres(VOLUMES, 'a volume such as "2 L"', 1e4)]
Flow = Annotated[float, _litres(
    {"L/s": 1.0, "mL/s": 1e-3, "L/min": 1.0 / 60.0, "gal/min": VOLUMES["gal"] / 60.0}, 'a flow such as "0.2 L/s"', 100.0
)]  # fmt: skip


class CaseSpec(Joined):
    """One way it is loaded or moved.

    `acceleration` along `direction`; `angle` about `axis` for a turn; `speed` in rpm for a spin. With `distance` a slide is
    planned, with `pour`, `flow`, `time` or `pivot` a turn: `seamwright move` prints it.
    """

    name: Text
    """What it is called in the packet. e.g. `"run the trough"`"""
    kind: CaseKindName
    """How it is moved. e.g. `"slide"`"""
    direction: Way | None = None
    """Direction of the push: length, width, up. e.g. `[1, 0, 0]`"""
    axis: Way = (0.0, 1.0, 0.0)
    """Axis it turns about. e.g. `[0, 1, 0]`"""
    acceleration: Acceleration | None = None
    """How hard it slides or is thrown; on its own it means a sudden start and stop. e.g. `"0.8 m/s2"`"""
    angle: Angle | None = None
    """How far it turns, from level. e.g. `60`"""
    speed: SpeedAmount | None = None
    """Of a spin, in turns a minute; of a planned slide its most, a bare number in m/s. e.g. `"0.5 m/s"`"""
    distance: Length | None = None
    """Of a planned slide, from rest to rest. e.g. `"600 mm"`"""
    jerk: Jerk | None = None
    """How fast its acceleration may change, at the most. e.g. `"10 m/s3"`"""
    profile: Profile = "calm"
    """Of a planned slide: constant acceleration, limited jerk, or the shortest that spares the liquid. e.g. `"smooth"`"""
    wait: Seconds | None = None
    """Between two moves. Default: the shortest that does. e.g. `"3 s"`"""
    repeat: Annotated[int, whole(1, 1000)] = 1
    """How many moves one after another. e.g. `4`"""
    stop: Acceleration | None = None
    """How hard a planned slide is stopped in an emergency, by drive or brake. Default: its acceleration. e.g. `"0.5 m/s2"`"""
    pour: Volume | None = None
    """Of a planned turn: how much it pours before it returns, instead of an angle. e.g. `"2 L"`"""
    flow: Flow | None = None
    """Of a planned turn: how much a second. e.g. `"0.2 L/s"`"""
    pivot: Point3 | None = None
    """A point of the line it turns about, from the middle of the underside: length, width, up. e.g. `[150, 0, 0]`"""
    toward: Toward | None = None
    """The side it leans over, instead of an axis. e.g. `"right"`"""
    time: Seconds | None = None
    """Of a planned turn: how long it pours or turns, smoothly, instead of a flow. e.g. `"20 s"`"""
    brake: bool = False
    """Whether a planned move is held when power fails: a brake, or a drive that locks itself. e.g. `true`"""
    pictures: Annotated[float, number(1.0, 1000.0)] = 25.0
    """Of a planned move: pictures a second of a camera or a player, each with its place in the schedule. e.g. `24`"""
    duration: Duration = "minutes"
    """How long each time. e.g. `"minutes"`"""
    over_people: bool = False
    """Whether people are under it: no proof here covers that. e.g. `true`"""

    @property
    def planned(self) -> bool:
        """Whether it is a move from rest to rest, or a pour, that is planned."""
        return any(getattr(self, key) is not None for key in _PLANS.get(self.kind, ()))

    @property
    def rpm(self) -> float | None:
        """Of a spin."""
        return self.speed.rpm if self.speed is not None and self.kind == "spin" else None

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """What its kind needs and it does not give; keys that belong to another kind, or to a planned move."""
        kind = data.get("kind")
        if not isinstance(kind, str):
            return
        needs = NEEDS.get(kind, ())
        if needs and not any(key in data for key in needs):
            yield Refused(
                "is missing", f'a case of kind "{kind}" needs {" or ".join(needs) if needs[1:] else "it"}', needs[:1]
            )
        for whose, keys in (*MOVES.items(), (" or ".join(_BOTH), ("brake", "pictures"))):
            for key in keys:
                if key in data and kind not in whose.split(" or "):
                    yield Refused(f'belongs to a case of kind "{whose}"', "no such key here", (key,))
        planned = any(key in data for key in _PLANS.get(kind, ()))
        yield from _slide(data, planned) if kind == "slide" else _turn(data, planned) if kind == "turn" else ()
        for key in ("brake", "pictures"):
            if key in data and kind in _BOTH and not planned:
                yield Refused("belongs to a planned move", f"with {' or '.join(_PLANS[kind])}", (key,))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _slide(data: Mapping[str, Any], planned: bool) -> Iterator[Refused]:
    if not planned:
        for key in ("speed", *MOVES["slide"]):
            if key in data:
                yield Refused(
                    "belongs to a planned slide", "with distance; alone an acceleration is a sudden start", (key,)
                )
        return
    if "speed" not in data:
        yield Refused("is missing", "a planned slide needs its most speed", ("speed",))
    elif isinstance(data["speed"], str) and data["speed"].strip().endswith("rpm"):
        yield Refused(f"{shown(data['speed'])} is no speed along a way", f"in {', '.join(_SPEEDS)}", ("speed",))
    elif _is_number(data["speed"]) and data["speed"] * 1000.0 > _FASTEST_MM_S:
        yield Refused(
            f"{shown(data['speed'])} m/s is out of range", f"up to {_FASTEST_MM_S / 1000.0:g} m/s", ("speed",)
        )
    if data.get("profile") == "smooth" and "jerk" not in data:
        yield Refused("is missing", 'profile "smooth" needs it', ("jerk",))
    if data.get("profile") == "steady" and "jerk" in data:
        yield Refused('profile "steady" has none', 'no jerk, or profile "smooth" or "calm"', ("jerk",))
    if "wait" in data and data.get("repeat", 1) == 1:
        yield Refused("waits between moves, and there is one", "with repeat, 2 or more", ("wait",))
    way = data.get("direction")
    if isinstance(way, tuple) and len(way) == 3 and all(map(_is_number, way)) and not any(way[:2]):
        yield Refused(
            "a planned slide goes along, not straight up or down", "[1, 0, 0], or sloped: [1, 0, 0.1]", ("direction",)
        )
    if data.get("acceleration") in (0, "0", "0 m/s2"):
        yield Refused("0 never starts", "an acceleration over 0", ("acceleration",))


def _turn(data: Mapping[str, Any], planned: bool) -> Iterator[Refused]:
    if "axis" in data and "toward" in data:
        yield Refused("stands beside an axis", "either of the two", ("toward",))
    if "angle" in data and "pour" in data:
        yield Refused("stands beside an angle", "either of the two", ("pour",))
    if not planned:
        return
    if ("flow" in data) == ("time" in data):
        what = "stands beside a flow" if "flow" in data else "is missing"
        yield Refused(what, "a planned turn needs a flow or a time, and not both", ("time",))
    axis = data.get("axis")
    if isinstance(axis, tuple) and len(axis) == 3 and _is_number(axis[2]) and axis[2] != 0:
        yield Refused("is not level", "a planned turn leans it about a level axis, such as [0, 1, 0]", ("axis",))


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
    """Of a turn: turns of the motor to one of the rig. e.g. `20`"""
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
        elif (case.kind == "slide") != (drive.per_turn is not None):
            key, other = ("per-turn", "gear") if case.kind == "slide" else ("gear", "per-turn")
            yield ("drive", k, other), Refused(f"{shown(drive.case)} is a {case.kind}", f"{key} instead")
        if drive.case in [one.case for one in drives[:k]]:
            yield ("drive", k, "case"), Refused(f"{shown(drive.case)} has a drive already", "one drive for each case")
