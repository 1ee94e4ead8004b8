"""A tube rolled hot from sheet: its blank, where that is cut, how it is rolled, what its seam along bears."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest
from asked import ask
from round_orders import START, built, with_keys

from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.order import OrderError, read_order_text
from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.proof.figures import Strength
from assemblies.strength.proof.loads import Loads
from assemblies.strength.round.aside import stood
from assemblies.strength.round.checks import round_tank_of
from assemblies.strength.round.prove import bent

ROLLED = with_keys(START, "", "[round-tank.rolled]\n")


@pytest.fixture(scope="module")
def asked() -> Examined:
    return ask(read_order_text(ROLLED, schemas()))


def test_the_blank_is_the_middle_of_the_wall_laid_flat_with_trim_and_shrinkage() -> None:
    """By hand: pi (199.933 - 5) = 612.40 round, 300 along, 15 mm on each edge, 2 % lost when first heated."""
    tube = built(ROLLED).instance("tube").piece
    cut = tube.as_cut
    assert cut is not None
    assert cut.name == "tube-blank"
    assert cut.size_mm[:2] == pytest.approx(((math.pi * 194.9333 + 30.0) / 0.98, 330.0 / 0.98), rel=1e-6)
    assert cut.sheet.thickness_mm == pytest.approx(5.0)
    more = with_keys(START, "", '[round-tank.rolled]\ngap = 0.05\ntrim = 0\nshrinkage = ["1 %", "0 %"]\n')
    other = built(more).instance("tube").piece.as_cut
    assert other.size_mm[:2] == pytest.approx(((math.pi * 194.9333 - 0.05) / 0.99, 300.0), rel=1e-6)
    assert built(START).instance("tube").piece.as_cut is None


def test_the_blank_is_cut_bought_and_paid_as_sheet_and_no_tube_is_bought(asked: Examined) -> None:
    report = asked.report
    placed = [(s["thickness"], p["name"]) for s in report["nesting"]["sheets"] for p in s["placed"]]
    assert [thick for thick, name in placed if name == "tube"] == [pytest.approx(5.0)]
    assert report["tubes"] == []
    sheets = {row["thickness"]: row for row in report["buying"]["sheets"]}
    assert sheets[5.0]["net_mm2"] == pytest.approx((math.pi * 194.9333 + 30.0) / 0.98 * 330.0 / 0.98, rel=1e-6)
    assert any("5 mm" in line["what"] for line in report["cost"]["lines"] if line["group"] == "sheet")


def test_it_is_rolled_round_its_bore_and_read_before_anything_is_turned_to_it(asked: Examined) -> None:
    roll = asked.report["rolling"]
    assert (roll["drum"], roll["round"]) == (pytest.approx(189.9333, abs=1e-3), pytest.approx(612.40, abs=0.01))
    assert 5.0 < roll["minutes_least"] < roll["minutes"] < roll["minutes_most"] < 20.0
    said = " ".join(roll["steps"])
    for words in ("dry the sheet", "drum 189.9 mm", "612.4 mm round", "Anneal it on the drum before solvent", "peak"):
        assert words in said, words
    assert any(f.check == "roll" and "sample" in f.do for f in asked.made.findings)


def test_the_seam_along_bears_the_hoop_and_its_lever(asked: Examined) -> None:
    """By hand: hoop about the middle, six times half a millimetre over the wall of it more by bending (M = N e), with 0.4 of
    the sheet's strength; pressure by radius over wall is its measure."""
    loads = asked.made.of(Loads)
    assert loads is not None
    tank = round_tank_of(asked.design, loads)
    assert (tank.seam, tank.peak, tank.wall) == (0.4, factor_of("seam_peaking"), 4.9)
    figures = asked.made.of(Strength)
    assert figures is not None
    seam = next(s for s in figures.proof.seams if s.seam == "tube, along" and s.case == "still")
    wall = bent(tank, 250.0).wall
    solid = stood(tank, 250.0)
    assert seam.tension == pytest.approx(solid.around_bent)
    assert wall.hoop < seam.tension < wall.hoop_bent  # the shell adds them as if the foot, pressed in, were stretched
    assert seam.bending == pytest.approx(6.0 * solid.around * 0.5 / 4.9)
    assert solid.around == pytest.approx(wall.hoop, rel=0.03)
    assert wall.hoop == pytest.approx(9.789e-6 * 250.0 * tank.middle / 4.9, rel=0.35)
    assert seam.allowed.joint == 0.4
    given = with_keys(START, "", "[round-tank.rolled]\njoint = 0.3\npeak = 0\n")
    other = ask(read_order_text(given, schemas()), "hold").made.of(Strength)
    assert other is not None
    weaker = next(s for s in other.proof.seams if s.seam == "tube, along" and s.case == "still")
    assert (weaker.bending, weaker.allowed.joint) == (0.0, 0.3)


def test_a_wall_that_is_not_measured_is_as_thin_as_its_sheet_may_be() -> None:
    """ISO 7823-1: 5 mm less 0.4 + 0.1 x 5; tube would be a fifth thinner."""
    bare = "\n".join(line for line in ROLLED.splitlines() if not line.startswith("measured-"))
    found = ask(read_order_text(bare, schemas()), "hold")
    loads = found.made.of(Loads)
    assert loads is not None
    tank = round_tank_of(found.design, loads)
    assert tank.wall == pytest.approx(4.1)
    assert bent(tank, 250.0).wall.hoop > bent(replace(tank, wall=5.0), 250.0).wall.hoop


WRONG: Mapping[str, tuple[str, str]] = {
    "of extruded sheet": ('tube = "extruded-pmma"', "[round-tank.rolled]\n"),
    "with a seam no solvent bridges": ("", "[round-tank.rolled]\ngap = 0.5\n"),
    "with a seam of less than nothing": ("", "[round-tank.rolled]\ngap = -0.1\n"),
    "trimmed by less than nothing": ("", "[round-tank.rolled]\ntrim = -5\n"),
    "that shrinks to a third": ("", '[round-tank.rolled]\nshrinkage = ["70 %", "2 %"]\n'),
    "that shrinks one way only": ("", '[round-tank.rolled]\nshrinkage = ["2 %"]\n'),
    "with a joint as strong as the sheet": ("", "[round-tank.rolled]\njoint = 1.0\n"),
    "with a joint of nothing": ("", "[round-tank.rolled]\njoint = 0\n"),
    "that stands off in degrees": ("", '[round-tank.rolled]\npeak = "3 deg"\n'),
    "with a key that is none": ("", "[round-tank.rolled]\nseams = 2\n"),
    "as a word": ("rolled = true", ""),
    "twice": ("", "[round-tank.rolled]\n[round-tank.rolled]\n"),
}  # fmt: skip
SAYS = {
    "of extruded sheet": "round-tank.tube", "with a seam no solvent bridges": "round-tank.rolled.gap",
    "with a seam of less than nothing": "round-tank.rolled.gap", "trimmed by less than nothing": "round-tank.rolled.trim",
    "that shrinks to a third": "round-tank.rolled.shrinkage", "that shrinks one way only": "round-tank.rolled.shrinkage",
    "with a joint as strong as the sheet": "round-tank.rolled.joint", "with a joint of nothing": "round-tank.rolled.joint",
    "that stands off in degrees": "round-tank.rolled.peak", "with a key that is none": "round-tank.rolled.seams",
    "as a word": "round-tank.rolled", "twice": "rolled",
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_orders_of_rolled_tubes_are_refused_at_their_place(what: str) -> None:
    keys, tables = WRONG[what]
    with pytest.raises(OrderError, match=SAYS[what].replace(".", r"\.")):
        built(with_keys(START, keys, tables))
