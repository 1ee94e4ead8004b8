"""Makes the reference values of solid_boxes.csv and hard_boxes.csv: the box as a solid, quadratic bricks (C3D20), solved
with CalculiX (`ccx`).

A development tool, not a test: it needs the Debian package calculix-ccx. Corners are one solid piece (no adhesive
line). A structured mesh: `cells` per thickness, finer beside every joint. Moments are integrals of the stress at the
Gauss points through the thickness, so that the singular stress at a re-entrant corner does not enter; at a joint
face they are carried on linearly from the last two Gauss planes. Run: python solid_box.py [name ...]
"""

from __future__ import annotations

import itertools
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

GAUSS = np.sqrt(0.6) * np.array([-1.0, 0.0, 1.0])
WEIGHT = np.array([5.0, 8.0, 5.0]) / 18.0
CORNERS = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2)]
EDGES = [(0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
FACES = {(2, -1): 1, (2, 1): 2, (1, -1): 3, (0, 1): 4, (1, 1): 5, (0, -1): 6}


@dataclass(frozen=True, kw_only=True)
class Solid:
    """A box as a solid; inside from (0, 0, 0) to (length, width, height); walls grow outward.

    base: flat (underside held in z), hung (held in z along the middle planes of the walls, at the underside: no
        twist is held there), pads (underside held over `pads`).
    pressure: p(x, y, z) MPa on the inner faces. mirrored: planes of symmetry, a subset of "xy".
    extra: more solid blocks (x0, x1, y0, y1, z0, z1).
    """

    name: str
    length: float
    width: float
    height: float
    left: float
    right: float
    front: float
    back: float
    bottom: float
    pressure: Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]
    lid: float = 0.0
    base: str = "flat"
    mirrored: str = ""
    modulus: float = 3200.0
    poisson: float = 0.37
    cells: int = 2
    largest: float = 30.0
    extra: tuple[tuple[float, ...], ...] = ()
    pads: tuple[tuple[float, ...], ...] = ()
    cuts: tuple[tuple[float, ...], ...] = field(default=((), (), ()))


def spread(start: float, end: float, first: float, largest: float) -> list[float]:
    """Places from start to end, small at both ends, growing by 1.5 up to `largest`."""
    half, sizes, size = (end - start) / 2.0, [], first
    while sum(sizes) + size < half:
        sizes.append(size)
        size = min(size * 1.5, largest)
    if not sizes:
        return [start, end] if end - start < 1.5 * first else [start, (start + end) / 2.0, end]
    rest = half - sum(sizes)
    if rest < sizes[-1] / 2.0:
        sizes = [s * half / sum(sizes) for s in sizes]
    else:
        sizes.append(rest)
    left = np.concatenate([[0.0], np.cumsum(sizes)])
    places = np.concatenate([start + left, end - left[-2::-1]])
    return [float(p) for p in places]


def lines(box: Solid) -> list[np.ndarray]:
    """Grid lines in x, y, z."""
    outer = (
        (-box.left, box.length + box.right),
        (-box.front, box.width + box.back),
        (-box.bottom, box.height + box.lid),
    )
    inner = ((0.0, box.length), (0.0, box.width), (0.0, box.height))
    thin = (min(box.left, box.right), min(box.front, box.back), box.bottom)
    result = []
    for k in range(3):
        lo, hi = outer[k]
        stops = {lo, hi, *inner[k], *box.cuts[k]}
        for block in (*box.extra,):
            stops |= {block[2 * k], block[2 * k + 1]}
        if "xy"[k : k + 1] in box.mirrored and k < 2:
            stops = {s for s in stops if s <= sum(inner[k]) / 2.0} | {sum(inner[k]) / 2.0}
        ordered = sorted(stops)
        places: list[float] = [ordered[0]]
        for a, b in itertools.pairwise(ordered):
            if b - a <= 2.5 * max(box.left, box.front, box.bottom):
                count = max(1, round(box.cells * (b - a) / thin[k]))
                part = list(np.linspace(a, b, count + 1))
            else:
                part = spread(a, b, thin[k] / box.cells, box.largest)
            places += part[1:]
        result.append(np.array(places))
    return result


def mesh(box: Solid) -> tuple[list[np.ndarray], np.ndarray]:
    """Grid lines, and which cells are solid."""
    grid = lines(box)
    mid = [(g[1:] + g[:-1]) / 2.0 for g in grid]
    x, y, z = np.meshgrid(*mid, indexing="ij")
    within = (x > -box.left) & (x < box.length + box.right) & (y > -box.front) & (y < box.width + box.back)
    within &= (z > -box.bottom) & (z < box.height + box.lid)
    hollow = (x > 0) & (x < box.length) & (y > 0) & (y < box.width) & (z > 0) & (z < box.height)
    solid = within & ~hollow
    for x0, x1, y0, y1, z0, z1 in box.extra:
        solid |= (x > x0) & (x < x1) & (y > y0) & (y < y1) & (z > z0) & (z < z1)
    return grid, solid


def run(box: Solid) -> dict[str, np.ndarray]:
    """Solve; gives node places and displacements, element cells and Gauss-point stresses."""
    grid, solid = mesh(box)
    cells = np.argwhere(solid)
    shape = [2 * len(g) - 1 for g in grid]
    half = [np.interp(np.arange(2 * len(g) - 1) / 2.0, np.arange(len(g)), g) for g in grid]
    offsets = [*CORNERS]
    offsets += [tuple((CORNERS[a][k] + CORNERS[b][k]) // 2 for k in range(3)) for a, b in EDGES]
    keys = 2 * cells[:, None, :] + np.array(offsets)[None, :, :]
    flat = np.ravel_multi_index(tuple(np.moveaxis(keys, 2, 0)), shape)
    used, numbers = np.unique(flat, return_inverse=True)
    numbers = numbers.reshape(flat.shape) + 1
    index = np.stack(np.unravel_index(used, shape), axis=1)
    places = np.stack([half[k][index[:, k]] for k in range(3)], axis=1)
    folder = Path(tempfile.mkdtemp(prefix="solid-box-"))
    _write(folder / "box.inp", box, grid, solid, cells, numbers, places)
    subprocess.run(["ccx", "box"], cwd=folder, check=True, capture_output=True, timeout=900)
    moved, stress = _read(folder / "box.dat", len(places), len(cells))
    shutil.rmtree(folder)
    return {"places": places, "moved": moved, "cells": cells, "stress": stress, "grid": np.array(grid, dtype=object)}


def _write(path: Path, box: Solid, grid, solid, cells, numbers, places) -> None:
    out = ["*NODE, NSET=ALL"]
    out += [f"{i + 1},{p[0]:.9g},{p[1]:.9g},{p[2]:.9g}" for i, p in enumerate(places)]
    out.append("*ELEMENT, TYPE=C3D20, ELSET=BOX")
    for i, row in enumerate(numbers):
        out += [f"{i + 1}," + ",".join(map(str, row[:14])) + ",", ",".join(map(str, row[14:]))]
    out += ["*MATERIAL, NAME=M", "*ELASTIC", f"{box.modulus},{box.poisson}", "*SOLID SECTION, ELSET=BOX, MATERIAL=M"]
    out.append("*BOUNDARY")
    out += [f"{n + 1},{axis + 1},{axis + 1},0." for n, axis in _held(box, places)]
    out += ["*STEP", "*STATIC", "*DLOAD"]
    mid, size = [(g[1:] + g[:-1]) / 2.0 for g in grid], [np.diff(g) for g in grid]
    net = np.zeros(3)
    for i, cell in enumerate(cells):
        for (axis, way), face in FACES.items():
            beside = cell.copy()
            beside[axis] += way
            if not 0 <= beside[axis] < solid.shape[axis] or solid[tuple(beside)]:
                continue
            at = [float(mid[k][cell[k]]) for k in range(3)]
            out_at = [float(mid[k][beside[k]]) for k in range(3)]
            inside = all(0 < out_at[k] < size for k, size in enumerate((box.length, box.width, box.height)))
            at[axis] = float(grid[axis][cell[axis] + (way + 1) // 2])
            if inside:
                value = float(box.pressure(*(np.array(v) for v in at)))
                if value:
                    out.append(f"{i + 1},P{face},{value:.9g}")
                    area = np.prod([size[k][cell[k]] for k in range(3) if k != axis])
                    net[axis] += -way * value * area
    out += _base_shear(box, grid, cells, numbers, net)
    out += ["*NODE PRINT, NSET=ALL", "U", "*EL PRINT, ELSET=BOX", "S", "*END STEP", ""]
    path.write_text("\n".join(out))


def _base_shear(box: Solid, grid, cells, numbers, net) -> list[str]:
    """Nodal forces on the underside that balance the liquid's sideways push (which any real base does), evenly
    spread.
    """
    low = np.nonzero(cells[:, 2] == 0)[0]
    area = np.array([np.prod([np.diff(grid[k])[cells[e, k]] for k in (0, 1)]) for e in low])
    out = ["*CLOAD"]
    for k, name in enumerate("xy"):
        if name in box.mirrored:
            continue
        force = np.zeros(numbers.max() + 1)
        for e, share in zip(low, area / area.sum(), strict=True):
            force[numbers[e, :4]] -= -net[k] * share / 12.0
            force[numbers[e, 8:12]] += -net[k] * share / 3.0
        out += [f"{n},{k + 1},{force[n]:.9g}" for n in np.nonzero(force)[0]]
    return out if len(out) > 1 else []


def _held(box: Solid, places: np.ndarray):
    x, y, z = places.T
    low = z < -box.bottom + 1e-6
    if box.base == "flat":
        upright = low
    elif box.base == "hung":
        on = np.abs(x + box.left / 2.0) < 1e-6
        on |= np.abs(x - box.length - box.right / 2.0) < 1e-6
        on |= np.abs(y + box.front / 2.0) < 1e-6
        on |= np.abs(y - box.width - box.back / 2.0) < 1e-6
        upright = low & on
    else:
        upright = np.zeros(len(x), dtype=bool)
        for x0, x1, y0, y1 in box.pads:
            upright |= low & (x > x0 - 1e-6) & (x < x1 + 1e-6) & (y > y0 - 1e-6) & (y < y1 + 1e-6)
    held = [(int(n), 2) for n in np.nonzero(upright)[0]]
    middle = (box.length / 2.0, box.width / 2.0)
    for k, name in enumerate("xy"):
        along = (x, y)[k]
        if name in box.mirrored:
            chosen = np.abs(along - middle[k]) < 1e-6
        else:  # hold the foot of the middle of the box sideways: enough, and it carries no load
            distance = np.abs(along - middle[k]) + 1e3 * (z + box.bottom)
            chosen = np.zeros(len(x), dtype=bool)
            other = (y, x)[k]
            order = np.argsort(distance)[: max(2, len(x) // 500)]
            chosen[order[np.argmin(other[order])]] = True
            chosen[order[np.argmax(other[order])]] = "xy"[1 - k] not in box.mirrored and k == 0
        held += [(int(n), k) for n in np.nonzero(chosen)[0]]
    return held


def _read(path: Path, nodes: int, elements: int) -> tuple[np.ndarray, np.ndarray]:
    text = path.read_text()
    start = text.index("stresses")
    first, second = text[:start], text[start:]
    moved = np.array([line.split()[1:4] for line in first.splitlines() if len(line.split()) == 4], dtype=float)
    rows = [line.split()[2:8] for line in second.splitlines() if len(line.split()) == 8 and line.split()[0].isdigit()]
    stress = np.array(rows, dtype=float)
    assert len(moved) == nodes
    assert len(stress) == 27 * elements
    return moved, stress.reshape(elements, 3, 3, 3, 6)  # z, y, x order of Gauss points


def moments(box: Solid, got, normal: int, side: int, direction: int):
    """Moment and force per mm of a panel, with places: panel normal to axis `normal`, on its low (0) or high (1)
    side; stress along `direction`. Returns (u, v, moment, force): u, v the places along the two other axes; positive
    moment = outside in tension."""
    span = (
        ((-box.left, 0.0), (box.length, box.length + box.right)),
        ((-box.front, 0.0), (box.width, box.width + box.back)),
        ((-box.bottom, 0.0), (box.height, box.height + box.lid)),
    )[normal][side]
    grid, cells, stress = got["grid"], got["cells"], got["stress"]
    mid = [(np.asarray(g)[1:] + np.asarray(g)[:-1]) / 2.0 for g in grid]
    others = [k for k in range(3) if k != normal]
    inside = np.ones(len(cells), dtype=bool)
    sizes = (box.length, box.width, box.height)
    place = mid[normal][cells[:, normal]]
    inside &= (place > span[0]) & (place < span[1])
    for k in others:
        at = mid[k][cells[:, k]]
        inside &= (at > 0) & (at < sizes[k])
    points = [_gauss_places(np.asarray(g)) for g in grid]
    nu, nv = (len(points[k]) for k in others)
    moment, force = np.zeros((nu, nv)), np.zeros((nu, nv))
    centre = (span[0] + span[1]) / 2.0
    for e in np.nonzero(inside)[0]:
        values = np.moveaxis(stress[e, ..., direction], (0, 1, 2), (2, 1, 0))  # x, y, z
        values = np.moveaxis(values, normal, 2)
        length = float(grid[normal][cells[e, normal] + 1] - grid[normal][cells[e, normal]])
        arm = (points[normal][3 * cells[e, normal] : 3 * cells[e, normal] + 3] - centre) * (1 if side else -1)
        u, v = 3 * cells[e, others[0]], 3 * cells[e, others[1]]
        moment[u : u + 3, v : v + 3] += values @ (arm * WEIGHT) * length
        force[u : u + 3, v : v + 3] += values @ WEIGHT * length
    keep_u = (points[others[0]] > 0) & (points[others[0]] < sizes[others[0]])
    keep_v = (points[others[1]] > 0) & (points[others[1]] < sizes[others[1]])
    cut = np.ix_(keep_u, keep_v)
    return points[others[0]][keep_u], points[others[1]][keep_v], moment[cut], force[cut]


def _gauss_places(grid: np.ndarray) -> np.ndarray:
    mid, size = (grid[1:] + grid[:-1]) / 2.0, np.diff(grid)
    return (mid[:, None] + GAUSS[None, :] * size[:, None] / 2.0).ravel()


def at_face(places: np.ndarray, values: np.ndarray, face: float, reach: float) -> np.ndarray:
    """Values (along axis 0) at a face: a cubic fitted to the Gauss planes within `reach` of it.

    The moment inside one quadratic brick wavers about the true curve, so two planes alone would carry the waver on.
    """
    near = np.abs(places - face) <= reach
    fit = np.polynomial.polynomial.polyfit((places[near] - face) / reach, values[near], 3)
    return fit[0]


def moved_at(got, x: float, y: float, z: float) -> np.ndarray:
    """Displacement of the node nearest to a place."""
    return got["moved"][np.argmin(np.sum((got["places"] - np.array([x, y, z])) ** 2, axis=1))]


SIDES = {  # panel: (normal axis, high side, axis of u, axis of v)
    "left": (0, 0, 1, 2), "right": (0, 1, 1, 2), "front": (1, 0, 0, 2), "back": (1, 1, 0, 2), "bottom": (2, 0, 0, 1),
}  # fmt: skip


def read(box: Solid, got) -> dict[str, float]:
    """Deflections (mm, outward) at the middle of rims and floor; section bending stresses (MPa): at the rims' middle
    along the rim, at the floor's middle, and the largest along each joint face in each of its two panels (away from
    the top 2 %)."""
    size = (box.length, box.width, box.height)
    thick = {name: getattr(box, name) for name in SIDES}
    seen: dict[str, float] = {}
    panels = [
        n for n in SIDES if not (n == "right" and "x" in box.mirrored) and not (n == "back" and "y" in box.mirrored)
    ]
    for name in panels:
        normal, high, u_axis, v_axis = SIDES[name]
        place = [size[0] / 2.0, size[1] / 2.0, size[2] / 2.0]
        place[normal] = (size[normal] + thick[name] / 2.0) if high else -thick[name] / 2.0
        if name != "bottom":
            place[2] = size[2]
        if name == "bottom" and box.base == "flat":
            continue
        way = 1.0 if high else -1.0
        seen[f"{name} w"] = way * float(moved_at(got, *place)[normal])
        for direction, other in ((u_axis, v_axis), (v_axis, u_axis)):
            u, v, moment, _ = moments(box, got, normal, high, direction)
            stress = 6.0 * moment / thick[name] ** 2
            along, across = (u, v) if direction == u_axis else (v, u)
            values = stress if direction == u_axis else stress.T  # rows run along `direction`
            for end, face in ((0, 0.0), (1, size[direction])):
                if direction == 2 and end == 1:
                    continue  # the free rim
                if end == 1 and "xyz"[direction] in box.mirrored:
                    continue
                neighbour = {(0, 0): "left", (0, 1): "right", (1, 0): "front", (1, 1): "back", (2, 0): "bottom"}[
                    direction, end
                ]
                joint = at_face(along, values, face, 4.0 * thick[name])
                clear = across < 0.98 * size[other] if other == 2 else np.ones(len(across), dtype=bool)
                seen[f"{name} at {neighbour}"] = float(np.max(np.abs(joint[clear])))
            if name == "bottom" or direction == u_axis:
                label = f"{name} mid {'xyz'[direction]}" if name == "bottom" else f"{name} rim"
                target = size[other] / 2.0 if name == "bottom" else size[2]
                seen[label] = _at(along, across, values, size[direction] / 2.0, target)
    return seen


def _at(along: np.ndarray, across: np.ndarray, values: np.ndarray, place: float, target: float) -> float:
    """A value from a quadratic fitted over the Gauss points around a place."""
    rows, columns = np.argsort(np.abs(along - place))[:9], np.argsort(np.abs(across - target))[:9]
    a, b = np.meshgrid(along[rows] - place, across[columns] - target, indexing="ij")
    terms = np.stack([np.ones_like(a), a, b, a * a, b * b, a * b], axis=-1).reshape(-1, 6)
    scale = np.maximum(np.abs(terms).max(axis=0), 1e-12)
    fit = np.linalg.lstsq(terms / scale, values[np.ix_(rows, columns)].ravel(), rcond=None)[0]
    return float(fit[0])


def read_middles(box: Solid, got) -> dict[str, float]:
    """Deflection (mm, outward) and section bending stresses (MPa, across and up) at the middle of each wall and lid."""
    size, seen = (box.length, box.width, box.height), {}
    for name, (normal, high, u_axis, v_axis) in (SIDES | {"lid": (2, 1, 0, 1)}).items():
        thick = getattr(box, name)
        twin = (name == "right" and "x" in box.mirrored) or (name == "back" and "y" in box.mirrored)
        if name == "bottom" or twin or not thick:
            continue
        place = [length / 2.0 for length in size]
        place[normal] = size[normal] + thick / 2.0 if high else -thick / 2.0
        seen[f"{name} mid w"] = (1.0 if high else -1.0) * float(moved_at(got, *place)[normal])
        for direction, other, label in ((u_axis, v_axis, "across"), (v_axis, u_axis, "up")):
            u, v, moment, _ = moments(box, got, normal, high, direction)
            stress = 6.0 * moment / thick**2
            along, beside = (u, v) if direction == u_axis else (v, u)
            values = stress if direction == u_axis else stress.T
            seen[f"{name} mid {label}"] = _at(along, beside, values, size[direction] / 2.0, size[other] / 2.0)
    return seen


WATER = 9.81e-6  # N/mm3


def still(depth: float):
    """Water at rest, this deep."""
    return lambda x, y, z: WATER * np.maximum(depth - z, 0.0)


def tilted(depth: float, slope_x: float, slope_y: float, length: float, width: float, gravity: float = 1.0):
    """Water whose surface slopes (rises per mm of x and y) about the middle; `gravity` is the share square to the
    floor.
    """
    return lambda x, y, z: (
        gravity * WATER * np.maximum(depth + slope_x * (x - length / 2.0) + slope_y * (y - width / 2.0) - z, 0.0)
    )


def every() -> list[Solid]:
    """The boxes of solid_boxes.csv."""
    a = {"length": 600.0, "width": 300.0, "height": 400.0} | dict.fromkeys(SIDES, 10.0)
    b = {
        "length": 500.0,
        "width": 250.0,
        "height": 300.0,
        "left": 8.0,
        "right": 8.0,
        "front": 12.0,
        "back": 12.0,
        "bottom": 10.0,
    }
    c = {"length": 300.0, "width": 200.0, "height": 150.0} | dict.fromkeys(SIDES, 6.0)
    ring = ((-10.0, 610.0, -10.0, 20.0, 400.0, 406.0), (-10.0, 20.0, -10.0, 310.0, 400.0, 406.0))
    cuts = ((20.0,), (20.0,), (406.0,))
    feet = ((-6.0, 100.0, 50.0, 150.0), (200.0, 306.0, 50.0, 150.0))
    return [
        Solid(name="plain", **a, mirrored="xy", pressure=still(400.0)),
        Solid(name="plain hung", **a, mirrored="xy", pressure=still(400.0), base="hung"),
        Solid(name="strip inward", **a, mirrored="xy", pressure=still(400.0), extra=ring, cuts=cuts),
        Solid(name="unequal", **b, mirrored="xy", pressure=still(300.0)),
        Solid(name="unequal hung", **(b | {"bottom": 8.0}), mirrored="xy", pressure=still(280.0), base="hung"),
        Solid(name="sliding", **a, mirrored="y", pressure=tilted(340.0, -0.2, 0.0, 600.0, 300.0)),
        Solid(
            name="tilted to the lip",
            **c,
            mirrored="x",
            pressure=tilted(105.0, 0.0, 0.45, 300.0, 200.0, 0.912),
            base="hung",
        ),
        Solid(name="small hung", **c, mirrored="xy", pressure=still(120.0), base="hung"),
        Solid(
            name="on plates",
            **c,
            mirrored="xy",
            pressure=still(120.0),
            base="pads",
            pads=feet,
            cuts=((100.0,), (50.0,), ()),
        ),
    ]


def hard() -> list[Solid]:
    """The boxes of hard_boxes.csv: twice as tall as wide, a lid bonded on and tilted, thin walls between thick ones."""
    tall = {"length": 220.0, "width": 180.0, "height": 400.0} | dict.fromkeys(SIDES, 8.0)
    lidded = {"length": 360.0, "width": 240.0, "height": 200.0} | dict.fromkeys(SIDES, 8.0) | {"back": 6.0, "lid": 6.0}
    thin = {"length": 450.0, "width": 260.0, "height": 280.0, "left": 5.0, "right": 5.0, "front": 14.0, "back": 7.0}
    leaned = tilted(140.0, 0.0, 0.4, 360.0, 240.0, 0.928)
    slid = tilted(200.0, 0.0, -0.35, 450.0, 260.0)
    return [
        Solid(name="tall", **tall, mirrored="xy", pressure=still(400.0)),
        Solid(name="tall hung", **tall, mirrored="xy", pressure=still(400.0), base="hung"),
        Solid(name="lid tilted hung", **lidded, mirrored="x", pressure=leaned, base="hung"),
        Solid(name="thin sliding", **thin, bottom=10.0, mirrored="x", pressure=slid),
        Solid(name="thin sliding hung", **thin, bottom=10.0, mirrored="x", pressure=slid, base="hung"),
    ]


def read_hard(box: Solid, got) -> dict[str, float]:
    """What is in hard_boxes.csv."""
    return read(box, got) | read_middles(box, got)


def main(names: list[str]) -> None:
    """Print rows of solid_boxes.csv, or of hard_boxes.csv for the boxes named that are in it: each value on two meshes."""
    wanted = [(box, read) for box in every() if not names or box.name in names]
    wanted += [(box, read_hard) for box in hard() if box.name in names]
    for box, reader in wanted:
        coarse, fine = (
            reader(b, run(b)) for b in (box, replace(box, cells=3, largest=max(box.length, box.height) / 18.0))
        )
        for quantity, value in fine.items():
            print(f"{box.name},{quantity},{value:.5g},{coarse[quantity]:.5g}", flush=True)


if __name__ == "__main__":
    print("box,quantity,value,coarser_mesh")
    main(sys.argv[1:])
