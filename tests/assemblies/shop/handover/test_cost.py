"""The quote against sums done by hand, and as a bill: lines, totals and units must agree to the cent."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from samples import design

from assemblies.report.base import base_report
from assemblies.shop.drill.rows import drill_section
from assemblies.shop.drill.sheet import drill_rows
from assemblies.shop.handover.cost import quote
from assemblies.shop.stock.rates import RatesError, default_rates, read_rates
from parts.tables import load

RATES = default_rates()


def part(
    name: str,
    size: tuple[float, float, float],
    count: int,
    *,
    holes: int = 0,
    process: str | None = None,
    group: str = "a",
) -> dict[str, Any]:
    return {
        "part": name, "size": list(size), "count": count, "process": process, "cut_group": group,
        "sheet": {"material": "cast-pmma", "nominal": size[2], "thickness": size[2]},
        "holes": [{"thread": "M6"}] * holes,
    }  # fmt: skip


def two_panels(quantity: int = 1) -> dict[str, Any]:
    return {
        "parts": [part("wall", (1000.0, 500.0, 6.0), 2)], "quantity": quantity,
        "fit": {"seams": [{"length": 500.0}, {"length": 500.0}]},
    }  # fmt: skip


def amounts(found: dict[str, Any]) -> dict[str, float]:
    return {line["what"]: line["amount"] for line in found["lines"]}


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
    assert found["total"] == 173.58
    assert found["currency"] == "EUR"
    assert found["hours"] == 0.5 + 0.183 + 0.067 + 0.233 + 0.75


def test_the_plan_of_the_saw_replaces_the_share_for_waste():
    plan = two_panels()
    plan["cutting"] = {
        "sheets": [
            {"stock": "C6", "size": [1000.0, 2000.0], "thickness": 6.0, "price": 95.0, "offcuts": [{"size": [500.0, 1000.0]}]},
            {"stock": "D6", "size": [500.0, 1000.0], "thickness": 6.0},
        ],
        "steps": [{}] * 7,
    }  # fmt: skip
    found = quote(plan, RATES)
    assert amounts(found)["sheet 1: C6"] == 95.00
    assert amounts(found)["sheet 2: D6"] == 27.00  # 0.5 m2 x 54
    assert amounts(found)["offcuts of sheet 1 back on the rack"] == -9.50  # a quarter of 95.00, 40 % of it
    assert amounts(found)["cut: saw"] == pytest.approx(11.61)  # 5 + 7 x 1.5 = 15.5 min = 0.258 h
    assert found["basis"] == "sheets of the cutting plan"
    assert quote(two_panels(), RATES)["basis"].startswith("net area")


def test_holes_drilled_in_stacks_are_paid_once_a_load_and_taps_each():
    report = {"parts": [part("p", (100.0, 100.0, 6.0), 8, holes=4)], "quantity": 1}
    single = amounts(quote(report, RATES))
    stacked = amounts(quote({**report, "drill": [{"loads": 2, "count": 8, "holes": [{"thread": "M6"}] * 4}]}, RATES))
    assert single["drill"] == 36.00  # 8 + 8 x 1 + 32 x 1 = 48 min
    assert stacked["drill"] == 13.50  # 8 + 2 x 1 + 8 x 1 = 18 min
    assert single["tap"] == stacked["tap"] == 48.02  # 64 min = 1.067 h


def test_the_drill_sheet_of_a_design_feeds_the_quote():
    plan = replace(design(), quantity=3)
    report = {**base_report(plan), "drill": drill_section(drill_rows(plan))}
    found = amounts(quote(report, RATES))
    # 6 plates, blind holes, so 6 loads of 4: 8 + 6 + 24 = 38 min = 0.633 h; 24 taps = 48 min
    assert (found["drill"], found["tap"]) == (28.49, 36.00)


def test_router_and_laser_are_paid_by_length_or_by_the_nest():
    report = {"parts": [part("p", (300.0, 200.0, 6.0), 5, process="laser")], "quantity": 1}
    assert amounts(quote(report, RATES))["cut: laser"] == pytest.approx(11.25)  # 5 + 5 m x 2 = 15 min
    nested = {**report, "nesting": {"sheets": [{"minutes": 12.5}, {"minutes": 2.5}]}}
    assert amounts(quote(nested, RATES))["cut: laser"] == pytest.approx(18.77)  # 2 x 5 + 15 = 25 min = 0.417 h
    assert "cut: laser" in amounts(quote({**report, "parts": [part("p", (300.0, 200.0, 6.0), 5)]}, RATES, "laser"))


def test_steps_and_nests_are_charged_once_where_several_machines_cut():
    parts = [
        part("a", (300.0, 200.0, 6.0), 3), part("b", (300.0, 200.0, 3.0), 1, process="score-and-snap"),
        part("c", (300.0, 200.0, 6.0), 1, process="router"), part("d", (300.0, 200.0, 6.0), 1, process="laser"),
    ]  # fmt: skip
    nests = [{"process": "router", "minutes": 10.0}, {"process": "laser", "minutes": 25.0}]
    report = {"parts": parts, "quantity": 1, "cutting": {"sheets": [], "steps": [{}] * 8}, "nesting": {"sheets": nests}}
    lines = {line["what"]: line["quantity"] for line in quote(report, RATES)["lines"] if line["group"] == "labour"}
    assert lines["cut: saw"] == pytest.approx((5 + 6 * 1.5) / 60, abs=5e-4)  # 8 steps by pieces: 6 and 2
    assert lines["cut: score-and-snap"] == pytest.approx((5 + 2 * 1.5) / 60, abs=5e-4)
    assert lines["cut: router"] == 0.25
    assert lines["cut: laser"] == 0.5


sizes = st.floats(20, 1500).map(lambda v: round(v, 2))
panels = st.lists(
    st.builds(
        part, st.just("p"), st.tuples(sizes, sizes, st.sampled_from([3.0, 6.0, 12.0])), st.integers(1, 9),
        holes=st.integers(0, 6), process=st.sampled_from([None, "saw", "router", "laser", "score-and-snap"]),
        group=st.sampled_from(["a", "b", ""]),
    ), min_size=1, max_size=6,
)  # fmt: skip


@given(panels, st.integers(1, 20), st.lists(sizes, max_size=5))
def test_the_lines_add_up_to_the_cent_and_each_line_is_quantity_times_rate(parts, quantity, seams):
    report = {"parts": parts, "quantity": quantity, "fit": {"seams": [{"length": s} for s in seams]}}
    found = quote(report, RATES)
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
    report = {"parts": parts, "fit": {"seams": [{"length": 400.0}]}}
    one, more = (quote({**report, "quantity": n}, RATES) for n in (quantity, quantity + 1))
    assert more["total"] > one["total"]
    assert more["each"] <= one["each"] + 0.02  # each line is rounded to a cent


def own(tmp_path, text: str | bytes):
    file = tmp_path / "rates.toml"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_rates(file)


def test_the_users_rates_replace_those_they_name_and_no_others(tmp_path):
    mine = own(tmp_path, b'\xef\xbb\xbfcurrency = "USD"\r\nlabour = 60\r\ncast-pmma = 11.5\r\n')
    assert (mine.currency, mine["labour"], mine["cast-pmma"]) == ("USD", 60, Decimal("11.5"))
    assert {name for name in RATES.values if mine[name] != RATES[name]} == {"labour", "cast-pmma"}
    found = quote(two_panels(), mine)
    assert found["currency"] == "USD"
    assert found["rates"] == "rates.toml, 3 of 26 rates; the others are invented defaults"
    assert amounts(found)["set up the job"] == 30.00


def test_all_rates_of_the_users_own_are_not_called_invented(tmp_path):
    text = 'currency = "USD"\n' + "\n".join(f"{name} = {value}" for name, value in RATES.values.items())
    assert own(tmp_path, text).source == "rates.toml"


def test_every_fault_of_a_rates_file_is_said_with_its_line(tmp_path):
    text = 'labor = 60\nsaw = "8"\nhole = -1\ntap = nan\ncurrency = ""\ncut = true\nseam = 99999999999999999999\n'
    text += "[load]\nx = 1\n"
    with pytest.raises(RatesError) as caught:
        own(tmp_path, text)
    said = [line.removeprefix(str(tmp_path)) for line in str(caught.value).splitlines()]
    assert said == [
        '/rates.toml:1: labor: unknown rate (did you mean "labour"?); allowed: those of the table rates',
        "/rates.toml:2: saw: '8' is no number; allowed: a number of 0 to 1000000",
        "/rates.toml:3: hole: -1 is out of range; allowed: a number of 0 to 1000000",
        "/rates.toml:4: tap: nan is out of range; allowed: a number of 0 to 1000000",
        "/rates.toml:5: currency: '' is no currency; allowed: a word of 1 to 8 characters",
        "/rates.toml:6: cut: true is no number; allowed: a number of 0 to 1000000",
        "/rates.toml:7: seam: a number of many digits is out of range; allowed: a number of 0 to 1000000",
        "/rates.toml:8: load: a table is no number; allowed: a number of 0 to 1000000",
    ]


@pytest.mark.parametrize(
    ("raw", "said"),
    [(b"labour = ", "is not TOML"), (b"\xff", "is not UTF-8"), (b"# " + b"x" * 70_000, "too large"),
     (b"labour = " + b"9" * 5000, "thousands of digits")],
)  # fmt: skip
def test_what_is_no_rates_file_is_refused(tmp_path, raw, said):
    with pytest.raises(RatesError, match=said):
        own(tmp_path, raw)


def test_a_folder_and_a_file_that_is_not_there_are_refused(tmp_path):
    with pytest.raises(RatesError, match="not a regular file"):
        read_rates(tmp_path)
    with pytest.raises(RatesError, match="cannot be opened: No such file"):
        read_rates(tmp_path / "none.toml")


def test_every_rate_of_the_table_changes_some_quote():
    """A rate that nothing reads would be a lie in the user's file."""
    report = {
        "parts": [
            part("p", (300.0, 200.0, 6.0), 2, holes=2), part("q", (300.0, 200.0, 6.0), 2, process="laser"),
            part("r", (300.0, 200.0, 6.0), 2, process="router"), part("s", (300.0, 200.0, 3.0), 2, process="score-and-snap"),
        ],
        "quantity": 1, "fit": {"seams": [{"length": 500.0}]},
    }  # fmt: skip
    report["parts"][0]["sheet"]["material"] = "extruded-pmma"
    sheet = {"stock": "A", "size": [1000.0, 1000.0], "thickness": 3.0, "offcuts": [{"size": [500.0, 500.0]}]}
    planned = {**report, "cutting": {"sheets": [sheet]}}
    before = quote(report, RATES)["total"], quote(planned, RATES)["total"]
    for row in load("rates"):
        if row["rate"] == "currency":
            continue
        dearer = replace(RATES, values={**RATES.values, row["rate"]: RATES[row["rate"]] + 10})
        assert (quote(report, dearer)["total"], quote(planned, dearer)["total"]) != before, row["rate"]
