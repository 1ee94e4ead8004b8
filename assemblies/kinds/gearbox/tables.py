"""What an order of a gearbox says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import field_validator

from assemblies.order import Length, Refused
from assemblies.order.errors import shown
from assemblies.order.values import (
    Angle,
    Distance,
    Joined,
    Percent,
    Positive,
    Reads,
    ThreadName,
    counted,
    number,
    whole,
)
from parts.tables import load

__all__ = ["BarSpec", "GearboxSpec"]

_NOT_MADE = {
    "internal": "internal gears are not made here: their teeth stand inward, and no rack of ISO 53 makes them",
    "worm": "worms are not made here: they are turned from rod and not cut from sheet",
    "helical": "helical teeth are not made here: a cut through sheet is square to it",
    "straight": "a gearbox has wheels: a straight gear, a bar with teeth, is given besides as [gearbox.bar]",
    "bevel": "bevel gears are not made here: a cut through sheet is square to it",
}


def _spur(value: Any) -> str:
    if value != "spur":
        raise Refused(_NOT_MADE.get(str(value), f"{shown(value)} gears are not made here"), '"spur"')
    return "spur"


_Spur = Annotated[str, Reads(_spur, allowed='"spur"')]
_Teeth = Annotated[int, whole(5, 400)]
_Pair = Annotated[tuple[_Teeth, _Teeth], counted(2, "driving, driven")]
_Shift = Annotated[float, number(-1.0, 1.5)]
_ShiftPair = Annotated[tuple[_Shift, _Shift], counted(2, "driving, driven")]


class BarSpec(Joined):
    """`[gearbox.bar]`: a straight gear that the last wheel drives, in the plane of that wheel. What guides it is not made."""

    travel: Length | None = None
    """How far it goes in all, half to either side of its place. Default: what its teeth let it. e.g. `60`"""
    teeth: Annotated[int, whole(3, 400)] | None = None
    """How many it has. Default: what its travel takes, with a tooth more in mesh at either end. e.g. `20`"""
    back: Length
    """Its height behind the roots of its teeth. e.g. `10`"""
    angle: Angle = 0.0
    """Where it lies: 0 past the last wheel, straight on from the shaft before; to the left. e.g. `90`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Neither travel nor teeth."""
        if "travel" not in data and "teeth" not in data:
            yield Refused("has neither travel nor teeth", "travel, teeth, or both")


class GearboxSpec(Joined):
    """The `[gearbox]` table: spur gears between two plates; tooth numbers or a wanted ratio, one or two stages.

    Attributes:
        module, rack: of all teeth.
        teeth, ratio, within, stages, fewest, most: tooth numbers, or what they are searched by.
        shift, centre: of the profiles; a centre distance for each stage instead.
        torque, speed: at the first shaft.
        holds: what stands on the output when nobody turns.
        shaft, drive, hub, hubs, spokes: how gears sit on shafts.
        bearing, thread: how shafts and plates are held.
        humidity-growth, warmer, taper: what takes backlash.
        angle: of the second stage to the first, seen from above.
        bar: a straight gear that the last wheel drives.
    """

    gears: _Spur = "spur"
    """What sort of gears; only spur gears are made. e.g. `"spur"`"""
    module: Length
    """Reference diameter by tooth, one of ISO 54. e.g. `2`"""
    rack: Literal["A", "B", "C", "D"] = "A"
    """The basic rack of ISO 53 that is meant. e.g. `"A"`"""
    teeth: tuple[_Pair, ...] | None = None
    """Teeth of each stage, driving and driven. e.g. `[[18, 54], [18, 48]]`"""
    ratio: Annotated[float, number(0.01, 100.0)] | None = None
    """Or turns of the first shaft for one of the last. e.g. `12`"""
    within: Percent = 0.1
    """How far the ratio may be off. e.g. `"0.1 %"`"""
    stages: Annotated[int, whole(1, 2)] = 1
    """With ratio: one pair, or two. e.g. `2`"""
    fewest: _Teeth = 17
    """With ratio: the fewest teeth. e.g. `17`"""
    most: _Teeth = 80
    """With ratio: the most teeth. e.g. `80`"""
    shift: tuple[_ShiftPair, ...] | None = None
    """Profile shifts of each stage. Default: what spares the teeth from undercut. e.g. `[[0.3, 0]]`"""
    centre: Length | None = None
    """A wanted centre distance of every stage, reached by shift. e.g. `75`"""
    torque: Positive
    """At the first shaft, N m. e.g. `0.1`"""
    speed: Positive
    """Of the first shaft, turns a minute. e.g. `30`"""
    holds: Literal["nothing", "a load"] = "nothing"
    """What hangs on the gears when nobody turns. e.g. `"nothing"`"""
    shaft: Annotated[int, whole(1, 100)] = 6
    """Diameter of the shafts, mm: 4, 5, 6, 8, 10 or 12. e.g. `6`"""
    drive: Literal["d", "key"] = "d"
    """How a gear takes its shaft along: a bore with a flat, or a key. e.g. `"d"`"""
    hub: Length | None = None
    """Diameter of the hubs. Default: three shafts. e.g. `20`"""
    hubs: Literal["bonded", "bolted"] = "bonded"
    """How a hub is held to its gear. e.g. `"bonded"`"""
    spokes: Annotated[int, whole(0, 12)] = 0
    """Windows between spokes in large gears; 0 for none. e.g. `5`"""
    bearing: Literal["ball", "plain"] = "ball"
    """What shafts turn in: ball bearings under covers, or the plates themselves. e.g. `"ball"`"""
    plates: Length | None = None
    """Thickness of the plates. Default: that of the sheet. e.g. `10`"""
    thread: ThreadName = "M4"
    """Of the screws that hold the plates together. e.g. `"M4"`"""
    humidity_growth: Percent | None = None
    """How much more the gears grow in damp air than the plates. e.g. `"0.3 %"`"""
    warmer: Annotated[float, number(0.0, 40.0)] | None = None
    """How much warmer the gears get than the plates, K. e.g. `10`"""
    taper: Distance | None = None
    """Difference of the kerf between both faces of the sheet. e.g. `0.1`"""
    angle: Angle = 0.0
    """By how much the second stage turns aside, to the left. e.g. `60`"""
    bar: BarSpec | None = None

    @field_validator("shaft")
    @classmethod
    def _known(cls, shaft: int) -> int:
        known = [row["shaft_mm"] for row in load("gear_shafts")]
        if str(shaft) not in known:
            raise Refused(f"a shaft of {shaft} mm is not known here", ", ".join(known))
        return shaft

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """No teeth and no ratio, or both; what only a search or a free centre distance has."""
        if ("teeth" in data) == ("ratio" in data):
            yield Refused("teeth and ratio are both given" if "teeth" in data else "has no teeth", "teeth, or a ratio")
        for key in ("teeth", "shift"):
            if isinstance(data.get(key), list | tuple) and not 1 <= len(data[key]) <= 2:
                yield Refused(f"{len(data[key])} stages", "one or two", (key,))
        for key in ("within", "stages", "fewest", "most"):
            if key in data and "ratio" not in data:
                yield Refused("is of the search for a ratio", "ratio besides", (key,))
        if "centre" in data and "shift" in data:
            yield Refused("a centre distance sets the shifts", "centre or shift", ("shift",))
        teeth, shift = data.get("teeth"), data.get("shift")
        if isinstance(teeth, list | tuple) and isinstance(shift, list | tuple) and len(teeth) != len(shift) <= 2:
            yield Refused(
                f"{len(shift)} stages of shift for {len(teeth)} of teeth", "a pair for each stage", ("shift",)
            )
        if "shift" in data and "ratio" in data:
            yield Refused("the search sets the teeth, so it sets the shifts", "teeth besides, or no shift", ("shift",))
        if "angle" in data and (
            data.get("stages") != 2 if "ratio" in data else isinstance(teeth, list | tuple) and len(teeth) < 2
        ):
            yield Refused("one stage has no second to turn aside", "two stages", ("angle",))
