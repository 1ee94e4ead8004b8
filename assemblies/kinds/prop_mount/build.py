"""A mount's pieces in their places: plate, spacer, bracket or riser, with the bolts on both sides."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from assemblies.design import Design, Fastener
from assemblies.design.gather import Gathered
from assemblies.design.model import Ends
from assemblies.kinds.prop_mount.bolts import Bolts, bolts_of, with_bolts
from assemblies.kinds.prop_mount.spec import FaceSpec, PropMountSpec
from assemblies.kinds.sheets import stated_sheet
from assemblies.order import Faults, Order
from parts.findings import Finding, SeamwrightError
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.stock.mounting import pattern, pattern_findings
from parts.stock.thread import clearance, thread

__all__ = ["build_prop_mount", "foot_of", "gusset_places"]

LAND_MM = 8.0  # judgement: a gusset ends blunt, so that its toe has a bond and no feather edge
_Point = tuple[float, float]


def build_prop_mount(order: Order, thickness: object = None) -> Design:
    """The mount that the order asks for.

    Raises:
        OrderError: what only building shows: a pattern off its plate, gussets that do not go on it.
    """
    spec = order.table
    assert isinstance(spec, PropMountSpec)
    if order.liquid is not None:
        raise order.refuse(("liquid",), "a mount holds no liquid", "no [liquid] table here")
    if not isinstance(order.sheet.thickness, float):
        raise order.refuse(("sheet", "thickness"), "the thickness of a mount is not chosen", "a thickness")
    faults, sides = Faults(), {}
    for name in ("rig", "prop"):
        with faults.step():
            sides[name] = bolts_of(order, name)
    faults.settle()
    gathered = Gathered()
    try:
        _Builder(order, spec, sides["rig"], sides["prop"], gathered).build()
    except SeamwrightError as error:
        raise error if hasattr(error, "problems") else order.refuse(("prop-mount",), str(error), "") from error
    said = [f for one in ("rig", "prop") for f in _pattern_said(sides[one], foot_of(spec, one))]
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=gathered.placed,
        joints=gathered.joints,
        fasteners=(*gathered.fasteners, *_bolts(spec, sides)),
        retention=order.support.retention if order.support else "none",
        quantity=order.quantity,
        findings=tuple(said),
    )


def _pattern_said(side: Bolts, where: str) -> list[Finding]:
    return pattern_findings(replace(side.pattern, hole="tapped" if side.tapped else "clearance"), where)


def foot_of(spec: PropMountSpec, side: str) -> str:
    """The instance that the bolts of a side go through."""
    if side == "rig":
        return "plate" if spec.style == "plate" else "base"
    return {"plate": "plate", "spacer": "top", "bracket": "upright", "riser": "top"}[spec.style]


def _bolts(spec: PropMountSpec, sides: dict[str, Bolts]) -> list[Fastener]:
    """What is bought to bolt it on, both sides; the standoffs are the builder's own."""
    out = []
    for name, bolts in sides.items():
        face: FaceSpec = getattr(spec, name)
        piece, what = foot_of(spec, name), "what moves it" if name == "rig" else "the prop"
        metal = "" if bolts.let_in is None else f", into the {'nut' if face.insert is None else 'insert'} let in there"
        metal = "; a nut on its washer behind" if bolts.through else metal
        ends: Ends = "nut" if metal else "thread" if bolts.tapped else "counterpart"
        note = f"into {what}: its depth is the maker's to say; a washer under each head"
        if ends != "counterpart":
            note = f"from {what} into the plate{metal}"
        out.append(
            Fastener(
                name=f"bolt {bolts.thread} ({name})",
                piece=piece,
                through=(piece,),
                thread=bolts.thread,
                count=len(bolts.centres),
                note=note,
                ends=ends,
                insert_mm=face.insert,
            )
        )
    return out


def gusset_places(spec: PropMountSpec, thickness_mm: float) -> tuple[float, ...]:
    """Middles of the gussets along the length, from its middle; the outer ones a twelfth of the length from the ends."""
    length = spec.size[0]
    edge = length / 2.0 - max(length / 12.0, thickness_mm / 2.0)
    return tuple(-edge + 2.0 * edge * k / (spec.gussets - 1) for k in range(spec.gussets))


class _Builder:
    """One mount while its pieces are made and placed."""

    def __init__(self, order: Order, spec: PropMountSpec, rig: Bolts, prop: Bolts, gathered: Gathered) -> None:
        self.order, self.spec, self.rig, self.prop, self.gathered = order, spec, rig, prop, gathered
        assert isinstance(order.sheet.thickness, float)
        self.sheet = stated_sheet(order, order.sheet.thickness, order.sheet.measured)
        self.thick = self.sheet.thickness_mm

    def build(self) -> None:
        {"plate": self._plate, "spacer": self._spacer, "bracket": self._bracket, "riser": self._riser}[
            self.spec.style
        ]()

    def piece(self, name: str, size: _Point, sides: Sequence[tuple[str, Bolts]], more: Sequence[Hole] = ()) -> Piece:
        """A rectangle with the holes of one or both sides, a bore for a boss, pockets for metal let in."""
        made = panel(name, *size, self.sheet, holes=more)
        for key, bolts in sides:
            try:
                made = with_bolts(made, bolts, "near" if key == "rig" else "far")
                _see_inside(name, size, made.outline.inner)
            except SeamwrightError as error:
                raise self.order.refuse(
                    ("prop-mount", key, "pattern"), str(error), "a pattern that lies on its plate"
                ) from error
            self._see_thread(key, bolts)
        if len(sides) == 2:
            self._apart(name, size)
        turned = made.outline.inner or made.pockets
        return replace(made, process="router") if turned and self.order.cutting.process == "saw" else made

    def _see_thread(self, key: str, bolts: Bolts) -> None:
        """A thread as long as it is wide, in sheet that is to have one."""
        if not bolts.tapped:
            return
        full = full_thread_mm(tapped_hole(0.0, 0.0, bolts.thread), self.thick)
        if full < thread(bolts.thread).major_mm:
            raise self.order.refuse(
                ("prop-mount", key, "thread"),
                f"{bolts.thread} finds {full:.1f} mm of thread in {self.thick:g} mm of sheet: less than its diameter",
                "a thicker sheet, a smaller thread, metal let in, or clearance holes",
            )

    def _apart(self, name: str, size: _Point) -> None:
        """Bolts of both sides in one plate, none in the room of another's head."""
        for x, y in self.rig.centres:
            for u, v in self.prop.centres:
                wide = sum(max(1.5 * one.hole_mm, one.head_mm) for one in (self.rig, self.prop))
                least = (wide + self.rig.slot_mm) / 2.0
                if math.dist((x, y), (u, v)) < least:
                    raise self.order.refuse(
                        ("prop-mount", "prop", "pattern"),
                        f"its bolt at ({u:g}, {v:g}) mm stands in the way of that of the rig at ({x:g}, {y:g}) mm",
                        "patterns that keep clear of each other: turn or move one",
                    )
        for key, one, other in (("rig", self.rig, self.prop), ("prop", self.prop, self.rig)):
            boss = (one.pattern.pilot_mm or 0.0) / 2.0
            for x, y in other.centres if boss else ():
                if (
                    math.dist((x, y), one.at)
                    < boss + max(0.75 * other.hole_mm, other.head_mm / 2.0) + other.slot_mm / 2.0
                ):
                    raise self.order.refuse(
                        ("prop-mount", key, "pattern"),
                        f"the bore for its boss of {2.0 * boss:g} mm takes the other side's bolt at ({x:g}, {y:g}) mm",
                        "patterns that keep clear of each other: turn or move one",
                    )

    def _plate(self) -> None:
        both = [one for one in (self.rig, self.prop) if one.let_in is not None]
        if len({one.let_in for one in both}) > 1:
            raise self.order.refuse(
                ("prop-mount", "prop", "let-in"),
                "one plate takes metal of one size",
                "the same on both sides, or a spacer",
            )
        plate = self.piece("plate", self.spec.size, [("rig", self.rig), ("prop", self.prop)])
        self.gathered.place("plate", plate, low=(-self.spec.size[0] / 2.0, -self.spec.size[1] / 2.0, 0.0))

    def _low(self, z: float = 0.0) -> tuple[float, float, float]:
        return -self.spec.size[0] / 2.0, -self.spec.size[1] / 2.0, z

    def _spacer(self) -> None:
        spec = self.spec
        assert spec.standoffs
        assert spec.standoff_thread
        assert spec.height
        places = pattern(spec.standoffs, thread=spec.standoff_thread, unit=self.order.units).centres
        if len(places) < 3:
            raise self.order.refuse(
                ("prop-mount", "standoffs"), f"{len(places)} standoffs do not stand by themselves", "3 or more"
            )
        wide = clearance(thread(spec.standoff_thread)).diameter_mm
        assert spec.standoff
        if spec.standoff < 1.4 * wide:
            raise self.order.refuse(
                ("prop-mount", "standoff"),
                f"{spec.standoff:g} mm leaves no wall about {spec.standoff_thread}",
                f"at least {1.4 * wide:.1f} mm",
            )
        more = [
            Hole(x_mm=spec.size[0] / 2.0 + x, y_mm=spec.size[1] / 2.0 + y, kind="through", diameter_mm=wide)
            for x, y in places
        ]
        self.gathered.place("base", self.piece("base", spec.size, [("rig", self.rig)], more), low=self._low())
        top = self.piece("top", spec.size, [("prop", self.prop)], more)
        self.gathered.place("top", top, low=self._low(self.thick + spec.height))
        name = f"standoff {spec.metal} {spec.standoff:g} x {spec.height:g} mm, {spec.standoff_thread}"
        self.gathered.fasten(
            name,
            spec.standoff_thread,
            ("base", "top"),
            len(places),
            note=f"between base and top; a screw {spec.standoff_thread} with a washer at each end",
        )

    def _bracket(self) -> None:
        spec = self.spec
        assert spec.height
        assert spec.gusset
        reach, rise = spec.gusset
        if rise > spec.height or reach + self.thick > spec.size[1]:
            raise self.order.refuse(
                ("prop-mount", "gusset"),
                f"{reach:g} x {rise:g} mm does not go on a base of {spec.size[1]:g} mm, {spec.height:g} up",
                f"at most {spec.size[1] - self.thick:g} back and {spec.height:g} up",
            )
        land = min(LAND_MM, 0.4 * min(reach, rise))
        points = [(0, 0), (reach, 0), (reach, land), (land, rise), (0, rise)]
        gusset = polygon("gusset", points, self.sheet, cut_group="gussets", process=self._turned())
        self.gathered.place("base", self.piece("base", spec.size, [("rig", self.rig)]), low=self._low())
        self._clear_of_bolts(reach)
        upright = self.piece("upright", (spec.size[0], spec.height), [("prop", self.prop)])
        self.gathered.place("upright", upright, faces="front", low=self._low(self.thick))
        for k, x in enumerate(gusset_places(spec, self.thick)):
            low = (x - self.thick / 2.0, -spec.size[1] / 2.0 + self.thick, self.thick)
            self.gathered.place(f"gusset-{k + 1}", gusset, faces="right", low=low)

    def _turned(self) -> str | None:
        return "router" if self.order.cutting.process == "saw" else None

    def _clear_of_bolts(self, reach: float) -> None:
        """The heads of the rig's bolts clear of upright and gussets."""
        head = self.rig.head_mm / 2.0
        if not head:
            return
        front = -self.spec.size[1] / 2.0
        for x, y in self.rig.centres:
            wide = self.rig.slot_mm / 2.0 + head + self.thick / 2.0
            walled = [abs(x - g) < wide for g in gusset_places(self.spec, self.thick)]
            if y - head < front + self.thick or (any(walled) and y - head < front + self.thick + reach):
                raise self.order.refuse(
                    ("prop-mount", "rig", "at"),
                    f"the head of the bolt at ({x:g}, {y:g}) mm stands in the upright or a gusset",
                    "bolts clear of them: move the pattern, or another length",
                )

    def _riser(self) -> None:
        spec, t = self.spec, self.thick
        assert spec.height
        length, width = spec.size
        if min(length, width) < 4.0 * t:
            raise self.order.refuse(
                ("prop-mount", "size"),
                f"{length:g} x {width:g} mm leaves no room between its walls",
                f"over {4 * t:g} mm each way",
            )
        head = self.rig.head_mm / 2.0
        for x, y in self.rig.centres if head else ():
            if abs(x) + self.rig.slot_mm / 2.0 + head > length / 2.0 - t or y + head > width / 2.0 - t:
                raise self.order.refuse(
                    ("prop-mount", "rig", "at"),
                    f"the head of the bolt at ({x:g}, {y:g}) mm stands in a wall",
                    "bolts between the walls",
                )
        cheek = panel("cheek", width, spec.height, self.sheet, cut_group="walls")
        back = panel("back", length - 2.0 * t, spec.height, self.sheet, cut_group="walls")
        self.gathered.place("base", self.piece("base", spec.size, [("rig", self.rig)]), low=self._low())
        x0, y0, _ = self._low()
        self.gathered.place("cheek-left", cheek, faces="right", low=(x0, y0, t))
        self.gathered.place("cheek-right", cheek, faces="right", low=(-x0 - t, y0, t))
        self.gathered.place("back", back, faces="back", low=(x0 + t, -y0 - t, t))
        top = self.piece("top", spec.size, [("prop", self.prop)])
        self.gathered.place("top", top, low=self._low(t + spec.height))


def _see_inside(name: str, size: _Point, cuts: Sequence[Loop | Circle]) -> None:
    for cut in cuts:
        x0, y0, x1, y1 = cut.bounds_mm
        if min(x0, y0, size[0] - x1, size[1] - y1) <= 0.0:
            raise SeamwrightError(f"{name}: an opening over {x0:g}..{x1:g} x {y0:g}..{y1:g} mm leaves the plate")
