"""Sentences whose figures are in mm, said in the unit of the order.

Checks write their sentences in mm, as the report is; to people who order in inches they are said in inches, here alone. What is
bought by its metric name stays: a bolt `M4 x 16 mm`, a `3.4 mm drill`; so does what is quoted from an order.
"""

from __future__ import annotations

import math
import re
from typing import Final

from parts.lengths import MM_PER_INCH, LengthUnit, nearest_64th, write_length

__all__ = ["said_in"]

_NUMBER: Final = r"[+-]?(?:\d+(?:\.\d+)?)"
_BETWEEN: Final = r"(?: to | and | or | x | × | by |\.\.)"
_LENGTHS: Final = re.compile(
    rf"(?P<named>\bM\d+(?:\.\d+)?(?: x \d+(?:\.\d+)?)?(?: x | ))?(?<![\w.,/-])(?P<figures>{_NUMBER}(?:{_BETWEEN}{_NUMBER})*) mm"
    r"(?![\w²³/\"'])(?! (?:drill|tap|bit|end mill|cutter)\b)"
)
_PLACE: Final = re.compile(rf"\(({_NUMBER}), ({_NUMBER})\)")
_DOWN: Final = re.compile(r"(?:at most|within|no more than|up to)$")
_ROUND_FROM: Final = 20  # mm: a whole number of fives from here on is a round figure, and is said as one
_FINE_FROM: Final = 25.4  # mm: under it a tenth of a mm is worth a thousandth of an inch


def said_in(text: str, unit: LengthUnit) -> str:
    """A sentence with its figures in the unit of the order.

    >>> said_in("may be 13.89 to 17.86 mm thick (± 1.99 mm)", "in"), said_in("may be 13.89 mm thick", "mm")
    ('may be 0.547 to 0.703 in thick (± 0.078 in)', 'may be 13.89 mm thick')
    >>> said_in("hole of 6.35 mm at (25.4, 12.5), at least 9.6 mm from the edge", "in")
    'hole of 1/4 in at (1.000, 0.492), at least 0.378 in from the edge'
    >>> said_in("a push stick of at least 450 mm; a screw M4 x 16 mm; within 8 mm; 3.4 mm drill", "in")
    'a push stick of at least 17 3/4 in; a screw M4 x 16 mm; within 0.314 in; 3.4 mm drill'
    """
    if unit == "mm" or not text:
        return text
    said = re.split(r"(\[[^\]]*\])", text)  # what stands in brackets is a source, as it is written there
    said[::2] = [_LENGTHS.sub(_said, _PLACE.sub(_place, one)) for one in said[::2]]
    return "".join(said)


def _place(found: re.Match[str]) -> str:
    return f"({_decimal(found[1], 3)}, {_decimal(found[2], 3)})"


def _said(found: re.Match[str]) -> str:
    if found["named"]:
        return found[0]
    before = found.string[: found.start()].rstrip()
    down, up = bool(_DOWN.search(before)), before.endswith("at least")
    figures = re.split(f"({_BETWEEN})", found["figures"])
    exact = all(_exact(one) for one in figures[::2]) and " to " not in figures
    figures[::2] = [_one(one, down=down, up=up, exact=exact) for one in figures[::2]]
    return f"{''.join(figures)} in"


def _exact(figure: str) -> bool:
    """Whether a figure is so many 64ths as nearly as it is written."""
    _, left = nearest_64th(abs(float(figure)))
    places = len(figure.partition(".")[2])
    return abs(left) <= (0.5 * 10.0**-places if places > 1 else 1e-9) and float(figure) != 0.0


def _one(figure: str, *, down: bool, up: bool, exact: bool) -> str:
    mm = float(figure)
    if exact and figure[0] not in "+-":
        inches, _ = nearest_64th(mm)
        return write_length(inches * MM_PER_INCH, "in").removesuffix(" in")
    if "." not in figure and mm >= _ROUND_FROM and mm % 5.0 == 0.0:
        quarters = mm / float(MM_PER_INCH) * 4.0
        whole = math.floor(quarters) if down else math.ceil(quarters)
        return write_length(whole * MM_PER_INCH / 4, "in").removesuffix(" in")
    fine = len(figure.partition(".")[2]) > 1 or abs(mm) < _FINE_FROM
    return _decimal(figure, 3 if fine else 2, down=down, up=up)


def _decimal(figure: str, places: int, *, down: bool = False, up: bool = False) -> str:
    """So many places of an inch; what is a least is rounded up, what is a most down."""
    inches = float(figure) / float(MM_PER_INCH)
    scaled = inches * 10.0**places
    whole = math.floor(scaled + 1e-9) if down else math.ceil(scaled - 1e-9) if up else round(scaled)
    sign = "+" if figure.startswith("+") else ""
    return f"{sign}{whole / 10.0**places:.{places}f}"
