"""STL files, read by trimesh."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from samples import flat, panel, pieces_of_all_sorts, tapped_plate

from assemblies.packet.ink.readback import WrongFile
from assemblies.packet.models.stl import check_stl, write_stl
from parts.findings import SeamwrightError
from parts.shape.mesh import SAG_MM, volume_slack_mm3
from parts.shape.outline import Circle
from parts.shape.piece import Piece
from parts.shape.solid import solid


@pytest.mark.parametrize("piece", pieces_of_all_sorts(), ids=lambda p: p.name)
def test_trimesh_finds_a_closed_body_of_the_pieces_size_and_volume(tmp_path: Path, piece: Piece) -> None:
    write_stl(piece, tmp_path / "a.stl")
    body = trimesh.load(tmp_path / "a.stl", file_type="stl")
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.bounds[0] == pytest.approx([0, 0, 0], abs=SAG_MM)
    assert body.bounds[1] == pytest.approx(piece.size_mm, abs=SAG_MM + 1e-5)  # 32-bit floats of 300 mm
    assert abs(body.volume - piece.volume_mm3) <= volume_slack_mm3(piece) + 1e-6 * piece.volume_mm3
    # and the slack is no blank cheque: under half a percent even of the thin ring
    assert volume_slack_mm3(piece) < 5e-3 * piece.volume_mm3


def test_flat_pieces_keep_their_size_to_the_last_digit_of_the_format(tmp_path: Path) -> None:
    write_stl(panel("wall", 311.8, 158.1, 5.82), tmp_path / "a.stl")
    body = trimesh.load(tmp_path / "a.stl", file_type="stl")
    assert len(body.faces) == 12
    assert body.extents == pytest.approx([311.8, 158.1, 5.82], rel=1e-6)
    assert body.volume == pytest.approx(311.8 * 158.1 * 5.82, rel=1e-6)


def test_the_order_of_files_does_not_change_their_bytes(tmp_path: Path) -> None:
    window = flat("order-a", Circle(33.0, 33.0, 33.0))
    twin = replace(window, name="order-b")
    write_stl(window, tmp_path / "a.stl")
    BRepMesh_IncrementalMesh(solid(twin).wrapped, 0.001, False, 0.01, False)  # the kernel keeps the finest mesh
    write_stl(twin, tmp_path / "b.stl")
    assert (tmp_path / "a.stl").read_bytes()[80:] == (tmp_path / "b.stl").read_bytes()[80:]


def spoil(path: Path, change: str) -> None:
    raw = bytearray(path.read_bytes())
    if change == "short":
        del raw[-50:]
    elif change == "open":
        raw[80:84] = (int.from_bytes(raw[80:84], "little") - 1).to_bytes(4, "little")
        del raw[-50:]
    elif change == "inside-out":
        for start in range(84, len(raw), 50):
            raw[start + 12 : start + 24], raw[start + 24 : start + 36] = (
                raw[start + 24 : start + 36],
                raw[start + 12 : start + 24],
            )
    else:
        rows = np.frombuffer(bytes(raw[84:]), np.dtype([("f", "<f4", (12,)), ("e", "<u2")])).copy()
        if change == "inches":
            rows["f"][:, 3:] /= 25.4
        elif change == "dented":
            corner = (rows["f"][:, 3:].reshape(-1, 3) == [50.0, 50.0, 12.0]).all(axis=1)
            rows["f"][:, 3:] = np.where(corner[:, None], [50.0, 49.0, 12.0], rows["f"][:, 3:].reshape(-1, 3)).reshape(
                -1, 9
            )
        elif change == "moved":
            rows["f"][:, 3::3] += 1.0
        raw[84:] = rows.tobytes()
    path.write_bytes(bytes(raw))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("short", "has not the length"),
        ("open", "is not a closed skin"),
        ("inside-out", "holds -"),
        ("inches", "holds 1.7"),
        ("dented", "holds 29.*not 29"),
        ("moved", "reaches from"),
    ],
)
def test_a_spoilt_file_is_found_out(tmp_path: Path, change: str, said: str) -> None:
    path = tmp_path / "a.stl"
    write_stl(tapped_plate(), path)
    spoil(path, change)
    with pytest.raises(WrongFile, match=said):
        check_stl(path, tapped_plate())


def test_an_empty_file_is_found_out(tmp_path: Path) -> None:
    (tmp_path / "a.stl").write_bytes(b"")
    with pytest.raises(WrongFile, match="is cut short"):
        check_stl(tmp_path / "a.stl", tapped_plate())


def test_names_that_cannot_stand_in_a_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(SeamwrightError, match="cannot be a name"):
        write_stl(panel("Wand-ü", 30, 20), tmp_path / "a.stl")
