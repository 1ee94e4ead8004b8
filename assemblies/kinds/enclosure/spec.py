"""The tables of an order for a box with electronics in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from assemblies.order import Length, Refused, Size2, Table
from assemblies.order.errors import near_hint
from assemblies.order.files import MOST
from assemblies.order.values import (
    Distance,
    Joined,
    PatternName,
    Percent,
    Place,
    Point2,
    Positive,
    Size3,
    Temperature,
    Text,
    ThreadName,
    number,
    whole,
)
from parts.stock.cutout import cutout_names

__all__ = [
    "OWN_SHAPES",
    "BoardSpec",
    "CutoutSpec",
    "EnclosureSpec",
    "FaceName",
    "LabelSpec",
    "MountSpec",
    "VentSpec",
    "WallSpec",
    "WaterSpec",
]

FaceName = Literal["front", "back", "left", "right", "lid", "bottom"]
#: Cut-outs of a size of their own.
OWN_SHAPES = ("round", "square", "d", "window")


def _part(text: str) -> str:
    known = (*OWN_SHAPES, *cutout_names())
    if text not in known:
        raise Refused(
            f"no cut-out {text!r}{near_hint(text, known)}", "a name of show cutouts, or " + ", ".join(OWN_SHAPES)
        )
    return text


class CutoutSpec(Joined):
    """`[[enclosure.cutout]]`: what is put into a face."""

    part: Annotated[Text, AfterValidator(_part)]
    """A name of `show cutouts`, or round, square, d or window with a size. e.g. `"D22"`"""
    on: FaceName
    """Which face. e.g. `"front"`"""
    at: Point2
    """Its middle from the face's, right and up as seen from outside. e.g. `[-40, 0]`"""
    size: Size2 | None = None
    """Of round, square, d and window: width and height; of a d its diameter and its height over the flat. e.g. `[60, 30]`"""
    key: bool = False
    """Whether a round switch gets the slot of its key, for cutters no wider than that. e.g. `true`"""
    panel: Length | None = None
    """The thickest panel that a part of its own size takes. e.g. `3`"""
    behind: Literal["pocket", "sub-panel"] = "pocket"
    """What is done where the wall is too thick for the part. e.g. `"sub-panel"`"""
    thin: Length = 3.0
    """Thickness of such a sub-panel. e.g. `3`"""
    carries: Literal["extra-low", "mains"] = "extra-low"
    """What goes through it. e.g. `"extra-low"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A size that is missing, or one that a standard sets."""
        own = data.get("part") in OWN_SHAPES
        if own and "size" not in data:
            yield Refused("is missing", "width and height", ("size",))
        if data.get("part") in cutout_names():
            for key in ("size", "panel"):
                if key in data:
                    yield Refused("its standard sets it", f"no {key}, or round, square, d, window", (key,))
        if data.get("key") is True and data.get("part") not in ("D22", "D30"):
            yield Refused("only D22 and D30 have a key", "no key", ("key",))
        if "thin" in data and data.get("behind") != "sub-panel":
            yield Refused("only a sub-panel is thin", 'behind = "sub-panel"', ("thin",))


class VentSpec(Joined):
    """`[[enclosure.vent]]`: slots for air, one above the other."""

    on: FaceName
    """Which face. e.g. `"left"`"""
    at: Point2
    """The middle of them all, right and up as seen from outside. e.g. `[0, -15]`"""
    slots: Annotated[int, whole(1, 60)]
    """How many. e.g. `6`"""
    width: Length = 3.0
    """Of a slot. e.g. `3`"""
    length: Length
    """Of a slot, over all. e.g. `40`"""
    pitch: Length | None = None
    """From slot to slot. Default: three times its width. e.g. `10`"""
    free: Percent = 100.0
    """What a mesh over them leaves open. e.g. `"60 %"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A slot shorter than it is wide."""
        wide, long = data.get("width", 3), data.get("length")
        if isinstance(wide, int | float) and isinstance(long, int | float) and long <= wide:
            yield Refused(f"a slot {long:g} long is no longer than it is wide", f"over {wide:g}", ("length",))


class BoardSpec(Table):
    """`[[enclosure.board]]`: a circuit board on standoffs over the bottom."""

    name: Text
    """What it is. e.g. `"controller"`"""
    pattern: PatternName
    """Its holes: a list of places about its middle, a grid, or a standard's pattern. e.g. `"grid 58 2x2"`"""
    thread: ThreadName = "M3"
    """Of its standoffs. e.g. `"M3"`"""
    at: Point2 = (0.0, 0.0)
    """Its middle from the bottom's, to the right and to the back. e.g. `[-20, 0]`"""
    size: Size2
    """Of the board. e.g. `[65, 56]`"""
    standoff: Length = 10.0
    """Height of its standoffs. e.g. `10`"""
    tall: Length
    """What stands on it, over its underside. e.g. `20`"""


class WallSpec(Table):
    """`[[enclosure.wall]]`: a wall inside, whose tabs go through slots in the bottom and in the faces at its ends."""

    runs: Literal["across", "along"]
    """From front to back, or from left to right. e.g. `"across"`"""
    at: Place = 0.0
    """Its middle from that of the box, to the right or to the back. e.g. `20`"""
    height: Length | None = None
    """Over the bottom. Default: up to the corner posts. e.g. `40`"""


class LabelSpec(Table):
    """`[[enclosure.label]]`: a line of text engraved on the outside."""

    text: Annotated[Text, Field(max_length=40)]
    """What it says, in capitals, figures and - + . / :. e.g. `"PUMP"`"""
    on: Literal["front", "back", "left", "right", "lid"]
    """Which face. e.g. `"front"`"""
    at: Point2
    """The middle of the line. e.g. `[0, 20]`"""
    height: Length = 5.0
    """Of its capitals. e.g. `5`"""


class MountSpec(Joined):
    """`[enclosure.mount]`: what the box is held by."""

    by: Literal["table", "wall", "din-rail", "t-slot", "rack"]
    """It stands, hangs on a wall, clips on a rail, is bolted to a profile, or has a 19-inch panel. e.g. `"din-rail"`"""
    on: Literal["back", "bottom"] = "back"
    """The face that it is held by. e.g. `"bottom"`"""
    pattern: PatternName | None = None
    """The holes for that. e.g. `"T-slot 20 2x1"`"""
    thread: ThreadName | None = None
    """Of their screws. e.g. `"M4"`"""
    units: Annotated[int, whole(1, 12)] | None = None
    """Height units of a rack panel. e.g. `2`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Holes that are missing, or that there is nothing for."""
        by = data.get("by")
        if by in ("wall", "din-rail", "t-slot") and "pattern" not in data:
            yield Refused("is missing", f"the holes for {by}", ("pattern",))
        if by in ("table", "rack") and "pattern" in data:
            yield Refused(f"{by} needs no pattern of its own", "no pattern", ("pattern",))
        if (by == "rack") != ("units" in data):
            yield Refused("units and a rack go together", 'by = "rack" and units', ("units",))
        if by == "t-slot" and not str(data.get("pattern", "t-slot")).lower().startswith(("t-slot", "t slot")):
            yield Refused("is no pattern on T-slots", '"T-slot 20 2x1": grid of the rail, columns, rows', ("pattern",))


class WaterSpec(Joined):
    """`[enclosure.water]`: the water about it."""

    where: Literal["none", "beside", "above"]
    """Whether water can come near, and from where. e.g. `"beside"`"""
    level: Place | None = None
    """Of water beside it: its highest level over the table that the box stands on; under it with a minus. e.g. `-40`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Water beside it of no level."""
        if (data.get("where") == "beside") != ("level" in data):
            yield Refused("a level and water beside it go together", 'where = "beside" and level', ("level",))


class EnclosureSpec(Joined):
    """The `[enclosure]` table: a box for electronics, its lid, what goes through its faces, what it must bear."""

    size: Size3
    """Inside: length, width, depth. e.g. `[160, 110, 60]`"""
    joints: Literal["bonded", "screwed", "tabs"] = "bonded"
    """How its walls are joined: by solvent; front and back by screws into corner strips; by tabs and slots. e.g. `"tabs"`"""
    fit: Literal["close", "normal", "loose"] | None = None
    """Of tabs, by one word. Default: normal. e.g. `"close"`"""
    lid: Literal["screwed", "hinged"] = "screwed"
    """Screwed to four posts; or on two bought hinges at the back and two posts in front. e.g. `"hinged"`"""
    thread: ThreadName = "M4"
    """Of the screws of lid and walls. e.g. `"M3"`"""
    post: Size2 | None = None
    """Side and thickness of the corner posts. Default: four diameters of the screw, 12 mm. e.g. `[16, 12]`"""
    drip: Distance = 0.0
    """How far the lid stands out over the walls, as a drip edge. e.g. `8`"""
    gasket: Length | None = None
    """Diameter of a cord that is laid into a groove of the lid. e.g. `2`"""
    supply: Literal["extra-low", "mains"]
    """What comes in: extra-low voltage from outside, or mains. e.g. `"extra-low"`"""
    volts: Positive | None = None
    """The highest voltage in it. e.g. `24`"""
    current: Literal["dc", "ac"] = "dc"
    """Of what sort. e.g. `"dc"`"""
    cells: Literal["none", "other", "lithium"] = "none"
    """Cells or batteries in it. e.g. `"none"`"""
    power: Positive
    """What turns to heat in it, W. e.g. `8`"""
    ambient: Temperature = 25.0
    """Of the warmest air about it. e.g. `"30 C"`"""
    inside: Temperature | None = None
    """What the air inside may come to, by what is built in. e.g. `"60 C"`"""
    stands: Literal["free", "wall", "row", "corner"] = "free"
    """What covers its faces: nothing, a wall behind it, neighbours on both ends, a wall and a neighbour. e.g. `"wall"`"""
    floor_free: bool = False
    """Whether air gets at the underside. e.g. `true`"""
    contents: Annotated[float, number(0.0, 100.0)] | None = None
    """Mass of what is built in, kg. e.g. `0.8`"""
    stands_on: Annotated[float, number(0.0, 100.0)] = 0.0
    """Mass of what may stand on its lid, kg. e.g. `2`"""
    cutout: Annotated[tuple[CutoutSpec, ...], Field(max_length=MOST)] = ()
    vent: Annotated[tuple[VentSpec, ...], Field(max_length=MOST)] = ()
    board: Annotated[tuple[BoardSpec, ...], Field(max_length=MOST)] = ()
    wall: Annotated[tuple[WallSpec, ...], Field(max_length=MOST)] = ()
    label: Annotated[tuple[LabelSpec, ...], Field(max_length=MOST)] = ()
    mount: MountSpec | None = None
    water: WaterSpec

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A fit without tabs; a rack panel on tabs; a drip edge in front of a rack panel."""
        if "fit" in data and data.get("joints") != "tabs":
            yield Refused("only tabs have a fit", 'joints = "tabs"', ("fit",))
        mount = data.get("mount")
        if isinstance(mount, Mapping) and mount.get("by") == "rack":
            if data.get("joints") == "tabs":
                yield Refused("a rack panel on tabs is not made here", 'joints "bonded" or "screwed"', ("joints",))
            if data.get("drip"):
                yield Refused("a lid that stands out meets the rack panel", "no drip with a rack", ("drip",))
        if (
            isinstance(mount, Mapping)
            and mount.get("on") == "back"
            and data.get("lid") == "hinged"
            and data.get("joints") == "screwed"
        ):
            yield Refused(
                "its back comes off, and lid and box hang on it", "another face, or other joints", ("mount", "on")
            )
