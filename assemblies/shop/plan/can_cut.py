"""What is wrong before anything is laid out: pieces too large for every sheet, or thinner than the blade."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from assemblies.shop.layout.job import StockShort
from assemblies.shop.stock.rack import Slot
from parts.findings import Finding
from parts.lengths import LengthUnit, write_length
from parts.stock.rules import rule, rule_source

if TYPE_CHECKING:
    from assemblies.shop.plan.items import CutItem

__all__ = ["kerf_findings", "misfit", "short_words", "stock_findings", "suits", "to_buy"]

_SAME_MM = 1e-6


def misfit(item: CutItem, slots: Sequence[Slot], kerf_mm: float) -> Iterator[Finding]:
    """A `stop` when the item is larger than every sheet (by how much, and what would do) or thinner than the kerf."""
    left, right, bottom, top = item.allowance_mm
    width, height = item.piece.outline.size_mm
    width, height = width + left + right, height + bottom + top
    unit = item.units
    what = f"{item.names[0]} ({_by(width, height, unit)})"
    if min(width, height) < kerf_mm:
        yield _stop(
            item,
            f"{what} is thinner than the kerf of {write_length(kerf_mm, unit)}: the blade would turn it to chips",
            "cut it by laser, or give the kerf that the blade really has",
        )
    ways = [(width, height), (height, width)] if item.may_turn else [(width, height)]
    least: tuple[float, float, Slot, float, float] | None = None
    for slot in slots:
        room = slot.width_mm - 2 * slot.trim_mm, slot.height_mm - 2 * slot.trim_mm
        for w, h in ways:
            over = max(0.0, w - room[0]), max(0.0, h - room[1])
            if max(over) <= _SAME_MM:
                return
            if least is None or sum(over) < sum(least[3:]):
                least = w, h, slot, *over
    assert least is not None  # there is at least one slot
    w, h, slot, over_w, over_h = least
    overs = (over_w, "wide"), (over_h, "high")
    by = " and ".join(f"{write_length(v, unit)} too {word}" for v, word in overs if v > _SAME_MM)
    trimmed = f" less {write_length(slot.trim_mm, unit)} trimmed off each edge" if slot.trim_mm else ""
    turned = "" if item.may_turn else ", and it may not be turned"
    trim = 2 * slot.trim_mm
    yield _stop(
        item,
        f"{what} is larger than every sheet of {item.sheet_words}: on the nearest, {slot.label} "
        f"({_by(slot.width_mm, slot.height_mm, unit)}{trimmed}), it is {by}{turned}",
        f"put a sheet of at least {_by(w + trim, h + trim, unit)} on the rack, or order a smaller piece",
    )


def _by(width_mm: float, height_mm: float, unit: LengthUnit) -> str:
    """Width by height, the unit once where both have it alone."""
    wide, high = write_length(width_mm, unit), write_length(height_mm, unit)
    return f"{wide.removesuffix(f' {unit}')} x {high}"


def _stop(item: CutItem, why: str, do: str) -> Finding:
    return Finding(level="stop", check="cutting", where=item.names[0], why=why, do=do, source="computed: cutting plan")


def short_words(items: Sequence[CutItem], error: StockShort) -> str:
    """Which pieces found no place."""
    rows = [f"{count} of {items[part].piece.name}" for part, count in sorted(error.left_over.items())]
    more = f" and {len(rows) - 5} more parts" if len(rows) > 5 else ""
    area = sum(items[k].piece.outline.area_mm2 * n for k, n in error.left_over.items()) / 1e6
    return f"the sheets on hand do not hold all pieces: {', '.join(rows[:5])}{more} found no place ({area:.2f} m2)"


def kerf_findings(kerfs: Mapping[str, set[float]]) -> list[Finding]:
    """A `care` where orders that are cut together give different kerfs."""
    return [
        Finding(
            level="care",
            check="cutting",
            where=process,
            why=f"the orders give different kerfs ({', '.join(f'{k:g}' for k in sorted(found))} mm) and one blade cuts them "
            f"all: the plan takes {max(found):g} mm, which leaves sizes true and rests a little larger",
            do="measure a cut and write its kerf in every order",
            source="judgement",
        )
        for process, found in kerfs.items()
        if len(found) > 1
    ]


def suits(item: CutItem, slot: Slot) -> bool:
    """Whether a sheet is as thick as the sizes follow, as far as the seams can bear; one that is not measured may be."""
    off = 0.0 if slot.measured_mm is None else abs(slot.measured_mm - item.piece.thickness_mm)
    return item.bears_mm is None or off <= item.bears_mm + _SAME_MM


def stock_findings(items: Sequence[CutItem], left_out: Sequence[Slot]) -> Iterator[Finding]:
    """A `care` where orders that are cut from one stock follow two readings; a `note` for each sheet that does not suit."""
    thicks = sorted({item.piece.thickness_mm for item in items})
    if thicks[-1] - thicks[0] > rule("gap_ok"):
        yield Finding(
            level="care",
            check="cutting",
            where=items[0].sheet_words,
            why=f"sizes follow sheets that measure {thicks[0]:g} and {thicks[-1]:g} mm, and one plan cuts them from one stock",
            do="cut each from the sheet that was measured, or plan them apart",
            source=rule_source("gap_ok"),
        )
    for slot in left_out:
        yield Finding(
            level="note",
            check="cutting",
            where=slot.label,
            why=f"it measures {slot.measured_mm:g} mm on the rack, and the sizes follow a sheet of {thicks[0]:g} mm: not used",
            do="",
            source=rule_source("sheet_match"),
        )


def to_buy(items: Sequence[CutItem], left_out: Sequence[Slot]) -> str:
    """What to do where the rack does not do: which sheet, how thick, and what else there is."""
    thick, unit = items[0].piece.thickness_mm, items[0].units
    bears = min((i.bears_mm for i in items if i.bears_mm is not None), default=None)
    sides = [sorted(i.piece.outline.size_mm) for i in items]
    size = _by(max(s[0] for s in sides), max(s[1] for s in sides), unit)
    if not left_out or bears is None:
        return "add stock to the rack file, or change the order"
    low, high = (write_length(round(v, 2), unit) for v in (thick - bears, thick + bears))
    there = ", ".join(f"{s.label} ({s.measured_mm:g} mm)" for s in left_out)
    return (
        f"buy {items[0].sheet_words} that measures {low} to {high}, more than {size}; or give the reading of what is there "
        f"as `measured` in the order, and the sizes follow it: {there}"
    )
