"""Sheet thinner or thicker than what was proven, by scaling; held to solving it."""

from __future__ import annotations

import re

import pytest
from held import hold
from rigs import built, case, order

from assemblies.kinds import kind
from assemblies.kinds.tank.choose import choose
from assemblies.strength.proof.uses import SeamUse, Use
from assemblies.strength.tank.loads import asked_of, proof_of
from assemblies.strength.tank.sheet import scaled_use, thickness_that_holds
from parts.stock.sheet import stocked, thickness_tolerance_mm

BUILD = kind("tank").build
SIZE, FILL = (500.0, 300.0, 300.0), "270 mm"


def unmeasured(given):
    return given.model_copy(update={"sheet": given.sheet.model_copy(update={"measured": ()})})


def findings(given, what: str):
    if isinstance(given.sheet.thickness, str):
        chosen = choose(given, BUILD)
        got = hold(given, BUILD(given, chosen.thickness_mm), chosen)
    else:
        got = hold(given, built(given))
    return got, [f for f in got.findings if what in f.why]


def uses_at(thickness: float, **keys) -> dict[tuple[str, str, str], Use | SeamUse]:
    given = order(SIZE, thickness, fill=FILL, **keys)
    found = proof_of(asked_of(given, built(given)))
    return {
        **{(u.case, u.piece, u.what): u for u in found.uses},
        **{(s.case, s.seam, "seam"): s for s in found.seams},
    }


def test_scaling_tells_what_solving_finds():
    """10 mm from 8 mm. The inside stays as it is, so only the spans to the middle of the walls differ: 5 %."""
    thin, thick = uses_at(8.0), uses_at(10.0)
    for key, one in thick.items():
        if one.use > 0.05:
            assert scaled_use(thin[key], 8.0 / 10.0) == pytest.approx(one.use, rel=0.05), key


def test_the_thickness_that_holds_is_used_to_the_full():
    uses = list(uses_at(8.0).values())
    enough = thickness_that_holds(8.0, uses)
    assert max(scaled_use(one, 8.0 / enough) for one in uses) == pytest.approx(1.0)


def test_chosen_sheet_that_may_come_too_thin_is_said_with_its_figure_and_the_next_that_would_do():
    given = order(SIZE, "choose", fill=FILL)
    got, said = findings(given, "by its standard")
    (care,) = said
    t = got.strength["thickness"]["front"]
    least = t - thickness_tolerance_mm("cast-pmma", t)
    rows = [r for r in got.strength["cases"] if r["piece"] in ("front", "back") and r["what"] == "panel"]
    bow = max(r["deflection"] for r in rows)
    assert care.level == "care"
    assert f"proven at {t:g} mm; sheet sold as {t:g} mm may be {least:.2f} mm" in care.why
    assert f"would bow {bow * (t / least) ** 3:.2f} mm of {rows[0]['allowed_deflection']:.2f} allowed" in care.why
    assert f"({100.0 * max(r['use'] for r in rows) * (t / least) ** 3:.0f} %)" in care.why
    thicker = min(s for s in stocked("cast-pmma", "mm") if s > t)
    safe = thicker - thickness_tolerance_mm("cast-pmma", thicker)
    assert f"; {thicker:g} mm sheet would hold even at its least, {safe:.2f} mm" in care.do
    assert f'thickness = "{t:g} mm" instead of "choose"' in care.do
    assert "scaled" in care.source
    assert care.do.startswith("measure the sheet before it is cut")


def test_what_it_says_holds_when_it_is_done():
    """Readings at the thickness it names, and the thicker sheet at its least, are both proven to hold."""
    _, (care,) = findings(order(SIZE, "choose", fill=FILL), "by its standard")
    nominal, enough = (float(re.search(p, care.do)[1]) for p in (r'thickness = "([0-9.]+) mm', r"from ([0-9.]+) mm"))
    thicker, least = (float(re.search(p, care.do)[1]) for p in (r"; ([0-9.]+) mm sheet", r"least, ([0-9.]+) mm"))
    for sold, measured in ((nominal, enough), (thicker, least)):
        given = order(SIZE, sold, measured=measured, fill=FILL)
        found = hold(given, built(given))
        assert found.checks["strength"] == "passed"
        assert found.proof is not None
        assert found.proof.worst.use < 1.01  # rounded up to a hundredth of a mm, and the spans follow the wall


def test_sheet_that_holds_at_its_least_or_is_measured_or_fails_anyway_has_no_such_care():
    """At 240 mm 8 mm sheet is used to 60 %, by deflection: 97 % at its least, 6.8 mm."""
    roomy = order(SIZE, "choose", fill="240 mm")
    got, said = findings(roomy, "by its standard")
    assert got.strength["thickness"]["front"] == 8.0
    assert 0.9 < got.proof.worst.use * (8.0 / 6.8) ** 3 <= 1.0
    assert not said
    assert not findings(order(SIZE, 8, fill=FILL), "by its standard")[1]
    got, said = findings(unmeasured(order(SIZE, 5, fill=FILL)), "by its standard")
    assert got.checks["strength"] == "failed"
    assert not said


def test_a_seam_is_looked_at_too():
    """Joints at 0.2 of the sheet's strength: the seams decide, and the floor that lies flat has only those."""
    given = unmeasured(order(SIZE, 10, fill=FILL, tables={"limits": "joint = 0.2"}))
    got, said = findings(given, "by its standard")
    worst = max(got.proof.seams, key=lambda s: s.use)
    ratio = 10.0 / 8.6
    assert max(u.use for u in got.proof.uses) * ratio**3 < 1.0 < worst.use * ratio**2
    assert worst.use < 1.0
    (care,) = said
    assert worst.seam in care.where
    assert worst.butts == "bottom"
    assert f"seam {worst.seam} would carry {worst.combined * ratio**2:.2f} MPa of {worst.allowed.value:.2f}" in care.why
    assert f"({100.0 * worst.use * ratio**2:.0f} %)" in care.why


def test_each_sheet_by_itself():
    """A thick measured floor has nothing to do with thin walls."""
    given = unmeasured(order(SIZE, 8, fill=FILL, more='[[panel]]\nname = "bottom"\nthickness = 12\nmeasured = [12]\n'))
    _, said = findings(given, "by its standard")
    assert len(said) == 1
    assert "bottom" not in said[0].where.split(", ")
    assert "sheet sold as 8 mm" in said[0].why


def test_each_panel_for_itself_is_told_where_the_readings_go():
    given = order((900.0, 300.0, 300.0), "choose-each", fill="250 mm")
    _, said = findings(given, "by its standard")
    assert said
    assert all('[sheet] and [[panel]] instead of "choose-each"' in f.do for f in said)


def test_a_thicker_sheet_that_may_come_thinner_still_is_passed_over():
    """2.5 mm sheet may be 1.85 mm: less than the 2 mm that are proven."""
    _, (care,) = findings(unmeasured(order((180.0, 100.0, 100.0), 2, fill="90 mm")), "by its standard")
    assert "; 3 mm sheet would hold even at its least, 2.30 mm" in care.do


def test_where_nothing_stocked_would_hold_at_its_least_it_says_so():
    """Extruded sheet ends at 12 mm, and 12 mm may be 11.4."""
    given = order((600.0, 300.0, 300.0), 12, fill="290 mm", tables={"sheet": 'material = "extruded-pmma"'})
    got, (care,) = findings(unmeasured(given), "by its standard")
    assert got.proof.worst.use <= 1.0
    assert care.do.endswith("no thicker stocked sheet would hold at its least thickness")


def test_what_fails_is_told_the_next_stocked_thickness_and_it_holds():
    given = order((600.0, 400.0, 400.0), 6, fill="390 mm")
    got, (note,) = findings(given, "by scaling")
    assert note.level == "note"
    assert got.checks["strength"] == "failed"
    enough, thicker = (float(re.search(p, note.why)[1]) for p in (r"about ([0-9.]+) mm", r"scaling: ([0-9.]+) mm"))
    assert thicker == min(s for s in stocked("cast-pmma", "mm") if s >= enough)
    again = order((600.0, 400.0, 400.0), thicker, fill="390 mm")
    assert hold(again, built(again)).checks["strength"] == "passed"
    assert 'thickness = "choose" (without `measured`)' in note.do


def test_the_bond_of_a_floor_to_its_plates_goes_with_the_floor():
    """Not with the plates' own 12 mm, which no thickness of floor changes."""
    more = '[[plate]]\non = "bottom"\nat = [[-87.5, 0], [87.5, 0]]\nsize = [50, 50]\nthickness = 12\nthread = "M6"\n'
    more += 'pattern = "grid 25 2x2"\n' + case("hard", "slide", acceleration=4.0)
    given = order((400.0, 300.0, 200.0), 3, fill="150 mm", support="plates", more=more)
    got, said = findings(given, "by scaling")
    assert max(s.use for s in got.proof.seams if s.seam.startswith("bottom-plate")) > 1.0
    assert [f.where for f in said] == ["sheet cast-pmma 3 mm"]
