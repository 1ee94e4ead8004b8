"""Screw threads that are tapped into sheet, their tap drills and clearance holes.

*Percent of thread*: how much of the full height of 3/4 H on each side a hole of a given size leaves, the trade's
measure for tap drills; 100 % is D - 1.299038 P. *Engagement*: the length over which screw and hole share full
threads. *Close, normal, loose*: the three clearance holes of ASME B18.2.8; fine, medium, coarse in ISO 273.

Formulas of the basic profile (60 degrees): ASME B1.1 and ISO 724, d2 = d - 0.649519 P, D1 = d - 1.082532 P;
tensile area ASME B1.1 0.7854 (D - 0.9743 P)^2 for inch threads, ISO 898-1 pi/4 ((d2 + d3)/2)^2 with
d3 = d - 1.226869 P for metric ones.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from parts.findings import NotCovered, SeamwrightError
from parts.lengths import MM_PER_INCH
from parts.stock.drill import INCH_SERIES, METRIC_SERIES, Drill, drill, drills
from parts.tables import Row, load

__all__ = [
    "DEFAULT_PERCENT",
    "FITS",
    "LEAST_PERCENT",
    "MOST_PERCENT",
    "Fit",
    "TapDrill",
    "Thread",
    "ThreadError",
    "clearance",
    "percent_thread",
    "tap_drill",
    "thread",
    "threads",
]

Fit = Literal["close", "normal", "loose"]
FITS: Final[tuple[Fit, ...]] = ("close", "normal", "loose")
DEFAULT_PERCENT: Final = 65.0  # judgement: middle of the 50 to 75 % that is usual in PMMA
LEAST_PERCENT: Final = 50.0
MOST_PERCENT: Final = 85.0  # a tap needs the rest for chips; judgement
_INCH: Final = float(MM_PER_INCH)
_FULL_HEIGHT: Final = {60: 1.299038, 55: 1.280654}  # both sides, in pitches: 2 x 3/4 H; 2 x 0.640327 (ISO 228-1)


class ThreadError(SeamwrightError):
    """A thread, fit or percentage that the tables do not have."""


@dataclass(frozen=True, kw_only=True)
class Thread:
    """One thread.

    Attributes:
        name: `1/4-20 UNC`, `M6`, `G 1/4`.
        standard: the standard it is of.
        system: `inch`, `metric` or `pipe`.
        major_mm, pitch_mm: nominal diameter and pitch.
        flank_deg: angle between the flanks, 60 or 55.
        major_min_mm: least outside diameter of the screw (class 2A or 6g); None where not covered.
        pitch_max_mm: greatest pitch diameter of the tapped hole (class 2B or 6H); None where not covered.
        standard_drill_mm: the tap drill that goes with the standard, where there is one.
        source, clause, how_known: provenance, as in `parts.tables`.
    """

    name: str
    standard: str
    system: Literal["inch", "metric", "pipe"]
    major_mm: float
    pitch_mm: float
    flank_deg: int
    major_min_mm: float | None
    pitch_max_mm: float | None
    standard_drill_mm: float | None
    source: str
    clause: str
    how_known: str

    @property
    def size(self) -> str:
        """The key of the clearance table: `1/4` of `1/4-20 UNC`, `M6` of `M6`."""
        return self.name.split("-")[0] if self.system == "inch" else self.name

    @property
    def threads_per_inch(self) -> float:
        return _INCH / self.pitch_mm

    @property
    def pitch_diameter_mm(self) -> float:
        """Basic pitch diameter. Source: ASME B1.1, ISO 724; ISO 228-1 for pipe threads (h = 0.640327 P)."""
        return self.major_mm - (0.649519 if self.flank_deg == 60 else 0.640327) * self.pitch_mm

    @property
    def minor_mm(self) -> float:
        """Basic minor diameter of the hole. Source: ASME B1.1, ISO 724; ISO 228-1 for pipe threads."""
        return self.major_mm - (1.082532 if self.flank_deg == 60 else 1.280654) * self.pitch_mm

    @property
    def tensile_area_mm2(self) -> float:
        """Stress area of the screw. Source: ASME B1.1 appendix B for inch, ISO 898-1 for metric.

        Raises:
            NotCovered: for pipe threads.

        >>> round(thread("M6").tensile_area_mm2, 2), round(thread("1/4-20").tensile_area_mm2 / 25.4**2, 4)
        (20.12, 0.0318)
        """
        if self.system == "pipe":
            raise NotCovered(f"{self.name}: a pipe thread has no stress area")
        if self.system == "inch":
            return math.pi / 4 * (self.major_mm - 0.9743 * self.pitch_mm) ** 2
        root_mm = self.major_mm - 1.226869 * self.pitch_mm
        return math.pi / 4 * ((self.pitch_diameter_mm + root_mm) / 2) ** 2

    def internal_shear_area_mm2(self, engagement_mm: float) -> float:
        """Area over which the tapped material shears when its thread strips, worst sizes of screw and hole.

        Source: ASME B1.1 appendix B (also FED-STD-H28): pi L/P Ds (P/2 + 0.57735 (Ds - En)), with Ds the
        least outside diameter of the screw and En the greatest pitch diameter of the hole.
        Valid: 60 degree threads; `engagement_mm` counts full threads only, chamfers taken off.

        Raises:
            NotCovered: for pipe threads.
            ThreadError: when the engagement is negative or not finite.

        >>> round(thread("1/4-20 UNC").internal_shear_area_mm2(12.7), 1)
        173.9
        """
        if self.major_min_mm is None or self.pitch_max_mm is None:
            raise NotCovered(f"{self.name}: no shear area is known for this thread")
        if not (math.isfinite(engagement_mm) and engagement_mm >= 0):
            raise ThreadError(f"{self.name}: an engagement of {engagement_mm} mm is not possible")
        overlap_mm = 0.57735 * (self.major_min_mm - self.pitch_max_mm)
        return math.pi * engagement_mm / self.pitch_mm * self.major_min_mm * (self.pitch_mm / 2 + overlap_mm)


@dataclass(frozen=True, kw_only=True)
class TapDrill:
    """The drill for a tapped hole and the percent of thread it leaves."""

    drill: Drill
    percent: float


def thread(name: str) -> Thread:
    """The thread of this name, whatever its spaces and case: `1/4-20`, `#10-24 UNC`, `M6x1`, `G1/4`.

    Raises:
        ThreadError: when there is none, with the nearest name; also `M6x0.75` or `1/4-28 UNC`, which are others.

    >>> thread("1/4 - 20").name, thread("m6 x 1.0").name, thread("g1/4").name
    ('1/4-20 UNC', 'M6', 'G 1/4')
    """
    by_key = _by_key()
    key = _key(name)
    if key in by_key:
        return by_key[key]
    raise ThreadError(f"no thread {name!r} ({_hint(key)})")


@cache
def threads() -> tuple[Thread, ...]:
    """All threads of the tables: inch, metric, pipe."""
    return (*_inch(), *_metric(), *_pipe())


def percent_thread(screw: Thread, drill_mm: float) -> float:
    """Percent of thread that a hole of this size leaves.

    Source: 100 (D - d) / (1.299038 P), a handbook formula (76.98 n (D - d) in inches); for pipe threads the full
    height is 1.280654 P.

    >>> round(percent_thread(thread("5/16-18"), 0.257 * 25.4), 1)
    76.9
    """
    return 100 * (screw.major_mm - drill_mm) / (_FULL_HEIGHT[screw.flank_deg] * screw.pitch_mm)


def tap_drill(screw: Thread, percent: float = DEFAULT_PERCENT) -> TapDrill:
    """The real drill whose percent of thread is nearest to the one asked for.

    Inch threads are drilled with fraction, number or letter drills, metric threads with metric ones; of drills
    equally near the thinner. No drill is taken that leaves less than 50 %. Pipe threads get the drill of their
    standard's limits, whatever the percent.

    Raises:
        ThreadError: when `percent` is not from 50 to 85.

    >>> found = tap_drill(thread("5/16-18"), percent=65)
    >>> found.drill.name, round(found.percent, 1)
    ('17/64', 65.0)
    """
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise ThreadError(
            f"{screw.name}: {percent:g} % of thread is not drilled, only {LEAST_PERCENT:g} to {MOST_PERCENT:g} %"
        )
    if screw.system == "pipe":
        assert screw.standard_drill_mm is not None
        fixed = drill(f"{screw.standard_drill_mm:g} mm")
        return TapDrill(drill=fixed, percent=percent_thread(screw, fixed.diameter_mm))
    series = INCH_SERIES if screw.system == "inch" else METRIC_SERIES
    real = ((percent_thread(screw, d.diameter_mm), d) for d in drills(series))
    best = min((pair for pair in real if pair[0] >= LEAST_PERCENT), key=lambda pair: abs(pair[0] - percent))
    return TapDrill(drill=best[1], percent=best[0])


def clearance(screw: Thread, fit: Fit = "normal") -> Drill:
    """The clearance drill for a screw of this thread.

    Source: ASME B18.2.8 for inch, ISO 273 for metric (fine, medium, coarse).

    Raises:
        ThreadError: when the fit is unknown.
        NotCovered: for pipe threads.

    >>> clearance(thread("M6")).name, clearance(thread("1/4-20"), "close").name
    ('6.6 mm', '17/64')
    """
    if fit not in FITS:
        raise ThreadError(f"fit {fit!r} is none of {', '.join(FITS)}")
    for row in load("clearance_holes"):
        if row["size"] == screw.size:
            return drill(row[f"{fit}_drill"])
    raise NotCovered(f"{screw.name}: no clearance hole is known")


def _inch() -> Iterator[Thread]:
    for row in load("threads_inch"):
        yield _thread(
            row,
            name=f"{row['size']} {row['series']}",
            system="inch",
            major_mm=float(row["major_in"]) * _INCH,
            pitch_mm=_INCH / float(row["tpi"]),
            major_min_mm=float(row["major_min_2A_in"]) * _INCH,
            pitch_max_mm=float(row["pitch_max_2B_in"]) * _INCH,
        )


def _metric() -> Iterator[Thread]:
    for row in load("threads_metric"):
        yield _thread(
            row,
            name=row["size"],
            system="metric",
            major_mm=float(row["major_mm"]),
            pitch_mm=float(row["pitch_mm"]),
            major_min_mm=float(row["major_min_6g_mm"]),
            pitch_max_mm=float(row["pitch_max_6H_mm"]),
            standard_drill_mm=float(row["standard_tap_drill_mm"]),
        )


def _pipe() -> Iterator[Thread]:
    for row in load("threads_pipe"):
        yield _thread(
            row,
            name=row["size"],
            system="pipe",
            major_mm=float(row["major_mm"]),
            pitch_mm=_INCH / float(row["tpi"]),
            standard_drill_mm=float(row["tap_drill_mm"]),
        )


def _thread(
    row: Row,
    *,
    name: str,
    system: Literal["inch", "metric", "pipe"],
    major_mm: float,
    pitch_mm: float,
    major_min_mm: float | None = None,
    pitch_max_mm: float | None = None,
    standard_drill_mm: float | None = None,
) -> Thread:
    return Thread(
        name=name,
        standard=row["source"].split(",")[0],
        system=system,
        major_mm=major_mm,
        pitch_mm=pitch_mm,
        flank_deg=55 if system == "pipe" else 60,
        major_min_mm=major_min_mm,
        pitch_max_mm=pitch_max_mm,
        standard_drill_mm=standard_drill_mm,
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
    )


@cache
def _by_key() -> dict[str, Thread]:
    """Every way of writing each thread, reduced by `_key`."""
    found = {}
    for each in threads():
        names = [each.name]
        if each.system == "inch":
            names.append(each.name.split()[0])
        if each.system == "metric":
            names.append(f"{each.name}x{each.pitch_mm:g}")
        found.update({_key(name): each for name in names})
    return found


def _key(name: str) -> str:
    """A thread's name without what does not matter: case, spaces, quotes, `#` and `No.`."""
    bare = re.sub(r"[\s\"_]|#|no\.", "", name.lower().replace("×", "x"))
    metric = re.fullmatch(r"(m[0-9.]+)x([0-9]+)\.([0-9]*?)0*", bare)
    if not metric:
        return bare
    return f"{metric[1]}x{metric[2]}" + (f".{metric[3]}" if metric[3] else "")


def _hint(key: str) -> str:
    """What the writer of an unknown thread most likely meant."""
    import difflib

    by_key = _by_key()
    stem = re.split(r"-|x|un", key)[0]
    same = [each.name for each in threads() if stem and _key(each.size) == stem]
    if same:
        return f"did you mean {' or '.join(same)}?"
    near = difflib.get_close_matches(key, by_key, n=1, cutoff=0.5)
    if near:
        return f"did you mean {by_key[near[0]].name}?"
    return "there are #4 to 1/2 UNC and UNF, M3 to M12 and G 1/8 to G 1/2"
