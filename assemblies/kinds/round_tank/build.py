"""A round tank's pieces in their places: base, tube, ring, lid, and the bosses under the base."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from assemblies.design import Design, Fastener, Joint, Placed
from assemblies.design.model import Support
from assemblies.kinds.round_tank.grooves import groove_of, groove_said, tube_within
from assemblies.kinds.round_tank.laid import Laid, stock_of
from assemblies.kinds.round_tank.quick import quick
from assemblies.kinds.round_tank.rims import Rims, lipped, notch_said, rims
from assemblies.kinds.round_tank.rolling import blank_of
from assemblies.kinds.round_tank.tables import FlangeSpec, RoundTankSpec
from assemblies.kinds.round_tank.trough import trough, trough_said, way_of
from assemblies.kinds.round_tank.under import apart, drain, flange, motor
from assemblies.kinds.tank.mounts.plates import plates_taken
from assemblies.order import Faults, Order
from parts.findings import Finding, SeamwrightError
from parts.make.disc import disc
from parts.shape.piece import Hole
from parts.shape.tapped import tapped_hole
from parts.shape.tube import sawn_tube
from parts.stock.sheet import Sheet

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["build_round_tank"]


def build_round_tank(order: Order, thickness: object = None) -> Design:
    """The round tank that an order means.

    Raises:
        OrderError: what only building shows: a tube that is none, a flange inside the tube, a boss off the base.
    """
    spec = order.table
    assert isinstance(spec, RoundTankSpec)
    if not isinstance(order.sheet.thickness, float):
        raise order.refuse(("sheet", "thickness"), "the thickness of a round tank is not chosen here", "a thickness")
    _readings(order, spec)
    try:
        tube = stock_of(spec)
    except SeamwrightError as error:
        raise order.refuse(("round-tank", "wall"), str(error), "a wall under half the outside") from error
    sheet = Sheet(material=order.sheet.material, nominal_mm=order.sheet.thickness, readings_mm=order.sheet.measured)
    laid, faults = Laid(order, spec, tube, sheet, groove_of(order, spec, tube, sheet)), Faults()
    with faults.step():
        _supported(laid)
    bosses: list[Placed] = []
    holes: list[Hole] = []
    for make in (flange, motor, drain):
        with faults.step():
            boss, drilled = make(laid)
            bosses += boss
            holes += drilled
    with faults.step():
        apart(laid, bosses)
    under = quick(laid, bosses, faults)
    top = Rims()
    with faults.step():
        top = rims(laid)
    before: tuple[tuple[Placed, ...], tuple[Joint, ...]] = ((), ())
    with faults.step():
        before = trough(laid)
    faults.settle()
    base = disc("base", laid.disc_mm, sheet, holes=tuple(holes))
    if laid.groove:
        base = replace(base, pockets=(laid.groove.pocket(laid.disc_mm),))
    long = laid.top_mm - laid.foot_mm
    within = tube_within(spec, tube)[0] if spec.measured_outside else None
    sawn = sawn_tube("tube", tube, long, rolled=blank_of(order, spec, tube, long), within_mm=within)
    wall = laid.put(lipped(laid, sawn), laid.foot_mm)
    sides = (Joint(a="base", b="tube", kind="groove"),) if laid.groove else ()
    support = order.support
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        quantity=order.quantity,
        placed=(laid.put(base, 0.0), wall, *top.placed, *bosses, *before[0], *under.placed),
        joints=(*sides, *top.joints, *before[1], *under.joints),
        cavities=(_cavity(laid),),
        supports=(Support(kind=support.kind),) if support else (),
        fasteners=(*_bolts(laid), *top.fasteners, *under.fasteners),
        bought=(*top.bought, *under.bought),
        releases=under.releases,
        retention=support.retention if support else "none",
        findings=(*_said(laid), *under.findings),
        taken=tuple(plates_taken(order, under)),
    )


def _readings(order: Order, spec: RoundTankSpec) -> None:
    """Readings that are more likely another unit, or another tube.

    Raises:
        OrderError: a diameter more than a twentieth off its name, a wall more than half.
    """
    for key, name, read, off in (
        ("measured-outside", spec.outside, spec.measured_outside, 0.05),
        ("measured-wall", spec.wall, spec.measured_wall, 0.5),
    ):
        for k, one in enumerate(read):
            if abs(one - name) > off * name:
                raise order.refuse(
                    ("round-tank", key, k),
                    f"a reading of {one:g} mm on a tube of {name:g} mm",
                    f"{name * (1.0 - off):g} to {name * (1.0 + off):g} mm, or the tube by its own name",
                )


def _supported(laid: Laid) -> None:
    """What it stands on, against what hangs under it."""
    order, spec = laid.order, laid.spec
    kind = order.support.kind if order.support else "flat"
    if kind == "plates" and spec.flange is None and not order.plate:
        raise order.refuse(
            ("support", "kind"),
            "it has no flange to be bolted down by",
            "[round-tank.flange], or a [[plate]] of the quick-release style",
        )
    if kind == "flat" and (spec.motor or spec.drain):
        raise order.refuse(
            ("support", "kind"),
            "a boss hangs under its base: it cannot stand flat",
            '"edges": on a ring under the tube, or "plates": bolted down by its flange',
        )


def _cavity(laid: Laid) -> Cavity:
    """The bore, from the floor to the top of what is bonded on; the drain is shut."""
    from assemblies.liquid.shapes.cavity import round_cavity  # brings numpy, which a refused order need not wait for
    from assemblies.liquid.shapes.openings import Circle3, Port

    spec, ports = laid.spec, []
    if spec.drain is not None:
        wide = tapped_hole(0.0, 0.0, spec.drain.thread).bore_mm
        hole = Circle3(centre=(*spec.drain.at, laid.floor_mm), normal=(0.0, 0.0, -1.0), radius_mm=wide / 2.0)
        ports.append(Port(name="drain", circle=hole, open=False, kind="drain"))
    deep = spec.depth + (laid.sheet_of(spec.ring.thickness).thickness_mm if spec.ring else 0.0)
    if spec.vent is not None:
        hole = Circle3(centre=(0.0, 0.0, laid.floor_mm + deep), normal=(0.0, 0.0, 1.0), radius_mm=spec.vent / 2.0)
        ports.append(Port(name="vent", circle=hole, kind="vent", free_mm2=math.pi / 4.0 * spec.vent**2))
    cavity = round_cavity(
        laid.tube.inside_mm / 2.0,
        deep,
        base=(0.0, 0.0, laid.floor_mm),
        lid="sealed" if spec.lid == "screwed" else spec.lid,
        ports=ports,
    )
    if spec.lip is None:
        return cavity
    from assemblies.liquid.shapes.spout import spouted

    return spouted(
        cavity,
        height_mm=spec.depth - spec.lip.depth,
        out_mm=0.0
        if spec.lip.kind == "trough"
        else laid.tube.wall_mm,  # down a trough it only goes on from the tube's inside
        width_mm=spec.lip.width,
        toward=(*way_of(spec.lip), 0.0),
        way=f"through the {spec.lip.kind} on the {spec.lip.on}",
    )


def _bolts(laid: Laid) -> Iterator[Fastener]:
    flange: FlangeSpec | None = laid.spec.flange
    if flange is not None:
        yield Fastener(
            name=f"bolt {flange.thread}",
            piece="base",
            through=("base",),
            thread=flange.thread,
            count=flange.bolts,
            note="through the flange into what it stands on; a washer under each head",
            ends="counterpart",
        )


def _said(laid: Laid) -> Iterator[Finding]:
    """What the tube leaves open until it is measured."""
    spec = laid.spec
    if laid.groove:
        yield groove_said(laid.groove)
    if spec.lip:
        yield notch_said(laid)
        if spec.lip.kind == "trough":
            yield trough_said(laid)
    if spec.base == "inset" and not spec.measured_wall:
        yield Finding(
            level="stop",
            check="build",
            where="base",
            why="the disc stands in the bore of a tube that is not measured: tubes differ by more than solvent bridges",
            do="measure the tube across in three directions and its wall at four places, and give measured-outside and "
            "measured-wall; turn the disc to the bore",
            source="common practice, no source: tolerances of tube are larger than those of sheet",
        )
    if spec.tube == "extruded-pmma":
        yield Finding(
            level="care",
            check="build",
            where="tube",
            why="extruded tube is stressed as it comes: solvent makes it craze",
            do="anneal it before it is bonded",
            source="common practice, no source",
        )
