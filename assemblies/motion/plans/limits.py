"""Limits and figures of spins and throws: the table `motion_limits`."""

from __future__ import annotations

from functools import cache

from parts.tables import Row, cite, load

__all__ = ["limit", "limit_source"]


def limit(name: str) -> float:
    """A figure by its name, in the unit of its row.

    >>> limit("largest_rim_speed")
    10.0
    """
    return float(_row(name)["value"])


def limit_source(name: str) -> str:
    """Where it comes from."""
    row = _row(name)
    return cite(row["source"], row["clause"], row["how_known"])


@cache
def _row(name: str) -> Row:
    return next(row for row in load("motion_limits") if row["limit"] == name)
