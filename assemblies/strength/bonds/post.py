"""A square post bonded into a corner and tapped for a lid: what its thread and its bonds hold."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from assemblies.strength.bonds.groups import tap_pullout
from parts.findings import SeamwrightError

__all__ = ["EDGE_LEAST", "PostHolds", "post_holds"]

#: From the middle of the hole to the side of the post, in diameters of the screw: as the shop's rule for any tapped hole
#: has it at the least, a diameter beside the thread less a quarter for a post that is drilled in a jig (judgement).
EDGE_LEAST: Final = 1.25


@dataclass(frozen=True, kw_only=True)
class PostHolds:
    """Forces along the screw, N: that strips the thread, that tears the bonds, the lesser; from hole to edge in diameters."""

    strip: float
    bond: float
    edge_in_d: float

    @property
    def holds(self) -> float:
        return min(self.strip, self.bond)

    @property
    def governs(self) -> Literal["thread", "bond"]:
        return "thread" if self.strip <= self.bond else "bond"


def post_holds(side: float, d: float, engagement: float, tau: float, bond_area: float, bond_stress: float) -> PostHolds:
    """A square post of this side with a tapped hole down its middle; mm, MPa, N (or m, Pa, N).

    Source: stripping at basic size (ASME B1.1 appendix B); the bond evenly loaded in shear.

    Raises:
        SeamwrightError: a hole too near the sides of the post, an engagement under one diameter, a figure that is none.

    >>> post_holds(10.0, 3.0, 8.0, 5.97, 300.0, 2.0).governs
    'thread'
    """
    if not all(math.isfinite(v) and v > 0.0 for v in (side, bond_area, bond_stress)):
        raise SeamwrightError(f"a post of side {side!r} on a bond of {bond_area!r} at {bond_stress!r} is none")
    strip = tap_pullout(d, engagement, tau)
    edge = side / 2.0 / d
    if edge < EDGE_LEAST:
        raise SeamwrightError(
            f"the hole is {edge:.2f} diameters from the edge of the post, at least {EDGE_LEAST:g}: "
            "a wider post, or a thinner screw"
        )
    return PostHolds(strip=strip, bond=bond_area * bond_stress, edge_in_d=edge)
