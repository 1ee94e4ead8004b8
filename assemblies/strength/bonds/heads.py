"""What one bolt of a plate may carry: by its thread, by what its head or its nut presses on, along its slot by friction alone.

Nothing here counts on the bond: a wall that bolts go through carries their heads by itself, as it must once the bond lets go.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.strength.bonds.allowed import factor_of
from parts.shape.outline import Circle, Loop
from parts.shape.spots import Spot
from parts.shape.tapped import full_thread_mm
from parts.stock.thread import thread

__all__ = ["Bolted", "Held", "bearing_mpa", "held", "slide_n", "washer_bending_mpa"]

_HEAD = 1.5  # width of a head, in diameters of its clearance hole: judgement, a socket head of ISO 4762 is about that
_WASHER = 2.0  # width of a washer, in diameters of its screw: ISO 7089, from memory; a slot is never without one
_BEARS = 0.89  # of a pocket's width: what a nut in it bears on at the least (ISO 4032, dw over s; from memory)
_FEW = 2.0  # in clearance holes not all bolts bear at once: half of them are taken to (judgement)
_NO_THREAD_MM = 1e-6  # a plate so thin that no thread is left: the use is then huge, but a number


@dataclass(frozen=True, kw_only=True)
class Bolted:
    """What the bolts of a plate go through besides: thickness of the wall and of the backing behind it, mm; 0 where none is.

    `screw_mm` is the bolts' diameter, None where it is not known: then that of the hole is taken.
    """

    screw_mm: float | None = None
    wall_mm: float = 0.0
    backing_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Held:
    """What holds one bolt.

    Attributes:
        length_mm: of full thread, or of the sheet that the bolt bears on in its hole.
        area_mm2: that is sheared, or pressed on.
        pull_n: what it holds at a design stress, N.
    """

    length_mm: float
    area_mm2: float
    pull_n: float


def held(spot: Spot, thickness_mm: float, bolted: Bolted, limit_mpa: float) -> Held:
    """Of a bolt at a place of a plate: length, area and the pull that it holds at a stress.

    A thread: its shear area, sheared at the stress over the square root of 3 (ASME B1.1 appendix B; von Mises). A head, a nut
    or the flange of an insert: the ring that it presses on, or what it would punch out of the sheet, whichever is less.
    """
    if spot.hole is not None and spot.hole.thread is not None:
        length = full_thread_mm(spot.hole, thickness_mm)
        area = thread(spot.hole.thread).internal_shear_area_mm2(length)
        return Held(length_mm=length, area_mm2=area, pull_n=area * limit_mpa / math.sqrt(3.0))
    wide, sheet = _presses_on(spot, thickness_mm, bolted)
    ring = _ring_mm2(wide, spot)
    punched = math.pi * wide * sheet * limit_mpa / math.sqrt(3.0)
    bears = min(thickness_mm if spot.pocket is None else sheet, bolted.wall_mm or math.inf)
    return Held(length_mm=bears, area_mm2=ring, pull_n=min(ring * limit_mpa, punched))


def _presses_on(spot: Spot, thickness_mm: float, bolted: Bolted) -> tuple[float, float]:
    """How wide what presses is, and how thick the sheet that it presses on."""
    if spot.pocket is not None:
        return _BEARS * _narrow_mm(spot.pocket.outline), thickness_mm - spot.pocket.depth_mm
    wide = _HEAD * spot.width_mm
    if spot.slot is not None:
        wide = max(wide, _WASHER * (bolted.screw_mm or spot.width_mm / 1.1))
    return wide, bolted.backing_mm or bolted.wall_mm or thickness_mm


def _narrow_mm(loop: Loop | Circle) -> float:
    x0, y0, x1, y1 = loop.bounds_mm
    return min(x1 - x0, y1 - y0)


def _ring_mm2(wide_mm: float, spot: Spot) -> float:
    """The ring round a hole; of a slot the two segments beside it."""
    big, small = wide_mm / 2.0, spot.width_mm / 2.0
    if spot.slot is None:
        return math.pi * max(big**2 - small**2, 0.0)
    angle = math.acos(min(small / big, 1.0))
    return 2.0 * big**2 * (angle - math.sin(angle) * math.cos(angle))


def bearing_mpa(spot: Spot, shear_n: float, length_mm: float, bolted: Bolted) -> float:
    """Pressure on the wall of its hole. In clearance holes half of the bolts are taken to bear."""
    length = max(length_mm, _NO_THREAD_MM)
    if spot.hole is not None and spot.hole.thread is not None:
        return shear_n / (spot.width_mm * length)
    return _FEW * shear_n / (min(bolted.screw_mm or spot.width_mm, spot.width_mm) * length)


def slide_n(clamp_n: float, pull_n: float) -> float:
    """What friction holds along a slot: of the clamping force what creep leaves, less the pull.

    Args:
        clamp_n: with which it was tightened.
    """
    return factor_of("slot_friction") * max(factor_of("clamp_kept") * clamp_n - pull_n, 0.0)


def washer_bending_mpa(pull_n: float, spot: Spot, bolted: Bolted, plate_mm: float, poisson: float) -> float:
    """Stress in a wall that hangs on a bolt's head: a round plate, supported at its edge, pressed in its middle, times the
    factor of a hole. Wall and backing share the load as their stiffness.

    Args:
        plate_mm: half of the plate's longer side, beyond which the wall is held.

    Source: Roark's Formulas for Stress and Strain, table 11.2, load on a small round area (from memory).
    """
    wall, backing = bolted.wall_mm, bolted.backing_mm
    if wall <= 0.0 or pull_n <= 0.0:
        return 0.0
    thick = max(wall, backing)
    mine = pull_n * thick**3 / (wall**3 + backing**3)
    area = _HEAD * spot.width_mm / 2.0
    if area < thick / 2.0:
        area = math.sqrt(1.6 * area**2 + thick**2) - 0.675 * thick
    spread = (1.0 + poisson) * math.log(max(plate_mm / area, 1.0)) + 1.0
    return 3.0 * mine / (2.0 * math.pi * thick**2) * spread * factor_of("hole_stress")
