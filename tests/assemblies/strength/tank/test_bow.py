"""Panels that bow far or are thick for their span: what the report says and marks, and where no pass is given."""

from __future__ import annotations

import pytest
from held import hold
from rigs import built, case, order

from assemblies.strength.plates.limits import BEYOND, ROARK
from assemblies.strength.tank.said import proof_findings, thickness_of

THIN = order((900.0, 400.0, 400.0), 3, fill="390 mm")
#: A floor carried at its edges under little water: bows over 3 thicknesses, and yet keeps every limit of this order.
SLACK = order(
    (400.0, 300.0, 60.0),
    2,
    fill="20 mm",
    support="edges",
    tables={"limits": 'deflection = "1/20"\nsag = "1/20"\njoint = 1.0'},
    more="".join(
        f'[[panel]]\nname = "{name}"\nthickness = 4\nmeasured = [4]\n' for name in ("left", "right", "front", "back")
    ),
)


def held(given):
    return hold(given, built(given))


@pytest.fixture(scope="module")
def thin():
    return held(THIN)


def test_rows_of_panels_beyond_the_method_are_marked_and_keep_their_numbers(thin):
    rows = thin.strength["cases"]
    assert thin.strength["largest_bow"] == BEYOND
    for row in rows:
        t = thin.strength["thickness"][row["piece"]]
        assert isinstance(row["deflection"], float)
        assert row["beyond_method"] is (row["deflection"] > 3.0 * t)
    assert {r["piece"] for r in rows if r["beyond_method"]} >= {"front", "back"}


def test_the_verdict_stays_stop_and_no_finding_has_such_a_figure(thin):
    assert thin.checks["strength"] == "failed"
    far = [r for r in thin.strength["cases"] if r["beyond_method"]]
    said = " ".join(f.why for f in thin.findings)
    assert far
    assert not any(f"{r['deflection']:.2f}" in said or f"{r['deflection']:.3g} mm" in said for r in far)
    assert any(f.level == "stop" and f.where == "front, back" and "beyond the method" in f.why for f in thin.findings)


def test_the_elastic_deflections_of_the_solver_are_not_told_beside_those_with_creep(thin):
    """One figure for one bow: the solver's own is that of a short load."""
    told = [f for f in thin.findings if f.source == ROARK and "small-deflection" in f.why]
    rows = [r for r in thin.strength["cases"] if r["what"] == "panel"]
    for f in told:
        assert any(f"bows {r['deflection']:.2f} mm" in f.why and r["piece"] in f.where for r in rows)
    assert not any("deflection 21" in f.why for f in thin.findings)


@pytest.mark.parametrize(
    ("thickness", "says"), [(6, "an edge free to move"), (5, "it will really bow less"), (7, None)]
)
def test_the_care_begins_at_half_a_thickness(thickness, says):
    """Front and back bow 4.7 mm in 6 mm sheet, 3.0 mm in 7 mm, and over a thickness in 5 mm."""
    got = held(order((500.0, 300.0, 300.0), thickness, fill="260 mm"))
    told = [f.why for f in got.findings if f.source == ROARK]
    assert [says in why for why in told] == [True] if says else not told


def test_between_half_a_thickness_and_the_end_the_figure_has_one_care_for_panels_alike():
    got = held(order((500.0, 300.0, 300.0), 5, fill="260 mm"))
    bow = {r["piece"]: r["deflection"] for r in got.strength["cases"] if r["case"] == "still" and r["what"] == "panel"}
    assert 2.5 < bow["front"] < 15.0
    (care,) = [f for f in got.findings if f.source == ROARK and "front" in f.where]
    assert care.level == "care"
    assert care.where == "front, back"
    assert f"it bows {bow['front']:.2f} mm, more than half its thickness of 5 mm" in care.why
    for row in got.strength["cases"]:
        assert not row["beyond_method"]


def test_a_bow_beyond_the_method_that_keeps_the_orders_limit_is_no_pass():
    got = held(SLACK)
    assert not [f for f in got.findings if f.level == "stop"]
    assert all(row["use"] <= 1.0 for row in got.strength["cases"])
    assert {r["piece"] for r in got.strength["cases"] if r["beyond_method"]} == {"bottom"}
    assert {r["piece"] for r in got.strength["cases"] if not r["beyond_method"]} > {"front"}
    assert got.checks["strength"] == "not-covered"
    (said,) = [f for f in got.findings if f.why.startswith("not covered")]
    assert said.where == "bottom"
    assert "1/200" in said.do


def test_what_is_judged_has_the_shear_in_it():
    """A block of a tank: 12 mm over 50 to 60 mm. Beside a plate's bending there is at least half of what a strip between the
    sides yields in shear, p s^2 / (8 G t 5/6); by Kirchhoff's plate alone it would be a tenth."""
    got = held(order((60.0, 50.0, 60.0), 12, fill="50 mm"))
    bow = {r["piece"]: r["deflection"] for r in got.strength["cases"] if r["case"] == "still" and r["what"] == "panel"}
    shear = 3300.0 / (2.0 * (1.0 + 0.37))
    strip = 1000e-9 * 9.80665 * 50.0 * 50.0**2 / (8.0 * shear * 12.0 * 5.0 / 6.0) * 3.3
    assert bow["left"] > strip
    assert got.passed


def test_no_finding_says_that_the_bow_is_more_than_is_judged():
    """The tray of a trial: go at 10 mm, while a care of its own said that with shear it bows 138 % of what is allowed."""
    for thickness in (8, 10, 12):
        for fill in ("130 mm", "150 mm"):
            got = held(order(thickness=thickness, fill=fill))
            assert not [f for f in got.findings if "too little" in f.why or "no plate any more" in f.why]


def test_everything_else_the_proof_says_is_said_once():
    got = held(order((400.0, 250.0, 200.0), 6, fill="180 mm", more=case("go", "slide", acceleration=0.1)))
    design = built(order((400.0, 250.0, 200.0), 6, fill="180 mm", more=case("go", "slide", acceleration=0.1)))
    assert got.proof is not None
    assert set(thickness_of(design, got.proof)) == {"left", "right", "front", "back", "bottom"}
    assert proof_findings(design, got.proof) == tuple(dict.fromkeys(proof_findings(design, got.proof)))
    assert len({(f.where, f.why) for f in got.findings}) == len(got.findings)
