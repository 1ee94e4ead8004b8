"""The check of the liquid: how it stands, and what it does in the cases that load the thing."""

from __future__ import annotations

from assemblies.liquid.checks import liquid_rows
from assemblies.liquid.sections import liquid_blocks
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.findings import worst

__all__ = ["LIQUID", "without_loads"]


def without_loads(made: Made) -> Checked:
    """The answer of a check that stands on the loads where there are none: their own check has said why."""
    return Checked(state="not-covered" if "loads" in made.got else "not-run")


def _liquid(made: Made) -> Checked:
    from assemblies.liquid.state import liquid_state
    from assemblies.strength.proof.liquid_said import liquid_findings, taken
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.taken import liquid_taken

    loads = made.of(Loads)
    if loads is None:
        return without_loads(made)
    cases = loads.cases
    state, falls = liquid_state(made.design, loads.filled, cases.lost_l, cases.lost_by)
    said = (*liquid_findings(made.order, cases), *cases.liquid_outside, *falls, *taken(made.order, state))
    stops = worst([f for f in said if f.check == "liquid"]) == "stop"
    unknown = cases.outside or cases.liquid_outside or loads.filled.displaced
    return Checked(
        state="failed" if stops else "not-covered" if unknown else "passed",
        findings=said,
        figures=state,
        taken=tuple(liquid_taken(made.order, state)),
    )


LIQUID = Check(
    name="liquid",
    run=_liquid,
    after=("loads",),
    questions=("hold",),
    rows=liquid_rows,
    sections=(SectionOf(id="liquid", station="plan", title="Liquid and balance", blocks=liquid_blocks),),
)
