"""What a bent part is formed on and gauged by, as DXF: `templates/<part>-rib.dxf`, `templates/<part>-gauge-1.dxf`, ...

True size, R2000, mm: the outline on `outer-cut`, holes for rods on `inner-cut`, words on `label`. Any thin board does.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from assemblies.packet.dxf.dxf_file import Box, add_layers, add_loop, dxf_bytes, dxf_entities, dxf_text
from assemblies.packet.ink.readback import check_name, expect, write_checked
from assemblies.shop.heat.plan import HeatSheet
from parts.shape.outline import Outline

__all__ = ["write_bend_templates"]

_TEXT_MM = 4.0


def write_bend_templates(sheet: HeatSheet, folder: Path, said: str = "") -> None:
    """Every template of one bent part.

    Args:
        said: whose it is, and whether it may be made.

    Raises:
        WrongFile: a file is not what was to be written.
    """
    check_name(sheet.part)
    if sheet.ribs is not None:
        rib = sheet.ribs
        words = (
            f"{sheet.part}: rib of the former, {rib.count} off, {rib.apart_mm:.1f} mm apart",
            f"skin of {rib.skin_mm:g} mm over it: radius {rib.radius_mm:.1f} mm",
        )
        _write(rib.outline, folder / f"{sheet.part}-rib.dxf", words, said)
    for one in sheet.gauges:
        lies = f"{sheet.part}: {one.name}, lies in the hollow side"
        _write(Outline(one.outline), folder / f"{sheet.part}-{one.name}.dxf", (lies,), said)


def _write(outline: Outline, path: Path, words: tuple[str, ...], said: str) -> None:
    def draw(document: Any) -> Box:
        add_layers(document)
        space = document.modelspace()
        add_loop(space, "outer-cut", outline.outer)
        for loop in outline.inner:
            add_loop(space, "inner-cut", loop)
        x0, y0, x1, y1 = outline.bounds_mm
        lines = [*([said] if said else []), *words]
        size = min(_TEXT_MM, 0.8 * (x1 - x0) / max(map(len, lines)))
        for row, line in enumerate(lines):
            place = x0 + 0.1 * (x1 - x0), y0 + (y1 - y0) * 0.5 - 1.6 * size * row
            space.add_text(dxf_text(line), height=size, dxfattribs={"layer": "label", "insert": place})
        return outline.bounds_mm

    def check(made: Path) -> None:
        _, entities = dxf_entities(made)
        cuts = [tags for kind, tags in entities if kind in ("LWPOLYLINE", "CIRCLE")]
        expect(made, len(cuts) == 1 + len(outline.inner), f"has {len(cuts)} lines to cut, not {1 + len(outline.inner)}")
        closed = all(("70", "1") in tags for kind, tags in entities if kind == "LWPOLYLINE")
        expect(made, closed, "has an open line")

    write_checked(path, dxf_bytes(draw), check)
