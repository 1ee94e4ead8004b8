"""The order's [shop] table reaches the drill sheet, the bonding plan and the buying list."""

import pytest
from asked import ask
from starters import two_plates

from assemblies.kinds import schemas
from assemblies.order import Order, OrderError, read_order_text


def order(*lines: str) -> Order:
    text = two_plates() + ("\n[shop]\n" + "\n".join(lines) + "\n" if lines else "")
    return read_order_text(text, schemas())


def test_the_vise_turns_half_an_inch_into_four_turns() -> None:
    # common practice, no source: eight turns to the inch; the plate's first hole lies 12.5 mm in from both edges
    report = ask(order("turns-per-inch = 8")).report
    hole = report["drill"][0]["holes"][0]
    assert hole["at"] == [12.5, 12.5]
    turns = hole["x_handle"]["turns"] + hole["x_handle"]["divisions"] / 125
    assert turns == pytest.approx(12.5 / 25.4 * 8, abs=0.5 / 125)


def test_a_stated_solvent_and_room_replace_the_assumed_ones() -> None:
    assumed = ask(order()).report["bonding"]
    stated = ask(order('solvent = "dichloromethane"', "room = 120", "air-changes = 6")).report["bonding"]
    assert assumed["solvent"]["stated"] is None
    assert stated["solvent"]["stated"] == "dichloromethane"
    assert (stated["air"]["room_m3"], stated["air"]["air_changes_h"]) == (120.0, 6.0)
    assert stated["air"]["worst"]["times_limit"] < assumed["air"]["worst"]["times_limit"]


def test_what_is_clamped_lengthens_the_bolts() -> None:
    lengths = [ask(order(f"clamped = {mm}")).report["buying"]["bolts"][0]["length"] for mm in (3, 12)]
    assert lengths[1] - lengths[0] >= 5


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (("turns-per-inch = 8", "mm-per-turn = 4"), "one of them"),
        (('solvent = "soup"',), "soup"),
        (("dial = 0",), "dial"),
        (("room = -1",), "room"),
    ],
)
def test_a_shop_that_cannot_be_is_refused(lines: tuple[str, ...], says: str) -> None:
    with pytest.raises(OrderError) as refused:
        ask(order(*lines))
    assert says in str(refused.value)
    assert "shop" in str(refused.value)
