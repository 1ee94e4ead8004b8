"""The pouring tray of the harbour stage: its whole packet by the command, its files opened by other readers."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pytest
import trimesh
from click.testing import CliRunner
from steputils import p21

from assemblies.cli import cli

ORDER = Path(__file__).parents[3] / "orders" / "wheel-tray.toml"
SLOPE = math.atan2(30, 280)


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tray")
    done = CliRunner().invoke(cli, ["make", str(ORDER), "--out", str(folder)])
    assert done.exit_code == 0, done.output
    return folder / "wheel-tray"


@pytest.fixture(scope="module")
def report(packet: Path) -> dict[str, Any]:
    return dict(json.loads((packet / "report.json").read_text(encoding="utf-8")))


def test_the_tray_is_go_and_says_where_it_pours_first(report: dict[str, Any]) -> None:
    assert report["verdict"] == "go"
    assert report["liquid"]["spill_by"]["right"] == "through the trough on the right"
    assert report["liquid"]["spill_by"]["front"] == "over the front"
    # its level stands 80 over the low end, 12 up; the trough's edge lies 140 - 26 = 114 up, 140 from the middle
    assert report["liquid"]["spill_tilt"]["right"] == pytest.approx(
        math.degrees(math.atan((114 - level(report)) / 140)), abs=1e-3
    )


def level(report: dict[str, Any]) -> float:
    return float(report["liquid"]["fill_depth"]) + 12.0


def test_stl_of_the_ramp_has_the_volume_of_its_slope_by_trimesh(packet: Path) -> None:
    """180 wide, 280 level, 6 mm thick: bevelled upright at both ends it is 280 / cos of the slope long on every layer."""
    made = trimesh.load_mesh(packet / "pieces" / "ramp.stl")
    assert made.is_watertight
    assert made.volume == pytest.approx(180.0 * 280.0 / math.cos(SLOPE) * 6.0, rel=1e-5)
    assert sorted(made.extents) == pytest.approx(
        [6.0, 180.0, 280.0 / math.cos(SLOPE) + 6.0 * math.tan(SLOPE)], rel=1e-5
    )


def test_dxf_layers_of_what_is_cut_engraved_and_bevelled_by_gdal(packet: Path) -> None:
    def layers(name: str) -> dict[str, int]:
        _, _, shapes, (found,) = pyogrio.raw.read(packet / "profiles" / f"{name}.dxf", columns=["Layer"])
        assert len(shapes) == len(found)
        return {layer: int((found == layer).sum()) for layer in set(found)}

    front, ramp, right = layers("front"), layers("ramp"), layers("right")
    assert front["outer-cut"] == 1
    assert front["mark"] >= len("FILL80MM") + 1  # a stroke or more a letter, and the line
    assert ramp["bevel"] == 2
    assert (right["outer-cut"], right["drill"]) == (1, 1)


def test_step_has_every_piece_of_the_trough_and_the_floor_by_steputils(packet: Path) -> None:
    data = p21.readfile(str(packet / "wheel-tray.step")).data[0]
    products = {
        str(one.entity.params[0]) for one in data.instances.values()
        if hasattr(one, "entity") and one.entity.name == "PRODUCT"
    }  # fmt: skip
    assert {"ramp", "ramp-rest", "trough-floor", "trough-side", "right"} <= products


def test_glb_has_the_ramp_at_its_slope_by_trimesh(packet: Path) -> None:
    """Metres, y up: its largest faces lean from level by the slope, in their place."""
    scene = trimesh.load(packet / "wheel-tray.glb")
    named = {scene.graph[node][1]: scene.graph[node][0] for node in scene.graph.nodes_geometry}
    (name,) = [name for name in named if name.startswith("ramp") and "rest" not in name]
    turn = named[name]
    mesh = scene.geometry[name]
    normals = mesh.face_normals @ turn[:3, :3].T
    top = normals[mesh.area_faces > 0.3 * mesh.area_faces.max()]
    assert len(top) == 4
    assert np.degrees(np.arccos(np.abs(top[:, 1]))) == pytest.approx(math.degrees(SLOPE), abs=1e-3)


def test_bevels_and_rests_stand_in_the_plans(report: dict[str, Any]) -> None:
    bevels = report["cutting"]["bevels"]
    assert {(b["part"], b["side"], round(b["angle"], 3)) for b in bevels} == {
        ("ramp", "bottom", round(math.degrees(SLOPE), 3)), ("ramp", "top", round(math.degrees(SLOPE), 3)),
    }  # fmt: skip
    nested = [p["name"] for sheet in report["nesting"]["sheets"] for p in sheet["placed"]]
    assert {"ramp-rest-1", "ramp-rest-2"} <= set(nested)
    seams = report["bonding"]["seams"]
    assert [{s["a"], s["b"]} for s in seams[:2]] == [{"bottom", "ramp-rest-1"}, {"bottom", "ramp-rest-2"}]
    assert not any({"ramp", f"ramp-rest-{k}"} == {s["a"], s["b"]} for s in seams for k in (1, 2))
    assert any(
        "carry the sloped floor at its angle while it is bonded" in s["text"] for s in report["bonding"]["steps"]
    )


def test_what_is_said_of_filling_it(report: dict[str, Any]) -> None:
    filling = report["filling"]
    assert filling["feed_L_min"] == 3.0
    assert filling["over"]["way"] == "through the trough on the right"
    assert filling["over"]["holds"]
    assert filling["fill_min"] == pytest.approx(report["liquid"]["fill_L"] / 3.0)
    assert filling["drains"][0]["seconds"] > 30.0
