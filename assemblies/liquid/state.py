"""What is in it and how it stands: the figures of the check of the liquid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from assemblies.design.mass import Body
from assemblies.liquid.fluids import Fluid
from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["Kept", "LiquidState"]


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What is left at a slow tilt toward a side: its litres, mass and centre of the whole (the thing's own axes)."""

    toward: str
    tilt_deg: float
    kept_l: float
    whole: Body


@dataclass(frozen=True, kw_only=True)
class LiquidState:
    """The liquid at rest, its weight and its balance.

    Attributes:
        fluid: what it is; `assumed` where the order names none.
        cavity: what holds it.
        capacity_l, fill_l: to the lowest brim or overflow; as ordered.
        fill_depth_mm, brim_depth_mm, freeboard_mm: as filled, when full, and what is left over the surface.
        open: it has a rim that liquid can leave over.
        full_to: `brim`, `opening` or `lid` where no more goes in; else None.
        empty, full: the thing without and with its liquid.
        about_mm: the point that moments of inertia are given about.
        spill_tilt_deg: by the side leaned over, where it starts to pour; None where it never does to 90 degrees.
        at_tilt: what is left at slow tilts.
        tips_at_deg, tips_at_push_m_s2: standing free; None where nothing tips it.
        lost_l: by case, what leaves.
    """

    fluid: Fluid
    assumed: bool
    cavity: Cavity
    capacity_l: float
    fill_l: float
    fill_depth_mm: float
    brim_depth_mm: float
    freeboard_mm: float | None
    open: bool
    full_to: Literal["brim", "opening", "lid"] | None
    empty: Body
    full: Body
    about_mm: tuple[float, float, float]
    spill_tilt_deg: Mapping[str, float | None]
    at_tilt: tuple[Kept, ...]
    tips_at_deg: float | None
    tips_at_push_m_s2: float | None
    lost_l: Mapping[str, float]
