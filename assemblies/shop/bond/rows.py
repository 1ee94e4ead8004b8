"""The report's `bonding`: the plan, its figures and where they come from."""

from __future__ import annotations

from collections.abc import Sequence

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.report.check import Rows
from assemblies.shop.bond.figures import Air, Annealing, BondFigures
from assemblies.shop.bond.plan import BondingPlan, BondSettings, SeamPlan
from assemblies.shop.bond.solvent import Solvent
from assemblies.shop.bond.steps import bonding_steps, exposure_row
from assemblies.shop.care.rules import cited, figure, wait

__all__ = ["bonding_section"]

_NOT_STATED = "not stated: the user's choice; figures are those of the strictest of the table, as the worst case"


def bonding_section(
    order: Order, design: Design, plan: BondingPlan, settings: BondSettings, known: BondFigures
) -> Rows:
    """The report's `bonding`."""
    return {
        "solvent": _solvent(settings.chosen, known.liquids),
        "taped": plan.taped,
        "tape_m": plan.tape_m,
        "turns": plan.turns,
        "gap": known.gauge,
        "peel_back": cited(figure("peel_back")),
        "needle": cited(figure("needle_bore")),
        "temperature": cited(figure("shop_temperature")),
        "seams": [_seam(s) for s in plan.seams],
        "amount": _amount(plan),
        "capillary": _capillary(plan, known.liquids),
        "air": _air(plan, settings, known.air),
        "waits": {n: cited(wait(n)) for n in ("set", "tape-off", "handling", "water", "motion", "throw")},
        "anneal": _anneal(known.anneal),
        "through_hole": _through_hole(design),
        "steps": bonding_steps(order, design, plan, known),
    }


def _solvent(chosen: Solvent | None, liquids: Sequence[Solvent]) -> Rows:
    return {
        "stated": None if chosen is None else chosen.name,
        "says": _NOT_STATED if chosen is None else f"{chosen.name} ({chosen.also_called})",
        "notices": [
            {"solvent": s.name, "text": s.regulation, "flash": s.flash_c, "how_known": s.regulation_known}
            for s in liquids
        ],
    }


def _seam(one: SeamPlan) -> Rows:
    seam = one.seam
    return {
        "order": one.number,
        "seam": seam.id,
        "a": seam.a,
        "b": seam.b,
        "kind": one.kind,
        "down": one.down,
        "floor": one.floor,
        "turn": one.turn,
        "needle_from": one.feed,
        "tape": "none"
        if one.kind == "plate"
        else "bands"
        if one.kind == "along"
        else f"outside of {seam.a} and {seam.b}",
        "length": seam.length_mm,
        "width": seam.width_mm,
        "area": seam.area_mm2,
        "gap": one.gap_mm,
        "captive": one.fit.gap.captive,
        "mL": one.ml,
    }


def _amount(plan: BondingPlan) -> Rows:
    return {
        "net_mL": plan.net_ml,
        "draw_mL": plan.draw_ml,
        "losses": cited(figure("losses")),
        "least_film": cited(figure("least_film")),
        "formula": "mL = area x gap / 1000 for each seam, the gap its greatest and at least the least film; in all times "
        "the losses, up to the next half millilitre",
    }


def _capillary(plan: BondingPlan, liquids: Sequence[Solvent]) -> Rows:
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
        "says": f"Every seam fills within {slowest.t_with_inertia:.2g} s of the solvent reaching it; an open seam fails "
        "for want of swollen sheet in it, not because it does not fill",
        "source": "computed: Jurin; Lucas and Washburn for a slot, with inertia after Bosanquet; wets wholly, no evaporation",
    }


def _air(plan: BondingPlan, settings: BondSettings, air: Air) -> Rows:
    return {
        "evaporates_mL": plan.draw_ml,
        "room_m3": air.room.volume_m3,
        "room_stated": settings.room_m3 is not None,
        "air_changes_h": air.room.air_changes_h,
        "air_changes_stated": settings.air_changes_h is not None,
        "worst": exposure_row(air.worst),
        "each": [exposure_row(one) for one in air.each],
        "at_the_bench": cited(figure("at_the_bench")),
        "burns_up_to_L": air.burns_up_to_l,
        "over": air.worst.times_limit > 1.0,
        "local_exhaust": air.local_exhaust,
        "formula": "ppm at once = mL x density / molar mass x 24.45 L / room; its mean over T with n air changes is "
        "(1 - exp(-n T))/(n T) of that; air evenly mixed, no solvent in the air before",
    }


def _anneal(anneal: Annealing) -> Rows:
    """Where sources disagree on the hours the longer, both shown."""
    substance = anneal.sheet.substance
    return {
        "temperature": cited(substance.figure("anneal_temperature")),
        "thickness": anneal.thick_mm,
        "hours": anneal.hours,
        "hours_other_source": anneal.other_hours,
        "cool_hours": anneal.cool_hours,
        "out_below": cited(figure("anneal_out_below")),
        "time": cited(substance.figure("anneal_time")),
        "cooling": cited(substance.figure("anneal_cooling")),
        "says": "Before bonding where a piece was bent, lasered or machined hard; again after bonding, once the solvent has "
        "dried out, for a rig that moves or stays filled. Free and supported all over, unclamped, film off.",
        "cautions": ["oven-air", "oven-kitchen", "oven-hands"],
    }


def _through_hole(design: Design) -> Rows | None:
    """Feeding a plate through its tapped hole: an option that must be asked for."""
    plates = [p.name for p in design.placed if p.piece.role == "mount" and any(h.thread for h in p.piece.holes)]
    if not plates:
        return None
    return {
        "plates": plates,
        "default": "no",
        "how": "only if the middle of a large plate stays dry: one drop through an untapped or unused hole, dabbed dry at once",
        "caution": "Solvent on a thread crazes it and the thread then fails under load: never through a hole that carries a "
        "bolt; treat a thread that got wet as lost.",
        "source": "common practice, no source",
    }
