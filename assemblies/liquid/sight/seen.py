"""What is seen through the faces of a tank, as figures."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SeenFace", "SeenTube", "Sight", "View", "Wide"]


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
class Wide:
    """A thing `deep` behind the bore of a filled tube: how many times as wide it seems, and how far behind the outside; mm."""

    deep: float
    wider: float
    behind: float


@dataclass(frozen=True, kw_only=True)
class SeenTube:
    """A filled tube that is looked through across its axis.

    Attributes:
        outside, bore: diameters, mm.
        axis, far: a thing on the axis, and one at the far wall.
        places: between the near and the far wall.
        fills: whether the liquid seems to reach the outside, so that the wall is not seen.
        turned: what stands further behind the tube than that is seen the other way round, mm: where the sun's light meets;
            None where light is not brought together.
        turned_edge: the same of light at four tenths of its width; None where that does not come through.
        mirror: looked at from above through the surface, up to how many degrees from straight down its wall is a mirror.
        seams, edges: what of its seams and of cut edges is in the picture.
    """

    outside: float
    bore: float
    axis: Wide
    far: Wide
    places: tuple[Wide, ...]
    fills: bool
    turned: float | None
    turned_edge: float | None
    mirror: float
    seams: tuple[str, ...]
    edges: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Sight:
    """All that is looked through, with the indices it was reckoned by and where these come from."""

    liquid: float
    sheet: float
    source: str
    faces: tuple[SeenFace, ...] = ()
    tube: SeenTube | None = None
