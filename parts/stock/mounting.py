"""Hole patterns by which things are bolted together: grids, lists of places, and the faces that open standards fix.

*Counterpart*: what is bolted to our plate: a cylinder, motor, robot flange, screen, camera or T-slot rail. Which side is tapped
is a fact of the pattern, and decides how our holes are made where nobody says otherwise (`holes_made`). *Boss*: a round
collar that stands out of the counterpart and needs a bore in our plate. *Recess*: a round pocket in it, which needs
nothing. A pattern is counted from its own centre, x right and y up.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from parts.findings import Finding, SeamwrightError
from parts.lengths import LengthError, LengthUnit, read_length
from parts.stock.thread import Thread, thread
from parts.tables import Row, cite, load
from parts.vectors import finite

__all__ = [
    "Holes",
    "Made",
    "MountingError",
    "Pattern",
    "hole_circle",
    "holes_made",
    "pattern",
    "pattern_findings",
    "pattern_names",
]

Made = Literal["tapped", "clearance"]  # what our plate has
Holes = Literal[
    "tapped", "clearance", "through"
]  # as an order says it; through: the bolts come through the wall as well

LEAST_PLAY_MM: Final = 0.4  # judgement: holes that are pricked through a template and drilled are 0.2 mm off
BOSS_CLEARANCE_MM: Final = 0.2  # judgement: the bore is this much wider than the boss
_MOST_HOLES: Final = 400  # 20 x 20; more is a slip of the pen on a bonded plate
_GRID: Final = re.compile(r"grid (?P<pitch>.+?) (?P<across>[0-9]{1,6}) ?x ?(?P<up>[0-9]{1,6})")
_SLOTS: Final = re.compile(r"t[ -]?slots? (?P<pitch>.+?) (?P<across>[0-9]{1,6}) ?x ?(?P<up>[0-9]{1,6})")
_SLOTS_LOOK: Final = 'a pattern on T-slots looks like "T-slot 20 2x2": grid of the rail, columns, rows'
_GRID_LOOKS: Final = 'a grid looks like "grid 25 2x2" or "grid 1 in 2x3": pitch, columns, rows'

Point = tuple[float, float]


class MountingError(SeamwrightError):
    """A pattern that is not known, or a thread that does not go with it."""


Counterpart = Literal["tapped", "clearance", "screw", "any"]


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """The holes of one mounting face.

    Attributes:
        name: `ISO 15552-40`, `NEMA 23`, `grid 25 mm 2x2`, `T-slot 20 mm 2x2`, `3 places`.
        centres: hole centres in mm from the pattern's centre.
        hole: what our plate needs there so that it can be bolted on, `tapped` or `clearance`.
        thread: name of the screw's thread; None for a grid when none was given.
        counterpart: what the other side has there: `tapped` holes, `clearance` holes, a `screw`, or `any` (a grid).
        counterpart_hole_mm: diameter of the counterpart's clearance holes, where it has such.
        pilot_mm: bore in our plate for the counterpart's boss, clearance included, or None.
        boss_mm: the boss itself, or None.
        pin: centre of a locating pin in mm, or None.
        pin_mm: its diameter, or None.
        recess_mm: a round pocket in the counterpart, or None. outer_mm: the counterpart's own diameter, or None.
        circle_mm: the circle that its holes lie on, where it is laid out by that.
        source, clause, how_known: provenance, as in `parts.tables`.
    """

    name: str
    centres: tuple[Point, ...]
    hole: Made
    thread: str | None
    counterpart: Counterpart
    counterpart_hole_mm: float | None = None
    pilot_mm: float | None = None
    boss_mm: float | None = None
    pin: Point | None = None
    pin_mm: float | None = None
    recess_mm: float | None = None
    outer_mm: float | None = None
    circle_mm: float | None = None
    source: str
    clause: str
    how_known: str

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height between the outermost hole centres."""
        xs, ys = [x for x, _ in self.centres], [y for _, y in self.centres]
        return max(xs) - min(xs), max(ys) - min(ys)


def pattern(text: str | Sequence[Point], thread: str | None = None, unit: LengthUnit = "mm") -> Pattern:
    """The pattern that a text names, or of the places of a list.

    Args:
        text: `grid 25 2x2` (pitch in `unit` or with its own, columns x rows), `T-slot 20 2x2` (on the slots of a rail of that
            grid), or a name of `pattern_names()`, whatever its case, spaces and hyphens; or places in mm from its middle.
        thread: the thread to use; needed by no standard, and it must go with one.
        unit: unit of a bare pitch.

    Raises:
        MountingError: unknown pattern (with the nearest name), a pitch or count that cannot be, a thread that does
            not go with the standard.
        ThreadError: unknown thread.

    >>> pattern("grid 40 3x1", "M5").centres
    ((-40.0, 0.0), (0.0, 0.0), (40.0, 0.0))
    >>> found = pattern("iso 15552-50")
    >>> found.centres[0], found.thread, found.hole, found.pilot_mm
    ((-23.25, -23.25), 'M8', 'clearance', 40.2)
    """
    if not isinstance(text, str):
        return _places(text, thread)
    words = " ".join(text.lower().split())
    if words.startswith("grid"):
        return _grid(text, words, thread, unit)
    if re.match(r"t[ -]?slot", words):
        return _slots(text, words, thread, unit)
    row = _by_key().get(_key(text))
    if row is None:
        raise MountingError(f"no mounting pattern {text[:60]!r} ({_hint(text)})")
    return _standard(row, thread)


def pattern_names() -> tuple[str, ...]:
    """All patterns of standards that `pattern` knows."""
    return tuple(row["name"] for row in load("mounting"))


#: Why holes cannot be made so, by what the counterpart has there.
_CANNOT: Final = MappingProxyType[tuple[str, str], tuple[str, str]](
    {
        ("tapped", "tapped"): ("is tapped itself: a bolt in two threads clamps nothing", "clearance, through"),
        ("screw", "clearance"): ("is a screw that stands out: it needs a thread here", "tapped"),
        ("screw", "through"): ("is a screw that stands out: it needs a thread here", "tapped"),
    }
)


def holes_made(found: Pattern, asked: Holes | None) -> Holes:
    """How the holes of a pattern are made: as asked, else as what the pattern bolts to decides.

    Raises:
        MountingError: asked for what cannot be; `str` says why and what can.

    >>> holes_made(pattern("ISO 15552-40"), None), holes_made(pattern("grid 25 2x2"), None)
    ('clearance', 'tapped')
    """
    if asked is None:
        return found.hole
    if (found.counterpart, asked) in _CANNOT:
        why, can = _CANNOT[found.counterpart, asked]
        raise MountingError(f"what {found.name} bolts to {why}; it can be {can}")
    return asked


def pattern_findings(found: Pattern, where: str) -> list[Finding]:
    """Of a pattern's own figures: a `care` where they are disputed, a `note` where they are only remembered."""
    tight = _tight(found, where)
    if tight is not None:
        return [tight]
    if "measure the flange" in found.clause:
        return [_doubt(found, where, "care", f"{found.name}: sources disagree ({found.clause})")]
    if found.how_known == "from-memory":
        return [_doubt(found, where, "note", f"{found.name}: its figures are from memory ({found.clause})")]
    return []


def _tight(found: Pattern, where: str) -> Finding | None:
    """Threads of ours under holes in which their screws have next to no play."""
    if found.counterpart_hole_mm is None or found.thread is None or found.hole != "tapped":
        return None
    play = found.counterpart_hole_mm - thread(found.thread).major_mm
    if play >= LEAST_PLAY_MM:
        return None
    return Finding(
        level="care",
        check="holes",
        where=where,
        why=f"{found.name}: {found.thread} has {play:.1f} mm of play in its holes of {found.counterpart_hole_mm:g} mm: every "
        "thread would have to stand exactly in its place",
        do="take a thinner thread here, with washers",
        source=_cited(found),
    )


def _doubt(found: Pattern, where: str, level: Literal["care", "note"], why: str) -> Finding:
    return Finding(
        level=level,
        check="holes",
        where=where,
        why=why,
        do="measure the counterpart before drilling",
        source=_cited(found),
    )


def _cited(found: Pattern) -> str:
    return cite(found.source, "-", found.how_known)


def _grid(text: str, words: str, thread_name: str | None, unit: LengthUnit) -> Pattern:
    matched = _GRID.fullmatch(words)
    if not matched:
        raise MountingError(f"{text[:60]!r} is not a grid: {_GRID_LOOKS}")
    pitch_mm, across, up = _pitched(text, matched, unit)
    bare = matched["pitch"][-1].isdigit()
    name = f"grid {matched['pitch']}{f' {unit}' if bare else ''} {across}x{up}"
    return _asked(name, _rows((across - 1) * pitch_mm, (up - 1) * pitch_mm, across, up), thread_name)


def _pitched(text: str, matched: re.Match[str], unit: LengthUnit) -> tuple[float, int, int]:
    """Pitch, columns and rows of a text that bears them."""
    try:
        pitch_mm = read_length(matched["pitch"], unit, negative=False)
    except LengthError as error:
        raise MountingError(f"{text[:60]!r} is not a grid: {error}") from None
    across, up = int(matched["across"]), int(matched["up"])
    if pitch_mm <= 0 or not 1 <= across * up <= _MOST_HOLES:
        raise MountingError(f"{text[:60]!r}: the pitch must be above zero, and 1 to {_MOST_HOLES} holes fit a plate")
    return pitch_mm, across, up


def _asked(name: str, centres: tuple[Point, ...], thread_name: str | None) -> Pattern:
    """A pattern of the order's own: its counterpart is still to be drilled, so that either side may be tapped."""
    return Pattern(
        name=name,
        centres=centres,
        hole="tapped",
        thread=thread(thread_name).name if thread_name else None,
        counterpart="any",
        source="the order",
        clause="-",
        how_known="judgement",
    )


def _places(places: Sequence[Point], thread_name: str | None) -> Pattern:
    if not 1 <= len(places) <= _MOST_HOLES:
        raise MountingError(f"{len(places)} places: 1 to {_MOST_HOLES} holes fit a plate")
    twice = next((p for k, p in enumerate(places) if p in places[:k]), None)
    if twice is not None:
        raise MountingError(f"the place ({twice[0]:g}, {twice[1]:g}) mm is given twice")
    return _asked("1 place" if len(places) == 1 else f"{len(places)} places", tuple(places), thread_name)


def _slots(text: str, words: str, thread_name: str | None, unit: LengthUnit) -> Pattern:
    """Screws into nuts in the slots of a rail, whose slots stand one grid apart."""
    matched = _SLOTS.fullmatch(words)
    if not matched:
        raise MountingError(f"{text[:60]!r} is not a pattern: {_SLOTS_LOOK}")
    pitch_mm, across, up = _pitched(text, matched, unit)
    rails = load("tslot")
    row = next((r for r in rails if abs(float(r["pitch_mm"]) - pitch_mm) < 1e-6), None)
    if row is None:
        raise MountingError(f"no T-slot rail of grid {pitch_mm:g} mm: there are {', '.join(r['grid'] for r in rails)}")
    screw, narrow = thread(thread_name or row["screw"]), float(row["slot_from_mm"])
    if screw.major_mm > narrow:
        raise MountingError(f"T-slots of a {row['grid']} grid are {narrow:g} mm wide: {screw.name} does not go in")
    return Pattern(
        name=f"T-slot {row['grid']} {across}x{up}",
        centres=_rows((across - 1) * pitch_mm, (up - 1) * pitch_mm, across, up),
        hole=_hole(row, thread_name),
        thread=screw.name,
        counterpart=_counterpart(row),
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
    )


def _standard(row: Row, thread_name: str | None) -> Pattern:
    boss = float(row["pilot_mm"]) if row["pilot"] == "boss" else None
    screw = _screw(row, thread_name)
    pin_mm = float(row["pin_mm"]) if row["pin_mm"] else None
    return Pattern(
        name=row["name"],
        centres=_SHAPES[row["shape"]](row),
        hole=_hole(row, thread_name),
        thread=screw.name,
        counterpart=_counterpart(row),
        counterpart_hole_mm=float(row["counterpart_hole_mm"]) if row["counterpart_hole_mm"] else None,
        pilot_mm=round(boss + BOSS_CLEARANCE_MM, 6) if boss else None,
        boss_mm=boss,
        pin=(float(row["across_mm"]) / 2, 0.0) if pin_mm else None,
        pin_mm=pin_mm,
        recess_mm=float(row["pilot_mm"]) if row["pilot"] == "recess" else None,
        outer_mm=float(row["flange_mm"]) if row["flange_mm"] else None,
        circle_mm=float(row["across_mm"]) if row["shape"] == "circle" else None,
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
    )


def _counterpart(row: Row) -> Counterpart:
    found: dict[str, Counterpart] = {"tapped": "tapped", "clearance": "clearance", "screw": "screw"}
    return found[row["counterpart"]]


def _hole(row: Row, thread_name: str | None) -> Made:
    """A screw needs a tapped hole; a flange with clearance holes takes through bolts unless a thread was asked for."""
    tapped = row["counterpart"] == "screw" or (row["counterpart"] == "clearance" and thread_name is not None)
    return "tapped" if tapped else "clearance"


def _screw(row: Row, thread_name: str | None) -> Thread:
    """The thread of the screws, refusing one that does not go with the standard."""
    usual = thread(row["screw"])
    if thread_name is None:
        return usual
    asked = thread(thread_name)
    if row["counterpart"] == "clearance":
        hole_mm = float(row["counterpart_hole_mm"])
        if asked.major_mm > hole_mm:
            raise MountingError(f"{row['name']} has holes of {hole_mm:g} mm: {asked.name} does not go through them")
        return asked
    if asked != usual:
        raise MountingError(f"{row['name']} is screwed with {usual.name}, not {asked.name}")
    return usual


def _rows(width_mm: float, height_mm: float, across: int, up: int) -> tuple[Point, ...]:
    """Points of a grid about its centre, row by row from the lower left."""
    steps_x, steps_y = max(across - 1, 1), max(up - 1, 1)
    return tuple(
        (round(width_mm * (i / steps_x) - width_mm / 2, 9), round(height_mm * (j / steps_y) - height_mm / 2, 9))
        for j in range(up)
        for i in range(across)
    )


def _corners(row: Row) -> tuple[Point, ...]:
    return _rows(float(row["across_mm"]), float(row["up_mm"]), 2, 2)


def _circle(row: Row) -> tuple[Point, ...]:
    """Holes on a circle, the first half a step from the x axis, where the pin lies."""
    count = int(row["holes"])
    centres, _ = hole_circle(count, float(row["across_mm"]), 180.0 / count)
    return tuple((round(x, 9) + 0.0, round(y, 9) + 0.0) for x, y in centres)


def hole_circle(count: int, diameter_mm: float, start_deg: float = 0.0) -> tuple[tuple[Point, ...], float]:
    """Holes on a circle, counter-clockwise from so many degrees from the x axis, and the distance of neighbours.

    Raises:
        MountingError: no circle, or less than one hole.

    >>> hole_circle(2, 50)[0][0], hole_circle(6, 50)[1]
    ((25.0, 0.0), 25.0)
    """
    if not (finite(diameter_mm) and diameter_mm > 0.0 and finite(start_deg) and isinstance(count, int) and count >= 1):
        raise MountingError(f"{count!r} holes on a circle of {diameter_mm!r} from {start_deg!r} degrees are none")
    radius, first = diameter_mm / 2, math.radians(start_deg)
    angles = (first + 2 * math.pi * k / count for k in range(count))
    centres = tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)
    return centres, round(diameter_mm * math.sin(math.pi / count), 9)


_SHAPES: Final = MappingProxyType[str, Callable[[Row], tuple[Point, ...]]](
    {"square": _corners, "rectangle": _corners, "circle": _circle, "single": lambda _row: ((0.0, 0.0),)}
)


@cache
def _by_key() -> dict[str, Row]:
    found = {_key(row["name"]): row for row in load("mounting")}
    return {_key("ISO 1222"): found[_key("ISO 1222 1/4")], **found}


def _key(name: str) -> str:
    """A pattern's name without case, spaces, hyphens and slashes; `nema23` is `nema 23`."""
    apart = re.sub(r"(?<=[a-z])(?=[0-9])", " ", name.lower().replace("×", "x"))
    return re.sub(r"[\s\-_/]+", " ", apart).strip()


def _hint(text: str) -> str:
    import difflib

    by_key = _by_key()
    near = difflib.get_close_matches(_key(text[:60]), by_key, n=1, cutoff=0.5)
    return f"did you mean {by_key[near[0]]['name']}?" if near else _GRID_LOOKS
