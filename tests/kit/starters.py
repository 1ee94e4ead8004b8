"""Orders that many tests edit: the tank on two small plates, and starters without their commented extras."""

from __future__ import annotations

from pathlib import Path

from assemblies.kinds import starter

__all__ = ["bare", "two_plates"]

_ORDERS = Path(__file__).parents[1] / "orders"


def two_plates() -> str:
    """A tank of 300 x 200 x 150 on two plates of 50 x 50 x 12, 4 x M6 each, 25 mm apart: the starter until 2026-11-28."""
    return (_ORDERS / "two-plates.toml").read_text(encoding="utf-8")


def bare(name: str) -> str:
    """An order up to its extras: of a tank that on two plates, else the kind's starter."""
    text, extras, _ = (two_plates() if name == "tank" else starter(name)).partition("# Extras:")
    assert extras
    return text
