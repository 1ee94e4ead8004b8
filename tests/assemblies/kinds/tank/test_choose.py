"""Choosing the sheet: held to trying every stocked thickness."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from asked import ask
from held import hold
from rigs import built, case, order, plates

from assemblies.kinds import kind
from assemblies.kinds.tank.choose import choose
from assemblies.kinds.tank.thickness import worst_of
from assemblies.order import OrderError
from assemblies.strength.tank.loads import asked_of, proof_of
from parts.stock.sheet import stocked

BUILD = kind("tank").build
STOCK = stocked("cast-pmma", "mm")
TANKS = {
    "small, flat": order((200.0, 150.0, 120.0), "choose", fill="110 mm"),
    "long, flat": order((900.0, 200.0, 250.0), "choose", fill="240 mm"),
    "wide, hung": order((500.0, 400.0, 300.0), "choose", fill="280 mm", support="hung"),
    "on plates": order((300.0, 200.0, 150.0), "choose", support="plates", more=plates()),
    "pushed": order((400.0, 250.0, 200.0), "choose", more=case("go", "slide", acceleration=4.0)),
    "look matters": order((400.0, 250.0, 200.0), "choose", tables={"limits": 'deflection = "1/1000"'}),
}


def greatest(given, thickness) -> float:
    found = proof_of(asked_of(given, built(given, thickness)))
    return max(u.use for u in (*found.uses, *found.seams, *found.whole))


@pytest.mark.parametrize("name", TANKS)
def test_it_is_the_thinnest_that_passes_of_all_that_are_stocked(name):
    given = TANKS[name]
    uses = {t: greatest(given, t) for t in STOCK if 2.0 <= t <= 12.0}
    thinnest = min(t for t, use in uses.items() if use <= 1.0)
    found = choose(given, BUILD)
    assert found.passes
    assert found.thickness_mm == thinnest
    assert found.use == pytest.approx(uses[thinnest])
    assert found.thinner_mm == max(t for t in uses if t < thinnest)
    assert found.thinner_use == pytest.approx(uses[found.thinner_mm])
    assert found.thinner_use > 1.0
    assert found.solved <= 5


@pytest.mark.parametrize("name", ["small, flat", "on plates", "pushed"])
def test_the_full_proof_of_what_was_chosen_says_no_stop(name):
    given = TANKS[name]
    found = choose(given, BUILD)
    held = hold(given, BUILD(given, found.thickness_mm), found)
    assert not [f for f in held.findings if f.level == "stop" and f.check == "strength"]
    afresh = hold(given, BUILD(given, found.thickness_mm))
    assert held.strength == afresh.strength  # the proof that choosing kept is the one that would be made


@pytest.mark.parametrize("name", ["long, flat"])
def test_each_panel_for_itself_is_never_heavier(name):
    given = TANKS[name]
    each = given.model_copy(update={"sheet": given.sheet.model_copy(update={"thickness": "choose-each"})})
    one, several = choose(given, BUILD), choose(each, BUILD)
    assert several.passes
    assert several.use <= 1.0
    assert max(several.thickness_mm.values()) <= one.thickness_mm
    mass = [sum(p.piece.mass_kg for p in BUILD(o, c.thickness_mm).placed) for o, c in ((given, one), (each, several))]
    assert mass[1] <= mass[0]
    assert greatest(each, several.thickness_mm) == pytest.approx(several.use)


def test_no_group_of_panels_can_be_thinner_by_itself():
    given = order((500.0, 400.0, 300.0), "choose-each", fill="280 mm", support="hung")
    found = choose(given, BUILD).thickness_mm
    for group in (("bottom",), ("front", "back"), ("left", "right")):
        thinner = max(t for t in STOCK if t < found[group[0]])
        assert greatest(given, {**found, **dict.fromkeys(group, thinner)}) > 1.0


def test_plates_do_not_choose_the_sheet_but_still_stop():
    """A thread that cannot hold is no reason for thicker walls."""
    weak = order(
        (300.0, 200.0, 150.0), "choose", support="plates", more=plates() + case("up", "throw", acceleration=150.0)
    )
    found = choose(weak, BUILD)
    assert found.passes
    one_m3 = plates().replace("[50, 50]", "[25, 25]").replace("grid 25 2x2", "grid 25 1x1").replace("M6", "M3")
    more = one_m3 + case("jerk", "slide", acceleration=100.0)
    thread_stops = order((300.0, 200.0, 150.0), "choose", support="plates", fill="60 mm", more=more)
    chosen = choose(thread_stops, BUILD)
    assert chosen.passes
    held = hold(thread_stops, BUILD(thread_stops, chosen.thickness_mm), chosen)
    over = [f for f in held.findings if f.level == "stop" and f.check == "strength"]
    assert {"plate-1", "plate-2"} <= {name for f in over for name in f.where.split(", ")}
    assert max(m.use for m in held.proof.mounts) > 1.0


def test_a_tank_too_small_for_the_usual_sheet_is_still_chosen_for():
    found = choose(order((12.0, 10.0, 9.0), "choose", fill="8 mm"), BUILD)
    assert found.passes
    assert found.thickness_mm == STOCK[0]


def test_a_tank_that_cannot_be_built_in_any_sheet_is_refused():
    with pytest.raises(OrderError):
        choose(order((2.0, 2.0, 2.0), "choose", fill="1 mm"), BUILD)


@pytest.fixture(scope="module")
def hopeless():
    """Extruded sheet ends at 12 mm; this tank wants more."""
    tables = {"sheet": 'material = "extruded-pmma"', "limits": 'deflection = "1/300"'}
    return order((700.0, 350.0, 350.0), "choose", fill="300 mm", tables=tables)


def test_where_nothing_stocked_passes_it_says_what_would_each_solved(hopeless):
    found = choose(hopeless, BUILD)
    assert not found.passes
    assert found.thickness_mm == max(stocked("extruded-pmma", "mm"))
    said = found.finding
    assert said.level == "stop"
    assert found.remedies
    assert all(r in said.do for r in found.remedies)
    words = " ".join(found.remedies)
    for way in ("bonded lid", "of the fill", "sheet to order"):
        assert way in words
    for remedy in found.remedies:
        assert 0 < int(remedy.rsplit("(at ", 1)[1].split(" %")[0]) <= 100


def test_a_remedy_holds_when_it_is_ordered(hopeless):
    remedy = next(r for r in choose(hopeless, BUILD).remedies if r.startswith("a bonded lid"))
    thick = float(remedy.split("with ")[2].split(" mm")[0])
    port = '\n[[port]]\nkind = "fill"\non = "lid"\nat = [0, 0]\ndiameter = 40\n'
    tables = {"sheet": 'material = "extruded-pmma"', "limits": 'deflection = "1/300"', "tank": 'lid = "bonded"'}
    given = order((700.0, 350.0, 350.0), "choose", fill="300 mm", tables=tables, more=port)
    assert f"at {100 * greatest(given, thick):.0f} % of its limit" in remedy


FOLLOWED = {
    "a rim strip": ('[[strip]]\nwhere = "rim"\nsize = [{w}, {t}]\n', ""),
    "a brace": ('[[strip]]\nwhere = "brace"\nsize = [{w}, {t}]\nat = [0]\n', ""),
    "a bonded lid": ('[[port]]\nkind = "fill"\non = "lid"\nat = [0, 0]\ndiameter = 40\n', 'lid = "bonded"'),
}


def test_every_remedy_that_changes_the_design_holds_when_it_is_ordered(hopeless):
    """Rim strip, brace, lid: built in the sheet it names, as thin as that may come, it is used to what it says."""
    found = [r for r in choose(hopeless, BUILD).remedies if r.startswith(tuple(FOLLOWED))]
    assert len(found) >= 2
    for remedy in found:
        more, lid = next(words for start, words in FOLLOWED.items() if remedy.startswith(start))
        thick = float(re.search(r"with ([0-9.]+) mm sheet", remedy)[1])
        size = re.search(r"([0-9.]+) x ([0-9.]+) mm", remedy)
        more = more.format(w=size[1], t=size[2]) if size else more
        tables = {"sheet": 'material = "extruded-pmma"', "limits": 'deflection = "1/300"', "tank": lid}
        given = order((700.0, 350.0, 350.0), "choose", fill="300 mm", tables=tables, more=more)
        assert f"at {100 * greatest(given, thick):.0f} % of its limit" in remedy


def test_the_report_says_what_was_chosen_and_by_how_much_the_next_fails():
    report = ask(TANKS["small, flat"], "hold").report
    said = next(f for f in report["findings"] if f["why"].startswith("chosen"))
    assert said["level"] == "note"
    assert "fails" in said["why"]
    assert "%" in said["why"]


def test_a_loosened_limit_chooses_no_sheet_that_bows_beyond_the_method():
    """Past three thicknesses the proof gives no pass, whatever the order allows."""
    given = order(thickness=6)
    asked = asked_of(given, BUILD(given, None))
    proof = proof_of(asked)
    loose = replace(proof, uses=tuple(replace(u, deflection=3.3 * 6.0, allowed_deflection=1e3) for u in proof.uses))
    use, governs, _, bow = worst_of(asked, loose)
    assert use == pytest.approx(1.1)
    assert bow == use
    assert "by deflection" in governs
