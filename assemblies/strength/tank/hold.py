"""The checks of a tank's liquid and strength as one call, for `examine` until it runs checks by itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from assemblies.design import Design
from assemblies.liquid.checks import HANDLING
from assemblies.order import Order
from assemblies.report.check import Checked, Made, run_checks
from assemblies.strength.proof.checks import LIQUID
from assemblies.strength.tank.checks import LOADS, SOUND, STRENGTH
from parts.findings import Finding

__all__ = ["hold"]


class _Held(NamedTuple):
    checks: Mapping[str, str]
    findings: tuple[Finding, ...]
    liquid: Mapping[str, Any]
    strength: Mapping[str, Any]


def hold(order: Order, design: Design, choice: object = None) -> _Held:
    """Ask the five checks; `choice` is the figures of building it."""
    given = Made(order=order, design=design, got={"build": Checked(figures=choice)})
    made, rows = run_checks(given, (LOADS, LIQUID, SOUND, HANDLING, STRENGTH))
    states = {name: str(made.got[name].state) for name in ("strength", "liquid")}
    return _Held(states, made.findings, rows.get("liquid", {}), rows.get("strength", {}))
