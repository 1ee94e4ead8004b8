"""A piece as triangles, made from a copy of its solid, so that no file depends on another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Face

from parts.shape.bent import bent
from parts.shape.kernel import KernelError, faces, kernel_step
from parts.shape.outline import Arc, Circle
from parts.shape.piece import Piece
from parts.shape.solid import body

__all__ = ["ANGLE_RAD", "SAG_MM", "Mesh", "mesh", "volume_slack_mm3"]

SAG_MM = 0.05  # how far a chord may leave its arc; judgement: a tenth of what an eye sees on a bench
KERNEL_MM = 1e-7  # the kernel takes points nearer than this for one
ANGLE_RAD = 0.2  # and how far it may turn: a hole is then at least 32-sided


@dataclass(frozen=True)
class Mesh:
    """Triangles of a closed body, in the piece's own axes, mm.

    Attributes:
        points_mm: (n, 3); each face of the body has its own points, so that edges stay sharp.
        normals: (n, 3), unit, outward.
        triangles: (m, 3) indices into the points, counter-clockwise seen from outside.
    """

    points_mm: NDArray[np.float64]
    normals: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume_mm3(self) -> float:
        a, b, c = (self.points_mm[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


@lru_cache(maxsize=512)
def mesh(piece: Piece) -> Mesh:
    """The piece's triangles: chords leave their arcs by at most `SAG_MM`.

    Raises:
        NotCovered, KernelError: as `parts.shape.solid.solid`, and when a face cannot be meshed.
    """
    original = body(piece)
    with kernel_step(piece.name, f"mesh to {SAG_MM:g} mm and {ANGLE_RAD:g} rad"):
        copy = BRepBuilderAPI_Copy(original, True, False).Shape()
        BRepMesh_IncrementalMesh(copy, SAG_MM, False, ANGLE_RAD, False)
        skin = [_face(piece, face) for face in faces(copy)]
    starts = np.cumsum([0, *(len(points) for points, _, _ in skin)])
    return Mesh(
        _snapped(np.concatenate([points for points, _, _ in skin])),
        np.concatenate([normals for _, normals, _ in skin]),
        np.concatenate([tris + start for (_, _, tris), start in zip(skin, starts[:-1], strict=True)]),
    )


def _face(piece: Piece, face: TopoDS_Face) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    where = TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face, where)
    if found is None:
        raise KernelError(f"{piece.name}: the kernel could not mesh a face")
    if not where.IsIdentity():
        raise KernelError(f"{piece.name}: a face of its solid is not in the piece's own axes")
    points = np.array([found.Node(i).Coord() for i in range(1, found.NbNodes() + 1)])
    tris = np.array([found.Triangle(i).Get() for i in range(1, found.NbTriangles() + 1)], dtype=np.int64) - 1
    if face.Orientation() == TopAbs_REVERSED:
        tris = tris[:, ::-1]
    return points, _normals(points, tris), tris


def _snapped(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Coordinates nearer than the kernel's tolerance made equal, so that faces share their edges to the last bit."""
    out = np.empty_like(points)
    for axis in range(3):
        values, place = np.unique(points[:, axis], return_inverse=True)
        first = np.concatenate([[True], np.diff(values) > KERNEL_MM])
        out[:, axis] = values[first][np.cumsum(first) - 1][place]
    return out


def _normals(points: NDArray[np.float64], tris: NDArray[np.int64]) -> NDArray[np.float64]:
    """At each point the mean of its triangles' normals, weighted by area: smooth inside one face."""
    a, b, c = (points[tris[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    out = np.zeros_like(points)
    for k in range(3):
        np.add.at(out, tris[:, k], flat)
    length: NDArray[np.float64] = np.linalg.norm(out, axis=1, keepdims=True)
    return out / np.where(length > 0.0, length, 1.0)


def volume_slack_mm3(piece: Piece) -> float:
    """The most by which the mesh's volume may differ from the piece's.

    Each arc of length s whose chords leave it by h encloses at most s x h between arc and chords, over the
    thickness (the true figure is two thirds of it); a countersink's cone counts as a hole of its widest
    diameter.
    """
    sizes: list[tuple[float, float]] = []
    for loop in (
        piece.outline.outer,
        *piece.outline.inner,
        *(loop for pocket in piece.pockets for loop in pocket.loops),
    ):
        parts = [loop] if isinstance(loop, Circle) else [s for s in loop.segments() if isinstance(s, Arc)]
        sizes += [(part.radius_mm, part.length_mm) for part in parts]
    for hole in piece.holes:
        radius = max(hole.bore_mm, hole.sink_mm or 0.0) / 2.0
        sizes.append((radius, math.tau * radius))
    area = sum(length * min(SAG_MM, radius * (1.0 - math.cos(ANGLE_RAD / 2.0))) for radius, length in sizes)
    slack = area * piece.thickness_mm + 1e-9 * piece.volume_mm3
    for band in bent(piece).bands if piece.bends else ():
        skin = (band.inside_mm + band.outside_mm) * band.angle_rad * band.width_mm
        slack += skin * min(SAG_MM, band.outside_mm * (1.0 - math.cos(ANGLE_RAD / 2.0)))
    return slack
