"""Figures as people read them."""

from __future__ import annotations

from collections.abc import Sequence

from parts.lengths import LengthUnit, write_length

__all__ = ["amount", "percent", "size_words"]


def amount(value: float, unit: str, places: int = 2) -> str:
    """A number with its unit, to so many places, without needless zeros.

    >>> amount(7.2, "L"), amount(1.0, "kg", 3)
    ('7.2 L', '1 kg')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text if text != '-0' else '0'} {unit}".rstrip()


def percent(share: float) -> str:
    """A share as whole percent.

    >>> percent(0.254)
    '25 %'
    """
    return f"{100.0 * share:.0f} %"


def size_words(sides_mm: Sequence[float], unit: LengthUnit) -> str:
    """Sides as `a x b`."""
    return " x ".join(write_length(side, unit) for side in sides_mm)
