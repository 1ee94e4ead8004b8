"""Twist drills by name and by size.

*Series*: `fraction` (1/64 in steps), `number` (#80 to #1), `letter` (A to Z), `metric`. Sizes of the inch series
are exact inches times 25.4.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.lengths import MM_PER_INCH
from parts.tables import Row, load

__all__ = [
    "INCH_SERIES",
    "METRIC_SERIES",
    "Drill",
    "DrillError",
    "Series",
    "at_least",
    "at_most",
    "drill",
    "drills",
    "nearest",
]

Series = Literal["fraction", "number", "letter", "metric"]
INCH_SERIES: Final[tuple[Series, ...]] = ("fraction", "number", "letter")
METRIC_SERIES: Final[tuple[Series, ...]] = ("metric",)
_ALL: Final[tuple[Series, ...]] = (*INCH_SERIES, *METRIC_SERIES)
_ROUNDING_MM: Final = 1e-6


class DrillError(SeamwrightError):
    """No such drill, or none of the size asked for."""


@dataclass(frozen=True, kw_only=True)
class Drill:
    """One twist drill.

    Attributes:
        name: as stamped or sold: `13/64`, `#7`, `F`, `5.2 mm`.
        series: the series it belongs to.
        diameter_mm: its diameter.
        source, clause, how_known: provenance, as in `parts.tables`.
    """

    name: str
    series: Series
    diameter_mm: float
    source: str
    clause: str
    how_known: str

    @property
    def label(self) -> str:
        """The name that cannot be mistaken on a drill sheet: `13/64 in`, `letter F`, `#7`, `5.2 mm`."""
        return {"fraction": f"{self.name} in", "letter": f"letter {self.name}"}.get(self.series, self.name)


@cache
def drills(series: tuple[Series, ...] = _ALL) -> tuple[Drill, ...]:
    """All drills of these series, thinnest first; of equal sizes in the order of `series`.

    >>> [d.name for d in drills(("letter",))][:3], len(drills())
    (['A', 'B', 'C'], 339)
    """
    found = [_drill(row) for row in load("drills") if row["series"] in series]
    return tuple(sorted(found, key=lambda d: (d.diameter_mm, series.index(d.series))))


def drill(name: str) -> Drill:
    """The drill of this name; spaces, case and a trailing `in` do not matter.

    Raises:
        DrillError: when there is none, with the nearest name.

    >>> drill("13/64 in").diameter_mm, drill("#7").diameter_mm, drill("5.20mm").name
    (5.159375, 5.1054, '5.2 mm')
    """
    by_key = _by_key()
    key = _key(name)
    if key not in by_key:
        import difflib

        near = difflib.get_close_matches(key, by_key, n=1)
        hint = f"did you mean {by_key[near[0]].label}?" if near else "names look like 13/64, #7, F or 5.2 mm"
        raise DrillError(f"no drill {name!r} ({hint})")
    return by_key[key]


def nearest(diameter_mm: float, series: tuple[Series, ...] = _ALL) -> Drill:
    """The drill whose size is nearest; of two equally near the thinner.

    >>> nearest(5.16).name, nearest(5.16, METRIC_SERIES).name
    ('13/64', '5.2 mm')
    """
    return min(_some(drills(series), diameter_mm), key=lambda d: abs(d.diameter_mm - diameter_mm))


def at_least(diameter_mm: float, series: tuple[Series, ...] = _ALL) -> Drill:
    """The thinnest drill not under a size.

    Raises:
        DrillError: when every drill is thinner.
    """
    fit = (d for d in drills(series) if d.diameter_mm >= diameter_mm - _ROUNDING_MM)
    return min(_some(fit, diameter_mm), key=lambda d: d.diameter_mm)


def at_most(diameter_mm: float, series: tuple[Series, ...] = _ALL) -> Drill:
    """The thickest drill not over a size.

    Raises:
        DrillError: when every drill is thicker.
    """
    fit = (d for d in drills(series) if d.diameter_mm <= diameter_mm + _ROUNDING_MM)
    return max(_some(fit, diameter_mm), key=lambda d: d.diameter_mm)


def _some(found: Iterable[Drill], diameter_mm: float) -> list[Drill]:
    kept = list(found)
    if not kept:
        raise DrillError(f"no drill for {diameter_mm:g} mm: the table has 0.34 to 25.4 mm")
    return kept


def _drill(row: Row) -> Drill:
    inches = row["diameter_in"]
    return Drill(
        name=row["name"],
        series=next(s for s in _ALL if s == row["series"]),
        diameter_mm=float(Fraction(inches) * MM_PER_INCH) if inches else float(row["diameter_mm"]),
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
    )


@cache
def _by_key() -> dict[str, Drill]:
    return {_key(d.name): d for d in drills()}


def _key(name: str) -> str:
    """A drill's name without what does not matter."""
    bare = "".join(name.lower().split()).removeprefix("letter").replace("no.", "#").removesuffix('"')
    if not bare.endswith("mm"):
        return bare.removesuffix("in")
    number = bare.removesuffix("mm")
    return f"{number.rstrip('0').rstrip('.')}mm" if "." in number else bare
