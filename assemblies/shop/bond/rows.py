"""The report's `bonding`: the plan, its figures and where they come from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.shop.bond.plan import BondingPlan, BondSettings, SeamPlan
from assemblies.shop.bond.solvent import AVERAGES, Exposure, Solvent, exposure, solvents, strictest
from assemblies.shop.bond.steps import bonding_steps
from assemblies.shop.care.rules import figure, plain, wait
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import Sheet

__all__ = ["bonding_section", "leaf_mm"]

Row = dict[str, Any]
_NOT_STATED = "not stated: the user's choice; figures are those of the strictest of the table, as the worst case"


def leaf_mm(limit_mm: float) -> float:
    """The thinnest leaf of a usual gauge that is not thinner than the limit.

    >>> leaf_mm(0.1), leaf_mm(0.12)
    (0.1, 0.15)
    """
    step = figure("leaf_step").value
    return round(step * math.ceil(limit_mm / step - 1e-9), 6)


def bonding_section(order: Order, design: Design, plan: BondingPlan, settings: BondSettings) -> Row:
    """The report's `bonding`.

    Raises:
        SolventError: a stated solvent or room that cannot be.
    """
    chosen = settings.chosen
    liquids = solvents() if chosen is None else (chosen,)
    gap, stop = leaf_mm(order.limits.gap), leaf_mm(max(rule("gap_stop"), order.limits.gap))
    section: Row = {
        "solvent": _solvent(chosen, liquids),
        "taped": list(plan.taped),
        "tape_m": plan.tape_m,
        "turns": plan.turns,
        "gap": {"limit": order.limits.gap, "leaf": gap, "stop_leaf": stop, "source": rule_source("gap_ok")},
        "peel_back": plain(figure("peel_back")),
        "needle": plain(figure("needle_bore")),
        "temperature": plain(figure("shop_temperature")),
        "seams": [_seam(s) for s in plan.seams],
        "amount": _amount(plan),
        "capillary": _capillary(plan, liquids),
        "air": _air(plan, settings, liquids),
        "waits": {n: plain(wait(n)) for n in ("set", "tape-off", "handling", "water", "motion", "throw")},
        "anneal": _anneal(design, plan),
        "through_hole": _through_hole(design),
    }
    return {**section, "steps": bonding_steps(order, design, plan, section)}


def _solvent(chosen: Solvent | None, liquids: Sequence[Solvent]) -> Row:
    return {
        "stated": None if chosen is None else chosen.name,
        "says": _NOT_STATED if chosen is None else f"{chosen.name} ({chosen.also_called})",
        "notices": [
            {"solvent": s.name, "text": s.regulation, "flash": s.flash_c, "how_known": s.regulation_known}
            for s in liquids
        ],
    }


def _seam(one: SeamPlan) -> Row:
    seam = one.seam
    return {
        "order": one.number,
        "seam": seam.id,
        "a": seam.a,
        "b": seam.b,
        "kind": one.kind,
        "down": one.down,
        "floor": list(one.floor),
        "turn": one.turn,
        "needle_from": one.feed,
        "tape": "none" if one.kind == "plate" else f"outside of {seam.a} and {seam.b}",
        "length": seam.length_mm,
        "width": seam.width_mm,
        "area": seam.area_mm2,
        "gap": one.gap_mm,
        "captive": one.fit.gap.captive,
        "mL": one.ml,
    }


def _amount(plan: BondingPlan) -> Row:
    return {
        "net_mL": plan.net_ml,
        "draw_mL": plan.draw_ml,
        "losses": plain(figure("losses")),
        "least_film": plain(figure("least_film")),
        "formula": "mL = area x gap / 1000 for each seam, the gap its greatest and at least the least film; in all times "
        "the losses, up to the next half millilitre",
    }


def _capillary(plan: BondingPlan, liquids: Sequence[Solvent]) -> Row:
    """The slowest filling and the least rise among the seams and solvents."""
    fills = [(liquid.fills(s.gap_mm, s.seam.width_mm), s) for s in plan.seams for liquid in liquids]
    slowest, where = max(fills, key=lambda pair: pair[0].t_with_inertia)
    lowest, widest = min(fills, key=lambda pair: pair[0].rise)
    return {
        "rise": 1000.0 * lowest.rise,
        "rise_at_gap": widest.gap_mm,
        "fill_s": slowest.t_with_inertia,
        "fill_s_without_inertia": slowest.t_viscous,
        "fill_seam": where.seam.id,
        "says": f"every seam has filled within {slowest.t_with_inertia:.2g} s of the solvent reaching it; an open seam fails "
        "for want of swollen sheet in it, not because it does not fill",
        "source": "computed: Jurin; Lucas and Washburn for a slot, with inertia after Bosanquet; wets wholly, no evaporation",
    }


def _air(plan: BondingPlan, settings: BondSettings, liquids: Sequence[Solvent]) -> Row:
    """What the drawn solvent does to the air if all of it evaporates at once."""
    room = settings.room
    worst = strictest(liquids, plan.draw_ml, room)
    near = figure("at_the_bench")
    burns = max(s.vapour_l(plan.draw_ml) / (s.burns_from_percent / 100.0) for s in liquids)
    return {
        "evaporates_mL": plan.draw_ml,
        "room_m3": room.volume_m3,
        "room_stated": settings.room_m3 is not None,
        "air_changes_h": room.air_changes_h,
        "air_changes_stated": settings.air_changes_h is not None,
        "worst": _exposure(worst),
        "each": [_exposure(exposure(s, plan.draw_ml, room, a)) for s in liquids for a in AVERAGES],
        "at_the_bench": plain(near),
        "burns_up_to_L": burns,
        "over": worst.times_limit > 1.0,
        "local_exhaust": worst.times_limit * near.value > 1.0,
        "formula": "ppm at once = mL x density / molar mass x 24.45 L / room; its mean over T with n air changes is "
        "(1 - exp(-n T))/(n T) of that; air evenly mixed, no solvent in the air before",
    }


def _exposure(one: Exposure) -> Row:
    return {
        "solvent": one.solvent,
        "average": one.limit.average,
        "peak_ppm": one.peak_ppm,
        "mean_ppm": one.mean_ppm,
        "limit_ppm": one.limit.ppm,
        "standing": one.limit.standing,
        "times_limit": one.times_limit,
        "mL_to_limit": one.ml_to_limit,
        "fresh_air_m3": one.fresh_air_m3,
        "source": one.limit.source,
    }


def _anneal(design: Design, plan: BondingPlan) -> Row:
    """Annealing of the thickest bonded piece; where sources disagree the longer time, both shown."""
    names = dict.fromkeys(n for s in plan.seams for n in (s.seam.a, s.seam.b))
    sheet: Sheet = max((design.instance(n).piece.sheet for n in names), key=lambda s: s.thickness_mm)
    thick = sheet.thickness_mm
    warm, per_mm = sheet.substance.figure("anneal_temperature"), sheet.substance.figure("anneal_time")
    cool = sheet.substance.figure("anneal_cooling")
    least = figure("anneal_least_hours").value
    return {
        "temperature": plain(warm),
        "thickness": thick,
        "hours": max(least, per_mm.value * thick),
        "hours_other_source": max(least, (per_mm.low or per_mm.value) * thick),
        "cool_hours": cool.value * thick if thick > figure("anneal_cool_over").value else None,
        "out_below": plain(figure("anneal_out_below")),
        "time": plain(per_mm),
        "cooling": plain(cool),
        "says": "Before bonding where a piece was bent, lasered or machined hard; again after bonding, once the solvent has "
        "dried out, for a rig that moves or stays filled. Free and supported all over, unclamped, film off.",
        "cautions": ["oven-air", "oven-kitchen", "oven-hands"],
    }


def _through_hole(design: Design) -> Row | None:
    """Feeding a plate through its tapped hole: an option that must be asked for."""
    plates = [p.name for p in design.placed if p.piece.role == "mount" and any(h.thread for h in p.piece.holes)]
    if not plates:
        return None
    return {
        "plates": plates,
        "default": "no",
        "how": "only if the middle of a large plate stays dry: one drop through an untapped or unused hole, dabbed dry at once",
        "caution": "Solvent on a thread crazes it and the thread then fails under load: never through a hole that carries a "
        "bolt; a thread that got wet counts as lost.",
        "source": "common practice, no source",
    }
