"""Two gears that run together: centre distance and shift, contact, backlash and what becomes of it when sheets grow.

ISO 21771 (remembered). Backlash is counted along the line of action (normal) and on the working circle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from parts.findings import SeamwrightError
from parts.make.gear.gear import Gear, involute, involute_inverse
from parts.make.gear.numbers import flank_angle, plain, positive, whole_teeth

__all__ = ["Backlash", "Pair", "Shifts", "grown", "pair", "shift_for_centre"]


@dataclass(frozen=True, kw_only=True)
class Backlash:
    """Play along the line of action and on the working circle (below 0: the teeth jam), and the working angle."""

    normal_mm: float
    working_mm: float
    working_angle: float


@dataclass(frozen=True, kw_only=True)
class Shifts:
    """What puts a pair on a wanted centre distance without backlash: the sum of both shifts, and the working angle."""

    together: float
    working_angle: float


def shift_for_centre(
    module_mm: float, teeth: tuple[int, int], centre_mm: float, alpha: float = math.radians(20.0)
) -> Shifts:
    """The sum of shifts for a centre distance.

    Raises:
        SeamwrightError: a centre distance below the sum of the base radii: no line of action.
    """
    positive("the module", module_mm, "mm")
    both = sum(whole_teeth("teeth", z) for z in teeth)
    close = module_mm * both * math.cos(flank_angle(alpha)) / 2.0
    if positive("the centre distance", centre_mm, "mm") < close:
        raise SeamwrightError(
            f"the centre distance of {centre_mm:g} mm is below the sum of the base radii, {close:g} mm"
        )
    working = math.acos(close / centre_mm)
    together = (involute(working) - involute(alpha)) * both / (2.0 * math.tan(alpha))
    return Shifts(together=together, working_angle=working)


@dataclass(frozen=True)
class Pair:
    """Two gears of one module and rack at a centre distance.

    Raises:
        SeamwrightError: gears that cannot run together, a centre distance below the sum of the base radii.
    """

    first: Gear
    second: Gear
    centre_mm: float

    def __post_init__(self) -> None:
        if not math.isclose(self.first.base_pitch_mm, self.second.base_pitch_mm, rel_tol=1e-9):
            raise SeamwrightError(
                f"gears of module {self.first.module_mm:g} and {self.second.module_mm:g} mm with base pitches "
                f"{self.first.base_pitch_mm:g} and {self.second.base_pitch_mm:g} mm do not run together"
            )
        close = (self.first.base_mm + self.second.base_mm) / 2.0
        if positive("the centre distance", self.centre_mm, "mm") < close:
            raise SeamwrightError(
                f"the centre distance of {self.centre_mm:g} mm is below the sum of the base radii, {close:g} mm"
            )

    @property
    def working_angle(self) -> float:
        return math.acos((self.first.base_mm + self.second.base_mm) / 2.0 / self.centre_mm)

    @property
    def working_radii_mm(self) -> tuple[float, float]:
        """Of the circles that roll on each other."""
        share = self.centre_mm / (self.first.teeth + self.second.teeth)
        return share * self.first.teeth, share * self.second.teeth

    @property
    def ratio(self) -> float:
        """Turns of the first for one of the second."""
        return self.second.teeth / self.first.teeth

    @property
    def clearances_mm(self) -> tuple[float, float]:
        """From the tip of the first to the root of the second, and the other way."""
        a, b = self.first, self.second
        return self.centre_mm - (a.tip_mm + b.root_mm) / 2.0, self.centre_mm - (b.tip_mm + a.root_mm) / 2.0

    @cached_property
    def path_mm(self) -> tuple[float, float]:
        """How far from the pitch point contact goes along the line of action, toward either gear's tip.

        A flank touches from its form circle to its tip only: what the rack cut away carries nothing.
        """
        line = self.centre_mm * math.sin(self.working_angle)

        def reach(one: Gear, radius_mm: float) -> float:
            return math.sqrt(max(0.0, radius_mm**2 - one.base_mm**2 / 4.0))

        def toward(one: Gear, other: Gear) -> float:
            mine = one.base_mm / 2.0 * math.tan(self.working_angle)
            return min(reach(one, one.tip_mm / 2.0), line - reach(other, other.form[0])) - mine

        return toward(self.first, self.second), toward(self.second, self.first)

    @property
    def contact_ratio(self) -> float:
        """Pairs of teeth in contact, on average: the path of contact over the base pitch."""
        return sum(self.path_mm) / self.first.base_pitch_mm

    @cached_property
    def dips_mm(self) -> float:
        """How far the tip of either goes below the other's form circle, along the line of action; 0 in a sound pair."""
        line = self.centre_mm * math.sin(self.working_angle)
        deepest = 0.0
        for one, other in ((self.first, self.second), (self.second, self.first)):
            tip = math.sqrt(one.tip_mm**2 - one.base_mm**2) / 2.0
            form = math.sqrt(max(0.0, other.form[0] ** 2 - other.base_mm**2 / 4.0))
            deepest = max(deepest, tip - (line - form))
        return deepest

    @property
    def play(self) -> Backlash:
        """The backlash, below 0 where the teeth jam: what is left on the base circles of a pitch when both teeth are in it."""
        a, b, angle = self.first, self.second, self.working_angle
        room = 2.0 * math.pi / a.teeth * a.base_mm / 2.0
        normal = (
            (a.base_mm + b.base_mm) * involute(angle)
            + room
            - a.base_mm * a.base_half_angle
            - b.base_mm * b.base_half_angle
        )
        return Backlash(normal_mm=normal, working_mm=normal / math.cos(angle), working_angle=angle)

    @property
    def backlash(self) -> Backlash:
        """The same of a pair that turns.

        Raises:
            SeamwrightError: the teeth jam.
        """
        if self.play.normal_mm < -1e-9:
            raise SeamwrightError(
                f"at a centre distance of {self.centre_mm:g} mm the teeth jam: they overlap by "
                f"{-self.play.normal_mm:.3f} mm along the line of action"
            )
        return self.play


def pair(first: Gear, second: Gear, *, shorten: bool = False) -> Pair:
    """Two gears on the centre distance where they have no backlash but what their teeth are thinned by.

    Args:
        first, second: of one module and rack.
        shorten: take the tips back by what shift brings the gears closer than their datum lines, so that the clearance stays.

    Raises:
        SeamwrightError: shifts so far below 0 that there is no such distance.
    """
    if not isinstance(shorten, bool):
        raise SeamwrightError(f"shorten must be true or false, got {shorten!r}")
    alpha, both = first.rack.alpha, first.teeth + second.teeth
    shifts = first.shift + second.shift
    value = involute(alpha) + 2.0 * shifts * math.tan(alpha) / both
    if value < 0.0:
        raise SeamwrightError(f"shifts of {shifts:g} together leave {both} teeth no centre distance without backlash")
    centre = first.module_mm * both * math.cos(alpha) / (2.0 * math.cos(involute_inverse(value)))
    if shorten:
        back = first.module_mm * (both / 2.0 + shifts) - centre
        first, second = _cut_back(first, back), _cut_back(second, back)
    return Pair(first, second, centre)


def _cut_back(gear: Gear, by_mm: float) -> Gear:
    return Gear(gear.teeth, gear.module_mm, gear.shift, gear.rack, gear.thin_mm, max(0.0, gear.tip_back_mm + by_mm))


def grown(one: Pair, gears: float, plates: float) -> Pair:
    """The pair after the gears have grown by one strain and what holds their shafts by another.

    Raises:
        SeamwrightError: no strain of a sheet.
    """
    for name, strain in (("the gears' strain", gears), ("the plates' strain", plates)):
        if abs(plain(name, strain)) > 0.1:
            raise SeamwrightError(f"{name} must be at most 0.1 either way, got {strain!r}")

    def bigger(gear: Gear) -> Gear:
        k = 1.0 + gears
        return Gear(gear.teeth, gear.module_mm * k, gear.shift, gear.rack, gear.thin_mm * k, gear.tip_back_mm * k)

    return Pair(bigger(one.first), bigger(one.second), one.centre_mm * (1.0 + plates))
