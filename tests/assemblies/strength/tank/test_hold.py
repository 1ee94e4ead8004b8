"""Will it hold: states of the checks, where no pass is given, edges, retention, limits, card and test."""

from __future__ import annotations

import math

import pytest
from asked import ask, printed
from held import hold
from rigs import built, case, order, plates

from assemblies.order import OrderError
from parts.findings import Finding


def held(given):
    return hold(given, built(given))


def outside(given) -> list[str]:
    """What is not covered: no pass is given, and each says who or what decides instead."""
    got = held(given)
    assert got.checks["strength"] == "not-covered"
    assert not got.passed
    said = [f for f in got.findings if "not covered" in f.why]
    assert all("decides" in f.do or "proven another way" in f.do or "add a vent" in f.do for f in said)
    return [f.why for f in said]


def stops(given) -> list[Finding]:
    return [f for f in held(given).findings if f.level == "stop"]


def test_a_sound_tank_passes_both_checks():
    got = held(order(support="plates", more=plates() + case("go", "slide", acceleration=0.8)))
    assert dict(got.checks) == {"strength": "passed", "liquid": "passed"}
    assert got.passed


def test_a_thin_tank_fails():
    got = held(order((600.0, 300.0, 400.0), 4, fill="390 mm"))
    assert got.checks["strength"] == "failed"


OVER = "\n[rig]\nover-people = true\n"
BOLTED = plates() + 'holes = "through"\n'
BIG = order((1200.0, 600.0, 300.0), 20, fill="100 mm")
DEEP = order((200.0, 200.0, 650.0), 20, fill="100 mm")


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (BIG, "it holds 216 L, over 200 L"),
        (DEEP, "650 mm of liquid when full, over 600 mm"),
        (
            order(thickness=12, tables={"liquid": 'temperature = 85\ndensity = 970\nname = "tea"'}),
            "service temperature",
        ),
        (order(tables={"liquid": "living = true"}), "animals live in it"),
        (order(tables={"tank": 'lid = "bonded"'}), "a closed box without a vent"),
        (order(more=case("show", "still", over_people=True)), "over people"),
        (order(more=OVER), "over people"),
        (order(retention="lanyard", support="hung", more=OVER), "over people"),
        (order(retention="through-bolts", support="plates", more=BOLTED + OVER), "over people"),
        (order(more=case("go", "slide", acceleration=0.1) + OVER), "over people"),
        (order(tables={"limits": "volume = 5"}), "it holds 9 L, over 5 L"),
        (order(tables={"limits": "head = 140"}), "150 mm of liquid when full, over 140 mm"),
        (order(more=case("round", "spin", speed=60)), "spinning"),
        (order(more=case("over", "turn", axis=[1, 0, 0], angle=90)), "only stands or hangs"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_no_pass_is_given_outside_the_method(given, says):
    assert any(says in why for why in outside(given))
    assert ask(given, "hold").report["verdict"] != "go"


@pytest.mark.parametrize(("key", "line"), [("volume", "volume = 201"), ("head", "head = 601")])
def test_the_methods_limits_are_settable_downward_only(key, line):
    with pytest.raises(OrderError, match=rf"limits\.{key}.*over the limit of the method"):
        held(order(tables={"limits": line}))


def test_a_liquid_that_crazes_stops_and_an_unknown_one_is_halved_and_said():
    bad = held(order(tables={"liquid": 'name = "methylene chloride"\ndensity = 1328'}))
    assert bad.checks["liquid"] == "failed"
    odd = held(order(tables={"liquid": 'name = "fog juice"\ndensity = 1050'}))
    assert odd.strength["cases"][0]["terms"]["environment"] == 0.5
    assert any("in no table" in f.why and f.level == "care" for f in odd.findings)
    known = held(order(tables={"liquid": 'name = "salt-water"'}))
    assert known.strength["cases"][0]["terms"]["environment"] == 1.0


def test_a_warm_liquid_halves_what_is_allowed():
    warm = held(order(tables={"liquid": "temperature = 45"}))
    assert warm.strength["cases"][0]["allowed"] == pytest.approx(2.5)


@pytest.mark.parametrize("process", ["laser", "score-and-snap"])
def test_an_edge_that_heat_or_a_snap_has_stressed_is_no_edge_for_a_wet_seam(process):
    said = stops(order(tables={"cutting": f'process = "{process}"'}))
    assert len(said) == 1
    assert "front" in said[0].where
    for edge in ("machined", "annealed"):
        assert not stops(order(tables={"cutting": f'process = "{process}"\nedge = "{edge}"'}))


def test_one_laser_cut_panel_is_named():
    (said,) = stops(order(more='\n[[panel]]\nname = "left"\nthickness = 6\nprocess = "laser"\n'))
    assert said.where == "left"


@pytest.mark.parametrize(
    ("given", "how"),
    [
        (order(retention="none", more=case("go", "slide", acceleration=0.1)), "moves (go)"),
        (order(retention="none", support="hung"), "hangs"),
        (order(retention="none", support="plates", more=plates("left", "[[-50, 0], [50, 0]]"), thickness=12), "hangs"),
        (order(retention="none", more=case("show", "still", over_people=True)), "is over people"),
        (order(retention="none", more=OVER), "is over people (rig)"),
    ],
)
def test_what_moves_hangs_or_stands_over_people_on_bond_alone_stops(given, how):
    (said,) = [f for f in stops(given) if "on bond alone" in f.why]
    assert how in said.why


def test_standing_still_on_plates_needs_no_retention_and_a_cradle_is_one():
    assert not stops(order(retention="none", support="plates", more=plates()))
    assert not stops(order(retention="lanyard", more=case("go", "slide", acceleration=0.1)))


@pytest.mark.parametrize(
    "given",
    [
        order(retention="through-bolts"),
        order(retention="through-bolts", support="hung"),
        order(retention="through-bolts", support="plates", more=plates()),
        order(retention="through-bolts", support="plates", more=plates() + case("go", "slide", acceleration=0.1)),
    ],
)
def test_through_bolts_that_no_plate_has_hold_nothing(given):
    (said,) = [f for f in stops(given) if "no plate has them" in f.why]
    assert 'holes = "through"' in said.do


def test_through_bolts_that_a_plate_has_are_a_retention():
    moved = BOLTED + case("go", "slide", acceleration=0.1)
    assert not stops(order(retention="through-bolts", support="plates", more=moved))


def test_plates_as_support_without_a_plate_stop():
    assert any("there is no [[plate]]" in f.why for f in stops(order(support="plates")))


def test_hanging_says_what_is_not_proven():
    assert any("hooks, straps" in f.why for f in held(order(support="hung")).findings)


def test_litres_over_the_rim_are_said():
    got = held(order(fill="140 mm", more=case("jerk", "slide", acceleration=2.0)))
    said = next(f for f in got.findings if f.where == "jerk" and f.check == "liquid")
    assert said.level == "stop"  # a slide is not meant to pour
    # surface at twice 2 m/s2 (sudden) over 300 mm through the rim of the far wall: what is above it leaves
    kept = 0.2 * (150.0 - 300.0 * 4.0 / 9.80665 / 2.0) * 300.0 / 1e3
    assert got.liquid["lost_L"]["jerk"] == pytest.approx(8.4 - kept, rel=1e-6)


def no_liquid(given):
    return given.model_copy(update={"liquid": None})


def test_an_order_without_a_liquid_says_what_is_taken_and_what_to_write():
    got = held(no_liquid(order()))
    (said,) = [f for f in got.findings if f.check == "liquid"]
    assert said.level == "care"
    assert "no [liquid]: assumed: water at 20 °C, filled to its brim (9.00 L)" in said.why
    assert 'name = "water" and fill = "135 mm"' in said.do
    assert got.liquid["assumed"] is True
    assert got.liquid["full_to"] == "brim"
    assert got.liquid["fill_L"] == got.liquid["capacity_L"] == pytest.approx(9.0)
    written = held(order(fill="135 mm"))  # what it says to write is an order that holds, and it has nothing to say then
    assert written.liquid["assumed"] is False
    assert written.liquid["full_to"] is None
    assert not [f for f in written.findings if f.check == "liquid"]
    assert not [f for f in held(order(fill="0 mm")).findings if f.check in ("liquid", "handling")]


def test_a_tank_that_is_brim_full_is_not_called_part_filled():
    def said(given) -> list[str]:
        return [f.why for f in held(given).findings if f.check == "handling" and f.where == "liquid"]

    assert said(order(fill="120 mm")) == ["a part-filled open tank slops and shifts when carried"]
    assert said(order(fill="150 mm")) == ["an open tank that is full to its brim spills as soon as it is lifted"]
    assert said(no_liquid(order())) == []  # what is only taken is said once, with that it spills
    overflow = '[[port]]\nkind = "overflow"\non = "left"\nat = [0, 40]\ndiameter = 12\n'
    low = held(no_liquid(order(more=overflow)))
    assert low.liquid["full_to"] == "opening"
    assert said(no_liquid(order(more=overflow))) == ["a part-filled open tank slops and shifts when carried"]
    assert "to its lowest opening (6.36 L)" in next(f.why for f in low.findings if f.check == "liquid")
    shut = held(no_liquid(order(tables={"tank": 'lid = "bonded"'})))
    assert shut.liquid["full_to"] == "lid"
    assert "to its lid" in next(f.why for f in shut.findings if f.check == "liquid")


def test_what_to_write_is_in_the_orders_unit():
    inch = no_liquid(order((304.8, 203.2, 152.4))).model_copy(update={"units": "in"})
    assert 'fill = "5 1/4 in"' in next(f.do for f in held(inch).findings if f.check == "liquid")


def test_one_finding_names_every_figure_the_mass_is_over_and_what_it_weighs_empty():
    got = held(order((500.0, 300.0, 250.0), 12, fill="220 mm"))
    (said,) = [f for f in got.findings if f.check == "handling" and f.where == "whole"]
    assert said.why.startswith(f"{got.liquid['mass_full']:.1f} kg is over 15 kg (reference mass wider), the strictest")
    assert all(f"{kg} kg" in said.why for kg in (16, 23, 25))
    assert f"empty: {got.liquid['mass_empty']:.1f} kg" in said.do


def test_warm_liquid_halves_what_is_allowed_and_the_stiffness():
    warm, cool = (held(order(tables={"liquid": f"temperature = {t}"})) for t in (41, 40))
    (said,) = [f for f in warm.findings if f.where == "liquid" and f.check == "strength" and f.level == "care"]
    assert said.level == "care"
    assert "the stiffness of the sheet are halved" in said.why
    bows = [
        {u.piece: u.deflection for u in one.proof.uses if u.what == "panel" and u.case == "still"}
        for one in (warm, cool)
    ]
    assert bows[0]["front"] == pytest.approx(2.0 * bows[1]["front"], rel=0.01)
    assert not [f for f in cool.findings if f.where == "liquid" and f.check == "strength" and f.level == "care"]


def test_weight_and_balance_by_hand():
    got = held(order(thickness=6))
    q = got.liquid
    assert q["mass_full"] - q["mass_empty"] == pytest.approx(7.2 * 998.21 / 1000.0)
    volume = 312 * 212 * 156 - 300 * 200 * 150
    assert q["mass_empty"] == pytest.approx(volume * 1190e-9)
    wet, dry = q["mass_full"] - q["mass_empty"], q["mass_empty"]
    assert q["centre_full"][2] == pytest.approx((wet * 66.0 + dry * q["centre_empty"][2]) / (wet + dry))
    at = next(r for r in q["at_tilt"] if (r["toward"], r["tilt"]) == ("right", 30.0))
    # over the right rim: a wedge of 150 mm at the rim and 300 tan 30 less to the left... all of it wet while that is positive
    assert at["kept_L"] == pytest.approx(0.2 * 150.0 * 150.0 / math.tan(math.radians(30.0)) / 2e3, rel=1e-6)


def test_a_tank_that_cannot_stand_free_is_said_and_not_a_fault():
    got = held(order(thickness=12, support="plates", more=plates("bottom", "[[100, 0]]")))
    assert any("falls over" in f.why for f in got.findings)
    assert got.liquid["tips_at"]["tilt"] == 0.0


def test_proof_test_and_card_are_data():
    report = ask(order(more=case("go", "slide", acceleration=0.8)), "hold").report
    steps = report["proof_test"]
    assert [s["step"] for s in steps] == [1, 2, 3, 4, 5]
    assert steps[0]["hours"] == 24.0
    assert steps[0]["litres"] == pytest.approx(9.0)
    assert [s["speed_percent"] for s in steps[1:]] == [25, 50, 75, 100]
    assert all(s["signed"] == "" for s in steps)
    card = report["card"]
    assert card["fill_line_mm"] == pytest.approx(120.0)
    diagonal = math.hypot(300.0, 200.0)  # towards a corner it spills first
    assert card["largest_acceleration_m_s2"] == pytest.approx(30.0 / diagonal * 9.80665, rel=1e-5)
    assert card["first_fill_after_h"] < card["first_move_after_h"]
    assert len(ask(order(), "hold").report["proof_test"]) == 1  # nothing moves


def test_report_rows_carry_every_term():
    report = ask(order(support="plates", more=plates()), "hold").report
    for row in report["strength"]["cases"]:
        t = row["terms"]
        assert row["allowed"] == pytest.approx(t["table"] * t["environment"] * t["joint"] / t["factor"])
        assert row["use"] == pytest.approx(
            max(row["stress"] / row["allowed"], row["deflection"] / row["allowed_deflection"]), rel=1e-4
        )
    for row in report["strength"]["seams"]:
        assert row["terms"]["joint"] == 0.4
    assert {r["plate"] for r in report["strength"]["threads"]} == {"plate-1", "plate-2"}
    assert any(r.get("torque_Nm") for r in report["strength"]["threads"])


def test_one_angle_is_said_wherever_it_starts_to_pour():
    """Terminal, report and card: over a corner, 30 mm of freeboard on half of the diagonal of 300 x 200 mm."""
    report = ask(order(more=case("go", "slide", acceleration=0.8)), "hold").report
    angle = math.degrees(math.atan(30.0 / (math.hypot(300.0, 200.0) / 2.0)))
    said = [
        report["liquid"]["pours_at"],
        report["strength"]["good_for"]["dry_tilt_deg"],
        report["card"]["largest_tilt_deg"],
    ]
    assert said == pytest.approx([angle] * 3, rel=1e-6)
    assert f"in the worst direction, at a tilt of: {angle:.1f}°" in printed(report, "hold")


def test_what_leaves_by_a_spout_is_nowhere_said_to_leave_over_the_rim():
    from pathlib import Path

    from assemblies.kinds import schemas
    from assemblies.liquid.sections import liquid_blocks
    from assemblies.order import read_order_text

    text = (Path(__file__).parents[3] / "orders" / "pouring-tray.toml").read_text(encoding="utf-8")
    report = ask(read_order_text(text, schemas()), "hold").report
    assert report["liquid"]["lost_by"]["pour"] == "through spout-1"
    rows = next(b for b in liquid_blocks(report, "mm") if type(b).__name__ == "Rows")
    assert "rim" not in rows.title
    assert [row[2] for row in rows.rows] == ["through spout-1"]


def test_a_tank_that_is_filled_for_minutes_is_judged_by_that_and_by_a_night():
    """Wall of 400 mm at 5 mm: bows too far for good, not for minutes nor overnight; its fill for good is less."""
    size, sheet, fill = (500.0, 300.0, 250.0), 6, "200 mm"
    good = ask(order(size, sheet, fill=fill), "hold").report
    short = ask(order(size, sheet, fill=fill, tables={"liquid": 'stays = "minutes"'}), "hold").report
    still = [
        next(r for r in one["strength"]["cases"] if (r["case"], r["piece"]) == ("still", "front"))
        for one in (good, short)
    ]
    assert still[0]["stress"] == still[1]["stress"]
    assert still[1]["deflection"] < 0.5 * still[0]["deflection"]
    assert still[1]["allowed"] > 2.5 * still[0]["allowed"]
    nights = {r["case"] for r in short["strength"]["cases"]} - {r["case"] for r in good["strength"]["cases"]}
    assert nights == {"left full overnight"}
    assert short["strength"]["good_for"]["fill_l"] == pytest.approx(good["strength"]["good_for"]["fill_l"], rel=0.02)
    assert (short["liquid"]["stays"], short["card"]["stays"]) == ("minutes", "minutes")


def test_that_it_is_taken_to_stand_full_for_good_is_said():
    def said(more):
        report = ask(order(tables={"liquid": more}), "hold").report
        taken = {t["what"]: t for t in report["taken"]}
        return taken, [f["why"] for f in report["findings"] if "never leave it empty" in f["why"]]

    taken, _ = said("")
    assert taken["time it stands full"]["say"] == "[liquid] stays"
    assert "time it stands full" not in said('stays = "permanent"')[0]
    once, none = said('stays = "hours"')
    assert once["how often it is filled, a day"]["value"] == pytest.approx(1.0)
    assert none == []
    assert len(said('stays = "hours"\nfills-per-day = 3')[1]) == 1


def test_how_a_throw_is_stopped_is_taken_where_no_case_is_its_stop():
    up = case("up", "throw", acceleration=5.0)
    for more, there in ((up, True), (up + case("top", "throw", direction=[0, 0, -1], acceleration=3.0), False)):
        taken = [t["what"] for t in ask(order(more=more), "hold").report["taken"]]
        assert ("how it is stopped: up" in taken) is there
