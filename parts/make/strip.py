"""The bevelled strip of a quick-release plate and the slot it slides in: sizes, measures over pins, play.

Source: geometry (Machinery's Handbook, dovetail slides; from memory). Angles are of the flank to the seat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.shape.outline import Outline, rectangle
from parts.shape.piece import Bevel, Hole, Piece, Role
from parts.stock.material import material
from parts.stock.sheet import Sheet
from parts.vectors import finite

__all__ = ["Bevelled", "Play", "bevelled", "growth_apart", "jaw", "male_strip", "play_of"]

_ANGLES = 30.0, 80.0  # degrees; judgement: flatter ones spread the shoe, steeper ones hold nothing
_MOST_STRAIN = 0.1
_APART = {"acrylic": 0.5, "aluminium": 1.0, "steel": 1.0}  # share of its growth that its shoe has not (judgement)


@dataclass(frozen=True, kw_only=True)
class Bevelled:
    """Sizes of a bevelled strip, any one unit.

    Attributes:
        wide: at the wide face.
        flank: width of the bevelled face.
        over_pins, between_pins: over pins in the acute corners of the strip; between pins in those of a slot of the same
            opening and depth.
        contact: how high over the corner a pin touches the flank.
    """

    wide: float
    flank: float
    over_pins: float
    between_pins: float
    contact: float


@dataclass(frozen=True, kw_only=True)
class Play:
    """Play of a strip in its slot: sideways in all, square to a flank when centred, up, and the angle it can turn (rad)."""

    sideways: float
    normal: float
    lift: float
    yaw_rad: float


def flank_angle(angle_deg: float) -> float:
    """The angle in radians.

    Raises:
        SeamwrightError: outside what is made here.
    """
    if not (finite(angle_deg) and _ANGLES[0] <= angle_deg <= _ANGLES[1]):
        raise SeamwrightError(
            f"a flank at {angle_deg:g} degrees to its seat: {_ANGLES[0]:g} to {_ANGLES[1]:g} are made here"
        )
    return math.radians(angle_deg)


def bevelled(narrow: float, depth: float, angle_deg: float, pin: float, sheet: float | None = None) -> Bevelled:
    """A strip that is `narrow` at its corner with the plate and wider away from it.

    Args:
        depth: of the bevel.
        pin: diameter of the pins it is measured over.
        sheet: thickness of what it is cut from.

    Raises:
        SeamwrightError: a size or angle that is none, a pin that touches above the flank, a bevel deeper than the sheet.

    >>> round(bevelled(50, 10, 60, 6).over_pins, 4)
    66.3923
    """
    angle = flank_angle(angle_deg)
    if not all(finite(v) and v > 0.0 for v in (narrow, depth, pin)):
        raise SeamwrightError(f"a strip of {narrow:g} x {depth:g} over pins of {pin:g}: sizes must be over 0")
    if sheet is not None and not (finite(sheet) and depth <= sheet):
        raise SeamwrightError(f"a bevel {depth:g} deep in a sheet of {sheet:g}")
    contact = pin * (1.0 + math.cos(angle)) / 2.0
    if contact >= depth:
        raise SeamwrightError(f"pins of {pin:g} touch {contact:g} up, above the flank of {depth:g}: take smaller ones")
    wide = narrow + 2.0 * depth / math.tan(angle)
    pins = pin * (1.0 + 1.0 / math.tan(angle / 2.0))
    if pins >= wide:
        raise SeamwrightError(f"two pins of {pin:g} do not go into a slot of {narrow:g}: take smaller ones")
    return Bevelled(
        wide=wide, flank=depth / math.sin(angle), over_pins=narrow + pins, between_pins=wide - pins, contact=contact
    )


def growth_apart(shoe: str, humidity: str = "80 % relative humidity") -> float:
    """By which share of its width a strip of PMMA grows more than its shoe, from dry to damp air.

    >>> round(growth_apart("steel"), 6)
    0.003
    """
    return material("cast-pmma").figure("humidity_growth", humidity).value / 100.0 * _APART[shoe]


def play_of(
    width: float, gap: float, length: float, angle_deg: float, strains: tuple[float, float] = (0.0, 0.0)
) -> Play:
    """The play of a strip once it and its shoe have grown.

    Args:
        width: of the strip; the slot is wider by `gap`.
        length: of the strip along the slot.
        strains: growth of strip and shoe.

    Raises:
        SeamwrightError: a size that is none; growth that eats the gap.
    """
    angle = flank_angle(angle_deg)
    if not all(finite(v) and v > 0.0 for v in (width, length)) or not (finite(gap) and gap >= 0.0):
        raise SeamwrightError(f"a strip of {width:g} x {length:g} with a gap of {gap:g}: sizes must be over 0")
    if not all(finite(e) and abs(e) < _MOST_STRAIN for e in strains):
        raise SeamwrightError(f"growth {strains} must be under {_MOST_STRAIN:g} either way")
    grown, slot = width * (1.0 + strains[0]), (width + gap) * (1.0 + strains[1])
    sideways = slot - grown
    if sideways <= 0.0:
        raise SeamwrightError(f"the strip jams: it grows by {-sideways:.3g} more than its gap of {gap:g}")
    # turned by yaw it takes  grown cos(yaw) + length sin(yaw)
    yaw = math.asin(min(1.0, slot / math.hypot(grown, length))) - math.atan2(grown, length)
    return Play(
        sideways=sideways, normal=sideways / 2.0 * math.sin(angle), lift=sideways / 2.0 * math.tan(angle), yaw_rad=yaw
    )


def male_strip(
    name: str,
    length_mm: float,
    narrow_mm: float,
    sheet: Sheet,
    angle_deg: float,
    *,
    holes: Sequence[Hole] = (),
    process: str | None = None,
    cut_group: str = "",
    role: Role = "inner",
) -> Piece:
    """A strip with both long edges bevelled over the whole sheet: narrow on its near face, wide on its far face.

    >>> strip = male_strip("slide", 160, 80, Sheet(material="cast-pmma", nominal_mm=12), 60)
    >>> round(strip.outline.size_mm[1], 3)  # 80 + 2 x 12 / tan 60
    93.856
    """
    lean = math.pi / 2.0 - flank_angle(angle_deg)
    wide = narrow_mm + 2.0 * sheet.thickness_mm * math.tan(lean)
    return Piece(
        name=name,
        kind="bevelled-strip",
        outline=Outline(rectangle(length_mm, wide)),
        holes=tuple(holes),
        sheet=sheet,
        bevels=(Bevel(edge=0, angle_rad=lean, side="near"), Bevel(edge=2, angle_rad=lean, side="near")),
        process=process,
        cut_group=cut_group,
        role=role,
    )


def jaw(
    name: str,
    length_mm: float,
    lip_mm: float,
    sheet: Sheet,
    angle_deg: float,
    *,
    holes: Sequence[Hole] = (),
    process: str | None = None,
    cut_group: str = "",
    role: Role = "inner",
) -> Piece:
    """One side of the slot: a strip whose upper long edge is bevelled, as wide as its lip on its near face."""
    lean = math.pi / 2.0 - flank_angle(angle_deg)
    return Piece(
        name=name,
        kind="bevelled-strip",
        outline=Outline(rectangle(length_mm, lip_mm)),
        holes=tuple(holes),
        sheet=sheet,
        bevels=(Bevel(edge=2, angle_rad=lean, side="far"),),
        process=process,
        cut_group=cut_group,
        role=role,
    )
