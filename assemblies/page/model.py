"""What the view shows, as plain data: each part by its facets, where its pieces stand and go, the liquid at rest. No kernel.

Millimetres, z up, in the design's axes; parts in their own. Arrays are base64 of 32-bit floats and 16-bit numbers, least byte
first.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Set
from typing import Any, Final

import numpy as np

from assemblies.design.model import Design, Placed
from assemblies.fit.apart.facets import facets
from assemblies.liquid.state import Filled
from assemblies.packet.models.shapes import closed
from assemblies.packet.models.tints import tint, water_tint
from parts.findings import NotCovered
from parts.shape.piece import Piece
from parts.vectors import Vector

__all__ = ["model_of"]

_CHORD_MM: Final = 0.2  # how far a chord may leave its arc: not to be seen at the size of a page; judgement


def model_of(design: Design, ways: Mapping[str, Vector], given: Filled | None, red: Set[str]) -> dict[str, Any]:
    """The whole as the view's script reads it.

    Args:
        ways: by instance, how far it is moved when all is taken apart.
        given: what is in it, if it holds anything.
        red: instances that do not go in, or run into others.
    """
    pieces = list(design.pieces)
    return {
        "parts": [_part(piece) for piece in pieces],
        "pieces": [
            {
                "name": one.name,
                "part": pieces.index(one.piece),
                "origin": _rounded(one.origin),
                "x": _rounded(one.x),
                "z": _rounded(one.z),
                "way": _rounded(ways.get(one.name, (0.0, 0.0, 0.0))),
                "red": one.name in red,
            }
            for one in design.placed
        ],
        "pool": None if given is None or given.volume_mm3 <= 0.0 else _pool(given),
    }


def _part(piece: Piece) -> dict[str, Any]:
    """Its faces as rings, each outline with its openings, and its walls as quads."""
    at_home = Placed(name=piece.name, piece=piece, origin=(0.0, 0.0, 0.0), x=(1.0, 0.0, 0.0), z=(0.0, 0.0, 1.0))
    try:
        found = facets(at_home, _CHORD_MM, False)
    except NotCovered:
        return {"name": piece.name, "tint": list(tint(piece.kind)), "caps": [], "quads": ""}
    return {
        "name": piece.name,
        "tint": list(tint(piece.kind)),
        "caps": [
            {"normal": _rounded(normal), "rings": [_floats(ring) for ring in rings]}
            for rings, normal in zip(found.rings, found.ring_normals, strict=True)
        ],
        "quads": _floats(found.quads),
    }


def _pool(given: Filled) -> dict[str, Any]:
    room = closed(given.cavity)
    return {
        "points": _floats(room.points),
        "triangles": base64.b64encode(room.triangles.astype("<u2").tobytes()).decode("ascii"),
        "level": round(given.settled().level_mm, 4),
        "tint": list(water_tint()),
    }


def _rounded(values: Any) -> list[float]:
    return [round(float(v), 6) + 0.0 for v in values]


def _floats(values: Any) -> str:
    return base64.b64encode(np.asarray(values).astype("<f4").tobytes()).decode("ascii")
