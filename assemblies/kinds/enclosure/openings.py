"""What is cut into a face: shapes of cut-outs, pockets behind them, vents, holes; what air and water get through."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from assemblies.kinds.enclosure.spec import OWN_SHAPES, CutoutSpec, VentSpec
from parts.findings import SeamwrightError
from parts.make.panel import panel
from parts.shape.outline import Circle, Loop, Outline, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Mark, Piece, Pocket, Role, Side
from parts.shape.slot import Slot, slot_loop
from parts.stock.cutout import Cutout, cutout
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread

__all__ = ["Box2", "Face", "Part", "part_of", "shape_of", "shifted", "vent_slots"]

Box2 = tuple[float, float, float, float]
_ROOM_MM = 3.0  # judgement: behind an opening of its own size a pocket is so much wider on every side
_WINDOW_MM = 4.0  # judgement: corners of a window; they bear the most of a face
_LAND_MM = 2.0  # judgement: between two openings, on top of the rules for holes


@dataclass
class Face:
    """A face of the box while it is being cut: `inside` is the sheet's side that looks into the box.

    Attributes:
        middle: of the face as seen from outside, in the piece's own axes.
        free: where openings may be: the inside of the box.
        taken: boxes that are taken, with what takes them.
        openings: what air and water get through.
        marked, marks: what is engraved, the boxes of it and its lines.
    """

    name: str
    outer: Loop
    middle: tuple[float, float]
    inside: Side
    free: Box2
    inner: list[Loop | Circle] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    pockets: list[Pocket] = field(default_factory=list)
    taken: list[tuple[str, Box2]] = field(default_factory=list)
    openings: list[tuple[str, Box2]] = field(default_factory=list)
    marked: list[tuple[str, Box2]] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)

    def take(self, what: str, box: Box2, land: float = _LAND_MM) -> None:
        """Take room on the face.

        Raises:
            SeamwrightError: it is not inside the box, or another thing has that room.
        """
        x0, y0, x1, y1 = box
        a, b, c, d = self.free
        if x0 < a + land or y0 < b + land or x1 > c - land or y1 > d - land:
            raise SeamwrightError(
                f"{what} needs {x0:.1f} to {x1:.1f} by {y0:.1f} to {y1:.1f} mm of the {self.name}: inside the box there are "
                f"{a:.1f} to {c:.1f} by {b:.1f} to {d:.1f} mm, and {land:g} mm must stay beside it"
            )
        for other, (p, q, r, s) in self.taken:
            if x0 < r + land and p - land < x1 and y0 < s + land and q - land < y1:
                raise SeamwrightError(f"{what} and {other} are in each other's way on the {self.name}")
        self.taken.append((what, box))

    def piece(self, sheet: Sheet, group: str, role: Role, process: str | None) -> Piece:
        """The finished piece."""
        return Piece(
            name=self.name,
            kind="panel",
            outline=Outline(self.outer, tuple(self.inner)),
            holes=tuple(self.holes),
            pockets=tuple(self.pockets),
            marks=tuple(self.marks),
            sheet=sheet,
            cut_group=group,
            role=role,
            process=process,
        )


@dataclass(frozen=True, kw_only=True)
class Part:
    """What is cut for one part: its openings about its middle, screws, the panel it clamps, the room it wants behind."""

    name: str
    shapes: tuple[Loop | Circle, ...]
    screws: tuple[Hole, ...]
    panel: tuple[float, float] | None
    room: Loop | Circle
    source: str

    @property
    def box(self) -> Box2:
        """The box of all that is cut for it, without its room."""
        boxes = [s.bounds_mm for s in self.shapes]
        boxes += [(h.x_mm - h.bore_mm, h.y_mm - h.bore_mm, h.x_mm + h.bore_mm, h.y_mm + h.bore_mm) for h in self.screws]
        return _around(boxes)


def _around(boxes: list[Box2]) -> Box2:
    xs0, ys0, xs1, ys1 = zip(*boxes, strict=True)
    return min(xs0), min(ys0), max(xs1), max(ys1)


def part_of(spec: CutoutSpec, radius: float) -> Part:
    """What is cut for it, about (0, 0); `radius` of inside corners.

    Raises:
        SeamwrightError: a size that cannot be.
    """
    if spec.part in OWN_SHAPES:
        assert spec.size is not None
        shape = shape_of(spec.part, spec.size, radius)
        x0, y0, x1, y1 = shape.bounds_mm
        limits = None if spec.panel is None else (0.0, spec.panel)
        return Part(
            name=spec.part,
            shapes=(shape,),
            screws=(),
            panel=limits,
            room=_room(x0, y0, x1, y1, radius),
            source="the order",
        )
    found = cutout(spec.part)
    shape = _standard(found, key=spec.key, radius=radius)
    wide = clearance(thread(found.screw)).diameter_mm if found.screw else 0.0
    screws = tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=wide) for x, y in found.screws)
    part = Part(name=found.name, shapes=(shape,), screws=screws, panel=found.panel, room=shape, source=found.source)
    room: Loop | Circle = _room(*part.box, radius)
    if found.room is not None:
        room = Circle(0.0, 0.0, found.room / 2.0)
    return Part(**{**vars(part), "room": room})


def _room(x0: float, y0: float, x1: float, y1: float, radius: float) -> Loop:
    more = _ROOM_MM
    return rounded_rectangle(x1 - x0 + 2 * more, y1 - y0 + 2 * more, max(radius, more), x0 - more, y0 - more)


def _standard(found: Cutout, *, key: bool, radius: float) -> Loop | Circle:
    if found.shape in ("square", "shell"):
        return shape_of("square", (found.width + found.plus / 2.0, found.height + found.plus / 2.0), radius)
    r = (found.width + found.plus / 2.0) / 2.0
    if not (key and found.key):
        return Circle(0.0, 0.0, r)
    half, top = found.key[1] / 2.0, found.key[0] - r
    side = math.sqrt(r * r - half * half)
    bulge = math.tan((math.tau - 2.0 * math.asin(half / r)) / 4.0)
    return Loop((Vertex(-half, side, bulge), Vertex(half, side), Vertex(half, top), Vertex(-half, top)))


def shape_of(word: str, size: tuple[float, float], radius: float) -> Loop | Circle:
    """A cut-out of its own size about (0, 0).

    Raises:
        SeamwrightError: a round one that is not, a flat that misses its circle.

    >>> round(shape_of("d", (12.0, 10.5), 1.5).bounds_mm[3], 6)
    4.5
    """
    wide, high = size
    if word == "round":
        if wide != high:
            raise SeamwrightError(f"a round cut-out of {wide:g} x {high:g} mm: give its diameter twice")
        return Circle(0.0, 0.0, wide / 2.0)
    if word == "d":
        r = wide / 2.0
        flat = high - r
        if not 0.0 <= flat < r:
            raise SeamwrightError(
                f"a D of {wide:g} mm is {high:g} mm high over its flat: from half of its diameter to less than all of it"
            )
        half = math.sqrt(r * r - flat * flat)
        return Loop((Vertex(-half, flat, math.tan((math.tau - 2.0 * math.acos(flat / r)) / 4.0)), Vertex(half, flat)))
    radius = max(radius, _WINDOW_MM) if word == "window" else radius
    return rounded_rectangle(wide, high, min(radius, wide / 2.01, high / 2.01), -wide / 2.0, -high / 2.0)


def moved(shape: Loop | Circle, x: float, y: float) -> Loop | Circle:
    """A shape moved."""
    if isinstance(shape, Circle):
        return Circle(shape.x_mm + x, shape.y_mm + y, shape.radius_mm)
    return Loop(tuple(Vertex(v.x_mm + x, v.y_mm + y, v.bulge) for v in shape.vertices))


def cut_part(face: Face, part: Part, at: tuple[float, float], wall: float) -> float:
    """Cut it into a face, with a pocket behind where the wall is too thick; how deep that is.

    Raises:
        SeamwrightError: a wall that it cannot clamp, a pocket that leaves too little, room that is taken.
    """
    x, y = face.middle[0] + at[0], face.middle[1] + at[1]
    deep = 0.0
    if part.panel is not None:
        least, most = part.panel
        if wall < least:
            raise SeamwrightError(f"{part.name} clamps a panel of at least {least:g} mm: the wall has {wall:.2f} mm")
        deep = max(0.0, wall - most)
        floor = rule("floor_left_min")
        if deep and wall - deep < floor - 1e-9:
            raise SeamwrightError(
                f"{part.name} clamps at most {most:g} mm: a pocket would leave that of {wall:.2f} mm, and {floor:g} mm "
                'is the least floor; take behind = "sub-panel"'
            )
    boxes = [part.box] + ([part.room.bounds_mm] if deep else [])
    face.take(part.name, shifted(_around(boxes), x, y))
    face.openings.append((part.name, shifted(part.box, x, y)))
    _cut(face, part, x, y)
    if deep:
        face.pockets.append(Pocket(outline=moved(part.room, x, y), depth_mm=round(deep, 3), side=face.inside))
    return deep


def shifted(box: Box2, x: float, y: float) -> Box2:
    """A box moved."""
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _cut(face: Face, part: Part, x: float, y: float) -> None:
    for shape in part.shapes:
        face.inner.append(moved(shape, x, y))
    for hole in part.screws:
        face.holes.append(Hole(**{**vars(hole), "x_mm": hole.x_mm + x, "y_mm": hole.y_mm + y}))


def sub_panel(
    face: Face, part: Part, at: tuple[float, float], thin: Sheet, number: int, radius: float
) -> tuple[Piece, float, float]:
    """An opening in the wall as large as the part's room, and the thin panel behind it; its low corner on the face.

    Raises:
        SeamwrightError: a panel that the part cannot clamp, room that is taken.
    """
    thick = thin.thickness_mm
    if part.panel is not None and not part.panel[0] <= thick <= part.panel[1]:
        raise SeamwrightError(
            f"{part.name} clamps {part.panel[0]:g} to {part.panel[1]:g} mm: a sub-panel of {thick:g} mm is none"
        )
    x, y = face.middle[0] + at[0], face.middle[1] + at[1]
    x0, y0, x1, y1 = _around([part.room.bounds_mm, part.box])
    more, lap = 2.0, 10.0  # judgement: room for a spanner; lap that is bonded
    opening = rounded_rectangle(x1 - x0 + 2 * more, y1 - y0 + 2 * more, max(radius, 3.0), x + x0 - more, y + y0 - more)
    out = more + lap
    face.take(part.name, (x + x0 - out, y + y0 - out, x + x1 + out, y + y1 + out))
    face.inner.append(opening)
    face.openings.append((part.name, shifted(part.box, x, y)))
    wide, high = x1 - x0 + 2 * out, y1 - y0 + 2 * out
    shift = (out - x0, out - y0)
    holes = [Hole(**{**vars(h), "x_mm": h.x_mm + shift[0], "y_mm": h.y_mm + shift[1]}) for h in part.screws]
    piece = panel(
        f"sub-panel-{number}",
        wide,
        high,
        thin,
        holes=holes,
        cut_outs=[moved(s, *shift) for s in part.shapes],
        role="inner",
    )
    return piece, x + x0 - out, y + y0 - out


def vent_slots(face: Face, spec: VentSpec, name: str) -> None:
    """Cut the slots of a vent.

    Raises:
        SeamwrightError: slots that run into each other, room that is taken.
    """
    pitch = spec.pitch or rule("hole_spacing_min") * spec.width
    if pitch < spec.width + _LAND_MM:
        raise SeamwrightError(
            f"slots {spec.width:g} mm wide at a pitch of {pitch:g} mm leave under {_LAND_MM:g} mm between them"
        )
    x, y = face.middle[0] + spec.at[0], face.middle[1] + spec.at[1]
    ys = [y + pitch * (k - (spec.slots - 1) / 2.0) for k in range(spec.slots)]
    box = x - spec.length / 2.0, ys[0] - spec.width / 2.0, x + spec.length / 2.0, ys[-1] + spec.width / 2.0
    face.take(name, box)
    face.openings.append((name, box))
    face.inner += [
        slot_loop(Slot(x_mm=x, y_mm=at, width_mm=spec.width, travel_mm=spec.length - spec.width, along_rad=0.0))
        for at in ys
    ]


def plain_holes(
    face: Face, what: str, places: list[tuple[float, float]], diameter: float, head: float = 2.0, *, inside: bool = True
) -> None:
    """Round holes, each with the room of its head; `places` in the face's own axes.

    Raises:
        SeamwrightError: room that is taken, a hole outside.
    """
    for x, y in places:
        r = head * diameter / 2.0
        if inside:
            face.take(what, (x - r, y - r, x + r, y + r), 0.0)
        face.holes.append(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=diameter))


def groove(face: Face, low: float, wide: float, deep: float, size: tuple[float, float]) -> None:
    """A groove all round a lid as four pockets that meet, its outer corners round: `low` from the edge to its outer side."""
    w, h = size
    x0, x1, y0, y1, quarter = low, w - low, low, h - low, math.tan(math.pi / 8.0)
    under = (
        Vertex(x0 + wide, y0),
        Vertex(x1 - wide, y0, quarter),
        Vertex(x1, y0 + wide),
        Vertex(x0, y0 + wide, quarter),
    )
    over = (
        Vertex(x0, y1 - wide),
        Vertex(x1, y1 - wide, quarter),
        Vertex(x1 - wide, y1),
        Vertex(x0 + wide, y1, quarter),
    )
    beside = (rectangle(wide, y1 - y0 - 2 * wide, x, y0 + wide) for x in (x0, x1 - wide))
    for loop in (Loop(under), Loop(over), *beside):
        face.pockets.append(Pocket(outline=loop, depth_mm=deep, side=face.inside))
