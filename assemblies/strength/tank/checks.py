"""The checks of a tank's strength: what loads it, whether it is sound to begin with, and the proof."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assemblies.report.check import Check, Checked, Lacking, Made, Rows, SectionOf, not_covered
from assemblies.strength.proof.checks import without_loads
from assemblies.strength.proof.sections import load_blocks
from parts.findings import NotCovered

if TYPE_CHECKING:
    from assemblies.strength.proof.figures import Strength
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.uses import Proof

__all__ = ["LOADS", "SOUND", "STRENGTH"]


def _loads(made: Made) -> Checked:
    from assemblies.strength.tank.loads import loads_of

    try:
        loads = loads_of(made.order, made.design)
    except NotCovered as error:
        return Checked(state="not-covered", findings=(not_covered("strength", str(error)),))
    said = (*loads.outside, *loads.cases.findings)
    return Checked(state="not-covered" if loads.outside else "passed", findings=said, figures=loads)


def _both(made: Made, loads: Loads) -> Rows:
    """The keys that are filled by what stands on the loads, so that they stand there whatever that comes to."""
    return {"liquid": {}, "strength": {}}


LOADS = Check(name="loads", run=_loads, questions=("hold",), rows=_both)


def _sound(made: Made) -> Checked:
    from assemblies.strength.tank.scope import sound

    said = tuple(sound(made.order, made.design))
    return Checked(state="failed" if any(f.level == "stop" for f in said) else "passed", findings=said)


SOUND = Check(name="sound", run=_sound, questions=("hold",))


def _strength(made: Made) -> Checked:
    """The proof and what it is good for; where the method ends, its figures fail nothing either."""
    from assemblies.strength.proof.figures import Strength, tightening_of
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.tank.good_for import Asked, good_for
    from assemblies.strength.tank.loads import proof_of
    from assemblies.strength.tank.said import beyond_uses, proof_findings, unproven, unresolved_panels
    from assemblies.strength.tank.sheet import sheet_findings

    loads, design = made.of(Loads), made.design
    if loads is None:
        return without_loads(made)
    if "sound" not in made.got:
        raise Lacking("sound")
    asked = Asked(loads=loads)
    proof = _solved(made) or proof_of(asked, probing=True)
    far = unproven(design, proof)
    outside = (*loads.outside, *far, *unresolved_panels(proof))
    said = (*proof_findings(design, proof), *far, *sheet_findings(made.order, design, proof))
    unsound = made.got["sound"].findings
    stops = [f for f in (unsound if outside else (*unsound, *said)) if f.level == "stop"]
    figures = Strength(
        proof=proof,
        good_for=good_for(asked, proof),
        covered=not outside,
        beyond=beyond_uses(design, proof),
        tightening=tightening_of(design),
    )
    return Checked(state="failed" if stops else "not-covered" if outside else "passed", findings=said, figures=figures)


def _solved(made: Made) -> Proof | None:
    """The proof of this very design, with its probes, where choosing its thickness has made it."""
    from assemblies.strength.proof.uses import Proof

    built = made.got.get("build")
    found = getattr(built.figures, "proof", None) if built else None
    return found if isinstance(found, Proof) else None


def _rows(made: Made, strength: Strength) -> Rows:
    from assemblies.strength.proof.rows import strength_rows

    return strength_rows(made, strength)


STRENGTH = Check(
    name="strength",
    run=_strength,
    after=("loads", "liquid", "sound"),
    questions=("hold",),
    rows=_rows,
    sections=(SectionOf(id="loads", station="plan", title="Loads", blocks=load_blocks, before="liquid"),),
)
