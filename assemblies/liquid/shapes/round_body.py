"""A cylinder at any lean: integrals over the part below a level, by Gauss-Legendre on chords.

With x = R cos(phi) along the direction of the lean, every integrand between the places where the surface
meets the floor, the lid and the wall is a short polynomial in sin(phi) and cos(phi): 24 points per stretch
give it to rounding, and since every term is positive nothing cancels in a thin wedge. Source: Cavalieri's
principle; Gauss-Legendre quadrature.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from assemblies.liquid.shapes.wet import Array, Wet
from parts.vectors import Vector

__all__ = ["RoundBody"]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_UPRIGHT = 1e-15  # sine of a lean below which the cylinder stands upright


class RoundBody:
    """The inside of a cylinder; nothing in it changes after it is made."""

    def __init__(self, *, base: Vector, axis: Vector, radius: float, height: float, lid: bool) -> None:
        self._axis = np.array(axis)
        self._radius, self._height = radius, height
        self._floor = np.array(base)
        self._top = self._floor + height * self._axis
        self.origin: Array = (self._floor + self._top) / 2.0
        self._names = ("wall", "bottom", "lid") if lid else ("wall", "bottom")

    @property
    def names(self) -> tuple[str, ...]:
        return self._names

    def beside(self, point: Vector) -> tuple[tuple[str, ...], Array, Array]:
        off = np.array(point) - self._floor
        along = float(off @ self._axis)
        out = off - along * self._axis
        radius = float(np.sqrt(out @ out))
        radial = out / radius if radius > 0.0 else np.zeros(3)
        past, wide = max(-along, along - self._height, 0.0), max(radius - self._radius, 0.0)
        distances = [np.hypot(self._radius - radius, past), np.hypot(along, wide), np.hypot(along - self._height, wide)]
        normals = np.stack([radial, -self._axis, self._axis])
        return self._names, np.array(distances)[: len(self._names)], normals[: len(self._names)]

    def span(self, up: Vector) -> tuple[float, float]:
        middle = float(self.origin @ np.array(up))
        _, _, sin, cos, _ = self._lean(up)
        half = self._height / 2.0 * cos + self._radius * sin
        return middle - half, middle + half

    def _lean(self, up: Vector) -> tuple[Array, Array, float, float, bool]:
        """Axis from the lower end, direction of the lean, its sine and cosine, whether the ends are swapped."""
        u = np.array(up)
        cos = float(self._axis @ u)
        swapped = cos < 0.0
        axis = -self._axis if swapped else self._axis
        across = u - (axis @ u) * axis
        sin = float(np.sqrt(across @ across))
        if sin < _UPRIGHT:
            across, sin = np.eye(3)[int(np.abs(axis).argmin())], 0.0
            across = across - (across @ axis) * axis
            across /= np.sqrt(across @ across)
        else:
            across = across / sin
        return axis, across, sin, abs(cos), swapped

    def _chords(self, s: float, sin: float, cos: float) -> tuple[Array, Array, Array, Array, int]:
        """x, half chord, d(phi) weight and wet height of each chord, and how many chords reach the lid.

        The surface is x sin + z cos = s. Toward smaller x the chord is wet to the lid; then to the surface;
        then dry.
        """
        r, h = self._radius, self._height
        full, dry = s - h * cos, s  # times 1/sin: where the surface meets lid and floor
        ends = [-r]
        for edge in (full, dry):
            ends.append(min(max(edge / sin, -r), r) if sin * r > abs(edge) else math.copysign(r, edge))
        phi, weight, lids = [], [], 0
        for k, (a, b) in enumerate(pairwise(ends)):
            p, q = math.acos(min(1.0, b / r)), math.acos(max(-1.0, a / r))
            if q > p:
                phi.append((p + q) / 2.0 + (q - p) / 2.0 * _NODES)
                weight.append((q - p) / 2.0 * _WEIGHTS)
                lids += len(_NODES) if k == 0 else 0
        if not phi:
            none = np.zeros(0)
            return none, none, none, none, 0
        angle = np.concatenate(phi)
        x, y = r * np.cos(angle), r * np.sin(angle)
        z = np.full_like(x, h)
        if lids < len(x):
            z[lids:] = np.clip((s - x[lids:] * sin) / cos, 0.0, h)
        return x, y, np.concatenate(weight), z, lids

    def fill(self, up: Vector, level: float) -> tuple[float, float]:
        _, _, sin, cos, swapped = self._lean(up)
        base = self._top if swapped else self._floor
        x, y, w, z, lids = self._chords(level - float(base @ np.array(up)), sin, cos)
        disc = 2.0 * y * y * w
        volume = (disc * z).sum()
        area = cos * disc[lids:].sum() - 2.0 * sin * (x * w * z).sum()
        return float(volume), float(area)

    def wet(self, up: Vector, level: float) -> Wet:
        axis, across, sin, cos, swapped = self._lean(up)
        base = self._top if swapped else self._floor
        s = level - float(base @ np.array(up))
        x, y, w, z, lids = self._chords(s, sin, cos)
        frame = np.array([across, np.cross(axis, across), axis])  # rows: local x, y, z in the world
        start = base - self.origin  # of the local axes, from the origin of moments
        volume, first, second = _bulk(x, y, w, z)
        moved = first @ frame
        cross = np.outer(moved, start)
        faces = [_wall(x, w, z, s, sin, cos, self._radius), _disc(x, y, w, s, sin, 0.0, -1.0)]
        reach = slice(0, lids)
        faces.append(_disc(x[reach], y[reach], w[reach], s - self._height * cos, sin, self._height, 1.0))
        if swapped:
            faces[1], faces[2] = faces[2], faces[1]
        faces = faces[: len(self._names)]
        area, depth = (np.array([face[k] for face in faces]) for k in (0, 1))
        vector, push, turn, centre = (np.array([face[k] for face in faces]) @ frame for k in (2, 3, 4, 5))
        place = np.array([face[6] for face in faces]) @ np.array([sin, 0.0, cos]) @ frame
        return Wet(
            origin=self.origin,
            volume=volume,
            first=moved + volume * start,
            second=frame.T @ second @ frame + cross + cross.T + volume * np.outer(start, start),
            face_area=area,
            face_vector=vector,
            face_place=place + np.outer(vector @ np.array(up), start),
            face_depth=depth,
            face_push=push,
            face_turn=turn + np.cross(start, push),
            face_centre=centre + np.outer(depth, start),
        )


def _bulk(x: Array, y: Array, w: Array, z: Array) -> tuple[float, Array, Array]:
    """Volume, first and second moments in local axes."""
    slab = 2.0 * y * y * w  # chord times dx
    v, vx, vz = slab @ z, slab @ (x * z), slab @ (z * z) / 2.0
    xz = slab @ (x * z * z) / 2.0
    squares = np.diag([slab @ (x * x * z), slab @ (y * y * z) / 3.0, slab @ z**3 / 3.0])
    squares[0, 2] = squares[2, 0] = xz
    return float(v), np.array([vx, 0.0, vz]), squares


_Part = tuple[float, float, Array, Array, Array, Array, Array]


def _wall(x: Array, w: Array, z: Array, s: float, sin: float, cos: float, r: float) -> _Part:
    """Area, depth, normal, push, turn, depth times x, and x n^T over the wetted wall (both halves)."""
    two = 2.0 * r * w  # both halves
    above = s - x * sin  # depth at the floor's height
    strip = np.maximum(above * z - cos * z * z / 2.0, 0.0)
    lifted = above * z * z / 2.0 - cos * z**3 / 3.0
    c = x / r
    vector = np.array([two @ (c * z), 0.0, 0.0])
    push = np.array([two @ (c * strip), 0.0, 0.0])
    turn = np.array([0.0, two @ (c * lifted), 0.0])
    centre = np.array([two @ (x * strip), 0.0, two @ lifted])
    moment = np.zeros((3, 3))  # integral of x_i n_j
    moment[0, 0] = two @ (x * c * z)
    moment[1, 1] = two @ ((r * r - x * x) / r * z)
    moment[2, 0] = two @ (c * z * z) / 2.0
    return float(two @ z), float(two @ strip), vector, push, turn, centre, moment


def _disc(x: Array, y: Array, w: Array, s: float, sin: float, z: float, side: float) -> _Part:
    """The same over a wetted end at height z whose outward normal is `side` along the axis."""
    slab = 2.0 * y * y * w
    depth = np.maximum(s - x * sin, 0.0)
    area, total, leaning = float(slab.sum()), float(slab @ depth), float(slab @ (x * depth))
    vector, push = np.array([0.0, 0.0, side * area]), np.array([0.0, 0.0, side * total])
    turn = np.array([0.0, -side * leaning, 0.0])
    centre = np.array([leaning, 0.0, z * total])
    moment = np.zeros((3, 3))
    moment[0, 2], moment[2, 2] = side * float(slab @ x), side * z * area
    return area, total, vector, push, turn, centre, moment
