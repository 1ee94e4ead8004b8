"""Tubes: a length cut square, a sheet rolled hot into one, the turned groove that takes a tube's end."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Loop, Outline, Vertex
from parts.shape.piece import Piece, Pocket, Role
from parts.stock.tube import Blank, TubeCut, TubeStock
from parts.vectors import finite

__all__ = ["GroovePlay", "Rolled", "closing_mpa", "groove_for", "groove_play", "notched", "rolled", "sawn_tube"]


def sawn_tube(
    name: str,
    stock: TubeStock,
    length_mm: float,
    *,
    role: Role = "shell",
    rolled: Blank | None = None,
    within_mm: float | None = None,
) -> Piece:
    """A length of tube as a piece: the ring of its section, as thick as the tube is long; for rooms that place and draw pieces.

    Args:
        stock, length_mm: which tube, how much of it.
        rolled: the sheet that it is rolled from, where it is not bought.
        within_mm: plus or minus on its outside diameter as it was read, None where it was not.

    >>> sawn_tube("wall", TubeStock(material="cast-pmma", outside_mm=200, wall_mm=5), 300).size_mm
    (200.0, 200.0, 300)
    """
    r = stock.outside_mm / 2.0
    return Piece(
        name=name,
        kind="tube",
        outline=Outline(Circle(r, r, r), (Circle(r, r, stock.inside_mm / 2.0),)),
        sheet=TubeCut(material=stock.material, nominal_mm=length_mm, tube=stock, rolled=rolled, within_mm=within_mm),
        role=role,
    )


def notched(tube: Piece, width_mm: float, depth_mm: float, toward_rad: float) -> Piece:
    """A length of tube with a notch in the rim of its far end, so wide and deep, its middle on the way given.

    The notch is a pocket whose outline is the patch of the ring between two parallel cuts, so that it opens to both sides.

    Raises:
        SeamwrightError: no tube, a notch as wide as its bore or as deep as it is long.
    """
    if not isinstance(tube.sheet, TubeCut):
        raise SeamwrightError(f"{tube.name}: a notch in the rim of what is no tube")
    outer, inner = tube.sheet.tube.outside_mm / 2.0, tube.sheet.tube.inside_mm / 2.0
    if not (finite(width_mm) and 0.0 < width_mm < 2.0 * inner):
        raise SeamwrightError(f"a notch {width_mm:g} mm wide in a bore of {2.0 * inner:g} mm")
    far, near = (math.asin(width_mm / 2.0 / r) for r in (outer, inner))

    def at(radius: float, turn: float, bulge: float = 0.0) -> Vertex:
        angle = toward_rad + turn
        return Vertex(outer + radius * math.cos(angle), outer + radius * math.sin(angle), bulge)

    out = (at(outer, -far, math.tan(far / 2.0)), at(outer, far))
    patch = Loop((*out, at(inner, near, -math.tan(near / 2.0)), at(inner, -near)))
    return replace(tube, pockets=(Pocket(outline=patch, depth_mm=depth_mm),))


_MOST_STRAIN = 0.1  # growth of a plastic by heat and damp stays far below: a larger figure is a slip of the pen


@dataclass(frozen=True, kw_only=True)
class Rolled:
    """A sheet rolled to a tube: length to cut, room inside, volume of the wall, strain of its outer face when it is rolled."""

    developed_mm: float
    capacity_mm3: float
    volume_mm3: float
    outer_strain: float


def rolled(outside_mm: float, wall_mm: float, height_mm: float, gap_mm: float = 0.0) -> Rolled:
    """A sheet rolled hot to a tube, its seam left open by a gap.

    Source: geometry; the neutral line of hot sheet is in the middle of it (common practice, no source).

    Raises:
        SeamwrightError: a wall of half the outside or more, a size that is none, a gap that leaves no sheet.

    >>> round(rolled(200, 3, 300).developed_mm, 4)
    618.8938
    """
    if not all(finite(v) and v > 0.0 for v in (outside_mm, wall_mm, height_mm)) or wall_mm >= outside_mm / 2.0:
        raise SeamwrightError(f"no sheet of {wall_mm:g} mm is rolled to a tube of {outside_mm:g} x {height_mm:g} mm")
    middle = outside_mm - wall_mm
    if not (finite(gap_mm) and 0.0 <= gap_mm < math.pi * middle):
        raise SeamwrightError(f"a seam gap of {gap_mm:g} mm must be from 0 to under the way round")
    developed = math.pi * middle - gap_mm
    return Rolled(
        developed_mm=developed,
        capacity_mm3=math.pi / 4.0 * (outside_mm - 2.0 * wall_mm) ** 2 * height_mm,
        volume_mm3=developed * wall_mm * height_mm,
        outer_strain=wall_mm / middle,
    )


def closing_mpa(outside_mm: float, wall_mm: float, open_mm: float, modulus_mpa: float) -> float:
    """The greatest bending stress of a slit tube that is drawn shut, MPa.

    A ring of mean radius R whose slit opens by d under two opposite pulls P per length along it: d = 3 pi P R3 / (E I), and its
    moment is 2 P R opposite the slit (Castigliano, thin ring); so sigma = E t d / (3 pi R2).

    Source: computed. Valid: thin wall, elastic, an opening that is small beside R.

    Raises:
        SeamwrightError: a size that is none.

    >>> round(closing_mpa(200, 5, 0.3, 3200), 3)
    0.054
    """
    radius = (outside_mm - wall_mm) / 2.0
    if not all(finite(v) for v in (outside_mm, wall_mm, open_mm, modulus_mpa)) or not 0.0 < wall_mm < radius:
        raise SeamwrightError(f"no slit tube of {outside_mm:g} mm with a wall of {wall_mm:g} mm")
    if open_mm < 0.0 or modulus_mpa <= 0.0:
        raise SeamwrightError(f"an opening of {open_mm:g} mm and a modulus of {modulus_mpa:g} MPa must count from 0")
    return modulus_mpa * wall_mm * open_mm / (3.0 * math.pi * radius**2)


@dataclass(frozen=True, kw_only=True)
class GroovePlay:
    """Play beside the wall of a tube in its groove, on one side, mm: as drawn, and at the least."""

    outer_mm: float
    inner_mm: float
    outer_least_mm: float
    inner_least_mm: float


def groove_play(
    tube_mm: tuple[float, float],
    groove_mm: tuple[float, float],
    *,
    strains: tuple[float, float] = (0.0, 0.0),
    within_mm: tuple[float, float] = (0.0, 0.0),
    bore_within_mm: float | None = None,
) -> GroovePlay:
    """The play of a tube's end in a groove after both have grown, at the limits of both.

    Source: interval arithmetic.

    Args:
        tube_mm, groove_mm: outside and inside diameters.
        strains: growth of the tube and of the disc.
        within_mm: plus/minus on the diameters of tube and groove; bore_within_mm: on the tube's inside, where it differs.

    Raises:
        SeamwrightError: sizes that are none, a growth that no plastic has, a tube that jams.
    """
    for outside, inside in (tube_mm, groove_mm):
        if not (finite(outside) and finite(inside) and 0.0 < inside < outside):
            raise SeamwrightError(
                f"a ring of {outside:g} and {inside:g} mm: the outside must be the larger, both over 0"
            )
    if not all(finite(e) and abs(e) < _MOST_STRAIN for e in strains) or not all(
        finite(w) and w >= 0.0 for w in within_mm
    ):
        raise SeamwrightError(
            f"growth {strains} must be under {_MOST_STRAIN:g} either way, tolerances {within_mm} from 0"
        )
    (od, bore), (wide, narrow), (tube, disc), (off, cut) = tube_mm, groove_mm, strains, within_mm
    bore_off = off if bore_within_mm is None else bore_within_mm
    found = GroovePlay(
        outer_mm=(wide - od) / 2.0,
        inner_mm=(bore - narrow) / 2.0,
        outer_least_mm=((wide - cut) * (1.0 + disc) - (od + off) * (1.0 + tube)) / 2.0,
        inner_least_mm=((bore - bore_off) * (1.0 + tube) - (narrow + cut) * (1.0 + disc)) / 2.0,
    )
    if min(found.outer_least_mm, found.inner_least_mm) < 0.0:
        least = min(found.outer_least_mm, found.inner_least_mm)
        raise SeamwrightError(f"the tube jams in its groove: {-least:.3f} mm too tight a side once both have grown")
    return found


def groove_for(
    tube_mm: tuple[float, float], within_mm: tuple[float, float], growth: float, cut_mm: float
) -> tuple[float, float]:
    """Outside and inside diameter of the least groove that a tube's end goes into and stays free in: to 0.1 mm, away from it.

    Args:
        tube_mm: its outside and inside diameter.
        within_mm: plus or minus on each.
        growth: by which either of tube and disc may grow more than the other.
        cut_mm: plus or minus on a diameter of the groove.

    Raises:
        SeamwrightError: as `groove_play`; sizes that leave no island.

    >>> groove_for((200.0, 190.0), (0.1, 0.1), 0.003, 0.05)
    (200.8, 189.2)
    """
    (od, bore), (off, bore_off) = tube_mm, within_mm
    wide = math.ceil(10.0 * ((od + off) * (1.0 + growth) + cut_mm) - _TENTH) / 10.0
    narrow = math.floor(10.0 * ((bore - bore_off) / (1.0 + growth) - cut_mm) + _TENTH) / 10.0
    if narrow <= 0.0:
        raise SeamwrightError(f"a groove for a bore of {bore:g} mm leaves nothing inside it")
    return wide, narrow


_TENTH = 1e-9  # of a tenth: a size that is one already stays
