"""Figures as people read them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from assemblies.report.blocks import Bar, Bars
from parts.lengths import LengthUnit, gauge_length, write_length, write_named

__all__ = [
    "alike",
    "amount",
    "between",
    "drawn_sheets",
    "kerf_words",
    "number_words",
    "percent",
    "rest_words",
    "sheet_title",
    "size_words",
    "solid_words",
    "used_most",
]

_SMALL: Final = 0.2  # a use under this needs no bar of its own
_DUST: Final = 1e-9  # what rounding leaves of nothing

_SIGNS: Final = {"m2": "m²", "mm2": "mm²", "m3": "m³", "mm3": "mm³", "m/s2": "m/s²", "kg/m3": "kg/m³", "C": "°C"}


def amount(value: float, unit: str, places: int = 2) -> str:
    """A number with its unit, to so many places, without needless zeros; what is there but too small to show is no 0.

    >>> amount(7.2, "L"), amount(1.0, "kg", 3), amount(0.2854, "m2", 3), amount(11.31, "°", 1), amount(0.004, "mm")
    ('7.2 L', '1 kg', '0.285 m²', '11.3°', 'under 0.01 mm')
    """
    text = f"{value:.{places}f}"
    if _DUST < value < 0.5 * 10.0**-places:
        text = f"under {10.0**-places:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    text = text if text != "-0" else "0"
    return f"{text}°" if unit == "°" else f"{text} {_SIGNS.get(unit, unit)}".rstrip()


def between(seam: Mapping[str, Any]) -> str:
    """The two pieces of a seam; of a tube that is closed along, it alone.

    >>> between({"a": "base", "b": "tube"}), between({"a": "tube", "b": "tube"})
    ('base and tube', 'tube, along')
    """
    return f"{seam['a']}, along" if seam["a"] == seam["b"] else f"{seam['a']} and {seam['b']}"


def used_most(case: str, bars: Sequence[Bar]) -> Bars:
    """The uses of a case, the largest first; those that are little used, but for the largest, in one line."""
    ranked = sorted(bars, key=lambda bar: -bar.use)
    large = max(sum(bar.use >= _SMALL for bar in ranked), 1)
    return Bars(title=f"{case}: what is used most", items=ranked[:large], rest=ranked[large:])


def alike(bars: Sequence[Bar]) -> list[tuple[str, Bar]]:
    """Uses with the same figures said once: their names, and one of them."""
    same: dict[tuple[str, str, str], list[Bar]] = {}
    for bar in bars:
        same.setdefault((bar.instead or percent(bar.use), bar.text, bar.why), []).append(bar)
    return [(_names([bar.label for bar in group]), group[0]) for group in same.values()]


def _names(labels: Sequence[str]) -> str:
    """`seams front-left, front-right` for labels that all begin with one word."""
    first = {label.split(" ", 1)[0] for label in labels}
    if len(labels) > 1 and len(first) == 1 and all(" " in label for label in labels):
        return f"{first.pop()}s {', '.join(label.split(' ', 1)[1] for label in labels)}"
    return ", ".join(labels)


def kerf_words(kerf_mm: float, unit: LengthUnit) -> str:
    """The width of a cut; an inch shop measures it in thousandths.

    >>> kerf_words(3.0, "mm"), kerf_words(3.0, "in")
    ('3 mm', '0.118 in')
    """
    return write_length(kerf_mm, unit) if unit == "mm" else gauge_length(kerf_mm, unit)


def solid_words(size_mm: Sequence[float], unit: LengthUnit) -> str:
    """Width, height and thickness; the thickness as its sheet is asked for.

    >>> solid_words((228.6, 203.2, 8.9916), "in")
    '9 in × 8 in × 0.354 in'
    """
    return f"{size_words(size_mm[:2], unit)} × {write_named(size_mm[2], unit)}"


def number_words(numbers: Sequence[int]) -> str:
    """Rising numbers, those that follow one another as a range.

    >>> number_words([3]), number_words([3, 4, 5, 9]), number_words([1, 2])
    ('3', '3 to 5 and 9', '1 and 2')
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and runs[-1][-1] == n - 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    said = [part for run in runs for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def percent(share: float) -> str:
    """A share as whole percent; what is over the whole is never rounded down to it, nor a little to nothing.

    >>> percent(0.254), percent(1.003), percent(0.002)
    ('25 %', '101 %', 'under 1 %')
    """
    whole = round(100.0 * share)
    if share > 0.0 and whole == 0:
        return "under 1 %"
    return f"{whole + 1 if share > 1.0 and whole <= 100 else whole} %"


def rest_words(bars: Sequence[Bar]) -> str:
    """What is used too little for a bar of its own, in a line; nothing of none.

    >>> rest_words([Bar(label="front", use=0.07, text=""), Bar(label="seam S1", use=0.061, text="")])
    'Used less: front 7 %, seam S1 6 %.'
    """
    return f"Used less: {', '.join(f'{bar.label} {bar.instead or percent(bar.use)}' for bar in bars)}." if bars else ""


def size_words(sides_mm: Sequence[float], unit: LengthUnit) -> str:
    """Sides as `a × b`.

    >>> size_words((311.64, 200.0), "mm")
    '311.64 mm × 200 mm'
    """
    return " × ".join(write_length(side, unit) for side in sides_mm)


def sheet_title(stock: str, material: str, thickness_mm: float, size_mm: Sequence[float], unit: LengthUnit) -> str:
    """Which sheet it is: its label on the rack, unless that only says its size, and what it is.

    >>> sheet_title("C6 large", "cast-pmma", 6.0, (1220.0, 2440.0), "mm")
    'C6 large: cast-pmma 6 mm, 1220 mm × 2440 mm'
    >>> sheet_title("6 mm 1220 x 2440 mm", "cast-pmma", 6.0, (1220.0, 2440.0), "mm")
    'cast-pmma 6 mm, 1220 mm × 2440 mm'
    """
    said = f"{material} {write_named(thickness_mm, unit)}, {size_words(size_mm, unit)}"
    told = all(write_length(v, unit).removesuffix(f" {unit}") in stock for v in size_mm)
    return said if told else f"{stock}: {said}"


def drawn_sheets(cutting: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The sheets of a report's `cutting` that are drawn, each with `said`: for which it stands.

    >>> rows = [{"number": 1, "same_as": None}, {"number": 2, "same_as": None, "placed": [], "offcuts": []}]
    >>> more = [{"number": n, "same_as": 2} for n in (3, 4)]
    >>> [sheet["said"] for sheet in drawn_sheets({"sheets": rows + more})]
    ['sheet 1', 'sheets 2 to 4 (3 alike)']
    """
    alike: dict[int, list[int]] = {}
    for sheet in cutting["sheets"]:
        alike.setdefault(sheet.get("same_as") or sheet["number"], []).append(sheet["number"])
    for sheet in cutting["sheets"]:
        numbers = alike.get(sheet["number"], [])
        if len(numbers) == 1:
            yield {**sheet, "said": f"sheet {sheet['number']}"}
        elif numbers:
            yield {**sheet, "said": f"sheets {number_words(numbers)} ({len(numbers)} alike)", **_unnamed(sheet)}


def _unnamed(sheet: Mapping[str, Any]) -> dict[str, Any]:
    """Pieces and offcuts of a sheet by what they are, numbered."""
    seen: Counter[str] = Counter()

    def named(what: str) -> str:
        seen[what] += 1
        return f"{what} {seen[what]}"

    offcuts = [{**row, "name": named("offcut"), "label": "see labels.pdf"} for row in sheet["offcuts"]]
    return {"placed": [{**row, "name": named(row["part"])} for row in sheet["placed"]], "offcuts": offcuts}
