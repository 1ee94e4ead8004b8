"""What the check of strength has found, for whoever reads it: the proof, what it is good for, how bolts are tightened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assemblies.design import Design
from assemblies.strength.bonds.bolts import longest_bolt, tightening_torque_nm
from assemblies.strength.bonds.mounting import bolted_of
from assemblies.strength.proof.uses import Proof

__all__ = ["GoodFor", "Strength", "Tightening", "tightening_of"]


@dataclass(frozen=True, kw_only=True)
class GoodFor:
    """What it is good for, by strength; and, apart from strength, when it spills.

    Attributes:
        fill_l: the largest fill that may stay in it for good, at most its capacity.
        acceleration_m_s2: the largest sudden sideways start or stop at the order's fill, by its blow and its first waves;
            looked at up to 1 g, to where it spills and to where the waves get too high for their theory.
        tilt_deg: the largest slow tilt at the order's fill, looked at up to 90.
        dry_acceleration_m_s2: the largest sudden start or stop that spills nothing in any direction (half of the steady
            one); a box spills first towards a corner.
        dry_tilt_deg: the tilt at which it starts to pour, in any direction.
        wave_acceleration_m_s2: the sudden start whose first waves are a fifth of the depth, in the worst direction.
    """

    fill_l: float
    acceleration_m_s2: float
    tilt_deg: float
    dry_acceleration_m_s2: float | None
    dry_tilt_deg: float | None
    wave_acceleration_m_s2: float | None = None


@dataclass(frozen=True, kw_only=True)
class Tightening:
    """How the bolts of a plate are tightened: the largest torque, and how deep the longest bolt may go in."""

    plate: str
    thread: str | None
    torque_nm: float | None
    longest_bolt_mm: float | None


@dataclass(frozen=True, kw_only=True)
class Strength:
    """The figures of the check of strength.

    Attributes:
        proof: every use.
        good_for: fill, push and tilt that it bears.
        covered: whether all of it lies within the method.
        beyond: the (case, panel) pairs whose deflection is beyond the method.
        tightening: of each plate.
        until: what would prove it, where these figures hold only as drawn.
        proven_at: the thickness of each panel that the figures are for, mm, where that is not the one it is drawn in.
    """

    proof: Proof
    good_for: GoodFor
    covered: bool
    beyond: frozenset[tuple[str, str]]
    tightening: tuple[Tightening, ...]
    proven_at: Mapping[str, float] = field(default_factory=dict)
    until: str = ""


def tightening_of(design: Design) -> tuple[Tightening, ...]:
    """How the bolts of each plate are tightened."""
    bolts = {one.piece: one for one in design.fasteners}
    found = []
    for placed in design.placed:
        if placed.piece.role == "mount":
            holes, bolt = placed.piece.holes, bolts.get(placed.name)
            tapped = bool(holes and holes[0].thread)
            one = Tightening(
                plate=placed.name,
                thread=holes[0].thread if tapped else bolt.thread if bolt else None,
                torque_nm=tightening_torque_nm(
                    placed, placed.piece.sheet.substance, bolted=bolted_of(bolt, design.placed) if bolt else None
                ),
                longest_bolt_mm=longest_bolt(placed) if tapped else bolt.longest_mm if bolt else None,
            )
            found.append(one)
    return tuple(found)
