"""What is wrong with the bends of a part: radii, bands too near each other, an edge or a hole, no order, no test strip."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from assemblies.shop.heat.plan import Heat, HeatSheet, reach_mm
from assemblies.shop.heat.rules import heat_rule, heat_source
from parts.findings import Finding, Level
from parts.make.bend import HEATED_IN_T, LEAST_IN_T
from parts.shape.bent import bent, heated
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Piece

__all__ = ["heat_findings"]

_Span = tuple[float, float]


def _say(level: Level, where: str, why: str, do: str, source: str) -> Finding:
    return Finding(level=level, check="bend", where=where, why=why, do=do, source=source)


def heat_findings(piece: Piece, heat: Heat, sheet: HeatSheet) -> Iterator[Finding]:
    """Every fault of its bends."""
    yield from _of_lines(piece, heat, sheet)
    if heat.by == "strip":
        first, last = reach_mm(heated(piece), bent(piece).bands)
        spans = [
            ((b.start_mm + b.end_mm - one.heated) / 2.0, (b.start_mm + b.end_mm + one.heated) / 2.0)
            for b, one in zip(bent(piece).bands, sheet.lines, strict=True)
        ]
        yield from _beside_bands(piece, sheet.thick_formed, spans, first, last)
        yield from _near_openings(heated(piece), sheet.thick_formed, spans)
    if not sheet.can_be_bent:
        yield _say(
            "stop",
            piece.name,
            f"there is no order of bends in which each band still lies flat on a heater {heat.heater_mm:g} mm wide and the "
            "sheet clears itself",
            "longer legs, a narrower heater, or two pieces",
            "computed: every order was tried",
        )
    if heat.opening is None:
        yield _say(
            "care",
            piece.name,
            "by how much it opens once it is let go is not known: no source gives it for acrylic",
            "form the test strip first, measure the angle that it keeps after a day, and give opening = 1 - angle kept / angle "
            "formed",
            "judgement: springback formulas are for metal",
        )
    if sheet.face_c > sheet.forming_most_c + 1e-9:
        yield _say(
            "care",
            piece.name,
            f"its faces reach {sheet.face_c:.0f} °C while its middle warms, over the {sheet.forming_most_c:.0f} °C of forming",
            "a cooler oven and more time",
            heat_source("oven_most"),
        )


def _of_lines(piece: Piece, heat: Heat, sheet: HeatSheet) -> Iterator[Finding]:
    """Radii that are too small to bend hot, or too large for a strip heater."""
    t = sheet.thick_formed
    for line in sheet.lines:
        where = f"{piece.name}, bend {line.number}"
        if line.in_t < LEAST_IN_T - 1e-9:
            least = LEAST_IN_T * t
            yield _say(
                "stop",
                where,
                f"its inside radius of {line.inside:.4g} mm is under {LEAST_IN_T:g} thicknesses ({least:.4g} mm)",
                f"a radius of {math.ceil(least - 1e-9)} mm or more",
                "page AB (secondary)",
            )
        if heat.by == "strip" and line.arc > HEATED_IN_T[1] * t + 1e-9:
            yield _say(
                "stop",
                where,
                f"its arc is {line.arc:.4g} mm long, and a strip heater warms at most {HEATED_IN_T[1]:g} thicknesses "
                f"({HEATED_IN_T[1] * t:.4g} mm)",
                'a smaller radius, or by = "oven" over a former',
                "page AB (secondary)",
            )


def _beside_bands(piece: Piece, thick: float, spans: list[_Span], first: float, last: float) -> Iterator[Finding]:
    """Heated bands that overlap, legs too short to hold."""
    least = heat_rule("flat_between") * thick
    for k, (one, two) in enumerate(pairwise(spans), 1):
        if two[0] - one[1] < least - 1e-9:
            what = "overlap" if two[0] < one[1] else f"leave {two[0] - one[1]:.1f} mm between them, under {least:.1f}"
            yield _say(
                "stop",
                f"{piece.name}, bends {k} and {k + 1}",
                f"their heated bands {what}",
                "a longer leg between them, or a smaller radius",
                heat_source("flat_between"),
            )
    for k, room in ((1, spans[0][0] - first), (len(spans), last - spans[-1][1])):
        if room < least - 1e-9:
            yield _say(
                "stop",
                f"{piece.name}, bend {k}",
                f"its outer leg leaves {max(0.0, room):.1f} mm beside the heated band, under {least:.1f}: it softens to the "
                "edge and cannot be held",
                f"a leg longer by {math.ceil(least - room)} mm",
                heat_source("flat_between"),
            )


def _near_openings(hot: Piece, thick: float, spans: list[_Span]) -> Iterator[Finding]:
    """Holes and cut-outs that go oval."""
    off, angle = heat_rule("hole_off") * thick, hot.bends[0].along_rad
    openings = [(h.x_mm, h.y_mm, h.bore_mm / 2.0) for h in hot.holes]
    openings += [_about(loop) for loop in (*hot.outline.inner, *(p.outline for p in hot.pockets))]
    for x, y, r in openings:
        at = math.sin(angle) * x - math.cos(angle) * y
        for k, (low, high) in enumerate(spans, 1):
            if low - off < at + r and at - r < high + off:
                yield _say(
                    "stop",
                    f"{hot.name}, bend {k}",
                    f"the opening at ({x:.1f}, {y:.1f}) mm is nearer than {off:.1f} mm to its heated band: it goes oval",
                    "move the opening, or drill it once the piece is bent",
                    heat_source("hole_off"),
                )


def _about(loop: Loop | Circle) -> tuple[float, float, float]:
    x0, y0, x1, y1 = loop.bounds_mm
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0, math.hypot(x1 - x0, y1 - y0) / 2.0
