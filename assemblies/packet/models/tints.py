"""The tint of each kind of piece, the same in every picture and model. All values are judgement: clear sheet
reads as pale and see-through, what is tapped for bolts stands out."""

from __future__ import annotations

__all__ = ["Tint", "tint"]

Tint = tuple[float, float, float, float]  # sRGB red, green, blue and how opaque it is, each 0 to 1

_CLEAR: Tint = (0.72, 0.86, 0.92, 0.35)
_TINTS: dict[str, Tint] = {
    "base": (0.56, 0.74, 0.86, 0.45),
    "ring": (0.60, 0.80, 0.80, 0.45),
    "strip": (0.64, 0.84, 0.70, 0.60),
    "tapped-plate": (0.95, 0.64, 0.32, 0.85),
    "drilled-plate": (0.95, 0.64, 0.32, 0.85),
}


def tint(kind: str) -> Tint:
    """The tint of a piece of this kind; kinds without one of their own are clear sheet."""
    return _TINTS.get(kind, _CLEAR)
