"""Gears, hubs, plates, posts, covers and feet in their places.

From below: feet, covers of the lower bearings beside them, the base plate, the gears in layers (gear, its hub on top), the top
plate on posts of stacked rings, the upper covers. All is cut from one sheet, so that heights are whole thicknesses; the first
layer stands half a thickness above the base plate.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from assemblies.design import Axis, BarMesh, Bore, Bought, Design, Fastener, Joint, Mesh, Placed
from assemblies.kinds.gearbox.bar import LaidBar, make_bar
from assemblies.kinds.gearbox.laid import CLEAR_MM, COVER_MM, POST_MM, Laid, gear_name
from assemblies.kinds.gearbox.room import check_room, check_shafts, plates_room
from assemblies.kinds.gearbox.rules import gear_rule, shaft_size
from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.kinds.gearbox.train import Point, make_train
from assemblies.kinds.sheets import extra_sheet, stated_sheet
from assemblies.order import Order
from parts.findings import SeamwrightError
from parts.make.disc import disc, ring
from parts.make.gear.bar import bar_piece
from parts.make.gear.gear import Gear
from parts.make.gear.wheel import d_bore, key_bore, moved, wheel, windows
from parts.shape.outline import Circle, Loop, Outline, rectangle
from parts.shape.piece import Hole, Piece, Side
from parts.shape.tapped import tapped_hole
from parts.stock.thread import clearance, thread

__all__ = ["build_gearbox", "laid_out"]

_WITHIN_MM = 0.004  # what outlines may leave the true curves by
_COVER_SCREW, _HUB_SCREW = "M3", "M3"
_SCREW_IN_MM = 6.0  # a cover's screws past the bearing


def build_gearbox(order: Order, thickness: object = None) -> Design:
    """The gearbox that an order means.

    Raises:
        OrderError: what only building shows: gears that cannot be, shafts too thick, parts that run into each other.
    """
    laid = laid_out(order)
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=tuple(laid.placed),
        joints=tuple(laid.joints),
        fasteners=tuple(laid.fasteners),
        bought=tuple(_bought(laid)),
        quantity=order.quantity,
        retention=order.support.retention if order.support else "none",
        findings=laid.train.findings,
        taken=laid.train.taken,
    )


def _bought(laid: Laid) -> Iterator[Bought]:
    """Shafts, bearings and washers, without brands."""
    size, shafts = laid.size, len(laid.train.shafts)
    long = laid.top_z + laid.plate_thick - laid.base_z + (2.0 * laid.thick if laid.spec.bearing == "ball" else 0.0)
    high = laid.thick / 2.0 + (laid.plate_thick - size.bearing_wide if laid.spec.bearing == "ball" else 0.0)
    how = f"a flat {size.across:g} mm across" if laid.spec.drive == "d" else f"keys {size.key:g} mm wide"
    yield Bought(
        item=f"steel shaft {size.diameter:g} mm, at least {long:.0f} mm long",
        count=shafts,
        note=f"with {how} where gears sit; longer where a crank or a pointer goes on",
    )
    if laid.spec.bearing == "ball":
        yield Bought(
            item=f"ball bearing {size.diameter:g} x {size.bearing:g} x {size.bearing_wide:g} mm",
            count=2 * shafts,
            note="ISO 15 (from memory); no grease or oil that crazes PMMA: try it on a scrap under load",
        )
    yield Bought(
        item=f"washers for a {size.diameter:g} mm shaft, together {high:.1f} mm high",
        count=2 * shafts,
        note="under the lowest gear and over the uppermost hub, so that the shaft has about 0.3 mm of end play",
    )


def laid_out(order: Order) -> Laid:
    """The same with its train."""
    spec = order.table
    assert isinstance(spec, GearboxSpec)
    if order.liquid is not None:
        raise order.refuse(("liquid",), "a gearbox holds no liquid", "no [liquid] table here")
    if not isinstance(order.sheet.thickness, float):
        raise order.refuse(("sheet", "thickness"), "the thickness of a gearbox is not chosen here", "a thickness")
    sheet = stated_sheet(order, order.sheet.thickness, order.sheet.measured)
    plates = sheet if spec.plates is None else extra_sheet(order, spec.plates)
    train = make_train(order, spec, sheet.thickness_mm)
    laid = Laid(order, spec, sheet, plates, train, shaft_size(spec.shaft), make_bar(order, spec, train))
    check_shafts(laid)
    corners, plate = plates_room(laid)
    check_room(laid, corners)
    laid.shift = -(plate[0] + plate[2]) / 2.0, -(plate[1] + plate[3]) / 2.0
    _feet(laid, corners)
    _plate(laid, "base-plate", plate, corners, laid.base_z)
    for shaft in range(len(laid.train.shafts)):
        _shaft(laid, shaft)
    _posts(laid, corners)
    _plate(laid, "top-plate", plate, corners, laid.top_z)
    _join_posts(laid, corners)
    if spec.bearing == "ball":
        _covers(laid)
    _meshes(laid)
    if laid.bar is not None:
        _bar(laid, laid.bar)
    return laid


def _cover_screws(laid: Laid) -> tuple[Point, ...]:
    """Places of a cover's screws about its shaft."""
    r = laid.size.bearing / 2.0 + _SCREW_IN_MM
    return tuple((r * math.cos(a), r * math.sin(a)) for a in (math.radians(d) for d in (90.0, 210.0, 330.0)))


def _plate(laid: Laid, name: str, plate: tuple[float, ...], corners: tuple[Point, ...], z: float) -> None:
    """A plate with the bores of the shafts; the base plate tapped for the posts, both for the covers."""
    x0, y0, x1, y1 = plate
    wide = clearance(thread(laid.spec.thread)).diameter_mm
    holes = [
        tapped_hole(x - x0, y - y0, laid.spec.thread)
        if name == "base-plate"
        else Hole(x_mm=x - x0, y_mm=y - y0, kind="through", diameter_mm=wide)
        for x, y in corners
    ]
    ball = laid.spec.bearing == "ball"
    into = laid.size.bearing if ball else laid.size.diameter
    play = gear_rule("bore_play") / 2.0 if ball else gear_rule("shaft_play")
    bores = []
    for x, y in laid.train.shafts:
        bores.append(Circle(x - x0, y - y0, (into + play) / 2.0))
        if ball:
            side: Side = "near" if name == "base-plate" else "far"
            holes += [tapped_hole(x + u - x0, y + v - y0, _COVER_SCREW, side=side) for u, v in _cover_screws(laid)]
    piece = Piece(
        name=name,
        kind="bearing-plate",
        outline=Outline(rectangle(x1 - x0, y1 - y0), tuple(bores)),
        holes=tuple(holes),
        sheet=laid.plate,
        cut_group="plates",
        role="shell",
    )
    laid.put(name, piece, x0, y0, z)


def _feet(laid: Laid, corners: tuple[Point, ...]) -> None:
    """Two rings under each post, with room for the ends of its screw; bonded, for they carry no more than the weight."""
    hole = 2.0 * thread(laid.spec.thread).major_mm
    piece = ring("foot", 2.0 * POST_MM, hole, laid.sheet, cut_group="rings", role="inner")
    for k, (x, y) in enumerate(corners, start=1):
        for level in (0, 1):
            laid.put(f"foot-{k}-{level + 1}", piece, x - POST_MM, y - POST_MM, level * laid.thick)


def _posts(laid: Laid, corners: tuple[Point, ...]) -> None:
    hole = clearance(thread(laid.spec.thread)).diameter_mm
    piece = ring("post-ring", 2.0 * POST_MM, hole, laid.sheet, cut_group="rings", role="inner")
    for k, (x, y) in enumerate(corners, start=1):
        for level in range(laid.posts):
            z = laid.inside_z + level * laid.thick
            laid.put(f"post-{k}-{level + 1}", piece, x - POST_MM, y - POST_MM, z)


def _join_posts(laid: Laid, corners: tuple[Point, ...]) -> None:
    """A screw through the top plate and each post into the base plate, which is tapped."""
    for k, at in enumerate(corners, start=1):
        rings = [f"post-{k}-{level}" for level in range(1, laid.posts + 1)]
        stack = ["base-plate", *rings, "top-plate"]
        by = Axis(axis=laid.world(at, 0.0))
        laid.joints += [Joint(a=a, b=b, kind="bolted", by=by) for a, b in pairwise(stack)]
        laid.fasteners.append(
            Fastener(
                name=f"screw {laid.spec.thread}",
                piece=rings[0],
                through=tuple(reversed(stack)),
                thread=laid.spec.thread,
                count=1,
                note="through the top plate and the post, into the base plate",
            )
        )


def _bore(laid: Laid) -> Loop:
    size, play = laid.size, gear_rule("shaft_play")
    if laid.spec.drive == "d":
        return d_bore(size.diameter + play, size.across + play)
    assert size.key is not None
    assert size.key_depth is not None
    return key_bore(size.diameter + play, size.key + play, size.key_depth)


def _shaft(laid: Laid, shaft: int) -> None:
    """The gears and hubs of a shaft, from below, with their flats or keyways in line."""
    at, stack = laid.train.shafts[shaft], laid.gears_on(shaft)
    bore, bolted = _bore(laid), laid.spec.hubs == "bolted"
    r = (laid.hub_mm + laid.size.diameter) / 4.0
    screws = (
        [(r * math.cos(a), r * math.sin(a)) for a in (math.radians(d) for d in (60.0, 180.0, 300.0))] if bolted else []
    )
    wide = clearance(thread(_HUB_SCREW)).diameter_mm
    through = [Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=wide) for x, y in screws]
    names = []
    for i, (name, stage, gear) in enumerate(stack):
        z, last = laid.layer_z(stage), i == len(stack) - 1
        cut = wheel(
            name,
            gear,
            laid.sheet,
            turn=laid.train.phase(stage, driven=shaft > stage),
            inner=(bore, *_windows(laid, gear)),
            holes=through,
            within_mm=_WITHIN_MM,
            cut_group="gears",
        )
        laid.put(name, cut.piece, at[0] - cut.axis_mm[0], at[1] - cut.axis_mm[1], z)
        laid.put(
            f"hub-{name[5:]}",
            _hub(laid, bore, screws, tapped=bolted and last),
            at[0] - laid.hub_mm / 2.0,
            at[1] - laid.hub_mm / 2.0,
            z + laid.thick,
        )
        names += [name, f"hub-{name[5:]}"]
    if bolted:
        laid.joints += [Joint(a=a, b=b, kind="bolted") for a, b in pairwise(names)]
        laid.fasteners.append(
            Fastener(
                name=f"screw {_HUB_SCREW}",
                piece=names[-2],
                through=tuple(names),
                thread=_HUB_SCREW,
                count=len(screws),
                note="from below through the gear, into the uppermost hub",
            )
        )
    ball = laid.spec.bearing == "ball"
    into = laid.size.bearing if ball else laid.size.diameter
    play = (0.0, gear_rule("bore_play")) if ball else (0.0, 2.0 * gear_rule("shaft_play"))
    for plate, gear_at in (("base-plate", stack[0]), ("top-plate", stack[-1])):
        if plate == "base-plate" or len(stack) > 1:
            by = Bore(
                axis=laid.world(at, 0.0),
                into_mm=(into, laid.size.diameter),
                play_mm=(play, (0.0, 2.0 * gear_rule("shaft_play"))),
            )
            laid.joints.append(Joint(a=plate, b=gear_at[0], kind="bore fit", by=by))


def _hub(laid: Laid, bore: Loop, screws: list[Point], *, tapped: bool) -> Piece:
    r = laid.hub_mm / 2.0
    wide = clearance(thread(_HUB_SCREW)).diameter_mm
    holes = [
        tapped_hole(r + x, r + y, _HUB_SCREW, side="near")
        if tapped
        else Hole(x_mm=r + x, y_mm=r + y, kind="through", diameter_mm=wide)
        for x, y in screws
    ]
    hub = disc(
        "hub-tapped" if tapped else "hub",
        laid.hub_mm,
        laid.sheet,
        holes=holes,
        cut_group="rings",
        kind="hub",
        role="inner",
    )
    return replace(hub, outline=Outline(Circle(r, r, r), (moved(bore, r, r),)))


def _windows(laid: Laid, gear: Gear) -> tuple[Circle, ...]:
    """Windows where there is room: the rim as wide as a tooth is high and the spokes as wide as the sheet is thick."""
    if not laid.spec.spokes:
        return ()
    try:
        return windows(
            laid.spec.spokes,
            laid.hub_mm / 2.0 + laid.thick / 2.0,
            gear.root_mm / 2.0 - 2.5 * gear.module_mm,
            laid.thick,
        )
    except SeamwrightError:
        return ()


def _covers(laid: Laid) -> None:
    """A disc over each bearing, screwed to its plate."""
    r = laid.size.bearing / 2.0 + COVER_MM
    wide = clearance(thread(_COVER_SCREW)).diameter_mm
    holes = [Hole(x_mm=r + u, y_mm=r + v, kind="through", diameter_mm=wide) for u, v in _cover_screws(laid)]
    bore = Circle(r, r, laid.size.diameter / 2.0 + CLEAR_MM)
    piece = disc(
        "cover", 2.0 * r, laid.sheet, holes=holes, inner=(bore,), cut_group="rings", kind="cover", role="inner"
    )
    for k, (x, y) in enumerate(laid.train.shafts, start=1):
        for plate, z in (("base-plate", laid.base_z - laid.thick), ("top-plate", laid.top_z + laid.plate_thick)):
            name = f"cover-{plate.removesuffix('-plate')}-{k}"
            laid.put(name, piece, x - r, y - r, z)
            laid.joints.append(Joint(a=plate, b=name, kind="bolted"))
            laid.fasteners.append(
                Fastener(
                    name=f"screw {_COVER_SCREW}",
                    piece=name,
                    through=(name, plate),
                    thread=_COVER_SCREW,
                    count=len(holes),
                    note="holds the bearing in its bore",
                )
            )


def _bar(laid: Laid, bar: LaidBar) -> None:
    """The bar at the middle of its travel, teeth to the last wheel, at that wheel's height."""
    cut = bar_piece("bar", bar.mesh, laid.sheet, cut_group="gears")
    u, v = cut.axis_mm
    corner = bar.place(bar.off_mm - u, bar.mesh.datum_mm + v)
    laid.placed.append(
        Placed(
            name="bar", piece=cut.piece, origin=laid.world(corner, laid.layer_z(laid.layers - 1)), x=(*bar.along, 0.0)
        )
    )
    half = bar.mesh.play_mm / 2.0
    by = BarMesh(
        axis=laid.world(bar.at, 0.0),
        a_turn_mm=bar.mesh.a_turn_mm,
        pitch_mm=bar.mesh.wheel.pitch_mm,
        travel_mm=bar.travel_mm,
        gap_mm=(half, half),
    )
    laid.joints.append(Joint(a=gear_name(laid.layers - 1, True), b="bar", kind="gear mesh", by=by))


def _meshes(laid: Laid) -> None:
    for s, stage in enumerate(laid.train.stages):
        half = stage.pair.play.normal_mm / 2.0
        by = Mesh(
            axes=(laid.world(laid.train.shafts[s], 0.0), laid.world(laid.train.shafts[s + 1], 0.0)),
            teeth=(stage.pair.first.teeth, stage.pair.second.teeth),
            gap_mm=(half, half),
        )
        laid.joints.append(Joint(a=gear_name(s, False), b=gear_name(s, True), kind="gear mesh", by=by))
