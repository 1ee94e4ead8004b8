"""A planned slide: the path of each profile, what each does to the liquid, and the loads of the one that is asked for.

*Calm* is the shortest move that its drive can make without lifting a wall over its rim, less what waves left out of it may
add (`swing.shortest`); it is then tried with all waves, and made calmer until it holds with them too. Where a move is too long
for that, the jerk-limited or steady one is done in three parts (`path.shaper`), which still the first wave.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from assemblies.motion.path.profile import Path, s_curve, trapezoid
from assemblies.motion.path.shaper import shaper
from assemblies.motion.plans.basin import Basin, basin
from assemblies.motion.swing.shortest import shortest
from assemblies.motion.swing.stops import WorstStop, worst_stop
from assemblies.order import CaseSpec
from parts.findings import NotCovered
from parts.vectors import Vector, unit

if TYPE_CHECKING:
    from assemblies.liquid.loads.cases import LiquidCase
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["Slide", "Tried", "plan_slide", "slide_loads"]

Name = Literal["steady", "smooth", "shaped", "calm"]
_LESS: Final = 0.98  # of the room that is left, each time a calm move is made calmer
_ROUNDS: Final = 7


@dataclass(frozen=True, kw_only=True, eq=False)
class Tried:
    """A profile and what it does to the liquid, all waves included; mm, s.

    Attributes:
        name: `steady`, `smooth`, `calm`, or `shaped` for the one done in parts, which is taken where no calm one is found.
        path: of one move.
        rises: by wall or corner, the greatest rise during the move and after it.
        left: how high at most the liquid swings at a wall after the stop.
        bound: of a calm move, seconds in which none does it.
    """

    name: Name
    path: Path
    rises: dict[str, float]
    left: float
    bound: float = 0.0

    @property
    def rise(self) -> float:
        return max(self.rises.values(), default=0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Slide:
    """A planned slide.

    Attributes:
        spec: as ordered.
        way: of length 1.
        pool: its liquid and waves; None where it is dry.
        tried: every profile, the one that is asked for first.
    """

    spec: CaseSpec
    way: Vector
    pool: Basin | None
    tried: tuple[Tried, ...]

    @property
    def taken(self) -> Tried:
        return self.tried[0]

    @property
    def path(self) -> Path:
        return self.taken.path

    @property
    def slope_rad(self) -> float:
        """Of the way, up positive."""
        return math.asin(self.way[2])

    @property
    def stop(self) -> float:
        """How hard it is stopped in an emergency, mm/s2."""
        return _stop(self.spec)

    @cached_property
    def worst(self) -> WorstStop | None:
        """Of its emergency stops; of a drive that only lets go, what is worse is taken."""
        if self.pool is None:
            return None
        found = [worst_stop(self.pool.swing, self.pool.walls, self.path, brake) for brake in (self.stop, 0.0)]
        high = max(found, key=lambda one: one.rise)
        return replace(high, runs=found[0].runs, change=found[0].change)


def _stop(spec: CaseSpec) -> float:
    given = spec.stop_m_s2 or spec.acceleration
    assert given is not None
    return given * 1000.0


def plan_slide(spec: CaseSpec, cavity: Cavity, volume: float) -> Slide:
    """Plan a slide.

    Raises:
        NotCovered: liquid whose waves are not calculated.
    """
    assert spec.acceleration is not None
    way = unit(spec.direction or (1.0, 0.0, 0.0), "direction")
    pool = basin(cavity, volume, way, spec.acceleration * 1000.0) if volume > 0.0 else None
    plain = {name: path for name, path in _plain(spec).items() if path is not None}
    best = plain.get("smooth", plain["steady"])
    paths: dict[Name, Path] = dict(plain)
    bound = 0.0
    if pool is not None:
        parts = shaper("ZVD", float(pool.swing.omega[int(np.argmax(np.abs(pool.swing.lift)))]))
        paths["shaped"] = parts.of(best)
        calm = _calm(spec, pool) if spec.profile == "calm" else None
        if calm is not None:
            paths["calm"], bound = calm
    elif spec.profile == "calm":
        paths["calm"] = best
    tried = [tried_with(name, path, pool) for name, path in paths.items()]
    tried = [replace(one, bound=bound) if one.name == "calm" else one for one in tried]
    wanted = spec.profile if spec.profile in paths else "shaped"
    first = next(one for one in tried if one.name == wanted)
    return Slide(spec=spec, way=way, pool=pool, tried=(first, *(one for one in tried if one is not first)))


def _limits(spec: CaseSpec) -> tuple[float, float, float]:
    """Distance, speed, acceleration, in mm."""
    assert spec.distance is not None
    assert spec.acceleration is not None
    assert spec.speed is not None
    assert spec.speed.mm_s is not None
    return spec.distance, spec.speed.mm_s, spec.acceleration * 1000.0


def _plain(spec: CaseSpec) -> dict[Name, Path | None]:
    limits = _limits(spec)
    return {
        "steady": trapezoid(*limits).path,
        "smooth": s_curve(*limits, spec.jerk * 1000.0).path if spec.jerk else None,
    }


def tried_with(name: Name, path: Path, pool: Basin | None) -> Tried:
    """What a path does to the liquid."""
    if pool is None:
        return Tried(name=name, path=path, rises={}, left=0.0)
    state = pool.swing.along(path, pool.swing.times(path))
    levels = pool.levels(state)
    rises: dict[str, float] = {}
    for k, (here, across) in enumerate(pool.names):
        rises[here], rises[across] = float(levels[:, k].max()), float(-levels[:, k].min())
    return Tried(name=name, path=path, rises=rises, left=float(pool.swing.left(path).sum()))


def _calm(spec: CaseSpec, pool: Basin) -> tuple[Path, float] | None:
    """The shortest move that spares the liquid, with the time that none does it in; None where it is not found."""
    distance, speed, push = _limits(spec)
    room, bound, path = pool.limit * (1.0 - pool.left_out), 0.0, None
    if room <= 0.0:
        return None
    for turn in range(_ROUNDS):
        try:
            found = shortest(
                pool.few,
                pool.few_walls,
                room=room,
                distance=distance,
                acceleration=push,
                speed=speed,
                jerk=spec.jerk * 1000.0 if spec.jerk else math.inf,
                proven=turn == 0,
            )
        except NotCovered:
            break
        path, bound = found.path, found.bound if turn == 0 else bound
        highest = pool.highest(pool.swing.along(path, pool.swing.times(path)))
        if highest <= pool.limit:
            break
        room *= _LESS * pool.limit / highest
    return None if path is None else (path, bound)


def slide_loads(spec: CaseSpec, cavity: Cavity, volume: float, density: float) -> Iterator[LiquidCase]:
    """The loads of the very move: its highest waves, those of its worst stop, and the blow of that stop.

    A stop changes the acceleration at once, from the greatest of the move to its own the other way: it strikes like a
    sudden start of the stop and half of the move (the panel swings to twice the change from where the move held it).
    """
    from assemblies.liquid.loads.sudden import starts

    slide = plan_slide(spec, cavity, volume)
    rise = max(slide.taken.rise, slide.worst.rise if slide.worst else 0.0)
    blow = slide.stop + slide.path.push / 2.0
    x, y, z = slide.way
    for way in ((x, y, z), (-x, -y, -z)):
        for case in starts(
            cavity,
            volume,
            blow,
            direction=way,
            name=spec.name,
            duration=spec.duration,
            density_kg_m3=density,
            rise_mm=rise,
        ):
            yield replace(case, part="planned")
