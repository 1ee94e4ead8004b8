"""The figures beside the view, in words: what a person changes an order for. From the report, or from what is known before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from assemblies.liquid.state import Filled
from assemblies.report.blocks import Bar, Bars, Section
from assemblies.report.figures import amount, percent, solid_words
from parts.lengths import LengthUnit, gauge_length, mark_length, write_length, write_named

__all__ = ["Row", "held_rows", "liquid_rows", "size_rows", "whole_rows"]

Report = Mapping[str, Any]
_LEVELS: Final = ("ok", "care", "stop")


@dataclass(frozen=True)
class Row:
    """One figure: its id, the same in every state; what it is; how much."""

    id: str
    label: str
    value: str


def size_rows(report: Report, unit: LengthUnit) -> Iterator[Row]:
    """Sheet, mass and seams, then each part."""
    parts = report["parts"]
    yield Row("sheet", "Sheet", "; ".join(dict.fromkeys(_sheet(part["sheet"], unit) for part in parts)))
    yield Row("mass", "Mass, empty", amount(sum(p["mass"] * p["count"] for p in parts), "kg", 3))
    seams = report.get("fit", {}).get("seams", ())
    if seams:
        worst = max(seams, key=lambda s: (not s["goes_in"], _LEVELS.index(s["seals"]), s["gap"]["max"]))
        seals = {"ok": "seals", "care": "take care", "stop": "does not seal"}[worst["seals"]]
        said = (
            f"{gauge_length(worst['gap']['max'], unit)}, {seals}"
            if worst["goes_in"]
            else f"{worst['id']} may not go in"
        )
        yield Row("gap", "Widest gap of a seam", said)
    for part in parts:
        yield Row(f"part {part['part']}", f"{part['part']}, {part['count']} of", solid_words(part["size"], unit))


def _sheet(sheet: Report, unit: LengthUnit) -> str:
    said = f"{sheet['material']} {write_named(sheet['nominal'], unit)}"
    return f"{said}, measured {gauge_length(sheet['thickness'], unit)}" if sheet["readings"] else said


def liquid_rows(given: Filled, unit: LengthUnit) -> Iterator[Row]:
    """What is in it as it stands."""
    rest = given.settled()
    depth = rest.level_mm - rest.lowest_mm if given.volume_mm3 > 0.0 else 0.0
    yield Row(
        "fill",
        "Liquid",
        f"{amount(given.volume_mm3 / 1e6, 'L')} of {amount(given.most_mm3 / 1e6, 'L')}, {mark_length(depth, unit)} deep",
    )
    if rest.freeboard_mm is not None:
        yield Row("freeboard", "Freeboard", mark_length(rest.freeboard_mm, unit))
    yield Row("full", "Mass, filled", amount(given.whole(rest).mass_kg, "kg", 2))


def held_rows(report: Report, sections: Sequence[Section]) -> Iterator[Row]:
    """What is used most in each case, the worst of all first, and what the liquid does when it is leaned."""
    bars = [
        (one.title.partition(":")[0], bar)
        for s in sections
        for one in s.blocks
        if isinstance(one, Bars)
        for bar in (*one.items, *one.rest)
    ]
    if bars:
        case, most = max(bars, key=lambda pair: pair[1].use)
        yield Row("use", "Used most", f"{most.label}, {_use(most)} ({case})")
    liquid = report.get("liquid") or {}
    if liquid.get("pours_at") is not None:
        yield Row("pours", "Starts to pour at", amount(liquid["pours_at"], "°", 1))
    tilt = (liquid.get("tips_at") or {}).get("tilt")
    if tilt is not None:
        yield Row("tips", "Tips over at", amount(tilt, "°", 1))


def _use(bar: Bar) -> str:
    return bar.instead or f"{percent(bar.use)} of its limit"


def whole_rows(report: Report, unit: LengthUnit) -> Iterator[Row]:
    """Price, sheets and the settings of the fence."""
    cost, cutting = report.get("cost"), report.get("cutting")
    if cost:
        many = f", {cost['quantity']} of it {cost['currency']} {cost['total']:.2f}" if cost["quantity"] > 1 else ""
        yield Row("price", "Price", f"{cost['currency']} {cost['each']:.2f}{many}")
    if cutting and cutting.get("sheets"):
        yield Row("stock", "Cut from", "; ".join(dict.fromkeys(s["stock"] for s in cutting["sheets"])))
    if cutting and cutting.get("steps"):
        fences = dict.fromkeys(write_length(step["distance"], unit) for step in cutting["steps"])
        settings = len({step["setting"] for step in cutting["steps"]})
        yield Row("fence", "Fence settings", f"{settings}: {', '.join(fences)}")
