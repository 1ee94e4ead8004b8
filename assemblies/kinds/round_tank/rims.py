"""What is on top of a round tank: the ring on its tube, the lid, and the screws that hold it down."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.design import Fastener, Joint, Placed
from assemblies.design.model import Bought
from assemblies.kinds.round_tank.laid import LAND, WAYS, Laid
from assemblies.kinds.round_tank.tables import RingSpec
from parts.findings import Finding
from parts.make.disc import disc, ring
from parts.shape.outline import Circle
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.shape.tube import notched
from parts.stock.mounting import hole_circle
from parts.stock.rules import rule, rule_source
from parts.stock.thread import clearance, thread

__all__ = ["Rims", "lipped", "notch_said", "rims"]

_LEAST_RING_MM: Final = 3.0  # narrower rings break when they are turned; judgement
_BESIDE_MM: Final = 1.0  # from a screw that comes through the ring to the tube's outside; judgement
_FEWEST: Final = 6  # screws of a lid: between fewer its edge bows off its seal; judgement


@dataclass(frozen=True, kw_only=True)
class Rims:
    """Ring and lid in their places, how they are joined, what is bought for them."""

    placed: tuple[Placed, ...] = ()
    joints: tuple[Joint, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    bought: tuple[Bought, ...] = ()


def rims(laid: Laid) -> Rims:
    """The ring on the tube and the lid on top.

    Raises:
        OrderError: a ring that leaves the tube's end bare, screws for which there is no room.
    """
    spec, made = laid.spec, _ring(laid)
    top = laid.top_mm + (made.piece.thickness_mm if made else 0.0)
    held = (made,) if made else ()
    if spec.lid == "none":
        return Rims(placed=held)
    outside = spec.ring.outside if spec.ring else laid.tube.outside_mm
    if spec.vent is not None and spec.vent > laid.tube.inside_mm / 2.0:
        raise laid.order.refuse(
            ("round-tank", "vent"),
            f"a vent of {spec.vent:g} mm leaves little of the lid",
            f"at most {laid.tube.inside_mm / 2.0:.0f} mm",
        )
    wide = clearance(thread(spec.ring.thread)).diameter_mm if spec.ring else 0.0
    half = outside / 2.0
    holes = [Hole(x_mm=half + x, y_mm=half + y, kind="through", diameter_mm=wide) for x, y in _screws(laid)]
    vent = (Circle(half, half, spec.vent / 2.0),) if spec.vent else ()
    lid = laid.put(disc("lid", outside, laid.sheet_of(spec.lid_thickness), holes=holes, inner=vent, role="lid"), top)
    if spec.lid == "loose":
        return Rims(placed=(*held, lid), joints=(Joint(a="ring" if made else "tube", b="lid", kind="loose"),))
    assert spec.ring
    return Rims(
        placed=(*held, lid),
        joints=(Joint(a="ring", b="lid", kind="screwed"),),
        fasteners=(
            Fastener(
                name=f"screw {spec.ring.thread}",
                piece="lid",
                through=("lid", "ring"),
                thread=spec.ring.thread,
                count=len(holes),
                note="with a flat washer; crosswise, finger tight and a quarter turn, no more",
            ),
        ),
        bought=(
            Bought(
                item=f"gasket, soft silicone or EPDM, {laid.tube.inside_mm:.0f} x {outside:.0f} mm",
                count=1,
                note="between ring and lid, 1 mm at most, its holes punched: without it the lid keeps in no liquid",
            ),
        ),
    )


def lipped(laid: Laid, tube: Piece) -> Piece:
    """The tube with the notch in its rim, where the order has one.

    Raises:
        OrderError: a notch as wide as the bore, or down to the floor.
    """
    lip = laid.spec.lip
    if lip is None:
        return tube
    if lip.width > laid.tube.inside_mm / 2.0:
        raise laid.order.refuse(
            ("round-tank", "lip", "width"),
            f"a notch {lip.width:g} mm wide in a bore of {laid.tube.inside_mm:.1f} mm",
            f"at most {laid.tube.inside_mm / 2.0:.0f} mm",
        )
    if lip.depth > laid.spec.depth / 2.0:
        raise laid.order.refuse(
            ("round-tank", "lip", "depth"),
            f"a notch {lip.depth:g} mm down in a wall {laid.spec.depth:g} mm high",
            f"at most {laid.spec.depth / 2.0:g} mm",
        )
    return notched(tube, lip.width, lip.depth, math.radians(WAYS[lip.on]))


def notch_said(laid: Laid) -> Finding:
    """How the notch is cut."""
    radius = max(rule("notch_radius"), laid.tube.wall_mm / 2.0)
    return Finding(
        level="note",
        check="build",
        where="tube",
        why="a notch is cut in its rim, drawn with sharp corners: a sharp corner starts a crack",
        do=f"drill its two lower corners {2.0 * radius:g} mm wide, saw to the holes, scrape the edges, anneal the tube",
        source=rule_source("notch_radius"),
    )


def _ring(laid: Laid) -> Placed | None:
    """The ring on the end of the tube, tapped for a lid that is screwed on."""
    spec = laid.spec.ring
    if spec is None:
        return None
    least = max(laid.tube.inside_mm + 2.0 * _LEAST_RING_MM, laid.tube.outside_mm)
    if spec.outside < least:
        raise laid.order.refuse(
            ("round-tank", "ring", "outside"),
            f"{spec.outside:g} mm does not cover the end of the tube",
            f"at least {least:g} mm",
        )
    half, sheet = spec.outside / 2.0, laid.sheet_of(spec.thickness)
    holes = [tapped_hole(half + x, half + y, spec.thread) for x, y in _screws(laid)]
    major = thread(spec.thread).major_mm
    full = full_thread_mm(holes[0], sheet.thickness_mm) if holes else major
    if full < major:
        raise laid.order.refuse(
            ("round-tank", "ring", "thickness"),
            f"{spec.thread} finds {full:.1f} mm of thread in {sheet.thickness_mm:g} mm: less than its diameter",
            "a thicker ring, or a finer screw",
        )
    return laid.put(ring("ring", spec.outside, laid.tube.inside_mm, sheet, holes=holes, role="stiffener"), laid.top_mm)


def _screws(laid: Laid) -> tuple[tuple[float, float], ...]:
    """Where the screws of the lid stand, from the axis: beside the tube, so that none bottoms out on its end."""
    spec = laid.spec.ring
    if laid.spec.lid != "screwed" or spec is None:
        return ()
    circle = _circle(laid, spec)
    many = spec.bolts or max(_FEWEST, math.ceil(math.pi * circle / rule("screw_pitch")))
    places, neighbour = hole_circle(many, circle)
    least = 3.0 * clearance(thread(spec.thread)).diameter_mm
    if neighbour < least:
        raise laid.order.refuse(
            ("round-tank", "ring", "bolts"),
            f"{many} screws stand {neighbour:.1f} mm apart",
            f"fewer: at least {least:.1f} mm apart",
        )
    return tuple(places)


def _circle(laid: Laid, spec: RingSpec) -> float:
    """Diameter of the circle of the lid's screws: as said, or in the middle of where they can stand."""
    major, wide = thread(spec.thread).major_mm, clearance(thread(spec.thread)).diameter_mm
    least = laid.tube.outside_mm + major + 2.0 * _BESIDE_MM
    most = spec.outside - wide - 2.0 * LAND * major
    if least > most:
        raise laid.order.refuse(
            ("round-tank", "ring", "outside"),
            f"screws {spec.thread} of a lid do not stand between the tube and the edge of a ring of {spec.outside:g} mm",
            f"at least {spec.outside + least - most:.1f} mm",
        )
    if spec.circle is not None and not least <= spec.circle <= most:
        raise laid.order.refuse(
            ("round-tank", "ring", "circle"),
            f"screws {spec.thread} on a circle of {spec.circle:g} mm do not stand between the tube and the edge of the ring",
            f"{least:.1f} to {most:.1f} mm",
        )
    return spec.circle or (least + most) / 2.0
