"""What a proof says: each thing once, what can help at the place it is said of, and no figure where there is none."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from rigs import order, proof

from assemblies.strength.bonds.allowed import Allowed
from assemblies.strength.proof.cases import BRIM, STILL
from assemblies.strength.proof.uses import Proof, SeamUse, Use
from assemblies.strength.tank.said import alike, doubts, merged, over
from parts.findings import Finding

ALLOWED = Allowed(value=5.0, table=5.0, environment=1.0, joint=1.0, factor=1.0, source="a table")


def use(piece: str = "front", case: str = STILL, *, stress: float = 1.0, bow: float = 0.0, what: str = "panel") -> Use:
    return Use(
        case=case, piece=piece, stress=stress, allowed=ALLOWED, at_mm=(1.0, 2.0), deflection=bow, allowed_deflection=2.0,
        deflection_at_mm=(0.0, 0.0), error=0.0, what=what,
    )  # fmt: skip


def seam(name: str, case: str = STILL, stress: float = 9.0) -> SeamUse:
    return SeamUse(
        case=case, seam=name, butts=name.split("-")[0], bending=stress, tension=0.0, shear=0.0, combined=stress,
        allowed=ALLOWED, at_mm=0.0,
    )  # fmt: skip


def said(*uses: Use | SeamUse) -> tuple[Finding, ...]:
    found = Proof(
        uses=tuple(u for u in uses if isinstance(u, Use)), seams=tuple(u for u in uses if isinstance(u, SeamUse)),
        mounts=(), findings=(),
    )  # fmt: skip
    return over(found)


def care(where: str, why: str) -> Finding:
    return Finding(level="care", check="strength", where=where, why=why)


def test_what_is_said_alike_of_several_places_is_said_once():
    found = merged([care("left", "8 mm is thick"), care("front", "9 mm is thick"), care("right", "8 mm is thick")], {})
    assert [(f.where, f.why) for f in found] == [("left, right", "8 mm is thick"), ("front", "9 mm is thick")]
    assert [f.where for f in alike([care("left", "a"), care("left", "a")])] == ["left"]


def test_of_one_place_the_largest_figure_is_kept():
    (found,) = merged([care("front", "2.5 % more"), care("front", "11 % more"), care("front", "3 % more")], {})
    assert found.why == "11 % more"


def test_a_note_on_method_goes_with_the_verdict_only_where_it_can_bring_a_use_to_its_limit():
    doubtful = Finding(
        level="care", check="strength", where="front", why="uncertain by 3 %", do="add that much to the stress"
    )
    assert [merged([doubtful], {"front": share})[0].step for share in (0.99, 1.0)] == ["method", ""]
    for stress, step in ((4.9, "method"), (5.1, "")):
        unsure = replace(seam("left-bottom", stress=stress), butts="left", doubt=0.25)
        (note,) = doubts(Proof(uses=(), seams=(unsure,), mounts=(), findings=()))
        assert (note.level, note.step) == ("note", step)


def test_what_is_over_its_limit_most_is_said_first():
    stops = said(use("left", stress=6.0), use("front", stress=9.0), seam("back-bottom", stress=7.0))
    assert [f.where for f in stops] == ["front", "back-bottom", "left"]


@pytest.mark.parametrize(
    ("uses", "helps", "not_helps"),
    [
        ([use(bow=3.0)], ["a rim strip", "a brace", "a lower fill"], ["gentler", "corner", "overflow", "base"]),
        ([use("left", bow=3.0)], ["a rim strip"], ["a brace"]),
        ([use(case="go", bow=3.0)], ["gentler motion"], []),
        ([use(case=BRIM, bow=3.0)], ["an overflow at the fill line"], ["a lower fill", "gentler"]),
        ([use(case=BRIM, bow=3.0), use(bow=2.5)], ["a lower fill"], ["overflow"]),
        ([use("bottom", bow=3.0)], ["a base that carries the whole floor"], ["rim strip"]),
        ([use(stress=9.0, what="hole")], ["smaller holes"], []),
        ([use(bow=3.0), use("lid")], ["thicker sheet"], ["rim strip", "brace"]),
        ([use("lid", bow=3.0)], ["thicker sheet"], ["rim strip"]),
        ([use(bow=3.0), seam("front-rim", stress=1.0)], ["a stiffer rim strip"], [" a rim strip"]),
        ([use(bow=3.0), seam("front-back-brace-150", stress=1.0)], ["one more brace"], ["a brace,"]),
        ([seam("front-left")], ["a rim strip"], ["gentler", "corner strips"]),
        ([seam("front-bottom")], ["a rim strip"], ["corner strips"]),
        ([seam("bottom-plate-1")], ["larger plates or more of them"], ["rim strip"]),
    ],
    ids=lambda v: "",
)
def test_what_to_do_is_what_can_help_there(uses, helps, not_helps):
    (found,) = said(*uses)
    assert found.level == "stop"
    assert all(word in found.do for word in helps), found.do
    assert not any(word in found.do for word in not_helps), found.do


def test_cases_are_named_with_the_worst_first():
    (found,) = said(use(case="go", bow=3.0), use(case=STILL, bow=5.0), use(case="back", bow=4.0))
    assert found.why.startswith("still: it bows 5.00 mm, allowed 2.00 mm")
    assert found.why.endswith("over in go and back too")


def test_the_place_of_a_stress_says_from_where_it_is_measured():
    (wall,), (floor,) = said(use(stress=9.0)), said(use("bottom", stress=9.0))
    assert "1 mm right of and 2 mm above the inside's lower left corner, seen from outside" in wall.why
    assert "1 mm right of and 2 mm behind the inside's front left corner" in floor.why


def test_a_bow_beyond_the_method_is_told_without_its_figure():
    """9.1 mm of 3 mm sheet is over three thicknesses; 8.9 mm is not."""
    for bow, far in ((9.1, True), (8.9, False)):
        found = Proof(uses=(use(bow=bow),), seams=(), mounts=(), findings=())
        (stop,) = over(found, {"front": 3.0})
        assert stop.level == "stop"
        assert ("beyond the method" in stop.why) is far
        assert (f"{bow:.2f}" in stop.why) is not far
        assert "allowed 2.00 mm" in stop.why
    (strained,) = over(Proof(uses=(use(stress=99.0, bow=9.1),), seams=(), mounts=(), findings=()), {"front": 3.0})
    assert "99.00 MPa" in strained.why
    assert "beyond the method" in strained.why


def test_a_real_proof_says_each_place_once():
    found = proof(order((900.0, 400.0, 400.0), 3, fill="390 mm"))
    every = (*over(found), *found.findings)
    keys = [(f.level, f.why, f.do) for f in every]
    assert len(set(keys)) == len(keys)
    assert any(f.where == "front, back" for f in every if f.level == "stop")
    assert math.isfinite(found.worst.use)
