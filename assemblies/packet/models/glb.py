"""The GLB file: glTF 2.0 in one binary file, in metres and y up as its section "Coordinate System and Units"
asks.

Nodes bear the placed names; instances of one part share its mesh. A piece's mesh stands in the piece's own
axes (in metres); its node turns and moves it into the world, so a viewer can move whole pieces by their
nodes alone.

Source: Khronos glTF 2.0 specification, sections 3.4 (units), 3.6.2 (accessors), 3.9 (materials), 4.4 (binary
layout).
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Design, Placed
from assemblies.packet.ink.readback import WrongFile, expect, part_names, shifted_origins, write_checked
from assemblies.packet.models.tints import tint
from parts.shape.bent import box_mm
from parts.shape.piece import Piece
from parts.vectors import Vector

__all__ = ["check_glb", "write_glb"]

_MAGIC, _JSON, _BIN = 0x46546C67, 0x4E4F534A, 0x004E4942
_FLOAT, _UINT, _ARRAY, _ELEMENTS = 5126, 5125, 34962, 34963
_METRE = 1000.0
_NEAR = 1e-6  # metres and unit vectors: 32-bit floats have seven digits


def write_glb(design: Design, path: Path, offsets: Mapping[str, Vector] | None = None) -> None:
    """Write the design as GLB, each instance moved by its offset (mm, world) if it has one; same design,
    same bytes.

    Raises:
        SeamwrightError: a name that cannot stand in a file, or an offset for no instance.
        NotCovered, KernelError: a piece has no solid or cannot be meshed.
        WrongFile: what was written is not the design; nothing is left behind.
        OSError: the file cannot be written.
    """
    pieces = [piece for _, piece in part_names(design)]
    kinds = list(dict.fromkeys(piece.kind for piece in pieces))
    store = _Store()
    meshes = [_mesh(store, piece, kinds.index(piece.kind)) for piece in pieces]
    nodes = [_node(placed, origin, pieces) for placed, origin in shifted_origins(design, offsets)]
    content: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "seamwright"},
        "scene": 0,
        "scenes": [{"name": design.name, "nodes": list(range(len(nodes)))}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(kind) for kind in kinds],
        "accessors": store.accessors,
        "bufferViews": store.views,
        "buffers": [{"byteLength": len(store.data)}],
    }
    write_checked(path, _pack(content, bytes(store.data)), lambda p: check_glb(p, design, offsets))


class _Store:
    """The binary chunk as it grows, with its views and accessors."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: NDArray[Any], target: int, **fields: Any) -> int:
        """Store an array (items of four bytes, so all stays aligned) and return its accessor's number."""
        raw = values.tobytes()
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw), "target": target}
        self.data += raw
        self.views.append(view)
        self.accessors.append({"bufferView": len(self.views) - 1, "count": len(values), **fields})
        return len(self.accessors) - 1


def _mesh(store: _Store, piece: Piece, material: int) -> dict[str, Any]:
    from parts.shape.mesh import mesh

    body = mesh(piece)
    points = (body.points_mm / _METRE).astype("<f4")
    box = {"min": [float(c) for c in points.min(axis=0)], "max": [float(c) for c in points.max(axis=0)]}
    attributes = {
        "POSITION": store.add(points, _ARRAY, componentType=_FLOAT, type="VEC3", **box),
        "NORMAL": store.add(body.normals.astype("<f4"), _ARRAY, componentType=_FLOAT, type="VEC3"),
    }
    indices = store.add(body.triangles.astype("<u4").ravel(), _ELEMENTS, componentType=_UINT, type="SCALAR")
    primitive = {"attributes": attributes, "indices": indices, "material": material}
    return {"name": piece.name, "primitives": [primitive]}


def _y_up(v: Vector) -> Vector:
    """From x right, y back, z up to x right, y up, z towards the viewer."""
    return v[0], v[2], -v[1]


def _node(placed: Placed, origin: Vector, pieces: list[Piece]) -> dict[str, Any]:
    turn = np.array([_y_up(placed.x), _y_up(placed.y), _y_up(placed.z)]).T
    return {
        "name": placed.name,
        "mesh": pieces.index(placed.piece),
        "translation": [round(c / _METRE, 12) + 0.0 for c in _y_up(origin)],
        "rotation": [round(c, 12) + 0.0 for c in _quaternion(turn)],
    }


def _quaternion(turn: NDArray[np.float64]) -> tuple[float, float, float, float]:
    """The unit quaternion (x, y, z, w) of a rotation matrix, from its largest component, which keeps all digits."""
    m, trace = turn, float(np.trace(turn))
    squares = [1.0 + 2.0 * m[0, 0] - trace, 1.0 + 2.0 * m[1, 1] - trace, 1.0 + 2.0 * m[2, 2] - trace, 1.0 + trace]
    k = int(np.argmax(np.round(squares, 9)))
    products = np.array(
        [
            [squares[0], m[0, 1] + m[1, 0], m[0, 2] + m[2, 0], m[2, 1] - m[1, 2]],
            [m[0, 1] + m[1, 0], squares[1], m[1, 2] + m[2, 1], m[0, 2] - m[2, 0]],
            [m[0, 2] + m[2, 0], m[1, 2] + m[2, 1], squares[2], m[1, 0] - m[0, 1]],
            [m[2, 1] - m[1, 2], m[0, 2] - m[2, 0], m[1, 0] - m[0, 1], squares[3]],
        ]
    )
    x, y, z, w = products[k] / np.linalg.norm(products[k])
    return float(x), float(y), float(z), float(w)


def _material(kind: str) -> dict[str, Any]:
    red, green, blue, opaque = tint(kind)
    linear = [round(_linear(c), 6) for c in (red, green, blue)]
    surface = {"baseColorFactor": [*linear, opaque], "metallicFactor": 0.0, "roughnessFactor": 0.15}
    return {"name": kind, "pbrMetallicRoughness": surface, "alphaMode": "BLEND"}


def _linear(c: float) -> float:
    """From sRGB to linear light, as glTF wants its factors (IEC 61966-2-1, the sRGB transfer function)."""
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def _pack(content: dict[str, Any], data: bytes) -> bytes:
    text = json.dumps(content, separators=(",", ":")).encode("ascii")
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    length = 12 + 8 + len(text) + 8 + len(data)
    head = np.array([_MAGIC, 2, length, len(text), _JSON], dtype="<u4").tobytes()
    return head + text + np.array([len(data), _BIN], dtype="<u4").tobytes() + data


def check_glb(path: Path, design: Design, offsets: Mapping[str, Vector] | None = None) -> None:
    """Hold a GLB file against the design: names, each mesh's box and volume in metres, each node's place.

    Raises:
        WrongFile: naming the file and the first thing that differs.
    """
    try:
        content, data = _unpack(path)
        nodes, meshes = content["nodes"], content["meshes"]
        names = [node["name"] for node in nodes]
        expect(path, names == [p.name for p in design.placed], f"has the nodes {', '.join(names)}")
        parts = [part["name"] for part in meshes]
        expect(path, parts == [p.name for p in design.pieces], f"has the meshes {', '.join(parts)}")
        for piece, part in zip(design.pieces, meshes, strict=True):
            _check_mesh(path, content, data, part, piece)
        for node, (placed, origin) in zip(nodes, shifted_origins(design, offsets), strict=True):
            _check_node(path, node, parts, placed, origin)
    except WrongFile:
        raise
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise WrongFile(f"{path.name}: is not a GLB file of ours ({error!r})") from error


def _unpack(path: Path) -> tuple[dict[str, Any], bytes]:
    raw = path.read_bytes()
    expect(path, len(raw) >= 28, "is cut short")
    magic, version, length, text_length, text_kind = np.frombuffer(raw, "<u4", 5)
    expect(path, (magic, version, length) == (_MAGIC, 2, len(raw)), "has no glTF 2.0 header of its own length")
    end = 20 + int(text_length)
    data_length, data_kind = np.frombuffer(raw, "<u4", 2, end)
    whole = (text_kind, data_kind) == (_JSON, _BIN) and end + 8 + int(data_length) == len(raw)
    expect(path, whole, "has not one JSON and one binary chunk")
    content = json.loads(raw[20:end])
    expect(path, isinstance(content, dict), "has no JSON object")
    return content, raw[end + 8 :]


def _array(content: dict[str, Any], data: bytes, accessor: int) -> NDArray[np.float64]:
    fields = content["accessors"][accessor]
    view = content["bufferViews"][fields["bufferView"]]
    kind, width = {_FLOAT: "<f4", _UINT: "<u4"}[fields["componentType"]], {"VEC3": 3, "SCALAR": 1}[fields["type"]]
    return np.frombuffer(data, kind, fields["count"] * width, view["byteOffset"]).reshape(-1, width)


def _check_mesh(path: Path, content: dict[str, Any], data: bytes, part: dict[str, Any], piece: Piece) -> None:
    from parts.shape.mesh import SAG_MM, volume_slack_mm3
    from parts.shape.solid import made_volume_mm3

    primitive = part["primitives"][0]
    points = _array(content, data, primitive["attributes"]["POSITION"]).astype(np.float64)
    triangles = _array(content, data, primitive["indices"]).astype(np.int64).reshape(-1, 3)
    low, high = points.min(axis=0), points.max(axis=0)
    near, box = _NEAR + SAG_MM / _METRE, np.array(box_mm(piece)) / _METRE
    fits = bool((abs(low - box[0]) <= near).all() and (abs(high - box[1]) <= near).all())
    expect(path, fits, f"{piece.name} reaches from {low} to {high} m, not from {box[0]} to {box[1]} m")
    a, b, c = (points[triangles[:, k]] for k in range(3))
    volume = float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0) * _METRE**3
    whole = made_volume_mm3(piece)
    right = abs(volume - whole) <= volume_slack_mm3(piece) + 1e-6 * whole
    expect(path, right, f"{piece.name} holds {volume:.6g} mm3, not {whole:.6g} mm3")


def _check_node(path: Path, node: dict[str, Any], parts: list[str], placed: Placed, origin: Vector) -> None:
    part = parts[node["mesh"]]
    expect(path, part == placed.piece.name, f"makes {placed.name} of {part}, not of {placed.piece.name}")
    x, y, z, w = node["rotation"]
    own_x = (1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w))
    own_z = (2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y))
    stands = (
        math.dist(node["translation"], [c / _METRE for c in _y_up(origin)]) < _NEAR
        and math.dist(own_x, _y_up(placed.x)) < _NEAR
        and math.dist(own_z, _y_up(placed.z)) < _NEAR
    )
    expect(path, stands, f"{placed.name} does not stand where the design has it")
