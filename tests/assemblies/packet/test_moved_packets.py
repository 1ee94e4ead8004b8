"""The two demos that move most: the whole packet of a vortex column; what that of a splash cup says, without its solids."""

from __future__ import annotations

import csv
import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from asked import ask

from assemblies.examine import examine
from assemblies.kinds import kind, schemas
from assemblies.order import Order, read_order_text
from assemblies.packet.write import write_packet
from assemblies.report.plain import plain
from assemblies.report.sections import sections

ORDERS = Path(__file__).parents[2] / "orders"


def order(name: str) -> Order:
    return read_order_text((ORDERS / f"{name}.toml").read_text(encoding="utf-8"), schemas())


@pytest.fixture(scope="module")
def column(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("moved") / "vortex-column"
    write_packet(examine(order("vortex-column")), folder)
    return folder


@pytest.mark.slow
def test_the_column_has_its_pulses_its_plots_and_guarded_first_spins(column: Path) -> None:
    report = json.loads((column / "report.json").read_text(encoding="utf-8"))
    assert report["verdict"] == "go", report["findings"]
    assert set(report["checks"].values()) == {"passed"}
    page = (column / "packet.html").read_text(encoding="utf-8")
    for words in (
        "mm over the floor",
        "mm from the axis",
        "times as wide",
        "The surface of the liquid in draw the vortex",
    ):
        assert words in page
    with (column / "schedule" / "draw-the-vortex.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["state"] for row in rows} == {"proven"}
    assert float(rows[-1]["angle_rad"]) == pytest.approx(350.0 * 6.283185307, rel=1e-8)
    assert float(rows[-1]["speed_rad_s"]) == pytest.approx(0.0, abs=1e-9)
    assert (column / "schedule" / "draw-the-vortex-pulses.csv").exists()
    done = subprocess.run(
        ["pdftotext", "-raw", str(column / "packet.pdf"), "-"], capture_output=True, text=True, check=True
    )
    text = " ".join(done.stdout.split())
    for words in (
        "spins at 210 rpm", "Balance: grade G 16 of ISO 21940-11", "Behind a guard that stops a flying piece",
        "at 25 % of the speed (52 rpm)", "Looking through it", "up to 210 rpm", "Rim stress is 1190 v squared",
    ):  # fmt: skip
        assert words in text


def words_of(block: Any) -> Iterator[str]:
    """Every text of a block, in its order."""
    if isinstance(block, str):
        yield block
    elif isinstance(block, dict):
        for value in block.values():
            yield from words_of(value)
    elif isinstance(block, list | tuple):
        for value in block:
            yield from words_of(value)


def test_the_cup_has_its_air_first_and_a_guarded_first_shot() -> None:
    found = ask(order("splash-cup"))
    assert found.report["checks"]["motion"] == found.report["checks"]["strength"] == "passed"
    shown = sections(found.report, "mm", kind("tank").asked(solids=False))
    text = {section.id: " ".join(words_of(plain(section.blocks))) for section in shown}
    air, speed = (text["motion"].index(w) for w in ("Compressed air first. Isolate", "Speed at the end of the stroke"))
    assert air < speed
    assert "nobody over or before it" in text["motion"].lower()
    assert "first raise the regulator from nothing until it just lifts" in text["proof"]
    assert "up to 1.2 bar" in text["card"]
    steps = [row["step"] for row in found.report["cautions"]]
    assert steps.index("pneumatics") < steps.index("moving-rig")
