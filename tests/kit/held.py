"""Will it hold: the checks of liquid and strength, asked of one order and design."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assemblies.design import Design
from assemblies.liquid.checks import HANDLING
from assemblies.order import Order
from assemblies.report.check import Check, Checked, Made, run_checks
from assemblies.strength.proof.checks import LIQUID
from assemblies.strength.proof.figures import Strength
from assemblies.strength.proof.uses import Proof
from assemblies.strength.tank.checks import LOADS, SOUND, STRENGTH
from parts.findings import Finding

CHECKS = (LOADS, LIQUID, SOUND, HANDLING, STRENGTH)


@dataclass(frozen=True, kw_only=True)
class Held:
    """What came of it."""

    made: Made
    rows: Mapping[str, Any]

    @property
    def checks(self) -> dict[str, str]:
        """The states that the verdict reads."""
        return {name: str(self.made.got[name].state) for name in ("strength", "liquid")}

    @property
    def passed(self) -> bool:
        return set(self.checks.values()) == {"passed"}

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.made.findings

    @property
    def liquid(self) -> Mapping[str, Any]:
        return self.rows["liquid"]

    @property
    def strength(self) -> Mapping[str, Any]:
        return self.rows["strength"]

    @property
    def proof(self) -> Proof:
        return self.made.need(Strength).proof


def hold(given: Order, design: Design, choice: object = None, checks: Sequence[Check] = CHECKS) -> Held:
    """Ask the checks; `choice` is what choosing the thickness has found."""
    made, rows = run_checks(Made(order=given, design=design, got={"build": Checked(figures=choice)}), checks)
    return Held(made=made, rows=rows)
