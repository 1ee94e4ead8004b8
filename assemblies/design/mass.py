"""Mass, centre of mass and inertia of pieces, and of several bodies as one.

Source: parallel-axis theorem; Green's theorem for the moments of an outline of lines and arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Placed, flat_parts
from parts.findings import SeamwrightError
from parts.shape.bent import Band, bent
from parts.shape.outline import Arc, Circle, Line, Loop
from parts.shape.part import require
from parts.shape.piece import Hole, Piece
from parts.vectors import Vector, finite, finite_vector

__all__ = ["Body", "combine", "cuboid", "piece_body"]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)  # exact to rounding on a quarter turn


_Rows = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, kw_only=True)
class Body:
    """A rigid body: mass (kg), centre of mass (mm), inertia about that centre (kg mm2)."""

    mass_kg: float
    centre_mm: Vector
    inertia_kg_mm2: _Rows

    def about(self, point: Vector) -> _Rows:
        """Inertia about a point, axes kept."""
        arm = np.array(self.centre_mm) - np.array(finite_vector(point, "point"))
        return _rows(np.array(self.inertia_kg_mm2) + self.mass_kg * (np.eye(3) * (arm @ arm) - np.outer(arm, arm)))

    def about_axis(self, point: Vector, axis: Vector) -> float:
        """Moment of inertia (kg mm2) about the axis through a point along `axis` (any length)."""
        a = np.array(finite_vector(axis, "axis"))
        return float(a @ np.array(self.about(point)) @ a / (a @ a))

    @property
    def products(self) -> Vector:
        """Sums of m x y, m x z and m y z about the centre of mass."""
        i = self.inertia_kg_mm2
        return -i[0][1], -i[0][2], -i[1][2]


def combine(bodies: Iterable[Body]) -> Body:
    """Several bodies as one.

    Raises:
        SeamwrightError: nothing with mass.
    """
    listed = list(bodies)
    mass = math.fsum(body.mass_kg for body in listed)
    if mass <= 0.0:
        raise SeamwrightError("bodies: none has any mass")
    centre = sum((body.mass_kg * np.array(body.centre_mm) for body in listed), np.zeros(3)) / mass
    place: Vector = (float(centre[0]), float(centre[1]), float(centre[2]))
    inertia = sum((np.array(body.about(place)) for body in listed), np.zeros((3, 3)))
    return Body(mass_kg=mass, centre_mm=place, inertia_kg_mm2=_rows(inertia))


def cuboid(size_mm: Vector, centre_mm: Vector, density_kg_m3: float) -> Body:
    """A solid block with its edges along the axes.

    Raises:
        SeamwrightError: a size or density that is not finite and above 0.
    """
    size, centre = finite_vector(size_mm, "size"), finite_vector(centre_mm, "centre")
    if min(size) <= 0.0 or not (finite(density_kg_m3) and density_kg_m3 > 0.0):
        raise SeamwrightError(f"block {size} mm of {density_kg_m3!r} kg/m3: sizes and density must be above 0")
    mass = size[0] * size[1] * size[2] * density_kg_m3 * 1e-9
    x, y, z = (s * s for s in size)
    inertia = np.diag([y + z, x + z, x + y]) * (mass / 12.0)
    return Body(mass_kg=mass, centre_mm=centre, inertia_kg_mm2=_rows(inertia))


def piece_body(placed: Placed) -> Body:
    """A placed piece: outline, cut-outs and pockets by their true lines and arcs, bores as cylinders; or a tube.

    A countersink's cone counts as a disc of its volume at its centre of mass. A bent piece: its flats, and its bands as sectors
    that weigh what the flat sheet in them does.

    Raises:
        NotCovered: bends that `parts.shape.bent` does not cover.
    """
    if "bends" in placed.piece.features:
        flats = [piece_body(part.placed) for part in flat_parts(placed)]
        return combine([*flats, *(_band_body(placed, band) for band in bent(placed.piece).bands)])
    moments = _moments(placed.piece) * (placed.piece.stock.density_kg_m3 * 1e-9)
    mass, first, second = moments[0, 0], moments[0, 1:], moments[1:, 1:]
    centre = first / mass
    frame = np.array([placed.x, placed.y, placed.z])
    spread = frame.T @ (second - np.outer(centre, centre) * mass) @ frame
    return Body(
        mass_kg=float(mass),
        centre_mm=placed.world(float(centre[0]), float(centre[1]), float(centre[2])),
        inertia_kg_mm2=_rows(np.eye(3) * np.trace(spread) - spread),
    )


def _band_body(placed: Placed, band: Band) -> Body:
    """A sector of a ring, drawn out along its bend line, as heavy as the flat sheet that it is bent from.

    Source: integrals of the sector in closed form, from the axis: out is along the sheet as it enters, up away from it.
    """
    a, c, s = band.angle_rad, math.cos(band.angle_rad), math.sin(band.angle_rad)
    area, first, second = ((band.outside_mm**n - band.inside_mm**n) / n for n in (2, 3, 4))  # of r, r2 and r3
    width = band.width_mm
    mass = (band.end_mm - band.start_mm) * width * band.thick_mm * placed.piece.stock.density_kg_m3 * 1e-9
    each = mass / (a * area * width)
    out, up = first * (1.0 - c), -band.side * first * s
    centre = np.array([out / (a * area), width / 2.0, up / (a * area)])
    spread = np.diag(
        [second * (a - s * c) / 2.0 * width, a * area * width**3 / 3.0, second * (a + s * c) / 2.0 * width]
    )
    spread[0, 2] = spread[2, 0] = -band.side * second * s * s / 2.0 * width
    spread[0, 1] = spread[1, 0] = out * width**2 / 2.0
    spread[1, 2] = spread[2, 1] = up * width**2 / 2.0
    own = np.array([band.across, band.along, band.normal]) @ np.array([placed.x, placed.y, placed.z])
    about = own.T @ (each * spread - mass * np.outer(centre, centre)) @ own
    x, y, z = (float(v) for v in centre)
    point = band.at(0.0, 0.0)
    place = [point[k] + x * band.across[k] + y * band.along[k] + z * band.normal[k] for k in range(3)]
    return Body(mass_kg=mass, centre_mm=placed.world(*place), inertia_kg_mm2=_rows(np.eye(3) * np.trace(about) - about))


def _moments(part: Piece) -> Array:
    """Moments of 1, x, y, z squared up (4 x 4) over a part's volume, in its own axes."""
    require(part, "the inertia", "pockets", "bevels", "tube")
    thick = part.thickness_mm
    moments = _between(part) if part.bevels else _prism(_loop_moments(part.outline.outer), 0.0, thick)
    for inner in part.outline.inner:
        moments = moments - _prism(_loop_moments(inner), 0.0, thick)
    for pocket in part.pockets:
        moments = moments - _prism(_loop_moments(pocket.outline), *pocket.span_mm(thick))
        for opening in (*pocket.islands, *part.openings_in(pocket)):
            moments = moments + _prism(_loop_moments(opening), *pocket.span_mm(thick))
    for hole in part.holes:
        moments = moments - _hole(hole, thick)
    return moments


def _between(part: Piece) -> Array:
    """Moments of what lies between bevelled faces: the sections are polynomials of the height, so Gauss points are exact."""
    out = np.zeros((4, 4))
    for share, weight in zip((_NODES + 1.0) / 2.0, _WEIGHTS / 2.0, strict=True):
        flat, z = _loop_moments(part.outer_at(float(share))), float(share) * part.thickness_mm
        section = np.zeros((4, 4))
        section[:3, :3] = flat
        section[:3, 3] = section[3, :3] = flat[0] * z
        section[3, 3] = flat[0, 0] * z * z
        out += section * (weight * part.thickness_mm)
    return out


def _hole(hole: Hole, thick: float) -> Array:
    """Moments of what the drill takes out."""
    length = hole.length_mm(thick)
    near = hole.side == "near"
    low, high = (0.0, length) if near else (thick - length, thick)
    bore = _prism(_circle_moments(hole.x_mm, hole.y_mm, hole.bore_mm / 2.0), low, high)
    cone = hole.volume_mm3(thick) - math.pi * hole.bore_mm**2 / 4.0 * length
    if cone <= 0.0 or hole.sink_mm is None:
        return bore
    big, small = hole.sink_mm / 2.0, hole.bore_mm / 2.0
    deep = big - small
    # the ring between cone and bore: centroid depth from the sunk face, by Pappus on its triangle section
    middle = deep * (big + 3.0 * small) / (4.0 * (big + 2.0 * small))
    z = middle if near else thick - middle
    radius = math.sqrt((big * big + small * small) / 2.0)
    half = cone / (math.pi * radius * radius) / 2.0
    return bore + _prism(_circle_moments(hole.x_mm, hole.y_mm, radius), z - half, z + half)


def _prism(flat: Array, low: float, high: float) -> Array:
    """Moments of 1, x, y, z squared up (4 x 4) of a flat shape (3 x 3 over 1, x, y) that reaches from low to high."""
    length, middle, square = high - low, (high**2 - low**2) / 2.0, (high**3 - low**3) / 3.0
    out = np.zeros((4, 4))
    out[:3, :3] = flat * length
    out[:3, 3] = out[3, :3] = flat[0] * middle
    out[3, 3] = flat[0, 0] * square
    return out


def _circle_moments(x: float, y: float, radius: float) -> Array:
    area = math.pi * radius * radius
    place = np.array([1.0, x, y])
    return np.outer(place, place) * area + np.diag([0.0, 1.0, 1.0]) * (area * radius * radius / 4.0)


def _loop_moments(loop: Loop | Circle) -> Array:
    """Integrals over a loop's inside of the products of 1, x, y (3 x 3), by Green's theorem; area positive."""
    if isinstance(loop, Circle):
        return _circle_moments(loop.x_mm, loop.y_mm, loop.radius_mm)
    total = np.zeros((3, 3))
    for segment in loop.segments():
        x, y, dx, dy = _along(segment) if isinstance(segment, Arc) else _line(segment)
        xx, xy, yy = (x**3 / 3.0) @ dy, (x * x * y / 2.0) @ dy, -(y**3 / 3.0) @ dx
        total += np.array([[x @ dy, (x * x / 2.0) @ dy, -(y * y / 2.0) @ dx], [0.0, xx, xy], [0.0, 0.0, yy]])
    total = total + np.triu(total, 1).T
    return total if total[0, 0] > 0.0 else -total


def _line(line: Line) -> tuple[Array, Array, Array, Array]:
    """Places along a line and its steps at Gauss points: x, y, dx, dy."""
    part, weight = (_NODES + 1.0) / 2.0, _WEIGHTS / 2.0
    dx, dy = line.x1_mm - line.x0_mm, line.y1_mm - line.y0_mm
    return line.x0_mm + part * dx, line.y0_mm + part * dy, weight * dx, weight * dy


def _along(arc: Arc) -> tuple[Array, Array, Array, Array]:
    """The same along an arc, taken in pieces of at most a quarter turn."""
    pieces = max(1, math.ceil(abs(arc.sweep_rad) / (math.pi / 2.0)))
    step = arc.sweep_rad / pieces
    starts = arc.start_rad + step * np.arange(pieces)
    angle = (starts[:, None] + step * (_NODES + 1.0) / 2.0).ravel()
    weight = np.tile(_WEIGHTS * (step / 2.0), pieces)
    x, y = arc.radius_mm * np.cos(angle), arc.radius_mm * np.sin(angle)
    return arc.cx_mm + x, arc.cy_mm + y, -y * weight, x * weight


def _rows(matrix: Array) -> _Rows:
    a, b, c = ((float(row[0]), float(row[1]), float(row[2])) for row in matrix)
    return a, b, c
