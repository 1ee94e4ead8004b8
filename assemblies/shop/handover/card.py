"""The operator's card and the tank's label, as data: what may go in, how it may move, when, and when it is done for.

What strength has found is read from the report. Where the strength check was not run or has not passed there are no
figures to go by and the card says that the thing is not proven. Only the signed proof test releases it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assemblies.design.model import Design
from assemblies.liquid.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.shop.care.rules import cite, plain, wait
from parts.lengths import LengthUnit, mark_under
from parts.tables import load

__all__ = ["card_section"]

Row = dict[str, Any]


def card_section(order: Order, design: Design, report: Mapping[str, Any], checks: Mapping[str, str]) -> Row | None:
    """The report's `card`, or None for a thing that neither holds liquid nor moves.

    The largest acceleration and tilt are the smaller of what strength and spilling allow; there are none where the strength
    check has not passed. Waiting times and words come from the tables of this room.

    Args:
        order, design: what is made.
        report: `liquid` and `strength` are read where they are there.
        checks: states of the checks, as in the report.
    """
    if not design.cavities and not order.case:
        return None
    unproven = [name for name, state in checks.items() if state != "passed"]
    liquid = report.get("liquid", {})
    return {
        **_fill(liquid),
        **_limits(report, checks),
        "cases": [case.name for case in order.case],
        "name": design.name,
        "title": design.title,
        "revision": design.revision,
        "proven": not unproven,
        "not_proven_because": [f"{name}: {checks[name]}" for name in unproven],
        "valid": "only with the proof test signed and the verdict go; no faster than it was signed for",
        "brim_L": liquid.get("capacity_L"),
        "for_good_L": _good_for(report, checks).get("fill_l"),
        "mass_empty": liquid.get("mass_empty"),
        "mass_full": liquid.get("mass_full"),
        **_times(order, design),
        **_words(),
        "retention": design.retention,
        "torques": _torques(report),
        "lines": [_line(row) for row in load("card_lines")],
        "craze": [row["liquid"] for row in load("liquids_that_craze")],
        "label": _label(design, liquid, order.units),
    }


def _fill(liquid: Mapping[str, Any]) -> Row:
    """What goes in, and to which line."""
    if not liquid:
        return {}
    return {
        "fill_line_mm": liquid["fill_depth"],
        "fill_L": liquid["fill_L"],
        "liquids": [liquid["name"]],
        "largest_temperature_C": max(liquid["temperature"], 20.0),
    }


def _good_for(report: Mapping[str, Any], checks: Mapping[str, str]) -> Row:
    """What it is good for, where strength has passed."""
    return report.get("strength", {}).get("good_for", {}) if checks.get("strength") == "passed" else {}


def _limits(report: Mapping[str, Any], checks: Mapping[str, str]) -> Row:
    """How it may be started, stopped and tilted."""
    good = _good_for(report, checks)
    both = {
        "largest_acceleration_m_s2": ("acceleration_m_s2", "dry_acceleration_m_s2"),
        "largest_tilt_deg": ("tilt_deg", "dry_tilt_deg"),
    }
    return {word: min((good[k] for k in keys if good.get(k) is not None), default=None) for word, keys in both.items()}


def _times(order: Order, design: Design) -> Row:
    """Earliest fill and move; a throw or spin waits for full strength."""
    move = "throw" if any(CASE_KINDS[case.kind].late for case in order.case) else "motion"
    return {
        "first_fill_after_h": wait("water").value if design.cavities else None,
        "first_move_after_h": wait(move).value,
        "earliest": {name: plain(wait(name)) for name in ("handling", "water", move)},
        "sources": [plain(wait(name))["source"] for name in ("handling", "water", move)],
    }


def _words() -> Row:
    """The texts of the card by part, each from its line of the table."""
    parts = {"cleaners": "clean", "inspection": "inspect", "retire": "retire", "transport": "transport"}
    rows = load("card_lines")
    return {key: " ".join(r["text"] for r in rows if r["part"] == part) for part, key in parts.items()}


def _torques(report: Mapping[str, Any]) -> list[Row]:
    """The tightening torque of each plate's bolts, where strength has found one."""
    rows = report.get("strength", {}).get("threads", ())
    return [
        {key: row[key] for key in ("plate", "thread", "torque_Nm")} for row in rows if row.get("torque_Nm") is not None
    ]


def _line(row: Mapping[str, str]) -> Row:
    return {
        "part": row["part"], "text": row["text"], "source": cite(row["source"], row["clause"], row["how_known"])
    }  # fmt: skip


def _label(design: Design, liquid: Mapping[str, Any], unit: LengthUnit) -> list[str]:
    """The lines of the label that stays on the tank, its fill line in the order's unit."""
    lines = [f"{design.title}, {design.name} rev {design.revision}"]
    if liquid:
        deep, much = mark_under(liquid["fill_depth"], unit), f"{liquid['fill_L']:.1f} L of {liquid['name']}"
        taken = liquid.get("assumed")  # no liquid was ordered: what it was proven with is no line to fill it to
        lines.append(f"Proven with {much}; no liquid was ordered" if taken else f"Fill line {deep}, {much}, no more")
        lines.append(f"{liquid['mass_empty']:.1f} kg empty, {liquid['mass_full']:.1f} kg full: carry it empty")
    lines += ["Soap and water only: spirit and solvent craze it", "Crazed, cracked or weeping: do not use, cut it up"]
    return lines
