"""The bolts on one side of a mount, as its order asks for them, and the holes that they need in a plate."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from assemblies.kinds.prop_mount.spec import FaceSpec, PropMountSpec
from assemblies.order import Order
from assemblies.order.errors import Key
from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Hole, Piece, Pocket, Side
from parts.shape.slot import Slot, slot_loop
from parts.shape.tapped import LetIn, let_in_of, tapped_hole
from parts.stock.mounting import Pattern, pattern
from parts.stock.nut import nut, washer_mm
from parts.stock.thread import clearance, thread

__all__ = ["Bolts", "bolts_of", "washer_wide_mm", "with_bolts"]

_PAST = 2.0  # pitches that a bolt stands out of a nut: common practice, no source
_Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Bolts:
    """The bolts on one side of a mount: places and the pattern's middle from the middle of their plate, mm, thread, and how the
    holes are made here."""

    pattern: Pattern
    centres: tuple[_Point, ...]
    thread: str
    tapped: bool
    through: bool = False
    slot_mm: float = 0.0
    let_in: LetIn | None = None
    at: _Point = (0.0, 0.0)
    turn_rad: float = 0.0

    @property
    def hole_mm(self) -> float:
        """The clearance hole's diameter; of a tapped one the thread's; of one with metal let in the bore in front of that."""
        if self.let_in is not None:
            return self.let_in.bore_mm
        found = thread(self.thread)
        return found.major_mm if self.tapped else clearance(found).diameter_mm

    @property
    def head_mm(self) -> float:
        """How wide what stands on the plate's inner face is: a head or washer; the pocket of what is let in."""
        if self.let_in is not None:
            x0, _, x1, _ = self.let_in.pocket(0.0, 0.0).bounds_mm
            return x1 - x0
        return 0.0 if self.tapped else washer_wide_mm(self.thread)

    @property
    def proud_mm(self) -> float:
        """How high a head, or the nut of a through bolt, stands on its washer over the plate's inner face; 0 without."""
        if self.tapped or self.let_in is not None:
            return 0.0
        screw = thread(self.thread)
        return washer_mm(screw.size) + nut(screw).height_mm + self.through * _PAST * screw.pitch_mm

    @property
    def middle(self) -> _Point:
        return tuple(math.fsum(c[k] for c in self.centres) / len(self.centres) for k in (0, 1))  # type: ignore[return-value]


def washer_wide_mm(screw: str) -> float:
    """How wide the washer of a screw is at the most: ISO 7089, from memory, is twice the screw and 1 mm more of the small ones;
    ASME B18.22.1, narrow, from memory, up to 3.4 mm more."""
    found = thread(screw)
    return 2.0 * found.major_mm + (3.4 if found.system == "inch" else 1.0)


def bolts_of(order: Order, name: str) -> Bolts:
    """The bolts of the side `rig` or `prop`.

    Raises:
        OrderError: a pattern that is none with that thread, holes that would be threaded on both sides or on neither.
    """
    spec = order.table
    assert isinstance(spec, PropMountSpec)
    face: FaceSpec = getattr(spec, name)
    key: Key = (spec_key := "prop-mount", name)
    assert spec_key
    try:
        found = pattern(face.pattern, thread=face.thread, unit=order.units)
    except SeamwrightError as error:
        raise order.refuse((*key, "pattern"), str(error), "a pattern and a thread that go together") from error
    assert found.thread is not None
    by_itself = "through" if found.counterpart == "clearance" else found.hole
    made: str = "tapped" if face.let_in else face.holes or by_itself  # metal let in is a thread here
    if face.slot is not None and made == "tapped":
        if found.counterpart == "screw":
            raise order.refuse(
                (*key, "slot"), f"{found.name} is a screw: it needs a thread here, not a slot", "no slot"
            )
        made = "clearance"
    if (found.counterpart, made) in (
        ("tapped", "tapped"),
        ("screw", "clearance"),
        ("screw", "through"),
        ("clearance", "clearance"),
    ):
        what = (
            "is tapped itself"
            if found.counterpart == "tapped"
            else f"has {'a screw' if found.counterpart == 'screw' else 'clearance holes'}"
        )
        other = "clearance" if made == "tapped" else "tapped"
        raise order.refuse((*key, "holes"), f"what {found.name} bolts to {what}: {made} holes do not go with it", other)
    turn, (x0, y0) = math.radians(face.turn), face.at
    centres = tuple(
        (x0 + x * math.cos(turn) - y * math.sin(turn), y0 + x * math.sin(turn) + y * math.cos(turn))
        for x, y in found.centres
    )
    if found.counterpart == "screw" and face.let_in == "nut":
        what = f"the screw of {found.name} does not reach a nut let in behind"
        raise order.refuse((*key, "let-in"), what, 'let-in = "insert", or tapped')
    let_in = _let_in(order, key, face, found.thread)
    return Bolts(
        pattern=found,
        centres=centres,
        thread=found.thread,
        tapped=made == "tapped" and let_in is None,
        through=made == "through" and found.counterpart != "tapped",  # into a thread of its own it is a clearance hole
        slot_mm=face.slot or 0.0,
        let_in=let_in,
        at=face.at,
        turn_rad=turn,
    )


def _let_in(order: Order, key: Key, face: FaceSpec, name: str) -> LetIn | None:
    if face.let_in is None:
        return None
    try:
        return let_in_of(thread(name), face.insert)
    except SeamwrightError as error:
        where = "let-in" if face.insert is None else "insert"
        raise order.refuse((*key, where), str(error), "what the maker of the insert gives") from error


def with_bolts(plate: Piece, bolts: Bolts, front: Side) -> Piece:
    """A plate with the holes for one side's bolts, which come through its face `front` where they end in it.

    Raises:
        SeamwrightError: a hole or pocket that does not lie on it.
    """
    width, height, thick = plate.size_mm
    places = [(width / 2.0 + x, height / 2.0 + y) for x, y in bolts.centres]
    cuts: list[Loop | Circle] = []
    if bolts.pattern.pilot_mm:
        cuts.append(Circle(width / 2.0 + bolts.at[0], height / 2.0 + bolts.at[1], bolts.pattern.pilot_mm / 2.0))
    holes: list[Hole] = []
    pockets: list[Pocket] = []
    for x, y in places:
        if bolts.slot_mm:
            one = Slot(x_mm=x, y_mm=y, width_mm=bolts.hole_mm, travel_mm=bolts.slot_mm, along_rad=0.0)
            cuts.append(slot_loop(one))
        elif bolts.tapped:
            holes.append(tapped_hole(x, y, bolts.thread))
        elif bolts.let_in is not None:
            deep = bolts.let_in.depth_mm
            if deep >= thick:
                raise SeamwrightError(f"{plate.name}: a pocket of {deep:g} mm leaves nothing of {thick:g} mm")
            holes.append(
                Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=bolts.hole_mm, depth_mm=thick - deep, side=front)
            )
            pockets.append(
                Pocket(outline=bolts.let_in.pocket(x, y), depth_mm=deep, side="far" if front == "near" else "near")
            )
        else:
            holes.append(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=bolts.hole_mm))
    outline = replace(plate.outline, inner=(*plate.outline.inner, *cuts))
    return replace(plate, outline=outline, holes=(*plate.holes, *holes), pockets=(*plate.pockets, *pockets))
