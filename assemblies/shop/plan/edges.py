"""What is done to each edge of a part after it is sawn, and what that takes off.

*Bonded*: it lies in a seam. *Seen*: it stands on a face that is looked through. *Free*: neither. Of a part that stands in
several places the first of these that holds anywhere. What is taken off is left on when the part is cut: the cut size is
the net size and that. Only straight edges along the sides of the part's box are looked at.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design
from assemblies.fit.faces import FlatFace, flat_faces
from assemblies.fit.joints import joint_kind
from assemblies.fit.seams import seams
from assemblies.order import Order
from assemblies.order.shop_file import EdgeUse, EdgeWork
from parts.tables import load

__all__ = ["SIDES", "Edge", "edges_of"]

#: Sides of a part as drawn, in the order of an allowance, and the faces that they are.
SIDES: Final[Mapping[str, str]] = {"left": "x-", "right": "x+", "bottom": "y-", "top": "y+"}
#: The way out of each face that can be looked through: an axis, and down or up it.
_OUT: Final = {"left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "lid": (2, 1)}
_SAME_MM: Final = 0.01


@dataclass(frozen=True, kw_only=True)
class Edge:
    """One edge of a part: which side, what it will be, what is done to it, what that takes off, and the source."""

    side: str
    use: EdgeUse
    work: EdgeWork
    takes_mm: float
    source: str


def edges_of(design: Design, order: Order) -> dict[str, tuple[Edge, ...]]:
    """The four edges of every part that has them, by its name."""
    bonded = {
        (name, end)
        for s in seams(design)
        if joint_kind(s.kind).bonded
        for name, end in ((s.a, s.a_end), (s.b, s.b_end))
    }
    looked = [_OUT[face] for face in getattr(order.tables.get(order.kind), "seen_from", ()) if face in _OUT]
    boxes = [placed.box for placed in design.placed]
    ends = {
        -1: [min(low[k] for low, _ in boxes) for k in range(3)],
        1: [max(high[k] for _, high in boxes) for k in range(3)],
    }
    uses: dict[str, dict[str, EdgeUse]] = {}
    for placed in design.placed:
        own = uses.setdefault(placed.piece.name, {})
        for face in flat_faces(placed):
            side = next((side for side, end in SIDES.items() if end == face.end), None)
            if side is None:
                continue
            use: EdgeUse = "free"
            if (placed.name, face.end) in bonded:
                use = "bonded"
            elif any(_lies(face, axis, way, ends[way][axis]) for axis, way in looked):
                use = "seen"
            own[side] = min(own.get(side, "free"), use, key=("bonded", "seen", "free").index)
    return {part: tuple(_edge(order, side, own[side]) for side in SIDES if side in own) for part, own in uses.items()}


def _lies(face: FlatFace, axis: int, way: int, at: float) -> bool:
    """Whether an edge lies in an outside face of the whole."""
    return face.normal[axis] * way > 0.999 and abs(face.low[axis] - at) < _SAME_MM


def _edge(order: Order, side: str, use: EdgeUse) -> Edge:
    """The work that the shop does on such an edge; where edges are machined before bonding it is milling."""
    work: EdgeWork = getattr(order.edges, use)
    if order.cutting.edge == "machined" and use not in order.edges.model_fields_set:
        work = "mill"
    row = next(row for row in load("edge_work") if row["work"] == work)
    own = None if work == "leave" else getattr(order.edges, work)
    takes = float(row["takes_mm"]) if own is None else own
    return Edge(
        side=side, use=use, work=work, takes_mm=takes, source=row["source"] if own is None else "the order or the shop"
    )
