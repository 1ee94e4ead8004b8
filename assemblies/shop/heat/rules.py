"""The figures that heating and bending are judged by: rows of the table `heat_rules`."""

from __future__ import annotations

from functools import cache

from parts.tables import cite, load

__all__ = ["heat_rule", "heat_source"]


@cache
def _row(name: str) -> dict[str, str]:
    return next(dict(row) for row in load("heat_rules") if row["rule"] == name)


def heat_rule(name: str) -> float:
    """A figure of the table, in its unit.

    >>> heat_rule("oven_most")
    190.0
    """
    return float(_row(name)["value"])


def heat_source(name: str) -> str:
    """Where it comes from, in words."""
    row = _row(name)
    return cite(row["source"], row["clause"], row["how_known"])
