"""From a part to a solid, by the geometry kernel.

The outline's lines, arcs and circles become exact edges; plain through bores are inner wires of the extruded
face, so they cost no cut. Blind and countersunk holes are cut as turned bodies: the bottom is flat at the
full depth (the drill point is not modelled) and a thread is modelled as its bore. Shapes returned here are
shared: never mesh them in place, because the kernel keeps the finest mesh made so far and later files would
depend on the order of writing. Use `parts.mesh`, which works on a copy.

Where holes run into each other or out of the piece (`holes_meet`, which the rules for holes stop) all are cut as bodies, the
largest that is left is the piece, and its volume is what the kernel finds: there is no drawn one to hold it to.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from OCP.TopoDS import TopoDS_Shape

from parts.shape.bent import Band, bent, made_of_bends_mm3
from parts.shape.hole_rules import holes_meet
from parts.shape.kernel import (
    KernelError,
    cut,
    is_valid,
    joined,
    kernel_step,
    moved,
    polyhedron,
    prism,
    solids,
    swung,
    turned,
    volume_mm3,
    wire,
)
from parts.shape.outline import Circle
from parts.shape.part import require
from parts.shape.piece import Hole, Piece, Pocket

if TYPE_CHECKING:  # cadquery takes as long again as the bindings: only who asks for its solids imports it
    import cadquery as cq

__all__ = ["KernelError", "body", "made_volume_mm3", "solid"]

VOLUME_RELATIVE = 1e-9  # kernel against hand formula; both are exact for planes, cylinders and cones


@lru_cache(maxsize=512)
def solid(part: Piece) -> cq.Solid:
    """The part as a cadquery solid in its own axes; it shares geometry with `body`, and raises as that does."""
    import cadquery as cq

    return cq.Solid(body(part))


@lru_cache(maxsize=512)
def body(part: Piece) -> TopoDS_Shape:
    """The part as the kernel's solid in its own axes: near face or lower end on z = 0.

    Equal parts get the same shape object, built once.

    Raises:
        NotCovered: bends that `parts.shape.bent` does not cover.
        KernelError: the kernel failed, or what it built is not valid (cut-outs that overlap each other or the edge), or its
            volume is not the piece's to 1e-9.
    """
    require(part, "the solid", "bends", "pockets", "bevels", "tube")
    return _bent_piece(part) if part.bends else _made(part)


def made_volume_mm3(piece: Piece) -> float:
    """The volume that its files must have: what is drawn, or what is left where its holes meet."""
    if holes_meet(piece):
        return volume_mm3(body(piece))
    return made_of_bends_mm3(piece) if piece.bends else piece.volume_mm3


def _bent_piece(piece: Piece) -> TopoDS_Shape:
    """Its flats as they are cut, each in its place, and between them what the bands sweep."""
    made = bent(piece)
    parts = [moved(body(one.piece), one.origin, one.x, one.z) for one in made.flats]
    with kernel_step(piece.name, f"bend it {len(made.bands)} times"):
        parts += [_swept(band) for band in made.bands]
        whole = _one_body(piece, joined(parts), meet=False) if len(parts) > 1 else parts[0]
    if not holes_meet(piece):
        _prove(piece, whole, "its bends run into each other or the rest", made_of_bends_mm3(piece))
    return whole


def _swept(band: Band) -> TopoDS_Shape:
    """A sector of a ring, drawn out along the bend line."""
    ends = [(r, along) for r in (band.inside_mm, band.outside_mm) for along in (0.0, band.width_mm)]
    corners = [band.at(r, 0.0, along) for r, along in (ends[0], ends[1], ends[3], ends[2])]
    x, y, z = (-band.side * v for v in band.along)
    return swung(corners, band.centre, (x, y, z), band.angle_rad)


def _made(piece: Piece) -> TopoDS_Shape:
    size = " x ".join(f"{side:g}" for side in piece.size_mm)
    meet = holes_meet(piece)
    apart = meet or bool(piece.bevels)  # every hole is cut by itself
    drilled = [hole for hole in piece.holes if apart or not _is_plain(hole)]
    with kernel_step(piece.name, f"extrude the outline, {size} mm"):
        made = _blank(piece, () if apart else (hole for hole in piece.holes if _is_plain(hole)))
    if drilled:
        with kernel_step(piece.name, f"drill {len(drilled)} holes: {'; '.join(map(_say, drilled))}"):
            made = _one_body(piece, cut(made, (_cutter(piece, hole) for hole in drilled)), meet=meet)
    if piece.pockets:
        with kernel_step(piece.name, f"mill {len(piece.pockets)} pockets: {'; '.join(map(_said, piece.pockets))}"):
            made = _one_body(piece, cut(made, (_milled(piece, pocket) for pocket in piece.pockets)), meet=meet)
    opened = [
        word
        for word, there in (("holes or cut-outs", piece.holes or piece.outline.inner), ("pockets", piece.pockets))
        if there
    ]
    why = f"{' or '.join(opened)} meet each other or the edge" if opened else "the outline crosses itself"
    if not meet:
        _prove(piece, made, why)
    elif not is_valid(made):
        raise KernelError(f"{piece.name}: {why}")
    return made


def _is_plain(hole: Hole) -> bool:
    return hole.depth_mm is None and (hole.kind != "countersunk" or hole.sink_mm is None)


def _say(hole: Hole) -> str:
    deep = "" if hole.depth_mm is None else f", {hole.depth_mm:g} deep"
    return f"{hole.kind} {hole.bore_mm:g} mm{deep} at ({hole.x_mm:g}, {hole.y_mm:g}) mm"


def _blank(piece: Piece, plain: Iterable[Hole]) -> TopoDS_Shape:
    """The outline with its cut-outs and these plain holes; its bevels cut."""
    if piece.bevels:
        return _bevelled(piece)
    inner = [wire(loop) for loop in piece.outline.inner]
    inner += [wire(Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0)) for hole in plain]
    return prism(wire(piece.outline.outer), inner, piece.thickness_mm)


def _bevelled(piece: Piece) -> TopoDS_Shape:
    """The body between a piece's two faces, less its cut-outs."""
    thick = piece.thickness_mm
    low, high = ([(x, y, z) for x, y in piece.outer_at(z / thick).points()] for z in (0.0, thick))
    sides = [[low[k - 1], low[k], high[k], high[k - 1]] for k in range(len(low))]
    made = polyhedron([low, high, *sides])
    if not piece.outline.inner:
        return made
    return cut(made, (prism(wire(loop, -1.0), (), thick + 2.0) for loop in piece.outline.inner))


def _cutter(piece: Piece, hole: Hole) -> TopoDS_Shape:
    """What the drill and countersink sweep, turned about the hole's axis; a through bore runs out by 1 mm."""
    bore = hole.bore_mm / 2.0
    run_out = 1.0 if hole.depth_mm is None else 0.0
    deep = hole.length_mm(piece.thickness_mm) + run_out
    face = piece.thickness_mm if hole.side == "far" else 0.0
    into = -1.0 if hole.side == "far" else 1.0
    half = [(0.0, 0.0), (bore, 0.0), (bore, deep), (0.0, deep)]
    if hole.kind == "countersunk" and hole.sink_mm is not None:
        sink = hole.sink_mm / 2.0
        cone = sink - bore  # 90 degrees: as deep as it is wider
        if not 0.0 < cone < deep - run_out:
            raise KernelError(
                f"{piece.name}: a countersink of {hole.sink_mm:g} mm over a bore of {hole.bore_mm:g} mm "
                f"would be {cone:g} mm deep; it must be over 0 and under {deep - run_out:g} mm"
            )
        half[1:2] = [(sink, 0.0), (bore, cone)]
    return turned([(hole.x_mm + r, hole.y_mm, face + into * d) for r, d in half], hole.x_mm, hole.y_mm)


def _said(pocket: Pocket) -> str:
    x0, y0, x1, y1 = pocket.outline.bounds_mm
    return f"{x0:g}..{x1:g} x {y0:g}..{y1:g} mm, {pocket.depth_mm:g} deep"


def _milled(piece: Piece, pocket: Pocket) -> TopoDS_Shape:
    """What the cutter sweeps; it runs out of the face by 1 mm."""
    low, high = pocket.span_mm(piece.thickness_mm)
    low, high = (low, high + 1.0) if pocket.side == "far" else (low - 1.0, high)
    return prism(wire(pocket.outline, low), [wire(island, low) for island in pocket.islands], high - low)


def _one_body(piece: Piece, shape: TopoDS_Shape, *, meet: bool) -> TopoDS_Shape:
    there = sorted(solids(shape), key=volume_mm3)
    if not there or (len(there) > 1 and not meet):
        raise KernelError(f"{piece.name}: drilling or milling left {len(there)} bodies")
    return there[-1]


def _prove(part: Piece, made: TopoDS_Shape, why: str, drawn_mm3: float | None = None) -> None:
    """Refuse a body that is not valid or whose volume is not the part's."""
    if not is_valid(made):
        raise KernelError(f"{part.name}: {why}")
    volume, drawn = volume_mm3(made), part.volume_mm3 if drawn_mm3 is None else drawn_mm3
    if abs(volume - drawn) > VOLUME_RELATIVE * drawn:
        raise KernelError(f"{part.name}: {why}: the solid has {volume:.6g} mm3 where the drawing has {drawn:.6g} mm3")
