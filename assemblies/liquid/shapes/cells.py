"""A box with pieces standing in it, and with a narrower room on top where strips lie on its rim: as a surface of flat faces.

The box is cut along every side of every piece into cells, each all liquid or none. Where a cell that may hold liquid meets
one that may not, there is a face; where it meets the open top there is none. Cells tell pools apart, too: two are one pool
where the side between them is wet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from assemblies.liquid.shapes.facets import FacetBody
from assemblies.liquid.shapes.wet import Array, Wet
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector, finite_vector

__all__ = ["Block", "CellBody", "Slope"]

_SAME_MM = 1e-6
_Cell = tuple[int, int, int]
#: The walls of a box by axis and end.
_WALLS = (("left", "right"), ("front", "back"), ("bottom", "lid"))
_RIM = "rim"  # what lies on the rim: its underside, and the sides of the room that it leaves


@dataclass(frozen=True, kw_only=True)
class Block:
    """A box along the axes: its name, low and high corner, mm; `passages` through it are boxes too, which liquid may fill."""

    name: str
    low: Vector
    high: Vector
    passages: tuple[tuple[Vector, Vector], ...] = ()

    def __post_init__(self) -> None:
        finite_vector(self.low, f"{self.name}: low corner")
        finite_vector(self.high, f"{self.name}: high corner")
        if not all(a < b for a, b in zip(self.low, self.high, strict=True)):
            raise SeamwrightError(
                f"{self.name}: its high corner {self.high!r} mm is not over its low one {self.low!r} mm"
            )

    @property
    def ends(self) -> tuple[Vector, ...]:
        """The corners of it and of its passages."""
        return self.low, self.high, *(end for ends in self.passages for end in ends)

    def holds(self, point: Vector) -> bool:
        """Whether a point lies in it."""
        return _within(self.low, self.high, point) and not any(_within(*ends, point) for ends in self.passages)


@dataclass(frozen=True, kw_only=True)
class Slope:
    """A sloped floor: its name, a point of it, its unit normal into the liquid, which is above it everywhere."""

    name: str
    point: Vector
    normal: Vector


def _within(low: Vector, high: Vector, point: Vector) -> bool:
    return all(a <= p <= b for a, p, b in zip(low, point, high, strict=True))


class CellBody(FacetBody):
    """What liquid can fill of a box; nothing in it changes after it is made."""

    def __init__(
        self, room: Block, solids: Sequence[Block], above: Block | None, *, lid: bool, slopes: Sequence[Slope] = ()
    ) -> None:
        """`room`: the box up to its walls' top; `above`: the room within what lies on them; `lid`: it is closed; `slopes`: its
        floors that slope."""
        self._rooms = (room,) if above is None else (room, above)
        self._solids, self._lid = tuple(solids), lid
        self._cuts = tuple(
            _apart([end[k] for block in (*self._rooms, *solids) for end in block.ends], self._rooms, k)
            for k in range(3)
        )
        counts = [len(cuts) - 1 for cuts in self._cuts]
        every = product(range(counts[0]), range(counts[1]), range(counts[2]))
        self._wet_cells = {cell for cell in every if self._liquid(cell)}
        faces = list(_over(list(self._faces()), slopes, [self._ends(cell) for cell in sorted(self._wet_cells)]))
        if not faces:
            raise SeamwrightError("cavity: what stands in it leaves no room for liquid")
        owners = [name for name, corners in faces for _ in corners[2:]]
        triangles = [corners[[0, k, k + 1]] for _, corners in faces for k in range(1, len(corners) - 1)]
        for name in self._always():
            if name not in owners:  # a wall that is all covered is a wall all the same
                owners.append(name)
                triangles.append(np.array([triangles[0][0]] * 3, float))
        super().__init__(np.array(triangles, float), owners, one_pool=True)

    def _always(self) -> Iterator[str]:
        yield from (name for pair in _WALLS for name in pair if name != "lid" or self._lid)

    def _ends(self, cell: _Cell) -> tuple[Array, Array]:
        low = np.array([cuts[i] for cuts, i in zip(self._cuts, cell, strict=True)])
        high = np.array([cuts[i + 1] for cuts, i in zip(self._cuts, cell, strict=True)])
        return low, high

    def _middle(self, cell: _Cell) -> Vector:
        low, high = self._ends(cell)
        x, y, z = (low + high) / 2.0
        return float(x), float(y), float(z)

    def _liquid(self, cell: _Cell) -> bool:
        middle = self._middle(cell)
        return any(room.holds(middle) for room in self._rooms) and not any(s.holds(middle) for s in self._solids)

    def _faces(self) -> Iterator[tuple[str, Array]]:
        """The sides of liquid cells that meet none: name, and corners counter-clockwise seen from outside."""
        for cell in sorted(self._wet_cells):
            for axis, end in product(range(3), (0, 1)):
                other = _beside(cell, axis, end)
                name = None if other in self._wet_cells else self._stands(cell, other, axis, end)
                if name is not None:
                    yield name, _side(*self._ends(cell), axis, end)

    def _stands(self, cell: _Cell, other: _Cell, axis: int, end: int) -> str | None:
        """What stands beside a liquid cell; None where that is the open top."""
        if all(0 <= i < len(cuts) - 1 for i, cuts in zip(other, self._cuts, strict=True)):
            middle = self._middle(other)
            solid = next((s.name for s in self._solids if s.holds(middle)), None)
            return solid or _RIM
        if axis == 2 and end == 1:
            return "lid" if self._lid else None
        return _RIM if not self._rooms[0].holds(self._middle(cell)) else _WALLS[axis][end]

    def wet(self, up: Vector, level: float) -> Wet:
        """Everything below the level.

        Raises:
            NotCovered: it stands in several pools.
        """
        pools = self._pools(up, level)
        if pools > 1:
            raise NotCovered(
                f"the liquid would stand in {pools} pools, what stands in it between them: one free surface for all is not "
                "covered"
            )
        return super().wet(up, level)

    def _pools(self, up: Vector, level: float) -> int:
        """How many groups of wet cells no wet side joins."""
        depths = {cell: level - self._lowest(*self._ends(cell), up) for cell in self._wet_cells}
        left = {cell for cell, depth in depths.items() if depth > _SAME_MM}
        pools = 0
        while left:
            pools += 1
            reached = [left.pop()]
            while reached:
                cell = reached.pop()
                for axis, end in product(range(3), (0, 1)):
                    other = _beside(cell, axis, end)
                    if other in left:
                        low, high = self._ends(cell)
                        low[axis] = high[axis] = (low, high)[end][axis]
                        if level - self._lowest(low, high, up) > _SAME_MM:
                            left.discard(other)
                            reached.append(other)
        return pools

    @staticmethod
    def _lowest(low: Array, high: Array, up: Vector) -> float:
        return float(sum(min(a * u, b * u) for a, b, u in zip(low, high, up, strict=True)))


def _over(
    faces: Sequence[tuple[str, Array]], slopes: Sequence[Slope], cells: Sequence[tuple[Array, Array]]
) -> Iterator[tuple[str, Array]]:
    """What of the faces lies over sloped floors, and these floors themselves, cell by cell."""
    planes = [(np.array(one.normal), float(np.dot(one.normal, one.point))) for one in slopes]
    for name, corners in faces:
        for normal, at in planes:
            corners = _kept(corners, normal, at)
        if len(corners) > 2:
            yield name, corners
    for k, one in enumerate(slopes):
        normal, at = planes[k]
        for low, high in cells:
            corners = _section(normal, at, low, high)
            for other, bound in (*planes[:k], *planes[k + 1 :]):
                corners = _kept(corners, other, bound)
            if len(corners) > 2:
                yield one.name, corners


def _kept(corners: Array, normal: Array, at: float) -> Array:
    """The part of a flat polygon where normal . x is at least `at`."""
    if len(corners) < 3:
        return corners[:0]
    side = corners @ normal - at
    out: list[Array] = []
    for k in range(len(corners)):
        p, q, a, b = corners[k - 1], corners[k], side[k - 1], side[k]
        if (a >= 0.0) != (b >= 0.0):
            out.append(p + (q - p) * (a / (a - b)))
        if b >= 0.0:
            out.append(q)
    return np.array(out).reshape(-1, 3)


def _section(normal: Array, at: float, low: Array, high: Array) -> Array:
    """A plane's section of a box, counter-clockwise seen from below it."""
    first = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])
    first /= np.linalg.norm(first)
    second, size = np.cross(normal, first), float(np.linalg.norm(high - low))
    middle = (low + high) / 2.0
    middle = middle + normal * (at - float(middle @ normal))
    corners = np.array([middle + size * (a * first + b * second) for a, b in ((-1, -1), (-1, 1), (1, 1), (1, -1))])
    for axis in range(3):
        way = np.eye(3)[axis]
        corners = _kept(_kept(corners, way, float(low[axis])), -way, -float(high[axis]))
    return corners


def _beside(cell: _Cell, axis: int, end: int) -> _Cell:
    """The next cell along an axis."""
    i, j, k = (at + (2 * end - 1 if along == axis else 0) for along, at in enumerate(cell))
    return i, j, k


def _apart(values: Sequence[float], rooms: Sequence[Block], axis: int) -> list[float]:
    """Sorted, those that are one only once, within the rooms."""
    low, high = min(r.low[axis] for r in rooms), max(r.high[axis] for r in rooms)
    out: list[float] = []
    for value in sorted(v for v in values if low <= v <= high):
        if not out or value - out[-1] > _SAME_MM:
            out.append(value)
    return out


def _side(low: Array, high: Array, axis: int, end: int) -> Array:
    """The side of a box at one end of an axis, counter-clockwise seen from outside."""
    u, v = (axis + 1) % 3, (axis + 2) % 3
    corners = np.tile(low, (4, 1))
    corners[:, axis] = (low, high)[end][axis]
    corners[[1, 2], u], corners[[2, 3], v] = high[u], high[v]
    return corners if end == 1 else corners[::-1]
