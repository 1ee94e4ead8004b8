"""The sheet that shows a bent part as it is once bent: seen along its bend lines, with its overall sizes, radii and angles.

Visible edges are wide lines, tangent lines of the bends narrow ones that stop short (ISO 128-3, from memory); the radius is
that of the hollow side, the angle the one it is bent by, not the one between its legs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Final

from assemblies.packet.drawings.dimensions import Rows, Wanted, figure
from assemblies.packet.drawings.drawing_words import DrawingSettings
from assemblies.packet.drawings.title_block import HEIGHT, frame_of
from assemblies.packet.ink.primitives import Ellipse, Line, Text, text_width_mm
from assemblies.packet.ink.sheet_items import Item, Mark
from parts.shape.bent import Band, Bent, Flat, bent, heated
from parts.shape.piece import Piece
from parts.vectors import Vector, dot

__all__ = ["bent_items"]

At = Callable[[Vector], tuple[float, float]]
_PAD: Final = 30.0
_TEXT: Final = 2.5


def bent_items(
    piece: Piece, settings: DrawingSettings, size: tuple[float, float], scales: tuple[float, ...]
) -> tuple[list[Item], float]:
    """Everything on the sheet but border and title block, and its scale."""
    made = bent(piece)
    view = _View(made)
    x0, y0, x1, y1 = view.box
    frame = frame_of(*size)
    area = frame[0] + _PAD, frame[1] + HEIGHT + _PAD, frame[2] - _PAD, frame[3] - 12.0
    wide, high = area[2] - area[0], area[3] - area[1]
    scale = next((s for s in scales if (x1 - x0) * s <= wide and (y1 - y0) * s <= high), scales[-1])
    left = area[0] + (wide - (x1 - x0) * scale) / 2.0
    low = area[1] + (high - (y1 - y0) * scale) / 2.0

    def at(point: Vector) -> tuple[float, float]:
        x, y = view.flat(point)
        return left + (x - x0) * scale, low + (y - y0) * scale

    items: list[Item] = [*_outline(made, at, scale), *_labels(made, at, scale, settings)]
    for axis, length in (("x", x1 - x0), ("y", y1 - y0)):
        rows = Rows(
            axis="x" if axis == "x" else "y", origin=(left, low), scale=scale, units=settings.units, dual=settings.dual
        )
        items += rows.draw([Wanted(to_mm=length)])
    for k, line in enumerate(_notes(piece, settings)):
        items.append(Text(x=frame[0] + 4.0, y=frame[1] + HEIGHT + 12.0 - 3.6 * k, text=line, height=2.0))
    return items, scale


class _View:
    """The plane that is looked at: x along the first part's own across, y along its normal."""

    def __init__(self, made: Bent) -> None:
        first = made.bands[0]
        self.across, self.up = first.across, first.normal
        points = [self.flat(p) for p in _points(made)]
        xs, ys = zip(*points, strict=True)
        self.box = min(xs), min(ys), max(xs), max(ys)

    def flat(self, point: Vector) -> tuple[float, float]:
        return dot(point, self.across), dot(point, self.up)


def _ends(flat: Flat, made: Bent) -> tuple[tuple[Vector, Vector], tuple[Vector, Vector]]:
    """Near and far point of a flat part at either end, across its bend lines."""
    along = made.bands[0].along
    wide, high, thick = flat.piece.size_mm
    y = (
        flat.z[1] * flat.x[2] - flat.z[2] * flat.x[1],
        flat.z[2] * flat.x[0] - flat.z[0] * flat.x[2],
        flat.z[0] * flat.x[1] - flat.z[1] * flat.x[0],
    )
    way, long = (flat.x, wide) if abs(dot(flat.x, along)) < abs(dot(y, along)) else (y, high)

    def point(far: float, up: float) -> Vector:
        a, b, c = (flat.origin[k] + far * way[k] + up * flat.z[k] for k in range(3))
        return a, b, c

    return (point(0.0, 0.0), point(0.0, thick)), (point(long, 0.0), point(long, thick))


def _points(made: Bent) -> Iterator[Vector]:
    for flat in made.flats:
        for pair in _ends(flat, made):
            yield from pair
    for band in made.bands:
        for k in range(33):
            yield band.at(band.outside_mm, band.angle_rad * k / 32)
            yield band.at(band.inside_mm, band.angle_rad * k / 32)


def _outline(made: Bent, at: At, scale: float) -> Iterator[Mark]:
    joints = [(band.at(r, a), band) for band in made.bands for a in (0.0, band.angle_rad) for r in (band.inside_mm,)]
    for flat in made.flats:
        (n0, f0), (n1, f1) = _ends(flat, made)
        for a, b in ((n0, n1), (f0, f1)):
            yield _line(at(a), at(b))
        for a, b in ((n0, f0), (n1, f1)):
            goes_on = any(min(math.dist(p, a), math.dist(p, b)) < 1e-6 for p, _ in joints)
            yield from _tangent(at(a), at(b)) if goes_on else [_line(at(a), at(b))]
    for band in made.bands:
        yield from _arcs(band, at, scale)
        for angle in (0.0, band.angle_rad):
            a, b = band.at(band.inside_mm, angle), band.at(band.outside_mm, angle)
            free = not any(
                min(math.dist(p, q) for q in (a, b)) < 1e-6
                for one in made.flats
                for pair in _ends(one, made)
                for p in pair
            )
            if free and not _meets_band(band, angle, made):
                yield _line(at(a), at(b))


def _meets_band(band: Band, angle: float, made: Bent) -> bool:
    end = band.end_mm if angle else band.start_mm
    return any(
        other is not band and min(abs(other.start_mm - end), abs(other.end_mm - end)) < 1e-6 for other in made.bands
    )


def _line(a: tuple[float, float], b: tuple[float, float]) -> Line:
    return Line(x0=a[0], y0=a[1], x1=b[0], y1=b[1], of="bent")


def _tangent(a: tuple[float, float], b: tuple[float, float]) -> Iterator[Line]:
    """A narrow line that stops short of both faces."""
    (x0, y0), (x1, y1) = ((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in (0.15, 0.85))
    yield Line(x0=x0, y0=y0, x1=x1, y1=y1, layer="dimension", of="bent")


def _arcs(band: Band, at: At, scale: float) -> Iterator[Ellipse]:
    cx, cy = at(band.at(0.0, 0.0))
    x, y = at(band.at(band.outside_mm, 0.0))
    start = math.atan2(y - cy, x - cx)
    for radius in (band.inside_mm, band.outside_mm):
        if radius > 0.0:
            yield Ellipse(
                x=cx,
                y=cy,
                a=radius * scale,
                b=radius * scale,
                turn_rad=0.0,
                start_rad=start,
                sweep_rad=band.side * band.angle_rad,
                of="bent",
            )


def _labels(made: Bent, at: At, scale: float, settings: DrawingSettings) -> Iterator[Mark]:
    """Beside the middle of each arc, on its hollow side: number, radius, angle."""
    for number, band in enumerate(made.bands, 1):
        middle = at(band.at(band.inside_mm, band.angle_rad / 2.0))
        centre = at(band.at(0.0, 0.0))
        long = math.dist(middle, centre) or 1.0
        u, v = (centre[0] - middle[0]) / long, (centre[1] - middle[1]) / long
        text = f"{number}: R{figure(band.inside_mm, settings.units, dual=settings.dual)}, {math.degrees(band.angle_rad):.4g}°"
        x, y = middle[0] + 9.0 * u, middle[1] + 9.0 * v
        yield Line(x0=middle[0], y0=middle[1], x1=x, y1=y, layer="leader", of="bent")
        wide = text_width_mm(text, _TEXT)
        yield Text(
            x=x - wide / 2.0 if abs(u) < 0.7 else x + (0.8 if u > 0 else -wide - 0.8),
            y=y + (0.8 if v > 0 else -3.4),
            text=text,
            height=_TEXT,
            of="bent",
        )


def _notes(piece: Piece, settings: DrawingSettings) -> Iterator[str]:
    yield "As bent, seen along its bend lines, near face below where it begins at the left."
    yield "R: inside radius. The angle is that by which it is bent: 180° less what stands between its legs."
    if any(piece.shrinks):
        wide, high, thick = heated(piece).size_mm
        sizes = " × ".join(figure(v, settings.units) for v in (wide, high, thick))
        yield f"Shrunk by its first heating it is {sizes} {settings.units} when laid flat; sheet 1 shows it as it is cut."
