"""The template of the other part: where what the plates are bolted to is drilled, at true size, as PDF and as DXF.

Seen from the plates, so that it is laid on the other part as it is. The outlines of the plates are only marked.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from assemblies.packet.bench.drill_template import Traced, write_traced
from assemblies.packet.dxf.dxf_file import Box, add_layers, add_loop, dxf_bytes, dxf_entities
from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.paper import Paper
from assemblies.packet.ink.primitives import Circle, Line, Primitive, Text
from assemblies.packet.ink.readback import expect, write_checked
from assemblies.shop.drill.counterpart import Counterpart, OtherHole, hole_words
from parts.lengths import LengthUnit
from parts.shape import outline as shape

__all__ = ["write_counterpart"]


def write_counterpart(
    one: Counterpart, name: str, folder: Path, paper: Paper = "a4", whose: str = "", unit: LengthUnit = "mm"
) -> None:
    """Write `name.pdf` and `name.dxf`.

    Raises:
        NotCovered, SeamwrightError, WrongFile: as `write_traced`; a DXF file that has not its holes.
    """
    sorts = tuple(dict.fromkeys(_words(hole, unit) for hole in one.holes))
    words = "Seen from the plates: lay it on the other part, this side up."
    face = Traced(
        head=f"The other part, {one.face}",
        size_mm=one.size,
        items=tuple(_drawing(one)),
        legend=(words, "; ".join(sorts)),
    )
    write_traced(f"Template of the other part: {one.face}", name, face, folder / f"{name}.pdf", paper, whose)

    def check(path: Path) -> None:
        _, entities = dxf_entities(path)
        bores = sum(kind == "CIRCLE" and ("8", "drill") in tags for kind, tags in entities)
        expect(path, bores == len(one.holes), f"has {bores} holes, not {len(one.holes)}")

    write_checked(folder / f"{name}.dxf", dxf_bytes(lambda document: _dxf(document, one, (name, *sorts))), check)


def _words(hole: OtherHole, unit: LengthUnit) -> str:
    return f"{hole.thread} tapped" if hole.made == "tapped" else f"{hole_words(hole.diameter, unit)} for {hole.thread}"


def _drawing(one: Counterpart) -> Iterator[Primitive]:
    for ring, name in zip(one.outlines, one.plates, strict=True):
        yield from loop_lines(_loop(ring), "hidden")
        low = min(ring, key=lambda c: (c[1], c[0]))
        yield Text(x=low[0] + 1.5, y=low[1] + 1.5, text=name, height=2.0)
    for x, y, radius in one.bosses:
        yield Circle(x=x, y=y, radius=radius, layer="hidden")
    for number, hole in enumerate(one.holes, 1):
        x, y = hole.at
        radius, reach = hole.diameter / 2.0, hole.diameter / 2.0 + 3.0
        yield Circle(x=x, y=y, radius=radius)
        yield Line(x0=x - reach, y0=y, x1=x + reach, y1=y, layer="dimension")
        yield Line(x0=x, y0=y - reach, x1=x, y1=y + reach, layer="dimension")
        yield Text(x=x + 0.75 * radius + 1.0, y=y + 0.75 * radius + 1.0, text=str(number), height=2.0)


def _loop(ring: tuple[tuple[float, float], ...]) -> shape.Loop:
    return shape.Loop(tuple(shape.Vertex(x, y) for x, y in ring))


def _dxf(document: Any, one: Counterpart, words: tuple[str, ...]) -> Box:
    add_layers(document, "mark")
    space = document.modelspace()
    for ring in one.outlines:
        add_loop(space, "mark", _loop(ring))
    for x, y, radius in one.bosses:
        add_loop(space, "mark", shape.Circle(x, y, radius))
    for hole in one.holes:
        add_loop(space, "drill", shape.Circle(*hole.at, hole.diameter / 2.0))
    for row, line in enumerate((*words, "seen from the plates")):
        space.add_text(line, height=3.0, dxfattribs={"layer": "label", "insert": (0.0, -6.0 - 5.0 * row)})
    return 0.0, 0.0, *one.size
