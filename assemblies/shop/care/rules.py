"""The figures of bonding and buying, each with its source: waiting times, and the rules of the bench."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from parts.stock.material import Sourced
from parts.tables import Row, cite, load

__all__ = ["Cited", "cited", "figure", "wait", "wait_says"]


def figure(name: str) -> Sourced:
    """A rule of the bench by its name in the table `bonding_rules`.

    Raises:
        KeyError: there is no such rule.

    >>> figure("peel_back").value
    12.0
    """
    row = _rows("bonding_rules")[name]
    return _sourced(row, row["value"], row["low"], row["high"], row["unit"])


def wait(name: str) -> Sourced:
    """A waiting time after the solvent went in, in hours, by its name in the table `bonding_times`.

    Raises:
        KeyError: there is no such time.

    >>> wait("water").value
    24.0
    """
    row = _rows("bonding_times")[name]
    value, low, high = (str(float(row[k]) / 60.0) if row[k] else "" for k in ("minutes", "low_minutes", "high_minutes"))
    return _sourced(row, value, low, high, "h")


def wait_says(name: str) -> str:
    """What the table says of a waiting time."""
    return _rows("bonding_times")[name]["says"]


@dataclass(frozen=True, kw_only=True)
class Cited:
    """A figure as the report holds it: `source` says where it is from and how that is known."""

    value: float
    unit: str
    low: float | None
    high: float | None
    source: str


def cited(value: Sourced) -> Cited:
    """The figure with its source in one line."""
    source = cite(value.source, value.clause, value.how_known)
    return Cited(value=value.value, unit=value.unit, low=value.low, high=value.high, source=source)


@cache
def _rows(table: str) -> dict[str, Row]:
    return {next(iter(row.values())): row for row in load(table)}


def _sourced(row: Row, value: str, low: str, high: str, unit: str) -> Sourced:
    return Sourced(
        value=float(value),
        unit=unit,
        low=float(low) if low else None,
        high=float(high) if high else None,
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
    )
