"""Adapter for the order of the day in `examine`, until that runs the checks themselves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from assemblies.design.model import Design
from assemblies.fit import Fit
from assemblies.fit.apart.explode import Exploded
from assemblies.order import Order
from assemblies.report.check import Checked, Made, State, run_checks
from assemblies.shop.bond.check import BOND
from assemblies.shop.care.check import CAUTIONS, PROOF_TEST
from assemblies.shop.handover.check import BUYING, CARD

__all__ = ["proving_sections", "shop_sections"]


def shop_sections(
    order: Order, design: Design, fit: Fit, exploded: Exploded, report: Mapping[str, Any], checks: Mapping[str, str]
) -> dict[str, Any]:
    """The sections that apply; one with nothing to say is absent."""
    got = {"fit": Checked(figures=fit), "apart": Checked(figures=exploded)}
    return run_checks(Made(order=order, design=design, got=got), (BOND, BUYING, CAUTIONS))[1]


def proving_sections(
    order: Order, design: Design, report: Mapping[str, Any], checks: Mapping[str, str]
) -> dict[str, Any]:
    """The proof test and the operator's card, from the liquid and strength of the report so far."""
    from assemblies.design.mass import Body
    from assemblies.liquid.fluids import Fluid
    from assemblies.liquid.state import LiquidState
    from assemblies.strength.proof.figures import GoodFor, Strength, Tightening

    liquid, strength, none = report.get("liquid"), report.get("strength"), cast("Any", None)
    zero = (0.0, 0.0, 0.0)
    state = liquid and LiquidState(
        fluid=Fluid(name=liquid["name"], temperature_c=liquid["temperature"], density_kg_m3=liquid["density"],
                    viscosity_mpa_s=liquid["viscosity"], source=liquid["source"]),
        assumed=liquid["assumed"], cavity=design.cavities[0], capacity_l=liquid["capacity_L"], fill_l=liquid["fill_L"],
        fill_depth_mm=liquid["fill_depth"], brim_depth_mm=0.0, freeboard_mm=None, open=liquid["open"], full_to=None,
        empty=Body(mass_kg=liquid["mass_empty"], centre_mm=zero, inertia_kg_mm2=(zero, zero, zero)),
        full=Body(mass_kg=liquid["mass_full"], centre_mm=zero, inertia_kg_mm2=(zero, zero, zero)), about_mm=zero,
        spill_tilt_deg={}, at_tilt=(), tips_at_deg=None, tips_at_push_m_s2=None, lost_l={},
    )  # fmt: skip
    found = strength and Strength(
        proof=none, good_for=GoodFor(**strength["good_for"]), covered=False, tightening=tuple(
            Tightening(plate=t["plate"], thread=t["thread"], torque_nm=t["torque_Nm"], longest_bolt_mm=None)
            for t in strength["threads"] if "torque_Nm" in t
        ),
    )  # fmt: skip
    figures: dict[str, object] = {"liquid": state or None, "strength": found or None}
    got = {name: Checked(state=cast("State", said), figures=figures.get(name)) for name, said in checks.items()}
    return run_checks(Made(order=order, design=design, got=got), (PROOF_TEST, CARD))[1]
