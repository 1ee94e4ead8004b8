"""Findings as people read them: one for one cause with its places, the gravest and nearest to the thing itself first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any, Final

from parts.findings import Finding
from parts.in_unit import said_in
from parts.lengths import LengthUnit

__all__ = ["at_steps", "shown_findings"]

_LEVELS: Final = ("stop", "care", "note")
#: What comes first among findings of one level: what breaks or leaks before what is made, that before what is taken.
_CHECKS: Final = ("strength", "liquid", "fit", "plates", "holes", "cutting", "drill")
_MOST_PLACES: Final = 6


def shown_findings(report: Mapping[str, Any], *steps: str, unit: LengthUnit = "mm") -> list[Finding]:
    """What is said with the verdict, and the usual cautions of some stations of work, in the order's unit.

    Findings that differ in their place alone are one, with all its places.
    """
    said = [f for f in _all(report) if not f.step or f.step in steps]
    places: dict[Finding, dict[str, None]] = {}
    for one in said:
        places.setdefault(replace(one, where=""), {}).setdefault(one.where)
    out = [
        replace(one, where=_places(tuple(where)), why=said_in(one.why, unit), do=said_in(one.do, unit))
        for one, where in places.items()
    ]
    return sorted(out, key=_rank)


def at_steps(report: Mapping[str, Any]) -> list[Finding]:
    """What is said elsewhere than with the verdict: the usual cautions at their steps of work, notes on method."""
    return [f for f in _all(report) if f.step]


def _all(report: Mapping[str, Any]) -> list[Finding]:
    return [Finding(**{**f, "remedy": None}) for f in report["findings"]]


def _rank(one: Finding) -> tuple[int, int]:
    return _LEVELS.index(one.level), _CHECKS.index(one.check) if one.check in _CHECKS else len(_CHECKS)


def _places(where: Iterable[str]) -> str:
    names = tuple(where)
    more = len(names) - _MOST_PLACES
    return ", ".join(names[:_MOST_PLACES]) + (f" and {more} more" if more > 0 else "")
