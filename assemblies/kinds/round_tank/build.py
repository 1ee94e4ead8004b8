"""A round tank's pieces in their places: base, tube, ring, lid, and the bosses under the base."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assemblies.design import Design, Fastener, Joint, Placed
from assemblies.design.model import Support
from assemblies.kinds.round_tank.tables import DrainSpec, FlangeSpec, MotorSpec, RoundTankSpec
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Faults, Order
from parts.findings import Finding, SeamwrightError
from parts.make.disc import disc, ring
from parts.shape.outline import Circle
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.shape.tube import sawn_tube
from parts.stock.mounting import hole_circle, pattern
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread
from parts.stock.tube import TubeStock

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["build_round_tank", "stock_of"]

_LAND_MM = 1.5  # of a bolt's diameter from a hole's edge to tube or edge; judgement
_LEAST_RING_MM = 3.0  # narrower rings break when they are turned; judgement


def stock_of(spec: RoundTankSpec) -> TubeStock:
    """The tube: by its readings where there are any."""
    outside = math.fsum(spec.measured_outside) / len(spec.measured_outside) if spec.measured_outside else spec.outside
    wall = math.fsum(spec.measured_wall) / len(spec.measured_wall) if spec.measured_wall else spec.wall
    return TubeStock(material=spec.tube, outside_mm=outside, wall_mm=wall)


@dataclass(frozen=True)
class _Laid:
    """What all builders of pieces read."""

    order: Order
    spec: RoundTankSpec
    tube: TubeStock
    sheet: Sheet

    @property
    def floor_mm(self) -> float:
        """Of the inside, over the underside of the base."""
        return self.sheet.thickness_mm

    @property
    def top_mm(self) -> float:
        """Of the tube."""
        return self.floor_mm + self.spec.depth

    @property
    def disc_mm(self) -> float:
        """Diameter of the base."""
        if self.spec.base == "inset":
            return self.tube.inside_mm
        return self.spec.flange.outside if self.spec.flange else self.tube.outside_mm

    def put(self, piece: Piece, low: float) -> Placed:
        """A round piece about the axis."""
        half = piece.size_mm[0] / 2.0
        return Placed(name=piece.name, piece=piece, origin=(-half, -half, low))

    def sheet_of(self, thickness: float | None) -> Sheet:
        return self.sheet if thickness is None else extra_sheet(self.order, thickness)


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
    laid, faults = _Laid(order, spec, tube, sheet), Faults()
    with faults.step():
        _supported(laid)
    bosses: list[Placed] = []
    holes: list[Hole] = []
    for make in (_flange, _motor, _drain):
        with faults.step():
            boss, drilled = make(laid)
            bosses += boss
            holes += drilled
    with faults.step():
        _apart(laid, bosses)
    rims: list[Placed] = []
    with faults.step():
        rims = list(_rims(laid))
    faults.settle()
    base = disc("base", laid.disc_mm, sheet, holes=tuple(holes))
    low = 0.0 if spec.base == "inset" else laid.floor_mm
    placed = (
        laid.put(base, 0.0), laid.put(sawn_tube("tube", tube, laid.top_mm - low), low), *rims, *bosses,
    )  # fmt: skip
    lid = [one for one in rims if one.name == "lid"]
    under = "ring" if spec.ring else "tube"
    return Design(
        name=order.name, title=order.title, kind=order.kind, revision=order.revision, placed=placed,
        joints=tuple(Joint(a=under, b=one.name, kind="loose") for one in lid), cavities=(_cavity(laid),),
        supports=(Support(kind=order.support.kind),) if order.support else (),
        fasteners=tuple(_bolts(laid)), retention=order.support.retention if order.support else "none",
        quantity=order.quantity, findings=tuple(_said(laid)),
    )  # fmt: skip


def _readings(order: Order, spec: RoundTankSpec) -> None:
    """Readings that are more likely another unit, or another tube.

    Raises:
        OrderError: a diameter more than a twentieth off its name, a wall more than half.
    """
    for key, name, read, off in (
        ("measured-outside", spec.outside, spec.measured_outside, 0.05), ("measured-wall", spec.wall, spec.measured_wall, 0.5)
    ):  # fmt: skip
        for k, one in enumerate(read):
            if abs(one - name) > off * name:
                raise order.refuse(
                    ("round-tank", key, k), f"a reading of {one:g} mm on a tube of {name:g} mm",
                    f"{name * (1.0 - off):g} to {name * (1.0 + off):g} mm, or the tube by its own name",
                )  # fmt: skip


def _supported(laid: _Laid) -> None:
    """What it stands on, against what hangs under it."""
    order, spec = laid.order, laid.spec
    kind = order.support.kind if order.support else "flat"
    if kind == "plates" and spec.flange is None:
        raise order.refuse(("support", "kind"), "it has no flange to be bolted down by", "[round-tank.flange]")
    if kind == "flat" and (spec.motor or spec.drain):
        raise order.refuse(
            ("support", "kind"), "a boss hangs under its base: it cannot stand flat",
            '"edges": on a ring under the tube, or "plates": bolted down by its flange',
        )  # fmt: skip


def _flange(laid: _Laid) -> tuple[list[Placed], list[Hole]]:
    """The holes of the bolt circle."""
    order, spec = laid.order, laid.spec.flange
    if spec is None:
        return [], []
    wide = clearance(thread(spec.thread)).diameter_mm
    land = _LAND_MM * thread(spec.thread).major_mm
    least, most = laid.tube.outside_mm + wide + 2.0 * land, spec.outside - wide - 2.0 * land
    if spec.outside <= laid.tube.outside_mm or not least <= spec.circle <= most:
        raise order.refuse(
            ("round-tank", "flange", "circle"),
            f"bolts {spec.thread} on a circle of {spec.circle:g} mm do not stand between the tube and the edge of the base",
            f"{least:.1f} to {most:.1f} mm" if least <= most else f"a base of {least + wide + 2.0 * land:.0f} mm or more",
        )  # fmt: skip
    places, neighbour = hole_circle(spec.bolts, spec.circle)
    if neighbour < 3.0 * wide:
        raise order.refuse(
            ("round-tank", "flange", "bolts"), f"{spec.bolts} bolts stand {neighbour:.1f} mm apart",
            f"fewer: at least {3.0 * wide:.1f} mm apart",
        )  # fmt: skip
    return [], [_through(laid, x, y, wide) for x, y in places]


def _through(laid: _Laid, x: float, y: float, wide: float) -> Hole:
    half = laid.disc_mm / 2.0
    return Hole(x_mm=half + x, y_mm=half + y, kind="through", diameter_mm=wide)


def _boss(laid: _Laid, name: str, spec: MotorSpec | DrainSpec, at: tuple[float, float], holes: tuple[Hole, ...],
          inner: tuple[Circle, ...] = ()) -> Placed:  # fmt: skip
    """A disc bonded under the base, within the bore of the tube."""
    key = ("round-tank", name, "boss")
    reach = math.hypot(*at) + spec.boss / 2.0
    if reach > laid.tube.inside_mm / 2.0:
        raise laid.order.refuse(
            key, f"a boss of {spec.boss:g} mm there reaches {reach:.1f} mm out, beyond the bore of the tube",
            f"at most {laid.tube.inside_mm / 2.0 - math.hypot(*at):.1f} mm from its middle",
        )  # fmt: skip
    sheet = laid.sheet_of(spec.thickness)
    try:
        piece = disc(f"{name}-boss", spec.boss, sheet, holes=holes, inner=inner, kind="boss", role="stiffener")
    except SeamwrightError as error:
        raise laid.order.refuse(key, str(error), "a larger boss") from error
    half = spec.boss / 2.0
    return Placed(name=piece.name, piece=piece, origin=(at[0] - half, at[1] - half, -sheet.thickness_mm))


def _motor(laid: _Laid) -> tuple[list[Placed], list[Hole]]:
    spec = laid.spec.motor
    if spec is None:
        return [], []
    key = ("round-tank", "motor", "pattern")
    try:
        face = pattern(spec.pattern, thread=spec.thread, unit=laid.order.units)
    except SeamwrightError as error:
        raise laid.order.refuse(key, str(error), "a pattern and a thread that go together") from error
    if face.thread is None:
        raise laid.order.refuse(key, "a grid does not say its thread", "thread in [round-tank.motor]")
    half, thick = spec.boss / 2.0, laid.sheet_of(spec.thickness).thickness_mm
    drilled = []
    for x, y in face.centres:
        if face.counterpart in ("clearance", "any"):
            drilled.append(tapped_hole(half + x, half - y, face.thread, side="near"))
        else:
            raise laid.order.refuse(
                key, f"{face.name} is tapped itself: its screws would come through the floor of the tank",
                "a pattern whose counterpart has clearance holes, or an adapter plate",
            )  # fmt: skip
    full = full_thread_mm(drilled[0], thick)
    if full < thread(face.thread).major_mm:
        raise laid.order.refuse(
            ("round-tank", "motor", "thickness"),
            f"{face.thread} finds {full:.1f} mm of thread in {thick:g} mm: less than its diameter", "a thicker boss",
        )  # fmt: skip
    inner = (Circle(half, half, face.pilot_mm / 2.0),) if face.pilot_mm else ()
    return [_boss(laid, "motor", spec, (0.0, 0.0), tuple(drilled), inner)], []


def _drain(laid: _Laid) -> tuple[list[Placed], list[Hole]]:
    spec = laid.spec.drain
    if spec is None:
        return [], []
    half, thick = spec.boss / 2.0, laid.sheet_of(spec.thickness).thickness_mm
    try:
        tapped = tapped_hole(half, half, spec.thread, side="near")
    except SeamwrightError as error:
        raise laid.order.refuse(
            ("round-tank", "drain", "thread"), str(error), "a thread of `seamwright show threads`"
        ) from error
    if full_thread_mm(tapped, thick) <= 0.0:
        raise laid.order.refuse(
            ("round-tank", "drain", "thickness"), f"{spec.thread} finds no thread in {thick:g} mm", "a thicker boss"
        )
    return [_boss(laid, "drain", spec, spec.at, (tapped,))], [_through(laid, *spec.at, tapped.bore_mm)]


def _apart(laid: _Laid, bosses: list[Placed]) -> None:
    """Two bosses that do not meet."""
    if len(bosses) < 2:
        return
    spec = laid.spec
    assert spec.motor
    assert spec.drain
    apart = math.hypot(*spec.drain.at) - (spec.motor.boss + spec.drain.boss) / 2.0
    if apart < 1.0:
        raise laid.order.refuse(
            ("round-tank", "drain", "at"),
            f"its boss and that of the motor are {apart:.1f} mm apart",
            "a place further out",
        )


def _rims(laid: _Laid) -> Iterator[Placed]:
    """The ring on the tube and the lid on top."""
    spec, top = laid.spec, laid.top_mm
    if spec.ring is not None:
        least = laid.tube.inside_mm + 2.0 * _LEAST_RING_MM
        if spec.ring.outside < max(least, laid.tube.outside_mm):
            raise laid.order.refuse(
                ("round-tank", "ring", "outside"), f"{spec.ring.outside:g} mm does not cover the end of the tube",
                f"at least {max(least, laid.tube.outside_mm):g} mm",
            )  # fmt: skip
        piece = ring(
            "ring", spec.ring.outside, laid.tube.inside_mm, laid.sheet_of(spec.ring.thickness), role="stiffener"
        )
        yield laid.put(piece, top)
        top += piece.thickness_mm
    if spec.lid == "loose":
        yield laid.put(
            disc("lid", spec.ring.outside if spec.ring else laid.tube.outside_mm, laid.sheet, role="lid"), top
        )


def _cavity(laid: _Laid) -> Cavity:
    """The bore, from the floor to the top of what is bonded on; the drain is shut."""
    from assemblies.liquid.shapes.cavity import round_cavity  # brings numpy, which a refused order need not wait for
    from assemblies.liquid.shapes.openings import Circle3, Port

    spec, ports = laid.spec, []
    if spec.drain is not None:
        wide = tapped_hole(0.0, 0.0, spec.drain.thread).bore_mm
        hole = Circle3(centre=(*spec.drain.at, laid.floor_mm), normal=(0.0, 0.0, -1.0), radius_mm=wide / 2.0)
        ports.append(Port(name="drain", circle=hole, open=False, kind="drain"))
    more = laid.sheet_of(spec.ring.thickness).thickness_mm if spec.ring else 0.0
    return round_cavity(
        laid.tube.inside_mm / 2.0, spec.depth + more, base=(0.0, 0.0, laid.floor_mm), lid=spec.lid, ports=ports
    )


def _bolts(laid: _Laid) -> Iterator[Fastener]:
    flange: FlangeSpec | None = laid.spec.flange
    if flange is not None:
        yield Fastener(
            name=f"bolt {flange.thread}", piece="base", through=("base",), thread=flange.thread, count=flange.bolts,
            note="through the flange into what it stands on; a washer under each head", ends="counterpart",
        )  # fmt: skip


def _said(laid: _Laid) -> Iterator[Finding]:
    """What the tube leaves open until it is measured."""
    spec = laid.spec
    if spec.base == "inset" and not spec.measured_wall:
        yield Finding(
            level="stop", check="build", where="base",
            why="the disc stands in the bore of a tube that is not measured: tubes differ by more than solvent bridges",
            do="measure the tube across in three directions and its wall at four places, and give measured-outside and "
            "measured-wall; turn the disc to the bore",
            source="common practice, no source: tolerances of tube are larger than those of sheet",
        )  # fmt: skip
    if spec.tube == "extruded-pmma":
        yield Finding(
            level="care", check="build", where="tube",
            why="extruded tube is stressed as it comes: solvent makes it craze", do="anneal it before it is bonded",
            source="common practice, no source",
        )  # fmt: skip
