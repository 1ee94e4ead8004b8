"""Pieces that share space, and pieces that touch nothing. Both with the geometry kernel, at any orientation.

Terms: the *slab* of an instance is the box about it in its own axes, standing as the piece stands;
the piece is inside its slab. The *reach* of a test is how far two slabs must overlap (positive) or may stand
apart (negative).

A pair goes through three sieves: world boxes (sorted along one axis and swept), slabs (separating axes),
kernel. Common volume comes before distance, because the kernel's distance is 0 for contact, for overlap and
for containment alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Design, Placed
from parts.shape.bent import box_mm

if TYPE_CHECKING:  # the kernel takes over a second to import: only when a pair is really measured
    import cadquery as cq
    from OCP.TopoDS import TopoDS_Shape

__all__ = ["LEAST_DEPTH_MM", "LEAST_VOLUME_MM3", "Interference", "floating", "interferences", "placed_solid"]

LEAST_DEPTH_MM = 1e-4  # slabs that overlap less only touch; judgement: far under any cutting tolerance
LEAST_VOLUME_MM3 = 1e-3  # common volume up to this is rounding; judgement: a cube of 0.1 mm
TOUCH_MM = 0.25  # pieces this near hold each other once bonded; judgement: where a seam's gap becomes a stop

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, order=True)
class Interference:
    """Two instances that share space: their names (in the design's order) and the volume they share."""

    a: str
    b: str
    volume_mm3: float


def placed_solid(placed: Placed) -> cq.Shape:
    """The instance's solid where it stands in the world; geometry is shared by all instances of the piece.

    Raises:
        NotCovered: the piece has a feature that its solid does not cover.
        KernelError: the kernel could not build it; the text names the piece.
    """
    import cadquery as cq

    return cq.Shape.cast(_placed_body(placed))


def _placed_body(placed: Placed) -> TopoDS_Shape:
    from parts.shape.kernel import place
    from parts.shape.solid import body

    return body(placed.piece).Moved(place(placed.origin, placed.x, placed.z))


def interferences(design: Design) -> tuple[Interference, ...]:
    """Every pair of instances that share more than `LEAST_VOLUME_MM3`, in the design's order.

    A piece wholly inside another is one of them. Fasteners are not pieces and make none.

    Raises:
        NotCovered, KernelError: as `placed_solid`; also when a pair cannot be intersected.
    """
    shapes = _Shapes(design)
    found = []
    for i, j in _near_pairs(design, LEAST_DEPTH_MM):
        volume = _common_mm3(shapes, i, j)
        if volume > LEAST_VOLUME_MM3:
            found.append(Interference(a=shapes.name(i), b=shapes.name(j), volume_mm3=volume))
    return tuple(found)


def floating(design: Design, touch_mm: float = TOUCH_MM) -> tuple[tuple[str, ...], ...]:
    """Groups of instances that come within `touch_mm` of each other but of nothing else, less the main group.

    The main group is the one with most instances, the first of the design among equals. A design in one
    connected piece gives ().

    Raises:
        NotCovered, KernelError: as `placed_solid`; also when a pair cannot be measured.
    """
    shapes = _Shapes(design)
    group = list(range(len(design.placed)))

    def root(i: int) -> int:
        while group[i] != i:
            group[i] = group[group[i]]
            i = group[i]
        return i

    for i, j in _near_pairs(design, -touch_mm):
        if root(i) != root(j) and _distance_mm(shapes, i, j) <= touch_mm:
            group[max(root(i), root(j))] = min(root(i), root(j))
    members: dict[int, list[str]] = {}
    for i, placed in enumerate(design.placed):
        members.setdefault(root(i), []).append(placed.name)
    main = max(members, key=lambda r: (len(members[r]), -r), default=None)
    return tuple(tuple(names) for r, names in members.items() if r != main)


class _Shapes:
    """The instances' solids, each placed the first time a pair asks for it."""

    def __init__(self, design: Design) -> None:
        self._placed = design.placed
        self._made: dict[int, TopoDS_Shape] = {}

    def name(self, i: int) -> str:
        return self._placed[i].name

    def __getitem__(self, i: int) -> TopoDS_Shape:
        if i not in self._made:
            self._made[i] = _placed_body(self._placed[i])
        return self._made[i]


def _common_mm3(shapes: _Shapes, i: int, j: int) -> float:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    from parts.shape.kernel import KernelError, kernel_step, volume_mm3

    pair = f"{shapes.name(i)} and {shapes.name(j)}"
    with kernel_step(pair, "intersect them"):
        common = BRepAlgoAPI_Common(shapes[i], shapes[j])
        if not common.IsDone():
            raise KernelError(f"{pair}: the kernel could not intersect them")
        return volume_mm3(common.Shape())


def _distance_mm(shapes: _Shapes, i: int, j: int) -> float:
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    from parts.shape.kernel import KernelError, kernel_step

    pair = f"{shapes.name(i)} and {shapes.name(j)}"
    with kernel_step(pair, "measure the distance between them"):
        measured = BRepExtrema_DistShapeShape(shapes[i], shapes[j])
        if not measured.IsDone():
            raise KernelError(f"{pair}: the kernel could not measure the distance between them")
        return float(measured.Value())


def _near_pairs(design: Design, reach_mm: float) -> Iterable[tuple[int, int]]:
    """Pairs whose slabs overlap by `reach_mm` along every separating axis, in the design's order."""
    if len(design.placed) < 2:
        return ()
    boxes = np.array([placed.box for placed in design.placed])
    candidates = sorted(_swept(boxes[:, 0], boxes[:, 1], reach_mm))
    middles, halves, axes = _slabs(design.placed)
    return [(i, j) for i, j in candidates if _slabs_meet(middles, halves, axes, i, j, reach_mm)]


def _swept(low: Floats, high: Floats, reach_mm: float) -> list[tuple[int, int]]:
    """Pairs of boxes that overlap by `reach_mm` on every axis: sorted along the longest, then swept."""
    axis = int(np.argmax(high.max(axis=0) - low.min(axis=0)))
    order = np.argsort(low[:, axis], kind="stable")
    low, high = low[order], high[order]
    ends = np.searchsorted(low[:, axis], high[:, axis] - reach_mm, side="right")
    pairs: list[tuple[int, int]] = []
    for i, end in enumerate(ends):
        later = slice(i + 1, int(end))
        overlap = np.minimum(high[later], high[i]) - np.maximum(low[later], low[i])
        for j in np.flatnonzero((overlap >= reach_mm).all(axis=1)) + i + 1:
            first, second = sorted((int(order[i]), int(order[j])))
            pairs.append((first, second))
    return pairs


def _slabs(placed: tuple[Placed, ...]) -> tuple[Floats, Floats, Floats]:
    """Middle (n, 3), half sizes (n, 3) and axes (n, 3 axes, 3) of every slab."""
    boxes = np.array([box_mm(p.piece) for p in placed])
    axes = np.array([(p.x, p.y, p.z) for p in placed])
    middles = np.array([p.origin for p in placed]) + np.einsum("nk,nkc->nc", boxes.mean(axis=1), axes)
    halves = (boxes[:, 1] - boxes[:, 0]) / 2.0
    return middles, halves, axes


def _slabs_meet(middles: Floats, halves: Floats, axes: Floats, i: int, j: int, reach_mm: float) -> bool:
    """Separating axes of two boxes: the three normals of each and the nine products of their edges."""
    crossed = np.cross(axes[i][:, None, :], axes[j][None, :, :]).reshape(9, 3)
    length = np.linalg.norm(crossed, axis=1)
    tries = np.concatenate([axes[i], axes[j], crossed[length > 1e-6] / length[length > 1e-6, None]])
    span = np.abs(tries @ axes[i].T) @ halves[i] + np.abs(tries @ axes[j].T) @ halves[j]
    apart = np.abs(tries @ (middles[j] - middles[i]))
    return bool((span - apart >= reach_mm).all())
