"""A straight gear and the wheel that drives it: where it lies, contact, backlash and what becomes of it, how it is gauged.

The bar is the basic rack itself, so the working angle is the rack's and the rolling circle the wheel's reference circle; its
datum line lies out by the wheel's shift. Relations of ISO 21771 with an endless second gear (remembered; the tests turn
outlines).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from parts.findings import SeamwrightError
from parts.make.gear.gear import Gear
from parts.make.gear.numbers import plain, positive, whole_teeth
from parts.make.gear.outline import CHORD_MM, straight_gear_loop
from parts.make.gear.strength import form_factor
from parts.make.gear.wheel import Wheel, moved
from parts.shape.outline import Loop, Outline
from parts.shape.piece import Piece
from parts.stock.sheet import Sheet

__all__ = ["Bar", "bar_form_factor", "bar_piece"]

_ENDLESS = 10_000  # teeth of a gear that is as good as straight


@dataclass(frozen=True)
class Bar:
    """A straight gear of a wheel's module and rack, in mesh with it.

    Attributes:
        wheel: what drives it.
        teeth: of the bar.
        back_mm: its height behind the roots.
        thin_mm: off each of its teeth, for backlash.
        out_mm: how much further out it lies than where both roll without backlash.

    Raises:
        SeamwrightError: no teeth, no back, teeth thinned to a point.
    """

    wheel: Gear
    teeth: int
    back_mm: float
    thin_mm: float = 0.0
    out_mm: float = 0.0

    def __post_init__(self) -> None:
        whole_teeth("the teeth of a bar", self.teeth, 1)
        positive("the back of a bar", self.back_mm, "mm")
        plain("the thinning of the teeth", self.thin_mm, 0.0)
        plain("how far the bar lies out", self.out_mm, 0.0)
        rack, m = self.wheel.rack, self.wheel.module_mm
        if self.wheel.pitch_mm / 2.0 - self.thin_mm <= 2.0 * rack.addendum * m * math.tan(rack.alpha):
            raise SeamwrightError(f"teeth of a bar thinned by {self.thin_mm:g} mm come to a point")

    @property
    def long_mm(self) -> float:
        return self.teeth * self.wheel.pitch_mm

    @property
    def datum_mm(self) -> float:
        """From the wheel's axis to the datum line."""
        return self.wheel.reference_mm / 2.0 + self.wheel.shift * self.wheel.module_mm + self.out_mm

    @property
    def near_mm(self) -> float:
        """From the wheel's axis to the tips of the bar."""
        return self.datum_mm - self.wheel.rack.addendum * self.wheel.module_mm

    @property
    def far_mm(self) -> float:
        """From the wheel's axis to the back of the bar."""
        return self.datum_mm + self.wheel.rack.dedendum * self.wheel.module_mm + self.back_mm

    @property
    def a_turn_mm(self) -> float:
        """How far it goes in one turn of the wheel."""
        return math.pi * self.wheel.reference_mm

    @property
    def play_mm(self) -> float:
        """Backlash along the line of action: what both teeth are thinned by, and what it lies out."""
        alpha = self.wheel.rack.alpha
        return (self.thin_mm + self.wheel.thin_mm) * math.cos(alpha) + 2.0 * self.out_mm * math.sin(alpha)

    def play_grown_mm(self, strain: float) -> float:
        """The same when wheel and bar have grown and the back stays as far from the axis as it was.

        All has grown alike, with the distance of the datum line; then the bar is put back by what wheel and bar grew
        toward each other between axis and back.
        """
        return (1.0 + strain) * self.play_mm - 2.0 * math.sin(self.wheel.rack.alpha) * strain * self.far_mm

    @cached_property
    def _tips_mm(self) -> tuple[float, float]:
        """How far from the pitch point the tips of wheel and bar reach along the line of action."""
        gear = self.wheel
        tip = math.sqrt(gear.tip_mm**2 - gear.base_mm**2) / 2.0 - gear.base_mm / 2.0 * math.tan(gear.rack.alpha)
        return tip, (self.wheel.reference_mm / 2.0 - self.near_mm) / math.sin(gear.rack.alpha)

    @cached_property
    def _flanks_mm(self) -> tuple[float, float]:
        """How far the flanks go that those tips run on: the bar's where it is straight, the wheel's to its form circle."""
        gear = self.wheel
        form = math.sqrt(max(0.0, gear.form[0] ** 2 - gear.base_mm**2 / 4.0))
        bottom = self.datum_mm + gear.rack.straight * gear.module_mm - gear.reference_mm / 2.0
        straight = bottom / math.sin(gear.rack.alpha)
        return straight, gear.base_mm / 2.0 * math.tan(gear.rack.alpha) - form

    @property
    def path_mm(self) -> tuple[float, float]:
        """How far from the pitch point contact goes along the line of action, toward the wheel's tip and the bar's."""
        return min(self._tips_mm[0], self._flanks_mm[0]), min(self._tips_mm[1], self._flanks_mm[1])

    @property
    def contact_ratio(self) -> float:
        """Pairs of teeth in contact, on average."""
        return sum(self.path_mm) / self.wheel.base_pitch_mm

    def contact_ratio_apart(self, by_mm: float) -> float:
        """The same with the bar further out: what its tips no longer reach of the line of action is gone."""
        lost = by_mm / math.sin(self.wheel.rack.alpha)
        return (self.path_mm[0] + min(self.path_mm[1], self._tips_mm[1] - lost)) / self.wheel.base_pitch_mm

    @property
    def dips_mm(self) -> float:
        """How far the tips of either go past the other's flank, along the line of action; 0 in a sound mesh.

        Less than outlines may be off by counts as nothing: the fillet of profile A is rounded in ISO 53.
        """
        most = max(tip - path for tip, path in zip(self._tips_mm, self.path_mm, strict=True))
        return most if most > CHORD_MM else 0.0

    @property
    def end_mm(self) -> float:
        """What it needs of itself past the pitch point at either end of its travel: where contact goes, and a tooth more."""
        return max(self.path_mm) * math.cos(self.wheel.rack.alpha) + self.wheel.pitch_mm

    def loop(self) -> Loop:
        """Its outline, the middle of its datum line at (0, 0), teeth up."""
        gear = self.wheel
        drawn = straight_gear_loop(gear.module_mm, self.teeth, self.back_mm, gear.rack, self.thin_mm)
        middle = moved(drawn, -self.long_mm / 2.0, 0.0)
        assert isinstance(middle, Loop)
        return middle

    def over_pin_mm(self, pin_mm: float) -> float:
        """From its back to the top of a pin laid in a space.

        Raises:
            SeamwrightError: a pin that touches no straight flank, lies on the root or does not stand above the tips.
        """
        rack, m = self.wheel.rack, self.wheel.module_mm
        radius = positive("the pin", pin_mm, "mm") / 2.0
        half = self.wheel.pitch_mm / 4.0 + self.thin_mm / 2.0  # of a space on the datum
        centre = radius / math.sin(rack.alpha) - half / math.tan(rack.alpha)
        touches = centre - radius * math.sin(rack.alpha)
        if not -rack.straight * m <= touches <= rack.addendum * m or centre - radius < -rack.dedendum * m:
            raise SeamwrightError(f"a pin of {pin_mm:g} mm touches no flank of the bar")
        if centre + radius <= rack.addendum * m:
            raise SeamwrightError(f"a pin of {pin_mm:g} mm does not stand above the tips of the bar")
        return self.back_mm + rack.dedendum * m + centre + radius


def bar_form_factor(bar: Bar) -> float:
    """Lewis's Y of its teeth: those of a gear so large that it is as good as straight."""
    gear = bar.wheel
    return form_factor(Gear(_ENDLESS, gear.module_mm, 0.0, gear.rack, bar.thin_mm))


def bar_piece(name: str, bar: Bar, sheet: Sheet, *, cut_group: str = "") -> Wheel:
    """The bar cut from sheet, teeth up, and where the middle of its datum line is in the piece's own axes."""
    loop = bar.loop()
    x0, y0, _, _ = loop.bounds_mm
    outline = Outline(moved(loop, -x0, -y0))
    return Wheel(
        Piece(name=name, kind="gear", outline=outline, sheet=sheet, role="inner", cut_group=cut_group), (-x0, -y0)
    )
