"""What every proof of an order and a design starts from: the figures of the check of the loads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from assemblies.design import Design
from assemblies.liquid.state import Filled
from assemblies.order import Order
from assemblies.strength.bonds.allowed import environment, warmth
from assemblies.strength.proof.cases import LoadedCases, standing_of
from assemblies.strength.proof.liquid_said import known_liquid
from assemblies.strength.proof.uses import Settings
from parts.findings import Finding
from parts.stock.material import Duration

__all__ = ["Loads", "settings_of"]


@dataclass(frozen=True, kw_only=True)
class Loads:
    """What is proven, under what, by which limits.

    Attributes:
        order, design: what was ordered and built.
        filled: the liquid in it, and the thing without.
        settings: what the order asks of the proof.
        cases: what loads it.
        outside: what the method of strength does not reach, as far as that is known without a proof; of the cases too.
    """

    order: Order
    design: Design
    filled: Filled
    settings: Settings
    cases: LoadedCases
    outside: tuple[Finding, ...]

    @property
    def standing(self) -> Duration:
        """How long it stands full."""
        return standing_of(self.order.liquid)


def settings_of(order: Order) -> Settings:
    """What the order asks of the proof."""
    limits, support = order.limits, order.support
    warm = order.liquid.temperature if order.liquid else 20.0
    given: dict[str, Any] = {} if limits.joint is None else {"joint": limits.joint}
    return Settings(
        support=support.kind if support else "flat",
        factor=limits.factor,
        bonded=limits.bonded_area,
        environment=environment(warm, known=known_liquid(order)),
        stiffness=warmth(warm),
        deflection_of_span=limits.deflection.of_span,
        deflection_mm=limits.deflection.mm,
        sag_of_span=limits.sag.of_span,
        sag_mm=limits.sag.mm,
        **given,
    )
