"""From a part to a CadQuery solid: the only room on this floor that imports the kernel.

The outline's lines, arcs and circles become exact edges; plain through bores are inner wires of the extruded
face, so they cost no cut. Blind and countersunk holes are cut as turned bodies: the bottom is flat at the
full depth (the drill point is not modelled) and a thread is modelled as its bore. Shapes returned here are
shared: never mesh them in place, because the kernel keeps the finest mesh made so far and later files would
depend on the order of writing. Use `parts.mesh`, which works on a copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache

import cadquery as cq
from OCP.BRepCheck import BRepCheck_Analyzer

from parts.findings import SeamwrightError
from parts.shape.outline import Arc, Circle, Loop
from parts.shape.part import require
from parts.shape.piece import Hole, Piece, Pocket
from parts.shape.tube import Tube

__all__ = ["KernelError", "located", "solid"]

VOLUME_RELATIVE = 1e-9  # kernel against hand formula; both are exact for planes, cylinders and cones
_UP = cq.Vector(0.0, 0.0, 1.0)


class KernelError(SeamwrightError):
    """The geometry kernel could not build a piece; the text names the piece, the step and the values."""


@lru_cache(maxsize=512)
def solid(part: Piece | Tube) -> cq.Solid:
    """The part as a solid in its own axes: near face or lower end on z = 0.

    Equal parts get the same shape object, built once.

    Raises:
        NotCovered: the piece has heat bends or bevelled edges.
        KernelError: the kernel failed, or what it built is not valid (holes that overlap each other, a
        cut-out or the
            edge), or its volume is not the piece's to 1e-9.
    """
    require(part, "the solid", "pockets", "tube")
    return _tube(part) if isinstance(part, Tube) else _sheet_piece(part)


def _tube(tube: Tube) -> cq.Solid:
    r = tube.stock.outside_mm / 2.0
    with kernel_step(tube.name, f"extrude a tube of {2.0 * r:g} x {tube.stock.wall_mm:g} mm, {tube.length_mm:g} long"):
        inner = _wire(Circle(r, r, tube.stock.inside_mm / 2.0))
        body = cq.Solid.extrudeLinear(_wire(Circle(r, r, r)), [inner], cq.Vector(0.0, 0.0, tube.length_mm))
    _prove(tube, body, "the tube is none")
    return body


def _sheet_piece(piece: Piece) -> cq.Solid:
    size = " x ".join(f"{side:g}" for side in piece.size_mm)
    with kernel_step(piece.name, f"extrude the outline, {size} mm"):
        body = _blank(piece)
    turned = [hole for hole in piece.holes if not _is_plain(hole)]
    if turned:
        with kernel_step(piece.name, f"drill {len(turned)} holes: {'; '.join(map(_say, turned))}"):
            body = _one_body(piece, body.cut(*(_cutter(piece, hole) for hole in turned)))
    if piece.pockets:
        with kernel_step(piece.name, f"mill {len(piece.pockets)} pockets: {'; '.join(map(_said, piece.pockets))}"):
            body = _one_body(piece, body.cut(*(_milled(piece, pocket) for pocket in piece.pockets)))
    opened = [word for word, there in (
        ("holes or cut-outs", piece.holes or piece.outline.inner), ("pockets", piece.pockets),
    ) if there]  # fmt: skip
    why = f"{' or '.join(opened)} meet each other or the edge" if opened else "the outline crosses itself"
    _prove(piece, body, why)
    return body


def located(
    shape: cq.Shape,
    origin: tuple[float, float, float],
    x: tuple[float, float, float],
    z: tuple[float, float, float],
) -> cq.Shape:
    """The shape with its own origin (mm), x axis and z axis put there; it shares geometry with `shape`."""
    return shape.moved(cq.Location(cq.Plane(origin=origin, xDir=x, normal=z)))


@contextmanager
def kernel_step(who: str, step: str) -> Iterator[None]:
    """Name the piece, the step and the values when the kernel fails: by itself it only says that it did."""
    try:
        yield
    except SeamwrightError:
        raise
    except Exception as error:  # the kernel's own errors share no base class
        said = str(error) or type(error).__name__
        raise KernelError(f"{who}: the kernel could not {step} ({said})") from error


def _is_plain(hole: Hole) -> bool:
    return hole.depth_mm is None and (hole.kind != "countersunk" or hole.sink_mm is None)


def _say(hole: Hole) -> str:
    deep = "" if hole.depth_mm is None else f", {hole.depth_mm:g} deep"
    return f"{hole.kind} {hole.bore_mm:g} mm{deep} at ({hole.x_mm:g}, {hole.y_mm:g}) mm"


def _blank(piece: Piece) -> cq.Solid:
    inner = [_wire(loop) for loop in piece.outline.inner]
    inner += [_wire(Circle(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0)) for hole in piece.holes if _is_plain(hole)]
    return cq.Solid.extrudeLinear(_wire(piece.outline.outer), inner, cq.Vector(0.0, 0.0, piece.thickness_mm))


def _wire(loop: Loop | Circle, z: float = 0.0) -> cq.Wire:
    if isinstance(loop, Circle):
        return cq.Wire.makeCircle(loop.radius_mm, cq.Vector(loop.x_mm, loop.y_mm, z), _UP)
    corners = [cq.Vector(v.x_mm, v.y_mm, z) for v in loop.vertices]
    edges = []
    for start, end, segment in zip(corners, (*corners[1:], corners[0]), loop.segments(), strict=True):
        if isinstance(segment, Arc):
            middle = cq.Vector(*segment.at(0.5), z)
            edges.append(cq.Edge.makeThreePointArc(start, middle, end))
        else:
            edges.append(cq.Edge.makeLine(start, end))
    return cq.Wire.assembleEdges(edges)


def _cutter(piece: Piece, hole: Hole) -> cq.Solid:
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
    points = [cq.Vector(hole.x_mm + r, hole.y_mm, face + into * d) for r, d in half]
    axis = cq.Vector(hole.x_mm, hole.y_mm, 0.0)
    return cq.Solid.revolve(cq.Wire.makePolygon(points, close=True), [], 360.0, axis, axis + _UP)


def _said(pocket: Pocket) -> str:
    x0, y0, x1, y1 = pocket.outline.bounds_mm
    return f"{x0:g}..{x1:g} x {y0:g}..{y1:g} mm, {pocket.depth_mm:g} deep"


def _milled(piece: Piece, pocket: Pocket) -> cq.Solid:
    """What the cutter sweeps; it runs out of the face by 1 mm."""
    low, high = pocket.span_mm(piece.thickness_mm)
    low, high = (low, high + 1.0) if pocket.side == "far" else (low - 1.0, high)
    return cq.Solid.extrudeLinear(_wire(pocket.outline, low), [], cq.Vector(0.0, 0.0, high - low))


def _one_body(piece: Piece, shape: cq.Shape) -> cq.Solid:
    solids = shape.Solids()
    if len(solids) != 1:
        raise KernelError(f"{piece.name}: drilling or milling left {len(solids)} bodies")
    return solids[0]


def _prove(part: Piece | Tube, body: cq.Solid, why: str) -> None:
    """Refuse a body that is not valid or whose volume is not the part's."""
    if not BRepCheck_Analyzer(body.wrapped).IsValid():
        raise KernelError(f"{part.name}: {why}")
    volume, drawn = body.Volume(), part.volume_mm3
    if abs(volume - drawn) > VOLUME_RELATIVE * drawn:
        raise KernelError(f"{part.name}: {why}: the solid has {volume:.6g} mm3 where the drawing has {drawn:.6g} mm3")
