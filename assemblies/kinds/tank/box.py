"""The panels of an open box: which run long, how big each is, where each stands.

Three groups of panels, `ends` (left and right), `front-back` and `bottom`, stand in an order: where two panels
meet, the one whose group comes earlier runs long to the outside face and the other butts against it. All six orders
are legal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Placed
from assemblies.design.place import FACES
from parts.shape.piece import Piece
from parts.vectors import Vector

__all__ = ["FRAMES", "GROUPS", "GROUP_OF", "PANELS", "Box", "as_cut_box", "drawn_box", "face_point", "place"]

PANELS: Final = ("left", "right", "front", "back", "bottom")
GROUPS: Final = ("ends", "front-back", "bottom")
GROUP_OF: Final[Mapping[str, str]] = {
    "left": "ends",
    "right": "ends",
    "front": "front-back",
    "back": "front-back",
    "bottom": "bottom",
}

#: x and normal of a panel on each face: x to the right and y up as seen from outside, the far face outside.
#: The bottom and the lid lie with their normal up; on the bottom the near face is outside.
FRAMES: Final[Mapping[str, tuple[Vector, Vector]]] = {
    **{wall: FACES[wall] for wall in ("front", "back", "left", "right")},
    "bottom": FACES["up"],
    "lid": FACES["up"],
}
#: The panels that end each axis, low and high; the top is open.
_ENDS: Final = (("left", "right"), ("front", "back"), ("bottom", None))
#: World axes of a panel's own width and height, and of its thickness.
_AXES: Final[Mapping[str, tuple[int, int, int]]] = {
    "left": (1, 2, 0),
    "right": (1, 2, 0),
    "front": (0, 2, 1),
    "back": (0, 2, 1),
    "bottom": (0, 1, 2),
}


@dataclass(frozen=True, kw_only=True)
class Box:
    """An open box by its outside size.

    Attributes:
        outside_mm: length (x), width (y), height (z).
        thickness_mm: of each of the five panels.
        runs_long: the three groups, earlier runs long over later.
    """

    outside_mm: Vector
    thickness_mm: Mapping[str, float]
    runs_long: tuple[str, ...]

    def _ranks_over(self, one: str, other: str) -> bool:
        return self.runs_long.index(GROUP_OF[one]) < self.runs_long.index(GROUP_OF[other])

    def _shortened(self, panel: str, axis: int) -> tuple[float, float]:
        """What the panels at the two ends of an axis take from this panel."""
        out = []
        for end in _ENDS[axis]:
            takes = end is not None and end != panel and self._ranks_over(end, panel)
            out.append(self.thickness_mm[end] if takes and end is not None else 0.0)
        return out[0], out[1]

    def size_mm(self, panel: str) -> tuple[float, float]:
        """Width and height of a panel in its own axes: length or width by height, or length by width (bottom).

        >>> t = dict.fromkeys(PANELS, 6.35)
        >>> box = Box(outside_mm=(152.4, 101.6, 101.6), thickness_mm=t, runs_long=("ends", "front-back", "bottom"))
        >>> [round(side / 25.4, 6) for side in box.size_mm("bottom")]
        [5.5, 3.5]
        """
        u, v, _ = _AXES[panel]
        return (
            self.outside_mm[u] - sum(self._shortened(panel, u)),
            self.outside_mm[v] - sum(self._shortened(panel, v)),
        )

    def slot(self, panel: str) -> tuple[list[float], list[float]]:
        """The world box of the panel's place: low and high corner."""
        low = [-self.outside_mm[0] / 2.0, -self.outside_mm[1] / 2.0, 0.0]
        high = [self.outside_mm[0] / 2.0, self.outside_mm[1] / 2.0, self.outside_mm[2]]
        u, v, w = _AXES[panel]
        for axis in (u, v):
            first, last = self._shortened(panel, axis)
            low[axis] += first
            high[axis] -= last
        thick = self.thickness_mm[panel]
        if panel in ("left", "front", "bottom"):
            high[w] = low[w] + thick
        else:
            low[w] = high[w] - thick
        return low, high

    @property
    def inside(self) -> tuple[Vector, Vector]:
        """Low and high corner of the space inside, up to the rim."""
        t, (length, width, height) = self.thickness_mm, self.outside_mm
        low = (-length / 2.0 + t["left"], -width / 2.0 + t["front"], t["bottom"])
        high = (length / 2.0 - t["right"], width / 2.0 - t["back"], height)
        return low, high


def outside_from_inside(inside_mm: Vector, thickness_mm: Mapping[str, float]) -> Vector:
    """The outside of a box by what it holds and its panels."""
    t = thickness_mm
    return (inside_mm[0] + t["left"] + t["right"], inside_mm[1] + t["front"] + t["back"], inside_mm[2] + t["bottom"])


def drawn_box(size_mm: Vector, measure: str, thickness_mm: Mapping[str, float], runs_long: tuple[str, ...]) -> Box:
    """The box as it is asked for, by its size inside or outside."""
    outside = size_mm if measure == "outside" else outside_from_inside(size_mm, thickness_mm)
    return Box(outside_mm=outside, thickness_mm=thickness_mm, runs_long=runs_long)


def as_cut_box(box: Box, cut: Mapping[str, Sequence[float]]) -> tuple[Box, dict[str, tuple[float, float]]]:
    """The box that pieces already cut make, and the sizes of all panels.

    Each cut size tells an outside size. Where several walls tell one, the box follows the greatest (so that nothing
    overlaps) and the panels still to be cut follow the least (so that they go in); the bottom tells only where no
    wall does.
    """
    outside = list(box.outside_mm)
    least = list(box.outside_mm)
    for axis in range(3):
        told: dict[str, float] = {}
        for panel, size in cut.items():
            u, v, _ = _AXES[panel]
            if axis in (u, v):
                given = size[0] if axis == u else size[1]
                told[panel] = given + sum(box._shortened(panel, axis))
        walls = [value for panel, value in told.items() if panel != "bottom"] or list(told.values())
        if walls:
            outside[axis], least[axis] = max(walls), min(walls)
    grown = Box(outside_mm=(outside[0], outside[1], outside[2]), thickness_mm=box.thickness_mm, runs_long=box.runs_long)
    follow = Box(outside_mm=(least[0], least[1], least[2]), thickness_mm=box.thickness_mm, runs_long=box.runs_long)
    sizes = {p: (cut[p][0], cut[p][1]) if p in cut else follow.size_mm(p) for p in PANELS}
    return grown, sizes


def place(name: str, piece: Piece, face: str, low: Sequence[float]) -> Placed:
    """An instance in the frame of a face, its world box starting at the low corner."""
    x, z = FRAMES[face]
    loose = Placed(name=name, piece=piece, origin=(0.0, 0.0, 0.0), x=x, z=z)
    start = loose.box[0]
    return Placed(name=name, piece=piece, x=x, z=z, origin=(low[0] - start[0], low[1] - start[1], low[2] - start[2]))


def face_point(box_low: Sequence[float], box_high: Sequence[float], face: str, right: float, up: float) -> Vector:
    """The world point on the outside of a face, `right` and `up` from its centre as seen from outside.

    On the bottom and the lid, right is +x and up is +y.
    """
    x, z = FRAMES[face]
    up_axis = (0.0, 1.0, 0.0) if face in ("bottom", "lid") else (0.0, 0.0, 1.0)
    centre = [(box_low[k] + box_high[k]) / 2.0 for k in range(3)]
    outward = -1.0 if face == "bottom" else 1.0
    for k in range(3):
        if z[k]:
            centre[k] = box_high[k] if outward * z[k] > 0 else box_low[k]
    return (
        centre[0] + right * x[0] + up * up_axis[0],
        centre[1] + right * x[1] + up * up_axis[1],
        centre[2] + right * x[2] + up * up_axis[2],
    )
