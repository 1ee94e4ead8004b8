"""The straight gear of a gearbox: its teeth and travel, what takes its backlash, where it lies beside the last wheel.

No second bore sets its distance: what guides its back does, and that is not made here. The guide is taken to keep the back
where it is while wheel and bar grow, and to have the play of a second bearing. So the bar lies out by what they will grow:
grown, tips reach no deeper than they are drawn for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.kinds.gearbox.rules import gear_rule
from assemblies.kinds.gearbox.tables import BarSpec, GearboxSpec
from assemblies.kinds.gearbox.train import PlayTaken, Point, Train, cut_taper, gear_strain
from assemblies.order import Order
from parts.findings import SeamwrightError
from parts.make.gear.bar import Bar

__all__ = ["LaidBar", "make_bar"]

_FEWEST, _MOST = 3, 400  # teeth, as of the order's key


@dataclass(frozen=True, kw_only=True)
class LaidBar:
    """A bar in its place, at the middle of its travel.

    Attributes:
        mesh: the bar with the last wheel.
        taken, strain: what takes its backlash.
        travel_mm: in all.
        at: the last wheel's axis.
        way: the direction from there to the bar.
        off_mm: how far the bar's middle stands from the pitch point, to the left of `way`: teeth go into spaces.
    """

    mesh: Bar
    taken: PlayTaken
    strain: float
    travel_mm: float
    at: Point
    way: float
    off_mm: float

    @property
    def along(self) -> Point:
        """The way that it moves, to the left of `way`; exact where it is square to the axes."""
        x, y = -math.sin(self.way), math.cos(self.way)
        return (x, y) if min(abs(x), abs(y)) > 1e-12 else (float(round(x)), float(round(y)))

    def place(self, along_mm: float, out_mm: float) -> Point:
        """A point so far along the bar from the pitch point, and so far out from the wheel's axis."""
        x, y = self.along
        return self.at[0] + along_mm * x + out_mm * y, self.at[1] + along_mm * y - out_mm * x

    def room_mm(self, point: Point) -> float:
        """From a point to the box that the bar sweeps through its travel; 0 in it."""
        x, y = self.along
        dx, dy = point[0] - self.at[0], point[1] - self.at[1]
        along = abs(dx * x + dy * y - self.off_mm) - (self.mesh.long_mm + self.travel_mm) / 2.0
        out = dx * y - dy * x
        return math.hypot(max(along, 0.0), max(self.mesh.near_mm - out, out - self.mesh.far_mm, 0.0))


def make_bar(order: Order, spec: GearboxSpec, train: Train) -> LaidBar | None:
    """The bar that an order means; None where it says none.

    Raises:
        OrderError: too few teeth for the travel, or teeth that cannot be.
    """
    if spec.bar is None:
        return None
    wheel, last = train.stages[-1].pair.second, len(train.stages) - 1
    way = train.way(last) + math.radians(spec.bar.angle)
    turn = (train.phase(last, driven=True) - way) % (math.tau / wheel.teeth)
    tooth = turn * wheel.reference_mm / 2.0  # of the wheel, past the pitch point
    try:
        strain = gear_strain(order, spec)
        out = Bar(wheel, _FEWEST, spec.bar.back).far_mm * strain / (1.0 - strain)
        taken = _taken(order, spec, Bar(wheel, _FEWEST, spec.bar.back, 0.0, out))
        thin = max(0.0, (taken.together - taken.growth) / math.cos(wheel.rack.alpha) - wheel.thin_mm)
        fitting = Bar(wheel, _FEWEST, spec.bar.back, thin, out)
    except SeamwrightError as error:
        raise order.refuse(("gearbox", "bar"), str(error), "a larger module, or less that takes backlash") from error
    teeth, travel = _teeth(order, spec.bar, fitting, tooth)
    return LaidBar(
        mesh=Bar(wheel, teeth, spec.bar.back, thin, out),
        taken=taken,
        strain=strain,
        travel_mm=travel,
        at=train.shafts[-1],
        way=way,
        off_mm=_off(tooth, teeth, wheel.pitch_mm),
    )


def _taken(order: Order, spec: GearboxSpec, bar: Bar) -> PlayTaken:
    """As of two wheels; growth of wheel and bar toward each other, between the wheel's axis and the bar's back."""
    alpha = bar.wheel.rack.alpha
    return PlayTaken(
        growth=-bar.play_grown_mm(gear_strain(order, spec)) + bar.play_mm * (1.0 + gear_strain(order, spec)),
        taper=cut_taper(order, spec) * math.cos(alpha),
        cut=2.0 * order.cutting.repeat,
        bearings=2.0 * gear_rule("bore_play") * math.sin(alpha) if spec.bearing == "ball" else 0.0,
        left=gear_rule("play_least"),
    )


def _off(tooth_mm: float, teeth: int, pitch_mm: float) -> float:
    """Where a bar's middle stands nearest to the pitch point: a space of it takes the wheel's tooth."""
    off = (tooth_mm + (pitch_mm / 2.0 if teeth % 2 else 0.0)) % pitch_mm
    return off - pitch_mm if off > pitch_mm / 2.0 else off


def _teeth(order: Order, spec: BarSpec, bar: Bar, tooth_mm: float) -> tuple[int, float]:
    """Teeth and travel: at either end of it contact has all of its path, and a tooth more."""
    pitch = bar.wheel.pitch_mm

    def lets(teeth: int) -> float:
        return teeth * pitch - 2.0 * (abs(_off(tooth_mm, teeth, pitch)) + bar.end_mm)

    if spec.travel is None:
        assert spec.teeth is not None
        if lets(spec.teeth) <= 0.0:
            raise order.refuse(
                ("gearbox", "bar", "teeth"),
                f"{spec.teeth} teeth let it go nowhere: it runs out of mesh",
                f"from {next(n for n in range(_FEWEST, _MOST) if lets(n) > 0.0)} teeth",
            )
        return spec.teeth, lets(spec.teeth)
    needs = next((n for n in range(_FEWEST, _MOST + 1) if lets(n) >= spec.travel), None)
    if needs is None:
        raise order.refuse(
            ("gearbox", "bar", "travel"),
            f"{spec.travel:g} mm take more than {_MOST} teeth",
            f"up to {lets(_MOST):.0f} mm",
        )
    if spec.teeth is not None and lets(spec.teeth) < spec.travel:
        raise order.refuse(
            ("gearbox", "bar", "teeth"),
            f"{spec.teeth} teeth let it go {max(0.0, lets(spec.teeth)):.1f} mm, with a tooth more in mesh at either end; its "
            f"travel is {spec.travel:g} mm",
            f"from {needs} teeth, or less travel",
        )
    return (needs if spec.teeth is None else spec.teeth), spec.travel
