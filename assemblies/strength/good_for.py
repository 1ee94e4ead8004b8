"""The inverse question: for this tank, the largest fill, acceleration and tilt it is good for."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assemblies.design import Design, Vector
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.pour import spill_acceleration, spill_tilt
from assemblies.liquid.rigid import Body, combine, liquid_body
from assemblies.strength.prove import Loaded, MountUse, Proof, SeamUse, Settings, Use, prove

__all__ = ["GoodFor", "good_for"]

_FILLS = (0.25, 0.5, 0.75, 1.0)
_PUSHES_M_S2 = (1.0, 3.0, 6.0, 9.80665)
_TILTS_DEG = (15.0, 45.0, 90.0)
_X: Vector = (1.0, 0.0, 0.0)
_Y: Vector = (0.0, 1.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class GoodFor:
    """What it is good for, by strength; and, apart from strength, when it spills.

    Attributes:
        fill_l: the largest fill that may stay in it for good, at most its capacity.
        acceleration_m_s2: the largest sudden sideways start or stop at the order's fill, looked at up to 1 g.
        tilt_deg: the largest slow tilt at the order's fill, looked at up to 90.
        dry_acceleration_m_s2: the largest sudden start or stop that spills nothing (half of the steady one).
        dry_tilt_deg: the tilt at which it starts to pour.
    """

    fill_l: float
    acceleration_m_s2: float
    tilt_deg: float
    dry_acceleration_m_s2: float | None
    dry_tilt_deg: float | None


def good_for(
    design: Design, settings: Settings, *, volume_mm3: float, most_mm3: float, density: float, dry: Body
) -> GoodFor:
    """Look at a few fills, pushes and tilts in one solution, and read the limit between them.

    The use grows with each of the three, so the limit lies between the last that passes and the first that does not; it
    is read on the straight line between their uses, which overstates it nowhere by more than the curve between two
    neighbours sags (the uses are convex in each of the three).
    """
    cavity = design.cavities[0]
    cases: list[Loaded] = []

    def add(name: str, case: LiquidCase) -> None:
        bodies = [dry] if case.liquid.centre_mm is None else [dry, liquid_body(case.liquid)]
        whole = combine(bodies)
        cases.append(Loaded(name=name, load=case.load, mass_kg=whole.mass_kg, centre_mm=whole.centre_mm))

    for part in _FILLS:
        add(f"fill {part}", liquid_cases.still(cavity, part * most_mm3, density_kg_m3=density))
    if volume_mm3 > 0.0:
        for push in _PUSHES_M_S2:
            for way in (_X, _Y):
                add(
                    f"push {push}",
                    liquid_cases.slide(cavity, volume_mm3, push * 1e3, direction=way, density_kg_m3=density),
                )
        for tilt in _TILTS_DEG:
            for way in (_X, _Y):
                add(
                    f"tilt {tilt}",
                    liquid_cases.tilt(cavity, volume_mm3, math.radians(tilt), toward=way, density_kg_m3=density),
                )
    proof = prove(design, cases, settings)
    use = _use_by_case(proof)
    return GoodFor(
        fill_l=_limit(_FILLS, lambda part: use[f"fill {part}"]) * most_mm3 / 1e6,
        acceleration_m_s2=_limit(_PUSHES_M_S2, lambda push: use.get(f"push {push}", 0.0)),
        tilt_deg=_limit(_TILTS_DEG, lambda tilt: use.get(f"tilt {tilt}", 0.0)),
        dry_acceleration_m_s2=_least(
            [spill_acceleration(cavity, volume_mm3, way) / 2e3 for way in (_X, _Y)]
            if _pours(design, volume_mm3)
            else []
        ),
        dry_tilt_deg=_least(
            [math.degrees(spill_tilt(cavity, volume_mm3, way)) for way in (_X, _Y)]
            if _pours(design, volume_mm3)
            else []
        ),
    )


def _pours(design: Design, volume_mm3: float) -> bool:
    return volume_mm3 > 0.0 and bool(design.cavities[0].lips)


def _least(values: Sequence[float]) -> float | None:
    return min(values) if values else None


def _use_by_case(proof: Proof) -> dict[str, float]:
    out: dict[str, float] = {}
    everything: list[Use | SeamUse | MountUse] = [*proof.uses, *proof.seams, *proof.mounts]
    for one in everything:
        out[one.case] = max(out.get(one.case, 0.0), one.use)
    return out


def _limit(values: Sequence[float], use: Callable[[float], float]) -> float:
    """The largest of rising values whose use is at most 1, read on straight lines between them; from 0 at no value."""
    before, used = 0.0, 0.0
    for value in values:
        now = use(value)
        if now > 1.0:
            return before + (value - before) * (1.0 - used) / (now - used) if used <= 1.0 else before
        before, used = value, now
    return before
