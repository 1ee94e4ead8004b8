"""The quick-release plate under a round tank: the parts of the rectangular tank's, what is refused, the demo."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from asked import ask

from assemblies.design.model import Design
from assemblies.kinds import kind, schemas
from assemblies.order import OrderError, read_order_text

COLUMN = (Path(__file__).parents[3] / "orders" / "lift-off-column.toml").read_text(encoding="utf-8")
QUICK = 'style = "quick-release"'
RELEASE = f"{QUICK}\n[plate.release]\n"
DRAIN = '[round-tank.drain]\nat = [66, 0]\nthread = "G 1/4"\nboss = 54\nthickness = 20\n'
MOTOR = '[round-tank.motor]\npattern = "NEMA 23"\nmass = 0.7\nboss = 70\n'
FLANGE = "[round-tank.flange]\noutside = 270\ncircle = 240\n"


def edited(*edits: tuple[str, str]) -> str:
    made = COLUMN
    for old, new in edits:
        assert old in made, old
        made = made.replace(old, new, 1)
    return made


def built(*edits: tuple[str, str]) -> Design:
    return kind("round-tank").build(read_order_text(edited(*edits), schemas()))


@cache
def column() -> Any:
    return ask(read_order_text(COLUMN, schemas()))


def test_the_column_holds_in_its_shoe_and_stands_in_every_list() -> None:
    report = column().report
    states = {name: checked.state for name, checked in column().made.got.items()}
    assert {states[name] for name in ("strength", "liquid", "quick-release")} == {"passed"}
    assert [f for f in column().made.findings if f.level == "stop"] == []
    assert {"base and plate-1", "tube and base"} == {row["seam"] for row in report["strength"]["seams"]}
    assert {"slide", "shoe", "jaw-fixed", "jaw-clamped"} <= {sheet["part"] for sheet in report["drill"]}
    (other,) = report["counterparts"]
    assert (tuple(other["plates"]), len(other["holes"])) == (("shoe-1",), 6)
    bought = {one["item"].split(",")[0]: one["amount"] for one in report["buying"]["parts"]}
    assert bought["ball lock pin 6 mm"] == 2
    (row,) = report["releases"]
    assert all(0.0 < use["use"] <= 1.0 for use in row["uses"])


def test_the_plate_is_under_the_middle_and_its_strip_has_the_rectangular_tanks_sizes() -> None:
    """Wide = 90 + 2 x 11.85 / tan 60, as under a rectangular tank of this plate."""
    design = built()
    (one,) = design.releases
    assert design.instance("plate-1").box[0][:2] == (-75.0, -45.0)
    assert design.instance("plate-1").box[1][2] == pytest.approx(0.0)
    assert one.sizes.wide == pytest.approx(90.0 + 2.0 * 11.85 / 3.0**0.5)
    assert one.on_strip(one.reach, 0.0)[0] - one.pin / 2.0 > 200.0 / 2.0  # a hand gets at the pins from above


def test_a_turn_is_not_covered_and_a_move_in_acrylic_is_a_stop() -> None:
    spin = '\n[[case]]\nname = "whirl"\nkind = "spin"\nspeed = "60 rpm"\nramp = "30 s"\nguard = true\noff-centre = "0.5 mm"\n'
    metal = (
        (QUICK, f'{RELEASE}shoe = "steel"\nrated = 900'),
        ('kind = "plates"', 'kind = "plates"\nretention = "lanyard"'),
    )
    whirled = ask(read_order_text(edited(*metal) + spin, schemas()))
    assert whirled.made.got["quick-release"].state == "not-covered"
    acrylic = ask(read_order_text(COLUMN + spin, schemas()))
    assert acrylic.made.got["quick-release"].state == "failed"


WRONG: dict[str, tuple[tuple[tuple[str, str], ...], tuple[str | int, ...], str]] = {
    "a bolted plate": (((QUICK, 'style = "bonded"'),), ("plate", 0, "style"), "flange"),
    "no style": (((QUICK, ""),), ("plate", 0, "style"), "flange"),
    "on the wall": ((('on = "bottom"', 'on = "left"'),), ("plate", 0, "on"), "round"),
    "beside the middle": (((("at = [0, 0]"), "at = [20, 0]"),), ("plate", 0, "at"), "hang over"),
    "at two places": ((("at = [0, 0]", "at = [[0, 0], [20, 0]]"),), ("plate", 0, "at"), "one plate"),
    "past the base": ((("[150, 90]", "[190, 90]"),), ("plate", 0, "size"), "past a base"),
    "a flange besides": ((("[liquid]", f"{FLANGE}[liquid]"),), ("round-tank", "flange"), "nothing to bolt"),
    "an inset base": ((('depth = 220', 'depth = 220\nbase = "inset"'),), ("round-tank", "base"), "hang in its seam"),
    "standing flat": ((('kind = "plates"', 'kind = "flat"'),), ("support", "kind"), "stands on its plate"),
    "a drain over the shoe": ((("[liquid]", f"{DRAIN}[liquid]"),), ("round-tank", "drain"), "in the way"),
    "a motor over the shoe": ((("[liquid]", f"{MOTOR}[liquid]"),), ("round-tank", "motor"), "in the way"),
    "a strip that jams": (((QUICK, f"{RELEASE}clearance = 0.1"),), ("release", "clearance"), "jams"),
    "a steep flank": (((QUICK, f"{RELEASE}angle = 80"),), ("release", "angle"), "45"),
    "bolts through": ((('"tapped"', '"through"'),), ("plate", 0, "holes"), "no bolts"),
    "a throw": (
        ((QUICK, f'{QUICK}\n[[case]]\nname = "up"\nkind = "throw"\nbore = 32\npressure = "4 bar"\nstroke = 90\nguard = true'),),
        ("plate", 0, "style"), "is a throw",
    ),
    "too many pins": (((QUICK, f"{RELEASE}pins = 4"),), ("release", "pins"), "at most"),
    "a pattern off the base": ((('"grid 40 3x2"', '"grid 200 3x2"'),), ("plate", 0, "pattern"), "pattern"),
    "two tables": ((("[[plate]]", '[[plate]]\non = "bottom"\nat = [0, 0]\nsize = [80, 60]\nthickness = 12\nthread = "M6"\n'
                     'pattern = "grid 40 2x1"\nstyle = "quick-release"\n[[plate]]'),), ("plate", 1), "one plate"),
}  # fmt: skip


@pytest.mark.parametrize("which", WRONG)
def test_a_wrong_order_is_refused_at_its_key(which: str) -> None:
    edits, key, says = WRONG[which]
    with pytest.raises(OrderError) as caught:
        built(*edits)
    assert any(p.key[-len(key) :] == key and says in str(p) for p in caught.value.problems), str(caught.value)
