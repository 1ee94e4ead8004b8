"""Pieces placed one by one: what they are, where they stand, how they are joined where it is not by solvent."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from assemblies.design import Design
from assemblies.design.gather import Gathered
from assemblies.kinds.mount import Keys, mount
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Faults, Length, Order, OrderError, Refused, Size2, Table
from assemblies.order.errors import Key
from assemblies.order.files import MOST
from assemblies.order.specs import Process, Readings
from assemblies.order.values import (
    Angle,
    Distance,
    Joined,
    Name,
    PatternName,
    Point2,
    Point3,
    Text,
    ThreadName,
    counted,
    number,
    whole,
)
from parts.findings import Finding, SeamwrightError
from parts.make.disc import disc, ring
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.piece import Hole, Piece
from parts.stock.mounting import pattern_findings
from parts.stock.thread import DEFAULT_PERCENT

__all__ = ["PanelsSpec", "build_panels"]

Way = Literal["up", "down", "front", "back", "left", "right"]
_SHAPES = ("size", "points", "disc", "ring")


def _list(value: Any) -> Any:
    """One word may stand without brackets."""
    return value if isinstance(value, tuple) else (value,)


class PieceSpec(Joined):
    """`[[panels.piece]]`: one part, cut from the order's sheet unless it names its own.

    Attributes:
        name: of the part, and of its files.
        size, points, disc, ring: one of them: width and height; the corners in order; a diameter; outside and inside diameter.
        inside_radius: of the corners of `points` that go in.
        thread, pattern: a plate to bolt it by: holes tapped on its far face, about its middle; clearance holes where what the
            pattern bolts to is tapped itself. bolted, slot, slot_way, let_in, insert: as holes and the rest of a `[[plate]]`.
        holes, hole: centres, from the lower-left corner of the box about it, and diameter of plain holes.
        thickness, measured, process, turn: as of the order's sheet and cutting.
        cut_group: parts of one group are cut at one setting.
    """

    name: Name
    """Name of the part and of its files. e.g. `"cheek"`"""
    size: Size2 | None = None
    """A rectangle: width and height. e.g. `[240, 200]`"""
    points: Annotated[tuple[Point2, ...], Field(max_length=MOST)] | None = None
    """A polygon: its corners in order. e.g. `[[0, 0], [180, 0], [0, 150]]`"""
    inside_radius: Distance = 0.0
    """Radius of the corners that go in. e.g. `3`"""
    disc: Length | None = None
    """A disc: its diameter. e.g. `90`"""
    ring: Size2 | None = None
    """A ring: outside and inside diameter. e.g. `[90, 60]`"""
    thread: ThreadName | None = None
    """With pattern: a tapped plate. e.g. `"M6"`"""
    pattern: PatternName | None = None
    """Where its tapped holes lie, about its middle. e.g. `"grid 25 2x2"`"""
    percent: Annotated[float, number(0.0, 100.0, over=True)] = DEFAULT_PERCENT
    """Percent of thread, which picks the tap drill. e.g. `65`"""
    bolted: Literal["tapped", "clearance"] | None = None
    """How the holes of its pattern are made. Default: what the pattern bolts to decides. e.g. `"clearance"`"""
    slot: Length | None = None
    """Makes slots of its clearance holes: how far a bolt can be moved along. e.g. `12`"""
    slot_way: Literal["across", "up"] = "across"
    """Which way the slots run. e.g. `"up"`"""
    let_in: Literal["nut", "insert"] | None = None
    """Metal let into its near face in place of a thread in the sheet. e.g. `"nut"`"""
    insert: Annotated[tuple[Length, Length, Length], counted(3, "barrel, flange, flange thickness")] | None = None
    """Of an insert: diameter of its barrel and of its flange, and how thick that is. e.g. `[8, 12, 1.5]`"""
    holes: Annotated[tuple[Point2, ...], Field(max_length=MOST)] = ()
    """Middles of plain holes, from the lower-left corner of the box about it. e.g. `[[10, 10], [50, 10]]`"""
    hole: Length | None = None
    """Diameter of those holes. e.g. `6`"""
    thickness: Length | None = None
    """Thickness of its own sheet. e.g. `12`"""
    measured: Readings = ()
    """Readings of that sheet. e.g. `[11.8]`"""
    process: Process | None = None
    """What it is cut with. e.g. `"router"`"""
    turn: bool | None = None
    """Whether it may be turned on the sheet. e.g. `false`"""
    cut_group: Name | None = None
    """Parts of one group are cut at one setting. e.g. `"treads"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """No shape or several, a thread without its pattern, holes without their diameter, readings of no sheet."""
        shapes = [key for key in _SHAPES if key in data]
        if len(shapes) != 1:
            what = f"has {' and '.join(shapes)}" if shapes else "has no shape"
            yield Refused(what, f"one of {', '.join(_SHAPES)}", (shapes[-1],) if shapes else ())
        if ("thread" in data) != ("pattern" in data):
            yield Refused("has a thread or a pattern without the other", "both, or neither")
        if "inside-radius" in data and "points" not in data:
            yield Refused("only a piece of points has corners that go in", "points", ("inside-radius",))
        if "thread" in data and "size" not in data:
            yield Refused("a tapped plate is a rectangle", "size", ("thread",))
        if "thread" in data and "holes" in data:
            yield Refused("plain holes in a tapped plate", "the holes of its pattern", ("holes",))
        if ("holes" in data) != ("hole" in data):
            yield Refused(
                "has holes without their diameter, or a diameter without holes", "both holes and hole, or neither"
            )
        for key in ("bolted", "slot", "let-in", "insert"):
            if key in data and "pattern" not in data:
                yield Refused("there is no pattern of bolts", "thread and pattern besides", (key,))
        if "slot-way" in data and "slot" not in data:
            yield Refused("there is no slot", "slot besides, its travel", ("slot-way",))
        if "let-in" in data and data.get("bolted") == "clearance":
            yield Refused(f"the bolt ends in the {data['let-in']} here", "bolted, or let-in", ("bolted",))
        if ("insert" in data) != (data.get("let-in") == "insert"):
            yield Refused("the sizes of an insert and let-in go together", 'let-in = "insert" and insert', ("insert",))
        if "measured" in data and "thickness" not in data:
            yield Refused("readings without the thickness of their sheet", "thickness as well", ("measured",))


class PlaceSpec(Joined):
    """`[[panels.place]]`: one part in its place.

    Its words are those of `assemblies.design.place.put`.
    """

    piece: Name
    """Which part. e.g. `"cheek"`"""
    name: Name | None = None
    """Name of this instance. Default: that of the part. e.g. `"cheek-left"`"""
    faces: Way = "up"
    """Which way its far face points. e.g. `"right"`"""
    turn: Annotated[int, whole(0, 270)] = 0
    """Quarter turns in its own plane, in degrees. e.g. `90`"""
    low: Point3 | None = None
    """Where the low corner of the box about it stands: length, width, up. e.g. `[0, 0, 0]`"""
    on: Name | None = None
    """Or the instance that it stands against. e.g. `"foot"`"""
    edge: Way | None = None
    """Which side of that instance. e.g. `"up"`"""
    flush: Annotated[tuple[Way, ...], BeforeValidator(_list), Field(max_length=2)] = ()
    """Sides of it that this is level with; else it stands in its middle. e.g. `["left", "front"]`"""
    offset: Point3 = (0.0, 0.0, 0.0)
    """Moved from there. e.g. `[0, -5, 0]`"""
    lean: Angle = 0.0
    """How far it leans about its lower edge, in degrees. e.g. `10`"""
    rises: Literal["left", "right", "front", "back"] | None = None
    """The side to which a leaning piece goes up. e.g. `"back"`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """No place, or two."""
        if ("low" in data) == ("on" in data):
            yield Refused("low and on are both given" if "low" in data else "has no place", "low, or on and edge")
        if "on" in data and "edge" not in data:
            yield Refused("is missing", "the side of it that this stands against", ("edge",))


class JoinSpec(Table):
    """`[[panels.join]]`: two instances that are not bonded; the second is what comes off."""

    between: Annotated[tuple[Name, Name], counted(2, "one, other")]
    """Two instances that are not bonded; the second comes off. e.g. `["foot", "plate-left"]`"""
    kind: Literal["loose", "screwed", "bolted"]
    """How they are joined instead. e.g. `"bolted"`"""


class FastenSpec(Table):
    """`[[panels.fasten]]`: bought screws or bolts, and the instances that they go through or into, from the head on."""

    name: Text
    """What is bought. e.g. `"bolt M6 x 16"`"""
    thread: ThreadName
    """Its thread. e.g. `"M6"`"""
    through: Annotated[tuple[Name, ...], Field(min_length=1, max_length=MOST)]
    """The instances that it goes through or into, from the head on. e.g. `["foot", "plate-left"]`"""
    count: Annotated[int, whole(1, 1000)] = 1
    """How many. e.g. `4`"""
    longest: Length | None = None
    """No longer than this. e.g. `20`"""
    note: Text | None = None
    """Any other note. e.g. `"with washers"`"""


class PanelsSpec(Table):
    """The `[panels]` table: parts, their places in the order in which they are taped up, joints, fasteners."""

    piece: Annotated[tuple[PieceSpec, ...], Field(min_length=1, max_length=MOST)]
    place: Annotated[tuple[PlaceSpec, ...], Field(min_length=1, max_length=MOST)]
    join: Annotated[tuple[JoinSpec, ...], Field(max_length=MOST)] = ()
    fasten: Annotated[tuple[FastenSpec, ...], Field(max_length=MOST)] = ()


def build_panels(order: Order, thickness: object = None) -> Design:
    """The pieces that the order lists, in their places.

    Args:
        order: with a `PanelsSpec` as its table.
        thickness: never left open here.

    Raises:
        OrderError: what only building shows: sides that cross, a name that is not there, a place that is none.
    """
    spec = order.table
    assert isinstance(spec, PanelsSpec)
    if order.liquid is not None:
        raise order.refuse(
            ("liquid",), "pieces placed one by one are not known to hold a liquid", "no [liquid] table here"
        )
    faults, gathered = Faults(), Gathered()
    pieces, findings = _pieces(order, spec, faults)
    _place(order, spec, pieces, gathered, faults)
    faults.settle()
    for i, join in enumerate(spec.join):
        with faults.step(), _said(order, ("panels", "join", i)):
            a, b = join.between
            gathered.join(a, b, join.kind)
    for i, one in enumerate(spec.fasten):
        with faults.step(), _said(order, ("panels", "fasten", i)):
            gathered.fasten(one.name, one.thread, one.through, one.count, longest_mm=one.longest, note=one.note or "")
    faults.settle()
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=gathered.placed,
        joints=gathered.joints,
        fasteners=gathered.fasteners,
        retention=order.support.retention if order.support else "none",
        quantity=order.quantity,
        findings=tuple(findings),
    )


@contextmanager
def _said(order: Order, key: Key) -> Iterator[None]:
    """What the makers of pieces and places refuse, said at a key of the order."""
    try:
        yield
    except OrderError:
        raise
    except SeamwrightError as error:
        raise order.refuse(key, str(error), "") from error


def _pieces(order: Order, spec: PanelsSpec, faults: Faults) -> tuple[dict[str, Piece], list[Finding]]:
    """Each part by its name, and what is to be said of patterns; what is refused is left out."""
    used = {place.piece for place in spec.place}
    misspelt = not used <= {one.name for one in spec.piece}
    made: dict[str, Piece] = {}
    findings: list[Finding] = []
    for i, one in enumerate(spec.piece):
        key: Key = ("panels", "piece", i)
        with faults.step(), _said(order, key):
            if one.name in {other.name for other in spec.piece[:i]}:
                raise order.refuse((*key, "name"), f"{one.name!r} is given twice", "each part once")
            if one.name not in used and not misspelt:
                raise order.refuse(key, f"{one.name} is never placed", "a [[panels.place]] of it, or leave it out")
            made[one.name], said = _piece(order, one, key)
            findings += said
    return made, findings


def _piece(order: Order, one: PieceSpec, key: Key) -> tuple[Piece, list[Finding]]:
    """A part, and what is to be said of its pattern."""
    thickness = order.sheet.thickness if one.thickness is None else one.thickness
    assert isinstance(thickness, float)
    sheet = extra_sheet(order, thickness, one.measured)
    assert sheet.thickness_range_mm
    group, turn = one.cut_group or "", order.sheet.turn if one.turn is None else one.turn
    holes = [Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=one.hole) for x, y in one.holes if one.hole]
    if one.thread is not None and one.pattern is not None and one.size is not None:
        keys = Keys(
            thread=one.thread,
            pattern=one.pattern,
            holes=one.bolted,
            slot=one.slot,
            slot_way=one.slot_way,
            let_in=one.let_in,
            insert=one.insert,
            percent=one.percent,
            named="bolted",
        )
        faults = Faults()
        made = mount(order, key, keys, one.name, one.size, sheet, faults, cut_group=group)
        faults.settle()
        assert made is not None
        return replace(made.piece, process=one.process, may_turn=turn), pattern_findings(made.pattern, one.name)
    if one.size is not None:
        piece = panel(one.name, *one.size, sheet, holes=holes, cut_group=group)
    elif one.points is not None:
        piece = polygon(one.name, one.points, sheet, holes=holes, inside_radius_mm=one.inside_radius, cut_group=group)
    elif one.disc is not None:
        piece = disc(one.name, one.disc, sheet, holes=holes, cut_group=group)
    else:
        assert one.ring is not None
        piece = ring(one.name, *one.ring, sheet, holes=holes, cut_group=group)
    return replace(piece, process=one.process, may_turn=turn), []


def _place(order: Order, spec: PanelsSpec, pieces: Mapping[str, Piece], gathered: Gathered, faults: Faults) -> None:
    """Every instance in its place; what follows from a fault that is said already is passed over."""
    known = {one.name for one in spec.piece}
    lost: set[str] = set()
    for i, one in enumerate(spec.place):
        name, key = one.name or one.piece, ("panels", "place", i)
        if one.piece not in known:
            with faults.step():
                raise order.refuse((*key, "piece"), f"there is no piece {one.piece!r}", ", ".join(sorted(known)))
        if one.piece not in pieces or one.on in lost:
            lost.add(name)
            continue
        lost.add(name)
        with faults.step(), _said(order, key):
            gathered.place(
                name,
                pieces[one.piece],
                faces=one.faces,
                turn=one.turn,
                low=one.low,
                on=one.on,
                edge=one.edge,
                flush=one.flush,
                offset=one.offset,
                lean=one.lean,
                rises=one.rises,
            )
            lost.discard(name)
