"""The shop's rules of thumb, by name, from the table `shop_rules`."""

from __future__ import annotations

from parts.tables import Row, cite, load

__all__ = ["rule", "rule_source"]


def _row(name: str) -> Row:
    for row in load("shop_rules"):
        if row["rule"] == name:
            return row
    raise KeyError(name)


def rule(name: str) -> float:
    """The rule's figure; its unit stands in the table.

    >>> rule("tapped_left_good")
    1.5

    Raises:
        KeyError: there is no such rule.
    """
    return float(_row(name)["value"])


def rule_source(name: str) -> str:
    """Where the rule comes from, as printed beside a finding."""
    row = _row(name)
    return cite(row["source"], row["clause"], row["how_known"])
