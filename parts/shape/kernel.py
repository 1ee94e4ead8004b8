"""The geometry kernel by the bindings that cadquery brings: wires, prisms, turned bodies, cuts, volumes, places.

Importing the bindings takes half of the time of importing cadquery. What rooms build, intersect, measure and
write they do here and with the bindings; `parts.shape.solid.solid` gives a cadquery solid to whoever asks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Sewing,
    BRepBuilderAPI_Transform,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.Message import Message, Message_Gravity
from OCP.ShapeFix import ShapeFix_Face
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_FACE, TopAbs_ShapeEnum, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from parts.findings import SeamwrightError
from parts.shape.outline import Arc, Circle, Loop
from parts.vectors import Vector

__all__ = [
    "KernelError",
    "cut",
    "faces",
    "is_valid",
    "joined",
    "kernel_step",
    "moved",
    "place",
    "polyhedron",
    "prism",
    "solids",
    "swung",
    "turned",
    "volume_mm3",
    "wire",
]


for _printer in Message.DefaultMessenger_s().Printers():
    _printer.SetTraceLevel(Message_Gravity.Message_Fail)  # the kernel tells of its progress on standard output


class KernelError(SeamwrightError):
    """The geometry kernel could not build a piece; the text names the piece, the step and the values."""


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


def wire(loop: Loop | Circle, z: float = 0.0) -> TopoDS_Wire:
    """The loop as true lines, arcs or a circle, level at z."""
    if isinstance(loop, Circle):
        axis = gp_Ax2(gp_Pnt(loop.x_mm, loop.y_mm, z), gp_Dir(0.0, 0.0, 1.0))
        return _joined([BRepBuilderAPI_MakeEdge(gp_Circ(axis, loop.radius_mm)).Edge()])
    corners = [gp_Pnt(v.x_mm, v.y_mm, z) for v in loop.vertices]
    edges = []
    for start, end, segment in zip(corners, (*corners[1:], corners[0]), loop.segments(), strict=True):
        if isinstance(segment, Arc):
            curve = GC_MakeArcOfCircle(start, gp_Pnt(*segment.at(0.5), z), end).Value()
            edges.append(BRepBuilderAPI_MakeEdge(curve).Edge())
        else:
            edges.append(BRepBuilderAPI_MakeEdge(start, end).Edge())
    return _joined(edges)


def prism(outer: TopoDS_Wire, inner: Iterable[TopoDS_Wire], height_mm: float) -> TopoDS_Shape:
    """What lies between the wires, drawn upward."""
    return BRepPrimAPI_MakePrism(_face(outer, inner), gp_Vec(0.0, 0.0, height_mm), True).Shape()


def polyhedron(polygons: Iterable[Sequence[Vector]]) -> TopoDS_Shape:
    """The body that flat polygons close."""
    sewn = BRepBuilderAPI_Sewing()
    for polygon in polygons:
        corners = [gp_Pnt(*corner) for corner in polygon]
        ends = zip(corners, (*corners[1:], corners[0]), strict=True)
        sewn.Add(_face(_joined(BRepBuilderAPI_MakeEdge(a, b).Edge() for a, b in ends), ()))
    sewn.Perform()
    made = BRepBuilderAPI_MakeSolid(TopoDS.Shell(sewn.SewedShape())).Solid()
    BRepLib.OrientClosedSolid_s(made)
    return made


def turned(points: Sequence[Vector], x_mm: float, y_mm: float) -> TopoDS_Shape:
    """The closed polygon of the points, turned once about the upright axis through (x, y)."""
    corners = [gp_Pnt(*point) for point in points]
    ends = (*corners[1:], corners[0])
    edges = [BRepBuilderAPI_MakeEdge(a, b).Edge() for a, b in zip(corners, ends, strict=True)]
    axis = gp_Ax1(gp_Pnt(x_mm, y_mm, 0.0), gp_Dir(0.0, 0.0, 1.0))
    return BRepPrimAPI_MakeRevol(_face(_joined(edges), ()), axis, math.tau, True).Shape()


def swung(corners: Sequence[Vector], point: Vector, axis: Vector, angle_rad: float) -> TopoDS_Shape:
    """The closed flat polygon of the corners, swung about the axis through a point by an angle."""
    points = [gp_Pnt(*corner) for corner in corners]
    edges = [BRepBuilderAPI_MakeEdge(a, b).Edge() for a, b in zip(points, (*points[1:], points[0]), strict=True)]
    return BRepPrimAPI_MakeRevol(
        _face(_joined(edges), ()), gp_Ax1(gp_Pnt(*point), gp_Dir(*axis)), angle_rad, True
    ).Shape()


def joined(bodies: Sequence[TopoDS_Shape]) -> TopoDS_Shape:
    """Bodies that meet in whole faces as one; faces of one plane become one, and edges across which it runs smoothly are
    marked as such, so that no picture draws them."""
    work = BRepAlgoAPI_Fuse()
    work.SetArguments(_listed(bodies[:1]))
    work.SetTools(_listed(bodies[1:]))
    work.Build()
    one = ShapeUpgrade_UnifySameDomain(work.Shape(), True, True, False)
    one.Build()
    made = one.Shape()
    BRepLib.EncodeRegularity_s(made, 1e-6)
    return made


def cut(body: TopoDS_Shape, tools: Iterable[TopoDS_Shape]) -> TopoDS_Shape:
    """The body less all the tools, in one step."""
    work = BRepAlgoAPI_Cut()
    work.SetArguments(_listed([body]))
    work.SetTools(_listed(tools))
    work.SetRunParallel(True)
    work.Build()
    return work.Shape()


def place(origin: Vector, x: Vector, z: Vector) -> TopLoc_Location:
    """Where a shape stands whose own origin (mm), x axis and z axis are put there."""
    return TopLoc_Location(_move(origin, x, z))


def moved(shape: TopoDS_Shape, origin: Vector, x: Vector, z: Vector) -> TopoDS_Shape:
    """A shape of its own that stands there, in the axes that all is counted in."""
    return BRepBuilderAPI_Transform(shape, _move(origin, x, z), True).Shape()


def _move(origin: Vector, x: Vector, z: Vector) -> gp_Trsf:
    move = gp_Trsf()
    move.SetTransformation(gp_Ax3(gp_Pnt(*origin), gp_Dir(*z), gp_Dir(*x)))
    move.Invert()
    return move


def solids(shape: TopoDS_Shape) -> list[TopoDS_Shape]:
    """The bodies in a shape."""
    return list(_all(shape, TopAbs_SOLID))


def faces(shape: TopoDS_Shape) -> list[TopoDS_Face]:
    """The faces of a shape."""
    return [TopoDS.Face(found) for found in _all(shape, TopAbs_FACE)]


def volume_mm3(shape: TopoDS_Shape) -> float:
    """The volume that the shape encloses."""
    measured = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, measured)
    return float(measured.Mass())


def is_valid(shape: TopoDS_Shape) -> bool:
    """Whether the kernel finds no fault in it."""
    return bool(BRepCheck_Analyzer(shape).IsValid())


def _all(shape: TopoDS_Shape, sort: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    there = TopExp_Explorer(shape, sort)
    while there.More():
        yield there.Current()
        there.Next()


def _joined(edges: Iterable[TopoDS_Edge]) -> TopoDS_Wire:
    made = BRepBuilderAPI_MakeWire()
    made.Add(_listed(edges))
    return made.Wire()


def _face(outer: TopoDS_Wire, inner: Iterable[TopoDS_Wire]) -> TopoDS_Shape:
    """The flat face between wires, which runs the right way round; more than one where wires cross."""
    made = BRepBuilderAPI_MakeFace(outer, True)
    for loop in inner:
        made.Add(loop)
    fixed = ShapeFix_Face(made.Face())
    fixed.FixOrientation()
    fixed.Perform()
    return fixed.Result()


def _listed(shapes: Iterable[TopoDS_Shape]) -> TopTools_ListOfShape:
    listed = TopTools_ListOfShape()
    for shape in shapes:
        listed.Append(shape)
    return listed
