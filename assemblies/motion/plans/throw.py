"""A planned throw: a cup on an air cylinder, driven up to its stop, and what its liquid does there.

All speeds are the most that can be: full thrust without friction, or what its supply lets it have where that is less. All of
the liquid counts as moving with the cup until it has stopped, whatever then leaves it. A cup that is fired empty is lighter,
and so comes faster: it is looked at too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypedDict

from assemblies.design import Design
from assemblies.liquid.engine import G_MM_S2, settle
from assemblies.motion.plans.limits import limit
from assemblies.motion.plans.turning import WAYS
from assemblies.motion.throw.air import AIR_MPA, air_used, fed_speed, reservoir_energy, surge_speed, thrust
from assemblies.motion.throw.flight import Stop, Throw, stopped, thrown
from parts.findings import NotCovered, SeamwrightError
from parts.tables import load
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.loads.cases import LiquidCase
    from assemblies.liquid.shapes.cavity import Cavity
    from assemblies.liquid.state import Filled
    from assemblies.order import CaseSpec

__all__ = ["PlannedThrow", "planned_throw", "throw_loads", "throw_way"]

EFFICIENCY: Final = 0.85  # of the thrust that a cylinder is sold by; common practice, no source


class _Bounds(TypedDict):
    """By supply and reservoir."""

    fed: float | None
    surges: float | None
    shut_in: float | None


_ROUNDING: Final = 1e-6  # of the liquid: less does not spill


def throw_way(spec: CaseSpec) -> Vector:
    """The way of the stroke, of length 1: up, or slanted toward a side."""
    steep = _steep(spec)
    x, y, _ = WAYS[spec.toward or "right"]
    flat = math.cos(steep) if steep < math.pi / 2.0 - 1e-12 else 0.0
    return flat * x, flat * y, math.sin(steep)


def _steep(spec: CaseSpec) -> float:
    return math.radians(90.0 if spec.angle is None else spec.angle)


@dataclass(frozen=True, kw_only=True)
class PlannedThrow:
    """A throw by a cylinder, by what moves; N, kg, mm, s, J.

    Attributes:
        spec: as ordered.
        series, rod: as the bore has it.
        mass_kg: of cup and liquid; volume of that, mm3.
        depth: of the liquid at rest.
        run: at full thrust without friction.
        pushes: the thrust that a cylinder is sold by.
        fed, surges, shut_in: the most speed: what its supply feeds for good, how far it may outrun that, and by the air that
            is shut in; None where the order names neither.
        cushion: the way of its stop.
        end: what that takes.
        lost: what spills on the way up already, mm3.
        air: free air of one stroke out and back, mm3.
        held: whether something holds it besides its bonds.
        empty: the same with nothing in it; None of one that is.
    """

    spec: CaseSpec
    series: str
    rod: float
    mass_kg: float
    volume: float
    depth: float
    run: Throw
    pushes: float
    fed: float | None
    surges: float | None
    shut_in: float | None
    cushion: float
    lost: float
    air: float
    held: bool = False
    empty: PlannedThrow | None = None

    covered = True  # what is not raises `NotCovered`

    @property
    def steep(self) -> float:
        """Of the stroke over level, rad."""
        return _steep(self.spec)

    @property
    def speed(self) -> float:
        """At the end of the stroke at the most, mm/s: the least of the bounds."""
        feeds = None if self.fed is None or self.surges is None else max(self.fed, self.surges)
        return min(s for s in (self.run.speed, feeds, self.shut_in) if s is not None)

    @property
    def force(self) -> float:
        """Thrust without friction, N."""
        return (self.run.acceleration + G_MM_S2 * math.sin(self.steep)) * self.mass_kg * 1e-3

    @property
    def energy(self) -> float:
        """Of all that moves, at the end of the stroke, J."""
        return self.mass_kg * self.speed**2 / 2.0 * 1e-6

    @cached_property
    def end(self) -> Stop:
        return stopped(self.speed, self.mass_kg, self.cushion, self.force, slope_rad=self.steep)

    @property
    def takes(self) -> float:
        """What its stop must take at the most, full or empty, J."""
        return max(self.end.energy, self.empty.end.energy if self.empty else 0.0)

    @property
    def height(self) -> float:
        """How high over its place at the stop what leaves rises, mm."""
        return (self.speed * math.sin(self.steep)) ** 2 / (2.0 * G_MM_S2)

    @property
    def aloft(self) -> float:
        """Until what leaves is back at that height, s."""
        return 2.0 * self.speed * math.sin(self.steep) / G_MM_S2

    @property
    def reach(self) -> float:
        """How far aside what leaves is then, mm."""
        return self.speed * math.cos(self.steep) * self.aloft if self.spec.angle is not None else 0.0

    @property
    def greatest(self) -> dict[str, float]:
        """Of its air over that outside, bar."""
        assert self.spec.pressure is not None
        return {"pressure_bar": self.spec.pressure * 10.0}


def planned_throw(spec: CaseSpec, given: Filled, design: Design) -> PlannedThrow:
    """Plan a throw of a rig.

    Raises:
        NotCovered: nothing stops it; air that does not lift it, or not to its end; faster than the table allows; a lid over
            liquid that leaves.
    """
    one = _flown(spec, given.cavity, given.volume_mm3, given.fluid.density_kg_m3, given.empty.mass_kg)
    if one.end.leaves and one.volume > 0.0 and not given.cavity.lips:
        raise NotCovered("at its stop the liquid flies against the lid: how hard is not calculated")
    if one.end.leaves and any(joint.kind == "loose" for joint in design.joints):
        raise NotCovered("at its stop a lid that is only laid on flies off: where to is not calculated")
    boxed = given.cavity.cylinder is None  # of a box the check of its soundness asks for a retention
    return replace(one, held=boxed or design.retention != "none", empty=_emptied(spec, given))


def _emptied(spec: CaseSpec, given: Filled) -> PlannedThrow | None:
    """The same with nothing in it."""
    if given.volume_mm3 <= 0.0:
        return None
    try:
        return _flown(spec, given.cavity, 0.0, given.fluid.density_kg_m3, given.empty.mass_kg)
    except NotCovered as error:
        raise NotCovered(f"fired empty, as it may be: {error}") from None


def _flown(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> PlannedThrow:
    assert spec.bore is not None
    assert spec.pressure is not None
    assert spec.stroke is not None
    cushion = _cushion(spec)
    if not 0.0 < _steep(spec) <= math.pi / 2.0 + 1e-9:
        raise NotCovered(f"a stroke at {spec.angle:g} degrees: over level, up to 90")
    rest = settle(cavity, volume, density_kg_m3=density)
    depth, rod = rest.level_mm - rest.lowest_mm if volume > 0.0 else 0.0, float(_row(spec)["rod_mm"])
    mass = dry_kg + volume * density * 1e-9
    try:
        run = thrown(
            thrust(spec.bore, rod, spec.pressure, 1.0).push, mass, spec.stroke, depth, density, slope_rad=_steep(spec)
        )
        bounds = _bounds(spec, mass, rod)
    except SeamwrightError as error:
        raise NotCovered(f"it is not thrown: {error}") from None
    along = throw_way(spec)
    x, y, z = (-run.acceleration * a for a in along)
    lost = settle(cavity, volume, (x, y, z - G_MM_S2), density_kg_m3=density).lost_mm3 if volume > 0.0 else 0.0
    one = PlannedThrow(
        spec=spec,
        series=_row(spec)["series"],
        rod=rod,
        mass_kg=mass,
        volume=volume,
        depth=depth,
        run=run,
        pushes=thrust(spec.bore, rod, spec.pressure, EFFICIENCY).push,
        cushion=cushion,
        lost=lost if lost > _ROUNDING * volume else 0.0,
        air=air_used(spec.bore, rod, spec.stroke, spec.pressure),
        **bounds,
    )
    most = limit("largest_throw_speed")
    if one.speed > most * 1e3:
        raise NotCovered(f"it may reach {one.speed / 1e3:.1f} m/s; throws end here at {most:g} m/s (judgement)")
    return one


def _bounds(spec: CaseSpec, mass: float, rod: float) -> _Bounds:
    """Speeds that its supply and its reservoir allow it."""
    assert spec.bore is not None
    assert spec.pressure is not None
    assert spec.stroke is not None
    steep, absolute, area = _steep(spec), spec.pressure + AIR_MPA, thrust(spec.bore, rod, spec.pressure, 1.0).area
    fed = surges = shut_in = None
    if spec.supply is not None:
        weight, ratio = mass * G_MM_S2 * math.sin(steep) * 1e-3, limit("critical_ratio")
        dead = limit("dead_volume") * area * spec.stroke
        fed = fed_speed(spec.supply, ratio, absolute, area, weight).speed
        surges = surge_speed(spec.supply, ratio, absolute, area, spec.stroke, mass, weight, dead)
    if spec.reservoir is not None:
        energy = reservoir_energy(absolute, spec.reservoir * 1e6, area, spec.stroke, mass, slope_rad=steep)
        shut_in = math.sqrt(2.0 * energy / mass) * 1e3
    return {"fed": fed, "surges": surges, "shut_in": shut_in}


def _row(spec: CaseSpec) -> dict[str, str]:
    return next(dict(row) for row in load("cylinders") if abs(float(row["bore_mm"]) - (spec.bore or 0.0)) < 1e-6)


def _cushion(spec: CaseSpec) -> float:
    """The way in which it is stopped, mm."""
    if spec.stop not in ("cushioned", "bumper"):
        raise NotCovered(
            "nothing is said to stop it at the end of its stroke: how hard it strikes there is not calculated"
        )
    if spec.cushion is not None:
        return spec.cushion
    own = limit("bumper") if spec.stop == "bumper" else float(_row(spec)["cushion_mm"])
    if not own:
        raise NotCovered(f"a bore of {spec.bore:g} mm comes without a cushion: say the way that what stops it takes")
    return own


def throw_loads(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry_kg: float) -> Iterator[LiquidCase]:
    """The blows of its start and of its stop, each as sudden, as filled and empty.

    Raises:
        NotCovered: as `planned_throw`.
    """
    from assemblies.liquid.loads.sudden import starts

    x, y, z = throw_way(spec)
    for filled in dict.fromkeys((volume, 0.0)):
        one = _flown(spec, cavity, filled, density, dry_kg)
        for way, push in (((x, y, z), one.run.acceleration), ((-x, -y, -z), one.end.deceleration)):
            for case in starts(
                cavity, filled, push, direction=way, name=spec.name, duration=spec.duration, density_kg_m3=density
            ):
                yield replace(case, part="planned")
