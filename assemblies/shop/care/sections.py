"""What the packet says of the proof test."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Block, Para, Report, Step, Steps
from assemblies.report.figures import amount
from parts.lengths import LengthUnit

__all__ = ["proof_blocks"]


def proof_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The proof test, stage by stage, signed for."""
    stages = report.get("proof_test")
    if not stages:
        return
    rules = report.get("proof_rules", {})
    if rules.get("rules"):
        yield Para(text=" ".join(rules["rules"]))
    yield Steps(title="Stages", items=[_stage(stage, rules.get("source", "")) for stage in stages])


def _stage(stage: Report, source: str) -> Step:
    text = stage["do"] if not stage.get("passes") else f"{stage['do']} Passes: {stage['passes']}."
    if stage.get("earliest_h"):
        text += f" Not before {amount(stage['earliest_h'], 'h', 0)} after the last seam."
    return Step(text=text, source=source, sign=True)
