"""Outlines of plates with tabs along their edges, from the spans that `tabs` gives, inner corners relieved.

*Relief*: where a tab meets its root, half a circle goes on into the plate, tangent to the tab's flank: a router's bit, round as
it is, then leaves room for the corner of the other piece, and no sharp corner is left from which a crack could start.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.shape.outline import Loop, Vertex

__all__ = ["Teeth", "toothed"]

Edge = Literal["bottom", "right", "top", "left"]
_ROUND: Final[tuple[Edge, ...]] = ("bottom", "right", "top", "left")
_LEVEL: Final = ("bottom", "top")
_SAME_MM: Final = 1e-9


@dataclass(frozen=True, kw_only=True)
class Teeth:
    """The tabs of one edge: from where to where, mm, along x or y from the lower left; how deep the gaps between them are."""

    spans: tuple[tuple[float, float], ...]
    depth_mm: float


def toothed(name: str, width_mm: float, height_mm: float, teeth: Mapping[Edge, Teeth], relief_mm: float) -> Loop:
    """A rectangle, tabs included, with its edges toothed; what is not named is straight.

    Args:
        name: of the piece, for errors.
        relief_mm: radius of the reliefs; 0 leaves corners sharp.

    Raises:
        SeamwrightError: a gap too narrow for its two reliefs.

    >>> toothed("lid", 30.0, 20.0, {"top": Teeth(spans=((10.0, 20.0),), depth_mm=3.0)}, 0.0).area_mm2
    540.0
    """
    corners: list[Vertex] = []
    for i, edge in enumerate(_ROUND):
        before, after = _ROUND[i - 1], _ROUND[(i + 1) % 4]
        long = width_mm if edge in ("bottom", "top") else height_mm
        start = _inset(teeth.get(before), edge in ("right", "top"), width_mm if before in _LEVEL else height_mm)
        end = long - _inset(teeth.get(after), edge in ("right", "top"), width_mm if after in _LEVEL else height_mm)
        for u, v, bulge in _walk(name, teeth.get(edge), edge, long, start, end, relief_mm):
            corners.append(Vertex(*_place(edge, u, v, width_mm, height_mm), bulge))
    return Loop(tuple(_plain(corners)))


def _inset(teeth: Teeth | None, high: bool, long: float) -> float:
    """How far in a neighbouring edge of this length stands at the corner: that of its high or low end, along x or y."""
    if teeth is None:
        return 0.0
    at = long if high else 0.0
    out = any(a - _SAME_MM <= at <= b + _SAME_MM for a, b in teeth.spans)
    return 0.0 if out else teeth.depth_mm


def _walk(
    name: str, teeth: Teeth | None, edge: Edge, long: float, start: float, end: float, relief: float
) -> Iterator[tuple[float, float, float]]:
    """Along an edge, counter-clockwise: how far along, how far in, the bulge of what follows."""
    if teeth is None:
        yield from ((start, 0.0, 0.0), (end, 0.0, 0.0))
        return
    spans = sorted(teeth.spans if edge in ("bottom", "right") else ((long - b, long - a) for a, b in teeth.spans))
    at, deep = start, teeth.depth_mm
    for a, b in spans:
        yield from _gap(name, at, max(a, start), deep, at > start, a > start + _SAME_MM, relief)
        yield from ((max(a, start), 0.0, 0.0), (min(b, end), 0.0, 0.0))
        at = min(b, end)
    yield from _gap(name, at, end, deep, at > start, False, relief)


def _gap(
    name: str, low: float, high: float, deep: float, first: bool, last: bool, relief: float
) -> Iterator[tuple[float, float, float]]:
    """The root between two tabs, with a relief at each that it meets."""
    if high - low <= _SAME_MM:
        return
    wanted = 2.0 * relief * (first + last)
    if relief and wanted and high - low < wanted + relief:
        raise SeamwrightError(
            f"{name}: gaps of {high - low:.1f} mm are too narrow for reliefs of radius {relief:.2f} mm: "
            "a thinner cutter, or fewer tabs"
        )
    if first and relief:
        yield from ((low, deep, -1.0), (low + 2.0 * relief, deep, 0.0))
    else:
        yield low, deep, 0.0
    if last and relief:
        yield from ((high - 2.0 * relief, deep, -1.0), (high, deep, 0.0))
    else:
        yield high, deep, 0.0


def _place(edge: Edge, u: float, v: float, width: float, height: float) -> tuple[float, float]:
    x, y = {"bottom": (u, v), "right": (width - v, u), "top": (width - u, height - v), "left": (v, height - u)}[edge]
    return round(x, 9) + 0.0, round(y, 9) + 0.0


def _plain(corners: Sequence[Vertex]) -> list[Vertex]:
    """Without corners that are given twice, or that lie on a straight line."""
    found: list[Vertex] = []
    for corner in corners:
        if found and abs(found[-1].x_mm - corner.x_mm) + abs(found[-1].y_mm - corner.y_mm) < 1e-7:
            found[-1] = corner
        else:
            found.append(corner)
    if abs(found[0].x_mm - found[-1].x_mm) + abs(found[0].y_mm - found[-1].y_mm) < 1e-7:
        found.pop()
    kept = []
    for i, b in enumerate(found):
        a, c = found[i - 1], found[(i + 1) % len(found)]
        turn = (b.x_mm - a.x_mm) * (c.y_mm - b.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - b.x_mm)
        if a.bulge or b.bulge or abs(turn) > 1e-7:
            kept.append(b)
    return kept
