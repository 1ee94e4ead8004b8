"""The other part: what the plates of one face are bolted to, and the holes that it needs; seen as one who drills it sees it.

*Seen from the plates*: the face of the other part that they lie on, so that what is right on the plate is left here.
Places count from the lower left of all plates of that face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from assemblies.design import Design
from assemblies.design.model import Fastener, Placed, shoe_base
from assemblies.design.onto import Onto, Proud
from assemblies.report.blocks import Block, Report, Rows
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.lengths import LengthUnit, dial_length, write_named
from parts.shape.outline import Circle, Loop, Vertex
from parts.shape.slot import Slot, slot_loop
from parts.shape.spots import spots_of
from parts.stock.thread import clearance, thread
from parts.vectors import Vector, cross, dot

__all__ = [
    "COUNTERPART",
    "Counterpart",
    "Counterparts",
    "Laid",
    "Mark",
    "OtherHole",
    "counterparts",
    "hole_words",
    "template_names",
]

_FACES: Final = {
    (0, 0, -1): "bottom",
    (0, 0, 1): "top",
    (-1, 0, 0): "left",
    (1, 0, 0): "right",
    (0, -1, 0): "front",
    (0, 1, 0): "back",
}
_Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class OtherHole:
    """One hole of the other part, mm: `made` is `tapped`, `clearance` or `slot-nut` (a nut in the slot of a rail),
    `diameter` the thread's or the hole's."""

    at: _Point
    made: str
    thread: str
    diameter: float


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A line on the template that is not drilled: `boss` of the other part, `slot` of ours, `seat`, `head` that stands in its
    way."""

    what: str
    loop: Loop | Circle


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A pattern on the other part: its name, its middle, which way its own x goes there (rad), and the diameter of the circle
    that its holes lie on, where it has one."""

    name: str
    at: _Point
    turn: float
    circle: float | None


@dataclass(frozen=True, kw_only=True)
class Counterpart:
    """What the plates of one face are bolted to.

    Attributes:
        side: what it is called (`rig`, `prop`), empty where it has no name; face: of the whole: bottom, left ...
        plates: the plates that lie on it, each with the corners of its outline.
        size: of all of them, mm.
        holes: that it needs.
        up, right: which way of the whole these go on the template: back, top ...
        marks: what is drawn besides.
        patterns: known by name.
    """

    side: str
    face: str
    plates: tuple[str, ...]
    outlines: tuple[tuple[_Point, ...], ...]
    size: _Point
    holes: tuple[OtherHole, ...]
    up: str
    right: str
    marks: tuple[Mark, ...] = ()
    patterns: tuple[Laid, ...] = ()

    @property
    def name(self) -> str:
        return self.side or self.face


@dataclass(frozen=True, kw_only=True)
class Counterparts:
    """One for each face that has plates to bolt it by."""

    every: tuple[Counterpart, ...]


@dataclass(frozen=True, kw_only=True)
class _Lies:
    """A plate that lies on the other part: its bolts, and the way out of the whole."""

    placed: Placed
    bolt: Fastener
    out: Vector

    @property
    def onto(self) -> Onto | None:
        return self.bolt.onto

    def point(self, u_mm: float, v_mm: float) -> Vector:
        """A place of the plate, in the world, on the face that lies on the other part."""
        return self.placed.world(u_mm, v_mm, self.placed.piece.thickness_mm if dot(self.out, self.placed.z) > 0 else 0)


def counterparts(design: Design) -> tuple[Counterpart, ...]:
    """The other part of each face on which plates with bolts lie, in the order of first use."""
    design = _with_shoes(design)
    groups: dict[tuple[object, ...], list[_Lies]] = {}
    for one in _lying(design):
        level = round(dot(one.point(0.0, 0.0), one.out), 3)
        key = (one.onto.name if one.onto else "", *(round(c, 6) + 0.0 for c in one.out), level)
        groups.setdefault(key, []).append(one)
    return tuple(_counterpart(design, plates) for plates in groups.values())


def _with_shoes(design: Design) -> Design:
    """With the bases of shoes of metal, which are no pieces of it, and their bolts."""
    metal = [one for one in design.releases if not one.shoe.names]
    bolts = [
        Fastener(
            name=f"bolt {one.shoe.bolt}",
            piece=one.shoe.name,
            through=(one.shoe.name,),
            thread=one.shoe.bolt,
            count=len(spots_of(one.shoe.base)),
        )
        for one in metal
    ]
    bases = [shoe_base(one) for one in metal]
    return replace(design, placed=(*design.placed, *bases), fasteners=(*design.fasteners, *bolts)) if metal else design


def _lying(design: Design) -> Iterator[_Lies]:
    """Plates whose bolts say what they lie on, and those whose role says that they lie on something."""
    bare = {one.shoe.name: shoe_base(one) for one in design.releases}  # without the holes that are not the rig's
    bolts: dict[str, list[Fastener]] = {}
    for fastener in design.fasteners:
        bolts.setdefault(fastener.piece, []).append(fastener)
    centre = _middle(design.placed)
    for placed in (bare.get(one.name, one) for one in design.placed):
        found = bolts.get(placed.name, [])
        for bolt in (b for b in found if b.onto is not None):
            assert bolt.onto is not None
            way = 1.0 if bolt.onto.side == "far" else -1.0
            x, y, z = (way * c for c in placed.z)
            yield _Lies(placed=placed, bolt=bolt, out=(x, y, z))
        if placed.piece.role == "mount" and found and not any(b.onto for b in found):
            yield _Lies(placed=placed, bolt=found[-1], out=_outward(placed, centre))


def _middle(placed: Sequence[Placed]) -> Vector:
    boxes = [p.box for p in placed]
    x, y, z = ((min(b[0][k] for b in boxes) + max(b[1][k] for b in boxes)) / 2.0 for k in range(3))
    return x, y, z


def _outward(placed: Placed, centre: Vector) -> Vector:
    low, high = placed.box
    away = sum(((low[k] + high[k]) / 2.0 - centre[k]) * placed.z[k] for k in range(3))
    z = placed.z
    return z if away >= 0.0 else (-z[0], -z[1], -z[2])


class _Seen:
    """The face of the other part as an eye sees it that looks out of the plates: from their lower left, right and up."""

    def __init__(self, plates: Sequence[_Lies]) -> None:
        out = plates[0].out
        self.up: Vector = (0.0, 1.0, 0.0) if abs(out[2]) > 0.5 else (0.0, 0.0, 1.0)
        self.right = cross(self.up, (-out[0], -out[1], -out[2]))  # towards the eye is back from the other part
        self.low: _Point = (0.0, 0.0)
        rings = [self.ring(one) for one in plates]
        self.low = min(c[0] for ring in rings for c in ring), min(c[1] for ring in rings for c in ring)
        self.size = tuple(max(c[k] for ring in rings for c in ring) - self.low[k] for k in (0, 1))

    def ring(self, one: _Lies) -> tuple[_Point, ...]:
        """The corners of a plate."""
        width, height, _ = one.placed.piece.size_mm
        return self.box(one, (width / 2.0, height / 2.0), (width, height))

    def box(self, one: _Lies, middle: _Point, size: _Point) -> tuple[_Point, ...]:
        signs = ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))
        return tuple(self.at(one, (middle[0] + a * size[0], middle[1] + b * size[1])) for a, b in signs)

    def at(self, one: _Lies, place: _Point) -> _Point:
        point = one.point(*place)
        return (round(dot(point, self.right) - self.low[0], 6) + 0.0, round(dot(point, self.up) - self.low[1], 6) + 0.0)


def _counterpart(design: Design, plates: Sequence[_Lies]) -> Counterpart:
    seen = _Seen(plates)
    holes = [_hole(design, one.bolt, seen.at(one, place)) for one in plates for place in _places(one)]
    return Counterpart(
        side=plates[0].onto.name if plates[0].onto else "",
        face=_word(plates[0].out),
        plates=tuple(one.placed.name for one in plates),
        outlines=tuple(seen.ring(one) for one in plates),
        size=(seen.size[0], seen.size[1]),
        holes=tuple(sorted(holes, key=lambda h: (h.at[1], h.at[0]))),
        up=_word(seen.up),
        right=_word(seen.right),
        marks=tuple(mark for one in plates for mark in _marks(seen, one)),
        patterns=tuple(_laid(seen, one, one.onto) for one in plates if one.onto),
    )


def _word(way: Vector) -> str:
    return _FACES.get((round(way[0]), round(way[1]), round(way[2])), "slope")


def _places(one: _Lies) -> tuple[_Point, ...]:
    if one.onto is not None:
        return one.onto.places
    return tuple((spot.x_mm, spot.y_mm) for spot in spots_of(one.placed.piece))


def _marks(seen: _Seen, one: _Lies) -> Iterator[Mark]:
    """Bosses, our slots, the seat, and heads that stand in the way."""
    onto, piece = one.onto, one.placed.piece
    if onto is None:
        for loop in piece.outline.inner:
            if isinstance(loop, Circle):
                yield Mark(what="boss", loop=Circle(*seen.at(one, (loop.x_mm, loop.y_mm)), loop.radius_mm))
    elif onto.pattern.boss_mm:
        yield Mark(what="boss", loop=Circle(*seen.at(one, onto.at), onto.pattern.boss_mm / 2.0))
    for spot in spots_of(piece):
        if spot.slot is not None and (onto is None or onto.has(spot.x_mm, spot.y_mm)):
            yield Mark(what="slot", loop=_slot(seen, one, spot.slot))
    if onto is not None and onto.seat is not None:
        ring = seen.box(one, onto.middle, onto.seat)
        yield Mark(what="seat", loop=Loop(tuple(Vertex(x, y) for x, y in ring)))
    for head in onto.proud if onto else ():
        yield Mark(what="head", loop=_head(seen, one, head))


def _head(seen: _Seen, one: _Lies, head: Proud) -> Loop | Circle:
    if not head.travel_mm:
        return Circle(*seen.at(one, (head.x_mm, head.y_mm)), head.wide_mm / 2.0)
    slot = Slot(x_mm=head.x_mm, y_mm=head.y_mm, width_mm=head.wide_mm, travel_mm=head.travel_mm, along_rad=0.0)
    return _slot(seen, one, slot)


def _slot(seen: _Seen, one: _Lies, slot: Slot) -> Loop:
    (x0, y0), (x1, y1) = (seen.at(one, end) for end in slot.ends)
    return slot_loop(
        Slot(
            x_mm=(x0 + x1) / 2.0,
            y_mm=(y0 + y1) / 2.0,
            width_mm=slot.width_mm,
            travel_mm=slot.travel_mm,
            along_rad=math.atan2(y1 - y0, x1 - x0),
        )
    )


def _laid(seen: _Seen, one: _Lies, onto: Onto) -> Laid:
    x, y = seen.at(one, onto.at)
    u, v = seen.at(one, (onto.at[0] + math.cos(onto.turn_rad), onto.at[1] + math.sin(onto.turn_rad)))
    turn = math.atan2(v - y, u - x)
    return Laid(name=onto.pattern.name, at=(x, y), turn=turn, circle=onto.pattern.circle_mm)


def _hole(design: Design, bolt: Fastener, at: _Point) -> OtherHole:
    """The thread where the bolt ends in the other part, else the clearance hole that it goes through."""
    screw, pattern = thread(bolt.thread), bolt.onto.pattern if bolt.onto else None
    if design.ends_in(bolt) == "counterpart":
        made = "slot-nut" if pattern is not None and pattern.name.startswith("T-slot") else "tapped"
        return OtherHole(at=at, made=made, thread=screw.name, diameter=screw.major_mm)
    wide = pattern.counterpart_hole_mm if pattern is not None else None
    return OtherHole(at=at, made="clearance", thread=screw.name, diameter=wide or clearance(screw).diameter_mm)


def _run(made: Made) -> Checked:
    found = counterparts(made.design)
    return Checked(figures=Counterparts(every=found) if found else None)


def _rows(made: Made, found: Counterparts) -> Report:
    names = template_names(found.every)
    return {
        "counterparts": [
            {**vars(one), "file": f"templates/{name}.pdf"} for one, name in zip(found.every, names, strict=True)
        ]
    }


def template_names(every: Sequence[Counterpart]) -> list[str]:
    """The name of the template of each, unique."""
    names = [one.name for one in every]
    return [
        f"counterpart-{name}" + (f"-{names[:k].count(name) + 1}" if names.count(name) > 1 else "")
        for k, name in enumerate(names)
    ]


def hole_words(diameter_mm: float, unit: LengthUnit) -> str:
    """How wide a hole of the other part is drilled: a drill's size where it is one in this unit.

    >>> hole_words(7.14375, "in"), hole_words(5.5, "mm"), hole_words(5.5, "in")
    ('9/32 in', '5.5 mm', '0.217 in')
    """
    named = write_named(diameter_mm, unit)
    return named if named.endswith(unit) else dial_length(diameter_mm, unit)


def _blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    for one in report.get("counterparts", ()):
        yield Rows(
            title=_title(one),
            header=("right", "up", "hole"),
            rows=[
                (
                    *(dial_length(at, unit) for at in h["at"]),
                    _MADE[h["made"]].format(thread=h["thread"], wide=hole_words(h["diameter"], unit)),
                )
                for h in one["holes"]
            ],
            right="rrl",
            note=" ".join(_notes(one, unit)),
        )


#: What a hole of the other part is, in a table.
_MADE: Final = {
    "tapped": "{thread} tapped",
    "clearance": "{wide}, clear of {thread}",
    "slot-nut": "{thread}, nut in the slot",
}


def _title(one: Report) -> str:
    plates = one["plates"]
    side = f": the {one['side']}" if one["side"] else ""
    return f"What {', '.join(plates)} {'is' if len(plates) == 1 else 'are'} bolted to{side}"


def _notes(one: Report, unit: LengthUnit) -> Iterator[str]:
    whose = "of all of them" if len(one["plates"]) > 1 else f"of {one['plates'][0]}"
    yield f"From the lower left {whose}, seen from there: the mirror image of what it has."
    yield f"Up goes to the whole's {one['up']}, right to its {one['right']}."
    for laid in one["patterns"]:
        x, y = (dial_length(at, unit) for at in laid["at"])
        yield f"The middle of {laid['name']} is at {x}, {y}."
    if any(mark["what"] == "head" for mark in one["marks"]):
        yield "Heads or nuts stand out towards it: the template shows where it needs room for them."
    yield f"True size: {one['file']} and its .dxf."


#: The holes of what the plates are bolted to, for whoever drills that.
COUNTERPART: Final = Check(
    name="counterpart",
    run=_run,
    questions=("cut",),
    rows=_rows,
    sections=(SectionOf(id="counterpart", station="drill", title="The other part", blocks=_blocks),),
)
