"""The bending of a flat piece of any outline: one function, meshes refined until the answer settles.

Source: thin-plate theory (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells). Valid: deflection up to half the
thickness, spans over ten thicknesses. A hole or inner corner that is narrow against the thickness is a sharper notch than thin
plates know of: their stress there is taken larger (`peak`). What it is not: forces in the sheet's plane, contact that opens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.sheets.borders import Array
from assemblies.strength.sheets.given import Attached, Held, Recess, Rib, SheetLoad, Spot
from assemblies.strength.sheets.level import Level, Plain, solved
from assemblies.strength.sheets.mesh import halved, mesh_of
from parts.findings import NotCovered, SeamwrightError
from parts.shape.outline import Circle, Outline

__all__ = ["SETTLED", "Reading", "SheetResult", "peak", "sheet"]

#: Change between the two finest meshes, as a share, from which it is settled (judgement: as of plates, `plates.limits`).
SETTLED: Final = 0.02
_COARSE = 10.0  # sides along the root of the area, on the first mesh
_FINER = 2.0
_LEVELS = 4
_LEFT = 1.0  # of the last change is still to come, where it goes with the first power of the size
_MOST = 30_000  # triangles


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A figure, where it is largest, and its error: the share by which it may still change."""

    value: float
    x_mm: float
    y_mm: float
    error: float

    @property
    def safe(self) -> float:
        """The figure, larger by what is in doubt."""
        return self.value * (1.0 + self.error)


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetResult:
    """A sheet under its loads, on the two finest meshes; loads may be added up, each times a weight.

    Attributes:
        levels: the answers on the two finest meshes, the finest last.
        joints: which of their places lie inside joints.
    """

    levels: tuple[Level, Level]
    joints: tuple[NDArray[np.bool_], NDArray[np.bool_]]

    @property
    def frequency_hz(self) -> tuple[float, float]:
        """The first frequency, extrapolated, and its error as a share.

        Raises:
            SeamwrightError: it was not asked for.
        """
        coarse, fine = (level.frequency_hz for level in self.levels)
        if coarse is None or fine is None:
            raise SeamwrightError("the first frequency was not asked for")
        return _extrapolated(coarse, fine), abs(fine - coarse) / fine

    def stress(self, weights: Sequence[float]) -> Reading:
        """The largest principal fibre stress on either face, MPa: 6 M / t2, at notches with their `peak`; not inside joints."""
        fibre = [
            6.0 * _principal(_added(level.moments, weights)) / level.thickness**2 * _peaks(level) * ~inside
            for level, inside in zip(self.levels, self.joints, strict=True)
        ]
        return self._reading([_largest(values) for values in fibre])

    def deflection(self, weights: Sequence[float]) -> Reading:
        """The largest deflection, mm, extrapolated."""
        (_, coarse), (at, fine) = (_largest(np.abs(_added(level.deflection, weights))) for level in self.levels)
        return self._reading([(0, coarse), (at, fine)], extrapolate=True)

    def moved(self, weights: Sequence[float], body: int = 0) -> tuple[float, float, float]:
        """A body's w (mm) and turns about x and y (rad) at its centre's place, extrapolated."""
        coarse, fine = (_added(level.moved, weights)[body] for level in self.levels)
        w, rx, ry = (_extrapolated(float(a), float(b)) for a, b in zip(coarse, fine, strict=True))
        return w, rx, ry

    def pulls(self, weights: Sequence[float]) -> Array:
        """What each held bolt pulls the sheet with along z, N."""
        return _added(self.levels[-1].pulls, weights)

    def moments(self, x_mm: float, y_mm: float, weights: Sequence[float]) -> tuple[float, float, float]:
        """xx, yy, xy at a place, N mm/mm, extrapolated."""
        coarse, fine = (_at(level, _added(level.moments, weights), x_mm, y_mm) for level in self.levels)
        xx, yy, xy = (float(_extrapolated(a, b)) for a, b in zip(coarse, fine, strict=True))
        return xx, yy, xy

    def sinks(self, x_mm: float, y_mm: float, weights: Sequence[float]) -> float:
        """Deflection at a place, mm, extrapolated."""
        coarse, fine = (_at(level, _added(level.deflection, weights)[:, None], x_mm, y_mm)[0] for level in self.levels)
        return _extrapolated(float(coarse), float(fine))

    def _reading(self, values: Sequence[tuple[int, float]], extrapolate: bool = False) -> Reading:
        (_, coarse), (at, fine) = values
        x, y = self.levels[-1].places[at]
        value = _extrapolated(coarse, fine) if extrapolate else fine
        error = (1.0 if extrapolate else _LEFT) * abs(fine - coarse) / fine if fine > 0.0 else 0.0
        return Reading(value=value, x_mm=float(x), y_mm=float(y), error=error)


def sheet(
    outline: Outline,
    thickness_mm: float,
    modulus_mpa: float,
    poisson: float,
    *,
    held: Sequence[Held],
    loads: Sequence[SheetLoad],
    bodies: Sequence[Attached] = (),
    ribs: Sequence[Rib] = (),
    recesses: Sequence[Recess] = (),
    density_kg_m3: float = 0.0,
    vibrates: bool = False,
    joint_mm: float = 0.0,
    settled: float = SETTLED,
) -> SheetResult:
    """A flat piece held and loaded: deflection, moments, stress at holes, first frequency.

    Meshes become twice as fine until largest stress and deflection of every load change by less than `settled`, or they are
    too many; the error is said with each reading.

    Args:
        outline: with holes and cut-outs as its inner loops.
        held: bolts, lines, the rim.
        loads: each by itself; the result adds them up.
        bodies: what moves with it.
        ribs: beams along it.
        recesses: pockets.
        density_kg_m3: of the sheet, where its own mass counts.
        vibrates: whether the first frequency is asked for.
        joint_mm: nearer to the end of a line no stress is read: half the thickness of the wall that stands there. It
            is inside the joint, and a thin plate has no finite stress there.
        settled: the change that ends the refining; who adds the error to each figure may take more.

    Raises:
        NotCovered: no sound mesh is found, or it can move away.
    """
    _see_held([one.at for one in held], [one.clamped for one in held], "the sheet", float(np.sqrt(outline.area_mm2)))
    for body in bodies:
        _see_held(body.at, [True] * len(body.at), body.name, float(np.sqrt(outline.area_mm2)))
    plain = Plain(
        thickness_mm=thickness_mm,
        modulus_mpa=modulus_mpa,
        poisson=poisson,
        density_kg_m3=density_kg_m3,
        recesses=tuple(recesses),
    )
    spots, lines = _wanted(held, bodies, ribs)
    holes = {spot: k for spot in spots for k, hole in enumerate(outline.inner) if _same(spot, hole)}
    rings = [spot for spot in spots if spot not in holes]
    marks = [one.outline for one in recesses] + [Circle(one.x_mm, one.y_mm, one.radius_mm) for one in rings]
    chains: list[object] = ["rim", *(None for _ in outline.inner), *lines, *(None for _ in recesses), *rings]
    for spot, k in holes.items():
        chains[1 + k] = spot
    size = float(np.sqrt(outline.area_mm2)) / _COARSE
    ends = [point for line in lines for point in (line[0], line[-1])] if joint_mm else []
    found: list[Level] = []
    mesh = mesh_of(outline, size, lines, marks, near=[(*p, joint_mm) for p in ends])
    for k in range(_LEVELS):
        mesh = halved(mesh) if k else mesh
        found.append(solved(mesh, chains, plain, held, bodies, ribs, loads, vibrates))
        result = _result(found, ends, joint_mm)
        if result and (_settled(result, len(loads), settled) or len(mesh.triangles) * _FINER**2 > _MOST):
            break
    assert result is not None
    return result


def peak(wide: float | Array) -> Any:
    """By what factor a notch is stressed more than a thin plate's, twice its radius over the thickness being `wide`.

    Of a round hole in a wide plate bent one way, over the same hole in a thin one. Source: Roark's Formulas for Stress and
    Strain, table 17.1, circular hole, out-of-plane bending (from memory); of inner corners, judgement.

    >>> [round(1.79 * peak(wide), 2) for wide in (0.0, 1.0, 100.0)]
    [2.98, 2.24, 1.79]
    """
    return (1.79 + 0.25 / (0.39 + wide) + 0.81 / (1.0 + wide**2) - 0.26 / (1.0 + wide**3)) / 1.79


def _peaks(level: Level) -> Array:
    return np.where(level.notch > 0.0, peak(2.0 * level.notch / level.thickness), 1.0)


def _result(found: Sequence[Level], ends: Sequence[tuple[float, float]], joint: float) -> SheetResult | None:
    """The answers on the two finest meshes, once there are two."""
    if len(found) < 2:
        return None
    masks = []
    for level in found[-2:]:
        inside = np.zeros(len(level.places), dtype=bool)
        for end in ends:
            inside |= np.hypot(*(level.places - np.array(end)).T) < joint * (1.0 - 1e-9)
        masks.append(inside)
    return SheetResult(levels=(found[-2], found[-1]), joints=(masks[0], masks[1]))


def _see_held(at: Sequence[object], clamped: Sequence[bool], what: str, size: float) -> None:
    """See that what holds it takes away every motion of a rigid sheet: up, and two turns.

    Raises:
        NotCovered: it does not.
    """
    rows: list[tuple[float, float, float]] = []
    for one, stiff in zip(at, clamped, strict=True):
        if isinstance(one, Spot):
            rows.append((1.0, one.x_mm / size, one.y_mm / size))
            rows += [(0.0, 1.0, 0.0), (0.0, 0.0, 1.0)] if one.stiff else []
        elif isinstance(one, str):
            return
        elif isinstance(one, tuple):
            rows += [(1.0, x / size, y / size) for x, y in one]
            rows += [(0.0, 1.0, 0.0), (0.0, 0.0, 1.0)] if stiff else []
    if not rows or np.linalg.matrix_rank(np.array(rows), tol=1e-4) < 3:
        raise NotCovered(f"{what} is not held: it can move away or turn about what holds it")


def _wanted(
    held: Sequence[Held], bodies: Sequence[Attached], ribs: Sequence[Rib]
) -> tuple[list[Spot], list[tuple[tuple[float, float], ...]]]:
    """The bolts and the lines that the mesh must have, each once."""
    every = [
        *(h.at for h in held if h.at != "rim"),
        *(at for b in bodies for at in b.at),
        *((r.start, r.end) for r in ribs),
    ]
    unique = list(dict.fromkeys(every))
    return [one for one in unique if isinstance(one, Spot)], [one for one in unique if isinstance(one, tuple)]


def _same(spot: Spot, hole: object) -> bool:
    if not isinstance(hole, Circle):
        return False
    return max(abs(spot.x_mm - hole.x_mm), abs(spot.y_mm - hole.y_mm), abs(spot.radius_mm - hole.radius_mm)) < 1e-6


def _settled(result: SheetResult, loads: int, within: float) -> bool:
    """Whether no load's stress or deflection may change by more than so much of the largest of all."""
    units = [[float(i == k) for i in range(loads)] for k in range(loads)]
    for readings in ([result.stress(w) for w in units], [result.deflection(w) for w in units]):
        most = max(one.value for one in readings)
        if any(one.error * one.value > within * most for one in readings):
            return False
    return result.levels[-1].frequency_hz is None or result.frequency_hz[1] <= within


def _added(values: Array, weights: Sequence[float]) -> Array:
    return np.asarray(np.tensordot(np.asarray(weights, dtype=float), values, axes=1))


def _principal(moments: Array) -> Array:
    """The principal moment that is larger in size."""
    mean, half = (moments[:, 0] + moments[:, 1]) / 2.0, (moments[:, 0] - moments[:, 1]) / 2.0
    return np.asarray(np.abs(mean) + np.hypot(half, moments[:, 2]))


def _largest(values: Array) -> tuple[int, float]:
    at = int(np.argmax(values))
    return at, float(values[at])


def _extrapolated(coarse: float, fine: float) -> float:
    """Richardson: the error goes with the square of the size."""
    return fine + (fine - coarse) / (_FINER**2 - 1.0)


def _at(level: Level, values: Array, x: float, y: float) -> Array:
    """Values at a place by a parabola through the nearest places."""
    step = level.places - np.array([x, y])
    near = np.argsort((step**2).sum(axis=1), kind="stable")[:14]
    u, v = (step[near] / np.sqrt((step[near] ** 2).sum(axis=1)).max()).T
    parts = np.stack([np.ones(len(near)), u, v, u * u, u * v, v * v], axis=1)
    return np.asarray(np.linalg.lstsq(parts, values[near], rcond=None)[0][0])
