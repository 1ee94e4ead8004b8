"""What a bonding plan is reckoned with besides its seams: the feeler gauge, the air of the room, annealing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.shop.bond.plan import BondingPlan, BondSettings
from assemblies.shop.bond.solvent import AVERAGES, Exposure, Room, Solvent, exposure, solvents, strictest
from assemblies.shop.care.rules import figure
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import Sheet
from parts.stock.tube import TubeCut

__all__ = ["Air", "Annealing", "BondFigures", "Gauge", "bond_figures", "leaf_mm"]


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """Feeler gauge, mm: the order's limit, the leaf that must not go in, the leaf at which thin solvent is no use."""

    limit: float
    leaf: float
    stop_leaf: float
    source: str


@dataclass(frozen=True, kw_only=True)
class Air:
    """What the drawn solvent does to the air of the room if all of it evaporates at once.

    Attributes:
        room: volume and air changes.
        worst: of all solvents and averaging times the exposure furthest over its limit; `each` are all of them.
        burns_up_to_l: the most air, in litres, in which the vapour can burn.
        local_exhaust: whether, at the bench, where it is several times more, a limit is passed.
    """

    room: Room
    worst: Exposure
    each: tuple[Exposure, ...]
    burns_up_to_l: float
    local_exhaust: bool


@dataclass(frozen=True, kw_only=True)
class Annealing:
    """Annealing of the thickest bonded piece, of a tube its wall; `other_hours` by the source that says less, no
    `cool_hours` for thin sheet."""

    sheet: Sheet
    thick_mm: float
    hours: float
    other_hours: float
    cool_hours: float | None


@dataclass(frozen=True, kw_only=True)
class BondFigures:
    """All of it; `liquids` is the stated solvent alone, or every one of the table where none is stated."""

    liquids: tuple[Solvent, ...]
    gauge: Gauge
    air: Air
    anneal: Annealing


def bond_figures(order: Order, design: Design, plan: BondingPlan, settings: BondSettings) -> BondFigures:
    """The figures of a bonding plan.

    Raises:
        SolventError: a stated solvent or room that cannot be.
    """
    liquids = solvents() if settings.chosen is None else (settings.chosen,)
    limit = order.limits.gap
    stop = leaf_mm(max(rule("gap_stop"), limit))
    return BondFigures(
        liquids=liquids,
        gauge=Gauge(limit=limit, leaf=leaf_mm(limit), stop_leaf=stop, source=rule_source("gap_ok")),
        air=_air(plan.draw_ml, settings.room, liquids),
        anneal=_anneal(design, plan),
    )


def leaf_mm(limit_mm: float) -> float:
    """The thinnest leaf of a usual gauge that is not thinner than the limit.

    >>> leaf_mm(0.1), leaf_mm(0.12)
    (0.1, 0.15)
    """
    step = figure("leaf_step").value
    return round(step * math.ceil(limit_mm / step - 1e-9), 6)


def _air(ml: float, room: Room, liquids: Sequence[Solvent]) -> Air:
    worst = strictest(liquids, ml, room)
    return Air(
        room=room,
        worst=worst,
        each=tuple(exposure(one, ml, room, average) for one in liquids for average in AVERAGES),
        burns_up_to_l=max(one.vapour_l(ml) / (one.burns_from_percent / 100.0) for one in liquids),
        local_exhaust=worst.times_limit * figure("at_the_bench").value > 1.0,
    )


def _wall_mm(sheet: Sheet) -> float:
    """How thick it is for heat: a sheet, or the wall of a tube."""
    return sheet.tube.wall_mm if isinstance(sheet, TubeCut) else sheet.thickness_mm


def _anneal(design: Design, plan: BondingPlan) -> Annealing:
    names = dict.fromkeys(n for s in plan.seams for n in (s.seam.a, s.seam.b))
    thick, sheet = max(
        ((_wall_mm(one := design.instance(n).piece.sheet), one) for n in names), key=lambda pair: pair[0]
    )
    per_mm = sheet.substance.figure("anneal_time")
    least = figure("anneal_least_hours").value
    cool = sheet.substance.figure("anneal_cooling").value * thick
    return Annealing(
        sheet=sheet,
        thick_mm=thick,
        hours=max(least, per_mm.value * thick),
        other_hours=max(least, (per_mm.low or per_mm.value) * thick),
        cool_hours=cool if thick > figure("anneal_cool_over").value else None,
    )
