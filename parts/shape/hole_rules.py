"""Where a hole may be, how much thread it must have, and how inside corners must be shaped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from parts.findings import Finding
from parts.shape.outline import Arc, Circle, Line, Loop
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import chamfer_mm, full_thread_mm
from parts.stock.rules import rule, rule_source
from parts.stock.thread import thread

__all__ = ["edge_distance_mm", "least_plate_mm", "piece_findings", "rounded_up"]

_SLACK_MM = 1e-6


def edge_distance_mm(piece: Piece, hole: Hole) -> float:
    """Distance from the hole's centre to the nearest edge of the outline, of a cut-out or of a pocket."""
    loops = (piece.outline.outer, *_openings(piece))
    return min(_to_loop(loop, hole.x_mm, hole.y_mm) for loop in loops)


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


def piece_findings(piece: Piece) -> list[Finding]:
    """Everything the shop's rules say about one piece's holes and corners."""
    return [
        *(f for hole in piece.holes for f in _edge(piece, hole)),
        *_spacing(piece),
        *_engagement(piece),
        *_corners(piece),
    ]


def _at(hole: Hole) -> str:
    return f"hole of {hole.diameter_mm:g} mm at ({hole.x_mm:g}, {hole.y_mm:g})"


def least_plate_mm(
    centres: Iterable[tuple[float, float]], diameter_mm: float, thickness_mm: float, *, good: bool = False
) -> tuple[float, float]:
    """Width and height of the smallest plate, its middle at (0, 0), whose edges are far enough from holes at `centres`.

    Source: the shop rules `hole_edge_min` and `hole_edge_thickness_min`; with `good`, `hole_edge_good` too.

    >>> least_plate_mm([(-12.5, -12.5), (12.5, 12.5)], 6.0, 12.0)
    (49.0, 49.0)
    """
    edge = max(_diameters(good) * diameter_mm, rule("hole_edge_thickness_min") * thickness_mm)
    far_x = far_y = 0.0
    for x, y in centres:
        far_x, far_y = max(far_x, abs(x)), max(far_y, abs(y))
    return 2.0 * (far_x + edge), 2.0 * (far_y + edge)


def _diameters(good: bool) -> float:
    return rule("hole_edge_good" if good else "hole_edge_min")


def _other_plate(piece: Piece, hole: Hole, *, good: bool) -> str | None:
    """What size of a plate to mount it by would do, or what else; None for other pieces, whose holes may be moved."""
    if piece.role != "mount":
        return None
    thick = piece.thickness_mm
    diameters = _diameters(good) * hole.diameter_mm
    bore = min((_to_loop(loop, hole.x_mm, hole.y_mm) for loop in piece.outline.inner), default=math.inf)
    if bore < max(diameters, rule("hole_edge_thickness_min") * thick) - _SLACK_MM:
        else_do = "put a spacer as thick as the boss between and give the holes as a grid, which needs no bore"
        if bore >= diameters:
            else_do = f"take a plate of at most {math.floor(10.0 * bore) / 10.0:g} mm"
        return f"{else_do}: the bore for the boss is {bore:.2f} mm away, whatever the size of the plate"
    own = piece.outline.size_mm
    sides = [own]
    for h in piece.holes:
        middle = (h.x_mm - own[0] / 2.0, h.y_mm - own[1] / 2.0)
        sides.append(least_plate_mm([middle], h.diameter_mm, thick, good=good))
    wide, high = (rounded_up(max(side)) for side in zip(*sides, strict=True))
    return f"make the plate at least {wide:g} x {high:g} mm for this pattern"


def rounded_up(mm: float) -> float:
    """The next tenth of a millimetre, as it may stand in advice.

    >>> rounded_up(57.146), rounded_up(49.0)
    (57.2, 49.0)
    """
    return math.ceil(10.0 * mm - 1e-6) / 10.0


def _edge(piece: Piece, hole: Hole) -> Iterator[Finding]:
    have = edge_distance_mm(piece, hole)
    least = rule("hole_edge_min") * hole.diameter_mm
    thick = rule("hole_edge_thickness_min") * piece.thickness_mm
    good = rule("hole_edge_good") * hole.diameter_mm
    if have < max(least, thick) - _SLACK_MM:
        name = "hole_edge_min" if have < least - _SLACK_MM else "hole_edge_thickness_min"
        yield Finding(
            level="stop",
            check="holes",
            where=piece.name,
            why=f"{_at(hole)}: its centre is {have:.2f} mm from the edge; the least is the greater of 1.5 diameters "
            f"({least:.2f}) and the thickness ({thick:.2f} mm)",
            do=_other_plate(piece, hole, good=False) or f"move it at least {max(least, thick):.2f} mm inside the edge",
            source=rule_source(name),
        )
    elif have < good - _SLACK_MM:
        yield Finding(
            level="care",
            check="holes",
            where=piece.name,
            why=f"{_at(hole)}: its centre is {have:.2f} mm from the edge, under the 2 diameters ({good:.2f} mm) wanted",
            do=f"{_other_plate(piece, hole, good=True) or 'move it inward'}, or drill slowly with a sharp drill and backing",
            source=rule_source("hole_edge_good"),
        )


def _spacing(piece: Piece) -> Iterator[Finding]:
    for i, one in enumerate(piece.holes):
        for other in piece.holes[i + 1 :]:
            have = math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm)
            need = rule("hole_spacing_min") * (one.diameter_mm + other.diameter_mm) / 2.0
            if have < need - _SLACK_MM:
                touching = have <= (one.bore_mm + other.bore_mm) / 2.0
                yield Finding(
                    level="stop" if touching else "care",
                    check="holes",
                    where=piece.name,
                    why=f"{_at(one)} and {_at(other)} are {have:.2f} mm apart"
                    + (" and run into each other" if touching else f", under 3 of their mean diameter ({need:.2f} mm)"),
                    do="move them apart",
                    source=rule_source("hole_spacing_min"),
                )


def _engagement(piece: Piece) -> Iterator[Finding]:
    seen: set[tuple[str | None, float]] = set()
    for hole in piece.holes:
        if hole.kind != "tapped" or (hole.thread, hole.length_mm(piece.thickness_mm)) in seen:
            continue
        seen.add((hole.thread, hole.length_mm(piece.thickness_mm)))
        ratio = full_thread_mm(hole, piece.thickness_mm) / hole.diameter_mm
        if ratio >= rule("engagement_good") - _SLACK_MM:
            continue
        short = ratio < rule("engagement_min") - _SLACK_MM
        yield Finding(
            level="stop" if short and not _seals(hole, ratio) else "care",
            check="holes",
            where=piece.name,
            why=f"{hole.thread}: {ratio:.1f} diameters of full thread after chamfers, "
            + ("under the least of 1" if short else "2 are wanted in PMMA"),
            do=_more_thread(hole),
            source=rule_source("engagement_min" if short else "engagement_good"),
        )


def _seals(hole: Hole, ratio: float) -> bool:
    """Whether it is a pipe thread, which a fitting seals and does not pull at, of pitches enough to do so (judgement)."""
    if hole.thread is None:
        return False
    made = thread(hole.thread)
    return made.system == "pipe" and ratio * hole.diameter_mm >= rule("engagement_stop") * made.pitch_mm


def _more_thread(hole: Hole) -> str:
    if hole.thread is not None and thread(hole.thread).system == "pipe":
        return "take a plain hole and a bulkhead fitting with washers, or bond a tapped boss over the hole"
    return f"use a plate of at least {_thickness_for(hole):.1f} mm, a smaller thread, or through bolts with washers"


def _thickness_for(hole: Hole) -> float:
    """The plate thickness that gives the wanted engagement, chamfers included."""
    chamfer = chamfer_mm(hole)
    return rule("engagement_good") * hole.diameter_mm + 2.0 * chamfer


def _corners(piece: Piece) -> Iterator[Finding]:
    """Inside corners: the concave ones of the outline, the convex ones of its cut-outs and pockets."""
    need = max(rule("inside_corner_min"), rule("inside_corner_thickness_min") * piece.thickness_mm)
    for loop, inside_turn in [(piece.outline.outer, -1.0), *((i, 1.0) for i in _openings(piece))]:
        if not isinstance(loop, Loop):
            continue
        turn = inside_turn * math.copysign(1.0, loop.signed_area_mm2)
        for x, y, radius in _inside_corners(loop, turn):
            if radius < need - _SLACK_MM:
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
