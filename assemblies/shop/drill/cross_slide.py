"""A cross-slide vise as a measuring tool: how many turns of its handle, and where the dial stands.

*Backlash*: the play of the screw in its nut; a place is always approached from the same side, so that the play does not count.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from parts.findings import SeamwrightError
from parts.lengths import MM_PER_INCH

__all__ = ["CrossSlide", "HandleReading", "cross_slide"]


@dataclass(frozen=True, kw_only=True)
class HandleReading:
    """Whole turns from zero, then divisions of the dial; `error_mm` is where that is less where it should be."""

    turns: int
    divisions: int
    error_mm: float

    def words(self) -> str:
        """As said at the vise.

        >>> HandleReading(turns=4, divisions=0, error_mm=0.0).words()
        '4 turns'
        """
        turns = f"{self.turns} turn{'' if self.turns == 1 else 's'}"
        return turns if self.divisions == 0 else f"{turns} + {self.divisions} div"


@dataclass(frozen=True, kw_only=True)
class CrossSlide:
    """A screw of this pitch with a dial of this many divisions."""

    mm_per_turn: Fraction
    divisions: int

    @property
    def mm_per_division(self) -> Fraction:
        return self.mm_per_turn / self.divisions

    def reading(self, distance_mm: float) -> HandleReading:
        """The nearest setting of the dial for a distance from its zero.

        Raises:
            SeamwrightError: a distance below 0.
        """
        if not distance_mm >= 0.0:
            raise SeamwrightError(f"the vise counts from the datum corner inward, not {distance_mm:g} mm outward")
        # a nanometre is far below any dial and takes the noise of binary fractions out
        exact = Fraction(round(distance_mm * 10**6), 10**6)
        steps = round(exact / self.mm_per_division)
        turns, divisions = divmod(steps, self.divisions)
        return HandleReading(turns=turns, divisions=divisions, error_mm=float(steps * self.mm_per_division - exact))


def cross_slide(
    *, turns_per_inch: float | None = None, mm_per_turn: float | None = None, divisions: int | None = None
) -> CrossSlide:
    """A vise by its pitch: turns to the inch, or mm to the turn. Dials are taken to be in 0.001 in or 0.02 mm.

    >>> vise = cross_slide(mm_per_turn=2)
    >>> vise.divisions, vise.reading(12).words(), vise.reading(40.5).words()
    (100, '6 turns', '20 turns + 25 div')

    Raises:
        SeamwrightError: neither or both pitches, or a pitch or dial that cannot be.
    """
    if (turns_per_inch is None) == (mm_per_turn is None):
        raise SeamwrightError("a cross-slide needs its pitch: turns per inch or mm per turn, one of them")
    given = turns_per_inch if turns_per_inch is not None else mm_per_turn
    assert given is not None
    if not 0.1 <= given <= 100.0:
        raise SeamwrightError(f"a cross-slide of pitch {given:g} cannot be: 0.1 to 100 turns per inch or mm per turn")
    amount = Fraction(repr(given)) if isinstance(given, float) else Fraction(given)
    pitch = MM_PER_INCH / amount if turns_per_inch is not None else amount
    step = MM_PER_INCH / 1000 if turns_per_inch is not None else Fraction(2, 100)
    dial = max(1, round(pitch / step)) if divisions is None else divisions
    if not 1 <= dial <= 1000:
        raise SeamwrightError(f"a dial of {dial} divisions cannot be read: 1 to 1000")
    return CrossSlide(mm_per_turn=pitch, divisions=dial)
