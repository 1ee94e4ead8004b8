"""What is bought and stands in the whole as a body: bolts with washers and nuts, inserts, shafts, bearings, pins, shoes.

Where a bolt stands is found from the openings that lie on one line in all that it goes through; how long it is and what it
clamps, from the buying list where there is one. Heads are drawn as nuts of the thread, washers twice as wide as the screw
(ISO 7089, from memory): to be seen, not to be measured.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from assemblies.design.model import Bore, Design, Fastener, Placed, Posts
from assemblies.design.shown import HEAD, beside, offsets_of
from assemblies.packet.models.shapes import ROUND, Shape, prism, rod
from assemblies.shop.handover.buying import BoltItem, Buying
from parts.shape.outline import Circle
from parts.shape.piece import Hole
from parts.shape.spots import spots_of
from parts.stock.nut import nut, washer_mm
from parts.stock.thread import Thread, clearance, thread
from parts.tables import load
from parts.vectors import Vector, cross, dot

__all__ = ["Body", "hardware"]

_ON_LINE_MM: Final = 0.05  # openings whose middles are nearer than this to a line lie on it
_LOOSEST: Final = 1.6  # of the screw: what is wider is no hole for it; judgement
_LOOSE_MM: Final = 0.5  # that a bore may be wider than its bearing
_PAST: Final = 2.0  # pitches past a nut, and a shaft past what it goes through, mm: to be seen
_HEX: Final = math.sqrt(3.0) / 2.0  # flats over corners

Kind = Literal["bolt", "washer", "nut", "insert", "shaft", "bearing", "standoff", "pin", "band", "shackle", "shoe"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Body:
    """A bought body.

    Attributes:
        kind: what it is.
        shape: along its own z from its seat on: of a bolt, from under its head.
        at, axis: its seat in the world, and which way its z goes there.
        piece: the instance that it goes with.
        way: how much further it comes out than that when all is taken apart, mm.
    """

    kind: Kind
    shape: Shape
    at: Vector
    axis: Vector
    piece: str
    way: Vector = (0.0, 0.0, 0.0)


def hardware(design: Design, buying: Buying | None) -> Iterator[Body]:
    """All of it, as far as its places are known."""
    for fastener in design.fasteners:
        item = (
            next((b for b in buying.bolts if fastener.piece in b.where and b.item.startswith(fastener.name)), None)
            if buying
            else None
        )
        for line in _lines(design, fastener):
            yield from _bolt(design, fastener, item, line)
    yield from _shafts(design)
    for joint in design.joints:
        if isinstance(joint.by, Posts):
            axis, high = design.instance(joint.a).z, joint.by.long_mm
            shape = rod((ROUND, joint.by.wide_mm / 2.0, -high / 2.0, high / 2.0))
            for at in joint.by.at:
                yield Body(kind="standoff", shape=shape, at=at, axis=axis, piece=joint.a)
    yield from _released(design)


@dataclass(frozen=True, kw_only=True)
class _Line:
    """A bolt's line: a point on it, its direction from the head on, from where to where it is in the pieces, and which."""

    at: Vector
    axis: Vector
    enters: float
    leaves: float
    chain: tuple[str, ...]
    hole: Hole | None
    pocket: tuple[float, float] | None = None


def _openings(placed: Placed, screw: Thread) -> Iterator[tuple[Vector, Hole | None, tuple[float, float] | None]]:
    """Middles of what a screw may go through or into, on the near face; with its hole, and the pocket behind it."""
    piece = placed.piece
    behind = {(s.x_mm, s.y_mm): s.pocket.span_mm(piece.thickness_mm) for s in spots_of(piece) if s.pocket}
    for hole in piece.holes:
        fits = hole.thread == screw.name or (not hole.thread and _passes(hole.diameter_mm, screw))
        if fits or (hole.x_mm, hole.y_mm) in behind:
            yield placed.world(hole.x_mm, hole.y_mm, 0.0), hole, behind.get((hole.x_mm, hole.y_mm))
    for loop in piece.outline.inner:
        if isinstance(loop, Circle) and _passes(2.0 * loop.radius_mm, screw):
            yield placed.world(loop.x_mm, loop.y_mm, 0.0), None, None
    for spot in spots_of(piece):
        if spot.slot is not None and _passes(spot.slot.width_mm, screw):
            yield (
                placed.world(spot.x_mm, spot.y_mm, 0.0),
                None,
                spot.pocket.span_mm(piece.thickness_mm) if spot.pocket else None,
            )


def _passes(diameter: float, screw: Thread) -> bool:
    return 0.99 * screw.major_mm <= diameter <= _LOOSEST * screw.major_mm


def _lines(design: Design, fastener: Fastener) -> Iterator[_Line]:
    """The lines of one fastener's bolts; none where there are not as many as it has bolts."""
    screw, mine = thread(fastener.thread), design.instance(fastener.piece)
    every = [design.instance(name) for name in fastener.through]
    found = []
    for at, hole, pocket in _openings(mine, screw):
        if fastener.onto is not None and not fastener.onto.has(*mine.local(at)[:2]):
            continue
        chain = [one for one in every if one is mine or any(_on(p, at, mine.z) for p, *_ in _openings(one, screw))]
        found.append((len(chain), at, hole, pocket, chain))
    if len(found) > fastener.count:  # other openings that look alike, through fewer pieces
        most = max(len(chain) for *_, chain in found)
        found = [one for one in found if one[0] == most]
    if len(found) > fastener.count:  # the other side's in the same plate: those that are made for this screw
        wide = clearance(screw).diameter_mm
        found = [one for one in found if one[2] is not None and one[2].diameter_mm == wide]
    for _, at, hole, pocket, chain in found if len(found) == fastener.count else ():
        axis = _direction(design, fastener, mine, hole, chain)
        spans = [_span(one, at, axis) for one in chain]
        yield _Line(
            at=at,
            axis=axis,
            enters=min(s[0] for s in spans),
            leaves=max(s[1] for s in spans),
            hole=hole,
            chain=tuple(one.name for one in chain),
            pocket=pocket,
        )


def _on(point: Vector, at: Vector, axis: Vector) -> bool:
    step = (point[0] - at[0], point[1] - at[1], point[2] - at[2])
    return math.hypot(*cross(step, axis)) < _ON_LINE_MM


def _span(one: Placed, at: Vector, axis: Vector) -> tuple[float, float]:
    """From where to where a line is in a piece, counted from `at`."""
    low = dot((one.origin[0] - at[0], one.origin[1] - at[1], one.origin[2] - at[2]), axis)
    high = low + one.piece.thickness_mm * dot(one.z, axis)
    return min(low, high), max(low, high)


def _direction(design: Design, fastener: Fastener, mine: Placed, hole: Hole | None, chain: Sequence[Placed]) -> Vector:
    """From the head on: as it goes through its pieces; of one piece alone, from where it is drilled, from outside where it
    screws into it, from inside where it goes out into what that is bolted to."""
    x, y, z = mine.z
    if len(chain) > 1:
        first, last = (_span(one, mine.origin, mine.z)[0] for one in (chain[0], chain[-1]))
        forward = last > first
    elif fastener.onto is not None:
        forward = (fastener.onto.side == "far") == (design.ends_in(fastener) == "counterpart")
    elif hole is not None and hole.kind == "tapped" and hole.depth_mm is not None:
        forward = hole.side == "near"
    else:
        low, high = (tuple(f(p.box[k][i] for p in design.placed) for i in range(3)) for k, f in ((0, min), (1, max)))
        middle = ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0, (low[2] + high[2]) / 2.0)
        outward = (
            dot(mine.z, (mine.origin[0] - middle[0], mine.origin[1] - middle[1], mine.origin[2] - middle[2])) > 0.0
        )
        forward = outward == (design.ends_in(fastener) == "counterpart")
    return (x, y, z) if forward else (-x, -y, -z)


def _bolt(design: Design, fastener: Fastener, item: BoltItem | None, line: _Line) -> Iterator[Body]:
    """One bolt with what is on it."""
    screw = thread(fastener.thread)
    washer = washer_mm(screw.size)
    lead, trail = _layers(design, line, item, washer, _is_pocketed(design, fastener, line))
    head, deep = nut(screw), line.leaves - line.enters
    ends = design.ends_in(fastener)
    past = head.height_mm + _PAST * screw.pitch_mm if ends == "nut" else 0.0
    length = item.length if item and item.length else lead + deep + trail + past
    seat = line.enters - lead
    first = next(name for name in fastener.through if name in line.chain)
    out = tuple(-length * c for c in line.axis)
    across = head.flats_mm / 2.0 / _HEX

    def body(kind: Kind, at: float, shape: Shape, piece: str = first, way: Sequence[float] = out) -> Body:
        x, y, z = (p + at * a for p, a in zip(line.at, line.axis, strict=True))
        return Body(kind=kind, shape=shape, at=(x, y, z), axis=line.axis, piece=piece, way=(way[0], way[1], way[2]))

    r = screw.major_mm / 2.0
    yield body("bolt", seat, rod((6, across, -head.height_mm, 0.0), (ROUND, r, 0.0, round(length, 4))))
    yield body("washer", seat, rod((ROUND, 2.0 * r, 0.0, washer)))
    last = line.chain[-1]
    far = tuple(length * c for c in line.axis)
    if ends == "nut" and line.pocket is None:
        yield body("nut", line.leaves + trail, rod((6, across, 0.0, head.height_mm)), last, far)
        yield body("washer", line.leaves + trail - washer, rod((ROUND, 2.0 * r, 0.0, washer)), last, far)
    elif line.pocket is not None:
        yield from _let_in(design, fastener, line, body)


def _is_pocketed(design: Design, fastener: Fastener, line: _Line) -> bool:
    return line.pocket is not None and bool(design.instance(fastener.piece).piece.pockets)


def _layers(design: Design, line: _Line, item: BoltItem | None, washer: float, pocketed: bool) -> tuple[float, float]:
    """What lies between head and first piece, and between last piece and nut, mm."""
    if item is None or not item.stack:
        return washer, washer
    parts = {design.instance(name).piece.name for name in line.chain}
    own = [layer.what in parts or layer.what.removeprefix("floor of ") in parts for layer in item.stack]
    if not any(own):
        return sum(layer.mm for layer in item.stack), 0.0
    first, last = own.index(True), len(own) - own[::-1].index(True)
    lead = sum(layer.mm for layer in item.stack[:first])
    return lead, 0.0 if pocketed else sum(layer.mm for layer in item.stack[last:])


def _let_in(design: Design, fastener: Fastener, line: _Line, body: Callable[..., Body]) -> Iterator[Body]:
    """A nut or an insert in the pocket of its plate."""
    assert line.pocket is not None
    screw, mine = thread(fastener.thread), design.instance(fastener.piece)
    low, high = line.pocket
    span = sorted(
        dot(tuple(p - q for p, q in zip(mine.world(0.0, 0.0, w), line.at, strict=True)), line.axis)  # type: ignore[arg-type]
        for w in (low, high)
    )
    nil = (0.0, 0.0, 0.0)
    if fastener.insert_mm is None:
        size = nut(screw)
        shape = rod((6, size.flats_mm / 2.0 / _HEX, 0.0, min(size.height_mm, span[1] - span[0])))
        yield body("nut", span[0], shape, mine.name, nil)
        return
    barrel, flange, thick = fastener.insert_mm
    yield body("insert", span[1] - thick, rod((ROUND, flange / 2.0, 0.0, thick)), mine.name, nil)
    yield body("insert", line.enters, rod((ROUND, barrel / 2.0, 0.0, span[1] - thick - line.enters)), mine.name, nil)


def _released(design: Design) -> Iterator[Body]:
    """Locking pins with head and red band, as they are home; shackles, shoes of metal with the screws of their jaws."""
    ways = offsets_of(design, {})
    for release in design.releases:
        for seat in (release.on_strip(release.reach, across) for across in release.beside):
            r, way = release.pin / 2.0, tuple(-1.5 * release.grip * c for c in release.out)
            band = rod((ROUND, 1.04 * r, 0.0, release.pin))
            pin = rod((ROUND, HEAD * r, -HEAD * release.pin, 0.0), (ROUND, r, 0.0, release.grip))
            for kind, shape in (("pin", pin), ("band", band)):
                yield Body(kind=kind, shape=shape, at=seat, axis=release.out, piece=release.strip, way=way)  # type: ignore[arg-type]
        for one in beside(release):
            if one.piece.kind != "pin":
                kinds: dict[str, Kind] = {"shackle": "shackle", "screw": "bolt"}
                ends = [
                    [one.world(*point, share * one.piece.thickness_mm) for point in one.piece.outer_at(share).points()]
                    for share in (0.0, 1.0)
                ]
                yield Body(
                    kind=kinds.get(one.piece.kind, "shoe"),
                    shape=prism(*ends),
                    at=(0.0, 0.0, 0.0),
                    axis=(0.0, 0.0, 1.0),
                    piece=release.strip,
                    way=ways[one.name],
                )


def _shafts(design: Design) -> Iterator[Body]:
    """Shafts and the bearings in the plates, from the joints of their bores."""
    bores = {j.by.axis: (j.b, j.by) for j in reversed(design.joints) if isinstance(j.by, Bore)}
    for at, (gear, bore) in bores.items():
        axis, (bearing, shaft) = design.instance(gear).z, bore.into_mm
        found = [(one, _span(one, at, axis), _about(one, at, axis)) for one in design.placed]
        spans = [span for _, span, rings in found if rings]
        low, high = min(s[0] for s in spans), max(s[1] for s in spans)
        x, y, z = (p + (low - _PAST) * a for p, a in zip(at, axis, strict=True))
        body = rod((ROUND, shaft / 2.0, 0.0, high - low + 2.0 * _PAST))
        yield Body(kind="shaft", shape=body, at=(x, y, z), axis=axis, piece=gear)
        for one, span, rings in found:
            if bearing > shaft and any(0.0 <= 2.0 * r - bearing < _LOOSE_MM for r in rings):
                yield _bearing(one, span, at, axis, bore, (low + high) / 2.0)


def _bearing(plate: Placed, span: tuple[float, float], at: Vector, axis: Vector, bore: Bore, middle: float) -> Body:
    """Flush with the outer face of its plate, under the cover."""
    wide = min(_wide(bore.into_mm[1]), span[1] - span[0])
    start = span[0] if span[0] < middle else span[1] - wide
    x, y, z = (p + start * a for p, a in zip(at, axis, strict=True))
    shape = rod((ROUND, bore.into_mm[0] / 2.0, 0.0, wide))
    return Body(kind="bearing", shape=shape, at=(x, y, z), axis=axis, piece=plate.name)


def _wide(shaft_mm: float) -> float:
    """Of the ball bearing for a shaft."""
    return next(float(r["bearing_wide_mm"]) for r in load("gear_shafts") if float(r["shaft_mm"]) == shaft_mm)


def _about(one: Placed, at: Vector, axis: Vector) -> tuple[float, ...]:
    """Radii of the rounds of a piece square to a line that have their middle on it."""
    if abs(abs(dot(one.z, axis)) - 1.0) > 1e-6:
        return ()
    outline = one.piece.outline
    rounds = [loop for loop in (*outline.inner, outline.outer) if isinstance(loop, Circle)]
    return tuple(c.radius_mm for c in rounds if _on(one.world(c.x_mm, c.y_mm, 0.0), at, axis))
