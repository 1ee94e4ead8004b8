"""What an order of a deflector says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from assemblies.order import Length, Refused, Table
from assemblies.order.errors import shown
from assemblies.order.values import (
    Distance,
    Joined,
    Percent,
    Positive,
    Reads,
    ThreadName,
    amount,
    bounded,
    counted,
    number,
    whole,
)
from assemblies.shop.heat.rules import heat_rule

__all__ = ["DeflectorSpec", "HeatSpec", "LampSpec", "LightSpec"]

_CURVED, _BENT = ("radius", "angle", "ends"), ("legs", "bends", "inside")
_BENDS = 8  # the order of bends is looked for among all of them


def _oven(value: Any) -> str:
    if value == "kitchen":
        raise Refused(
            "a kitchen oven: never; its fumes stay in what is eaten from, and it holds no temperature", '"forced-air"'
        )
    if value != "forced-air":
        raise Refused(f"{shown(value)} is no oven for sheet", '"forced-air"')
    return "forced-air"


def _by(value: Any) -> str:
    if value == "cold":
        raise Refused(
            "sheet held curved cold presses on its fixings permanently: that is not made here", '"strip" or "oven"'
        )
    if value not in ("strip", "oven"):
        raise Refused(f"{shown(value)} is no way of heating", '"strip" or "oven"')
    return str(value)


def _air(value: Any) -> float:
    hot = amount(value, {"C": 1.0}, "C", "a temperature")
    if not hot <= heat_rule("oven_most"):
        raise Refused(
            f"an oven of {hot:g} °C: the sheet gives off monomer, blisters and may catch fire",
            f"at most {heat_rule('oven_most'):g} °C",
        )
    return hot


_Shrinks = Annotated[float, bounded({"%": 1.0}, "a percentage", -5.0, 10.0)]


class HeatSpec(Joined):
    """`[deflector.heat]`: how it is heated and bent."""

    by: Annotated[str | None, Reads(_by, allowed='"strip" or "oven"')] = None
    """A strip heater along the bend lines, or the oven. Default: the oven for a curve, else the strip. e.g. `"strip"`"""
    oven: Annotated[str, Reads(_oven, allowed='"forced-air"')] = "forced-air"
    """What oven there is; never a kitchen oven. e.g. `"forced-air"`"""
    air: Annotated[float, Reads(_air, allowed="a temperature up to 190 C", units="C")] | None = None
    """Temperature of the oven's air, at most 190 °C. Default: 15 °C over the forming temperature. e.g. `"175 C"`"""
    film: Annotated[float, number(5.0, 100.0)] | None = None
    """Heat that the air brings to a face, W/(m2 K). e.g. `25`"""
    heater: Length | None = None
    """Width of the strip heater's body. e.g. `60`"""
    opening: Annotated[float, bounded({"%": 1.0}, "a percentage", 0.0, 30.0)] | None = None
    """By what share of its angle the user's own test strip opened. e.g. `"1.5 %"`"""
    test_strip: bool | None = None
    """Whether a test strip is cut from the same sheet. Default: where opening is not known. e.g. `true`"""
    shrinkage: Annotated[tuple[_Shrinks, _Shrinks], counted(2, "across the bend lines, along them")] | None = None
    """Of a piece of the sheet heated free, across the bend lines and along them. e.g. `["1.8 %", "1.7 %"]`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Keys of the other way of heating."""
        if data.get("by") == "strip":
            for key in ("air", "shrinkage"):
                if key in data:
                    yield Refused("is of an oven", 'by = "oven"', (key,))
        if data.get("by") == "oven" and "heater" in data:
            yield Refused("is of a strip heater", 'by = "strip"', ("heater",))


class LampSpec(Table):
    """`[deflector.light.lamp]`: the lamp that shines on it; without it its heat is not covered."""

    power: Positive
    """What it draws, W: all of it becomes light and heat. e.g. `20`"""
    distance: Length
    """From the lamp to the nearest point of the sheet. e.g. `600`"""
    spread: Annotated[float, bounded({"deg": 1.0}, "an angle", 1.0, 170.0)]
    """Of its cone of light, from edge to edge, degrees. e.g. `36`"""


class LightSpec(Table):
    """`[deflector.light]`: what it does to a parallel beam."""

    beam: Length | None = None
    """Width of the beam across the bend lines. Default: all of the deflector. e.g. `200`"""
    at: Length
    """How far from the deflector's middle the width of the spot is asked for. e.g. `450`"""
    tilt: Annotated[float, bounded({"deg": 1.0}, "an angle", -80.0, 80.0)] = 0.0
    """By how much the beam leans, about the bend lines, degrees. e.g. `10`"""
    sun: bool = True
    """Whether sunlight may reach it, in use, in store or on the way. e.g. `false`"""
    lamp: LampSpec | None = None
    """The lamp; its keys are below."""


_Bend = Annotated[float, bounded({"deg": 1.0}, "an angle", -150.0, 150.0)]


class DeflectorSpec(Joined):
    """The `[deflector]` table: one sheet, curved over a former or bent along straight lines.

    Seen from its end, lit side down; across: square to the bend lines.
    """

    shape: Literal["curved", "bent"]
    """Curved over a former, or bent along straight lines. e.g. `"curved"`"""
    width: Length
    """Along the bend lines, finished. e.g. `300`"""
    radius: Length | None = None
    """Of a curve: its inside radius. e.g. `300`"""
    angle: Annotated[float, bounded({"deg": 1.0}, "an angle", 1.0, 180.0)] | None = None
    """Of a curve: its angle, degrees. e.g. `50`"""
    ends: Annotated[tuple[Distance, Distance], counted(2, "first, last")] | None = None
    """Of a curve: the flat ends that it is fixed by. e.g. `[30, 30]`"""
    legs: tuple[Length, ...] | None = None
    """Of bends: the legs, outside, to the corners where they would meet. e.g. `[60, 200, 60]`"""
    bends: tuple[_Bend, ...] | None = None
    """Of bends: their angles, over 0 towards the lit side. e.g. `[45, 45]`"""
    inside: Length | None = None
    """Of bends: their inside radius. Default: 2 thicknesses. e.g. `12`"""
    neutral: Annotated[float, number(0.0, 0.5)] = 0.5
    """Where the line lies whose length is kept: share of the thickness from the hollow face. e.g. `0.5`"""
    corner: Distance = 0.0
    """Radius of its corners. e.g. `6`"""
    thread: ThreadName = "M4"
    """Of the bolts that it is hung by. e.g. `"M4"`"""
    bolts: Annotated[int, whole(0, 20)] = 2
    """How many at either end; 0 where it is held otherwise. e.g. `2`"""
    edge: Length | None = None
    """From the middle of a bolt to the edges beside it. Default: three times its hole. e.g. `14`"""
    strips: bool = True
    """Whether a flat strip under the bolts' heads spreads their pull. e.g. `true`"""
    surface: Literal["clear", "film", "silvered"] = "clear"
    """Clear sheet, mirror film laid on once it is bent, or sheet with a silvered back. e.g. `"film"`"""
    reflects: Percent | None = None
    """What the surface throws back. e.g. `"85 %"`"""
    lit: Literal["hollow", "round"] = "hollow"
    """Which side of a curve the light falls on. e.g. `"hollow"`"""
    guard: Literal["none", "shroud"] = "none"
    """What keeps hands, eyes and what burns out of its focus, and sunlight off it. e.g. `"shroud"`"""
    light: LightSpec | None = None
    """What it does to light; its keys are below."""
    heat: HeatSpec = HeatSpec()
    """How it is heated and bent; its keys are below."""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Keys of the other shape, keys that are missing, legs and bends that do not go together."""
        shape = data.get("shape")
        if shape in ("curved", "bent"):
            own, other = (_CURVED, _BENT) if shape == "curved" else (_BENT, _CURVED)
            for key in own[:2]:
                if key not in data:
                    yield Refused("is missing", f"a {shape} deflector needs it", (key,))
            for key in other:
                if key in data:
                    yield Refused(
                        f"a {shape} deflector has none",
                        f"a key of the {'bent' if shape == 'curved' else 'curved'} one",
                        (key,),
                    )
        legs, bends = data.get("legs"), data.get("bends")
        if isinstance(legs, list | tuple) and isinstance(bends, list | tuple):
            if len(legs) != len(bends) + 1:
                yield Refused(f"{len(bends)} bends for {len(legs)} legs", "one bend fewer than legs", ("bends",))
            if not 1 <= len(bends) <= _BENDS:
                yield Refused(f"{len(bends)} bends", f"1 to {_BENDS}", ("bends",))
            if any(one == 0 for one in bends):
                yield Refused("a bend of 0 degrees is none", "an angle, or one leg", ("bends",))
        heat = data.get("heat")
        if shape == "curved" and isinstance(heat, Mapping) and heat.get("by") == "strip":
            yield Refused("a strip heater warms a line, no curve", 'by = "oven"', ("heat", "by"))
        if data.get("surface", "clear") == "clear" and "reflects" in data:
            yield Refused(
                "what clear sheet throws back follows from its refractive index",
                'surface = "film" or "silvered"',
                ("reflects",),
            )
        if shape == "bent" and data.get("lit") == "round":
            yield Refused(
                "of bends both sides are hollow somewhere",
                'lit = "hollow": the side that bends over 0 turn to',
                ("lit",),
            )
