"""Polygons: flat pieces with straight sides from their corners, such as gussets, wedges and the cheeks of stairs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Outline, Vertex
from parts.shape.piece import Hole, Piece, Role
from parts.stock.sheet import Sheet
from parts.vectors import finite

__all__ = ["polygon"]

_SAME_MM = 1e-6  # corners nearer than this are one
_STRAIGHT = 1e-6  # radians; a corner that turns less goes straight on
_Point = tuple[float, float]


def polygon(
    name: str,
    points: Sequence[tuple[float, float]],
    sheet: Sheet,
    *,
    holes: Sequence[Hole] = (),
    cut_outs: Sequence[Loop | Circle] = (),
    inside_radius_mm: float = 0.0,
    cut_group: str = "",
    kind: str = "polygon",
    process: str | None = None,
    role: Role = "shell",
) -> Piece:
    """A flat piece from its corners (mm), in order, either way round; moved so that its box starts at (0, 0).

    Holes and cut-outs count from the lower-left corner of that box. Corners that go in are rounded by `inside_radius_mm`: a
    sharp one starts a crack, and no router cuts it.

    Raises:
        SeamwrightError: fewer than three corners, one given twice, one that is no place, sides that cross or touch, a
            radius for which a side is too short.

    >>> from parts.stock.sheet import Sheet
    >>> polygon("gusset", [(10, 10), (50, 10), (10, 40)], Sheet(material="cast-pmma", nominal_mm=6.0)).size_mm
    (40.0, 30.0, 6.0)
    """
    corners = _corners(name, points)
    _check_sides(name, corners)
    x0, y0 = min(x for x, _ in corners), min(y for _, y in corners)
    moved = [(x - x0, y - y0) for x, y in corners]
    if Loop(tuple(Vertex(x, y) for x, y in moved)).signed_area_mm2 < 0.0:
        moved.reverse()
    loop = Loop(_rounded(name, moved, inside_radius_mm))
    return Piece(
        name=name,
        kind=kind,
        outline=Outline(loop, tuple(cut_outs)),
        holes=tuple(holes),
        sheet=sheet,
        cut_group=cut_group,
        process=process,
        role=role,
    )


def _corners(name: str, points: Sequence[tuple[float, float]]) -> list[_Point]:
    """The corners as given, each looked at."""
    found: list[_Point] = []
    for number, point in enumerate(points, start=1):
        if not (isinstance(point, Sequence) and len(point) == 2 and all(finite(v) for v in point)):
            raise SeamwrightError(f"{name}: corner {number} is {point!r}, not two numbers (right, up)")
        found.append((float(point[0]), float(point[1])))
    if len(found) < 3:
        raise SeamwrightError(f"{name}: {len(found)} corners; a polygon needs three or more")
    for i, (x, y) in enumerate(found):
        for j in range(i):
            if abs(x - found[j][0]) < _SAME_MM and abs(y - found[j][1]) < _SAME_MM:
                last = " (it closes by itself: leave the last out)" if (j, i) == (0, len(found) - 1) else ""
                raise SeamwrightError(f"{name}: corners {j + 1} and {i + 1} are both at ({x:g}, {y:g}) mm{last}")
    return found


def _check_sides(name: str, corners: Sequence[_Point]) -> None:
    """Refuse sides that cross, touch or fold back on one another."""
    count = len(corners)
    sides = [(corners[i], corners[(i + 1) % count]) for i in range(count)]
    for i in range(count):
        before, here = sides[i - 1], sides[i]
        if abs(_turn(*before, here[1])) <= _SAME_MM * math.dist(*before) and _ahead(*before, here[1]) <= 1.0:
            raise SeamwrightError(f"{name}: at corner {i + 1} the outline folds back on itself")
    for i, here in enumerate(sides):
        for j in range(i + 2, count - (i == 0)):
            if _meet(here, sides[j]):
                raise SeamwrightError(
                    f"{name}: the side from corner {i + 1} crosses or touches the side from corner {j + 1}; "
                    "give the corners in order round the piece"
                )


def _rounded(name: str, corners: Sequence[_Point], radius_mm: float) -> tuple[Vertex, ...]:
    """The corners, counter-clockwise, those that go in as arcs that touch both sides."""
    if not (finite(radius_mm) and radius_mm >= 0.0):
        raise SeamwrightError(f"{name}: an inside radius of {radius_mm!r} mm; it is 0 or more")
    count = len(corners)
    ways = [math.atan2(c[1] - b[1], c[0] - b[0]) for b, c in zip(corners, [*corners[1:], corners[0]], strict=True)]
    turns = [math.remainder(ways[i] - ways[i - 1], math.tau) for i in range(count)]
    back = [radius_mm * math.tan(-turn / 2.0) if turn < -_STRAIGHT else 0.0 for turn in turns]
    out: list[Vertex] = []
    for i, (x, y) in enumerate(corners):
        after = math.dist(corners[i], corners[(i + 1) % count])
        if back[i] + back[(i + 1) % count] > after - _SAME_MM:
            raise SeamwrightError(
                f"{name}: the side from corner {i + 1} is {after:g} mm long, too short for an inside radius of {radius_mm:g} mm"
            )
        if not back[i]:
            out.append(Vertex(x, y))
            continue
        came, goes, by = ways[i - 1], ways[i], back[i]
        out.append(Vertex(x - by * math.cos(came), y - by * math.sin(came), math.tan(turns[i] / 4.0)))
        out.append(Vertex(x + by * math.cos(goes), y + by * math.sin(goes)))
    return tuple(out)


def _turn(a: _Point, b: _Point, c: _Point) -> float:
    """Twice the area of a triangle, over 0 when it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _ahead(a: _Point, b: _Point, c: _Point) -> float:
    """How far along a to b a point stands, in lengths of it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    return ((c[0] - a[0]) * dx + (c[1] - a[1]) * dy) / (dx * dx + dy * dy)


def _meet(one: tuple[_Point, _Point], other: tuple[_Point, _Point]) -> bool:
    """Whether two sides have a point in common."""
    (a, b), (c, d) = one, other
    turns = [_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)]
    if turns[0] * turns[1] < 0.0 and turns[2] * turns[3] < 0.0:
        return True
    ends = ((c, one), (d, one), (a, other), (b, other))
    return any(
        abs(turn) <= _SAME_MM * math.dist(*side) and 0.0 <= _ahead(*side, p) <= 1.0
        for turn, (p, side) in zip(turns, ends, strict=True)
    )
