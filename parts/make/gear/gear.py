"""Spur gears: the rack that is meant, the tooth that it makes, and what is gauged on it.

Relations of ISO 21771 on the basic rack of ISO 53 (remembered; checked against the numeric envelope of the rack). Lengths are
mm, angles radians. *shift* is the profile shift in modules, positive when the rack is drawn out. *thin* is what each tooth's
arc on the reference circle is less than without backlash. The tooth's *flank* is an involute from the *form circle* out to the
tip; below lies the *fillet*, the trochoid that the rounded tip of the rack leaves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Final

from parts.findings import SeamwrightError
from parts.make.gear.numbers import flank_angle, plain, positive, whole_teeth
from parts.tables import load

__all__ = [
    "STRAIGHT",
    "Gear",
    "OverPins",
    "Rack",
    "Span",
    "Undercut",
    "involute",
    "involute_inverse",
    "modules_mm",
    "rack",
    "undercut",
]

#: How far below the datum the straight flank of the rack goes, in modules: ISO 53 profile A, from memory.
STRAIGHT: Final = 1.0
_HALVINGS = 60


def involute(angle: float) -> float:
    """tan a - a of an angle from 0, under a quarter turn.

    >>> round(involute(math.radians(20)), 6)
    0.014904
    """
    if not 0.0 <= plain("the angle of an involute", angle) < math.pi / 2.0:
        raise SeamwrightError(f"an involute has an angle from 0 to under 90 degrees, got {math.degrees(angle):g}")
    return math.tan(angle) - angle


def involute_inverse(value: float) -> float:
    """The angle whose involute this is: Newton's rule on t - atan t, which is convex, from a start on either side.

    >>> round(math.degrees(involute_inverse(0.0234)), 5)
    23.11099
    """
    plain("an involute", value, 0.0)
    if value == 0.0:
        return 0.0
    t = (3.0 * value) ** (1.0 / 3.0)
    for _ in range(_HALVINGS):
        step = (t - math.atan(t) - value) * (1.0 + 1.0 / (t * t))
        t -= step
        if abs(step) <= 1e-15 * t:
            break
    return math.atan(t)


@cache
def modules_mm(series: str = "") -> tuple[float, ...]:
    """The modules of ISO 54, least first; of one series, `I` or `II`, or of both.

    >>> modules_mm("I")[:4]
    (1.0, 1.25, 1.5, 2.0)
    """
    rows = [row for row in load("gear_modules") if series in ("", row["series"])]
    return tuple(sorted(float(module) for row in rows for module in row["modules"].split()))


@dataclass(frozen=True, kw_only=True)
class Rack:
    """The basic rack, in modules; the tool that is meant is its counterpart.

    Attributes:
        name: of the profile.
        alpha: pressure angle.
        addendum, dedendum: of the rack's own tooth, so how far the gear's tooth stands over and under the datum.
        fillet: radius at the root of the rack's tooth, so at the tip of the tool.
    """

    name: str = "A"
    alpha: float = math.radians(20.0)
    addendum: float = 1.0
    dedendum: float = 1.25
    fillet: float = 0.38

    def __post_init__(self) -> None:
        flank_angle(self.alpha)
        positive("the rack's addendum", self.addendum)
        positive("the rack's dedendum", self.dedendum)
        plain("the rack's fillet", self.fillet, 0.0)
        if self.straight <= 0.0 or self.corner < -1e-12:
            raise SeamwrightError(f"the tip of a tool so narrow cannot be rounded by {self.fillet:g} modules")

    @property
    def straight(self) -> float:
        """How far under the datum its flank is straight."""
        return self.dedendum - self.fillet * (1.0 - math.sin(self.alpha))

    @property
    def corner(self) -> float:
        """From the middle of the tool's tooth to the centre of its rounding."""
        return math.pi / 4.0 - self.straight * math.tan(self.alpha) - self.fillet * math.cos(self.alpha)


@cache
def rack(name: str = "A") -> Rack:
    """A profile of ISO 53.

    >>> round(rack("A").straight, 3), round(rack("C").straight, 4)
    (1.0, 1.0855)
    """
    for row in load("gear_racks"):
        if row["profile"] == name:
            return Rack(
                name=name,
                alpha=math.radians(float(row["alpha_deg"])),
                addendum=float(row["addendum_m"]),
                dedendum=float(row["dedendum_m"]),
                fillet=float(row["fillet_m"]),
            )
    raise SeamwrightError(f"no basic rack {name!r}: there are {', '.join(r['profile'] for r in load('gear_racks'))}")


@dataclass(frozen=True, kw_only=True)
class Undercut:
    """The teeth from which none is undercut at no shift, and the least shift that spares these teeth."""

    limit: float
    least_shift: float


def undercut(teeth: int, alpha: float = math.radians(20.0), straight: float = STRAIGHT) -> Undercut:
    """Where the rack begins to cut into the flank, by how far under the datum (modules) its own flank is straight.

    That is 1.0 for ISO 53 profile A, 1.25 for a tool with sharp corners: whoever says "no undercut" says of which tool.

    >>> round(undercut(12).limit, 2), round(undercut(12).least_shift, 3), round(undercut(12, straight=1.25).limit, 1)
    (17.1, 0.298, 21.4)
    """
    whole_teeth("the teeth", teeth)
    bend = math.sin(flank_angle(alpha)) ** 2 / 2.0
    positive("the straight part of the rack's flank", straight)
    return Undercut(limit=straight / bend, least_shift=straight - teeth * bend)


@dataclass(frozen=True, kw_only=True)
class Span:
    """Over several teeth between flat jaws, and the diameter at which the jaws touch."""

    teeth: int
    over_mm: float
    touches_mm: float


@dataclass(frozen=True, kw_only=True)
class OverPins:
    """Over two pins in opposite spaces (nearly, with an odd count): the circle of their centres and the measure."""

    pin_mm: float
    centres_mm: float
    over_mm: float


@dataclass(frozen=True)
class Gear:
    """An external spur gear.

    Attributes:
        teeth: how many.
        module_mm: reference diameter by tooth.
        shift: of the profile, in modules.
        rack: what makes it.
        thin_mm: off each tooth's arc on the reference circle, for backlash.
        tip_back_mm: off the tip's radius.

    Raises:
        SeamwrightError: no whole teeth, no size, a tooth that comes to a point or has no involute.
    """

    teeth: int
    module_mm: float
    shift: float = 0.0
    rack: Rack = Rack()
    thin_mm: float = 0.0
    tip_back_mm: float = 0.0

    def __post_init__(self) -> None:
        whole_teeth("teeth", self.teeth)
        positive("the module", self.module_mm, "mm")
        plain("the profile shift", self.shift)
        plain("the thinning of the teeth", self.thin_mm, 0.0)
        plain("what is taken off the tips", self.tip_back_mm, 0.0)
        called = f"a gear of {self.teeth} teeth with shift {self.shift:g}"
        if self.tip_mm <= max(self.base_mm, self.root_mm) or self.root_mm <= 0.0:
            raise SeamwrightError(f"{called}: its teeth end below the base circle, where no involute is")
        if self.tip_thickness_mm <= 0.0:
            raise SeamwrightError(f"{called}: its teeth come to a point below the tip circle of {self.tip_mm:g} mm")

    @property
    def reference_mm(self) -> float:
        """Reference diameter."""
        return self.teeth * self.module_mm

    @cached_property
    def base_mm(self) -> float:
        """Base diameter."""
        return self.reference_mm * math.cos(self.rack.alpha)

    @cached_property
    def tip_mm(self) -> float:
        """Tip diameter."""
        return self.module_mm * (self.teeth + 2.0 * (self.rack.addendum + self.shift)) - 2.0 * self.tip_back_mm

    @property
    def root_mm(self) -> float:
        """Root diameter."""
        return self.module_mm * (self.teeth - 2.0 * (self.rack.dedendum - self.shift))

    @property
    def pitch_mm(self) -> float:
        """Arc from tooth to tooth on the reference circle."""
        return math.pi * self.module_mm

    @property
    def base_pitch_mm(self) -> float:
        """The same on the base circle: what two gears must share to run together."""
        return self.pitch_mm * math.cos(self.rack.alpha)

    @property
    def arc_mm(self) -> float:
        """Tooth thickness on the reference circle."""
        return self.module_mm * (math.pi / 2.0 + 2.0 * self.shift * math.tan(self.rack.alpha)) - self.thin_mm

    @cached_property
    def base_half_angle(self) -> float:
        """Half the angle that a tooth takes on the base circle, flanks drawn on to it."""
        return self.arc_mm / self.reference_mm + involute(self.rack.alpha)

    def half_angle(self, radius_mm: float) -> float:
        """Half the angle between the involutes of a tooth at a radius from the base circle; below 0 past its point."""
        return self.base_half_angle - involute(math.acos(min(1.0, self.base_mm / 2.0 / radius_mm)))

    @property
    def tip_thickness_mm(self) -> float:
        return self.tip_mm * self.half_angle(self.tip_mm / 2.0)

    def fillet_at(self, beta: float) -> tuple[float, float]:
        """A point of the fillet by the angle of its normal, a quarter turn at the root: radius, angle from mid-space.

        Where the rounding of the tool touches, the normal goes through the pitch point, where reference circle and rack roll.
        """
        m, tool = self.module_mm, self.rack
        deep = m * (tool.dedendum - tool.fillet - self.shift)  # centre of the rounding under the rolling line
        along = deep / math.sin(beta)
        x = (along + m * tool.fillet) * math.cos(beta)
        y = self.reference_mm / 2.0 - (along + m * tool.fillet) * math.sin(beta)
        rolled = along * math.cos(beta) - m * tool.corner - self.thin_mm / 2.0
        return math.hypot(x, y), math.atan2(x, y) - rolled / (self.reference_mm / 2.0)

    @cached_property
    def form(self) -> tuple[float, float]:
        """Where fillet and involute meet: the radius, and the angle of the fillet's normal there.

        They touch, unless the tool has cut into the flank: then they cross further out, and this is where.

        Raises:
            SeamwrightError: the tool leaves no flank.
        """
        tool, base = self.rack, self.base_mm / 2.0
        bottom = self.reference_mm / 2.0 * math.sin(tool.alpha) - self.module_mm * (
            tool.straight - self.shift
        ) / math.sin(tool.alpha)
        if bottom >= 0.0:
            return math.hypot(base, bottom), tool.alpha
        inside, outside = math.pi / 2.0, tool.alpha  # normal before and past the crossing
        for _ in range(_HALVINGS):
            beta = (inside + outside) / 2.0
            radius, angle = self.fillet_at(beta)
            if radius <= base or angle > math.pi / self.teeth - self.half_angle(radius):
                inside = beta
            else:
                outside = beta
        radius, angle = self.fillet_at(outside)
        if not base <= radius < self.tip_mm / 2.0 or angle >= math.pi / self.teeth:
            raise SeamwrightError(f"{self.teeth} teeth with shift {self.shift:g}: the rack cuts all of the flank away")
        return radius, outside

    def _on_flank(self, what: str, radius_mm: float) -> float:
        low, high = self.form[0], self.tip_mm / 2.0
        if not low * (1.0 - 1e-9) <= positive(what, radius_mm, "mm") <= high * (1.0 + 1e-9):
            raise SeamwrightError(
                f"{what} of {radius_mm:g} mm is not on the flank, which goes from {low:g} to {high:g} mm"
            )
        return radius_mm

    def thickness_mm(self, radius_mm: float) -> float:
        """Arc thickness of a tooth at a radius on the flank."""
        self._on_flank("a radius", radius_mm)
        return 2.0 * radius_mm * self.half_angle(radius_mm)

    def flank_point(self, radius_mm: float) -> tuple[float, float]:
        """The point of the flank with y over 0 at a radius, the tooth centred on the x axis."""
        angle = self.half_angle(self._on_flank("a radius", radius_mm))
        return radius_mm * math.cos(angle), radius_mm * math.sin(angle)

    def span(self, over: int) -> Span:
        """Over a count of teeth between flat jaws: (count - 1) base pitches and the tooth on the base circle.

        Raises:
            SeamwrightError: jaws that do not touch flanks.
        """
        whole_teeth("the teeth spanned", over, 1)
        width = (over - 1) * self.base_pitch_mm + self.base_mm * self.base_half_angle
        touches = math.hypot(self.base_mm, width)
        self._on_flank(f"the jaws over {over} teeth: a radius", touches / 2.0)
        return Span(teeth=over, over_mm=width, touches_mm=touches)

    def best_span(self) -> Span:
        """The span whose jaws touch nearest to the middle of the flank.

        Raises:
            SeamwrightError: no count of teeth has one.
        """
        middle, found = (2.0 * self.form[0] + self.tip_mm) / 2.0, []
        for over in range(1, self.teeth // 2 + 1):
            try:
                found.append(self.span(over))
            except SeamwrightError:
                continue
        if not found:
            raise SeamwrightError(f"no span over the {self.teeth} teeth touches flanks; gauge it over pins")
        return min(found, key=lambda one: abs(one.touches_mm - middle))

    def over_pins(self, pin_mm: float) -> OverPins:
        """Over two pins of one diameter.

        Raises:
            SeamwrightError: a pin that lies on the root, does not stand above the tips or does not touch flanks.
        """
        radius = positive("the pin", pin_mm, "mm") / 2.0
        value = pin_mm / self.base_mm + self.base_half_angle - math.pi / self.teeth
        called = f"a pin of {pin_mm:g} mm in {self.teeth} teeth"
        if value <= 0.0:
            raise SeamwrightError(f"{called} touches no flank: it falls to the root")
        angle = involute_inverse(value)
        centre = self.base_mm / 2.0 / math.cos(angle)
        if centre + radius <= self.tip_mm / 2.0:
            raise SeamwrightError(f"{called} does not stand above the tips")
        if centre - radius < self.root_mm / 2.0:
            raise SeamwrightError(f"{called} lies on the root")
        string = self.base_mm / 2.0 * math.tan(angle) - radius
        if string < 0.0:
            raise SeamwrightError(f"{called} touches no flank")
        self._on_flank(f"{called}: where it touches, a radius", math.hypot(self.base_mm / 2.0, string))
        odd = math.cos(math.pi / 2.0 / self.teeth) if self.teeth % 2 else 1.0
        return OverPins(pin_mm=pin_mm, centres_mm=2.0 * centre, over_mm=2.0 * (centre * odd + radius))
