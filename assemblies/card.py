"""What to test before use, and what the operator must know: plain data for the packet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assemblies.order import Order
from assemblies.strength.allowed import factor_of, factor_source

__all__ = ["operators_card", "proof_test"]

_MOVING = ("slide", "turn", "launch", "spin")
_SPEEDS = (25, 50, 75, 100)


def proof_test(order: Order, liquid: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The steps of the proof test, each to be signed for; tightness at rest is no acceptance for what moves."""
    full = liquid["capacity_L"]
    steps: list[dict[str, Any]] = [
        {
            "do": "Look over every seam and plate against the light: no bubble, no white line, no crazing.",
            "litres": 0.0,
            "hours": 0.0,
        },
        {
            "do": f"On the bench, over a tray that holds it all, nothing electrical below: fill to the brim with {full:.2f} L "
            "of water and leave it for 24 h. No drop, no new crazing.",
            "litres": full,
            "hours": 24.0,
        },
    ]
    moving = [c for c in order.case if c.kind in _MOVING]
    for speed in _SPEEDS if moving else ():
        names = ", ".join(c.name for c in moving)
        steps.append(
            {
                "do": f"With the guard shut and nobody inside, water to the fill line: {names} at {speed} % of the "
                "speed. Stop and look at seams, plates and bolts.",
                "litres": liquid["fill_L"],
                "speed_percent": speed,
            }
        )
    return [{"step": k, **step, "signed": ""} for k, step in enumerate(steps, start=1)]


def operators_card(order: Order, liquid: Mapping[str, Any], good: Mapping[str, Any]) -> dict[str, Any]:
    """What stands on the card at the rig. Accelerations m/s2, tilts in degrees, times in hours after bonding.

    Acceleration and tilt are the smaller of what strength and spilling allow.
    """
    bounds = {
        "acceleration": (good.get("acceleration_m_s2"), good.get("dry_acceleration_m_s2")),
        "tilt": (good.get("tilt_deg"), good.get("dry_tilt_deg")),
    }
    least = {key: min((v for v in both if v is not None), default=None) for key, both in bounds.items()}
    return {
        "fill_line_mm": liquid["fill_depth"],
        "fill_L": liquid["fill_L"],
        "liquids": [liquid["name"]],
        "largest_temperature_C": max(liquid["temperature"], 20.0),
        "largest_acceleration_m_s2": least["acceleration"],
        "largest_tilt_deg": least["tilt"],
        "cases": [c.name for c in order.case],
        "first_fill_after_h": factor_of("fill_after"),
        "first_move_after_h": factor_of("move_after"),
        "inspect_every_days": factor_of("inspect_every"),
        "inspect": "Before every use and every month: seams, corners, plates, bolts and holes against the light.",
        "retire": "Out of use when it crazes, leaks, was dropped, or a seam shows a white line or a growing bubble.",
        "clean": "Water with a drop of washing-up liquid, soft cloth. No glass cleaner, alcohol, solvent or dry cloth.",
        "transport": "Empty. A part-filled open tank is no stable load.",
        "sources": [factor_source(name) for name in ("fill_after", "move_after", "inspect_every")],
    }
