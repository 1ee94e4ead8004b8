"""Where a hole may be, how much thread it must have, and how inside corners must be shaped."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final, Literal, TypedDict

from parts.findings import Finding, NotCovered, Remedy
from parts.lengths import LengthUnit
from parts.shape.outline import Arc, Circle, Line, Loop
from parts.shape.piece import Hole, Piece
from parts.shape.slot import slots_of
from parts.shape.tapped import chamfer_mm, full_thread_mm
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import stocked_from
from parts.stock.thread import thread

__all__ = ["edge_distance_mm", "holes_meet", "least_plate_mm", "piece_findings", "rounded_up", "thickness_for_mm"]

_SLACK_MM = 1e-6
Level = Literal["min", "good"]
LEVELS: Final[tuple[Level, Level]] = ("min", "good")


def edge_distance_mm(piece: Piece, hole: Hole) -> float:
    """Distance from the hole's centre to the nearest edge of the outline, of a cut-out or of a pocket; below 0 where the
    centre is not on the piece, but beside it or in an opening. The slot that it is the end of does not count, nor the pocket
    that lets in what it is the bore of, or in whose floor it opens."""
    x, y = hole.x_mm, hole.y_mm
    cut_outs = [loop for loop in piece.outline.inner if not _own(loop, hole)]
    pockets = [one for one in piece.pockets if not (_own(one.outline, hole) or _round(hole) in piece.openings_in(one))]
    outer = [piece.outer_at(share) for share in ((0.0, 1.0) if piece.bevels else (0.0,))]
    walls = [*cut_outs, *(loop for pocket in pockets for loop in pocket.loops)]
    near = min(_to_loop(loop, x, y) for loop in (*outer, *walls))
    off = any(_holds(loop, x, y) for loop in cut_outs) or any(
        _holds(one.outline, x, y) and not any(_holds(island, x, y) for island in one.islands) for one in pockets
    )
    return near if all(_holds(loop, x, y) for loop in outer) and not off else -near


def _round(hole: Hole) -> Circle:
    return Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0)


def holes_meet(piece: Piece) -> bool:
    """Whether holes run into each other, into an opening or through the edge: what is left is then not what is drawn.

    `piece_findings` says stop of each such hole.
    """
    return any(edge_distance_mm(piece, hole) < _rim_mm(hole) for hole in piece.holes) or any(
        _run_together(one, other) for one, other in combinations(piece.holes, 2)
    )


def _run_together(one: Hole, other: Hole) -> bool:
    return math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm) <= _rim_mm(one) + _rim_mm(other)


def _holds(loop: Loop | Circle, x: float, y: float) -> bool:
    """Whether a point is inside a loop: how often a ray from it crosses the loop's polygon."""
    if isinstance(loop, Circle):
        return math.hypot(x - loop.x_mm, y - loop.y_mm) < loop.radius_mm
    points, inside = loop.points(), False
    for (ax, ay), (bx, by) in zip(points, (*points[1:], points[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _own(opening: Loop | Circle, hole: Hole) -> bool:
    x0, y0, x1, y1 = opening.bounds_mm
    spots = [end for slot in slots_of([opening]) for end in slot.ends]
    if hole.depth_mm is not None:  # the bore of what a pocket lets in ends on its floor
        spots.append(((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    return any(math.hypot(x - hole.x_mm, y - hole.y_mm) < _SLACK_MM for x, y in spots)


def _slot_ends(piece: Piece) -> list[tuple[Hole, Hole]]:
    """Plain holes that stand for the two ends of each slot."""
    return [
        (one, other)
        for slot in slots_of(piece.outline.inner)
        for one, other in [[Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=slot.width_mm) for x, y in slot.ends]]
    ]


def _openings(piece: Piece) -> tuple[Loop | Circle, ...]:
    """Cut-outs, and pockets, whose walls have the same corners."""
    return (*piece.outline.inner, *(pocket.outline for pocket in piece.pockets))


def _to_loop(loop: Loop | Circle, x: float, y: float) -> float:
    if isinstance(loop, Circle):
        return abs(loop.radius_mm - math.hypot(x - loop.x_mm, y - loop.y_mm))
    return min(_to_line(s, x, y) if isinstance(s, Line) else _to_arc(s, x, y) for s in loop.segments())


def _to_line(line: Line, x: float, y: float) -> float:
    dx, dy = line.x1_mm - line.x0_mm, line.y1_mm - line.y0_mm
    t = ((x - line.x0_mm) * dx + (y - line.y0_mm) * dy) / (dx * dx + dy * dy)
    t = max(0.0, min(1.0, t))
    return math.hypot(x - line.x0_mm - t * dx, y - line.y0_mm - t * dy)


def _to_arc(arc: Arc, x: float, y: float) -> float:
    turn = math.copysign(1.0, arc.sweep_rad)
    part = (turn * (math.atan2(y - arc.cy_mm, x - arc.cx_mm) - arc.start_rad)) % math.tau
    if part <= abs(arc.sweep_rad):
        return abs(math.hypot(x - arc.cx_mm, y - arc.cy_mm) - arc.radius_mm)
    ends = (arc.at(0.0), arc.at(1.0))
    return min(math.hypot(x - ex, y - ey) for ex, ey in ends)


def piece_findings(piece: Piece, elsewhere: Collection[float] = (), unit: LengthUnit = "mm") -> list[Finding]:
    """Everything the shop's rules say about one piece's holes and corners.

    Args:
        piece: what is looked at.
        elsewhere: diameters of plain holes whose screws are tapped into a narrower piece below, which is judged.
        unit: of the stocked sheet that is advised.
    """
    return [*_edges(piece, elsewhere), *_spacing(piece), *_floors(piece), *_engagement(piece, unit), *_corners(piece)]


def _at(*holes: Hole) -> str:
    places = ", ".join(f"({hole.x_mm:.5g}, {hole.y_mm:.5g})" for hole in holes)
    many = f"each of {len(holes)} holes" if len(holes) > 1 else "hole"
    return f"{many} of {holes[0].diameter_mm:g} mm at {places}"


@dataclass(frozen=True, kw_only=True)
class _Left:
    """Material that must be left beside a hole, mm, in words, and by which rule."""

    mm: float
    words: str
    rule: str


def _left_needed(hole: Hole, thickness_mm: float, level: Level) -> _Left:
    """What must be left between a hole's rim and the edge.

    A thread wedges its hole open: it needs a whole diameter. A plain hole only has to be drilled, and to bear a washer; beside
    a large one (a port, a spout) a strip as wide as the sheet is thick is enough.
    """
    kind, one, length = ("tapped", "the thread's diameter", hole.diameter_mm)
    if hole.thread is None:
        plain, large = rule(f"plain_left_{level}") * hole.diameter_mm, rule(f"large_left_{level}") * thickness_mm
        kind, one, length = (
            ("large", "the thickness", thickness_mm) if large < plain else ("plain", "its diameter", length)
        )
    times = rule(f"{kind}_left_{level}")
    words = one if times == 1.0 else f"{times:g} times {one}"
    return _Left(mm=times * length, words=words, rule=f"{kind}_left_{level}")


def _rim_mm(hole: Hole) -> float:
    """Radius of what the hole takes from the face: of its countersink too."""
    return max(hole.diameter_mm, hole.sink_mm or 0.0) / 2.0


def _centre_mm(hole: Hole, thickness_mm: float, level: Level) -> float:
    """How far inside the edge the centre must be."""
    return _rim_mm(hole) + _left_needed(hole, thickness_mm, level).mm


def least_plate_mm(holes: Iterable[Hole], thickness_mm: float) -> tuple[float, float]:
    """Width and height of the smallest plate, its middle at (0, 0), with nothing to be said of these holes and its edges.

    Source: the shop rules `tapped_left_good`, `plain_left_good` and `large_left_good`.

    >>> from parts.shape.tapped import tapped_hole
    >>> least_plate_mm([tapped_hole(x, y, "M6") for x in (-12.5, 12.5) for y in (-12.5, 12.5)], 12.0)
    (49.0, 49.0)
    """
    far_x = far_y = 0.0
    for hole in holes:
        clear = _centre_mm(hole, thickness_mm, "good")
        far_x, far_y = max(far_x, abs(hole.x_mm) + clear), max(far_y, abs(hole.y_mm) + clear)
    return 2.0 * far_x, 2.0 * far_y


def rounded_up(mm: float) -> float:
    """The next tenth of a millimetre, as it may stand in advice.

    >>> rounded_up(57.146), rounded_up(49.0)
    (57.2, 49.0)
    """
    return math.ceil(10.0 * mm - 1e-6) / 10.0


def _edges(piece: Piece, elsewhere: Collection[float]) -> Iterator[Finding]:
    """What is left beside each hole; holes of which the same is to be said together."""
    alike: dict[tuple[float, float, str | None], list[Hole]] = {}
    for hole in (*piece.holes, *(end for ends in _slot_ends(piece) for end in ends)):
        if hole.thread is not None or hole.diameter_mm not in elsewhere:
            left = round(edge_distance_mm(piece, hole) - _rim_mm(hole), 2)
            alike.setdefault((left, hole.diameter_mm, hole.thread), []).append(hole)
    for holes in alike.values():
        yield from _edge(piece, holes)


def _edge(piece: Piece, holes: Sequence[Hole]) -> Iterator[Finding]:
    hole = holes[0]
    left = edge_distance_mm(piece, hole) - _rim_mm(hole)
    least, good = (_left_needed(hole, piece.thickness_mm, level) for level in LEVELS)
    if left >= good.mm - _SLACK_MM:
        return
    stop = left < least.mm - _SLACK_MM
    needed = least if stop else good
    do, remedy = _further_in(piece, hole)
    limit = "it needs at least" if stop else "it should have"
    have = (
        f"{left:.2f} mm of material is left beside it" if left > 0.0 else "it runs out of the piece, or into an opening"
    )
    yield Finding(
        level="stop" if stop else "care",
        check="holes",
        where=piece.name,
        why=f"{_at(*holes)}: {have}, {limit} {needed.words} ({needed.mm:.2f} mm)",
        do=do if stop else f"{do}, or drill slowly with a sharp drill and backing",
        source=rule_source(needed.rule),
        remedy=remedy,
    )


def _further_in(piece: Piece, hole: Hole) -> tuple[str, Remedy | None]:
    """What makes room beside a hole: a larger plate, a wider strip, another place; what cannot be had is not advised."""
    own, thick, at = piece.outline.size_mm, piece.thickness_mm, (hole.x_mm, hole.y_mm)
    clear = _centre_mm(hole, thick, "good")
    bore = min((_to_loop(loop, *at) for loop in piece.outline.inner if not _own(loop, hole)), default=math.inf)
    if piece.role == "mount" and bore < clear - _SLACK_MM:
        return "put a spacer as thick as the boss between, and give the holes as a grid, which needs no bore", None
    if piece.role == "mount":
        every = (*piece.holes, *(end for ends in _slot_ends(piece) for end in ends))
        middle = (replace(h, x_mm=h.x_mm - own[0] / 2.0, y_mm=h.y_mm - own[1] / 2.0) for h in every)
        wide, high = (rounded_up(max(side)) for side in zip(own, least_plate_mm(middle, thick), strict=True))
        remedy = Remedy(piece=piece.name, change="size", least=(wide, high))
        return f"make the plate at least {wide:g} x {high:g} mm for this pattern", remedy
    outer = piece.outline.outer
    if piece.role == "stiffener" and isinstance(outer, Circle):
        out = math.hypot(hole.x_mm - outer.x_mm, hole.y_mm - outer.y_mm)
        return f"make it at least {rounded_up(2.0 * (out + clear)):g} mm across", None
    if piece.role == "stiffener":
        width = rounded_up(2.0 * clear)
        remedy = Remedy(piece=piece.name, change="width", least=(width,))
        return f"make the strips at least {width:g} mm wide", remedy
    if 2.0 * clear > min(own):
        return "a smaller hole, or a larger piece", None
    inside = rounded_up(clear)
    remedy = Remedy(piece=piece.name, change="inside", least=(inside,), at=at)
    return f"move its centre at least {inside:g} mm inside the edge", remedy


def _spacing(piece: Piece) -> Iterator[Finding]:
    spots = [*((hole, hole) for hole in piece.holes), *_slot_ends(piece)]
    for i, ends in enumerate(spots):
        for others in spots[i + 1 :]:
            one, other = ends[0], others[0]
            have = _apart_mm(ends, others)
            need = rule("hole_spacing_min") * (one.diameter_mm + other.diameter_mm) / 2.0
            touching = have <= _rim_mm(one) + _rim_mm(other)
            if touching or have < need - _SLACK_MM:
                yield Finding(
                    level="stop" if touching else "care",
                    check="holes",
                    where=piece.name,
                    why=f"{_at(one)} and {_at(other)} are {have:.2f} mm apart"
                    + (" and run into each other" if touching else f", under 3 of their mean diameter ({need:.2f} mm)"),
                    do="move them apart",
                    source=rule_source("hole_spacing_min"),
                )


def _apart_mm(one: tuple[Hole, Hole], other: tuple[Hole, Hole]) -> float:
    """Between the middles of two holes; of slots between the lines that their bolts stand on, which do not cross."""

    def to(ends: tuple[Hole, Hole], hole: Hole) -> float:
        a, b = ends
        if a == b:
            return math.hypot(a.x_mm - hole.x_mm, a.y_mm - hole.y_mm)
        return _to_line(Line(a.x_mm, a.y_mm, b.x_mm, b.y_mm), hole.x_mm, hole.y_mm)

    return min(*(to(one, hole) for hole in other), *(to(other, hole) for hole in one))


def _floors(piece: Piece) -> Iterator[Finding]:
    """What is left under a pocket."""
    least = rule("floor_left_min")
    for pocket in piece.pockets[:1]:
        left = piece.thickness_mm - pocket.depth_mm
        if left < least - _SLACK_MM:
            thick = rounded_up(pocket.depth_mm + least)
            yield Finding(
                level="stop",
                check="holes",
                where=piece.name,
                why=f"pockets {pocket.depth_mm:g} mm deep leave a floor of {left:.2f} mm; the least is {least:g} mm",
                do=f"use sheet of at least {thick:g} mm",
                source=rule_source("floor_left_min"),
                remedy=Remedy(piece=piece.name, change="thickness", least=(thick,)),
            )


def _engagement(piece: Piece, unit: LengthUnit) -> Iterator[Finding]:
    seen: set[tuple[str | None, float]] = set()
    for hole in piece.holes:
        if hole.kind != "tapped" or (hole.thread, hole.length_mm(piece.thickness_mm)) in seen:
            continue
        seen.add((hole.thread, hole.length_mm(piece.thickness_mm)))
        ratio = full_thread_mm(hole, piece.thickness_mm) / hole.diameter_mm
        if ratio >= rule("engagement_good") - _SLACK_MM:
            continue
        short = ratio < rule("engagement_min") - _SLACK_MM
        thin = full_thread_mm(hole, _least_mm(piece)) / hole.diameter_mm
        perhaps = (
            f"; {thin:.1f} at the thinnest its sheet may be"
            if thin < rule("engagement_min") - _SLACK_MM < ratio
            else ""
        )
        yield Finding(
            level="stop" if short and not _seals(hole, ratio) else "care",
            check="holes",
            where=piece.name,
            why=f"{hole.thread}: {ratio:.1f} diameters of full thread after chamfers, "
            + ("under the minimum of 1" if short else f"PMMA wants 2{perhaps}"),
            source=rule_source("engagement_min" if short else "engagement_good"),
            **_more_thread(piece, hole, unit),
        )


def _seals(hole: Hole, ratio: float) -> bool:
    """Whether it is a pipe thread, which a fitting seals and does not pull at, of pitches enough to do so (judgement)."""
    if hole.thread is None:
        return False
    made = thread(hole.thread)
    return made.system == "pipe" and ratio * hole.diameter_mm >= rule("engagement_stop") * made.pitch_mm


def _least_mm(piece: Piece) -> float:
    """As thin as its sheet may come, where its standard says so."""
    try:
        return piece.thickness_mm if piece.sheet.is_measured else piece.sheet.thickness_range_mm[0]
    except NotCovered:
        return piece.thickness_mm


class _Do(TypedDict):
    do: str
    remedy: Remedy | None


def _more_thread(piece: Piece, hole: Hole, unit: LengthUnit) -> _Do:
    what = {"mount": "a plate", "stiffener": "strips"}.get(piece.role)
    if what is None or (hole.thread is not None and thread(hole.thread).system == "pipe"):
        return _Do(
            do="take a plain hole and a bulkhead fitting or a bolt with washers, or bond a tapped boss over it",
            remedy=None,
        )
    thick = rounded_up(thickness_for_mm(hole))
    remedy = Remedy(piece=piece.name, change="thickness", least=(thick,))
    sold = stocked_from(piece.sheet.material, thick, unit)
    named = f"{what} of {sold} sheet ({thick:g} mm at the least)" if sold else f"{what} of at least {thick:g} mm"
    return _Do(do=f"use {named}, a smaller thread, or through bolts with washers", remedy=remedy)


def thickness_for_mm(hole: Hole) -> float:
    """The plate thickness that gives the wanted engagement, chamfers included."""
    chamfer = chamfer_mm(hole)
    return rule("engagement_good") * hole.diameter_mm + 2.0 * chamfer


def _corners(piece: Piece) -> Iterator[Finding]:
    """Inside corners: the concave ones of the outline, the convex ones of its cut-outs and pockets."""
    need = max(rule("inside_corner_min"), rule("inside_corner_thickness_min") * piece.thickness_mm)
    islands = [island for pocket in piece.pockets for island in pocket.islands]
    for loop, inside_turn in [
        *((o, -1.0) for o in (piece.outline.outer, *islands)),
        *((i, 1.0) for i in _openings(piece)),
    ]:
        if not isinstance(loop, Loop) or (piece.kind == "gear" and loop is piece.outline.outer):
            continue  # the fillets of teeth are the rack's: the allowance of their bending is for them
        turn = inside_turn * math.copysign(1.0, loop.signed_area_mm2)
        others = [pocket.outline for pocket in piece.pockets if pocket.outline is not loop]
        for x, y, radius in _inside_corners(loop, turn):
            if radius < need - _SLACK_MM and all(
                _to_loop(other, x, y) > _SLACK_MM for other in others
            ):  # two that meet are one
                how = "is sharp" if radius == 0.0 else f"has a radius of {radius:g} mm"
                yield Finding(
                    level="care",
                    check="corners",
                    where=piece.name,
                    why=f"the inside corner at ({x:g}, {y:g}) {how}: a sharp one starts a crack",
                    do=f"round it to at least {need:.1f} mm",
                    source=rule_source("inside_corner_min"),
                )


def _inside_corners(loop: Loop, turn: float) -> Iterator[tuple[float, float, float]]:
    """Corners that turn the way `turn` says: place and radius (0 for a sharp one)."""
    segments = loop.segments()
    for i, segment in enumerate(segments):
        if isinstance(segment, Arc):
            if segment.sweep_rad * turn > 0.0 and abs(segment.sweep_rad) < math.pi - 1e-9:
                x, y = segment.at(0.5)
                yield x, y, segment.radius_mm
            continue
        before = segments[i - 1]
        if isinstance(before, Line):
            ax, ay = before.x1_mm - before.x0_mm, before.y1_mm - before.y0_mm
            bx, by = segment.x1_mm - segment.x0_mm, segment.y1_mm - segment.y0_mm
            bend = (ax * by - ay * bx) / (before.length_mm * segment.length_mm)
            if bend * turn > 1e-6:
                yield segment.x0_mm, segment.y0_mm, 0.0
