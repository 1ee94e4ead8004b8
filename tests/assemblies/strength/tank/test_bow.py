"""Panels that bow far or are thick for their span: what the report says and marks, and where no pass is given."""

from __future__ import annotations

import pytest
from held import hold
from rigs import built, case, order

from assemblies.strength.plates.limits import BEYOND, ROARK, SHEAR, thick_share
from assemblies.strength.tank.said import proof_findings, thickness_of

THIN = order((900.0, 400.0, 400.0), 3, fill="390 mm")
#: A floor carried at its edges under little water: bows over 3 thicknesses, and yet keeps every limit of this order.
SLACK = order(
    (400.0, 300.0, 60.0),
    2,
    fill="20 mm",
    support="edges",
    tables={"limits": 'deflection = "1/20"\njoint = 1.0'},
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


@pytest.mark.parametrize(("thickness", "says"), [(6, "an edge free to move"), (5, "it really bows less"), (7, None)])
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


def test_a_thick_wall_is_a_note_with_what_it_then_bows():
    """8 mm over 150 mm, clamped: 5 % times (20 x 8 / 150) squared."""
    given = order(thickness=8, fill="130 mm")
    got = held(given)
    (said,) = [f for f in got.findings if f.source == SHEAR]
    assert said.level == "note"
    assert said.where == "left, right, front, back"
    low = 0.05 * (160.0 / 150.0) ** 2
    assert low == thick_share(8.0, 150.0, True)
    top = max(r["deflection"] / r["allowed_deflection"] for r in got.strength["cases"])
    assert (
        f"{100 * low:.0f} % too little; with that it bows {100 * top * (1 + low):.0f} % of what is allowed" in said.why
    )


def test_a_thick_wall_close_to_its_limit_is_a_care_and_one_over_it_only_its_stop():
    given = order(thickness=8, fill="150 mm")
    bow = max(r["deflection"] for r in held(given).strength["cases"])
    for limit, level in ((bow * 1.2, "note"), (bow * 1.02, "care")):
        close = order(thickness=8, fill="150 mm", tables={"limits": f'deflection = "{limit:.6f} mm"'})
        levels = {f.level for f in held(close).findings if f.source == SHEAR and "front" in f.where}
        assert levels == {level}
    over = held(order(thickness=8, fill="150 mm", tables={"limits": f'deflection = "{bow * 0.99:.6f} mm"'}))
    assert not [f for f in over.findings if f.source == SHEAR and "front" in f.where]
    assert any(f.level == "stop" and "front" in f.where for f in over.findings)


def test_a_block_is_no_plate():
    got = held(order((60.0, 50.0, 60.0), 12, fill="50 mm"))
    said = [f for f in got.findings if f.source == SHEAR and "left" in f.where]
    assert [f.level for f in said] == ["care"]
    assert "no plate any more" in said[0].why


def test_everything_else_the_proof_says_is_said_once():
    got = held(order((400.0, 250.0, 200.0), 6, fill="180 mm", more=case("go", "slide", acceleration=0.1)))
    design = built(order((400.0, 250.0, 200.0), 6, fill="180 mm", more=case("go", "slide", acceleration=0.1)))
    assert got.proof is not None
    assert set(thickness_of(design, got.proof)) == {"left", "right", "front", "back"}
    said = proof_findings(design, got.proof)
    assert any("lie flat on its base" in f.why for f in said)
    assert len({(f.where, f.why) for f in got.findings}) == len(got.findings)
