"""A design: pieces in their places, and what belongs to them. Plain data that every check reads and none edits."""

from __future__ import annotations

from assemblies.design.model import (
    Axis,
    BarMesh,
    Bore,
    Bought,
    Design,
    Fastener,
    FlatPart,
    Joint,
    Mesh,
    Placed,
    Support,
    flat_parts,
)

__all__ = [
    "Axis",
    "BarMesh",
    "Bore",
    "Bought",
    "Design",
    "Fastener",
    "FlatPart",
    "Joint",
    "Mesh",
    "Placed",
    "Support",
    "flat_parts",
]
