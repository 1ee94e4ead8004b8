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

__all__ = ["Light", "Traced", "hottest", "trace"]

Floats = NDArray[np.float64]
_RAYS = 801
_SHOWN = 21
_FAR = 40.0  # beams: as far as a narrowest place is looked for
_BACK = 1e-9
_PLANES = 400  # at which the hottest place is looked for


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
        gathers, hot_at_mm: how many times over light is gathered at the hottest place, and how far off that is.
        sun_flux, lamp_flux: W/m2 there; None where there is no sun, or no lamp is given.
        lamp_on_sheet: W/m2, the brightest place of the lamp's light on the sheet.
        warm_c, most_c: how warm the sheet may get under the lamp, and how warm it may be.
    """

    surface: str
    thrown_back: float
    traced: Traced
    gathers: float
    hot_at_mm: float
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


def _faces(hung: Placed, far: bool = False) -> list[_Face]:
    """The near face of a bent piece whose bend lines run along y, in x and z; or its far face, upside down."""
    thick, up = bent(hung.piece).bands[0].thick_mm, -1.0 if far else 1.0

    def flat(point: tuple[float, float, float]) -> tuple[float, float]:
        return point[0], up * point[2]

    out = []
    for part in (one.placed for one in flat_parts(hung)):
        wide, at = part.piece.outline.size_mm[0], thick if far else 0.0
        down = (part.z[0], -part.z[2]) if far else (-part.z[0], -part.z[2])
        out.append(_Face(flat(part.world(0.0, 0.0, at)), flat(part.world(wide, 0.0, at)), down))
    for band in bent(hung.piece).bands:
        hollow = (band.side < 0) != far
        radius = band.inside_mm if hollow else band.outside_mm
        a, middle, b = (hung.world(*band.at(radius, band.angle_rad * k)) for k in (0.0, 0.5, 1.0))
        centre, (x, z) = flat(hung.world(*band.centre)), flat(middle)
        sign = 1.0 if hollow else -1.0
        way = (sign * (centre[0] - x) / radius, sign * (centre[1] - z) / radius)
        out.append(_Face(flat(a), flat(b), way, centre, radius, hollow, band.angle_rad))
    return out


@dataclass(frozen=True)
class _Cast:
    """Rays sent from below: where they start, hit, go on; which come back; those by their height over the middle ray, slope and
    place along it."""

    wide: float
    start: Floats
    hits: Floats
    back: Floats
    good: NDArray[np.bool_]
    height: Floats
    slope: Floats
    along: Floats

    def heights(self, z: float) -> Floats:
        return self.height + (z - self.along) * self.slope

    def width(self, z: float) -> float:
        there = self.heights(z)
        return float(there.max() - there.min())


def _cast(faces: list[_Face], beam_mm: float | None, tilt_deg: float) -> _Cast | None:
    """A beam on some faces; None where its middle ray does not come back."""
    lean = math.radians(tilt_deg)
    way, across = np.array([math.sin(lean), math.cos(lean)]), np.array([math.cos(lean), -math.sin(lean)])
    ends = np.array([p for face in faces for p in _spots(face)])
    low, high = float((ends @ across).min()), float((ends @ across).max())
    wide = high - low if beam_mm is None else min(beam_mm, high - low)
    offsets = (low + high) / 2.0 + np.linspace(-0.5, 0.5, _RAYS) * wide * (1.0 - 1e-9)
    start = offsets[:, None] * across + (float((ends @ way).min()) - 2.0 * (high - low)) * way
    hits, normals, times = _meet(faces, start, np.broadcast_to(way, start.shape))
    facing = np.isfinite(times) & ((normals @ way) < -_BACK)
    back = way - 2.0 * (normals @ way)[:, None] * normals
    again = np.isfinite(_meet(faces, hits + 1e-6 * back, back)[2])
    middle = _RAYS // 2
    if not facing[middle] or again[middle]:
        return None
    axis = back[middle]
    forward = back @ axis
    good = facing & ~again & (forward > 1e-6)
    away, side = hits - hits[middle], np.array([axis[1], -axis[0]])
    return _Cast(
        wide, start, hits, back, good, (away @ side)[good], (back @ side)[good] / forward[good], (away @ axis)[good]
    )


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
    cast = _cast(faces, beam_mm, tilt_deg)
    if cast is None:
        raise NotCovered("the middle of the beam is not thrown back by the deflector")
    narrow, number = _least(cast.width, _FAR * cast.wide), np.flatnonzero(cast.good)
    near = [_crosses(cast, int(np.searchsorted(number, _RAYS // 2 + k))) for k in (-1, 1)]
    edges = [_crosses(cast, k) for k in (0, -1)]
    return Traced(
        beam_mm=cast.wide,
        focus_mm=_mean(near),
        edge_mm=_mean(edges),
        narrow_at_mm=narrow,
        narrow_mm=cast.width(narrow),
        at_mm=at_mm,
        spot_mm=cast.width(at_mm),
        lost=1.0 - float(cast.good.mean()),
        face=tuple(_drawn(faces)),
        turned_deg=math.degrees(abs(math.atan(cast.slope[-1]) - math.atan(cast.slope[0]))),
        rays=_shown(cast, max(at_mm, narrow)),
    )


def hottest(hung: Placed, tilt_deg: float, blur_rad: float) -> tuple[float, float]:
    """How many times over light is gathered somewhere before either side, all of the deflector lit, and how far off that is.

    A window as wide as the source's own picture there is moved over the rays; straight on, and at a tilt. What lights the other
    side counts too: film and silver throw back on both.
    """
    best = (1.0, 0.0)
    for far in (False, True):
        for tilt in dict.fromkeys((0.0, tilt_deg)):
            cast = _cast(_faces(hung, far), None, tilt)
            for z in np.linspace(0.0, 4.0, _PLANES + 1)[1:] ** 2 * cast.wide if cast is not None else ():
                assert cast is not None
                there, window = np.sort(cast.heights(float(z))), max(float(z) * blur_rad, cast.wide / _RAYS * 4.0)
                inside = np.searchsorted(there, there + window, side="right") - np.arange(len(there))
                best = max(best, (float(inside.max()) / _RAYS * cast.wide / window, float(z)))
    return best


def _spots(face: _Face) -> list[tuple[float, float]]:
    """Points by which its reach is known."""
    if face.centre is None:
        return [face.a, face.b]
    sign = -1.0 if face.hollow else 1.0
    top = (face.centre[0] + sign * face.radius * face.normal[0], face.centre[1] + sign * face.radius * face.normal[1])
    return [face.a, face.b, top]


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


def _crosses(cast: _Cast, k: int) -> float | None:
    """Where a ray crosses the middle one."""
    return None if abs(cast.slope[k]) < 1e-9 else float(cast.along[k] - cast.height[k] / cast.slope[k])


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
        (x, z), r = face.centre, face.radius
        rows.append(
            [(x + r * math.cos(start + turn * k / 32), z + r * math.sin(start + turn * k / 32)) for k in range(33)]
        )
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


def _shown(cast: _Cast, far: float) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Some rays for the plot: from below, to the face, and as far back as is of interest."""
    out = []
    for k in np.linspace(0, _RAYS - 1, _SHOWN).round().astype(int):
        if cast.good[k]:
            lead = cast.start[k] - cast.hits[k]
            first = cast.hits[k] + lead * min(1.0, 0.25 * cast.wide / float(np.linalg.norm(lead)))
            end = cast.hits[k] + cast.back[k] * min(1.15 * far, 4.0 * cast.wide)
            out.append(tuple((float(p[0]), float(p[1])) for p in (first, cast.hits[k], end)))
    return tuple(out)
