"""The judgement of a dry fit: which level, which piece, by how much, and what to do."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from samples import design, flat, panel, tank

from assemblies.design.model import Design, Placed
from assemblies.fit import Allowances, Fit, FitRules, check_fit
from parts.findings import Finding
from parts.shape.outline import Circle, rectangle


def rules(tolerance: float = 0.25, repeat: float = 0.05, square: float = 0.05, **keys: Any) -> FitRules:
    allow = Allowances(tolerance_mm=tolerance, repeat_mm=repeat, squareness_mm=square, **keys)
    return FitRules(allow=allow, gap_ok_mm=0.1, gap_stop_mm=0.25)


def grouped(group: str = "box") -> Design:
    """The sample tank, every panel of it ripped in one cut group; the floor is bonded after the walls."""
    order = ("left", "right", "front", "back", "bottom", "plate-1", "plate-2")
    placed = sorted(tank(), key=lambda p: order.index(p.name))
    return design(*(replace(p, piece=replace(p.piece, cut_group=group)) for p in placed))


def fit(one: Design, by: FitRules, *, solids: bool = False) -> Fit:
    return check_fit(one, by, solids=solids)


def levels(found: Fit) -> dict[str, str]:
    return {f.where: f.level for f in found.findings}


def only(found: Fit, where: str) -> Finding:
    (finding,) = [f for f in found.findings if f.where == where]
    return finding


def test_a_good_tank_passes_and_only_when_its_solids_were_compared() -> None:
    unproven, proven = fit(grouped(), rules()), fit(grouped(), rules(), solids=True)
    assert (unproven.findings, unproven.interferences, unproven.passed) == ((), None, False)
    assert (proven.findings, proven.interferences, proven.passed) == ((), (), True)
    assert all(s.goes_in and s.seals == "ok" for s in proven.seams)
    assert len(proven.seams) == 10


@pytest.mark.parametrize(("square", "level"), [(0.05, None), (0.051, "care"), (0.2, "care"), (0.201, "stop")])
def test_taped_seams_are_judged_by_squareness_and_straightness(square: float, level: str | None) -> None:
    """0.05 of straightness is added: ok up to 0.1, care up to 0.25, then stop. Said once for all of them."""
    found = [f for f in fit(grouped(), rules(square=square)).findings if "squareness" in f.why]
    assert [f.level for f in found] == ([level] if level else [])
    if found:
        assert f"{square + 0.05:.2f} mm open" in found[0].why
        assert {"left-front", "right-back"} <= set(found[0].where.split(", "))


@pytest.mark.parametrize(("repeat", "level"), [(0.05, None), (0.1, "care"), (0.15, "stop")])
def test_a_captive_piece_of_the_cut_group_is_judged_by_the_repeat_error(repeat: float, level: str | None) -> None:
    """Bottom between front and back: greatest gap repeat + squareness, least minus repeat; too tight under -0.1."""
    found = fit(grouped(), rules(repeat=repeat, square=0.05))
    assert levels(found).get("bottom") == level
    if level:
        assert f"{repeat:.2f} mm too tight to {repeat + 0.05:.2f} mm open" in only(found, "bottom").why
    if level == "stop":
        assert "may not go in" in only(found, "bottom").why


def test_the_same_sizes_cut_apart_are_a_stop_with_advice() -> None:
    found = fit(grouped(""), rules())
    finding = only(found, "bottom")
    assert finding.level == "stop"
    assert "trapped between front and back" in finding.why
    assert "0.50 mm too tight to 0.55 mm open" in finding.why
    assert "may not go in" in finding.why
    assert "cut bottom last, to the opening measured" in finding.do
    assert "one cut group" in finding.do
    assert {s.seam.b: s.goes_in for s in found.seams if s.gap.captive} == {"bottom": False}


def test_a_finer_saw_takes_the_stop_away() -> None:
    assert levels(fit(grouped(""), rules(tolerance=0.1))) == {"bottom": "stop"}
    assert levels(fit(grouped(""), rules(tolerance=0.05))) == {"bottom": "care"}
    assert levels(fit(grouped(""), rules(tolerance=0.025))) == {}


def test_limits_are_the_orders_own() -> None:
    wide = replace(rules(square=0.2), gap_ok_mm=0.3, gap_stop_mm=0.5)
    assert fit(grouped(), wide).findings == ()


def lifted(name: str, by_mm: float) -> Design:
    one = grouped()
    return replace(
        one,
        placed=tuple(
            replace(p, origin=(*p.origin[:2], p.origin[2] + by_mm)) if p.name == name else p for p in one.placed
        ),
    )


@pytest.mark.parametrize(
    ("by_mm", "level", "word"),
    [(0.0009, None, ""), (0.002, "care", "a gap of 0.002"), (0.12, "care", "a gap of 0.120"),
     (0.3, "stop", "a gap of 0.300"), (-0.002, "stop", "an overlap of 0.002")],
)  # fmt: skip
def test_a_gap_in_the_drawing_is_told_by_its_size(by_mm: float, level: str | None, word: str) -> None:
    """Left stands on the bottom; no other seam of it runs along z."""
    found = [
        f for f in fit(lifted("left", by_mm), rules(square=0.0, repeat=0.0)).findings if "the drawing leaves" in f.why
    ]
    assert [f.level for f in found] == ([level] if level else [])
    if level:
        assert found[0].where == "left and bottom"
        assert f"{word} mm over 188.0 x 6.0 mm" in found[0].why


def test_pieces_that_run_into_each_other_are_named_with_their_volume() -> None:
    found = fit(lifted("left", -0.3), rules(), solids=True)
    assert not found.passed
    assert [(h.a, h.b) for h in found.interferences or ()] == [("left", "bottom")]
    (finding,) = [f for f in found.findings if "run into each other" in f.why]
    assert finding.level == "stop"
    assert f"{0.3 * 188 * 6:.4g} mm³" in finding.why


def test_a_floating_piece_and_a_floating_group_are_each_said_once() -> None:
    far = Placed(name="stray", piece=panel("stray", 40, 30), origin=(900, 0, 0))
    others = [
        Placed(name=f"far-{p.name}", piece=p.piece, origin=(p.origin[0], p.origin[1] + 900, p.origin[2]), x=p.x, z=p.z)
        for p in tank()[:3]
    ]
    found = fit(design(*grouped().placed, far, *others), rules())
    apart = {f.where: f.level for f in found.findings if "touches nothing" in f.why}
    assert apart == {"stray": "stop", "far-front, far-back, far-bottom": "stop"}


def test_a_piece_hung_on_a_loose_joint_is_not_floating() -> None:
    from assemblies.design.model import Joint

    lid = Placed(name="lid", piece=panel("lid", 300, 200), origin=(-150, -100, 150))
    walls = ("front", "back", "left", "right")
    one = replace(design(*grouped().placed, lid), joints=tuple(Joint(a=w, b="lid", kind="loose") for w in walls))
    found = fit(one, rules())
    assert not [f for f in found.findings if "touches nothing" in f.why]
    assert not [s for s in found.seams if "lid" in (s.seam.a, s.seam.b)]
    bonded = fit(replace(one, joints=()), rules())
    assert len([s for s in bonded.seams if "lid" in (s.seam.a, s.seam.b)]) == 4


def test_a_disc_too_tight_in_its_ring_may_not_go_in() -> None:
    ring = flat("ring", Circle(80, 80, 80), inner=(Circle(80, 80, 50),), kind="ring")
    one = design(
        Placed(name="ring", piece=ring, origin=(-80, -80, 0)),
        Placed(name="disc", piece=flat("disc", Circle(50, 50, 50), kind="disc"), origin=(-50, -50, 0)),
    )
    finding = only(fit(one, rules()), "disc")
    assert finding.level == "stop"
    assert "ring diameter ±0.25, disc diameter ±0.25" in finding.why
    assert finding.do == "cut disc last, to the opening measured in ring"
    assert levels(fit(one, rules(tolerance=0.02, square=0.02))) == {}


def test_what_is_still_to_be_cut_is_listed_and_the_captive_piece_comes_last() -> None:
    by = rules(as_cut=frozenset(("front", "back")))
    notes = [f for f in fit(grouped(), by).findings if f.level == "note"]
    assert [f.where for f in notes] == ["left", "right", "bottom"]
    assert "last" in notes[-1].why
    assert "300.00 x 188.00 mm" in notes[-1].why
    assert not [f for f in fit(grouped(), rules()).findings if f.level == "note"]


def test_a_design_of_one_piece_has_nothing_to_fit() -> None:
    alone = design(Placed(name="one", piece=flat("one", rectangle(50, 40)), origin=(0, 0, 0)))
    found = fit(alone, rules(), solids=True)
    assert (found.seams, found.loops, found.findings, found.passed) == ((), (), (), True)
