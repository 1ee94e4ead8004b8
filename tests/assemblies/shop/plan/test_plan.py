"""Cutting plans of whole orders: sawn apart by an independent check, and carried out step by step from the report alone."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import faults
from starters import two_plates

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas
from assemblies.order import Order, read_order, read_order_text
from assemblies.shop.plan.items import Wanted, cut_items
from assemblies.shop.plan.plan import plan_cutting
from assemblies.shop.stock.rack import Rack, Slot
from parts.findings import SeamwrightError
from parts.stock.rules import rule

START = two_plates()
TOO_FINE_MM = 2e-6  # the report is written to a nanometre


def order(*edits: tuple[str, str], more: str = "") -> Order:
    text = START
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return read_order_text(text + more, schemas())


def rack(*slots: Slot) -> Rack:
    return Rack(slots=slots)


def slot(label: str, width: float, height: float, thickness: float = 6.0, **more: Any) -> Slot:
    return Slot(label=label, material="cast-pmma", thickness_mm=thickness, width_mm=width, height_mm=height, **more)


PLATES = slot("plates", 300, 120, 12.0, kind="offcut")


def carry_out(cutting: dict[str, Any]) -> dict[str, list[float]]:
    """Do what each step says, with its figures only; what lies in the shop at the end, by name."""
    there = {f"sheet {s['number']} ({s['stock']})": list(s["size"]) for s in cutting["sheets"]}
    now = 0
    for step in cutting["steps"]:
        assert step["setting"] in (now, now + 1)  # a setting once left does not come back
        now = step["setting"]
        blank = there.pop(step["blank"])
        kerf = cutting["sheets"][step["sheet"] - 1]["kerf"]
        side = 0 if step["axis"] == "x" else 1
        over = blank[side] - step["distance"] - kerf
        assert step["kept"] not in there
        there[step["kept"]] = [step["distance"] if k == side else v for k, v in enumerate(blank)]
        assert (over > TOO_FINE_MM) == (step["rest"] is not None)
        if step["rest"] is not None:
            there[step["rest"]] = [over if k == side else v for k, v in enumerate(blank)]
    assert now == cutting["settings"]
    return there


def check(report: dict[str, Any], wanted: dict[str, tuple[float, float]]) -> None:
    """`wanted`: sawn size of every instance."""
    cutting = report["cutting"]
    there = carry_out(cutting)
    names = [p["name"] for s in cutting["sheets"] for p in s["placed"]]
    assert sorted(names) == sorted(wanted)
    for name, size in wanted.items():
        assert sorted(there.pop(name)) == pytest.approx(sorted(size), abs=TOO_FINE_MM)
    rests = [r for s in cutting["sheets"] for r in (*s["offcuts"], *s["waste"])]
    assert sorted(there) == sorted(r["name"] for r in rests)
    for rest in rests:
        assert there[rest["name"]] == pytest.approx(rest["size"], abs=TOO_FINE_MM)
    b = cutting["balance"]
    assert b["pieces"] + b["kerf"] + b["waste"] + b["offcuts"] == pytest.approx(b["stock"], abs=1e-5)
    assert cutting["waste"] == b["waste"]
    for sheet in cutting["sheets"]:
        rows = [[*p["sawn"][2:], 1, False] for p in sheet["placed"]]
        boxes = [{"part": k, **dict(zip("xywh", p["sawn"], strict=True))} for k, p in enumerate(sheet["placed"])]
        layout = {"sheets": [{"size": sheet["size"], "placed": boxes}]}
        assert faults(layout, rows, [sheet["size"]], sheet["kerf"], 0.0) == []


def sizes(one: Order, prefix: str = "", grown: float = 0.0) -> dict[str, tuple[float, float]]:
    from assemblies.examine import begin

    design = begin(one).design
    out = {}
    for copy in range(one.quantity):
        for placed in design.placed:
            w, h = placed.piece.outline.size_mm
            out[f"{prefix}{placed.name}" + (f".{copy + 1}" if copy else "")] = (w + grown, h + grown)
    return out


def test_the_starter_from_the_usual_sheets_comes_out_as_ordered():
    one = order()
    done = cut_orders([one])
    check(done.report, sizes(one))
    assert not done.stops
    assert [s["stock"] for s in done.report["cutting"]["sheets"]] == [
        "6 mm 1220 x 2440 mm",
        "12 mm cut to size 113 mm x 60 mm",
    ]
    # every size that two of the five panels share comes from one setting of the fence
    assert not [f for f in done.report["findings"] if f["check"] == "cut group"]
    per_side: dict[float, set[int]] = {}
    for step in done.report["cutting"]["steps"]:
        per_side.setdefault(step["distance"], set()).add(step["setting"])
    for side in (311.64, 200.0, 155.82, 150.0):
        assert len(per_side[side]) == 1, side


def test_boxes_are_net_and_turned_pieces_say_so():
    one = order()
    placed = {p["name"]: p for s in cut_orders([one]).report["cutting"]["sheets"] for p in s["placed"]}
    for name, (w, h) in sizes(one).items():
        box = placed[name]
        assert (box["w"], box["h"]) == pytest.approx((h, w) if box["turned"] else (w, h))
        assert box["sawn"] == [box[k] for k in "xywh"]


def test_several_orders_of_several_rigs_are_one_plan():
    first = order()
    other = order(
        ("ripple-trough", "spare-trough"),
        ("quantity = 1", "quantity = 3"),
        ("300, 200, 150", "420, 160, 90"),
        ("120 mm", "80 mm"),
    )
    done = cut_orders([first, other])
    check(done.report, sizes(first, "ripple-trough.") | sizes(other, "spare-trough."))
    assert [o["name"] for o in done.report["orders"]] == ["ripple-trough", "spare-trough"]
    assert set(done.report) == {"version", "orders", "cutting", "findings"}
    alone = sum(len(cut_orders([o]).report["cutting"]["sheets"]) for o in (first, other))
    assert len(done.report["cutting"]["sheets"]) < alone
    labels = {row["name"]: row for row in done.report["cutting"]["labels"]}
    assert "rev A" in labels["spare-trough.front.3"]["text"]
    assert labels["spare-trough.front.3"]["outside"] == "far"


def test_one_fence_setting_serves_sheets_of_two_thicknesses():
    # the bottom is 8 mm and the ends are 6 mm: their 200 mm meet in the tank, and come from one setting
    more = '\n[[panel]]\nname = "bottom"\nthickness = 8\nmeasured = [7.9, 7.9]\n'
    cutting = cut_orders([order(more=more)]).report["cutting"]
    at_200 = [step for step in cutting["steps"] if step["distance"] == 200.0]
    assert len({step["sheet"] for step in at_200}) == 2
    assert len({step["setting"] for step in at_200}) == 1


def test_edges_to_be_machined_are_left_larger_and_an_oversize_panel_too():
    edge = rule("machining_allowance")
    one = order(("[cutting]", '[cutting]\nedge = "machined"'))
    done = cut_orders([one])
    check(done.report, sizes(one, grown=2 * edge))
    box = next(p for p in done.report["cutting"]["sheets"][0]["placed"] if p["name"] == "front")
    assert sorted((box["w"], box["h"])) == pytest.approx([155.82, 311.64])
    assert box["x"] == pytest.approx(box["sawn"][0] + edge)
    two = order(more='\n[[panel]]\nname = "bottom"\nthickness = 6\noversize = 3\n')
    box = next(p for s in cut_orders([two]).report["cutting"]["sheets"] for p in s["placed"] if p["name"] == "bottom")
    assert box["sawn"][2] * box["sawn"][3] == pytest.approx((box["w"] + 6) * (box["h"] + 6))


def test_pieces_that_may_not_turn_lie_the_way_they_are():
    narrow = rack(slot("strip", 330, 2000), PLATES)
    still = order(("[sheet]", "[sheet]\nturn = false"))
    assert not any(p["turned"] for s in cut_orders([still], narrow).report["cutting"]["sheets"] for p in s["placed"])
    with_panel = order(more='\n[[panel]]\nname = "front"\nthickness = 6\nturn = false\n')
    assert {i.may_turn for i in cut_items([wanted(with_panel)]) if "front" in i.names} == {False}
    assert {i.may_turn for i in cut_items([wanted(with_panel)]) if "left" in i.names} == {True}


def test_a_pair_of_which_one_is_left_oversize_is_one_part_cut_two_ways():
    one = order(more='\n[[panel]]\nname = "front"\nthickness = 6\noversize = 3\nturn = false\n')
    items = {item.names: (item.piece.name, item.allowance_mm[0], item.may_turn) for item in cut_items([wanted(one)])}
    assert items[("front",)] == ("front-back", 3.0, False)
    assert items[("back",)] == ("front-back", 0.0, True)
    assert [p.name for p in wanted(one).design.pieces].count("front-back") == 1


def wanted(one: Order, **spares: int) -> Wanted:
    from assemblies.examine import begin

    return Wanted(order=one, design=begin(one).design, spares=spares)


def test_spares_are_cut_with_the_rest():
    done = cut_orders([order()], spares={"end": 2})
    names = [p["name"] for s in done.report["cutting"]["sheets"] for p in s["placed"]]
    assert {"end.spare1", "end.spare2"} <= set(names)
    assert len(names) == 9
    with pytest.raises(SeamwrightError, match="no part 'side' to cut a spare of; there are: bottom, end"):
        cut_orders([order()], spares={"side": 1})


def test_two_orders_of_one_name_are_refused():
    with pytest.raises(SeamwrightError, match="two orders are called ripple-trough"):
        cut_orders([order(), order()])


def test_offcuts_go_first_and_come_back_with_labels():
    one = order()
    shelf = rack(slot("C6", 1220, 2440, quantity=2), slot("old", 520, 640, kind="offcut"), PLATES)
    done = cut_orders([one], shelf)
    check(done.report, sizes(one))
    assert [s["stock"] for s in done.report["cutting"]["sheets"]] == ["old", "plates"]
    assert done.rack is not None
    labels = [s.label for s in done.rack.slots]
    assert labels[0] == "C6"
    assert "old" not in labels
    back = [r["label"] for s in done.report["cutting"]["sheets"] for r in s["offcuts"]]
    assert sorted(back) == sorted(labels[1:])


@pytest.mark.parametrize(
    ("edits", "slots", "says", "do"),
    [
        ((), [slot("small", 300, 300), PLATES], r"front \(311.64 x 155.82 mm\) is larger than every sheet .* 11.64 mm too wide",
         "at least 311.64 x 155.82 mm"),
        ((), [slot("trimmed", 320, 320, trim_mm=10.0), PLATES], "less 10 mm trimmed off each edge", "at least 331.64 x"),
        ((), [slot("C5", 1220, 2440, 5.0), PLATES], "no cast-pmma of 6 mm on the rack: there is .*5 mm", "add stock"),
        ((), [slot("one", 320, 320), PLATES], "do not hold all pieces: .*found no place", "add stock"),
        ([("[cutting]", "[cutting]\nkerf = 29"), ("300, 200, 150", "300, 200, 20"), ("120 mm", "15 mm")],
         [slot("C6", 1220, 2440), PLATES],
         "front .* is thinner than the kerf of 29 mm", "laser"),
    ],
)  # fmt: skip
def test_what_cannot_be_cut_says_which_by_how_much_and_what_would_do(edits, slots, says, do):
    plan = plan_cutting([wanted(order(*edits))], rack(*slots))
    assert plan.faults
    text = " | ".join(f.why for f in plan.faults)
    assert re.search(says, text), text
    assert any(do in f.do for f in plan.faults)


def test_a_rack_that_is_short_for_two_thicknesses_says_so_of_both():
    plan = plan_cutting([wanted(order())], rack(slot("C5", 1220, 2440, 5.0)))
    assert len(plan.faults) == 2


def test_sheets_used_by_the_saw_are_not_there_for_the_router():
    more = '\n[[panel]]\nname = "bottom"\nthickness = 6\nprocess = "router"\n'
    shelf = rack(slot("C6", 700, 700, quantity=1), PLATES)
    (fault,) = plan_cutting([wanted(order(more=more))], shelf).faults
    assert (fault.level, fault.where) == ("stop", "6 mm cast-pmma")
    assert fault.why == "all 6 mm cast-pmma on the rack goes to other pieces: none is left for the router"
    two = plan_cutting([wanted(order(more=more))], rack(slot("C6", 700, 700, quantity=2), PLATES))
    assert not two.faults
    assert [s.stock.name for one, _ in two.nests for s in one.sheets] == ["C6"]


def test_thin_sheet_is_scored_along_a_rule_and_takes_no_kerf():
    one = order(("thickness = 6 ", "thickness = 3 "), ("[5.82, 5.80, 5.84]", "[2.9]"), ('"saw" ', '"score-and-snap" '),
                ("tolerance", "# tolerance"), ("repeat", "# repeat"), ("squareness", "# squareness"))  # fmt: skip
    cutting = cut_orders([one]).report["cutting"]
    thin = next(s for s in cutting["sheets"] if s["thickness"] == 3.0)
    assert (thin["process"], thin["kerf"]) == ("score-and-snap", 0.0)
    assert all(step["mode"] == "snap" for step in cutting["steps"] if step["sheet"] == thin["number"])
    assert any("score and snap" in line for line in cutting["words"])
    check(cut_orders([one]).report, sizes(one))


def test_five_thousand_pieces_are_planned_in_the_time_that_is_given():
    many = order(("quantity = 1", "quantity = 715"), ("300, 200, 150", "200, 120, 80"), ("120 mm", "60 mm"))
    plan = plan_cutting([wanted(many)], seconds=0.5)
    assert plan.saw is not None
    assert len(plan.saw.pieces) == 715 * 7
    b = plan.saw.balance
    assert b.pieces + b.kerf + b.waste + b.offcuts == b.stock


@settings(max_examples=12)
@given(
    length=st.integers(60, 900), width=st.integers(60, 500), depth=st.integers(40, 400), kerf=st.sampled_from([0, 2.2, 3.175]),
    trim=st.sampled_from([0.0, 12.0]), quantity=st.integers(1, 3),
)  # fmt: skip
def test_any_tank_carried_out_step_by_step_gives_its_pieces(length, width, depth, kerf, trim, quantity):
    plates = START.index("[[plate]]"), START.index("[[case]]")
    text = START[: plates[0]] + START[plates[1] :]
    text = text.replace("300, 200, 150", f"{length}, {width}, {depth}").replace(
        "[cutting]", f"[cutting]\nkerf = {kerf}"
    )
    text = text.replace('fill = "120 mm"', 'fill = "20 mm"').replace("quantity = 1", f"quantity = {quantity}")
    one = read_order_text(text, schemas())
    done = cut_orders([one], rack(slot("C6", 1220, 2440, quantity=20, trim_mm=trim)), seconds=0.2)
    check(done.report, sizes(one))
    assert Counter(p["order"] for s in done.report["cutting"]["sheets"] for p in s["placed"]) == {
        "ripple-trough": 5 * quantity
    }
    assert done.rack is not None
    sheets = next(s.quantity for s in done.rack.slots if s.label == "C6")
    assert sheets == 20 - len(done.report["cutting"]["sheets"])


def test_same_orders_same_plan():
    assert cut_orders([order()]).report == cut_orders([order()]).report


def test_a_routed_panel_of_a_sawn_tank_is_nested_with_the_routers_cautions():
    more = '\n[[panel]]\nname = "bottom"\nthickness = 6\nprocess = "router"\n'
    report = cut_orders([order(more=more)]).report
    sawn = [p["name"] for s in report["cutting"]["sheets"] for p in s["placed"]]
    nested = [p["name"] for s in report["nesting"]["sheets"] for p in s["placed"]]
    assert sorted(sawn + nested) == sorted(sizes(order()))
    assert nested == ["bottom"]
    assert [row["process"] for row in report["cutting"]["processes"]] == ["saw"]
    assert [row["process"] for row in report["nesting"]["processes"]] == ["router"]
    assert "Clamp every piece" in report["nesting"]["processes"][0]["caution"]


SIX = """title = "Set piece boxes"
name = "h-six"
kind = "tank"
quantity = 6
[sheet]
material = "cast-pmma"
thickness = 3
measured = [2.9, 2.92, 2.88]
[tank]
size = [120, 90, 80]
measure = "inside"
[liquid]
name = "water"
fill = 60
[support]
kind = "flat"
"""  # six-boxes.toml of the trial of 2026-11-28, and the rack beside it
O1 = slot("O1", 610, 420, 3.0, measured_mm=2.9, kind="offcut")
O2 = slot("O2", 480, 300, 3.0, measured_mm=2.9, kind="offcut")
O3 = slot("O3", 900, 250, 3.0, measured_mm=3.1, kind="offcut")
C3 = slot("C3", 1220, 2440, 3.0, measured_mm=2.9, price=48.0, trim_mm=10.0)


def test_sheet_that_measures_otherwise_than_the_sizes_is_left_on_the_rack():
    report = cut_orders([read_order_text(SIX, schemas())], rack(C3, O1, O2, O3), seconds=0.5).report
    assert {s["stock"] for s in report["cutting"]["sheets"]} == {"O1", "O2"}
    said = [f for f in report["findings"] if f["where"] == "O3"]
    assert [f["level"] for f in said] == ["note"]
    assert "measures 3.1 mm" in said[0]["why"]


def test_where_nothing_measures_so_the_plan_says_what_to_buy():
    (fault,) = plan_cutting([wanted(read_order_text(SIX, schemas()))], rack(O3), seconds=0.2).faults
    assert fault.level == "stop"
    assert "buy 3 mm cast-pmma that measures 2.85 mm to 2.95 mm" in fault.do
    assert "O3 (3.1 mm)" in fault.do
    wide = read_order_text(SIX + "[limits]\ngap = 0.25\n", schemas())
    assert "O3" in {s.label for s in plan_cutting([wanted(wide)], rack(O3, O1), seconds=0.2).slots}


def test_two_orders_of_two_readings_are_cut_from_the_sheet_that_each_follows():
    thick = (
        SIX.replace("[2.9, 2.92, 2.88]", "[3.1]").replace("h-six", "h-thick").replace("quantity = 6", "quantity = 2")
    )
    both = [read_order_text(text, schemas()) for text in (SIX, thick)]
    report = cut_orders(both, rack(C3, O1, O2, O3), seconds=0.5).report
    by_sheet = {s["stock"]: {p["order"] for p in s["placed"]} for s in report["cutting"]["sheets"]}
    assert by_sheet == {"O1": {"h-six"}, "O2": {"h-six"}, "O3": {"h-thick"}}


def by_hand(report: dict[str, Any]) -> Counter[tuple[str, float]]:
    """How many cuts at each setting, and that every setting is made once."""
    steps = report["cutting"]["steps"]
    made = Counter(("sled" if s["mode"] == "sled" else "fence", round(s["distance"], 2)) for s in steps)
    assert report["cutting"]["settings"] == len(made)
    assert not [f for f in report["findings"] if f["check"] == "cut group"]
    return made


@pytest.mark.parametrize("more", [(), (O3,)], ids=["rack-b", "rack"])
def test_six_boxes_are_cut_as_a_person_would(more):
    # plan by hand of the trial of 2026-11-28: 36 cuts at 4 settings, no cut group broken
    report = cut_orders([read_order_text(SIX, schemas())], rack(C3, O1, O2, *more)).report
    made = by_hand(report)
    wall = 80.0 + 2.9  # the height over the bottom's thickness
    assert made == {("fence", 125.8): 3, ("fence", 80.0): 3, ("sled", wall): 12, ("sled", 90.0): 18}


def test_six_boxes_from_a_full_sheet_leave_no_long_rest_for_one_piece():
    report = cut_orders([read_order_text(SIX, schemas())]).report
    assert len(by_hand(report)) == 6  # 4 and two factory edges
    rips = [s for s in report["cutting"]["steps"] if s["role"] == "strip" and s["mode"] in ("rip", "crosscut")]
    assert len(rips) == 3  # 18 of 125.8 mm fill two strips of 1210 mm, 12 of 80 mm one


def test_a_tall_column_has_no_size_cut_at_two_settings():
    # tall-choose of the trial at 6 mm: by hand 10 cuts at 6 settings, none broken
    text = SIX.replace("quantity = 6", "").replace("thickness = 3", "thickness = 6")
    text = text.replace("[2.9, 2.92, 2.88]", "[6]").replace("120, 90, 80", "200, 200, 500").replace("60", "500")
    report = cut_orders([read_order_text(text, schemas())]).report
    made = by_hand(report)
    assert (sum(made.values()), len(made)) == (10, 6)


def test_two_small_plates_do_not_ask_for_a_whole_sheet():
    # the starter's two plates of 50 mm are 0.17 % of a sheet of 12 mm, which weighs 43 kg
    report = cut_orders([order()]).report
    said = [f for f in report["findings"] if f["check"] == "buying"]
    assert [f["level"] for f in said] == ["note"]
    # 50 + 3 + 50 and a cut with 2 mm to spare at each end: 113 x 60
    assert said[0]["do"].startswith("order 1 x 12 mm cut to size 113 mm x 60 mm")
    assert "weighs 0.097 kg, against 43 kg for a sheet; no price is known" in said[0]["why"]
    plates = report["cutting"]["sheets"][1]
    assert (plates["size"], [p["part"] for p in plates["placed"]]) == ([113.0, 60.0], ["plate", "plate"])
    full = cut_orders([order()], rack(slot("C6", 700, 700), PLATES)).report["findings"]
    assert not [f for f in full if "cut to size" in f["do"]]


SOLD = """
[[stock]]
thickness = 12
size = [1000, 2000]
price = 700
[[stock]]
thickness = 12
size = [1000, 2000]
sold = "cut-to-size"
price = PRICE
"""


@pytest.mark.parametrize(
    ("price", "taken", "cost"),
    [
        ("500", "12 mm cut to size 113 mm x 60 mm", 3.39),  # of 0.00678 m2
        ("120000", "12 mm 1000 mm x 2000 mm", 700.0),  # 813.60 for the blank, 2 x 432 for two of 60 x 60 mm
    ],
)
def test_a_blank_is_taken_where_it_costs_less_than_the_sheet(tmp_path, price, taken, cost):
    (tmp_path / "shop.toml").write_text(SOLD.replace("PRICE", price))
    (tmp_path / "order.toml").write_text(START)
    sheets = cut_orders([read_order(tmp_path / "order.toml", schemas())]).report["cutting"]["sheets"]
    plates = [s for s in sheets if s["thickness"] == 12.0]
    assert [(s["stock"], round(s["price"], 2)) for s in plates] == [(taken, cost)]


def test_what_is_cut_to_size_without_a_price_is_compared_by_area(tmp_path):
    (tmp_path / "shop.toml").write_text(SOLD.replace("price = PRICE\n", ""))
    (tmp_path / "order.toml").write_text(START)
    said = cut_orders([read_order(tmp_path / "order.toml", schemas())]).report["findings"]
    assert ["no price is known: compared by area" in f["why"] for f in said if f["check"] == "buying"] == [True]
