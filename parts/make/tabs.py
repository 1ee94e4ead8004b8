"""Tab and slot: the lengths of interlocking edges and of slots, as drawn for a cut on the line and as the cut leaves them.

*Kerf* is the full width that the cut removes. A *tab* stands out of one piece into a *gap* of the other. *Clearance* is gap
less tab, or slot less tab, as cut, in all: never under 0, for acrylic that is pressed together crazes. Every inner flank is
moved by the same quarter of it, so that as-cut tabs and gaps add up to the edge's length exactly, and the ends stay flush.

*Relief*: where a tab meets its root, half a circle goes on into the plate, tangent to the tab's flank: a router's bit leaves
room for the corner of the other piece, and no sharp corner is left from which a crack could start.

Source: geometry of a cut of even width on a drawn line. Valid for straight edges; a router's inner corners need relief.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.shape.outline import Loop, Vertex
from parts.tables import Row, cite, load

__all__ = [
    "Fit",
    "SheetFit",
    "TabEdge",
    "Teeth",
    "ThroughSlot",
    "fit_clearance_mm",
    "fit_source",
    "sheet_fit",
    "tab_count",
    "tab_edge",
    "through_slot",
    "toothed",
]

Fit = Literal["close", "normal", "loose"]
Span = tuple[float, float]
_NARROWEST: Final = 0.5  # thicknesses: judgement, a narrower tab breaks off in the hand
_WIDE: Final = 4.0  # thicknesses, about: how wide a tab is made where nothing is said; common practice, no source


@cache
def _fit_row(fit: str) -> Row:
    return next(row for row in load("tab_fits") if row["fit"] == fit)


def fit_clearance_mm(fit: Fit) -> float:
    """Clearance of tabs by one word.

    >>> fit_clearance_mm("normal")
    0.1
    """
    return float(_fit_row(fit)["clearance_mm"])


def fit_source(fit: Fit) -> str:
    """Where that comes from."""
    row = _fit_row(fit)
    return cite(row["source"], row["clause"], row["how_known"])


@dataclass(frozen=True, kw_only=True)
class TabEdge:
    """An edge in equal parts: the odd ones tabs of piece A, the even ones tabs of piece B; mm along the edge from its start.

    Attributes:
        tab_drawn, gap_drawn: widths of a tab inside the edge and of the gap that takes it, as drawn for a cut on the line.
        tab_cut, gap_cut: the same as the cut leaves them.
        length_drawn: of the whole edge of A.
        a_drawn, b_drawn, a_cut, b_cut: from where to where the tabs of each reach.
        depth: how far tabs stand out: the other sheet and what they stand proud.
    """

    tab_drawn: float
    gap_drawn: float
    tab_cut: float
    gap_cut: float
    length_drawn: float
    a_drawn: tuple[Span, ...]
    b_drawn: tuple[Span, ...]
    a_cut: tuple[Span, ...]
    b_cut: tuple[Span, ...]
    depth: float


def _numbers(**given: float) -> None:
    for name, value in given.items():
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0.0:
            what = name.replace("_", " ")
            more = ": pieces of acrylic are never pressed together" if "clearance" in name else ""
            raise SeamwrightError(f"a {what} of {value!r} is not 0 or more{more}")


def tab_edge(
    length: float, count: int, thickness: float, kerf: float, clearance: float, depth_clearance: float = 0.0
) -> TabEdge:
    """Tabs along an edge in `count` equal parts; `thickness` is the other sheet's, as measured.

    Raises:
        SeamwrightError: an even count, parts narrower than half the thickness, a press fit, a kerf that leaves no line to cut.

    >>> edge = tab_edge(120.0, 5, 3.0, 0.2, 0.1)
    >>> round(edge.tab_drawn, 3), round(edge.tab_cut + edge.gap_cut, 3), edge.length_drawn
    (24.15, 48.0, 120.2)
    """
    _numbers(length=length, thickness=thickness, kerf=kerf, clearance=clearance, depth_clearance=depth_clearance)
    if isinstance(count, bool) or not isinstance(count, int) or count < 3 or count % 2 == 0:
        raise SeamwrightError(
            f"{count!r} parts: their number must be odd and at least 3, so that one piece has both ends"
        )
    if min(length, thickness) <= 0.0:
        raise SeamwrightError(f"an edge of {length:g} mm on a sheet of {thickness:g} mm is none")
    part = length / count
    if part < _NARROWEST * thickness:
        raise SeamwrightError(
            f"parts of {part:.2f} mm are narrower than half the thickness ({thickness:g} mm): fewer parts"
        )
    if part - kerf + clearance / 2.0 <= 0.0 or clearance / 2.0 >= part:
        raise SeamwrightError(f"parts of {part:.2f} mm leave no line to cut with a kerf of {kerf:g} mm: fewer parts")

    def spans(first: int, out: float, ends: float) -> tuple[Span, ...]:
        """Parts from the first, every second; inner flanks moved out by so much, those at the edge's ends by `ends`."""
        return tuple(
            (k * part - (ends if k == 0 else out), (k + 1) * part + (ends if k == count - 1 else out))
            for k in range(first, count, 2)
        )

    quarter, half = clearance / 4.0, kerf / 2.0
    return TabEdge(
        tab_drawn=part + kerf - clearance / 2.0,
        gap_drawn=part - kerf + clearance / 2.0,
        tab_cut=part - clearance / 2.0,
        gap_cut=part + clearance / 2.0,
        length_drawn=length + kerf,
        a_drawn=spans(0, half - quarter, half),
        b_drawn=spans(1, half - quarter, half),
        a_cut=spans(0, -quarter, 0.0),
        b_cut=spans(1, -quarter, 0.0),
        depth=thickness + depth_clearance,
    )


def tab_count(length: float, thickness: float, least: float = 0.0) -> int:
    """How many parts an edge gets: odd, at least 3, each about four thicknesses wide and none under `least`.

    Raises:
        SeamwrightError: the edge is too short for three.

    >>> tab_count(120.0, 6.0), tab_count(40.0, 6.0)
    (5, 3)
    """
    most = length / max(least, _NARROWEST * thickness)
    if most < 3.0:
        raise SeamwrightError(f"an edge of {length:g} mm is too short for three parts of a sheet of {thickness:g} mm")
    count = max(3, 2 * round((length / (_WIDE * thickness) - 1.0) / 2.0) + 1)
    while count > most:
        count -= 2
    return count


@dataclass(frozen=True, kw_only=True)
class ThroughSlot:
    """A slot through a plate for a tab of another sheet: across the tab's thickness (`width`) and along its width, mm."""

    width_drawn: float
    length_drawn: float
    width_cut: float
    length_cut: float


def through_slot(
    thickness: float, kerf: float, clearance: float, tab_width: float, tab_clearance: float
) -> ThroughSlot:
    """The slot that takes a tab of a sheet of this measured thickness.

    Raises:
        SeamwrightError: a press fit, a kerf wider than the slot.

    >>> round(through_slot(2.9, 0.2, 0.1, 20.0, 0.2).width_drawn, 3)
    2.8
    """
    _numbers(thickness=thickness, kerf=kerf, clearance=clearance, tab_width=tab_width, tab_clearance=tab_clearance)
    wide, long = thickness + clearance, tab_width + tab_clearance
    if min(thickness, tab_width) <= 0.0:
        raise SeamwrightError(f"a tab of {tab_width:g} x {thickness:g} mm is none")
    if min(wide, long) <= kerf:
        raise SeamwrightError(f"a slot of {wide:g} x {long:g} mm cannot be cut with a kerf of {kerf:g} mm")
    return ThroughSlot(width_drawn=wide - kerf, length_drawn=long - kerf, width_cut=wide, length_cut=long)


@dataclass(frozen=True, kw_only=True)
class SheetFit:
    """How a slot fits a sheet inside its tolerance: least and largest clearance, mm; under 0 it does not go in."""

    least: float
    largest: float

    @property
    def always_fits(self) -> bool:
        """Whether the thickest sheet still goes in."""
        return self.least >= -1e-9


def sheet_fit(nominal: float, tolerance: float, slot_cut: float) -> SheetFit:
    """A slot of a fixed as-cut width against a sheet of nominal thickness, plus or minus its tolerance.

    Raises:
        SeamwrightError: no sheet or no slot, a tolerance that is none.

    >>> sheet_fit(6.0, 1.0, 6.2).always_fits
    False
    """
    _numbers(nominal=nominal, tolerance=tolerance, slot_cut=slot_cut)
    if min(nominal, slot_cut) <= 0.0 or tolerance >= nominal:
        raise SeamwrightError(
            f"a slot of {slot_cut:g} mm for a sheet of {nominal:g} mm, {tolerance:g} more or less, is none"
        )
    return SheetFit(least=slot_cut - nominal - tolerance, largest=slot_cut - nominal + tolerance)


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
