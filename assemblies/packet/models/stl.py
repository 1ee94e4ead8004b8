"""The STL file of one piece: binary, mm, in the piece's own axes, closed.

Layout (common practice, the format has no standard): 80 bytes of title, a count, then for each triangle its
normal and three corners as little-endian 32-bit floats and two empty bytes.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from assemblies.packet.ink.readback import check_name, expect, write_checked
from parts.shape.bent import box_mm
from parts.shape.outline import Circle
from parts.shape.piece import Piece

__all__ = ["check_stl", "write_stl"]

_TRIANGLE = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("empty", "<u2")])
_TITLE_BYTES = 80


def write_stl(piece: Piece, path: Path) -> None:
    """Write the piece as a watertight mesh; the same piece gives the same bytes whatever was written before.

    Raises:
        NotCovered, KernelError: the piece has no solid or cannot be meshed.
        SeamwrightError: the piece's name cannot stand in a file.
        WrongFile: what was written is not the piece; nothing is left behind.
        OSError: the file cannot be written.
    """
    from parts.shape.mesh import mesh

    check_name(piece.name)
    body = mesh(piece)
    corners = body.points_mm[body.triangles]
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    rows = np.zeros(len(corners), dtype=_TRIANGLE)
    rows["normal"] = flat / np.linalg.norm(flat, axis=1, keepdims=True)
    rows["corners"] = corners
    rows["normal"] += 0.0  # no minus zero: the same bytes on every machine
    title = f"part {piece.name}, mm".encode("ascii")[:_TITLE_BYTES].ljust(_TITLE_BYTES)
    data = title + np.uint32(len(rows)).tobytes() + rows.tobytes()
    write_checked(path, data, lambda p: check_stl(p, piece))


def check_stl(path: Path, piece: Piece) -> None:
    """Hold an STL file against the piece: closed, right way round, its volume and its box.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    from parts.shape.mesh import SAG_MM, volume_slack_mm3
    from parts.shape.solid import made_volume_mm3

    raw = path.read_bytes()
    start = _TITLE_BYTES + 4
    expect(path, len(raw) >= start, "is cut short")
    count = int(np.frombuffer(raw, "<u4", 1, _TITLE_BYTES)[0])
    expect(path, len(raw) == start + count * _TRIANGLE.itemsize, f"has not the length of {count} triangles")
    corners = np.frombuffer(raw, _TRIANGLE, count, start)["corners"]
    _, ids = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    ids = ids.reshape(-1, 3)
    edges = np.concatenate([ids[:, [0, 1]], ids[:, [1, 2]], ids[:, [2, 0]]])
    there = np.unique(edges, axis=0)
    closed = len(there) == len(edges) and np.array_equal(there, np.unique(edges[:, ::-1], axis=0))
    expect(path, closed, f"is not a closed skin of {piece.name}")
    wide = corners.astype(np.float64)
    volume = float(np.einsum("ij,ij->", wide[:, 0], np.cross(wide[:, 1], wide[:, 2])) / 6.0)
    whole = made_volume_mm3(piece)
    slack = volume_slack_mm3(piece) + 1e-6 * whole  # 32-bit floats have seven digits
    expect(path, abs(volume - whole) <= slack, f"holds {volume:.6g} mm3, not {whole:.6g} mm3")
    round_edge = (
        bool(piece.bends)
        or isinstance(piece.outline.outer, Circle)
        or any(v.bulge for v in piece.outline.outer.vertices)
    )
    near = 1e-6 * max(piece.size_mm) + (SAG_MM if round_edge else 0.0)
    low, high = wide.min(axis=(0, 1)), wide.max(axis=(0, 1))
    box = np.array(box_mm(piece))
    fits = bool((abs(low - box[0]) <= near).all() and (abs(high - box[1]) <= near).all())
    expect(path, fits, f"reaches from {low} to {high} mm, not from {box[0]} to {box[1]} mm")
