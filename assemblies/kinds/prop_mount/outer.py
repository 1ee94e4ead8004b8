"""What a mount is bolted to on both sides: the bolts that are bought for it, and what stands in the way of what lies on it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from assemblies.design import Fastener
from assemblies.design.model import Ends
from assemblies.design.onto import Onto, Proud
from assemblies.kinds.prop_mount.bolts import Bolts, washer_wide_mm
from assemblies.kinds.prop_mount.spec import FaceSpec, PropMountSpec
from assemblies.order import Order
from parts.findings import Finding
from parts.shape.piece import Piece
from parts.stock.mounting import pattern
from parts.stock.nut import nut, washer_mm
from parts.stock.rules import rule
from parts.stock.thread import clearance, thread

__all__ = ["foot_of", "in_the_way", "outer_bolts", "standoff_places"]

_Point = tuple[float, float]


def foot_of(spec: PropMountSpec, side: str) -> str:
    """The instance that the bolts of a side go through."""
    if side == "rig":
        return "plate" if spec.style == "plate" else "base"
    return {"plate": "plate", "spacer": "top", "bracket": "upright", "riser": "top"}[spec.style]


def outer_bolts(
    order: Order, spec: PropMountSpec, sides: Mapping[str, Bolts], pieces: Mapping[str, Piece]
) -> Iterator[Fastener]:
    """What is bought to bolt it on, both sides."""
    for name, bolts in sides.items():
        face: FaceSpec = getattr(spec, name)
        foot, what = foot_of(spec, name), "what moves it" if name == "rig" else "the prop"
        metal = "" if bolts.let_in is None else f", into the {'nut' if face.insert is None else 'insert'} let in there"
        metal = "; a nut on its washer behind" if bolts.through else metal
        ends: Ends = "thread" if bolts.tapped or face.insert else "nut" if metal else "counterpart"
        note = f"into {what}: its depth is the maker's to say; a washer under each head"
        if ends != "counterpart":
            note = f"from {what} into the plate{metal}"
        if bolts.pattern.counterpart == "screw":
            note = f"the screw of {what} itself: nothing to buy"
        piece = pieces[foot]
        closed = spec.style == "plate" and ends == "thread"  # the other side's part lies over its end
        yield Fastener(
            name=f"bolt {bolts.thread} ({name})",
            piece=foot,
            through=(foot,),
            thread=bolts.thread,
            count=len(bolts.centres),
            longest_mm=piece.thickness_mm - rule("bolt_end_clearance") if closed else None,
            note=note,
            ends=ends,
            insert_mm=face.insert,
            onto=_onto(order, spec, sides, name, piece),
        )


def _onto(order: Order, spec: PropMountSpec, sides: Mapping[str, Bolts], name: str, piece: Piece) -> Onto:
    """What the bolts of a side hold the mount against."""
    bolts, face = sides[name], getattr(spec, name)
    width, height, _ = piece.size_mm
    return Onto(
        name=name,
        side="near" if name == "rig" else "far",
        pattern=bolts.pattern,
        at=(width / 2.0 + bolts.at[0], height / 2.0 + bolts.at[1]),
        turn_rad=bolts.turn_rad,
        seat=face.seat,
        proud=tuple(_proud(order, spec, sides["prop" if name == "rig" else "rig"], piece)),
    )


def _proud(order: Order, spec: PropMountSpec, other: Bolts, piece: Piece) -> Iterator[Proud]:
    """What stands out of a plate on the face that a part lies on: heads and nuts of the other side's bolts in the same plate,
    or heads of the standoffs' screws."""
    width, height, _ = piece.size_mm
    places, screw, high, travel = other.centres, other.thread, other.proud_mm, other.slot_mm
    if spec.style == "spacer":
        assert spec.standoff_thread
        screw, travel = spec.standoff_thread, 0.0
        places = standoff_places(order, spec)
        high = washer_mm(thread(screw).size) + nut(thread(screw)).height_mm
    elif spec.style != "plate":
        return
    for x, y in places if high else ():
        yield Proud(
            x_mm=width / 2.0 + x, y_mm=height / 2.0 + y, wide_mm=washer_wide_mm(screw), high_mm=high, travel_mm=travel
        )


def in_the_way(bolts: Sequence[Fastener]) -> Iterator[Finding]:
    """Heads and nuts that stand under what lies on the plate."""
    for bolt in bolts:
        onto = bolt.onto
        assert onto is not None
        under = [head for head in onto.proud if _under(bolt.thread, onto, head)]
        if under:
            what = "what moves it" if onto.name == "rig" else "the prop"
            yield Finding(
                level="care",
                check="build",
                where=bolt.piece,
                why=f"{len(under)} heads or nuts stand {under[0].high_mm:.1f} mm out of it where {what} lies: it would rest on "
                "them, not on the plate",
                do=f"make room for them in it, where templates/counterpart-{onto.name}.pdf shows them; or move them clear of "
                "it, or take a spacer or threads",
                source="computed: heads and nuts by ISO 4032 and ISO 7089, from memory",
            )


def _under(screw: str, onto: Onto, head: Proud) -> bool:
    """Whether it stands under the other part: under its seat, its flange, or just the bolts."""
    (x, y), half = onto.middle, head.wide_mm / 2.0
    dx, dy = max(abs(head.x_mm - x) - head.travel_mm / 2.0, 0.0), abs(head.y_mm - y)
    if onto.seat is None and onto.pattern.outer_mm is not None:
        return math.hypot(dx, dy) < onto.pattern.outer_mm / 2.0 + half
    wide = clearance(thread(screw)).diameter_mm
    a, b = onto.seat or (2.0 * (max(abs(p[k] - (x, y)[k]) for p in onto.places) + wide) for k in (0, 1))
    return math.hypot(max(dx - a / 2.0, 0.0), max(dy - b / 2.0, 0.0)) < half


def standoff_places(order: Order, spec: PropMountSpec) -> tuple[_Point, ...]:
    """Of a spacer, from the middle of its plates."""
    assert spec.standoffs is not None
    return pattern(spec.standoffs, thread=spec.standoff_thread, unit=order.units).centres
