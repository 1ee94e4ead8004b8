"""The proof test and the operator's card: stages in order, figures from the report, nothing called proven that is not."""

from __future__ import annotations

import pytest
from shop_orders import answers, every_text, examined, liquid_state, strength_found

from assemblies.report.check import Checked, Made, run_checks
from assemblies.report.plain import plain
from assemblies.shop.care.checks import PROOF_TEST
from assemblies.shop.care.proof import PARTS_OF_SPEED, proof_rows, proof_rules, proof_stages
from assemblies.shop.handover.card import Proven, card_section
from assemblies.shop.handover.checks import CARD
from parts.lengths import mark_under

SLIDE = 'kind = "slide"\ndirection = [1, 0, 0]\nacceleration = "0.8 m/s2"'
PASSED = {"fit": "passed", "strength": "passed", "liquid": "passed"}


@pytest.fixture(scope="module")
def starter():
    return examined()


def test_a_wet_rig_stands_brim_full_a_day_before_it_moves_in_quarters_of_its_speed(starter):
    rows = plain(proof_rows(starter.order, starter.design, liquid_state(starter.design)))
    assert [r["speed_percent"] for r in rows] == [None, 25.0, 50.0, 75.0, 100.0]
    assert rows[0]["hours"] == 24.0
    assert [r["earliest_h"] for r in rows] == [24.0, 72.0, 72.0, 72.0, 72.0]
    # 300 x 200 x 150 mm to the brim, 120 mm at the fill line
    assert [r["litres"] for r in rows] == pytest.approx([9.0, 7.2, 7.2, 7.2, 7.2])
    # 0.8 m/s2 over the same path: a quarter of the speed is a sixteenth of it
    assert [r["acceleration"] for r in rows[1:]] == pytest.approx([0.05, 0.2, 0.45, 0.8])
    assert all(r["signed"] == "" for r in rows)


def test_the_brim_test_is_over_a_tray_with_paper_and_moves_are_guarded(starter):
    first, *moves = plain(proof_rows(starter.order, starter.design, None))
    assert first["litres"] is None
    assert "tray" in first["do"]
    assert "paper under every seam" in first["do"]
    for row in moves:
        assert "guard" in row["do"]
        assert "nobody beside or under it" in row["do"]
        assert "nothing electric under it" in row["do"]


def rules_of(found):
    return proof_rules(proof_rows(found.order, found.design, None)).rules


def test_tightness_alone_is_no_acceptance_for_what_moves_and_is_said_only_then(starter):
    says = "Holding water while standing still does not pass a rig that moves."
    assert says in rules_of(starter)
    assert "Never first over electronics or people." in rules_of(starter)
    still = examined((SLIDE, 'kind = "still"'))
    assert says not in rules_of(still)
    assert len(proof_stages(still.order, still.design)) == 1


def test_a_throw_comes_after_a_week_and_every_case_at_a_quarter_before_any_at_half():
    more = '\n[[case]]\nname = "throw"\nkind = "throw"\ndirection = [0, 0, 1]\nacceleration = "2 m/s2"\n'
    found = examined(more=more)
    moves = proof_stages(found.order, found.design)[1:]
    assert [(m.part_of_speed, m.case) for m in moves] == [
        (part, case) for part in PARTS_OF_SPEED for case in ("run the trough", "throw")
    ]
    assert {m.earliest_h for m in moves if m.case == "throw"} == {168.0}


def test_a_spin_goes_by_its_speed_and_a_turn_keeps_its_angle():
    spin = examined((SLIDE, 'kind = "spin"\nspeed = 60'))
    assert [s.speed_rpm for s in proof_stages(spin.order, spin.design)[1:]] == [15.0, 30.0, 45.0, 60.0]
    turn = examined((SLIDE, 'kind = "turn"\nangle = 30'))
    assert {s.tilt_deg for s in proof_stages(turn.order, turn.design)[1:]} == {30.0}


def test_what_holds_nothing_and_does_not_move_needs_no_proof():
    found = examined((SLIDE, 'kind = "still"'))
    dry = type(found.design)(**{**vars(found.design), "cavities": ()})
    assert proof_rows(found.order, dry, None) == ()
    assert proof_rules(()) is None
    assert run_checks(Made(order=found.order, design=dry), (PROOF_TEST,))[1] == {}


# ---- the card


def card(found, checks=PASSED, liquid=None, strength=None):
    proven = Proven(liquid=liquid or liquid_state(found.design), strength=strength or strength_found(), states=checks)
    return plain(card_section(found.order, found.design, proven))


def test_the_card_bears_the_figures_of_strength(starter):
    got = card(starter)
    assert got["proven"] is True
    assert got["fill_line_mm"] == 120.0
    assert (got["brim_L"], got["fill_L"], got["for_good_L"]) == (9.0, 7.2, 9.0)
    assert got["largest_acceleration_m_s2"] == 0.9  # it spills before it breaks
    assert got["largest_tilt_deg"] == 12.0  # and breaks before it pours
    assert {t["plate"] for t in got["torques"]} == {"plate-1", "plate-2"}
    assert (got["first_fill_after_h"], got["first_move_after_h"]) == (24.0, 72.0)


@pytest.mark.parametrize("state", ["failed", "not-run", "not-covered"])
def test_an_unproven_thing_says_so_and_gets_no_limits_to_go_by(starter, state):
    got = card(starter, {**PASSED, "strength": state})
    assert got["proven"] is False
    assert got["not_proven_because"] == [f"strength: {state}"]
    assert (got["largest_acceleration_m_s2"], got["largest_tilt_deg"]) == (None, None)


def test_without_a_strength_check_there_are_words_but_no_figures(starter):
    nothing = Proven(liquid=None, strength=None, states=dict.fromkeys(PASSED, "not-run"))
    got = plain(card_section(starter.order, starter.design, nothing))
    assert (got["brim_L"], got["mass_full"], got["torques"]) == (None, None, [])
    for word in ("clean", "inspect", "retire", "transport"):
        assert got[word]
    assert "crazes" in got["retire"]
    assert "soap" in got["clean"]
    assert "empty" in got["transport"]


def test_the_label_says_line_weight_and_what_crazes(starter):
    label = " / ".join(card(starter)["label"])
    assert "Fill line 120 mm, 7.2 L of water" in label
    assert "3.6 kg empty, 10.8 kg full: carry it empty" in label
    assert "spirit and solvent craze it" in label
    assert {"acetone", "ethanol", "glass-cleaner"} <= set(card(starter)["craze"])


def test_the_label_gives_no_fill_line_where_no_liquid_was_ordered(starter):
    label = " / ".join(card(starter, liquid=liquid_state(starter.design, assumed=True))["label"])
    assert "Fill line" not in label
    assert "no liquid was ordered" in label


def test_a_thrown_rig_waits_for_full_strength_on_its_card():
    found = examined((SLIDE, 'kind = "throw"\ndirection = [0, 0, 1]\nacceleration = "2 m/s2"'))
    assert card(found)["first_move_after_h"] == 168.0


def test_every_line_of_the_card_has_its_source(starter):
    for line in card(starter)["lines"]:
        assert line["source"]
    assert not any("http" in text for text in every_text(card(starter)))


@pytest.mark.parametrize(("unit", "line"), [("mm", "Fill line 120 mm, 7.2 L"), ("in", "Fill line 4 23/32 in, 7.2 L")])
def test_the_tanks_label_marks_the_fill_line_in_the_orders_unit(starter, unit, line):
    order = starter.order.model_copy(
        update={"units": unit}
    )  # 120 mm = 4.7244 in; 4 23/32 in = 4.71875 in is the nearest 64th
    proven = Proven(liquid=liquid_state(starter.design), strength=None, states=PASSED)
    assert card_section(order, starter.design, proven)["label"][1] == f"{line} of water, no more"


@pytest.mark.parametrize(
    ("depth_mm", "unit", "said"), [(120.9, "mm", "120 mm"), (139.6, "in", "5 31/64 in"), (139.7, "in", "5 1/2 in")]
)
def test_no_fill_line_is_rounded_up(depth_mm, unit, said):
    assert mark_under(depth_mm, unit) == said


# ---- the checks


def proven_by(found, **states):
    """The card where the other checks have answered so."""
    figures = {"liquid": liquid_state(found.design), "strength": strength_found()}
    got = {name: Checked(state=state, figures=figures.get(name)) for name, state in states.items()}
    return answers(found.order, found.design, got, (PROOF_TEST, CARD))[1]


def test_the_checks_take_what_liquid_and_strength_have_found(starter):
    rows = proven_by(starter, **PASSED)
    assert list(rows) == ["proof_test", "proof_rules", "card"]
    assert [r.litres for r in rows["proof_test"]] == [9.0, 7.2, 7.2, 7.2, 7.2]
    assert rows["card"]["proven"] is True
    assert rows["card"]["largest_tilt_deg"] == 12.0


def test_what_cannot_be_safe_gets_no_figures_though_its_strength_is_enough(starter):
    card = proven_by(starter, **PASSED, sound="failed")["card"]
    assert card["not_proven_because"] == ["strength: failed"]
    assert (card["largest_acceleration_m_s2"], card["largest_tilt_deg"], card["for_good_L"]) == (None, None, None)


def test_a_card_without_the_fit_says_so(starter):
    card = proven_by(starter, liquid="passed", strength="passed")["card"]
    assert (card["proven"], card["not_proven_because"]) == (False, ["fit: not-run"])


def test_what_holds_nothing_and_does_not_move_needs_no_card():
    found = examined()
    bare = found.order.model_copy(update={"case": ()})
    dry = type(found.design)(**{**vars(found.design), "cavities": ()})
    assert run_checks(Made(order=bare, design=dry), (CARD,))[1] == {}
