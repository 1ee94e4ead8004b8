"""Our own columns, asked whole: the starter, and a grooved one under a screwed lid with a motor."""

from __future__ import annotations

from pathlib import Path

import pytest
from asked import ask
from round_orders import START

from assemblies.kinds import schemas
from assemblies.order import read_order_text

CLOUD = (Path(__file__).parent / "orders" / "cloud-column.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", [START, CLOUD], ids=["rain", "cloud"])
def test_a_column_is_proven_and_nothing_stops_it(text: str) -> None:
    """Whole packets of both were made and looked at; here their checks, without the solids."""
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
