"""One way a thing is loaded or moved, exactly as the file may write it: a sudden start, or a move that is planned.

A slide with a `distance` is planned, a turn that says what it pours, how fast or about which pivot, a throw by a cylinder, and
every spin; what plans it is `assemblies.motion`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, get_args

from pydantic import AfterValidator

from assemblies.order.errors import Refused, shown
from assemblies.order.specs import Duration
from assemblies.order.values import (
    STANDARD_GRAVITY,
    VOLUMES,
    Acceleration,
    Angle,
    Distance,
    Joined,
    Length,
    Point3,
    Reads,
    Text,
    Way,
    amount,
    bounded,
    number,
    whole,
)
from parts.tables import load

__all__ = ["MOVES", "NEEDS", "CaseKindName", "CaseSpec", "Profile", "Speed", "StopName", "Toward"]

CaseKindName = Literal["still", "slide", "turn", "spin", "throw", "carry"]
Profile = Literal["steady", "smooth", "calm"]
Toward = Literal["left", "right", "front", "back"]
StopName = Literal["cushioned", "bumper", "none"]
#: What a case of a kind cannot do without; more of the kinds: motion/case_kinds.
NEEDS: Final[Mapping[str, tuple[str, ...]]] = {
    "slide": ("acceleration",),
    "throw": ("acceleration", "bore"),
    "turn": ("angle", "pour"),
    "spin": ("speed",),
}
#: The keys that plan a move, by the kinds they belong to.
MOVES: Final[Mapping[tuple[str, ...], tuple[str, ...]]] = {
    ("slide",): ("distance", "jerk", "profile", "wait", "repeat"),
    ("turn",): ("pour", "flow", "pivot"),
    ("spin",): ("ramp", "off-centre"),
    ("throw",): ("bore", "pressure", "stroke", "supply", "reservoir", "cushion", "absorbs"),
    ("slide", "throw"): ("stop",),
    ("turn", "spin"): ("time",),
    ("turn", "throw"): ("toward",),
    ("slide", "turn"): ("brake",),
    ("slide", "turn", "spin"): ("pictures",),
    ("spin", "throw"): ("guard",),
}
_ONLY_PLANNED: Final = ("brake", "pictures")
_PLANS: Final = {
    "slide": ("distance",),
    "turn": ("pour", "flow", "pivot", "time"),
    "spin": ("speed",),
    "throw": ("bore", "pressure", "stroke"),
}
_SPEEDS: Final = {"m/s": 1000.0, "mm/s": 1.0, "cm/s": 10.0, "in/s": 25.4}
_TURNS: Final = {"rpm": 1.0, "rad/s": 60.0 / math.tau, "turns/s": 60.0}
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
Flow = Annotated[
    float,
    _litres(
        {"L/s": 1.0, "mL/s": 1e-3, "L/min": 1.0 / 60.0, "gal/min": VOLUMES["gal"] / 60.0},
        'a flow such as "0.2 L/s"',
        100.0,
    ),
]


#: Of a path, sonic: volume of free air by time and pressure (ISO 6358); mm3/(s MPa).
Conductance = Annotated[
    float,
    _litres(
        {"L/(s bar)": 1e7, "dm3/(s bar)": 1e7, "L/s/bar": 1e7, "m3/(s Pa)": 1e15},
        'a sonic conductance such as "2 L/(s bar)"',
        1e9,
    ),
]
Pressure = Annotated[
    float, _over(bounded({"MPa": 1.0, "bar": 0.1, "kPa": 1e-3, "psi": 6.894757e-3}, "a pressure", 0.0, 1.0))
]
Energy = Annotated[float, _over(bounded({"J": 1.0, "mJ": 1e-3}, "an energy", 0.0, 1e5))]


def _bore(mm: float) -> float:
    """A bore that is made.

    Raises:
        Refused: no standard has it.
    """
    made = [float(row["bore_mm"]) for row in load("cylinders")]
    if min(abs(mm - one) for one in made) > 1e-6:
        raise Refused(f"no standard cylinder has a bore of {mm:.9g} mm", ", ".join(f"{one:g}" for one in made) + " mm")
    return mm


Bore = Annotated[Length, AfterValidator(_bore)]


def _is_word(value: Any) -> bool:
    return isinstance(value, str) and not any(letter.isdigit() for letter in value)


def _stopping(value: Any) -> float | str:
    """A deceleration, or in a word how a throw is stopped."""
    if value in get_args(StopName):
        return str(value)
    if _is_word(value):
        raise Refused(f"{shown(value)} is not how a throw is stopped", ", ".join(get_args(StopName)))
    return float(_STOP.func(value))  # type: ignore[call-arg]


_STOP: Final = bounded({"m/s2": 1.0, "mm/s2": 1e-3, "g": STANDARD_GRAVITY}, "an acceleration", 0.0, 1000.0)
Stopping = Annotated[
    float | StopName,
    Reads(_stopping, allowed=f"{_STOP.allowed}; of a throw cushioned, bumper, none", units=_STOP.units),
]


class CaseSpec(Joined):
    """One way it is loaded or moved.

    `acceleration` along `direction`; `angle` about `axis` for a turn; `speed` for a spin. With `distance` a slide is planned,
    with `pour`, `flow`, `time` or `pivot` a turn, with `bore`, `pressure` and `stroke` a throw: `seamwright move` prints it.
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
    """How far it turns, from level; of a throw by a cylinder how steep its stroke is, 90 straight up. e.g. `60`"""
    speed: SpeedAmount | None = None
    """Of a spin, a bare number in turns a minute; of a planned slide its most, a bare number in m/s. e.g. `"120 rpm"`"""
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
    stop: Stopping | None = None
    """How hard a planned slide is stopped in an emergency, by drive or brake. Default: its acceleration. Of a throw by a
    cylinder how it stops: cushioned, bumper or none. e.g. `"0.5 m/s2"`"""
    pour: Volume | None = None
    """Of a planned turn: how much it pours before it returns, instead of an angle. e.g. `"2 L"`"""
    flow: Flow | None = None
    """Of a planned turn: how much a second. e.g. `"0.2 L/s"`"""
    pivot: Point3 | None = None
    """A point of the line it turns about, from the middle of the underside: length, width, up. e.g. `[150, 0, 0]`"""
    toward: Toward | None = None
    """The side it leans over, instead of an axis; the side that a slanted throw goes to. e.g. `"right"`"""
    time: Seconds | None = None
    """Of a planned turn: how long it pours or turns, smoothly, instead of a flow; of a spin how long at speed. e.g. `"20 s"`"""
    brake: bool = False
    """Whether a planned move is held when power fails: a brake, or a drive that locks itself. e.g. `true`"""
    pictures: Annotated[float, number(1.0, 1000.0)] = 25.0
    """Of a planned move: pictures a second of a camera or a player, each with its place in the schedule. e.g. `24`"""
    ramp: Annotated[float, _over(bounded(_TIMES, "a time", 0.0, 3600.0))] | None = None
    """Of a spin: how long it takes up to its speed, smoothly, and down again. Default: as long as its liquid takes to follow.
    e.g. `"20 s"`"""
    off_centre: Distance | None = None
    """Of a spin: how far the middle of all that turns lies off the axis, as measured or balanced. Default: what its pieces come
    to, and half a millimetre of setting. e.g. `"0.2 mm"`"""
    guard: bool = False
    """Of a spin or a throw by a cylinder: whether a guard stands around it that stops what flies off. e.g. `true`"""
    bore: Bore | None = None
    """Of a throw: the air cylinder that throws it, ISO 6432 or ISO 15552. e.g. `20`"""
    pressure: Pressure | None = None
    """Of a throw: of its air, over that outside; at most 10 bar. e.g. `"3 bar"`"""
    stroke: Length | None = None
    """Of a throw: of its cylinder, to where its stop begins. e.g. `"100 mm"`"""
    supply: Conductance | None = None
    """Of a throw: what the smallest part of its supply, valve or tube, lets through, as data sheets give it (ISO 6358).
    Default: any amount. e.g. `"1.2 L/(s bar)"`"""
    reservoir: Volume | None = None
    """Of a throw: the air that is shut in behind the valve. Default: any amount. e.g. `"0.75 L"`"""
    cushion: Length | None = None
    """Of a throw: the way in which its stop takes the speed. Default: as the bore has it. e.g. `"15 mm"`"""
    absorbs: Energy | None = None
    """Of a throw: what its stop takes at a time, from its data sheet. e.g. `"2.5 J"`"""
    duration: Duration = "minutes"
    """How long each time. e.g. `"minutes"`"""
    over_people: bool = False
    """Whether people are under it: no proof here covers that. e.g. `true`"""

    @property
    def planned(self) -> bool:
        """Whether it is a move from rest to rest, or a pour, that is planned."""
        return any(getattr(self, key) is not None for key in _PLANS.get(self.kind, ()))

    @property
    def stop_m_s2(self) -> float | None:
        """Of a slide."""
        return self.stop if isinstance(self.stop, float) else None

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
        needs, planned = NEEDS.get(kind, ()), any(key in data for key in _PLANS.get(kind, ()))
        if needs and not (any(key in data for key in needs) or (kind == "throw" and planned)):
            yield Refused(
                "is missing", f'a case of kind "{kind}" needs {" or ".join(needs) if needs[1:] else "it"}', needs[:1]
            )
        for whose, keys in MOVES.items():
            for key in keys:
                if key in data and kind not in whose:
                    yield Refused(f'belongs to a case of kind "{" or ".join(whose)}"', "no such key here", (key,))
        yield from _TOGETHER[kind](data, planned) if kind in _TOGETHER else ()
        for key in _ONLY_PLANNED:
            if key in data and kind in ("slide", "turn") and not planned:
                yield Refused("belongs to a planned move", f"with {' or '.join(_PLANS[kind])}", (key,))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _slide(data: Mapping[str, Any], planned: bool) -> Iterator[Refused]:
    if not planned:
        for key in ("speed", "stop", *MOVES["slide",]):
            if key in data:
                yield Refused(
                    "belongs to a planned slide", "with distance; alone an acceleration is a sudden start", (key,)
                )
        return
    if data.get("stop") in get_args(StopName):
        yield Refused("is how a throw is stopped", 'a slide: how hard, such as "0.5 m/s2"', ("stop",))
    if "speed" not in data:
        yield Refused("is missing", "a planned slide needs its most speed", ("speed",))
    elif isinstance(data["speed"], str) and data["speed"].strip().endswith(tuple(_TURNS)):
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


def _spin(data: Mapping[str, Any], planned: bool) -> Iterator[Refused]:
    speed = data.get("speed")
    if isinstance(speed, str) and speed.strip().endswith(tuple(_SPEEDS)) and not speed.strip().endswith(tuple(_TURNS)):
        yield Refused(f"{shown(speed)} is no speed of turning", f"in {', '.join(_TURNS)}", ("speed",))
    for key in ("acceleration", "direction", "angle"):
        if key in data:
            yield Refused("a spin has none", "speed, and ramp: how long it takes up to it", (key,))
    axis = data.get("axis")
    if isinstance(axis, tuple) and len(axis) == 3 and all(map(_is_number, axis)) and (any(axis[:2]) or not axis[2]):
        yield Refused("a spin goes about the upright axis of its tube", "[0, 0, 1], or no axis", ("axis",))


def _throw(data: Mapping[str, Any], planned: bool) -> Iterator[Refused]:
    if not planned:
        for key in (*MOVES["throw",], "stop", "toward", "guard"):
            if key in data:
                yield Refused("belongs to a throw by a cylinder", "with bore, pressure and stroke", (key,))
        return
    for key in _PLANS["throw"]:
        if key not in data:
            yield Refused("is missing", "a throw by a cylinder needs bore, pressure and stroke", (key,))
    for key, instead in (("acceleration", "bore, pressure and stroke"), ("direction", "angle, and toward")):
        if key in data:
            yield Refused("stands beside a cylinder, which decides it", instead, (key,))
    angle = data.get("angle", 90)
    if _is_number(angle) and not 0 < angle <= 90:
        yield Refused(f"{shown(angle)} is out of range", "over 0, up to 90 degrees: straight up", ("angle",))
    if "toward" in data and angle == 90:
        yield Refused("a throw straight up goes toward no side", "with an angle under 90", ("toward",))
    if "stop" in data and data["stop"] not in get_args(StopName) and not _is_word(data["stop"]):
        yield Refused(f"{shown(data['stop'])} is not how a throw is stopped", "cushioned, bumper, none", ("stop",))
    if data.get("stop", "none") == "none":
        for key in ("cushion", "absorbs"):
            if key in data:
                yield Refused("belongs to what stops it", 'stop = "cushioned" or "bumper"', (key,))


_TOGETHER: Final[Mapping[str, Callable[[Mapping[str, Any], bool], Iterator[Refused]]]] = {
    "slide": _slide,
    "turn": _turn,
    "spin": _spin,
    "throw": _throw,
}
