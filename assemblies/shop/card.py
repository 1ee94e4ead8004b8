"""The operator's card and the tank's label, as data: what may go in, how it may move, when, and when it is done for.

What strength has found is read from the report. Where the strength check was not run or has not passed there are no
figures to go by and the card says that the thing is not released.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assemblies.design import Design
from assemblies.order import Order
from assemblies.shop.bonding_rules import cite, plain, wait
from parts.tables import load

__all__ = ["card_section"]

Row = dict[str, Any]


def card_section(order: Order, design: Design, report: Mapping[str, Any], checks: Mapping[str, str]) -> Row | None:
    """The report's `card`, or None for a thing that neither holds liquid nor moves.

    Args:
        order, design: what is made.
        report: `liquid` and `strength` are read where they are there.
        checks: states of the checks, as in the report.
    """
    if not design.cavities and not order.case:
        return None
    liquid, good = report.get("liquid", {}), report.get("strength", {}).get("good_for", {})
    unproven = [name for name, state in checks.items() if state != "passed"]
    return {
        "name": design.name,
        "title": design.title,
        "revision": design.revision,
        "released": not unproven,
        "not_released_because": [f"{name}: {checks[name]}" for name in unproven],
        "valid": "only with the proof test signed and the verdict go",
        "fill": _fill(liquid, good),
        "liquids": _liquids(order),
        "moves": _moves(order, good if checks.get("strength") == "passed" else {}),
        "mass": {"empty": liquid.get("mass_empty"), "full": liquid.get("mass_full")},
        "earliest": {n: plain(wait(n)) for n in _waits(order, design)},
        "retention": design.retention,
        "torques": [
            {"plate": t["plate"], "thread": t["thread"], "torque_Nm": t["torque_Nm"]}
            for t in report.get("strength", {}).get("threads", ())
            if t.get("torque_Nm") is not None
        ],
        "lines": [_line(row) for row in load("card_lines")],
        "craze": [r["liquid"] for r in load("liquids_that_craze")],
        "label": _label(design, liquid),
    }  # fmt: skip


def _line(row: Mapping[str, str]) -> Row:
    return {
        "part": row["part"], "text": row["text"], "source": cite(row["source"], row["clause"], row["how_known"])
    }  # fmt: skip


def _fill(liquid: Mapping[str, Any], good: Mapping[str, Any]) -> Row | None:
    """The fill line; never above what strength allows to stay in for good."""
    if not liquid:
        return None
    most = good.get("fill_l")
    over = most is not None and liquid["fill_L"] > most * (1.0 + 1e-9)
    return {
        "line_above_floor": liquid["fill_depth"],
        "litres": liquid["fill_L"],
        "brim_litres": liquid["capacity_L"],
        "for_good_litres": most,
        "says": "the fill ordered is more than may stay in it for good: drain it after use" if over else "",
        "temperature": liquid["temperature"],
    }


def _liquids(order: Order) -> Row | None:
    if order.liquid is None:
        return None
    return {
        "proven_for": order.liquid.name,
        "also": "clean water at the same temperature, if that is lighter",
        "never": "anything of the list `craze`, hot liquids, living animals",
    }


def _moves(order: Order, good: Mapping[str, Any]) -> Row:
    """What it was ordered to do, and the largest acceleration and tilt that strength and spilling allow."""
    cases = [
        {"case": c.name, "kind": c.kind, "acceleration": c.acceleration, "tilt": c.angle, "speed": c.speed}
        for c in order.case
    ]
    push = [v for v in (good.get("acceleration_m_s2"), good.get("dry_acceleration_m_s2")) if v is not None]
    tilt = [v for v in (good.get("tilt_deg"), good.get("dry_tilt_deg")) if v is not None]
    return {
        "proven_cases": cases,
        "largest_acceleration": min(push, default=None),
        "largest_tilt": min(tilt, default=None),
        "acceleration_strength": good.get("acceleration_m_s2"),
        "acceleration_spills": good.get("dry_acceleration_m_s2"),
        "tilt_strength": good.get("tilt_deg"),
        "tilt_spills": good.get("dry_tilt_deg"),
        "says": "no faster than the proof test was signed for; the largest figures are reckoned, not tested",
    }


def _waits(order: Order, design: Design) -> tuple[str, ...]:
    kinds = {case.kind for case in order.case}
    names = ["handling"]
    names += ["water"] if design.cavities else []
    names += ["motion"] if kinds & {"slide", "turn", "carry"} else []
    names += ["launch"] if kinds & {"spin", "launch"} else []
    return tuple(names)


def _label(design: Design, liquid: Mapping[str, Any]) -> list[str]:
    """The lines of the label that stays on the tank."""
    lines = [f"{design.title}, {design.name} rev {design.revision}"]
    if liquid:
        lines.append(f"Fill line {liquid['fill_depth']:.0f} mm, {liquid['fill_L']:.1f} L of {liquid['name']}, no more")
        lines.append(f"{liquid['mass_empty']:.1f} kg empty, {liquid['mass_full']:.1f} kg full: carry it empty")
    lines += ["Soap and water only: spirit and solvent craze it", "Crazed, cracked or weeping: do not use, cut it up"]
    return lines
