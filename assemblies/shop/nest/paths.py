"""Where the cutter runs on each piece: outlines outside, cut-outs inside, and what it cannot reach.

Every path is held against the net loop before it is used: all along it the distance is half the kerf, no more and no less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from assemblies.shop.nest.model import nest_rule
from assemblies.shop.nest.offset import Near, OffsetError, offset
from parts.findings import Finding, SeamwrightError
from parts.shape.outline import Arc, Circle, Line, Loop
from parts.shape.piece import Hole, Piece
from parts.stock.rules import rule_source

__all__ = ["PieceCuts", "check_size_change", "piece_cuts", "routed", "tab_places"]

_SAME_MM = 1e-4


@dataclass(frozen=True, kw_only=True)
class PieceCuts:
    """The paths of one piece in its own axes: bores to drill, inner paths, outer paths; and what was found."""

    drills: tuple[Circle, ...]
    inner: tuple[Loop | Circle, ...]
    outer: Loop | Circle
    findings: tuple[Finding, ...]


@cache
def piece_cuts(piece: Piece, kerf_mm: float, process: str) -> PieceCuts:
    """The compensated paths of a piece.

    Bores that the cutter can run round in, plain and right through, are cut as inner paths; the others are drilled.

    Raises:
        OffsetError: an outline for which no path can be made.
        SeamwrightError: a path that is not half a kerf from its loop all along.
    """
    try:
        return _cuts(piece, kerf_mm, process)
    except OffsetError as error:
        raise OffsetError(f"{piece.name}: {error}") from None


def _pockets(count: int) -> str:
    return "its pocket is" if count == 1 else f"its {count} pockets are"


def _cuts(piece: Piece, kerf_mm: float, process: str) -> PieceCuts:
    half = kerf_mm / 2.0
    findings: list[Finding] = []
    outer, *pockets = _outside(piece, half)
    inner: list[Loop | Circle] = list(pockets)
    if pockets:
        findings.append(
            _finding(
                piece,
                "care",
                "a gap in its outline is narrower than the cut: what lies behind it is cut "
                "apart, the gap itself is not",
                "widen the gap or use a smaller cutter",
            )
        )
    grooves = sum(bool(pocket.islands) for pocket in piece.pockets)
    if grooves:
        findings.append(
            _finding(
                piece,
                "care",
                "its groove is not in the nest: it is turned",
                "turn it afterwards, by the last sheet of its drawing",
            )
        )
    if len(piece.pockets) > grooves:
        findings.append(
            _finding(
                piece,
                "care",
                f"{_pockets(len(piece.pockets) - grooves)} not in the nest: that cuts through",
                "mill afterwards, from its profile",
            )
        )
    left = _left_over(outer, piece.outline.outer, -half)
    findings += _corner_findings(piece, left, half, "outline")
    for loop in piece.outline.inner:
        paths, said = _inside(piece, loop, half)
        inner += paths
        findings += said
    drills: list[Circle] = []
    for hole in piece.holes:
        bore = Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0)
        if routed(hole, kerf_mm, process):
            inner += offset(bore, -half)
        else:
            drills.append(bore)
    return PieceCuts(drills=tuple(drills), inner=tuple(inner), outer=outer, findings=tuple(findings))


def routed(hole: Hole, kerf_mm: float, process: str) -> bool:
    """Plain holes right through that leave the cutter room to run round: a beam any, a router twice its cutter."""
    plain = hole.kind == "through" and hole.depth_mm is None
    return plain and hole.bore_mm >= (2.0 * kerf_mm if process == "router" else 1.5 * kerf_mm)


def _outside(piece: Piece, half: float) -> tuple[Loop | Circle, ...]:
    paths = offset(piece.outline.outer, half)
    for path in paths:
        check_size_change(piece.name, piece.outline.outer, path, half)
    _check_box(piece, paths[0], half)
    return paths


def _inside(piece: Piece, loop: Loop | Circle, half: float) -> tuple[tuple[Loop | Circle, ...], list[Finding]]:
    paths = offset(loop, -half)
    x0, y0, x1, y1 = loop.bounds_mm
    where = f"the cut-out of {x1 - x0:g} x {y1 - y0:g} mm at ({x0:g}, {y0:g})"
    if not paths:
        return (), [
            _finding(
                piece,
                "stop",
                f"{where}: a cut {2 * half:g} mm wide does not fit in",
                "use a smaller cutter, or drill and file it",
            )
        ]
    for path in paths:
        check_size_change(piece.name, loop, path, half)
    if len(paths) > 1:
        return paths, [
            _finding(
                piece,
                "care",
                f"{where}: its necks are narrower than the cut and stay uncut",
                "widen the necks or use a smaller cutter",
            )
        ]
    return paths, _corner_findings(piece, _left_over(paths[0], loop, half), half, where)


def check_size_change(name: str, net: Loop | Circle, path: Loop | Circle, half_kerf_mm: float) -> None:
    """Hold a path to half a kerf from its net loop, at every corner and all along.

    Raises:
        SeamwrightError: it is nearer or further anywhere.
    """
    if isinstance(net, Circle):
        off = [abs(math.hypot(path.x_mm - net.x_mm, path.y_mm - net.y_mm))] if isinstance(path, Circle) else [math.inf]
        if isinstance(path, Circle):
            off.append(abs(abs(path.radius_mm - net.radius_mm) - half_kerf_mm))
    else:
        near = Near(net.segments(), 2.0 * half_kerf_mm)
        off = [abs(near.distance(x, y) - half_kerf_mm) for x, y in _spots(path)]
    if max(off) > _SAME_MM:
        raise SeamwrightError(f"{name}: a path is {max(off):.6f} mm off half the kerf of {2 * half_kerf_mm:g} mm")


def _spots(path: Loop | Circle) -> Iterator[tuple[float, float]]:
    """Points of a path: ends, quarters and middle of every segment."""
    if isinstance(path, Circle):
        segments: Sequence[Line | Arc] = (Arc(path.x_mm, path.y_mm, path.radius_mm, 0.0, math.tau),)
    else:
        segments = path.segments()
    for segment in segments:
        for part in (0.0, 0.25, 0.5, 0.75):
            if isinstance(segment, Arc):
                yield segment.at(part)
            else:
                yield (
                    segment.x0_mm + part * (segment.x1_mm - segment.x0_mm),
                    segment.y0_mm + part * (segment.y1_mm - segment.y0_mm),
                )


def _check_box(piece: Piece, path: Loop | Circle, half: float) -> None:
    """The box of an outline's path is the net box plus the kerf, exactly."""
    net, cut = piece.outline.outer.bounds_mm, path.bounds_mm
    off = [
        abs(net[0] - cut[0] - half),
        abs(net[1] - cut[1] - half),
        abs(cut[2] - net[2] - half),
        abs(cut[3] - net[3] - half),
    ]
    if max(off) > _SAME_MM:
        raise SeamwrightError(
            f"{piece.name}: the outline's path is not {half:g} mm outside on every side: {max(off):.6f} off"
        )


def _left_over(path: Loop | Circle, net: Loop | Circle, back: float) -> float:
    """Area (mm2) that the cutter leaves in inside corners: between the net loop and what the path really cuts."""
    if isinstance(net, Circle):
        return 0.0
    cut = offset(path, back)
    return abs(sum(loop.area_mm2 for loop in cut[:1]) - net.area_mm2)


def _corner_findings(piece: Piece, left_mm2: float, half: float, where: str) -> list[Finding]:
    if left_mm2 <= nest_rule("corner_left"):
        return []
    return [
        Finding(
            level="care",
            check="nest",
            where=piece.name,
            why=f"{where}: inside corners keep the cutter's radius of {half:g} mm; {left_mm2:.2f} mm2 stays uncut",
            do=f"round inside corners to at least {half:g} mm, use a smaller cutter, or file them out",
            source=rule_source("inside_corner_min"),
        )
    ]


def _finding(piece: Piece, level: str, why: str, do: str) -> Finding:
    assert level in ("stop", "care")
    return Finding(
        level="stop" if level == "stop" else "care", check="nest", where=piece.name, why=why, do=do, source="judgement"
    )


def tab_places(path: Loop | Circle, count: int) -> tuple[tuple[float, float], ...]:
    """Where tabs stand on a path: in the middle of its longest lines, else evenly along its arcs.

    >>> tab_places(Circle(0.0, 0.0, 10.0), 2)[0]
    (10.0, 0.0)
    """
    if isinstance(path, Circle):
        whole = Arc(path.x_mm, path.y_mm, path.radius_mm, 0.0, math.tau)
        return tuple(whole.at(k / count) for k in range(count))
    segments = sorted(path.segments(), key=lambda s: (isinstance(s, Arc), -round(s.length_mm, 6)))
    chosen = segments[:count]
    each = -(-count // len(chosen))
    places: list[tuple[float, float]] = []
    for segment in chosen:
        for k in range(each):
            part = (k + 0.5) / each
            if isinstance(segment, Arc):
                places.append(segment.at(part))
            else:
                dx, dy = segment.x1_mm - segment.x0_mm, segment.y1_mm - segment.y0_mm
                places.append((segment.x0_mm + part * dx, segment.y0_mm + part * dy))
    return tuple(places[:count]) if each == 1 else tuple(places)
