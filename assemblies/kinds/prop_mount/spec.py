"""The tables of an order for a mount between a prop and what moves it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, get_args

from assemblies.order import Length, Refused, Size2, Table
from assemblies.order.values import (
    Acceleration,
    Angle,
    Joined,
    PatternName,
    Point2,
    Point3,
    Positive,
    Size3,
    ThreadName,
    counted,
    number,
    whole,
)

__all__ = ["FaceSpec", "MovesSpec", "PayloadSpec", "PropMountSpec", "Style"]

Style = Literal["plate", "spacer", "bracket", "riser"]
Metal = Literal["aluminium", "brass", "steel"]
#: Keys that only some styles have; those styles need all of them.
_OWN: Mapping[str, tuple[Style, ...]] = {
    "height": ("spacer", "bracket", "riser"),
    "standoffs": ("spacer",),
    "standoff": ("spacer",),
    "standoff_thread": ("spacer",),
    "gusset": ("bracket",),
}


class FaceSpec(Joined):
    """`[prop-mount.rig]` and `[prop-mount.prop]`: the bolts on one side."""

    pattern: PatternName
    """Where its bolts are: a grid, a standard's pattern by name, or places from its middle. e.g. `"grid 40 2x2"`"""
    thread: ThreadName | None = None
    """Of its bolts. Default: that of the standard. e.g. `"M5"`"""
    holes: Literal["tapped", "clearance", "through"] | None = None
    """How they are made here; through bolts end in nuts behind. Default: as what they bolt to wants it. e.g. `"clearance"`"""
    at: Point2 = (0.0, 0.0)
    """The pattern's middle, right and up from the middle of its plate. e.g. `[0, -20]`"""
    turn: Angle = 0.0
    """The pattern turned to the left, degrees. e.g. `45`"""
    slot: Length | None = None
    """Slots along the length in place of clearance holes: how far the bolt can move in all. e.g. `12`"""
    let_in: Literal["nut", "insert"] | None = None
    """Metal let in behind the holes, in place of a thread in the sheet. e.g. `"nut"`"""
    insert: Annotated[tuple[Length, Length, Length], counted(3, "barrel, flange, flange thickness")] | None = None
    """Of an insert: diameter of its barrel and of its flange, and how thick that is. e.g. `[8, 12, 1.5]`"""
    seat: Size2 | None = None
    """How large the face is that it is bolted to, about the middle of its bolts. Default: just its bolts. e.g. `[60, 60]`"""
    refits: Annotated[int, whole(0, 100_000)] = 0
    """How often it is taken off and put on again. e.g. `3`"""
    locked: bool = False
    """Whether a lock nut, wire or pin keeps its bolts from turning loose. e.g. `true`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A slot where a thread is, metal where a clearance hole is, a grid without its thread."""
        let_in = data.get("let-in")
        if "slot" in data and (data.get("holes") == "tapped" or let_in is not None):
            yield Refused("a slot is no threaded hole", 'holes = "clearance"', ("slot",))
        if let_in is not None and data.get("holes") in ("clearance", "through"):
            yield Refused(
                f"the bolt ends in the {let_in} here, so its holes are not {data['holes']}", 'no "holes"', ("let-in",)
            )
        if ("insert" in data) != (let_in == "insert"):
            yield Refused("the sizes of an insert and let-in go together", 'let-in = "insert" and insert', ("insert",))
        named = data.get("pattern")
        own = isinstance(named, str) and named.lower().split()[:1] == ["grid"]
        if "thread" not in data and (own or isinstance(named, list | tuple)):
            what = "a grid does" if own else "places do"
            yield Refused("is missing", f"{what} not say {'its' if own else 'their'} thread", ("thread",))


class PayloadSpec(Table):
    """`[prop-mount.payload]`: what stands on the mount."""

    mass: Annotated[float, number(0.0, 100.0, over=True)]
    """Of the prop and its bolts, kg. e.g. `0.6`"""
    centre: Point3
    """Its centre of mass from the middle of its bolts, on the face it is bolted to: length, width, up. e.g. `[0, 0, 60]`"""
    size: Size3 | None = None
    """Of the box that it fills: for its inertia. Default: twice as far each way as its centre is off. e.g. `[80, 80, 120]`"""


class MovesSpec(Joined):
    """`[prop-mount.moves]`: how what it is bolted to moves."""

    still: bool = False
    """Whether it never moves: then nothing else is said here. e.g. `true`"""
    acceleration: Annotated[tuple[Acceleration, Acceleration, Acceleration], counted(3, "x, y, z")] | None = None
    """In use, along length, width and up, either way. e.g. `["2 m/s2", "0.5 m/s2", "0.5 m/s2"]`"""
    stop: Acceleration | None = None
    """Of its emergency stop, whichever way it then goes. e.g. `"8 m/s2"`"""
    shake: Positive | None = None
    """How fast it shakes what it carries, Hz: its own first frequency, or that of its drive. e.g. `6`"""
    stands: Literal["upright", "hanging", "any"] = "any"
    """How the mount stands while it moves: as drawn, upside down, or any way. e.g. `"upright"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Something that moves, and stands still."""
        moving = [key for key in ("acceleration", "stop", "shake") if key in data]
        if data.get("still") is True and moving:
            yield Refused(f"it stands still and has {moving[0]}", "one of the two", (moving[0],))
        if data.get("still") is not True and "acceleration" not in data:
            yield Refused("is missing", "its accelerations, or still = true", ("acceleration",))


class PropMountSpec(Joined):
    """`[prop-mount]`: a mount between a prop and a robot's flange, a slider's carriage, a rail or a camera screw.

    As drawn: bolted to what is below it; the prop stands on top, or on the front of a bracket.
    """

    style: Style
    """A plate; two plates with standoffs; a bracket with gussets; a riser of three walls. e.g. `"bracket"`"""
    size: Size2
    """Of its plate or base: length and width. e.g. `[120, 90]`"""
    height: Length | None = None
    """Of what stands on the base: standoffs, upright or walls. e.g. `100`"""
    standoffs: PatternName | None = None
    """Of a spacer: where its standoffs stand, a grid. e.g. `"grid 60 2x2"`"""
    standoff: Length | None = None
    """Their diameter. e.g. `10`"""
    standoff_thread: ThreadName | None = None
    """Of the screws at both their ends. e.g. `"M5"`"""
    metal: Metal = "aluminium"
    """Of the standoffs. e.g. `"steel"`"""
    gusset: Size2 | None = None
    """Of a bracket: how far each gusset reaches back along the base, and up. e.g. `[60, 70]`"""
    gussets: Annotated[int, whole(2, 6)] = 2
    """How many, evenly over the length. e.g. `2`"""
    rig: FaceSpec
    prop: FaceSpec
    payload: PayloadSpec
    moves: MovesSpec

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A key of another style, or one that this style needs."""
        style = data.get("style")
        for name, styles in _OWN.items():
            key = name.replace("_", "-")
            if style in styles and key not in data:
                yield Refused("is missing", f"a {style} needs it", (key,))
            elif style in get_args(Style) and key in data and style not in styles:
                yield Refused(f"a {style} has none", f"a key of {' or '.join(styles)}", (key,))
        prop = data.get("prop")
        if isinstance(prop, Mapping) and "slot" in prop:
            yield Refused("the prop's side is not slotted", "slot in [prop-mount.rig]", ("prop", "slot"))
