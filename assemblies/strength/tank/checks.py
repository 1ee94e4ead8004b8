"""The checks of a tank's strength: what loads it, whether it is sound to begin with, and the proof."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assemblies.report.check import Check, Checked, Lacking, Made, Rows, SectionOf, State, not_covered
from assemblies.strength.proof.checks import without_loads
from assemblies.strength.proof.sections import load_blocks
from parts.findings import NotCovered

if TYPE_CHECKING:
    from assemblies.design import Design
    from assemblies.strength.proof.figures import Strength
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.uses import Proof
    from assemblies.strength.tank.good_for import Asked
    from assemblies.strength.tank.sheet import Thin, Unproven

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
    from assemblies.strength.proof.taken import strength_taken
    from assemblies.strength.tank.good_for import good_for
    from assemblies.strength.tank.said import beyond_uses, proof_findings, unproven, unresolved_panels
    from assemblies.strength.tank.sheet import thicker_findings, thin_findings

    loads = made.of(Loads)
    if loads is None:
        return without_loads(made)
    if "sound" not in made.got:
        raise Lacking("sound")
    tried = _tried(made, loads)
    asked, proof, design = tried.asked, tried.proof, tried.design
    far = unproven(design, proof)
    outside = (*loads.outside, *far, *unresolved_panels(proof))
    said = [*proof_findings(design, proof), *far]
    said += [] if tried.holds else thicker_findings(made.order, design, proof)
    said += thin_findings(asked.thin, made.order.units)
    until = None if outside or tried.until is None else tried.until()
    said += [] if until is None else until.findings
    unsound = made.got["sound"].findings
    stops = [f for f in (unsound if outside else (*unsound, *said)) if f.level == "stop"]
    figures = Strength(
        proof=proof,
        good_for=good_for(asked, proof),
        covered=not outside,
        beyond=beyond_uses(design, proof),
        tightening=tightening_of(made.design),
        proven_at=tried.proven_at,
        until=until.until if until else "",
    )
    state: State = "failed" if stops else "not-covered" if outside else "not-proven" if until else "passed"
    taken = tuple(strength_taken(made.order, made.design))
    return Checked(state=state, findings=tuple(said), figures=figures, until=until.until if until else "", taken=taken)


@dataclass(frozen=True, kw_only=True)
class _Tried:
    """A proof that decides.

    Attributes:
        asked, proof: of which tank, its sheets at which thickness.
        until: where it holds as drawn alone: from which readings on it holds.
    """

    asked: Asked
    proof: Proof
    until: Callable[[], Unproven] | None = None

    @property
    def design(self) -> Design:
        """With the sheets at the thickness of the proof."""
        from assemblies.strength.tank.sheet import thinned

        return thinned(self.asked.design, self.asked.thin)

    @property
    def use(self) -> float:
        from assemblies.strength.tank.said import thickness_of
        from assemblies.strength.tank.sheet import most_used

        return most_used(self.proof, thickness_of(self.design, self.proof))

    @property
    def holds(self) -> bool:
        return self.use <= 1.0

    @property
    def proven_at(self) -> dict[str, float]:
        """The thickness of the panels where they are not as drawn."""
        thin = self.asked.thin
        return {p.name: thin[p.piece.sheet] for p in self.asked.design.placed if p.piece.sheet in thin}


def _tried(made: Made, loads: Loads) -> _Tried:
    """As thin as its sheet may come; where it fails so, as it is drawn, and from which reading on it holds."""
    from assemblies.strength.tank.good_for import Asked
    from assemblies.strength.tank.loads import proof_of
    from assemblies.strength.tank.sheet import least_sheets, most_used_place, until_measured

    thin = least_sheets(made.design)
    asked = Asked(loads=loads, thin=thin)
    least = _Tried(asked=asked, proof=_solved(made) or proof_of(asked, probing=True))
    if least.holds or not thin:
        return least
    given = Asked(loads=loads)
    drawn = _Tried(asked=given, proof=proof_of(given, probing=True))
    if not drawn.holds:
        return drawn

    def use_at(at: Thin) -> float:
        one = Asked(loads=loads, thin=at)
        return _Tried(asked=one, proof=proof_of(one)).use

    what = f"{most_used_place(least.proof)} is at {100.0 * least.use:.0f} % of its limit"
    return replace(drawn, until=lambda: until_measured(made.order, thin, use_at, (least.use, drawn.use), what))


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
