"""A mount's pieces in their places: plate, spacer, bracket or riser, with the bolts on both sides."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from assemblies.design import Bought, Design, Fastener, Joint
from assemblies.design.gather import Gathered
from assemblies.design.model import Posts
from assemblies.kinds.prop_mount.bolts import Bolts, bolts_of, with_bolts
from assemblies.kinds.prop_mount.outer import foot_of, in_the_way, outer_bolts, standoff_places
from assemblies.kinds.prop_mount.spec import PropMountSpec
from assemblies.kinds.sheets import stated_sheet
from assemblies.order import Faults, Order
from parts.findings import Finding, SeamwrightError
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.stock.mounting import pattern_findings
from parts.stock.rules import rule
from parts.stock.thread import clearance, thread

__all__ = ["build_prop_mount", "gusset_places"]

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
        built = _Builder(order, spec, sides["rig"], sides["prop"], gathered)
        built.build()
    except SeamwrightError as error:
        raise error if hasattr(error, "problems") else order.refuse(("prop-mount",), str(error), "") from error
    said = [f for one in ("rig", "prop") for f in _pattern_said(sides[one], foot_of(spec, one))]
    bolts = tuple(outer_bolts(order, spec, sides, {p.name: p.piece for p in gathered.placed}))
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=gathered.placed,
        joints=(*gathered.joints, *built.joints),
        fasteners=(*built.screws, *bolts),
        bought=tuple(built.bought),
        retention=order.support.retention if order.support else "none",
        quantity=order.quantity,
        findings=(*said, *in_the_way(bolts)),
    )


def _pattern_said(side: Bolts, where: str) -> list[Finding]:
    return pattern_findings(replace(side.pattern, hole="tapped" if side.tapped else "clearance"), where)


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
        self.joints: list[Joint] = []
        self.screws: list[Fastener] = []
        self.bought: list[Bought] = []

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
        places = standoff_places(self.order, spec)
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
        self._stand_off(places)

    def _stand_off(self, places: Sequence[_Point]) -> None:
        """The standoffs between the plates, and a screw into either end of each."""
        spec = self.spec
        assert spec.standoff
        assert spec.standoff_thread
        assert spec.height
        for key, bolts in (("rig", self.rig), ("prop", self.prop)):
            wide = max(bolts.hole_mm, bolts.head_mm) + spec.standoff
            for x, y in bolts.centres:
                if any(math.hypot(max(abs(x - u) - bolts.slot_mm / 2.0, 0.0), y - v) < wide / 2.0 for u, v in places):
                    raise self.order.refuse(
                        ("prop-mount", "standoffs"),
                        f"the bolt of the {key} at ({x:g}, {y:g}) mm stands in a standoff",
                        "standoffs and bolts that keep clear of each other",
                    )
        middle = self.thick + spec.height / 2.0
        posts = Posts(at=tuple((x, y, middle) for x, y in places), long_mm=spec.height, wide_mm=spec.standoff)
        self.joints.append(Joint(a="base", b="top", kind="standoffs", by=posts))
        screw, major = thread(spec.standoff_thread).name, thread(spec.standoff_thread).major_mm
        room = (spec.height - rule("bolt_end_clearance")) / 2.0  # the two screws of a standoff do not meet
        deep = min(room, rule("engagement_good") * major)
        if room < rule("engagement_min") * major:
            raise self.order.refuse(
                ("prop-mount", "height"),
                f"standoffs of {spec.height:g} mm leave {room:.1f} mm of thread for each {screw}: less than its diameter",
                f"at least {2.0 * rule('engagement_min') * major + rule('bolt_end_clearance'):g} mm, or a smaller thread",
            )
        item = f"standoff, {spec.metal}, {spec.standoff:g} x {spec.height:g} mm, {screw} at both ends"
        self.bought.append(Bought(item=item, count=len(places), note=f"between base and top; threads {deep:g} mm deep"))
        for plate in ("base", "top"):
            self.screws.append(
                Fastener(
                    name=f"screw {screw}",
                    piece=plate,
                    through=(plate,),
                    thread=screw,
                    count=len(places),
                    longest_mm=deep,
                    note="through the plate into a standoff; a washer under each head",
                )
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
