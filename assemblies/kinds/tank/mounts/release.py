"""Quick-release plates: the strip under the plate, the shoe that it slides into, what locks it.

The strip is as wide at its narrow face as the plate, so that nothing lies over the jaws and their screws. It reaches past the
plate on the side that it is pulled out: there pins go through it into the base, where a hand sees and reaches them, and it
ends in a hole for a lanyard. The shoe is drawn open: the clamped jaw against its rail, the strip in the middle of its play.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from assemblies.design.model import Bought, Fastener, Joint, Placed
from assemblies.design.release import Release, Shoe
from assemblies.kinds.mount import Keys, Mount, mount
from assemblies.kinds.tank.shell import Shell
from assemblies.order import Faults, OrderError, PlateSpec
from assemblies.order.errors import Key
from assemblies.order.tables.plate import ReleaseSpec
from parts.findings import SeamwrightError
from parts.make.panel import panel
from parts.make.strip import Bevelled, bevelled, growth_apart, jaw, male_strip
from parts.shape.piece import Hole, Piece
from parts.shape.spots import spots_of
from parts.shape.tapped import tapped_hole
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import Thread, clearance, thread
from parts.vectors import Vector, cross, dot

__all__ = ["Released", "release_plate"]

#: Common practice, no source: play of a sliding fit besides growth; air at the ends of the jaws, and of the base around what
#: stands on it; room for a finger past the tank's face; play of a pin in its hole.
_PLAY_MM, _ENDS_MM, _MARGIN_MM, _FINGER_MM, _PIN_PLAY_MM = 0.1, 2.0, 5.0, 10.0, 0.2
_FARTHEST_MM: Final = 80.0  # from the plate to the edge of the face: a longer strip whips (judgement)
_PITCH_MM: Final = 70.0  # between the screws of a jaw (judgement)
#: Width of a jaw on its base, in diameters of its screws (judgement), and at least in those of its holes: one to either side.
_ROOT, _BESIDE = 4.0, 3.0
_LANYARD_MM: Final = 8.0  # what a lanyard's shackle or knot goes through (common practice, no source)
_GAUGES: Final = (6.0, 8.0, 5.0, 4.0, 3.0, 2.0)  # pins to measure over


@dataclass(frozen=True, kw_only=True)
class Released:
    """What a quick-release plate brings; `anchor` is the shoe's base with the holes of the pattern alone."""

    placed: tuple[Placed, ...]
    joints: tuple[Joint, ...]
    fasteners: tuple[Fastener, ...]
    bought: tuple[Bought, ...]
    release: Release
    anchor: Placed


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What the order says of one plate: `key` is of the plate's table, `at` of the table of its release."""

    shell: Shell
    spec: PlateSpec
    keys: Keys
    own: ReleaseSpec
    plate: Placed
    key: Key
    at: Key

    def refuse(self, name: str, what: str, allowed: str) -> OrderError:
        return self.shell.order.refuse((*self.at, name), what, allowed)


@dataclass(frozen=True, kw_only=True)
class _Laid:
    """Sizes (mm) as of `Release`, and the plate's own axes: middle of its outer face, the way out, away from the tank."""

    origin: Vector
    pull: Vector
    out: Vector
    length: float
    narrow: float
    sheet: Sheet
    sizes: Bevelled
    gauge: float
    play: float
    screw: Thread
    root: float
    reach: float

    @property
    def depth(self) -> float:
        return self.sheet.thickness_mm

    @property
    def back(self) -> float:
        return (self.sizes.wide - self.narrow) / 2.0

    @property
    def lip(self) -> float:
        return self.root + self.back

    @property
    def block(self) -> float:
        """Width of the rail and of the stop."""
        return _ROOT * self.screw.major_mm

    @property
    def slot(self) -> float:
        """From the middle to the lip of a jaw."""
        return (self.narrow + self.play) / 2.0

    @property
    def jaw(self) -> float:
        return self.length - 2.0 * _ENDS_MM

    def put(self, name: str, piece: Piece, along: float, across: float, out: float, *, turned: bool = False) -> Placed:
        """An instance, the lower-left corner of its near face there, x the way out or, turned, the way in."""
        side = cross(self.out, self.pull)
        x, y, z = (
            self.origin[k] + along * self.pull[k] + across * side[k] + out * self.out[k] for k in range(3)
        )  # fmt: skip
        a, b, c = self.pull
        return Placed(
            name=name, piece=piece, origin=(x, y, z), x=(0.0 - a, 0.0 - b, 0.0 - c) if turned else self.pull, z=self.out
        )  # fmt: skip


def release_plate(
    shell: Shell, spec: PlateSpec, keys: Keys, plate: Placed, number: int, suffix: str, key: Key, faults: Faults
) -> Released | None:
    """Strip and shoe of one plate; None where they were refused.

    Args:
        keys: how the shoe is bolted.
        suffix: of the names of its parts.
        key: of the plate's table.
        faults: what is refused goes there.
    """
    own = spec.release or ReleaseSpec.model_validate({})
    asked = _Asked(
        shell=shell, spec=spec, keys=keys, own=own, plate=plate, key=key, at=(*key, "release") if spec.release else key
    )  # fmt: skip
    with faults.step():
        _check_cases(asked)
    with faults.step():
        laid = _laid(asked)
        return _made(asked, laid, number, suffix, faults)
    return None


def _check_cases(asked: _Asked) -> None:
    thrown = next((case.name for case in asked.shell.order.case if case.kind == "throw"), None)
    if thrown is not None:
        raise asked.shell.order.refuse(
            (*asked.key, "style"), f"{thrown} is a throw: no blow may work on what a hand can open",
            'style = "bonded", bolted on for good',
        )  # fmt: skip
    if asked.own.shoe == "acrylic" and asked.own.shoes > 1:
        raise asked.refuse("shoes", f"{asked.own.shoes} shoes of acrylic", 'one; or shoe = "aluminium" or "steel"')


def _laid(asked: _Asked) -> _Laid:
    own, plate, shell = asked.own, asked.plate, asked.shell
    axis, sign = {"right": (0, 1.0), "left": (0, -1.0), "up": (1, 1.0), "down": (1, -1.0)}[own.pull]
    a, b, c = (sign * one + 0.0 for one in (plate.x, plate.y)[axis])
    out, sides = shell.outward(asked.spec.on), plate.piece.outline.size_mm
    outer = plate.piece.thickness_mm if dot(out, plate.z) > 0.0 else 0.0
    origin = plate.world(sides[0] / 2.0, sides[1] / 2.0, outer)
    sheet, screw = _sheet(asked), thread(own.screw)
    gauge, sizes = _sizes(asked, sides[1 - axis], sheet)
    play = _play(asked, sides[1 - axis])
    wide = _wide_mm(screw, play)
    root = max(_ROOT * screw.major_mm, _BESIDE * wide)
    if own.jaw is not None:
        root = own.jaw - (sizes.wide - sides[1 - axis]) / 2.0
        if root < _BESIDE * wide:
            least = own.jaw - root + _BESIDE * wide
            raise asked.refuse(
                "jaw", f"{max(root, 0.0):.1f} mm of it stand on the base: too little beside its screws",
                f"at least {math.ceil(least):g} mm",
            )  # fmt: skip
    laid = _Laid(
        origin=origin, pull=(a, b, c), out=out, length=sides[axis], narrow=sides[1 - axis], sheet=sheet, sizes=sizes,
        gauge=gauge, play=play, screw=screw, root=root, reach=0.0,
    )  # fmt: skip
    return replace(laid, reach=_reach(asked, laid))


def _wide_mm(screw: Thread, play: float) -> float:
    """The holes of the clamped jaw: it moves by its play."""
    return screw.major_mm + max(2.0, 2.0 * play)


def _sheet(asked: _Asked) -> Sheet:
    own, spec = asked.own, asked.spec
    thick, readings = (
        (own.thickness, own.measured) if own.thickness else (spec.thickness, own.measured or spec.measured)
    )
    try:
        return asked.shell.sheet(thick, readings)
    except SeamwrightError as error:
        raise asked.refuse("measured", str(error), "readings of this sheet") from error


def _sizes(asked: _Asked, narrow: float, sheet: Sheet) -> tuple[float, Bevelled]:
    """The pins that it is measured over, and what follows of its angle."""
    said = ""
    for gauge in _GAUGES:
        try:
            return gauge, bevelled(narrow, sheet.thickness_mm, asked.own.angle, gauge, sheet.thickness_mm)
        except SeamwrightError as error:
            said = str(error)
    raise asked.refuse("thickness", said, "a thicker strip")


def _play(asked: _Asked, narrow: float) -> float:
    """Sideways play: what damp air takes of it, and that of a sliding fit."""
    grows = narrow * growth_apart(asked.own.shoe)
    if asked.own.clearance is None:
        return math.ceil((grows + _PLAY_MM) * 20.0) / 20.0  # shims come in steps of 0.05 mm
    if asked.own.clearance <= grows:
        raise asked.refuse(
            "clearance", f"the strip grows by {grows:.2f} mm in damp air, and jams in {asked.own.clearance:g} mm",
            f"at least {math.ceil((grows + _PLAY_MM) * 20.0) / 20.0:g} mm",
        )  # fmt: skip
    return asked.own.clearance


def _reach(asked: _Asked, laid: _Laid) -> float:
    """From the plate's end to the line of the pins: past the tank's face, so that a hand gets there from above."""
    k = next(k for k in range(3) if abs(laid.pull[k]) > 0.5)
    edge = asked.shell.corners[laid.pull[k] > 0.0][k]
    far = max((edge - laid.origin[k]) * laid.pull[k] - laid.length / 2.0, 0.0)
    if far > _FARTHEST_MM:
        raise asked.refuse(
            "pull", f"the face reaches {far:.0f} mm past the plate there: no hand would get at the pins",
            f"a plate within {_FARTHEST_MM:g} mm of the face's edge, or another way out",
        )  # fmt: skip
    least = laid.block + _MARGIN_MM - 2.5 * asked.own.pin  # the base is as long on both sides of the plate's middle
    return max(far + _FINGER_MM + asked.own.pin / 2.0, least)


def _pins(asked: _Asked, laid: _Laid) -> list[float]:
    """Where the pins stand across the slot."""
    pin, count = asked.own.pin, asked.own.pins
    room = laid.narrow - 5.0 * pin
    if room < 4.0 * pin * (count - 1):
        most = max(int(room / (4.0 * pin)) + 1, 0) if room >= 0.0 else 0
        what = f"{count} pins of {pin:g} mm in a strip of {laid.narrow:g} mm"
        raise asked.refuse("pins", what, f"at most {most}, or thinner ones")
    return [0.0] if count == 1 else [room * (i / (count - 1) - 0.5) for i in range(count)]


def _base(asked: _Asked, laid: _Laid, name: str, faults: Faults) -> tuple[Mount, Placed] | None:
    """The shoe's base with the holes of the pattern: as far to either side of the plate's middle."""
    half = laid.length / 2.0 + laid.reach + 2.5 * asked.own.pin
    side = laid.slot + laid.lip + laid.block + _MARGIN_MM
    sheet = None
    with faults.step():
        try:
            sheet = asked.shell.sheet(
                asked.own.base or asked.spec.thickness, () if asked.own.base else asked.spec.measured
            )
        except SeamwrightError as error:
            raise asked.refuse("base", str(error), "readings of this sheet") from error
    made = mount(
        asked.shell.order, asked.key, asked.keys, name, (2.0 * half, 2.0 * side), sheet, faults, side="far",
        cut_group="shoe",
    )  # fmt: skip
    if made is None:
        return None
    if asked.own.shoe == "acrylic" and made.holes != "tapped":
        raise asked.shell.order.refuse(
            (*asked.key, "holes"), "the heads of its bolts would stand in the slot of an acrylic shoe",
            'holes = "tapped", bolted from below; or a shoe of metal, whose maker sinks them',
        )  # fmt: skip
    return made, laid.put(name, made.piece, -half, -side, laid.depth)


def _made(asked: _Asked, laid: _Laid, number: int, suffix: str, faults: Faults) -> Released | None:
    pins = _pins(asked, laid)
    found = _base(asked, laid, f"shoe{suffix}", faults)
    if found is None:
        return None
    made, anchor = found
    anchor = replace(anchor, name=f"shoe-{number}")
    strip = _strip(asked, laid, pins, f"slide-{number}", f"slide{suffix}")
    acrylic = asked.own.shoe == "acrylic"
    screws = max(2, math.ceil((laid.jaw - 4.0 * laid.screw.major_mm) / _PITCH_MM) + 1)
    shoe = _shoe(asked, laid, anchor, pins, screws, number, suffix) if acrylic else ()
    release = Release(
        plate=asked.plate.name, strip=strip.name, face=asked.spec.on, origin=laid.origin, pull=laid.pull, out=laid.out,
        angle_deg=asked.own.angle, narrow=laid.narrow, depth=laid.depth, length=laid.length, sizes=laid.sizes,
        gauge=laid.gauge, clearance=laid.play, pin=asked.own.pin, pins=asked.own.pins, bore=asked.own.pin + _PIN_PLAY_MM,
        reach=laid.reach, tab=_tab(asked, laid), lanyard=_LANYARD_MM, wear=asked.own.wear,
        shoe=Shoe(
            made_of=asked.own.shoe, count=asked.own.shoes, names=tuple(one.name for one in shoe), base=anchor,
            holes=made.holes, bolt=made.screw, lip=laid.lip, root=laid.root, screw=laid.screw.name, screws=screws,
            heel=laid.root / 2.0, rated=asked.own.rated, jaw=laid.jaw, rail=laid.block, stop=(laid.block, laid.narrow),
        ),
    )  # fmt: skip
    return Released(
        placed=(strip, *shoe), joints=tuple(_joints(release)) if acrylic else (),
        fasteners=tuple(_fasteners(asked, laid, release, len(spots_of(anchor.piece)))) if acrylic else (),
        bought=tuple(_bought(asked, release)), release=release, anchor=anchor,
    )  # fmt: skip


def _tab(asked: _Asked, laid: _Laid) -> float:
    """How far the strip reaches past the plate: over the base's end, with the lanyard's hole in the air."""
    return laid.reach + 2.5 * asked.own.pin + 4.0 + 2.0 * _LANYARD_MM


def _strip(asked: _Asked, laid: _Laid, pins: Sequence[float], name: str, part: str) -> Placed:
    """The male strip: from the stop to past the base, its wide face away from the plate."""
    wide, tab = laid.sizes.wide, _tab(asked, laid)
    bore = asked.own.pin + _PIN_PLAY_MM
    holes = [Hole(x_mm=laid.length + laid.reach, y_mm=wide / 2.0 + v, kind="through", diameter_mm=bore) for v in pins]
    at = laid.length + tab - 1.5 * _LANYARD_MM
    holes.append(Hole(x_mm=at, y_mm=wide / 2.0, kind="through", diameter_mm=_LANYARD_MM))
    piece = male_strip(
        part, laid.length + tab, laid.narrow, laid.sheet, asked.own.angle, holes=holes, process=asked.own.cut,
        cut_group="slide",
    )  # fmt: skip
    return laid.put(name, piece, -laid.length / 2.0, -wide / 2.0, 0.0)


def _shoe(
    asked: _Asked, laid: _Laid, anchor: Placed, pins: Sequence[float], screws: int, number: int, suffix: str
) -> tuple[Placed, ...]:
    """Base, fixed jaw, clamped jaw, the rail that it backs on to, the stop."""
    name, own, order = f"shoe-{number}", asked.own, asked.shell.order
    start = max(2.0 * laid.screw.major_mm, _BESIDE / 2.0 * _wide_mm(laid.screw, laid.play))
    along = [start + (laid.jaw - 2.0 * start) * i / (screws - 1) for i in range(screws)]
    snug = clearance(laid.screw).diameter_mm
    wide = _wide_mm(laid.screw, laid.play)
    jaws = [
        jaw(
            f"{part}{suffix}", laid.jaw, laid.lip, laid.sheet, own.angle, process=own.cut, cut_group="slide",
            holes=[Hole(x_mm=x, y_mm=laid.root / 2.0, kind="through", diameter_mm=bore) for x in along],
        )
        for part, bore in (("jaw-fixed", snug), ("jaw-clamped", wide))
    ]  # fmt: skip
    half = laid.jaw / 2.0
    fixed = laid.put(f"{name}-fixed", jaws[0], -half, -laid.slot - laid.lip, 0.0)
    clamped = laid.put(f"{name}-clamped", jaws[1], half, laid.slot + laid.lip, 0.0, turned=True)
    rail = laid.put(
        f"{name}-rail", panel(f"rail{suffix}", laid.jaw, laid.block, laid.sheet, cut_group="shoe", kind="strip", role="inner"),
        -half, laid.slot + laid.lip, 0.0,
    )  # fmt: skip
    stop = laid.put(
        f"{name}-stop",
        panel(f"stop{suffix}", laid.block, laid.narrow, laid.sheet, cut_group="shoe", kind="strip", role="inner"),
        -laid.length / 2.0 - laid.block, -laid.narrow / 2.0, 0.0,
    )  # fmt: skip
    holes = []
    for one in (fixed, clamped):
        holes += [
            tapped_hole(*anchor.local(one.world(h.x_mm, h.y_mm, laid.depth))[:2], laid.screw.name, side="near")
            for h in one.piece.holes
        ]
    at = laid.length / 2.0 + laid.reach
    middle = anchor.piece.outline.size_mm[1] / 2.0
    bore = own.pin + _PIN_PLAY_MM
    holes += [
        Hole(x_mm=at + anchor.piece.outline.size_mm[0] / 2.0, y_mm=middle + v, kind="through", diameter_mm=bore)
        for v in pins
    ]
    for hole in holes:
        for there in anchor.piece.holes:
            apart = math.hypot(hole.x_mm - there.x_mm, hole.y_mm - there.y_mm)
            if apart < (hole.diameter_mm + there.diameter_mm) / 2.0 + max(hole.diameter_mm, there.diameter_mm):
                raise order.refuse(
                    (*asked.key, "pattern"), "a hole of it comes too near to a screw of the jaws or to a pin of the shoe",
                    "a pattern that stays under the slot, or a wider jaw",
                )  # fmt: skip
    base = replace(anchor, piece=replace(anchor.piece, holes=(*anchor.piece.holes, *holes)))
    return base, fixed, clamped, rail, stop


def _joints(release: Release) -> Iterator[Joint]:
    """What slides, rests and is screwed; the rest of the shoe is bonded."""
    base, fixed, clamped, rail, stop = release.shoe.names
    for one in (fixed, clamped, stop):  # a hair under the plate, which rides over them
        yield Joint(a=release.plate, b=one, kind="loose")
    for one in (base, fixed, clamped, stop):
        yield Joint(a=one, b=release.strip, kind="loose")
    yield Joint(a=base, b=clamped, kind="screwed")
    yield Joint(a=rail, b=clamped, kind="loose")


def _fasteners(asked: _Asked, laid: _Laid, release: Release, bolts: int) -> Iterator[Fastener]:
    base, fixed, clamped, _, _ = release.shoe.names
    thick = release.shoe.base.piece.thickness_mm
    yield Fastener(
        name=f"bolt {release.shoe.bolt}", piece=base, through=(base,), thread=release.shoe.bolt, count=bolts,
        longest_mm=thick - rule("bolt_end_clearance"), note="from below; any longer and it stands up into the slot",
    )  # fmt: skip
    for name, note in (
        (fixed, "holds the fixed jaw down besides its bond"),
        (clamped, "with a star grip: holds the clamped jaw down and draws it tight; friction, no lock"),
    ):
        yield Fastener(
            name=f"screw {laid.screw.name}", piece=name, through=(name, base), thread=laid.screw.name,
            count=release.shoe.screws, note=note,
        )  # fmt: skip


def _bought(asked: _Asked, release: Release) -> Iterator[Bought]:
    shoe = release.shoe
    grip = release.depth + shoe.base.piece.thickness_mm
    many = shoe.count * release.pins
    yield Bought(
        item=f"ball lock pin {release.pin:g} mm, grip {grip:.0f} mm, steel, with ring", count=many,
        note=f"through {release.strip} into its shoe; a red band that shows until it is home, tied on by a cord",
    )  # fmt: skip
    yield Bought(
        item="lanyard with two swivel hooks, rated for ten times the weight full", count=1,
        note=f"from the hole in {release.strip} to the rig, hooked on before the pins are drawn",
    )  # fmt: skip
    if shoe.made_of != "acrylic":
        yield Bought(
            item=f"shoe of {shoe.made_of} with one clamped side, as in the section on the quick-release plate",
            count=shoe.count, note=f"for {release.strip}; bought or made elsewhere, by the sizes and forces there",
        )  # fmt: skip
