"""What the builders of a tank's extras share: the box they add to, and what they give back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assemblies.design.model import Bought, Fastener, Joint, Placed
from assemblies.design.release import Release
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import FRAMES, Box
from assemblies.order import Order
from assemblies.order.errors import Key
from parts.findings import Finding, SeamwrightError
from parts.shape.piece import Hole, Piece, Side, check_hole_fits
from parts.stock.sheet import Sheet
from parts.vectors import Vector

__all__ = ["Extra", "Shell", "inside_panel", "lying", "outside_of"]


@dataclass(frozen=True, kw_only=True)
class Shell:
    """The box that extras are added to, with the order that asks for them."""

    order: Order
    box: Box
    sheets: Mapping[str, Sheet]

    def outward(self, face: str) -> Vector:
        """The unit vector out of a face."""
        z = FRAMES[face][1]
        return (-z[0], -z[1], -z[2]) if face == "bottom" else z

    @property
    def corners(self) -> tuple[Vector, Vector]:
        """Low and high corner of the outside."""
        length, width, height = self.box.outside_mm
        return (-length / 2.0, -width / 2.0, 0.0), (length / 2.0, width / 2.0, height)

    def sheet(self, thickness_mm: float, readings_mm: tuple[float, ...] = ()) -> Sheet:
        """Sheet for an extra, as `extra_sheet`."""
        return extra_sheet(self.order, thickness_mm, readings_mm)


@dataclass(frozen=True, kw_only=True)
class Extra:
    """Instances that were added, how they are joined and what there is to say; `bored` replaces earlier ones."""

    placed: tuple[Placed, ...] = ()
    joints: tuple[Joint, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    bought: tuple[Bought, ...] = ()
    releases: tuple[Release, ...] = ()
    findings: tuple[Finding, ...] = ()
    bored: Mapping[str, Placed] = field(default_factory=dict)


def outside_of(face: str) -> Side:
    """Which face of a panel is outside: the bottom lies with its near face down."""
    return "near" if face == "bottom" else "far"


def inside_panel(
    shell: Shell, blank: Placed, hole: Hole, key: Key, window: tuple[Vector, Vector] | None = None
) -> Hole:
    """The hole, once it is sure to lie inside the panel and clear of what is bonded to it.

    Args:
        shell: the box.
        blank: the panel without holes.
        hole: in the panel's own axes.
        key: where the order asks for it.
        window: world box that the hole must lie in, along the panel; the inside of the box by default.

    Raises:
        OrderError: it runs through the panel's edge, or into the edge of a panel that butts against it.
    """
    try:
        check_hole_fits(blank.name, blank.piece.outline, hole, blank.piece.thickness_mm)
    except SeamwrightError as error:
        raise shell.order.refuse(key, str(error), "a hole inside the panel") from error
    radius = max(hole.diameter_mm, hole.bore_mm) / 2.0
    centre = blank.world(hole.x_mm, hole.y_mm, 0.0)
    for low, high, at, normal in zip(*(window or shell.box.inside), centre, blank.z, strict=True):
        if abs(normal) < 0.5 and not low + radius <= at <= high - radius:
            what = f"the hole of {2.0 * radius:g} mm in {blank.name} runs into a seam at its border"
            raise shell.order.refuse(key, what, "a hole that opens on the inside with its whole width")
    return hole


def lying(name: str, piece: Piece, frame: tuple[Vector, Vector], low: Sequence[float]) -> Placed:
    """An instance with the given x and normal, its world box starting at the low corner."""
    x, z = frame
    loose = Placed(name=name, piece=piece, origin=(0.0, 0.0, 0.0), x=x, z=z)
    start = loose.box[0]
    origin = (low[0] - start[0], low[1] - start[1], low[2] - start[2])
    return Placed(name=name, piece=piece, x=x, z=z, origin=origin)
