"""Boxes as solids with a wall inside, pressed from one side, or with a sloped floor, by CalculiX (`test_solid_inner.py`).

A development tool, not a test: it needs the Debian package calculix-ccx. python solid_inner.py > solid_inner.json. Joints are
one solid piece. A sloped floor and round holes are made of the even grid by moving its nodes. Read of the piece inside: its bow
against its own edges, mm; of its sections the bending stress, MPa, in the field and carried to its joint faces; of the walls it
stands on that beside it; with holes the largest principal stress beside them, carried there from Gauss points.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "boxes"))
import solid_box

#: Inside, thickness of the box and of the piece, mm. A wall: where its left face stands, from which height to which, and holes
#: (their places along y and up, and their radius). A sloped floor: height of its lower face at its low end (left) and high end.
BOXES: dict[str, dict[str, Any]] = {
    "baffle": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "own": 6.0, "at": 150.0, "from": 0.0, "to": 120.0, "water": 120.0},
    "narrow": {"inner": [260.0, 120.0, 200.0], "t": 6.0, "own": 5.0, "at": 80.0, "from": 0.0, "to": 170.0, "water": 170.0},
    "thick": {"inner": [400.0, 300.0, 180.0], "t": 8.0, "own": 5.0, "at": 130.0, "from": 0.0, "to": 110.0, "water": 110.0},
    "over": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "own": 6.0, "at": 120.0, "from": 30.0, "to": 130.0, "water": 130.0},
    "holed": {"inner": [300.0, 200.0, 150.0], "t": 6.0, "own": 6.0, "at": 150.0, "from": 0.0, "to": 140.0, "water": 140.0,
              "holes": [[50.0, 45.0], [50.0, 105.0]], "radius": 9.0},
    "row": {"inner": [260.0, 160.0, 170.0], "t": 6.0, "own": 5.0, "at": 110.0, "from": 0.0, "to": 160.0, "water": 160.0,
            "holes": [[30.0, 40.0], [30.0, 80.0], [30.0, 120.0]], "radius": 8.0},
    "ramp": {"inner": [280.0, 180.0, 140.0], "t": 6.0, "own": 6.0, "low": 12.0, "high": 42.0, "water": 120.0},
    "steep": {"inner": [220.0, 260.0, 160.0], "t": 6.0, "own": 5.0, "low": 15.0, "high": 75.0, "water": 150.0},
}  # fmt: skip
_MEAN_MM = 1e-6


def _moving(one: dict[str, Any]) -> Callable[[np.ndarray], np.ndarray]:
    """Where the nodes of the even grid go."""
    length, _, height = one["inner"]
    if "low" in one:
        middle, own = _level(one)
        rise = one["high"] - one["low"]

        def slope(places: np.ndarray) -> np.ndarray:
            x, z = places[:, 0], places[:, 2]
            share = np.interp(z, [0.0, middle, middle + own, height], [0.0, 1.0, 1.0, 0.0])
            moved = places.copy()
            moved[:, 2] += share * rise * (np.clip(x / length, 0.0, 1.0) - 0.5)
            return moved

        return slope

    def rounded(places: np.ndarray) -> np.ndarray:
        moved, radius = places.copy(), one.get("radius", 0.0)
        within = (places[:, 0] > one["at"] - _MEAN_MM) & (places[:, 0] < one["at"] + one["own"] + _MEAN_MM)
        for y, z in one.get("holes", ()):
            off = moved[:, 1:] - np.array([y, z])
            square, true = np.abs(off).max(axis=1), np.maximum(np.hypot(off[:, 0], off[:, 1]), 1e-9)
            share = np.clip((2.0 * radius - square) / radius, 0.0, 1.0) * within
            moved[:, 1:] += off * (share * (square / true - 1.0))[:, None]
        return moved

    return rounded


def _level(one: dict[str, Any]) -> tuple[float, float]:
    """Of a sloped floor: height of its lower face in its middle, and its thickness upright."""
    length, (low, high) = one["inner"][0], (one["low"], one["high"])
    return (low + high) / 2.0, one["own"] * float(np.hypot(1.0, (high - low) / length))


def box(one: dict[str, Any]) -> solid_box.Solid:
    (length, width, height), t, own = one["inner"], one["t"], one["own"]
    if "low" in one:
        middle, upright = _level(one)
        block = (0.0, length, 0.0, width, middle, middle + upright)

        def press(x: Any, y: Any, z: Any) -> Any:
            above = (one["high"] - one["low"]) * (np.clip(x / length, 0.0, 1.0) - 0.5)
            true = z + above * np.interp(z, [middle + upright, height], [1.0, 0.0])
            return 9.81e-6 * np.maximum(one["water"] - true, 0.0) * (z > middle + upright - _MEAN_MM)
    else:
        block = (one["at"], one["at"] + own, 0.0, width, one["from"], one["to"])

        def press(x: Any, y: Any, z: Any) -> Any:
            return 9.81e-6 * np.maximum(one["water"] - z, 0.0) * (x < one["at"] + _MEAN_MM)

    r = one.get("radius", 0.0)
    cuts = [
        tuple({c + k * r for h in one.get("holes", ()) for c in (h[i],) for k in (-2.0, -1.0, 0.0, 1.0, 2.0)})
        for i in (0, 1)
    ]
    return solid_box.Solid(
        name="b", length=length, width=width, height=height, left=t, right=t, front=t, back=t, bottom=t, mirrored="y",
        pressure=press, extra=(block,), cuts=((), cuts[0], cuts[1]),
    )  # fmt: skip


def solved(one: dict[str, Any], **meshing: Any) -> tuple[solid_box.Solid, Any, np.ndarray]:
    whole, write, b, moving = solid_box.mesh, solid_box._write, replace(box(one), **meshing), _moving(one)
    kept: list[np.ndarray] = []

    def meshed(b: solid_box.Solid) -> tuple[list[np.ndarray], np.ndarray]:
        grid, solid = whole(b)
        x, y, z = np.meshgrid(*((g[1:] + g[:-1]) / 2.0 for g in grid), indexing="ij")
        for hy, hz in one.get("holes", ()):
            r = one["radius"]
            solid &= ~((x > one["at"]) & (x < one["at"] + one["own"]) & (np.abs(y - hy) < r) & (np.abs(z - hz) < r))
        return grid, solid

    def written(path: Path, b: Any, grid: Any, solid: Any, cells: Any, numbers: Any, places: Any) -> None:
        kept.append(moving(places))
        write(path, b, grid, solid, cells, numbers, kept[0])

    solid_box.mesh, solid_box._write = meshed, written
    try:
        return b, solid_box.run(b), kept[0]
    finally:
        solid_box.mesh, solid_box._write = whole, write


def read(one: dict[str, Any], **meshing: Any) -> dict[str, float]:
    b, got, _ = solved(one, **meshing)
    seen = _sloped(one, b, got) if "low" in one else _upright(one, b, got)
    return {name: round(float(value), 5) for name, value in seen.items()}


def _piece(one: dict[str, Any], got: Any) -> np.ndarray:
    """Which cells are those of the piece inside."""
    mid = [(np.asarray(g)[1:] + np.asarray(g)[:-1]) / 2.0 for g in got["grid"]]
    x, y, z = (mid[k][got["cells"][:, k]] for k in range(3))
    (length, width, _), inside = one["inner"], (x > 0.0) & (y > 0.0)
    inside &= (x < length) & (y < width)
    if "low" in one:
        middle, own = _level(one)
        return inside & (z > middle) & (z < middle + own)
    return inside & (x > one["at"]) & (x < one["at"] + one["own"]) & (z > one["from"]) & (z < one["to"])


def _bent(one: dict[str, Any], got: Any, normal: int, direction: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Places along the piece's two axes and the bending stress 6 M / t2 along a direction, over all Gauss places."""
    grid = [np.asarray(g) for g in got["grid"]]
    points = [solid_box._gauss_places(g) for g in grid]
    others = [k for k in range(3) if k != normal]
    moment = np.zeros([len(points[k]) for k in others])
    ends = (one["at"], one["at"] + one["own"]) if normal == 0 else (_level(one)[0], sum(_level(one)))
    for e in np.flatnonzero(_piece(one, got)):
        cell = got["cells"][e]
        values = np.moveaxis(got["stress"][e, ..., direction], (0, 1, 2), (2, 1, 0))
        values = np.moveaxis(values, normal, 2)
        length = grid[normal][cell[normal] + 1] - grid[normal][cell[normal]]
        arm = points[normal][3 * cell[normal] : 3 * cell[normal] + 3] - sum(ends) / 2.0
        u, v = (slice(3 * cell[k], 3 * cell[k] + 3) for k in others)
        moment[u, v] += values @ (arm * solid_box.WEIGHT) * length
    return points[others[0]], points[others[1]], 6.0 * moment / (ends[1] - ends[0]) ** 2


def _upright(one: dict[str, Any], b: solid_box.Solid, got: Any) -> dict[str, float]:
    (_, width, _), middle, t = one["inner"], one["at"] + one["own"] / 2.0, one["own"]
    on_floor, top, low = one["from"] == 0.0, one["to"], one["from"]

    def moved(y: float, z: float) -> float:
        return float(solid_box.moved_at(got, middle, y, z)[0])

    seen = {"bow": moved(width / 2.0, top) - moved(0.0, top)}
    y, z, across = _bent(one, got, 0, 1)
    inner, tall = (y > 0.0) & (y < width / 2.0), (z > low) & (z < top)
    wall = solid_box.at_face(y[inner], across[np.ix_(inner, tall)], 0.0, 4.0 * t)
    away = z[tall] < low + 0.98 * (top - low)
    away &= z[tall] > low + (0.02 * (top - low) if not on_floor else 0.0)
    seen["at front"] = float(np.abs(wall[away]).max())
    _, _, up = _bent(one, got, 0, 2)
    if on_floor:
        floor = solid_box.at_face(z[tall], up[np.ix_(inner, tall)].T, 0.0, 4.0 * t)
        seen["at bottom"] = float(np.abs(floor).max())
    far = _far_from_holes(one, y, z)
    for name, field in (("across", across), ("up", up)):  # in its middle half
        seen[name] = float(np.abs(np.where(far, field, 0.0)[np.ix_(inner & (y > width / 4.0), tall)]).max())
    if "holes" in one:
        seen["at holes"] = _at_holes(one, got)
    return seen | _walls(one, b, got)


def _far_from_holes(one: dict[str, Any], y: np.ndarray, z: np.ndarray) -> np.ndarray:
    far = np.ones((len(y), len(z)), dtype=bool)
    for hy, hz in one.get("holes", ()):
        far &= np.maximum(np.abs(y[:, None] - hy), np.abs(z[None, :] - hz)) > 2.0 * one["radius"]
    return far


def _at_holes(one: dict[str, Any], got: Any) -> float:
    """The largest principal stress in the cells beside the holes, carried to the faces and the edge from their Gauss points."""
    mid = [(np.asarray(g)[1:] + np.asarray(g)[:-1]) / 2.0 for g in got["grid"]]
    y, z = (mid[k][got["cells"][:, k]] for k in (1, 2))
    most = 0.0
    lagrange = _to_corner()
    for hy, hz in one["holes"]:
        near = _piece(one, got) & (np.maximum(np.abs(y - hy), np.abs(z - hz)) < 1.6 * one["radius"])
        for e in np.flatnonzero(near):
            values = got["stress"][e]
            for axis in range(3):
                values = np.moveaxis(np.tensordot(lagrange, values, axes=(1, axis)), 0, axis)
            xx, yy, zz, xy, xz, yz = np.moveaxis(values, -1, 0)
            tensor = np.stack([np.stack(r, axis=-1) for r in ((xx, xy, xz), (xy, yy, yz), (xz, yz, zz))], axis=-2)
            most = max(most, float(np.linalg.eigvalsh(tensor)[..., -1].max()))
    return most


def _to_corner() -> np.ndarray:
    """From the three Gauss points to both ends of an element, by the parabola through them."""
    g = 0.6**0.5
    at = np.array([-1.0, 1.0])
    return np.stack([at * (at - g) / (2.0 * g * g), 1.0 - at**2 / (g * g), at * (at + g) / (2.0 * g * g)], axis=1)


def _walls(one: dict[str, Any], b: solid_box.Solid, got: Any) -> dict[str, float]:
    """The bending stress of front and floor along x within four thicknesses of the wall inside."""
    seen, t = {}, one["t"]
    for name, (normal, other) in {"front": (1, 2), "bottom": (2, 1)}.items():
        u, v, moment, _ = solid_box.moments(b, got, normal, 0, 0)
        near = (np.abs(u - one["at"] - one["own"] / 2.0) < one["own"] / 2.0 + 4.0 * t) & (
            (u < one["at"]) | (u > one["at"] + one["own"])
        )
        clear = v < (0.98 * one["to"] if other == 2 else one["inner"][1] / 2.0)
        seen[f"{name} beside"] = float(np.abs(6.0 / t**2 * moment[np.ix_(near, clear)]).max())
    return seen


def _sloped(one: dict[str, Any], b: solid_box.Solid, got: Any) -> dict[str, float]:
    (length, width, _), t = one["inner"], one["own"]
    middle, own = _level(one)
    at = [
        float(solid_box.moved_at(got, x, width / 2.0, middle + own / 2.0)[2])
        for x in np.linspace(0.2, 0.8, 13) * length
    ]
    edge = [float(solid_box.moved_at(got, x, 0.0, middle + own / 2.0)[2]) for x in np.linspace(0.2, 0.8, 13) * length]
    seen = {"bow": max(abs(a - e) for a, e in zip(at, edge, strict=True))}
    x, y, along = _bent(one, got, 2, 0)
    _, _, across = _bent(one, got, 2, 1)
    lengthwise, half = (x > 0.0) & (x < length), (y > 0.0) & (y < width / 2.0)
    field = np.ix_(lengthwise & (x > 0.25 * length) & (x < 0.75 * length), half & (y > 0.25 * width))
    seen["across"], seen["along"] = float(np.abs(across[field]).max()), float(np.abs(along[field]).max())
    at_wall = solid_box.at_face(y[half], across[np.ix_(lengthwise, half)].T, 0.0, 4.0 * t)
    seen["at front"] = float(np.abs(at_wall).max())
    for name, face in (("left", 0.0), ("right", length)):
        at_end = solid_box.at_face(x[lengthwise], along[np.ix_(lengthwise, half)], face, 4.0 * t)
        seen[f"at {name}"] = float(np.abs(at_end).max())
    return seen


if __name__ == "__main__":
    found = {}
    for name, one in BOXES.items():
        if not sys.argv[1:] or name in sys.argv[1:]:
            largest = max(one["inner"]) / 14.0
            found[name] = {**one, "read": read(one, cells=2, largest=largest), "coarser": read(one, cells=1)}
    print(json.dumps(found, indent=1))
