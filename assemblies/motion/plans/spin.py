"""A planned spin of an upright cylinder about its axis: how its liquid stands, what that loads, what drives and balances it.

Source: the surface by `spin.vortex`; the time in which a liquid follows its vessel H / sqrt(nu omega) (Greenspan and Howard
1963, J. Fluid Mech. 17, 385; from memory), three of which are taken; good to a factor of two (judgement).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Final

import numpy as np

from assemblies.design import Design
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import round_waves
from assemblies.motion.drive.motor import MotorUse, motor_use
from assemblies.motion.path.profile import Array
from assemblies.motion.plans.limits import limit
from assemblies.motion.spin.vortex import dries_at, lidded, spills_at, vortex
from assemblies.motion.spin.wheel import Balance, Hoop, balance, spun_hoop
from parts.findings import NotCovered, SeamwrightError
from parts.stock.tube import TubeCut

if TYPE_CHECKING:
    from assemblies.liquid.loads.cases import LiquidCase
    from assemblies.liquid.shapes.cavity import Cavity
    from assemblies.liquid.shapes.openings import Port
    from assemblies.liquid.state import Filled
    from assemblies.order import CaseSpec, DriveSpec

__all__ = ["PARTS", "PlannedSpin", "SpunLiquid", "planned_spin", "spin_loads", "spun_liquid"]

PARTS: Final = (0.25, 0.5, 0.75, 1.0)  # of the speed, as it is proven
_LEAST_RAMP_S: Final = 5.0  # judgement
_FOLLOWS: Final = 3.0  # times in which liquid follows its vessel to a twentieth
_HOLD_S: Final = 10.0  # at speed, where nothing is said
_TICK_S: Final = 0.02
_MOST_TICKS: Final = 60_000
_SQUARE: Final = 1e-6
_AT_MM: Final = 0.01  # what is nearer stands at it


@dataclass(frozen=True, kw_only=True)
class SpunLiquid:
    """Liquid that turns with its vessel as one body; mm, rad/s, mm3, MPa, N.

    Attributes:
        radius, height, depth: of the vessel, and of the liquid at rest.
        floor: height of the floor in the rig's axes.
        axis: place of the axis, x and y.
        omega, density: how fast, of what (kg/m3).
        closed: whether a lid holds it in.
        vertex: of the paraboloid over the floor; under 0 where the floor is dry.
        dry, wets: radius of the dry spot, and from which it stands against the lid.
        edge: how high over the floor it stands, or would stand without its lid, at the wall: the head there.
        spilled: what has left over the rim.
        lift: of the lid.
    """

    radius: float
    height: float
    depth: float
    floor: float
    axis: tuple[float, float]
    omega: float
    density: float
    closed: bool
    vertex: float
    dry: float
    wets: float
    edge: float
    spilled: float = 0.0
    lift: float = 0.0

    @property
    def steep(self) -> float:
        """1/mm: z = vertex + steep r2."""
        return self.omega**2 / (2.0 * G_MM_S2)

    @property
    def rise(self) -> float:
        """From the lowest to the highest point of the whole paraboloid."""
        return self.steep * self.radius**2

    def level(self, r: Array) -> Array:
        """How high over the floor the liquid stands at a radius."""
        return np.clip(self.vertex + self.steep * np.asarray(r, float) ** 2, 0.0, self.height)

    def pressure(self, face: str, points: Array) -> Array:
        """A pressure field (`LoadCase.pressure`): at a radius the head under the paraboloid, whatever wall it is at."""
        x, y, z = np.asarray(points, float).reshape(-1, 3).T
        r2 = (x - self.axis[0]) ** 2 + (y - self.axis[1]) ** 2
        head = self.vertex + self.steep * r2 - (z - self.floor)
        return np.asarray(self.density * G_MM_S2 * 1e-12 * np.maximum(head, 0.0))

    def stands_at(self, port: Port) -> bool:
        """Whether it reaches a hole, at its outermost."""
        x, y, _ = port.circle.centre
        r = math.hypot(x - self.axis[0], y - self.axis[1]) + port.circle.radius_mm
        low = port.lowest((0.0, 0.0, 1.0))[2] - self.floor
        return bool(self.level(np.array(r)) >= low - _AT_MM)

    @property
    def inertia(self) -> float:
        """About the axis, kg mm2, all of it turning along."""

        def under(r: float) -> float:
            return self.vertex * r**4 / 4.0 + self.steep * r**6 / 6.0

        full = self.height * (self.radius**4 - self.wets**4) / 4.0
        return self.density * 1e-9 * math.tau * (under(self.wets) - under(self.dry) + full)


def spun_liquid(cavity: Cavity, volume: float, omega: float, density: float) -> SpunLiquid:
    """How liquid stands in what turns about its upright axis; a lid that is only laid on holds nothing in.

    Raises:
        NotCovered: flat walls, an axis that leans, pieces in it, an open hole, liquid to the lid.
    """
    tube = cavity.cylinder
    if tube is None:
        raise NotCovered("a spinning box: how liquid turns between flat walls is not calculated; a round tank is")
    if math.hypot(*tube.axis[:2]) > _SQUARE:
        raise NotCovered("spinning about an axis that is not upright")
    if cavity.solids:
        raise NotCovered("spinning with pieces that stand in the liquid: how it turns past them is not calculated")
    radius, height = tube.radius_mm, tube.height_mm
    depth = volume / (math.pi * radius**2)
    closed = not cavity.lips
    x, y, floor = tube.base
    given = SpunLiquid(
        radius=radius,
        height=height,
        depth=depth,
        floor=floor,
        axis=(x, y),
        omega=omega,
        density=density,
        closed=closed,
        vertex=0.0,
        dry=0.0,
        wets=radius,
        edge=0.0,
    )
    try:
        if closed:
            held = lidded(radius, height, depth, omega, density)
            found = replace(
                given,
                vertex=held.vertex,
                dry=held.dry,
                wets=held.wets_lid_from,
                edge=held.vertex + given.rise,
                lift=held.lift_n,
            )
        else:
            free = vortex(radius, height, depth, omega)
            found = replace(given, vertex=free.edge - given.rise, dry=free.dry, edge=free.edge, spilled=free.spilled)
    except SeamwrightError as error:
        raise NotCovered(f"spinning: {error}") from None
    for port in cavity.ports:
        if port.open and found.stands_at(port):
            raise NotCovered(f"spinning so that the liquid stands at {port.name}: what leaves there is not calculated")
    return found


def spin_loads(spec: CaseSpec, cavity: Cavity, volume: float, density: float) -> Iterator[LiquidCase]:
    """The load at full speed.

    Raises:
        NotCovered: as `spun_liquid`.
    """
    from assemblies.liquid.loads.cases import STEADY_SOURCE, LiquidCase
    from assemblies.liquid.loads.loadcase import LoadCase

    if volume <= 0.0:
        return
    omega = _omega(spec)
    liquid = spun_liquid(cavity, volume, omega, density)
    from assemblies.liquid.engine import settle

    load = LoadCase(
        name=spec.name,
        duration=spec.duration,
        gravity=(0.0, 0.0, -G_MM_S2),
        acceleration=(0.0, 0.0, 0.0),
        pressure=liquid.pressure,
        dynamic_factor=1.0,
        source=f"{STEADY_SOURCE}; forced vortex",
        omega=omega,
        lift_n=liquid.lift,
    )
    yield LiquidCase(load=load, liquid=settle(cavity, volume, density_kg_m3=density), part="planned")


def _omega(spec: CaseSpec) -> float:
    assert spec.rpm is not None
    return spec.rpm * math.tau / 60.0


@dataclass(frozen=True, kw_only=True, eq=False)
class PlannedSpin:
    """A spin with the figures that hang on the whole rig; mm, s, rad, kg.

    Attributes:
        spec: as ordered.
        liquid: how it stands at full speed; None where it is dry.
        omega, ramp: full speed, and how long it takes up to it and down.
        follows: in how long the liquid turns along; 0 where it is dry.
        mass_kg, solid_kg: all that turns, and without its liquid.
        inertia: of all of it about the axis, kg mm2.
        built, off: how far the middle of its pieces lies off the axis as drawn, and of all that turns as ordered or taken.
        rim: radius of what reaches furthest.
        hoop: of the tube, of liquid and own mass; None where there is no tube.
        held, turned: whether something holds it besides its bonds; whether it is bolted to what turns it.
        drive: as ordered.
    """

    spec: CaseSpec
    liquid: SpunLiquid | None
    omega: float
    ramp: float
    follows: float
    mass_kg: float
    solid_kg: float
    inertia: float
    built: float
    off: float
    rim: float
    hoop: Hoop | None
    held: bool
    turned: bool
    drive: DriveSpec | None = None

    covered = True  # what is not raises `NotCovered`

    @property
    def rpm(self) -> float:
        return self.omega * 60.0 / math.tau

    @property
    def rim_speed(self) -> float:
        """m/s."""
        return self.omega * self.rim * 1e-3

    @property
    def energy(self) -> float:
        """J, of all that turns."""
        return self.inertia * self.omega**2 / 2.0 * 1e-6

    @property
    def fragment(self) -> float:
        """J: of the largest piece that flies off, at the speed of the rim."""
        return limit("largest_fragment") * self.solid_kg * self.rim_speed**2 / 2.0

    @property
    def grade(self) -> float:
        """The balance grade that is asked for, mm/s."""
        slow = self.rpm < limit("balance_slow_under")
        return limit("balance_grade_slow" if slow else "balance_grade_fast")

    @property
    def allowed(self) -> Balance:
        """What that grade allows."""
        return balance(self.grade, self.mass_kg, self.omega)

    @property
    def pulls(self) -> float:
        """N: how hard the mass that is off the axis pulls sideways, turning with it."""
        return self.mass_kg * self.off * self.omega**2 * 1e-3

    @property
    def spills_from(self) -> float | None:
        """rpm; None where nothing can leave, or it is full to the rim."""
        one = self.liquid
        if one is None or one.closed or one.depth >= one.height:
            return None
        return spills_at(one.radius, one.height, one.depth) * 60.0 / math.tau

    @property
    def dries_from(self) -> float | None:
        """rpm from which the middle of an open vessel's floor is dry."""
        one = self.liquid
        return None if one is None or one.closed else dries_at(one.radius, one.height, one.depth) * 60.0 / math.tau

    @property
    def sloshes_at(self) -> float | None:
        """rpm at which the first wave at rest goes round."""
        one = self.liquid
        if one is None:
            return None
        return round_waves(one.radius, one.depth, G_MM_S2, 1)[0].omega * 60.0 / math.tau

    @property
    def hold(self) -> float:
        """At full speed, s."""
        return self.spec.time if self.spec.time is not None else _HOLD_S

    @cached_property
    def samples(self) -> tuple[Array, Array, Array, Array]:
        """Times, angles, rates and accelerations: up smoothly, at speed, and down as it came."""
        time, ramp = 2.0 * self.ramp + self.hold, self.ramp
        times = np.linspace(0.0, time, math.ceil(time / _TICK_S) + 1)
        up, down = np.clip(times / ramp, 0.0, 1.0), np.clip((time - times) / ramp, 0.0, 1.0)
        rates = self.omega * np.minimum(_quintic(up), _quintic(down))
        steady = np.clip(times, ramp, time - ramp) - ramp
        angles = self.omega * (ramp * _area(up) + steady + ramp * (0.5 - _area(down)))
        pushes = self.omega / ramp * (_slope(up) - _slope(down))
        return times, angles, rates, pushes

    @property
    def torque(self) -> float:
        """N mm, at the most, to start and stop it: all of its liquid taken to turn along."""
        return float(self.inertia * np.abs(self.samples[3]).max() * 1e-3)

    @property
    def greatest(self) -> dict[str, float]:
        """How fast it turns at most, a minute."""
        return {"speed_rpm": self.rpm}

    @cached_property
    def motor(self) -> MotorUse | None:
        """What it takes of the drive that the order names."""
        if self.drive is None or self.drive.gear is None:
            return None
        times, _, rates, pushes = self.samples
        return motor_use(
            self.drive,
            times,
            rates,
            pushes,
            self.inertia * pushes * 1e-3,
            turns=self.drive.gear,
            inertia=self.inertia,
            holds=0.0,
        )


def _quintic(s: Array) -> Array:
    return np.asarray(s**3 * (10.0 - 15.0 * s + 6.0 * s * s))


def _area(s: Array) -> Array:
    """Of the quintic, from 0."""
    return np.asarray(s**4 * (2.5 - 3.0 * s + s * s))


def _slope(s: Array) -> Array:
    return np.asarray(30.0 * (s * (1.0 - s)) ** 2)


def planned_spin(spec: CaseSpec, given: Filled, design: Design, drive: DriveSpec | None = None) -> PlannedSpin:
    """Plan a spin of a rig about the axis of its tube.

    Raises:
        NotCovered: as `spun_liquid`; a rim, or an energy, over what the table allows; a schedule with too many samples.
    """
    omega, density = _omega(spec), given.fluid.density_kg_m3
    if given.cavity.cylinder is None:
        spun_liquid(given.cavity, given.volume_mm3, omega, density)  # says why
    wet = given.volume_mm3 > 0.0
    liquid = spun_liquid(given.cavity, given.volume_mm3, omega, density) if wet else None
    viscosity = given.fluid.viscosity_mpa_s * 1e-3 / density * 1e6  # mm2/s
    follows = _FOLLOWS * liquid.depth / math.sqrt(viscosity * omega) if liquid else 0.0
    assert given.cavity.cylinder is not None
    x, y, _ = given.cavity.cylinder.base
    mass = given.empty.mass_kg + given.volume_mm3 * density * 1e-9
    built = given.empty.mass_kg * math.hypot(given.empty.centre_mm[0] - x, given.empty.centre_mm[1] - y) / mass
    off = spec.off_centre
    one = PlannedSpin(
        spec=spec,
        liquid=liquid,
        omega=omega,
        ramp=spec.ramp or float(math.ceil(max(follows, _LEAST_RAMP_S))),
        follows=follows,
        mass_kg=mass,
        solid_kg=given.empty.mass_kg,
        inertia=given.empty.about_axis((x, y, 0.0), (0.0, 0.0, 1.0)) + (liquid.inertia if liquid else 0.0),
        built=built,
        off=built + limit("set_off_centre") if off is None else off,
        rim=_reach(design, x, y),
        hoop=_hoop(design, liquid, omega),
        held=design.retention != "none",
        turned=any(s.kind == "plates" for s in design.supports) or any(p.name == "motor-boss" for p in design.placed),
        drive=drive,
    )
    _within(one)
    return one


def _within(one: PlannedSpin) -> None:
    """Limits of what is proven here."""
    speed, energy = (limit(name) for name in ("largest_rim_speed", "largest_spin_energy"))
    if one.rim_speed > speed:
        raise NotCovered(f"its rim would run at {one.rim_speed:.1f} m/s; spins end here at {speed:g} m/s (judgement)")
    if one.energy > energy:
        raise NotCovered(f"{one.energy:.0f} J would turn; spins end here at {energy:g} J (judgement)")
    if 2.0 * one.ramp + one.hold > _MOST_TICKS * _TICK_S:
        raise NotCovered(f"a spin of {2.0 * one.ramp + one.hold:.0f} s: its schedule has too many samples")


def _reach(design: Design, x: float, y: float) -> float:
    """How far from the axis its pieces reach: round ones as they are, by their boxes."""
    ends = [abs(end[k] - at) for p in design.placed for end in p.box for k, at in ((0, x), (1, y))]
    return max(ends)


def _hoop(design: Design, liquid: SpunLiquid | None, omega: float) -> Hoop | None:
    """Of the tube, as it is."""
    cut = next((p.piece.sheet for p in design.placed if isinstance(p.piece.sheet, TubeCut)), None)
    if cut is None or liquid is None:
        return None
    tube = cut.tube
    return spun_hoop(
        tube.inside_mm / 2.0,
        tube.wall_mm,
        omega,
        liquid.edge,
        liquid.density,
        tube.density_kg_m3,
        tube.substance.poisson,
    )
