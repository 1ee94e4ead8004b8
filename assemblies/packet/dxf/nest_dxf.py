"""The DXF of one nested sheet: what a router's or laser's program cuts, in the order of cutting, compensated for the kerf.

R2000, mm, lower left of the sheet at (0, 0), extents the whole sheet. `outer-cut` and `inner-cut` hold where the middle of
cutter or beam runs: no further compensation may be switched on. `drill` holds bores at their own size, `tap-mark` threads,
`mark` lines that are engraved,
`label` the name of each piece, tabs, and one line that says all this. Profiles of single parts, at net size, are another file.

Source: DXF reference (release 2000), entities LWPOLYLINE, CIRCLE, TEXT and header variables.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from assemblies.packet.dxf.dxf_file import (
    MM,
    RELEASE,
    Box,
    Numbers,
    add_layers,
    add_loop,
    dxf_bytes,
    dxf_text,
    dxf_words,
    loop_numbers,
    rounded,
)
from assemblies.packet.ink.readback import WrongFile, check_name, expect, write_checked
from assemblies.report.figures import kerf_words
from assemblies.shop.nest.model import NestSheet, put, put_point
from parts.lengths import LengthUnit, write_named
from parts.shape.outline import Circle, Loop

__all__ = ["check_nest", "write_nest"]

_LAYER: Final = {"outer": "outer-cut", "inner": "inner-cut", "drill": "drill"}
_TEXT_MM, _TAB_MM = 6.0, 2.5


def write_nest(sheet: NestSheet, path: Path, title: str = "", unit: LengthUnit = "mm") -> None:
    """Write one sheet; the same sheet gives the same bytes.

    Args:
        title: whose it is, and whether it may be made.
        unit: of lengths in words; the file itself is in mm.

    Raises:
        SeamwrightError: a name that cannot stand in a file.
        WrongFile: what was written is not the sheet; nothing is left behind.
    """
    for place in sheet.placed:
        check_name(place.name)
    data = dxf_bytes(lambda document: _draw(document, sheet, title, unit))
    write_checked(path, data, lambda p: check_nest(p, sheet, title, unit))


def _draw(document: Any, sheet: NestSheet, title: str, unit: LengthUnit) -> Box:
    add_layers(document, *(["mark"] if _strokes(sheet) else []))
    space = document.modelspace()
    for stroke in _strokes(sheet):
        space.add_lwpolyline(stroke, format="xy", close=False, dxfattribs={"layer": "mark"})
    for layer, loop in _shapes(sheet):
        add_loop(space, layer, loop)
    for words, x, y, height in _words(sheet, title, unit):
        space.add_text(dxf_text(words), height=height, dxfattribs={"layer": "label", "insert": (x, y)})
    return 0.0, 0.0, sheet.stock.width_mm, sheet.stock.height_mm


def _shapes(sheet: NestSheet) -> Iterator[tuple[str, Loop | Circle]]:
    """Every shape on its layer, in the order of cutting; the threads' circles after them."""
    paths = ((_LAYER[path.role], path.loop) for path in sheet.paths)
    yield from dict.fromkeys(paths)  # of two holes that are one, one
    taps = (
        ("tap-mark", put(Circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2.0), place))
        for place in sheet.placed
        for hole in place.piece.holes
        if hole.kind == "tapped" and hole.diameter_mm > hole.bore_mm
    )
    yield from dict.fromkeys(taps)


def _strokes(sheet: NestSheet) -> list[tuple[tuple[float, float], ...]]:
    """The open lines of what is engraved, before anything is cut."""
    return [
        tuple(put_point(point, place) for point in stroke)
        for place in sheet.placed
        for mark in place.piece.marks
        for stroke in mark.strokes
    ]


def compensation_words(sheet: NestSheet, unit: LengthUnit = "mm") -> str:
    """What the file says about itself."""
    spec = sheet.spec
    tool = "cutter" if spec.process == "router" else "beam"
    return (
        f"{sheet.material} {write_named(sheet.thickness_mm, unit)}, {spec.process}: paths are compensated for a {tool} "
        f"of {kerf_words(spec.kerf_mm, unit)}; switch no other compensation on; cut in the order of the file"
    )


def _words(sheet: NestSheet, title: str, unit: LengthUnit) -> Iterator[tuple[str, float, float, float]]:
    if title:
        yield title, 0.0, -20.0, 5.0
    yield compensation_words(sheet, unit), 0.0, -10.0, 5.0
    for place in sheet.placed:
        w, h = place.size_mm
        size = min(_TEXT_MM, 0.8 * w / max(1, len(place.name)), 0.5 * h)
        yield place.name, place.x_mm + 0.1 * w, place.y_mm + 0.5 * h, size
    for path in sheet.paths:
        for x, y in path.tabs:
            yield "tab", x, y, _TAB_MM


def check_nest(path: Path, sheet: NestSheet, title: str = "", unit: LengthUnit = "mm") -> None:
    """Hold a DXF file against the sheet: units, extents, every shape once and in the order of cutting, every name, its title.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    import ezdxf

    try:
        document = ezdxf.readfile(path)  # type: ignore[attr-defined]  # a public name, not marked for export
    except (OSError, ezdxf.DXFError, ValueError) as error:  # type: ignore[attr-defined]
        raise WrongFile(f"{path.name}: is not a DXF file of ours ({error})") from error
    expect(path, document.dxfversion == RELEASE, "is not in R2000 form")
    expect(path, document.header["$INSUNITS"] == MM, "is not in mm")
    size = sheet.stock.width_mm, sheet.stock.height_mm
    box = [tuple(document.header[key])[:2] for key in ("$EXTMIN", "$EXTMAX")]
    right = [rounded(corner) for corner in box] == [(0.0, 0.0), rounded(size)]
    expect(path, right, f"gives the extents {box} mm, not the sheet's {size} mm")
    found: list[tuple[str, Numbers]] = []
    texts: Counter[str] = Counter()
    engraved: list[Numbers] = []
    for entity in document.modelspace():
        if entity.dxftype() == "LWPOLYLINE" and entity.dxf.layer == "mark":
            engraved.append(rounded(c for point in _points(path, entity) for c in point))
            continue
        if entity.dxftype() == "TEXT":
            texts[dxf_words(entity.dxf.text)] += 1
            continue
        found.append((entity.dxf.layer, _read(path, entity)))
    wanted = [(layer, loop_numbers(loop)) for layer, loop in _shapes(sheet)]
    twice = [numbers for numbers, n in Counter(numbers for _, numbers in found).items() if n > 1]
    right = engraved == [rounded(c for point in stroke for c in point) for stroke in _strokes(sheet)]
    expect(path, right, "does not hold what is engraved")
    expect(path, not twice, f"has one line twice, at {twice[0][:2] if twice else ''} mm")
    expect(path, sorted(found) == sorted(wanted), "does not hold the sheet's shapes")
    expect(path, found == wanted, "is not in the order of cutting")
    names = Counter([*(p.name for p in sheet.placed), compensation_words(sheet, unit), *([title] if title else [])])
    missing = names - texts
    expect(path, not missing, f"does not say {next(iter(missing), '')}")


def _points(path: Path, entity: Any) -> Iterator[tuple[float, float]]:
    """Of an open line that is engraved."""
    expect(path, not entity.closed, "has a closed line on mark")
    yield from entity.get_points("xy")


def _read(path: Path, entity: Any) -> Numbers:
    if entity.dxftype() == "CIRCLE":
        return rounded((entity.dxf.center.x, entity.dxf.center.y, entity.dxf.radius))
    expect(path, entity.dxftype() == "LWPOLYLINE", f"has {entity.dxftype()}, which is not to be cut")
    expect(path, bool(entity.closed), f"has an open line on {entity.dxf.layer}")
    return rounded(c for point in entity.get_points("xyb") for c in point)
