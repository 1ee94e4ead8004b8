"""What is seen through the faces of a tank, as figures."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SeenFace", "Sight", "View"]


@dataclass(frozen=True, kw_only=True)
class View:
    """Looked at from `angle` degrees aside: where the far side seems to be (in the plane of view, and across it), and how far
    what stands behind the tank moves aside; mm."""

    angle: float
    in_plane: float
    across: float
    aside: float


@dataclass(frozen=True, kw_only=True)
class SeenFace:
    """One face that is looked through.

    Attributes:
        face, far: its name, and that of what stands opposite.
        wall, inside: thickness of the wall and room behind it, mm.
        seems: how far behind the face the far side seems, looked at squarely, mm.
        views: aside.
        mirror: up to how many degrees from square the walls beside it throw all light back; 90: whatever the angle.
        edges: pieces whose cut edges lie in this face, and so in the picture.
        seams: the pieces that it is bonded to, along its edges; none where nobody asked for the fit.
    """

    face: str
    far: str
    wall: float
    inside: float
    seems: float
    views: tuple[View, ...]
    mirror: float
    edges: tuple[str, ...]
    seams: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Sight:
    """All faces that are looked through, with the indices they were reckoned by and where these come from."""

    liquid: float
    sheet: float
    source: str
    faces: tuple[SeenFace, ...]
