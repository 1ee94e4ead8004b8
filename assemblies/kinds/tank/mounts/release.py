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
from assemblies.design.release import Part, Release, Shoe
from assemblies.kinds.mount import Keys, Mount, mount, pattern_of
from assemblies.kinds.tank.mounts.laid import (
    BESIDE,
    LANYARD_MM,
    MARGIN_MM,
    PIN_PLAY_MM,
    Asked,
    Bearer,
    Laid,
    laid_of,
    pins_across,
    tab_mm,
    wide_mm,
)
from assemblies.order import Faults, Order, PlateSpec
from assemblies.order.errors import Key
from assemblies.order.tables.plate import ReleaseSpec
from parts.findings import SeamwrightError
from parts.make.panel import panel
from parts.make.strip import jaw, male_strip
from parts.shape.piece import Hole
from parts.shape.spots import spots_of
from parts.shape.tapped import tapped_hole
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance

__all__ = ["Released", "keys_of", "plain_plate", "release_plate"]

_PITCH_MM: Final = 70.0  # between the screws of a jaw (judgement)


@dataclass(frozen=True, kw_only=True)
class Released:
    """What a quick-release plate brings; `anchor` is the shoe's base with the holes of the pattern alone."""

    placed: tuple[Placed, ...]
    joints: tuple[Joint, ...]
    fasteners: tuple[Fastener, ...]
    bought: tuple[Bought, ...]
    release: Release
    anchor: Placed


def keys_of(spec: PlateSpec) -> Keys:
    """How a plate, or its shoe, is bolted."""
    return Keys(
        thread=spec.thread,
        pattern=spec.pattern,
        holes=spec.holes,
        hole=spec.hole,
        slot=spec.slot,
        slot_way=spec.slot_way,
        let_in=spec.let_in,
        insert=spec.insert,
        percent=spec.percent,
        drill=spec.drill,
    )


def plain_plate(
    order: Order, key: Key, spec: PlateSpec, name: str, sheet: Sheet | None, faults: Faults
) -> Mount | None:
    """The plate over the strip: bonded on both sides, without holes; None where its pattern or its sheet was refused."""
    with faults.step():
        found, holes = pattern_of(order, key, keys_of(spec))
        if sheet is not None:
            piece = panel(name, *spec.size, sheet, cut_group="plates", kind="plate", role="mount")
            return Mount(piece=piece, pattern=found, holes=holes, screw=spec.thread)
    return None


def release_plate(
    shell: Bearer, spec: PlateSpec, keys: Keys, plate: Placed, number: int, suffix: str, key: Key, faults: Faults
) -> Released | None:
    """Strip and shoe of one plate; None where they were refused.

    Args:
        keys: how the shoe is bolted.
        suffix: of the names of its parts.
        key: of the plate's table.
        faults: what is refused goes there.
    """
    own = spec.release or ReleaseSpec.model_validate({})
    asked = Asked(
        shell=shell, spec=spec, keys=keys, own=own, plate=plate, key=key, at=(*key, "release") if spec.release else key
    )
    with faults.step():
        _check_cases(asked)
    with faults.step():
        laid = laid_of(asked)
        return _made(asked, laid, number, suffix, faults)
    return None


def _check_cases(asked: Asked) -> None:
    thrown = next((case.name for case in asked.shell.order.case if case.kind == "throw"), None)
    if thrown is not None:
        raise asked.shell.order.refuse(
            (*asked.key, "style"),
            f"{thrown} is a throw: no blow may work on what a hand can open",
            'style = "bonded", which only tools take off',
        )
    if asked.own.shoe == "acrylic" and asked.own.shoes > 1:
        raise asked.refuse("shoes", f"{asked.own.shoes} shoes of acrylic", 'one; or shoe = "aluminium" or "steel"')


def _base(asked: Asked, laid: Laid, name: str, faults: Faults) -> tuple[Mount, Placed] | None:
    """The shoe's base with the holes of the pattern: as far to either side of the plate's middle."""
    half = laid.length / 2.0 + laid.reach + 2.5 * asked.own.pin
    side = laid.slot + laid.lip + laid.block + MARGIN_MM
    sheet = None
    with faults.step():
        try:
            sheet = asked.shell.sheet(
                asked.own.base or asked.spec.thickness, () if asked.own.base else asked.spec.measured
            )
        except SeamwrightError as error:
            raise asked.refuse("base", str(error), "readings of this sheet") from error
    made = mount(
        asked.shell.order,
        asked.key,
        asked.keys,
        name,
        (2.0 * half, 2.0 * side),
        sheet,
        faults,
        side="far",
        cut_group="shoe",
    )
    if made is None:
        return None
    if asked.own.shoe == "acrylic" and made.holes != "tapped":
        raise asked.shell.order.refuse(
            (*asked.key, "holes"),
            "the heads of its bolts would stand in the slot of an acrylic shoe",
            'holes = "tapped", bolted from below; or a shoe of metal, whose maker sinks them',
        )
    return made, laid.put(name, made.piece, -half, -side, laid.depth)


def _made(asked: Asked, laid: Laid, number: int, suffix: str, faults: Faults) -> Released | None:
    pins = pins_across(asked, laid)
    found = _base(asked, laid, f"shoe{suffix}", faults)
    if found is None:
        return None
    made, anchor = found
    anchor = replace(anchor, name=f"shoe-{number}")
    strip = _strip(asked, laid, pins, f"slide-{number}", f"slide{suffix}")
    acrylic = asked.own.shoe == "acrylic"
    screws = max(2, math.ceil((laid.jaw - 4.0 * laid.screw.major_mm) / _PITCH_MM) + 1)
    shoe = _shoe(asked, laid, anchor, pins, screws, number, suffix)
    made_elsewhere = tuple(
        Part(name=one.name, piece=replace(one.piece, kind=asked.own.shoe), at=one.origin, x=one.x) for one in shoe
    )
    release = Release(
        plate=asked.plate.name,
        strip=strip.name,
        face=asked.spec.on,
        origin=laid.origin,
        pull=laid.pull,
        out=laid.out,
        angle_deg=asked.own.angle,
        narrow=laid.narrow,
        depth=laid.depth,
        length=laid.length,
        sizes=laid.sizes,
        gauge=laid.gauge,
        clearance=laid.play,
        pin=asked.own.pin,
        pins=asked.own.pins,
        bore=asked.own.pin + PIN_PLAY_MM,
        beside=tuple(pins),
        reach=laid.reach,
        tab=tab_mm(asked, laid),
        lanyard=LANYARD_MM,
        wear=asked.own.wear,
        shoe=Shoe(
            made_of=asked.own.shoe,
            count=asked.own.shoes,
            names=tuple(one.name for one in shoe) if acrylic else (),
            made=() if acrylic else made_elsewhere,
            name=anchor.name,
            base=anchor.piece,
            at=anchor.origin,
            holes=made.holes,
            bolt=made.screw,
            lip=laid.lip,
            root=laid.root,
            screw=laid.screw.name,
            screws=screws,
            heel=laid.root / 2.0,
            rated=asked.own.rated,
            jaw=laid.jaw,
            rail=laid.block,
            stop=(laid.block, laid.narrow),
        ),
    )
    return Released(
        placed=(strip, *shoe) if acrylic else (strip,),
        joints=tuple(_joints(release)) if acrylic else (),
        fasteners=tuple(_fasteners(asked, laid, release, len(spots_of(anchor.piece)))) if acrylic else (),
        bought=tuple(_bought(asked, release)),
        release=release,
        anchor=anchor,
    )


def _strip(asked: Asked, laid: Laid, pins: Sequence[float], name: str, part: str) -> Placed:
    """The male strip: from the stop to past the base, its wide face away from the plate."""
    wide, tab = laid.sizes.wide, tab_mm(asked, laid)
    bore = asked.own.pin + PIN_PLAY_MM
    holes = [Hole(x_mm=laid.length + laid.reach, y_mm=wide / 2.0 + v, kind="through", diameter_mm=bore) for v in pins]
    at = laid.length + tab - 1.5 * LANYARD_MM
    holes.append(Hole(x_mm=at, y_mm=wide / 2.0, kind="through", diameter_mm=LANYARD_MM))
    piece = male_strip(
        part,
        laid.length + tab,
        laid.narrow,
        laid.sheet,
        asked.own.angle,
        holes=holes,
        process=asked.own.cut,
        cut_group="slide",
    )
    return laid.put(name, piece, -laid.length / 2.0, -wide / 2.0, 0.0)


def _shoe(
    asked: Asked, laid: Laid, anchor: Placed, pins: Sequence[float], screws: int, number: int, suffix: str
) -> tuple[Placed, ...]:
    """Base, fixed jaw, clamped jaw, the rail that it backs on to, the stop."""
    name, own, order = f"shoe-{number}", asked.own, asked.shell.order
    start = max(2.0 * laid.screw.major_mm, BESIDE / 2.0 * wide_mm(laid.screw, laid.play))
    along = [start + (laid.jaw - 2.0 * start) * i / (screws - 1) for i in range(screws)]
    snug = clearance(laid.screw).diameter_mm
    wide = wide_mm(laid.screw, laid.play)
    jaws = [
        jaw(
            f"{part}{suffix}",
            laid.jaw,
            laid.lip,
            laid.sheet,
            own.angle,
            process=own.cut,
            cut_group="slide",
            holes=[Hole(x_mm=x, y_mm=laid.root / 2.0, kind="through", diameter_mm=bore) for x in along],
        )
        for part, bore in (("jaw-fixed", snug), ("jaw-clamped", wide))
    ]
    half = laid.jaw / 2.0
    fixed = laid.put(f"{name}-fixed", jaws[0], -half, -laid.slot - laid.lip, 0.0)
    clamped = laid.put(f"{name}-clamped", jaws[1], half, laid.slot + laid.lip, 0.0, turned=True)
    rail = laid.put(
        f"{name}-rail",
        panel(f"rail{suffix}", laid.jaw, laid.block, laid.sheet, cut_group="shoe", kind="strip", role="inner"),
        -half,
        laid.slot + laid.lip,
        0.0,
    )
    stop = laid.put(
        f"{name}-stop",
        panel(f"stop{suffix}", laid.block, laid.narrow, laid.sheet, cut_group="shoe", kind="strip", role="inner"),
        -laid.length / 2.0 - laid.block,
        -laid.narrow / 2.0,
        0.0,
    )
    holes = []
    for one in (fixed, clamped):
        holes += [
            tapped_hole(*anchor.local(one.world(h.x_mm, h.y_mm, laid.depth))[:2], laid.screw.name, side="near")
            for h in one.piece.holes
        ]
    at = laid.length / 2.0 + laid.reach
    middle = anchor.piece.outline.size_mm[1] / 2.0
    bore = own.pin + PIN_PLAY_MM
    holes += [
        Hole(x_mm=at + anchor.piece.outline.size_mm[0] / 2.0, y_mm=middle + v, kind="through", diameter_mm=bore)
        for v in pins
    ]
    for hole in holes:
        for there in anchor.piece.holes:
            apart = math.hypot(hole.x_mm - there.x_mm, hole.y_mm - there.y_mm)
            if apart < (hole.diameter_mm + there.diameter_mm) / 2.0 + max(hole.diameter_mm, there.diameter_mm):
                raise order.refuse(
                    (*asked.key, "pattern"),
                    "a hole of it comes too near to a screw of the jaws or to a pin of the shoe",
                    "a pattern that stays under the slot, or a wider jaw",
                )
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


def _fasteners(asked: Asked, laid: Laid, release: Release, bolts: int) -> Iterator[Fastener]:
    base, fixed, clamped, _, _ = release.shoe.names
    thick = release.shoe.base.thickness_mm
    yield Fastener(
        name=f"bolt {release.shoe.bolt}",
        piece=base,
        through=(base,),
        thread=release.shoe.bolt,
        count=bolts,
        longest_mm=thick - rule("bolt_end_clearance"),
        note="from below; any longer and it stands up into the slot",
    )
    for name, note in (
        (fixed, "holds the fixed jaw down besides its bond"),
        (clamped, "with a star grip: holds the clamped jaw down and draws it tight; friction, no lock"),
    ):
        yield Fastener(
            name=f"screw {laid.screw.name}",
            piece=name,
            through=(name, base),
            thread=laid.screw.name,
            count=release.shoe.screws,
            note=note,
        )


def _bought(asked: Asked, release: Release) -> Iterator[Bought]:
    shoe = release.shoe
    grip = release.grip
    many = shoe.count * release.pins
    yield Bought(
        item=f"ball lock pin {release.pin:g} mm, grip {grip:.0f} mm, steel, with ring",
        count=many,
        note=f"through {release.strip} into its shoe; a red band under its head stands above the strip until it is home; "
        "tied on by a cord",
    )
    yield Bought(
        item="lanyard with two swivel hooks, rated for ten times the weight full",
        count=1,
        note=f"from the hole in {release.strip} to the rig, hooked on before the pins are drawn",
    )
    if shoe.made_of != "acrylic":
        yield Bought(
            item=f"shoe of {shoe.made_of} with one clamped side, its {2 * shoe.screws} screws {shoe.screw}, stop and pin bores",
            count=shoe.count,
            note=f"for {release.strip}; made elsewhere, by made-elsewhere/{shoe.name}.pdf and the forces in the section on it",
        )
        yield Bought(
            item=f"bolt {shoe.bolt}, {'from the rig into' if shoe.holes == 'tapped' else 'head sunk in'} the base of the shoe",
            count=shoe.count * len(spots_of(shoe.base)),
            note="as long as the shoe and what it is bolted to want",
        )
