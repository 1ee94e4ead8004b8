"""Our own columns, asked whole: the starter, a grooved one under a screwed lid with a motor, one that pours."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from asked import ask
from round_orders import RING, START, lidded, with_keys

from assemblies.kinds import schemas
from assemblies.order import read_order_text

JAR = (Path(__file__).parent / "orders" / "pouring-jar.toml").read_text(encoding="utf-8")
CLOUD = (Path(__file__).parent / "orders" / "cloud-column.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", [START, CLOUD, JAR], ids=["rain", "cloud", "jar"])
def test_a_column_is_proven_and_nothing_stops_it(text: str) -> None:
    """Whole packets of them were made and looked at; here their checks, without the solids."""
    found = ask(read_order_text(text, schemas()))
    states = {name: checked.state for name, checked in found.made.got.items()}
    assert states["strength"] == "passed"
    assert states["liquid"] == "passed"
    assert [f for f in found.made.findings if f.level == "stop"] == []
    cares = [f.why for f in found.made.findings if f.level == "care" and f.check == "holes"]
    assert len(cares) <= 1, cares  # the starter's drain has 1.4 diameters of thread


def test_the_cloud_column_is_turned_screwed_and_hung_with_its_motor() -> None:
    report = ask(read_order_text(CLOUD, schemas())).report
    assert [(row["name"], row["depth"]) for row in report["grooves"]] == [("base", 3.0)]
    assert report["strength"]["lid_bears_n"]["minutes"] > 100.0
    seams = {row["seam"] for row in report["strength"]["seams"]}
    assert seams == {"tube and base", "base and motor-boss"}
    bought = " ".join(item["item"] for item in report["buying"]["parts"])
    assert "gasket" in bought
    assert "tube, cast-pmma, 150 mm outside" in bought


def test_the_jar_is_tilted_by_its_servo_to_pour_and_hangs_in_its_flange() -> None:
    """Leaned until it has poured its litre: all that leans it is in its figures, once for each place."""
    found = ask(read_order_text(JAR, schemas()))
    (move,) = found.report["motion"]["moves"]
    assert 40.0 < move["greatest"] < 90.0
    assert move["motor"]["use"] < 1.0
    rows = [row for row in found.report["strength"]["cases"] if row["case"] == "pour a litre"]
    assert sorted((row["piece"], row["what"]) for row in rows) == [
        ("base", "hole"),
        ("base", "panel"),
        ("tube", "panel"),
    ]
    seams = [row["seam"] for row in found.report["strength"]["seams"] if row["case"] == "pour a litre"]
    assert sorted(seams) == ["trough-tube", "tube and base"]


LEAN = '[[case]]\nname = "lean"\nkind = "turn"\naxis = [0, 1, 0]\nangle = %s\nduration = "minutes"\n'
SLIDE = (
    '[[case]]\nname = "lean"\nkind = "slide"\nacceleration = "0.5 m/s2"\nspeed = "0.3 m/s"\ndistance = "600 mm"\n'
    'profile = "calm"\nbrake = true\n'
)
LOOSE = with_keys(START, 'lid = "loose"', RING)
STANDS = START.partition("[round-tank.flange]")[0] + "[round-tank.drain]" + START.partition("[round-tank.drain]")[2]
STANDS = STANDS.replace('kind = "plates"', 'kind = "edges"')
CRADLED = STANDS.replace('kind = "edges"', 'kind = "edges"\nretention = "cradle"')
MOTOR = with_keys(START.partition("[round-tank.drain]")[0] + "[liquid]" + START.partition("[liquid]")[2], "", (
    '[round-tank.motor]\npattern = "NEMA 23"\nmass = 0.7\nboss = 90\n'
))  # fmt: skip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (START + SLIDE, ""),
        (START + LEAN % 90, ""),
        (START + LEAN % 180, ""),
        (START.replace('"250 mm"', '"300 mm"') + LEAN % 30, ""),
        (START.replace('"250 mm"', '"0 mm"') + LEAN % 30, ""),
        (lidded() + LEAN % 60, ""),
        (lidded() + LEAN % 180, "vent is under the liquid in lean"),
        (CRADLED + LEAN % 10, ""),
        (CRADLED + LEAN % 60, "lean: it only stands, and rises on one side"),
        (STANDS + LEAN % 5, "lean: it only stands, and friction is no lock"),
        (LOOSE + LEAN % 30, "lean: its lid is only laid on"),
        (MOTOR + LEAN % 30, "lean: a motor hangs under its base"),
    ],
    ids=["slide", "side", "over", "brim", "empty", "lid", "lid over", "cradle", "rises", "stands", "loose", "motor"],
)  # fmt: skip
def test_what_leans_has_figures_or_one_reason_why_not(text: str, says: str) -> None:
    found = ask(read_order_text(text, schemas()), "hold")
    reasons = [f.why for f in found.made.findings if f.check == "strength" and f.level == "care"]
    assert found.made.got["strength"].state == ("not-covered" if says else "passed")
    assert [says in one for one in reasons] == ([True] if says else [])
    rows = [row for row in found.report["strength"]["cases"] if row["case"] == "lean"]
    assert {"tube", "base"} <= {row["piece"] for row in rows}
    assert all(0.0 < row["stress"] < math.inf for row in rows)


def test_a_base_too_thin_to_be_pushed_is_stopped_and_a_thicker_one_is_not() -> None:
    """As its advice has it: a slide that no liquid is asked of, so hard that base and bolts give way."""
    push = '[[case]]\nname = "lean"\nkind = "slide"\ndirection = [1, 0, 0]\nacceleration = "60 m/s2"\n'
    thin = START.replace("thickness = 10 ", "thickness = 6 ").replace("[9.85, 9.88, 9.86]", "[5.9]") + push

    def stops(text: str) -> list[str]:
        found = ask(read_order_text(text, schemas()), "hold")
        return [f.do for f in found.made.findings if f.check == "strength" and f.level == "stop"]

    assert stops(thin)
    assert all("thicker base" in do and "more bolts" in do and "flat" not in do for do in stops(thin))
    assert stops(thin.replace("thickness = 6 ", "thickness = 15 ").replace("[5.9]", "[14.9]")) == []
