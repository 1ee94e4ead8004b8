"""The buying list: bolts that do not bottom out, sheet by area, seals where a hole goes through, no brands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shop_orders import every_text, examined

from assemblies.report.plain import plain
from assemblies.shop.bond.plan import BondSettings, bonding_plan
from assemblies.shop.handover.buying import bolt_for, buying_list, standard_lengths
from parts.findings import SeamwrightError
from parts.stock.nut import washer_mm
from parts.stock.thread import thread, threads
from parts.tables import load


def section(*edits, more="", **settings):
    found = examined(*edits, more=more)
    plan = bonding_plan(found.design, found.fit, found.exploded)
    return plain(buying_list(found.order, found.design, plan, BondSettings(**settings)))


# ---- bolts


def test_the_bolt_of_the_starter_tank_by_hand():
    """5 mm clamped, washer 1.6, reach 11: just bottoms out at 17.6 mm; 16 mm is the longest standard below."""
    (row,) = section()["bolts"]
    assert (row["count"], row["where"]) == (8, ["plate-1", "plate-2"])
    assert row["longest"] == pytest.approx(17.6)
    assert row["length"] == 16.0
    assert row["engagement"] == pytest.approx(9.4)


def test_thicker_clamped_parts_take_a_longer_bolt():
    (row,) = section(clamped_mm=10.0)["bolts"]
    assert (row["length"], row["longest"]) == (20.0, pytest.approx(22.6))
    assert section(clamped_mm=10.0)["clamped"]["stated"] is True


@given(
    name=st.sampled_from(["M3", "M4", "M5", "M6", "M8", "1/4-20 UNC", "#10-32 UNF", "5/16-18 UNC"]),
    grip=st.floats(1.0, 40.0),
    reach=st.floats(2.0, 40.0),
)
def test_no_bolt_bottoms_out_and_none_within_reach_is_longer(name, grip, reach):
    screw = thread(name)
    bolt = bolt_for(screw, grip, reach, reach)
    lengths = [v for v, _ in standard_lengths("inch" if screw.system == "inch" else "metric")]
    able = [v for v in lengths if grip + screw.major_mm <= v + 1e-9 and v <= grip + reach + 1e-9]
    assert bolt.length_mm == (max(able) if able else None)
    if bolt.length_mm is not None:
        assert bolt.length_mm - grip <= reach + 1e-6
        assert bolt.engagement_mm >= screw.major_mm - 1e-6


def test_where_no_standard_length_fits_it_says_so_and_what_to_do():
    """A 5 mm plate leaves M6 no six millimetres of thread."""
    rows = section(("thickness = 12", "thickness = 5"))["bolts"]
    assert [r["length"] for r in rows] == [None]
    assert "no standard length fits" in rows[0]["item"]
    assert "washers" in rows[0]["note"]


def test_a_bolt_through_the_wall_holds_all_of_its_stack_and_a_nut():
    """From the head on: seal 2, wall 5.82, plate 12, clamped 5, washer 1.6: 26.42; nut 5.2 (ISO 4032), two pitches: 33.62."""
    found = section(('holes     = "tapped"', 'holes = "through"'))
    (row,) = found["bolts"]
    layers = [(x["what"], x["mm"]) for x in row["stack"]]
    assert layers == [
        ("sealing washer", 2.0), ("bottom", pytest.approx(5.82)), ("plate", 12.0), ("what it is bolted to", 5.0),
        ("washer", 1.6),
    ]  # fmt: skip
    assert (row["grip"], row["length"], row["longest"]) == (pytest.approx(26.42), 35.0, None)
    assert {w["item"]: w["amount"] for w in found["washers"]} == {"plain washer M6": 8, "hexagon nut M6": 8}


def test_a_bolt_through_a_backing_is_longer_by_it():
    """12 more than 33.62: 45.62, so 50."""
    for behind in ("strip", "plate"):
        (row,) = section(('holes     = "tapped"', f'holes = "through"\nbehind = "{behind}"'))["bolts"]
        assert (row["grip"], row["length"]) == (pytest.approx(38.42), 50.0)


def test_a_bolt_into_what_the_plate_is_bolted_to_has_a_diameter_of_its_thread():
    """ISO 15552-32 is tapped M6: seal 2, wall 5.82, plate 12 and 6 of thread: 25.82, so 30; no nut."""
    cylinder = ('pattern   = "grid 25 2x2"', 'pattern = "ISO 15552-32"'), ("size      = [50, 50]", "size = [60, 60]")
    found = section(*cylinder, ('holes     = "tapped"', 'holes = "through"'), ("grid = 25", ""))
    assert found["bolts"][0]["length"] == 30.0
    assert found["washers"] == []  # the sealing washers are listed apart


def test_a_bolt_into_a_nut_that_is_let_in_uses_all_of_it_and_stops_short_of_the_wall():
    """The pocket is 5.2 + 1 + 1.6 deep, so that one washer more or less finds a length. Washer 1.6, clamped 5, floor 4.2: 10.8;
    the nut's 5.2 and at most 1.6 beyond: 16 to 17.6."""
    found = section(('holes     = "tapped"', 'let-in = "nut"'))
    (row,) = found["bolts"]
    assert (row["least"], row["longest"], row["length"]) == (pytest.approx(16.0), pytest.approx(17.6), 16.0)
    assert {w["item"]: w["amount"] for w in found["washers"]} == {"plain washer M6": 8, "hexagon nut M6": 8}
    assert section(('holes     = "tapped"', 'let-in = "nut"'), clamped_mm=8.0)["bolts"][0]["length"] == 20.0


def test_inserts_are_bought_by_their_sizes():
    found = section(('holes     = "tapped"', 'let-in = "insert"\ninsert = [8, 12, 1.5]'))
    (insert,) = [w for w in found["washers"] if "insert" in w["item"]]
    assert (insert["item"], insert["amount"]) == ("flanged metal insert M6", 8)
    assert "barrel 8, flange 12 x 1.5 mm" in insert["note"]
    assert found["bolts"][0]["length"] == 16.0  # washer 1.6, clamped 5, reach 11: at most 17.6


def test_inch_threads_take_inch_lengths():
    rows = section(('thread    = "M6"', 'thread    = "1/4-20 UNC"'))["bolts"]
    assert rows[0]["item"].endswith(" in")
    # 5 + 1.7 + 11 = 17.7 mm: 5/8 in (15.875) is the longest below, 3/4 in (19.05) too long
    assert rows[0]["length"] == pytest.approx(15.875)


def test_lengths_are_in_order_and_inch_ones_are_what_they_say():
    from fractions import Fraction

    for system in ("metric", "inch"):
        values = [v for v, _ in standard_lengths(system)]
        assert values == sorted(set(values))
    for row in load("bolt_lengths"):
        if row["system"] == "inch":
            inches = sum(Fraction(p) for p in row["length"].removesuffix(" in").split())
            assert float(row["length_mm"]) == pytest.approx(float(inches) * 25.4, abs=1e-3)


def test_every_thread_that_a_plate_may_have_has_a_washer():
    for screw in threads():
        if screw.system != "pipe":
            assert 0.3 < washer_mm(screw.size) < screw.major_mm, screw.name
    with pytest.raises(SeamwrightError, match="no washer for M99"):
        washer_mm("M99")


# ---- the rest


def test_sheet_is_summed_by_thickness_over_the_whole_quantity():
    """Two walls 311.64 x 150, bottom 311.64 x 200 less what the laps take; counted from the pieces by hand: the
    outside of the tank is 311.64 x 211.64 x 155.82, front and back full size."""
    one, five = section(), section(("quantity = 1", "quantity = 5"))
    found = examined()
    by_hand = sum(
        p.piece.outline.size_mm[0] * p.piece.outline.size_mm[1]
        for p in found.design.placed
        if p.piece.kind != "tapped-plate"
    )
    rows = {r["thickness"]: r for r in one["sheets"]}
    assert set(rows) == {6.0, 12.0}
    assert rows[6.0]["net_mm2"] == pytest.approx(by_hand)
    assert rows[12.0]["net_mm2"] == pytest.approx(2 * 50 * 50)
    assert rows[6.0]["least_sides"] == pytest.approx([311.64, 200.0])
    assert rows[6.0]["with_allowance_mm2"] == pytest.approx(1.3 * by_hand)
    assert five["sheets"][0]["net_mm2"] == pytest.approx(5 * by_hand)
    assert five["bolts"][0]["count"] == 40
    assert five["washers"][0]["amount"] == 40
    assert five["bonding"][0]["amount"] == pytest.approx(5 * one["bonding"][0]["amount"])


def test_a_blind_plate_needs_no_seal_a_hole_through_the_wall_does():
    assert section()["seals"] == []
    seals = section(('holes     = "tapped"', 'holes = "through"'))["seals"]
    assert sum(s["amount"] for s in seals) == 8
    assert all(s["item"] == "sealing washer M6" for s in seals)


def test_a_port_needs_its_fitting_and_seal():
    port = '\n[[port]]\nkind = "drain"\non = "left"\nat = [0, -40]\nthread = "G 1/4"\n'
    (seal,) = section(more=port)["seals"]
    assert seal["item"] == "fitting G 1/4 with flat seal"
    smooth = port.replace('thread = "G 1/4"', "diameter = 20")
    (seal,) = section(more=smooth)["seals"]
    assert "20 mm hole" in seal["item"]


def test_solvent_is_listed_as_the_users_choice_unless_stated():
    assert "class not stated" in section()["bonding"][0]["item"]
    assert section(solvent="THF")["bonding"][0]["item"] == "thin solvent: tetrahydrofuran"


def test_a_lid_screwed_on_gets_its_screws():
    rows = section(('lid       = "none"', 'lid       = "screwed"'))["bolts"]
    lid = [r for r in rows if "lid" in r["where"]]
    assert lid
    assert all(r["length"] is not None for r in lid)


def test_no_item_is_a_web_address_and_each_has_a_source():
    whole = section()
    assert not any("http" in t or "www." in t for t in every_text(whole))
    for part in ("washers", "bonding", "tools", "protection"):
        assert whole[part]
        assert all(row["source"] for row in whole[part])
