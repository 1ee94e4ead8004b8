"""Can a piece leave along a straight line? Swept paths of flat pieces against each other, without the kernel.

A piece A that goes off along d hits B exactly when, on some line along d, a point of B lies ahead of a point of A.
The points that decide are A's facets that face away from d and B's facets that face along d. So each such pair is
laid on the plane square to d: where their shadows overlap, and B's facet is ahead of A's, there is a hit. That is
exact for flat sided pieces at any angle, with cut-outs and holes; for boxes square to the axes it comes down to
comparing intervals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Placed
from assemblies.fit.apart.facets import Facets, Floats, facets, frame
from parts.shape.bent import box_mm
from parts.shape.outline import Loop
from parts.shape.part import require
from parts.vectors import Vector

__all__ = ["ARC_SAGITTA_MM", "TOUCH_MM", "Sweeps"]

TOUCH_MM = 1e-6  # faces that touch may slide: only a deeper overlap is a hit
#: How far the chords of an arc lie inside the material: an overlap at a curved edge shallower than this is not seen.
ARC_SAGITTA_MM = 1e-3
_EDGE_ON = 1e-9
_Numbers = NDArray[np.intp]


class Sweeps:
    """What stands in whose way among some placed pieces. Answers are remembered.

    Pieces are numbered in the order given.

    Raises:
        NotCovered: a piece of which there are no facets.
    """

    def __init__(self, placed: Sequence[Placed]) -> None:
        for one in placed:
            require(one.piece, "the way out", "bends", "pockets", "bevels", "tube")
        self._placed = tuple(placed)
        self._corners = np.array([_box_corners(p) for p in placed]).reshape(len(placed), 8, 3)
        self._square = np.array([_is_square(p) for p in placed], dtype=bool)
        self._frames = [frame(p) for p in placed]
        parts = {piece: k for k, piece in enumerate(dict.fromkeys(p.piece for p in placed))}
        self._parts = [parts[p.piece] for p in placed]
        self._alike: dict[tuple[int, int, bytes], bool] = {}
        self._facets: dict[int, Facets] = {}
        self._boxes: dict[Vector, Floats] = {}
        self._shadows: dict[tuple[int, Vector, bool], _Shadow] = {}
        self._known: dict[tuple[int, int, Vector], bool] = {}
        self._rows: dict[tuple[int, Vector], NDArray[np.bool_]] = {}

    def blocker(self, mover: int, direction: Vector, there: NDArray[np.bool_]) -> int | None:
        """The first piece among those `there` that the mover hits on its way off along `direction`; None: it can
        leave.

        Args:
            mover: number of the piece that goes.
            direction: unit vector.
            there: (number of pieces,) which pieces are still there; the mover itself is passed over.
        """
        row = self._row(mover, direction) & there
        numbers = np.flatnonzero(row)
        for sure in (True, False):
            for other in numbers:
                if self._is_sure(mover, int(other), direction) == sure and self.hits(mover, int(other), direction):
                    return int(other)
        return None

    def hits(self, mover: int, other: int, direction: Vector) -> bool:
        """Whether the mover, going off along `direction` for ever, overlaps the other by more than `TOUCH_MM`."""
        key = (mover, other, direction)
        if key not in self._known:
            near = bool(self._row(mover, direction)[other])
            sure = self._is_sure(mover, other, direction)
            self._known[key] = near and (sure or self._exact(mover, other, direction))
        return self._known[key]

    def _row(self, mover: int, direction: Vector) -> NDArray[np.bool_]:
        """Which boxes the mover's box would hit: no hit there is no hit at all."""
        key = (mover, direction)
        if key not in self._rows:
            low, high = self._spans(direction)
            across = np.minimum(high[:, :2], high[mover, :2]) - np.maximum(low[:, :2], low[mover, :2])
            row = (across > TOUCH_MM).all(axis=1) & (high[:, 2] - low[mover, 2] > TOUCH_MM)
            row[mover] = False
            self._rows[key] = row
        return self._rows[key]

    def _spans(self, direction: Vector) -> tuple[Floats, Floats]:
        """Low and high of every box across and along a direction."""
        if direction not in self._boxes:
            turned = self._corners @ _basis(direction).T
            self._boxes[direction] = np.stack([turned.min(axis=1), turned.max(axis=1)])
        low, high = self._boxes[direction]
        return low, high

    def _is_sure(self, mover: int, other: int, direction: Vector) -> bool:
        """Whether the boxes alone decide: both plain and square to the axes, no opening wide enough to pass
        through."""
        if not (self._square[mover] and self._square[other] and max(abs(c) for c in direction) == 1.0):
            return False
        open_mm2 = sum(_open_mm2(self._placed[k], direction) for k in (mover, other))
        if not open_mm2:
            return True
        low, high = self._spans(direction)
        across = np.minimum(high[mover, :2], high[other, :2]) - np.maximum(low[mover, :2], low[other, :2])
        return bool(across[0] * across[1] > open_mm2)

    def _exact(self, mover: int, other: int, direction: Vector) -> bool:
        """The answer of the facets; two pairs that stand alike share one."""
        pair = self._pair(mover, other, direction)
        if pair not in self._alike:
            self._alike[pair] = _ahead(self._shadow(mover, direction, False), self._shadow(other, direction, True))
        return self._alike[pair]

    def _pair(self, mover: int, other: int, direction: Vector) -> tuple[int, int, bytes]:
        """Which parts, and how the other and the direction lie in the mover's own axes, to a nanometre."""
        (origin, axes), (its_origin, its_axes) = self._frames[mover], self._frames[other]
        lie = np.vstack([its_origin - origin, its_axes, direction]) @ axes.T
        return self._parts[mover], self._parts[other], (np.round(lie, 9) + 0.0).tobytes()

    def _shadow(self, number: int, direction: Vector, along: bool) -> _Shadow:
        key = (number, direction, along)
        if key not in self._shadows:
            if number not in self._facets:
                self._facets[number] = facets(self._placed[number], ARC_SAGITTA_MM, True)
            flat = (
                not self._placed[number].piece.bends
                and abs(sum(a * b for a, b in zip(self._placed[number].z, direction, strict=True))) < _EDGE_ON
            )
            self._shadows[key] = _Shadow(self._facets[number], direction, along, flat)
        return self._shadows[key]


class _Shadow:
    """The facets of one piece that face along (or away from) a direction, laid on the plane square to it."""

    def __init__(self, body: Facets, direction: Vector, along: bool, flat: bool) -> None:
        import shapely

        basis = _basis(direction)
        sign = 1.0 if along else -1.0
        walls = np.flatnonzero(sign * (body.normals @ basis[2]) > _EDGE_ON)
        if flat:  # seen along the sheet, the outer loop alone decides
            walls = walls[body.outer[walls]]
        caps = np.flatnonzero(sign * (body.ring_normals @ basis[2]) > _EDGE_ON)
        quads = body.quads[walls] @ basis.T
        rings = [tuple(ring @ basis.T for ring in body.rings[k]) for k in caps]
        shapes: list[Any] = [shapely.Polygon(r[0][:, :2], [inner[:, :2] for inner in r[1:]]) for r in rings]
        self.shapes = np.array([*shapes, *shapely.polygons(quads[:, :, :2])], dtype=object)
        points = [*(r[0] for r in rings), *quads]
        self.low = np.array([p.min(axis=0) for p in points]).reshape(-1, 3)
        self.high = np.array([p.max(axis=0) for p in points]).reshape(-1, 3)
        normals = np.concatenate([body.ring_normals[caps], body.normals[walls]]) @ basis.T
        anchors = np.array([p[0] for p in points]).reshape(-1, 3)
        #: depth(u, v) = c0 + c1 u + c2 v
        slopes = -normals[:, :2] / normals[:, 2:]
        self.plane = np.column_stack([anchors[:, 2] - (slopes * anchors[:, :2]).sum(axis=1), slopes])


def _ahead(mover: _Shadow, other: _Shadow) -> bool:
    """Whether any facet of the other lies ahead of a facet of the mover on a patch wider than a touch."""
    across = np.minimum(mover.high[:, None, :2], other.high[None, :, :2]) - np.maximum(
        mover.low[:, None, :2], other.low[None, :, :2]
    )
    ahead = other.high[None, :, 2] - mover.low[:, None, 2] > TOUCH_MM
    ones, twos = np.nonzero((across > TOUCH_MM).all(axis=2) & ahead)
    best_first = np.argsort(-(across[ones, twos, 0] * across[ones, twos, 1]), kind="stable")
    start, count = 0, 16
    while start < len(ones):  # in growing lots: most hits show at the first
        lot = best_first[start : start + count]
        if _any_ahead(mover, other, ones[lot], twos[lot]):
            return True
        start, count = start + count, count * 4
    return False


def _any_ahead(mover: _Shadow, other: _Shadow, ones: _Numbers, twos: _Numbers) -> bool:
    """The same for given pairs of facets."""
    import shapely

    patches = shapely.intersection(mover.shapes[ones], other.shapes[twos])
    areas, edges = shapely.area(patches), shapely.length(patches)
    for k in np.flatnonzero(2.0 * areas > TOUCH_MM * edges):  # twice area by edge: the width of a sliver
        uv = shapely.get_coordinates(patches[k])
        plane = other.plane[twos[k]] - mover.plane[ones[k]]
        if float((plane[0] + uv @ plane[1:]).max()) > TOUCH_MM:
            return True
    return False


def _basis(direction: Vector) -> Floats:
    """Rows: two directions square to `direction`, and `direction`; world axes where it is one."""
    d = np.array(direction)
    least = int(np.argmin(np.abs(d)))
    first = np.cross(d, np.eye(3)[least])
    first /= np.linalg.norm(first)
    return np.array([first, np.cross(d, first), d])


def _box_corners(placed: Placed) -> list[Vector]:
    return [placed.world(*corner) for corner in product(*zip(*box_mm(placed.piece), strict=True))]


def _is_square(placed: Placed) -> bool:
    """A rectangle without cut-outs or pockets, its sides along the world axes."""
    piece = placed.piece
    outer = piece.outline.outer
    if piece.features or piece.outline.inner or not isinstance(outer, Loop) or len(outer.vertices) != 4:
        return False
    width, height = piece.outline.size_mm
    straight = not any(v.bulge for v in outer.vertices) and math.isclose(outer.area_mm2, width * height, rel_tol=1e-12)
    return straight and all(max(abs(c) for c in axis) > 1.0 - 1e-15 for axis in (placed.x, placed.z))


def _open_mm2(placed: Placed, direction: Vector) -> float:
    """Area of the drilled holes seen along a direction: only along the normal can something pass through them."""
    if not placed.piece.holes or abs(sum(a * b for a, b in zip(placed.z, direction, strict=True))) < 0.5:
        return 0.0
    radii = (max(h.bore_mm, h.sink_mm or 0.0) / 2.0 for h in placed.piece.holes)
    return sum(math.pi * radius**2 for radius in radii)
