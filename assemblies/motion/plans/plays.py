"""Planned moves as a picture plays them: where the rig is at each time, how high its liquid stands, its first waves; and how it
stands where it is only leaned.

All figures are the plans' own, thinned; whoever plays them goes evenly from one time to the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np
from numpy.typing import NDArray

from assemblies.liquid.waves.modes import rect_shapes, round_shapes
from assemblies.motion.path.profile import Array
from assemblies.motion.plans.basin import ALL_WAVES, SQUARE, Basin
from assemblies.motion.plans.spin import spun_liquid
from assemblies.motion.plans.turning import over, turning
from parts.findings import SeamwrightError
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.plans.moves import Moves, PlannedSlide, PlannedTurn
    from assemblies.motion.plans.spin import PlannedSpin
    from assemblies.order import CaseSpec, Order

__all__ = ["Play", "Ripple", "Spin", "plays"]

#: Waves of each direction that are shown: they carry over nine tenths of the rise (`plans.basin`). Judgement.
SHOWN_WAVES: Final = 3
_SLIDE_S: Final = 0.02  # from sample to sample: sixteen in the third wave of a tank of 300 mm
_TURN_S: Final = 0.1
_MOST: Final = 1500
_AFTER: Final = 2.0  # periods after the stop that are played
_CELLS: Final = 24  # of the surface along its length, and half round
_RINGS: Final = 8
_SPEEDS: Final = 40  # at which the surface of what spins is looked at
_UP: Final[Vector] = (0.0, 0.0, 1.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Ripple:
    """The surface of liquid in an upright tank, as it swings.

    Attributes:
        places: (n, 2) of the tank's plan, mm.
        triangles: of the surface, seen from above counter-clockwise.
        rim: places around it, counter-clockwise.
        floor_mm: the height of the floor.
        shapes: (waves, n): how high each stands at each place, of its height at the wall; of what spins, rings, each by itself.
        heights: (times, waves), mm.
    """

    places: Array
    triangles: NDArray[np.int64]
    rim: NDArray[np.int64]
    floor_mm: float
    shapes: Array
    heights: Array


@dataclass(frozen=True, kw_only=True)
class Spin:
    """Instances that turn together: a point of their axis, its direction, rad/s (right-handed)."""

    names: tuple[str, ...]
    at: Vector
    axis: Vector
    rate: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Play:
    """A move by its samples, from rest; of what only stands leaned there is one sample.

    Attributes:
        name, kind: of the case, or of what turns.
        proven: whether the check of the motion has passed it.
        times: s.
        way, places: the direction of a slide, and how far along it, mm.
        pivot, axis, angles: a line that it turns about, rad, right-handed.
        levels: height of the surface over the rig's origin, along what is up then, mm; empty where it is dry.
        kept: what is in it, mm3.
        ripple: of a slide or a spin with liquid.
        spins: what turns in itself.
    """

    name: str
    kind: Literal["slide", "turn", "spin", "stand", "gears"]
    proven: bool
    times: Array
    way: Vector = (1.0, 0.0, 0.0)
    places: Array
    pivot: Vector = (0.0, 0.0, 0.0)
    axis: Vector = (0.0, 1.0, 0.0)
    angles: Array
    levels: Array
    kept: Array
    ripple: Ripple | None = None
    spins: tuple[Spin, ...] = ()


def plays(order: Order, moves: Moves | None, liquid: LiquidState | None) -> Iterator[Play]:
    """What can be played, in the order of the cases: planned moves, and how it stands after a lean that is not planned."""
    slides = {one.spec.name: one for one in moves.slides} if moves else {}
    turns = {one.spec.name: one for one in moves.turns} if moves else {}
    spins = {one.spec.name: one for one in moves.spins} if moves else {}
    for spec in order.case:
        if spec.name in slides:
            yield _slide(slides[spec.name], moves)
        elif spec.name in turns:
            yield _turn(turns[spec.name], moves)
        elif spec.name in spins:
            yield _spin(spins[spec.name], moves, liquid)
        elif spec.kind == "turn" and not spec.planned and liquid is not None:
            found = _leaned(spec, liquid)
            if found is not None:
                yield found


def _thinned(times: Array, step: float, more: tuple[float, ...] = ()) -> Array:
    """As many times as are played, the last and some more among them."""
    count = min(max(math.ceil(float(times[-1]) / step), 2), _MOST)
    return np.unique(np.concatenate([np.linspace(0.0, float(times[-1]), count + 1), more]))


def _slide(one: PlannedSlide, moves: Moves | None) -> Play:
    plan, path, pool = one.plan, one.plan.path, one.plan.pool
    after = 0.0 if pool is None else _AFTER * math.tau / float(pool.swing.omega.min())
    times = _thinned(np.array([0.0, path.time + after]), _SLIDE_S, (path.time,))
    places = np.where(times < path.time, path.at(times)[0], one.spec.distance or 0.0)
    nil = np.zeros(len(times))
    return Play(
        name=one.spec.name,
        kind="slide",
        proven=moves is not None and one.spec.name in moves.passed,
        times=times,
        way=plan.way,
        places=places,
        angles=nil,
        ripple=None if pool is None else _ripple(pool, one, times),
        levels=np.zeros(0) if pool is None else nil + pool.rest.level_mm,
        kept=np.zeros(0) if pool is None else nil + pool.rest.kept_mm3,
    )


def _ripple(pool: Basin, one: PlannedSlide, times: Array) -> Ripple:
    """The first waves along each way, over a net of places."""
    state, cavity = pool.swing.along(one.plan.path, times), pool.rest.cavity
    ends = cavity.upright_box
    if ends is not None:
        along = [k for k in (0, 1) if abs(one.plan.way[k]) > SQUARE]
        places, triangles, rim = _net(ends, along)
        middle = [(ends[0][k] + ends[1][k]) / 2.0 for k in (0, 1)]
        shares = {k: (places[:, k] - middle[k]) / (ends[1][k] - ends[0][k]) for k in along}
        shapes = [rect_shapes(shares[k], SHOWN_WAVES) for k in along]
        floor = ends[0][2]
    else:
        assert cavity.cylinder is not None
        tube, way = cavity.cylinder, np.array(one.plan.way[:2])
        places, triangles, rim, share, turn = _disc(tube.radius_mm)
        shapes = [round_shapes(share, np.cos(turn), SHOWN_WAVES)]
        ahead = way / np.linalg.norm(way)
        places = places @ np.array([ahead, [-ahead[1], ahead[0]]]) + np.array(tube.base[:2])
        floor = tube.base[2]
    first = [n * ALL_WAVES + k for n in range(len(shapes)) for k in range(SHOWN_WAVES)]
    return Ripple(
        places=places,
        triangles=triangles,
        rim=rim,
        floor_mm=floor,
        shapes=np.concatenate(shapes),
        heights=state.q[:, first],
    )


def _net(ends: tuple[Vector, Vector], along: list[int]) -> tuple[Array, NDArray[np.int64], NDArray[np.int64]]:
    """A rectangle in cells, finer along the ways of its waves."""
    counts = [_CELLS if k in along else 1 for k in (0, 1)]
    xs, ys = (np.linspace(ends[0][k], ends[1][k], counts[k] + 1) for k in (0, 1))
    places = np.column_stack([np.tile(xs, len(ys)), np.repeat(ys, len(xs))])
    wide, i = len(xs), np.arange(len(xs) - 1)
    rows = [r * wide + i for r in range(len(ys) - 1)]
    triangles = [
        np.concatenate([np.column_stack([k, k + 1, k + wide + 1]), np.column_stack([k, k + wide + 1, k + wide])])
        for k in rows
    ]
    last = len(places) - 1
    rim = [*range(wide), *range(2 * wide - 1, last, wide), *range(last, last - wide, -1)]
    rim += list(range(last + 1 - 2 * wide, 0, -wide))
    return places, np.vstack(triangles), np.array(rim)


def _disc(radius: float) -> tuple[Array, NDArray[np.int64], NDArray[np.int64], Array, Array]:
    """A disc in rings about its middle; with each place's share of the radius, and its angle."""
    around = 2 * _CELLS
    share = np.concatenate([[0.0], np.repeat(np.arange(1, _RINGS + 1) / _RINGS, around)])
    turn = np.concatenate([[0.0], np.tile(np.arange(around) * math.tau / around, _RINGS)])
    places = radius * share[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    k, n = np.arange(around), (np.arange(around) + 1) % around
    triangles = [np.column_stack([np.zeros(around, dtype=np.int64), 1 + k, 1 + n])]
    for ring in range(_RINGS - 1):
        inner, outer = 1 + ring * around, 1 + (ring + 1) * around
        triangles.append(np.column_stack([inner + k, outer + k, outer + n]))
        triangles.append(np.column_stack([inner + k, outer + n, inner + n]))
    return places, np.vstack(triangles), 1 + (_RINGS - 1) * around + k, share, turn


def _turn(one: PlannedTurn, moves: Moves | None) -> Play:
    plan = one.plan
    back = plan.turns_back < len(plan.times)
    turned = float(plan.times[plan.turns_back]) if back else float(plan.times[-1])
    times = _thinned(plan.times, _TURN_S, (turned,))
    angles = np.interp(times, plan.times, plan.angles)
    out, home = (np.array([s.liquid.level_mm for s in tilts.states]) for tilts in (plan.out, plan.back))
    levels = np.interp(angles, plan.out.angles, out)
    if back:
        levels = np.where(times > turned, np.interp(angles, plan.back.angles, home), levels)
    wet = plan.depth > 0.0
    x, y, _ = plan.toward
    return Play(
        name=one.spec.name,
        kind="turn",
        proven=moves is not None and one.spec.name in moves.passed,
        times=times,
        places=np.zeros(len(times)),
        pivot=one.pivot,
        axis=(-y, x, 0.0),
        angles=angles,
        levels=levels if wet else np.zeros(0),
        kept=np.interp(times, plan.times, plan.left) if wet else np.zeros(0),
    )


def _spin(one: PlannedSpin, moves: Moves | None, liquid: LiquidState | None) -> Play:
    """Turned about its axis, its liquid at each moment as if it had followed."""
    clock, turned, rates, _ = one.samples
    times = _thinned(clock, _TURN_S)
    angles = np.interp(times, clock, turned)
    proven = moves is not None and one.spec.name in moves.passed
    if one.liquid is None or liquid is None:
        return Play(
            name=one.spec.name,
            kind="spin",
            proven=proven,
            times=times,
            places=np.zeros(len(times)),
            axis=_UP,
            angles=angles,
            levels=np.zeros(0),
            kept=np.zeros(0),
        )
    rest = one.liquid
    volume, speeds = math.pi * rest.radius**2 * rest.depth, np.linspace(0.0, one.omega, _SPEEDS + 1)[1:]
    states = [spun_liquid(liquid.cavity, volume, float(speed), rest.density) for speed in speeds]
    places, triangles, rim, share, _ = _disc(rest.radius)
    rings = np.arange(_RINGS + 1) / _RINGS
    found = np.array([np.full(_RINGS + 1, rest.depth), *(state.level(rings * rest.radius) for state in states)])
    spilled = np.array([0.0, *(state.spilled for state in states)])
    now = np.interp(times, clock, rates)
    at = np.concatenate([[0.0], speeds])
    heights = np.column_stack([np.interp(now, at, ring) for ring in found.T]) - rest.depth
    lost = np.maximum.accumulate(np.interp(now, at, spilled))
    x, y = rest.axis
    ripple = Ripple(
        places=places + np.array([x, y]),
        triangles=triangles,
        rim=rim,
        floor_mm=rest.floor,
        shapes=np.array([np.isclose(share, ring) for ring in rings], dtype=np.float64),
        heights=heights,
    )
    return Play(
        name=one.spec.name,
        kind="spin",
        proven=proven,
        times=times,
        places=np.zeros(len(times)),
        pivot=(x, y, 0.0),
        axis=_UP,
        angles=angles,
        levels=np.full(len(times), rest.floor + rest.depth),
        kept=volume - lost,
        ripple=ripple,
    )


def _leaned(spec: CaseSpec, liquid: LiquidState) -> Play | None:
    """At its full angle, with what stays in it; None where the engine ends."""
    from assemblies.liquid.engine import settle
    from assemblies.liquid.loads.cases import gravity_at_tilt

    volume = liquid.fill_l * 1e6
    try:
        _, angle = turning(spec, liquid.cavity, volume)
        toward = over(spec)
        if not 0.0 < abs(angle) <= math.pi / 2.0 + 1e-9 or abs(math.hypot(*toward) - 1.0) > SQUARE:
            return None  # about no level axis, or over a quarter turn
        rest = settle(liquid.cavity, volume, gravity_at_tilt(abs(angle), toward))
    except SeamwrightError:
        return None
    x, y, _ = toward
    return Play(
        name=spec.name,
        kind="stand",
        proven=True,
        times=np.zeros(1),
        places=np.zeros(1),
        axis=(-y, x, 0.0),
        angles=np.array([abs(angle)]),
        levels=np.array([rest.level_mm]),
        kept=np.array([rest.kept_mm3]),
    )
