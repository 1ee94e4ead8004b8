"""The blocks that page and print are made of. A section belongs to a station, the place where its paper hangs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

__all__ = [
    "STATIONS",
    "Bar",
    "Bars",
    "Block",
    "Cautions",
    "Figure",
    "Figures",
    "Form",
    "Para",
    "Picture",
    "Remark",
    "Remarks",
    "Report",
    "Rows",
    "Section",
    "Station",
    "Step",
    "Steps",
]

Report = Mapping[str, Any]  # as in report.json


Station = Literal["plan", "cut", "drill", "heat", "dry-fit", "bond", "test", "check-in", "use", "after", "sources"]
STATIONS: Final[Mapping[Station, str]] = {
    "plan": "Plan",
    "cut": "Cut",
    "drill": "Drill and tap",
    "heat": "Heat and bend",
    "dry-fit": "Dry fit and tape",
    "bond": "Bond",
    "test": "Test",
    "check-in": "Check-in",
    "use": "Use",
    "after": "After hand-over",
    "sources": "Sources",
}


@dataclass(frozen=True, kw_only=True)
class Para:
    """A paragraph."""

    text: str


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One value with its unit, and why it is what it is: formula and source."""

    label: str
    value: str
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Figures:
    """Several values."""

    items: Sequence[Figure]


@dataclass(frozen=True, kw_only=True)
class Rows:
    """A table. `right` has an `r` for each column that leans right; `keys` names what each row is about, for picking; a `terse`
    one reads as well as text, row by row, where it is too wide."""

    title: str
    header: Sequence[str]
    rows: Sequence[Sequence[str]]
    right: str = ""
    keys: Sequence[str] = ()
    note: str = ""
    terse: bool = False


@dataclass(frozen=True, kw_only=True)
class Form:
    """A table to fill in by hand: the columns whose numbers are `boxes` are boxes, in which a cell that is None is yet to be
    read; one that is empty is none."""

    title: str
    header: Sequence[str]
    rows: Sequence[Sequence[str | None]]
    boxes: Sequence[int]
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step with a box to tick, its cautions and its source; `number` where it is not its place in the list: `7 to 8`."""

    text: str
    number: str = ""
    cautions: Sequence[str] = ()
    source: str = ""
    sign: bool = False


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Numbered steps."""

    title: str
    items: Sequence[Step]


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A use from 0 up, drawn as a bar, with its figures in words; `instead` stands where its percent would."""

    label: str
    use: float
    text: str
    why: str = ""
    instead: str = ""


@dataclass(frozen=True, kw_only=True)
class Bars:
    """Several uses; the `rest` are small and need no bar each."""

    title: str
    items: Sequence[Bar]
    rest: Sequence[Bar] = ()


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture of the packet by its key, with words for who cannot see it; `about` names the instances it shows.

    Keys: `exploded`, `sheet-<n>` and `nest-<n>` of the cutting plan, `part-<part>`. `at_work`: at the place where that part is
    worked on, and so printed too. `screen`: on the page alone, not in print.
    """

    key: str
    alt: str
    about: str = ""
    at_work: bool = False
    screen: bool = False


@dataclass(frozen=True, kw_only=True)
class Remark:
    """A finding or caution: a word for its weight, the text, what to do, its source."""

    level: str
    where: str
    text: str
    do: str = ""
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Remarks:
    """Findings or cautions."""

    title: str
    items: Sequence[Remark]


@dataclass(frozen=True, kw_only=True)
class Cautions:
    """Cautions of a station."""

    items: Sequence[Remark]


Block = Para | Figures | Rows | Form | Steps | Bars | Picture | Remarks | Cautions


@dataclass(frozen=True, kw_only=True)
class Section:
    """A heading with its blocks; never without any."""

    id: str
    station: Station
    title: str
    blocks: Sequence[Block]
