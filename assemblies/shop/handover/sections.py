"""The shop's sections of the report: bonding, buying, cautions; proof test and card."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assemblies.design.model import Design
from assemblies.fit import Fit
from assemblies.fit.apart.explode import Exploded
from assemblies.order import Order
from assemblies.shop.bond.plan import BondSettings, bonding_plan
from assemblies.shop.bond.rows import bonding_section
from assemblies.shop.bond.solvent import SolventError
from assemblies.shop.care.cautions import cautions_section, steps_of
from assemblies.shop.care.proof import proof_rows, proof_rules
from assemblies.shop.handover.buying import buying_section
from assemblies.shop.handover.card import card_section

__all__ = ["proving_sections", "shop_sections"]


def shop_sections(
    order: Order,
    design: Design,
    fit: Fit,
    exploded: Exploded,
    report: Mapping[str, Any],
    checks: Mapping[str, str],
) -> dict[str, Any]:
    """The sections that apply; one with nothing to say is absent.

    Args:
        order, design, fit, exploded: what is made.
        report: so far; `liquid` and `strength` are read where they are there.
        checks: states of the checks.

    Raises:
        OrderError: a stated solvent or room that cannot be.
    """
    shop = order.shop
    try:
        settings = BondSettings(
            solvent=shop.solvent, room_m3=shop.room, air_changes_h=shop.air_changes, clamped_mm=shop.clamped
        )
        return _sections(order, design, fit, exploded, report, checks, settings)
    except SolventError as error:
        raise order.refuse(("shop",), str(error), "a solvent of the table, a room that can be") from error


def _sections(
    order: Order,
    design: Design,
    fit: Fit,
    exploded: Exploded,
    report: Mapping[str, Any],
    checks: Mapping[str, str],
    settings: BondSettings,
) -> dict[str, Any]:
    plan = bonding_plan(design, fit, exploded)
    sections = {
        "bonding": None if plan is None else bonding_section(order, design, plan, settings),
        "buying": buying_section(order, design, fit, plan, settings),
        "cautions": cautions_section(steps_of(order, design, bonded=plan is not None)),
    }
    return {name: section for name, section in sections.items() if section is not None}


def proving_sections(
    order: Order, design: Design, report: Mapping[str, Any], checks: Mapping[str, str]
) -> dict[str, Any]:
    """The proof test and the operator's card, from the liquid and strength of the report so far."""
    sections = {
        "proof_test": proof_rows(order, design, report) or None,
        "proof_rules": proof_rules(order, design),
        "card": card_section(order, design, report, checks),
    }
    return {name: section for name, section in sections.items() if section is not None}
