"""The DXF profile of one piece, net size, mm, seen with its far face towards you: what a cutter's or
router's program reads.

R2000 (AC1015): closed LWPOLYLINE with bulges and CIRCLE, nothing else to cut; one neutral colour; one layer
per operation. `outer-cut` and `inner-cut` hold the outline and its cut-outs. `drill` holds every bore as a
circle, blind ones too, `pocket` the outline of each recess, `mark` the open lines
that are engraved, and `tap-mark` the thread's own circle round a tapped
bore, as a drawing shows a thread end-on; `bend-line` the middle of each
bend, `bevel` the edge that a bevel leaves on the face that it cuts back. A
drilling program that takes the circles alone would go right through, so whatever
is blind, tapped or countersunk is also said in words on `label`.

Source: DXF reference (release 2000), entities LWPOLYLINE, CIRCLE, TEXT and header variables.
"""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path
from typing import Any

from assemblies.packet.dxf.dxf_file import (
    MM,
    RELEASE,
    Box,
    Numbers,
    Tags,
    add_layers,
    add_loop,
    dxf_bytes,
    dxf_entities,
    dxf_text,
    loop_numbers,
    rounded,
)
from assemblies.packet.ink.readback import WrongFile, check_name, expect, write_checked
from parts.lengths import LengthUnit, dial_length
from parts.shape.bent import bend_lines
from parts.shape.outline import Circle, Line, Loop, Vertex
from parts.shape.part import require
from parts.shape.piece import Bevel, Hole, Piece, Pocket

__all__ = ["check_profile", "write_profile"]

_LARGEST_TEXT_MM = 4.0

Shape = tuple[str, Numbers]  # the layer, and the numbers of a circle (3) or of a loop (3 for each vertex)


def write_profile(piece: Piece, path: Path, said: str = "", unit: LengthUnit = "mm") -> None:
    """Write the piece's flat outline, its holes and its name; the same piece gives the same bytes.

    Args:
        said: whose it is, and whether it may be made; a line above the name.
        unit: of the lengths in words; the file itself is in mm.

    Raises:
        NotCovered: a tube.
        SeamwrightError: the piece's name cannot stand in a file.
        WrongFile: what was written is not the piece; nothing is left behind.
        OSError: the file cannot be written.
    """
    require(piece, "the profile", "bends", "pockets", "bevels")
    check_name(piece.name)
    data = dxf_bytes(lambda document: _draw(document, piece, said, unit))
    write_checked(path, data, lambda p: check_profile(p, piece, said))


def _draw(document: Any, piece: Piece, said: str, unit: LengthUnit) -> Box:
    more = (("pocket", piece.pockets), ("mark", piece.marks), ("bevel", piece.bevels))
    add_layers(document, *(layer for layer, there in more if there))
    space = document.modelspace()
    for stroke in _strokes(piece):
        space.add_lwpolyline(stroke, format="xy", close=False, dxfattribs={"layer": "mark"})
    for layer, loop in _shapes(piece):
        add_loop(space, layer, loop)
    for layer, (x0, y0, x1, y1) in _lines(piece):
        space.add_line((x0, y0), (x1, y1), dxfattribs={"layer": layer})
    x0, y0, x1, y1 = piece.outline.bounds_mm
    width, height, lines = x1 - x0, y1 - y0, [*([said] if said else []), *_words(piece, unit)]
    size = min(_LARGEST_TEXT_MM, 0.8 * width / max(map(len, lines)), 0.8 * height / (1.6 * len(lines)))
    for row, line in enumerate(lines, 1):
        place = (x0 + 0.1 * width, y1 - 0.1 * height - 1.6 * size * row)
        space.add_text(dxf_text(line), height=size, dxfattribs={"layer": "label", "insert": place})
    return piece.outline.bounds_mm


def _shapes(piece: Piece) -> list[tuple[str, Loop | Circle]]:
    """Every shape on its layer; of two holes that are one, one: what is cut twice is burnt."""
    shapes: list[tuple[str, Loop | Circle]] = [("outer-cut", piece.outline.outer)]
    shapes += [("inner-cut", loop) for loop in piece.outline.inner]
    shapes += [("pocket", loop) for pocket in piece.pockets for loop in pocket.loops]
    shapes += [(layer, circle) for hole in piece.holes for circle, layer in _circles(hole)]
    return list(dict.fromkeys(shapes))


def _lines(piece: Piece) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Open lines: the middles of bends, and the inner edges of bevels."""
    found = [("bend-line", (one.x0_mm, one.y0_mm, one.x1_mm, one.y1_mm)) for one in bend_lines(piece)]
    for bevel in piece.bevels:
        face = piece.outer_at(1.0 if bevel.side == "far" else 0.0)
        assert isinstance(face, Loop)
        edge = face.segments()[bevel.edge]
        assert isinstance(edge, Line)
        found.append(("bevel", (edge.x0_mm, edge.y0_mm, edge.x1_mm, edge.y1_mm)))
    return found


def _strokes(piece: Piece) -> list[tuple[tuple[float, float], ...]]:
    """The open lines of what is engraved."""
    return [stroke for mark in piece.marks for stroke in mark.strokes]


def _circles(hole: Hole) -> tuple[tuple[Circle, str], ...]:
    bore = Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0), "drill"
    if hole.kind != "tapped" or hole.diameter_mm <= hole.bore_mm:
        return (bore,)
    return bore, (Circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2.0), "tap-mark")


def _words(piece: Piece, unit: LengthUnit) -> list[str]:
    """The part's name, then one line for each sort of hole that is not a plain one right through."""
    lines = (
        *(_say(hole, unit) for hole in piece.holes),
        *(_say_pocket(pocket, unit) for pocket in piece.pockets),
        *(_say_bevel(piece, bevel, unit) for bevel in piece.bevels),
    )
    said = Counter(line for line in lines if line)
    return [piece.name, *(f"{count} x {line}" for line, count in said.items())]


def _length(mm: float, unit: LengthUnit) -> str:
    return f"{mm:.4g}" if unit == "mm" else dial_length(mm, unit)


def _say(hole: Hole, unit: LengthUnit) -> str:
    if hole.kind == "through" and hole.depth_mm is None:
        return ""
    words = [hole.thread or "tapped"] if hole.kind == "tapped" else []
    words.append(f"bore {_length(hole.bore_mm, unit)}")
    words.append("through" if hole.depth_mm is None else f"{_length(hole.depth_mm, unit)} deep")
    if hole.sink_mm is not None:
        words.append(f"countersunk 90 deg to {_length(hole.sink_mm, unit)}")
    if hole.depth_mm is not None or hole.sink_mm is not None:
        words.append("from this face" if hole.side == "far" else "from the OTHER face")
    return ", ".join(words)


def _say_pocket(pocket: Pocket, unit: LengthUnit) -> str:
    what = "groove" if pocket.islands else "pocket"
    return f"{what} {_length(pocket.depth_mm, unit)} deep from {'this' if pocket.side == 'far' else 'the OTHER'} face"


def _say_bevel(piece: Piece, bevel: Bevel, unit: LengthUnit) -> str:
    face = "this" if bevel.side == "far" else "the OTHER"
    back = _length(piece.cut_back_mm(bevel), unit)
    return f"bevel {math.degrees(bevel.angle_rad):.4g} deg from square, {back} back on {face} face"


def check_profile(path: Path, piece: Piece, said: str = "") -> None:
    """Hold a DXF file against the piece, read tag by tag: units, extents, layers, every loop and circle, name and words.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    try:
        header, entities = dxf_entities(path)
        expect(path, header["$ACADVER"][0] == ("1", RELEASE), "is not in R2000 form")
        expect(path, header["$INSUNITS"][0] == ("70", str(MM)), "is not in mm")
        box = [float(value) for key in ("$EXTMIN", "$EXTMAX") for _, value in header[key][:2]]
        right = all(abs(a - b) < 1e-6 for a, b in zip(box, piece.outline.bounds_mm, strict=True))
        expect(path, right, f"gives the extents {box} mm, not {list(piece.outline.bounds_mm)} mm")
        kinds = sorted({kind for kind, _ in entities} - {"LWPOLYLINE", "CIRCLE", "TEXT", "LINE"})
        expect(path, not kinds, f"has {', '.join(kinds)}, which are not to be cut")
        texts = [tags for kind, tags in entities if kind == "TEXT"]
        for words in (piece.name, *([said] if said else [])):
            there = any(("8", "label") in tags and ("1", words) in tags for tags in texts)
            expect(path, there, f"does not bear the words {words} on its label layer")
        found = [_shape(path, kind, tags) for kind, tags in entities if kind not in ("TEXT", "LINE")]
        lines = [_line(path, tags) for kind, tags in entities if kind == "LINE"]
        wanted = [(layer, rounded(ends)) for layer, ends in _lines(piece)]
        expect(path, sorted(lines) == sorted(wanted), f"has lines of bends and bevels at {lines}, not at {wanted} mm")
    except WrongFile:
        raise
    except (KeyError, IndexError, ValueError) as error:
        raise WrongFile(f"{path.name}: is not a DXF file of ours ({error!r})") from error
    _check_shapes(path, found, piece)


def _check_shapes(path: Path, found: list[Shape], piece: Piece) -> None:
    doubled = [numbers for numbers, n in Counter(numbers for _, numbers in found).items() if n > 1]
    expect(path, not doubled, f"has one line twice, at {doubled[0][:2] if doubled else ''} mm")
    wanted = [_numbers(layer, loop) for layer, loop in _shapes(piece)]
    wanted += [("mark", rounded(c for point in stroke for c in point)) for stroke in _strokes(piece)]
    missing, extra = Counter(wanted) - Counter(found), Counter(found) - Counter(wanted)
    for counter, what in ((missing, "lacks"), (extra, "has, and should not,")):
        for layer, numbers in counter:
            expect(path, False, f"{what} a shape on {layer} at {numbers[:2]} mm")


def _numbers(layer: str, loop: Loop | Circle) -> Shape:
    return layer, loop_numbers(loop)


def _line(path: Path, tags: Tags) -> Shape:
    """The ends of a line, which can only be that of a bend or of a bevel."""
    layer = next(value for code, value in tags if code == "8")
    expect(path, layer in ("bend-line", "bevel"), "has an open line that is no bend line")
    values = dict(tags)
    return layer, rounded(float(values[code]) for code in ("10", "20", "11", "21"))


def _shape(path: Path, kind: str, tags: Tags) -> Shape:
    """One loop or circle from its tags; a loop must be closed and have no segment of no length."""
    layer = next(value for code, value in tags if code == "8")
    if kind == "CIRCLE":
        values = dict(tags)
        return _numbers(layer, Circle(float(values["10"]), float(values["20"]), float(values["40"])))
    flags = next(int(value) for code, value in tags if code == "70")
    if layer == "mark" and not flags & 1:
        return layer, rounded(float(value) for code, value in tags if code in ("10", "20"))
    expect(path, bool(flags & 1), f"has an open line on {layer}")
    vertices: list[Vertex] = []
    for code, value in tags:
        if code == "10":
            vertices.append(Vertex(float(value), 0.0))
        elif code in ("20", "42") and vertices:
            last = vertices[-1]
            y, bulge = (float(value), last.bulge) if code == "20" else (last.y_mm, float(value))
            vertices[-1] = Vertex(last.x_mm, y, bulge)
    return _numbers(layer, Loop(tuple(vertices)))
