"""The STEP files: ISO 10303-214, one product per part bearing the part's name, instances by their placed
names.

The kernel writes the geometry and the assembly; its header (which bears the time), its numbering of
instances (which runs on within a process) and its colours (whose order changes between processes) are
replaced by our own, so that the same design gives the same bytes. The file is then read by `part21`, which
knows nothing of the kernel.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from math import dist
from pathlib import Path
from typing import Any

from assemblies.design.model import Design, Placed
from assemblies.packet.ink.readback import WrongFile, check_name, expect, part_names, shifted_origins, write_checked
from assemblies.packet.models.part21 import Ref, StepText
from assemblies.packet.models.tints import tint
from parts.shape.bent import bent, box_mm
from parts.shape.hole_rules import holes_meet
from parts.shape.outline import Arc, Circle, Loop
from parts.shape.piece import Piece
from parts.vectors import Vector

__all__ = ["check_piece_step", "check_step", "write_piece_step", "write_step"]

FIXED_TIME = "2000-01-01T00:00:00"  # the same design gives the same bytes
NEAR_MM = 1e-6  # the file has fifteen digits; this is room for rounding only


def write_step(design: Design, path: Path, offsets: Mapping[str, Vector] | None = None) -> None:
    """Write the design as a STEP assembly in mm, each instance moved by its offset (exploded view) if it has one.

    Raises:
        SeamwrightError: a name that cannot stand in a file, or an offset for no instance.
        NotCovered, KernelError: a piece has no solid.
        WrongFile: what was written is not the design; nothing is left behind.
        OSError: the file cannot be written.
    """
    pieces = [piece for _, piece in part_names(design)]
    text = _kernel_text(pieces, _product_name(design), shifted_origins(design, offsets))
    data = _own_text(text, design.name, pieces)
    write_checked(path, data, lambda p: check_step(p, design, offsets))


def write_piece_step(piece: Piece, path: Path) -> None:
    """Write one part alone, in its own axes: one product, no assembly.

    Raises:
        SeamwrightError: its name cannot stand in a file.
        NotCovered, KernelError: it has no solid.
        WrongFile: what was written is not the piece; nothing is left behind.
        OSError: the file cannot be written.
    """
    check_name(piece.name)
    data = _own_text(_kernel_text([piece], None, ()), piece.name, [piece])
    write_checked(path, data, lambda p: check_piece_step(p, piece))


def _product_name(design: Design) -> str:
    """The assembly's product; set apart where a part has the design's own name."""
    taken = any(piece.name == design.name for piece in design.pieces)
    return f"{design.name}-assembly" if taken else design.name


def _kernel_text(pieces: list[Piece], assembly: str | None, rows: tuple[tuple[Placed, Vector], ...]) -> str:
    """Parts, and the assembly of them if it has a name, as the kernel writes them, without colours."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    from parts.shape.kernel import kernel_step, place
    from parts.shape.solid import body

    bodies = {piece: body(piece) for piece in pieces}
    with kernel_step(assembly or pieces[0].name, f"write {len(pieces)} parts and {len(rows)} instances as STEP"):
        document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())

        def name(label: Any, text: str) -> Any:
            TDataStd_Name.Set_s(label, TCollection_ExtendedString(text))
            return label

        top = name(shapes.NewShape(), assembly) if assembly else None
        labels = {p: name(shapes.AddShape(made, False, False), p.name) for p, made in bodies.items()}
        for placed, origin in rows:
            name(shapes.AddComponent(top, labels[placed.piece], place(origin, placed.x, placed.z)), placed.name)
        shapes.UpdateAssemblies()
        return _transfer(document)


def _transfer(document: Any) -> str:
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    writer = STEPCAFControl_Writer()
    writer.SetColorMode(False)
    writer.SetNameMode(True)
    settings = {"write.surfacecurve.mode": 0, "write.precision.mode": 0, "write.step.schema": 4}
    before = {key: Interface_Static.IVal_s(key) for key in settings}  # the kernel keeps them for the whole process
    unit = Interface_Static.CVal_s("write.step.unit")
    try:
        for key, value in settings.items():
            Interface_Static.SetIVal_s(key, value)
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        if not writer.Transfer(document, STEPControl_AsIs):
            raise RuntimeError("transfer refused")
        stream = io.BytesIO()
        if writer.WriteStream(stream) != IFSelect_RetDone:
            raise RuntimeError("writing refused")
        # a string over a line's end is legal, but not what readers (and we) look for
        return re.sub(r"'[^']*'", lambda m: m[0].replace("\n", ""), stream.getvalue().decode("ascii"))
    finally:
        for key, value in before.items():
            Interface_Static.SetIVal_s(key, value)
        Interface_Static.SetCVal_s("write.step.unit", unit)


def _own_text(text: str, title: str, pieces: list[Piece]) -> bytes:
    return _own_colours(_own_numbers(_own_header(text, title)), pieces).encode("ascii")


def _own_header(text: str, title: str) -> str:
    schema = re.search(r"FILE_SCHEMA\(.*?\);", text, re.DOTALL)
    data = text[text.index("DATA;") :]
    header = (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(('{title}'),'2;1');\n"
        f"FILE_NAME('{title}','{FIXED_TIME}',(''),(''),'seamwright','seamwright','');\n"
        f"{schema[0] if schema else ''}\nENDSEC;\n"
    )
    return header + data


def _own_numbers(text: str) -> str:
    """An instance's id is its name: the kernel's counter runs on from file to file."""
    return re.sub(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\()\s*'\d+'\s*,\s*('[^']*')", lambda m: f"{m[1]}{m[2]},{m[2]}", text)


def _own_colours(text: str, pieces: list[Piece]) -> str:
    """Add one colour per part, on its solid, and give the solid the part's name."""
    step = StepText(text)
    kinds = {piece.name: piece.kind for piece in pieces}
    following = max(step.entities) + 1
    lines: list[str] = []
    for name, (shape, body) in _bodies(step).items():
        red, green, blue, opaque = tint(kinds[name])
        n = following + len(lines)
        lines += [
            f"#{n}=COLOUR_RGB('',{red},{green},{blue});",
            f"#{n + 1}=FILL_AREA_STYLE_COLOUR('',#{n});",
            f"#{n + 2}=FILL_AREA_STYLE('',(#{n + 1}));",
            f"#{n + 3}=SURFACE_STYLE_FILL_AREA(#{n + 2});",
            f"#{n + 4}=SURFACE_STYLE_TRANSPARENT({round(1.0 - opaque, 6)});",
            f"#{n + 5}=SURFACE_STYLE_RENDERING_WITH_PROPERTIES(.NORMAL_SHADING.,#{n},(#{n + 4}));",
            f"#{n + 6}=SURFACE_SIDE_STYLE('',(#{n + 3},#{n + 5}));",
            f"#{n + 7}=SURFACE_STYLE_USAGE(.BOTH.,#{n + 6});",
            f"#{n + 8}=PRESENTATION_STYLE_ASSIGNMENT((#{n + 7}));",
            f"#{n + 9}=STYLED_ITEM('{name}',(#{n + 8}),#{body});",
            f"#{n + 10}=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{n + 9}),#{step[shape].args[2]});",
        ]
        text = text.replace(f"#{body} = MANIFOLD_SOLID_BREP('',", f"#{body} = MANIFOLD_SOLID_BREP('{name}',")
    data, end, rest = text.rpartition("ENDSEC;")
    return data + "\n".join(lines) + "\n" + end + rest


def _products(step: StepText) -> dict[Ref, str]:
    """Product definitions with the name of their product."""
    formations = {ref: args[2] for ref, args in step.of("PRODUCT_DEFINITION_FORMATION")}
    return {ref: step[formations[args[2]]].args[1] for ref, args in step.of("PRODUCT_DEFINITION")}


def _bodies(step: StepText) -> dict[str, tuple[Ref, Ref]]:
    """For each product with a solid: its shape representation and that solid."""
    products, found = _products(step), {}
    for _, (definition, shape) in step.of("SHAPE_DEFINITION_REPRESENTATION"):
        owner = products.get(step[definition].args[2])
        bodies = [item for item in step[shape].args[1] if step[item].type == "MANIFOLD_SOLID_BREP"]
        if owner is not None and len(bodies) == 1:
            found[owner] = (shape, bodies[0])
    return found


def check_step(path: Path, design: Design, offsets: Mapping[str, Vector] | None = None) -> None:
    """Hold a STEP file against the design: products, instances with their places, each part's corners and rounds.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    products = [_product_name(design), *(name for name, _ in part_names(design))]
    with _reading(path):
        step = _check_parts(path, products, design.pieces)
        _check_instances(path, step, design, offsets)


def check_piece_step(path: Path, piece: Piece) -> None:
    """Hold a STEP file against one piece, as `check_step` does.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    with _reading(path):
        _check_parts(path, [piece.name], (piece,))


@contextmanager
def _reading(path: Path) -> Iterator[None]:
    try:
        yield
    except WrongFile:
        raise
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise WrongFile(f"{path.name}: has an entry that names nothing or is not as expected ({error})") from error


def _check_parts(path: Path, products: list[str], pieces: tuple[Piece, ...]) -> StepText:
    """The frame of the file, its products, and the one solid of each part."""
    raw = path.read_bytes()
    expect(path, raw.isascii(), "has bytes that are not ASCII")
    text = raw.decode("ascii")
    expect(path, text.startswith("ISO-10303-21;") and text.rstrip().endswith("END-ISO-10303-21;"), "is cut short")
    step = StepText(text)
    expect(path, f"'{FIXED_TIME}'" in step.header, "has no fixed time in its header")
    expect(path, "SI_UNIT(.MILLI.,.METRE.)" in text, "is not in mm")
    found, names = sorted(args[1] for _, args in step.of("PRODUCT")), sorted(products)
    expect(path, found == names, f"has the products {', '.join(found)} where the design has {', '.join(names)}")
    bodies = _bodies(step)
    for piece in pieces:
        expect(path, piece.name in bodies, f"has no single solid for {piece.name}")
        _check_body(path, step, bodies[piece.name][1], piece)
    return step


def _check_instances(path: Path, step: StepText, design: Design, offsets: Mapping[str, Vector] | None) -> None:
    products = _products(step)
    uses = dict(step.of("NEXT_ASSEMBLY_USAGE_OCCURRENCE"))
    wanted = {placed.name: (placed, origin) for placed, origin in shifted_origins(design, offsets)}
    named = sorted(args[1] for args in uses.values())
    expect(path, named == sorted(wanted), f"has the instances {', '.join(named)}")
    places = 0
    for _, (relation, definition) in step.of("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"):
        use = uses[step[definition].args[2]]
        placed, origin = wanted[use[1]]
        part = products[use[4]]
        expect(path, part == placed.piece.name, f"makes {placed.name} of {part}, not of {placed.piece.name}")
        moves = [ref for ref in step[relation].refs() if step[ref].type == "ITEM_DEFINED_TRANSFORMATION"]
        start, end = (_axes(step, ref) for ref in step[moves[0]].args[2:4])
        expect(path, start == ((0, 0, 0), (0, 0, 1), (1, 0, 0)), f"{placed.name} does not start from the part's axes")
        _check_place(path, placed, origin, end)
        places += 1
    expect(path, places == len(wanted), f"places {places} of {len(wanted)} instances")


def _axes(step: StepText, ref: Ref) -> tuple[Vector, Vector, Vector]:
    _, origin, z, x = step[ref].args
    return step.vector(origin), step.vector(z), step.vector(x)


def _check_place(path: Path, placed: Placed, origin: Vector, axes: tuple[Vector, Vector, Vector]) -> None:
    right = dist(axes[0], origin) < NEAR_MM and dist(axes[1], placed.z) < 1e-9 and dist(axes[2], placed.x) < 1e-9
    expect(path, right, f"{placed.name} stands at {axes[0]} with normal {axes[1]}, not at {origin} with {placed.z}")


def _check_body(path: Path, step: StepText, body: Ref, piece: Piece) -> None:
    """Vertices inside the piece's box and at every corner of its loops; one round face for each arc and bore.

    Holes that meet take corners away, and share round faces between them: there only the outer ones must all be found.
    """
    below = [step[ref] for ref in step.below(body)]
    corners = {tuple(step.vector(e.args[1])) for e in below if e.type == "VERTEX_POINT"}
    box = box_mm(piece)
    inside = all(
        low - NEAR_MM <= c <= high + NEAR_MM for corner in corners for c, low, high in zip(corner, *box, strict=True)
    )
    expect(path, bool(corners) and inside, f"{piece.name} has a corner outside {box} mm")
    radii = sorted(e.args[2] for e in below if e.type == "CYLINDRICAL_SURFACE")
    wanted = sorted(_radii(piece))
    if holes_meet(piece):
        outer = _radii(replace(piece, outline=replace(piece.outline, inner=()), holes=()))
        known = all(any(abs(a - b) < NEAR_MM for b in wanted) for a in radii)
        known = known and all(any(abs(a - b) < NEAR_MM for b in radii) for a in outer)
        expect(path, known, f"{piece.name} has round faces of radius {radii} mm, of which the piece has {wanted}")
        return
    rounded = {tuple(round(c, 6) + 0.0 for c in corner) for corner in corners}
    for corner in _corners(piece):
        expect(path, tuple(round(c, 6) + 0.0 for c in corner) in rounded, f"{piece.name} has no corner at {corner} mm")
    same = len(radii) == len(wanted) and all(abs(a - b) < NEAR_MM for a, b in zip(radii, wanted, strict=True))
    expect(path, same, f"{piece.name} has round faces of radius {radii} mm where the piece has {wanted} mm")


def _corners(piece: Piece) -> list[Vector]:
    if piece.bends:
        return [
            Placed(name=piece.name, piece=one.piece, origin=one.origin, x=one.x, z=one.z).world(*corner)
            for one in bent(piece).flats
            for corner in _corners(one.piece)
        ]
    thick = piece.thickness_mm
    loops: list[tuple[Loop | Circle, tuple[float, ...]]] = [(loop, (0.0, thick)) for loop in piece.outline.inner]
    loops += [(piece.outer_at(share), (share * thick,)) for share in (0.0, 1.0)]
    loops += [(loop, pocket.span_mm(thick)) for pocket in piece.pockets for loop in pocket.loops]
    return [
        (v.x_mm, v.y_mm, z) for loop, span in loops if not isinstance(loop, Circle) for v in loop.vertices for z in span
    ]


def _radii(piece: Piece) -> list[float]:
    if piece.bends:
        made = bent(piece)
        own = [r for band in made.bands for r in (band.inside_mm, band.outside_mm) if r > 0.0]
        return own + [r for one in made.flats for r in _radii(one.piece)]
    radii = [hole.bore_mm / 2.0 for hole in piece.holes]
    pockets = () if piece.is_tube else piece.pockets  # a notch in a rim takes of the faces that are there
    for loop in (piece.outline.outer, *piece.outline.inner, *(loop for pocket in pockets for loop in pocket.loops)):
        rounds = [loop] if isinstance(loop, Circle) else [s for s in loop.segments() if isinstance(s, Arc)]
        radii += [part.radius_mm for part in rounds]
    return radii
