"""The shop, said once: found beside the order or above it, the order's own words before it, every fault named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from asked import ask
from click.testing import CliRunner

from assemblies.cli import cli
from assemblies.kinds import schemas, starter
from assemblies.order import OrderError, read_order
from assemblies.order.shop_file import read_shop
from assemblies.shop.plan.plan import CuttingPlan

SHOP = """units = "mm"
currency = "SEK"
[shop]
fence = 500
sled = 250
throat = 10
paper = "letter"
projection = "third"
turns-per-inch = 8
[saw]
kerf = 2.2
tolerance = 0.4
[router]
kerf = 4
[rates]
labour = 600
[[stock]]
material = "cast-pmma"
thickness = 6
size = [1000, 2000]
price = 1200
[[stock]]
thickness = 12
size = [1000, 2000]
sold = "quarter"
price = 700
"""


@pytest.fixture
def show(tmp_path: Path) -> Path:
    (tmp_path / "shop.toml").write_text(SHOP)
    (tmp_path / "jobs" / "wave").mkdir(parents=True)
    order = tmp_path / "jobs" / "wave" / "order.toml"
    order.write_text(starter("tank"))
    return order


def test_the_nearest_file_above_is_used_and_named(show: Path) -> None:
    order = read_order(show, schemas())
    assert order.shop_file.said == "../../shop.toml"
    assert (order.shop.fence, order.shop.paper, order.shop.projection) == (500.0, "letter", "third")
    (show.parent / "shop.toml").write_text("[shop]\nfence = 900\n")
    assert read_order(show, schemas()).shop.fence == 900.0
    assert read_order(show, schemas(), show.parents[2] / "shop.toml").shop.fence == 500.0


def test_without_a_file_nothing_changes(tmp_path: Path) -> None:
    order = tmp_path / "order.toml"
    order.write_text(starter("tank"))
    read = read_order(order, schemas())
    assert read.shop_file.said == ""
    assert "shop_file" not in ask(read, "cut").report


def test_the_order_s_own_words_go_before_the_shop_s(show: Path) -> None:
    text = show.read_text()
    assert "tolerance  = 0.25" in text
    order = read_order(show, schemas())
    assert (order.cutting.kerf, order.cutting.tolerance) == (2.2, 0.25)  # the starter gives its own tolerance
    assert order.process_row("router")["kerf_mm"] == "4.0"
    assert order.process_row("laser")["kerf_mm"] == "0.2"
    show.write_text(text + '\n[shop]\nfence = "700 mm"\nmm-per-turn = 2\n')
    order = read_order(show, schemas())
    assert (order.shop.fence, order.shop.sled) == (700.0, 250.0)
    assert (order.shop.mm_per_turn, order.shop.turns_per_inch) == (2.0, None)  # one screw has one pitch


def test_sheets_reach_rates_and_throat_come_from_it(show: Path) -> None:
    found = ask(read_order(show, schemas()), "cut")
    plan = found.made.need(CuttingPlan)
    assert {(s.width_mm, s.height_mm, s.price) for s in plan.slots} == {
        (1000.0, 2000.0, 1200.0),
        (500.0, 1000.0, 700.0),
    }
    assert plan.saw is not None
    assert all(shop.reach_mm == 500.0 and shop.sled_mm == 250.0 for shop in plan.saw.shops)
    assert found.report["cost"]["currency"] == "SEK"
    assert next(line for line in found.report["cost"]["lines"] if line["what"] == "set up the job")["rate"] == 600
    (throat,) = [f for f in found.report["findings"] if "the press reaches 10 mm" in f["why"]]
    assert throat["where"] == "plate"
    assert found.report["shop_file"] == "../../shop.toml"


def test_the_packet_says_which_file_was_used(show: Path) -> None:
    done = CliRunner().invoke(cli, ["fit", str(show), "--sizes-only", "--json"])
    assert json.loads(done.stdout)["shop_file"] == "../../shop.toml"
    assert "Shop file: ../../shop.toml." in done.stderr


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("fence = 500", "fense = 500", 'shop.toml:4: shop.fense: unknown key (did you mean "fence"?)'),
        ("labour = 600", "labor = 600", 'shop.toml:16: rates.labor: unknown rate (did you mean "labour"?)'),
        ("labour = 600", 'labour = "600"', "rates.labour: '600' is not a number; allowed: a number from 0 to 1000000"),
        ("labour = 600", "labour = -1", "rates.labour: -1 is out of range"),
        ('"SEK"', '"kronor of Sweden"', "currency: 'kronor of Sweden' is not a currency"),
        ("kerf = 2.2", "kerf = 2,2", "shop.toml:11: saw.kerf: 2,2 has a decimal comma; allowed: a decimal point: 2.2"),
        ('"quarter"', '"third"', "stock[2].sold: 'third' is not allowed here"),
        ("turns-per-inch = 8", "dial = 100", "shop.dial: a dial without the pitch of its screw"),
        ('currency = "SEK"', 'rack = "none.toml"', "rack: no such stock file: none.toml"),
    ],
)
def test_every_fault_is_named_with_file_line_and_key(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert old in SHOP
    path = tmp_path / "shop.toml"
    path.write_text(SHOP.replace(old, new, 1))
    with pytest.raises(OrderError) as caught:
        read_shop(path)
    assert says in str(caught.value)


@pytest.mark.parametrize("uncommented", [False, True])
def test_the_starters_run_as_they_are_and_uncommented(tmp_path: Path, uncommented: bool) -> None:
    """Each extra of the shop file at once: they do not contradict one another."""
    for what in ("shop", "rack"):
        text = CliRunner().invoke(cli, ["start", what]).stdout
        if uncommented:
            text = "\n".join(
                line.removeprefix("# ") if "=" in line or "[[" in line else line for line in text.split("\n")
            )
        (tmp_path / f"{what}.toml").write_text(text)
    order = tmp_path / "order.toml"
    order.write_text(starter("tank"))
    done = CliRunner().invoke(cli, ["cut", str(order), "--seconds", "0"])
    assert done.exit_code in (0, 1), done.output
    assert (("The rack afterwards:" in done.output) or "rack.toml was left as it is" in done.output) is uncommented
    if uncommented:
        assert read_shop(tmp_path / "shop.toml").shop.model_fields_set == {
            "held", "throat", "spindle_max", "mm_per_turn", "dial", "fence", "sled", "by_hand", "paper", "projection",
            "solvent", "room", "air_changes",
        }  # fmt: skip
