"""The scene as plain data for the page's script: places in metres, y up, as in the GLB file; words for each piece and move."""

from __future__ import annotations

import base64
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from assemblies.packet.models.scene import FROM, Pool, Scene
from assemblies.packet.models.shapes import Shape
from assemblies.packet.models.tints import body_tint, water_tint
from assemblies.report.figures import amount, solid_words
from parts.lengths import LengthUnit

if TYPE_CHECKING:
    from assemblies.motion.plans.plays import Play, Ripple

__all__ = ["view_data"]

Report = Mapping[str, Any]


def view_data(report: Report, scene: Scene, unit: LengthUnit) -> dict[str, Any] | None:
    """Plain data for the page's script; None when the report does not say how the thing comes apart.

    `pieces`: name, offset when fully apart, a sentence. `seams`: id, the two pieces, corners of the face, level `ok`, `care` or
    `stop`. `marks`: level, id, a short and a whole text, place, the pieces named, `red` those that do not go in or run into
    another. `shapes` and `bodies`: what is bought; `pool`: its liquid at rest; `plays`: what moves. Arrays are base64 of 32-bit
    floats and 16-bit numbers, least byte first.
    """
    if "assembly" not in report or "fit" not in report:
        return None
    shapes = list(dict.fromkeys(body.shape for body in scene.bodies))
    return {
        "unit": unit,
        "from": _turned(FROM),
        "pieces": [
            {
                "name": p["name"],
                "offset": _metres(scene.ways.get(p["name"], (0.0, 0.0, 0.0))),
                "text": _words(report, p, unit),
            }
            for p in report["placed"]
        ],
        "seams": [
            {"id": s.id, "a": s.a, "b": s.b, "level": s.level, "ends": [_metres(s.low), _metres(s.high)]}
            for s in scene.seams
        ],
        "marks": [
            {
                "level": m.level,
                "id": m.id,
                "short": m.short,
                "text": m.text,
                "at": _metres(m.at),
                "pieces": list(m.pieces),
                "red": list(m.red),
            }
            for m in scene.marks
        ],
        "shapes": [_shape(shape) for shape in shapes],
        "bodies": [
            {
                "kind": b.kind,
                "shape": shapes.index(b.shape),
                "at": _metres(b.at),
                "axis": _turned(b.axis),
                "piece": b.piece,
                "way": _metres(b.way),
                "tint": list(body_tint(b.kind)),
            }
            for b in scene.bodies
        ],
        "pool": None if scene.pool is None else _pool(scene.pool),
        "plays": [_play(one) for one in scene.plays],
        "turning": [one.kind for one in scene.plays] == ["gears"],
    }


def _turned(v: Sequence[float]) -> list[float]:
    """From x right, y back, z up, to y up, z to the front."""
    return [round(float(c), 9) + 0.0 for c in (v[0], v[2], -v[1])]


def _metres(point_mm: Sequence[float]) -> list[float]:
    return _turned([c / 1000.0 for c in point_mm])


def _shape(shape: Shape) -> dict[str, str]:
    x, y, z = shape.points.T / 1000.0
    return {"points": _floats(np.column_stack([x, z, -y])), "triangles": _numbers(shape.triangles)}


def _floats(values: Any) -> str:
    return base64.b64encode(np.asarray(values).astype("<f4").tobytes()).decode("ascii")


def _numbers(values: Any) -> str:
    return base64.b64encode(np.asarray(values).astype("<u2").tobytes()).decode("ascii")


def _pool(pool: Pool) -> dict[str, Any]:
    return {
        "name": pool.name,
        "room": _shape(pool.room),
        "level": round(pool.level_mm / 1000.0, 7),
        "litres": round(pool.volume_mm3 / 1e6, 4),
        "tint": list(water_tint()),
    }


def _play(one: Play) -> dict[str, Any]:
    """Lengths in metres, angles in rad, volumes in litres."""
    return {
        "name": one.name,
        "kind": one.kind,
        "words": _called(one),
        "times": _rounded(one.times, 6),
        "way": _turned(one.way),
        "places": _rounded(one.places / 1000.0, 6),
        "pivot": _metres(one.pivot),
        "axis": _turned(one.axis),
        "angles": _rounded(one.angles, 6),
        "levels": _rounded(one.levels / 1000.0, 6),
        "litres": _rounded(one.kept / 1e6, 4),
        "ripple": None if one.ripple is None else _ripple(one.ripple),
        "spins": [
            {"names": list(s.names), "at": _metres(s.at), "axis": _turned(s.axis), "rate": s.rate} for s in one.spins
        ],
    }


def _called(one: Play) -> str:
    """As it is chosen by."""
    if one.kind == "stand":
        return f"{one.name}: leaned {math.degrees(one.angles[0]):.0f}°"
    how = "" if one.proven else ", not proven"
    return f"{one.name}: {one.times[-1]:.1f} s at true speed{how}"


def _rounded(values: Iterable[float], digits: int) -> list[float]:
    """Nothing but nought is one nought, which stands for all."""
    out = [round(float(v), digits) + 0.0 for v in values]
    return out if any(out) else out[:1]


def _ripple(one: Ripple) -> dict[str, Any]:
    x, y = one.places.T / 1000.0
    return {
        "places": _floats(np.column_stack([x, -y])),
        "triangles": _numbers(one.triangles),
        "rim": one.rim.tolist(),
        "floor": round(one.floor_mm / 1000.0, 7),
        "waves": len(one.shapes),
        "shapes": _floats(one.shapes),
        "heights": _floats(one.heights / 1000.0),
    }


def _words(report: Report, placed: Report, unit: LengthUnit) -> str:
    part = next(p for p in report["parts"] if p["part"] == placed["part"])
    seams = [s["id"] for s in report["fit"]["seams"] if placed["name"] in (s["a"], s["b"])]
    return (
        f"{placed['name']}: part {part['part']}, {solid_words(part['size'], unit)}, {amount(part['mass'], 'kg', 3)}. "
        f"Seams: {', '.join(seams) or 'none'}."
    )
