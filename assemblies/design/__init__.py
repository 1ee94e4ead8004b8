"""A design: pieces in their places, and what belongs to them. Plain data that every check reads and none edits."""

from __future__ import annotations

from assemblies.design.model import Bore, Bought, Design, Fastener, Joint, Mesh, Placed, Support

__all__ = ["Bore", "Bought", "Design", "Fastener", "Joint", "Mesh", "Placed", "Support"]
