"""What can hold liquid, as frozen plain data: a convex polyhedron, a cylinder, or a closed triangle mesh.

Faces are the walls' inner surfaces, in mm, in the rig's own axes. Corners run counter-clockwise seen from
outside the liquid, so that normals point out of the liquid. An open side is no face: the edges it leaves bare
must be lips.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from assemblies.liquid.shapes.cells import Block, CellBody, Slope
from assemblies.liquid.shapes.facets import FacetBody, bare_edges, check_convex, check_mesh, signed_volume
from assemblies.liquid.shapes.openings import OVER_THE_RIM, Circle3, Lip, Port
from assemblies.liquid.shapes.round_body import RoundBody
from assemblies.liquid.shapes.wet import Array, Body
from parts.findings import SeamwrightError
from parts.vectors import Vector, finite, finite_vector, unit

__all__ = ["Cavity", "Cylinder", "Face", "Mesh", "box", "round_cavity"]

_CORNER_MM = 0.01  # corners nearer than this are one
_ON_WALL_MM = 0.1  # how far off its wall a port may be given: a drawing's rounding (judgement)
_IN_WALL = 0.9  # least cosine between the normals of a port and its wall: a mesh's facets turn a little (judgement)


@dataclass(frozen=True, kw_only=True)
class Face:
    """A flat inner surface. Faces of one name (a wall in two planes) are added up in results."""

    name: str
    corners: tuple[Vector, ...]

    def __post_init__(self) -> None:
        if len(self.corners) < 3:
            raise SeamwrightError(f"face {self.name!r}: {len(self.corners)} corners, needs three or more")
        for corner in self.corners:
            finite_vector(corner, f"face {self.name!r}")


@dataclass(frozen=True, kw_only=True)
class Cylinder:
    """A round cavity: faces `wall`, `bottom` and, when the top is closed, `lid`.

    Attributes:
        base: centre of the inner floor, mm.
        axis: from floor to top, any length.
        radius_mm, height_mm: inside.
        closed_top: no opening at the top.
    """

    base: Vector
    axis: Vector = (0.0, 0.0, 1.0)
    radius_mm: float
    height_mm: float
    closed_top: bool = False

    def __post_init__(self) -> None:
        finite_vector(self.base, "base of the cylinder")
        object.__setattr__(self, "axis", unit(self.axis, "axis of the cylinder"))
        _positive(self.radius_mm, "radius")
        _positive(self.height_mm, "height")

    @property
    def rim(self) -> Circle3:
        """The circle at the top."""
        x, y, z = (b + self.height_mm * a for b, a in zip(self.base, self.axis, strict=True))
        return Circle3(centre=(x, y, z), normal=self.axis, radius_mm=self.radius_mm)


@dataclass(frozen=True, kw_only=True)
class Mesh:
    """Any closed surface as triangles, convex or not; closed but for edges that are lips.

    Attributes:
        points: mm.
        triangles: indices of points, counter-clockwise seen from outside the liquid.
        names: face name of each triangle; one name for all when a single one is given.
    """

    points: tuple[Vector, ...]
    triangles: tuple[tuple[int, int, int], ...]
    names: tuple[str, ...] = ("wall",)

    def __post_init__(self) -> None:
        count, faces = len(self.points), len(self.triangles)
        if faces == 0 or any(not 0 <= i < count for triangle in self.triangles for i in triangle):
            raise SeamwrightError(f"mesh: {faces} triangles over {count} points: none, or an index out of range")
        if len(self.names) not in (1, faces):
            raise SeamwrightError(f"mesh: {len(self.names)} names for {faces} triangles")


@dataclass(frozen=True, kw_only=True)
class Cavity:
    """One of `faces` (a convex polyhedron), `cylinder` or `mesh`, with the ways out.

    Attributes:
        faces, cylinder, mesh: exactly one is given.
        lips: edges over which liquid leaves. Every bare edge of the faces must lie on one; a loose lid has
            faces and lips.
        ports: round holes in the walls, open or shut.
        solids: pieces that stand in a box of faces and take room from it.
        slopes: sloped floors over the floor of a box of faces.
        above: the room within what lies on the rim of a box of faces, from its walls' top on; its lips are at the top of that.

    Raises:
        SeamwrightError: more or less than one shape, a bare edge that is no lip, faces that are not flat, not
            convex or turned inside out, a size that is none, a port that lies in no wall.
    """

    faces: tuple[Face, ...] = ()
    cylinder: Cylinder | None = None
    mesh: Mesh | None = None
    lips: tuple[Lip, ...] = ()
    ports: tuple[Port, ...] = field(default=())
    solids: tuple[Block, ...] = ()
    above: Block | None = None
    slopes: tuple[Slope, ...] = ()

    def __post_init__(self) -> None:
        given = [bool(self.faces), self.cylinder is not None, self.mesh is not None]
        if sum(given) != 1:
            raise SeamwrightError("cavity: give one of faces, cylinder or mesh")
        names = [lip.name for lip in self.lips] + [port.name for port in self.ports]
        if len(set(names)) < len(names):
            raise SeamwrightError(f"cavity: two ways out share a name among {', '.join(names)}")
        if self.cylinder is not None:
            if not self.cylinder.closed_top and not any(lip.circle == self.cylinder.rim for lip in self.lips):
                raise SeamwrightError("cavity: the cylinder's open top is no lip")
        else:
            self._check_facets()
        if (self.solids or self.above or self.slopes) and self.upright_box is None:
            raise SeamwrightError("cavity: only a box along the axes may have pieces in it, or strips on its rim")
        if self.above is not None:
            self._check_above(self.above)
        for port in self.ports:
            self._check_port(port)

    def _check_above(self, above: Block) -> None:
        ends = self.upright_box
        assert ends is not None
        (x0, y0, _), (x1, y1, top) = ends
        if not (x0 <= above.low[0] and above.high[0] <= x1 and y0 <= above.low[1] and above.high[1] <= y1) or (
            abs(above.low[2] - top) > _CORNER_MM
        ):
            raise SeamwrightError(
                f"cavity: the room above it, {above.name}, does not stand on its top within its walls"
            )

    def _check_port(self, port: Port) -> None:
        """An open port off the walls would empty the cavity to wherever it is."""
        names, distances, normals = self._walls(port.circle.centre)
        on = distances <= _ON_WALL_MM
        if not on.any():
            place, k = ", ".join(f"{c:g}" for c in port.circle.centre), int(distances.argmin())
            raise SeamwrightError(
                f"port {port.name!r}: its centre ({place}) mm lies on no wall of the cavity; the nearest, {names[k]}, is "
                f"{distances[k]:.3g} mm away: give the place on the inside of its wall"
            )
        if np.abs(normals[on] @ np.array(port.circle.normal)).max() < _IN_WALL:
            raise SeamwrightError(
                f"port {port.name!r}: its hole stands across the wall {names[int(distances.argmin())]}: "
                "give the wall's normal as the circle's"
            )

    def _walls(self, point: Vector) -> tuple[tuple[str, ...], Array, Array]:
        """Walls as seen from a point, those that a piece stands before with them."""
        names, distances, normals = self.body.beside(point)
        if not self.solids:
            return names, distances, normals
        more, off, out = replace(self, solids=(), ports=()).body.beside(point)
        return (*names, *more), np.concatenate([distances, off]), np.concatenate([normals, out])

    def _check_facets(self) -> None:
        on_lips = tuple(corner for lip in self.lips for corner in lip.corners)
        if (
            self.above is not None or self.solids
        ):  # its walls end under what lies on them, or behind what stands before them
            on_lips += tuple(corner for face in self.faces for corner in face.corners)
        if self.faces:
            check_convex([(face.name, np.array(face.corners, float)) for face in self.faces], on_lips)
        elif self.mesh is not None:
            check_mesh(self._corners, on_lips)

    @cached_property
    def _corners(self) -> Array:
        """Triangles as (n, 3, 3), fans of the faces or those of the mesh."""
        if self.mesh is not None:
            points = np.array(self.mesh.points, float).reshape(-1, 3)
            return np.asarray(points[np.array(self.mesh.triangles, int)])
        fans = [
            (face.corners[0], face.corners[k], face.corners[k + 1])
            for face in self.faces
            for k in range(1, len(face.corners) - 1)
        ]
        return np.array(fans, float)

    @property
    def _owners(self) -> tuple[str, ...]:
        """The face name of each triangle."""
        if self.mesh is not None:
            names = self.mesh.names
            return names if len(names) == len(self.mesh.triangles) else names * len(self.mesh.triangles)
        return tuple(face.name for face in self.faces for _ in range(len(face.corners) - 2))

    @cached_property
    def body(self) -> Body:
        """The integrals of the wetted part, for the engine."""
        if self.cylinder is not None:
            c = self.cylinder
            return RoundBody(base=c.base, axis=c.axis, radius=c.radius_mm, height=c.height_mm, lid=c.closed_top)
        ends = self.upright_box
        if ends is not None and (self.solids or self.above or self.slopes):
            room, lid = Block(name="inside", low=ends[0], high=ends[1]), any(face.name == "lid" for face in self.faces)
            return CellBody(room, self.solids, self.above, lid=lid, slopes=self.slopes)
        return FacetBody(self._corners, self._owners, one_pool=bool(self.faces))

    @property
    def depth_mm(self) -> float:
        """From the lowest point to the highest, standing as drawn."""
        low, high = self.body.span((0.0, 0.0, 1.0))
        return high - low

    @property
    def face_names(self) -> tuple[str, ...]:
        """Names of the walls, each once."""
        return self.body.names

    @cached_property
    def upright_box(self) -> tuple[Vector, Vector] | None:
        """The two far corners of its faces, where they make a box along the axes; else None."""
        corners = {corner for face in self.faces for corner in face.corners}
        if not corners:
            return None
        low, high = (tuple(pick(c[k] for c in corners) for k in range(3)) for pick in (min, max))
        ends = (low, high)
        wanted = {(ends[i][0], ends[j][1], ends[k][2]) for i in (0, 1) for j in (0, 1) for k in (0, 1)}
        met = [[w for w in wanted if math.dist(w, c) < _CORNER_MM] for c in corners]
        if not (all(met) and len({w for one in met for w in one}) == len(wanted)):
            return None
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    @property
    def openings(self) -> tuple[Lip | Port, ...]:
        """Lips and the ports that are open."""
        return (*self.lips, *(port for port in self.ports if port.open))

    def way_out(self, names: Iterable[str]) -> str:
        """How liquid goes that leaves by these ways out: through ports, else by its lips."""
        left = tuple(names)
        ports = [port.name for port in self.ports if port.name in left]
        if ports:
            return f"through {' and '.join(ports)}"
        return " and ".join(dict.fromkeys(lip.way for lip in self.lips if lip.name in left)) or OVER_THE_RIM


def _positive(value: float, what: str) -> float:
    if not (finite(value) and value > 0.0):
        raise SeamwrightError(f"{what}: {value!r} mm, must be a finite number above 0")
    return float(value)


#: Corners of a box's six faces as picks of low (0) and high (1), counter-clockwise from outside.
_BOX_FACES = {
    "left": ((0, 0, 0), (0, 0, 1), (0, 1, 1), (0, 1, 0)),
    "right": ((1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1)),
    "front": ((0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)),
    "back": ((0, 1, 0), (0, 1, 1), (1, 1, 1), (1, 1, 0)),
    "bottom": ((0, 0, 0), (0, 1, 0), (1, 1, 0), (1, 0, 0)),
    "lid": ((0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)),
}


def box(
    length_mm: float,
    width_mm: float,
    depth_mm: float,
    *,
    low: Vector | None = None,
    lid: str = "none",
    ports: Sequence[Port] = (),
    above: Block | None = None,
) -> Cavity:
    """The inside of a box tank: faces `left right front back bottom`, each wall's top edge a lip of its name.

    Args:
        length_mm, width_mm, depth_mm: inside sizes along x, y, z.
        low: the corner at least x, y, z; by default x and y are centred and the floor is at z = 0.
        lid: `none`, `loose` (a lid that lets liquid out at its edges) or `sealed` (bonded or screwed down:
            nothing leaves).
        ports: holes in the walls.
        above: the room within the strips that lie on its rim, over which the liquid then leaves.

    Raises:
        SeamwrightError: a size that is not a finite number above 0, or an unknown lid.

    >>> [lip.name for lip in box(300, 200, 150).lips]
    ['left', 'right', 'front', 'back']
    """
    sizes = [_positive(v, n) for v, n in ((length_mm, "length"), (width_mm, "width"), (depth_mm, "depth"))]
    if lid not in ("none", "loose", "sealed"):
        raise SeamwrightError(f"lid: {lid!r} is none of none, loose, sealed")
    start = (-sizes[0] / 2.0, -sizes[1] / 2.0, 0.0) if low is None else finite_vector(low, "low")
    ends = [(a, a + size) for a, size in zip(start, sizes, strict=True)]

    def at(pick: tuple[int, int, int], ends: Sequence[tuple[float, float]] = ends) -> Vector:
        return ends[0][pick[0]], ends[1][pick[1]], ends[2][pick[2]]

    names = [name for name in _BOX_FACES if name != "lid" or lid != "none"]
    faces = tuple(Face(name=name, corners=tuple(map(at, _BOX_FACES[name]))) for name in names)
    brim = [(above.low[k], above.high[k]) for k in range(3)] if above else ends
    lips = (
        ()
        if lid == "sealed"
        else tuple(
            Lip(name=name, corners=tuple(at(pick, brim) for pick in _BOX_FACES[name] if pick[2] == 1))
            for name in ("left", "right", "front", "back")
        )
    )
    return Cavity(faces=faces, lips=lips, ports=tuple(ports), above=above)


def round_cavity(
    radius_mm: float,
    height_mm: float,
    *,
    base: Vector = (0.0, 0.0, 0.0),
    axis: Vector = (0.0, 0.0, 1.0),
    lid: str = "none",
    ports: Sequence[Port] = (),
) -> Cavity:
    """The inside of a round tank: faces `wall bottom` (and `lid`), one lip `rim`; `lid` as for `box`.

    Raises:
        SeamwrightError: a size that is not a finite number above 0, or an unknown lid.
    """
    if lid not in ("none", "loose", "sealed"):
        raise SeamwrightError(f"lid: {lid!r} is none of none, loose, sealed")
    shape = Cylinder(
        base=base,
        axis=axis,
        radius_mm=_positive(radius_mm, "radius"),
        height_mm=_positive(height_mm, "height"),
        closed_top=lid != "none",
    )
    lips = () if lid == "sealed" else (Lip(name="rim", circle=shape.rim),)
    return Cavity(cylinder=shape, lips=lips, ports=tuple(ports))


def lips_of(faces: Iterable[Face]) -> tuple[Lip, ...]:
    """A lip for every bare edge of these faces, named after the face it belongs to (numbered when it has several)."""
    listed = [(face.name, np.array(face.corners, float)) for face in faces]
    out: list[Lip] = []
    for name, a, b in bare_edges(listed):
        same = sum(1 for lip in out if lip.name.split("#")[0] == name)
        ends = tuple((float(p[0]), float(p[1]), float(p[2])) for p in (a, b))
        out.append(Lip(name=name if not same else f"{name}#{same + 1}", corners=ends))
    return tuple(out)


__all__ += ["lips_of", "signed_volume"]
