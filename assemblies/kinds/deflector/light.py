"""A parallel beam on a deflector, ray by ray, in the plane square to its bend lines: where it crosses, how wide it gets.

Rays run in that plane, are thrown back once by the lit face as drawn, and spread no further: polish, waves and the size of the
lamp are left out, so a true bundle is wider than the narrowest figure here and its focus cooler. Distances count from where
the middle ray meets the face, along the middle ray as it is thrown back.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assemblies.design import Placed, flat_parts
from parts.findings import NotCovered
from parts.shape.bent import bent

__all__ = ["Light", "Traced", "trace"]

Floats = NDArray[np.float64]
_RAYS = 801
_SHOWN = 21
_FAR = 40.0  # beams: as far as a narrowest place is looked for
_BACK = 1e-9


@dataclass(frozen=True, kw_only=True)
class Traced:
    """What comes of the beam.

    Attributes:
        beam_mm: its width across the bend lines.
        focus_mm, edge_mm: where rays beside the middle one and edge rays cross it; behind the face: below 0; None where they
            stay parallel.
        narrow_at_mm, narrow_mm: where the bundle is narrowest, at the face or before it, and how wide it is there.
        at_mm, spot_mm: the distance asked for, and the width there.
        turned_deg: by how much the beam is spread or gathered, from one edge ray to the other.
        lost: share of the rays that do not come back: they miss, or meet the sheet again.
        face, rays: what the plot shows, x and z in the world: the lit face, and rays as chains of points.
    """

    beam_mm: float
    focus_mm: float | None
    edge_mm: float | None
    narrow_at_mm: float
    narrow_mm: float
    at_mm: float
    spot_mm: float
    turned_deg: float
    lost: float
    face: tuple[tuple[float, float], ...]
    rays: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True, kw_only=True)
class Light:
    """What the deflector does to light and light to it: the report's `light`.

    Attributes:
        thrown_back: share of the light; `surface` as ordered.
        sun_flux, lamp_flux: W/m2 at the narrowest place; None where there is no sun, or no lamp is given.
        lamp_on_sheet: W/m2, the brightest place of the lamp's light on the sheet.
        warm_c, most_c: how warm the sheet may get under the lamp, and how warm it may be.
    """

    surface: str
    thrown_back: float
    traced: Traced
    gathers: float
    sun_flux: float | None
    lamp_flux: float | None
    lamp_on_sheet: float | None
    warm_c: float | None
    most_c: float
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class _Face:
    """A stretch of the lit face, by its ends; of an arc its centre and radius, and whether its hollow side is lit."""

    a: tuple[float, float]
    b: tuple[float, float]
    normal: tuple[float, float]
    centre: tuple[float, float] | None = None
    radius: float = 0.0
    hollow: bool = True
    angle: float = 0.0


def _faces(hung: Placed) -> list[_Face]:
    """The near face of a bent piece whose bend lines run along y, in x and z."""

    def flat(point: tuple[float, float, float]) -> tuple[float, float]:
        return point[0], point[2]

    out = []
    for part in (one.placed for one in flat_parts(hung)):
        wide = part.piece.outline.size_mm[0]
        down = (-part.z[0], -part.z[2])
        out.append(_Face(flat(part.world(0.0, 0.0, 0.0)), flat(part.world(wide, 0.0, 0.0)), down))
    for band in bent(hung.piece).bands:
        radius = band.inside_mm if band.side < 0 else band.outside_mm
        a, middle, b = (hung.world(*band.at(radius, band.angle_rad * k)) for k in (0.0, 0.5, 1.0))
        centre = flat(hung.world(*band.centre))
        sign = 1.0 if band.side < 0 else -1.0
        way = (sign * (centre[0] - middle[0]) / radius, sign * (centre[1] - middle[2]) / radius)
        out.append(_Face(flat(a), flat(b), way, centre, radius, band.side < 0, band.angle_rad))
    return out


def trace(hung: Placed, at_mm: float, beam_mm: float | None = None, tilt_deg: float = 0.0) -> Traced:
    """A beam from below on the lit face of a deflector.

    Args:
        hung: the deflector in its place, its bend lines along y.
        at_mm: where the width of the spot is asked for.
        beam_mm: width of the beam, about its middle ray; all that the deflector takes if None.
        tilt_deg: by how much the beam leans to the right on its way up.

    Raises:
        NotCovered: the middle ray does not come back.
    """
    faces = _faces(hung)
    lean = math.radians(tilt_deg)
    way, across = np.array([math.sin(lean), math.cos(lean)]), np.array([math.cos(lean), -math.sin(lean)])
    ends = np.array([p for face in faces for p in (face.a, face.b)])
    low, high = float((ends @ across).min()), float((ends @ across).max())
    wide = high - low if beam_mm is None else min(beam_mm, high - low)
    offsets = (low + high) / 2.0 + np.linspace(-0.5, 0.5, _RAYS) * wide * (1.0 - 1e-9)
    depth = float((ends @ way).min()) - 2.0 * (high - low)
    start = offsets[:, None] * across + depth * way
    hits, normals, times = _meet(faces, start, np.broadcast_to(way, start.shape))
    facing = np.isfinite(times) & ((normals @ way) < -_BACK)
    back = way - 2.0 * (normals @ way)[:, None] * normals
    again = np.isfinite(_meet(faces, hits + 1e-6 * back, back)[2])
    middle = _RAYS // 2
    if not facing[middle] or again[middle]:
        raise NotCovered("the middle of the beam is not thrown back by the deflector")
    axis = back[middle]
    side = np.array([axis[1], -axis[0]])
    along, forward = (hits - hits[middle]) @ axis, back @ axis
    good = facing & ~again & (forward > 1e-6)
    height, slope = ((hits - hits[middle]) @ side)[good], (back @ side)[good] / forward[good]
    along = along[good]

    def width(z: float) -> float:
        there = height + (z - along) * slope
        return float(there.max() - there.min())

    narrow = _least(width, _FAR * wide)
    number = np.flatnonzero(good)
    near = [_crosses(height, slope, along, int(np.searchsorted(number, middle + k))) for k in (-1, 1)]
    edges = [_crosses(height, slope, along, k) for k in (0, -1)]
    return Traced(
        beam_mm=wide, focus_mm=_mean(near), edge_mm=_mean(edges), narrow_at_mm=narrow, narrow_mm=width(narrow), at_mm=at_mm,
        spot_mm=width(at_mm), turned_deg=math.degrees(abs(math.atan(slope[-1]) - math.atan(slope[0]))),
        lost=1.0 - float(good.mean()), face=tuple(_drawn(faces)), rays=_shown(start, hits, back, good, high - low, max(at_mm, narrow)),
    )  # fmt: skip


def _meet(faces: list[_Face], start: Floats, way: Floats) -> tuple[Floats, Floats, Floats]:
    """First place where each ray meets a face, the face's normal there, and how far along; infinite where it meets none."""
    times = np.full(len(start), np.inf)
    normals = np.zeros_like(start)
    for face in faces:
        if face.centre is None:
            a, b = np.array(face.a), np.array(face.b)
            edge = b - a
            cross = way[:, 0] * edge[1] - way[:, 1] * edge[0]
            with np.errstate(divide="ignore", invalid="ignore"):
                t = ((a - start)[:, 0] * edge[1] - (a - start)[:, 1] * edge[0]) / cross
                part = ((a - start)[:, 0] * way[:, 1] - (a - start)[:, 1] * way[:, 0]) / cross
            found = np.where((t > 1e-9) & (part >= -1e-9) & (part <= 1.0 + 1e-9), t, np.inf)
            own = np.broadcast_to(np.array(face.normal), start.shape)
            normals, times = np.where((found < times)[:, None], own, normals), np.minimum(times, found)
            continue
        away = start - np.array(face.centre)
        half = (away * way).sum(axis=1)
        root = half**2 - (away**2).sum(axis=1) + face.radius**2
        for sign in (-1.0, 1.0):
            with np.errstate(invalid="ignore"):
                t = -half + sign * np.sqrt(root)
            spot = away + t[:, None] * way
            out = spot / face.radius
            middle = np.array(face.normal) * (-1.0 if face.hollow else 1.0)
            inside = (out @ middle) >= math.cos(face.angle / 2.0) - 1e-12
            found = np.where((root >= 0.0) & (t > 1e-9) & inside, t, np.inf)
            own = -out if face.hollow else out
            normals, times = np.where((found < times)[:, None], own, normals), np.minimum(times, found)
    with np.errstate(invalid="ignore"):
        hits = np.where(
            np.isfinite(times)[:, None], start + np.where(np.isfinite(times), times, 0.0)[:, None] * way, 0.0
        )
    return hits, normals, times


def _least(width: Callable[[float], float], most: float) -> float:
    """Where a convex function is least, from 0 on, by thirds."""
    low, high = 0.0, most
    for _ in range(200):
        a, b = low + (high - low) / 3.0, high - (high - low) / 3.0
        if width(a) <= width(b):
            high = b
        else:
            low = a
    return 0.0 if high < 1e-6 * most else (low + high) / 2.0


def _crosses(height: Floats, slope: Floats, along: Floats, k: int) -> float | None:
    """Where a ray crosses the middle one."""
    return None if abs(slope[k]) < 1e-9 else float(along[k] - height[k] / slope[k])


def _mean(found: list[float | None]) -> float | None:
    there = [one for one in found if one is not None]
    return math.fsum(there) / len(there) if len(there) == len(found) else None


def _drawn(faces: list[_Face]) -> list[tuple[float, float]]:
    """The lit face as one chain of points, from left to right."""
    rows = []
    for face in faces:
        if face.centre is None:
            rows.append([face.a, face.b])
            continue
        start = math.atan2(face.a[1] - face.centre[1], face.a[0] - face.centre[0])
        turn = math.remainder(math.atan2(face.b[1] - face.centre[1], face.b[0] - face.centre[0]) - start, math.tau)
        turn = math.copysign(face.angle, turn if abs(turn) < math.pi - 1e-9 else -1.0)
        rows.append([
            (face.centre[0] + face.radius * math.cos(start + turn * k / 32), face.centre[1] + face.radius * math.sin(start + turn * k / 32))
            for k in range(33)
        ])  # fmt: skip
    out = [rows.pop(0)] if rows else []
    chain = list(out[0]) if out else []
    while rows:
        following = min(rows, key=lambda row: math.dist(row[0], chain[-1]))
        before = min(rows, key=lambda row: math.dist(row[-1], chain[0]))
        if math.dist(following[0], chain[-1]) <= math.dist(before[-1], chain[0]):
            rows.remove(following)
            chain += following[1:]
        else:
            rows.remove(before)
            chain = [*before[:-1], *chain]
    return chain


def _shown(
    start: Floats, hits: Floats, back: Floats, good: NDArray[np.bool_], high: float, far: float
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Some rays for the plot: from below, to the face, and as far back as is of interest."""
    out = []
    for k in np.linspace(0, _RAYS - 1, _SHOWN).round().astype(int):
        if good[k]:
            lead = hits[k] + (start[k] - hits[k]) * min(1.0, 0.25 * high / float(np.linalg.norm(start[k] - hits[k])))
            end = hits[k] + back[k] * min(1.15 * far, 4.0 * high)
            out.append(tuple((float(p[0]), float(p[1])) for p in (lead, hits[k], end)))
    return tuple(out)
