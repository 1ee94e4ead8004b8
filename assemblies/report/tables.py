"""The packet's CSV tables, made from the report alone (RFC 4180: CRLF, quotes only where needed)."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from parts.lengths import MM_PER_INCH, LengthUnit

__all__ = ["csv_text", "parts_csv", "seams_csv"]


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Any]], unit: LengthUnit = "mm") -> str:
    """A table as text; numbers as short as they can be written exactly. Of an order in inches each length is given in both.

    >>> csv_text(("part", "width_mm"), [("wall", 63.5)], "in")
    'part,width_in,width_mm\\r\\nwall,2.5,63.5\\r\\n'
    """
    inches = [unit == "in" and name.endswith("_mm") for name in header]
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(_beside(header, inches, lambda name: f"{name.removesuffix('_mm')}_in"))
    writer.writerows([_plain(value) for value in _beside(row, inches, _inches)] for row in rows)
    return out.getvalue()


def _beside(row: Sequence[Any], inches: Sequence[bool], of: Callable[[Any], Any]) -> list[Any]:
    """A row with something before each of some values."""
    return [one for value, too in zip(row, inches, strict=True) for one in ((of(value), value) if too else (value,))]


def _inches(mm: Any) -> Any:
    return float(mm / float(MM_PER_INCH)) if isinstance(mm, int | float) else mm


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")
    return "" if value is None else value


def parts_csv(report: dict[str, Any], unit: LengthUnit = "mm") -> str:
    """One row a part: what to cut, how many, of which sheet."""
    header = (
        "part",
        "kind",
        "count",
        "width_mm",
        "height_mm",
        "thickness_mm",
        "material",
        "mass_kg",
        "cut_group",
        "holes",
    )
    return csv_text(
        header,
        (
            (
                p["part"],
                p["kind"],
                p["count"],
                *p["size"],
                p["sheet"]["material"],
                p["mass"],
                p["cut_group"],
                len(p["holes"]),
            )
            for p in report["parts"]
        ),
        unit,
    )


def seams_csv(report: dict[str, Any], unit: LengthUnit = "mm") -> str:
    """One row a seam: which pieces, how long, what gap."""
    header = (
        "seam",
        "a",
        "b",
        "length_mm",
        "width_mm",
        "area_mm2",
        "captive",
        "gap_nominal_mm",
        "gap_min_mm",
        "gap_max_mm",
        "gap_rss_mm",
        "goes_in",
        "seals",
    )
    return csv_text(
        header,
        (
            (
                s["id"],
                s["a"],
                s["b"],
                s["length"],
                s["width"],
                s["area"],
                s["captive"],
                s["gap"]["nominal"],
                s["gap"]["min"],
                s["gap"]["max"],
                s["gap"]["rss"],
                s["goes_in"],
                s["seals"],
            )
            for s in report["fit"]["seams"]
        ),
        unit,
    )
