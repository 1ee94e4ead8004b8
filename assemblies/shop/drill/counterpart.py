"""The other part: what the plates of one face are bolted to, and the holes that it needs; seen as one who drills it sees it.

*Seen from the plates*: the face of the other part that they lie on, so that what is right on the plate is left here.
Places count from the lower left of all plates of that face.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.design import Design
from assemblies.design.model import Fastener, Placed, shoe_base
from assemblies.report.blocks import Block, Report, Rows
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.lengths import LengthUnit, dial_length, write_named
from parts.shape.outline import Circle
from parts.shape.spots import spots_of
from parts.stock.thread import clearance, thread
from parts.vectors import Vector, cross, dot

__all__ = ["COUNTERPART", "Counterpart", "Counterparts", "OtherHole", "counterparts", "hole_words", "template_names"]

_FACES: Final = {
    (0, 0, -1): "bottom",
    (0, 0, 1): "top",
    (-1, 0, 0): "left",
    (1, 0, 0): "right",
    (0, -1, 0): "front",
    (0, 1, 0): "back",
}

Other = tuple[str, bool]  # a bolt's thread, and whether it ends in the other part


@dataclass(frozen=True, kw_only=True)
class OtherHole:
    """One hole of the other part, mm: `made` is `tapped` or `clearance`, `diameter` the thread's or the hole's."""

    at: tuple[float, float]
    made: str
    thread: str
    diameter: float


@dataclass(frozen=True, kw_only=True)
class Counterpart:
    """What the plates of one face are bolted to.

    Attributes:
        face: of the whole: bottom, left ...
        plates: the plates that lie on it, each with the corners of its outline; openings for bosses.
        size: of all of them, mm.
        holes: that it needs.
    """

    face: str
    plates: tuple[str, ...]
    outlines: tuple[tuple[tuple[float, float], ...], ...]
    bosses: tuple[tuple[float, float, float], ...]
    size: tuple[float, float]
    holes: tuple[OtherHole, ...]


@dataclass(frozen=True, kw_only=True)
class Counterparts:
    """One for each face that has plates to bolt it by."""

    every: tuple[Counterpart, ...]


def counterparts(design: Design) -> tuple[Counterpart, ...]:
    """The other part of each face on which plates with bolts lie, in the order of first use."""
    bolts = {one.piece: _other(design, one) for one in design.fasteners}
    bare = {one.shoe.name: shoe_base(one) for one in design.releases}  # without the holes that are not the rig's
    metal = [one for one in design.releases if not one.shoe.names]
    bolts |= {one.shoe.name: (one.shoe.bolt, one.shoe.holes != "tapped") for one in metal}
    centre = _middle(design.placed)
    groups: dict[tuple[int, int, int, float], list[Placed]] = {}
    for placed in (*(bare.get(one.name, one) for one in design.placed), *(shoe_base(one) for one in metal)):
        if placed.piece.role == "mount" and placed.name in bolts:
            out = _outward(placed, centre)
            level = round(dot(_on_outside(placed, out, 0.0, 0.0), out), 3)
            groups.setdefault((*(round(c) for c in out), level), []).append(placed)  # type: ignore[arg-type]
    return tuple(_counterpart(plates, bolts, centre) for plates in groups.values())


def _middle(placed: Sequence[Placed]) -> Vector:
    boxes = [p.box for p in placed]
    x, y, z = ((min(b[0][k] for b in boxes) + max(b[1][k] for b in boxes)) / 2.0 for k in range(3))
    return x, y, z


def _outward(placed: Placed, centre: Vector) -> Vector:
    low, high = placed.box
    away = sum(((low[k] + high[k]) / 2.0 - centre[k]) * placed.z[k] for k in range(3))
    z = placed.z
    return z if away >= 0.0 else (-z[0], -z[1], -z[2])


def _on_outside(placed: Placed, out: Vector, u_mm: float, v_mm: float) -> Vector:
    """A point of the face that lies on the other part."""
    return placed.world(u_mm, v_mm, placed.piece.thickness_mm if dot(out, placed.z) > 0.0 else 0.0)


def _counterpart(plates: Sequence[Placed], bolts: dict[str, Other], centre: Vector) -> Counterpart:
    out = _outward(plates[0], centre)
    up: Vector = (0.0, 1.0, 0.0) if abs(out[2]) > 0.5 else (0.0, 0.0, 1.0)
    right = cross(up, (-out[0], -out[1], -out[2]))  # towards the eye is back from the other part

    def seen(placed: Placed, u_mm: float, v_mm: float) -> tuple[float, float]:
        point = _on_outside(placed, out, u_mm, v_mm)
        return dot(point, right), dot(point, up)

    corners = []
    for placed in plates:
        width, height, _ = placed.piece.size_mm
        corners.append([seen(placed, u, v) for u, v in ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))])
    x0, y0 = (min(c[k] for ring in corners for c in ring) for k in (0, 1))
    x1, y1 = (max(c[k] for ring in corners for c in ring) for k in (0, 1))

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return round(point[0] - x0, 6) + 0.0, round(point[1] - y0, 6) + 0.0

    bosses = []
    for placed in plates:
        bosses += [
            (*at(seen(placed, loop.x_mm, loop.y_mm)), loop.radius_mm)
            for loop in placed.piece.outline.inner
            if isinstance(loop, Circle)
        ]
    holes = [
        _hole(*bolts[placed.name], at(seen(placed, spot.x_mm, spot.y_mm)))
        for placed in plates
        for spot in spots_of(placed.piece)
    ]
    face = _FACES.get((round(out[0]), round(out[1]), round(out[2])), "slope")
    return Counterpart(
        face=face,
        plates=tuple(p.name for p in plates),
        outlines=tuple(tuple(at(c) for c in ring) for ring in corners),
        bosses=tuple(bosses),
        size=(x1 - x0, y1 - y0),
        holes=tuple(sorted(holes, key=lambda h: (h.at[1], h.at[0]))),
    )


def _other(design: Design, bolt: Fastener) -> Other:
    """A bolt's thread, and whether it ends in the other part."""
    return bolt.thread, design.ends_in(bolt) == "counterpart"


def _hole(name: str, ends: bool, at: tuple[float, float]) -> OtherHole:
    """The thread where the bolt ends in the other part, else the clearance hole that it goes through."""
    screw = thread(name)
    if ends:
        return OtherHole(at=at, made="tapped", thread=screw.name, diameter=screw.major_mm)
    return OtherHole(at=at, made="clearance", thread=screw.name, diameter=clearance(screw).diameter_mm)


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
    faces = [one.face for one in every]
    return [
        f"counterpart-{face}" + (f"-{faces[:k].count(face) + 1}" if faces.count(face) > 1 else "")
        for k, face in enumerate(faces)
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
            title=f"What {', '.join(one['plates'])} {'is' if len(one['plates']) == 1 else 'are'} bolted to",
            header=("right", "up", "hole"),
            rows=[
                (
                    *(dial_length(at, unit) for at in h["at"]),
                    f"{h['thread']} tapped"
                    if h["made"] == "tapped"
                    else f"{hole_words(h['diameter'], unit)}, clear of {h['thread']}",
                )
                for h in one["holes"]
            ],
            right="rrl",
            note=f"From the lower left of all of them, seen from the plates: the mirror image of theirs. True size: "
            f"{one['file']} and its .dxf.",
        )


#: The holes of what the plates are bolted to, for whoever drills that.
COUNTERPART: Final = Check(
    name="counterpart",
    run=_run,
    questions=("cut",),
    rows=_rows,
    sections=(SectionOf(id="counterpart", station="drill", title="The other part", blocks=_blocks),),
)
