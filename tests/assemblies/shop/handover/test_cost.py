"""The quote against sums done by hand, and as a bill: lines, totals and units must agree to the cent."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import design
from shop_orders import answers, examined, order

from assemblies.examine import begin
from assemblies.order.shop_file import read_shop
from assemblies.report.check import Checked
from assemblies.report.plain import plain
from assemblies.shop.bond.checks import BOND
from assemblies.shop.drill.checks import DRILL
from assemblies.shop.drill.sheet import drill_rows
from assemblies.shop.handover.checks import BUYING, COST
from assemblies.shop.handover.cost import Quote, quote
from assemblies.shop.handover.job import Drilled, Job, Part, Taken, job_of
from assemblies.shop.handover.tubes import TubeTaken
from assemblies.shop.plan.checks import PLAN
from assemblies.shop.stock.rates import rates_of
from parts.tables import load

RATES = rates_of()


def part(
    name: str,
    size: tuple[float, float, float],
    count: int,
    *,
    process: str = "saw",
    group: str = "a",
    material: str = "cast-pmma",
) -> Part:
    return Part(
        name=name,
        material=material,
        nominal_mm=size[2],
        size_mm=size[:2],
        count=count,
        process=process,
        cut_group=group,
    )


def two_panels() -> Job:
    return Job(quantity=1, parts=(part("wall", (1000.0, 500.0, 6.0), 2),), seams_mm=(500.0, 500.0))


def amounts(found: Quote) -> dict[str, float]:
    return {line.what: float(line.amount) for line in found.lines}


def test_a_quote_worked_by_hand():
    """Two panels of half a square metre in 6 mm and a metre of seam, at the rates of the table."""
    found = quote(two_panels(), RATES)
    assert amounts(found) == {
        "cast-pmma 6 mm, waste included": 67.50,  # 1 m2 x 1.25 x 6 mm x 9.00
        "set up the job": 22.50,  # 30 min at 45.00
        "cut: saw": 8.24,  # 5 + 4 x 1.5 = 11 min = 0.183 h
        "clean the edges": 3.02,  # 4 min = 0.067 h
        "tape and bond": 10.49,  # 2 x 4 + 6 = 14 min = 0.233 h
        "test and hand over": 33.75,
        "saw": 1.46,  # 0.183 h at 8.00
        "solvent, needle, tape": 0.60,
        "drills, blades, film, wipes": 3.38,  # 5 % of 67.50
        "margin": 22.64,  # 15 % of 150.94
    }
    assert found.total == Decimal("173.58")
    assert found.currency == "EUR"
    assert float(found.hours) == 0.5 + 0.183 + 0.067 + 0.233 + 0.75


def test_the_plan_of_the_saw_replaces_the_share_for_waste():
    sheets = (
        Taken(stock="C6", material="cast-pmma", thickness_mm=6.0, area_m2=2.0, price=95.0, back_m2=0.5),
        Taken(stock="D6", material="cast-pmma", thickness_mm=6.0, area_m2=0.5),
    )
    found = quote(replace(two_panels(), sheets=sheets, steps=7), RATES)
    assert amounts(found)["sheet 1: C6"] == 95.00
    assert amounts(found)["sheet 2: D6"] == 27.00  # 0.5 m2 x 54
    assert amounts(found)["offcuts of sheet 1 back on the rack"] == -9.50  # a quarter of 95.00, 40 % of it
    assert amounts(found)["cut: saw"] == pytest.approx(11.61)  # 5 + 7 x 1.5 = 15.5 min = 0.258 h
    assert found.basis == "sheets of the cutting plan"
    assert quote(two_panels(), RATES).basis.startswith("net area")


def test_holes_drilled_in_stacks_are_paid_once_a_load_and_taps_each():
    job = Job(quantity=1, parts=(part("p", (100.0, 100.0, 6.0), 8),))
    single, stacked = (
        amounts(quote(replace(job, drilled=(Drilled(count=8, loads=loads, holes=4, taps=4),)), RATES))
        for loads in (8, 2)
    )
    assert single["drill"] == 36.00  # 8 + 8 x 1 + 32 x 1 = 48 min
    assert stacked["drill"] == 13.50  # 8 + 2 x 1 + 8 x 1 = 18 min
    assert single["tap"] == stacked["tap"] == 48.02  # 64 min = 1.067 h
    assert "drill" not in amounts(quote(job, RATES))


def test_the_drill_sheet_of_a_design_feeds_the_quote():
    plan = replace(design(), quantity=3)
    found = amounts(quote(job_of(plan, "saw", drills=drill_rows(plan)), RATES))
    # 6 plates, blind holes, so 6 loads of 4: 8 + 6 + 24 = 38 min = 0.633 h; 24 taps = 48 min
    assert (found["drill"], found["tap"]) == (28.49, 36.00)


def test_router_and_laser_are_paid_by_length_or_by_the_nest():
    job = Job(quantity=1, parts=(part("p", (300.0, 200.0, 6.0), 5, process="laser"),))
    assert amounts(quote(job, RATES))["cut: laser"] == pytest.approx(11.25)  # 5 + 5 m x 2 = 15 min
    nested = replace(job, nests=(("laser", 12.5), ("laser", 2.5)))
    assert amounts(quote(nested, RATES))["cut: laser"] == pytest.approx(18.77)  # 2 x 5 + 15 = 25 min = 0.417 h
    unknown = replace(job, nests=(("laser", 12.5), ("router", None)))
    assert amounts(quote(unknown, RATES))["cut: laser"] == pytest.approx(11.25)  # of one nest no time is known


def test_steps_and_nests_are_charged_once_where_several_machines_cut():
    parts = (
        part("a", (300.0, 200.0, 6.0), 3), part("b", (300.0, 200.0, 3.0), 1, process="score-and-snap"),
        part("c", (300.0, 200.0, 6.0), 1, process="router"), part("d", (300.0, 200.0, 6.0), 1, process="laser"),
    )  # fmt: skip
    job = Job(quantity=1, parts=parts, steps=8, nests=(("router", 10.0), ("laser", 25.0)))
    lines = {line.what: float(line.quantity) for line in quote(job, RATES).lines if line.group == "labour"}
    assert lines["cut: saw"] == pytest.approx((5 + 6 * 1.5) / 60, abs=5e-4)  # 8 steps by pieces: 6 and 2
    assert lines["cut: score-and-snap"] == pytest.approx((5 + 2 * 1.5) / 60, abs=5e-4)
    assert lines["cut: router"] == 0.25
    assert lines["cut: laser"] == 0.5


sizes = st.floats(20, 1500).map(lambda v: round(v, 2))
panels = st.lists(
    st.builds(
        part, st.just("p"), st.tuples(sizes, sizes, st.sampled_from([3.0, 6.0, 12.0])), st.integers(1, 9),
        process=st.sampled_from(["saw", "router", "laser", "score-and-snap"]), group=st.sampled_from(["a", "b", ""]),
    ), min_size=1, max_size=6,
).map(tuple)  # fmt: skip
counts = st.integers(1, 9)
drilled = st.builds(Drilled, count=counts, loads=counts, holes=st.integers(1, 6), taps=st.integers(0, 6))


@given(panels, st.integers(1, 20), st.lists(sizes, max_size=5), st.lists(drilled, max_size=3).map(tuple))
def test_the_lines_add_up_to_the_cent_and_each_line_is_quantity_times_rate(parts, quantity, seams, holes):
    job = Job(quantity=quantity, parts=parts, seams_mm=tuple(seams), drilled=holes)
    found = plain(quote(job, RATES))
    cents = [Decimal(str(line["amount"])) for line in found["lines"]]
    assert sum(cents) == Decimal(str(found["total"]))
    assert sum(Decimal(str(v)) for v in found["totals"].values()) == Decimal(str(found["total"]))
    for line in found["lines"]:
        exact = Decimal(str(line["quantity"])) * Decimal(str(line["rate"]))
        assert abs(exact - Decimal(str(line["amount"]))) <= Decimal("0.005")
    assert found["each"] == pytest.approx(found["total"] / quantity, abs=0.005000001)
    assert all(line["amount"] >= 0 for line in found["lines"])


@given(panels, st.integers(1, 10))
def test_more_rigs_cost_more_in_all_and_less_each(parts, quantity):
    one, more = (
        quote(Job(quantity=n, parts=tuple(replace(p, count=p.count * n) for p in parts), seams_mm=(400.0,)), RATES)
        for n in (quantity, quantity + 1)
    )
    assert more.total > one.total
    assert more.each <= one.each + Decimal("0.02")  # each line is rounded to a cent


def own(tmp_path, text: str):
    file = tmp_path / "shop.toml"
    file.write_text(text)
    return rates_of(read_shop(file))


def test_the_shops_rates_replace_those_they_name_and_no_others(tmp_path):
    mine = own(tmp_path, 'currency = "USD"\n[rates]\nlabour = 60\ncast-pmma = 11.5\n')
    assert (mine.currency, mine["labour"], mine["cast-pmma"]) == ("USD", 60, Decimal("11.5"))
    assert {name for name in RATES.values if mine[name] != RATES[name]} == {"labour", "cast-pmma"}
    found = quote(two_panels(), mine)
    assert found.currency == "USD"
    assert found.rates == "shop.toml, 3 of 28 rates; the others are made-up defaults"
    assert amounts(found)["set up the job"] == 30.00


def test_all_rates_of_the_shop_s_own_are_not_called_invented(tmp_path):
    text = 'currency = "USD"\n[rates]\n' + "\n".join(f"{name} = {value}" for name, value in RATES.values.items())
    assert own(tmp_path, text).source == "shop.toml"


def test_every_rate_of_the_table_changes_some_quote():
    """A rate that nothing reads would be a lie in the user's file."""
    parts = (
        part("p", (300.0, 200.0, 6.0), 2, material="extruded-pmma"), part("q", (300.0, 200.0, 6.0), 2, process="laser"),
        part("r", (300.0, 200.0, 6.0), 2, process="router"),
        part("s", (300.0, 200.0, 3.0), 2, process="score-and-snap"),
    )  # fmt: skip
    tube = TubeTaken(what="tube", metres=0.5, price=None, section_cm2=20.0, count=1)
    job = Job(
        quantity=1, parts=parts, seams_mm=(500.0,), drilled=(Drilled(count=2, loads=2, holes=2, taps=2),), tubes=(tube,)
    )
    sheet = Taken(stock="A", material="cast-pmma", thickness_mm=3.0, area_m2=1.0, back_m2=0.25)
    planned = replace(job, sheets=(sheet,))
    before = quote(job, RATES).total, quote(planned, RATES).total
    for row in load("rates"):
        if row["rate"] == "currency":
            continue
        dearer = replace(RATES, values={**RATES.values, row["rate"]: RATES[row["rate"]] + 10})
        assert (quote(job, dearer).total, quote(planned, dearer).total) != before, row["rate"]


# ---- the check


def asked(*edits, plates=True, checks=(PLAN, DRILL, COST), **got):
    one = order(*edits)
    one = one if plates else one.model_copy(update={"plate": ()})
    return answers(one, begin(one).design, got, checks)


def test_the_cost_follows_the_plan_the_drill_sheets_and_once_it_is_known_the_fit():
    """The usual sheets carry no price, so each is its area by its thickness by the rate of the table."""
    made, rows = asked()
    assert list(rows) == ["cutting", "drill", "cost"]
    cost = plain(rows["cost"])
    lines = {line["what"]: line for line in cost["lines"]}
    for sheet in rows["cutting"]["sheets"]:
        line = lines[f"sheet {sheet['number']}: {sheet['stock']}"]
        w, h = sheet["size"]
        assert line["rate"] == pytest.approx(9.0 * sheet["thickness"])
        assert line["quantity"] == pytest.approx(w * h / 1e6, abs=5e-5)
    steps, holes = len(rows["cutting"]["steps"]), sum(len(one["holes"]) for one in rows["drill"])
    groups = len({p.cut_group or p.name for p in made.design.pieces})
    assert lines["cut: saw"]["quantity"] == pytest.approx((5 * groups + 1.5 * steps) / 60, abs=5e-4)
    assert holes == 4
    assert lines["tap"]["quantity"] == pytest.approx(2 * 2 * 4 / 60, abs=5e-4)  # two plates, two minutes a thread
    assert "tape and bond" not in lines
    found = examined()
    _, bonded = asked(fit=Checked(figures=found.fit))
    bond = {line["what"]: line for line in plain(bonded["cost"])["lines"]}["tape and bond"]
    metres = sum(s.seam.length_mm for s in found.fit.seams) / 1e3
    assert bond["quantity"] == pytest.approx((4 * len(found.fit.seams) + 6 * metres) / 60, abs=5e-4)


def test_nothing_is_quoted_where_a_piece_cannot_be_cut():
    made, rows = asked(("[300, 200, 150]", "[3300, 200, 150]"))
    assert made.got["plan"].state == "failed"
    assert any(f.level == "stop" for f in made.got["plan"].findings)
    assert "cost" not in rows
    assert made.got["cost"].state == "not-run"


def test_what_is_nested_is_paid_by_the_nests_minutes_and_its_sheets():
    _, rows = asked(('"saw"', '"laser"'), plates=False)
    lines = {line["what"]: line["quantity"] for line in plain(rows["cost"])["lines"] if line["group"] == "labour"}
    nests = rows["nesting"]["sheets"]
    spent = sum(5 + round(sheet["minutes"], 2) for sheet in nests)
    assert lines["cut: laser"] == pytest.approx(spent / 60, abs=5e-4)
    sheets = [line["what"] for line in plain(rows["cost"])["lines"] if line["group"] == "sheet"]
    assert sheets == [f"sheet {n}: {sheet['stock']}" for n, sheet in enumerate(nests, 1)]


def test_a_list_of_what_to_buy_waits_for_fit_and_bonding():
    made, rows = asked(checks=(BUYING,))
    assert (made.got["buying"].state, rows) == ("not-run", {})
    found = examined()
    got = {"fit": Checked(figures=found.fit), "apart": Checked(figures=found.exploded)}
    _, rows = asked(checks=(BOND, BUYING), **got)
    assert list(rows) == ["bonding", "buying"]
    assert plain(rows["buying"])["bonding"][0]["amount"] == plain(rows["bonding"])["amount"]["draw_mL"]
