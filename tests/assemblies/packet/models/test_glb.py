"""GLB files, read by trimesh and by the glTF validator."""

from __future__ import annotations

import json
import struct
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from node_tools import node
from samples import design, panel, pieces_of_all_sorts, tank
from scipy.spatial.transform import Rotation

from assemblies.design.model import Design, Placed
from assemblies.packet.ink.readback import WrongFile
from assemblies.packet.models.glb import _quaternion, check_glb, write_glb
from assemblies.packet.models.tints import tint
from parts.findings import SeamwrightError
from parts.shape.mesh import SAG_MM, volume_slack_mm3


def everything() -> Design:
    rows = []
    for i, piece in enumerate(pieces_of_all_sorts()):
        x, z = ((0.6, 0.8, 0.0), (0.0, 0.0, 1.0)) if i % 2 else ((0.0, 0.6, 0.8), (0.0, 0.8, -0.6))
        part = replace(piece, name=f"sort-{piece.name}")
        rows.append(Placed(name=f"odd-{i}", piece=part, origin=(400.0 * i, 0.0, 500.0), x=x, z=z))
    return design(*tank(), *rows)


def content_of(path: Path) -> dict[str, Any]:
    raw = path.read_bytes()
    (length,) = struct.unpack_from("<I", raw, 12)
    content: dict[str, Any] = json.loads(raw[20 : 20 + length])
    return content


def test_the_validator_finds_no_error_no_warning_and_nothing_to_say(tmp_path: Path) -> None:
    write_glb(everything(), tmp_path / "a.glb")
    report = node(
        "gltf-validator",
        "lib.validateBytes(new Uint8Array(require('fs').readFileSync(args[0])))"
        ".then(r => console.log(JSON.stringify(r)))",
        str(tmp_path / "a.glb"),
    )
    assert report["issues"] == {**report["issues"], "numErrors": 0, "numWarnings": 0, "numInfos": 0, "numHints": 0}
    assert report["info"]["version"] == "2.0"
    assert report["info"]["drawCallCount"] == len(everything().pieces)
    assert report["info"]["materialCount"] == len({p.kind for p in everything().pieces})


def test_trimesh_finds_every_piece_by_name_in_metres_and_y_up(tmp_path: Path) -> None:
    write_glb(everything(), tmp_path / "a.glb")
    scene = trimesh.load_scene(tmp_path / "a.glb", process=False)
    model = everything()
    assert sorted(scene.graph.nodes_geometry) == sorted(p.name for p in model.placed)
    for placed in model.placed:
        matrix, geometry = scene.graph[placed.name]
        assert geometry == placed.piece.name
        body = scene.geometry[geometry].copy()
        body.merge_vertices(merge_norm=True, merge_tex=True)
        assert body.is_watertight
        slack = volume_slack_mm3(placed.piece) + 1e-6 * placed.piece.volume_mm3  # 32-bit floats
        assert abs(body.volume * 1e9 - placed.piece.volume_mm3) <= slack
        for corner in ((0.0, 0.0, 0.0), placed.piece.size_mm, (placed.piece.size_mm[0], 0.0, 0.0)):
            x, y, z = placed.world(*corner)
            there = matrix @ [*(c / 1000 for c in corner), 1.0]
            assert there[:3] == pytest.approx([x / 1000, z / 1000, -y / 1000], abs=1e-9)


def test_the_tank_is_0_3_m_long_0_162_m_high_and_0_2_m_wide(tmp_path: Path) -> None:
    write_glb(design(), tmp_path / "a.glb")
    scene = trimesh.load_scene(tmp_path / "a.glb")
    # x length, y up (150 and the plates' 12 below), z width
    assert scene.extents == pytest.approx([0.300, 0.162, 0.200], abs=1e-6)
    assert scene.bounds[0] == pytest.approx([-0.150, -0.012, -0.100], abs=1e-6)


def test_instances_of_one_part_share_its_mesh_and_clear_pieces_blend(tmp_path: Path) -> None:
    write_glb(design(), tmp_path / "a.glb")
    content = content_of(tmp_path / "a.glb")
    assert [mesh["name"] for mesh in content["meshes"]] == ["front-back", "bottom", "end", "plate"]
    assert [n["mesh"] for n in content["nodes"]] == [0, 0, 1, 2, 2, 3, 3]
    assert {m["name"]: m["alphaMode"] for m in content["materials"]} == {"panel": "BLEND", "tapped-plate": "BLEND"}
    red, green, blue, opaque = content["materials"][0]["pbrMetallicRoughness"]["baseColorFactor"]
    assert opaque == tint("panel")[3]
    # the inverse of the sRGB transfer function above its straight part (IEC 61966-2-1)
    srgb = [1.055 * c ** (1 / 2.4) - 0.055 for c in (red, green, blue)]
    assert srgb == pytest.approx(tint("panel")[:3], abs=1e-5)


def test_offsets_move_the_nodes_only(tmp_path: Path) -> None:
    offsets = {"front": (10.0, -80.0, 30.0)}
    write_glb(design(), tmp_path / "a.glb")
    write_glb(design(), tmp_path / "b.glb", offsets)
    still, moved = content_of(tmp_path / "a.glb"), content_of(tmp_path / "b.glb")
    step = np.subtract(moved["nodes"][0]["translation"], still["nodes"][0]["translation"])
    assert step == pytest.approx([0.010, 0.030, 0.080], abs=1e-12)
    assert moved["nodes"][1:] == still["nodes"][1:]
    assert moved["meshes"] == still["meshes"]
    with pytest.raises(WrongFile, match="front does not stand"):
        check_glb(tmp_path / "b.glb", design())


def test_the_same_design_gives_the_same_bytes(tmp_path: Path) -> None:
    write_glb(design(), tmp_path / "a.glb")
    write_glb(everything(), tmp_path / "between.glb")
    write_glb(design(), tmp_path / "b.glb")
    assert (tmp_path / "a.glb").read_bytes() == (tmp_path / "b.glb").read_bytes()


@given(st.tuples(*[st.floats(-1, 1)] * 4).filter(lambda q: sum(c * c for c in q) > 0.01))
def test_quaternions_turn_as_scipy_says(q: tuple[float, ...]) -> None:
    matrix = Rotation.from_quat(q).as_matrix()
    own = _quaternion(matrix)
    assert sum(c * c for c in own) == pytest.approx(1.0, abs=1e-12)
    assert Rotation.from_quat(own).as_matrix() == pytest.approx(matrix, abs=1e-9)


def spoil(path: Path, change: Any) -> None:
    raw = path.read_bytes()
    (length,) = struct.unpack_from("<I", raw, 12)
    content, data = json.loads(raw[20 : 20 + length]), bytearray(raw[28 + length :])
    change(content, data)
    text = json.dumps(content).encode()
    text += b" " * (-len(text) % 4)
    head = struct.pack("<5I", 0x46546C67, 2, 28 + len(text) + len(data), len(text), 0x4E4F534A)
    path.write_bytes(head + text + struct.pack("<2I", len(data), 0x004E4942) + data)


def scale_points(content: dict[str, Any], data: bytearray) -> None:
    points = np.frombuffer(bytes(data[: content["bufferViews"][0]["byteLength"]]), "<f4") * 1000
    data[: points.nbytes] = points.astype("<f4").tobytes()


def flip_triangles(content: dict[str, Any], data: bytearray) -> None:
    view = content["bufferViews"][2]
    part = slice(view["byteOffset"], view["byteOffset"] + view["byteLength"])
    data[part] = np.frombuffer(bytes(data[part]), "<u4").reshape(-1, 3)[:, ::-1].tobytes()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda c, d: c["nodes"][0].update(name="back"), "has the nodes"),
        (lambda c, d: c["nodes"].pop(), "has the nodes"),
        (lambda c, d: c["meshes"][0].update(name="end"), "has the meshes"),
        (lambda c, d: c["nodes"][0].update(mesh=1), "makes front of bottom"),
        (lambda c, d: c["nodes"][0].update(translation=[-0.15, 0.0, 0.0943]), "front does not stand"),
        (lambda c, d: c["nodes"][0].update(rotation=[0.0, 0.0, 0.0, 1.0][::-1]), "front does not stand"),
        (scale_points, "front-back reaches from"),
        (flip_triangles, "front-back holds -"),
        (lambda c, d: c["accessors"].clear(), "is not a GLB file of ours"),
        (lambda c, d: d.clear(), "is not a GLB file of ours"),
    ],
)
def test_a_spoilt_file_is_found_out(tmp_path: Path, change: Any, said: str) -> None:
    path = tmp_path / "a.glb"
    write_glb(design(), path)
    spoil(path, lambda c, d: None)
    check_glb(path, design())  # packing anew alone spoils nothing
    spoil(path, change)
    with pytest.raises(WrongFile, match=said):
        check_glb(path, design())


@pytest.mark.parametrize("keep", [0, 20, 100, -4])
def test_a_file_cut_short_is_found_out(tmp_path: Path, keep: int) -> None:
    path = tmp_path / "a.glb"
    write_glb(design(), path)
    path.write_bytes(path.read_bytes()[:keep])
    with pytest.raises(WrongFile):
        check_glb(path, design())


def test_a_wrong_file_is_not_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import parts.shape.mesh

    real = parts.shape.mesh.mesh
    other = panel("end", 188.0, 144.3)
    monkeypatch.setattr(parts.shape.mesh, "mesh", lambda p: real(other if p.name == "end" else p))
    with pytest.raises(WrongFile, match=r"^a\.glb: end reaches from"):
        write_glb(design(), tmp_path / "a.glb")
    assert list(tmp_path.iterdir()) == []
    assert SAG_MM < 0.3  # so that a change of 0.3 mm is seen


def test_names_that_cannot_stand_in_a_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(SeamwrightError, match="cannot be a name"):
        write_glb(design(Placed(name="a/b", piece=panel("wall", 30, 20), origin=(0, 0, 0))), tmp_path / "a.glb")
