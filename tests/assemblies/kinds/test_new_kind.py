"""A new kind is one folder and one line of registration: a shelf of two panels, made up here and thrown away.

It gets fit, cutting plan, bonding plan, drawings, page and print without a line written for it in any other room.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from assemblies import kinds as registry
from assemblies.cli import main
from assemblies.design import Design, Placed
from assemblies.examine import examine
from assemblies.kinds import Kind, kind, schemas
from assemblies.kinds.common import GO_TOGETHER, SHOP
from assemblies.kinds.kind import Thickness
from assemblies.order import Order, OrderError, Table, read_order_text
from assemblies.order.values import Size2
from assemblies.packet.write import write_packet
from parts.make.panel import panel
from parts.shape.piece import Bend
from parts.stock.sheet import Sheet

ORDER = """
title = "Shelf for the wave bench"
name  = "shelf"
kind  = "shelf"
[sheet]
thickness = 6
measured = [5.9]
[shelf]
board = [240, 80]
back  = [240, 60]
"""


class Shelf(Table):
    """A board, and a back that stands on its rear edge."""

    board: Size2
    back: Size2


def build(order: Order, thickness: Thickness | None) -> Design:
    spec = order.table
    assert isinstance(spec, Shelf)
    assert isinstance(order.sheet.thickness, float)
    sheet = Sheet(material=order.sheet.material, nominal_mm=order.sheet.thickness, readings_mm=order.sheet.measured)
    (length, depth), (width, height) = spec.board, spec.back
    thick = sheet.thickness_mm
    board, back = panel("board", length, depth, sheet), panel("back", width, height, sheet)
    placed = (
        Placed(name="board", piece=board, origin=(-length / 2, -depth / 2, 0.0)),
        Placed(name="back", piece=back, origin=(width / 2, depth / 2 - thick, thick), x=(-1, 0, 0), z=(0, 1, 0)),
    )
    return Design(name=order.name, title=order.title, kind=order.kind, revision=order.revision, placed=placed)


SHELF = Kind(
    name="shelf",
    about="a board with a back",
    tables={"shelf": Shelf},
    build=build,
    checks=lambda: (*GO_TOGETHER, *SHOP),
    required=("fit",),
    starter="",
)


@pytest.fixture(autouse=True)
def registered(monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder, and the one line."""
    folder = ModuleType("assemblies.kinds.shelf")
    folder.KIND = SHELF  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, folder.__name__, folder)
    monkeypatch.setattr(registry, "FOLDERS", (*registry.FOLDERS, "shelf"))


def ordered(text: str = ORDER) -> Order:
    return read_order_text(text, schemas(), "order.toml")


def test_it_is_known_and_its_keys_are_read() -> None:
    assert kind("shelf") is SHELF
    assert ordered().table == Shelf.model_validate({"board": (240.0, 80.0), "back": (240.0, 60.0)})


def test_its_packet_is_whole(tmp_path: Path) -> None:
    found = write_packet(examine(ordered()), tmp_path / "shelf")
    report: Mapping[str, object] = json.loads((tmp_path / "shelf" / "report.json").read_text())
    assert report["verdict"] == "go", report["findings"]
    assert {"fit", "assembly", "bonding", "buying", "cautions", "cutting", "cost"} <= set(report)
    assert not {"liquid", "strength", "drill", "card", "proof_test"} & set(report)
    assert len(found.report["fit"]["seams"]) == 1
    files = {str(p.relative_to(tmp_path / "shelf")) for p in (tmp_path / "shelf").rglob("*") if p.is_file()}
    wanted = {
        "shelf.step", "shelf-exploded.step", "shelf.glb", "shelf-exploded.svg", "packet.html", "packet.pdf",
        "labels.pdf", "parts.csv", "seams.csv", "cutting/sheet-1.dxf", "cutting/sheet-1.svg",
        "drawings/shelf-assembly.pdf", *(f"drawings/{p}.pdf" for p in ("board", "back")),
        *(f"profiles/{p}.dxf" for p in ("board", "back")), *(f"pieces/{p}.step" for p in ("board", "back")),
    }  # fmt: skip
    assert wanted <= files
    shown = [s.id for s in found.sections]
    assert shown == [
        "verdict",
        "taken",
        "pieces",
        "buying",
        "cost",
        "cutting",
        "fit",
        "assembly",
        "bonding",
        "check-in",
        "after",
        "sources",
    ]
    text = subprocess.run(
        ["pdftotext", str(tmp_path / "shelf" / "packet.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    for title in ("Cutting plan", "Bonding plan", "Order of assembly", "Shelf for the wave bench"):
        assert title in text
    page = (tmp_path / "shelf" / "packet.html").read_text()
    assert all(f'id="{section}"' in page for section in shown[1:])


def test_without_strength_asked_it_claims_none() -> None:
    found = examine(ordered(), SHELF.asked("fit", solids=False))
    assert found.report["checks"] == {"fit": "not-run"}
    assert found.report["verdict"] == "not-proven"


def test_a_check_taken_from_a_kind_is_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    less = [c for c in SHELF.checks() if c.name != "fit"]
    found = examine(ordered(), less)
    assert found.report["verdict"] == "not-proven"
    assert "fit" not in found.report


@pytest.mark.parametrize("key", ["panel", "plate", "strip", "port"])
def test_a_table_that_it_does_not_read_is_refused_and_not_passed_over(key: str) -> None:
    rows = {
        "panel": 'name = "front"\nthickness = 4',
        "plate": 'on = "bottom"\nat = [0, 0]\nsize = [60, 60]\nthickness = 12\nthread = "M5"\npattern = "grid 20 2x2"',
        "strip": 'where = "rim"\nsize = [20, 6]',
        "port": 'kind = "drain"\non = "left"\nat = [0, 0]\ndiameter = 8',
    }
    with pytest.raises(OrderError) as refused:
        ordered(f"{ORDER}\n[[{key}]]\n{rows[key]}\n")
    assert f'a [{key}] table in an order of kind "shelf"; allowed: [shelf]' in str(refused.value)


def test_a_piece_that_cannot_be_drawn_bent_is_not_covered_and_gets_no_packet(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A back bent twice, aslant: the fit, and all that stands on it, says so; nothing takes it for flat."""

    def bent(order: Order, thickness: Thickness | None) -> Design:
        flat = build(order, thickness)
        bend = Bend(x_mm=0.0, y_mm=30.0, along_rad=0.0, angle_rad=1.0, inside_radius_mm=12.0)
        slanted = replace(bend, y_mm=70.0, along_rad=0.2)
        placed = [
            replace(p, piece=replace(p.piece, bends=(bend, slanted))) if p.name == "back" else p for p in flat.placed
        ]
        return replace(flat, placed=tuple(placed))

    folder = ModuleType("assemblies.kinds.shelf")
    folder.KIND = replace(SHELF, build=bent)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, folder.__name__, folder)
    found = examine(ordered())
    assert found.report["checks"]["fit"] == "not-covered"
    assert found.report["verdict"] == "not-proven"
    assert found.made.got["bond"].state == "not-run"
    (tmp_path / "bent.toml").write_text(ORDER)
    monkeypatch.setattr(
        sys, "argv", ["seamwright", "make", str(tmp_path / "bent.toml"), "--out", str(tmp_path / "out")]
    )
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    assert "No packet: how it goes together is not covered." in capsys.readouterr().out
    assert not (tmp_path / "out").exists()
