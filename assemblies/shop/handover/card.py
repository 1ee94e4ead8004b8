"""The operator's card and the tank's label: what may go in, how it may move, when, and when it is done for.

Where the strength check was not run or has not passed there are no figures to go by and the card says that the thing is not
proven. Only the signed proof test releases it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assemblies.design.model import Design
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.report.check import Rows, State
from assemblies.shop.care.rules import cited, wait
from parts.lengths import LengthUnit, mark_under
from parts.tables import cite, load

if TYPE_CHECKING:
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.plans.moves import Moves
    from assemblies.strength.proof.figures import GoodFor, Strength

__all__ = ["Proven", "card_moves", "card_section"]


@dataclass(frozen=True, kw_only=True)
class Proven:
    """What the card goes by.

    Attributes:
        liquid: None where it holds none, or that check was not run.
        strength: None where that check was not run or covers nothing of it.
        states: of every check that is needed, strength's among them, by name.
        moves: as planned; None where none is.
    """

    liquid: LiquidState | None
    strength: Strength | None
    states: Mapping[str, State]
    moves: Moves | None = None

    @property
    def good_for(self) -> GoodFor | None:
        """What it is good for, where strength has passed."""
        return self.strength.good_for if self.strength and self.states.get("strength") == "passed" else None


def card_section(order: Order, design: Design, proven: Proven) -> Rows:
    """The report's `card`.

    The largest acceleration and tilt are the smaller of what strength and spilling allow; there are none where the strength
    check has not passed. Waiting times and words come from the tables of this room.
    """
    liquid, good = proven.liquid, proven.good_for
    unproven = {name: state for name, state in proven.states.items() if state != "passed"}
    return {
        **_fill(liquid),
        "stays": order.liquid.stays if order.liquid else "permanent",
        "fills_per_day": order.liquid.fills_per_day if order.liquid else None,
        **_limits(good),
        "planned": list(card_moves(proven)),
        "cases": [case.name for case in order.case],
        "name": design.name,
        "title": design.title,
        "revision": design.revision,
        "proven": not unproven,
        "not_proven_because": [f"{name}: {state}" for name, state in unproven.items()],
        "valid": "only with the proof test signed and the verdict go; no faster than it was signed for",
        "brim_L": liquid.capacity_l if liquid else None,
        "for_good_L": good.fill_l if good else None,
        "mass_empty": liquid.empty.mass_kg if liquid else None,
        "mass_full": liquid.full.mass_kg if liquid else None,
        **_times(order, design),
        **_words(),
        "retention": design.retention,
        "torques": _torques(proven.strength),
        "lines": [_line(row) for row in load("card_lines")],
        "craze": [row["liquid"] for row in load("liquids_that_craze")],
        "label": _label(design, liquid, order.units),
    }


def _fill(liquid: LiquidState | None) -> Rows:
    """What goes in, and to which line."""
    if liquid is None:
        return {}
    return {
        "fill_line_mm": liquid.fill_depth_mm,
        "fill_L": liquid.fill_l,
        "liquids": [liquid.fluid.name],
        "largest_temperature_C": max(liquid.fluid.temperature_c, 20.0),
    }


def _limits(good: GoodFor | None) -> Rows:
    """How it may be started, stopped and tilted."""
    push = (good.acceleration_m_s2, good.dry_acceleration_m_s2) if good else ()
    tilt = (good.tilt_deg, good.dry_tilt_deg) if good else ()
    return {
        "largest_acceleration_m_s2": min((v for v in push if v is not None), default=None),
        "largest_tilt_deg": min((v for v in tilt if v is not None), default=None),
    }


def card_moves(proven: Proven) -> Iterator[Rows]:
    """The moves that may be run by their schedules: these may go beyond the limits of what is done by hand."""
    moves = proven.moves
    if moves is None or proven.good_for is None:
        return
    for one in moves.every:
        if one.spec.name in moves.passed:
            yield {"case": one.spec.name, "kind": one.spec.kind, **one.greatest}


def _times(order: Order, design: Design) -> Rows:
    """Earliest fill and move; a throw or spin waits for full strength."""
    move = "throw" if any(CASE_KINDS[case.kind].late for case in order.case) else "motion"
    return {
        "first_fill_after_h": wait("water").value if design.cavities else None,
        "first_move_after_h": wait(move).value,
        "earliest": {name: cited(wait(name)) for name in ("handling", "water", move)},
        "sources": [cited(wait(name)).source for name in ("handling", "water", move)],
    }


def _words() -> Rows:
    """The texts of the card by part, each from its line of the table."""
    parts = {"cleaners": "clean", "inspection": "inspect", "retire": "retire", "transport": "transport"}
    rows = load("card_lines")
    return {key: " ".join(r["text"] for r in rows if r["part"] == part) for part, key in parts.items()}


def _torques(strength: Strength | None) -> list[Rows]:
    """The tightening torque of each plate's bolts, where strength has found one."""
    found = strength.tightening if strength else ()
    return [
        {"plate": one.plate, "thread": one.thread, "torque_Nm": one.torque_nm}
        for one in found
        if one.torque_nm is not None
    ]


def _line(row: Mapping[str, str]) -> Rows:
    return {"part": row["part"], "text": row["text"], "source": cite(row["source"], row["clause"], row["how_known"])}


def _label(design: Design, liquid: LiquidState | None, unit: LengthUnit) -> list[str]:
    """The lines of the label that stays on the tank, its fill line in the order's unit."""
    lines = [f"{design.title}, {design.name} rev {design.revision}"]
    if liquid:
        deep, much = mark_under(liquid.fill_depth_mm, unit), f"{liquid.fill_l:.1f} L of {liquid.fluid.name}"
        taken = liquid.assumed  # no liquid was ordered: what it was proven with is no line to fill it to
        lines.append(f"Proven with {much}; no liquid was ordered" if taken else f"Fill line {deep}, {much}, no more")
        lines.append(f"{liquid.empty.mass_kg:.1f} kg empty, {liquid.full.mass_kg:.1f} kg full: carry it empty")
    lines += ["Soap and water only: spirit and solvent craze it", "Crazed, cracked or weeping: do not use, cut it up"]
    return lines
