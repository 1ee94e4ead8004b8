"""Tube by length: on the list to buy, on the quote, by the shop's own price or a made-up one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from samples import design, flat

from assemblies.design.model import Placed
from assemblies.kinds import schemas, starter
from assemblies.order import OrderError, ShopFile, read_order_text
from assemblies.order.files import read_table
from assemblies.shop.handover.checks import named_tube
from assemblies.shop.handover.cost import quote
from assemblies.shop.handover.job import Job, job_of
from assemblies.shop.handover.tubes import tube_lengths, tubes_taken
from assemblies.shop.stock.rates import rates_of
from parts.shape.outline import Circle
from parts.shape.piece import Pocket
from parts.shape.tube import sawn_tube
from parts.stock.tube import TubeStock

READ = TubeStock(material="cast-pmma", outside_mm=199.93, wall_mm=5.02)
NAMED = TubeStock(material="cast-pmma", outside_mm=200.0, wall_mm=5.0)
BASE = replace(
    flat("base", Circle(120.0, 120.0, 120.0), thickness_mm=10.0, kind="disc"),
    pockets=(Pocket(outline=Circle(120.0, 120.0, 100.4), depth_mm=2.5, islands=(Circle(120.0, 120.0, 94.5),)),),
)  # fmt: skip
TWO = design(*(Placed(name=f"tube-{k}", piece=sawn_tube("tube", READ, 594.0), origin=(0.0, 0.0, 700.0 * k)) for k in range(2)),
             Placed(name="base", piece=BASE, origin=(0.0, 0.0, -50.0)))  # fmt: skip


def shop(text: str) -> ShopFile:
    return read_table(text, "shop.toml", ShopFile)


def lines(job: Job) -> dict[str, tuple[Decimal, Decimal, Decimal]]:
    return {line.what: (line.quantity, line.rate, line.amount) for line in quote(job, rates_of()).lines}


def test_a_tube_is_bought_with_a_cut_at_each_end() -> None:
    """By hand: two of 594 mm and twice 3 mm of kerf each."""
    (one,) = tube_lengths(TWO)
    assert (one.count, one.length, one.buy) == (2, 594.0, pytest.approx(1200.0))
    (taken,) = tubes_taken(TWO, shop(""), NAMED)
    assert (taken.what, taken.metres, taken.price) == ("cast-pmma 200 x 5 mm", pytest.approx(1.2), None)
    assert taken.section_cm2 == pytest.approx(math.pi * 195.0 * 5.0 / 100.0)


@pytest.mark.parametrize(
    ("text", "metres", "price"),
    [
        ('[[tube]]\nmaterial = "cast-pmma"\noutside = 200\nwall = 5\nprice = 64\n', 1.2, 64.0),
        ('[[tube]]\nmaterial = "cast-pmma"\noutside = 200\nwall = 5\nlength = 1000\nprice = 64\n', 2.0, 64.0),
        ('[[tube]]\nmaterial = "cast-pmma"\noutside = 200\nwall = 5\nlength = 1.2e3\nprice = 64\n', 1.2, 64.0),
        ('[[tube]]\nmaterial = "extruded-pmma"\noutside = 200\nwall = 5\nprice = 64\n', 1.2, None),
        ('[[tube]]\nmaterial = "cast-pmma"\noutside = 200\nwall = 6\nprice = 64\n', 1.2, None),
    ],
)
def test_the_shop_says_its_price_and_how_it_is_sold(text: str, metres: float, price: float | None) -> None:
    """Whole tubes of a metre give one piece each; one of 1.2 m gives both; another material or wall is another tube."""
    (taken,) = tubes_taken(TWO, shop(text), NAMED)
    assert (taken.metres, taken.price) == (pytest.approx(metres), price)


def test_the_quote_has_the_tube_and_its_lathe_work() -> None:
    """By hand at the table's rates: 1.2 m of 30.631 cm2 at 1.60; sawing 5 + 2 x (1.5 + 2 x 10) min; one groove of 10 min."""
    job = job_of(TWO, "router", tubes=tubes_taken(TWO, shop(""), NAMED))
    found = lines(job)
    assert found["cast-pmma 200 x 5 mm"] == (Decimal("1.2"), Decimal("1.60") * Decimal("30.631"), Decimal("58.81"))
    assert found["saw and square tube"][0] == Decimal("0.800")
    assert found["turn grooves"][0] == Decimal("0.167")
    said = shop('[[tube]]\nmaterial = "cast-pmma"\noutside = 200\nwall = 5\nprice = 64\n')
    own = job_of(TWO, "router", tubes=tubes_taken(TWO, said, NAMED))
    assert lines(own)["cast-pmma 200 x 5 mm"][2] == Decimal("76.80")
    assert quote(own, rates_of()).totals["tube"] == Decimal("76.80")


WRONG: Mapping[str, tuple[str, str]] = {
    "no price": ("outside = 200\nwall = 5\n", "price"),
    "a price below nothing": ("outside = 200\nwall = 5\nprice = -1\n", "price"),
    "no wall": ("outside = 200\nprice = 6\n", "wall"),
    "a length of nothing": ("outside = 200\nwall = 5\nprice = 6\nlength = 0\n", "length"),
    "steel": ('material = "steel"\noutside = 200\nwall = 5\nprice = 6\n', "material"),
    "a bore": ("outside = 200\ninside = 190\nwall = 5\nprice = 6\n", "inside"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_tubes_of_a_shop_file_are_refused_at_their_place(what: str) -> None:
    text, key = WRONG[what]
    with pytest.raises(OrderError, match=f"tube.*{key}"):
        shop(f"[[tube]]\n{text}")


def test_a_design_of_no_kind_of_ours_has_no_named_tube() -> None:
    """An assembler's order has no table of its kind: its quote must not ask for one."""
    order = read_order_text(starter("panels"), schemas())
    order._tables = {}
    assert named_tube(order) is None
    assert named_tube(read_order_text(starter("round-tank"), schemas())) == NAMED
