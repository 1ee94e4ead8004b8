"""The room in a gearbox: what turns comes near nothing that it does not run with, and posts and plates stand about it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assemblies.kinds.gearbox.bar import LaidBar
from assemblies.kinds.gearbox.laid import CLEAR_MM, COVER_MM, POST_MM, Laid, gear_name
from assemblies.kinds.gearbox.train import Point

__all__ = ["check_room", "check_shafts", "plates_room"]

_EDGE_MM = 4.0  # of a plate past its posts and the gears


@dataclass(frozen=True, kw_only=True)
class _Body:
    """A round thing that turns or stands, for the room that it takes: where, how high, how far it reaches."""

    name: str
    at: Point
    low: float
    high: float
    reach: float
    shaft: int


def check_shafts(laid: Laid) -> None:
    """Shafts, hubs and bearings that suit gears and sheet."""
    order, size, spec = laid.order, laid.size, laid.spec
    if spec.drive == "key" and size.key is None:
        raise order.refuse(
            ("gearbox", "drive"), f"no key is made for a shaft of {size.diameter:g} mm", '"d", or a shaft from 6'
        )
    least = size.diameter + 2.0 * size.diameter / 2.0
    if laid.hub_mm < least:
        raise order.refuse(
            ("gearbox", "hub"), f"a hub of {laid.hub_mm:g} mm on a shaft of {size.diameter:g} mm", f"from {least:g} mm"
        )
    for shaft in range(len(laid.train.shafts)):
        for name, _, gear in laid.gears_on(shaft):
            if laid.hub_mm > gear.root_mm - 2.0 * CLEAR_MM:
                raise order.refuse(
                    ("gearbox", "hub" if spec.hub is not None else "shaft"),
                    f"{name} has a root of {gear.root_mm:.1f} mm and its hub {laid.hub_mm:g} mm",
                    "a thinner shaft or hub, more teeth or a larger module",
                )
    out = size.bearing_wide - laid.plate_thick
    if spec.bearing == "ball" and out > laid.thick / 2.0 - CLEAR_MM / 2.0:
        raise order.refuse(
            ("gearbox", "shaft"),
            f"its bearing is {size.bearing_wide:g} mm wide and the plate {laid.plate_thick:g} mm thick, "
            "so that it would reach the gears",
            "a thinner shaft or a thicker sheet",
        )


def _bodies(laid: Laid) -> Iterator[_Body]:
    """What turns: gears, hubs, shafts."""
    for shaft, at in enumerate(laid.train.shafts):
        for name, stage, gear in laid.gears_on(shaft):
            z, t = laid.layer_z(stage), laid.thick
            yield _Body(name=name, at=at, low=z, high=z + t, reach=gear.tip_mm / 2.0, shaft=shaft)
            yield _Body(
                name=f"the hub of {name}", at=at, low=z + t, high=z + 2.0 * t, reach=laid.hub_mm / 2.0, shaft=shaft
            )
        yield _Body(
            name=f"shaft {shaft + 1}", at=at, low=0.0, high=laid.top_z, reach=laid.size.diameter / 2.0, shaft=shaft
        )


def check_room(laid: Laid, corners: tuple[Point, ...]) -> None:
    """Nothing that turns comes near what it does not run with; covers lie beside each other."""
    bodies = list(_bodies(laid))
    running = {frozenset((gear_name(s, False), gear_name(s, True))) for s in range(laid.layers)}
    for i, one in enumerate(bodies):
        for other in bodies[i + 1 :]:
            level = min(one.high, other.high) - max(one.low, other.low) > -CLEAR_MM / 2.0
            if one.shaft == other.shaft or frozenset((one.name, other.name)) in running or not level:
                continue
            room = math.dist(one.at, other.at) - one.reach - other.reach
            if room < CLEAR_MM:
                raise laid.order.refuse(
                    ("gearbox",),
                    f"{one.name} would come within {room:.1f} mm of {other.name}",
                    f"at least {CLEAR_MM:g} mm: other teeth, another angle, thinner shafts or hubs",
                )
    if laid.bar is not None:
        _bar_room(laid, laid.bar, bodies, corners)
    if laid.spec.bearing == "ball":
        wide = laid.size.bearing + 2.0 * COVER_MM
        for i, at in enumerate(laid.train.shafts):
            for k, there in enumerate(laid.train.shafts[i + 1 :], start=i + 1):
                if math.dist(at, there) < wide:
                    raise laid.order.refuse(
                        ("gearbox",),
                        f"the bearing covers of shafts {i + 1} and {k + 1}, {wide:g} mm wide, would overlap at "
                        f"{math.dist(at, there):.1f} mm",
                        'more teeth, a larger module, thinner shafts, or bearing = "plain"',
                    )


def _bar_room(laid: Laid, bar: LaidBar, bodies: Sequence[_Body], corners: tuple[Point, ...]) -> None:
    """The bar comes near nothing but the last wheel, all through its travel; the plates lie half a sheet above and below."""
    low = laid.layer_z(laid.layers - 1)
    own = gear_name(laid.layers - 1, True)
    near = [
        (b.name, b.at, b.reach, CLEAR_MM)
        for b in bodies
        if b.name != own and min(b.high, low + laid.thick) - max(b.low, low) > -CLEAR_MM / 2.0
    ]
    near += [(f"post {k}", at, POST_MM, 2.0 * CLEAR_MM) for k, at in enumerate(corners, start=1)]
    for name, at, reach, least in near:
        room = bar.room_mm(at) - reach
        if room < least - 1e-9:
            raise laid.order.refuse(
                ("gearbox", "bar"),
                f"through its travel of {bar.travel_mm:.1f} mm it would come within {room:.1f} mm of "
                f"{name}, which stands {at[0]:.1f} mm along and {at[1]:.1f} mm across from the first shaft",
                f"at least {least:g} mm: another angle, less travel or a lower back",
            )


def plates_room(laid: Laid) -> tuple[tuple[Point, ...], tuple[float, float, float, float]]:
    """Where posts stand, clear of all that turns, and the plate about them: x min, y min, x max, y max."""
    gears = [b for b in _bodies(laid) if b.name.startswith("gear")]
    box = [
        min(b.at[0] - b.reach for b in gears),
        min(b.at[1] - b.reach for b in gears),
        max(b.at[0] + b.reach for b in gears),
        max(b.at[1] + b.reach for b in gears),
    ]
    if laid.spec.bearing == "ball":
        wide = laid.size.bearing / 2.0 + COVER_MM
        for x, y in laid.train.shafts:
            box = [min(box[0], x - wide), min(box[1], y - wide), max(box[2], x + wide), max(box[3], y + wide)]
    if laid.bar is not None:
        x, y = laid.bar.place(0.0, laid.bar.mesh.far_mm)
        box = [min(box[0], x), min(box[1], y), max(box[2], x), max(box[3], y)]
    kept = []
    for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        out = -POST_MM
        while True:
            at = (box[1 + sx] + sx * out, box[2 + sy] + sy * out)
            if (
                all(math.dist(at, b.at) >= b.reach + POST_MM + 2.0 * CLEAR_MM for b in gears)
                and (
                    laid.spec.bearing != "ball"
                    or all(math.dist(at, s) >= wide + POST_MM + CLEAR_MM for s in laid.train.shafts)
                )
                and (laid.bar is None or laid.bar.room_mm(at) >= POST_MM + 2.0 * CLEAR_MM)
            ):
                break
            out += 1.0
        kept.append(at)
    xs, ys = [p[0] for p in kept], [p[1] for p in kept]
    # one rectangle: the outermost of either side
    x0, x1, y0, y1 = min(xs[0], xs[3]), max(xs[1], xs[2]), min(ys[0], ys[1]), max(ys[2], ys[3])
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    out = POST_MM + _EDGE_MM
    plate = (
        math.floor(min(x0 - out, box[0] - _EDGE_MM)),
        math.floor(min(y0 - out, box[1] - _EDGE_MM)),
        math.ceil(max(x1 + out, box[2] + _EDGE_MM)),
        math.ceil(max(y1 + out, box[3] + _EDGE_MM)),
    )
    return corners, plate
