"""The stored solid-model values can be made again: slow, and only where CalculiX is installed."""

from __future__ import annotations

import csv
import os
import shutil
from pathlib import Path

import pytest
import solid_box

ROWS = list(csv.DictReader((Path(__file__).parent / "solid_boxes.csv").read_text(encoding="utf-8").splitlines()))


def test_every_solid_box_has_its_rows_and_its_two_meshes_agree():
    """3 %: the coarse mesh has two cells over a thickness, the fine one three. Small values: 1 % of the box's
    largest.
    """
    assert {row["box"] for row in ROWS} == {solid.name for solid in solid_box.every()}
    for row in ROWS:
        moved = row["quantity"].endswith(" w")
        same = [r for r in ROWS if r["box"] == row["box"] and r["quantity"].endswith(" w") == moved]
        largest = max(abs(float(r["value"])) for r in same)
        fine, coarse = float(row["value"]), float(row["coarser_mesh"])
        assert abs(fine - coarse) <= max(0.03 * abs(fine), 0.01 * largest), row


@pytest.mark.slow
@pytest.mark.parametrize("name", ["plain", "unequal hung", "strip inward", "sliding", "tilted to the lip"])
def test_a_solid_model_gives_the_stored_values_again(name, monkeypatch):
    """The coarse mesh, about two seconds each; printed to five figures."""
    assert shutil.which("ccx"), "install the Debian package calculix-ccx: no check is skipped"
    monkeypatch.setitem(os.environ, "OMP_NUM_THREADS", "1")
    solid = next(s for s in solid_box.every() if s.name == name)
    got = solid_box.read(solid, solid_box.run(solid))
    stored = {r["quantity"]: float(r["coarser_mesh"]) for r in ROWS if r["box"] == name}
    assert got.keys() == stored.keys()
    for quantity, value in stored.items():
        assert got[quantity] == pytest.approx(value, rel=1e-3), quantity
