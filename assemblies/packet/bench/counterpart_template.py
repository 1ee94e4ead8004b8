"""The template of the other part: where what the plates are bolted to is drilled, at true size, as PDF and as DXF.

Seen from the plates, so that it is laid on the other part as it is. What is drilled is drawn in full; plates, slots, bosses,
seats and heads that stand in the way are only marked. The middle lines of each pattern run past all of it: they are laid on
lines that are scribed on the other part. The datum is the lower left corner of the plates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from assemblies.packet.bench.drill_template import Traced, datum, spans, write_traced
from assemblies.packet.dxf.dxf_file import Box, add_layers, add_loop, dxf_bytes, dxf_entities
from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.paper import Paper
from assemblies.packet.ink.primitives import Circle, Line, Primitive, Text, text_width_mm
from assemblies.packet.ink.readback import expect, write_checked
from assemblies.shop.drill.counterpart import Counterpart, Laid, OtherHole, hole_words
from parts.lengths import LengthUnit, dial_length
from parts.shape import outline as shape

__all__ = ["write_counterpart"]

_PAST_MM: Final = 3.0  # how far the middle lines run past the plates
_LEGEND_MM: Final = 1.8  # height of its letters; a line has room on the narrower paper
_ROOM_MM: Final = 190.0
_MARKED: Final = {
    "boss": "boss of the other part",
    "slot": "slot of ours",
    "seat": "seat",
    "head": "head: make room for it",
}


def write_counterpart(
    one: Counterpart, name: str, folder: Path, paper: Paper = "a4", whose: str = "", unit: LengthUnit = "mm"
) -> None:
    """Write `name.pdf` and `name.dxf`.

    Raises:
        NotCovered, SeamwrightError, WrongFile: as `write_traced`; a DXF file that has not its holes.
    """
    sorts = _sorts(one, unit)
    face = Traced(
        head=f"The other part: the {one.side}" if one.side else f"The other part, {one.face}",
        size_mm=one.size,
        items=tuple(_drawing(one)),
        legend=(_way(one), _fitted(_said(one, sorts, unit))),
    )
    write_traced(f"Template of the other part: {one.name}", name, face, folder / f"{name}.pdf", paper, whose)
    drilled = [hole for hole in one.holes if hole.made != "slot-nut"]

    def check(path: Path) -> None:
        _, entities = dxf_entities(path)
        bores = sum(kind == "CIRCLE" and ("8", "drill") in tags for kind, tags in entities)
        expect(path, bores == len(drilled), f"has {bores} holes, not {len(drilled)}")

    words = (name, *_said(one, sorts, unit), _way(one))
    write_checked(folder / f"{name}.dxf", dxf_bytes(lambda document: _dxf(document, one, words)), check)


def _way(one: Counterpart) -> str:
    plates = ", ".join(one.plates) if len(one.plates) == 1 else "the plates"
    return f"Seen from {plates}: lay it on the other part, this side up; the top of the page goes to the {one.up}."


def _sorts(one: Counterpart, unit: LengthUnit) -> tuple[str, ...]:
    """What the holes are, with their numbers where they differ."""
    found: dict[str, list[int]] = {}
    for number, hole in enumerate(one.holes, 1):
        found.setdefault(_words(hole, unit), []).append(number)
    if len(found) == 1:
        return tuple(f"{len(numbers)} x {words}" for words, numbers in found.items())
    return tuple(f"{spans(numbers)}: {words}" for words, numbers in found.items())


def _circle(laid: Laid, unit: LengthUnit) -> str:
    return "" if laid.circle is None else f" on a circle of {dial_length(laid.circle, unit)}"


def _said(one: Counterpart, sorts: tuple[str, ...], unit: LengthUnit) -> tuple[str, ...]:
    """Patterns, holes, what is marked, each as a sentence without its stop."""
    marked = dict.fromkeys(_MARKED[mark.what] for mark in one.marks)
    names = dict.fromkeys(laid.name + _circle(laid, unit) for laid in one.patterns)
    return (*names, *sorts, *([f"dashed: {', '.join(marked)}"] if marked else []))


def _fitted(parts: tuple[str, ...]) -> str:
    """As many of them as a line has room for: the packet has them all."""
    for many in range(len(parts), 0, -1):
        line = "; ".join(parts[:many]) + ("; more in the packet" if many < len(parts) else "")
        if text_width_mm(line, _LEGEND_MM) <= _ROOM_MM:
            return line
    return "see the packet"


def _words(hole: OtherHole, unit: LengthUnit) -> str:
    if hole.made == "clearance":
        return f"{hole_words(hole.diameter, unit)} for {hole.thread}"
    return f"{hole.thread} tapped" if hole.made == "tapped" else f"{hole.thread} nut in the slot"


def _drawing(one: Counterpart) -> Iterator[Primitive]:
    for ring, name in zip(one.outlines, one.plates, strict=True):
        yield from loop_lines(_loop(ring), "hidden")
        low = min(ring, key=lambda c: (c[1], c[0]))
        yield Text(x=low[0] + 1.5, y=low[1] + 1.5, text=name, height=2.0)
    for mark in one.marks:
        yield from loop_lines(mark.loop, "hidden")
    for laid in one.patterns:
        yield from _middle_lines(one, laid)
    yield from datum()
    yield Text(x=1.5, y=one.size[1] - 4.0, text=f"^ {one.up}", height=2.0)
    for number, hole in enumerate(one.holes, 1):
        x, y = hole.at
        radius, reach = hole.diameter / 2.0, hole.diameter / 2.0 + 3.0
        yield Circle(x=x, y=y, radius=radius)
        yield Line(x0=x - reach, y0=y, x1=x + reach, y1=y, layer="dimension")
        yield Line(x0=x, y0=y - reach, x1=x, y1=y + reach, layer="dimension")
        yield Text(x=x + 0.75 * radius + 1.0, y=y + 0.75 * radius + 1.0, text=str(number), height=2.0)


def _middle_lines(one: Counterpart, laid: Laid) -> Iterator[Primitive]:
    """Both middle lines of a pattern to past the plates' edges, and the circle that its holes lie on."""
    (x, y), (width, height) = laid.at, one.size
    for way in (laid.turn, laid.turn + math.pi / 2.0):
        c, s = math.cos(way), math.sin(way)
        steps = [
            step
            for along, at, most in ((c, x, width), (s, y, height))
            if abs(along) > 1e-9
            for step in [sorted(((-_PAST_MM - at) / along, (most + _PAST_MM - at) / along))]
        ]
        low, high = max(step[0] for step in steps), min(step[1] for step in steps)
        yield Line(x0=x + low * c, y0=y + low * s, x1=x + high * c, y1=y + high * s, layer="centre")
    if laid.circle is not None:
        yield Circle(x=x, y=y, radius=laid.circle / 2.0, layer="centre")


def _loop(ring: tuple[tuple[float, float], ...]) -> shape.Loop:
    return shape.Loop(tuple(shape.Vertex(x, y) for x, y in ring))


def _dxf(document: Any, one: Counterpart, words: tuple[str, ...]) -> Box:
    add_layers(document, "mark")
    space = document.modelspace()
    for ring in one.outlines:
        add_loop(space, "mark", _loop(ring))
    for mark in one.marks:
        add_loop(space, "mark", mark.loop)
    for hole in one.holes:
        layer = "mark" if hole.made == "slot-nut" else "drill"
        add_loop(space, layer, shape.Circle(*hole.at, hole.diameter / 2.0))
    for row, line in enumerate(words):
        space.add_text(line, height=3.0, dxfattribs={"layer": "label", "insert": (0.0, -6.0 - 5.0 * row)})
    return 0.0, 0.0, *one.size
