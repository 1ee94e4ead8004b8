"""The tint of each kind of piece, the same in every picture and model. All values are judgement: clear sheet
reads as pale and see-through, what is tapped for bolts and what turns stands out."""

from __future__ import annotations

__all__ = ["Tint", "body_tint", "tint", "water_tint"]

Tint = tuple[float, float, float, float]  # sRGB red, green, blue and how opaque it is, each 0 to 1

_CLEAR: Tint = (0.72, 0.86, 0.92, 0.35)
_TINTS: dict[str, Tint] = {
    "base": (0.56, 0.74, 0.86, 0.45),
    "ring": (0.60, 0.80, 0.80, 0.45),
    "strip": (0.64, 0.84, 0.70, 0.60),
    "tapped-plate": (0.95, 0.64, 0.32, 0.85),
    "drilled-plate": (0.95, 0.64, 0.32, 0.85),
    "gear": (0.26, 0.58, 0.70, 0.80),
    "hub": (0.22, 0.46, 0.60, 0.80),
}
_WATER: Tint = (0.24, 0.60, 0.86, 0.16)
_STEEL: Tint = (0.62, 0.65, 0.68, 1.0)
_BODIES: dict[str, Tint] = {
    "washer": (0.78, 0.80, 0.82, 1.0),
    "bearing": (0.45, 0.48, 0.52, 1.0),
    "standoff": (0.72, 0.74, 0.77, 1.0),
    "insert": (0.80, 0.66, 0.36, 1.0),  # brass
    "band": (0.86, 0.16, 0.13, 1.0),  # red: a pin that is not home
    "shackle": (0.92, 0.74, 0.20, 1.0),
    "shoe": (0.70, 0.72, 0.75, 1.0),
}


def body_tint(kind: str) -> Tint:
    """The tint of what is bought: metal."""
    return _BODIES.get(kind, _STEEL)


def water_tint() -> Tint:
    """The tint of liquid, its surface twice as dense; whatever it is, so that it is seen in clear sheet."""
    return _WATER


def tint(kind: str) -> Tint:
    """The tint of a piece of this kind; kinds without one of their own are clear sheet."""
    return _TINTS.get(kind, _CLEAR)
