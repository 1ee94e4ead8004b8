"""Read and write lengths: `"7 3/8 in"`, `"140 mm"`, `0.25` <-> millimetres, exact inside.

*Bare number*: a number without a unit; it is in the unit of the order. *Mixed number*: a whole and a
fraction, `7 3/8`; a decimal in brackets behind it is what is truly meant, `5 1/2 in (5.505)`. An inch is
25.4 mm exactly (the international inch). Everything is a `Fraction` until the last step, so `read_length`
returns the float nearest to the exact value.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final, Literal

from parts.findings import SeamwrightError

__all__ = [
    "MM_PER_INCH",
    "LengthError",
    "LengthUnit",
    "dial_length",
    "gauge_length",
    "mark_length",
    "mark_under",
    "nearest_64th",
    "read_length",
    "write_length",
    "write_named",
]

LengthUnit = Literal["mm", "in"]
MM_PER_INCH: Final = Fraction(254, 10)

_MM_PER: Final = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": MM_PER_INCH}
_SAME: Final = {"inch": "in", "inches": "in", '"': "in"}
_WRITTEN_OUT: Final = {
    "ft": "inches",
    "feet": "inches",
    "foot": "inches",
    "'": "inches",
    "yd": "inches",
    "um": "mm",
    "thou": "inches",
    "mil": "inches",
}
_LONGEST_TEXT: Final = 48
_LONGEST_MM: Final = 1_000_000  # 1 km: longer than any sheet, rail or room; a typing error
_APART_MM: Final = Fraction(5, 100)
_LOOKS: Final = 'a length looks like "140 mm", "7 3/8 in" or 0.25'

_NUMBER = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_FRACTION = r"(?:(?P<whole>[0-9]+)(?:[ \t]+|-))?(?P<top>[0-9]+)[ \t]*/[ \t]*(?P<under>[0-9]+)"
_FORM: Final = re.compile(
    rf"(?P<sign>[+-]?)[ \t]*(?:{_FRACTION}|(?P<plain>{_NUMBER}))[ \t]*(?P<unit>[A-Za-z]+|[\"'])?"
    rf"(?:[ \t]+(?P<more>[+-][ \t]*{_NUMBER})[ \t]*mm)?(?:[ \t]*\((?P<true>-?{_NUMBER})\))?"
)


class LengthError(SeamwrightError):
    """A text or number that is not a length; the message quotes it and says what is allowed."""


def read_length(text: str | float | Fraction, unit: LengthUnit, *, negative: bool = True) -> float:
    """The length in mm that a text or a bare number means.

    Args:
        text: `"7 3/8 in"`, `"7-3/8 in"`, `"0.25in"`, `"140 mm"`, `"14 cm"`, `"1.2 m"`, `"5 1/2 in (5.505)"`
            (as `write_length` writes it), or a bare number, which is in `unit`.
        unit: unit of bare numbers, `"mm"` or `"in"`.
        negative: False refuses lengths below zero.

    Raises:
        LengthError: for everything else, with what was wrong.

    >>> read_length("7 3/8 in", "mm"), read_length(0.25, "in"), read_length("140", "mm")
    (187.325, 6.35, 140.0)
    """
    _check_unit(unit)
    exact = _read_text(text, unit) if isinstance(text, str) else _exact(text) * _MM_PER[unit]
    shown = _quote(text)
    if abs(exact) > _LONGEST_MM:
        raise LengthError(f"{shown} is longer than 1 km: {_LOOKS}")
    if exact < 0 and not negative:
        raise LengthError(f"{shown} is below zero: this length cannot be negative")
    return float(exact)


def write_length(mm: float | Fraction, unit: LengthUnit) -> str:
    """The length as a text that `read_length` reads back.

    In mm: at most three decimals, without trailing zeros (read back within 0.0005 mm). In inches: the nearest
    1/64, reduced, and the true decimal beside it where the two differ by over 0.05 mm (read back within 0.05 mm
    without it, within 0.013 mm with it).

    >>> write_length(311.64, "mm"), write_length(139.7, "in"), write_length(139.82, "in")
    ('311.64 mm', '5 1/2 in', '5 1/2 in (5.505)')
    """
    _check_unit(unit)
    exact = _exact(mm)
    if abs(exact) > _LONGEST_MM:
        raise LengthError(f"{_quote(mm)} mm is longer than 1 km: {_LOOKS}")
    if unit == "mm":
        return f"{_decimal(exact, 3)} mm"
    inches, _ = nearest_64th(mm)
    left = exact - inches * MM_PER_INCH
    if abs(left) <= _APART_MM:
        return f"{_mixed(inches)} in"
    true = f"{float(exact / MM_PER_INCH):.3f}"
    return f"{_mixed(inches)} in ({true})" if inches else f"{true} in"


def write_named(mm: float | Fraction, unit: LengthUnit) -> str:
    """A length that has a name, such as a sheet's nominal thickness, as someone wrote it; read back within 1e-6 mm.

    In the unit where it is exact and short there: mm to three decimals; inches as a fraction to 1/64, or to four
    decimals. Else in the other unit where it is short there; else as `write_length`.

    >>> write_named(8.9916, "in"), write_named(6.35, "in"), write_named(6.0, "in"), write_named(6.35, "mm")
    ('0.354 in', '1/4 in', '6 mm', '6.35 mm')
    """
    _check_unit(unit)
    exact = round(_exact(mm), 9)  # conversion leaves dust in the fifteenth digit
    inches = round(exact / MM_PER_INCH, 9)
    short: dict[str, str] = {}
    if round(exact, 3) == exact:
        short["mm"] = f"{_decimal(exact, 3)} mm"
    if (inches * 64).denominator == 1:
        short["in"] = f"{_mixed(inches)} in"
    elif round(inches, 4) == inches:
        short["in"] = f"{_decimal(inches, 4)} in"
    return short.get(unit) or next(iter(short.values()), write_length(mm, unit))


def mark_length(mm: float | Fraction, unit: LengthUnit) -> str:
    """A length as it is marked or read with a rule: to 0.1 mm, or to 1/64 in.

    >>> mark_length(422.73, "mm"), mark_length(422.73, "in"), mark_length(12.0, "in")
    ('422.7 mm', '16 41/64 in', '15/32 in')
    """
    _check_unit(unit)
    if unit == "in":
        return f"{_mixed(nearest_64th(mm)[0])} in"
    return f"{_decimal(_exact(mm), 1)} mm"


def mark_under(mm: float | Fraction, unit: LengthUnit) -> str:
    """A length that must not be passed, such as a fill line: the whole mm, or the 1/64 in, at or under it.

    >>> mark_under(120.7, "mm"), mark_under(165.4, "in"), mark_under(139.7, "in")
    ('120 mm', '6 1/2 in', '5 1/2 in')
    """
    _check_unit(unit)
    exact = round(_exact(mm), 6)
    return f"{exact // 1} mm" if unit == "mm" else f"{_mixed(Fraction(exact / MM_PER_INCH * 64 // 1, 64))} in"


def dial_length(mm: float | Fraction, unit: LengthUnit) -> str:
    """A place that is set by a dial, such as of a hole: to 0.01 mm, or to a thousandth of an inch.

    >>> dial_length(12.5, "mm"), dial_length(12.5, "in"), dial_length(12.7, "in")
    ('12.5 mm', '0.492 in', '0.500 in')
    """
    _check_unit(unit)
    return f"{float(_exact(mm) / MM_PER_INCH):.3f} in" if unit == "in" else f"{_decimal(_exact(mm), 2)} mm"


def gauge_length(mm: float | Fraction, unit: LengthUnit) -> str:
    """A small length as it is gauged, not marked: to 0.01 mm, or to a thousandth of an inch.

    >>> gauge_length(0.1, "mm"), gauge_length(0.26, "in")
    ('0.10 mm', '0.010 in')
    """
    _check_unit(unit)
    return f"{float(_exact(mm) / MM_PER_INCH):.3f} in" if unit == "in" else f"{float(_exact(mm)):.2f} mm"


def nearest_64th(mm: float | Fraction) -> tuple[Fraction, float]:
    """The nearest 1/64 in as a fraction of inches, and what it leaves over: `mm` less that size, in mm.

    The error is at most 1/128 in = 0.198 mm either way; of two equally near sizes the even 64th is taken.

    >>> nearest_64th(6.0)
    (Fraction(15, 64), 0.046875)
    """
    exact = _exact(mm)
    inches = Fraction(round(exact / MM_PER_INCH * 64), 64)
    return inches, float(exact - inches * MM_PER_INCH)


def _read_text(text: str, unit: LengthUnit) -> Fraction:
    """The exact mm of a text."""
    shown = _quote(text)
    bare = text.strip(" \t")
    if not bare:
        raise LengthError(f"an empty text is not a length: {_LOOKS}")
    if len(bare) > _LONGEST_TEXT:
        raise LengthError(f"{shown} has {len(bare)} characters, at most {_LONGEST_TEXT} are read: {_LOOKS}")
    found = _FORM.fullmatch(bare)
    if found is None:
        raise LengthError(f"{shown} is not a length: {_why_not(bare)}")
    scale = _MM_PER[_unit_of(found["unit"], unit, shown)]
    sign = -1 if found["sign"] == "-" else 1
    total = sign * _number(found, shown) * scale
    if found["true"]:
        return Fraction(found["true"]) * scale
    if found["more"]:
        total += Fraction(re.sub(r"[ \t]", "", found["more"]))
    return total


def _number(found: re.Match[str], shown: str) -> Fraction:
    """The unsigned number of a matched text."""
    if found["plain"]:
        return Fraction(found["plain"])
    top, under = int(found["top"]), int(found["under"])
    if under == 0:
        raise LengthError(f"{shown} divides by zero: {_LOOKS}")
    if found["whole"] is None:
        return Fraction(top, under)
    if top >= under:
        raise LengthError(f"{shown}: the fraction behind a whole number must be under 1, not {top}/{under}")
    return int(found["whole"]) + Fraction(top, under)


def _unit_of(word: str | None, unit: LengthUnit, shown: str) -> str:
    """The unit that a word behind a number means."""
    if word is None:
        return unit
    low = word.lower()
    low = _SAME.get(low, low)
    if low in _MM_PER:
        return low
    if low in _WRITTEN_OUT:
        raise LengthError(f"{shown}: {word!r} is not read, write it in {_WRITTEN_OUT[low]}")
    import difflib

    near = difflib.get_close_matches(low, [*_MM_PER, *_SAME], n=1, cutoff=0.5)
    hint = f"did you mean {_SAME.get(near[0], near[0])}?" if near else "units are mm, cm, m and in"
    raise LengthError(f"{shown}: unknown unit {word!r} ({hint})")


def _why_not(bare: str) -> str:
    """What is most likely wrong with a text that has no legal form."""
    if not bare.isascii():
        strange = next(character for character in bare if not character.isascii())
        return f"{strange!r} is not read, use plain characters (1/2, -, in)"
    if "," in bare:
        return "a comma is not read, write a decimal point and no thousands mark (1.5, 1500)"
    if bare.lower().lstrip("+-") in {"nan", "inf", "infinity"}:
        return "it must be a finite number"
    if re.fullmatch(rf"[+-]?{_NUMBER}[eE][+-]?[0-9]+.*", bare):
        return "an exponent is not read, write the digits out"
    if bare.count("/") > 1:
        return "it has more than one fraction bar"
    if not re.search(r"[0-9]", bare):
        return f"there is no number in it; {_LOOKS}"
    return _LOOKS


def _exact(value: float | Fraction) -> Fraction:
    """A number as the decimal it was written as (0.1 is 1/10), refused when it is none."""
    if isinstance(value, bool) or not isinstance(value, (int, float, Fraction)):
        raise LengthError(f"{_quote(value)} is not a length: {_LOOKS}")
    if isinstance(value, (int, Fraction)):
        return Fraction(value)
    if not math.isfinite(value):
        raise LengthError(f"{_quote(value)} is not a length: it must be a finite number")
    return Fraction(repr(float(value)))


def _check_unit(unit: str) -> None:
    if unit not in ("mm", "in"):
        raise LengthError(f"unit {_quote(unit)} is not known: units of an order are mm and in")


def _quote(value: object) -> str:
    """The value as it may stand in a message: quoted, never long."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 10**20:
        return "a number of more than 20 digits"
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _decimal(value: Fraction, places: int) -> str:
    """A decimal of at most `places` places without trailing zeros."""
    scaled = round(value * 10**places)
    whole, part = divmod(abs(scaled), 10**places)
    decimals = f"{part:0{places}d}".rstrip("0")
    return f"{'-' if scaled < 0 else ''}{whole}{'.' if decimals else ''}{decimals}"


def _mixed(inches: Fraction) -> str:
    """A fraction as a mixed number: 11/2 is `5 1/2`."""
    whole, top = divmod(abs(inches.numerator), inches.denominator)
    words = [str(whole)] if whole or not top else []
    if top:
        words.append(f"{top}/{inches.denominator}")
    return ("-" if inches < 0 else "") + " ".join(words)
