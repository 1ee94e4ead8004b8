"""Sheet as thin as it may come, and thicker than what was proven; held to solving it as measured."""

from __future__ import annotations

import re
from dataclasses import replace

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
    return {**{(u.case, u.piece, u.what): u for u in found.uses}, **{(s.case, s.seam, "seam"): s for s in found.seams}}


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


def test_chosen_sheet_holds_as_thin_as_its_standard_allows():
    """Read as thin as it may come (ISO 7823-1: 0.4 + 0.1 t less), it is proven to hold; the next thinner one is not."""
    given = order(SIZE, "choose", fill=FILL)
    chosen = choose(given, BUILD)
    got = hold(given, BUILD(given, chosen.thickness_mm), chosen)
    t = chosen.thickness_mm
    least = t - thickness_tolerance_mm("cast-pmma", t)
    assert got.checks["strength"] == "passed"
    assert got.strength["proven_at"] == dict.fromkeys(("left", "right", "front", "back", "bottom"), least)
    thin = order(SIZE, t, measured=least, fill=FILL)
    found = hold(thin, built(thin))
    assert found.checks["strength"] == "passed"
    assert found.proof.worst.use == pytest.approx(got.proof.worst.use, rel=0.02)  # the spans follow the walls
    thinner = max(s for s in stocked("cast-pmma", "mm") if s < t)
    low = order(SIZE, thinner, measured=thinner - thickness_tolerance_mm("cast-pmma", thinner), fill=FILL)
    assert hold(low, built(low)).checks["strength"] == "failed"
    assert f"({least:.2f} mm at its thinnest)" in chosen.finding.why


def test_the_readings_with_which_thinner_sheet_would_do_are_the_least_that_hold():
    chosen = choose(order(SIZE, "choose", fill=FILL), BUILD)
    assert chosen.thinner_mm is not None
    assert chosen.would_do_mm is not None
    assert f"{chosen.thinner_mm:g} mm would do if it measures {chosen.would_do_mm:.2f} mm or more" in chosen.finding.do
    for reading, state in ((chosen.would_do_mm + 0.01, "passed"), (0.97 * chosen.would_do_mm, "failed")):
        given = order(SIZE, chosen.thinner_mm, measured=reading, fill=FILL)
        assert hold(given, built(given)).checks["strength"] == state


def test_unmeasured_sheet_that_fails_at_its_least_is_not_proven_until_it_is_measured():
    """At 270 mm 10 mm sheet is used to 80 % or so, by deflection; it may be 8.6 mm."""
    given = unmeasured(order(SIZE, 9, fill=FILL))
    got = hold(given, built(given))
    assert got.proof.worst.use < 1.0
    assert got.checks["strength"] == "not-proven"
    until = got.made.got["strength"].until
    enough = float(re.fullmatch(r"the sheet is measured at ([0-9.]+) mm or more", until)[1])
    (care,) = [f for f in got.findings if "by its standard" in f.why]
    assert care.level == "care"
    assert f"from {enough:.2f} mm it holds" in care.do
    for reading, state in ((enough + 0.01, "passed"), (0.98 * enough, "failed")):
        measured = order(SIZE, 9, measured=reading, fill=FILL)
        assert hold(measured, built(measured)).checks["strength"] == state


def test_sheet_that_holds_at_its_least_or_is_measured_or_fails_anyway_is_not_in_doubt():
    roomy = unmeasured(order(SIZE, 12, fill="240 mm"))
    for given, state in (
        (roomy, "passed"),
        (order(SIZE, 9, fill=FILL), "passed"),
        (unmeasured(order(SIZE, 5, fill=FILL)), "failed"),
    ):
        got = hold(given, built(given))
        assert (got.checks["strength"], got.made.got["strength"].until) == (state, "")
        assert not [f for f in got.findings if "by its standard" in f.why]


def test_a_seam_is_looked_at_too():
    """Joints at 0.24 of the sheet's strength: the seams decide, and the floor that lies flat has only those."""
    given = unmeasured(order(SIZE, 10, fill=FILL, tables={"limits": "joint = 0.24"}))
    got = hold(given, built(given))
    assert got.checks["strength"] == "not-proven"
    (care,) = [f for f in got.findings if "by its standard" in f.why]
    assert "and then seam " in care.why


def test_each_sheet_by_itself():
    """A thick measured floor has nothing to do with thin walls; two unmeasured sheets are both named."""
    bottom = '[[panel]]\nname = "bottom"\nthickness = 12\n'
    walls = unmeasured(order(SIZE, 9, fill=FILL, more=bottom + "measured = [12]\n"))
    (said,) = [f for f in hold(walls, built(walls)).findings if "by its standard" in f.why]
    assert "sheet sold as 9 mm" in said.why
    both = unmeasured(order(SIZE, 9, fill=FILL, more=bottom))
    until = hold(both, built(both)).made.got["strength"].until
    assert re.fullmatch(
        r"the 9 mm sheet is measured at \S+ mm or more and the 12 mm sheet is measured at \S+ mm or more", until
    )


def test_a_strip_that_may_come_thinner_counts_too():
    """The rim strip is sheet like any other: measured walls with an unmeasured strip are solved with the strip at its least."""
    rim = '[[strip]]\nwhere = "rim"\nsize = [30, 8]\n'
    given = order(SIZE, 9, fill=FILL, more=rim)
    design = built(given)
    asked = asked_of(given, design)
    spec = asked.tank.model.spec
    assert spec.strip is not None
    assert spec.strip.thickness == pytest.approx(8.0 - 1.2)
    assert set(spec.thick.values()) == {9.0}


def test_threads_are_held_as_thin_as_their_plate_may_come():
    """12 mm cast may be 10.4 mm: M6 has 1.6 mm less of full thread."""
    more = '[[plate]]\non = "bottom"\nat = [[-87.5, 0], [87.5, 0]]\nsize = [50, 50]\nthickness = 12\nthread = "M6"\n'
    given = order((300.0, 200.0, 150.0), 8, fill="120 mm", support="plates", more=more + 'pattern = "grid 25 2x2"\n')
    asked = asked_of(given, built(given))
    (mount,) = proof_of(asked).mounts[:1]
    drawn = proof_of(replace(asked, thin={})).mounts[0]
    assert mount.threads[0].engagement_mm == pytest.approx(drawn.threads[0].engagement_mm - 1.6)


def test_what_fails_is_told_the_next_stocked_thickness_and_it_holds():
    given = order((600.0, 400.0, 400.0), 6, fill="390 mm")
    got, (note,) = findings(given, "by scaling")
    assert note.level == "note"
    assert got.checks["strength"] == "failed"
    enough, thicker = (float(re.search(p, note.why)[1]) for p in (r"about ([0-9.]+) mm", r"scaling: ([0-9.]+) mm"))
    least = {s: s - thickness_tolerance_mm("cast-pmma", s) for s in stocked("cast-pmma", "mm")}
    assert thicker == min(s for s, low in least.items() if low >= enough)
    again = order((600.0, 400.0, 400.0), thicker, fill="390 mm")
    assert hold(again, built(again)).checks["strength"] == "passed"
    assert 'thickness = "choose" (without `measured`)' in note.do


def test_the_bond_of_a_floor_to_its_plates_goes_with_the_floor():
    """Not with the plates' own 12 mm, which no thickness of floor changes."""
    more = '[[plate]]\non = "bottom"\nat = [[-87.5, 0], [87.5, 0]]\nsize = [50, 50]\nthickness = 12\nthread = "M6"\n'
    more += 'pattern = "grid 25 2x2"\n' + case("hard", "slide", acceleration=8.0)
    given = order((400.0, 300.0, 200.0), 3, fill="150 mm", support="plates", more=more)
    got, said = findings(given, "by scaling")
    assert max(s.use for s in got.proof.seams if s.seam.startswith("bottom-plate")) > 1.0
    assert [f.where for f in said] == ["3 mm cast-pmma sheet"]
