"""Every planned move of an order with its figures: what the check of the motion answers, and what schedules are written of."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

import numpy as np

from assemblies.design.mass import Body
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import HIGHEST
from assemblies.motion.drive.motor import MotorUse, motor_use
from assemblies.motion.path.profile import Array
from assemblies.motion.plans.slide import Slide, plan_slide
from assemblies.motion.plans.spin import PlannedSpin
from assemblies.motion.plans.throw import PlannedThrow
from assemblies.motion.plans.turn import Turn, plan_turn
from assemblies.motion.plans.turning import axis_of
from assemblies.motion.swing.damping import box_damping, round_damping
from assemblies.motion.swing.stops import gentlest_stop
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.state import Filled
    from assemblies.order import CaseSpec, DriveSpec

__all__ = ["FRICTION", "Moves", "Planned", "PlannedSlide", "PlannedTurn", "planned_slide", "planned_turn"]

#: Of a guide, of the weight: what a drive must overcome, and what slows it when it is let go. Judgement: ball guides.
FRICTION: Final = 0.02
_SLOW_FRICTION: Final = 0.005  # what a good guide may come down to: less slope than that does not run down by itself
_STILL_MM: Final = 1.0  # what swings less has settled; judgement
_SAMPLES: Final = 400  # of a slide, at which its motor is looked at, besides the ends of its parts


@dataclass(frozen=True, kw_only=True, eq=False)
class PlannedSlide:
    """A slide with the figures that hang on the whole rig.

    Attributes:
        plan: its paths and waves.
        mass_kg: all that moves, its liquid in.
        damping: ratio of the first wave; nil where it is dry.
        safe_stop: the hardest stop, mm/s2, that spills nothing whenever it comes; None where none does.
        drive: as ordered; None where the order names none.
    """

    plan: Slide
    mass_kg: float
    damping: float
    safe_stop: float | None
    drive: DriveSpec | None = None

    @property
    def spec(self) -> CaseSpec:
        return self.plan.spec

    @property
    def freeboard(self) -> float | None:
        return self.plan.pool.freeboard if self.plan.pool else None

    @property
    def spills(self) -> bool:
        return self.plan.pool is not None and self.plan.taken.rise > self.plan.pool.freeboard * (1.0 + 1e-9)

    @property
    def breaks(self) -> bool:
        """Whether its waves are higher than their theory reaches."""
        return self.plan.pool is not None and self.plan.taken.rise > HIGHEST * self.plan.pool.depth * (1.0 + 1e-9)

    @property
    def covered(self) -> bool:
        """Whether the waves of the move, of its worst stop and of all its repeats are within what is calculated."""
        plan, pool = self.plan, self.plan.pool
        if pool is None:
            return True
        high = max(plan.taken.rise, plan.worst.rise if plan.worst else 0.0)
        strikes = high > pool.freeboard and not pool.rest.cavity.lips
        least = self.shortest_wait
        waits = least is not None and (self.spec.wait is None or self.spec.wait >= least)
        return waits and not strikes and high <= HIGHEST * pool.depth * (1.0 + 1e-9)

    @property
    def shortest_wait(self) -> float | None:
        """Between moves, so that what is left of those before does not lift the next over its limit; None where none does."""
        plan = self.plan
        if plan.pool is None or self.spec.repeat == 1:
            return 0.0
        room, left = plan.pool.limit - plan.taken.rise, plan.taken.left
        if left * (self.spec.repeat - 1) <= room:
            return 0.0
        if room <= 0.0:
            return None
        share = room / left
        return max(math.log((1.0 + share) / share) / self._dies - plan.path.time, 0.0)

    @property
    def wait(self) -> float:
        """As ordered, else the shortest."""
        return self.spec.wait if self.spec.wait is not None else self.shortest_wait or 0.0

    @property
    def _dies(self) -> float:
        """1/s."""
        assert self.plan.pool is not None
        return self.damping * min(wave.omega for wave in self.plan.pool.swing.waves)

    def settles(self, left: float) -> float:
        """Seconds until what swings so high is still (1 mm)."""
        if self.plan.pool is None or left <= _STILL_MM:
            return 0.0
        return math.log(left / _STILL_MM) / self._dies

    @property
    def greatest(self) -> dict[str, float]:
        """How hard it is pushed at most, m/s2."""
        return {"acceleration_m_s2": self.plan.path.push / 1000.0}

    def force(self, speed: Array, push: Array) -> Array:
        """What its drive must give, N, at a speed and an acceleration; mm/s, mm/s2."""
        slope = self.plan.slope_rad
        held = np.sign(speed) * FRICTION * math.cos(slope) + math.sin(slope)
        return np.asarray(self.mass_kg * (push + G_MM_S2 * held) * 1e-3)

    @cached_property
    def motor(self) -> MotorUse | None:
        """What it takes of the drive that the order names."""
        spec, path = self.drive, self.plan.path
        if spec is None or spec.per_turn is None:
            return None
        edges = np.cumsum(path.durations)
        times = np.unique(np.concatenate([np.linspace(0.0, path.time, _SAMPLES), edges, edges - 1e-9, edges + 1e-9]))
        times = times[(times >= 0.0) & (times <= path.time)]
        _, speed, push = path.at(times)
        holds = self.mass_kg * G_MM_S2 * abs(math.sin(self.plan.slope_rad)) * 1e-3
        return motor_use(
            spec,
            times,
            speed,
            push,
            self.force(speed, push),
            turns=math.tau / spec.per_turn,
            inertia=self.mass_kg,
            holds=holds,
        )

    @property
    def runs_down(self) -> bool:
        """Whether its slope takes it along when nothing holds it."""
        return abs(math.tan(self.plan.slope_rad)) > _SLOW_FRICTION and not self.spec.brake

    @property
    def coasts(self) -> float:
        """How far it runs on by itself on the level from its greatest speed, mm."""
        return self.plan.path.speed**2 / (2.0 * FRICTION * G_MM_S2)


@dataclass(frozen=True, kw_only=True, eq=False)
class PlannedTurn:
    """A turn, the pivot it is about (taken where the order does not say it), its inertia about that line, kg mm2, its drive."""

    plan: Turn
    pivot: Vector
    inertia_kg_mm2: float
    drive: DriveSpec | None = None

    @property
    def spec(self) -> CaseSpec:
        return self.plan.spec

    @property
    def covered(self) -> bool:
        """Whether it is slow enough, and how it flows is calculated: over a level lip, or not at all."""
        return not self.plan.hasty and (self.plan.wanted <= 0.0 or self.plan.out.lip_mm is not None)

    @property
    def peak_nmm(self) -> float:
        """The greatest torque that the drive must give or hold: weight, and what starts and stops it."""
        moving = self.inertia_kg_mm2 * abs(self.plan.pushes).max() * 1e-3
        return float(abs(self.plan.torques).max() + moving)

    @property
    def greatest(self) -> dict[str, float]:
        """How far it leans at most, degrees."""
        return {"tilt_deg": math.degrees(float(self.plan.angles.max()))}

    @property
    def loads(self) -> Array:
        """What its drive must give at each sample, N mm."""
        return self.inertia_kg_mm2 * self.plan.pushes * 1e-3 - self.plan.torques

    @cached_property
    def motor(self) -> MotorUse | None:
        """What it takes of the drive that the order names."""
        plan, spec = self.plan, self.drive
        if spec is None or spec.gear is None:
            return None
        return motor_use(
            spec,
            plan.times,
            plan.rates,
            plan.pushes,
            self.loads,
            turns=spec.gear,
            inertia=self.inertia_kg_mm2,
            holds=float(abs(plan.torques).max()),
        )

    @property
    def falls(self) -> bool:
        """Whether it pours on by itself when power fails."""
        return self.plan.fall is not None and not self.spec.brake


Planned = PlannedSlide | PlannedTurn | PlannedSpin | PlannedThrow


@dataclass(frozen=True, kw_only=True, eq=False)
class Moves:
    """All planned moves that are covered, and by name those that are not, with the reason; names of those that may be run."""

    slides: tuple[PlannedSlide, ...] = ()
    turns: tuple[PlannedTurn, ...] = ()
    spins: tuple[PlannedSpin, ...] = ()
    throws: tuple[PlannedThrow, ...] = ()
    outside: tuple[tuple[str, str], ...] = ()
    passed: frozenset[str] = frozenset()

    @property
    def every(self) -> tuple[Planned, ...]:
        """All that are covered, in the order in which their files are named."""
        return *self.slides, *self.turns, *self.spins, *self.throws

    @property
    def names(self) -> list[str]:
        """Of all, in that order."""
        return [*(one.spec.name for one in self.every), *(name for name, _ in self.outside)]


def planned_slide(spec: CaseSpec, given: Filled, drive: DriveSpec | None = None) -> PlannedSlide:
    """Plan a slide of a rig, by its drive if the order names one.

    Raises:
        NotCovered: liquid whose waves are not calculated.
    """
    plan = plan_slide(spec, given.cavity, given.volume_mm3)
    pool, damping, safe = plan.pool, 0.0, None
    if pool is not None:
        viscosity = given.fluid.viscosity_mpa_s * 1e-3 / given.fluid.density_kg_m3 * 1e6  # mm2/s
        if len(pool.dims) == 3:
            length, width, depth = pool.dims
            damping = box_damping(length, width, depth, pool.swing.waves[0].omega, viscosity, G_MM_S2)
        else:
            radius, depth = pool.dims
            damping = round_damping(radius, depth, viscosity, G_MM_S2)
        safe = gentlest_stop(pool.swing, pool.walls, plan.path, pool.limit, plan.stop)
    wet = given.volume_mm3 * given.fluid.density_kg_m3 * 1e-9
    return PlannedSlide(plan=plan, mass_kg=given.empty.mass_kg + wet, damping=damping, safe_stop=safe, drive=drive)


def planned_turn(spec: CaseSpec, given: Filled, middle: Vector, drive: DriveSpec | None = None) -> PlannedTurn:
    """Plan a turn of a rig; about its `middle` where the order names no pivot; by its drive if it names one.

    Raises:
        NotCovered: it cannot be done.
    """
    pivot = spec.pivot or middle
    plan = plan_turn(spec, given.cavity, given.volume_mm3, given.fluid.density_kg_m3, given.empty, pivot)
    whole: Body = given.whole(given.settled())
    inertia = whole.about_axis(pivot, axis_of(spec))
    return PlannedTurn(plan=plan, pivot=pivot, inertia_kg_mm2=inertia, drive=drive)
