"""The check of what is to be known before a thing is lifted, and the rows of the report on its liquid.

The check of the liquid itself stands with the cases of strength (`strength.proof.checks`): it says what leaves in each of them,
and what a liquid does to the stress that is allowed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assemblies.report.check import Check, Checked, Made, Rows

if TYPE_CHECKING:
    from assemblies.design.mass import Body
    from assemblies.liquid.state import Kept, LiquidState

__all__ = ["HANDLING", "liquid_rows"]

_AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def _handling(made: Made) -> Checked:
    """What is to be known before it is lifted. Of a liquid that is only taken, the check of it says that it spills."""
    from assemblies.liquid.loads.handling import carry_findings
    from assemblies.liquid.state import LiquidState

    state = made.need(LiquidState)
    wet, brim = state.fill_l > 0.0 and state.open, state.full_to == "brim"
    said = carry_findings(
        state.full.mass_kg,
        part_filled=wet and not brim,
        empty_kg=state.empty.mass_kg,
        brim_full=wet and brim and not state.assumed,
    )
    return Checked(findings=said)


HANDLING = Check(name="handling", run=_handling, after=("liquid",), questions=("hold",))


def liquid_rows(made: Made, state: LiquidState) -> Rows:
    """`liquid` of the report."""

    def turned(body: Body) -> list[float]:
        return [body.about_axis(state.about_mm, axis) for axis in _AXES]

    return {
        "liquid": {
            "name": state.fluid.name,
            "assumed": state.assumed,
            "density": state.fluid.density_kg_m3,
            "viscosity": state.fluid.viscosity_mpa_s,
            "temperature": state.fluid.temperature_c,
            "source": state.fluid.source,
            "capacity_L": state.capacity_l,
            "fill_L": state.fill_l,
            "stays": made.order.liquid.stays if made.order.liquid else "permanent",
            "fills_per_day": made.order.liquid.fills_per_day if made.order.liquid else None,
            "fill_depth": state.fill_depth_mm,
            "brim_depth": state.brim_depth_mm,
            "freeboard": state.freeboard_mm,
            "open": state.open,
            "full_to": state.full_to,
            "mass_empty": state.empty.mass_kg,
            "mass_full": state.full.mass_kg,
            "centre_empty": state.empty.centre_mm,
            "centre_full": state.full.centre_mm,
            "inertia_empty": turned(state.empty),
            "inertia_full": turned(state.full),
            "inertia_about": state.about_mm,
            "spill_tilt": state.spill_tilt_deg,
            "spill_by": state.spill_by,
            "pours_at": state.pours_at_deg,
            "at_tilt": [_kept(k) for k in state.at_tilt],
            "tips_at": {"tilt": state.tips_at_deg, "push_m_s2": state.tips_at_push_m_s2},
            "lost_L": state.lost_l,
            "lost_by": state.lost_by,
        }
    }


def _kept(kept: Kept) -> dict[str, Any]:
    return {
        "toward": kept.toward,
        "tilt": kept.tilt_deg,
        "kept_L": kept.kept_l,
        "mass": kept.whole.mass_kg,
        "centre": kept.whole.centre_mm,
    }
