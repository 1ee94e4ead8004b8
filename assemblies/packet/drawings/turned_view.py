"""The turning sketch of a round piece with grooves: its section through the axis, each groove enlarged, what the lathe keeps.

Cut faces are hatched at 45 degrees in narrow lines (ISO 128-3, from memory); the part that is enlarged is ringed in a narrow
line and named by a letter (ISO 128-3, from memory). Figures are true sizes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from assemblies.packet.drawings.dimensions import FIRST_ROW, PITCH, Rows, Wanted, across, figure
from assemblies.packet.drawings.drawing_words import DrawingSettings, scale_name
from assemblies.packet.drawings.title_block import HEIGHT, frame_of
from assemblies.packet.ink.primitives import Circle, Line, Text
from assemblies.packet.ink.sheet_items import Item
from parts.shape import outline as shape
from parts.shape.piece import Piece, Pocket
from parts.stock.rules import rule

__all__ = ["grooves_of", "turned_items"]

_HATCH: Final = 1.6  # between hatch lines, paper mm
_PAST: Final = 4.0  # of the centre line past the section
_AROUND: Final = 1.0  # of a groove's width that an enlargement shows on either side of it
_DETAIL: Final = (60.0, 40.0)  # room of an enlargement, paper mm
_TEXT: Final = 2.5
Column = tuple[float, float, float, float]  # from and to along the diameter, low and high; mm


def grooves_of(piece: Piece) -> tuple[Pocket, ...]:
    """Pockets that a lathe turns: rings about the middle of a round piece."""
    outer = piece.outline.outer
    if not isinstance(outer, shape.Circle):
        return ()
    return tuple(p for p in piece.pockets if len(p.islands) == 1 and all(_about(loop, outer) for loop in p.loops))


def _about(loop: shape.Loop | shape.Circle, outer: shape.Circle) -> bool:
    return isinstance(loop, shape.Circle) and math.hypot(loop.x_mm - outer.x_mm, loop.y_mm - outer.y_mm) < 1e-6


def _radii(groove: Pocket) -> tuple[float, float]:
    """Inner and outer."""
    (x0, _, x1, _), (x2, _, x3, _) = (loop.bounds_mm for loop in (groove.islands[0], groove.outline))
    return (x1 - x0) / 2.0, (x3 - x2) / 2.0


def turned_items(
    piece: Piece, settings: DrawingSettings, size: tuple[float, float], scales: tuple[float, ...]
) -> tuple[list[Item], float]:
    """Everything on the sheet but border and title block, and the scale of the section."""
    frame, grooves = frame_of(*size), grooves_of(piece)
    wide, _, thick = piece.size_mm
    scale = next((s for s in scales if wide * s <= frame[2] - frame[0] - 40.0), scales[-1])
    left, low = (frame[0] + frame[2] - wide * scale) / 2.0, frame[3] - 60.0 - thick * scale
    items: list[Item] = [*_section(_columns(piece), (left, low), scale)]
    middle = left + wide * scale / 2.0
    items.append(
        Line(x0=middle, y0=low - _PAST, x1=middle, y1=low + thick * scale + _PAST, layer="centre", of="turned")
    )
    below = Rows(axis="x", origin=(left, low), scale=scale, units=settings.units, dual=settings.dual)
    items += below.draw([Wanted(to_mm=wide, before="Ø")])
    for k, radius in enumerate(sorted({round(r, 6) for one in grooves for r in _radii(one)})):
        ends, top = (middle - radius * scale, middle + radius * scale), low + thick * scale
        text = "Ø" + figure(2.0 * radius, settings.units, dual=settings.dual)
        items.append(across("x", ends, (top, top), top + FIRST_ROW + PITCH * k, 2.0 * radius, text))
    for k, groove in enumerate(grooves):
        at = frame[0] + 40.0 + 85.0 * k, low - 40.0 - _DETAIL[1]
        items += _enlarged(piece, groove, chr(ord("A") + k), at, (middle, low, scale), settings)
    for k, line in enumerate(_notes(piece, grooves, settings)):
        items.append(Text(x=frame[0] + 4.0, y=frame[1] + HEIGHT + 20.0 - 3.6 * k, text=line, height=2.0))
    return items, scale


def _columns(piece: Piece) -> tuple[Column, ...]:
    """What is left of the section through the axis, in upright strips; bores off the axis are left out."""
    half, thick = piece.size_mm[0] / 2.0, piece.thickness_mm
    outer = piece.outline.outer
    assert isinstance(outer, shape.Circle)
    bore = max(
        (c.radius_mm for c in piece.outline.inner if isinstance(c, shape.Circle) and _about(c, outer)), default=0.0
    )
    cuts = sorted({bore, half, *(r for one in grooves_of(piece) for r in _radii(one))})
    out = []
    for a, b in pairwise(cuts):
        span = [0.0, thick]
        for one in grooves_of(piece):
            inner, wide = _radii(one)
            if inner - 1e-9 <= a and b <= wide + 1e-9:
                low, high = one.span_mm(thick)
                span = [span[0], low] if one.side == "far" else [high, span[1]]
        out += [(half + a, half + b, span[0], span[1]), (half - b, half - a, span[0], span[1])]
    return tuple(sorted(out))


def _section(columns: tuple[Column, ...], at: tuple[float, float], scale: float) -> Iterator[Line]:
    """Outline and hatching of strips side by side."""

    def line(x0: float, y0: float, x1: float, y1: float, *, wide: bool = True) -> Line:
        return Line(
            x0=at[0] + x0 * scale,
            y0=at[1] + y0 * scale,
            x1=at[0] + x1 * scale,
            y1=at[1] + y1 * scale,
            layer="visible" if wide else "dimension",
            of="turned",
        )

    for k, (x0, x1, low, high) in enumerate(columns):
        yield line(x0, low, x1, low)
        yield line(x0, high, x1, high)
        before = columns[k - 1] if k and abs(columns[k - 1][1] - x0) < 1e-9 else (x0, x0, low, low)
        for a, b in ((low, before[2]), (high, before[3])):
            if abs(a - b) > 1e-9:
                yield line(x0, a, x0, b)
        if k + 1 == len(columns) or abs(columns[k + 1][0] - x1) > 1e-9:
            yield line(x1, low, x1, high)
        step = _HATCH * math.sqrt(2.0) / scale
        for n in range(math.ceil((x0 - high) / step), math.floor((x1 - low) / step) + 1):
            c = n * step  # x - y = c
            a, b = max(x0, low + c), min(x1, high + c)
            if b - a > 1e-6:
                yield line(a, a - c, b, b - c, wide=False)


def _enlarged(
    piece: Piece,
    groove: Pocket,
    letter: str,
    at: tuple[float, float],
    section: tuple[float, float, float],
    settings: DrawingSettings,
) -> Iterator[Item]:
    """The groove on the right of the axis, with its width, its depth and what is left under it."""
    (inner, outer), half, thick = _radii(groove), piece.size_mm[0] / 2.0, piece.thickness_mm
    wide = outer - inner
    low_x, high_x = half + inner - _AROUND * wide, min(2.0 * half, half + outer + _AROUND * wide)
    scale = next((s for s in (10.0, 5.0, 2.0) if (high_x - low_x) * s <= _DETAIL[0] and thick * s <= _DETAIL[1]), 1.0)
    strips = [
        (max(a, low_x) - low_x, min(b, high_x) - low_x, c, d)
        for a, b, c, d in _columns(piece)
        if min(b, high_x) > max(a, low_x)
    ]
    yield from _section(tuple(strips), at, scale)
    left, right = ((at[0] + (half + r - low_x) * scale) for r in (inner, outer))
    floor, mouth = groove.span_mm(thick) if groove.side == "far" else tuple(reversed(groove.span_mm(thick)))
    face, end = at[1] + mouth * scale, at[0] + (high_x - low_x) * scale
    row = face + (FIRST_ROW if groove.side == "far" else -FIRST_ROW)
    yield across("x", (left, right), (face, face), row, wide, figure(wide, settings.units, dual=settings.dual))
    for k, (a, b) in enumerate(((min(floor, mouth), max(floor, mouth)), (0.0, thick))):
        ends = at[1] + a * scale, at[1] + b * scale
        text = figure(b - a, settings.units, dual=settings.dual)
        yield across("y", ends, (end, end), end + FIRST_ROW + PITCH * k, b - a, text)
    yield Text(x=at[0], y=at[1] - 7.0, text=f"{letter} ({scale_name(scale)})", height=_TEXT, bold=True, of="turned")
    middle, low, small = section
    x, y, r = middle + (inner + outer) / 2.0 * small, low + thick * small / 2.0, max(wide, thick) * small * 0.8
    yield Circle(x=x, y=y, radius=r, layer="dimension", of="turned")
    yield Text(x=x + r + 0.8, y=y - r - 1.0, text=letter, height=_TEXT, bold=True, of="turned")


def _notes(piece: Piece, grooves: tuple[Pocket, ...], settings: DrawingSettings) -> Iterator[str]:
    def size(mm: float) -> str:
        return f"{figure(mm, settings.units)} {settings.units}"

    up = "far" if grooves[0].side == "far" else "near"
    within = size(rule("turned_tolerance"))
    yield (
        f"Turning sketch: section through the axis, {'far face up' if up == 'far' else 'near face down'}; bores beside the "
        "axis are left out. Turn rim and groove at one clamping."
    )
    for groove in grooves:
        inner, outer = _radii(groove)
        yield (
            f"Groove Ø{size(2.0 * outer)} outside, Ø{size(2.0 * inner)} inside, each ± {within}; {size(groove.depth_mm)} deep, "
            f"the same all round within {within}: its floor is a seam."
        )
        yield (
            f"Tool at most {size(outer - inner)} wide, corner radius {size(rule('turned_corner'))}: sharp, dry, fine feed. "
            f"{size(piece.thickness_mm - groove.depth_mm)} is left under it."
        )
    yield "Try it with the tube in hand before it is unclamped: the tube's end drops to the floor and turns freely."
