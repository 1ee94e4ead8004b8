"""The checks of care: the cautions of each step of the work, and the proof test before anything is used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assemblies.fit import Fit, joint_kind
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.care.cautions import Caution, cautions_of, steps_of
from assemblies.shop.care.proof import ProofRow, proof_rows, proof_rules
from assemblies.shop.care.sections import proof_blocks

__all__ = ["CAUTIONS", "PROOF_TEST", "ProofTest", "WorkCautions"]


@dataclass(frozen=True, kw_only=True)
class WorkCautions:
    """The cautions of every step that the work needs, in order of work."""

    cautions: tuple[Caution, ...]


def _caution(made: Made) -> Checked:
    """Solvent and oven come in where the fit has a seam to bond."""
    bonded = any(joint_kind(one.seam.kind).bonded for one in made.need(Fit).seams)
    return Checked(figures=WorkCautions(cautions=cautions_of(steps_of(made.order, made.design, bonded=bonded))))


def _caution_rows(made: Made, found: WorkCautions) -> Rows:
    return {"cautions": found.cautions}


@dataclass(frozen=True, kw_only=True)
class ProofTest:
    """The stages in order; none for a thing that neither holds liquid nor moves."""

    stages: tuple[ProofRow, ...]


def _prove(made: Made) -> Checked:
    from assemblies.liquid.state import LiquidState

    return Checked(figures=ProofTest(stages=proof_rows(made.order, made.design, made.of(LiquidState))))


def _proof_rows(made: Made, test: ProofTest) -> Rows:
    return {"proof_test": test.stages or None, "proof_rules": proof_rules(test.stages)}


CAUTIONS: Final = Check(name="cautions", run=_caution, after=("fit",), rows=_caution_rows)
PROOF_TEST: Final = Check(
    name="proof-test",
    run=_prove,
    after=("liquid", "strength"),
    questions=("hold",),
    rows=_proof_rows,
    sections=(SectionOf(id="proof", station="test", title="Proof test", blocks=proof_blocks),),
)
