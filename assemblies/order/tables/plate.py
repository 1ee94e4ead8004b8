"""The table `[[plate]]` of an order: what is bonded on to bolt the whole by, and how it is taken off again quickly."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from assemblies.order.errors import Refused
from assemblies.order.files import MOST
from assemblies.order.specs import Readings, Wall
from assemblies.order.values import (
    Joined,
    Length,
    PatternName,
    Percent,
    Point2,
    Says,
    Size2,
    ThreadName,
    counted,
    number,
    up_to,
    whole,
)

__all__ = ["PlateSpec", "ReleaseSpec"]


class ReleaseSpec(Joined):
    """`[plate.release]`: the bevelled strip under a quick-release plate, and the shoe that it slides into."""

    pull: Literal["right", "left", "up", "down"] = "right"
    """Which way it is pulled out, right and up as `at` counts (of the bottom up is the back). e.g. `"left"`"""
    angle: Annotated[float, number(45.0, 70.0)] = 60.0
    """Of the flanks to their seat, in degrees. e.g. `60`"""
    thickness: Length | None = None
    """Of the sheet of strip and jaws. Default: that of the plate. e.g. `12`"""
    measured: Readings = ()
    """Readings of that sheet. e.g. `[11.8, 11.9]`"""
    clearance: Annotated[Length, up_to(lambda: 3.0)] | None = None
    """Sideways play of the strip in the open shoe, set with shims. Default: from what moisture makes it grow. e.g. `0.4`"""
    shoe: Literal["acrylic", "aluminium", "steel"] = "acrylic"
    """What the shoe is of; one of metal is bought or made elsewhere, and must be where anything moves or hangs.
    e.g. `"aluminium"`"""
    shoes: Annotated[int, whole(1, 20)] = 1
    """How many shoes there are, such as one on each of two carriages. e.g. `2`"""
    rated: Annotated[float, number(0.0, 1e6, over=True)] | None = None
    """What the maker of a shoe of metal rates it for, as it is bolted down: pulled off and along its slot, N. e.g. `800`"""
    base: Length | None = None
    """Thickness of the shoe's base. Default: that of the plate. e.g. `15`"""
    jaw: Length | None = None
    """Width of its jaws at their lip. Default: what their screws need. e.g. `36`"""
    screw: ThreadName = "M5"
    """Of the screws of its jaws; those of the clamped one have a grip. e.g. `"M5"`"""
    pin: Length = 6.0
    """Diameter of its locking pins, with balls that lock and a ring to pull. e.g. `6`"""
    pins: Annotated[int, whole(1, 4)] = 2
    """How many, side by side. e.g. `2`"""
    cut: Literal["saw", "router"] | None = None
    """What cuts the bevels: saw or router. Default: that of the order. e.g. `"router"`"""
    wear: Annotated[Length, up_to(lambda: 2.0)] = 0.2
    """How much a flank may wear before strip and shoe are given up. e.g. `0.2`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A rating of what is made here, and readings of a sheet that is not named."""
        if "rated" in data and data.get("shoe", "acrylic") == "acrylic":
            yield Refused("a shoe of acrylic is made here and proven here", "no rating, or a shoe of metal", ("rated",))
        if "base" in data and data.get("shoe", "acrylic") != "acrylic":
            yield Refused(
                "a shoe of metal has the base that its maker gives it", "no base, or a shoe of acrylic", ("base",)
            )
        if "measured" in data and "thickness" not in data:
            yield Refused("readings of a sheet that is not named here", "thickness besides", ("measured",))


def _points(value: Any) -> Any:
    """One place may stand without the outer brackets."""
    if isinstance(value, tuple) and len(value) == 2 and not isinstance(value[0], tuple):
        return (value,)
    return value


class PlateSpec(Joined):
    """Attachment plates, one at each place. `percent` of thread picks the tap drill unless `drill` names a diameter."""

    on: Wall
    """The panel it is bonded to. e.g. `"bottom"`"""
    at: Annotated[
        tuple[Point2, ...],
        BeforeValidator(_points),
        Field(min_length=1, max_length=MOST),
        Says("[right, up], or a list of such places; bare numbers in units"),
    ]
    """Its middle, right and up from the middle of that face seen from outside; a list makes one plate at each place.
    e.g. `[[-60, 0], [60, 0]]`"""
    size: Size2
    """Width and height. e.g. `[120, 80]`"""
    thickness: Length
    """Thickness of its sheet. e.g. `15`"""
    measured: Readings = ()
    """Readings of that sheet. e.g. `[14.8, 14.9]`"""
    thread: ThreadName
    """Of its bolts. e.g. `"M5"`"""
    pattern: PatternName
    """Where its holes lie: a grid, a standard's pattern by name, or places from its middle. e.g. `"grid 40 3x2"`"""
    holes: Literal["tapped", "clearance", "through"] | None = None
    """Tapped; clearance for bolts that end in what it is bolted to; through: bolts from inside, through wall and plate.
    Default: what the pattern bolts to decides. e.g. `"through"`"""
    hole: Length | None = None
    """Diameter of clearance holes. Default: the medium one of the thread. e.g. `7`"""
    slot: Length | None = None
    """Makes slots of clearance holes: how far a bolt can be moved along. e.g. `12`"""
    slot_way: Literal["across", "up"] = "across"
    """Which way the slots run. e.g. `"up"`"""
    let_in: Literal["nut", "insert"] | None = None
    """Metal let in from behind before it is bonded on, in place of a thread in the sheet. e.g. `"nut"`"""
    insert: Annotated[tuple[Length, Length, Length], counted(3, "barrel, flange, flange thickness")] | None = None
    """Of an insert: diameter of its barrel and of its flange, and how thick that is. e.g. `[8, 12, 1.5]`"""
    behind: Literal["washer", "strip", "plate"] = "washer"
    """Under the heads of bolts through the wall: washers alone, a strip bonded inside under each row, or a plate as large
    as this one. e.g. `"strip"`"""
    style: Literal["bonded", "quick-release"] = "bonded"
    """Bonded on and bolted to the rig itself; or on a bevelled strip that slides into a shoe, to which thread, pattern and
    holes then belong. e.g. `"quick-release"`"""
    release: ReleaseSpec | None = None
    percent: Percent = 65.0
    """Percent of thread, which picks the tap drill. e.g. `65`"""
    drill: Length | None = None
    """The tap drill itself, instead. e.g. `4.5`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Keys that say nothing beside the others, or against them."""
        holes, let_in = data.get("holes"), data.get("let-in")
        if let_in is not None and holes in ("clearance", "through"):
            yield Refused(
                f"the bolt ends in the {let_in} here, so its holes are not {holes}",
                "no holes, or no let-in",
                ("holes",),
            )
        for key in ("slot", "hole"):
            if key in data and (holes == "tapped" or let_in is not None):
                yield Refused(f"a {'thread' if let_in is None else let_in} has no {key}", 'holes = "clearance"', (key,))
        if "slot" in data and holes == "through":
            yield Refused("no washer seals a slot in a wall", 'holes = "clearance", or no slot', ("slot",))
        if "slot-way" in data and "slot" not in data:
            yield Refused("there is no slot", "slot besides, its travel", ("slot-way",))
        if "behind" in data and holes != "through":
            yield Refused("no bolt goes through the wall", 'holes = "through"', ("behind",))
        quick = data.get("style") == "quick-release"
        if "release" in data and not quick:
            yield Refused("the plate is bolted on and stays on", 'style = "quick-release"', ("release",))
        for key in ("slot", "let-in", "behind"):
            if quick and key in data:
                yield Refused("a shoe has plain or tapped holes alone", 'holes = "tapped" or "clearance"', (key,))
        if quick and holes == "through":
            yield Refused("the wall has no bolts: they hold the shoe", 'holes = "tapped" or "clearance"', ("holes",))
        if ("insert" in data) != (let_in == "insert"):
            yield Refused("the sizes of an insert and let-in go together", 'let-in = "insert" and insert', ("insert",))
