"""A lid that is screwed to the ring of a round tank, lifted from beneath: lid, screws, ring and the ring's seam.

Each figure is an upper bound of its own, for the same lift. The lid is a plate on its circle of screws, its lift spread evenly
over the bore (what presses harder further out, as liquid that turns does, bends it less); at the screws it is taken to be
clamped, so that its edge prises at them, with the lever from circle to edge. The ring is a cantilever from the tube's outside,
and all of that moment is in the wall's end, though the ring would take part of it by its own twisting.

Sources: plates, Timoshenko and Woinowsky-Krieger, art. 16; prying, beam statics; threads, ASME B1.1 appendix B and von Mises;
washers of two screws' width, ISO 7089 (all from memory). Judgement: that the bounds together are one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.sheets.round import round_plate
from parts.stock.material import Material

__all__ = ["Cover", "LiftedLid", "lifted_lid"]


@dataclass(frozen=True, kw_only=True)
class Cover:
    """A screwed lid and what it is screwed to; mm, sheet at its least thickness.

    Attributes:
        lid, ring: thickness.
        circle, edge: radius of the screws' circle and of the ring's edge.
        middle, outside, wall: radius of the middle and the outside of the tube's wall, its thickness.
        count, screw, hole, thread_mm2: screws, their diameter, their holes in the lid, the shear area of one's thread.
        vent: radius of the hole in the lid's middle, 0 for none.
        sheet: what lid and ring are made of.
    """

    lid: float
    ring: float
    circle: float
    edge: float
    middle: float
    outside: float
    wall: float
    count: int
    screw: float
    hole: float
    thread_mm2: float
    vent: float
    sheet: Material


@dataclass(frozen=True, kw_only=True)
class LiftedLid:
    """Under one lift: MPa, mm, N.

    Attributes:
        panel, deflection: of the lid's middle.
        at_screws: of the lid beside its screws' holes, and under their washers.
        pull, thread: of one screw; the stress in its thread, as tension.
        ring: bending of the ring beside the tube.
        bending, tension: in the seam of ring and tube.
    """

    panel: float
    deflection: float
    at_screws: float
    pull: float
    thread: float
    ring: float
    bending: float
    tension: float


def lifted_lid(cover: Cover, bore: float, lift_n: float) -> LiftedLid:
    """What a lift does.

    Args:
        bore: radius of what the liquid presses on.

    Raises:
        SeamwrightError: a size or a lift that is none.
    """
    q, c, sheet = lift_n / (math.pi * bore**2), cover.circle, cover.sheet
    plate = round_plate(c, cover.lid, sheet.modulus_mpa, sheet.poisson, q, "supported", hole_mm=cover.vent)
    clamped = q * c**2 / 8.0
    pull = 2.0 * math.pi * c * (q * c / 2.0 + clamped / (cover.edge - c)) / cover.count
    under = pull / (math.pi / 4.0 * ((2.0 * cover.screw) ** 2 - cover.hole**2))
    along = lift_n / (2.0 * math.pi * cover.middle)
    overhang = lift_n / (2.0 * math.pi * cover.outside) * (c - cover.outside)
    return LiftedLid(
        panel=plate.stress,
        deflection=plate.deflection,
        at_screws=max(factor_of("hole_stress") * 6.0 * clamped / cover.lid**2, under),
        pull=pull,
        thread=math.sqrt(3.0) * pull / cover.thread_mm2,
        ring=6.0 * overhang / cover.ring**2,
        bending=6.0 * along * (c - cover.middle) / cover.wall**2,
        tension=along / cover.wall,
    )
