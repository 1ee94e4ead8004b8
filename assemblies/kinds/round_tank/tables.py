"""What an order of a round tank says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from assemblies.order import Length, Refused, Table
from assemblies.order.specs import Readings
from assemblies.order.values import (
    Distance,
    Joined,
    PatternName,
    Percent,
    Point2,
    ThreadName,
    bounded,
    counted,
    number,
    whole,
)

__all__ = ["DrainSpec", "FlangeSpec", "GrooveSpec", "LipSpec", "MotorSpec", "RingSpec", "RolledSpec", "RoundTankSpec"]


class FlangeSpec(Table):
    """`[round-tank.flange]`: the base reaches out under the tube and is bolted down through a circle of holes."""

    outside: Length
    """Diameter of the base. e.g. `270`"""
    circle: Length
    """Diameter of the circle that its bolts stand on. e.g. `245`"""
    bolts: Annotated[int, whole(3, 24)] = 6
    """How many. e.g. `6`"""
    thread: ThreadName = "M6"
    """Of the bolts; the holes are clearance holes. e.g. `"M6"`"""


class GrooveSpec(Table):
    """`[round-tank.groove]`: the groove that is turned into the base for the tube's end."""

    depth: Length | None = None
    """How deep. Default: three tenths of the base. e.g. `3`"""
    clearance: Length | None = None
    """Play between tube and groove on each side. Default: what tolerances and damp make needful. e.g. `0.5`"""
    growth: Percent | None = None
    """By how much tube or disc may grow more than the other as one is damp. Default: 0.3 %. e.g. `"0.2 %"`"""


class RingSpec(Table):
    """`[round-tank.ring]`: a ring bonded on the top of the tube."""

    outside: Length
    """Its outside diameter; inside it is as wide as the bore. e.g. `230`"""
    thickness: Length | None = None
    """Of its sheet. Default: that of the order's sheet. e.g. `10`"""
    circle: Length | None = None
    """Diameter of the circle of the screws of a screwed lid. Default: midway between the tube and its edge. e.g. `212`"""
    bolts: Annotated[int, whole(6, 48)] | None = None
    """How many screws hold such a lid. Default: six, more so that they are at most 120 mm apart. e.g. `8`"""
    thread: ThreadName = "M4"
    """Of those screws, tapped into the ring. e.g. `"M5"`"""


class MotorSpec(Table):
    """`[round-tank.motor]`: a boss bonded under the middle of the base, with the holes of a motor's face."""

    pattern: PatternName
    """The face, a standard's pattern by name, or a grid. e.g. `"NEMA 23"`"""
    thread: ThreadName | None = None
    """Of its screws. Default: that of the standard. e.g. `"M5"`"""
    mass: Annotated[float, number(0.0, 50.0, over=True)]
    """Of the motor and all that hangs on it, kg. e.g. `0.7`"""
    boss: Length
    """Diameter of the boss. e.g. `90`"""
    thickness: Length | None = None
    """Of its sheet. Default: that of the order's sheet. e.g. `12`"""


class DrainSpec(Table):
    """`[round-tank.drain]`: a hole in the base with a tapped boss bonded under it."""

    at: Point2
    """Its middle from the middle of the base, seen from above. e.g. `[60, 0]`"""
    thread: ThreadName
    """Of the fitting. e.g. `"G 1/4"`"""
    boss: Length
    """Diameter of the boss. e.g. `40`"""
    thickness: Length | None = None
    """Of its sheet. Default: that of the order's sheet. e.g. `15`"""


class LipSpec(Table):
    """`[round-tank.lip]`: a notch cut in the rim of the tube, over which it pours first; a trough before it, if wanted."""

    kind: Literal["notch", "trough"] = "notch"
    """A notch alone, or one with a trough bonded on before it: a floor and two sides. e.g. `"trough"`"""
    width: Length
    """How wide; of a trough, inside. e.g. `50`"""
    depth: Length
    """How far down from the rim. e.g. `20`"""
    out: Length | None = None
    """How far a trough reaches out from the tube. Default: as far as it is wide. e.g. `40`"""
    thickness: Length | None = None
    """Of the sheet of a trough. Default: as thick as the wall. e.g. `4`"""
    on: Literal["left", "right", "front", "back"] = "right"
    """The side that it pours to. e.g. `"front"`"""


_Shrinks = Annotated[float, bounded({"%": 1.0}, "a percentage", -2.0, 10.0)]


class RolledSpec(Table):
    """`[round-tank.rolled]`: cast sheet, as thick as the wall, is rolled hot round a drum and bonded along, for the tube."""

    gap: Distance = 0.0
    """Of its seam along, dry and drawn together. e.g. `0.05`"""
    trim: Distance = 15.0
    """Left on each edge of the blank, and trimmed off once it is rolled: ends stay flat. e.g. `20`"""
    shrinkage: Annotated[tuple[_Shrinks, _Shrinks], counted(2, "round the tube, along it")] | None = None
    """Of a piece of the sheet heated free. Default: that of cast sheet. e.g. `["1.8 %", "1.7 %"]`"""
    joint: Annotated[float, number(0.1, 0.8)] | None = None
    """What the seam along has of the sheet's strength. Default: as all joints. e.g. `0.4`"""
    seam: Literal["left", "right", "front", "back"] | None = None
    """The side that its seam along stands on. Default: that furthest from lip and drain. e.g. `"back"`"""
    peak: Distance | None = None
    """How far the wall stands off its circle at the seam, read with a template. Default: 0.5 mm. e.g. `0.3`"""


class RoundTankSpec(Joined):
    """`[round-tank]`: a tube, upright, bonded to a disc."""

    outside: Length
    """Outside diameter of the tube, as it is sold. e.g. `200`"""
    wall: Length
    """Its wall, as it is sold. e.g. `5`"""
    tube: Literal["cast-pmma", "extruded-pmma"] = "extruded-pmma"
    """What the tube is; extruded tube carries half the load. e.g. `"cast-pmma"`"""
    measured_outside: Readings = ()
    """Readings of the outside diameter, across and across again. e.g. `[199.8, 200.1]`"""
    measured_wall: Readings = ()
    """Readings of the wall. e.g. `[4.9, 5.05]`"""
    depth: Length
    """From the floor to the rim of the tube. e.g. `300`"""
    base: Literal["under", "inset", "groove"] = "under"
    """The disc lies under the tube, stands in it, or has a turned groove for the tube's end. e.g. `"groove"`"""
    lid: Literal["none", "loose", "screwed"] = "none"
    """None, a disc laid on top, or one screwed to the ring, which keeps the liquid in. e.g. `"screwed"`"""
    lid_thickness: Length | None = None
    """Of the lid's sheet. Default: that of the order's sheet. e.g. `8`"""
    vent: Length | None = None
    """Diameter of a hole in the middle of a screwed lid, by which air comes and goes and it is filled. e.g. `12`"""
    flange: FlangeSpec | None = None
    groove: GrooveSpec | None = None
    lip: LipSpec | None = None
    rolled: RolledSpec | None = None
    ring: RingSpec | None = None
    motor: MotorSpec | None = None
    drain: DrainSpec | None = None

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A flange on a disc that stands in its tube; keys of a lid without that lid; one reading without the other."""
        if "rolled" in data and data.get("tube") != "cast-pmma":
            yield Refused(
                "extruded sheet shrinks along one way as it is heated: its tube is not round",
                'tube = "cast-pmma"',
                ("tube",),
            )
        rolled, lip = data.get("rolled"), data.get("lip")
        if isinstance(rolled, Mapping) and isinstance(lip, Mapping) and rolled.get("seam") == lip.get("on", "right"):
            yield Refused("the lip is cut in that side: its seam would run into it", "another side", ("rolled", "seam"))
        if isinstance(lip, Mapping) and lip.get("kind", "notch") != "trough":
            for key in ("out", "thickness"):
                if key in lip:
                    yield Refused("is of a trough, and this is a notch alone", 'kind = "trough"', ("lip", key))
        for over in ("lid", "ring") if "lip" in data else ():
            if data.get(over, "none") != "none":
                yield Refused(f"a {over} lies over the rim that it is cut in", f"no {over} there, or no lip", ("lip",))
        if data.get("base") != "groove" and "groove" in data:
            yield Refused("the base has none", 'base = "groove"', ("groove",))
        lid, ring = data.get("lid", "none"), data.get("ring")
        if lid == "screwed" and ring is None:
            yield Refused("is missing", "a screwed lid is screwed to a ring on the tube", ("ring",))
        if lid == "none" and "lid-thickness" in data:
            yield Refused("there is no lid", 'lid = "loose" or "screwed"', ("lid-thickness",))
        if lid != "screwed" and "vent" in data:
            yield Refused("only a screwed lid needs a vent", 'lid = "screwed"', ("vent",))
        if lid != "screwed" and isinstance(ring, Mapping):
            for key in ("circle", "bolts", "thread"):
                if key in ring:
                    yield Refused("is of the screws of a lid, and there are none", 'lid = "screwed"', ("ring", key))
        if data.get("base") == "inset" and "flange" in data:
            yield Refused("a disc that stands in the tube has no flange", 'base = "under"', ("flange",))
        if "measured-outside" in data and "measured-wall" not in data:
            yield Refused("is missing", "the bore follows from both readings", ("measured-wall",))
        if "measured-wall" in data and "measured-outside" not in data:
            yield Refused("is missing", "the bore follows from both readings", ("measured-outside",))
