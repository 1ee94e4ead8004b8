"""The figures that gears are judged by: rows of the tables `gear_rules` and `gear_shafts`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from parts.tables import cite, load

__all__ = ["ShaftSize", "gear_rule", "gear_source", "shaft_size"]


@cache
def _row(name: str) -> dict[str, str]:
    return next(dict(row) for row in load("gear_rules") if row["rule"] == name)


def gear_rule(name: str) -> float:
    """A figure of the table, in its unit.

    >>> gear_rule("tip_least")
    0.4
    """
    return float(_row(name)["value"])


def gear_source(name: str) -> str:
    """Where it comes from, in words."""
    row = _row(name)
    return cite(row["source"], row["clause"], row["how_known"])


@dataclass(frozen=True, kw_only=True)
class ShaftSize:
    """A shaft with its flat, key and ball bearing, mm; no key where the standard has none."""

    diameter: float
    across: float
    key: float | None
    key_depth: float | None
    bearing: float
    bearing_wide: float


@cache
def shaft_size(diameter_mm: int) -> ShaftSize:
    """What goes with a shaft of this diameter.

    >>> shaft_size(6).bearing
    19.0
    """
    row = next(r for r in load("gear_shafts") if r["shaft_mm"] == str(diameter_mm))
    key, depth = (float(row[k]) if row[k] else None for k in ("key_mm", "key_depth_mm"))
    return ShaftSize(
        diameter=float(diameter_mm),
        across=float(row["across_flat_mm"]),
        key=key,
        key_depth=depth,
        bearing=float(row["bearing_mm"]),
        bearing_wide=float(row["bearing_wide_mm"]),
    )
